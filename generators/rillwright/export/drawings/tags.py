"""Tags of what is cut from a plate, and the hole table: equal features share a letter. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...layout import paths
from ...layout.features import Arc, Feature, Line, PlateLayout, Vec3
from ...layout.plan_line import measured_to
from ...layout.pockets import Area, Pocket, Point2, Stroke
from .paper import Column

LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"  # I, O and Q are taken for figures
_FACES = {"seal": 0, "outer": 1}
_ROLES = ("tube-channel", "groove", "channel", "strut-seat", "strut-groove", "strut-screw", "port", "plug", "drilling",
          "window", "slot", "recess", "light", "screw", "mounting")  # fmt: skip

HOLE_COLUMNS = (
    Column("tag", width=11), Column("feature", width=39), Column("x", "right", 16), Column("y", "right", 16),
    Column("z", "right", 14), Column("Ø", "right", 22), Column("depth", "right", 15), Column("thread", width=18),
    Column("face", width=12),
)  # fmt: skip
HOLE_WIDTH = sum(c.width or 0.0 for c in HOLE_COLUMNS)


@dataclass(frozen=True, slots=True)
class Tagged:
    """One feature or pocket with its tag; `at` is where its axis meets its face; of a pocket where its line starts, or
    the middle of its area."""

    tag: str
    item: Feature | Pocket
    at: Vec3


def span(tags: list[str]) -> str:
    """`A1`; `A1 to A6`; `A1, A4` where some are left out; `A1 to A3, C1` of several letters."""
    letter = tags[0].rstrip("0123456789")
    others = [t for t in tags if t.rstrip("0123456789") != letter]
    if others:
        return f"{span([t for t in tags if t not in others])}, {span(others)}"
    numbers = [int(t.removeprefix(letter)) for t in tags]
    if len(tags) > 1 and numbers == list(range(numbers[0], numbers[0] + len(tags))):
        return f"{tags[0]} to {tags[-1]}"
    return ", ".join(tags)


@dataclass(frozen=True, slots=True)
class Group:
    """What is cut alike."""

    letter: str
    members: tuple[Tagged, ...]

    @property
    def first(self) -> Feature | Pocket:
        return self.members[0].item

    @property
    def tags(self) -> str:
        """"A1", or "A1 to A6"."""
        return span([m.tag for m in self.members])


def groups(plate: PlateLayout) -> list[Group]:
    """Everything that is cut from a plate, alike with alike; seal face first, then outer face, then edges."""
    every: list[Feature | Pocket] = [*plate.pockets, *plate.features]
    alike: dict[tuple[object, ...], list[Feature | Pocket]] = {}
    for item in sorted(every, key=_order):
        alike.setdefault(_likeness(item), []).append(item)
    made = []
    for letter, items in zip(_letters(), alike.values(), strict=False):
        members = tuple(Tagged(f"{letter}{i}", item, place(item, plate)) for i, item in enumerate(items, 1))
        made.append(Group(letter, members))
    return made


def _letters() -> list[str]:
    return [*LETTERS, *(a + b for a in LETTERS for b in LETTERS), *(a + b + c for a in LETTERS for b in LETTERS
                                                                    for c in LETTERS)]  # fmt: skip


def _order(item: Feature | Pocket) -> tuple[int, str, int]:
    return _FACES.get(item.face, 2), item.face, _ROLES.index(item.role)


def _likeness(item: Feature | Pocket) -> tuple[object, ...]:
    if isinstance(item, Pocket):
        shape: object = item.shape.width if isinstance(item.shape, Stroke) else _form(item.shape)
        return "pocket", item.role, item.face, shape, round(item.depth, 6), item.floor_radius, item.tolerance
    profile = tuple((round(r, 6), round(z, 6)) for r, z in item.profile)
    return item.role, item.face, profile, item.thread, item.mouths, item.tolerance


def place(item: Feature | Pocket, plate: PlateLayout) -> Vec3:
    """Where an item is measured to, in the plate's frame."""
    if isinstance(item, Feature):
        return item.origin
    at = measured_to(item.shape.path) if isinstance(item.shape, Stroke) else _box(item.shape)[0]
    return (*at, 0.0 if item.face == "seal" else -plate.thickness)


def _box(area: Area) -> tuple[Point2, float, float]:
    """Middle and sides of the box round an area, mm."""
    xs, ys = zip(*paths.polygon(area.outside).exterior.coords, strict=True)
    low, high = (min(xs), min(ys)), (max(xs), max(ys))
    return (round((low[0] + high[0]) / 2, 4), round((low[1] + high[1]) / 2, 4)), high[0] - low[0], high[1] - low[1]


