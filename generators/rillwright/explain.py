"""What `rillwright explain` answers."""

from __future__ import annotations

import re
import textwrap

from .checks.rules import RULES, Rule

WIDTH = 100
_KEY = re.compile(r"(.+)-[0-9a-f]{8}")  # the key of a finding: its rule, then a hash


def every_rule(kind: str = "") -> str:
    """One line for each rule, or for each of a kind such as `seal`; empty for a kind that is none."""
    mine = [r for r in RULES.values() if not kind or r.name.startswith(f"{kind}.")]
    width = max((len(r.name) for r in mine), default=0)
    return "\n".join(f"{r.name:<{width}}  {r.question}" for r in mine)


def rule_text(name: str) -> str | None:
    """What a rule asks, its unit, what sets its limit and where that comes from; None for an unknown rule."""
    key = _KEY.fullmatch(name)
    rule = RULES.get(name) or (RULES.get(key[1]) if key else None)
    if rule is None:
        return None
    by = f"`build` only, which measures {rule.built}" if rule.built else "`check` and `build`"
    lines = [("asks", rule.question), ("by", by), ("unit", rule.unit), *_limits(rule), ("source", rule.source)]
    return "\n".join([rule.name, *(_line(word, text) for word, text in lines)])


def unknown_rule(name: str) -> str:
    """What to say about a rule that does not exist: the nearest, and every one there is."""
    from .spec.messages import nearest, shown

    near = nearest(name, RULES)
    hint = f'; did you mean "{near}"?' if near else ""
    return "\n".join([f"there is no rule {shown(name)}{hint}", "the rules are:", *(f"  {r}" for r in RULES)])


def _line(word: str, text: str) -> str:
    return textwrap.fill(text, WIDTH, initial_indent=f"  {word:<8}", subsequent_indent=" " * 10)


def _limits(rule: Rule) -> list[tuple[str, str]]:
    if not rule.limit_key:
        return [("limit", "fixed; no key in the file sets it")]
    return [("limit", limit_words(key)) for key in rule.limit_key.split(", ")]


def limit_words(key: str) -> str:
    """The key that sets a limit, with its default and meaning. `N` in a path stands for any entry of a list.

    Raises KeyError for a key that the parameter file does not have: RULES and the models have come apart.
    """
    from pydantic.fields import FieldInfo

    from .spec.branches import child, fields_of
    from .spec.job import Job

    path = key.split(".") if "." in key else ["limits", key]
    here: object = Job
    info: FieldInfo | None = None
    for step in path:
        if step == "N":
            here = child(here, 0)
            continue
        info = fields_of(here)[step]
        here = info.annotation
    if info is None:
        raise KeyError(key)
    default = f"default {info.default:g}" if isinstance(info.default, int | float) else "no fixed default"
    shown = ".".join(path) if len(path) > 2 else ": ".join(path)
    return f"{shown}, {default}" + (f" ({info.description})" if info.description else "")
