"""Friction, local losses, coolant properties and networks against books and against independent libraries."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from CoolProp.CoolProp import PropsSI
from fluids import fittings
from fluids import friction as reference
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from rillwright.physics import coolant, losses
from rillwright.physics import friction as fr
from rillwright.physics.legs import Bend, Leg, Net
from rillwright.physics.network import NoFlow, solve

WATER = coolant.given(998.0, 1.02e-3 * 0.998)  # White's ν = 1.02e-6 m²/s


def pipe(name: str, start: str, end: str, length: float, diameter: float, roughness: float) -> Leg:
    return Leg(name, start, end, length, fr.round_bore(diameter), roughness)


# --- friction -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("ratio", "printed"), [(1.0, 56.91), (0.5, 62.19), (0.25, 72.93)])
def test_laminar_rectangles_are_those_of_white_table_6_4(ratio: float, printed: float) -> None:
    assert fr.laminar_rectangle(ratio) == pytest.approx(printed, abs=0.006)


def test_a_rectangle_without_depth_is_two_parallel_plates() -> None:
    # 96, exact solution for parallel plates (White, section 6.8).
    assert fr.laminar_rectangle(1e-4) == pytest.approx(96, rel=2e-3)


def test_annulus_of_white_6_14() -> None:
    # F. M. White, example 6.14: radii 5 and 3 cm, 30 m, 0.01 m³/s, ν 1.02e-6, commercial steel 0.046 mm; the level is
    # the friction head and one velocity head. f 0.0232 and 3.71 m by D_h; 0.0257 and 4.09 m by the effective diameter.
    # f Re of a concentric annulus by the exact solution, section 6.8: 64 (a − b)² (a² − b²)/(a⁴ − b⁴ − (a² − b²)²/ln(a/b)).
    a, b = 0.05, 0.03
    shape = (a - b) ** 2 * (a**2 - b**2) / (a**4 - b**4 - (a**2 - b**2) ** 2 / math.log(a / b))
    section = fr.Section(math.pi * (a**2 - b**2), 2 * (a - b), 64 * shape)
    velocity, kinematic, roughness = 0.01 / section.area, 1.02e-6, 0.046e-3
    by_hydraulic = fr.churchill(velocity * section.hydraulic / kinematic, roughness / section.hydraulic)
    effective = fr.factor(section, velocity, kinematic, roughness)
    for f, printed_f, printed_head in ((by_hydraulic, 0.0232, 3.71), (effective, 0.0257, 4.09)):
        # Churchill against the book's Colebrook: within 1.5 %.
        assert f == pytest.approx(printed_f, rel=0.015)
        assert (1 + f * 30 / section.hydraulic) * velocity**2 / 2 / 9.81 == pytest.approx(printed_head, rel=0.015)


@given(st.floats(1, 1e6), st.floats(0, 0.05))
@settings(max_examples=50, deadline=None)
def test_churchill_is_that_of_an_independent_library(reynolds: float, roughness: float) -> None:
    assert fr.churchill(reynolds, roughness) == pytest.approx(reference.Churchill_1977(reynolds, roughness), rel=1e-9)


def test_churchill_is_smooth_where_the_flow_changes() -> None:
    steps = [fr.churchill(re, 0.0) for re in range(1800, 4200, 10)]
    assert max(abs(b / a - 1) for a, b in pairwise(steps)) < 0.02


# --- local losses ---------------------------------------------------------------------------------------------------


@given(st.floats(0.1, 0.9), st.floats(0.15, 1.0), st.sampled_from([30.0, 45.0, 90.0]))
@settings(max_examples=80, deadline=None)
def test_tees_are_those_of_an_independent_library(share: float, area_ratio: float, degrees: float) -> None:
    run, branch, q = 0.01, 0.01 * math.sqrt(area_ratio), 1e-4
    angle, split = math.radians(degrees), (q * (1 - share), q * share)
    # 4 %, 6 %, 2 %: where the published form steps ours does not, see physics/losses.py.
    theirs = fittings.K_branch_converging_Crane(run, branch, *split, angle=degrees)
    assert losses.tee_converging_branch(share, area_ratio, angle) == pytest.approx(theirs, rel=0.03, abs=1e-9)
    theirs = fittings.K_branch_diverging_Crane(run, branch, *split, angle=degrees)
    assert losses.tee_diverging_branch(share, area_ratio, angle) == pytest.approx(theirs, rel=0.07, abs=1e-9)
    theirs = fittings.K_run_diverging_Crane(run, branch, *split, angle=degrees)
    assert losses.tee_diverging_run(share, area_ratio) == pytest.approx(theirs, abs=1e-9)
    if degrees == 90:
        theirs = fittings.K_run_converging_Crane(run, branch, *split)
        assert losses.tee_converging_run(share) == pytest.approx(theirs, abs=1e-9)


def test_converging_tee_of_crane_7_35() -> None:
    # Crane TP-410, example 7-35: 1135 L/min along the run, 380 L/min from the branch of a DN100 tee.
    share = 380 / (1135 + 380)
    assert losses.tee_converging_branch(share, 1.0) == pytest.approx(-0.0403, abs=5e-4)
    assert losses.tee_converging_run(share) == pytest.approx(0.326, abs=5e-4)


@pytest.mark.parametrize(("angle", "ratio"), [(90, 1.0), (90, 3.0), (45, 1.5), (180, 2.0)])
def test_rounded_bends_are_those_of_an_independent_library(angle: float, ratio: float) -> None:
    f, rad = 0.03, math.radians(angle)
    theirs = fittings.bend_rounded(Di=0.008, bend_diameters=ratio, angle=angle, fd=f, method="Rennels")
    assert losses.bend(rad, ratio, f) + f * rad * ratio == pytest.approx(theirs, rel=1e-9)


@pytest.mark.parametrize("angle", [20, 45, 60, 90])
def test_sharp_elbows_are_those_of_an_independent_library(angle: float) -> None:
    theirs = fittings.bend_miter(angle=angle, Di=0.008, method="Rennels")
    assert losses.mitre(math.radians(angle)) == pytest.approx(theirs, rel=1e-9)


# ASHRAE Fundamentals 1989, mitred rectangular elbow at 90°: C' by height (square to the plane of the turn) over width,
# and its factor by the Reynolds number.
DUCTS = {0.25: 1.3, 0.5: 1.3, 0.75: 1.2, 1.0: 1.2, 1.5: 1.1, 2.0: 1.1}
DUCTS_BY_REYNOLDS = {1e4: 1.40, 2e4: 1.26, 3e4: 1.19, 4e4: 1.14, 6e4: 1.09, 8e4: 1.06, 1e5: 1.04, 1.4e5: 1.0}


@pytest.mark.parametrize("shape", DUCTS)
def test_the_band_of_a_sharp_elbow_holds_the_table_of_mitred_ducts(shape: float) -> None:
    """Channels as they are milled: a quarter to twice as deep as wide. Narrower ones, 3 and 4, lose a sixth less."""
    for reynolds, factor in DUCTS_BY_REYNOLDS.items():
        low, high = (losses.read("mitre", b, losses.mitre(math.pi / 2), reynolds) for b in ("low", "high"))
        assert low < DUCTS[shape] * factor < high


@given(st.floats(0, 1))
def test_widening_and_narrowing(ratio: float) -> None:
    assert losses.expansion(ratio) == pytest.approx(fittings.diffuser_sharp(math.sqrt(ratio) or 1e-9, 1.0), abs=1e-6)
    assert losses.contraction(ratio) == pytest.approx(0.5 * (1 - ratio))  # common handbook form


# --- coolant --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mix", "viscosities"),
    [("ethylene glycol", (1.00, 1.275, 1.662, 2.166, 2.819)), ("propylene glycol", (1.00, 1.432, 2.030, 2.965, 4.384))],
)
def test_viscosity_at_20_degrees_by_mass_share(mix: coolant.Mix, viscosities: tuple[float, ...]) -> None:
    # Published polynomials (Melinder, IIR 2010), computed apart.
    for share, printed in zip((0, 10, 20, 30, 40), viscosities, strict=True):
        assert 1000 * coolant.coolant(mix, share, 20).viscosity == pytest.approx(printed, abs=0.003)


@pytest.mark.parametrize("temperature", [10, 25, 40, 60])
def test_water_and_glycol_are_near_an_independent_fit(temperature: float) -> None:
    # CoolProp: IAPWS water, and its own fit MEG2; two fits of measurements agree to 0.2 % and 6 %.
    kelvin = temperature + 273.15
    ours = coolant.coolant("water", 0, temperature)
    assert ours.viscosity == pytest.approx(PropsSI("V", "T", kelvin, "P", 2e5, "Water"), rel=0.005)
    assert ours.density == pytest.approx(PropsSI("D", "T", kelvin, "P", 2e5, "Water"), rel=5e-4)
    if temperature > 40:  # where that fit of glycol ends
        return
    ours = coolant.coolant("ethylene glycol", 30, temperature)
    theirs = [PropsSI(k, "T", kelvin, "P", 2e5, "INCOMP::MEG2[0.30]") for k in ("V", "D", "C")]
    assert ours.viscosity == pytest.approx(theirs[0], rel=0.06)
    assert ours.density == pytest.approx(theirs[1], rel=0.005)
    assert ours.heat == pytest.approx(theirs[2], rel=0.02)


@pytest.mark.parametrize(
    ("mix", "share", "temperature", "word"),
    [("water", 0, -1, "between"), ("water", 0, 101, "between"), ("propylene glycol", 20, -20, "freez"),
     ("ethylene glycol", 61, 20, "60")],
)  # fmt: skip
def test_what_published_data_does_not_reach_is_refused(
    mix: coolant.Mix, share: float, temperature: float, word: str
) -> None:
    with pytest.raises(ValueError, match=word):
        coolant.coolant(mix, share, temperature)


# --- networks ---------------------------------------------------------------------------------------------------------


def _white_6_18() -> Net:
    legs = (pipe("1", "A", "B", 100, 0.08, 0.24e-3), pipe("2", "A", "B", 150, 0.06, 0.12e-3),
            pipe("3", "A", "B", 80, 0.04, 0.20e-3))  # fmt: skip
    # The book leaves out what the flow loses entering and leaving the pipes: taken off again here.
    ends = -losses.ENTRANCE - losses.EXIT
    return Net(tuple(replace(g, extra=ends) for g in legs), {"A": "plenum", "B": "plenum"})


def test_three_parallel_pipes_of_white_6_18() -> None:
    # F. M. White, example 6.18: 62.5, 25.9, 11.4, together 99.8 m³/h at a head of 20.3 m.
    flow = solve(_white_6_18(), WATER, {"A": 99.8 / 3600, "B": -99.8 / 3600})
    assert [q * 3600 for q in flow.flows.values()] == pytest.approx([62.5, 25.9, 11.4], abs=0.06)
    assert flow.drop("A", "B") / 998 / 9.81 == pytest.approx(20.3, abs=0.15)


def _plate(seed: int, far: float) -> Net:
    """A meshed net of small channels, every section and length different."""
    def leg(i: int, a: str, b: str) -> Leg:
        wide, deep = 6 + (seed * 7 + 3 * i) % 7, 6 + (seed + i) % 5
        turn = (1.0, 0.0, 0.0) if i % 2 else (0.0, 1.0, 0.0)
        bends = (Bend(math.pi / 2, 0.012),) if i % 3 == 0 else ()
        back = tuple(-v for v in turn)
        return Leg(f"g{i}", a, b, far * (1 + i % 4) / 10, fr.rectangular(wide / 1e3, deep / 1e3), 5e-6, turn, back, bends)

    ends = [("P", "a"), ("a", "b"), ("a", "c"), ("b", "c"), ("b", "d"), ("c", "d"), ("d", "Q"), ("b", "dead")]
    legs = tuple(leg(i, *e) for i, e in enumerate(ends))
    return Net(legs, {"P": "end", "Q": "end", "dead": "end", **dict.fromkeys("abcd", "meeting")})


@given(st.integers(0, 40), st.floats(0.1, 1.0), st.floats(0.2, 12.0), st.sampled_from(["low", "nominal", "high"]))
@settings(max_examples=25, deadline=None, phases=[Phase.explicit, Phase.generate])
def test_flow_and_energy_balance_in_meshed_nets(seed: int, far: float, rate: float, band: losses.Band) -> None:
    net, q = _plate(seed, far), rate / 60_000
    flow = solve(net, WATER, {"P": q, "Q": -q}, band)
    for node in net.kinds:
        out = sum(flow.flows[g.name] for g in net.legs if g.start == node)
        into = sum(flow.flows[g.name] for g in net.legs if g.end == node)
        fed = {"P": q, "Q": -q}.get(node, 0.0)
        assert abs(fed + into - out) <= 1e-9 * q
    scale = max(abs(p) for p in flow.pressures.values())
    for g in net.legs:
        lost = math.fsum(flow.parts[g.name])
        assert abs(flow.drop(g.start, g.end) - lost) <= 1e-9 * scale
    power = sum(q_ * math.fsum(flow.parts[n]) for n, q_ in flow.flows.items())
    assert power == pytest.approx(q * flow.drop("P", "Q"), rel=1e-9)


def test_one_leg_is_its_formula() -> None:
    leg = Leg("g", "P", "Q", 0.3, fr.rectangular(0.008, 0.008), 5e-6)
    q = 4 / 60_000
    velocity = q / 64e-6
    f = fr.factor(leg.section, velocity, WATER.kinematic, 5e-6)
    flow = solve(Net((leg,), {"P": "end", "Q": "end"}), WATER, {"P": q, "Q": -q})
    assert flow.drop("P", "Q") == pytest.approx(f * 0.3 / 0.008 * 998 * velocity**2 / 2, rel=1e-9)


@pytest.mark.parametrize("band", ["low", "nominal", "high"])
def test_a_sharp_corner_in_a_leg_is_a_mitre_and_loses_more_than_any_rounded_one(band: losses.Band) -> None:
    def lost(radius: float | None, q: float) -> float:
        bends = () if radius is None else (Bend(math.pi / 2, radius),)
        leg = Leg("g", "P", "Q", 0.1, fr.rectangular(0.008, 0.008), 5e-6, bends=bends)
        return solve(Net((leg,), {"P": "end", "Q": "end"}), WATER, {"P": q, "Q": -q}, band).drop("P", "Q")

    for rate in (0.5, 4.0, 10.0):
        q = rate / 60_000
        velocity = q / 64e-6
        k = losses.read("mitre", band, losses.mitre(math.pi / 2), velocity * 0.008 / WATER.kinematic)
        assert lost(0.0, q) - lost(None, q) == pytest.approx(k * 998 * velocity**2 / 2, rel=1e-9)
        drops = [lost(r, q) for r in (0.0, 0.0005, 0.004, 0.008, 0.024)]
        assert drops == sorted(drops, reverse=True)
        assert drops[0] > drops[-1]


@pytest.mark.parametrize("band", ["low", "nominal", "high"])
def test_a_net_without_meshes_is_what_newton_makes_of_it(band: losses.Band) -> None:
    # P - a tee - an elbow - Q1, and Q2 by a branch; against the same net with a mesh so thin that nothing goes through it.
    legs = [
        Leg("in", "P", "T", 0.05, fr.round_bore(0.008), 5e-6, (1, 0, 0), (-1, 0, 0)),
        Leg("on", "E", "T", 0.08, fr.round_bore(0.007), 5e-6, (-1, 0, 0), (1, 0, 0)),
        Leg("up", "E", "Q1", 0.06, fr.rectangular(0.008, 0.006), 5e-6, (0, 0, 1), (0, 0, -1)),
        Leg("side", "T", "Q2", 0.04, fr.round_bore(0.006), 5e-6, (0, 1, 0), (0, -1, 0)),
    ]
    kinds = {"P": "end", "T": "meeting", "E": "meeting", "Q1": "end", "Q2": "end"}
    q = 4 / 60_000
    inflow = {"P": q, "Q1": -0.6 * q, "Q2": -0.4 * q}
    tree = solve(Net(tuple(legs), kinds), WATER, inflow, band)
    hair = Leg("hair", "Q1", "Q2", 1.0, fr.round_bore(1e-5), 0.0)
    mesh = solve(Net((*legs, hair), {**kinds, "Q1": "plenum", "Q2": "plenum"}), WATER, inflow, band)
    assert (tree.steps, mesh.steps > 1) == (0, True)
    assert tree.flows == pytest.approx({"in": q, "on": -0.6 * q, "up": 0.6 * q, "side": 0.4 * q}, rel=1e-12)
    for g in legs:
        assert sum(tree.parts[g.name]) == pytest.approx(tree.drop(g.start, g.end), rel=1e-9)
        assert tree.flows[g.name] == pytest.approx(mesh.flows[g.name], rel=1e-6)
        # The mesh's ends are plenums, which lose the velocity; all else is the same.
        assert sum(tree.parts[g.name][:2]) == pytest.approx(sum(mesh.parts[g.name][:2]), rel=1e-6)
    assert tree.drop("P", "E") == pytest.approx(mesh.drop("P", "E"), rel=1e-6)


def test_what_nothing_joins_is_refused() -> None:
    net = Net((pipe("1", "A", "B", 1, 0.01, 0), pipe("2", "C", "D", 1, 0.01, 0)), dict.fromkeys("ABCD", "end"))
    with pytest.raises(NoFlow, match="A to D"):
        solve(net, WATER, {"A": 1e-4, "D": -1e-4})
    with pytest.raises(ValueError, match="flow out"):
        solve(net, WATER, {"A": 1e-4, "B": -2e-4})
    with pytest.raises(ValueError, match="no node X"):
        solve(net, WATER, {"A": 1e-4, "X": -1e-4})
