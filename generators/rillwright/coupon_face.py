"""Coupons of seals on flat faces: a body and a blanking disc, or one block for the ring of a fitting or plug.

Lengths in mm. Everything that sets the squeeze (cord, groove, sheets, thread, spotface) is the job's; the ring is
shorter than the job's, and a groove that bends more sharply than a coupon's does is said to be left unproved.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from .layout.features import Feature
from .layout.gland import Gland
from .layout.job import LayoutError, job_layout
from .layout.job_layout import JobLayout
from .spec.job import Job
from .spec.plate import Plate

CHANNEL = {"width": 10.0, "depth": 5.0}  # of the short channel that the cord goes round, wider than the test bore
RUN = 10.0  # its length; our choice
SIZES = range(40, 165, 5)  # sides of the body that are tried, the first that has room for all; our choice
DISC = 10.0  # thickest disc that stands for a part; our choice
BLOCK = 55.0  # side of a fitting's block; our choice
TEST = "G1/8"  # thread of the port for the test pressure
TEST_ROOM = 17.0  # least sheet for a test port in an edge: its spotface of 15 and 1 on each side
KEPT = {"coolant", "tolerances", "temperatures", "limits", "machine", "output"}


class NoRoomError(Exception):
    """No coupon of this seal finds room; says what to do."""


@dataclass(frozen=True, slots=True)
class FaceSeal:
    """A seal on a flat face by the name that one gives it."""

    name: str
    plate: str
    loop: str
    gland: Gland | None  # None: a fitting's face whose ring the job does not give
    feature: Feature | None  # of a fitting's face: its port or plug

    def job(self, job: Job, name: str) -> Job:
        """The coupon's job; raises NoRoomError."""
        if self.feature is not None:
            return _block(job, name, self)
        assert self.gland is not None
        return _pair(job, name, self.gland)


def face_seals(job: Job, layout: JobLayout) -> Iterator[FaceSeal]:
    """Every seal on a flat face: grooves under covers and struts, then the faces of ports and plugs."""
    rings = {}
    for g in layout.glands:
        if g.kind in ("port", "plug"):
            rings[g.seal] = g
            continue
        yield from (FaceSeal(name, g.plate, g.loop, g, None) for name in (g.seal, *g.alike))
    for p in layout.plates:
        for f in p.features:
            if f.role in ("port", "plug") and f.thread and p.name in job.plates:
                name = f"{p.name}.{f.name}.seal"
                yield FaceSeal(name, p.name, f.loop or "", rings.get(name), f)


def _base(job: Job, name: str, loop: str) -> dict[str, Any]:
    data = job.model_dump(mode="json", by_alias=True, exclude_defaults=True, include=KEPT, warnings=False)
    data.get("machine", {}).pop("dowels", None)  # they stand beside the job's own plates
    data |= {"job": name, "loops": {loop: job.loops[loop].model_dump(mode="json", include={"tint"})}}
    return {key: value for key, value in data.items() if value != {}}


def _pair(job: Job, name: str, g: Gland) -> Job:
    """Body with the groove round a short channel, and the disc that closes it."""
    cover = _cover(job, g)
    own = _owner(job, g.plate)[1]
    stock = own.stock.model_dump(mode="json") | {"material": _sealed_in(job, g.plate)}
    thick = own.stock.thickness
    test = {"name": "test", "loop": g.loop, "on": "outer", "at": [0, 0], "thread": TEST, "tip": "flat",
            "depth": round(thick - CHANNEL["depth"] + 1, 3)}  # fmt: skip
    run = {"name": "run", "loop": g.loop, "joins": ["test", [RUN, 0]], "route": ["test", [RUN, 0]], **CHANNEL}

    def sized(side: float) -> dict[str, Any]:
        outline = {"length": side + RUN, "width": side, "corner_radius": 5}
        body = {"stock": stock, "outline": outline, "covers": {"seal": cover}, "ports": [test], "channels": [run]}
        return {**_base(job, name, g.loop), "plates": {"body": body}}

    return _first(sized, g.seal)


def _owner(job: Job, plate: str) -> tuple[str, Plate]:
    """The plate of the file, with its name, that a plate of the layout is or covers."""
    name = plate if plate in job.plates else plate.removesuffix("-outer-cover").removesuffix("-cover")
    return name, job.plates[name]


