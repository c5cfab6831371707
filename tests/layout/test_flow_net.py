"""The net of flow of covered plates: nothing of a routed channel is lost, every port is joined, corners are told."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import replace
from pathlib import Path

import pytest

from covered import channel
from rillwright.layout import paths
from rillwright.layout.features import Feature
from rillwright.layout.flow_net import FlowNet, flow_net
from rillwright.layout.job_layout import JobLayout
from rillwright.layout.nets import Assembly, assemblies
from rillwright.layout.pockets import Stroke
from rillwright.layout.ways import plate_ways, touches
from rillwright.pipeline import plan

PARAMS = Path(__file__).parents[2] / "params"

JOB = """
job: block
coolant: {{mix: water, temperature: 20}}
loops: {{run: {{flow: 4}}}}
plates:
  block:
    stock: {{material: pom-c, thickness: 25}}
    outline: {{length: 200, width: 100}}
    covers:
      seal:
        stock: {{material: pmma-cast, thickness: 12}}
        cord: {{diameter: 2, material: epdm, hardness: 50, tolerance: E1}}
        groove: {{depth: 1.5, width: 3.4}}
        screws: {{thread: M3, pitch: 40, head: on-top, washer: true}}
    ports:
      - {{name: a, loop: run, on: cover, at: [-60, -20], thread: G1/4}}
      - {{name: b, loop: run, on: cover, at: [60, 20], thread: G1/4}}
    channels:
      - {{name: way, loop: run, width: 8, depth: 8, joins: [a, b], bend_radius: {radius}, route: {route}}}
"""


def lengths(net: FlowNet) -> dict[str, float]:
    """Length of what each passage gives to the net, mm."""
    found: dict[str, float] = defaultdict(float)
    for g in net.net.legs:
        found[net.stretches[g.name].way] += 1000 * g.length
    return found


def joined(net: FlowNet) -> bool:
    """Whether a walk along legs from one port comes to all of them."""
    first = next(iter(net.ports.values()))
    seen, waiting = {first}, [first]
    while waiting:
        here = waiting.pop()
        for g in net.net.legs:
            if here in (g.start, g.end):
                waiting += [n for n in (g.start, g.end) if n not in seen]
                seen |= {g.start, g.end}
    return set(net.ports.values()) <= seen and len(net.net.legs) > 0


def covered(name: str) -> list[tuple[Assembly, str]]:
    layout: JobLayout = plan(PARAMS / f"{name}.yaml").layout
    return [(a, loop) for a in assemblies(layout) for loop in a.loops]


@pytest.mark.parametrize("name", ["wall-panel", "valve-board"])
def test_every_channel_is_in_the_net_at_its_full_length(name: str) -> None:
    for a, loop in covered(name):
        net = flow_net(a, loop)
        assert joined(net), (name, loop)
        found = lengths(net)
        for plate in a.plates:
            for p in plate.pockets:
                if p.loop == loop and p.role == "channel" and isinstance(p.shape, Stroke):
                    true = math.fsum(piece.length for piece in paths.pieces(p.shape.path))
                    assert found[f"{plate.name}.{p.name}"] == pytest.approx(true, abs=1e-6), p.name
        bores = [w for plate in a.plates for w in plate_ways(plate, loop) if w.kind == "drilling"]
        # A drop from an outer port starts 1 mm inside that port's bore.
        assert all(0 <= w.length - found[w.name] < 1.01 for w in bores)
        nodes = {n for g in net.net.legs for n in (g.start, g.end)}
        assert len(net.net.legs) == len(nodes) - 1  # trees: nothing is joined twice


def written(tmp_path: Path, radius: float, route: str) -> Path:
    path = tmp_path / "block.yaml"
    path.write_text(JOB.format(radius=radius, route=route), encoding="utf-8")
    return path


@pytest.mark.parametrize(("radius", "length"), [(10, 160 - 2 * (20 - 5 * math.pi)), (20, 160 - 2 * (40 - 10 * math.pi))])
def test_rounded_corners_shorten_the_way(tmp_path: Path, radius: float, length: float) -> None:
    route = "[a, [0, -20], [0, 20], b]"
    (a,) = assemblies(plan(written(tmp_path, radius, route)).layout)
    net = flow_net(a, "run")
    (leg,) = (g for g in net.net.legs if "way" in g.name)
    assert 1000 * leg.length == pytest.approx(length, abs=1e-6)
    assert [(round(math.degrees(b.angle), 6), round(1000 * b.radius, 6)) for b in leg.bends] == [(90, radius)] * 2


def test_two_ways_between_two_ports_are_a_mesh(tmp_path: Path) -> None:
    path = written(tmp_path, 8, "[a, [-60, 20], b]")
    text = path.read_text(encoding="utf-8")
    path.write_text(text + "      - {name: back, loop: run, width: 6, depth: 8, joins: [a, b], bend_radius: 8, "
                    "route: [a, [60, -20], b]}\n", encoding="utf-8")  # fmt: skip
    (a,) = assemblies(plan(path).layout)
    net = flow_net(a, "run")
    nodes = {n for g in net.net.legs for n in (g.start, g.end)}
    assert (len(net.net.legs), len(nodes)) == (4, 4)


def test_a_corner_without_a_fillet_is_a_sharp_bend(tmp_path: Path) -> None:
    (plate, *_) = plan(written(tmp_path, 8, "[a, b]")).layout.plates
    bare = replace(plate, features=(), pockets=(channel("way", [(0, 0), (30, 0), (30, 20), (50, 40)], loop="run"),))
    (way,) = plate_ways(bare, "run")
    assert [(at, round(math.degrees(angle), 9), radius) for at, angle, radius in way.bends] == [(30, 90, 0), (50, 45, 0)]


def test_a_bore_that_ends_short_of_a_channel_in_its_plate_is_not_joined(tmp_path: Path) -> None:
    (plate, *_) = plan(written(tmp_path, 8, "[a, b]")).layout.plates
    shape = channel("way", [(0, 0), (30, 0)], loop="run")
    for reach, met in ((shape.depth + 0.01, False), (shape.depth - 0.5, True)):
        facts = {"start": 0.0, "length": 25.0 - reach, "diameter": 8.0}
        bore = Feature("up", "drilling", (30.0, 0.0, -25.0), (0.0, 0.0, 1.0), (), "outer", (), "run", facts=facts)
        ways = plate_ways(replace(plate, features=(bore,), pockets=(shape,)), "run")
        assert len(ways) == 2
        assert bool(touches(ways)) is met
