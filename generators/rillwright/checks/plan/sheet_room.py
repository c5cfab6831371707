"""Whether the sheet is thick enough for the bores that run along it: to both faces, by placed numbers. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ...layout.features import Feature, PlateLayout
from ...layout.job_layout import JobLayout
from ...spec.job import Limits
from ..finding import Outcome
from ..report import Case, outcome

LEVEL = 1e-9
ROLES = ("port", "plug", "drilling")
SMALLEST = "G1/8"  # of the pipe threads that there are


@dataclass(frozen=True, slots=True)
class _Round:
    """One cylinder along the plate: its radius, and what has to stand between it and a face."""

    of: Feature
    what: str
    radius: float
    wall: float

    @property
    def need(self) -> float:
        return self.radius + self.wall


def sheet_room(layout: JobLayout, limits: Limits) -> Outcome:
    """The thinnest wall of each line of bores along a plate; bores on one axis are one line."""
    cases = [c for p in layout.plates for line in _lines(p) if (c := _case(p, line, limits)) is not None]
    return outcome("bore.sheet", cases, "placed numbers")


def _lines(plate: PlateLayout) -> Iterator[list[Feature]]:
    lines: dict[tuple[float, ...], list[Feature]] = {}
    for f in plate.features:
        if f.role in ROLES and abs(f.axis[2]) < LEVEL:
            lines.setdefault(tuple(round(v, 6) for v in (*f.origin, *f.axis)), []).append(f)
    yield from lines.values()


def _rounds(line: list[Feature], limits: Limits) -> Iterator[_Round]:
    for f in line:
        if f.facts.get("spotface_depth", 0.0) > 0:
            yield _Round(f, "its spotface", f.facts["spotface_radius"], limits.lip)
        radius = f.facts["diameter"] / 2 if f.role == "drilling" else f.facts["bore_radius"]
        yield _Round(f, "it", radius, limits.wall_outside)


def _case(plate: PlateLayout, line: list[Feature], limits: Limits) -> Case | None:
    deep, thick = -line[0].origin[2], plate.thickness
    opened = {(p.face, name) for p in plate.pockets if p.role == "channel" for name in p.joins}  # into these they shall run
    found = [(room - r.need, room - r.radius, face, r) for r in _rounds(line, limits)
             for face, room in (("seal", deep), ("outer", thick - deep)) if (face, r.of.name) not in opened]  # fmt: skip
    if not found:
        return None
    _, left, face, r = min(found, key=lambda v: v[0])
    need = max(v[3].need for v in found)
    thin = f"the wall between {r.what} and the {face} face is too thin"
    what = f"{r.what} breaks through the {face} face" if left < 0 else thin
    names = (r.of.name, *(f.name for f in line if f is not r.of))
    return Case(plate.name, names, left, r.wall, what, _remedy(line, deep, thick, need), (line[0].origin,),
                tuple(filter(None, (line[0].loop,))))  # fmt: skip


def _remedy(line: list[Feature], deep: float, thick: float, need: float) -> str:
    """Another height in this sheet where there is one, and the sheet that it needs."""
    high = math.ceil(100 * need - 1e-6) / 100
    out = []
    if thick >= 2 * high:
        low = math.floor(100 * (thick - high) + 1e-6) / 100
        out.append(f"put it at z {-high:g}" if low - high < 0.01 else f"put it between z {-low:g} and {-high:g}")
    if deep >= need:
        out.append(f"take a sheet of {math.ceil(deep + need - 1e-6)} mm or thicker instead of {thick:g}")
    elif thick < 2 * high:
        sheet = f"take a sheet of {math.ceil(2 * high - 1e-6)} mm or thicker instead of {thick:g}"
        out.append(f"{sheet} and put it at z {-high:g}")
    if any(f.thread and f.thread != SMALLEST for f in line) and thick < 2 * high:
        out.append("take a smaller thread")
    return ", or ".join(out)
