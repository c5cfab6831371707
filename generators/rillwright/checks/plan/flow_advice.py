"""What to write in the file so that a passage loses less: the key that makes it wider. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ...layout.features import Feature, PlateLayout
from ...layout.pockets import Pocket, Stroke

STEP = 1.2  # times wider, then up to the next whole millimetre
ONWARD = (".drop", ".run")  # drillings that the program leads on from a port into a channel


@dataclass(frozen=True, slots=True)
class Advice:
    """Words for the user, and the passages that become wider by it: plate.feature and its new diameter or width."""

    change: str
    sizes: dict[str, float]


def advice(plates: Iterable[PlateLayout], way: str, had: float) -> Advice:
    """How to make one passage (plate.feature) wider that is `had` mm wide now."""
    size = float(int(had * STEP) + 1)
    plate_name, _, name = way.partition(".")
    plate = next((p for p in plates if p.name == plate_name), None)
    cut = next((c for c in plate.cuts if c.name == name), None) if plate else None
    if plate is not None and isinstance(cut, Pocket):
        whole = _channel(cut)
        words = f"make channel {whole} of {plate_name} {size:g} mm wide instead of {had:g}"
        return Advice(words, {f"{plate_name}.{p.name}": size for p in _legs(plate, whole)})
    if isinstance(cut, Feature) and cut.role == "port":
        what = "larger thread" if cut.thread else f"bore of {size:g} mm instead of {had:g}"
        return Advice(f"give port {way} a {what}", {way: size})
    if plate is not None and isinstance(cut, Feature) and name.endswith(ONWARD) and "widest" in cut.facts:
        return _onward(plate, cut, size, had)
    return Advice(f"make {way} {size:g} mm wide instead of {had:g}", {way: size})


def _onward(plate: PlateLayout, f: Feature, size: float, had: float) -> Advice:
    """A drilling from a port into a channel is as wide as the channel's floor takes, and its port's bore."""
    way, port = f"{plate.name}.{f.name}", f.joins[0]
    met = next((p for p in plate.pockets if p.role == "channel" and p.loop == f.loop and f.name in p.joins), None)
    if size > f.facts["widest"] + 1e-9 or met is None or not isinstance(met.shape, Stroke):
        deeper = ", or let it lie deeper below the face" if f.name.endswith(".run") else ""
        return Advice(f"give port {plate.name}.{port} a larger thread{deeper}: its drilling of {had:g} mm becomes wider",
                      {way: size})  # fmt: skip
    whole, wide = _channel(met), met.shape.width
    words = (f"make channel {whole} of {plate.name} {wide + size - had:g} mm wide instead of {wide:g}: the drilling from "
             f"{port} into it becomes {size:g} instead of {had:g}")  # fmt: skip
    others = {f"{plate.name}.{p.name}": wide + size - had for p in _legs(plate, whole)}
    return Advice(words, others | {way: size})


def _channel(p: Pocket) -> str:
    """Name of the channel that a leg belongs to."""
    return p.name.rpartition(".")[0] if p.name.rpartition(".")[2].isdigit() and "." in p.name else p.name


def _legs(plate: PlateLayout, channel: str) -> list[Pocket]:
    return [p for p in plate.pockets if p.role == "channel" and _channel(p) == channel]
