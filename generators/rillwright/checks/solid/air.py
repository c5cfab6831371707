"""Air that stays and coolant that does not drain, for each way the assembly can stand, on the void read from the STL."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from ...layout.features import Vec3
from ...layout.hardware import in_assembly
from ...layout.nets import UNDER, Assembly
from ...layout.stands import Stand
from ...layout.ways import Way, plate_ways
from .pockets_of_air import Places, places, pockets, reached, trapped, volume
from .voxels import Cells, cells

PITCH = 1.0  # mm
MOST = 80_000_000  # cells of a grid: about 0.6 GB
COARSE = 2.0  # mm, for trying tilts
TILTS = tuple((a, math.radians(d)) for d in (15, 30) for a in (0, 45, 90, 135, 180, 225, 270, 315))  # turn °, tilt
LEVELS = (0.25, 0.5, 0.75, 1.0)  # of a tube's height between the seal faces
UPRIGHT = 0.999  # of the way up along the assembly's own: tubes stand then
SMALLEST = 0.05  # mL: a pocket below this is not told apart from the grid
# Bretherton 1961, from memory: a long bubble does not rise in a bore below 2 · 0.918 capillary lengths, water at 20 °C.
HOLDS_BUBBLE = 5.0  # mm


def air_rows(a: Assembly, loop: str, surfaces: list[Any], stands: Sequence[Stand]) -> list[dict[str, Any]]:
    """One row for each stand: pockets of air and of coolant left, the best port to vent and to drain by.

    `surfaces`: outer and inner surfaces of the loop's void (manifold3d), in the assembly. Volumes in mL, places in mm.
    `cut_off_ml` is what slits beside cords, thinner than a cell, part off: it stays out of all other figures.
    """
    solids = [_mesh(m) for m in surfaces]
    mouths = _mouths(a, loop)
    if not mouths or not solids:
        return []
    rows = [_row(a, loop, solids, mouths, s) for s in stands]
    if rows and rows[0]["trapped_ml"] > SMALLEST:
        rows[0]["tilt"] = _best_tilt(solids, mouths, rows[0])
    return rows


def of_loop(a: Assembly, loop: str) -> Assembly:
    """An assembly with all that is asked of it here and nothing else, so that no other change counts as one."""
    plates = tuple(
        replace(p, features=tuple(f for f in p.features if f.loop == loop), left_out=(), spans=(),
                pockets=tuple(q for q in p.pockets if q.loop == loop))
        for p in a.plates
    )  # fmt: skip
    return Assembly(plates, tuple(h for h in a.hardware if h.loop == loop), a.net(loop))


def surface_key(surface: Any) -> tuple[str, float]:
    """Tells two surfaces (manifold3d) apart, in whatever order the boolean gives their corners; to 10 nm and 0.001 mm³."""
    corners = np.unique(_mesh(surface)[0].round(5) + 0.0, axis=0)
    return hashlib.sha256(corners.tobytes()).hexdigest(), round(surface.volume(), 3)


@dataclass(frozen=True, slots=True)
class Mouth:
    """Where a port opens: middle of its bore, the way out, radius; mm."""

    name: str
    at: Vec3
    out: Vec3
    radius: float


def _mouths(a: Assembly, loop: str) -> list[Mouth]:
    found = []
    for p in a.plates:
        for f in p.features:
            if f.role == "port" and f.loop == loop:
                at = in_assembly(p, f.at(f.facts["spotface_depth"] + UNDER))
                out = (-f.axis[0], -f.axis[1], -p.side * f.axis[2])
                found.append(Mouth(f"{p.name}.{f.name}", at, out, f.facts["bore_radius"]))
    return found


def _mesh(surface: Any) -> tuple[npt.NDArray[np.float64], npt.NDArray[Any]]:
    m = surface.to_mesh64()
    return np.asarray(m.vert_properties, float)[:, :3], np.asarray(m.tri_verts, np.int64)


def turned(up: Vec3) -> npt.NDArray[np.float64]:
    """Matrix that turns `up` to +z."""
    w = np.asarray(up, float) / np.linalg.norm(up)
    other = np.array([1.0, 0.0, 0.0]) if abs(w[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    u = other - w * (other @ w)
    u /= np.linalg.norm(u)
    return np.array([u, np.cross(w, u), w])


def _grid(solids: list[Any], turn: npt.NDArray[np.float64], pitch: float) -> Cells:
    """All surfaces together: an inner one's triangles look the other way, and lines count it as a way out."""
    first, vertices, triangles = 0, [], []
    for v, t in solids:
        vertices.append(v @ turn.T)
        triangles.append(t + first)
        first += len(v)
    return cells(np.concatenate(vertices), np.concatenate(triangles), pitch)


