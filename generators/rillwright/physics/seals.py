"""Glands of cords and rings: squeeze, fill, stretch, lengths. Lengths in mm; squeeze, fill and stretch as fractions."""

from __future__ import annotations

import math
from typing import Literal

from ._guard import non_negative, positive


def squeeze(gap: float, cord: float) -> float:
    """Share of its section by which a cord is flattened, 1 − g/d.

    Source: definition, seal suppliers' handbooks.

    gap: height left for the cord, mm. cord: free diameter, mm. Returns a fraction, negative for a loose cord.
    Works on arrays of numbers as well; nothing is checked, since it is evaluated by the hundred thousand.
    """
    return 1 - gap / cord


def fill(gap: float, cord: float, width: float) -> float:
    """Share of a rectangular gland that the cord takes up, π d²/(4 b h).

    Source: definition, seal suppliers' handbooks; floor radius left out.

    gap: height of the gland h, mm. cord: free diameter d, mm. width: of the gland b, mm. Returns a fraction.
    Works on arrays of numbers as well; nothing is checked.
    """
    return math.pi * cord**2 / (4 * width * gap)


def stretch(ring: float, line: float) -> float:
    """Stretch of a ring laid on a longer line, line/ring − 1; negative where the ring is compressed.

    Source: definition, seal suppliers' handbooks.

    ring: free length of the ring, mm. line: length of the line it lies on, mm. Works on arrays as well; nothing is
    checked, since it is evaluated by the hundred thousand.
    """
    return line / ring - 1


def stretched_cord(cord: float, stretch: float) -> float:
    """Diameter of a cord under stretch, d/√(1 + s): its volume is kept, and so the loss is about s/2.

    Source: constancy of volume; the handbooks' rule "about half the stretch" is its first term.

    cord: free diameter, mm. stretch: fraction, above −1. Returns mm. Works on arrays as well; nothing is checked.
    """
    thin: float = (1 + stretch) ** -0.5
    return cord * thin


def flattened_width(gap: float, cord: float) -> float:
    """Width of a flattened cord taken as a stadium of the same area, h + π(d² − h²)/(4h), mm.

    Source: constancy of volume; the stadium's shape is our choice.

    gap: height h, mm. cord: free diameter d, mm. A gap of d or more gives d. Raises ValueError unless both are > 0.
    """
    positive(gap=gap, cord=cord)
    if gap >= cord:
        return cord
    return gap + math.pi * (cord**2 - gap**2) / (4 * gap)


def ring_line(
    inner: float, outer: float, cord: float, against: Literal["middle", "inner", "outer"] = "middle"
) -> float:
    """Length of the centre line of a cord in a round groove, mm.

    Source: geometry. Under inside pressure a ring lies against the outer wall, under outside pressure the inner.

    inner, outer: radii of the groove, mm. cord: diameter, mm. Raises ValueError where the cord does not go in.
    """
    positive(outer=outer, cord=cord)
    non_negative(inner=inner)
    if outer - inner < cord:
        raise ValueError(f"a cord of {cord:g} mm does not go into a groove {outer - inner:g} mm wide: widen the groove")
    radius = {"middle": (inner + outer) / 2, "inner": inner + cord / 2, "outer": outer - cord / 2}[against]
    return math.tau * radius


def ring_cut_length(line: float, stretch: float = 0.0) -> float:
    """Length to which cord is cut for a ring on this line, line/(1 + s), mm.

    Source: definition of stretch; ends cut square and butted, so nothing is added for the joint.

    line: centre line of the cord as it lies, mm. stretch: wanted, fraction; below nought pushes the ring outwards.
    Raises ValueError.
    """
    positive(line=line, length_ratio=1 + stretch)
    return line / (1 + stretch)


def free_height_after_set(gap: float, cord: float, compression_set: float) -> float:
    """Height to which a cord springs back after compression set, d − C (d − h), mm.

    Source: ISO 815-1, definition of compression set.

    gap: height while squeezed h, mm. cord: free diameter d, mm; a loose one stays as it is. compression_set: fraction
    C, 0 to 1. Works on arrays as well; nothing is checked.
    """
    loose = (gap - cord + abs(gap - cord)) / 2  # max(0, h − d), for numbers and arrays
    return cord - compression_set * (cord - gap + loose)
