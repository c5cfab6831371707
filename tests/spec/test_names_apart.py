"""Names under which two things would be told, or written, as one are refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from jobs import raw, written
from rillwright.pipeline import plan
from rillwright.spec.messages import SpecError


@pytest.mark.parametrize("name", ["assembly", "tube"])
def test_plate_with_a_name_that_is_taken(tmp_path: Path, name: str) -> None:
    job = raw("bench-single")
    job["plates"][name] = job["plates"].pop("upper")
    job["reservoirs"][0]["between"] = [name, "lower"]
    with pytest.raises(SpecError, match="give the plate a name of its own"):
        plan(written(tmp_path, job))


def test_hole_named_like_one_of_a_numbered_pattern(tmp_path: Path) -> None:
    job = raw("bench-single")
    job["plates"]["lower"]["holes"] = [{"name": "a", "at": [[50, 50], [-50, 50]]}, {"name": "a-1", "at": [[0, 55]]}]
    with pytest.raises(SpecError, match="holes of 'a' are numbered so"):
        plan(written(tmp_path, job))
