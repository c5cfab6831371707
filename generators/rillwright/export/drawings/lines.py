"""Tables of lines in plan: the outline of a plate that is no rectangle, and what is milled. Lengths in mm."""

from __future__ import annotations

from ...layout import paths
from ...layout.features import PlateLayout
from ...layout.pockets import Pocket, Stroke
from .paper import Block, Column, Heading, Table, Text
from .tags import Group, number, round_one

COLUMNS = (Column("line", width=30), Column("point", "right", 12), Column("x", "right"), Column("y", "right"),
           Column("radius", "right"), Column("centre x", "right"), Column("centre y", "right"))  # fmt: skip


def tables(plate: PlateLayout, found: list[Group], polygon: bool) -> list[Block]:
    """Points of every line that the hole table cannot give; empty for a rectangle with round holes only."""
    rows = _rows("outline", plate.outline) if polygon else []
    for m in (m for g in found for m in g.members):
        if isinstance(m.item, Pocket):
            rows += _pocket(m.tag, m.item)
    if not rows:
        return []
    how = Text(
        "Each row is the end of a piece; the first is the start. A radius with its centre: an arc, counter-clockwise "
        "where the radius is positive. Of a channel or groove the middle line is given. The DXF has the same lines."
    )
    return [Heading("Lines in plan"), how, Table(COLUMNS, tuple(rows))]


def _pocket(tag: str, pocket: Pocket) -> list[tuple[str, ...]]:
    shape = pocket.shape
    if isinstance(shape, Stroke):
        return _rows(f"{tag}, width {shape.width:g}", shape.path)
    if round_one(shape):
        return []
    rows = _rows(tag, shape.outside)
    for i, island in enumerate(shape.islands, 1):
        rows += _rows(f"{tag}, island {i}", island)
    return rows


def _rows(name: str, way: paths.Way) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = [(name, "0", number(way.start[0], 3), number(way.start[1], 3), "", "", "")]
    for i, p in enumerate(paths.pieces(way), 1):
        arc = ("", "", "")
        if isinstance(p, paths.Bow):
            arc = (f"{p.radius if p.sweep > 0 else -p.radius:.3f}", number(p.centre[0], 3), number(p.centre[1], 3))
        rows.append((name, str(i), number(p.end[0], 3), number(p.end[1], 3), *arc))
    return rows
