"""Seeded jobs as a careful builder would write them, of every construction: what measured is stated, what is wide has room.

Each sampler takes a random generator and gives a job as plain data. Ranges are chosen so that no rule may have anything
to say; what a rule says all the same is a false alarm, or a range here that is not careful. Lengths in mm.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

Job = dict[str, Any]
R = random.Random
TINTS = ("amber", "teal", "violet", "rose", "lime", "sky")
LOOPS = ("hall", "laser", "optics", "store")
# The sheet is measured before it is cut; diameters and reaches of the cutters that lie in the drawer.
CUTTERS = ((1, 4), (1.5, 6), (2, 8), (3, 12), (4, 16), (5, 18), (6, 22), (8, 26), (10, 50))
MACHINE = {"sheet": 0.1, "cutters": [{"diameter": d, "reach": r} for d, r in CUTTERS]}


def coolant(rng: R) -> Job:
    mix = rng.choice(["water", "propylene glycol", "ethylene glycol"])
    return {
        "mix": mix,
        "by_volume": 0 if mix == "water" else rng.choice([10, 20, 30]),
        "temperature": rng.choice([25, 35, 45]),
    }


def job(rng: R, name: str, loops: tuple[str, ...], plates: Job, **more: Any) -> Job:
    flow = {"flow": round(rng.uniform(0.8, 2.5), 1)}
    made = {n: {"tint": TINTS[i]} | (flow if rng.random() < 0.5 else {}) for i, n in enumerate(loops)}
    return {"job": name, "coolant": coolant(rng), "loops": made, "machine": MACHINE, "plates": plates, **more}


def outline(length: float, width: float, rng: R) -> Job:
    return {
        "length": length,
        "width": width,
        "corner_radius": rng.choice([4, 6, 8, 10]),
        "chamfer": rng.choice([0, 0.5, 1]),
    }


def cord(rng: R, hardness: tuple[int, ...] = (50, 60)) -> Job:
    return {
        "diameter": 2,
        "material": rng.choice(["epdm", "fkm", "vmq"]),
        "hardness": rng.choice(hardness),
        "tolerance": "E1",
    }


# --- two plates with glass tubes between them


def _reservoir(rng: R, name: str, loop: str, x: float, alike: Job) -> Job:
    return {"name": name, "loop": loop, "at": [x, 0], **alike}


def _clamped(rng: R) -> Job:
    """What all tubes of one pair have alike: enough struts, deep threads, the cord measured."""
    tube = {
        "outside_diameter": rng.choice([50, 54, 60, 70]),
        "wall": rng.choice([4, 5]),
        "length": rng.choice([123, 153, 203, 253]),
    }
    struts = {
        "count": rng.choice([4, 6]),
        "start_angle": 45,
        "diameter": 12,
        "thread": rng.choice(["M5", "M6"]),
        "thread_depth": 20,
        "material": rng.choice(["aluminium-6082-t6", "stainless-a2-70"]),
        "screw": {},
    }
    if struts["count"] == 6:
        struts["start_angle"] = 0
    return {
        "tube": tube,
        "struts": struts,
        "channel": {"depth": 6, "wall": 6, "cord": cord(rng, (50,))},
        "tolerances": {"tube_length": 0.1, "strut_length": 0.03, "channel_depth": 0.03},
        "measured": {"cord": {"value": round(rng.uniform(1.97, 2.03), 2), "gauge": 0.02}},
    }


def _pair(rng: R, count: int, thick: int) -> tuple[Job, list[float], Job]:
    alike = _clamped(rng)
    pitch = alike["tube"]["outside_diameter"] + rng.choice([54, 60, 70])
    xs = [pitch * (i - (count - 1) / 2) for i in range(count)]
    material = rng.choice(["pom-c", "pmma-cast", "pmma-extruded", "aluminium-6082-t6", "pc"])
    if material == "pmma-extruded":  # bears half of what cast sheet does: more and thicker screws
        alike["struts"] |= {"thread": "M6", "count": 6, "start_angle": 0}
    plate = {
        "stock": {"material": material, "thickness": thick - 0.2},
        "outline": outline(pitch * count + 20, alike["tube"]["outside_diameter"] + 70, rng),
    }
    return plate, xs, alike


def clamp_straight(rng: R) -> Job:
    """Ports straight through the outer faces."""
    count = rng.choice([1, 2, 3])
    plate, xs, alike = _pair(rng, count, rng.choice([20, 22, 25]))
    loops = LOOPS[:count]
    hole = {
        "name": "rim",
        "kind": "clearance",
        "thread": "M4",
        "avoid": 3,
        "perimeter": {"inset": 8, "pitch": rng.choice([40, 60])},
    }
    upper = {
        **plate,
        "ports": [
            {
                "name": f"{n}-{w}",
                "loop": n,
                "on": "outer",
                "at": [x + s, 0],
                "thread": "G1/8",
                "depth": "through",
                "flow": f,
            }
            for n, x in zip(loops, xs, strict=True)
            for w, s, f in (("in", -10, "in"), ("fill", 10, "shut"))
        ],
    }
    lower = {
        **plate,
        "ports": [
            {"name": f"{n}-out", "loop": n, "on": "outer", "at": [x, 0], "depth": "through", "flow": "out"}
            for n, x in zip(loops, xs, strict=True)
        ],
        "holes": [hole],
    }
    tubes = [_reservoir(rng, f"tube-{i}", n, x, alike) for i, (n, x) in enumerate(zip(loops, xs, strict=True))]
    return job(rng, "clamp-straight", loops, {"upper": upper, "lower": lower}, reservoirs=tubes)


def clamp_drilled(rng: R) -> Job:
    """Ports in the back edge, drilled on to a riser under the tube."""
    count = rng.choice([1, 2, 3])
    plate, xs, alike = _pair(rng, count, rng.choice([27, 30]))
    loops = LOOPS[:count]
    z, wide = -14, rng.choice([7, 8])

    def drilled(way: str, side: str) -> Job:
        ports = [
            {"name": f"{n}-{way}", "loop": n, "on": side, "at": [x - 8, z], "flow": way}
            for n, x in zip(loops, xs, strict=True)
        ]
        rise = [
            {"name": f"{n}-riser", "loop": n, "from": "seal", "at": [x - 8, 0], "depth": -z, "diameter": wide}
            for n, x in zip(loops, xs, strict=True)
        ]
        feed = [{"name": f"{n}-feed", "from": f"{n}-{way}", "to": f"{n}-riser", "diameter": wide} for n in loops]
        return {**plate, "ports": ports, "drillings": [*rise, *feed]}

    tubes = [_reservoir(rng, f"tube-{i}", n, x, alike) for i, (n, x) in enumerate(zip(loops, xs, strict=True))]
    plates = {"upper": drilled("in", "back"), "lower": drilled("out", rng.choice(["back", "front"]))}
    return job(rng, "clamp-drilled", loops, plates, reservoirs=tubes)


def clamp_galleries(rng: R) -> Job:
    """Drillings chosen by the tool."""
    plate, xs, alike = _pair(rng, 2, 30)
    alike["struts"] |= {"count": 3, "start_angle": 270, "thread": "M6"}
    if plate["stock"]["material"] == "pmma-extruded":
        plate["stock"]["material"] = "pom-c"
    loops = LOOPS[:2]
    upper: Job = {**plate, "ports": [], "galleries": []}
    lower: Job = {**plate, "ports": [], "galleries": []}
    for n, x, i in zip(loops, xs, (0, 1), strict=True):
        upper["ports"].append({"name": f"{n}-in", "loop": n, "on": "back", "at": [x / 2, -14], "flow": "in"})
        upper["galleries"].append({"name": f"{n}-feed", "joins": [f"{n}-in", f"tube-{i}"], "diameter": 8})
        lower["ports"].append({"name": f"{n}-out", "loop": n, "on": "front", "at": [x / 2, -14], "flow": "out"})
        lower["galleries"].append({"name": f"{n}-drain", "joins": [f"{n}-out", f"tube-{i}"], "diameter": 8})
    tubes = [_reservoir(rng, f"tube-{i}", n, x, alike) for i, (n, x) in enumerate(zip(loops, xs, strict=True))]
    return job(rng, "clamp-galleries", loops, {"upper": upper, "lower": lower}, reservoirs=tubes)


def clamp_stepped(rng: R) -> Job:
    """A groove in the channel's floor for the cord, cut to the measured one."""
    made = clamp_straight(rng)
    for r in made["reservoirs"]:
        r["tube"]["wall"] = 5
        r["channel"] |= {"depth": 6, "groove": "auto"}
        r["tolerances"] |= {"tube_length": 0.03, "strut_length": 0.02, "channel_depth": 0.02, "seat_depth": 0.02}
    return {**made, "job": "clamp-stepped"}


