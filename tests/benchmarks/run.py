"""How long things take, as a table and as JSON: `python tests/benchmarks/run.py [--json FILE] [--only NAME …]`.

Not part of the tests: figures depend on the machine. Seconds, the best of several runs. The sweep has its own: `sweep.py`.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import platform
import subprocess
import sys
import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "generators"
sys.path[:0] = [str(SOURCE), str(Path(__file__).parent)]
os.environ["RILLWRIGHT_CACHE"] = "off"  # what is timed is done; `again` has a store of its own

from ratios import again, against_plain, reservoirs
from timing import CLOCKS, best, now, use

SCREWS = (25, 50, 100, 200, 400, 800)
SERIAL = 200  # screws that are also cut one after another
PITCH, EDGE, THICK = 12.0, 20.0, 12.0  # mm
TRIPLE = ROOT / "params" / "lab-triple.yaml"

Row = tuple[str, float, str]  # what, figure, unit


def process(*words: str) -> None:
    paths = [str(SOURCE), *filter(None, [os.environ.get("PYTHONPATH")])]
    subprocess.run(
        [sys.executable, *words], check=True, stdout=subprocess.DEVNULL, cwd=ROOT,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
    )  # fmt: skip


def processes(runs: int) -> list[Row]:
    """Whole processes of the commands that need no solid."""
    words = {"--help": ["--help"], "check lab-triple": ["check", str(TRIPLE)]}
    rows: list[Row] = [("python, nothing else", best(lambda: process("-c", ""), runs), "s")]
    return rows + [(name, best(lambda w=w: process("-m", "rillwright", *w), runs), "s") for name, w in words.items()]


def triple(runs: int) -> list[Row]:
    """A whole job in one process: first with the kernel's import, then warm."""
    with tempfile.TemporaryDirectory() as folder:
        start = now()
        from rillwright.pipeline import build

        def work() -> None:
            build(TRIPLE, Path(folder) / "out")

        work()
        cold = now() - start
        return [
            ("lab-triple, first in a process", cold, "s"),
            ("lab-triple, both plates, all files and checks, warm", best(work, runs), "s"),
        ]


