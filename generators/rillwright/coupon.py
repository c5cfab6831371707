"""Coupon: a small job of its own that carries one tube seal of a job, to be cut from an offcut and proved with water."""

from __future__ import annotations

import hashlib
import io
import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from .coupon_face import NoRoomError, face_seals
from .layout.features import Feature
from .layout.job_layout import JobLayout
from .layout.seal import TubeSeal
from .pipeline import Planned, plan
from .runs import Teller, build_all, trouble
from .spec.job import Job, Limits
from .spec.messages import Problem, SpecError, advice, listed, shown
from .spec.quantity import NAME_LENGTH
from .spec.reservoir import Reservoir
from .standards import threads
from .stopping import Say

TUBE_LENGTH = 60.0  # mm: long enough to handle and to see the coolant in; our choice
BETWEEN_THREADS = 10.0  # mm of strut between the full threads of its ends; our choice
CORNER = 5.0  # mm, radius of the plates' corners; our choice
SPARE = 0.1  # mm on each side of the plates, for rounding and chords of the mesh
THREADS = ("G1/4", "G1/8")  # of the port for the test pressure, first that has room
MARK = "# mark: "


class CouponError(Exception):
    """A coupon that cannot be made: what is wrong, what was given (None: nothing to show), what to do."""

    def __init__(self, what: str, got: str | None, do: str) -> None:
        super().__init__(f"{what}; {do}")
        self.what, self.got, self.do = what, got, do


def coupon_job(job: Job, layout: JobLayout, seal: str, disc: bool = False) -> Job:
    """The job that carries one seal of `job` and nothing else, all lengths in mm.

    `layout` is that of `job`; `seal` a name as `check` prints it: of a tube, a strut, a cover, or plate.port.seal. A
    strut's seal comes with its tube, or with `disc` alone: a body and a blanking disc, as that of a cover does always.
    Waivers are left behind. Raises CouponError for an unknown seal, or where no port finds room.
    """
    tubes = {f"{s.reservoir}.cord": s for s in layout.seals}
    faces = {f.name: f for f in face_seals(job, layout)}
    names = [*tubes, *faces]
    if seal not in names:
        near = advice(seal, names, "seals")
        known = "" if near.startswith(("known", "there are")) else f" known seals: {listed(names)}"
        raise CouponError("there is no seal of this name", shown(seal), near + known)
    if seal in tubes:
        if disc:
            raise CouponError("a tube's cord is squeezed by its tube, not by a disc", shown(seal), "leave --disc out")
        return _tube_job(job, layout, seal, tubes[seal])
    face = faces[seal]
    if face.gland is not None and face.gland.kind == "strut" and not disc:
        return _tube_job(job, layout, seal, next(s for s in layout.seals if seal.startswith(f"{s.reservoir}.")))
    try:
        return face.job(job, coupon_name(job.job, seal))
    except NoRoomError as e:
        raise CouponError(str(e), None, "prove this seal on the finished plates") from e


def _tube_job(job: Job, layout: JobLayout, seal: str, read: TubeSeal) -> Job:
    """A plate pair with one tube: channel, cord, clearances, seats, struts, screws, sheets and materials are the job's.

    Tube and struts are shorter by the same length, so that the gap stays.
    """
    r = next(r for r in job.reservoirs if r.name == read.reservoir)
    found = [f for p in layout.plates for f in p.features if f.name.startswith(f"{r.name}.")]
    size, at = _outline(r, job, found)
    port = _port(r, job.limits, found, at)
    kept = {"coolant", "tolerances", "temperatures", "limits", "machine", "output"}
    data = job.model_dump(mode="json", by_alias=True, exclude_defaults=True, include=kept, warnings=False)
    data.get("machine", {}).pop("dowels", None)  # they stand beside the job's own plates
    plates: dict[str, dict[str, Any]] = {
        name: {"stock": job.plates[name].stock.model_dump(mode="json"), "outline": dict(size)} for name in r.between
    }
    plates[r.between[0]]["ports"] = [port]
    loops = {r.loop: job.loops[r.loop].model_dump(mode="json", include={"tint"})}
    data |= {"job": coupon_name(job.job, seal), "loops": loops, "reservoirs": [_reservoir(r, read, at)], "plates": plates}
    return Job.model_validate({key: value for key, value in data.items() if value != {}})


