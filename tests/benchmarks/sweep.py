"""Variants by the hundred: `python tests/benchmarks/sweep.py [--json FILE] [--parts NAME …] [--variants 64]`.

One sweep of the smallest shipped job over the length of its tube and the place of a port, built with one worker, with
two, on a dask cluster of two workers on loopback, and as fresh processes one after another, of which a sample is
timed; then one worker over 200 variants, whose memory is looked at after each 20. Not part of the tests: figures
depend on the machine. Wall-clock seconds. The cache of earlier builds is off.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from multiprocessing import get_context
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "generators"
sys.path.insert(0, str(SOURCE))
os.environ["RILLWRIGHT_CACHE"] = "off"
os.environ["PYTHONPATH"] = os.pathsep.join([str(SOURCE), *filter(None, [os.environ.get("PYTHONPATH")])])

PARTS = ("one", "two", "cluster", "fresh", "memory")
BASE = ROOT / "params" / "bench-single.yaml"
OUTPUTS = ("step", "stl", "glb", "tables")
LIMIT = 600.0  # s
EVERY = 20  # variants between two looks at the memory
MIB = 1024  # aim for the peak of a worker


@dataclass
class Bench:
    """What was asked for, and what was found so far."""

    variants: int
    memory: int
    sample: int
    folder: Path
    found: dict[str, Any] = field(default_factory=dict)

    def sweep(self, count: int) -> Path:
        """A sweep file of so many variants; every one differs in its solids."""
        rows = [f"{153 + 0.5 * (i // 4)},{12 + 0.5 * (i % 4)}" for i in range(count)]
        table = ["reservoirs.tube.tube.length,plates.upper.ports.return.at.0", *rows]
        (self.folder / f"rows-{count}.csv").write_text("\n".join(table) + "\n")
        path = self.folder / f"sweep-{count}.yaml"
        path.write_text(f"sweep: bench\nbase: {BASE}\nover:\n  row: {{table: rows-{count}.csv}}\n")
        return path

    def built(self, path: Path, place: Any, name: str) -> dict[str, Any]:
        """A whole sweep at one place: seconds, and the rows."""
        from rillwright.batch.sweep import Run
        from rillwright.batch.variants import read_sweep

        start = time.perf_counter()
        sweep = read_sweep(path)
        run = Run(sweep, self.folder / name, lambda words: print(f"  {words}", file=sys.stderr), OUTPUTS)
        rows = run.build(sweep.variants, place)
        seconds = time.perf_counter() - start
        lost = [r.trouble for r in rows if not r.figures]
        if lost:
            raise SystemExit(f"{name}: {len(lost)} variants were not built: {lost[0]}")
        volumes = {r.variant.name: r.figures["volumes_mm3"] for r in rows}
        peaks = [r.figures["peak_mb"] for r in rows]
        shutil.rmtree(self.folder / name)
        return {"seconds": seconds, "volumes": volumes, "peaks": peaks, "cpu": sum(r.figures["cpu_seconds"] for r in rows)}


def one(b: Bench) -> None:
    """One worker of this machine."""
    from rillwright.batch.places import Here

    b.found["one"] = b.built(b.sweep(b.variants), Here(1, LIMIT), "one")


def two(b: Bench) -> None:
    """Two workers of this machine."""
    from rillwright.batch.places import Here

    b.found["two"] = b.built(b.sweep(b.variants), Here(2, LIMIT), "two")


def cluster(b: Bench) -> None:
    """`dask scheduler` and two `dask worker` processes on loopback, started before the clock."""
    from rillwright.batch.cluster import Cluster

    with dask(2) as address:
        b.found["cluster"] = b.built(b.sweep(b.variants), Cluster(address, LIMIT), "cluster")


@contextmanager
def dask(workers: int) -> Iterator[str]:
    """Address of a scheduler with so many workers, each a process with one thread."""
    from distributed import Client

    with tempfile.TemporaryDirectory() as scratch:
        told = Path(scratch) / "scheduler.json"
        begin = [sys.executable, "-m", "dask"]
        quiet: dict[str, Any] = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "cwd": scratch}
        words = ["scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", str(told)]
        processes = [subprocess.Popen([*begin, *words], **quiet)]
        try:
            while not told.exists():
                time.sleep(0.1)
            address = json.loads(told.read_text())["address"]
            words = ["worker", address, "--host", "127.0.0.1", "--nthreads", "1", "--no-dashboard"]
            processes += [subprocess.Popen([*begin, *words], **quiet) for _ in range(workers)]
            with Client(address, set_as_default=False) as client:
                client.wait_for_workers(workers, timeout=60)
            yield address
        finally:
            for process in reversed(processes):
                process.terminate()
            for process in processes:
                process.wait()


def fresh(b: Bench) -> None:
    """`rillwright build` of a sample of the variants, each in a process of its own, with the same outputs."""
    from rillwright.batch.order import text_of
    from rillwright.batch.variants import read_sweep

    sweep = read_sweep(b.sweep(b.variants))
    chosen = sweep.variants[:: max(1, b.variants // b.sample)][: b.sample]
    times = []
    for v in chosen:
        path = b.folder / f"{v.name}.yaml"
        path.write_text(text_of(sweep, v))
        words = [sys.executable, "-m", "rillwright", "build", str(path), "--out", str(b.folder / "fresh")]
        words += ["--only", ",".join(OUTPUTS)]
        start = time.perf_counter()
        subprocess.run(words, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        times.append(time.perf_counter() - start)
        shutil.rmtree(b.folder / "fresh")
    b.found["fresh"] = {"seconds": sum(times) / len(times) * b.variants, "sample": len(times), "each": times}


def memory(b: Bench) -> None:
    """What one worker holds after each 20 of many variants, and the most it ever held, MiB."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as fresh_one:
        b.found["memory"] = {"held": fresh_one.submit(held, b.sweep(b.memory)).result()}


