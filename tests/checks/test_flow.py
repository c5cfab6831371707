"""Flow through loops from the file: legs against formulas by hand, working point, what is not stated, findings."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from rillwright.layout.flow_net import flow_net
from rillwright.layout.nets import assemblies
from rillwright.pipeline import check, plan
from rillwright.spec.messages import SpecError

PARAMS = Path(__file__).parents[2] / "params"
JOB = """
job: block
coolant: {{mix: water, temperature: 20}}
loops: {{run: {{{loop}}}}}
plates:
  block:
    stock: {{material: pom-c, thickness: 30}}
    outline: {{length: 200, width: 60}}
    ports:
      - {{name: a, loop: run, on: left, at: [0, -15]{a}}}
      - {{name: b, loop: run, on: right, at: [0, -15]{b}}}
    drillings:
      - {{name: bore, from: a, to: b, diameter: {d}}}
{more}
"""


def job(tmp_path: Path, *, loop: str = "flow: 4", d: float = 8, a: str = "", b: str = "", more: str = "") -> Path:
    path = tmp_path / "block.yaml"
    path.write_text(JOB.format(loop=loop, d=d, a=a, b=b, more=more), encoding="utf-8")
    return path


def by_hand(d: float, rate: float) -> float:
    """Loss (mbar) of two port bores Ø11.8 × 18.5 and the drilling between them, water of 20 °C, by textbook formulas."""
    rho, mu, q = 998.2, 1.002e-3, rate / 60_000

    def churchill(re: float, rough: float) -> float:
        a = (2.457 * math.log(1 / ((7 / re) ** 0.9 + 0.27 * rough))) ** 16
        return 8 * ((8 / re) ** 12 + 1 / (a + (37530 / re) ** 16) ** 1.5) ** (1 / 12)

    total = 0.0
    for diameter, length in ((0.0118, 0.0185), (d / 1e3, 0.163), (0.0118, 0.0185)):
        v = q / (math.pi * diameter**2 / 4)
        f = churchill(rho * v * diameter / mu, 5e-6 / diameter)
        total += f * length / diameter * rho * v**2 / 2
    v = q / (math.pi * (d / 1e3) ** 2 / 4)
    ratio = (d / 11.8) ** 2
    # Sudden narrowing and widening on the velocity in the drilling (sharp edges; nothing is added at low Re for these).
    return (total + (0.5 * (1 - ratio) + (1 - ratio) ** 2) * rho * v**2 / 2) / 100


@pytest.mark.parametrize(("d", "rate"), [(10, 4), (8, 4), (6, 4), (6, 1), (6, 10)])
def test_a_straight_bore_is_its_formulas(tmp_path: Path, d: float, rate: float) -> None:
    (row,) = check(job(tmp_path, d=d, loop=f"flow: {rate}")).flow
    assert 1000 * row["drop"]["nominal"] == pytest.approx(by_hand(d, rate), rel=0.01)
    assert row["drop"]["low"] < row["drop"]["nominal"] < row["drop"]["high"]


def test_six_for_ten_costs_what_the_formulas_say(tmp_path: Path) -> None:
    drops = [check(job(tmp_path, d=d)).flow[0]["drop"]["nominal"] for d in (10, 6)]
    assert drops[1] / drops[0] == pytest.approx(by_hand(6, 4) / by_hand(10, 4), rel=0.01)


def test_velocity_and_reynolds_of_each_leg(tmp_path: Path) -> None:
    (row,) = check(job(tmp_path)).flow
    bore = next(g for g in row["legs"] if g["way"] == "block.bore")
    assert bore["velocity"] == pytest.approx(4 / 60_000 / (math.pi * 16e-6), rel=1e-4)
    assert bore["reynolds"] == pytest.approx(bore["velocity"] * 0.008 * 998.2 / 1.002e-3, rel=1e-3)
    assert bore["length"] == pytest.approx(200 - 2 * 18.5, abs=0.01)


def test_too_fast_and_too_much_lost_are_warned_of(tmp_path: Path) -> None:
    result = check(job(tmp_path, d=4, loop="flow: 8"))
    rules = {f.rule: f for f in result.findings if f.rule.startswith("flow")}
    assert rules["flow.velocity"].measured == pytest.approx(8 / 60_000 / (math.pi * 4e-6), rel=1e-3)
    assert rules["flow.drop"].measured == pytest.approx(result.flow[0]["drop"]["high"], abs=1e-4)
    assert "block.bore" in rules["flow.drop"].remedy


def test_the_working_point_lies_on_both_curves(tmp_path: Path) -> None:
    text = "pump: [[0, 0.3], [10, 0.05]], outside: [[0, 0], [10, 0.2]]"
    (row,) = check(job(tmp_path, loop=text)).flow
    q, p = (row["working_point"]["nominal"][k] for k in ("flow", "pressure"))
    assert p == pytest.approx(0.3 - 0.025 * q, abs=1e-4)
    again = check(job(tmp_path, loop=f"flow: {q}")).flow[0]["drop"]["nominal"]
    assert p == pytest.approx(again + 0.02 * q, abs=1e-3)
    assert row["working_point"]["high"]["flow"] < q < row["working_point"]["low"]["flow"]


def test_a_pump_stronger_than_its_curve_tells(tmp_path: Path) -> None:
    (row,) = check(job(tmp_path, d=10, loop="pump: [[0, 0.9], [2, 0.8]]")).flow
    assert row["working_point"]["nominal"]["beyond"]




def test_three_ports_without_a_word_are_asked_for(tmp_path: Path) -> None:
    text = job(tmp_path).read_text(encoding="utf-8").replace(
        "    drillings:", "      - {name: c, loop: run, on: outer, at: [0, 0], depth: 8}\n    drillings:"
    )  # fmt: skip
    text = text.replace("diameter: 8}", "diameter: 8}\n      - {name: drop, from: c, to: bore, diameter: 8}")
    path = tmp_path / "block.yaml"
    path.write_text(text, encoding="utf-8")
    result = check(path)
    assert [f.features for f in result.findings if f.rule == "flow.asked"] == [("run",)]
    text = text.replace("on: left", "flow: in, on: left").replace("on: right", "flow: out, on: right")
    path.write_text(text, encoding="utf-8")
    (row,) = check(path).flow
    assert (row["into"], row["out"]) == (["block.a"], ["block.b"])
    assert all("drop" not in g["way"] and ".c" not in g["way"] for g in row["legs"])  # the shut port leads nowhere


def test_flow_splits_over_two_outlets(tmp_path: Path) -> None:
    text = job(tmp_path).read_text(encoding="utf-8").replace("on: left", "flow: in, on: left").replace(
        "on: right", "flow: out, on: right").replace(
        "    drillings:", "      - {name: c, loop: run, flow: out, on: outer, at: [0, 0], depth: 8}\n    drillings:"
    )  # fmt: skip
    path = tmp_path / "block.yaml"
    path.write_text(text.replace("diameter: 8}", "diameter: 8}\n      - {name: drop, from: c, to: bore, diameter: 8}"),
                    encoding="utf-8")  # fmt: skip
    (row,) = check(path).flow
    by_way = {g["name"]: g["flow"] for g in row["legs"]}
    assert abs(by_way["block.drop"]) == pytest.approx(2)
    assert sorted(abs(q) for n, q in by_way.items() if n.startswith("block.bore")) == pytest.approx([2, 4])


def test_frozen_coolant_is_refused_with_its_line(tmp_path: Path) -> None:
    path = job(tmp_path)
    path.write_text(path.read_text(encoding="utf-8").replace("temperature: 20", "temperature: -5"), encoding="utf-8")
    with pytest.raises(SpecError, match=r"block.yaml:3:.*freezing"):
        plan(path)


def test_a_falling_pump_curve_is_asked_for(tmp_path: Path) -> None:
    with pytest.raises(SpecError, match="not rise"):
        plan(job(tmp_path, loop="pump: [[0, 0.1], [5, 0.3]]"))


def test_a_tube_is_a_wide_space_between_two_plates() -> None:
    layout = plan(Path(__file__).parents[2] / "params" / "studio-twin.yaml").layout
    (a,) = assemblies(layout)
    net = flow_net(a, "processor")
    assert net.tubes == ("left.tube",)
    assert net.net.kinds[net.ports["upper.processor-in"]] == "end"
    assert sum(k == "plenum" for k in net.net.kinds.values()) == 2




def test_ports_in_a_cover_carry_flow_under_the_cover_s_name() -> None:
    told = dict(plan(PARAMS / "wall-panel.yaml").layout.flows[0].ports)
    assert told["panel-cover.laser-in"] == "in"
    assert told["panel.supply-out"] == "out"