def _sealed_in(job: Job, plate: str) -> str:
    """Material of a plate of the layout, which may be a cover."""
    name, own = _owner(job, plate)
    cover = own.covers.outer if plate.endswith("-outer-cover") else own.covers.seal
    return own.stock.material if plate == name or cover is None else cover.stock.material


def _cover(job: Job, g: Gland) -> dict[str, Any]:
    """The disc: the job's own cover, or for a strut's seal one of the plate's sheet, with the same cord and groove."""
    plate = _owner(job, g.plate)[1]
    groove = {part: round(g.nominal(f"groove {part}"), 4) for part in ("depth", "width")}
    port = next((p for p in plate.ports if f"{p.name}.cord" == g.seal and p.face_seal is not None), None)
    if port is not None and port.face_seal is not None:  # round a plain bore: a part lies on it, the disc stands for it
        cord = port.face_seal.cord.model_dump(mode="json", exclude_unset=True)
        disc = {**plate.stock.model_dump(mode="json"), "thickness": min(plate.stock.thickness, DISC)}
        return {"stock": disc, "cord": cord, "groove": groove}
    if g.kind == "cover":
        made = plate.covers.seal if plate.covers.seal is not None and not g.seal.startswith("outer") else plate.covers.outer
        assert made is not None
        data = made.model_dump(mode="json", exclude_unset=True, warnings=False)
        data.setdefault("screws", {}).pop("at", None)
        return {**data, "groove": {**data.get("groove", {}), **groove}}
    r = next(r for r in job.reservoirs if g.seal.startswith(f"{r.name}."))
    assert r.struts.seal is not None
    cord = r.struts.seal.cord.model_dump(mode="json", exclude_unset=True)
    return {"stock": plate.stock.model_dump(mode="json"), "cord": cord, "groove": groove}


def _first(sized: Callable[[float], dict[str, Any]], seal: str) -> Job:
    """The job of the first size that has room for all. Raises NoRoomError with what stood in the way at last."""
    why = ""
    for side in SIZES:
        made = Job.model_validate(sized(float(side)))
        try:
            job_layout(made)
            return made
        except LayoutError as e:
            why = e.problems[0].what
    raise NoRoomError(f"no coupon of {seal!r} up to {SIZES[-1]} mm has room: {why}")


def _block(job: Job, name: str, s: FaceSeal) -> Job:
    """A block with the port's own thread and spotface, and a port for the test pressure in the opposite edge."""
    assert s.feature is not None
    plate, facts = job.plates[s.plate], s.feature.facts
    thick, flat = plate.stock.thickness, s.feature.face in ("seal", "outer")
    if thick < TEST_ROOM:
        raise NoRoomError(f"a sheet of {thick:g} mm has no room for a test port of {TEST} in its edge")
    level = round(-thick / 2 if flat else s.feature.origin[2], 3)
    deep = round(facts["bore_depth"], 3)
    own = {"name": "proved", "loop": s.loop, "thread": s.feature.thread, "depth": deep, "spotface": facts["spotface_depth"]}
    ring = _ring(job, s)
    own |= {"seal": ring} if ring else {}
    through = flat and deep + facts["bore_radius"] >= thick  # a bore that ends just short of the face leaves a skin
    own |= {"on": s.feature.face, "at": [0, 0]} if flat else {"on": "left", "at": [0, level]}
    if through:
        own["depth"] = round(thick - 3, 3)
    test = {"name": "test", "loop": s.loop, "on": "right", "at": [0, level], "thread": TEST}
    reach = {"to": "proved"} if flat else {"depth": round(BLOCK - deep + 2, 3)}
    run = {"name": "run", "from": "test", "diameter": 4, **reach}
    outline = {"length": BLOCK, "width": BLOCK, "corner_radius": 3}
    block = {"stock": plate.stock.model_dump(mode="json"), "outline": outline, "ports": [own, test], "drillings": [run]}
    made = Job.model_validate({**_base(job, name, s.loop), "plates": {"block": block}})
    try:
        job_layout(made)
    except LayoutError as e:
        raise NoRoomError(f"no block of {s.name!r} can be placed: {e.problems[0].what}") from e
    return made


def _ring(job: Job, s: FaceSeal) -> dict[str, Any] | None:
    assert s.feature is not None
    plate = job.plates[s.plate]
    if s.feature.role == "port":
        found = next((p.seal for p in plate.ports if p.name == s.feature.name), None)
    else:
        found = next((d.plug_seal for d in plate.drillings if f"{d.name}.plug" == s.feature.name), None)
    return None if found is None else found.model_dump(mode="json")