def _form(area: Area) -> object:
    """What areas that are alike but for their place have in common."""
    if radius := round_one(area):
        return round(radius, 4)
    (x, y), _, _ = _box(area)
    ways = (area.outside, *area.islands)
    return tuple(
        tuple((round(q[0] - x, 3), round(q[1] - y, 3)) for q in (w.start, *(q for p in w.pieces for q in _points(p))))
        for w in ways
    )


def _points(p: Line | Arc) -> tuple[Point2, ...]:
    return (p.middle, p.end) if isinstance(p, Arc) else (p.end,)


def round_one(area: Area) -> float | None:
    """Radius of an area that is a circle and nothing else."""
    own = paths.pieces(area.outside)
    bows = [p for p in own if isinstance(p, paths.Bow)]
    if area.islands or len(bows) != len(own) or any(math.dist(p.centre, bows[0].centre) > 1e-6 for p in bows):
        return None
    return bows[0].radius


def _area_size(area: Area) -> str:
    """Ø of a round one, length and width of any other."""
    if radius := round_one(area):
        return number(2 * radius)
    _, length, width = _box(area)
    return f"{length:.4g} × {width:.4g}"


def diameter(item: Feature | Pocket) -> str:
    """Ø as the table says it: of a ring outside and inside, of a stroke its width."""
    if isinstance(item, Pocket):
        return f"width {item.shape.width:g}" if isinstance(item.shape, Stroke) else _area_size(item.shape)
    f = item.facts
    if "inner_radius" in f:
        return f"{2 * f['outer_radius']:.2f}/{2 * f['inner_radius']:.2f}"
    for key, factor in (("hole_radius", 2), ("bore_radius", 2), ("diameter", 1), ("radius", 2)):
        if key in f:
            return f"{factor * f[key]:.2f}"
    return f"{2 * item.radius:.2f}"


def depth(item: Feature | Pocket, plate: PlateLayout) -> str:
    """Depth from the face that it is cut from, drill's tip not included."""
    if len(item.mouths) == 2 or (isinstance(item, Pocket) and item.depth >= plate.thickness - 1e-9):
        return "through"
    if isinstance(item, Pocket):
        return f"{item.depth:.2f}"
    for key in ("bore_depth", "length", "depth", "end"):
        if key in item.facts:
            return f"{item.facts[key]:.2f}"
    return f"{max(z for r, z in item.profile if r > 0):.2f}"


def tapped(item: Feature | Pocket, plate: PlateLayout) -> str:
    """Thread that is cut, with the length of full thread: `G1/4 × 12`; `M4 through`."""
    if isinstance(item, Pocket) or item.role not in ("port", "plug", "mounting") or not item.thread:
        return ""
    full = item.facts.get("full_thread", plate.thickness)
    through = len(item.mouths) == 2 and full >= plate.thickness - 1e-9
    return f"{item.thread} through" if through else f"{item.thread} × {short(full)}"


def short(v: float) -> str:
    """A length to the hundredth, without noughts at its end."""
    return number(v).rstrip("0").rstrip(".")


def edge_name(face: str) -> str:
    """`back edge`; `edge-3` has the word in its name."""
    return face if face.startswith("edge-") else f"{face} edge"


def number(v: float, digits: int = 2) -> str:
    """A coordinate without a minus before nothing."""
    text = f"{v:.{digits}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def kind_rows(found: list[Group]) -> list[tuple[str, ...]]:
    """Tags, number, what, call-out, ± and face of each kind; members whose call-outs differ stand apart."""
    rows: list[tuple[str, ...]] = []
    for g in found:
        for said in dict.fromkeys(m.item.call_out for m in g.members):
            alike = Group(g.letter, tuple(m for m in g.members if m.item.call_out == said))
            f = alike.first
            rows.append((alike.tags, str(len(alike.members)), f.role, said, f"{f.tolerance:g}", f.face))
    return rows


def hole_rows(found: list[Group], plate: PlateLayout) -> list[tuple[str, ...]]:
    """Rows of the hole table, in the plate's frame."""
    return [
        (m.tag, m.item.name, *(number(v) for v in m.at), diameter(m.item), depth(m.item, plate), tapped(m.item, plate),
         m.item.face)
        for g in found for m in g.members
    ]  # fmt: skip
