"""Grooves, cover screws and their checks on seeded cases: `python tests/benchmarks/sealing.py [--cases N]`.

Not part of the tests: figures depend on the machine. CPU seconds of this process, libraries loaded beforehand.
"""

from __future__ import annotations

import argparse
import math
import random
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "generators"), str(ROOT / "tests")]

from covered import box, channel, face, groove, hole, pockets, tree
from rillwright.checks.plan.cover_checks import cover_checks
from rillwright.layout import paths
from rillwright.layout.outline import Impossible
from rillwright.layout.pockets import Path as Way
from rillwright.layout.sealing.plate import rings
from rillwright.layout.sealing.ring import Lands, ring
from rillwright.layout.sealing.screws import NoPlace, screws_along
from rillwright.spec.job import Limits

LANDS = Lands(cord=2, width=2.8, land_inner=2, land_outer=2, corner=6)
WIDE = box(1000, 1000)


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """CPU seconds and what came of it; an Impossible counts as an answer."""
    start = time.process_time()
    try:
        made = work()
    except Impossible as e:
        made = e
    return time.process_time() - start, made


def row(what: str, times: list[float], more: str = "") -> None:
    print(f"| {what} | {statistics.median(times) * 1e3:.0f} | {max(times) * 1e3:.0f} | {more} |")


def groove_rows(cases: int) -> None:
    """Rings round random trees: true pieces, and how far the smallest land is from what is asked."""
    times, counts, failed = [], [], 0
    for seed in range(cases):
        wet = tree(seed)
        t, made = timed(lambda w=wet: ring(w, WIDE, 2, 2.8, 2, 2, 6))
        times.append(t)
        if isinstance(made, Impossible):
            failed += 1
        else:
            counts.append(len(made.path.pieces))
    row(f"groove round a random tree ({cases})", times, f"{failed} failed, median {statistics.median(counts):.0f} pieces")


def long_seal(seed: int) -> tuple[Way, list[Any]]:
    """A seal of about 1.1 m round a bent channel, with fittings and bars beside it."""
    rng = random.Random(seed)
    line = [(-200.0, -60.0), (-20.0, -60.0), (20.0, rng.uniform(-20, 40)), (200.0, 30.0), (200.0, rng.uniform(80, 160))]
    track = ring([channel("c", line, 8, bend=12)], WIDE, 2, 2.8, 2, 2, 6).path
    spots = [p for _, p, _ in paths.along(track, 20)]
    return track, [(f"fitting-{i}", (rng.choice(spots), rng.uniform(2, 14)), 1.0) for i in range(rng.randint(0, 5))]


def screw_rows(cases: int) -> None:
    """Screws along one long seal, against the bound."""
    times, over, none, lengths = [], [], 0, []
    for seed in range(cases):
        track, stand = long_seal(seed)
        t, made = timed(lambda a=track, o=stand, s=seed: screws_along([a], (30, 40, 50)[s % 3], (6, 9), 4, o))
        times.append(t)
        lengths.append(paths.length(track))
        if isinstance(made, NoPlace):
            none += made.proved
        else:
            over.append(len(made.at) - made.bound)
    row(f"screws along {statistics.mean(lengths) / 1000:.2f} m of seal ({cases})", times,
        f"{over.count(0)} at the bound, {over.count(1)} one above, {sum(v > 1 for v in over)} more; {none} impossible")


def panel() -> dict[str, list[Any]]:
    """Five loops on a plate of 400 × 200."""
    return {
        "a": [channel("a1", [(-170, -70), (60, -70), (60, -30)], 8, "a", 12),
              channel("a2", [(-60, -70), (-60, -40)], 8, "a")],
        "b": [channel("b1", [(-170, -35), (-100, -35), (-100, 30), (-20, 30)], 8, "b", 12), ((-170.0, -35.0), 8.0)],
        "c": [channel("c1", [(-170, 0), (-130, 0), (-130, 70), (40, 70)], 8, "c", 12)],
        "d": [channel("d1", [(100, -70), (170, -70), (170, 70), (80, 70)], 10, "d", 15)],
        "e": [channel("e1", [(0, 0), (120, 0), (120, 40)], 6, "e", 10), ((120.0, 40.0), 7.0)],
    }  # fmt: skip


def panel_rows() -> None:
    """Grooves of five loops, screws that some of them share, and all checks in plan."""
    plate, wets = box(400, 200), panel()
    t, made = timed(lambda: rings(wets, plate, LANDS))
    tracks = [r.path for rs in made.values() for r in rs]
    long = sum(map(paths.length, tracks)) / 1000
    row("grooves of five loops on 400 × 200", [t], f"{long:.2f} m in {len(tracks)} grooves")
    t, placed = timed(lambda: screws_along(tracks, 50, (5.5, 12), 3.5, outline=plate, edge=1))
    alone = sum(math.ceil(paths.length(p) / 50) for p in tracks)
    found = str(placed) if isinstance(placed, Impossible) else f"{len(placed.at)}, bound {placed.bound}; unshared {alone}"
    row("screws along them, pitch 50", [t], found)
    holes = [] if isinstance(placed, Impossible) else [hole(f"s{i}", x, y) for i, (x, y) in enumerate(placed.at)]
    channels = [p for w in wets.values() for p in pockets(w)[0]]
    cut = [groove(f"g{i}", p) for i, p in enumerate(tracks)]
    times = []
    for _ in range(5):
        f = face([*channels, *cut], holes, plate, pitch=50, reach=12)
        t, answers = timed(lambda g=f: cover_checks([g], Limits()))
        times.append(t)
    row("all checks of that face in plan", times, f"{sum(o.cases for o in answers)} cases, "
                                                  f"{sum(len(o.findings) for o in answers)} findings")


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("--cases", type=int, default=60)
    n = p.parse_args().cases
    timed(lambda: screws_along([long_seal(0)[0]] * 1, 40, (6, 9), 4))
    print("| what | median ms | worst ms | |\n|---|---|---|---|")
    groove_rows(n)
    screw_rows(n)
    panel_rows()


if __name__ == "__main__":
    main()
