"""A covered plate as body and covers, with the hardware between them. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from ...spec.job import Job
from ...spec.plate import Plate
from ...standards import screws
from .. import paths
from ..features import Feature, Hardware, Outline, PlateLayout
from ..gland import Gland
from ..hardware import in_assembly
from ..joints import Ring
from ..outline import Impossible, Loc, encloses
from ..passages import Faces
from ..pockets import Area, Path, Pocket
from ..profiles import STAND_OUT, stepped
from ..routing.problem import Problem, Routing, Terminal, Unexplained
from ..sealing.obstacles import Obstacle
from ..sealing.ring import InTheWay
from ..telling import tell
from .channels import Netted, NoWay, asked, beneath, no_way, outline_of, routed
from .decks import LEVELS, Deck, deck_of, decks, faces_of
from .drawn import drawn
from .ends import Beside, End, check_ports, cover_ports, end_at, passage_feature
from .fixing import body_holes, cover_holes, fixing, parts, place
from .grooves import cord_of, grooves, wet_areas
from .hold import CoverHold, cover_hold
from .joint import CoverJoint
from .legs import cut
from .room import require_apart, require_room
from .together import given_back, groups, landed, unified


@dataclass(frozen=True, slots=True)
class Plan:
    """What the router was asked and answered for one body, and the grooves' and screws' places come from its plates."""

    plate: str
    problem: Problem
    routing: Routing


@dataclass(frozen=True, slots=True)
class Covered:
    """A body with its covers, and all that lies between them."""

    plates: tuple[PlateLayout, ...]
    hardware: tuple[Hardware, ...] = ()
    rings: tuple[Ring, ...] = ()
    glands: tuple[Gland, ...] = ()
    plan: Plan | None = None
    joints: tuple[CoverJoint, ...] = ()
    holds: tuple[CoverHold, ...] = ()


def covered(job: Job, name: str, plate: Plate, body: PlateLayout, loc: Loc, explained: bool = True) -> Covered:
    """Channels, grooves and screws of a body whose own features are placed.

    Raises Impossible, NoWay for a channel without a way; Unexplained instead of that where no reason is wanted.
    """
    found = decks(job, name, plate, loc)
    faces = Faces(plate, body.outline)
    problems = check_ports(plate, found, loc)
    if problems:
        raise problems[0]
    bores = {d.face: cover_ports(plate, d, body.outline, loc) for d in found}
    passages = _passages(plate, body.thickness, loc)
    body = replace(body, features=(*body.features, *passages))
    nets = unified([_netted(plate, i, body, faces, found, bores, loc) for i in range(len(plate.channels))])
    keep = _kept_out(plate, body.outline, loc)
    made = tuple(f for n in nets for e in n.ends for f in e.features)
    body = replace(body, features=(*body.features, *_once(made)))
    together = groups(nets)
    try:
        problem, routing = _ways(job, plate, body, [g.net for g in together], found, keep, explained)
    except NoWay as e:
        e.parts = {g.net.channel.name: tuple(p.channel.name for p in g.parts) for g in together}
        raise
    pockets, vias = cut(*given_back(routing, together, problem), nets, body.thickness)
    windows = [_window(k.name, keep[k.name], body.thickness) for k in plate.keep_out if k.cut]
    body = replace(body, features=(*body.features, *vias), pockets=(*body.pockets, *pockets, *windows))
    result = Covered((body,), plan=Plan(name, problem, routing), joints=tuple(d.joint for d in found))
    for d in found:
        try:
            result = _closed(job, plate, result, d, bores[d.face], keep)
        except InTheWay as e:
            do = "make its border or strips wider" if plate.frame and e.who.startswith("frame-") else e.do
            raise Impossible((*d.loc, *e.loc), e.what, do) from e
    return result


def _kept_out(plate: Plate, shape: Outline, loc: Loc) -> dict[str, Outline]:
    """Shapes of the areas that are kept out of. Raises Impossible for one that is to be cut out and runs off the plate."""
    keep = {k.name: outline_of(k) for k in plate.keep_out}
    for i, k in enumerate(plate.keep_out):
        closed = Path(keep[k.name].start, keep[k.name].pieces, closed=True)
        if k.cut and not all(encloses(shape, p) for _, p, _ in paths.along(closed, 5.0)):
            raise Impossible((*loc, "keep_out", i, "at"), f"{k.name!r} would be cut out across the plate's edge",
                             "move it, draw it into the outline, or leave cut out")  # fmt: skip
    return keep


def _once(features: tuple[Feature, ...]) -> list[Feature]:
    return list({f.name: f for f in features}.values())


def _passages(plate: Plate, thickness: float, loc: Loc) -> list[Feature]:
    out = []
    for i, p in enumerate(plate.passages):
        floors = {face: max((c.depth for c in plate.channels if p.name in c.joins and face in faces_of(c)), default=None)
                  for face in LEVELS}  # fmt: skip
        seal, outer = floors["seal"], floors["outer"]
        if seal is None or outer is None:
            lost = "seal" if seal is None else "outer"
            raise Impossible((*loc, "passages", i), f"passage {p.name!r} meets no channel in the {lost} face",
                             "name it under joins of a channel in each face")  # fmt: skip
        out.append(passage_feature(p, (seal, outer), thickness))
    return out


def _netted(
    plate: Plate, i: int, body: PlateLayout, faces: Faces, found: list[Deck], bores: dict[Any, dict[str, Feature]], loc: Loc
) -> Netted:  # fmt: skip
    c, here = plate.channels[i], (*loc, "channels", i)
    for face in faces_of(c):
        if deck_of(found, face) is None:
            raise Impossible((*here, "face"), f"channel {c.name!r} lies open: there is no cover on the {face} face",
                             f"add covers.{face}, or cut it from the other face")  # fmt: skip
    if c.depth > body.thickness - 1:
        raise Impossible((*here, "depth"), f"a channel {c.depth:g} mm deep goes through a body of {body.thickness:g} mm",
                         "make it shallower, or take a thicker body")  # fmt: skip
    mine = [d for d in found if d.face in faces_of(c)]
    beside = Beside(*(max(x) for x in zip(*(
        (d.margin_of(c.width) + d.wall, d.margin_of(c.width) + d.edge, d.depth + d.wall) for d in mine
    ), strict=True)))  # fmt: skip
    by_name = {f.name: f for f in body.features}
    ends = []
    for k, j in enumerate(c.joins):
        there = (*here, "joins", k)
        if not isinstance(j, str):
            ends.append(End(Terminal(f"{c.name}-{k + 1}", j, c.width / 2, None)))
            continue
        over = next((bores[f][j] for f in faces_of(c) if j in bores.get(f, {})), None)
        if over is not None:
            level = LEVELS.index(next(f for f in faces_of(c) if j in bores.get(f, {})))
            ends.append(End(Terminal(j, (over.origin[0], over.origin[1]), over.facts["bore_radius"], level)))
        elif j in by_name:
            ends.append(end_at(by_name[j], c, faces, beside, there))
        else:
            what = f"{j!r} opens into no face that channel {c.name!r} is cut from"
            raise Impossible(there, what, "name a port on its cover, a port of the body, a drilling or a passage")
    return Netted(i, c, ends, here)


def _ways(
    job: Job, plate: Plate, body: PlateLayout, nets: list[Netted], found: list[Deck], keep: dict[str, Outline],
    explained: bool,
) -> tuple[Problem, Routing]:  # fmt: skip
    """Lines of all channels: with room for a screw beside every groove, or else with their lands only."""
    given = drawn(nets, found, body.outline)
    nets = landed(nets, given)
    require_apart(nets)
    wide, tight = max(d.between for d in found), max(d.tight for d in found)
    edge = max(d.edge for d in found)
    first, *rest = dict.fromkeys(((wide, edge), (tight, edge), (tight, tight)))
    failed: list[tuple[Problem, Impossible | Unexplained]] = []

    def tried(between: float, rim: float) -> tuple[Problem, Routing] | None:
        problem = replace(asked(job, plate, body, nets, found, keep, between, rim), given=given)
        if explained and any(isinstance(e, Unexplained) for _, e in failed):
            tell(f"{body.name}: looking for ways of its channels with less room for screws")
        try:
            require_room(problem, nets)
            return problem, routed(problem, nets)
        except (Impossible, Unexplained) as e:
            failed.append((problem, e))
            return None

    if (best := tried(*first)) is not None:
        return best
    # with the least room first: where that fails nothing between goes either, and a failure takes seconds
    least = tried(*rest[-1]) if rest else None
    if least is not None:
        return next((way for r in rest[:-1] if (way := tried(*r)) is not None), least)
    raise _told(failed, nets) if explained else failed[-1][1]


def _told(failed: list[tuple[Problem, Impossible | Unexplained]], nets: list[Netted]) -> Impossible:
    """What of several failures helps: the first that has a cure, as each reason takes seconds; else the last.

    What lets channels through with room for screws beside them holds up when it is done; without it, it may not.
    """
    last = failed[-1][1]
    if isinstance(last, Impossible):
        return last
    said: Impossible | None = None
    for problem, e in failed:
        if isinstance(e, Unexplained):
            tell(f"{nets[0].loc[1]}: looking for what stands in the way of its channels, and for what would help")
            said = no_way(e.why(), nets, problem)
            if said.cured:
                return said
    assert said is not None
    return said


def _window(name: str, shape: Outline, thickness: float) -> Pocket:
    return Pocket(name, "window", "seal", Area(shape), thickness, ("seal", "outer"), None, 0.0, 0.1, "opening, through")


def _closed(
    job: Job, plate: Plate, so_far: Covered, deck: Deck, bores: dict[str, Feature], keep: dict[str, Outline]
) -> Covered:
    """One cover put on: grooves and screw holes in the body, its own plate, cords and screws."""
    body, *others = so_far.plates
    cover = _cover(deck, body, bores)
    if not deck.screwed:
        return replace(so_far, plates=(body, *others, cover))
    stand = _standing(deck, body, plate, keep)
    open_ = [f for f in body.features if f.wet and deck.face in f.mouths]
    wet = wet_areas(deck, body.pockets, [*bores.values(), *open_])
    if not wet:
        raise Impossible(deck.loc, f"no channel lies under this cover of {body.name!r}, so nothing holds it down",
                         "leave the cover out, or cut a channel from that face")  # fmt: skip
    sealed = grooves(deck, body.outline, wet, stand)
    f = fixing(deck, body, job)
    # a screw's hole has its land already, its head has not
    head = max(0.0, deck.head + job.limits.wall_dry - deck.keep_out)
    beside = [(name, shape, max(clear - deck.land, head)) for name, shape, clear in stand]
    at = place(deck, body.outline, sealed, [*beside, *_flanges(job, deck, bores), *_beneath(job, deck, body, f.bore)]).at
    cuts = (*body.pockets, *(s.pocket for s in sealed))
    body = replace(body, pockets=cuts, features=(*body.features, *body_holes(deck, body, at, f)))
    cover = replace(cover, features=(*cover.features, *cover_holes(deck, at, f)))
    names = [(f"{deck.owner}.screw-{i}", p) for i, p in enumerate(at, 1)]
    cords = [cord_of(deck, s, body, job, names) for s in sealed]
    return replace(
        so_far, plates=(body, *others, cover), rings=(*so_far.rings, *(r for _, r, _ in cords)),
        hardware=(*so_far.hardware, *(h for h, _, _ in cords), *parts(deck, body, cover, at, f)),
        glands=(*so_far.glands, *(g for _, _, g in cords)),
        holds=(*so_far.holds, cover_hold(deck, body, cover, sealed, at, f, job)),
    )  # fmt: skip


def _cover(
    deck: Deck, body: PlateLayout, bores: dict[str, Feature]
) -> PlateLayout:
    stock = deck.cover.stock
    up = body.seal_up if deck.face == "outer" else not body.seal_up
    height = in_assembly(body, (0.0, 0.0, 0.0 if deck.face == "seal" else -body.thickness))[2]
    through = [replace(p, depth=stock.thickness, face="seal", mouths=("seal", "outer")) for p in body.pockets
               if len(p.mouths) > 1]  # fmt: skip
    holes = [_hole_on(f, deck.face, stock.thickness) for f in body.features if f.role in ("screw", "mounting")
             and len(f.mouths) > 1 and not f.name.startswith(("cover.", "outer-cover."))]  # fmt: skip
    return PlateLayout(
        deck.name, body.outline, stock.thickness, stock.material, up, height, (*bores.values(), *holes),
        pockets=tuple(through), cover_of=body.name, bonded=not deck.screwed,
    )  # fmt: skip


def _hole_on(f: Feature, face: str, thick: float) -> Feature:
    """A hole through the body goes on through its cover, as wide as its mouth there."""
    r = f.facts["mouth_radius"] if f.face == face and "mouth_radius" in f.facts else f.facts["hole_radius"]
    r = screws.clearance_hole(f.thread) / 2 if f.role == "mounting" else r
    return Feature(
        f.name, "screw", (*f.origin[:2], -thick), (0.0, 0.0, 1.0), stepped([(r, thick + STAND_OUT)]), "outer",
        ("outer", "seal"), call_out=f"Ø{2 * r:g} through", facts={"hole_radius": r}, thread=f.thread,
    )  # fmt: skip


def _standing(deck: Deck, body: PlateLayout, plate: Plate, keep: dict[str, Outline]) -> list[Obstacle]:
    """What grooves and screws stay away from: keep-out areas and all that opens in the covered face."""
    out: list[Obstacle] = [(k.name, keep[k.name], k.clearance + deck.land) for k in plate.keep_out]
    out += [(f.name, (f.origin[:2], f.radius), deck.land) for f in body.features if deck.face in f.mouths and not f.wet]
    out += [(p.name, p, deck.land) for p in body.pockets if p.role not in ("channel", "groove") and deck.face in p.mouths
            and p.name not in keep]  # fmt: skip
    return out


def _flanges(job: Job, deck: Deck, bores: dict[str, Feature]) -> list[Obstacle]:
    """Fittings on the cover: heads leave a spanner room beside their flanges, and sunk ones a wall to their spotfaces."""
    beside = job.limits.spanner if deck.cover.screws.head == "on-top" else job.limits.wall_dry
    extra = max(0.0, deck.head + max(1.0, beside) - deck.keep_out)
    return [(f.name, (f.origin[:2], f.facts["spotface_radius"]), extra) for f in bores.values()]


def _beneath(job: Job, deck: Deck, body: PlateLayout, bore: float) -> list[Obstacle]:
    """What lies in the body where a screw's hole would reach, and the channels of the other face."""
    extra = max(0.0, job.limits.wall_wet + deck.hole - deck.keep_out)
    out = [(f.name, shape, extra) for f, shape in beneath(body, deck.face, bore + job.limits.wall_wet)]
    far = [p for p in body.pockets if p.face != deck.face and p.role != "window"]
    out += [(p.name, p, extra) for p in far if body.thickness - p.depth < bore + job.limits.wall_wet]
    return out