def coupon_name(job: str, seal: str) -> str:
    """JOB-coupon-SEAL; where that is longer than a name may be, its beginning and a hash of the whole."""
    full = f"{job}-coupon-{seal.replace('.', '-')}"
    if len(full) <= NAME_LENGTH:
        return full
    return f"{full[: NAME_LENGTH - 9]}-{hashlib.sha256(full.encode()).hexdigest()[:8]}"


def _reservoir(r: Reservoir, read: TubeSeal, at: tuple[float, float]) -> dict[str, Any]:
    """The reservoir at its new place, tube and struts shortened; of what was measured, the cord stays."""
    tube, strut = read.nominal("tube length"), read.nominal("strut length")
    spare = sum(read.nominal(f"{w} channel depth") - read.nominal(f"{w} seat depth") for w in ("upper", "lower"))
    gap = (strut + spare - tube) / 2
    longer = 2 * (r.struts.seat_offset + read.step) - 2 * gap  # tube less strut, with channels and seats as they are drawn
    short = min(tube, max(TUBE_LENGTH, math.ceil(2 * r.struts.thread_depth + BETWEEN_THREADS + longer)))
    # No warnings: pydantic cannot tell which branch of counterbore a plain 0 belongs to.
    data = r.model_dump(mode="json", by_alias=True, exclude_none=True, warnings=False)
    data["at"] = list(at)
    data["tube"]["length"], data["struts"]["length"] = short, round(short - longer, 4)
    data["measured"] = {key: value for key, value in data["measured"].items() if key == "cord"}
    return {key: value for key, value in data.items() if value != {}}


def _reaches(r: Reservoir, job: Job, found: list[Feature]) -> Iterator[tuple[float, float, float]]:
    """Place of each feature from the tube's middle, and how far round it the plate has to stand, mm."""
    limits = job.limits
    chamfer = max(job.plates[name].outline.chamfer for name in r.between)
    for f in found:
        x, y = f.origin[0] - r.at[0], f.origin[1] - r.at[1]
        if f.role == "tube-channel":
            wall = max(r.channel.wall, limits.wall_outside)
        else:
            hole = f.facts.get("hole_radius", 0.0)
            wall = max(2 * hole * limits.edge_distance - hole, limits.lip, limits.wall_dry)
        yield x, y, f.radius + wall + chamfer + SPARE


def _outline(r: Reservoir, job: Job, found: list[Feature]) -> tuple[dict[str, float], tuple[float, float]]:
    """Smallest rectangle round the seal in whole mm, and the tube's place on it."""
    reaches = list(_reaches(r, job, found))
    left, right = min(x - e for x, _, e in reaches), max(x + e for x, _, e in reaches)
    front, back = min(y - e for _, y, e in reaches), max(y + e for _, y, e in reaches)
    chamfer = max(job.plates[name].outline.chamfer for name in r.between)
    size = {"length": float(math.ceil(right - left)), "width": float(math.ceil(back - front))}
    size |= {"corner_radius": CORNER, "chamfer": chamfer}
    return size, (round(-(left + right) / 2, 2) + 0.0, round(-(front + back) / 2, 2) + 0.0)


def _port(r: Reservoir, limits: Limits, found: list[Feature], at: tuple[float, float]) -> dict[str, Any]:
    """Port for the test pressure, through the upper plate into the tube: where it has room, nearest to the middle."""
    inner = next(f.facts["inner_radius"] for f in found if f.role == "tube-channel")
    struts = [(f.origin[0] - r.at[0], f.origin[1] - r.at[1], f.radius) for f in found if f.role != "tube-channel"]
    for thread in THREADS:
        bore, flange = threads.pipe(thread).tap_drill / 2, threads.port(thread).spotface_diameter / 2
        for x, y in _places(inner - bore - limits.wall_same):
            if all(math.dist((x, y), (u, v)) >= flange + e + limits.wall_wet for u, v, e in struts):
                place = [round(at[0] + x, 2), round(at[1] + y, 2)]
                return {"name": "test", "loop": r.loop, "on": "outer", "at": place, "thread": thread, "depth": "through"}
    raise CouponError(
        f"no port of {' or '.join(THREADS)} finds room inside the tube of {r.name!r} "
        f"(Ø{2 * inner:.1f} mm within its channel)", None, "prove this seal on the finished plates",
    )  # fmt: skip


