"""How many of a set of seeded plates are routed, how long that takes and how long the channels become.

    python tests/benchmarks/routing.py [cases [first]]

A plate of 400 × 200 with 22 screws round its edge and 18 holes within, six nets with ends strewn at random: every
case is made by its number alone, from `first` (0) on. Each routed case passes the independent check of its walls and,
by the plan check's own method, leaves no thin web between the folds of a net. Times are those of the processor,
not of the clock.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from statistics import mean, median

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "generators"))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from rillwright.layout.routing import NoRoute, Problem, route
from rillwright.layout.routing.clearance import check
from routing_cases import strewn, thin_webs

SETS = {
    "14 ends, widths 6 to 10": {"ends": (2, 2, 2, 2, 3, 3), "widths": (6, 8, 10)},
    "16 ends, widths 6 to 10": {"ends": (2, 2, 2, 3, 3, 4), "widths": (6, 8, 10)},
    "16 ends, widths 6 to 12": {"ends": (2, 2, 2, 3, 3, 4), "widths": (6, 8, 10, 12)},
    "one net of 7 ends, one of 2": {"ends": (2, 7), "widths": (6, 8)},
    "14 ends, two levels": {"ends": (2, 2, 2, 2, 3, 3), "widths": (6, 8, 10), "levels": 2},
}  # fmt: skip


def run(problem: Problem) -> tuple[float, float, float] | None:
    """Seconds of processor time, length over the estimate, and the least spare by the independent check, mm."""
    begin = time.process_time()
    try:
        routing = route(problem)
    except NoRoute:
        return None
    spent = time.process_time() - begin
    found = check(problem, routing)
    assert found.holds, found.faults
    assert not any(thin_webs(problem, n.name, routing) for n in problem.nets), "a web of a net's own folds is thin"
    return spent, sum(routing.length.values()) / sum(routing.steiner.values()), found.smallest.spare


def main() -> None:
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    print("| set | routed | median s | length / estimate: mean, median, worst | least wall beyond its limit, mm |")
    print("|---|---|---|---|---|")
    for name, how in SETS.items():
        done = [r for seed in range(first, first + cases) if (r := run(strewn(seed, **how)))]  # type: ignore[arg-type]
        times, ratios, spares = zip(*done, strict=True)
        print(
            f"| {name} | {len(done)} of {cases} | {median(times):.2f} | {mean(ratios):.3f}, {median(ratios):.3f}, "
            f"{max(ratios):.3f} | {min(spares):.5f} |", flush=True,
        )  # fmt: skip


if __name__ == "__main__":
    main()
