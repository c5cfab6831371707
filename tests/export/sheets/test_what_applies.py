"""Cautions only where they apply; steps for parts that are bolted to plates."""

from __future__ import annotations

from jobs import PARAMS
from rillwright.checks.plan.leak_test import CAUTIONS
from rillwright.export.sheets.assembly_page import CARE
from rillwright.export.sheets.cautions import applying, things
from rillwright.export.sheets.mount_steps import blanking_steps, mount_steps
from rillwright.pipeline import plan


def _starts(sentences: tuple[str, ...]) -> str:
    return " | ".join(sentences)


def test_a_caution_needs_what_it_speaks_of() -> None:
    every = (*CARE, *CAUTIONS)
    general = applying(every, ())
    assert "acrylic" not in _starts(general)
    assert not any(s.startswith(("Glass", "Cyanoacrylate")) for s in general)
    assert any("blown" in s or "Unplug" in s for s in general)
    assert set(applying(every, ("pmma-cast", "borosilicate-3.3", "glue"))) == set(every)
    assert any(s.startswith("Glass") for s in applying(every, ("borosilicate-3.3",)))
    assert any(s.startswith("Cyanoacrylate") for s in applying(every, ("pom-c", "glue")))
    assert any("acrylic" in s and not s.startswith("Cyano") for s in applying(every, ("pmma-extruded",)))


def test_what_a_job_has() -> None:
    assert {"pmma-cast", "borosilicate-3.3", "glue"} <= things(plan(PARAMS / "studio-twin.yaml").layout)
    assert "glue" not in things(plan(PARAMS / "pump-bracket.yaml").layout)


def test_mounted_parts_have_their_steps_and_blanking_plates() -> None:
    layout = plan(PARAMS / "card-block.yaml").layout
    steps = list(mount_steps(layout))
    assert len(steps) == 3  # one for each card, none for the block itself
    assert all(f"cards-{i}-in, cards-{i}-out" in s and "2 ISO 4762 M4 × 16" in s for i, s in enumerate(steps, 1))
    first, last = blanking_steps("encode", layout)
    assert "cards-3 on block (cards-3-in, cards-3-out)" in first
    assert "cards-1" not in first
    assert "join its two ports" in last
    assert list(mount_steps(plan(PARAMS / "studio-twin.yaml").layout)) == []
    assert blanking_steps("processor", plan(PARAMS / "studio-twin.yaml").layout) == ()
