"""Sheet for the pressure-decay test of each loop: what to set up, what to read, what to beware of (CSV, UTF-8)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from ..checks.plan.leak_test import CAUTIONS, HIGHEST, TestPlan, plan_test
from .cells import csv_text

if TYPE_CHECKING:
    from .bundle import Bundle

NAME = "leak-test.csv"
COLUMNS = ("loop", "what", "value", "unit", "note")
READ = (
    ("pressure", "bar gauge"), ("temperature of the loop", "°C"), ("barometer, as it stands there", "hPa"),
    ("time of day", "h:min"),
)  # fmt: skip
Line = tuple[str, str, str, str, str]


def write_leak_sheet(bundle: Bundle) -> None:
    """One sheet for all loops; a loop whose nets were not proved closed gets no plan, and says so."""
    nets = () if bundle.result is None else bundle.result.nets
    text = leak_sheet(bundle.job.loops, nets, bundle.job.coolant.pressure)
    (bundle.folder / NAME).write_text(text, encoding="utf-8")


def leak_sheet(loops: Mapping[str, Any], nets: tuple[dict[str, Any], ...], stated: float) -> str:
    """The sheet as text. `nets` are rows of `checks.json`, `stated` the job's highest gauge pressure, bar."""
    rows: list[Line] = [("", "caution", "", "", c) for c in CAUTIONS]
    for loop in loops:
        held = [n["coolant_ml"] for n in nets if n["loop"] == loop]
        rows += _loop(loop, held, stated)
    return csv_text(COLUMNS, rows)


def _loop(loop: str, held: list[float | None], stated: float) -> Iterator[Line]:
    volumes = [v for v in held if v is not None and v > 0]
    if not volumes or len(volumes) < len(held):
        yield (loop, "no plan", "", "", "this build did not prove the loop closed: mend what it names first")
        return
    if not stated > 0:
        yield (loop, "no plan", "", "", "coolant.pressure is 0 bar: a test needs a pressure above 0")
        return
    p = plan_test(loop, sum(volumes), stated)
    yield from _plan(p)
    for when in ("start", "end"):
        for what, unit in READ:
            yield (loop, f"read at the {when}: {what}", "", unit, "")
    yield (loop, "answer", "", "", f"rillwright leaktest FILE --loop {loop} --start BAR --end BAR --minutes N and the rest")


def _plan(p: TestPlan) -> Iterator[Line]:
    coarse = "; the gauge is too coarse, take a finer one" if p.coarse else ""
    rows = (
        ("volume", f"{p.volume:.1f}", "mL", "plates and tubes, found in the solids; add hoses and gauge"),
        ("test pressure", f"{p.pressure:g}", "bar gauge", "our choice for brittle plastic"),
        ("never above", f"{p.highest:g}", "bar gauge",
         f"our choice: {HIGHEST:g} bar at most and no more than coolant.pressure; trade advice caps air at 50 kPa"),
        ("duration", f"{p.minutes:.0f}", "min", "or more: a leak at the limit moves the gauge by ten resolutions"),
        ("gauge resolution", f"{p.gauge:g}", "bar", f"or finer{coarse}"),
        ("leak limit", f"{p.limit:g}", "mL/min", "of air; our choice, no general limit was found"),
        ("gauge moves by", f"{p.drift:.4f}", "bar/°C", "read the thermometer at both ends"),
        ("energy stored by air", f"{p.energy[0]:.1f} to {p.energy[1]:.1f}", "J", f"as water {p.water_words}: water first"),
    )  # fmt: skip
    yield from ((p.loop, *row) for row in rows)
