"""Tables for the bench: every placed feature and every bought part, as CSV (UTF-8, comma, dot)."""

from __future__ import annotations

from ..checks.plan.port_threads import port_threads
from ..layout.cords import cuts
from ..layout.features import Cut, Hardware, PlateLayout
from ..layout.job_layout import JobLayout
from ..layout.joints import joint_of
from ..layout.plan_line import measured_to
from ..layout.pockets import Pocket, Stroke
from .cells import csv_text

FEATURE_COLUMNS = ("plate", "feature", "cut_from", "x_mm", "y_mm", "z_mm", "axis", "call_out", "tolerance_mm", "loop")
PART_COLUMNS = ("part", "kind", "material", "length_mm", "diameter_mm", "note")
CORD_COLUMNS = (
    "seal", "plate", "cord_mm", "material", "shore_a", "cut_mm", "joint", "joint_beside", "joint_x_mm",
    "joint_y_mm", "joint_angle_deg", "reel", "from_mm", "to_mm", "reel_left_mm",
)  # fmt: skip


def feature_table(layout: JobLayout) -> str:
    """One row a feature or pocket, in the frame of its plate's STEP file: where its axis meets its face (the middle of
    a ring, where any other line starts), and which way in."""
    rows = [
        (p.name, f.name, f.face, *_numbers((*_place(f), p.side * _height(f, p)), ".3f"),
         " ".join(_numbers((*f.axis[:2], p.side * f.axis[2]), ".4g")),
         f.call_out, f"{f.tolerance:g}", f.loop or "")
        for p in layout.plates for f in p.cuts
    ]  # fmt: skip
    return csv_text(FEATURE_COLUMNS, rows)


def _place(f: Cut) -> tuple[float, float]:
    if isinstance(f, Pocket) and isinstance(f.shape, Stroke):
        return measured_to(f.shape.path)
    return f.origin[0], f.origin[1]


def _height(f: Cut, p: PlateLayout) -> float:
    """Height of the place where a feature or pocket starts, in the plate's frame."""
    return -p.thickness if isinstance(f, Pocket) and f.face == "outer" else f.origin[2]


def part_table(layout: JobLayout) -> str:
    """One row a bought or cut part, and one a port for its fitting: the longest shank that it takes."""
    tapped = {f"{t.plate.name}.{t.feature.name}": t for t in port_threads(layout)}
    rows: list[tuple[str, ...]] = []
    for h in layout.hardware:
        plug = tapped.get(h.name) if h.kind == "plug" else None
        rows.append((h.name, h.kind, h.material, *size_of(h), plug.shank if plug else h.note))
    rows += [(name, "fitting", "", "", "", t.shank) for name, t in tapped.items() if t.feature.role == "port"]
    return csv_text(PART_COLUMNS, rows)


def size_of(h: Hardware) -> tuple[str, str]:
    """Length and diameter as one orders them; of a plug neither, since its thread says both."""
    long = max(z for _, z in h.profile) - min(z for _, z in h.profile)
    wide = 2 * max(r for r, _ in h.profile)
    if h.kind == "plug":
        return "", ""
    if h.kind == "screw":
        told = h.note.rpartition("× ")[2]  # as the standard counts it: with a countersunk head, without any other
        length = float(told) if told.replace(".", "", 1).isdigit() else long
        return f"{length:.2f}", h.note.partition(" M")[2].partition(" ")[0]
    if h.kind == "cord":
        return "", ""  # cord-cuts.csv has section, cut length and joint
    return f"{long:.2f}", f"{wide:.2f}"


RUN_COLUMNS = ("from", "to", "loop", "straight_mm", "angle_at_from_deg", "angle_at_to_deg", "between_ports_deg",
               "from_x_mm", "from_y_mm", "from_z_mm", "to_x_mm", "to_y_mm", "to_z_mm")  # fmt: skip


def run_table(layout: JobLayout) -> str:
    """One row a piece of tubing: its straight length, and angles to the ways out of its ports, in the machine."""
    return csv_text(RUN_COLUMNS, [
        (r.start, r.end, r.loops[0], f"{r.straight:.1f}", *_numbers((*r.angles, r.between), ".1f"),
         *_numbers((*r.places[0], *r.places[1]), ".2f"))
        for r in layout.runs
    ])  # fmt: skip


def _numbers(values: tuple[float, ...], form: str) -> list[str]:
    return [format(v if float(format(v, form)) else 0.0, form) for v in values]


def cord_table(layout: JobLayout) -> str:
    """One row a ring of cord, in mm; with a reel's length in the job also which reel it comes from, and from where.

    Reels count from 1 for each cord, and places are from the reel's raw end. Every end is cut dead square.
    """
    reel = layout.cord_reel
    placed = {} if reel is None else {id(c.ring): c for c in cuts(layout.rings, reel)}
    rows: list[tuple[str, ...]] = []
    for r in layout.rings:
        c, j = placed.get(id(r)), joint_of(r)
        where = ("",) * 4 if c is None else (str(c.reel), f"{c.start:.1f}", f"{c.end:.1f}", f"{c.left:.1f}")
        rows.append(
            (r.seal, r.plate, f"{r.cord.diameter:g}", r.cord.material, f"{r.cord.hardness:g}", f"{r.length:.1f}",
             j.name, r.beside, *_numbers(r.joint, ".3f"), f"{j.angle:.1f}", *where)
        )  # fmt: skip
    return csv_text(CORD_COLUMNS, rows)
