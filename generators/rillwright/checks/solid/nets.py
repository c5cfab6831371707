"""Are the nets found in the finished solids those that the job asks for? Twice: on the solids and on the STL files."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from ...layout.job_layout import JobLayout
from ...layout.nets import Assembly, Terminal, assemblies
from ...layout.stands import Stand
from ..finding import Outcome
from ..kept import Kept, anew
from ..report import UNEXPECTED, Case, Cases, outcome
from .closing import closing_parts, opened
from .gaps import apart
from .methods import NET_METHODS
from .stl import StlMesh
from .voids import SLIVER, Recovered, Void, recovered
from .voids_mesh import recovered_again
from .volumes import net_rows, voids_of
from .ways import Way, leak_ways, short_ways

CHORD = 2.5  # times the deflection: what two meshed surfaces of one void may stray, as for walls


def net_checks(
    layout: JobLayout, solids: Mapping[str, Any], stls: dict[str, StlMesh], deflection: float
) -> tuple[list[Outcome], list[dict[str, Any]]]:
    """Outcomes of all net rules, and one row per loop with what it joins and how much coolant it holds.

    `solids` and `stls` (read back from the files) are in the plates' own frames, lengths in mm.
    """
    found = [assembly_cases(a, solids, stls, deflection) for a in assemblies(layout)]
    whole = [outcome(rule, [c for cases, _ in found for c in cases[rule]], method) for rule, method in NET_METHODS.items()]
    return whole, [row for _, rows in found for row in rows]


def assembly_cases(
    a: Assembly, solids: Mapping[str, Any], stls: dict[str, StlMesh], deflection: float,
    stands: tuple[Stand, ...] = (), kept: Kept = anew,
) -> tuple[Cases, list[dict[str, Any]]]:  # fmt: skip
    """Cases of all net rules in one assembly, and its rows, with the air and coolant left in each of the `stands`.

    What `kept` still knows of the air in a loop's void is not found again: a hole elsewhere does not change it.
    """
    cases: Cases = {rule: [] for rule in NET_METHODS}
    a = opened(a)
    parts = closing_parts(a, deflection)
    exact = recovered(a, solids, parts)
    again = recovered_again(a, stls, parts, deflection)
    _compare(a, exact, cases)
    cases["net.second-path"].append(_agreement(a, exact, again, deflection))
    rows = net_rows(a, exact, again)
    return cases, [{**r, **_standing(a, r, again, stands, kept)} for r in rows]


def _standing(
    a: Assembly, row: dict[str, Any], again: Recovered, stands: tuple[Stand, ...], kept: Kept
) -> dict[str, Any]:
    """Air and coolant left in one loop; nothing of a loop that is not whole and closed."""
    from .air import air_rows, narrow, of_loop, surface_key

    loop = row["loop"]
    voids = voids_of(a, loop, again)
    if not stands or not row["joined"] or not voids:
        return {"standing": [], "narrow": []}
    surfaces = [m for v in voids for m in v.shape]
    own = of_loop(a, loop)
    key = ("air", own, loop, stands, [surface_key(m) for m in surfaces])
    return {"standing": kept(key, partial(air_rows, own, loop, surfaces, stands)), "narrow": narrow(own, loop)}


def _compare(a: Assembly, found: Recovered, cases: Cases) -> None:
    """What was found in one assembly against what is intended."""
    cases["net.unexplained"].append(_unexplained(a, found))
    if found.fault:
        return
    for loop in a.loops:
        cases["net.open"] += _open(a, found, loop)
        cases["net.leak"] += _leaks(a, found, loop)
    cases["net.passages"] += _passages(a, found)
    for v in found.voids:
        if not v.outside:
            cases["net.short"] += _shorts(a, v)
            cases["net.unreached"].append(_unreached(a, v))


def place(a: Assembly, terminals: list[Terminal]) -> tuple[str, tuple[str, ...]]:
    """Plate and names of terminals: plain names where they share a plate, else those of the assembly."""
    plates = {t.plate or a.name for t in terminals}
    plate = plates.pop() if len(plates) == 1 else a.name
    return plate, tuple(t.name.removeprefix(f"{plate}.") for t in terminals)


def _open(a: Assembly, found: Recovered, loop: str) -> list[Case]:
    """One case for a net that is whole; else one for each part that stands apart from its largest."""
    net = a.net(loop)
    parts = [(v, [t for t in net if t.name in v.terminals]) for v in found.voids if not v.outside]
    parts = sorted((p for p in _bridged(a, parts) if p[1]), key=lambda p: -len(p[1]))
    if len(parts) < 2:
        plate, names = place(a, list(net))
        return [Case(plate, names, len(parts), 1, "", "", nets=(loop,), at_most=True)]
    (main, rest), *strays = parts
    out = []
    for v, terminals in strays:
        gap = apart(a, loop, v, main)
        plate, names = place(a, terminals)
        others = ", ".join(place(a, [*terminals, *rest])[1][len(terminals) :])
        what = f"{', '.join(names)} of loop {loop} is not joined to {others}: {gap.what}"
        features = tuple(dict.fromkeys((*names, *gap.features)))
        out.append(Case(gap.plate or plate, features, len(parts), 1, what, gap.remedy, gap.at, (loop,), at_most=True))
    return out


def _passages(a: Assembly, found: Recovered) -> list[Case]:
    """Ports of a block by the void that each lies in, against the passages that the file asks for.

    A loop of cards in series comes back to the block again and again: what joins two of its passages lets coolant go
    past a card, and neither net.open nor net.short would see it.
    """
    voids = {t: i for i, v in enumerate(found.voids) for t in v.terminals}
    cases = []
    for i, group in enumerate(a.passages):
        own = {voids.get(t) for t in group}
        strays = [t for other in a.passages[i + 1 :] for t in other if voids.get(t) in own]
        plate, names = place(a, [t for t in a.terminals if t.name in (*group, *strays)])
        loops = tuple(sorted({t.loop for t in a.terminals if t.name in group}))
        what = "one passage joins these ports, and coolant goes past cards" if strays else "no passage joins these ports"
        remedy = "let drillings pass each other with a wall between them" if strays else "let its drillings meet"
        cases.append(Case(plate, names, len(own) - 1 + len(strays), 0, what, remedy, nets=loops, at_most=True))
    return cases


def _bridged(a: Assembly, parts: list[tuple[Void, list[Terminal]]]) -> list[tuple[Void, list[Terminal]]]:
    """Voids that parts on the plates join count as one, told by its largest."""
    done: list[tuple[Void, list[Terminal]]] = []
    for v, own in sorted(parts, key=lambda p: -p[0].volume):
        reached = a.reached(tuple(t.name for t in own))
        met = [d for d in done if reached & {t.name for t in d[1]}]
        done = [d for d in done if d not in met]
        done.append((met[0][0] if met else v, [*(t for d in met for t in d[1]), *own]))
    return done


def _shorts(a: Assembly, v: Void) -> list[Case]:
    loops = sorted({t.loop for t in a.terminals if t.name in v.terminals})
    if len(loops) < 2:
        return [_case(a, Way(a.name, v.terminals, "", ""), len(loops), 1, tuple(loops))] if loops else []
    pairs = [(p, q) for i, p in enumerate(loops) for q in loops[i + 1 :]]
    ways = [w for p, q in pairs for w in short_ways(a, p, q)]
    unknown = Way(a.name, v.terminals, f"loops {', '.join(loops)} share one void", "look for what joins them", (v.middle,))
    return [_case(a, w, len(loops), 1, tuple(loops)) for w in ways or [unknown]]


def _leaks(a: Assembly, found: Recovered, loop: str) -> list[Case]:
    out = next((v for v in found.voids if v.outside), None)
    wet = [t for t in a.net(loop) if out is not None and t.name in out.terminals]
    if not wet:
        plate, names = place(a, list(a.net(loop)))
        return [_case(a, Way(plate, names, "", ""), 0, 0, (loop,))]
    others = [o for o in a.loops if o != loop]
    ways = leak_ways(a, loop) or [w for o in others for w in short_ways(a, loop, o)]
    plate, names = place(a, wet)
    what = f"{', '.join(names)} of loop {loop} reaches the outside; the way was not found"
    unknown = Way(plate, names, what, "look for a passage that opens into a dry space", (wet[0].at,))
    return [_case(a, w, 1, 0, (loop,)) for w in ways or [unknown]]


def _unreached(a: Assembly, v: Void) -> Case:
    """A void without a port, unless it is a stray part of a net that has ports elsewhere (which `net.open` reports)."""
    inside = [t for t in a.terminals if t.name in v.terminals]
    reached = any(t.kind == "port" for loop in {t.loop for t in inside} for t in a.net(loop))
    plate, names = place(a, inside)
    what = "coolant space that no port reaches" if inside else "a hollow that nothing reaches"
    remedy = "give its loop a port" if inside else "look for a drilling that ends inside and meets nothing"
    loops = tuple(sorted({t.loop for t in inside}))
    return Case(plate, names, 0.0 if reached else v.volume, SLIVER, what, remedy, (v.middle,), loops, at_most=True)


def _unexplained(a: Assembly, found: Recovered) -> Case:
    lost = [t for t in a.terminals if t.name in found.lost]
    plate, names = place(a, lost)
    what = found.fault or f"where coolant should stand in {', '.join(names)} there is material, or nothing could be found"
    at = tuple(t.at for t in lost)
    return Case(plate, names, len(lost) + bool(found.fault), 0, what, UNEXPECTED, at,
                at_most=True)  # fmt: skip


def _agreement(a: Assembly, exact: Recovered, again: Recovered, deflection: float) -> Case:
    """How many voids the two paths do not agree on, with both answers."""
    differ = exact.partition ^ again.partition
    what = "; ".join(
        f"{path}: {found.fault or _told(found, differ)}" for path, found in (("solids", exact), ("STL", again))
    )
    count = len(differ) + bool(again.fault) + bool(exact.fault)
    strayed = [] if count else _strayed(exact, again, deflection)
    if strayed:
        what = "; ".join(f"solids {v.volume:.1f} mm³, STL {w.volume:.1f} mm³" for v, w in strayed)
    names = sorted({t for v in strayed for t in v[0].terminals} | {t for part in differ for t in part[0]})
    return Case(a.name, tuple(names), count + len(strayed), 0, what, "give a smaller output.deflection; if both answers "
                "still differ, two passages meet by less than the mesh can show", at_most=True)  # fmt: skip


def _told(found: Recovered, differ: frozenset[tuple[frozenset[str], bool]]) -> str:
    told = [f"{', '.join(v.terminals)}{' with the outside' if v.outside else ''}" for v in found.voids
            if v.terminals and (frozenset(v.terminals), v.outside) in differ]  # fmt: skip
    told += [f"nothing at {', '.join(found.lost)}"] if found.lost else []
    return " | ".join(told) or "no such void"


def _strayed(exact: Recovered, again: Recovered, deflection: float) -> list[tuple[Void, Void]]:
    """Voids whose two volumes differ by more than chords can explain: surface × what it may stray."""
    pairs = [(v, again.of(v.terminals[0])) for v in exact.voids if v.terminals and not v.outside]
    return [(v, w) for v, w in pairs if w is not None and abs(v.volume - w.volume) > CHORD * deflection * w.area]


def _case(a: Assembly, w: Way, measured: float, limit: float, loops: tuple[str, ...]) -> Case:
    return Case(w.plate or a.name, w.features, measured, limit, w.what, w.remedy, w.at, loops, at_most=True)
