"""Jobs as a careful builder would write them, by the hundred: does any check say something without a reason?

    python tests/benchmarks/good_jobs.py [--good 200] [--build 40] [--workers 2] [--seed 1] [--kind NAME] [--json]

Every construction takes its turn (`good_samples`, `good_covered`, `good_mounted`); all jobs are checked in plan, `--build`
of them are built as well (STEP and STL, measured, no store). Whatever an error or a warning says is listed; the command
ends with 1 where there is any, or where a job is refused. Notes are counted only. `--kind` names constructions.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
import tempfile
import time
from collections import Counter, defaultdict
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

import good_covered
import good_mounted
import good_samples

from jobs import Job, written
from rillwright.spec.messages import SpecError

KINDS = {**good_samples.SAMPLERS, **good_covered.SAMPLERS, **good_mounted.SAMPLERS}


def sample(kind: str, seed: int) -> Job:
    """The job of a construction and a seed."""
    return KINDS[kind](random.Random(f"{kind} {seed}"))


def run(task: tuple[str, int, bool]) -> dict[str, Any]:
    """What the checks say to one job."""
    kind, seed, built = task
    row: dict[str, Any] = {"kind": kind, "seed": seed, "built": built, "said": [], "notes": 0}
    began = time.process_time()
    with tempfile.TemporaryDirectory() as folder:
        path = written(Path(folder), sample(kind, seed))
        try:
            result = _answer(path, built)
        except SpecError as refused:
            row["said"] = [{"severity": "refused", "rule": "", "what": str(p)} for p in refused.problems]
            return row
        except Exception as broken:  # a crash is an answer too: the worst one
            row["said"] = [{"severity": "crash", "rule": type(broken).__name__, "what": str(broken)[:300]}]
            return row
    row["notes"] = sum(f.severity == "note" for f in result.findings)
    row["said"] = [
        {"severity": f.severity, "rule": f.rule, "plate": f.plate, "features": list(f.features), "measured": f.measured,
         "limit": f.limit, "what": f.what}
        for f in result.findings if f.severity != "note"
    ]  # fmt: skip
    return {**row, "seconds": time.process_time() - began}


def _answer(path: Path, built: bool) -> Any:
    from rillwright import pipeline
    from rillwright.store import Store

    if not built:
        return pipeline.check(path)
    return pipeline.build(path, path.parent / "out", only=["step", "stl"], store=Store(None, 0))


def tasks(good: int, build: int, seed: int, kinds: list[str]) -> list[tuple[str, int, bool]]:
    """Constructions in turn; those that are built are spread over all of them."""
    every = [(kinds[i % len(kinds)], seed * 1000 + i // len(kinds)) for i in range(good)]
    return [(k, s, i < build) for i, (k, s) in enumerate(every)]


def told(rows: list[dict[str, Any]]) -> int:
    """Print the table and everything said; how many jobs something was said to."""
    print(f"{'construction':20}{'jobs':>6}{'built':>7}{'something said':>16}{'notes':>7}")
    by = defaultdict(list)
    for r in rows:
        by[r["kind"]].append(r)
    for kind, mine in by.items():
        print(f"{kind:20}{len(mine):6}{sum(r['built'] for r in mine):7}{sum(bool(r['said']) for r in mine):16}"
              f"{sum(r['notes'] for r in mine):7}")  # fmt: skip
    counts = Counter((s["severity"], s["rule"]) for r in rows for s in r["said"])
    for (severity, rule), n in counts.most_common():
        print(f"   {severity:8} {rule:24} {n}")
    alarms = [r for r in rows if r["said"]]
    for r in alarms:
        for s in r["said"][:6]:
            print(f"   {r['kind']} {r['seed']}:", {k: v for k, v in s.items() if v not in ("", None)})
    print(f"{len(rows)} jobs, {sum(r['built'] for r in rows)} of them built: something said to {len(alarms)}")
    return len(alarms)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name, default in (("good", 200), ("build", 40), ("workers", 2), ("seed", 1)):
        parser.add_argument(f"--{name}", type=int, default=default)
    parser.add_argument("--kind", choices=list(KINDS), action="append")
    parser.add_argument("--json", action="store_true")
    args = parser.parse_args()
    todo = tasks(args.good, args.build, args.seed, args.kind or list(KINDS))
    with ProcessPoolExecutor(args.workers) as pool:
        rows = list(pool.map(run, todo))
    if args.json:
        print(json.dumps(rows, indent=1))
        return int(any(r["said"] for r in rows))
    return int(bool(told(rows)))


if __name__ == "__main__":
    raise SystemExit(main())