def _places(reach: float) -> Iterator[tuple[float, float]]:
    """The middle, then rings of places 1 mm apart as far as `reach`, mm."""
    for ring in range(math.floor(reach) + 1 if reach >= 0 else 0):
        for turn in range(0, 360 if ring else 1, 5):
            yield ring * math.cos(math.radians(turn)), ring * math.sin(math.radians(turn))


_TUBE_HEAD = (
    "# Same channel, cord, seats, struts, screws and sheets; tube and struts shorter by one length, so that the gap for",
    "# the cord is the same. A shorter stack also moves less with warmth than the job's. Lengths in mm.",
    "# Stand it upright with the test port on top.",
)
_FACE_HEAD = (
    "# Same sheets, cord, groove, thread and spotface as far as it has them; the ring under a disc is shorter than the",
    "# job's, and its bends are wider than those of a strut's seat: they are not proved by it. Lengths in mm.",
)


def coupon_text(planned: Planned, seal: str, disc: bool = False) -> str:
    """The coupon's parameter file; its last comment marks what follows, so that an edit is seen. Raises CouponError."""
    from ruamel.yaml import YAML

    made = coupon_job(planned.loaded.model, planned.layout, seal, disc)
    data = made.model_dump(mode="json", by_alias=True, exclude_none=True, exclude_unset=True, warnings=False)
    yaml, stream = YAML(typ="safe", pure=True), io.StringIO()
    yaml.default_flow_style, yaml.width = None, 116
    yaml.sort_base_mapping_type_on_output = False  # type: ignore[assignment]  # keys in the order of the models
    yaml.dump(json.loads(json.dumps(data), parse_float=_plain), stream)  # copied apart: nothing becomes an anchor
    source = Path(planned.loaded.source.path).name
    head = (
        f"# Coupon of {seal}, derived from {source} (SHA-256 {planned.loaded.sha256[:12]}).",
        *(_TUBE_HEAD if made.reservoirs else _FACE_HEAD),
        "# Fill it to the brim with water and prove it with water first: never above coolant.pressure, eye protection on.",
    )
    return "\n".join([*head, MARK + _mark(stream.getvalue()), stream.getvalue()])


def _plain(number: str) -> float:
    """60 rather than 60.0, as one would write it."""
    value = float(number)
    return int(value) if value.is_integer() else value


def _mark(body: str) -> str:
    return hashlib.sha256(body.encode()).hexdigest()[:16]


def edited(text: str) -> bool:
    """Whether a coupon's parameter file is no longer as it was made."""
    head, found, rest = text.partition(MARK)
    mark, _, body = rest.partition("\n")
    return not found or not head.startswith("#") or _mark(body) != mark


def make_coupon(path: Path, seal: str, out: Path | None, tell: Teller, say: Say, disc: bool = False) -> int:
    """Derive a coupon, write its parameter file into its folder and build it from there; returns the exit code."""
    try:
        written = _write(path, seal, out, disc)
    except Exception as error:
        code, words = trouble(error, path)
        say(words)
        tell.failure(path, code, words)
        tell.close()
        return code
    say(f"{written} is written; edit it and build it again as any job")
    return build_all([written], written.parent, tell, say)


def _write(path: Path, seal: str, out: Path | None, disc: bool) -> Path:
    """Put the parameter file into the folder of results, which from then on is one that a run made."""
    from .export.errors import OutputError
    from .export.folder import staged
    from .export.manifest import manifest, write_json

    planned = plan(path)
    try:
        text = coupon_text(planned, seal, disc)
    except CouponError as error:
        raise SpecError([Problem(str(path), 0, 0, "", error.what, error.got, error.do)]) from None
    name = coupon_name(planned.loaded.model.job, seal)
    folder = Path("outputs", name) if out is None else out
    target = folder / f"{name}.yaml"
    if target.is_file():
        before = target.read_text(encoding="utf-8", errors="replace")  # not ours any more, then
        if before == text:
            return target
        if edited(before):
            raise OutputError(
                f"{target} was edited and is not written over; build it with `rillwright build`, or take it elsewhere"
            )
    with staged(folder) as new:
        (new / target.name).write_text(text, encoding="utf-8", newline="\n")
        write_json(new / "manifest.json", manifest(name, new / target.name, new))
    return target

