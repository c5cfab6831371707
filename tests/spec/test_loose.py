"""A job with faults of every sort: names that lead nowhere are told with the values that do not fit."""

from __future__ import annotations

from pathlib import Path

import pytest

from rillwright.pipeline import plan
from rillwright.spec.job import Job
from rillwright.spec.load import load_text
from rillwright.spec.messages import SpecError

TEXT = (Path(__file__).parents[2] / "params" / "bench-single.yaml").read_text(encoding="utf-8")


def keys(text: str) -> list[str]:
    with pytest.raises(SpecError) as raised:
        load_text(text, Job, "x.yaml")
    return [p.key for p in raised.value.problems]


def broken(*changes: tuple[str, str]) -> str:
    text = TEXT
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return text


def test_five_faults_are_told_at_once_in_the_order_of_the_file() -> None:
    names = (("    loop: bench", "    loop: banch\n    between: [upper, lowr]"), ("loop: bench, on", "loop: x, on"))
    values = (("material: pmma-cast", "material: pmma cast"), ("    outline:", "    outlin:"))
    assert keys(broken(*names, *values)) == [
        "reservoirs.0.loop", "reservoirs.0.between.1", "plates.upper.outline", "plates.upper.stock.material",
        "plates.upper.outlin", "plates.upper.ports.0.loop",
    ]  # fmt: skip


def test_a_name_is_told_in_the_same_words_whether_the_rest_fits_or_not(tmp_path: Path) -> None:
    alone, file = broken(("    loop: bench", "    loop: banch")), tmp_path / "x.yaml"
    file.write_text(alone, encoding="utf-8")
    with pytest.raises(SpecError) as raised:
        plan(file)
    with pytest.raises(SpecError) as both:
        load_text(alone.replace("pmma-cast", "pmma cast", 1), Job, str(file))
    assert str(raised.value.problems[0]) in list(map(str, both.value.problems))


def test_names_are_left_alone_where_there_is_nothing_to_compare_them_with() -> None:
    assert not [k for k in keys(broken(("loops:", "loop:"))) if k.endswith((".loop", ".between.0"))]
