"""Bundles and rows for tests of the report."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from jobs import PARAMS
from rillwright.export.bundle import Bundle
from rillwright.pipeline import check, plan

HOSTILE = "</script><script>window.hacked=1</script><img src=x onerror=\"hacked=1\">'\"&"


def bundle_of(job: str, folder: Path) -> Bundle:
    """A shipped job with its solids and what the checks without solids answered."""
    from rillwright.solids.build import hardware_solid, plate_solid

    planned = plan(PARAMS / f"{job}.yaml")
    layout = planned.layout
    solids = {p.name: plate_solid(p) for p in layout.plates}
    hardware = [(h, hardware_solid(h)) for h in layout.hardware]
    return Bundle(folder, planned.loaded.model, layout, solids, {}, hardware, check(PARAMS / f"{job}.yaml"))


def facts_of(page: str) -> dict[str, Any]:
    """What a report tells its viewer."""
    found = re.search(r'<script type="application/json" id="facts">([^<]*)</script>', page)
    assert found
    facts: dict[str, Any] = json.loads(found[1])
    return facts


def net_row(loop: str, name: str = "") -> dict[str, Any]:
    """A row of the nets of `bench-single`, made up: two ways to stand, the first of which can be leant."""

    def stand(called: str, up: list[float], tilt: dict[str, Any] | None) -> dict[str, Any]:
        fill, low = (name or "upper.fill"), (name or "lower.supply")
        return {
            "stand": called, "up": up, "grid_mm": 1.0, "grid_ml": 300.0, "trapped_ml": 1.25, "undrained_ml": 0.4,
            "air": [{"ml": 1.2, "at": [5.0, 2.0, 190.0], "near": fill, "size": [30.0, 20.0, 4.0]}],
            "coolant": [{"ml": 0.4, "at": [4.0, 1.0, -5.0], "near": low, "size": [20.0, 10.0, 4.0]}],
            "by_port": [{"port": fill, "trapped_ml": 2.0, "undrained_ml": 200.0},
                        {"port": low, "trapped_ml": 250.0, "undrained_ml": 3.5}],
            "vent": fill, "drain": low, "tilt": tilt,
        }  # fmt: skip

    tilt = {"up": [0.259, 0.0, 0.966], "degrees": 15, "trapped_ml": 0.3}
    return {
        "loop": loop, "assembly": "assembly", "joined": True, "coolant_ml": 300.0, "tubes": ["tube.tube"], "plugs": [],
        "ports": ["upper.fill", "upper.return", "lower.supply"], "narrow": [],
        "plates": [{"plate": p, "coolant_ml": 5.0, "ports": [], "plugs": [], "tubes": []} for p in ("upper", "lower")],
        "standing": [stand(name or "upright", [0.0, 0.0, 1.0], tilt), stand("on its back", [0.0, -1.0, 0.0], None)],
    }  # fmt: skip
