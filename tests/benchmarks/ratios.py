"""How many times faster than a plain CadQuery script (`plain.py`), how a second build fares, and how both grow."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import plain
from timing import best

ROOT = Path(__file__).parents[2]
TRIPLE = ROOT / "params" / "lab-triple.yaml"
SAME = 1e-6  # of the volume: both ways have to give the same solid
RESERVOIRS = (1, 2, 5, 10, 20)
Row = tuple[str, float, str]


def files(layout: Any, solids: dict[str, Any], folder: Path, deflection: float) -> None:
    """STEP and STL of each plate, as a build writes them."""
    from rillwright.export.placed import Placed
    from rillwright.export.step import step_bytes
    from rillwright.export.stl import stl_bytes
    from rillwright.solids.meshing import mesh

    for p in layout.plates:
        solid = solids[p.name]
        (folder / f"{p.name}.step").write_bytes(step_bytes(p.name, [Placed("part", solid, (1.0, 1.0, 1.0, 1.0))]))
        (folder / f"{p.name}.stl").write_bytes(stl_bytes(mesh(solid, deflection, plain.ANGLE), p.name))


def versus(what: str, layout: Any, script: Callable[[Any], Any], runs: int, aims: tuple[int, int]) -> list[Row]:
    """Rows of one comparison: solids alone, then solids with STEP and STL of the same accuracy."""
    from rillwright.solids.build import plate_solid

    made = {p.name: plate_solid(p) for p in layout.plates}
    theirs = {p.name: script(p).val() for p in layout.plates}
    for name, solid in made.items():
        off = abs(solid.Volume() / theirs[name].Volume() - 1)
        if off > SAME:
            raise SystemExit(f"{what}, plate {name}: volumes differ by {off:.2g}; the comparison means nothing")
    with tempfile.TemporaryDirectory() as where:
        folder = Path(where)

        def ours(write: bool) -> None:
            solids = {p.name: plate_solid(p) for p in layout.plates}
            if write:
                files(layout, solids, folder, plain.TOLERANCE)

        def others(write: bool) -> None:
            for p in layout.plates:
                body = script(p)
                if write:
                    plain.exported(body, folder, p.name)

        rows: list[Row] = []
        for write, aim in zip((False, True), aims, strict=True):
            a, b = best(lambda w=write: ours(w), runs), best(lambda w=write: others(w), 1)
            kind = "solids, STEP and STL" if write else "solids alone"
            rows += [(f"{what}, {kind}, as built", a, "s"), (f"{what}, {kind}, plain script", b, "s"),
                     (f"{what}, {kind}, how many times faster (aim {aim})", b / a, "×")]  # fmt: skip
        return rows


def against_plain(runs: int) -> list[Row]:
    """lab-triple, and a plate of 200 countersunk screws."""
    from run import plate

    from rillwright.layout.job_layout import JobLayout
    from rillwright.pipeline import plan

    rows = versus("lab-triple", plan(TRIPLE).layout, plain.feature_by_feature, runs, (15, 10))
    screws = JobLayout("screws", (plate(200),), (), {})
    return rows + versus("200 screws", screws, plain.screw_plate, runs, (100, 30))


def again(runs: int) -> list[Row]:
    """lab-triple built once more with what an earlier build has kept, kernel and modules loaded."""
    from rillwright.pipeline import build
    from rillwright.store import Store

    text = TRIPLE.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as where:
        folder, rows = Path(where), list[Row]()
        job = folder / "job.yaml"

        def run(words: str, kept: str = "kept") -> None:
            job.write_text(words, encoding="utf-8")
            build(job, folder / "out", store=Store(folder / kept, 10**9))

        run(text)
        rows.append(("lab-triple again, nothing changed", best(lambda: run(text), runs), "s"))
        turn = iter(range(10**6))
        rows.append(("lab-triple again, a remark added", best(lambda: run(f"{text}# {next(turn)}\n"), runs), "s"))
        moved = (edited(text, next(turn)) for _ in iter(int, 1))
        rows.append(("lab-triple again, one hole moved in one plate", best(lambda: run(next(moved)), runs), "s"))
        rows.append(("lab-triple, nothing kept", best(lambda: run(text, f"kept-{next(turn)}"), runs), "s"))
    return rows


def edited(text: str, turn: int) -> str:
    """The job with one more hole in one plate, at another place each time."""
    import io

    from ruamel.yaml import YAML

    yaml, out = YAML(typ="safe"), io.StringIO()
    data = yaml.load(text)
    hole = {"name": "moved", "kind": "clearance", "thread": "M3", "at": [[0.5 + 0.01 * turn, 61.0]]}
    lower = data["plates"]["lower"]
    lower["holes"] = [*lower.get("holes", []), hole]  # a list of its own: the file's is the other plate's too
    yaml.dump(data, out)
    return out.getvalue()


def many(count: int) -> dict[str, Any]:
    """A row of reservoirs between two plates, a port through each plate into each."""
    pitch = 130.0
    at = [[pitch * (i - (count - 1) / 2), 0] for i in range(count)]
    outline = {"length": count * pitch, "width": 130, "corner_radius": 10}

    def side(name: str) -> dict[str, Any]:
        ports = [{"name": f"{name}-{i}", "loop": f"n{i}", "on": "outer", "at": a, "thread": "G1/4", "depth": "through"}
                 for i, a in enumerate(at)]  # fmt: skip
        return {"stock": {"thickness": 20}, "outline": outline, "ports": ports}

    tubes = [{"name": f"tube-{i}", "loop": f"n{i}", "at": a, "tube": {"length": 203}} for i, a in enumerate(at)]
    return {"job": f"row-{count}", "loops": {f"n{i}": {} for i in range(count)}, "reservoirs": tubes,
            "plates": {"upper": side("in"), "lower": side("out")}}  # fmt: skip


def reservoirs(runs: int) -> list[Row]:
    """From one to twenty reservoirs: cutting both plates; and the whole build without pictures or pages."""
    from ruamel.yaml import YAML

    from rillwright.pipeline import build, plan
    from rillwright.solids.build import plate_solid
    from rillwright.store import Store

    rows, cuts = list[Row](), list[float]()
    with tempfile.TemporaryDirectory() as where:
        for count in RESERVOIRS:
            path = Path(where) / f"row-{count}.yaml"
            with path.open("w", encoding="utf-8") as stream:
                YAML(typ="safe").dump(many(count), stream)
            plates = plan(path).layout.plates
            cuts.append(best(lambda p=plates: [plate_solid(q) for q in p], runs))
            rows.append((f"{count} reservoirs, both plates cut", cuts[-1], "s"))
            whole = best(lambda p=path, w=where: build(p, Path(w) / "out", only=("step", "stl"), store=Store(None, 0)), 1)
            rows.append((f"{count} reservoirs, with STEP, STL and all checks", whole, "s"))
    slope = float(np.polyfit(np.log(RESERVOIRS), np.log(cuts), 1)[0])
    return [*rows, (f"exponent over {RESERVOIRS[0]} to {RESERVOIRS[-1]} reservoirs, cutting", slope, "-")]
