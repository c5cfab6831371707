"""What the folder holds for the seals: marks of joints in the GLB, the cut list, the sheet for the leak test."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Callable

import numpy as np
import pytest

from jobs import Built
from rillwright.export.leak_sheet import leak_sheet
from rillwright.export.still_scene import read_glb

Shipped = Callable[[str], Built]


def test_every_cord_has_a_mark_that_stands_out_of_it_beside_its_screw(shipped: Shipped) -> None:
    built = shipped("bench-single")
    parts = {p.name: p for p in read_glb(built.folder / "assembly.glb")}
    cords = [name for name in parts if ".cord-" in name]
    assert len(built.layout.joints) == len(cords) == 2
    for joint in built.layout.joints:
        mark, cord = parts[joint.name].points, parts[joint.hardware].points
        middle = (mark.min(axis=0) + mark.max(axis=0)) / 2
        assert middle[:2] == pytest.approx(joint.at, abs=0.01)
        assert mark[:, 2].min() < cord[:, 2].min()  # all round it, seen from above and below
        assert mark[:, 2].max() > cord[:, 2].max()
        centre = built.layout.seals[0]
        around = np.degrees(np.arctan2(middle[1], middle[0])) % 360
        assert around == pytest.approx(joint.angle, abs=0.1)
        screw = next(f for p in built.layout.plates if p.name == joint.plate for f in p.features if f.name == joint.beside)
        apart = math.dist(screw.origin[:2], joint.at)
        others = [math.dist(f.origin[:2], joint.at) for p in built.layout.plates for f in p.features
                  if f.role == "strut-screw"]  # fmt: skip
        assert apart == pytest.approx(min(others))
        assert centre.joint == pytest.approx(joint.at)


def test_cut_list_names_the_joint(shipped: Shipped) -> None:
    built = shipped("bench-single")
    rows = list(csv.DictReader((built.folder / "cord-cuts.csv").open(encoding="utf-8")))
    assert [r["joint"] for r in rows] == [j.name for j in built.layout.joints]
    assert all(0 <= float(r["joint_angle_deg"]) < 360 for r in rows)


def test_leak_sheet_has_a_plan_for_each_loop_and_room_to_write(shipped: Shipped) -> None:
    built = shipped("bench-single")
    rows = list(csv.DictReader((built.folder / "leak-test.csv").open(encoding="utf-8")))
    held = json.loads((built.folder / "checks.json").read_text(encoding="utf-8"))["nets"][0]["coolant_ml"]
    by_what = {r["what"]: r for r in rows if r["loop"]}
    assert float(by_what["volume"]["value"]) == pytest.approx(held, abs=0.05)
    # V Δp/(t p_atm): ten resolutions of 0.001 bar at 0.1 mL/min and 1.01325 bar.
    assert float(by_what["duration"]["value"]) == pytest.approx(held * 0.01 / 1.01325 / 0.1, abs=0.5)
    assert float(by_what["never above"]["value"]) <= 0.5
    assert by_what["read at the end: pressure"]["value"] == ""
    cautions = " ".join(r["note"] for r in rows if r["what"] == "caution").lower()
    for word in ("unpowered", "people clear", "water first", "stated pressure", "eye protection", "acrylic"):
        assert word in cautions


@pytest.mark.parametrize(("held", "stated", "word"), [(None, 0.5, "did not prove"), (300.0, 0.0, "above 0")])
def test_no_plan_without_proof_or_pressure(held: float | None, stated: float, word: str) -> None:
    text = leak_sheet({"main": None}, ({"loop": "main", "coolant_ml": held},), stated)
    (row,) = [r for r in csv.DictReader(io.StringIO(text)) if r["loop"]]
    assert row["what"] == "no plan"
    assert word in row["note"]
