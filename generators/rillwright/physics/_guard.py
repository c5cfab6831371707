"""Refusals shared by the formulas: an argument outside its range is named with its value and its range."""

from __future__ import annotations

import math


def positive(**values: float) -> None:
    """Raises ValueError for the first value that is not a finite number above nought."""
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"{name} must be above 0 (got {value:g})")


def non_negative(**values: float) -> None:
    """Raises ValueError for the first value that is not a finite number of nought or more."""
    for name, value in values.items():
        if not (math.isfinite(value) and value >= 0):
            raise ValueError(f"{name} must be 0 or more (got {value:g})")
