"""The box less bodies that stand clear of each other, put together without a boolean: the same voids as with one."""

from __future__ import annotations

from typing import Any

import cadquery as cq
import pytest

from jobs import PARAMS
from rillwright.checks.solid import voids
from rillwright.checks.solid.closing import closing_parts, opened
from rillwright.layout.nets import Assembly, assemblies
from rillwright.pipeline import plan
from rillwright.solids.build import plate_solid
from rillwright.solids.meshing import mesh


def built(name: str) -> tuple[Assembly, dict[str, Any]]:
    layout = plan(PARAMS / f"{name}.yaml").layout
    solids = {p.name: plate_solid(p) for p in layout.plates}
    for s in solids.values():
        mesh(s, 0.05)  # leaves its triangles on the solid, as in a build
    return opened(assemblies(layout)[0]), solids


@pytest.mark.parametrize("name", ["bench-single", "valve-board"])
def test_the_same_voids_with_and_without_the_boolean(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    a, solids = built(name)
    own, parts = [solids[p.name] for p in a.plates], closing_parts(a, 0.05)
    quick = voids._recovered(a, own, parts)
    monkeypatch.setattr(voids, "_apart", lambda placed, _: ([], placed))
    monkeypatch.setattr(voids, "_bare", lambda solid: solid)
    slow = voids._recovered(a, own, parts)
    assert quick.partition == slow.partition
    assert (quick.slivers, quick.lost, quick.fault) == (slow.slivers, slow.lost, slow.fault) == (0, (), "")
    closed, again = ([v.volume for v in found.voids if not v.outside] for found in (quick, slow))  # triangles widen the box
    assert closed == pytest.approx(again, rel=1e-8)


def test_a_hollow_inside_a_plate_is_a_void_of_its_own() -> None:
    a, solids = built("bench-single")
    name = a.plates[0].name
    block = solids[name].BoundingBox().center
    hollow = cq.Solid.makeBox(2, 3, 1, cq.Vector(block.x + 40, block.y + 40, block.z))
    changed = {**solids, name: solids[name].cut(hollow).Solids()[0]}
    parts = closing_parts(a, 0.05)
    before, after = (voids._recovered(a, [s[p.name] for p in a.plates], parts) for s in (solids, changed))
    new = [v for v in after.voids if not v.terminals and not v.outside]
    assert len(changed[name].Shells()) == 2
    assert [v.volume for v in new] == pytest.approx([6.0])
    assert len(after.voids) == len(before.voids) + 1


def test_only_bodies_that_stand_clear_go_without() -> None:
    def box(z: float) -> cq.Solid:
        return cq.Solid.makeBox(10, 10, 5, cq.Vector(0, 0, z))

    def alone(*solids: cq.Solid) -> list[int]:
        own, rest = voids._apart(list(solids), [voids._box(s) for s in solids])
        assert len(own) + len(rest) == len(solids)
        return [solids.index(s) for s in own]

    assert alone(box(0), box(5.002), box(30)) == [0, 1, 2]
    assert alone(box(0), box(5.0), box(30)) == [2]
    assert alone(box(0), box(4.999)) == []
    shell = cq.Solid.makeBox(20, 20, 20).cut(cq.Solid.makeBox(4, 4, 4, cq.Vector(5, 5, 5))).Solids()[0]
    assert alone(shell) == []


def test_nothing_to_take_away() -> None:
    a, solids = built("pump-bracket")
    own = [voids._bare(solids[p.name]) for p in a.plates]
    (void,) = voids._recovered(a, own, []).voids
    assert void.outside
    box = own[0].BoundingBox()
    around = (box.xlen + 2 * voids.MARGIN) * (box.ylen + 2 * voids.MARGIN) * (box.zlen + 2 * voids.MARGIN)
    assert void.volume == pytest.approx(around - own[0].Volume(), rel=1e-5)


