"""A job of every construction as a careful builder would write it: no check says more than a note.

`benchmarks/good_jobs.py` does the same by the hundred and builds them as well.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.append(str(Path(__file__).parent / "benchmarks"))

from good_jobs import KINDS, run


@pytest.mark.parametrize("kind", KINDS)
def test_a_good_job_raises_no_alarm(kind: str) -> None:
    row = run((kind, 1000, False))
    assert row["said"] == []
    assert row["seconds"] > 0  # it came to its end
