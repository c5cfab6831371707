"""Seeded jobs of plates that something is bolted to, of blocks, of dry plates and of a whole machine. Lengths in mm.

As `good_samples`: ranges in which no rule may have anything to say.
"""

from __future__ import annotations

import random
from collections.abc import Callable

from good_samples import LOOPS, Job, clamp_straight, cord, job, outline

R = random.Random


def radiator_panel(rng: R) -> Job:
    """A covered panel under a radiator whose tank lies on two bores of the far face."""
    fans, size = rng.choice([(1, 120), (2, 120), (3, 120), (4, 120), (1, 140), (2, 140), (3, 140)])
    length = fans * size + 100
    x, far = length / 2, fans * size / 2
    cover = {
        "stock": {"material": rng.choice(["pmma-cast", "pc"]), "thickness": rng.choice([10, 12, 15])},
        "cord": cord(rng, (50, 60)),
        "groove": {"depth": 1.5, "width": 3.4},
        "screws": {"thread": "M4", "pitch": rng.choice([35, 40]), "head": "on-top", "washer": True},
        "measured": {"cord": {"value": 2.0, "gauge": 0.03}},
    }
    radiator = {
        "name": "radiator",
        "interface": f"fan-frame-{size}",
        "side": "outer",
        "at": [0, 0],
        "count": fans,
        "set": {"thickness": rng.choice([30, 45]), "head": "counterbored", "reach": 6},
    }
    if fans > 1:
        radiator["pitch"] = size
    tank = {
        "name": "tank",
        "interface": "radiator-tank",
        "side": "outer",
        "at": [-far - 17, 0],
        "loop": "hall",
        "set": {"in": 30, "out": -30, "depth": 11.5},
    }
    plate = {
        "stock": {"material": rng.choice(["pom-c", "aluminium-6082-t6"]), "thickness": 20},
        "outline": outline(length, size + 34, rng),
        "covers": {"seal": cover},
        "mounts": [radiator, tank],
        "ports": [
            {"name": "hall-in", "flow": "in", "loop": "hall", "on": "left", "at": [30, -8], "thread": "G1/8"},
            {
                "name": "hall-out",
                "flow": "out",
                "loop": "hall",
                "on": rng.choice(["right", "cover"]),
                "at": [-30, -8],
                "thread": "G1/8",
            },
        ],
        "channels": [
            {"name": "feed", "loop": "hall", "width": 8, "depth": 8, "floor_radius": 1, "joins": ["hall-in", "tank-in"]},
            {"name": "back", "loop": "hall", "width": 8, "depth": 8, "floor_radius": 1, "joins": ["tank-out", "hall-out"]},
        ],
    }
    out = plate["ports"][1]
    if out["on"] == "cover":
        out["at"] = [x - 30, -30]
    else:  # a port in an edge leaves the air under the cover: one above vents it
        vent = {"name": "hall-vent", "flow": "shut", "loop": "hall", "on": "cover", "at": [x - 46, -30], "thread": "G1/8"}
        plate["ports"].append(vent)
        plate["channels"][1]["joins"].insert(1, "hall-vent")
    return job(rng, "radiator-panel", ("hall",), {"panel": plate})


def card_block(rng: R) -> Job:
    """Cards of one or two loops on a block, in series or side by side."""
    count, pitch = rng.choice([2, 3, 4]), 40.64
    split = rng.randrange(1, count) if rng.random() < 0.6 else count
    groups: list[Job] = [
        {
            "loop": LOOPS[0],
            "cards": [1, split],
            "way": rng.choice(["parallel", "series"]),
            "inlet": {"on": "left"},
            "outlet": {"on": "outer"},
        }
    ]
    if split < count:
        ends = ({"on": "right"}, {"on": "outer"})
        way = rng.choice(["parallel", "series"])
        if way == "series":  # the coolant comes to its first card from outside and leaves at the row's end
            ends = ends[::-1]
        second = {"loop": LOOPS[1], "cards": [split + 1, count], "way": way, "inlet": ends[0], "outlet": ends[1]}
        groups.append(second)
    mount = {
        "name": "cards",
        "interface": "card-terminal",
        "side": "seal",
        "count": count,
        "pitch": pitch,
        "set": {"in": 14, "out": -14, "screw-low": -32, "screw-high": 32, "length": 74},
    }
    plate = {
        "stock": {"material": rng.choice(["pom-c", "aluminium-6082-t6"]), "thickness": rng.choice([45, 50])},
        "outline": outline(round(pitch * count + 30, 1), 84, rng),
        "mounts": [mount],
        "block": {"row": "cards", "plug": "G1/8", "drill": 8, "groups": groups},
    }
    return job(rng, "card-block", LOOPS[: len(groups)], {"block": plate})


