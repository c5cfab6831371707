"""The report's section on flow and air, and where its places stand on the stage."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from report_rows import HOSTILE, bundle_of, facts_of, net_row
from rillwright.export.bundle import Bundle
from rillwright.export.report.report import report
from rillwright.layout.machine import Stance, turned


@pytest.fixture(scope="module")
def bundle(tmp_path_factory: pytest.TempPathFactory) -> Bundle:
    """The smallest job with its flow, and two ways to stand of which one can be leant."""
    made = bundle_of("bench-single", tmp_path_factory.mktemp("flow"))
    assert made.result is not None
    return replace(made, result=replace(made.result, flow=flows(made), nets=(net_row("bench"),)))


def flows(made: Bundle) -> tuple[dict[str, Any], ...]:
    from rillwright.checks.plan.flow import flow_records

    return tuple(flow_records(made.layout, all_loops=True))


def section(page: str) -> str:
    found = re.search(r'<section id="flow">.*?</section>', page, re.DOTALL)
    assert found
    return found[0]


def test_every_passage_has_its_figures_and_its_place(bundle: Bundle) -> None:
    assert bundle.result is not None
    page = report(bundle)
    told, facts = section(page), facts_of(page)
    marks = {m["key"]: m for m in facts["marks"] if m["group"] == "flow"}
    (record,) = bundle.result.flow
    assert record["legs"]
    for j, g in enumerate(record["legs"]):
        mark = marks[f"passage-0-{j}"]
        assert mark["sign"] == f"{g['velocity']:.2f}"
        assert f'data-mark="{mark["key"]}"' in told
        rows = re.findall(r"<tr>.*?</tr>", told[told.index("<details") :], re.DOTALL)
        (row,) = [r for r in rows if f'Show {g["name"]}"' in r]
        assert f"{g['reynolds']:d}" in row
        assert f"{g['velocity']:.2f}" in row
    assert f"{1000 * record['drop']['nominal']:.1f} mbar" in told


def test_passages_are_told_along_the_flow(bundle: Bundle) -> None:
    """End to end, coolant that comes in at the bottom and leaves at the top rises in every passage."""
    for p in facts_of(report(bundle))["passages"]:
        assert p["points"][-1][2] > p["points"][0][2], p["name"]


def test_passages_and_pockets_stand_in_the_machine(bundle: Bundle) -> None:
    """An assembly that is turned and moved takes its passages, its pockets and what is up in it along."""
    stance = Stance((100.0, -50.0, 20.0), turned((90.0, 0.0, 30.0)))
    names = [p.name for p in bundle.layout.plates] + ["tube"]
    there = facts_of(report(replace(bundle, layout=replace(bundle.layout, stances=dict.fromkeys(names, stance)))))
    here = facts_of(report(bundle))
    for a, b in zip(here["passages"], there["passages"], strict=True):
        assert b["points"] == [pytest.approx(stance.place(tuple(p)), abs=0.02) for p in a["points"]]
    moved = {m["key"]: m for m in there["marks"] if m["group"] == "pockets"}
    for m in (m for m in here["marks"] if m["group"] == "pockets"):
        assert moved[m["key"]]["at"][0] == pytest.approx(stance.place(tuple(m["at"][0])), abs=0.02)
        for a, b in zip(m["axes"], moved[m["key"]]["axes"], strict=True):
            assert b == pytest.approx(stance.turn(tuple(a)), abs=1e-4)
    ups = {p["said"]: p["up"] for p in there["poses"]}
    assert ups["upright"] == pytest.approx(stance.turn((0.0, 0.0, 1.0)), abs=0.01)


def test_a_pocket_s_box_stands_as_the_assembly_does(bundle: Bundle) -> None:
    """The last side of the box points up, and the sides are square to each other."""
    facts = facts_of(report(bundle))
    ups = {p["key"]: p["up"] for p in facts["poses"]}
    pockets = [m for m in facts["marks"] if m["group"] == "pockets"]
    assert {m["kind"] for m in pockets} == {"air", "coolant"}
    for m in pockets:
        u, v, w = m["axes"]
        assert w == pytest.approx(ups[m["pose"]], abs=0.01)
        assert all(abs(sum(a * b for a, b in zip(p, q, strict=True))) < 1e-4 for p, q in ((u, v), (v, w), (w, u)))


def test_air_and_coolant_that_stay_are_told(bundle: Bundle) -> None:
    told = section(report(bundle))
    for word in ("1.25", "upper.fill", "3.50", "lower.supply", "Lean it by 15°", "Flush:", "on its back"):
        assert word in told, word
    poses = [p["said"] for p in facts_of(report(bundle))["poses"]]
    assert poses == ["upright", "upright, leant 15° for bench", "on its back"]


def test_shared_flow_is_told_by_its_shares(bundle: Bundle) -> None:
    assert bundle.result is not None
    (record,) = bundle.result.flow
    assert "none lies beside another" in section(report(bundle))
    first, *rest = record["legs"]
    split = {**record, "legs": [{**first, "flow": -0.25 * record["flow"]}, *rest]}
    told = section(report(replace(bundle, result=replace(bundle.result, flow=(split,)))))
    assert f"The flow is shared: {first['name']} 25 %." in told


def test_the_working_point_and_the_unknown_are_told(bundle: Bundle) -> None:
    assert bundle.result is not None
    (record,) = bundle.result.flow
    point = {b: {"flow": q, "pressure": 0.2} for b, q in (("low", 5.0), ("nominal", 4.5), ("high", 4.0))}
    unknown = {"loop": "bench", "assembly": "other", "stated": True, "flow": 4.0, "why": "no way <in>", "do": "give one"}
    rows = ({**record, "working_point": point}, unknown)
    told = section(report(replace(bundle, result=replace(bundle.result, flow=rows))))
    assert "<b>4.50 L/min</b> (4.00 to 5.00) at 200 mbar" in told
    assert "No way &lt;in&gt;." in told or "no way &lt;in&gt;." in told.lower()
    assert "Give one." in told


def test_hostile_names_stay_text_in_flow_and_air(bundle: Bundle) -> None:
    assert bundle.result is not None
    (record,) = bundle.result.flow
    legs = [{**g, "name": HOSTILE, "way": HOSTILE} for g in record["legs"]]
    worst = [{**w, "leg": HOSTILE, "change": HOSTILE} for w in record["worst"]]
    flow = {**record, "loop": HOSTILE, "into": [HOSTILE], "legs": legs, "worst": worst}
    face = {**bundle.result.faces[0], "face": HOSTILE, "thread": HOSTILE, "seal": HOSTILE, "advice": HOSTILE}
    page = report(replace(bundle, result=replace(
        bundle.result, flow=(flow,), nets=(net_row("bench", HOSTILE),), faces=(face,)
    )))  # fmt: skip
    assert "<img src=x" not in page
    assert "<script>window" not in page
    json.dumps(facts_of(page))


def test_faces_to_seal_on_have_a_row_each(bundle: Bundle) -> None:
    assert bundle.result is not None
    page = report(bundle)
    told = page[page.index('<section id="faces">'):]
    told = told[: told.index("</section>")]
    assert told.count("<tr>") == 1 + len(bundle.result.faces)
    for f in bundle.result.faces:
        assert f"{f['land']:.2f}" in told
        assert f["face"] in told


def test_curves_carry_no_style_of_their_own(bundle: Bundle) -> None:
    """The page's policy lets no inline style through."""
    told = section(report(bundle))
    assert "<svg" in told
    assert not re.search(r"<[^>]* style=", told)


def test_a_job_whose_space_was_not_proved_says_so(tmp_path: Path) -> None:
    made = bundle_of("bench-single", tmp_path)
    assert made.result is not None
    row = {**net_row("bench"), "standing": [], "joined": False}
    told = section(report(replace(made, result=replace(made.result, nets=(row,)))))
    assert "Of air that stays nothing is known" in told
