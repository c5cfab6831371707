"""Names in the picture of a plate's face: every port and plug with its thread, beside its mouth and clear of the others."""

from __future__ import annotations

from ..layout.features import Feature, PlateLayout
from .still_vtk import SIZE, Sheet

LETTER, HALF_HIGH, AIR = 4.5, 11.0, 5.0  # px: half of a letter's width, half of a line's height, between mouth and words
Box = tuple[float, float, float, float]  # left, low, right, high, px


def name_ports(sheet: Sheet, plate: PlateLayout, hidden: str) -> None:
    """Add the names, after `look`. `hidden`: the face whose ports cannot be seen, or nothing where the plate is clear."""
    shown = [f for f in plate.features if f.role in ("port", "plug") and f.face != hidden]
    mouths = [_mouth(sheet, plate, f) for f in shown]
    taken = list(mouths)
    for f, mouth in zip(shown, mouths, strict=True):
        words = f"{f.name}  {f.thread}".rstrip()
        box = min(_around(mouth, LETTER * len(words) + 8, f), key=lambda b: round(_covered(b, taken), 1))
        taken.append(box)
        sheet.text(words, ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), 15, middle=True)


def _mouth(sheet: Sheet, plate: PlateLayout, f: Feature) -> Box:
    x, y, z = f.origin
    z, r = plate.height + plate.side * z, f.radius
    across = [(x + r * a, y + r * b, z + r * c) for a, b, c in ((1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0))]
    seen = [sheet.pixel(p) for p in across]
    xs, ys = zip(*seen, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _around(mouth: Box, half: float, f: Feature) -> list[Box]:
    """Places for words of this half width, the best first, each inside the picture."""
    left, low, right, high = mouth
    x, y, out = (left + right) / 2, (low + high) / 2, HALF_HIGH + AIR
    below, above = (x, low - out), (x, high + out)
    side = [(right + half + AIR, y), (left - half - AIR, y)]
    first = [above, below] if f.axis[1] < -0.5 else [below, above]
    slanted = [(cx + s * (half + right - x), cy) for cx, cy in first for s in (1, -1)]
    further = [(cx, cy + (2 * HALF_HIGH + AIR) * (1 if cy > y else -1)) for cx, cy in first]
    kept = [
        (min(max(cx, half + 2), SIZE[0] - half - 2), min(max(cy, HALF_HIGH + 2), SIZE[1] - HALF_HIGH - 2))
        for cx, cy in (*first, *side, *slanted, *further)
    ]
    return [(cx - half, cy - HALF_HIGH, cx + half, cy + HALF_HIGH) for cx, cy in kept]


def _covered(box: Box, taken: list[Box]) -> float:
    """Area (px²) of other things under it."""
    return sum(
        max(0.0, min(box[2], t[2]) - max(box[0], t[0])) * max(0.0, min(box[3], t[3]) - max(box[1], t[1])) for t in taken
    )
