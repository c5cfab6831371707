"""Length of full thread: the same on call-out, hole table, detail, setup sheet and DXF layer, and never the bore's."""

from __future__ import annotations

import io
import re
from typing import Any

import ezdxf
import pytest

from jobs import PARAMS
from rillwright.export.drawings.details import cutaways
from rillwright.export.drawings.dxf import dxf_text
from rillwright.export.drawings.tags import groups, kind_rows, short, tapped
from rillwright.layout.features import Feature, PlateLayout
from rillwright.layout.setups import plate_setups
from rillwright.pipeline import plan
from rillwright.spec.machine import Machine
from rillwright.standards import threads


def _layers(plate: PlateLayout) -> set[str]:
    out: set[str] = set()
    for setup in plate_setups(plate, Machine()).setups:
        doc = ezdxf.read(io.StringIO(dxf_text(plate, setup, Machine(), [])))
        out |= {e.dxf.layer for e in doc.modelspace()}
    return out


def _check(plate: PlateLayout, f: Feature) -> tuple[float, float]:
    """Full thread and bore of a blind tapped hole, after all papers were found to say the same."""
    said = re.match(rf"{f.thread}, full thread ([\d.]+), bore Ø[\d.]+ × ([\d.]+)", f.call_out)
    assert said, f.call_out
    full, bore = (float(v) for v in said.groups())
    assert tapped(f, plate) == f"{f.thread} × {short(full)}"
    ops = {o.kind: o.depth for s in plate_setups(plate, Machine()).setups for o in s.operations if o.feature == f.name}
    assert ops["thread"] == pytest.approx(full, abs=0.005)
    assert ops["drill"] == pytest.approx(bore, abs=0.005)
    assert f"D-{full:.2f}-THREAD-{f.thread.replace('/', '_')}" in _layers(plate)
    (cut,) = cutaways([g for g in groups(plate) if f in [m.item for m in g.members]], plate, {})
    written = {text for _, _, text in cut.depths}
    assert {f"{short(full)} thread", short(bore)} <= written
    return full, bore


@pytest.mark.parametrize(("job", "named"), [("wall-panel", "screw"), ("card-block", "cards-1-screw")])
def test_a_blind_thread_has_one_length_on_every_paper(job: str, named: str) -> None:
    layout = plan(PARAMS / f"{job}.yaml").layout
    plate, hole = next((p, f) for p in layout.plates for f in p.features if f.role == "mounting" and named in f.name)
    full, bore = _check(plate, hole)
    # DIN 76-1 asks for some three pitches below the full thread at least (short run-out), from memory
    assert bore - full >= 3 * threads.metric(hole.thread).pitch - 0.01
    screws = [h for h in layout.hardware if h.kind == "screw" and hole.name in h.name]
    assert screws


def test_a_thread_ends_with_the_plate_that_it_goes_through() -> None:
    layout = plan(PARAMS / "wall-panel.yaml").layout
    covers: list[tuple[PlateLayout, Any]] = [
        (p, f) for p in layout.plates if p.cover_of for f in p.features if f.role == "port" and f.thread
    ]
    assert covers
    for plate, f in covers:
        full = f.facts["full_thread"]
        assert full <= plate.thickness
        whole = full >= plate.thickness - 1e-9
        assert tapped(f, plate) == (f"{f.thread} through" if whole else f"{f.thread} × {short(full)}")
        assert f.call_out.startswith(f"{f.thread} through" if whole else f"{f.thread}, full thread {full:g}, ")
        (row,) = [r for r in kind_rows(groups(plate)) if f.call_out == r[3]][:1]
        assert row[3] == f.call_out
