"""The page that goes shopping and to the saw: blanks on their sheets, cord cuts, and every part that is bought."""

from __future__ import annotations

from collections.abc import Iterator

from ...layout.nesting import Nest, Nesting, blanks, nested
from ..bundle import Bundle
from ..drawings.canvas import Canvas
from ..drawings.paper import Block, Column, Figure, Heading, Items, Table, Text
from .order import Line, lines, total

WIDE, HIGH = 170.0, 78.0  # mm of paper for one sheet
CUTTING = (
    "Measure every sheet's thickness before it is cut and write it down: cast sheet may be off by a millimetre.",
    "Wear eye protection and a dust mask at the saw and the router; acrylic chips are sharp and charged dust clings.",
    "Leave the film on acrylic until the last clamping.",
)


def buying_blocks(bundle: Bundle) -> list[Block]:
    """Blocks of the page."""
    buying = bundle.job.buying
    nesting = nested(bundle.layout.plates, buying, bundle.job.machine)
    found = lines(bundle.layout, buying, bundle.job.machine)
    out: list[Block] = [Heading("Cut list"), Items(CUTTING)]
    out += _nest_blocks(nesting, buying.allowance, bundle)
    out += _cord_blocks(bundle)
    out.append(
        Table(
            (
                Column("what"),
                Column("material", width=32),
                Column("count", "right", 14),
                Column("for", width=44),
                Column(f"price{' ' + buying.money if buying.money else ''}", "right", 16),
            ),
            tuple(_row(li) for li in found if li.kind not in ("sheet", "blank", "cord")),
            "Parts that are bought",
        )
    )
    money, unknown = total(found)
    if money:
        left = f"; {unknown} lines have no price" if unknown else ""
        out.append(Text(f"Sum of the known prices: {money:.2f} {buying.money}{left}", strong=True))
    return out


def _row(li: Line) -> tuple[str, ...]:
    return (li.what, li.material, f"{li.count:g}", li.goes_to, "" if li.price is None else f"{li.price:.2f}")


def _nest_blocks(nesting: Nesting, allowance: float, bundle: Bundle) -> Iterator[Block]:
    yield Table(
        (
            Column("blank"),
            Column("material"),
            Column("length", "right"),
            Column("width", "right"),
            Column("thickness", "right"),
            Column("measured, mm", "right"),
            Column("sheet", "right"),
        ),
        tuple(
            (b.plate, b.material, f"{b.length:g}", f"{b.width:g}", f"{b.thickness:g}", "", _sheet_of(b.plate, nesting))
            for b in blanks(bundle.layout.plates, allowance, bundle.job.machine)
        ),
        f"Blanks, {allowance:g} mm larger than the plate on every side, with room for the dowels of what is turned over",
    )
    for n, nest in enumerate(nesting.nests, 1):
        s = nest.sheet
        yield Figure(
            _drawn(nest),
            f"Sheet {n}: {s.material}, {s.length:g} × {s.width:g} × {s.thickness:g}; {nest.waste:.0f} % left over",
        )
    if nesting.without and nesting.nests:
        names = ", ".join(b.plate for b in nesting.without)
        yield Text(f"No sheet of the file's list takes the blanks of {names}.", boxed=True)


def _sheet_of(plate: str, nesting: Nesting) -> str:
    return next((str(n) for n, t in enumerate(nesting.nests, 1) if any(p.blank.plate == plate for p in t.laid)), "–")


def _drawn(nest: Nest) -> Canvas:
    s = nest.sheet
    k = min(WIDE / s.length, HIGH / s.width)
    c = Canvas(s.length * k + 2, s.width * k + 2)

    def box(x: float, y: float, w: float, h: float, kind: str) -> None:
        a, b = (1 + x * k, 1 + y * k), (1 + (x + w) * k, 1 + (y + h) * k)
        c.polyline([a, (b[0], a[1]), b, (a[0], b[1])], kind, closed=True)  # type: ignore[arg-type]

    box(0, 0, s.length, s.width, "visible")
    for p in nest.laid:
        box(p.x, p.y, p.length, p.width, "thin")
        middle = (1 + (p.x + p.length / 2) * k, 1 + (p.y + p.width / 2) * k)
        words = f"{p.blank.plate}{' (turned)' if p.turned else ''}"
        height = min(2.5, p.length * k / max(len(words), 1) / 0.72, p.width * k / 3)
        c.label(middle, words, height=max(height, 1.2))
        below = (middle[0], middle[1] - 1.6 * max(height, 1.2))
        c.label(below, f"{p.blank.length:g} × {p.blank.width:g}", height=max(height * 0.8, 1.0))
    return c


def _cord_blocks(bundle: Bundle) -> Iterator[Block]:
    from ...layout.cords import cuts

    layout = bundle.layout
    if not layout.rings:
        return
    where = {}
    if layout.cord_reel is not None:
        where = {(c.ring.seal, c.ring.plate): c for c in cuts(layout.rings, layout.cord_reel)}
    rows = []
    for r in layout.rings:
        c = where.get((r.seal, r.plate))
        rows.append(
            (
                r.seal,
                r.plate,
                f"{r.cord.diameter:g} {r.cord.material}",
                f"{r.length:.1f}",
                r.beside.removesuffix(".screw"),
                "" if c is None else f"{c.reel}: {c.start:.1f} to {c.end:.1f}",
            )
        )
    yield Table(
        (
            Column("ring"),
            Column("plate"),
            Column("cord"),
            Column("cut length, mm", "right"),
            Column("joint beside"),
            Column("reel, from, to"),
        ),
        tuple(rows),
        "Cord: cut dead square",
    )
