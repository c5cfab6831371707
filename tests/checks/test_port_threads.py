"""Full thread of ports: what is left of it under a spotface, over a flat floor and in a thin cover."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.checks.plan.port_threads import port_engagement, port_threads
from rillwright.layout.job import job_layout
from rillwright.layout.passages import plug_depth, threaded
from rillwright.spec.job import Job
from rillwright.standards import threads

PITCH = {"G1/8": 25.4 / 28, "G1/4": 25.4 / 19, "G3/8": 25.4 / 19, "G1/2": 25.4 / 14}  # ISO 228-1: threads per inch
FULL = {"G1/8": 8.0, "G1/4": 12.0, "G3/8": 12.0, "G1/2": 14.0}  # a fittings table of DIN 3852-2


def outcome(thickness: float, material: str = "pmma-cast", limits: dict[str, Any] | None = None, **port: Any) -> Any:
    made = {"name": "p", "loop": "a", "on": "outer", "at": [0, 0], "thread": "G1/4"} | port
    job = Job.model_validate({
        "job": "t", "loops": {"a": {}}, "limits": limits or {},
        "plates": {"slab": {"stock": {"material": material, "thickness": thickness},
                            "outline": {"length": 80, "width": 80}, "ports": [made]}},
    })  # fmt: skip
    return port_engagement(job_layout(job), job.limits)


@pytest.mark.parametrize("thread", FULL)
def test_the_port_of_the_standard_takes_its_fitting(thread: str) -> None:
    found = outcome(40, thread=thread)
    assert found.worst == pytest.approx(FULL[thread], abs=1e-9)
    assert not found.findings


def test_a_thin_plate_holds_no_fitting() -> None:
    (f,) = outcome(3, depth="through").findings
    assert (f.severity, f.measured) == ("error", pytest.approx(2))  # 3 less the spotface of 1
    assert f.limit == pytest.approx(5 * PITCH["G1/4"], abs=0.01)
    assert "7.7 mm thick" in f.remedy  # 1 + 5 × 1.337 = 7.69
    assert [g.severity for g in outcome(7.7, depth="through").findings] == ["note"]
    assert not [g for g in outcome(5.1, "aluminium-6082-t6", depth="through").findings if g.severity == "error"]


def test_a_flat_floor_keeps_the_tap_off() -> None:
    """Bore of 12, tap's lead of 2 pitches, spotface of 1: 12 − 2.67 − 1."""
    (f,) = outcome(40, depth=12, tip="flat").findings
    assert (f.severity, f.limit) == ("warning", 12)
    assert f.measured == pytest.approx(11 - 2 * PITCH["G1/4"], abs=0.01)
    assert "shank is 8.3 mm long at most" in f.remedy
    assert not outcome(40, depth=15.7, tip="flat").findings


def test_the_limit_can_be_given() -> None:
    assert [f.severity for f in outcome(40, depth=12, limits={"port_thread": 9}).findings] == ["error"]
    assert [f.severity for f in outcome(40, depth=12, limits={"port_thread": 8}).findings] == ["warning"]


@given(st.sampled_from(sorted(FULL)), st.floats(3, 40))
@settings(max_examples=30, deadline=None)
def test_a_tap_has_room_under_every_thread(thread: str, bore: float) -> None:
    facts: Any = threaded(thread, 1.0, bore, "flat")["facts"]
    lead = bore - facts["full_thread"]
    assert lead >= 2 * PITCH[thread] - 0.01 or facts["full_thread"] <= 1.01 + PITCH[thread]
    assert facts["full_thread"] <= 1 + FULL[thread]


@pytest.mark.parametrize("thread", FULL)
def test_a_plugs_hole_takes_the_standards_thread_and_the_tap(thread: str) -> None:
    assert FULL[thread] + 1 + 2 * PITCH[thread] <= plug_depth(thread) <= threads.port(thread).hole_depth


def test_plugs_are_asked_too() -> None:
    drilling = {"name": "d", "from": "left", "at": [0, -20], "depth": 50, "diameter": 6, "plug": "G1/8", "loop": "a"}
    job = Job.model_validate({
        "job": "t", "loops": {"a": {}},
        "plates": {"slab": {"stock": {"material": "pom-c", "thickness": 40}, "outline": {"length": 80, "width": 80},
                            "drillings": [drilling]}},
    })  # fmt: skip
    (t,) = port_threads(job_layout(job))
    assert t.length == pytest.approx(FULL["G1/8"])
