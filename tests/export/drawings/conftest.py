"""Drawings of shipped jobs, made once in a session without the rest of a build."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from jobs import PARAMS
from rillwright.export.bundle import Bundle
from rillwright.export.drawings.dxf import write_dxf
from rillwright.export.drawings.paper import Document, Sheet
from rillwright.export.drawings.write import pages, write_drawings
from rillwright.pipeline import plan
from rillwright.solids.build import plate_solid


@dataclass(frozen=True, slots=True)
class Drawn:
    """A job's layout, its pages, and the folder with drawings.pdf and the DXF files."""

    bundle: Bundle
    pages: list[Sheet | Document]
    folder: Path


@pytest.fixture(scope="session")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Drawn]:
    made: dict[str, Drawn] = {}

    def of(name: str) -> Drawn:
        if name not in made:
            planned = plan(PARAMS / f"{name}.yaml")
            folder = tmp_path_factory.mktemp(name)
            solids = {p.name: plate_solid(p) for p in planned.layout.plates}
            bundle = Bundle(folder, planned.loaded.model, planned.layout, solids, {}, [])
            write_drawings(bundle)
            write_dxf(bundle)
            made[name] = Drawn(bundle, pages(bundle), folder)
        return made[name]

    return of
