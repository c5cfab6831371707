"""What windows, slots for light and loaded strips are asked without any solid. Lengths in mm, stresses in MPa."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ...layout.features import PlateLayout
from ...layout.job_layout import JobLayout
from ...layout.load_spans import LoadSpan
from ...layout.pockets import Pocket
from ...standards import materials
from ..finding import Outcome
from ..report import Case, outcome

if TYPE_CHECKING:
    from ...physics import bending

SHARE_OF_PROOF = 1 / 1.5  # of the proof stress of a metal; our choice, no source
SHARE_OF_STRENGTH = 1 / 4  # of a plastic's strength where no sustained stress is known; our choice, no source
_SMALLER = {"beam": "a shorter span", "cantilever": "a shorter span", "plate": "a smaller plate",
            "disc": "a ring of screws further in"}  # fmt: skip
_WIDER = {"beam": ", or a wider strip", "cantilever": ", or a wider strip"}
FORMULAS = "beam and plate formulas, see rillwright.physics.bending"


def shape_checks(layout: JobLayout) -> list[Outcome]:
    """Outcomes on bends and heat of slots for light, and on loaded strips and plates; none for jobs without them."""
    out: list[Outcome] = []
    lights = [(p, q) for p in layout.plates for q in p.pockets if q.role == "light" and "bend" in q.facts]
    if lights:
        out.append(outcome("light.bend", [_bend(p, q) for p, q in lights], "placed line of the slot"))
        hot = [_heat(p, q) for p, q in lights if q.facts["heat"] > 0]
        out.append(outcome("light.heat", hot, "length of the slot", severity="note"))
    loaded = [(p, s) for p in layout.plates for s in p.spans]
    if loaded:
        both = [_span(p, s) for p, s in loaded]
        out.append(outcome("bend.deflection", [d for d, _ in both], FORMULAS, bound="estimate"))
        out.append(outcome("bend.stress", [s for _, s in both if s is not None], FORMULAS, bound="estimate"))
    return out


def _bend(p: PlateLayout, q: Pocket) -> Case:
    bend, wanted = q.facts["bend"], q.facts["bend_wanted"]
    return Case(
        p.name, (q.name,), min(bend, 1e4), wanted, "the strip cannot be bent this tightly in its plane",
        f"lead it in arcs of {wanted:g} mm or more, or cut the strip in two at the corner", (q.origin,),
    )  # fmt: skip


def _heat(p: PlateLayout, q: Pocket) -> Case:
    return Case(
        p.name, (q.name,), q.facts["heat"], 0.0,
        "the strip gives off this heat, which the plate leads away badly, and it has to come out again one day",
        "stick it to metal or leave it air; do not cast it in", (q.origin,), at_most=True,
    )  # fmt: skip


def bent(p: PlateLayout, s: LoadSpan) -> bending.Bent:
    """Deflection and stress of one span."""
    from ...physics import bending

    m = materials.material(p.material)
    modulus = 1000 * (m.modulus_1000h if m.modulus_1000h is not None else m.modulus)
    if s.kind == "disc":
        return bending.disc(s.length, p.thickness, modulus, m.poisson, s.load, s.spread)
    form = {"beam": bending.beam, "cantilever": bending.cantilever, "plate": bending.plate}[s.kind]
    return form(s.length, s.width, p.thickness, modulus, s.load, s.spread)


def allowed(name: str) -> float:
    """Bending stress that a material bears for years, MPa."""
    m = materials.material(name)
    if m.sustained is not None:
        return m.sustained
    return m.proof * SHARE_OF_PROOF if m.proof is not None else m.known("strength") * SHARE_OF_STRENGTH


def _span(p: PlateLayout, s: LoadSpan) -> tuple[Case, Case | None]:
    found, limit = bent(p, s), allowed(p.material)
    thicker = p.thickness * (found.deflection / s.limit) ** (1 / 3)
    down = Case(
        p.name, (s.name,), found.deflection, s.limit, f"it sinks this much under {s.load:g} N",
        f"take {math.ceil(2 * thicker) / 2:g} mm of the same material, {_SMALLER[s.kind]}, or another support",
        at_most=True,
    )
    if found.stress is None:
        return down, None
    strong = p.thickness * math.sqrt(found.stress / limit)
    stress = Case(
        p.name, (s.name,), found.stress, limit, f"bending stress of {p.material} under {s.load:g} N",
        f"take {math.ceil(2 * strong) / 2:g} mm, {_SMALLER[s.kind]}{_WIDER.get(s.kind, '')}", at_most=True,
    )
    return down, stress
