"""Covered faces for tests: straight channels, random trees of channels with round bends, bodies and covers."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from rillwright.checks.plan.cover_face import CoverFace
from rillwright.layout.features import Arc, Feature, Line, Outline, PlateLayout
from rillwright.layout.pockets import Path, Pocket, Point2, Stroke
from rillwright.layout.sealing.ring import Wet


def box(length: float, width: float) -> Outline:
    x, y = length / 2, width / 2
    return Outline((-x, -y), (Line((x, -y)), Line((x, y)), Line((-x, y)), Line((-x, -y))))


def channel(name: str, points: Sequence[Point2], width: float = 8.0, loop: str = "a", bend: float = 0.0) -> Pocket:
    return Pocket(name, "channel", "seal", Stroke(bent(points, bend), width), 6.0, ("seal",), loop)


def groove(name: str, path: Path, width: float = 2.8, cord: float = 2.0, loop: str = "a") -> Pocket:
    return Pocket(name, "groove", "seal", Stroke(path, width), 1.5, ("seal",), loop, facts={"cord": cord})


def hole(name: str, x: float, y: float, radius: float = 2.0) -> Feature:
    profile = ((0.0, 0.0), (radius, 0.0), (radius, 20.0), (0.0, 20.0))
    return Feature(name, "screw", (x, y, 0.0), (0.0, 0.0, -1.0), profile, "seal", ("seal", "outer"))


def face(pockets: Sequence[Pocket], holes: Sequence[Feature] = (), outline: Outline | None = None, land: float = 2.0,
         pitch: float = math.inf, reach: float = 9.0, bond: float | None = None) -> CoverFace:  # fmt: skip
    o = outline or box(400, 200)
    body = PlateLayout("panel", o, 20.0, "pmma-cast", True, 0.0, tuple(holes), pockets=tuple(pockets))
    cover = PlateLayout("panel-cover", o, 10.0, "pmma-cast", False, 0.0, tuple(holes), cover_of="panel")
    return CoverFace(body, cover, "seal", land, pitch, reach, bond)


def bent(points: Sequence[Point2], radius: float) -> Path:
    """Straight legs with true arcs of a radius at the corners that have room for them, sharp ones else."""
    out: list[Line | Arc] = []
    for a, b, c in zip(points, points[1:], points[2:], strict=False):
        out += _corner(a, b, c, radius)
    return Path(points[0], (*out, Line(points[-1])))


def _corner(a: Point2, b: Point2, c: Point2, radius: float) -> list[Line | Arc]:
    la, lc = math.dist(a, b), math.dist(c, b)
    u, v = ((a[0] - b[0]) / la, (a[1] - b[1]) / la), ((c[0] - b[0]) / lc, (c[1] - b[1]) / lc)
    angle = math.acos(max(-1.0, min(1.0, u[0] * v[0] + u[1] * v[1])))
    if radius == 0 or angle > math.pi - 1e-6 or angle < 0.3 or (t := radius / math.tan(angle / 2)) > 0.45 * min(la, lc):
        return [Line(b)]
    half = math.hypot(u[0] + v[0], u[1] + v[1])
    w = ((u[0] + v[0]) / half, (u[1] + v[1]) / half)
    k = radius / math.sin(angle / 2) - radius
    return [Line((b[0] + t * u[0], b[1] + t * u[1])),
            Arc((b[0] + k * w[0], b[1] + k * w[1]), (b[0] + t * v[0], b[1] + t * v[1]))]  # fmt: skip


def tree(seed: int) -> list[Wet]:
    """A random tree of channels and ports of one loop, within 250 mm of the origin: on a grid for even seeds."""
    rng = random.Random(seed)
    nodes: list[Point2] = [(rng.uniform(-40, 40), rng.uniform(-40, 40))]
    wet: list[Wet] = [(nodes[0], rng.choice([5.0, 7.5]))]
    for i in range(rng.randint(1, 4)):
        points = [rng.choice(nodes)]
        for _ in range(rng.randint(1, 3)):
            x, y = points[-1]
            way = rng.randrange(8) * math.pi / 4 if seed % 2 == 0 else rng.uniform(0, math.tau)
            run = rng.choice([20.0, 30.0, 40.0]) if seed % 2 == 0 else rng.uniform(12, 45)
            points.append((x + run * math.cos(way), y + run * math.sin(way)))
        nodes.append(points[-1])
        wet.append(channel(f"c{i}", points, rng.choice([6.0, 8.0, 10.0]), bend=rng.choice([0.0, 6.0, 10.0])))
        if rng.random() < 0.5:
            wet.append((points[-1], rng.choice([4.0, 7.5, 9.0])))
    return wet


def pockets(wet: Sequence[Wet]) -> tuple[list[Pocket], list[Feature]]:
    """Channels, and the circles as bores of the same loop."""
    bores = [w for w in wet if not isinstance(w, Pocket)]
    made = [
        Feature(f"bore-{i}", "port", (x, y, 0.0), (0.0, 0.0, -1.0), ((0.0, 0.0), (r, 0.0), (r, 9.0), (0.0, 9.0)), "seal",
                ("seal",), "a")
        for i, ((x, y), r) in enumerate(bores)
    ]  # fmt: skip
    return [w for w in wet if isinstance(w, Pocket)], made
