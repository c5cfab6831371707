"""A remedy is carried out on the file as it says, and the finding is gone."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML

from jobs import PARAMS, Measured, measured, named, raw
from rillwright.checks.finding import Finding

Job = dict[str, Any]
Case = tuple[Job, str, tuple[str, ...]]  # a file, the rule it breaks, words of the features' names
MOVE = re.compile(r"move (.+) (\d+\.\d\d) mm to ([+-])([xyz])")
SHALLOW = re.compile(r"make (\S+) (\d+\.\d\d) mm shallower")


def defect(name: str) -> Job:
    data: Job = json.loads(json.dumps(YAML(typ="safe").load(PARAMS / "defects" / f"{name}.yaml")))
    return data


def carry_out(job: Job, f: Finding) -> None:
    """Change the file as the finding's remedy says."""
    plate = job["plates"][f.plate]
    if m := MOVE.fullmatch(f.remedy):
        step = float(m[2]) * (1 if m[3] == "+" else -1)
        for name in re.split(r", | and ", m[1]):
            move(job, plate, name, "xyz".index(m[4]), step)
    elif m := SHALLOW.fullmatch(f.remedy):
        d = named(plate["drillings"], m[1])
        d["to"][2] += float(m[2])
    else:
        raise AssertionError(f.remedy)


def move(job: Job, plate: Job, name: str, axis: int, step: float) -> None:
    for r in job.get("reservoirs", []):
        if r["name"] == name:
            r["at"][axis] += step
    for p in [*plate.get("ports", []), *plate.get("drillings", [])]:
        goes_on = p.get("from") == name
        if p["name"] != name and not goes_on:
            continue
        if "at" in p:
            place = p.get("on", p.get("from"))
            flat = place in ("seal", "outer")
            i = axis if flat else 1 if axis == 2 else 0
            p["at"][i] += step  # edge-1 of these jobs looks to the front, so that along it is +x
        if isinstance(p.get("to"), list):
            p["to"][axis] += step
    for h in plate.get("holes", []):
        if h["name"] == name:
            for at in h["at"]:
                at[axis] += step


def only(m: Measured, rule: str, *words: str) -> list[Finding]:
    return [f for f in m.findings(rule) if set(words) <= set(" ".join(f.features).split())]


def breach() -> Case:
    return defect("breach-between-loops"), "wall.loops", ("hot-run", "cold-run")


def angle() -> Case:
    return defect("thin-wall-at-an-angle"), "wall.loops", ("hot-run", "cold-riser")


def floor() -> Case:
    return defect("floor-pierced"), "wall.outside", ("riser", "outer")


def spotface() -> Case:
    return defect("spotface-over-the-face"), "wall.lip", ("spotface", "outer")


def hole_beside_a_drilling() -> Case:
    """A plain hole stands 1.6 mm beside the feed, off the square: 3 mm are asked for."""
    job = defect("spotface-over-the-face")
    named(job["plates"]["block"]["ports"], "in")["at"] = [0, -18]
    job["plates"]["block"]["holes"] = [{"name": "pin", "kind": "clearance", "thread": "M4", "at": [[6.85, 10]]}]
    return job, "wall.wet-dry", ("feed", "pin")


def tube_near_the_edge() -> Case:
    """65 − 26 − 30.25 = 8.75 mm are left beside the channel, and 10 mm are asked for."""
    job = raw("bench-single")
    job["reservoirs"][0]["at"] = [26, 0]
    job["reservoirs"][0]["channel"] = {"wall": 10}
    for plate in job["plates"].values():
        plate["ports"] = plate["ports"][:1]
        plate["ports"][0]["at"] = [26, 0]
        plate.pop("holes", None)
    return job, "wall.tube-channel", ("right", "tube.tube-channel")


CASES = (breach, angle, floor, spotface, hole_beside_a_drilling, tube_near_the_edge)


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.__name__)
def test_the_remedy_cures(tmp_path: Path, case: Callable[[], Case]) -> None:
    job, rule, words = case()
    found = only(measured(tmp_path, job), rule, *words)
    assert found, "the job has not the defect it should have"
    carry_out(job, found[0])
    again = only(measured(tmp_path, job), rule, *words)
    assert [f for f in again if f.plate == found[0].plate] == []


def test_the_way_is_the_shortest_of_those_along_an_axis(tmp_path: Path) -> None:
    """Side by side along x only: 3 mm asked for, radii 3 and 2.25, axes 6.85 apart, so 1.40 mm are missing."""
    job, rule, words = hole_beside_a_drilling()
    f = only(measured(tmp_path, job), rule, *words)[0]
    assert f.measured == pytest.approx(1.6, abs=1e-4)
    assert f.remedy in ("move pin 1.40 mm to +x", "move in and top 1.40 mm to -x")


def test_a_passage_led_into_another_loop_is_told_so(tmp_path: Path) -> None:
    f = only(measured(tmp_path, defect("channel-swapped")), "wall.loops", "hot-feed", "cold-riser")[0]
    assert f.remedy == "end hot-feed on a passage of its own loop hot: cold-riser belongs to cold"


def test_struts_too_near_their_channel_get_a_pitch_circle(tmp_path: Path) -> None:
    """Tube 60, channel to 30.25, wall 6 wanted, seat 5.1 in radius: 2 × 41.35 = 82.70 mm."""
    job = raw("bench-single")
    job["reservoirs"][0]["struts"]["pitch_circle"] = 78
    job["reservoirs"][0]["channel"] = {"wall": 6}
    m = measured(tmp_path, job)
    found = only(m, "wall.tube-channel", "tube.strut-1.seat")
    assert found[0].remedy == "give the struts of tube a pitch circle of 82.70 mm"
    job["reservoirs"][0]["struts"]["pitch_circle"] = 82.7
    assert not only(measured(tmp_path, job), "wall.tube-channel", "tube.strut-1.seat")
