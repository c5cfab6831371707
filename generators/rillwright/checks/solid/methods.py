"""By what each rule on solids and meshes measures, in the order of the report. Loads no kernel."""

from __future__ import annotations

WALL_RULES = ("wall.loops", "wall.wet-dry", "wall.same-loop", "wall.dry", "wall.land", "wall.outside", "wall.tube-channel",
              "wall.lip", "wall.light", "hole.edge-distance")  # fmt: skip
_BY_WALL = "exact distance between faces of the solid"
METHODS = {
    "mesh.sound": "mesh read back from the exported STL",
    "solid.sound": "the kernel's checks on the finished solid",
    "solid.explained": "geometry of each face of the finished solid",
    "step.sound": "the exported STEP file read back by the kernel",
    "volume.mesh": "divergence theorem on the exported STL",
    "volume.features": "closed forms against the finished solid",
    **dict.fromkeys(WALL_RULES, _BY_WALL),
    "wall.second-path": "triangle distance on the exported STL",
    "countersink.under": "cone and hole faces of the finished solid",
}  # by rule, in the order of the report
ESTIMATES = ("wall.second-path",)
APART_METHOD = "exact distance and common volume of the finished solids where they stand"
_VOIDS = "voids of the assembly: a box round it less every part that is there, on the finished solids"
NET_METHODS = {
    **dict.fromkeys(("net.open", "net.short", "net.leak", "net.passages", "net.unreached", "net.unexplained"), _VOIDS),
    "net.second-path": "voids on the exported STL with a mesh library, against those on the solids",
}  # by rule, in the order of the report
