"""A file of one kind where another is wanted: one answer, not one for each key."""

from __future__ import annotations

import pytest
from pydantic import BaseModel

from rillwright.batch.sweep_file import SweepFile
from rillwright.spec.interface import Interface
from rillwright.spec.job import Job
from rillwright.spec.load import load_text
from rillwright.spec.messages import SpecError

JOB, SWEEP = "job: a\nplates: {}\n", "# sizes\nsweep: s\nbase: a.yaml\nover: {}\n"
FOOT = "interface: fan\nsource: memory\n"


@pytest.mark.parametrize(("text", "model", "said"), [
    (SWEEP, Job, "x.yaml:2:1: sweep: this is a sweep file, which varies a job; build its variants with `rillwright sweep "
                 "x.yaml`"),
    (FOOT, Job, "x.yaml:1:1: interface: this is a foot print; name it in a job: under mounts of a plate, interface: fan"),
    (JOB, SweepFile, "x.yaml:1:1: job: this is the parameter file of a job; `rillwright build x.yaml` builds it, and a "
                     "sweep may name it as base"),
    (SWEEP, Interface, "x.yaml:2:1: sweep: this is a sweep file, which varies a job; build its variants with `rillwright "
                       "sweep x.yaml`"),
])  # fmt: skip
def test_it_is_told_what_the_file_is(text: str, model: type[BaseModel], said: str) -> None:
    with pytest.raises(SpecError) as raised:
        load_text(text, model, "x.yaml")
    assert [str(p) for p in raised.value.problems] == [said]


def test_a_job_with_a_stray_key_stays_a_job() -> None:
    with pytest.raises(SpecError) as raised:
        load_text("sweep: s\n" + JOB, Job, "x.yaml")
    assert len(raised.value.problems) == 2  # the stray key, and plates without an entry
