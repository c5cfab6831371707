"""The report's file by itself: sound, closed to the outside, small, and true to what was checked."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import re
import struct
import subprocess
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from report_rows import HOSTILE, bundle_of
from rillwright.checks.finding import Finding, Outcome
from rillwright.checks.result import Result
from rillwright.export.bundle import Bundle
from rillwright.export.report.page import VIEWER
from rillwright.export.report.report import report
from rillwright.export.report.scene import parts
from rillwright.layout.hardware import in_assembly
from rillwright.layout.nets import assemblies
from rillwright.pipeline import plan

PARAMS = Path(__file__).parents[3] / "params"
Reports = Callable[[str], Path]


class Seen(HTMLParser):
    """Elements, attributes and text of a page as a browser takes them."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.inside: dict[int, str] = {}
        self.within = -1
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.within = len(self.elements)
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:  # noqa: ARG002
        self.within = -1

    def handle_data(self, data: str) -> None:
        self.inside[self.within] = self.inside.get(self.within, "") + data

    def texts(self, tag: str) -> list[str]:
        return [self.inside.get(i, "") for i, (t, _) in enumerate(self.elements) if t == tag]


def model_of(page: str) -> bytes:
    """The GLB inside a report."""
    packed = re.search(r'<script type="application/gzip" id="model">([^<]*)</script>', page)
    assert packed
    return gzip.decompress(base64.b64decode(packed[1]))


def nodes_of(glb: bytes) -> list[dict[str, Any]]:
    (size,) = struct.unpack_from("<I", glb, 12)
    nodes: list[dict[str, Any]] = json.loads(glb[20 : 20 + size])["nodes"]
    return [n for n in nodes if "mesh" in n]


@pytest.fixture(scope="module")
def bundle(tmp_path_factory: pytest.TempPathFactory) -> Bundle:
    """The smallest shipped job, with two findings: one with both closest points, one that only names a part."""
    made = bundle_of("bench-single", tmp_path_factory.mktemp("bundle"))
    layout = made.layout
    plate = layout.plates[0]
    port = next(f for f in plate.features if f.role == "port")
    tube = next(h for h in layout.hardware if h.kind == "tube")

    def finding(severity: str, features: tuple[str, ...], at: tuple[Any, ...], where: str) -> Finding:
        return Finding("wall.loops", severity, where, features, 1.0, 3.0, "mm", "too thin", "move it", "", "", at=at)  # type: ignore[arg-type]

    found = (
        finding("error", (port.name,), ((1.0, 2.0, -3.0), (1.0, 2.0, -4.0)), plate.name),
        finding("warning", (tube.name,), (), "assembly"),
    )
    outcome = Outcome("wall.loops", "Is it thick enough?", 2, 1.0, 3.0, "mm", "", found)
    return replace(made, result=Result(layout.name, (outcome,)))


@pytest.mark.parametrize("job", ["studio-twin", "lab-triple"])
def test_one_small_file_without_addresses(tmp_path: Path, job: str) -> None:
    page = report(bundle_of(job, tmp_path))
    assert len(page.encode()) < 3_000_000
    seen = Seen(page)
    fetched = [(t, k, v) for t, a in seen.elements for k, v in a.items()
               if k in ("src", "href", "action", "poster", "data", "srcset", "ping")]  # fmt: skip
    assert fetched == []
    assert not [a for _, a in seen.elements if any(k.startswith("on") or k == "style" for k in a)]


def test_same_job_same_bytes(bundle: Bundle) -> None:
    assert report(bundle) == report(bundle)


def test_the_policy_names_the_script_and_style_by_their_hashes(bundle: Bundle) -> None:
    seen = Seen(report(bundle))
    policy = next(a["content"] for t, a in seen.elements if a.get("http-equiv") == "Content-Security-Policy")
    assert policy is not None
    for text in (seen.texts("style")[0], seen.texts("script")[-1]):
        assert f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}" in policy


