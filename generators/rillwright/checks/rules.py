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
        Rule("seal.squeeze", "Is each cord squeezed by its nominal lengths?", "%",
             "face squeeze 20 to 30 %, secondary handbook table", "squeeze_low, squeeze_high"),
        Rule("machining.width", "Does a cutter of the list fit into each pocket?", "mm", "the job's list of cutters",
             "machine.cutters"),
        Rule("machining.reach", "Does a tool of the list reach the floor of each pocket and bore?", "mm",
             "the job's lists of cutters and drills", "machine.cutters, machine.drills.reach"),
        Rule("machining.drill-size", "Is there a drill for each bore that has to be drilled?", "mm",
             "the job's list of drills", "machine.drills.diameters"),
        Rule("machining.ratio", "How deep is each pocket over its cutter's diameter?", "× Ø", PRACTICE,
             "machine.pocket_ratio"),
        Rule("machining.work-area", "Does each plate fit the machine's travel in every setup?", "mm",
             "the job's machine", "machine.work_area"),
        Rule("machining.accuracy", "Does the machine hold the depth of seats and channel floors?", "mm", CHOICE,
             "machine.depth"),
        Rule("machining.thickness", "May the sheet be as thick or thin as its standard allows?", "mm",
             "ISO 7823-1 and -2 for acrylic sheet, or machine.sheet", "machine.sheet"),
        Rule("machining.entry", "Does each drill start square enough to its face?", "°", CHOICE, "machine.entry_angle"),
        Rule("machining.breakthrough", "Does each drill break into another bore near its middle?", "°", CHOICE,
             "machine.breakthrough_angle"),
        Rule("machining.web", "How thin is what stands after each setup?", "mm", CHOICE, "machine.web"),
        Rule("flip.wall", "Do walls cut from both sides keep nine tenths of their limit after a flip error?", "mm",
             CHOICE, "machine.flip"),
        Rule("flip.concentric", "Do seat and countersink stay in line after a flip error?", "mm",
             "clearance of the strut in its seat and of the screw in its hole", "machine.flip"),
        Rule("flip.dowels", "Do the dowels let the plate be flipped in one way only?", "ways", CHOICE, "machine.dowels"),
        Rule("waiver.stale", "Does each waiver match a finding?", "findings", CHOICE),
        Rule("seal.squeeze-range", "Does each cord still seal, and bear, at the worst tolerances, warmth and age?", "%",
             f"{CHOICE}; an error by tolerances that were stated or measured, a warning by classes and defaults",
             "squeeze_seals, squeeze_bears"),
        Rule("seal.cover", "Does the tube's end cover the middle of its cord, wherever both may lie in the channel?", "mm",
             f"the cord against the outer wall, where pressure puts it, the tube as far from it as it can be: {CHOICE}"),
        Rule("seal.fill", "Has each cord room to give way at the worst tolerances?", "%",
             "gland fill 85 % at most, seal suppliers' handbooks; a warning where only classes and defaults exceed it",
             "fill"),
        Rule("seal.drift", "Does each cord keep its nominal squeeze hottest and coldest?", "%",
             f"limits of the nominal squeeze; outside those that still seal an error, else a warning: {CHOICE}",
             "squeeze_low, squeeze_high, squeeze_seals, squeeze_bears"),
        Rule("seal.corner", "Is each groove bent gently enough for its cord, inside radius over cord?", "× cord",
             "3 d at least, 6 d is best, seal suppliers' handbooks; a warning for a round ring of bonded cord"),
        Rule("seal.stretch", "Is each ring stretched or compressed little enough on its line?", "%",
             f"stretch 5 % at most, seal suppliers' handbooks; compressed 3 % at most: {PRACTICE}"),
        Rule("seal.land", "Is the land beside each groove and tube channel wide enough?", "mm", CHOICE, "land"),
        Rule("seal.extrusion", "Is the gap beside each cord as small as seals at 35 bar want it?", "mm",
             "0.41 mm diametral at 70 Shore A below 35 bar, seal suppliers' handbooks; a note only"),
        Rule("seal.floor", "Does the tube's end stay off the channel's floor over a stepped groove?", "mm",
             "the cord is squeezed no further otherwise"),
        Rule("net.open", "Is all of each loop joined: ports, tube interiors, plugs and drillings?", "voids",
             "the job's own loops, found again in the finished solids"),
        Rule("net.short", "Is each loop separate from every other?", "loops",
             "the job's own loops, found again in the finished solids"),
        Rule("net.leak", "Is each loop closed to the outside and to every dry hole, by seals that are squeezed?",
             "openings", f"metal or plastic that merely touches seals nothing: {PRACTICE}"),
        Rule("net.unreached", "Does a port reach each void?", "mm³", f"smaller slivers are counted only: {CHOICE}"),
        Rule("net.unexplained", "Does coolant stand wherever a loop should have it?", "places", CHOICE),
        Rule("net.second-path", "Do the nets found in the exported STL agree with the solids'?", "differences", CHOICE),
        Rule("clamp.bearing", "Does each plate bear what the strut screws' heads have to hold?", "MPa",
             "sustained stress of the plate's material; cord force by Lindley and Gent, upper figure by published bands"),
        Rule("clamp.separation", "Does enough preload stay to keep each plate on its struts?", "× load", CHOICE,
             "separation"),
        Rule("glass.pressure", "Does each tube stand the highest pressure?", "bar",
             "EN 1595 for borosilicate glass; the same formula with the sustained stress of other materials: our choice"),
        Rule("hole.left-out", "Were all holes of each pattern made?", "holes", "asked for by `avoid`"),
    )
}  # fmt: skip
