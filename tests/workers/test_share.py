"""Tasks that several processes share are each done once."""

from __future__ import annotations

from pathlib import Path
from threading import Thread

import pytest

from rillwright.workers.share import work_through


def test_each_task_is_done_by_one_alone(tmp_path: Path) -> None:
    tasks, done = list(range(200)), [list[int](), list[int]()]
    threads = [Thread(target=work_through, args=(tasks, tmp_path, mine.append)) for mine in done]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert sorted(done[0] + done[1]) == tasks


def test_tasks_are_done_in_order_and_told(tmp_path: Path) -> None:
    seen: list[str] = []
    assert work_through(["a", "b", "c"], tmp_path, seen.append) == ["a", "b", "c"] == seen
    assert work_through(["a", "b", "c"], tmp_path, seen.append) == []


def test_a_task_that_fails_ends_the_round_and_stays_taken(tmp_path: Path) -> None:
    def refuse(_task: str) -> None:
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        work_through(["a", "b"], tmp_path, refuse)
    seen: list[str] = []
    assert work_through(["a", "b"], tmp_path, seen.append) == ["b"]


def test_where_no_claim_can_be_written_nothing_is_taken(tmp_path: Path) -> None:
    seen: list[str] = []
    assert work_through(["a"], tmp_path / "gone", seen.append) == [] == seen
