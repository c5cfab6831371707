"""`drawings.pdf`: every part, then how each is clamped and cut."""

from __future__ import annotations

from ..bundle import Bundle
from .clamping import setup_pages
from .paper import Document, Sheet, write_pdf
from .part import PartDrawing

FILE = "drawings.pdf"


def write_drawings(bundle: Bundle) -> None:
    """Write the drawings of all plates and their setup sheets into the bundle's folder."""
    write_pdf(bundle.folder / FILE, f"{bundle.layout.name}: drawings", pages(bundle))


def pages(bundle: Bundle) -> list[Sheet | Document]:
    """All pages, part by part, then the clampings of each."""
    parts = [PartDrawing(bundle.job, bundle.layout, p, bundle.solids[p.name]) for p in bundle.layout.plates]
    return [*(page for p in parts for page in p.pages()), *(page for p in parts for page in setup_pages(p))]
