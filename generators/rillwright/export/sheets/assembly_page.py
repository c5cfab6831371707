"""The page that lies beside the parts while they are put together: rings, order, tightening."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from ...layout.features import PlateLayout
from ...layout.job_layout import JobLayout
from ..bundle import Bundle
from ..drawings.canvas import Canvas
from ..drawings.paper import Beside, Block, Column, Figure, Heading, Items, Table, Text, Together
from .cautions import applying, things
from .cover_page import cover_blocks, numbers
from .mount_steps import mount_steps

CARE = (
    "Unplug the machine and keep coolant away from anything live until every loop is proved.",
    "Cyanoacrylate: eye protection, fresh air, and its vapour away from acrylic, which it crazes.",
    "Glass: look at both ends of every tube; a chipped one is thrown away. Gloves.",
    "No isopropanol, methanol or acetone on acrylic: wipe it with water and a drop of washing-up liquid.",
)  # solvents: suppliers' tables of resistance; gloves and glass: common practice, no source
RING = (
    "Cut the cord dead square with a new blade, against a stop; let it lie an hour unrolled first.",
    "A drop of cyanoacrylate on one end, press the ends together in line for ten seconds, look at it all round.",
    "A flexible grade forgives more; an offset of the ends by a tenth of the cord's diameter is too much.",
    "Lay the ring into its groove with the joint beside the screw that the list names; circle: its number in the picture "
    "of tightening.",
)  # common practice, no source


def assembly_blocks(bundle: Bundle) -> list[Block]:
    """Blocks of the page; only what the job has."""
    layout, result = bundle.layout, bundle.result
    out: list[Block] = [Heading("Assembly"), Items(applying(CARE, things(layout)))]
    if layout.rings:
        out += [Heading("Rings"), Items(RING, numbered=True), _rings(layout, _circled(bundle))]
    out += [Heading("Order"), Items(tuple(_order(layout)), tick=True)]
    for c in result.clamping if result else ():
        out.append(Together(tuple(_tighten(c, layout))))
    out += cover_blocks(layout)
    return out


def _circled(bundle: Bundle) -> dict[tuple[str, str], int]:
    """Number of each screw in the circles of the pictures of tightening, by plate and name."""
    found = numbers(bundle.layout)
    for c in bundle.result.clamping if bundle.result else ():
        for plate in bundle.layout.plates:
            found |= {(plate.name, name): n for n, name in enumerate(c["tightening"]["order"], 1)}
    return found


def _rings(layout: JobLayout, circled: dict[tuple[str, str], int]) -> Table:
    rows = tuple(
        (
            r.seal,
            r.plate,
            f"{r.cord.diameter:g}",
            r.cord.material,
            f"{r.length:.1f}",
            r.beside.removesuffix(".screw"),
            str(circled.get((r.plate, r.beside.removesuffix(".screw")), "-")),
            f"{r.joint[0]:.1f}, {r.joint[1]:.1f}",
        )
        for r in layout.rings
    )
    return Table(
        (
            Column("ring"),
            Column("plate"),
            Column("cord, mm", "right", 16),
            Column("material", width=18),
            Column("cut, mm", "right", 16),
            Column("joint beside"),
            Column("circle", "right", 13),
            Column("joint at x, y", "right", 28),
        ),
        rows,
    )


def _order(layout: JobLayout) -> Iterator[str]:
    yield "Every plate: edges broken, threads clear, no chips in any passage; blow it through."
    for p in layout.plates:
        plugs = [f"{f.name.removesuffix('.plug')} ({f.thread})" for f in p.features if f.role == "plug"]
        if plugs:
            yield f"{p.name}: plugs with their sealing rings into {', '.join(plugs)}."
    tubes: dict[str, list[str]] = {}
    for s in layout.stacks:
        upper, lower = _pair(layout, s.reservoir)
        tubes.setdefault(f"{lower}|{upper}", []).append(s.reservoir)
    for pair, names in tubes.items():
        lower, upper = pair.split("|")
        every = ", ".join(names)
        yield (
            f"{lower}: on the bench, seal face up. Rings into the channels of {every}; struts into their seats, "
            "screws hand-tight."
        )
        yield f"Tubes of {every} onto their rings, square and in the middle of their channels."
        yield (
            f"{upper}: rings into its channels, turn it over without losing them, lower it square over all tubes "
            "and struts."
        )
        yield f"Screws of {upper} hand-tight, all round, before the first is tightened."
    for p in layout.plates:
        if p.cover_of and not p.bonded:
            yield f"{p.cover_of}: rings into its grooves, {p.name} on, all screws hand-tight from the middle outwards."
        elif p.cover_of:
            yield f"{p.cover_of} and {p.name}: bond them as the adhesive's maker says, flat; none of it into a channel."
    yield from mount_steps(layout)
    ports = [f"{p.name}.{f.name} ({f.thread})" for p in layout.plates for f in p.features if f.role == "port" and f.thread]
    if ports:
        yield f"Fittings by hand, then a quarter turn or the maker's torque: {', '.join(ports)}."


def _pair(layout: JobLayout, reservoir: str) -> tuple[str, str]:
    """Upper and lower plate of a tube."""
    found = [p for p in layout.plates if any(f.name == f"{reservoir}.tube-channel" for f in p.features)]
    return max(found, key=lambda p: p.height).name, min(found, key=lambda p: p.height).name


def _tighten(c: dict[str, Any], layout: JobLayout) -> Iterator[Block]:
    t = c["tightening"]
    steps = " → ".join(f"{v:.2f}" for v in t["steps"])
    words: list[Block] = [
        Text(f"Screws of {c['reservoir']}: {steps} N·m", strong=True),
        Text(f"Go round in the order of the picture once for each step, both plates. {t['again'].capitalize()}."),
        Table(
            (Column("plate"), Column("screw"), Column("torque, N·m", "right"), Column("limited by")),
            tuple((h["plate"], h["screw"], f"{h['torque']:.2f}", f"the {h['limited_by']}") for h in c["plates"]),
        ),
    ]
    if t["caution"]:
        words.append(Text(f"Caution: {t['caution']}.", boxed=True))
    plate = next(p for p in layout.plates if any(f.name == f"{c['reservoir']}.tube-channel" for f in p.features))
    yield Heading(f"Tightening {c['reservoir']}")
    yield Beside(tuple(words), (Figure(_circle(plate, c["reservoir"], t["order"])),), 0.66)


def _circle(plate: PlateLayout, reservoir: str, order: list[str]) -> Canvas:
    """The tube and its struts from above, numbered in the order of tightening."""
    seats = {
        f.name.removesuffix(".seat"): f.origin[:2]
        for f in plate.features
        if f.role == "strut-seat" and f.name.startswith(f"{reservoir}.")
    }
    middle = next(f for f in plate.features if f.name == f"{reservoir}.tube-channel")
    x, y = middle.origin[:2]
    reach = max([math.dist((x, y), s) for s in seats.values()] + [middle.facts["outer_radius"]]) * 1.25
    k, half = 22.0 / reach, 25.0
    c = Canvas(2 * half, 2 * half)
    c.circle((half, half), middle.facts["outer_radius"] * k, "visible")
    c.circle((half, half), middle.facts["inner_radius"] * k, "thin")
    for n, name in enumerate(order, 1):
        if name in seats:
            at = (half + (seats[name][0] - x) * k, half + (seats[name][1] - y) * k)
            c.circle(at, 3.0, "visible")
            c.label(at, str(n), height=2.8, strong=True)
    c.label((half, half), "from above", height=1.8)
    return c

