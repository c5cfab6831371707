"""A cord or ring in a groove: every number that its squeeze, fill, stretch and gap hang on. Lengths in mm.

`face_gland` makes one for a groove in a flat face, `pocket_gland` for a milled groove along a closed line. What is put
into `JobLayout.glands` is checked and told by `checks.plan.glands`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from ..physics.tolerance import Dimension
from ..spec.job import Job
from ..spec.reservoir import CordStock
from ..spec.tolerances import Reading
from ..standards import glands, materials
from . import paths, plan_line
from .settling import compression_set
from .toleranced import CHOICE, PRACTICE, Toleranced, default
from .warmth import temperatures

if TYPE_CHECKING:
    from .features import PlateLayout
    from .joints import Joint
    from .pockets import Pocket

Kind = Literal["strut", "cover", "port", "plug"]
Off = tuple[float, float]  # how much a length may be smaller and larger, both 0 or more
DEPTH: Off = (0.05, 0.05)  # a router holds it; our choice, no source
WIDTH: Off = (0.1, 0.1)  # milled; common practice, no source
OPENING: Off = (0.0, 0.05)  # faces drawn together that are not quite flat; our choice, no source
SMOOTH = 1e-3  # radians: pieces that meet at less have no corner
CUT = 0.5  # ± mm of a cut cord, with knife and fixture; our choice, no source
MOULDED = 0.01  # ± share of a moulded ring's length; ISO 3601-1 allows about as much, from memory


@dataclass(frozen=True, slots=True)
class Stock:
    """What lies in the groove: cord that is cut and bonded, or a moulded ring."""

    diameter: float  # as bought, whatever was measured
    material: str
    hardness: float  # Shore A
    moulded: bool = False


@dataclass(frozen=True, slots=True)
class Gland:
    """One face groove with its ring.

    `lengths` are by name: cord, groove depth, groove width, opening (between the two faces, added to the depth), ring
    length (of the ring lying free). `gaps` are the lengths that add up (+1) or take away (-1) to the extrusion gap.
    """

    seal: str
    kind: Kind
    plate: str
    loop: str
    features: tuple[str, ...]  # what is cut for it, the groove first; empty where the groove is in a bought part
    stock: Stock
    lengths: tuple[Toleranced, ...]
    settles: Toleranced  # compression set at the end of the wanted life, fraction
    gaps: tuple[tuple[Toleranced, float], ...]
    line: float  # centre line of the ring as it lies, mm
    corner: float  # smallest inside radius of the groove in plan
    circular: bool
    floor_radius: float
    expansions: tuple[float, float]  # of what the groove is cut in, of the cord, 1/K
    temperatures: tuple[tuple[str, float], ...]  # name, °C: filling, hottest, coldest
    pressure: float  # highest gauge pressure, MPa
    joint: Joint | None = None
    alike: tuple[str, ...] = ()  # other seals with the same numbers, told once
    cord_key: str = ""  # where the file takes a measured cord of this seal; empty where nowhere
    depth_key: str = ""  # where it takes a measured depth of its groove

    @property
    def pieces(self) -> int:
        return 1 + len(self.alike)

    @property
    def ring_middle(self) -> float:
        """Radius of the middle of a circular groove, mm."""
        return self.corner + self.nominal("groove width") / 2

    def nominal(self, name: str) -> float:
        """A nominal (or measured) length by name, mm."""
        return next(t.dimension.nominal for t in self.lengths if t.dimension.name == name)


@dataclass(frozen=True, slots=True)
class Bed:
    """Section and plan of a face groove, with tolerances, mm."""

    depth: float
    width: float
    line: float  # centre line of the ring as it lies
    corner: float  # smallest inside radius in plan
    circular: bool = False
    floor_radius: float = 0.0
    depth_off: Off = DEPTH
    width_off: Off = WIDTH
    opening_off: Off = OPENING
    material: str = "pmma-cast"  # of what it is cut in


def face_gland(
    seal: str, kind: Kind, plate: str, loop: str, features: tuple[str, ...], bed: Bed, cord: CordStock, job: Job,
    *, measured: Reading | None = None, ring_length: float | None = None, moulded: bool = False,
    joint: Joint | None = None, alike: tuple[str, ...] = (), cord_key: str = "",
) -> Gland:  # fmt: skip
    """The gland of a cord (or a moulded ring) in a groove of a flat face.

    measured: diameter of the cord as read. ring_length: centre line of the ring lying free, mm; left out: as long as
    the groove's line, so that it is neither stretched nor compressed. Tolerances: the job's `tolerances.cord` before
    the cord's class; a moulded ring's section by ISO 3601-1.
    """
    free = bed.line if ring_length is None else ring_length
    off = MOULDED * free if moulded else CUT
    opening = default("opening", 0.0, *bed.opening_off)
    lengths = (
        cord_diameter(cord, job, measured, moulded),
        default("groove depth", bed.depth, *bed.depth_off, "our choice for a router"),
        default("groove width", bed.width, *bed.width_off, PRACTICE), opening,
        default("ring length", free, off, off, "ISO 3601-1, from memory" if moulded else CHOICE),
    )  # fmt: skip
    warm = temperatures(job)
    spread = (materials.material(bed.material).expansion * 1e-6, materials.material(cord.material).expansion * 1e-6)
    return Gland(
        seal, kind, plate, loop, features, Stock(cord.diameter, cord.material, cord.hardness, moulded), lengths,
        compression_set(cord, job, warm[1][1]), ((opening, 1.0),), bed.line, bed.corner, bed.circular,
        bed.floor_radius, spread, warm, job.coolant.pressure / 10, joint, alike, cord_key,
    )  # fmt: skip


def pocket_gland(
    seal: str, pocket: Pocket, plate: PlateLayout, cord: CordStock, job: Job, *, measured: Reading | None = None,
    joint: Joint | None = None, opening_off: Off = OPENING, cord_key: str = "", depth: Reading | None = None,
) -> Gland:  # fmt: skip
    """The gland of a cord in a milled groove: a pocket of role groove along a closed line.

    The cord lies on the middle line. measured, depth: what was read of the cord and of the groove's depth.
    Raises ValueError for a pocket that is no closed stroke.
    """
    from .pockets import Stroke

    stroke = pocket.shape
    if not isinstance(stroke, Stroke) or not stroke.path.closed:
        raise ValueError(f"{pocket.name} is no groove along a closed line")
    inside = max(0.0, paths.smallest_radius(stroke.path, SMOOTH) - stroke.width / 2)
    off = (pocket.tolerance, pocket.tolerance)
    bed = Bed(
        pocket.depth, stroke.width, paths.length(stroke.path), inside, plan_line.is_circle(stroke.path),
        pocket.floor_radius, off, WIDTH, opening_off, plate.material,
    )  # fmt: skip
    found = face_gland(
        seal, "cover", plate.name, pocket.loop or "", (pocket.name,), bed, cord, job, measured=measured, joint=joint,
        cord_key=cord_key,
    )
    if depth is None:
        return found
    read = Toleranced(Dimension("groove depth", depth.value, depth.gauge, depth.gauge, "uniform"), "measured",
                      "the parameter file", "groove depth")  # fmt: skip
    return replace(found, lengths=tuple(read if t.dimension.name == "groove depth" else t for t in found.lengths))


def cord_diameter(cord: CordStock, job: Job, measured: Reading | None, moulded: bool = False) -> Toleranced:
    """Diameter of a cord with the tolerance that is known of it: measured, stated for the job, or by its class."""
    if measured is not None:
        shape = Dimension("cord", measured.value, measured.gauge, measured.gauge, "uniform")
        return Toleranced(shape, "measured", "the parameter file", "cord")
    d, stated = cord.diameter, job.tolerances.cord
    if stated is not None and stated < d:
        return Toleranced(Dimension("cord", d, stated, stated), "stated", "the parameter file", "cord")
    off = glands.moulded_tolerance(d) if moulded else glands.cord_tolerance(d, cord.tolerance)
    source = "ISO 3601-1" if moulded else f"ISO 3302-1 class {cord.tolerance}"
    return Toleranced(Dimension("cord", d, off, off), "class", source, "cord")
