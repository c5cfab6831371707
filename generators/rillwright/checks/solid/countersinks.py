"""Material under each countersink, measured on the finished solid."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from ...layout.features import Feature, PlateLayout
from ..report import Case
from .attribution import Group

Floats = npt.NDArray[np.float64]


def countersink_cases(
    plate: PlateLayout, faces: list[Any], groups: list[Group | None], corners: list[Floats], limit: float
) -> list[Case]:
    """From the deepest point of each cone to where its hole ends: the strut seat, or the far face, mm.

    faces: of the finished solid; groups and corners: their groups and mesh points (n, 3) in the plate's frame.
    """
    by_feature: dict[str, list[tuple[str, Floats]]] = {}
    features: dict[str, Feature] = {}
    for face, group, points in zip(faces, groups, corners, strict=True):
        if group is not None and isinstance(group.feature, Feature) and "mouth_radius" in group.feature.facts:
            by_feature.setdefault(group.name, []).append((face.geomType(), points))
            features[group.name] = group.feature
    found = (_case(plate, features[name], pieces, limit) for name, pieces in by_feature.items())
    return [case for case in found if case is not None]


def _case(plate: PlateLayout, f: Feature, pieces: list[tuple[str, Floats]], limit: float) -> Case | None:
    along = [(kind, (points - np.asarray(f.origin)) @ np.asarray(f.axis)) for kind, points in pieces]
    cones = [z.max() for kind, z in along if kind == "CONE"]
    if not cones and "countersink_end" not in f.facts:
        return None  # a counterbored hole has no cone
    cone = max(cones, default=f.facts["countersink_end"])
    end = max((z.max() for kind, z in along if kind == "CYLINDER"), default=cone)
    left = float(end - cone)
    what = "too little material holds the screw's head"
    remedy = f"take a plate {limit - left:.2f} mm thicker, or a counterbore that much shallower"
    return Case(plate.name, (f.name,), left, limit, what, remedy, (f.at(float(cone)), f.at(float(end))))
