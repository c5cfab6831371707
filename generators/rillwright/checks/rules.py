"""Every rule: what it asks, and where its default limit comes from."""

from __future__ import annotations

from dataclasses import dataclass

CHOICE = "our choice, no source"
PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Rule:
    """One question. `limit_key` is the key under `limits:` that sets it, if one does."""

    name: str
    question: str
    unit: str
    source: str
    limit_key: str = ""


RULES: dict[str, Rule] = {
    r.name: r
    for r in (
        Rule("mesh.sound", "Is each exported mesh closed, oriented, one body, without degenerate faces?", "faults",
             "a slicer's and CAM's need; no standard"),
        Rule("solid.sound", "Is each finished solid valid and one body?", "faults", "the kernel's own validity test"),
        Rule("solid.explained", "Does every face of the finished solid belong to a feature or to the outside?", "faces",
             CHOICE),
        Rule("volume.mesh", "Does the mesh enclose the solid's volume?", "%", CHOICE),
        Rule("volume.features", "Is the volume that of the blank less the features?", "mm³", "closed forms (Pappus)"),
        Rule("wall.loops", "Is the wall between two loops thick enough?", "mm", PRACTICE, "wall_wet"),
        Rule("wall.wet-dry", "Is the wall between coolant and a dry hole thick enough?", "mm", PRACTICE, "wall_wet"),
        Rule("wall.same-loop", "Is the web between two passages of one loop thick enough?", "mm", CHOICE, "wall_same"),
        Rule("wall.dry", "Is the wall between two dry holes thick enough?", "mm", CHOICE, "wall_dry"),
        Rule("wall.outside", "Is the wall between coolant and the outside thick enough?", "mm", PRACTICE,
             "wall_outside"),
        Rule("wall.tube-channel", "Is the wall round each tube channel thick enough?", "mm", PRACTICE,
             "reservoirs.N.channel.wall"),
        Rule("wall.lip", "Does enough material stand beside a spotface or countersink?", "mm", CHOICE, "lip"),
        Rule("wall.second-path", "Do the walls measured on the exported mesh agree with the solid's?", "mm", CHOICE),
        Rule("countersink.under", "Is there enough material under each countersink?", "mm", CHOICE, "under_countersink"),
        Rule("hole.edge-distance", "Is each dry hole far enough from the plate's edge?", "× hole Ø", CHOICE,
             "edge_distance"),
        Rule("screw.engagement", "Does each strut screw hold enough thread?", "mm",
             "steel 1 d, aluminium 1.5 d, plastic 2 d: secondary tables", "engagement"),
        Rule("screw.tip", "Does each strut screw end before its thread does?", "mm", CHOICE, "tip_clearance"),
        Rule("port.spacing", "Can each fitting be turned beside its neighbours?", "mm", CHOICE, "spanner"),
        Rule("drilling.ratio", "Can each drilling be drilled, length over diameter?", "× Ø", PRACTICE, "drill_ratio"),
        Rule("drilling.open", "Is the outer end of each drilling a port, a plug or an opening into a tube?", "mouths",
             "a leak otherwise"),
        Rule("drilling.meets", "Does each passage of a loop meet another one?", "mm", "a blind passage carries nothing"),
        Rule("seal.squeeze", "Is each tube cord squeezed by its nominal lengths?", "%",
             "face squeeze 20 to 30 %, secondary handbook table", "squeeze_low, squeeze_high"),
        Rule("hole.left-out", "Were all holes of each pattern made?", "holes", "asked for by `avoid`"),
    )
}  # fmt: skip
