"""Temperatures at which seals have to hold, °C."""

from __future__ import annotations

from ..spec.job import Job

REFERENCE = 20.0  # °C at which lengths hold, ISO 1
HOTTEST = 50.0  # °C where the job gives none; our choice, no source


def temperatures(job: Job) -> tuple[tuple[str, float], ...]:
    """Name and °C while filling, hottest and coldest; hottest is never below the coolant where the job gives none."""
    t = job.temperatures
    hottest = max(HOTTEST, job.coolant.temperature) if t.hottest is None else t.hottest
    return (
        ("filling", float(t.filling)), ("hottest", float(max(hottest, t.filling))), ("coldest", float(t.coldest))
    )  # fmt: skip
