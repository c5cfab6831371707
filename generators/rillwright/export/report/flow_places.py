"""Where coolant runs and where air or coolant stays, for the stage: passages with their velocity, pockets, ways to stand.

Rows of flow and of nets have their places in the assembly's own frame; here all of them stand in the machine. mm, m/s.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from ...checks.result import Result
from ...layout.features import Vec3
from ...layout.job_layout import JobLayout
from ...layout.machine import Stance

Row = dict[str, Any]
KINDS = ("air", "coolant")


@dataclass(frozen=True, slots=True)
class Pose:
    """One way to stand that the view can be turned to; `stand` numbers the pockets that belong to it."""

    key: str
    said: str
    up: Vec3  # in the machine
    stand: str = ""

    @property
    def as_drawn(self) -> bool:
        """Whether what points up on the drawings does."""
        return self.up[2] > 0.9999


@dataclass(slots=True)
class FlowPlaces:
    """What the stage is told, and the keys by which the document leads there."""

    marks: list[Row] = field(default_factory=list)
    passages: list[Row] = field(default_factory=list)
    poses: list[Pose] = field(default_factory=list)

    def facts(self) -> Row:
        told = [{"key": p.key, "said": p.said, "up": _rounded(p.up), "stand": p.stand} for p in self.poses]
        return {"passages": self.passages, "poses": told}


def flow_places(layout: JobLayout, result: Result) -> FlowPlaces:
    """Places of everything in the rows of flow and nets."""
    found = FlowPlaces()
    for i, r in enumerate(result.flow):
        for j, g in enumerate(r.get("legs", ())):
            _passage(found, layout, r, g, leg_key(i, j))
    for i, r in enumerate(result.nets):
        for s in r.get("standing") or ():
            _stand(found, layout, r, s, i)
    found.marks.sort(key=lambda m: -m.pop("rank"))  # where words crowd on the stage, the first are kept
    return found


def leg_key(record: int, leg: int) -> str:
    """Key of a passage's place."""
    return f"passage-{record}-{leg}"


def pocket_key(row: int, stand: str, kind: str, number: int) -> str:
    """Key of a pocket's place."""
    return f"{kind}-{row}-{stand}-{number}"


def home(layout: JobLayout, names: Sequence[str]) -> Stance:
    """How the assembly stands that the first name (plate.feature) belongs to."""
    return layout.stance(names[0]) if names else Stance()


def _passage(found: FlowPlaces, layout: JobLayout, r: Row, g: Row, key: str) -> None:
    stance = layout.stance(g["way"])
    points = [_rounded(stance.place(tuple(p))) for p in g["points"]]
    if g["flow"] < 0:
        points.reverse()  # told along the flow
    parts = [g["way"] if g["kind"] == "tube" else g["way"].partition(".")[0]]
    pace = f"{g['velocity']:.2f}"
    found.passages.append({"key": key, "points": points, "velocity": g["velocity"], "parts": parts, "name": g["name"]})
    found.marks.append({
        "key": key, "group": "flow", "kind": "pace", "sign": pace, "at": [_rounded(stance.place(tuple(g["middle"])))],
        "parts": parts, "label": f"{pace} m/s in {g['name']}, loop {r['loop']}", "rank": g["velocity"],
    })  # fmt: skip


def _stand(found: FlowPlaces, layout: JobLayout, r: Row, s: Row, row: int) -> None:
    stance = home(layout, [p["plate"] for p in r["plates"]] or r["ports"])
    pose = _pose(found, s["stand"], s["stand"], stance.turn(tuple(s["up"])), s["stand"])
    if s["tilt"]:
        said = f"{s['stand']}, leant {s['tilt']['degrees']}° for {r['loop']}"
        _pose(found, f"tilt {row}", said, stance.turn(tuple(s["tilt"]["up"])))
    for kind in KINDS:
        for n, p in enumerate(s[kind]):
            found.marks.append(_pocket(r, p, stance, pose, kind, pocket_key(row, s["stand"], kind, n)))


def _pose(found: FlowPlaces, key: str, said: str, up: Vec3, stand: str = "") -> Pose:
    long = math.hypot(*up)
    straight = (up[0] / long, up[1] / long, up[2] / long)
    for p in found.poses:
        if p.stand == stand and math.dist(p.up, straight) < 1e-3 and (stand or p.said == said):
            return p
    number = sum(p.key.partition("#")[0] == key for p in found.poses)
    made = Pose(f"{key}#{number}" if number else key, said, straight, stand)
    found.poses.append(made)
    return made


def _pocket(r: Row, p: Row, stance: Stance, pose: Pose, kind: str, key: str) -> Row:
    """A pocket's mark with the box round it, whose sides lie level and upright as the assembly stands."""
    name = str(p["near"])
    sign = f"{kind} {p['ml']:.2g}"
    return {
        "key": key, "group": "pockets", "kind": kind, "sign": sign,
        "at": [_rounded(stance.place(tuple(p["at"])))], "parts": [name.partition(".")[0]], "pose": pose.key,
        "size": p["size"], "axes": [_rounded(a, 5) for a in _axes(pose.up, stance)], "rank": 1e3 + p["ml"],
        "label": f"{sign} mL left, {pose.said}, near {name}, loop {r['loop']}",
    }  # fmt: skip


def _axes(up: Vec3, stance: Stance) -> Iterator[Vec3]:
    """Directions of the grid's lines in the machine: those that the pockets were measured along."""
    from ...checks.solid.air import turned

    x, y, z = (sum(row[i] * c for row, c in zip(stance.rows, up, strict=True)) for i in range(3))  # back into its own frame
    for row in turned((x, y, z)):
        yield stance.turn((float(row[0]), float(row[1]), float(row[2])))


def _rounded(p: Vec3, digits: int = 2) -> list[float]:
    return [round(float(v), digits) + 0.0 for v in p]


