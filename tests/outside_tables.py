"""Another project's tables, bd-warehouse 0.4.0 (Apache-2.0), read as data from what is installed, never imported."""

from __future__ import annotations

import csv
import importlib.metadata
import os
from functools import cache

import pytest


@cache
def outside(name: str) -> dict[str, dict[str, str]]:
    """Rows of one of bd-warehouse's files by their first column; of two with one name the last."""
    return {next(iter(row.values())): row for row in every_row(name)}


@cache
def every_row(name: str) -> list[dict[str, str]]:
    """Rows of one of bd-warehouse's files; blanks round the headings are taken off."""
    try:
        files = importlib.metadata.distribution("bd-warehouse").files or []
    except importlib.metadata.PackageNotFoundError:
        if os.environ.get("CI"):
            pytest.fail("bd-warehouse is not installed: pip install --no-deps bd-warehouse")
        pytest.skip("bd-warehouse is not installed: pip install --no-deps bd-warehouse")
    path = next(f for f in files if f.name == f"{name}.csv")
    with open(str(path.locate()), encoding="utf-8-sig", newline="") as stream:
        return [{k.strip(): v for k, v in row.items() if k} for row in csv.DictReader(stream)]