def plate(screws: int) -> Any:
    """A plate with this many countersunk M4 holes in a square grid."""
    from rillwright.layout import profiles
    from rillwright.layout.features import Feature, Line, Outline, PlateLayout

    side = math.ceil(math.sqrt(screws))
    half = (side - 1) * PITCH / 2 + EDGE
    tool = profiles.countersunk(4.48, 2.25, THICK + 1)
    holes = tuple(
        Feature(
            f"s-{i}", "screw", ((i % side) * PITCH - half + EDGE, (i // side) * PITCH - half + EDGE, -THICK),
            (0.0, 0.0, 1.0), tool, "outer", ("outer", "seal"), facts={"hole_radius": 2.25, "mouth_radius": 4.48},
        )
        for i in range(screws)
    )  # fmt: skip
    corners = ((half, -half), (half, half), (-half, half), (-half, -half))
    outline = Outline((-half, -half), tuple(Line(c) for c in corners))
    return PlateLayout("plate", outline, THICK, "pmma-cast", True, 0.0, holes)


def one_after_another(layout: Any) -> Any:
    from rillwright.solids.build import blank, tool

    solid = blank(layout.outline, layout.thickness, 1.0)
    for f in layout.features:
        solid = solid.cut(tool(f, 1.0))
    return solid


def exponent(times: list[float]) -> float:
    """Slope of log time over log screws: 1 is linear, 2 quadratic."""
    return float(np.polyfit(np.log(SCREWS), np.log(times), 1)[0])


def screws(runs: int) -> list[Row]:
    """Cutting alone, without meshing, files or checks."""
    from rillwright.solids.build import plate_solid

    plates = {n: plate(n) for n in SCREWS}
    plate_solid(plates[SCREWS[0]])  # the kernel is loaded and warm from here on
    rows: list[Row] = []
    for way, swap in (("as built", True), ("one boolean", False)):
        times = [best(lambda n=n, s=swap: plate_solid(plates[n], swap=s), runs) for n in SCREWS]  # type: ignore[misc]
        rows += [(f"{n} screws, {way}", t, "s") for n, t in zip(SCREWS, times, strict=True)]
        rows.append((f"exponent over {SCREWS[0]} to {SCREWS[-1]} screws, {way}", exponent(times), "-"))
    serial = best(lambda: one_after_another(plates[SERIAL]), 1)
    at_once = next(t for name, t, _ in rows if name == f"{SERIAL} screws, one boolean")
    rows.append((f"{SERIAL} screws, one after another", serial, "s"))
    rows.append(("one after another, over one boolean", serial / at_once, "×"))
    return rows


def crowded(nets: int, holes: int) -> dict[str, Any]:
    """A manifold: each net a port on the back edge, its drilling, and a port through the outer face into it."""
    pitch = 26.0
    at = [pitch * (i - (nets - 1) / 2) for i in range(nets)]
    length = nets * pitch + 40
    ports: list[dict[str, Any]] = [
        {"name": f"in-{i}", "loop": f"n{i}", "on": "back", "at": [x, -12], "thread": "G1/8"} for i, x in enumerate(at)
    ]
    ports += [
        {"name": f"out-{i}", "loop": f"n{i}", "on": "outer", "at": [x, -20 + 25 * (i % 2)], "thread": "G1/8", "tip": "flat",
         "depth": 12}
        for i, x in enumerate(at)
    ]  # fmt: skip
    runs = [
        {"name": f"run-{i}", "from": f"in-{i}", "to": [x, -20 + 25 * (i % 2), -12], "diameter": 6} for i, x in enumerate(at)
    ]
    columns = math.ceil(holes / 3)
    row = {"columns": columns, "rows": 3, "pitch": [(length - 30) / (columns - 1), 10], "centre": [0, -60]}
    plate = {"stock": {"thickness": 24}, "outline": {"length": length, "width": 160}, "ports": ports, "drillings": runs,
             "holes": [{"name": "hole", "grid": row}]}  # fmt: skip
    return {"job": "crowded", "loops": {f"n{i}": {} for i in range(nets)}, "plates": {"block": plate}}


def proofs(runs: int) -> list[Row]:
    """Walls and nets alone, on solids and STL files that are there: the time of the checks, not of the cutting."""
    from ruamel.yaml import YAML

    from rillwright.checks.solid import measure as room
    from rillwright.export.stl import stl_bytes
    from rillwright.pipeline import plan
    from rillwright.solids.build import plate_solid
    from rillwright.solids.meshing import mesh

    rows: list[Row] = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        files = {"lab-triple": TRIPLE}
        for nets, holes in ((5, 39), (10, 75), (20, 150)):
            files[f"{nets} nets, {holes} holes"] = folder / f"crowded-{nets}.yaml"
            with (folder / f"crowded-{nets}.yaml").open("w", encoding="utf-8") as stream:
                YAML(typ="safe").dump(crowded(nets, holes), stream)
        for what, path in files.items():
            planned = plan(path)
            limits, fine = planned.loaded.model.limits, planned.loaded.model.output.deflection
            solids = {p.name: plate_solid(p) for p in planned.layout.plates}
            meshes = {n: mesh(s, fine) for n, s in solids.items()}
            stls = {n: folder / f"{n}.stl" for n in solids}
            for n, stl in stls.items():
                stl.write_bytes(stl_bytes(meshes[n], n))

            work = partial(room.measure, planned.layout, limits, solids, meshes, stls, fine)
            rows.append((f"all checks on solids and STL: {what}", best(work, runs), "s"))
    return rows


PARTS: dict[str, Callable[[int], list[Row]]] = {"processes": processes, "screws": screws, "triple": triple,
                                               "proofs": proofs, "plain": against_plain, "again": again,
                                               "reservoirs": reservoirs}  # fmt: skip


def main() -> int:
    """Run the parts asked for; returns the exit code."""
    top = argparse.ArgumentParser(description=__doc__)
    top.add_argument("--json", type=Path, metavar="FILE", help="also write the figures into this file")
    top.add_argument("--only", nargs="+", choices=sorted(PARTS), help="parts to run; left out: all")
    top.add_argument("--runs", type=int, default=3, help="runs of each; the best one counts (default: 3)")
    top.add_argument("--clock", choices=CLOCKS, default="wall", help="cpu: user and system time, on a busy machine")
    given = top.parse_args()
    use(given.clock)
    rows = [row for name, part in PARTS.items() if name in (given.only or PARTS) for row in part(given.runs)]
    wide = max(len(name) for name, _, _ in rows)
    for name, figure, unit in rows:
        print(f"{name:<{wide}}  {figure:9.3f} {unit}")
    if given.json:
        figures = {name: {"value": round(figure, 5), "unit": unit} for name, figure, unit in rows}
        machine = {"clock": given.clock, "cores": os.cpu_count(), "python": platform.python_version(),
                   "system": platform.system()}  # fmt: skip
        given.json.write_text(json.dumps({"machine": machine, "figures": figures}, indent=2) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
