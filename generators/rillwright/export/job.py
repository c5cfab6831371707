"""All files of one job: a STEP and an STL for each plate, an assembly as STEP and GLB, tables of features and parts."""

from __future__ import annotations

from functools import lru_cache, partial
from typing import TYPE_CHECKING, Any

import cadquery as cq

from ..layout.features import Hardware, PlateLayout, Profile
from ..layout.job_layout import JobLayout
from ..layout.machine import Stance
from ..solids.build import hardware_solid, revolved
from ..solids.meshing import Mesh, mesh
from .glb import glb_bytes
from .marks import COLOUR as JOINT
from .marks import joint_marks
from .phantoms import placed_phantoms
from .placed import Placed, Rgba
from .step import step_bytes
from .stl import stl_bytes
from .tables import cord_table, feature_table, part_table, run_table

if TYPE_CHECKING:
    from .bundle import Bundle

MATERIAL_COLOURS: dict[str, Rgba] = {
    "pmma-cast": (0.78, 0.88, 0.92, 0.35), "pmma-extruded": (0.78, 0.88, 0.92, 0.35), "pc": (0.80, 0.86, 0.90, 0.4),
    "pom-c": (0.93, 0.93, 0.90, 1.0), "aluminium-6082-t6": (0.72, 0.74, 0.76, 1.0),
}  # fmt: skip
KIND_COLOURS: dict[str, Rgba] = {
    "tube": (0.85, 0.93, 0.95, 0.3), "strut": (0.62, 0.64, 0.67, 1.0), "cord": (0.12, 0.12, 0.13, 1.0),
    "screw": (0.30, 0.31, 0.33, 1.0), "plug": (0.70, 0.58, 0.32, 1.0), "insert": (0.74, 0.62, 0.30, 1.0),
    "nut": (0.45, 0.46, 0.48, 1.0), "washer": (0.55, 0.56, 0.58, 1.0),
}  # fmt: skip
HARDWARE_DEFLECTION = 0.1  # mm: bought parts are only looked at
CORD_ANGLE = 0.5  # rad: long, and of a section that nobody looks at closely


def write_steps(bundle: Bundle) -> None:
    """A STEP file for each plate, and one for the assembly."""
    for plate in bundle.layout.plates:
        data = plate_step(plate, bundle)
        (bundle.folder / f"{plate.name}.step").write_bytes(data)
    plates = [_placed(p, bundle.solids[p.name], bundle.layout) for p in bundle.layout.plates]
    bought = [_bought(h, s, bundle.layout) for h, s in bundle.hardware]
    (bundle.folder / "assembly.step").write_bytes(step_bytes(bundle.layout.name, [*plates, *bought]))


def plate_step(plate: PlateLayout, bundle: Bundle) -> bytes:
    """A plate's STEP file, made once."""
    return bundle.kept.once(("step", plate), partial(_alone, plate, bundle))


def _alone(plate: PlateLayout, bundle: Bundle) -> bytes:
    part = _placed(plate, bundle.solids[plate.name], bundle.layout)
    return step_bytes(plate.name, [Placed(part.name, part.shape, part.colour, 0.0, part.material)])


def write_stls(bundle: Bundle) -> None:
    """An STL file for each plate."""
    for plate in bundle.layout.plates:
        (bundle.folder / f"{plate.name}.stl").write_bytes(stl_bytes(bundle.meshes[plate.name], plate.name))


def write_glb(bundle: Bundle) -> None:
    """The assembly as one GLB file."""
    drawn = [(_placed(p, bundle.solids[p.name], bundle.layout), bundle.meshes[p.name]) for p in bundle.layout.plates]
    bought = [(h, _bought(h, s, bundle.layout)) for h, s in bundle.hardware]
    drawn += [(b, _hardware_mesh(h, b)) for h, b in bought]
    for mark in joint_marks(bundle.layout):
        sleeve = _bought(mark, hardware_solid(mark), bundle.layout, JOINT)
        drawn.append((sleeve, _hardware_mesh(mark, sleeve)))
    drawn += placed_phantoms(bundle.layout)
    (bundle.folder / "assembly.glb").write_bytes(glb_bytes(bundle.layout.name, drawn))


TABLES = (("features", feature_table), ("parts", part_table), ("cord-cuts", cord_table), ("tube-runs", run_table))


def write_tables(bundle: Bundle) -> None:
    """Tables for the bench, as CSV."""
    for name, table in TABLES:
        if name == "tube-runs" and not bundle.layout.runs:
            continue
        (bundle.folder / f"{name}.csv").write_text(table(bundle.layout), encoding="utf-8")


def _hardware_mesh(part: Hardware, bought: Placed) -> Mesh:
    """Mesh of a bought part in its own frame; one for each kind, since meshing is what costs."""
    return _kind_mesh(part.profile) if part.path is None else mesh(bought.shape, HARDWARE_DEFLECTION, CORD_ANGLE)


@lru_cache(maxsize=256)
def _kind_mesh(profile: Profile) -> Mesh:
    return mesh(revolved(profile), HARDWARE_DEFLECTION, 0.3)


def _placed(plate: PlateLayout, solid: Any, layout: JobLayout) -> Placed:
    colour = MATERIAL_COLOURS.get(plate.material, (0.8, 0.8, 0.8, 1.0))
    return Placed(plate.name, solid, colour, plate.height, plate.material, stance=layout.stance(plate.name))


def _bought(part: Hardware, solid: Any, layout: JobLayout, colour: Rgba | None = None) -> Placed:
    """A bought part: the shape of its kind, which all of that kind share, and where it stands."""
    stance = layout.stance(part.name).after(_where(solid))
    shape = solid.located(cq.Location())
    return Placed(part.name, shape, colour or KIND_COLOURS[part.kind], 0.0, part.material, part.note, stance)


def _where(solid: Any) -> Stance:
    """Where a solid stands that was made at the origin and then moved."""
    move = solid.wrapped.Location().Transformation()
    rows = tuple(tuple(move.Value(i, j) for j in (1, 2, 3)) for i in (1, 2, 3))
    return Stance(tuple(move.Value(i, 4) for i in (1, 2, 3)), rows)  # type: ignore[arg-type]
