"""How thick a sheet of a given name can really be. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from ._table import Row, UnknownSize, table


@dataclass(frozen=True, slots=True)
class ThicknessTolerance:
    """Nominal thickness of a sheet and how far it may be off, mm; `minus` and `plus` are both positive."""

    kind: str
    nominal: float
    minus: float
    plus: float
    standard: str
    source: str
    mark: str

    @property
    def minimum(self) -> float:
        """Thinnest sheet, mm."""
        return self.nominal - self.minus

    @property
    def maximum(self) -> float:
        """Thickest sheet, mm."""
        return self.nominal + self.plus


def kinds() -> tuple[str, ...]:
    """Materials that have a thickness tolerance."""
    return tuple(dict.fromkeys(row.text("kind") for row in table("sheet_tolerances").rows.values()))


@lru_cache(maxsize=256)
def thickness_tolerance(kind: str, thickness: float) -> ThicknessTolerance:
    """Tolerance of a sheet by material and nominal thickness (mm).

    Source: ISO 7823-1 for cast acrylic, ISO 7823-2 for extruded; the others as the row's mark says.
    Raises `UnknownSize` for a material or a thickness without a row.
    """
    rows = table("sheet_tolerances").where("kind", kind)
    if not rows:
        raise UnknownSize("material", kind, kinds(), "the sheet tolerances")
    for row in rows:
        if _holds(row, thickness):
            return ThicknessTolerance(
                kind=kind,
                nominal=float(thickness),
                minus=row.number("minus_constant") + row.number("minus_fraction") * thickness,
                plus=row.number("plus_constant") + row.number("plus_fraction") * thickness,
                standard=row.text("standard"),
                source=row.text("source"),
                mark=row.text("mark"),
            )
    raise UnknownSize("range for", f"{thickness:g} mm", (r.text("band") for r in rows), f"{kind} sheet")


def _holds(row: Row, thickness: float) -> bool:
    """Whether the thickness lies in the row's range; the row says which ends belong to it."""
    low, high = row.number("above"), row.number("up_to")
    closed = row.text("closed")
    return (
        low < thickness < high
        or (thickness == low and closed in ("lower", "both"))
        or (thickness == high and closed in ("upper", "both"))
    )
