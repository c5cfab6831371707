"""Covered plates, from the parameter file to walls and nets measured on the solids."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from rillwright.checks.finding import Outcome
from rillwright.checks.plan.hardware import plan_checks
from rillwright.checks.solid.measure import measure
from rillwright.export.stl import stl_bytes
from rillwright.layout.features import PlateLayout
from rillwright.layout.job_layout import JobLayout
from rillwright.layout.paths import length
from rillwright.layout.pockets import Stroke
from rillwright.pipeline import plan
from rillwright.solids.build import plate_solid
from rillwright.solids.meshing import mesh
from rillwright.spec.job import Limits

Job = dict[str, Any]
DEFLECTION = 0.02


def job(**covers: Any) -> Job:
    """One loop with all three kinds of ports: through the cover, from the outer face, from an edge; and a second loop."""
    cover = {"stock": {"material": "pmma-cast", "thickness": 12}, "screws": {"thread": "M3", "pitch": 70}}
    return {
        "job": "board", "loops": {"warm": {}, "cool": {"tint": "amber"}},
        "plates": {"board": {
            "stock": {"material": "pom-c", "thickness": 25}, "outline": {"length": 150, "width": 110, "corner_radius": 5},
            "covers": {"seal": cover | covers},
            "ports": [
                {"name": "in", "loop": "warm", "on": "cover", "at": [-50, 30], "thread": "G1/8"},
                {"name": "low", "loop": "warm", "on": "outer", "at": [0, 30], "thread": "G1/8"},
                {"name": "out", "loop": "warm", "on": "right", "at": [20, -8], "thread": "G1/8"},
                {"name": "a", "loop": "cool", "on": "cover", "at": [-50, -25], "thread": "G1/8"},
                {"name": "b", "loop": "cool", "on": "cover", "at": [40, -25], "thread": "G1/8"},
            ],
            "channels": [
                {"name": "run", "loop": "warm", "width": 8, "depth": 8, "floor_radius": 1, "joins": ["in", "low", "out"],
                 "route": ["in", "low", "out"]},
                {"name": "back", "loop": "cool", "width": 6, "depth": 6, "joins": ["a", "b"]},
            ],
        }},
    }  # fmt: skip


def placed(folder: Path, data: Job) -> JobLayout:
    file = folder / "board.yaml"
    file.write_text(json.dumps(data), encoding="utf-8")
    return plan(file).layout


def answers(folder: Path, layout: JobLayout) -> tuple[dict[str, Outcome], list[dict[str, Any]]]:
    """Every outcome by rule, in plan and on the solids, and the rows of the nets."""
    solids, meshes, stls = {}, {}, {}
    for p in layout.plates:
        solids[p.name] = plate_solid(p)
        meshes[p.name] = mesh(solids[p.name], DEFLECTION)
        stls[p.name] = folder / f"{p.name}.stl"
        stls[p.name].write_bytes(stl_bytes(meshes[p.name], p.name))
    found = measure(layout, Limits(), solids, meshes, stls, DEFLECTION)
    every = [*plan_checks(layout, Limits()), *found.outcomes]
    return {o.rule: o for o in every}, found.nets


def broken(found: dict[str, Outcome]) -> dict[str, list[tuple[tuple[str, ...], str]]]:
    return {r: [(f.features, f.what) for f in o.findings] for r, o in found.items() if not o.holds}


@pytest.fixture(scope="module")
def board(tmp_path_factory: pytest.TempPathFactory) -> tuple[JobLayout, dict[str, Outcome], list[dict[str, Any]]]:
    folder = tmp_path_factory.mktemp("board")
    layout = placed(folder, job())
    return (layout, *answers(folder, layout))


def body(layout: JobLayout) -> PlateLayout:
    return next(p for p in layout.plates if not p.cover_of)


def test_a_screwed_plate_holds_in_plan_and_in_the_solids(
    board: tuple[JobLayout, dict[str, Outcome], list[dict[str, Any]]]
) -> None:
    layout, found, nets = board
    assert [p.name for p in layout.plates] == ["board", "board-cover"]
    assert broken(found) == {}
    assert {n["loop"]: n["joined"] for n in nets} == {"warm": True, "cool": True}
    assert found["wall.land"].worst == pytest.approx(2.0, abs=1e-3)
    assert found["cover.land"].worst == pytest.approx(2.0, abs=1e-3)


def test_the_coolant_is_what_closed_forms_say(
    board: tuple[JobLayout, dict[str, Outcome], list[dict[str, Any]]]
) -> None:
    layout, _, nets = board
    channel = next(p for p in body(layout).pockets if p.name == "back")
    assert isinstance(channel.shape, Stroke)
    milled = 6 * 6 * length(channel.shape.path) + math.pi * 9 * 6  # w d L and two half-round ends
    bore = 2 * math.pi * 4.4**2 * (12 - 1)  # two bores of 8.8 from under their spotfaces to the joint
    groove = next(p for p in body(layout).pockets if p.name == "back.groove")
    assert isinstance(groove.shape, Stroke)
    # the cord keeps its section and lies in the middle: half of what is left of the groove is wet
    beside = (2.8 * 1.5 - math.pi * 2**2 / 4) / 2 * length(groove.shape.path)
    cool = next(n for n in nets if n["loop"] == "cool")
    assert 1000 * cool["coolant_ml"] == pytest.approx(milled + bore + beside, rel=0.002)


def test_a_port_over_a_channel_has_the_cone_of_its_drill_or_is_milled_flat(tmp_path: Path) -> None:
    """118° cone under Ø11.8; where the drilling of 6 goes on, (5.9 - 3)/tan 59° deeper, 2 mm stay to the floor."""
    data = job()
    board = data["plates"]["board"]
    board["ports"][1] |= {"thread": "G1/4"}
    layout = placed(tmp_path, data)
    low = next(f for f in body(layout).features if f.name == "low")
    slope = math.tan(math.radians(59))
    assert low.facts["bore_depth"] == pytest.approx(25 - 8 - 2 - 2.9 / slope, abs=0.1)
    assert low.depth == pytest.approx(low.facts["bore_depth"] + 5.9 / slope)
    assert broken(answers(tmp_path, layout)[0]) == {}
    board["stock"]["thickness"] = 22  # with the cone less than the full thread of 12 would be left
    low = next(f for f in body(placed(tmp_path, data)).features if f.name == "low")
    assert low.depth == low.facts["bore_depth"] == 22 - 8 - 2


def test_one_screw_in_both_plates_and_as_a_part(
    board: tuple[JobLayout, dict[str, Outcome], list[dict[str, Any]]]
) -> None:
    layout, _, _ = board
    here = {f.name: f.origin[:2] for f in body(layout).features if f.name.startswith("cover.screw")}
    there = {f.name: f.origin[:2] for p in layout.plates if p.cover_of for f in p.features if f.role == "screw"}
    parts = [h for h in layout.hardware if h.kind == "screw"]
    assert here == there
    assert len(parts) == len(here) >= 6
    assert {h.note for h in parts} == {"ISO 10642 M3 × 20"}  # 12 of cover, 6 of thread in plastic wanted
    assert [r.length for r in layout.rings] == [
        pytest.approx(length(p.shape.path)) for p in body(layout).pockets if p.role == "groove"  # type: ignore[union-attr]
    ]


def test_a_loose_cord_leaks_and_is_named(tmp_path: Path) -> None:
    layout = placed(tmp_path, job(groove={"depth": 2.1, "width": 2.8}))
    found, _ = answers(tmp_path, layout)
    leaks = {f.features for f in found["net.leak"].findings}
    assert leaks == {("run.cord",), ("back.cord",)}
    assert not found["seal.squeeze"].holds


def test_faces_that_only_touch_seal_nothing_but_a_bond_does(tmp_path: Path) -> None:
    data = job()
    data["plates"]["board"]["covers"]["seal"] = {"stock": {"thickness": 12}, "join": "bonded"}
    layout = placed(tmp_path, data)
    assert [p.role for p in body(layout).pockets if p.role == "groove"] == []
    assert broken(answers(tmp_path, layout)[0]) == {}
    touching = replace(layout, plates=tuple(replace(p, bonded=False) for p in layout.plates))
    found, _ = answers(tmp_path, touching)
    assert {n for f in found["net.leak"].findings for n in f.nets} == {"warm", "cool"}
    assert {f.features for f in found["net.leak"].findings} == {("run.1",), ("back",)}


def test_channels_of_two_loops_that_cross_are_found_by_every_path(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # placing refuses them at their line; the checks have to find them all the same
    monkeypatch.setattr("rillwright.layout.covered.drawn.require_uncrossed", lambda *_: None)
    data = job()
    data["plates"]["board"]["covers"]["seal"] = {"stock": {"thickness": 12}, "join": "bonded"}
    channels = data["plates"]["board"]["channels"]
    channels[1]["route"] = ["a", [-50, 0], [-25, 30], [40, 0], "b"]
    found, _ = answers(tmp_path, placed(tmp_path, data))
    assert not found["cover.wall"].holds
    assert {("run.1", "back")} <= {f.features for f in found["wall.loops"].findings} | {
        f.features[::-1] for f in found["wall.loops"].findings
    }
    short = found["net.short"].findings
    assert {frozenset(f.features) for f in short} >= {frozenset(("run.1", "back"))}


def test_a_channel_that_misses_its_port_is_told_with_the_gap(tmp_path: Path) -> None:
    layout = placed(tmp_path, job())
    b = body(layout)
    stub = next(p for p in b.pockets if p.name == "back")
    assert isinstance(stub.shape, Stroke)
    (x, y), end = stub.shape.path.start, stub.shape.path.pieces[-1].end
    assert math.dist((x, y), end) > 60
    from rillwright.layout.features import Line
    from rillwright.layout.pockets import Path as Way

    way = (end[0] - x) / math.dist((x, y), end), (end[1] - y) / math.dist((x, y), end)
    short = Way((x, y), (Line((end[0] - 10 * way[0], end[1] - 10 * way[1])),))
    pockets = tuple(replace(p, shape=Stroke(short, 6)) if p is stub else p for p in b.pockets)
    found, _ = answers(tmp_path, replace(layout, plates=tuple(replace(p, pockets=pockets) if p is b else p
                                                             for p in layout.plates)))  # fmt: skip
    assert not found["net.open"].holds or not found["drilling.open"].holds


def test_the_screw_that_holds_most_by_hand(board: tuple[JobLayout, dict[str, Outcome], list[dict[str, Any]]]) -> None:
    """Cord force by Lindley's formula, and the pressure inside the groove, each over the stretch that the screw holds."""
    layout, found, _ = board
    (hold,) = layout.cover_holds
    modulus = 0.0981 * (56 + 7.62336 * 70) / (0.137505 * (254 - 2.54 * 70))  # Gent 1958, 70 Shore A
    per_mm = modulus * 2 * (1.25 * 0.25**1.5 + 50 * 0.25**6)  # Lindley 1967, cord 2 in a groove of 1.5
    stretch = hold.cord / per_mm
    assert 0 < stretch <= 2 * 70  # one screw may serve two grooves, no stretch of either longer than the pitch
    # ISO 10642 M3: smallest head 5.54 on a hole of 3.4 in acrylic that bears 10.3 MPa for years
    assert hold.preload == pytest.approx(10.3 * math.pi * (5.54**2 - 3.4**2) / 4, rel=0.01)
    assert found["cover.clamp"].worst == pytest.approx(0.5 * hold.preload / (hold.cord + hold.pressure), abs=1e-4)


