"""`bench.pdf` and `cut-list.csv`: what goes to the shop, the saw and the bench on paper."""

from __future__ import annotations

from ..bundle import Bundle
from ..drawings.paper import FAILED, READY, Document, Title, write_pdf
from ..drawings.revision import revision
from .assembly_page import assembly_blocks
from .buying_page import buying_blocks
from .order import cut_list, lines
from .test_page import test_blocks

FILE, LIST = "bench.pdf", "cut-list.csv"


def write_sheets(bundle: Bundle) -> None:
    """Write the cut list, the assembly sheet and the test sheet into the bundle's folder. Needs the checks' result."""
    failed = bundle.result is not None and not bundle.result.holds
    parts = (
        ("cut list", buying_blocks(bundle)),
        ("assembly sheet", assembly_blocks(bundle)),
        ("test sheet", test_blocks(bundle)),
    )
    mark = revision(bundle.job)
    pages = [
        Document("A4", Title(bundle.layout.name, "all", kind, mark), tuple(blocks))
        for kind, blocks in parts
        if blocks
    ]
    found = lines(bundle.layout, bundle.job.buying, bundle.job.machine)
    (bundle.folder / LIST).write_text(cut_list(found), encoding="utf-8")
    write_pdf(bundle.folder / FILE, f"{bundle.layout.name}: bench", pages, FAILED if failed else READY)
