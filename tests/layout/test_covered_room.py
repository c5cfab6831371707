"""What the tool places itself under and on a cover leaves the walls that its own checks ask for. Found by good jobs."""

from __future__ import annotations

import math
import sys
from pathlib import Path

import pytest

from jobs import written
from rillwright.pipeline import plan

sys.path.append(str(Path(__file__).parents[1] / "benchmarks"))

from good_jobs import sample


@pytest.mark.parametrize("seed", [3000, 1000, 1001, 1004])
def test_sunk_heads_keep_a_wall_to_the_spotfaces_of_ports(tmp_path: Path, seed: int) -> None:
    """Head and spotface are both cut from the cover's outer face: limits.wall_dry, 1.5 mm, between their rims."""
    layout = plan(written(tmp_path, sample("covered-opening", seed))).layout
    cover = next(p for p in layout.plates if p.cover_of)
    ports = [f for f in cover.features if f.role == "port"]
    heads = [f for f in cover.features if f.role == "screw" and "mouth_radius" in f.facts]
    for s in heads:
        for p in ports:
            gap = math.dist(s.origin[:2], p.origin[:2]) - s.facts["mouth_radius"] - p.facts["spotface_radius"]
            assert gap >= 1.5 - 1e-6, (s.name, p.name)


def test_a_port_in_an_edge_leaves_a_web_between_its_drill_point_and_the_channel(tmp_path: Path) -> None:
    """Bonded, so no groove takes room: 2 mm (limits.wall_same) from the channel's round end to the cone of the bore."""
    layout = plan(written(tmp_path, sample("covered-bonded", 3000))).layout
    body = layout.plates[0]
    port = next(f for f in body.features if f.name == "laser-out")
    run = next(f for f in body.features if f.name == "laser-out.run")
    channel = next(p for p in body.pockets if p.name == "laser-run")
    tip = port.facts["bore_depth"] + (port.facts["bore_radius"] - run.facts["diameter"] / 2) / math.tan(math.radians(59))
    end = run.facts["length"] - channel.shape.width / 2  # type: ignore[union-attr]
    assert end - tip >= 2 - 1e-9
