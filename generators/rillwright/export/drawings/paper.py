"""Pages for the bench as one PDF: sheets that are drawn, and documents whose blocks flow from page to page.

Every text goes to the page maker as data and is never read as markup, so any name is safe. Fonts come with the page
maker; the text of the PDF can be searched. Lengths in mm.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

from .canvas import Canvas
from .symbols import projection_sign

READY, FAILED = "CHECK BEFORE CUTTING", "FAILED ITS CHECKS: DO NOT CUT"
Size = Literal["A4", "A3"]
SIZES: dict[Size, tuple[float, float]] = {"A4": (210.0, 297.0), "A3": (297.0, 420.0)}
LEFT, EDGE = 20.0, 10.0  # filing margin and the other margins, ISO 5457
TITLE = (180.0, 36.0)  # title block, lower right; its width is ISO 7200's
MARGINS, GAP = (24.0, 14.0), 5.0  # of a document left and right, and between two columns of blocks; as in the template
POINT, WIDE, CAPITAL, INSET = 25.4 / 72, 0.602, 1556 / 2048, (1.1, 0.75)  # mm; the font says them in em; in a cell, mm
TEMPLATE = Path(__file__).parent / "paper.typ"


@dataclass(frozen=True, slots=True)
class Title:
    """What the title block says. Date and signature are left for the hand; the page fills in its number."""

    job: str
    part: str
    kind: str  # "part drawing", "setup 1 of 3", …
    revision: str
    material: str = ""
    stock: str = ""  # thickness or size of the blank
    scale: str = ""
    tolerance: str = ""
    projection: Literal["first", "third", ""] = ""


@dataclass(frozen=True, slots=True)
class Heading:
    text: str


@dataclass(frozen=True, slots=True)
class Text:
    text: str
    strong: bool = False
    boxed: bool = False  # framed, for what must not be missed


@dataclass(frozen=True, slots=True)
class Items:
    """A list; with `tick` each line begins with a box to tick, with `numbered` with its number."""

    lines: tuple[str, ...]
    tick: bool = False
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    title: str
    align: Literal["left", "right", "center"] = "left"
    width: float | None = None  # mm; None: a share of what is left


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of plain text. On a document it breaks over pages and repeats its head."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    caption: str = ""
    size: float = 6.8  # of the lettering, pt

    def __post_init__(self) -> None:
        odd = next((r for r in self.rows if len(r) != len(self.columns)), None)
        if odd is not None:
            raise ValueError(f"a row of {len(odd)} cells in a table of {len(self.columns)} columns: {odd}")


@dataclass(frozen=True, slots=True)
class Figure:
    canvas: Canvas
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Blanks:
    """Lines to write on: what, and its unit."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Beside:
    """Two columns of blocks; `share` is the left one's part of the width."""

    left: tuple[Block, ...]
    right: tuple[Block, ...]
    share: float = 0.5


@dataclass(frozen=True, slots=True)
class Together:
    """Blocks that stay on one page."""

    blocks: tuple[Block, ...]


Block = Heading | Text | Items | Table | Figure | Blanks | Beside | Together


@dataclass(frozen=True, slots=True)
class Sheet:
    """One drawn page, always landscape. Canvas: the whole paper, (0, 0) its lower left corner.

    `tables` are (left, top, width, table), mm from the lower left corner of the paper.
    """

    size: Size
    title: Title
    canvas: Canvas
    tables: tuple[tuple[float, float, float, Table], ...] = ()


@dataclass(frozen=True, slots=True)
class Document:
    """Blocks that flow over as many pages as they need, title block at the foot of each."""

    size: Size
    title: Title
    blocks: tuple[Block, ...]
    landscape: bool = False


def paper(size: Size, landscape: bool = True) -> tuple[float, float]:
    """Width and height of the paper, mm."""
    short, long = SIZES[size]
    return (long, short) if landscape else (short, long)


def frame(size: Size, landscape: bool = True) -> tuple[float, float, float, float]:
    """What is inside the border: left, lower, right, upper, mm from the paper's lower left corner."""
    width, height = paper(size, landscape)
    return LEFT, EDGE, width - EDGE, height - EDGE