def test_hostile_names_stay_text(bundle: Bundle) -> None:
    layout, result = bundle.layout, bundle.result
    assert result is not None
    outcome = result.outcomes[0]
    findings = tuple(
        replace(f, what=HOSTILE, remedy=HOSTILE, waived=w)
        for f, w in zip(outcome.findings, ("", HOSTILE), strict=True)
    )
    seal = {"seal": HOSTILE, "cord": {"diameter": 2, "material": HOSTILE}, "conditions": [
        {"name": HOSTILE, "celsius": 20, "squeeze": {"nominal": 25, "worst": [5, 40], "rss": [10, 30]}}]}  # fmt: skip
    clamp = {"reservoir": HOSTILE, "tightening": {"order": [HOSTILE], "steps": [1], "again": HOSTILE, "caution": HOSTILE}}
    net = {"loop": HOSTILE, "joined": True, "coolant_ml": 1.0, "tubes": [HOSTILE], "plates": [
        {"plate": HOSTILE, "coolant_ml": 1.0, "ports": [HOSTILE], "plugs": [HOSTILE]}]}  # fmt: skip
    bad = replace(
        bundle,
        layout=replace(layout, name=HOSTILE, loops={HOSTILE: "amber", **layout.loops}),
        hardware=[(replace(h, note=HOSTILE, material=HOSTILE), s) for h, s in bundle.hardware],
        result=replace(
            result, outcomes=(replace(outcome, findings=findings, question=HOSTILE, worst_at=HOSTILE),), seals=(seal,),
            clamping=(clamp,), nets=(net,),
        ),
    )  # fmt: skip
    page = report(bad)
    seen = Seen(page)
    assert [a.get("type") for t, a in seen.elements if t == "script"] == ["application/json", "application/gzip", None]
    assert not [t for t, _ in seen.elements if t == "img"]
    assert seen.texts("h1") == [HOSTILE]
    assert "window.hacked" not in re.sub(r"&lt;script&gt;window\.hacked|\\u003cscript>window\.hacked", "", page)
    facts = json.loads(seen.texts("script")[0])
    assert HOSTILE in facts["loops"]


def test_every_part_and_every_loop_stands_on_the_stage(bundle: Bundle) -> None:
    page = report(bundle)
    nodes = {n["name"]: n["extras"] for n in nodes_of(model_of(page))}
    layout = bundle.layout
    assert {p.name for p in layout.plates} | {h.name for h in layout.hardware} <= set(nodes)
    assert {e["loop"] for e in nodes.values() if e["kind"] == "coolant"} == set(layout.loops)
    ticks = [a.get("data-part") for _, a in Seen(page).elements if a.get("data-does") == "shown" and a.get("data-part")]
    assert sorted(map(str, ticks)) == sorted(nodes)


def test_coolant_is_what_the_checks_found(reports: Reports) -> None:
    """The volume of each loop's mesh against that of the exact solid in checks.json; a coarse mesh loses under 1 %."""
    from rillwright.export.report.coolant import coolants
    from rillwright.solids.build import plate_solid

    folder = reports("studio-twin")
    layout = plan(PARAMS / "studio-twin.yaml").layout
    told = {n["loop"]: n["coolant_ml"] for n in json.loads((folder / "checks.json").read_text())["nets"]}
    found = coolants(layout, {p.name: plate_solid(p) for p in layout.plates}, 0.02)
    assert {c.loops for c in found} == {(loop,) for loop in told}
    for c in found:
        assert c.millilitres == pytest.approx(told[c.loops[0]], abs=0.006)
        assert c.mesh.volume / 1000 == pytest.approx(told[c.loops[0]], rel=0.01)