def _pitch(solids: list[Any], turn: npt.NDArray[np.float64]) -> float:
    """Pitch of the grid, mm: coarser where a loop is so large that its grid would not fit into memory."""
    turned_ = np.concatenate([v @ turn.T for v, _ in solids])
    count = math.prod(float(c) for c in (turned_.max(axis=0) - turned_.min(axis=0)) / PITCH)
    return PITCH * max(1.0, math.pow(count / MOST, 1 / 3))


def _seeds(grid: Cells, turn: npt.NDArray[np.float64], mouth: Mouth) -> npt.NDArray[np.int64]:
    """Cells of the whole mouth, (n, 3): within its bore, and next to its plane."""
    middle, out = turn @ np.asarray(mouth.at), turn @ np.asarray(mouth.out)
    reach = mouth.radius + 2 * grid.pitch
    low = np.floor((middle - reach - grid.origin) / grid.pitch).astype(int).clip(0)
    high = np.ceil((middle + reach - grid.origin) / grid.pitch).astype(int) + 1
    box = tuple(slice(a, max(a, b)) for a, b in zip(low, high, strict=True))
    near: npt.NDArray[np.int64] = np.argwhere(grid.full[box]) + low
    p = grid.origin + grid.pitch * (near + np.array([0.0, 0.0, 0.5])) - middle
    along = p @ out
    beside = np.linalg.norm(p - np.outer(along, out), axis=1)
    chosen: npt.NDArray[np.int64] = near[(along > -1.2 * grid.pitch) & (beside <= mouth.radius + grid.pitch / 2)]
    return chosen


def _mouths_in(grid: Cells, net: Places, turn: npt.NDArray[np.float64], mouths: list[Mouth]) -> dict[str, set[int]]:
    """The places of the grid that each mouth opens into; those that the grid does not show are left out."""
    found = {m.name: set(net.number[tuple(_seeds(grid, turn, m).T)].tolist()) for m in mouths}
    return {name: at for name, at in found.items() if at}


def _row(a: Assembly, loop: str, solids: list[Any], mouths: list[Mouth], stand: Stand) -> dict[str, Any]:
    turn = turned(stand.up)
    grid = _grid(solids, turn, _pitch(solids, turn))
    net = places(grid.full)
    at = _mouths_in(grid, net, turn, mouths)
    ml = grid.pitch**3 / 1000
    every = set().union(*at.values())
    all_cells = int(net.cells[1:].sum())
    net = reached(net, every)
    air, rest = pockets(net, every), pockets(net, every, up=False)
    by: list[dict[str, Any]] = [
        {"port": n, "trapped_ml": round(volume(net, s) * ml, 2), "undrained_ml": round(volume(net, s, up=False) * ml, 2)}
        for n, s in at.items()
    ]
    ways = [w for p in a.plates for w in plate_ways(p, loop)]
    return {
        "stand": stand.name, "up": list(stand.up), "grid_mm": round(grid.pitch, 3), "grid_ml": round(grid.volume / 1000, 2),
        "cut_off_ml": round((all_cells - int(net.cells[1:].sum())) * ml, 2),
        "trapped_ml": round(int(net.cells[air > 0].sum()) * ml, 2),
        "undrained_ml": round(int(net.cells[rest > 0].sum()) * ml, 2),
        "air": _pockets(grid, net, turn, air, ways), "coolant": _pockets(grid, net, turn, rest, ways), "by_port": by,
        "vent": min(by, key=lambda b: b["trapped_ml"])["port"] if by else None,
        "drain": min(by, key=lambda b: b["undrained_ml"])["port"] if by else None,
        "tilt": None, "levels": _levels(a, loop, grid) if turn[2, 2] > UPRIGHT else [],
    }  # fmt: skip


