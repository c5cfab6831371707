"""What a job needs, as lines of a list: blanks, cord, and every bought part, alike ones counted, with prices if known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from ...checks.plan.port_threads import port_threads
from ...layout.features import Hardware
from ...layout.job_layout import JobLayout
from ...layout.nesting import Nesting, blanks, nested
from ...spec.buying import Buying
from ...spec.machine import Machine
from ..cells import csv_text
from ..tables import size_of

COLUMNS = ("kind", "what", "material", "size_mm", "count", "unit", "for", "price_each", "price")


@dataclass(frozen=True, slots=True)
class Line:
    """One line to order or cut. `count` is pieces, or metres of cord."""

    kind: str
    what: str
    material: str
    size: str
    count: float
    unit: str
    goes_to: str
    each: float | None = None

    @property
    def price(self) -> float | None:
        return None if self.each is None else round(self.each * self.count, 2)


def lines(layout: JobLayout, buying: Buying, machine: Machine | None = None) -> list[Line]:
    """Sheets to buy, blanks to cut, cord, then bought parts, alike ones together."""
    nesting = nested(layout.plates, buying, machine)
    of_job = (kind(layout, buying) for kind in (_cord, _parts, _fittings, _tubing))
    return [*_sheets(nesting), *_blanks(layout, buying, machine), *(li for found in of_job for li in found)]


def _sheets(nesting: Nesting) -> Iterator[Line]:
    sheets = [n.sheet for n in nesting.nests]
    count = Counter((s.material, s.thickness, s.length, s.width, s.price) for s in sheets)
    for (material, thick, length, width, price), n in count.items():
        plates = [
            p.blank.plate
            for t in nesting.nests
            for p in t.laid
            if (t.sheet.material, t.sheet.thickness, t.sheet.length) == (material, thick, length)
        ]
        yield Line(
            "sheet",
            f"sheet {thick:g} mm",
            material,
            f"{length:g} × {width:g} × {thick:g}",
            n,
            "pieces",
            ", ".join(plates),
            price,
        )


def _blanks(layout: JobLayout, buying: Buying, machine: Machine | None) -> Iterator[Line]:
    for b in blanks(layout.plates, buying.allowance, machine):
        size = f"{b.length:g} × {b.width:g} × {b.thickness:g}"
        yield Line("blank", f"blank {b.plate}", b.material, size, 1, "pieces", b.plate)


def _cord(layout: JobLayout, buying: Buying) -> Iterator[Line]:
    found: dict[tuple[float, str, float], float] = {}
    plates: dict[tuple[float, str, float], list[str]] = {}
    for r in layout.rings:
        found[r.stock] = found.get(r.stock, 0.0) + r.length
        plates.setdefault(r.stock, []).append(r.plate)
    for (d, material, hardness), length in found.items():
        what = f"cord {d:g} mm {material} {hardness:g} Shore A"
        goes = ", ".join(dict.fromkeys(plates[d, material, hardness]))
        yield Line("cord", what, material, f"{d:g}", round(length / 1000, 2), "m", goes, buying.prices.get(what))


def _parts(layout: JobLayout, buying: Buying) -> Iterator[Line]:
    grouped: dict[tuple[str, str, str, str], list[Hardware]] = {}
    for h in layout.hardware:
        if h.kind != "cord":
            grouped.setdefault(_named(h), []).append(h)
    for (kind, what, material, size), own in grouped.items():
        owners = list(dict.fromkeys(h.name.split(".")[0] for h in own))
        yield Line(kind, what, material, size, len(own), "pieces", ", ".join(owners), buying.prices.get(what))


def _fittings(layout: JobLayout, buying: Buying) -> Iterator[Line]:
    """One for every threaded port that stays open, those of one thread that take as long a shank together."""
    found: dict[tuple[str, str], list[str]] = {}
    for t in port_threads(layout):
        if t.feature.role == "port":
            found.setdefault((t.feature.thread, t.shank), []).append(t.plate.name)
    for (thread, shank), plates in found.items():
        what = f"fitting {thread}"
        goes = ", ".join(dict.fromkeys(plates))
        yield Line("fitting", what, "", shank, len(plates), "pieces", goes, buying.prices.get(what))


def _tubing(layout: JobLayout, buying: Buying) -> Iterator[Line]:
    """Between ports; the straight way, to which bends and slack are added by eye."""
    for loop in dict.fromkeys(r.loops[0] for r in layout.runs):
        own = [r for r in layout.runs if r.loops[0] == loop]
        what, metres = f"tubing of {loop}", round(sum(r.straight for r in own) / 1000, 2)
        goes = ", ".join(f"{r.start} to {r.end}" for r in own)
        yield Line("tubing", what, "", f"{len(own)} pieces, straight ways", metres, "m", goes, buying.prices.get(what))


def _named(h: Hardware) -> tuple[str, str, str, str]:
    """Kind, what one asks for in a shop, material and size."""
    length, wide = size_of(h)
    if h.kind in ("screw", "insert", "nut", "plug"):
        what = f"{h.kind} {h.note}" if h.note and not h.note.startswith(h.kind) else h.note or h.kind
        return h.kind, what, h.material, length
    bore = min(r for r, _ in h.profile) if h.profile and h.kind == "tube" else 0.0
    across = f"Ø{wide}" + (f" / Ø{2 * bore:.2f}" if bore else "")
    return h.kind, f"{h.kind} {across} × {length}", h.material, f"{across} × {length}"


def cut_list(found: list[Line]) -> str:
    """The list as CSV (UTF-8, comma, dot)."""
    rows = []
    for li in found:
        each, price = ("" if v is None else f"{v:.2f}" for v in (li.each, li.price))
        rows.append([li.kind, li.what, li.material, li.size, f"{li.count:g}", li.unit, li.goes_to, each, price])
    return csv_text(COLUMNS, rows)


def total(found: list[Line]) -> tuple[float, int]:
    """Sum of the known prices, and how many lines that have to be bought have none. Blanks come with their sheets."""
    bought = [li for li in found if li.kind != "blank"]
    return sum(li.price or 0.0 for li in bought), sum(li.price is None for li in bought)