def test_findings_stand_in_the_frame_of_the_assembly(bundle: Bundle) -> None:
    facts = json.loads(Seen(report(bundle)).texts("script")[0])
    plate = bundle.layout.plates[0]
    first, second = [m for m in facts["marks"] if m["kind"] != "joint"]
    z = [plate.height + plate.side * d for d in (-3.0, -4.0)]
    assert first["at"] == [[1.0, 2.0, pytest.approx(z[0])], [1.0, 2.0, pytest.approx(z[1])]]
    tube = next(h for h in bundle.layout.hardware if h.kind == "tube")
    low, high = (tube.origin[2] + e for e in (min(z for _, z in tube.profile), max(z for _, z in tube.profile)))
    assert second["at"][0][2] == pytest.approx((low + high) / 2)
    assert plate.name in first["parts"]
    assert tube.name in second["parts"]


def test_joints_are_those_of_the_rings(bundle: Bundle) -> None:
    facts = json.loads(Seen(report(bundle)).texts("script")[0])
    joints = [m for m in facts["marks"] if m["kind"] == "joint"]
    assert [tuple(m["at"][0][:2]) for m in joints] == [pytest.approx(r.joint, abs=1e-3) for r in bundle.layout.rings]


def test_a_report_needs_the_result(bundle: Bundle) -> None:
    with pytest.raises(ValueError, match="without their result"):
        report(replace(bundle, result=None))


def test_pulled_apart_plates_and_screws_part(bundle: Bundle) -> None:
    nodes = {n["name"]: n for n in nodes_of(model_of(report(bundle)))}
    plates = sorted(bundle.layout.plates, key=lambda p: p.height)
    assert nodes[plates[-1].name]["extras"]["apart"][2] > nodes[plates[0].name]["extras"]["apart"][2]
    for h in bundle.layout.hardware:
        if h.kind == "screw":
            plate = next(p for p in plates if h.name.startswith(f"{p.name}."))
            way = nodes[h.name]["extras"]["apart"][2] - nodes[plate.name]["extras"]["apart"][2]
            assert way * h.axis[2] < 0  # out of its hole


def test_a_job_that_fails_says_so_first(bundle: Bundle) -> None:
    seen = Seen(report(bundle))
    assert seen.texts("h2")[0] == "" or "Do not cut" in seen.texts("span")
    assert "Do not cut" in [t.strip() for t in seen.texts("span")]


def test_assemblies_without_a_loop_have_no_coolant(bundle: Bundle) -> None:
    from rillwright.export.report.coolant import coolants

    dry = replace(
        bundle.layout,
        plates=tuple(replace(p, features=tuple(f for f in p.features if f.loop is None)) for p in bundle.layout.plates),
        hardware=(),
    )
    assert not any(a.loops for a in assemblies(dry))
    assert coolants(dry, bundle.solids, 0.02) == []


@pytest.mark.parametrize("job", ["studio-twin"])
def test_khronos_validator_finds_no_error(reports: Reports, node_packages: Path, tmp_path: Path, job: str) -> None:
    model = tmp_path / "model.glb"
    model.write_bytes(model_of((reports(job) / "report.html").read_text(encoding="utf-8")))
    told = _validated(model, node_packages)
    assert told["issues"]["numErrors"] == 0, told["issues"]["messages"][:5]
    assert told["issues"]["numWarnings"] == 0, told["issues"]["messages"][:5]
    assert told["info"]["drawCallCount"] > 10


def _validated(model: Path, node_packages: Path) -> dict[str, Any]:
    script = (
        "const v = require('gltf-validator'); const fs = require('fs');"
        "v.validateBytes(new Uint8Array(fs.readFileSync(process.argv[1])))"
        ".then((r) => console.log(JSON.stringify(r)), (e) => { console.error(e); process.exit(1); });"
    )
    done = subprocess.run(["node", "-e", script, str(model)], cwd=node_packages, capture_output=True, text=True, check=True)
    told: dict[str, Any] = json.loads(done.stdout)
    return told


