"""Blanks of plates laid out on sheets as they are sold. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ..spec.buying import Buying, Sheet
    from ..spec.machine import Machine
    from .features import PlateLayout

PIN_WASTE = 8.0  # mm of blank outside a dowel at least; our choice, no source
TENTHS = 10  # the packer counts in whole numbers: tenths of a millimetre


@dataclass(frozen=True, slots=True)
class Blank:
    """The piece that one plate is cut from."""

    plate: str
    material: str
    thickness: float
    length: float
    width: float


@dataclass(frozen=True, slots=True)
class Laid:
    """A blank on its sheet: lower left corner, sides as laid, and whether it was turned by 90°."""

    blank: Blank
    x: float
    y: float
    length: float
    width: float
    turned: bool


@dataclass(frozen=True, slots=True)
class Nest:
    """One sheet with its blanks."""

    sheet: Sheet
    laid: tuple[Laid, ...]

    @property
    def waste(self) -> float:
        """Share of the sheet that no blank takes, per cent."""
        used = sum(p.length * p.width for p in self.laid)
        return 100 * (1 - used / (self.sheet.length * self.sheet.width))


@dataclass(frozen=True, slots=True)
class Nesting:
    """All sheets that are needed, and blanks for which the file names no sheet, or none large enough."""

    nests: tuple[Nest, ...]
    without: tuple[Blank, ...]


def blanks(plates: Sequence[PlateLayout], allowance: float, machine: Machine | None = None) -> list[Blank]:
    """One blank for each plate, `allowance` larger on every side, with room for the dowels of a plate that is flipped."""
    return [Blank(p.name, p.material, p.thickness, *blank_sides(p, allowance, machine)) for p in plates]


def blank_sides(plate: PlateLayout, allowance: float, machine: Machine | None = None) -> tuple[float, float]:
    """Length along x and width along y of a plate's blank, the plate in its middle, mm."""
    from . import paths
    from .setups import plate_setups

    xs, ys = zip(*(q for _, q, _ in paths.along(plate.outline, 1.0)), *_ends(plate), strict=True)
    sides = [max(c) - min(c) + 2 * allowance for c in (xs, ys)]
    pins = plate_setups(plate, machine).dowels if machine is not None else None
    for pin in pins.pins if pins is not None else ():
        for i in (0, 1):
            sides[i] = max(sides[i], 2 * (abs(pin.at[i]) + pin.diameter / 2 + PIN_WASTE))
    return round(sides[0], 2), round(sides[1], 2)


def _ends(p: PlateLayout) -> list[tuple[float, float]]:
    return [p.outline.start, *(q.end for q in p.outline.pieces)]


def nested(plates: Sequence[PlateLayout], buying: Buying, machine: Machine | None = None) -> Nesting:
    """Every blank on a sheet of its material and thickness: of the sizes named, the one that costs or wastes least."""
    nests: list[Nest] = []
    without: list[Blank] = []
    groups: dict[tuple[str, float], list[Blank]] = {}
    for b in blanks(plates, buying.allowance, machine):
        groups.setdefault((b.material, b.thickness), []).append(b)
    for (material, thickness), own in groups.items():
        sold = [s for s in buying.sheets if s.material == material and abs(s.thickness - thickness) < 1e-6]
        tried: list[list[Nest]] = [t for s in sold if (t := _packed(own, s, buying)) is not None]
        if tried:
            cheapest: list[Nest] = min(tried, key=_cost)
            nests += cheapest
        else:
            without += own
    return Nesting(tuple(nests), tuple(without))


def _cost(nests: list[Nest]) -> tuple[float, float]:
    area = sum(n.sheet.length * n.sheet.width for n in nests)
    prices = [n.sheet.price for n in nests]
    return (sum(p for p in prices if p is not None) if None not in prices else area, area)


def _packed(own: list[Blank], sheet: Sheet, buying: Buying) -> list[Nest] | None:
    """The blanks on as few sheets of one size as several ways of packing find; None where one does not fit."""
    from rectpack import GuillotineBssfSas, MaxRectsBaf, MaxRectsBl, MaxRectsBssf, PackingBin, newPacker

    room = (_tenths(sheet.length - 2 * buying.rim + buying.gap), _tenths(sheet.width - 2 * buying.rim + buying.gap))
    sizes = [(_tenths(b.length + buying.gap), _tenths(b.width + buying.gap)) for b in own]
    if any(not _fits(s, room) for s in sizes):
        return None
    best: Any = None
    for way in (MaxRectsBssf, MaxRectsBaf, MaxRectsBl, GuillotineBssfSas):
        packer = newPacker(mode=1, bin_algo=PackingBin.BFF, pack_algo=way, rotation=True)
        for i, s in enumerate(sizes):
            packer.add_rect(*s, rid=i)
        packer.add_bin(*room, count=len(own))
        packer.pack()
        found = packer.rect_list()
        if len(found) == len(own) and (best is None or _key(found) < _key(best)):
            best = found
    return None if best is None else _nests(best, own, sheet, buying)


def _key(found: Any) -> tuple[int, int]:
    """Number of sheets, then how far the last one is filled."""
    last = max(b for b, *_ in found)
    return last, max(y + h for b, _, y, _, h, _ in found if b == last)


def _nests(found: Any, own: list[Blank], sheet: Sheet, buying: Buying) -> list[Nest]:
    nests = []
    for n in sorted({b for b, *_ in found}):
        laid = []
        for b, x, y, w, h, i in sorted(found, key=lambda r: r[5]):
            if b == n:
                size = (w / TENTHS - buying.gap, h / TENTHS - buying.gap)
                turned = abs(size[0] - own[i].length) > 0.11
                laid.append(Laid(own[i], buying.rim + x / TENTHS, buying.rim + y / TENTHS, *size, turned))
        nests.append(Nest(sheet, tuple(laid)))
    return nests


def _fits(size: tuple[int, int], room: tuple[int, int]) -> bool:
    return (size[0] <= room[0] and size[1] <= room[1]) or (size[1] <= room[0] and size[0] <= room[1])


def _tenths(mm: float) -> int:
    return max(0, round(mm * TENTHS))
