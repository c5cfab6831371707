"""What is answered to a command line that cannot be taken: the nearest command or option, and where to read on."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence


def parsed(parser: argparse.ArgumentParser, arguments: Sequence[str]) -> argparse.Namespace:
    """The arguments by a parser with commands. Raises SystemExit 2 for wrong usage, after saying what is wrong."""
    commands = _commands(parser)
    first = next((a for a in arguments if not a.startswith("-")), None)
    if first is None and not {"-h", "--help", "--version"} & set(arguments):
        parser.error(f"give a command: {', '.join(commands)}; or `{parser.prog} --help`")
    if first is not None and first not in commands:
        parser.error(f"there is no command {first!r}{_meant(first, commands)}; the commands: {', '.join(commands)}")
    given, rest = parser.parse_known_args(arguments)
    if rest:
        asked = commands[str(first)]
        asked.error(_refused(asked, rest))
    return given


def _refused(command: argparse.ArgumentParser, rest: Sequence[str]) -> str:
    options = [o for a in command._actions for o in a.option_strings if o.startswith("--")]
    word = rest[0].partition("=")[0]
    if word.startswith("-"):
        return f"there is no option {word!r}{_meant(word, options)}; the options: {', '.join(options)}"
    return f"{word!r} is one word more than it takes; see `{command.prog} --help`"


def _commands(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    found = next(a for a in parser._actions if isinstance(a, argparse._SubParsersAction))
    return dict(found.choices)


def _meant(word: str, known: Iterable[str]) -> str:
    import difflib

    near = difflib.get_close_matches(word.lower(), list(known), 1)
    return f", did you mean {near[0]}?" if near else ""
