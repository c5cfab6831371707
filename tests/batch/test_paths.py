"""Parameter paths: what they mean in a base job, and how a wrong one is told."""

from __future__ import annotations

import pytest

from rillwright.batch.paths import UnknownPath, places

BASE = {
    "job": "twin",
    "loops": {"hot": {}, "cold": {"tint": "teal"}},
    "reservoirs": [{"name": "left", "loop": "hot", "at": [0, 0]}, {"name": "right", "loop": "cold", "tube": {"wall": 5}}],
    "plates": {
        "upper": {"stock": {"thickness": 20}, "holes": [{"name": "rim", "perimeter": {"inset": 8, "pitch": 20}}]},
        "lower": {"stock": {"thickness": 25}},
    },
}


@pytest.mark.parametrize(
    ("path", "wanted"),
    [
        ("cord_reel", [("cord_reel",)]),
        ("plates.upper.stock.thickness", [("plates", "upper", "stock", "thickness")]),
        ("plates.*.stock", [("plates", "upper", "stock"), ("plates", "lower", "stock")]),
        ("reservoirs.right.tube.wall", [("reservoirs", 1, "tube", "wall")]),
        ("reservoirs.1.tube.wall", [("reservoirs", 1, "tube", "wall")]),
        ("reservoirs.*.tube", [("reservoirs", 0, "tube"), ("reservoirs", 1, "tube")]),
        ("reservoirs.left.struts.screw.length", [("reservoirs", 0, "struts", "screw", "length")]),  # left to defaults
        ("reservoirs.left.at.0", [("reservoirs", 0, "at", 0)]),
        ("plates.*.holes.rim.perimeter.pitch", [("plates", "upper", "holes", 0, "perimeter", "pitch")]),  # lower has none
        ("plates.upper.holes.rim.from", [("plates", "upper", "holes", 0, "from")]),  # a key that is a word of Python
        ("loops.hot", [("loops", "hot")]),
    ],
)
def test_places(path: str, wanted: list[tuple[str | int, ...]]) -> None:
    assert list(places(path, BASE)) == wanted


@pytest.mark.parametrize(
    ("path", "what", "do"),
    [
        ("reservoirs.left.tub.wall", 'no key "tub" in reservoirs.left', 'did you mean "tube"?'),
        ("reservoirs.lef.tube.wall", 'no "lef" in reservoirs', 'did you mean "left"?'),
        ("plate.upper.stock", 'no key "plate" in the base job', 'did you mean "plates"?'),
        ("plates.*.holes.rmi.perimeter.pitch", 'nothing in the base job has "rmi" there', 'did you mean "rim"?'),
        ("plates.uper.stock", 'no "uper" in plates', 'did you mean "upper"?'),
        ("plates.*.stock.thikness", 'no key "thikness" in plates.*.stock', 'did you mean "thickness"?'),
        ("*.upper", "has keys", "known keys"),
        ("reservoirs.left.at.2", 'no "2" in reservoirs.left.at', "known names: 0, 1"),
        ("job.name", "job has nothing below it", "end the path there"),
        ("plates..stock", "a step of this path is empty", "one dot"),
    ],
)
def test_a_path_that_leads_nowhere(path: str, what: str, do: str) -> None:
    with pytest.raises(UnknownPath) as told:
        places(path, BASE)
    assert what in told.value.what
    assert do in str(told.value.do)
