"""From a sweep file to variants: every form, names, and all that is wrong told at once with its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tiny import JOB, files

from jobs import PARAMS
from rillwright.batch.moving import move
from rillwright.batch.order import dumped, order, text_of
from rillwright.batch.tree import copied, take_away
from rillwright.batch.variants import Sweep, Variant, read_sweep
from rillwright.pipeline import plan
from rillwright.spec.job import Job
from rillwright.spec.load import load_text
from rillwright.spec.messages import SpecError
from rillwright.spec.yaml_source import parse

HEAD = "sweep: s\nbase: tiny.yaml\nover:\n"


def read(folder: Path, over: str, job: str = JOB) -> Sweep:
    return read_sweep(files(folder, HEAD + over, job))


def told(folder: Path, over: str, job: str = JOB) -> list[str]:
    with pytest.raises(SpecError) as wrong:
        read(folder, over, job)
    return [str(p).removeprefix(f"{folder}/") for p in wrong.value.problems]


def lengths(sweep: Sweep) -> list[object]:
    return [v.data["plates"]["block"]["outline"]["length"] for v in sweep.variants]


@pytest.mark.parametrize(
    ("axis", "wanted", "names"),
    [
        ("values: [60, 70.5]", [60, 70.5], ["len-60", "len-70-5"]),
        ("range: {from: 60, to: 61, step: 0.5}", [60, 60.5, 61], ["len-60", "len-60-5", "len-61"]),
        ("range: {from: 80, to: 60, count: 3}", [80, 70, 60], ["len-80", "len-70", "len-60"]),
        ("values: [60, 70], labels: [short, long]", [60, 70], ["len-short", "len-long"]),
    ],
)
def test_values_of_one_path(tmp_path: Path, axis: str, wanted: list[float], names: list[str]) -> None:
    sweep = read(tmp_path, f"  len: {{path: plates.block.outline.length, {axis}}}\n")
    assert (lengths(sweep), [v.name for v in sweep.variants]) == (wanted, names)


def test_lists_together_and_their_product_with_a_range(tmp_path: Path) -> None:
    over = (
        "  size: {together: {plates.*.outline.length: [60, 80], plates.*.outline.width: [40, 50]}}\n"
        "  sheet: {path: plates.*.stock.thickness, range: {from: 20, to: 22, step: 1}}\n"
        "leave_out:\n  - {size: 80, sheet: [20, 21]}\n"
    )
    sweep = read(tmp_path, over)
    blocks = [v.data["plates"]["block"] for v in sweep.variants]
    found = [(b["outline"]["length"], b["outline"]["width"], b["stock"]["thickness"]) for b in blocks]
    assert found == [(60, 40, 20), (60, 40, 21), (60, 40, 22), (80, 50, 22)]
    assert sweep.columns == ("size", "sheet")


def test_cases_and_a_table(tmp_path: Path) -> None:
    (tmp_path / "rows.csv").write_text(
        'variant,plates.block.outline.length,"plates.block.ports.out.at"\nflat,70,\nhigh,,"[12, 0]"\n', encoding="utf-8"
    )
    bores = "  bore: {cases: {small: {}, wide: {plates.*.drillings.run.diameter: 6}}}\n"
    sweep = read(tmp_path, "  kind: {table: rows.csv}\n" + bores)
    assert [v.name for v in sweep.variants] == ["flat-small", "flat-wide", "high-small", "high-wide"]
    assert lengths(sweep) == [70, 70, 60, 60]
    last = sweep.variants[-1]
    assert last.data["plates"]["block"]["ports"][1]["at"] == [12, 0]
    assert last.data["plates"]["block"]["drillings"][0]["diameter"] == 6
    assert last.values == {"variant": "high", "plates.block.ports.out.at": [12, 0], "bore": "wide"}


def test_what_an_anchor_shares_is_varied_apart(tmp_path: Path) -> None:
    job = JOB.replace("outline: {", "outline: &o {") + "  other:\n    stock: {thickness: 20}\n    outline: *o\n"
    sweep = read(tmp_path, "  l: {path: plates.block.outline.length, values: [60, 90]}\n", job)
    assert [v.data["plates"]["other"]["outline"]["length"] for v in sweep.variants] == [60, 60]


def test_all_that_is_wrong_is_told_at_once_with_its_place(tmp_path: Path) -> None:
    over = (
        "  a: {path: plates.blok.stock.thickness, values: [1]}\n"
        "  b: {cases: {x: {plates.*.outline.lenght: 3}, y: {without: [loops.colt]}}}\n"
        "  c: {path: plates.*.outline.width, values: [40]}\n"
        "  d: {path: plates.block.outline.width, values: [41]}\n"
    )
    assert told(tmp_path, over) == [
        'sweep.yaml:4:13: plates.blok.stock.thickness: there is no "blok" in plates; did you mean "block"?',
        'sweep.yaml:5:19: plates.*.outline.lenght: there is no key "lenght" in plates.*.outline; did you mean "length"?',
        'sweep.yaml:5:61: without: there is no "colt" in loops (got "loops.colt"); did you mean "cold"?',
        "sweep.yaml:7:50: plates.block.outline.width: plates.block.outline.width is set by plates.*.outline.width of c "
        "too; let one of them set it",
    ]


def test_values_that_make_no_job_are_told_where_they_stand(tmp_path: Path) -> None:
    (tmp_path / "rows.csv").write_text("plates.block.stock.thickness\n20\n999\n", encoding="utf-8")
    over = "  l: {path: plates.block.outline.length, values: [60, -5, long]}\n  t: {table: rows.csv}\n"
    wanted = 'must be a length in mm greater than 0, or with a unit like "90 mm" or "3.5 in"'
    found = told(tmp_path, over)
    assert [f.split(": ", 1)[0] for f in found] == ["rows.csv:3:1", "sweep.yaml:4:55", "sweep.yaml:4:59"]
    assert f"plates.block.outline.length: {wanted} [variant l--5" not in found[1]
    assert all(w in found[1] for w in (wanted, "l-minus-5-thickness-20", "(got -5)"))


def test_a_rule_over_several_keys_is_told_at_the_value_that_breaks_it(tmp_path: Path) -> None:
    text = "sweep: s\nbase: {}\nover:\n  w:\n    path: reservoirs.tube.tube.wall\n    values:\n      - 5\n      - 35\n"
    path = tmp_path / "s.yaml"
    path.write_text(text.replace("{}", str(PARAMS / "bench-single.yaml")), encoding="utf-8")
    with pytest.raises(SpecError) as wrong:
        read_sweep(path)
    (problem,) = wrong.value.problems
    assert (problem.path, problem.line, problem.column) == (str(path), 8, 9)
    assert "leaves no bore" in problem.what
    assert "w-35" in problem.what


@pytest.mark.parametrize("base", ["job: x\nplates: [1]\n", "plates: 3\nloops: {cold: 4}\njob: t\n", "- 1\n", ""])
def test_a_base_that_is_no_job_is_told_without_a_traceback(tmp_path: Path, base: str) -> None:
    found = told(tmp_path, "  a: {cases: {x: {without: [loops.cold]}, y: {plates.*.stock.thickness: 3}}}\n", base)
    assert all(f.startswith("tiny.yaml:") for f in found)


def test_a_fault_of_the_base_is_told_once_and_in_the_base(tmp_path: Path) -> None:
    found = told(tmp_path, "  l: {path: plates.block.outline.length, values: [60, 70]}\n", JOB.replace("pom-c", "pomc"))
    assert len(found) == 1
    assert found[0].startswith("tiny.yaml:5:23: plates.block.stock.material: must be one of")
    assert "variant" not in found[0]


@pytest.mark.parametrize(
    ("over", "words"),
    [
        ("  l: {values: [1]}\n", "give exactly one of path, together, cases, table"),
        ("  l: {path: job, range: {from: 1, to: 2}}\n", "give either step or count"),
        ("  l: {path: job, range: {from: 1, to: 2, step: 0.3}}\n", "do not end on 2"),
        ("  l: {together: {plates.block.outline.length: [1, 2], cord_reel: [1]}}\n", "must have one length"),
        ("  l: {table: none.csv}\n", "there is no such file"),
        ("  l: {path: plates.block.outline.length, values: [60, '60']}\n", 'both be named "l-60"'),
        ("  l: {path: plates.block.outline.length, vales: [60]}\n", 'did you mean "values"?'),
        ("  l: {path: plates.block.outline.length, values: [60]}\nleave_out: [{l: 61}]\n", 'known values: 60'),
        ("  l: {path: plates.block.outline.length, values: [60]}\nleave_out: [{l: 60}]\n", "leaves no variant"),
        ("  l: {path: loops.cold.tint.deep, values: [1]}\n", "has nothing below it"),
        ("  l: {cases: {a: {move: {loops.cold: 3}}}}\n", "must be a mapping of paths to how far they move"),
        ("  l: {cases: {a: {move: {plates.block.stock: [1, 2]}}}}\n", "has no place of its own"),
        ("  a: {path: plates.block.outline.length, range: {from: 1, to: 5000, count: 5000}}\n"
         "  b: {path: plates.block.outline.width, range: {from: 1, to: 5000, count: 5000}}\n", "at most 10000"),
    ],
)  # fmt: skip
def test_refusals(tmp_path: Path, over: str, words: str) -> None:
    assert words in "\n".join(told(tmp_path, over))


def shipped(*wanted: str) -> list[Variant]:
    sweep = read_sweep(PARAMS / "sweeps" / "tube-sizes.yaml")
    assert len(sweep.variants) >= 24
    return [v for v in sweep.variants if set(wanted) <= set(map(str, v.values.values()))]


def test_a_loop_left_out_takes_everything_of_its_own_along() -> None:
    one = shipped("40", "one-reservoir", "20")[0].data
    upper = one["plates"]["upper"]
    names = [e["name"] for kind in ("ports", "drillings") for e in upper[kind]]
    assert names == ["capture-in", "capture-fill", "capture-riser", "capture-feed"]
    assert [r["name"] for r in one["reservoirs"]] == ["middle"]
    assert list(one["loops"]) == ["capture"]


def test_a_loop_that_moves_takes_everything_of_its_own_along() -> None:
    two, three = (shipped("60", f"{n}s", "40")[0].data for n in ("two-reservoir", "three-reservoir"))
    for kind in ("ports", "drillings"):
        for moved in two["plates"]["upper"][kind]:
            before = next(e for e in three["plates"]["upper"][kind] if e["name"] == moved["name"])
            if "at" in moved:
                assert moved["at"][0] - before["at"][0] == (75 if moved["loop"] == "render" else -75)
                assert moved["at"][1] == before["at"][1]
    assert [r["at"] for r in two["reservoirs"]] == [[-75, 0], [75, 0]]


def test_with_a_port_goes_the_drilling_that_starts_in_it(tmp_path: Path) -> None:
    sweep = read(tmp_path, "  p: {cases: {blind: {without: [plates.block.ports.in]}}}\n")
    block = sweep.variants[0].data["plates"]["block"]
    assert ([p["name"] for p in block["ports"]], block["drillings"]) == (["out"], [])


CHANNELS = {
    "loops": {"hot": {}, "cold": {}},
    "plates": {"panel": {
        "ports": [{"name": n, "loop": "hot", "on": "outer", "at": [x, 0]} for n, x in (("a", 0), ("b", 10), ("c", 20))],
        "channels": [
            {"name": "two", "loop": "hot", "joins": ["a", [5, 5]], "route": ["a", {"through": [1, 2], "to": [5, 5]}]},
            {"name": "three", "loop": "hot", "joins": ["a", "b", "c"], "pins": [[3, 3]]},
            {"name": "other", "loop": "cold", "joins": [[1, 1], [2, 2]]},
        ],
    }},
    "runs": [{"from": "panel.a", "to": "tank.in"}, {"from": "panel.b", "to": "tank.out"}],
}  # fmt: skip


def test_channels_and_tubing_lose_the_end_that_goes() -> None:
    source = copied(parse(dumped(CHANNELS), "x"))
    take_away(source, [("plates", "panel", "ports", 0)])
    panel = source.data["plates"]["panel"]
    assert [p["name"] for p in panel["ports"]] == ["b", "c"]
    assert [(c["name"], c["joins"]) for c in panel["channels"]] == [("three", ["b", "c"]), ("other", [[1, 1], [2, 2]])]
    assert source.data["runs"] == [{"from": "panel.b", "to": "tank.out"}]


def test_places_of_channels_move_with_their_loop() -> None:
    data = parse(dumped(CHANNELS), "x").data
    move(data, ("loops", "hot"), 10, -1)
    two, three, other = data["plates"]["panel"]["channels"]
    assert two["joins"] == ["a", [15, 4]]
    assert two["route"] == ["a", {"through": [11, 1], "to": [15, 4]}]
    assert three["pins"] == [[13, 2]]
    assert other["joins"] == [[1, 1], [2, 2]]


def test_a_variants_own_file_is_that_variant(tmp_path: Path) -> None:
    sweep = read_sweep(PARAMS / "sweeps" / "tube-sizes.yaml")
    for variant in sweep.variants[::9]:
        text = text_of(sweep, variant)
        assert load_text(text, Job).model == variant.job
        path = tmp_path / f"{variant.name}.yaml"
        path.write_text(text, encoding="utf-8")
        assert plan(path).layout.name == variant.name


def test_the_hash_follows_what_shapes_the_result_and_nothing_else(tmp_path: Path) -> None:
    over = "  l: {path: plates.block.outline.length, values: [60, 70]}\n"
    same = JOB.replace("60,", "60 ,").replace("thickness: 20", 'thickness: "20 mm"')
    one, other = read(tmp_path, over), read(tmp_path, over, same)
    hashes = [order(s, v, ("step",)).made_of for s in (one, other) for v in s.variants]
    assert hashes[:2] == hashes[2:]
    assert len({*hashes, order(one, one.variants[0], ("stl",)).made_of}) == 3
    thicker = read(tmp_path, over, JOB.replace("thickness: 20", "thickness: 21"))
    assert order(thicker, thicker.variants[0], ("step",)).made_of not in hashes


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(st.text(max_size=6), st.one_of(st.none(), st.booleans(), st.integers(), st.text(max_size=12),
       st.floats(allow_nan=False, allow_infinity=False)), max_size=5))  # fmt: skip
def test_plain_data_survive_the_file(data: dict[str, object]) -> None:
    assert parse(dumped({"job": data}), "x").data["job"] == data