@pytest.mark.parametrize(("head", "standard"), [("countersunk", "ISO 10642"), ("counterbored", "ISO 4762")])
def test_screws_that_hold_too_little_are_told_larger_ones_with_the_same_head(
    tmp_path: Path, head: str, standard: str
) -> None:
    screws = {"thread": "M3", "pitch": 70, "head": head}
    layout = placed(tmp_path, job(screws=screws))
    (finding,) = next(o for o in plan_checks(layout, Limits()) if o.rule == "cover.clamp").findings
    assert f"{head} " in finding.remedy
    assert ("ISO 10642" in finding.remedy) == (standard == "ISO 10642")
    larger = finding.remedy.split(standard)[1].split()[0].rstrip(",")
    (hold,) = placed(tmp_path, job(screws=screws | {"thread": larger})).cover_holds
    assert hold.settled >= Limits().separation * hold.load
    assert hold.cures == ()


def test_two_levels_whose_change_is_left_to_the_router(tmp_path: Path) -> None:
    data = job()
    board = data["plates"]["board"]
    board["stock"]["thickness"] = 30
    board["covers"]["outer"] = {"stock": {"material": "pmma-cast", "thickness": 10},
                                "screws": {"thread": "M3", "pitch": 70}}  # fmt: skip
    board["ports"][1]["on"] = "outer-cover"
    board["channels"][0] |= {"face": "both", "floor_radius": 0, "route": "auto"}
    layout = placed(tmp_path, data)
    assert any(f.name.startswith("run.passage") for f in body(layout).features)
    found, nets = answers(tmp_path, layout)
    assert broken(found) == {}
    assert all(n["joined"] for n in nets)


def test_bolts_through_into_nuts(tmp_path: Path) -> None:
    layout = placed(tmp_path, job(screws={"thread": "M4", "pitch": 60, "into": "nut", "head": "counterbored"}))
    kinds = {h.kind: h.note for h in layout.hardware if h.kind in ("screw", "nut")}
    # 12 of cover less a counterbore of 4.6, 25 of body, a nut of 3.2: 35.6 at least
    assert kinds == {"screw": "ISO 4762 M4 × 40", "nut": "ISO 4032 M4"}
    assert all(o.holds for o in plan_checks(layout, Limits()))
    assert all(len(f.mouths) == 2 for f in body(layout).features if f.name.startswith("cover.screw"))
