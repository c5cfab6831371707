"""The command `leaktest`: its options, where it finds a loop's volume, and its words."""

from __future__ import annotations

import argparse
import hashlib
import json
import math
import sys
import textwrap
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .exits import FAILED, HOLDS, UNUSABLE

if TYPE_CHECKING:
    from .checks.plan.leak_test import LeakAnswer, Readings, TestPlan

WIDTH = 100
_READINGS = ("start", "end", "minutes")
_PAIRS = (("start_temperature", "end_temperature"), ("start_barometer", "end_barometer"))


class CannotAnswerError(Exception):
    """The words given, or what lies in the folder of results, do not allow an answer; says what to do."""


def add_options(command: argparse.ArgumentParser) -> None:
    """Every option of `leaktest`; a number that is none ends with exit code 2."""
    command.add_argument("file", type=Path, metavar="FILE", help="parameter file (YAML)")
    command.add_argument("--loop", metavar="NAME", help="which loop (left out: all are planned, an only one is read)")
    command.add_argument("--json", action="store_true", help="print one JSON document and nothing else")
    for name, unit, text in (
        ("start", "BAR", "gauge pressure at the start"),
        ("end", "BAR", "gauge pressure at the end"),
        ("minutes", "N", "time between both readings"),
        ("start-temperature", "C", "temperature of the loop at the start, °C"),
        ("end-temperature", "C", "temperature of the loop at the end, °C"),
        ("start-barometer", "hPa", "air pressure of the place at the start, not reduced to sea level"),
        ("end-barometer", "hPa", "air pressure of the place at the end"),
        ("gauge-resolution", "BAR", "smallest step of the gauge (left out: 0.001)"),
        ("volume", "ML", "volume under pressure, hoses and gauge included (left out: from the last build)"),
        ("limit", "ML/MIN", "leak that is still taken as tight (left out: 0.1, our choice)"),
    ):
        command.add_argument(f"--{name}", type=_number, metavar=unit, help=text)