def _levels(a: Assembly, loop: str, grid: Cells) -> list[dict[str, Any]]:
    """How much the loop holds below a quarter, half, three quarters and the top of each tube, mL; air left out of it."""
    below = np.cumsum(np.r_[0, grid.full.sum(axis=(0, 1))]) * grid.pitch**3 / 1000
    heights = grid.origin[2] + grid.pitch * np.arange(len(below))
    found = []
    for tube in (h for h in a.hardware if h.kind == "tube" and h.loop == loop):
        channel = f"{tube.name.removesuffix('.tube')}.tube-channel"
        faces = [p.height for p in a.plates if any(f.name == channel for f in p.features)]
        low, high = min(faces), max(faces)
        found += [
            {"tube": tube.name, "share": share, "above_mm": round(share * (high - low), 1),
             "ml": round(float(np.interp(low + share * (high - low), heights, below)), 1)}
            for share in LEVELS
        ]  # fmt: skip
    return found


def _pockets(
    grid: Cells, net: Places, turn: npt.NDArray[np.float64], pocket: npt.NDArray[np.int32], ways: list[Way]
) -> list[dict[str, Any]]:
    """Pockets by size: volume, middle in the assembly, and the passage that lies nearest."""
    from scipy import ndimage

    if not pocket.any():
        return []
    label, found = pocket[net.number], []
    for n, box in enumerate(ndimage.find_objects(label), 1):
        if box is None:
            continue
        own = label[box] == n
        volume = float(own.sum()) * grid.pitch**3 / 1000
        if volume < SMALLEST:
            continue
        start = np.array([s.start for s in box])
        middle = grid.origin + grid.pitch * ((np.argwhere(own) + start).mean(axis=0) + np.array([0.0, 0.0, 0.5]))
        at = turn.T @ middle
        half = (np.argwhere(own).max(axis=0) + 1) * grid.pitch
        found.append({"ml": round(volume, 2), "at": [round(float(c), 1) for c in at], "near": _near(at, ways),
                      "size": [round(float(h), 1) for h in half]})  # fmt: skip
    return sorted(found, key=lambda p: -p["ml"])


def _near(at: npt.NDArray[np.float64], ways: list[Way]) -> str:
    """Name of the passage whose middle line runs nearest."""
    def gap(w: Way) -> float:
        points = np.asarray(w.points)
        v = points[1:] - points[:-1]
        part = (np.einsum("ij,ij->i", at - points[:-1], v) / np.maximum((v * v).sum(axis=1), 1e-12)).clip(0, 1)
        return float(np.linalg.norm(points[:-1] + part[:, None] * v - at, axis=1).min()) - min(w.half)

    return min(ways, key=gap).name if ways else ""


def _best_tilt(solids: list[Any], mouths: list[Mouth], row: dict[str, Any]) -> dict[str, Any] | None:
    """The tilt that clears most of the air, tried on a coarser grid; None where none clears half of it."""
    base = turned(row["up"])
    tried = []
    for around, lean in TILTS:
        r = math.radians(around)
        up = base.T @ np.array([math.sin(lean) * math.cos(r), math.sin(lean) * math.sin(r), math.cos(lean)])
        turn = turned((float(up[0]), float(up[1]), float(up[2])))
        grid = _grid(solids, turn, COARSE)
        net = places(grid.full)
        every = set().union(*_mouths_in(grid, net, turn, mouths).values())
        tried.append((round(trapped(net, every) * COARSE**3 / 1000, 2), lean, up))
        if tried[-1][0] <= 0:
            break  # none that follows leans less
    left, lean, up = min(tried, key=lambda t: t[:2])
    if left > row["trapped_ml"] / 2:
        return None
    return {"up": [round(float(c), 3) for c in up], "degrees": round(math.degrees(lean)), "trapped_ml": left}


def narrow(a: Assembly, loop: str) -> list[str]:
    """Passages so narrow that surface tension holds bubbles in them, which this does not look at."""
    return [w.name for p in a.plates for w in plate_ways(p, loop) if min(w.size) < HOLDS_BUBBLE]
