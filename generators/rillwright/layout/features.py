"""Placed features as numbers.

Frame of a plate, in the file and here: origin at the centre of the outline on the seal face, x to the
right and y to the back as one looks down on the standing machine, z out of the material. Material lies at
z < 0 for every plate, whichever way its seal face looks. Lengths in mm, angles in degrees.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from operator import itemgetter
from typing import TYPE_CHECKING, Literal

from .lines import Arc as Arc
from .lines import FaceName as FaceName
from .lines import Line as Line
from .lines import Outline as Outline
from .lines import Vec3 as Vec3
from .pockets import Path, Pocket

if TYPE_CHECKING:
    from .load_spans import LoadSpan

Profile = tuple[tuple[float, float], ...]  # closed polygon of (radius, depth along the axis), mm
Role = Literal[
    "tube-channel", "strut-seat", "strut-screw", "strut-groove", "screw", "mounting", "port", "drilling", "plug"
]


@dataclass(frozen=True, slots=True)
class Feature:
    """One solid of revolution taken out of a plate.

    `origin` is the point where the axis meets the face the feature is cut from, `axis` the unit vector that
    points into the material. `profile` is a closed polygon of (radius, distance along the axis); its part at
    negative distance is the tool standing out of the face. `mouths` are the faces that the feature is meant to open.
    """

    name: str
    role: Role
    origin: Vec3
    axis: Vec3
    profile: Profile
    face: FaceName
    mouths: tuple[FaceName, ...]
    loop: str | None = None  # wet features carry their loop, dry ones None
    tolerance: float = 0.1  # ± mm that the feature needs
    call_out: str = ""  # what a machinist reads: "G1/4, full thread 12, bore Ø11.8 × 18.5"
    joins: tuple[str, ...] = ()  # features it is meant to run into
    facts: dict[str, float] = field(default_factory=dict)  # named dimensions, mm
    thread: str = ""  # of the port, plug or screw
    head: str = ""  # standard of the screw's head

    @property
    def wet(self) -> bool:
        return self.loop is not None

    @property
    def radius(self) -> float:
        """Largest radius of the feature inside the material, mm."""
        return max(r for r, z in self.profile if z >= -1e-9)

    @property
    def depth(self) -> float:
        """Deepest point along the axis, tip included, mm."""
        return max(self.profile, key=itemgetter(1))[1]

    def at(self, distance: float) -> Vec3:
        """Point on the axis at a distance (mm) from the origin, positive into the material."""
        (x, y, z), (i, j, k) = self.origin, self.axis
        return (x + i * distance, y + j * distance, z + k * distance)


Cut = Feature | Pocket  # all that is taken out of a plate


@dataclass(frozen=True, slots=True)
class PlateLayout:
    """One plate: outline, thickness and every feature cut from it."""

    name: str
    outline: Outline
    thickness: float  # mm, nominal or measured
    material: str
    seal_up: bool  # True: seal face looks up in the assembly (lower plate)
    height: float  # z of the seal face in the assembly, mm
    features: tuple[Feature, ...]
    left_out: tuple[tuple[str, float, float], ...] = ()  # holes not made because of `avoid`: pattern, x, y
    pockets: tuple[Pocket, ...] = ()  # what is milled along lines and over areas
    cover_of: str = ""  # name of the body that this plate closes; empty for any other plate
    bonded: bool = False  # such a cover is glued or welded on; any other is screwed down on a cord
    spans: tuple[LoadSpan, ...] = ()  # loaded parts of it

    @property
    def side(self) -> float:
        """Sign of z out of the material in the part's own files and in the assembly."""
        return 1.0 if self.seal_up else -1.0

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """All that is taken out of it."""
        return (*self.features, *self.pockets)


@dataclass(frozen=True, slots=True)
class Hardware:
    """A part that is bought or cut: solid of revolution in the assembly frame."""

    name: str
    kind: Literal["tube", "strut", "cord", "screw", "plug", "insert", "nut", "washer"]
    origin: Vec3
    axis: Vec3
    profile: Profile  # (radius, distance along axis), mm
    loop: str | None = None
    material: str = ""
    note: str = ""
    path: Path | None = None  # a cord along a line in plan, at the height of its origin; `profile` is then its section:
    # (across the line, along the axis)
    section: float = 0.0  # diameter of such a cord, mm