def clamp_inside(rng: R) -> Job:
    """One wide tube, its struts inside it, each on a cord of its own."""
    made = clamp_straight(rng)
    while len(made["reservoirs"]) > 1:
        made = clamp_straight(rng)
    (r,) = made["reservoirs"]
    ring = {"diameter": 1.78, "material": "epdm", "hardness": 70}
    seal = {"cord": ring, "ring_inside": 6.4}  # a moulded ring: cord would be bent too tightly
    r["tube"] |= {"outside_diameter": rng.choice([110, 120, 130]), "wall": 5}
    r["struts"] |= {"place": "inside", "seal": seal, "diameter": 15, "thread": "M5", "count": 6}
    r["measured"]["strut_cord"] = {"value": 1.78, "gauge": 0.02}
    for plate in made["plates"].values():
        plate["outline"] |= {"length": 190, "width": 190}
        plate["stock"]["material"] = rng.choice(["pom-c", "aluminium-6082-t6"])
    # The gap round a wide tube's end keeps air above it, which no port can reach.
    return {**made, "job": "clamp-inside", "limits": {"trapped": 2}}


SAMPLERS: dict[str, Callable[[R], Job]] = {
    f.__name__.replace("_", "-"): f for f in (clamp_straight, clamp_drilled, clamp_galleries, clamp_stepped, clamp_inside)
}
