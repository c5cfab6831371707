"""Blocks behind rows of cards: nets found again in the finished solids, levels of drillings, refusals in words."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from jobs import Job, feature, measured, written
from rillwright.layout.card_runs import Rows, Run, Undrillable, set_levels
from rillwright.layout.job_layout import JobLayout
from rillwright.pipeline import check, plan
from rillwright.spec.messages import SpecError

SIZES = {"in": 14, "out": -14, "screw-low": -34, "screw-high": 34, "length": 78}
OUTER: Job = {"on": "outer"}


def job_of(count: int, *groups: Job, thickness: float = 35, length: float | None = None, **block: Any) -> Job:
    return {
        "job": "block", "loops": {g["loop"]: {} for g in groups},
        "plates": {"block": {
            "stock": {"material": "pom-c", "thickness": thickness},
            "outline": {"length": length or 40 * count + 40, "width": 90},
            "mounts": [{"name": "cards", "interface": "card-terminal", "side": "seal", "count": count, "pitch": 40,
                        "set": SIZES}],
            "block": {"row": "cards", "groups": list(groups), "plug": "G1/8", **block},
        }},
    }  # fmt: skip


def group(loop: str, first: int, last: int, way: str = "parallel", inlet: Job = OUTER, outlet: Job = OUTER) -> Job:
    return {"loop": loop, "cards": [first, last], "way": way, "inlet": inlet, "outlet": outlet}


def reached(layout: JobLayout, start: str) -> set[str]:
    """Wet features that coolant comes to from one inside the block, by their axes: shorter paths than the proof's."""
    from rillwright.checks.plan.meeting import gap_between

    wet = {f.name: f for f in layout.plates[0].features if f.wet}
    seen, waiting = set(), [start]
    while waiting:
        name = waiting.pop()
        seen.add(name)
        waiting += [o for o in wet if o not in seen and gap_between(wet[name], wet[o]) == 0]
    return seen


def ports(layout: JobLayout, start: str) -> set[str]:
    return {n for n in reached(layout, start) if feature(layout, "block", n).role == "port"}


def test_three_in_parallel_in_the_solid(tmp_path: Path) -> None:
    left, right = {"on": "left"}, {"on": "right"}
    m = measured(tmp_path, job_of(3, group("a", 1, 3, inlet=left, outlet=right)))
    assert not [(f.rule, f.features, f.measured) for o in m.outcomes for f in o.findings if f.severity == "error"]
    assert ports(m.layout, "a-in") == {"a-in", "cards-1-in", "cards-2-in", "cards-3-in"}
    assert ports(m.layout, "a-out") == {"a-out", "cards-1-out", "cards-2-out", "cards-3-out"}
    assert not [f for f in m.layout.plates[0].features if f.role == "plug"]


def test_a_series_of_four_in_the_solid_takes_two_levels(tmp_path: Path) -> None:
    m = measured(tmp_path, job_of(4, group("a", 1, 4, "series", inlet={"on": "left"}), thickness=50))
    assert not [(f.rule, f.features, f.measured) for o in m.outcomes for f in o.findings if f.severity == "error"]
    assert m.outcome("net.passages").cases == 5
    assert ports(m.layout, "a-in") == {"a-in", "cards-1-in"}
    assert ports(m.layout, "cards-1-out") == {"cards-1-out", "cards-2-out"}
    assert ports(m.layout, "cards-2-in") == {"cards-2-in", "cards-3-in"}
    assert ports(m.layout, "cards-3-out") == {"cards-3-out", "cards-4-out"}
    assert ports(m.layout, "a-out") == {"a-out", "cards-4-in"}
    assert len({f.origin[2] for f in m.layout.plates[0].features if f.role == "plug"}) == 2


def test_a_bore_that_lets_coolant_past_a_card_is_found_in_the_solid(tmp_path: Path) -> None:
    job = job_of(2, group("a", 1, 2, "series"))
    job["plates"]["block"]["drillings"] = [
        {"name": "slip", "loop": "a", "from": "right", "at": [14, -11], "depth": 110, "diameter": 4, "plug": "G1/8"}
    ]  # opens the first bores of both cards: coolant need not go through either
    f = measured(tmp_path, job).one("net.passages")
    assert set(f.features) >= {"a-in", "cards-1-in", "a-out", "cards-2-in"}
    assert "goes past cards" in f.what


