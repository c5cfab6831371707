"""What tests of several rooms share: shipped jobs, each built once in a session."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))  # for jobs.py and part21.py: tests are no package
os.environ["RILLWRIGHT_CACHE"] = "off"  # what is tested is made, and nobody's own cache is touched

from jobs import PARAMS, Built
from rillwright.pipeline import build, plan


@pytest.fixture(scope="session")
def shipped(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Built]:
    """Build of a shipped job by its name, made when first asked for and kept."""
    made: dict[str, Built] = {}

    def of(name: str) -> Built:
        if name not in made:
            path, folder = PARAMS / f"{name}.yaml", tmp_path_factory.mktemp("shipped") / name
            made[name] = Built(plan(path).layout, build(path, folder), folder)
        return made[name]

    return of