def _number(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(text)
    return value


def run(given: argparse.Namespace) -> int:
    """Print the plan, or the answer to the readings; returns the exit code. Raises SpecError for a bad file."""
    from .spec.job import Job
    from .spec.load import load

    job = load(given.file, Job).model
    try:
        readings = _readings(given)
        loops = _loops(given, tuple(job.loops), one=readings is not None)
        volumes = _volumes(given, job.job, loops)
        text, code, plain = _told(given, readings, volumes, job.coolant.pressure)
    except (CannotAnswerError, ValueError) as error:
        print(f"{given.file}: {error}", file=sys.stderr, flush=True)
        if given.json:
            print(json.dumps({"file": str(given.file), "code": UNUSABLE, "error": str(error)}, ensure_ascii=False))
        return UNUSABLE
    print(json.dumps({"file": str(given.file), "code": code, "job": job.job, **plain}, indent=2, ensure_ascii=False)
          if given.json else text)  # fmt: skip
    return code


def _told(
    given: argparse.Namespace, readings: Readings | None, volumes: dict[str, float], stated: float
) -> tuple[str, int, dict[str, Any]]:
    """As text, exit code, and as plain data in the units of the bench: bar, mL, mL/min, °C, hPa, min, J."""
    from .checks.plan import leak_test

    limit = leak_test.LEAK_LIMIT if given.limit is None else given.limit
    gauge = leak_test.GAUGE if given.gauge_resolution is None else given.gauge_resolution
    note = _stale(given) if given.volume is None else []
    if readings is None:
        plans = [leak_test.plan_test(n, v, stated, gauge=gauge, limit=limit) for n, v in volumes.items()]
        lines = [line for p in plans for line in _plan_lines(p)]
        told = {"plans": [asdict(p) for p in plans], "notes": _flat(note), "cautions": list(leak_test.CAUTIONS)}
        return "\n".join([*lines, *note, "", *_caution_lines(leak_test.CAUTIONS)]), HOLDS, told
    ((loop, volume),) = volumes.items()
    found = leak_test.answer(readings, volume, limit)
    lines = _answer_lines(loop, volume, readings, found) + note
    highest = leak_test.highest_pressure(stated)
    over = []
    if readings.start > highest:
        over = _fit(f"caution  started at {readings.start:g} bar, above the {highest:g} bar that this job allows: "
                      "do not go there again, and look every part over for cracks")  # fmt: skip
    told = {"loop": loop, "volume": volume, "readings": asdict(readings), "answer": asdict(found),
            "notes": [*_flat(note), *_flat(over)]}  # fmt: skip
    return "\n".join([*lines, *over]), HOLDS if found.verdict == "tight" else FAILED, told


def _flat(lines: list[str]) -> list[str]:
    """A note as one line without its mark, or none."""
    return [" ".join(" ".join(lines).split()).removeprefix("caution ")] if lines else []


def _readings(given: argparse.Namespace) -> Readings | None:
    """What was read, or None where nothing was; raises CannotAnswerError for a part of it."""
    from .checks.plan.leak_test import GAUGE, Readings

    have = [n for n in _READINGS if getattr(given, n) is not None]
    celsius, barometer = (_pair(given, *names) for names in _PAIRS)
    if not have and celsius is None and barometer is None:
        return None
    if missing_words := [f"--{n}" for n in _READINGS if n not in have]:
        raise CannotAnswerError(f"readings need --start, --end and --minutes; give {' and '.join(missing_words)} as well")
    gauge = GAUGE if given.gauge_resolution is None else given.gauge_resolution
    return Readings(given.start, given.end, given.minutes, celsius, barometer, gauge)


def _pair(given: argparse.Namespace, first: str, second: str) -> tuple[float, float] | None:
    a, b = getattr(given, first), getattr(given, second)
    if a is None and b is None:
        return None
    if a is None or b is None:
        missing = first if a is None else second
        raise CannotAnswerError(f"one reading of two was given; give --{missing.replace('_', '-')} as well")
    return a, b


def _loops(given: argparse.Namespace, names: tuple[str, ...], one: bool) -> tuple[str, ...]:
    if given.loop is not None:
        if given.loop not in names:
            raise CannotAnswerError(f"there is no loop {given.loop!r}; give --loop with one of {', '.join(names)}")
        return (given.loop,)
    if len(names) > 1 and (one or given.volume is not None):
        raise CannotAnswerError(f"the job has several loops; give --loop with one of {', '.join(names)}")
    return names


def _volumes(given: argparse.Namespace, job: str, loops: tuple[str, ...]) -> dict[str, float]:
    """Volume of each loop, mL: the one given, or by the last build. Raises CannotAnswerError."""
    if given.volume is not None:
        return dict.fromkeys(loops, given.volume)
    nets = _nets(given.file, job)
    found = {}
    for loop in loops:
        mine = [n.get("coolant_ml") for n in nets if n.get("loop") == loop]
        held = [v for v in mine if isinstance(v, int | float) and v > 0]
        if not held or len(held) < len(mine):
            raise CannotAnswerError(
                f"{_record(job)} has no volume of loop {loop!r}, since its build did not prove it closed; "
                "mend what the build names, or give --loop with --volume in mL"
            )
        found[loop] = float(sum(held))
    return found


def _nets(file: Path, job: str) -> list[dict[str, Any]]:
    path, way = _record(job), f"run `rillwright build {file}` first, or give --volume in mL"
    try:
        nets = json.loads(path.read_text(encoding="utf-8"))["nets"]
    except FileNotFoundError:
        raise CannotAnswerError(f"the volume under pressure is not known: there is no {path}; {way}") from None
    except (OSError, ValueError, KeyError, TypeError):
        raise CannotAnswerError(f"{path} cannot be read or has no volumes in it; {way}") from None
    if not isinstance(nets, list) or not all(isinstance(n, dict) for n in nets):
        raise CannotAnswerError(f"{path} has no list of volumes in it; {way}")
    return nets


def _record(job: str) -> Path:
    return Path("outputs", job, "checks.json")


def _stale(given: argparse.Namespace) -> list[str]:
    """A word where the file is not the one that the volumes were measured by."""
    from .spec.job import Job
    from .spec.load import load

    path = _record(load(given.file, Job).model.job).with_name("manifest.json")
    try:
        built = json.loads(path.read_text(encoding="utf-8"))["input"]["sha256"]
    except (OSError, ValueError, KeyError, TypeError):
        built = None
    if built == hashlib.sha256(given.file.read_bytes()).hexdigest():
        return []
    return _fit(f"caution  {given.file} is not the file that was built last: build again for the volume of this one")


def _plan_lines(p: TestPlan) -> list[str]:
    from .checks.plan.leak_test import HIGHEST

    lines = _fit(
        f"test     {p.loop}: {p.volume:.1f} mL under {p.pressure:g} bar gauge for {p.minutes:.0f} min or more; never above "
        f"{p.highest:g} bar (our choice for brittle plastic, {HIGHEST:g} bar at most and no more than coolant.pressure; "
        "published trade advice caps air at 50 kPa = 0.5 bar)"
    )
    lines += _fit(
        f"         limit {p.limit:g} mL/min of air (our choice: no general limit was found); in that time such a leak "
        f"moves a gauge of {p.gauge:g} bar by ten times its resolution. "
        "Volume: plates and tubes; add hoses and gauge by --volume"
    )
    lines += _fit(
        f"         1 °C moves the gauge by {p.drift:.4f} bar: read thermometer and barometer at both ends; as air it "
        f"stores {p.energy[0]:.1f} to {p.energy[1]:.1f} J, as water {p.water_words}: prove it with water first"
    )
    if p.coarse:
        lines += _fit(
            f"caution  the gauge is too coarse: at the limit the pressure may change by 10 % of the start (ASTM E2930); "
            f"take one of {p.pressure / 100:g} bar or finer"
        )
    return lines


def _moved(drop: float) -> str:
    return f"{'fell' if drop >= 0 else 'rose'} by {abs(drop):.4f} bar"


def _answer_lines(loop: str, volume: float, r: Readings, found: LeakAnswer) -> list[str]:
    from .checks.plan import leak_test as t

    unread = []
    if r.celsius is None:
        unread.append(f"no temperatures: taken as {t.CELSIUS:g} °C at both ends, ± {t.UNREAD_THERMOMETER:g} °C")
    if r.barometer is None:
        unread.append(f"no barometer: taken as {t.STANDARD_HPA:g} hPa at both ends, ± {t.UNREAD_BAROMETER:g} hPa")
    lines = _fit(
        f"loop     {loop}: {volume:.1f} mL, {r.start:g} to {r.end:g} bar in {r.minutes:g} min; the gauge "
        f"{_moved(found.drop)}; {_moved(found.corrected)} once temperature and barometer are taken off"
    )
    lines += [line for words in unread for line in _fit(f"         {words}")]
    lines += _fit(
        f"rate     {found.rate:.3g} ± {found.uncertainty:.2g} mL/min of air (k = 2), limit {found.limit:g} mL/min"
    )
    return lines + _fit(f"verdict  {found.verdict}: {found.why}")


def _caution_lines(cautions: tuple[str, ...]) -> list[str]:
    return [line for c in cautions for line in _fit(f"caution  {c}")]


def _fit(line: str) -> list[str]:
    return textwrap.wrap(line, WIDTH, subsequent_indent=" " * 9, break_on_hyphens=False, drop_whitespace=True)
