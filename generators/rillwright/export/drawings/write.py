"""`drawings.pdf`: every part, then how each is clamped and cut."""

from __future__ import annotations

from ..bundle import Bundle
from .clamping import setup_pages
from .paper import write_pdf
from .part import PartDrawing

FILE = "drawings.pdf"


def write_drawings(bundle: Bundle) -> None:
    """Write the drawings of all plates and their setup sheets into the bundle's folder."""
    job, layout = bundle.job, bundle.layout
    parts = [PartDrawing(job, layout, p, bundle.solids[p.name]) for p in layout.plates]
    pages = [page for p in parts for page in p.pages()]
    pages += [page for p in parts for page in setup_pages(p)]
    write_pdf(bundle.folder / FILE, f"{layout.name}: drawings", pages)
