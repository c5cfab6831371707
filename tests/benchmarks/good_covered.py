"""Seeded jobs of milled channels under covers, screwed and bonded, on one level and on two. Lengths in mm.

As `good_samples`: ranges in which no rule may have anything to say.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

from good_samples import LOOPS, Job, cord, job, outline

R = random.Random


def _cover(rng: R, bonded: bool = False) -> Job:
    stock = {"material": rng.choice(["pmma-cast", "pc", "pom-c", "aluminium-6082-t6"]), "thickness": 15}
    if bonded:
        return {"stock": {"material": "pmma-cast", "thickness": rng.choice([8, 10])}, "join": "bonded"}
    screws = {
        "thread": rng.choice(["M4", "M5"]),
        "pitch": rng.choice([30, 35, 40]),
        "head": "on-top",
        "washer": True,
        "into": rng.choice(["thread", "insert"]),
    }
    return {
        "stock": stock,
        "cord": {**cord(rng, (50,)), "diameter": 2},
        "groove": {"depth": 1.5, "width": 3.4},
        "screws": screws,
        "measured": {"cord": {"value": 2.0, "gauge": 0.03}},
    }


def _bands(rng: R, loops: int) -> tuple[float, float, list[float]]:
    """Length and width of a body with one band across for each loop, and the bands' middles."""
    length, tall = rng.choice([220, 260, 300, 340]), rng.choice([52, 56, 64])
    return length, tall * loops + 10, [tall * (i - (loops - 1) / 2) for i in range(loops)]


def _body(rng: R, bonded: bool) -> Job:
    return {
        "material": "pmma-cast" if bonded else rng.choice(["pom-c", "pmma-cast", "aluminium-6082-t6", "pc"]),
        "thickness": 25,
    }


def _channel(rng: R, name: str, loop: str, joins: list[str], **more: Any) -> Job:
    return {
        "name": name,
        "loop": loop,
        "width": rng.choice([7, 8, 9]),
        "depth": rng.choice([7, 8]),
        "floor_radius": rng.choice([0, 1]),
        "joins": joins,
        **more,
    }


def covered_auto(rng: R, bonded: bool = False) -> Job:
    """Channels that find their way, loops in bands, ports through the cover, from the far face and from an edge."""
    loops = LOOPS[: rng.choice([1, 2, 3])]
    length, width, middles = _bands(rng, len(loops))
    x = length / 2
    plate: Job = {
        "stock": _body(rng, bonded),
        "outline": outline(length, width, rng),
        "covers": {"seal": _cover(rng, bonded)},
        "ports": [],
        "channels": [],
    }
    for n, y in zip(loops, middles, strict=True):
        a = {
            "name": f"{n}-in",
            "loop": n,
            "flow": "in",
            "on": "cover",
            "at": [-x + 32, y + rng.choice([-6, 0, 6])],
            "thread": "G1/8",
        }
        ends = [
            {"on": "cover", "at": [x - 32, y + rng.choice([-6, 0, 6])], "thread": "G1/8"},
            {"on": "outer", "at": [x - 32, y], "thread": "G1/8"},
            {"on": "right", "at": [y, -8], "thread": "G1/8"},
        ]
        b = {"name": f"{n}-out", "loop": n, "flow": "out", **rng.choice(ends)}
        plate["ports"] += [a, b]
        joins = [f"{n}-in", f"{n}-out"]
        if rng.random() < 0.4:
            plate["ports"].append(
                {
                    "name": f"{n}-vent",
                    "loop": n,
                    "flow": "shut",
                    "on": "cover",
                    "at": [rng.choice([-20, 0, 25]), y + 4],
                    "thread": "G1/8",
                }
            )
            joins.append(f"{n}-vent")
        more = {"depth": 8} if b["on"] == "right" else {}
        plate["channels"].append(_channel(rng, f"{n}-run", n, joins, **more))
    return job(rng, "covered-bonded" if bonded else "covered-auto", loops, {"panel": plate})


def covered_bonded(rng: R) -> Job:
    return covered_auto(rng, bonded=True)


