"""A built variant in figures, for the table of results. Each names its unit."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np

from ..checks.finding import Finding
from ..checks.result import Result
from ..layout.features import Hardware
from ..layout.job_layout import JobLayout
from ..standards.materials import material

_TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])  # binary STL
_STL_HEAD = 84  # bytes
_WALLS = ("wall.loops", "wall.wet-dry", "wall.same-loop", "wall.outside", "wall.dry")
_WEIGHED = ("tube", "strut")  # bought parts whose shape and material are known well enough


def figures(result: Result, layout: JobLayout, folder: Path) -> dict[str, Any]:
    """One row; `folder` holds the STL files, from which the plates are weighed."""
    coolant = [n["coolant_ml"] for n in result.nets]
    plates = sum(stl_volume(folder / f"{p.name}.stl") * _density(p.material) for p in layout.plates)
    bought = sum(solid_volume(h) * _density(h.material) for h in layout.hardware if h.kind in _WEIGHED)
    wall, at = smallest_wall(result)
    squeezes = [v for s in (*result.seals, *result.glands) for c in s.get("conditions", ()) for v in c["squeeze"]["worst"]]
    low, high = (round(min(squeezes), 1), round(max(squeezes), 1)) if squeezes else (None, None)
    flows = [f for f in result.flow if "drop" in f]
    kinds = [f.severity for f in result.findings if not f.waived]
    return {
        "holds": result.holds,
        "plates_g": round(plates, 1),
        "plates_tubes_struts_g": round(plates + bought, 1),
        "coolant_ml": round(sum(coolant), 1) if coolant and None not in coolant else None,
        "wall_mm": wall, "wall_at": at,
        "squeeze_low_percent": low, "squeeze_high_percent": high,
        "screws": sum(h.kind == "screw" for h in layout.hardware),
        "holes": sum(f.role in ("screw", "mounting") for p in layout.plates for f in p.features),
        "drop_mbar": round(max(1000 * f["drop"]["nominal"] for f in flows), 2) if flows else None,
        "velocity_m_s": round(max(leg["velocity"] for f in flows for leg in f["legs"]), 3) if flows else None,
        "cord_mm": round(sum(r.length for r in layout.rings), 1),
        "errors": kinds.count("error"), "warnings": kinds.count("warning"), "notes": kinds.count("note"),
        "waived": sum(bool(f.waived) for f in result.findings),
        "findings": [_short(f) for f in result.findings],
        "volumes_mm3": {p.name: round(stl_volume(folder / f"{p.name}.stl"), 3) for p in layout.plates},
    }  # fmt: skip


def smallest_wall(result: Result) -> tuple[float | None, str]:
    """The thinnest wall that the wall rules found nearest to their limits, mm, and where it is."""
    found = [(o.worst, f"{o.rule}, {o.worst_at}") for o in result.outcomes if o.rule in _WALLS and o.worst is not None]
    return min(found, default=(None, ""))


def stl_volume(path: Path) -> float:
    """Volume that a binary STL file encloses, mm³, by the divergence theorem."""
    corners = np.frombuffer(path.read_bytes(), _TRIANGLE, offset=_STL_HEAD)["corners"].astype(np.float64)
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


def solid_volume(part: Hardware) -> float:
    """Volume of a solid of revolution, mm³: Green's theorem on its profile (Pappus, second theorem)."""
    points = part.profile
    sides = zip(points, (*points[1:], *points[:1]), strict=True)
    total = sum((z2 - z1) * (r1 * r1 + r1 * r2 + r2 * r2) for (r1, z1), (r2, z2) in sides)
    return abs(math.pi * total / 3)


def _density(name: str) -> float:
    """g/mm³."""
    return material(name).density * 1e-6


def _short(f: Finding) -> dict[str, Any]:
    return {
        "rule": f.rule, "severity": f.severity, "plate": f.plate, "features": list(f.features), "what": f.what,
        "measured": f.measured, "limit": f.limit, "unit": f.unit, "key": f.key, "waived": f.waived,
    }  # fmt: skip