def held(path: Path) -> list[tuple[int, float, float]]:
    """Builds every variant in this process, as a worker does: variants built, resident memory and peak, MiB."""
    import psutil

    from rillwright.batch.order import order
    from rillwright.batch.variants import read_sweep
    from rillwright.batch.work import build_variant
    from rillwright.workers.memory import peak_mb

    sweep, rows = read_sweep(path), []
    for i, variant in enumerate(sweep.variants, 1):
        made = build_variant(order(sweep, variant, OUTPUTS))
        if made.trouble:
            raise SystemExit(f"{variant.name} was not built: {made.trouble}")
        if i == 1 or i % EVERY == 0:
            rows.append((i, psutil.Process().memory_info().rss / 2**20, peak_mb() or 0.0))
            print(f"  {i} variants: {rows[-1][1]:.0f} MiB held, {rows[-1][2]:.0f} at most", file=sys.stderr)
    return rows


def told(b: Bench) -> list[tuple[str, str, str]]:
    """Rows of the table: what, measured, aim."""
    f, n = b.found, b.variants
    rows = []
    for name, words in (("one", "1 worker"), ("two", "2 workers"), ("cluster", "dask, 2 workers on loopback")):
        if name in f:
            more = f", {f[name]['cpu'] / n:.2f} s of processor each"
            rows.append((f"{n} variants, {words}", f"{f[name]['seconds']:.1f} s{more}", ""))
    if "fresh" in f:
        whole, sample = f["fresh"]["seconds"], f["fresh"]["sample"]
        rows.append((f"{n} fresh processes, from {sample} timed", f"{whole:.1f} s, {whole / n:.2f} s each", ""))
    ratios = (("one", "two", "2 workers against 1", 1.8), ("fresh", "two", "2 workers against fresh processes", 8.0),
              ("fresh", "cluster", "dask against fresh processes", None))  # fmt: skip
    for slow, fast, words, aim in ratios:
        if slow in f and fast in f:
            ratio = f[slow]["seconds"] / f[fast]["seconds"]
            met = "" if aim is None else f"{aim:g}{'' if ratio >= aim else ': **not met**'}"
            rows.append((words, f"{ratio:.2f} times", met))
    volumes = [f[name]["volumes"] for name in ("one", "two", "cluster") if name in f]
    if len(volumes) > 1:
        same = all(v == volumes[0] for v in volumes)
        rows.append(("volumes at all places", "the same" if same else "DIFFERENT", "the same"))
    if "memory" in f:
        rows += _memory_rows(f["memory"]["held"])
    return rows


def _memory_rows(rows: list[tuple[int, float, float]]) -> list[tuple[str, str, str]]:
    counts, resident, peaks = zip(*rows, strict=True)
    steps = " / ".join(f"{v:.0f}" for v in resident)
    after = [v for n, v in zip(counts, resident, strict=True) if n >= 2 * EVERY]
    each = 1024 * (after[-1] - after[0]) / max(1, counts[-1] - 2 * EVERY) if after else 0.0
    high = "" if peaks[-1] <= MIB else ": **not met**"
    return [
        (f"one worker holds, MiB, after {' / '.join(map(str, counts))} variants", steps, "flat"),
        (f"growth after variant {2 * EVERY}", f"{each:.0f} KiB a variant", ""),
        ("the most it ever held, MiB", f"{peaks[-1]:.0f}", f"{MIB}{high}"),
    ]


def main() -> int:
    """Run the parts asked for; print a table, and write JSON."""
    given = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    given.add_argument("--json", type=Path)
    given.add_argument("--parts", nargs="+", choices=PARTS, default=PARTS)
    given.add_argument("--variants", type=int, default=64)
    given.add_argument("--memory", type=int, default=200, help="variants of the memory run")
    given.add_argument("--sample", type=int, default=8, help="fresh processes that are timed")
    words = given.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        b = Bench(words.variants, words.memory, words.sample, Path(folder))
        for part in words.parts:
            globals()[part](b)
        rows = told(b)
    print("| what | measured | aim |\n|---|---|---|")
    for row in rows:
        print("| " + " | ".join(row) + " |")
    if words.json:
        kept = {k: {n: x for n, x in v.items() if n != "volumes"} for k, v in b.found.items()}
        machine = {"cores": os.cpu_count(), "python": platform.python_version(), "machine": platform.machine()}
        words.json.write_text(json.dumps({"machine": machine, "rows": rows, **kept}, indent=2) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
