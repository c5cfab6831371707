"""Which wall two features owe each other: rule and limit, for measured and for placed features and pockets alike."""

from __future__ import annotations

from ..layout.features import Cut
from ..spec.job import Limits

LAND_SLACK = 1e-3  # mm: a land that is laid out to its limit may come out this much under it


def land_of(groove: Cut, limits: Limits) -> float:
    """Flat (mm) that a milled groove asks for beside it."""
    return groove.facts.get("land", limits.land) - LAND_SLACK


def wall_between(a: Cut, b: Cut, limits: Limits) -> tuple[str, float] | None:
    """Rule and limit (mm) for two features of one plate, or None where they may meet.

    Passages of two loops owe a wall even where the file lets one run into the other: that is a mistake in the file.
    """
    two_loops = a.wet and b.wet and a.loop != b.loop
    if a is b or (not two_loops and (b.name in a.joins or a.name in b.joins)):
        return None
    groove = a if a.role == "groove" else b if b.role == "groove" else None
    if groove is not None and groove.face in (b if groove is a else a).mouths:
        return "wall.land", land_of(groove, limits)
    channel = a if a.role == "tube-channel" else b if b.role == "tube-channel" else None
    if a.wet and b.wet and a.loop == b.loop:
        # passages of one loop may run into each other, but not into the cord's channel
        return None if channel is None else ("wall.same-loop", limits.wall_same)
    if channel is not None:
        return "wall.tube-channel", channel.facts["wall"]
    if (a.wet or b.wet) and "light" in (a.role, b.role):
        return "wall.light", limits.wall_light
    if a.wet and b.wet:
        return "wall.loops", limits.wall_wet
    if a.wet or b.wet:
        return "wall.wet-dry", limits.wall_wet
    return "wall.dry", limits.wall_dry
