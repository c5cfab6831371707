"""The stage shows the whole of a job in a window of any shape, also after the window changed."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from report_rows import bundle_of
from rillwright.export.report.report import write_report

SIZES = ((1600, 900), (700, 1200), (380, 800))


@pytest.fixture(scope="module")
def board(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[tuple[float, ...]]]:
    """The report of one wide plate, and the corners of its box."""
    made = bundle_of("valve-board", tmp_path_factory.mktemp("board"))
    write_report(made)
    boxes = [s.BoundingBox() for s in made.solids.values()]
    low = [min(getattr(b, f"{k}min") for b in boxes) for k in "xyz"]
    high = [max(getattr(b, f"{k}max") for b in boxes) for k in "xyz"]
    return made.folder / "report.html", list(product(*zip(low, high, strict=True)))


def _share(shown: Any, corners: list[tuple[float, ...]]) -> float:
    """How much of the stage's width or height the corners take, whichever is more; none of them may lie outside."""
    shown.settle()
    ask = (
        "(ps) => { const s = document.querySelector('#stage-view');"
        " return [s.clientWidth, s.clientHeight, ps.map((p) => s.seen(...p))]; }"
    )
    wide, tall, seen = shown.page.evaluate(ask, corners)
    xs, ys = [p["x"] for p in seen], [p["y"] for p in seen]
    assert min(xs) > 0 < min(ys)
    assert max(xs) < wide
    assert max(ys) < tall
    assert abs(min(xs) + max(xs) - wide) < 0.12 * wide
    return max((max(xs) - min(xs)) / wide, (max(ys) - min(ys)) / tall)


def test_the_whole_is_seen_in_any_window(
    opened: Callable[..., Any], board: tuple[Path, list[tuple[float, ...]]]
) -> None:
    file, corners = board
    for width, height in SIZES:
        assert 0.7 < _share(opened(file=file, width=width, height=height), corners) < 0.99


def test_it_is_seen_when_the_window_changes(
    opened: Callable[..., Any], board: tuple[Path, list[tuple[float, ...]]]
) -> None:
    file, corners = board
    shown = opened(file=file)
    for width, height in SIZES:
        shown.page.set_viewport_size({"width": width, "height": height})
        assert 0.7 < _share(shown, corners) < 0.99