def write_pdf(path: Path, name: str, pages: Sequence[Sheet | Document], warning: str = READY) -> None:
    """Write all pages as one PDF, numbered through. `name` is the document's title. Same input, same bytes."""
    path.write_bytes(pdf_bytes(name, pages, warning))


def pdf_bytes(name: str, pages: Sequence[Sheet | Document], warning: str = READY) -> bytes:
    """The PDF of `write_pdf`."""
    return set_pages(told(name, pages), warning)


def told(name: str, pages: Sequence[Sheet | Document]) -> str:
    """All pages as the page maker reads them; what the checks answer comes with `set_pages`."""
    if not pages:
        raise ValueError("a PDF needs at least one page")
    signs = {p: projection_sign(p).data() for p in ("first", "third")}
    return json.dumps({"name": name, "signs": signs, "pages": [_page(p) for p in pages]})


def set_pages(data: str, warning: str) -> bytes:
    """The PDF of pages that were `told`, with a warning in each title block."""
    import typst

    made: bytes = typst.compile(
        input=TEMPLATE.read_bytes(), font_paths=_fonts(), sys_inputs={"data": data, "warning": warning}, format="pdf",
        timestamp=0, pdf_tags=False,  # tags of every letter on a drawing make the file four times as large
    )  # fmt: skip
    return made


@lru_cache(maxsize=1)
def _fonts() -> Any:
    """The page maker's own fonts and no others: the same pages on every machine."""
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True)


def _page(page: Sheet | Document) -> dict[str, Any]:
    title = {k: getattr(page.title, k) for k in Title.__slots__}
    if isinstance(page, Sheet):
        tables = [{"x": x, "y": page.canvas.height - y, "width": w, **_table(t, w)} for x, y, w, t in page.tables]
        width, height = paper(page.size)
        return {"form": "sheet", "width": width, "height": height, "title": title, "canvas": page.canvas.data(),
                "tables": tables}  # fmt: skip
    width, height = paper(page.size, page.landscape)
    return {"form": "document", "width": width, "height": height, "title": title,
            "blocks": [_block(b, width - sum(MARGINS)) for b in page.blocks]}  # fmt: skip


def _table(t: Table, room: float) -> dict[str, Any]:
    """`room`: width of the table, mm. The height of rows that need one line is told: the page maker measures the others."""
    columns = [{"title": c.title, "align": c.align, "width": c.width} for c in t.columns]
    rest = room - sum(c.width or 0.0 for c in t.columns)
    widths = [rest / sum(o.width is None for o in t.columns) if c.width is None else c.width for c in t.columns]
    em = t.size * POINT
    longest = [(w - 2 * INSET[0]) / (WIDE * em) for w in widths]
    low = CAPITAL * em + 2 * INSET[1]
    high = [
        low if all(len(v) <= n and "\n" not in v for v, n in zip(r, longest, strict=True)) else None
        for r in ([c.title for c in t.columns], *t.rows)
    ]
    return {"columns": columns, "rows": [list(r) for r in t.rows], "caption": t.caption, "size": t.size, "high": high}


def _block(b: Block, room: float) -> dict[str, Any]:
    if isinstance(b, Table):
        return {"form": "table", **_table(b, room)}
    if isinstance(b, Figure):
        return {"form": "figure", "canvas": b.canvas.data(), "caption": b.caption}
    if isinstance(b, Beside):
        left = (room - GAP) * b.share
        halves = {"left": [_block(x, left) for x in b.left], "right": [_block(x, room - GAP - left) for x in b.right]}
        return {"form": "beside", "share": b.share, **halves}
    if isinstance(b, Together):
        return {"form": "together", "blocks": [_block(x, room) for x in b.blocks]}
    if isinstance(b, Blanks):
        return {"form": "blanks", "rows": [list(r) for r in b.rows]}
    if isinstance(b, Items):
        return {"form": "items", "lines": list(b.lines), "tick": b.tick, "numbered": b.numbered}
    if isinstance(b, Text):
        return {"form": "text", "text": b.text, "strong": b.strong, "boxed": b.boxed}
    return {"form": "heading", "text": b.text}
