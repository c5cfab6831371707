"""A build with helpers gives what it gives without, also where a helper dies; and helpers really do a share."""

from __future__ import annotations

import errno
import os
import shutil
import signal
from pathlib import Path
from typing import Any

import pytest

from jobs import raw, written
from rillwright import hand as helpers
from rillwright import pipeline
from rillwright.hand import Hand, helping
from rillwright.store import Store

ONLY = ("step", "stl", "tables", "bench", "leak-test")
OFF = Store(None, 0)
TABLES = ("features.csv", "parts.csv", "cord-cuts.csv", "leak-test.csv", "cut-list.csv")
PLAIN = ("checks.json", "lower.stl", "upper.stl", *TABLES)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return written(tmp_path, raw("bench-single"))


@pytest.fixture
def alone(job: Path, tmp_path: Path) -> dict[str, bytes]:
    pipeline.build(job, tmp_path / "alone", only=ONLY, store=OFF)
    return contents(tmp_path / "alone")


def contents(folder: Path, files: tuple[str, ...] = PLAIN) -> dict[str, bytes]:
    """What no time of day is written into."""
    return {name: (folder / name).read_bytes() for name in files}


def names(folder: Path) -> set[str]:
    return {p.name for p in folder.iterdir()}


def test_a_build_with_a_helper_is_that_without(job: Path, alone: dict[str, bytes], tmp_path: Path) -> None:
    with helping(2) as hand:
        hand.start()
        result = pipeline.build(job, tmp_path / "two", only=ONLY, store=OFF, hand=hand)
    assert result.holds
    assert contents(tmp_path / "two") == alone
    assert names(tmp_path / "two") == names(tmp_path / "alone")


def test_the_helper_does_what_the_build_leaves_to_it(
    job: Path, alone: dict[str, bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # this process takes no task: all that the build then finds was made by the helper
    monkeypatch.setattr(helpers, "work_through", lambda *_: [])
    made: list[str] = []
    monkeypatch.setattr("rillwright.stages.Plates._made", lambda _, plate: made.append(plate.name))
    monkeypatch.setattr("rillwright.checks.solid.plate.plate_cases", lambda *_: made.append("walls"))
    monkeypatch.setattr("rillwright.checks.solid.nets.assembly_cases", lambda *_: made.append("nets"))
    with helping(2) as hand:
        hand.start()
        pipeline.build(job, tmp_path / "two", only=ONLY, store=OFF, hand=hand)
    assert made == []
    assert contents(tmp_path / "two") == alone


def test_a_helper_that_dies_costs_nothing_but_time(
    job: Path, alone: dict[str, bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = Hand.share

    def killed(self: Hand, *given: Any) -> None:
        if self._pool is not None:
            for number in self._pool.processes():
                os.kill(number, signal.SIGKILL)
        plain(self, *given)

    monkeypatch.setattr(Hand, "share", killed)
    with helping(2) as hand:
        hand.start()
        pipeline.build(job, tmp_path / "two", only=ONLY, store=OFF, hand=hand)
    assert contents(tmp_path / "two") == alone


def test_what_processes_exchanged_goes_with_the_run(job: Path, tmp_path: Path) -> None:
    with helping(2) as hand:
        hand.start()
        assert hand._scratch is not None
        place = Path(hand._scratch.name)
        pipeline.build(job, tmp_path / "two", only=("stl",), store=OFF, hand=hand)
        assert any((place / "exchange").rglob("*"))
    assert not place.exists()


def test_a_users_store_is_the_place_of_exchange(job: Path, tmp_path: Path) -> None:
    kept = Store(tmp_path / "kept", 10**9)
    with helping(2) as hand:
        hand.start()
        first = pipeline.build(job, tmp_path / "a", only=("stl",), store=kept, hand=hand)
        again = pipeline.build(job, tmp_path / "b", only=("stl",), store=kept, hand=hand)
    assert first.holds
    assert again.holds
    assert contents(tmp_path / "a", ("checks.json",)) == contents(tmp_path / "b", ("checks.json",))


@pytest.mark.parametrize(("workers", "expected"), [(1, 0), (2, 1), (3, 2)])
def test_the_number_asked_for_counts_this_process(workers: int, expected: int) -> None:
    with helping(workers) as hand:
        assert hand.helpers == expected


def test_no_room_for_temporary_files_costs_the_help_only(
    job: Path, alone: dict[str, bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(**_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(helpers, "TemporaryDirectory", full)
    with helping(2) as hand:
        hand.start()
        assert hand.helpers == 0
        pipeline.build(job, tmp_path / "two", only=ONLY, store=OFF, hand=hand)
    assert contents(tmp_path / "two") == alone


def test_temporary_files_that_somebody_cleared_away_cost_the_help_only(
    job: Path, alone: dict[str, bytes], tmp_path: Path
) -> None:
    with helping(2) as hand:
        hand.start()
        assert hand._scratch is not None
        shutil.rmtree(hand._scratch.name)
        pipeline.build(job, tmp_path / "two", only=ONLY, store=OFF, hand=hand)
    assert contents(tmp_path / "two") == alone
