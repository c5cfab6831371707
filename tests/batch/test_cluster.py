"""The same sweep on a dask cluster on loopback: same volumes; a variant that hangs or dies costs that one only."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tiny import files

from rillwright.batch import cluster
from rillwright.batch.cluster import Cluster, ClusterError
from rillwright.batch.places import Here
from rillwright.batch.sweep import Run
from rillwright.batch.variants import read_sweep

distributed = pytest.importorskip("distributed", reason="the extra `cluster` is not installed")
TWO = "sweep: two\nbase: tiny.yaml\nover:\n  length: {path: plates.block.outline.length, values: [60, 75]}\n"


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """A scheduler with one worker in a process of its own, as `dask worker` starts it."""
    with distributed.LocalCluster(
        n_workers=1, threads_per_worker=1, processes=True, host="127.0.0.1", dashboard_address=None, protocol="tcp"
    ) as made:
        yield made.scheduler_address


def volumes(path: Path, out: Path, place: Any) -> dict[str, Any]:
    sweep = read_sweep(path)
    rows = Run(sweep, out, lambda _: None, ("stl",)).build(sweep.variants, place)
    assert [r.state for r in rows] == ["holds", "holds"], [r.trouble for r in rows]
    return {r.variant.name: (r.figures["volumes_mm3"], r.figures["coolant_ml"]) for r in rows}


def test_a_cluster_gives_the_same_volumes(tmp_path: Path, address: str) -> None:
    path = files(tmp_path, TWO)
    there = volumes(path, tmp_path / "there", Cluster(address, 120))
    here = volumes(path, tmp_path / "here", Here(1, 120))
    assert there == here
    for name in ("length-60", "length-75"):
        stl = (tmp_path / "there" / name / "block.stl").read_bytes()
        assert stl == (tmp_path / "here" / name / "block.stl").read_bytes()


def test_no_scheduler_is_told_plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "ANSWER", 0.3)
    with pytest.raises(ClusterError, match=r"no scheduler answers at tcp://.*:9 .*start one with: dask scheduler"):
        Cluster("tcp://127.0.0.1:9", 5).opened().__enter__()


def test_a_missing_package_is_told_plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "distributed", None)
    with pytest.raises(ClusterError, match=r"pip install 'rillwright\[cluster\]'"):
        Cluster("tcp://127.0.0.1:9", 5).opened().__enter__()


def test_workers_of_another_version_are_refused(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "ours", lambda: "another")
    with pytest.raises(ClusterError, match="1 of 1 workers lack rillwright or run another version"):
        Cluster(address, 5).opened().__enter__()