def test_the_built_script_is_that_of_the_sources(node_packages: Path, tmp_path: Path) -> None:
    """Whoever changes the viewer's sources also commits what esbuild makes of them."""
    made = tmp_path / "viewer.min.js"
    options = json.loads((VIEWER / "package.json").read_text())["scripts"]["build"].split()[2:-1]
    done = subprocess.run(
        [str(node_packages / ".bin" / "esbuild"), str(VIEWER / "src" / "main.js"), *options, f"--outfile={made}"],
        env={"NODE_PATH": str(node_packages), "PATH": "/usr/bin:/bin"}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert made.read_text() == (VIEWER / "viewer.min.js").read_text()


def test_the_licence_of_what_is_bundled_goes_along(bundle: Bundle) -> None:
    assert "Permission is hereby granted" in report(bundle)


@pytest.fixture(scope="module")
def covered(tmp_path_factory: pytest.TempPathFactory) -> Bundle:
    return bundle_of("valve-board", tmp_path_factory.mktemp("covered"))


def test_covered_plates_with_cords_along_lines(covered: Bundle) -> None:
    """A cord in a milled groove stands where its ring's joint is, in its own shape and not as a body of revolution."""
    page = report(covered)
    nodes = {n["name"]: n for n in nodes_of(model_of(page))}
    layout = covered.layout
    assert {p.name for p in layout.plates} | {h.name for h in layout.hardware} <= set(nodes)
    cords = [h for h in layout.hardware if h.path is not None]
    assert cords
    assert not any("translation" in nodes[h.name] or "rotation" in nodes[h.name] for h in cords)
    shown = {p.name: p for p in parts(covered, [])}
    for r in layout.rings:
        mesh = shown[r.hardware].mesh
        a = mesh.vertices[mesh.triangles][:, :, :2].reshape(-1, 2)  # each corner, and the one after it
        along = np.roll(mesh.vertices[mesh.triangles], -1, axis=1)[:, :, :2].reshape(-1, 2) - a
        to = np.array(r.joint) - a
        share = np.clip(np.einsum("ij,ij->i", to, along) / np.maximum(np.einsum("ij,ij->i", along, along), 1e-12), 0, 1)
        assert np.linalg.norm(to - share[:, None] * along, axis=1).min() < r.cord.diameter


def test_every_cover_screw_has_its_number_in_the_plan(covered: Bundle) -> None:
    seen = Seen(report(covered))
    screws = [h for h in covered.layout.hardware if h.kind == "screw"]
    labels = [a.get("aria-label") or "" for t, a in seen.elements if t == "svg"]
    told = next(t for t in labels if "Plate board-cover" in t).split(": ")[1].split(", ")
    assert [int(w.split()[0]) for w in told] == list(range(1, len(screws) + 1))
    assert {w.split()[1] for w in told} == {h.name.removeprefix("board.") for h in screws}


def test_cover_screws_come_out_beyond_their_cover(covered: Bundle) -> None:
    shown = {p.name: p for p in parts(covered, [])}
    for h in covered.layout.hardware:
        if h.kind == "screw":
            assert shown[h.name].apart[2] - shown["board-cover"].apart[2] == pytest.approx(-45 * h.axis[2])


def test_assemblies_stand_where_the_machine_has_them(tmp_path: Path) -> None:
    """The model's nodes carry the place and turn of their assembly; marks and mouths go along."""
    placed = bundle_of("whole-machine", tmp_path)
    layout = placed.layout
    assert len(layout.stances) > 1
    shown = {p.name: p for p in parts(placed, [])}
    for plate in layout.plates:
        stance, part = layout.stance(plate.name), shown[plate.name]
        point = np.array([1.0, 2.0, 3.0])  # of the part's own mesh
        axis, w = np.array(part.turn[:3]), part.turn[3]
        there = point + 2 * np.cross(axis, np.cross(axis, point) + w * point) + np.array(part.at)
        assert there == pytest.approx(stance.place((1.0, 2.0, 3.0 + plate.height)))
    facts = json.loads(Seen(report(placed)).texts("script")[0])
    mouths = {name: at for name, at, _ in facts["mouths"]}
    for plate in layout.plates:
        for f in plate.features:
            expected = layout.stance(plate.name).place(in_assembly(plate, f.origin))
            assert mouths[f"{plate.name}.{f.name}"] == pytest.approx(expected, abs=1e-3)