def manifold(rng: R) -> Job:
    """A drilled block: a run from left to right, outlets on top of it."""
    outlets, pitch = rng.choice([1, 2, 3]), rng.choice([30, 34, 40])
    length = pitch * outlets + 50
    wide = 10 if length > 160 else 8
    z = -rng.choice([16, 17])
    ports: list[Job] = [{"name": "in", "flow": "in", "loop": "hall", "on": "left", "at": [0, z]}]
    drillings: list[Job] = [{"name": "run", "from": "in", "to": [length / 2 - 20, 0, z], "diameter": wide}]
    for i in range(outlets):
        on = rng.choice(["outer", "seal"])
        ports.append(
            {
                "name": f"out-{i}",
                "flow": "out",
                "loop": "hall",
                "on": on,
                "depth": (34 + z if on == "outer" else -z) - 2,  # its bore goes into the run
                "at": [round(pitch * (i - (outlets - 1) / 2), 2), 0],
                "thread": "G1/8",
            }
        )
        drillings.append({"name": f"branch-{i}", "from": f"out-{i}", "to": "run", "diameter": 8})
    holes = [
        {
            "name": "fix",
            "kind": rng.choice(["clearance", "counterbored"]),
            "thread": "M4",
            "grid": {"columns": 2, "rows": 2, "pitch": [length - 20, 44]},
        }
    ]
    plate = {
        "stock": {"material": rng.choice(["pom-c", "pmma-cast", "aluminium-6082-t6"]), "thickness": 34},
        "outline": outline(length, 60, rng),
        "ports": ports,
        "drillings": drillings,
        "holes": holes,
    }
    return job(rng, "manifold", ("hall",), {"block": plate})


def bracket(rng: R) -> Job:
    """A pump hangs in a plate, slots let it slide, a window passes its cable."""
    flange = rng.choice([70, 75, 80])
    pump = {
        "name": "pump",
        "interface": "pump-flange",
        "side": rng.choice(["outer", "seal"]),
        "at": [0, 0],
        "set": {"flange": flange, "pitch-circle": flange - 13, "body": flange - 30, "reach": 8},
    }
    plate = {
        "stock": {"material": rng.choice(["aluminium-6082-t6", "pom-c"]), "thickness": 5},
        "outline": outline(150, flange + 20, rng),
        "mounts": [pump],
        "windows": [{"name": "cable", "at": [58, 0], "length": 14, "width": 30, "corner_radius": 4}],
        "slots": [{"name": "slide", "line": [[-56, -20], [-56, 20]], "width": 4.5}],
        "spans": [
            {
                "name": "arm",
                "kind": "cantilever",
                "length": 60,
                "width": flange,
                "load": rng.choice([1, 2]),
                "spread": "point",
            }
        ],
    }
    return job(rng, "bracket", (), {"bracket": plate})


def frame(rng: R) -> Job:
    """A base of strips with feet, blocks and a lit edge."""
    length, width = rng.choice([320, 360, 400]), rng.choice([220, 240])
    x, y = length / 2, width / 2
    block = {"interface": "standoff-block-12", "side": "seal", "turn": 90, "count": rng.choice([2, 3]), "pitch": 60}
    flange = {
        "name": "flange",
        "interface": "flange-four-hole",
        "side": "seal",
        "set": {"pitch": rng.choice([42, 46]), "side": 56, "opening": 24, "reach": 8},
    }
    plate = {
        "stock": {"material": "aluminium-6082-t6", "thickness": rng.choice([5, 6])},
        "outline": outline(length, width, rng),
        "holes": [
            {
                "name": "foot",
                "kind": "counterbored" if rng.random() < 0.5 else "clearance",
                "thread": "M4",
                "from": "outer",
                "grid": {"columns": 2, "rows": 2, "pitch": [length - 26, width - 26]},
            }
        ],
        "mounts": [flange, {"name": "left", "at": [-110, 0], **block}, {"name": "right", "at": [110, 0], **block}],
        "frame": {
            "border": 24,
            "strip": 24,
            "pad": 7,
            "strips": [[[-x, 0], [x, 0]], [[-110, -y], [-110, y]], [[0, -y], [0, y]], [[110, -y], [110, y]]],
        },
        "spans": [
            {
                "name": "middle",
                "kind": "beam",
                "length": width - 24,
                "width": 24,
                "load": rng.choice([5, 10]),
                "spread": "even",
            }
        ],
    }
    return job(rng, "frame", (), {"base": plate})