def covered_hand(rng: R) -> Job:
    """Channels led by hand: straight legs with rounded corners, or one arc."""
    loops = LOOPS[: rng.choice([1, 2])]
    length, width, middles = _bands(rng, len(loops))
    width, middles = width + 40 * len(loops), [1.7 * m for m in middles]
    x = length / 2 - 34
    plate: Job = {
        "stock": _body(rng, False),
        "outline": outline(length, width, rng),
        "covers": {"seal": _cover(rng)},
        "ports": [],
        "channels": [],
    }
    for n, y in zip(loops, middles, strict=True):
        for way, at in (("in", [-x, y - 10]), ("out", [x, y - 10])):
            plate["ports"].append(
                {
                    "name": f"{n}-{way}",
                    "loop": n,
                    "flow": way,
                    "on": "cover",
                    "at": at,
                    "thread": rng.choice(["G1/8", "G1/4"]),
                }
            )
        up = rng.choice([20, 26])
        bow: list[Any] = [f"{n}-in", {"through": [0, y - 10 + up], "to": [x, y - 10]}]
        step: list[Any] = [f"{n}-in", [-x / 2, y - 10], [-x / 2 + 20, y - 10 + up], [x / 2, y - 10 + up], f"{n}-out"]
        plate["channels"].append(
            _channel(
                rng, f"{n}-run", n, [f"{n}-in", f"{n}-out"], bend_radius=rng.choice([12, 15]), route=rng.choice([bow, step])
            )
        )
    return job(rng, "covered-hand", loops, {"panel": plate})


def two_levels(rng: R) -> Job:
    """One loop dives through passages under the other; the far face's cover is screwed or bonded."""
    y = rng.choice([30, 36])
    bonded = rng.random() < 0.5
    plate: Job = {
        "stock": {"material": "pmma-cast" if bonded else rng.choice(["pom-c", "aluminium-6082-t6"]), "thickness": 32},
        "outline": outline(260, 170, rng),
        "covers": {"seal": _cover(rng), "outer": _cover(rng, bonded)},
        "ports": [
            {"name": f"{n}-{w}", "loop": n, "flow": w, "on": "cover", "at": at, "thread": "G1/8"}
            for n, w, at in (
                ("hall", "in", [-90, -y]),
                ("hall", "out", [90, -y]),
                ("laser", "in", [0, -50]),
                ("laser", "out", [0, 50]),
            )
        ],
        "passages": [
            {"name": f"{w}-pass", "loop": "hall", "at": [x, 0], "diameter": 6} for w, x in (("left", -45), ("right", 45))
        ],
        "channels": [
            _channel(rng, "hall-left", "hall", ["hall-in", "left-pass"]),
            _channel(rng, "hall-right", "hall", ["right-pass", "hall-out"]),
            _channel(rng, "hall-under", "hall", ["left-pass", "right-pass"], face="outer"),
            _channel(rng, "laser-run", "laser", ["laser-in", "laser-out"]),
        ],
    }
    return job(rng, "two-levels", ("hall", "laser"), {"board": plate})


def covered_opening(rng: R) -> Job:
    """Channels past an opening that is cut out, every kind of head and of thread, the groove by the cord's table."""
    head, into = rng.choice(["on-top", "countersunk", "counterbored"]), rng.choice(["thread", "insert", "nut"])
    screws = {"thread": "M4", "pitch": rng.choice([30, 35]), "head": head, "into": into, "washer": head == "on-top"}
    if into == "nut":  # the screw goes through both: an M5 is made long enough
        screws |= {"thread": "M5", "pitch": 35}
    tall, wide = rng.choice([36, 44]), rng.choice([70, 90])
    y = tall / 2 + 34
    body = {"material": rng.choice(["pom-c", "aluminium-6082-t6"]), "thickness": 25}
    cover = {
        "stock": {"material": rng.choice(["aluminium-6082-t6", "pom-c"]), "thickness": 15},
        "cord": {**cord(rng, (50,)), "diameter": rng.choice([2, 2.5])},
        "screws": screws,
        "measured": {"cord": {"value": 2.0, "gauge": 0.03}},
    }
    cover["measured"]["cord"]["value"] = cover["cord"]["diameter"]
    ports, channels = [], []
    for n, at in (("hall", y), ("laser", -y)):
        for way, x in (("in", -118), ("out", 118)):
            place = {"on": "cover", "at": [x, at]} if rng.random() < 0.7 else {"on": "outer", "at": [x, at]}
            ports.append({"name": f"{n}-{way}", "loop": n, "flow": way, "thread": "G1/8", **place})
        pins = {"pins": [[rng.choice([-20, 0, 20]), at + rng.choice([-2, 2])]]} if rng.random() < 0.5 else {}
        channels.append(_channel(rng, f"{n}-run", n, [f"{n}-in", f"{n}-out"], **pins))
    opening = {"name": "opening", "at": [0, 0], "length": wide, "width": tall, "corner_radius": 6}
    plate: Job = {
        "stock": body,
        "outline": outline(300, 2 * y + 70, rng),
        "covers": {"seal": cover},
        "windows": [opening],
        "ports": ports,
        "channels": channels,
    }
    return job(rng, "covered-opening", ("hall", "laser"), {"panel": plate})


SAMPLERS: dict[str, Callable[[R], Job]] = {
    f.__name__.replace("_", "-"): f for f in (covered_auto, covered_hand, covered_bonded, covered_opening, two_levels)
}
