"""Parts on plates: clashes found, measured and located; screws chosen or refused with figures; fittings; loops."""

from __future__ import annotations

import copy
from pathlib import Path

import pytest

from jobs import Job, measured
from mounting import FOOT, checked, job_of, planned, saved
from rillwright.checks.finding import Finding, Outcome
from rillwright.checks.result import Result

MOUNT: Job = {"name": "pump", "interface": "foot", "side": "seal", "at": [0, 0], "loop": "a"}


def rule(result: Result, name: str) -> Outcome:
    return next(o for o in result.outcomes if o.rule == name)


def errors(result: Result, name: str) -> tuple[Finding, ...]:
    return tuple(f for f in rule(result, name).findings if f.severity == "error")


@pytest.mark.parametrize(("x", "deep"), [(39.5, -0.5), (40.01, None)])
def test_a_clash_of_half_a_millimetre_is_found_and_located(tmp_path: Path, x: float, deep: float | None) -> None:
    found = errors(checked(tmp_path, job_of(MOUNT, {**MOUNT, "name": "other", "at": [x, 0]})), "mount.apart")
    if deep is None:
        assert not found
        return
    (f,) = found
    assert f.measured == pytest.approx(deep)
    assert set(f.features) == {"pump-body", "other-body"}
    assert all(19.4 < p[0] < 20.1 for p in f.at)
    assert "0.50 mm" in f.remedy


def test_parts_over_each_other_do_not_clash(tmp_path: Path) -> None:
    high = copy.deepcopy(FOOT)
    high |= {"interface": "high", "holes": [], "ports": [], "joined": [], "windows": [], "sizes": {}}
    high["spaces"][0]["height"] = [12, 20]
    job = job_of(MOUNT, {"name": "over", "interface": "high", "side": "seal"})
    assert rule(checked(tmp_path, job, FOOT, high), "mount.apart").worst == pytest.approx(2)
    high["spaces"][0]["height"] = [9.5, 20]
    (f,) = errors(checked(tmp_path, job, FOOT, high), "mount.apart")
    assert f.measured == pytest.approx(-0.5)


def test_parts_on_opposite_faces_do_not_clash(tmp_path: Path) -> None:
    foot = {**FOOT, "ports": [], "joined": [], "windows": [], "holes": [], "sizes": {}}
    job = job_of({"name": "a", "interface": "foot", "side": "seal"}, {"name": "b", "interface": "foot", "side": "outer"})
    assert not errors(checked(tmp_path, job, foot), "mount.apart")


@pytest.mark.parametrize(
    ("thickness", "length"),
    [
        (20, 25),  # 20 + 4 of thread at least, 20 + 9 at most; ISO 4762 has 25
        (18, 25),  # 22 to 27
        (21.5, None),  # 25.5 to 30.5 with reach 4.4, see below: ISO 4762 has 25 and 30
    ],
)
def test_the_shortest_screw_that_holds_is_chosen_or_refused(tmp_path: Path, thickness: float, length: float | None) -> None:
    foot = copy.deepcopy(FOOT)
    if length is None:
        foot["holes"][0]["screw"]["reach"] = 4.4
    job = job_of(MOUNT, thickness=thickness)
    (print_,) = planned(tmp_path, job, foot).layout.footprints
    (screw,) = print_.screws
    assert screw.length == length
    found = errors(checked(tmp_path, job, foot), "mount.screw")
    assert bool(found) == (length is None)
    if found:
        assert "between 25.5 and 25.9 mm there is no length of ISO 4762 M4; the nearest are 25 and 30 mm" in found[0].what
        assert "4.1 mm too deep" in found[0].what


def test_chosen_screws_are_parts(tmp_path: Path) -> None:
    layout = planned(tmp_path, job_of(MOUNT)).layout
    screws = [h for h in layout.hardware if h.kind == "screw"]
    assert [h.name for h in screws] == ["base.pump-screw-1.screw", "base.pump-screw-2.screw"]
    assert {h.note for h in screws} == {"ISO 4762 M4 × 25"}
    # heads on the outer face, tips 5 mm over the seal face
    tip = screws[0].origin[2] + screws[0].axis[2] * max(z for _, z in screws[0].profile)
    assert tip == pytest.approx(5)


@pytest.mark.parametrize(("gap", "turns"), [(2.9, False), (3.1, True)])
def test_a_fitting_needs_room_for_a_spanner(tmp_path: Path, gap: float, turns: bool) -> None:
    # the flat round G1/4 is 19 mm (DIN 3852-2), the part's side lies at y = -10
    port = {"name": "feed", "loop": "b", "on": "seal", "at": [0, -10 - 9.5 - gap], "thread": "G1/4"}
    found = errors(checked(tmp_path, job_of(MOUNT, ports=[port])), "mount.fitting")
    assert (not found) == turns
    if found:
        assert found[0].measured == pytest.approx(gap)
        assert set(found[0].features) == {"feed", "pump-body"}


