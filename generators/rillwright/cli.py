"""The words on the command line.

Nothing heavy is imported above: `--help` loads neither pydantic nor the kernel, `check` no kernel.
Answers go to stdout; progress and trouble go to stderr.
"""

from __future__ import annotations

import argparse
import atexit
import gc
import io
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from . import __version__
from .batch.command import add_options as add_sweep_options
from .batch.command import at_work as _workers
from .batch.command import run as sweep
from .compare import add_options as add_compare_options
from .compare import run as compare
from .exits import HOLDS, MEANINGS, STOPPED, UNHEARD, UNUSABLE
from .export.outputs import NAMES, UnknownOutput, chosen
from .leaktest import add_options as add_leaktest_options
from .leaktest import run as leaktest
from .stopping import patient
from .usage import parsed

if TYPE_CHECKING:
    from .runs import Teller


# Loading models and tables drops few objects: to look for dropped ones at every 700 new ones took 10 % of `check`.
NEW_OBJECTS = 100_000
atexit.register(gc.freeze)  # at the end all goes with the process: no last search either


TO_BEGIN = """to begin:
  rillwright new my-job             writes my-job.yaml, which tells of each key
  rillwright check my-job.yaml      again and again while you change it, a blink each time
  rillwright build my-job.yaml      solids, drawings, a page to look at, in outputs/my-job
  rillwright COMMAND --help         what a command takes"""
ANSWER = ("build", "check", "coupon", "sweep", "leaktest")  # commands whose exit code says more than that they ran
Command = tuple[str, Callable[[argparse.Namespace], int], Callable[[argparse.ArgumentParser], None], str]


def parser() -> argparse.ArgumentParser:
    """Every command and option, each with its help."""
    raw = argparse.RawDescriptionHelpFormatter
    top = argparse.ArgumentParser(
        prog="rillwright", allow_abbrev=False, epilog=f"{TO_BEGIN}\n\n{MEANINGS}", formatter_class=raw,
        description="Coolant plates for liquid-cooled machines: from a parameter file to proved solids.",
    )  # fmt: skip
    top.add_argument("--version", action="version", version=f"rillwright {__version__}", help="print the version")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name, run, add_its_options, text in _commands():
        said = text[0].upper() + text[1:] + "."
        made = commands.add_parser(
            name, help=text, description=said, allow_abbrev=False, epilog=MEANINGS if name in ANSWER else None,
            formatter_class=raw,
        )
        made.set_defaults(run=run)
        add_its_options(made)
    return top


def _commands() -> tuple[Command, ...]:
    """Name, what it runs, its options, and what it does."""
    return (
        ("build", _build, _build_options, "make the solids, measure them, and write everything into a folder"),
        ("check", _check, _takes_files, "read a file and check everything that needs no solid; writes nothing"),
        ("schema", _schema, _schema_options,
         "print the JSON Schema of a parameter file, for editors that complete while one types"),
        ("new", _new, _new_options, "write NAME.yaml here: a commented parameter file to start from"),
        ("explain", _explain, _explain_options, "tell what a rule asks, its unit, what sets its limit, and its source"),
        ("coupon", _coupon, _coupon_options, "make small plates with one seal of a job, to cut and prove first"),
        ("sweep", sweep, add_sweep_options, "build every variant of a job that a sweep file names, and a table of them"),
        ("compare", compare, add_compare_options,
         "tell what differs between two built jobs: what was typed, then findings, solids, nets, parts, paper"),
        ("leaktest", leaktest, add_leaktest_options,
         "plan a pressure-decay test of each loop, or say what its readings mean (code 1: it leaks, or they cannot tell)"),
    )  # fmt: skip


def _build_options(command: argparse.ArgumentParser) -> None:
    _takes_files(command)
    command.add_argument(
        "--out", type=Path, metavar="DIR",
        help="folder for the results (left out: outputs/JOB); with several files, each goes into DIR/JOB",
    )  # fmt: skip
    command.add_argument(
        "--only", type=_outputs, metavar="NAMES",
        help=f"write these outputs only, with commas between: {', '.join(NAMES)}; the checks are run in any case",
    )  # fmt: skip
    command.add_argument(
        "--cache", metavar="DIR",
        help="folder where unchanged parts of earlier builds are found again, or `off` (left out: RILLWRIGHT_CACHE, "
        "else the user's cache folder; RILLWRIGHT_CACHE_MB limits it, 2000 if not set)",
    )  # fmt: skip
    command.add_argument(
        "--workers", type=_workers, metavar="N",
        help="processes at work at once (left out: one for each core, up to 4; each takes some 600 MiB)",
    )  # fmt: skip


def _schema_options(command: argparse.ArgumentParser) -> None:
    other = command.add_mutually_exclusive_group()
    other.add_argument("--checks", action="store_true", help="print the JSON Schema of checks.json instead")
    other.add_argument("--sweeps", action="store_true", help="print the JSON Schema of a sweep file instead")
    other.add_argument("--interfaces", action="store_true", help="print the JSON Schema of a foot print instead")


