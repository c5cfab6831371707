"""Flow, pockets and ways to stand on the stage of a real report in a real browser."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from report_rows import bundle_of, net_row
from rillwright.export.report.report import write_report

Open = Callable[..., Any]


@pytest.fixture(scope="module")
def stood(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A report of the smallest job with its flow and two ways to stand."""
    from rillwright.checks.plan.flow import flow_records

    made = bundle_of("bench-single", tmp_path_factory.mktemp("stood"))
    assert made.result is not None
    flow = tuple(flow_records(made.layout, all_loops=True))
    write_report(replace(made, result=replace(made.result, flow=flow, nets=(net_row("bench"),))))
    return made.folder / "report.html"


@pytest.fixture
def bench(opened: Open, stood: Path) -> Any:
    shown = opened(file=stood)
    for name in ("findings", "names"):
        shown.page.uncheck(f"#tick-{name}")
    return shown


def visible(shown: Any, kind: str) -> list[str]:
    """Words of the marks of a kind that are seen."""
    shown.settle()
    return [m.inner_text() for m in shown.page.locator(f".mark.{kind}").all() if m.is_visible()]


def test_flow_is_drawn_and_goes_again(bench: Any) -> None:
    plain = bench.pixels()
    assert visible(bench, "pace") == []
    bench.page.check("#tick-flow")
    assert bench.pixels() != plain
    assert "m/s in" in bench.page.inner_text("#stage-told")
    assert visible(bench, "pace")
    bench.page.uncheck("#tick-flow")
    assert bench.pixels() == plain
    assert visible(bench, "pace") == []
    assert bench.complaints == []


def test_a_passage_in_the_list_is_shown_with_its_figure(bench: Any) -> None:
    before = bench.eye
    button = bench.page.locator("#flow [data-mark^=passage]").first
    button.click()
    assert bench.eye != before
    assert bench.page.is_checked("#tick-flow")
    assert bench.page.get_attribute("#stage-view", "data-shown") == button.get_attribute("data-mark")
    assert bench.page.locator(".mark.pace.chosen").is_visible()


def test_flow_is_cut_open_and_pulled_apart_with_the_parts(bench: Any) -> None:
    bench.page.uncheck("[data-group=Coolant][data-does=shown]")
    bench.page.check("#tick-flow")
    whole = bench.pixels()
    bench.page.fill("#apart", "60")
    assert bench.pixels() != whole
    bench.page.fill("#apart", "0")
    assert bench.pixels() == whole
    words = visible(bench, "pace")
    bench.page.check("[name=cut-axis][value=z]")
    assert len(visible(bench, "pace")) < len(words)


def test_pockets_belong_to_the_way_it_stands(bench: Any) -> None:
    plain = bench.pixels()
    bench.page.check("#tick-pockets")
    assert visible(bench, "air") == ["air 1.2"]
    assert visible(bench, "coolant") == ["coolant 0.4"]
    assert bench.pixels() != plain  # with the boxes that hold them
    bench.settle()
    keys = [m.get_attribute("aria-label") for m in bench.page.locator(".mark.air").all() if m.is_visible()]
    assert "upright" in keys[0]
    bench.page.check("[name=pose] >> nth=2")
    bench.settle()
    keys = [m.get_attribute("aria-label") for m in bench.page.locator(".mark.air").all() if m.is_visible()]
    assert len(keys) == 1
    assert "on its back" in keys[0]
    bench.page.check("[name=pose] >> nth=1")  # leant: no pockets were told of it
    assert visible(bench, "air") == []


def test_what_is_up_is_up_on_the_screen(bench: Any) -> None:
    """The top of the tube stands above its foot; laid on its back, what looked to the front (−y) is above."""
    def rise(a: tuple[float, float, float], b: tuple[float, float, float]) -> float:
        seen = [bench.page.evaluate("([x, y, z]) => document.querySelector('#stage-view').seen(x, y, z)", list(p))
                for p in (a, b)]  # fmt: skip
        return float(seen[0]["y"] - seen[1]["y"])

    foot, top, front = (0.0, 0.0, 0.0), (0.0, 0.0, 180.0), (0.0, -180.0, 0.0)
    bench.settle()
    assert rise(foot, top) > 50
    bench.page.check("[name=pose] >> nth=2")
    bench.settle()
    assert rise(foot, front) > 50
    assert "on its back" in bench.page.inner_text("#stage-told")
    assert bench.complaints == []


def test_a_pocket_of_another_way_to_stand_turns_everything_to_it(bench: Any) -> None:
    bench.page.locator("#flow [data-mark^='air-0-on its back']").click()
    bench.settle()
    assert bench.page.is_checked("[name=pose] >> nth=2")
    assert bench.page.locator(".mark.air.chosen").is_visible()


def test_the_keys_turn_the_view_however_it_stands(bench: Any) -> None:
    bench.page.check("[name=pose] >> nth=2")
    bench.page.focus("#stage-view canvas")
    eyes = [bench.eye]
    for key in ("ArrowLeft", "ArrowUp", "Shift+ArrowRight", "+", "ArrowDown"):
        bench.page.keyboard.press(key)
        eyes.append(bench.eye)
    assert all(a != b for a, b in pairwise(eyes))
    for side in ("above", "below", "front", "back", "left", "right"):
        bench.page.click(f"[data-view={side}]")
        assert "NaN" not in bench.eye


def test_on_paper_the_passages_keep_their_names(bench: Any) -> None:
    bench.page.emulate_media(media="print")
    names = bench.page.locator("#flow tbody .show").all()
    assert names
    assert all(n.is_visible() for n in names if n.evaluate("(e) => !e.closest('details:not([open])')"))


def test_axe_finds_no_serious_fault_in_flow_and_air(opened: Open, stood: Path, node_packages: Path) -> None:
    page = opened(file=stood).page
    page.evaluate("() => { for (const d of document.querySelectorAll('details')) d.open = true; }")
    for name in ("flow", "pockets"):
        page.check(f"#tick-{name}")
    page.evaluate((node_packages / "axe-core" / "axe.min.js").read_text(encoding="utf-8"))
    result = page.evaluate("() => axe.run(document, { resultTypes: ['violations'] })")
    grave = [(v["id"], [n["target"] for n in v["nodes"]][:4]) for v in result["violations"]
             if v["impact"] in ("serious", "critical")]  # fmt: skip
    assert grave == []
