"""Room for a spanner between fittings and the heads and washers on their face."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from rillwright.checks.plan.heads import heads_by_fittings
from rillwright.layout.features import Hardware
from rillwright.layout.job_layout import JobLayout
from rillwright.pipeline import plan
from rillwright.spec.job import Limits

PANEL = Path(__file__).parents[2] / "params" / "radiator-panel.yaml"
WASHER = 9.0 / 2  # ISO 7089 M4: outside diameter 9
FLANGE = 15.0 / 2  # G1/8, DIN 3852-2: spotface 15


def with_washer(layout: JobLayout, off: float) -> JobLayout:
    """The panel with one washer `off` mm from the axis of the port hall-vent."""
    cover = next(p for p in layout.plates if p.name == "panel-cover")
    x, y, _ = next(f for f in cover.features if f.name == "hall-vent").origin
    washer = next(h for h in layout.hardware if h.kind == "washer")
    return replace(layout, hardware=(replace(washer, origin=(x + off, y, washer.origin[2])),))


def test_screws_are_set_with_room_for_a_spanner() -> None:
    layout = plan(PANEL).layout
    cases = [c for c in heads_by_fittings(layout, Limits()) if c.plate == "panel-cover"]
    assert cases
    assert min(c.measured for c in cases) >= 3


@pytest.mark.parametrize("off", [13.2, 15.5])
def test_a_washer_beside_a_flange_is_measured(off: float) -> None:
    found = list(heads_by_fittings(with_washer(plan(PANEL).layout, off), Limits()))
    case = next(c for c in found if "hall-vent" in c.features)
    assert case.measured == pytest.approx(off - FLANGE - WASHER)
    assert (case.margin < 0) == (off < FLANGE + WASHER + 3)


def test_a_sunk_head_is_in_no_spanners_way() -> None:
    layout = with_washer(plan(PANEL).layout, 13.2)
    (w,) = layout.hardware
    out = -1 if w.axis[2] > 0 else 1
    sunk: Hardware = replace(w, origin=(*w.origin[:2], w.origin[2] - 3 * out))
    assert not list(heads_by_fittings(replace(layout, hardware=(sunk,)), Limits()))
