"""What mounted parts take up is seen in the GLB, on paper and in the report, and is in no STEP file."""

from __future__ import annotations

import base64
import gzip
import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from pypdf import PdfReader

from mounting import job_of, planned, saved
from rillwright.export.drawings.mounted import runs_inside
from rillwright.export.phantoms import COLOUR, MARKED, placed_phantoms
from rillwright.export.still_scene import read_glb
from rillwright.pipeline import build

MOUNT = {"name": "m", "interface": "foot", "side": "seal", "at": [10, -5], "loops": {"in": "a", "out": "a"}}
ROUND_FOOT = {"interface": "disc", "source": "made for this test",
              "spaces": [{"name": "body", "diameter": 30, "height": [-4, 12]}]}  # fmt: skip


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("phantoms")
    build(saved(folder, job_of(MOUNT)), folder / "out", only=["step", "glb", "drawings", "report"])
    return folder / "out"


def nodes(glb: bytes) -> list[dict[str, Any]]:
    size = int.from_bytes(glb[12:16], "little")
    found: list[dict[str, Any]] = json.loads(glb[20 : 20 + size])["nodes"]
    return found


def test_the_glb_has_each_room_clear_and_marked(built: Path) -> None:
    (room,) = (n for n in nodes((built / "assembly.glb").read_bytes()) if n["name"].startswith("room."))
    assert room["name"] == "room.base.m-body"
    assert room["extras"] == {"material": MARKED}
    (drawn,) = (p for p in read_glb(built / "assembly.glb") if p.name == "room.base.m-body")
    assert drawn.colour[3] == COLOUR[3] < 1
    assert drawn.points.min(axis=0) == pytest.approx([-10, -15, 0], abs=1e-4)
    assert drawn.points.max(axis=0) == pytest.approx([30, 5, 10], abs=1e-4)


def test_no_step_file_knows_of_it(built: Path) -> None:
    for file in ("base.step", "assembly.step"):
        assert "room" not in (built / file).read_text(encoding="latin-1")


def test_the_drawing_of_that_face_tells_of_it_and_no_other(built: Path) -> None:
    seal, outer, *_ = (page.extract_text() for page in PdfReader(built / "drawings.pdf").pages)
    assert "m-body: 0 to 10" in seal
    assert "Double-dotted: room of mounted parts, 0 to 10 over this face" in seal
    assert "m-body" not in outer
    assert "Double-dotted" not in outer


def test_the_report_shows_it_by_name(built: Path) -> None:
    page = (built / "report.html").read_text(encoding="utf-8")
    assert "Room of mounted parts" in page
    packed = re.search(r'id="model"[^>]*>([^<]+)<', page)
    assert packed is not None
    (room,) = (n for n in nodes(gzip.decompress(base64.b64decode(packed[1]))) if n.get("extras", {}).get("kind") == "room")
    assert room["name"] == "room.base.m-body"
    assert room["extras"]["note"] == "foot"


@pytest.mark.parametrize(("foot", "volume"), [(None, 40 * 20 * 10), (ROUND_FOOT, np.pi * 15**2 * 16)])
def test_its_mesh_is_closed_and_looks_outwards(tmp_path: Path, foot: Any, volume: float) -> None:
    mount = MOUNT if foot is None else {"name": "m", "interface": "disc", "side": "outer"}
    layout = planned(tmp_path, job_of(mount), *([] if foot is None else [foot])).layout
    ((placed, mesh),) = placed_phantoms(layout)
    solid = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)
    assert solid.is_watertight
    assert solid.is_winding_consistent
    assert solid.volume == pytest.approx(volume, rel=0.004)
    assert placed.clear


def test_lines_are_cut_off_at_the_frame() -> None:
    square = [(-5.0, 2.0), (5.0, 2.0), (5.0, 8.0), (-5.0, 8.0), (-5.0, 2.0)]
    runs = runs_inside(square, (0.0, 0.0, 10.0, 10.0))
    assert runs == [[(0.0, 2.0), (5.0, 2.0), (5.0, 8.0), (0.0, 8.0)]]
    assert runs_inside(square, (-9.0, 0.0, 10.0, 10.0)) == [square]  # one line all round: its dashes run on
    assert runs_inside(square, (6.0, 0.0, 10.0, 10.0)) == []
    assert all(a != b for run in runs for a, b in pairwise(run))
