"""Nuts, washers and inserts against outside sources: another project's CSV files and printed tables.

See `test_standards` for the files and how to install them.
"""

from __future__ import annotations

import math

import pytest

from outside_tables import every_row, outside
from rillwright.standards import fixings, screws, threads
from rillwright.standards._table import table

NUTS = {"M3": (5.5, 2.4), "M4": (7, 3.2), "M5": (8, 4.7), "M6": (10, 5.2), "M8": (13, 6.8)}  # dealers' tables: s, m max
WASHERS = {"M3": (7, 0.5), "M4": (9, 0.8), "M5": (10, 1), "M6": (12, 1.6), "M8": (16, 1.6)}  # dealers' tables: d2, h
THICKER = {0.5: 0.05, 0.8: 0.1, 1: 0.1, 1.6: 0.2}  # ISO 7089, product grade A: h max over h, dealers' tables


@pytest.mark.parametrize("thread", [key[0] for key in table("nuts").rows])
def test_iso_4032(thread: str) -> None:
    nut, theirs = fixings.nut(thread), outside("hex_nut_parameters")[_coarse(thread)]
    assert (nut.across_flats, nut.height) == NUTS[thread]
    assert (nut.across_flats, nut.height) == (float(theirs["iso4032:s"]), float(theirs["iso4032:m"]))


@pytest.mark.parametrize("thread", [key[0] for key in table("washers").rows])
def test_iso_7089(thread: str) -> None:
    washer, theirs = fixings.washer(thread), outside("plain_washer_parameters")[thread]
    assert (washer.outside, washer.thickness) == WASHERS[thread]
    assert washer.outside == float(theirs["iso7089:d2"])
    assert washer.thickness + THICKER[washer.thickness] == pytest.approx(float(theirs["iso7089:h"]))
    assert float(theirs["iso7089:d1"]) < screws.cap(thread).head_diameter_max < washer.outside  # it bears the head


@pytest.mark.parametrize("thread", [key[0] for key in table("inserts").rows])
def test_inserts_are_such_as_makers_sell(thread: str) -> None:
    """Of every maker's inserts of this length and knurl: the hole within 0.1 mm of ours, and two makers at least."""
    ours, seen = fixings.insert(thread), 0
    for row in every_row("heatset_nut_parameters"):
        if not row["Size"].startswith(f"{_coarse(thread)}-"):
            continue
        for maker in {k.split(":")[0] for k, v in row.items() if ":m" in k and v}:
            length, hole, knurl = (_number(row[f"{maker}:{k}"]) for k in ("m", "dc", "s"))
            if abs(length - ours.length) < 0.11 and abs(knurl - ours.outside) < 0.11:
                seen += 1
                assert abs(hole - ours.hole) < 0.11
    assert seen >= 2
    assert ours.below >= 0.5  # printed advice: half a millimetre more than the insert's length


def _number(text: str) -> float:
    return float(text) if text else math.nan


def _coarse(thread: str) -> str:
    """Name of a coarse thread in the outside files: M4-0.7."""
    return f"{thread}-{threads.metric(thread).pitch:g}"