def test_ports_of_one_passage_on_two_loops(tmp_path: Path) -> None:
    mount = {k: v for k, v in MOUNT.items() if k != "loop"} | {"loops": {"in": "a", "out": "b"}}
    (f,) = errors(checked(tmp_path, job_of(mount)), "mount.loops")
    assert set(f.features) == {"pump-in", "pump-out"}
    assert f.nets == ("a", "b")


def on_a_cover() -> Job:
    """A part on the cover of a plate: each of its bores opens into a channel, which a port of the plate feeds."""
    covers = {"seal": {"stock": {"material": "pmma-cast", "thickness": 8}, "cord": {"diameter": 2, "tolerance": "E1"},
                       "groove": {"depth": 1.5, "width": 3.4}, "screws": {"thread": "M3", "pitch": 45}}}  # fmt: skip
    ports = [{"name": "feed", "loop": "a", "on": "cover", "at": [-70, 0]}, {"name": "drain", "loop": "a", "on": "cover",
                                                                            "at": [70, 0]}]  # fmt: skip
    channels = [{"name": "there", "loop": "a", "joins": ["feed", "pump-in"]},
                {"name": "off", "loop": "a", "joins": ["pump-out", "drain"]}]  # fmt: skip
    return job_of({**MOUNT, "side": "cover"}, covers=covers, ports=ports, channels=channels)


def wide_foot() -> Job:
    foot = copy.deepcopy(FOOT)
    foot["ports"][0]["at"], foot["ports"][1]["at"] = [-25, 0], [25, 0]
    foot["holes"][0]["row"] = {"from": [0, -16], "to": [0, 16], "count": 2}
    foot["windows"], foot["sizes"] = [], {}
    return foot


def test_a_part_on_a_cover_is_sealed_in_it_and_screwed_through_both(tmp_path: Path) -> None:
    saved(tmp_path, on_a_cover(), wide_foot())
    m = measured(tmp_path, on_a_cover())
    assert not [(f.rule, f.features, f.measured) for o in m.outcomes for f in o.findings if f.severity == "error"]
    cover = next(p for p in m.layout.plates if p.cover_of)
    assert [q.face for q in cover.pockets if q.role == "groove"] == ["outer", "outer"]
    (screw,) = (s for f in m.layout.footprints for s in f.screws)
    assert screw.grip == 20 + 8
    assert screw.length == 35  # 28 + 4 to 28 + 9
    assert {o.rule: o for o in m.outcomes}["net.open"].worst == 1  # two voids, one loop through the part


def test_a_loop_that_a_part_does_not_close_stays_open(tmp_path: Path) -> None:
    foot = wide_foot()
    foot["joined"] = []
    saved(tmp_path, on_a_cover(), foot)
    (f,) = measured(tmp_path, on_a_cover()).findings("net.open")
    assert f.measured == 2


def test_a_covered_face_and_a_cover_that_is_not_there(tmp_path: Path) -> None:
    from rillwright.spec.messages import SpecError

    job = on_a_cover()
    job["plates"]["base"]["mounts"] = [{**MOUNT, "side": "seal"}, {**MOUNT, "name": "other", "side": "outer-cover"}]
    with pytest.raises(SpecError) as e:
        planned(tmp_path, job, wide_foot())
    assert "the seal face lies under a cover, and nothing can lie on it (got \"seal\"); give side: cover" in str(e.value)
    assert "there is no cover on the outer face" in str(e.value)


def test_heads_of_screws_under_a_part(tmp_path: Path) -> None:
    """A flange on the seal face over the heads of screws that hold a part on the outer face."""
    flat = {**copy.deepcopy(FOOT), "interface": "flat", "ports": [], "joined": [], "windows": [], "holes": [], "sizes": {}}
    job = job_of({**MOUNT, "side": "outer"}, {"name": "flange", "interface": "flat", "side": "seal", "at": [0, 0]})
    found = errors(checked(tmp_path, job, FOOT, flat), "mount.apart")
    assert {f.features for f in found} == {("flange-body", f"base.pump-screw-{i}.screw") for i in (1, 2)}
    foot = copy.deepcopy(FOOT)
    foot["holes"][0]["kind"] = "counterbored"
    foot["holes"][0]["screw"]["reach"] = 12
    assert not errors(checked(tmp_path, job, foot, flat), "mount.apart")


@pytest.mark.parametrize(("job", "material"), [(job_of(MOUNT), "pom-c"), (on_a_cover(), "pmma-cast")])
def test_a_seal_round_a_bore_has_its_coupon(tmp_path: Path, job: Job, material: str) -> None:
    from rillwright.coupon import coupon_job

    found = planned(tmp_path, job, wide_foot())
    made = coupon_job(found.loaded.model, found.layout, "pump-in.cord")
    body = made.plates["body"]
    assert body.stock.material == material  # of what the groove is cut in
    assert body.covers.seal is not None
    assert body.covers.seal.groove.depth == found.layout.glands[-1].nominal("groove depth")
