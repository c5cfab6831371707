"""Drawings of shipped jobs, made once in a session without the rest of a build."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from pypdf import PdfReader

from jobs import PARAMS
from rillwright.export.bundle import Bundle
from rillwright.export.drawings.dxf import write_dxf
from rillwright.export.drawings.paper import Document, Sheet, write_pdf
from rillwright.export.drawings.write import FILE, pages
from rillwright.pipeline import plan
from rillwright.solids.build import plate_solid


@dataclass(frozen=True, slots=True)
class Drawn:
    """A job's layout, its pages, and the folder with drawings.pdf and the DXF files."""

    bundle: Bundle
    pages: list[Sheet | Document]
    folder: Path
    texts: list[str]  # of drawings.pdf, page by page


def _texts(path: Path) -> list[str]:
    return [p.extract_text() for p in PdfReader(path).pages]


@pytest.fixture(scope="session")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Drawn]:
    made: dict[str, Drawn] = {}

    def of(name: str) -> Drawn:
        if name not in made:
            planned = plan(PARAMS / f"{name}.yaml")
            folder = tmp_path_factory.mktemp(name)
            solids = {p.name: plate_solid(p) for p in planned.layout.plates}
            bundle = Bundle(folder, planned.loaded.model, planned.layout, solids, {}, [])
            drawn_pages = pages(bundle)
            write_pdf(folder / FILE, name, drawn_pages)
            write_dxf(bundle)
            made[name] = Drawn(bundle, drawn_pages, folder, _texts(folder / FILE))
        return made[name]

    return of