def lit_block(rng: R) -> Job:
    """A clear drilled block with a light strip round its edge."""
    made = manifold(rng)
    plate = made["plates"]["block"]
    for p in plate["ports"]:
        p["on"] = "seal" if p["on"] == "outer" else p["on"]
    length = plate["outline"]["length"] + 50
    plate["outline"] |= {"length": length, "width": 130, "corner_radius": 36}
    at = min(p["at"][0] for p in plate["ports"][1:]) - 24
    plate["ports"][0] |= {"on": "seal", "thread": "G1/8", "at": [at, 0]}
    z = plate["drillings"][0]["to"][2]
    plate["drillings"] = [
        {"name": "run", "loop": "hall", "from": "right", "at": [0, z], "to": [at, 0, z], "diameter": 10, "plug": "G1/4"},
        {"name": "fall", "from": "in", "to": "run", "diameter": 8},
        *plate["drillings"][1:],
    ]
    plate["holes"][0]["kind"] = "clearance"
    plate["lights"] = [{"name": "glow", "face": "outer", "inset": 12, "strip": {"width": 8, "height": 2.5}}]
    return {**made, "job": "lit-block"}


def machine(rng: R) -> Job:
    """A clamped tube and a manifold beside it, placed in one machine, with tubing between them."""
    one = clamp_straight(rng)
    while len(one["reservoirs"]) > 1:
        one = clamp_straight(rng)
    two = manifold(rng)
    thick = one["plates"]["lower"]["stock"]["thickness"]
    plates = {**one["plates"], "block": two["plates"]["block"]}
    place = {"lower": {"at": [0, 0, 60]}, "block": {"at": [260, 0, 60 - thick], "turn": [0, 0, rng.choice([0, 90, 180])]}}
    return {**one, "job": "machine", "plates": plates, "place": place}


def polygon_block(rng: R) -> Job:
    """A drilled block of five sides, one of them slanted, one corner round: a run from the slanted edge."""
    long, cut = rng.choice([140, 160, 180]), rng.choice([30, 36])
    shape = [[0, 0], [long, 0], {"through": [long + 14, 40], "to": [long, 80]}, [cut, 80], [0, 80 - cut]]
    z = -rng.choice([15, 16])
    y = 80 - cut / 2 - 40  # the middle of the slanted edge, from the middle of the outline
    x = cut / 2 - (long + 14) / 2
    reach = rng.choice([46, 52])
    end = [round(x + reach * 0.70710678, 3), round(y - reach * 0.70710678, 3), z]
    ports = [
        {"name": "in", "flow": "in", "loop": "hall", "on": "edge-3", "at": [0, z]},
        {"name": "out", "flow": "out", "loop": "hall", "on": "outer", "at": end[:2], "depth": 16},
    ]
    drillings = [
        {"name": "run", "from": "in", "to": end, "diameter": 8},
        {"name": "rise", "from": "out", "to": "run", "diameter": 8},
    ]
    holes = [
        {"name": "fix", "kind": "tapped", "thread": "M5", "depth": 10, "at": [[-long / 2 + 6, -28], [long / 2 - 20, 28]]}
    ]
    plate = {
        "stock": {"material": rng.choice(["pom-c", "aluminium-6082-t6"]), "thickness": 32},
        "outline": {"polygon": shape, "chamfer": rng.choice([0, 0.5])},
        "ports": ports,
        "drillings": drillings,
        "holes": holes,
    }
    return job(rng, "polygon-block", ("hall",), {"block": plate})


SAMPLERS: dict[str, Callable[[R], Job]] = {
    f.__name__.replace("_", "-"): f
    for f in (radiator_panel, card_block, manifold, polygon_block, bracket, frame, lit_block, machine)
}
