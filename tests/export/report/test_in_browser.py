"""The report in a real browser: it draws, turns, cuts, hides, measures, and asks the network for nothing."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from rillwright.layout.hardware import in_assembly
from rillwright.pipeline import plan

Open = Callable[..., Any]
PARAMS = Path(__file__).parents[3] / "params"


@pytest.fixture
def twin(opened: Open) -> Any:
    return opened("studio-twin")


def test_it_draws_without_a_complaint_and_fetches_nothing(twin: Any) -> None:
    assert twin.page.get_attribute("#stage-view", "data-state") == "ready"
    colours = twin.page.evaluate(
        "() => { const s = document.querySelector('#stage-view canvas'); const c = document.createElement('canvas');"
        "c.width = s.width; c.height = s.height; const x = c.getContext('2d'); x.drawImage(s, 0, 0);"
        "const d = x.getImageData(0, 0, c.width, c.height).data; const seen = new Set();"
        "for (let i = 0; i < d.length; i += 4) seen.add((d[i] << 16) + (d[i + 1] << 8) + d[i + 2]); return seen.size; }"
    )
    assert colours > 500  # one colour where nothing was drawn
    assert twin.complaints == []
    assert [u for u in twin.requests if not u.startswith("data:")] == [twin.page.url]


def test_the_policy_forbids_the_network_and_code_from_text(twin: Any) -> None:
    refused = twin.page.evaluate("() => fetch('https://example.invalid/').then(() => 'fetched', () => 'refused')")
    assert refused == "refused"
    assert any("Content Security Policy" in c for c in twin.complaints)  # by the page's own rule, not for want of a host
    policy = twin.page.get_attribute("meta[http-equiv]", "content")
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy


def test_a_cut_shows_in_the_picture_and_goes_again(twin: Any) -> None:
    whole = twin.pixels()
    twin.page.check("[name=cut-axis][value=y]")
    cut = twin.pixels()
    assert cut != whole
    twin.page.fill("#cut-at", "20")
    assert twin.pixels() != cut
    twin.page.check("#cut-flip")
    flipped = twin.pixels()
    assert flipped != cut
    twin.page.check("[name=cut-axis][value='']")
    assert twin.pixels() == whole


@pytest.mark.parametrize("axis", ["x", "y", "z"])
def test_cut_faces_are_filled(twin: Any, axis: str) -> None:
    """Straight at a cut through the coolant one sees its tint, unshaded, where an open shell would show its inside."""
    side = {"x": "right", "y": "back", "z": "above"}[axis]
    twin.page.check(f"[name=cut-axis][value={axis}]")
    if axis == "x":
        twin.page.fill("#cut-at", "-70")  # the middle of the left tube
    for name in ("findings", "names", "edges"):
        twin.page.uncheck(f"#tick-{name}")
    twin.page.click(f"[data-view={side}]")
    shares = _share_of_loops(twin)
    assert shares > 0.02, f"only {shares:.1%} of the picture has the loops' own colours"
    twin.page.uncheck("[data-group=Coolant][data-does=shown]")
    assert _share_of_loops(twin) < 0.002


def _share_of_loops(page: Any) -> float:
    """Share of the stage's pixels that have exactly a loop's tint, as only an unshaded cut face has it."""
    page.settle()
    share: float = page.page.evaluate(
        "() => { const s = document.querySelector('#stage-view canvas'); const c = document.createElement('canvas');"
        "c.width = s.width; c.height = s.height; const x = c.getContext('2d'); x.drawImage(s, 0, 0);"
        "const d = x.getImageData(0, 0, c.width, c.height).data; let n = 0;"
        "for (let i = 0; i < d.length; i += 4)"
        " for (const [r, g, b] of [[237, 148, 26], [13, 140, 143]])"
        "  if (Math.abs(d[i] - r) < 3 && Math.abs(d[i + 1] - g) < 3 && Math.abs(d[i + 2] - b) < 3) n += 1;"
        "return n / (d.length / 4); }"
    )
    return share


def test_a_finding_turns_the_view_to_its_place(twin: Any) -> None:
    before = twin.eye
    eyes = [before]
    for button in twin.page.locator("#findings > ol [data-mark]").all()[:2]:
        button.click()
        eyes.append(twin.eye)
        assert twin.page.get_attribute("#stage-view", "data-shown") == button.get_attribute("data-mark")
    assert all(a != b for a, b in pairwise(eyes))
    mark = twin.page.locator(".mark.chosen")
    assert mark.count() == 1
    stage, box = twin.page.locator("#stage-view").bounding_box(), mark.bounding_box()
    middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    assert abs(middle[0] - stage["x"] - stage["width"] / 2) < 30  # the view is centred on it
    assert abs(middle[1] - stage["y"] - stage["height"] / 2) < 30


def test_a_joint_turns_the_view_too(twin: Any) -> None:
    before = twin.eye
    twin.page.locator("#cords [data-mark]").first.click()
    assert twin.eye != before
    assert "joint" in twin.page.inner_text("#stage-told")


def test_ticks_take_parts_away_and_make_them_clear(twin: Any) -> None:
    everything = twin.pixels()
    twin.page.uncheck("[data-part=upper][data-does=shown]")
    without = twin.pixels()
    assert without != everything
    group = twin.page.locator("[data-group=Plates][data-does=shown]")
    assert group.evaluate("(e) => e.indeterminate")
    twin.page.check("[data-part=upper][data-does=shown]")
    assert twin.pixels() == everything
    twin.page.uncheck("[data-part=upper][data-does=clear]")
    assert twin.pixels() not in (everything, without)


def test_parts_can_be_pulled_apart_and_laid_open(twin: Any) -> None:
    together = twin.pixels()
    twin.page.fill("#apart", "100")
    apart = twin.pixels()
    assert apart != together
    twin.page.fill("#clear", "10")
    assert twin.pixels() != apart
    twin.page.uncheck("#tick-edges")
    twin.page.fill("#apart", "0")
    assert twin.pixels() != together


def test_a_distance_between_two_mouths_is_that_of_the_file(twin: Any) -> None:
    """Picked a few pixels beside the centres, which draw the pick to themselves."""
    layout = plan(PARAMS / "studio-twin.yaml").layout
    upper = next(p for p in layout.plates if p.name == "upper")
    one, two = [f for f in upper.features if f.face == "outer" and f.role == "port"][:2]
    twin.page.click("[data-view=above]")
    twin.settle()
    twin.page.click("#measure")
    for f in (one, two):
        _pick(twin, in_assembly(upper, f.origin), 3)
    told = twin.page.inner_text("#stage-told")
    expected = [abs(a - b) for a, b in zip(one.origin, two.origin, strict=True)]
    start = f"{math.dist(one.origin, two.origin):.2f} mm from centre of upper.{one.name} to centre of upper.{two.name}: "
    assert told.startswith(start)
    assert told.endswith(f"{expected[0]:.2f} left to right, {expected[1]:.2f} front to back, {expected[2]:.2f} in height.")


def test_a_distance_on_cut_faces_lies_in_the_cut(twin: Any) -> None:
    """Two picks on the cut face of a plate differ in nothing across the cut."""
    layout = plan(PARAMS / "studio-twin.yaml").layout
    upper = next(p for p in layout.plates if p.name == "upper")
    twin.page.check("[name=cut-axis][value=y]")
    twin.page.fill("#cut-at", "5")
    twin.page.click("[data-view=back]")
    twin.page.uncheck("#tick-findings")  # a mark in front of the place would take the click
    twin.settle()
    twin.page.click("#measure")
    for x in (-12.0, 12.0):
        _pick(twin, in_assembly(upper, (x, 5.0, -upper.thickness / 2)), 0)
    told = twin.page.inner_text("#stage-told")
    found = re.match(
        r"([\d.]+) mm from cut face of upper to cut face of upper: [\d.]+ left to right, ([\d.]+) front to back", told
    )
    assert found, told
    assert float(found[1]) == pytest.approx(24, abs=0.5)  # a pixel is about 0.3 mm here
    assert float(found[2]) == 0.0


def _pick(twin: Any, at: tuple[float, float, float], beside: float) -> None:
    """Click where a point of the assembly (mm) is seen, some pixels beside it."""
    stage = twin.page.locator("#stage-view").bounding_box()
    seen = twin.page.evaluate("([x, y, z]) => document.querySelector('#stage-view').seen(x, y, z)", list(at))
    twin.page.mouse.click(stage["x"] + seen["x"] + beside, stage["y"] + seen["y"])


def test_every_control_is_reached_by_the_tab_key(twin: Any) -> None:
    page = twin.page
    wanted = page.evaluate(
        "() => { let n = 0; for (const e of document.querySelectorAll("
        "'button, input, summary, canvas, .wide')) { if (e.closest('[hidden]') || e.disabled) continue;"
        " const shut = e.closest('details:not([open])'); if (shut && e.tagName !== 'SUMMARY') continue;"
        " e.dataset.number = n++; } return n; }"
    )
    reached: set[str] = set()
    for _ in range(wanted + 10):
        page.keyboard.press("Tab")
        number = page.evaluate("() => document.activeElement?.dataset?.number ?? ''")
        if number:
            reached.add(number)
    radios = page.locator("[name=cut-axis]").count() - 1  # of a group of radios only the chosen one
    radios += max(0, page.locator("[name=pose]").count() - 1)
    assert len(reached) == wanted - radios


def test_the_stage_obeys_the_keys(twin: Any) -> None:
    page = twin.page
    page.focus("#stage-view canvas")
    eyes = [twin.eye]
    for key in ("ArrowLeft", "ArrowUp", "Shift+ArrowRight", "+", "-", "Home"):
        page.keyboard.press(key)
        eyes.append(twin.eye)
    assert all(a != b for a, b in pairwise(eyes))
    assert eyes[-1] == eyes[0]
    page.click("#measure")
    page.focus("#stage-view canvas")
    page.keyboard.press("Enter")
    assert "Pick" in page.inner_text("#stage-told") or "Nothing" in page.inner_text("#stage-told")


@pytest.mark.parametrize(("width", "height"), [(1400, 900), (390, 844)])
def test_axe_finds_no_serious_fault(opened: Open, node_packages: Path, width: int, height: int) -> None:
    page = opened("studio-twin", width, height).page
    page.evaluate("() => { for (const d of document.querySelectorAll('details')) d.open = true; }")
    page.evaluate((node_packages / "axe-core" / "axe.min.js").read_text(encoding="utf-8"))
    result = page.evaluate("() => axe.run(document, { resultTypes: ['violations'] })")
    grave = [(v["id"], [n["target"] for n in v["nodes"]][:4]) for v in result["violations"]
             if v["impact"] in ("serious", "critical")]  # fmt: skip
    assert grave == []
    assert len(result["passes"]) > 15  # it did look


@pytest.mark.parametrize("width", [320, 390, 820])
def test_nothing_is_wider_than_the_window(opened: Open, width: int) -> None:
    page = opened("studio-twin", width, 800).page
    assert page.evaluate("() => document.documentElement.scrollWidth") <= width


def test_on_paper_a_picture_stands_for_the_stage(twin: Any) -> None:
    page = twin.page
    page.emulate_media(media="print")
    page.wait_for_function("() => document.querySelector('.still').naturalWidth > 100")
    assert page.is_visible(".still")
    assert page.is_hidden("#stage-view canvas")
    assert page.is_hidden(".controls")
    assert page.is_visible("#tightening svg")
    pdf = page.pdf(format="A4")
    assert pdf.startswith(b"%PDF")


def test_without_a_drawing_surface_the_rest_is_still_there(browser: Any, reports: Callable[[str], Path]) -> None:
    context = browser.new_context()
    context.add_init_script("HTMLCanvasElement.prototype.getContext = () => null;")
    page = context.new_page()
    page.goto((reports("studio-twin") / "report.html").as_uri())
    page.wait_for_selector("#stage-view[data-state=failed]")
    assert "cannot be drawn" in page.inner_text("#stage-told")
    assert page.is_visible("#findings")
    context.close()