def test_a_series_between_two_outlets_to_the_far_face_is_refused(tmp_path: Path) -> None:
    text = told(tmp_path, job_of(4, group("a", 1, 4, "series"), thickness=50))
    assert "no drilling comes to cards 2 and 3 from the row's ends: a-in, a-out to the outer face" in text
    assert "covered plate" in text


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_two_loops_however_the_row_is_turned(tmp_path: Path, turn: int) -> None:
    ends = ["left", "front", "right", "back"]
    low, high = ends[turn // 90], ends[(turn // 90 + 2) % 4]
    job = job_of(3, group("a", 1, 2, "series", inlet={"on": low}), group("b", 3, 3, inlet={"on": high}))
    job["plates"]["block"]["mounts"][0]["turn"] = turn
    if turn % 180:
        job["plates"]["block"]["outline"] = {"length": 90, "width": 160}
    layout = plan(written(tmp_path, job)).layout
    assert check(written(tmp_path, job)).holds
    assert ports(layout, "a-in") == {"a-in", "cards-1-in"}
    assert ports(layout, "cards-1-out") == {"cards-1-out", "cards-2-out"}
    assert ports(layout, "a-out") == {"a-out", "cards-2-in"}
    assert ports(layout, "b-in") == {"b-in", "cards-3-in"}


def told(folder: Path, job: Job) -> str:
    with pytest.raises(SpecError) as e:
        plan(written(folder, job))
    return str(e.value)


def test_a_block_too_thin_for_its_levels_says_what_to_do(tmp_path: Path) -> None:
    text = told(tmp_path, job_of(4, group("a", 1, 4, "series", inlet={"on": "left"}), thickness=25))
    assert "block: its drillings in 2 levels take a block" in text
    assert "this one has 25 mm" in text
    assert "covered plate" in text


@pytest.mark.parametrize(
    ("groups", "words"),
    [
        ([group("a", 1, 2)], "card 3 is in no group"),
        ([group("a", 1, 2), group("b", 2, 3)], "card 2 is in more than one group"),
        ([group("a", 1, 4)], "there is no card 4: the row has 3"),
        ([group("a", 1, 3, inlet={"on": "front"})], "would pass through the card's other bore"),
    ],
)
def test_groups_that_do_not_hold(tmp_path: Path, groups: list[Job], words: str) -> None:
    assert words in told(tmp_path, job_of(3, *groups))


def test_a_drilling_lies_under_every_bore_that_it_passes() -> None:
    row = tuple((float(40 * k), 0.0) for k in range(6))
    rows = Rows((row, tuple((x, -30.0) for x, _ in row)), 0)
    runs = [Run(1, 1, 2, 0, end="low"), Run(1, 3, 4, 0, end="low"), Run(1, 5, 6, 0, end="low"), Run(0, 2, 3, 0, end="low")]
    set_levels(runs, rows)
    assert [r.level for r in runs] == [0, 1, 2, 1]
    with pytest.raises(Undrillable):  # each would pass under the other
        set_levels([Run(0, 1, 1, 0, end="high"), Run(0, 2, 2, 0, end="low")], rows)


@pytest.mark.parametrize(("way", "shares"), [("series", (1.0, 1.0)), ("parallel", None)])
def test_flow_goes_through_every_card(tmp_path: Path, way: str, shares: tuple[float, float] | None) -> None:
    """In series the whole flow goes through the bores of each card; in parallel each bears a part of it."""
    from rillwright.checks.plan.flow import flow_records

    job = job_of(2, group("a", 1, 2, way, inlet={"on": "left"}, outlet={"on": "outer"}))
    job["loops"]["a"]["flow"] = 4
    (record,) = flow_records(plan(written(tmp_path, job)).layout, all_loops=True)
    flow = {leg["way"]: abs(leg["flow"]) for leg in record["legs"] if leg["kind"] == "port"}
    for port in ("in", "out"):
        found = [flow[f"block.cards-{k}-{port}"] for k in (1, 2)]
        if shares is not None:
            assert found == pytest.approx([4 * s for s in shares], rel=1e-3)
        else:
            assert sum(found) == pytest.approx(4, rel=1e-3)
            assert min(found) > 0.5
