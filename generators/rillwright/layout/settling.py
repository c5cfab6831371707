"""What a cord's years of squeeze take of its height: the compression set at the end of the wanted life."""

from __future__ import annotations

from ..physics import settling as physics
from ..physics.tolerance import Dimension
from ..spec.job import Job
from ..spec.reservoir import CordStock
from ..standards import rubbers
from .toleranced import Toleranced

HOURS_PER_YEAR = 8766.0
NAME = "compression set"
SHARE = 1 / 3  # ± of the set: batches, and a law of time that is only a law of thumb; our choice, no source


def compression_set(cord: CordStock, job: Job, hottest: float) -> Toleranced:
    """Compression set of a cord after the job's years at its hottest, as a fraction with its tolerance.

    The set of the data sheet is carried over by Arrhenius (ISO 11346) and the logarithm of time.
    """
    test = rubbers.set_test(cord.material)
    known = test.compression_set if cord.compression_set is None else cord.compression_set / 100
    hours = physics.equivalent_hours(HOURS_PER_YEAR * job.temperatures.years, hottest, test.celsius, test.activation)
    value = physics.set_after(known, test.hours, hours)
    stated = cord.compression_set is not None
    source = "the parameter file" if stated else "typical of its rubber, from memory"
    off = SHARE * value
    dimension = Dimension(NAME, value, off, min(off, 1 - value), "uniform")
    return Toleranced(dimension, "stated" if stated else "default", source, NAME)