def _new_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("name", metavar="NAME", help="name of the job: lower-case letters, digits and hyphens")


def _explain_options(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "rule", metavar="RULE", nargs="?",
        help="a rule, the key of a finding, or a kind like seal, whose rules are listed; left out: list every rule",
    )  # fmt: skip


def _coupon_options(command: argparse.ArgumentParser) -> None:
    _takes_files(command, "file")
    command.add_argument(
        "--seal", required=True, metavar="NAME", help="the seal, as `check` names it: left.cord, or plate.port.seal"
    )
    command.add_argument(
        "--disc", action="store_true", help="for a strut's seal: a body and a blanking disc instead of the whole tube"
    )
    command.add_argument(
        "--out", type=Path, metavar="DIR",
        help="folder for its parameter file and the results (left out: outputs/JOB-coupon-SEAL)",
    )  # fmt: skip


def _takes_files(command: argparse.ArgumentParser, name: str = "files") -> None:
    one = name == "file"
    command.add_argument(name, type=Path, nargs=None if one else "+", metavar="FILE", help="parameter file (YAML)")
    words = "print one JSON document and nothing else" + ("" if one else ": an object for one file, a list for several")
    command.add_argument("--json", action="store_true", help=words)


def _outputs(text: str) -> tuple[str, ...]:
    """Names after `--only`."""
    try:
        return tuple(o.name for o in chosen(text.split(",")))
    except UnknownOutput as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command and return its exit code. Raises SystemExit for `--help`, `--version` and wrong usage."""
    _open_streams()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")  # Ø on a terminal that has none is no reason to stop
    gc.set_threshold(NEW_OBJECTS)
    # No plug-ins for the models: a file means the same whatever else is installed, and to look for some took 3 % of check.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    try:
        given = parsed(parser(), sys.argv[1:] if argv is None else argv)
        with patient(_complain):
            code: int = given.run(given)
        sys.stdout.flush()
        return code
    except KeyboardInterrupt as stop:
        _complain("stopped; no folder of results is left half written")
        return 128 + stop.args[0] if stop.args else STOPPED
    except BrokenPipeError:
        # Whoever read our answer has gone. Python would complain once more while it closes stdout.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return UNHEARD
    except Exception as error:
        from .runs import trouble

        code, words = trouble(error)
        _complain(words)
        return code


def _open_streams() -> None:
    """What was started without stdin, stdout or stderr gets empty ones: else a file of results would take their number,
    and what the kernel prints would go into it."""
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest free number, this one
    if sys.stdout is None:
        sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115  as long as the process
    if sys.stderr is None:
        sys.stderr = open(2, "w", encoding="utf-8", closefd=False)  # noqa: SIM115  likewise


def _complain(words: str) -> None:
    print(words, file=sys.stderr, flush=True)


def _build(given: argparse.Namespace) -> int:
    from .runs import How, build_all
    from .store import open_store

    how = How(given.only, open_store(given.cache), given.workers)
    return build_all(given.files, given.out, _tell(given), _complain, how)


def _check(given: argparse.Namespace) -> int:
    from .runs import check_all

    return check_all(given.files, _tell(given), _complain)


def _coupon(given: argparse.Namespace) -> int:
    from .coupon import make_coupon
    from .runs import Teller

    tell = Teller(sys.stdout, given.json, several=False)
    return make_coupon(given.file, given.seal, given.out, tell, _complain, given.disc)


def _tell(given: argparse.Namespace) -> Teller:
    from .runs import Teller

    return Teller(sys.stdout, as_json=given.json, several=len(given.files) > 1)


def _schema(given: argparse.Namespace) -> int:
    import json

    from .checks.schema import checks_schema
    from .spec.job import Job
    from .spec.schema import json_schema

    made = checks_schema() if given.checks else json_schema(Job, "rillwright parameter file")
    if given.sweeps:
        from .batch.sweep_file import SweepFile

        made = json_schema(SweepFile, "rillwright sweep file")
    if given.interfaces:
        from .spec.interface import Interface

        made = json_schema(Interface, "rillwright foot print")
    print(json.dumps(made, indent=2, ensure_ascii=False))
    return HOLDS


def _new(given: argparse.Namespace) -> int:
    from .starter import StarterError, write_starter

    try:
        path = write_starter(given.name, Path())
    except StarterError as error:
        _complain(str(error))
        return UNUSABLE
    print(f"{path} is written; next: rillwright build {path}")
    return HOLDS


def _explain(given: argparse.Namespace) -> int:
    from .explain import every_rule, rule_text, unknown_rule

    if given.rule is None:
        print(every_rule())
        return HOLDS
    text = rule_text(given.rule) or every_rule(given.rule.rstrip(".*")) or None
    if text is None:
        _complain(unknown_rule(given.rule))
        return UNUSABLE
    print(text)
    return HOLDS
