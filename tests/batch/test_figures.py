"""Thumbnails and figures of a variant against closed forms."""

from __future__ import annotations

import math
import struct
import zlib
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
from shapely.geometry import MultiPoint

from rillwright.batch import thumbnail as room
from rillwright.batch.figures import solid_volume, stl_volume
from rillwright.batch.thumbnail import HEIGHT, WIDTH, png, thumbnail
from rillwright.export.glb import glb_bytes
from rillwright.export.placed import Placed
from rillwright.export.stl import stl_bytes
from rillwright.layout.features import Hardware
from rillwright.solids.meshing import mesh

SIZE = (120.0, 60.0, 40.0)  # mm


def pixels(data: bytes) -> np.ndarray:
    """Decoded PNG of 8-bit RGB whose lines all use filter 2 (ISO/IEC 15948, 9.2: up)."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    chunks, at = {}, 8
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        kind, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        assert struct.unpack(">I", data[at + 8 + length : at + 12 + length])[0] == zlib.crc32(kind + body)
        chunks[kind], at = body, at + 12 + length
    width, height = struct.unpack(">II", chunks[b"IHDR"][:8])
    lines = np.frombuffer(zlib.decompress(chunks[b"IDAT"]), np.uint8).reshape(height, 1 + width * 3)
    assert (lines[:, 0] == 2).all()
    return np.cumsum(lines[:, 1:], axis=0, dtype=np.uint8).reshape(height, width, 3)


@pytest.fixture(scope="module")
def box(tmp_path_factory: pytest.TempPathFactory) -> Path:
    solid = cq.Workplane().box(*SIZE).val()
    part = Placed("box", solid, (0.6, 0.2, 0.2, 1.0), 0.0, "pom-c")
    path = tmp_path_factory.mktemp("glb") / "assembly.glb"
    path.write_bytes(glb_bytes("box", [(part, mesh(solid))]))
    return path


def test_a_picture_survives_its_file() -> None:
    given = np.random.default_rng(1).integers(0, 256, (7, 5, 3)).astype(np.uint8)
    assert (pixels(png(given)) == given).all()


def test_a_box_covers_what_its_outline_covers(box: Path) -> None:
    seen = pixels(thumbnail(box))
    assert seen.shape == (HEIGHT, WIDTH, 3)
    red = (seen[..., 0].astype(int) - seen[..., 1] > 20).sum()
    corners = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]) * np.array(SIZE) / 2
    back = np.array(room._FROM) / np.linalg.norm(room._FROM)
    right = np.cross((0, 0, 1), back) / np.linalg.norm(np.cross((0, 0, 1), back))
    flat = np.column_stack([corners @ right, corners @ np.cross(back, right)])
    span = np.ptp(flat, axis=0)
    scale = min((WIDTH - 2 * room._MARGIN) / span[0], (HEIGHT - 2 * room._MARGIN) / span[1])
    outline = MultiPoint(flat * scale).convex_hull
    assert red == pytest.approx(outline.area, abs=outline.length)  # a pixel along the border either way


def test_the_nearer_part_hides_the_further_one_and_the_same_file_gives_the_same_picture(tmp_path: Path, box: Path) -> None:
    near, far = (cq.Workplane().box(40, 1, 40).translate((0, y, 0)).val() for y in (-8, 8))
    parts = [Placed("far", far, (0.1, 0.1, 0.9, 1.0), 0.0, ""), Placed("near", near, (0.9, 0.1, 0.1, 1.0), 0.0, "")]
    counts = []
    for order in (parts, parts[::-1]):
        path = tmp_path / "two.glb"
        path.write_bytes(glb_bytes("two", [(p, mesh(p.shape)) for p in order]))
        seen = pixels(thumbnail(path)).astype(int)
        counts.append([(seen[..., 0] - seen[..., 2] > 60).sum(), (seen[..., 2] - seen[..., 0] > 60).sum()])
    assert counts[0] == counts[1]
    (red, blue), _ = counts
    assert 0 < blue < 0.7 * red  # they are of one size
    assert thumbnail(box) == thumbnail(box)


def test_what_stands_behind_in_the_same_part_is_not_seen(tmp_path: Path) -> None:
    wall, hidden = cq.Workplane().box(40, 1, 40).val(), cq.Workplane().sphere(4).translate((0, 6, 0)).val()
    seen = []
    for name, shape in (("alone", wall), ("with", cq.Compound.makeCompound([wall, hidden]))):
        path = tmp_path / f"{name}.glb"
        path.write_bytes(glb_bytes("x", [(Placed("x", shape, (0.6, 0.2, 0.2, 1.0), 0.0, ""), mesh(shape))]))
        seen.append(pixels(thumbnail(path)).astype(int))
    other = (np.abs(seen[0] - seen[1]).max(axis=2) > 0).sum()
    assert other < 30  # a gap between points here and there; the sphere itself would cover 600 pixels


def test_volume_of_an_stl_file(tmp_path: Path) -> None:
    solid = cq.Workplane().box(*SIZE).translate((500, -300, 20)).val()
    (tmp_path / "box.stl").write_bytes(stl_bytes(mesh(solid), "box"))
    assert stl_volume(tmp_path / "box.stl") == pytest.approx(math.prod(SIZE), rel=1e-5)  # single precision, far off


@pytest.mark.parametrize(
    ("profile", "volume"),
    [
        (((0, 0), (5, 0), (0, 12)), math.pi * 25 * 12 / 3),  # cone
        (((0, 0), (0, 12), (5, 0)), math.pi * 25 * 12 / 3),  # the other way round
        (((25, 0), (30, 0), (30, 200), (25, 200)), math.pi * (900 - 625) * 200),  # tube
        (((9, 0), (10, 1), (11, 0), (10, -1)), math.tau * 10 * 2),  # square ring: Pappus, second theorem
    ],
)
def test_volume_of_a_solid_of_revolution(profile: tuple[tuple[float, float], ...], volume: float) -> None:
    part = Hardware("x", "strut", (0, 0, 0), (0, 0, 1), tuple((float(r), float(z)) for r, z in profile))
    assert solid_volume(part) == pytest.approx(volume, rel=1e-12)
