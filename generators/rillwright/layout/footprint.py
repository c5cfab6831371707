"""What stands on a plate by a foot print: spaces over its faces, screws, and ports that are one passage. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Point2 = tuple[float, float]
Plane = Literal["seal", "outer", "cover", "outer-cover"]


@dataclass(frozen=True, slots=True)
class Space:
    """A space over a face: a convex polygon in plan (or one point), wider by `radius` all round, between two heights."""

    name: str
    points: tuple[Point2, ...]
    radius: float
    low: float  # over the face
    high: float

    @property
    def middle(self) -> Point2:
        n = len(self.points)
        return (sum(x for x, _ in self.points) / n, sum(y for _, y in self.points) / n)


@dataclass(frozen=True, slots=True)
class ScrewChoice:
    """The screws of one hole pattern. `grip`: what lies between the seat of the head and where the thread begins."""

    holes: tuple[str, ...]
    thread: str
    head: str  # standard
    seat: Literal["part", "countersunk", "counterbored", "on-top"]
    grip: float
    wanted: float  # least engagement
    reach: float  # deepest the tip may come beyond the joint
    length: float | None  # None: none fits
    nearest: tuple[float, ...]  # lengths just too short and just too long
    behind: str  # what the tip goes into
    over: float = 0.0  # of a cover that the head lies on


@dataclass(frozen=True, slots=True)
class Footprint:
    """One part that lies on a face."""

    plate: str
    name: str
    interface: str
    face: Plane
    spaces: tuple[Space, ...]
    screws: tuple[ScrewChoice, ...] = ()
    joined: tuple[tuple[tuple[str, str], ...], ...] = ()  # ports with their loops, one passage each
    passages: tuple[tuple[str, ...], ...] = ()  # of a block: ports that it joins inside, and no others

    @property
    def on(self) -> str:
        """The plate that the part touches: the plate itself, or one of its covers."""
        return f"{self.plate}-{self.face}" if self.face.endswith("cover") else self.plate


def gap(a: Space, b: Space) -> tuple[float, Point2, Point2]:
    """Distance of two spaces in plan, mm, negative by how far they have to move to part, and the closest points.

    By the convex hull of all differences of their points (Minkowski): exact for convex shapes and circles.
    """
    pairs = {(p[0] - q[0], p[1] - q[1]): (p, q) for p in a.points for q in b.points}
    ring = _hull(list(pairs))
    inside = len(ring) > 2
    best: tuple[float, float, Point2, Point2] | None = None
    for i, u in enumerate(ring):
        v = ring[(i + 1) % len(ring)]
        long2 = (v[0] - u[0]) ** 2 + (v[1] - u[1]) ** 2
        t = 0.0 if long2 == 0 else min(1.0, max(0.0, -(u[0] * (v[0] - u[0]) + u[1] * (v[1] - u[1])) / long2))
        at = (u[0] + t * (v[0] - u[0]), u[1] + t * (v[1] - u[1]))
        inside = inside and u[0] * v[1] - u[1] * v[0] > 0
        d = math.hypot(*at)
        if best is None or d < best[0]:
            best = (d, t, u, v)
    assert best is not None
    d, t, u, v = best
    (p0, q0), (p1, q1) = pairs[u], pairs[v]
    p, q = (((1 - t) * s[0] + t * e[0], (1 - t) * s[1] + t * e[1]) for s, e in ((p0, p1), (q0, q1)))
    return (-d if inside else d) - a.radius - b.radius, p, q


def _hull(points: list[Point2]) -> list[Point2]:
    """Convex hull, counter-clockwise (Andrew's monotone chain)."""
    points = sorted(set(points))
    if len(points) < 3:
        return points

    def half(run: list[Point2]) -> list[Point2]:
        out: list[Point2] = []
        for p in run:
            while len(out) > 1 and (out[-1][0] - out[-2][0]) * (p[1] - out[-2][1]) <= (out[-1][1] - out[-2][1]) * (
                p[0] - out[-2][0]
            ):
                out.pop()
            out.append(p)
        return out[:-1]

    return half(points) + half(points[::-1])
