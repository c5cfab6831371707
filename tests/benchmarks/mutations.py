"""Known defects put into good jobs by the hundred: how many are found, named and located, and how many false alarms.

    python tests/benchmarks/mutations.py [--each 25] [--good 200] [--workers 2] [--seed 1] [--json]

Every job is a seeded variant of a pair of plates with two loops. A defect counts as found when one of the rules that
ought to see it fails, as named when that finding names a feature that has the defect, as located when it has a place.
A good variant counts as a false alarm when any rule fails. Ends with 1 where anything is missed or falsely alarmed.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[1])]

from jobs import Job, measured, named
from rillwright.spec.messages import SpecError

TIP = 1 / math.tan(math.radians(59))  # height of a drill's point over its radius
Expected = tuple[tuple[str, ...], tuple[str, ...]]  # rules of which one must fail, features of which one must be named


def good(rng: random.Random) -> Job:
    """A sound job: two tubes of two loops, every port reached, every wall thick enough."""
    thick = rng.choice([25, 27, 30])
    z = -round(rng.uniform(13, min(15, thick - 10)), 2)
    x, tube = round(rng.uniform(66, 74), 2), rng.choice([50, 54, 60])
    a, b = round(rng.uniform(-11, 11), 2), rng.choice([-1, 1]) * round(rng.uniform(7.2, 11), 2)
    wide = rng.choice([7, 8])

    def reservoir(name: str, loop: str, at: float) -> Job:
        return {"name": name, "loop": loop, "at": [at, 0], "tube": {"outside_diameter": tube, "length": 203},
                "struts": {"start_angle": 270}, "channel": {"cord": {"tolerance": "E1"}}}  # fmt: skip

    def way(loop: str, at: float) -> list[Job]:
        return [
            {"name": f"{loop}-riser", "loop": loop, "from": "seal", "at": [at, 0], "depth": -z, "diameter": wide},
            {"name": f"{loop}-feed", "from": f"{loop}-in", "to": f"{loop}-riser", "diameter": wide},
        ]

    plate = {"stock": {"thickness": thick}, "outline": {"length": 300, "width": 130, "corner_radius": 8, "chamfer": 1}}
    upper = plate | {
        "ports": [
            {"name": "p-in", "loop": "p", "on": "back", "at": [a - x, z]},
            {"name": "g-in", "loop": "g", "on": "back", "at": [x + b, z]},
            {"name": "g-fill", "loop": "g", "on": "outer", "at": [x, -10], "depth": "through"},
        ],
        "drillings": [*way("p", a - x), *way("g", x + b)],
    }
    lower = plate | {
        "ports": [
            {"name": "p-out", "loop": "p", "on": "outer", "at": [-x, 0], "depth": "through"},
            {"name": "g-out", "loop": "g", "on": "back", "at": [x + 54, z]},
        ],
        "drillings": [
            {"name": "g-cross", "loop": "g", "from": "right", "at": [-10, z], "to": [x + 8, -10, z], "diameter": wide,
             "plug": "G1/8"},
            {"name": "g-riser", "loop": "g", "from": "seal", "at": [x + 8, -10], "to": "g-cross", "diameter": wide},
            {"name": "g-drain", "from": "g-out", "to": "g-cross", "diameter": wide},
        ],
    }  # fmt: skip
    reservoirs = [reservoir("left", "p", -x), reservoir("right", "g", x)]
    return {"job": "variant", "loops": {"p": {}, "g": {}}, "reservoirs": reservoirs,
            "plates": {"upper": upper, "lower": lower}, "output": {"deflection": 0.05}}  # fmt: skip


def _cross(job: Job) -> tuple[float, float, float]:
    """x of the right tube, z and diameter of the cross drilling."""
    cross = named(job["plates"]["lower"]["drillings"], "g-cross")
    return job["reservoirs"][1]["at"][0], cross["at"][1], cross["diameter"]


def breach(job: Job, rng: random.Random) -> Expected:
    x, z, _ = _cross(job)
    stray = {"name": "stray", "loop": "p", "from": "front", "at": [x + 20 + rng.uniform(0, 6), z], "depth": 58,
             "diameter": 6, "plug": "G1/8"}  # fmt: skip
    job["plates"]["lower"]["drillings"].append(stray)
    return ("net.short", "wall.loops"), ("stray", "g-cross")


def thin_wall(job: Job, rng: random.Random) -> Expected:
    x, z, wide = _cross(job)
    for plate in job["plates"].values():
        plate["stock"]["thickness"] = 40
    low, at = z - wide / 2 - 2.5 - 0.7, x + 22
    stray = {"name": "stray", "loop": "p", "from": "front", "at": [at, low], "to": [at + rng.uniform(3, 12), 5, low],
             "diameter": 5}  # fmt: skip
    job["plates"]["lower"]["drillings"].append(stray)
    return ("wall.loops",), ("stray",)


def floor(job: Job, rng: random.Random) -> Expected:
    upper = job["plates"]["upper"]
    riser = named(upper["drillings"], rng.choice(["p-riser", "g-riser"]))
    riser["depth"] = upper["stock"]["thickness"] - TIP * riser["diameter"] / 2 + 0.1
    return ("net.leak", "wall.outside"), (riser["name"],)


def no_plug(job: Job, rng: random.Random) -> Expected:
    del named(job["plates"]["lower"]["drillings"], "g-cross")["plug"]
    return ("net.leak", "drilling.open"), ("g-cross",)


def short(job: Job, rng: random.Random) -> Expected:
    loop = rng.choice("pg")
    feed, riser = (named(job["plates"]["upper"]["drillings"], f"{loop}-{k}") for k in ("feed", "riser"))
    feed["to"] = [riser["at"][0], riser["diameter"] / 2 + 0.01, -riser["depth"]]
    feed["tip"] = "flat"
    return ("net.open", "drilling.meets"), (feed["name"], riser["name"])


def swapped(job: Job, rng: random.Random) -> Expected:
    loop, other = rng.choice(["pg", "gp"])
    upper = job["plates"]["upper"]
    named(upper["ports"], f"{loop}-in")["loop"] = other
    named(upper["drillings"], f"{loop}-riser")["loop"] = other
    return ("net.short", "net.open"), (f"upper.{loop}-in", f"{loop}-in", f"{loop}-riser")


def long_screw(job: Job, rng: random.Random) -> Expected:
    grip = job["plates"]["upper"]["stock"]["thickness"] - 3
    length = next(n for n in (25, 30, 35, 40) if n >= grip + 6)
    which = rng.randrange(2)
    job["reservoirs"][which]["struts"]["thread_depth"] = length - grip - 1  # 2 mm less than the tip wants
    return ("screw.tip",), tuple(f"{job['reservoirs'][which]['name']}.strut-{i}.screw" for i in (1, 2, 3))


def unsealed(job: Job, rng: random.Random) -> Expected:
    for r in job["reservoirs"]:
        r["tube"]["outside_diameter"] = 90
        r["struts"]["place"] = "inside"
    return ("net.leak",), tuple(f"{r['name']}.strut-{i}" for r in job["reservoirs"] for i in (1, 2, 3))


DEFECTS: dict[str, Callable[[Job, random.Random], Expected]] = {
    "breach between two loops": breach, "wall of 0.7 mm at an angle": thin_wall, "floor pierced by 0.1 mm": floor,
    "plug left out": no_plug, "drilling 0.01 mm short": short, "channel of the other loop": swapped,
    "screw 2 mm too long": long_screw, "strut inside without its seal": unsealed,
}  # fmt: skip


def run(task: tuple[str, int]) -> dict[str, Any]:
    """One variant: which rules failed, and whether the defect was found, named and located."""
    kind, seed = task
    rng = random.Random(f"{kind} {seed}")
    job = good(rng)
    expected = DEFECTS[kind](job, rng) if kind in DEFECTS else None
    with tempfile.TemporaryDirectory() as folder:
        try:
            m = measured(Path(folder), job)
        except SpecError as refused:  # a variant that the file already forbids proves nothing: shown as missed
            nothing = {"found": False, "named": False, "located": False} if expected else {}
            return {"kind": kind, "seed": seed, "failed": [str(refused)], **nothing}
    errors = [f for o in m.outcomes for f in o.findings if f.severity == "error"]
    row: dict[str, Any] = {"kind": kind, "seed": seed, "failed": sorted({f.rule for f in errors})}
    if expected is not None:
        hits = [f for f in errors if f.rule in expected[0]]
        named_ = [f for f in hits if any(n == e or n.startswith(f"{e}.") or n.endswith(f".{e}") or f".{e}." in n
                                         for n in f.features for e in expected[1])]  # fmt: skip
        row |= {"found": bool(hits), "named": bool(named_), "located": any(f.at for f in named_)}
    return row


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name, default in (("each", 25), ("good", 200), ("workers", 2), ("seed", 1)):
        parser.add_argument(f"--{name}", type=int, default=default)
    parser.add_argument("--json", action="store_true")
    args = parser.parse_args()
    tasks = [(kind, args.seed * 1000 + i) for kind in DEFECTS for i in range(args.each)]
    tasks += [("good", args.seed * 1000 + i) for i in range(args.good)]
    with ProcessPoolExecutor(args.workers) as pool:
        rows = list(pool.map(run, tasks, chunksize=4))
    if args.json:
        print(json.dumps(rows, indent=1))
    bad = 0
    print(f"{'defect':34}{'variants':>9}{'found':>7}{'named':>7}{'located':>9}", file=sys.stderr if args.json else None)
    for kind in DEFECTS:
        mine = [r for r in rows if r["kind"] == kind]
        counts = Counter(k for r in mine for k in ("found", "named", "located") if r[k])
        bad += sum(not r["located"] for r in mine)
        print(f"{kind:34}{len(mine):9}{counts['found']:7}{counts['named']:7}{counts['located']:9}",
              file=sys.stderr if args.json else None)  # fmt: skip
        for r in mine:
            if not r["located"]:
                print("   missed:", r, file=sys.stderr)
    alarms = [r for r in rows if r["kind"] == "good" and r["failed"]]
    print(f"{'good jobs':34}{args.good:9}   false alarms: {len(alarms)}", file=sys.stderr if args.json else None)
    for r in alarms:
        print("   false alarm:", r, file=sys.stderr)
    return int(bool(bad or alarms))


if __name__ == "__main__":
    raise SystemExit(main())
