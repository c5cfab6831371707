"""Where the assemblies of a job stand in the whole machine. Lengths in mm, angles in degrees.

Every assembly (plates that tubes, struts or covers hold together, and what lies between them) has a frame of its own,
in which everything is proved. `place:` moves and turns it as a whole; nothing is mirrored.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from .features import Vec3
from .outline import Impossible

if TYPE_CHECKING:
    from ..spec.job import Job
    from .features import PlateLayout

Rows = tuple[Vec3, Vec3, Vec3]
STRAIGHT: Rows = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


@dataclass(frozen=True, slots=True)
class Stance:
    """A turn, as the rows of its matrix, and then a move, mm."""

    at: Vec3 = (0.0, 0.0, 0.0)
    rows: Rows = STRAIGHT

    @property
    def still(self) -> bool:
        """Whether it changes nothing."""
        return self.rows == STRAIGHT and not any(self.at)

    def place(self, p: Vec3) -> Vec3:
        """A point of the assembly's frame in the machine."""
        x, y, z = self.turn(p)
        return (x + self.at[0], y + self.at[1], z + self.at[2])

    def turn(self, v: Vec3) -> Vec3:
        """A direction of the assembly's frame in the machine."""
        a, b, c = (sum(r * w for r, w in zip(row, v, strict=True)) for row in self.rows)
        return (a, b, c)

    def unturn(self, v: Vec3) -> Vec3:
        """A direction of the machine in the assembly's frame."""
        a, b, c = (sum(row[i] * w for row, w in zip(self.rows, v, strict=True)) for i in range(3))
        return (a, b, c)

    def after(self, first: Stance) -> Stance:
        """`first` and then this one, as one."""
        rows = tuple(zip(*(self.turn(column) for column in zip(*first.rows, strict=True)), strict=True))
        return Stance(self.place(first.at), rows)  # type: ignore[arg-type]

    @property
    def quaternion(self) -> tuple[float, float, float, float]:
        """The turn as x, y, z, w."""
        (a, b, c), (d, e, f), (g, h, i) = self.rows
        # Four times the products of its parts with each other; the largest part tells the others without loss.
        products = (
            (1 + a - e - i, b + d, c + g, h - f), (b + d, 1 + e - a - i, f + h, c - g),
            (c + g, f + h, 1 + i - a - e, d - b), (h - f, c - g, d - b, 1 + a + e + i),
        )  # fmt: skip
        best = max(range(4), key=lambda k: products[k][k])
        scale = 2 * math.sqrt(products[best][best])
        x, y, z, w = (v / scale for v in products[best])
        return x, y, z, w


def turned(about: Vec3) -> Rows:
    """Rows of the matrix that turns about the machine's x, then its y, then its z axis by these angles, degrees."""
    (cx, sx), (cy, sy), (cz, sz) = ((_exact(math.cos, a), _exact(math.sin, a)) for a in about)
    return (
        (cz * cy, cz * sy * sx - sz * cx, cz * sy * cx + sz * sx),
        (sz * cy, sz * sy * sx + cz * cx, sz * sy * cx - cz * sx),
        (-sy, cy * sx, cy * cx),
    )


def _exact(f: object, degrees: float) -> float:
    """Sine or cosine, exact at right angles, so that a plate turned by 90° stays square."""
    value = f(math.radians(degrees))  # type: ignore[operator]
    return float(round(value)) if abs(value - round(value)) < 1e-12 else float(value)


def stances(job: Job, groups: list[list[PlateLayout]]) -> dict[str, Stance]:
    """Stance of every plate and reservoir, by name, of the assemblies that the job places. Raises Impossible."""
    found: dict[str, Stance] = {}
    for group in groups:
        names = [p.name for p in group]
        told = [n for n in names if n in job.place]
        if len(told) > 1:
            raise Impossible(("place", told[1]), f"{told[1]!r} is one assembly with {told[0]!r}, which has its place",
                             "give the place of one of them")  # fmt: skip
        if told:
            place = job.place[told[0]]
            stance = Stance(place.at, turned(place.turn))
            tubes = [f.name.removesuffix(".tube-channel") for p in group for f in p.features if f.role == "tube-channel"]
            found |= dict.fromkeys([*names, *tubes], stance)
    return found
