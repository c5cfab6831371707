"""`drawings.pdf`: every part, then how each is clamped and cut."""

from __future__ import annotations

from OCP.Standard import Standard_Failure

from ..bundle import Bundle
from ..errors import CannotWrite
from .clamping import setup_pages
from .paper import FAILED, READY, Document, Sheet, set_pages, told
from .part import PartDrawing

FILE = "drawings.pdf"


def write_drawings(bundle: Bundle) -> None:
    """Write the drawings of all plates and their setup sheets into the bundle's folder.

    Raises CannotWrite where the kernel cannot find what is seen of a part: it is a convenience, and says so in one line.
    """
    data = prepare(bundle)
    failed = bundle.result is not None and not bundle.result.holds
    (bundle.folder / FILE).write_bytes(set_pages(data.decode(), FAILED if failed else READY))


def prepare(bundle: Bundle) -> bytes:
    """All pages but for the words in which the checks' answer stands; asks nothing of the bundle's result. Kept.

    Raises CannotWrite as `write_drawings` does.
    """
    name = f"{bundle.layout.name}: drawings"
    try:
        return bundle.kept.once(("pages", bundle.job, bundle.layout), lambda: told(name, pages(bundle)).encode())
    except Standard_Failure as e:
        raise CannotWrite(f"the kernel failed at a view ({type(e).__name__}: {e})") from e


def pages(bundle: Bundle) -> list[Sheet | Document]:
    """All pages, part by part, then the clampings of each."""
    parts = [PartDrawing(bundle.job, bundle.layout, p, bundle.solids[p.name]) for p in bundle.layout.plates]
    return [*(page for p in parts for page in p.pages()), *(page for p in parts for page in setup_pages(p))]
