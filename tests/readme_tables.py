"""The tables of README.md that are made from the program: `python tests/readme_tables.py` writes them anew."""

from __future__ import annotations

import re
import typing
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from pydantic_core import PydanticUndefined

from rillwright.checks.rules import RULES
from rillwright.spec.job import Job

README = Path(__file__).parents[1] / "README.md"
_MARK = "<!-- {} {} -->"


def rules_table() -> str:
    """One row a rule."""
    rows = [(f"`{r.name}`", r.question, r.unit, f"`{r.limit_key}`" if r.limit_key else "", r.source)
            for r in RULES.values()]  # fmt: skip
    return _table(("rule", "question", "unit", "limit set by", "source of the default"), rows)


def keys_table() -> str:
    """One row a key, block by block, with its default."""
    rows: list[tuple[str, ...]] = []
    _walk(Job, "", rows, set())
    return _table(("key", "left out", "meaning"), rows)


def _walk(model: type[BaseModel], path: str, rows: list[tuple[str, ...]], seen: set[type[BaseModel]]) -> None:
    seen.add(model)
    for name, field in model.model_fields.items():
        key = f"{path}{field.alias or name}"
        inner = list(_models(field.annotation))
        many = typing.get_origin(field.annotation) or ""
        meaning = _meaning(field.description, inner, list(_words(field.annotation)))
        rows.append((f"`{key}`", _default(field, bool(inner)), meaning))
        for block in inner:
            if block not in seen:
                _walk(block, f"{key}{'.N' if many is list else '.NAME' if many is dict else ''}.", rows, seen)


def _models(annotation: Any) -> typing.Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in typing.get_args(annotation):
        yield from _models(part)


def _default(field: Any, block: bool) -> str:
    value = field.default
    if field.is_required():
        return "**must be given**"
    if value is PydanticUndefined or value is None or block:
        return ""
    if isinstance(value, list | dict | tuple) and not value:
        return "none"
    shown = ", ".join(f"{v}" for v in value) if isinstance(value, tuple) else f"{value}"
    return f"`{shown}`"


def _words(annotation: Any) -> typing.Iterator[str]:
    """Words that a key takes."""
    if typing.get_origin(annotation) is typing.Literal:
        yield from typing.get_args(annotation)
    elif not (isinstance(annotation, type) and issubclass(annotation, BaseModel)):
        for part in typing.get_args(annotation):
            yield from _words(part)


def _meaning(text: str | None, inner: list[type[BaseModel]], words: list[str]) -> str:
    said = " ".join((text or next((b.__doc__ or "" for b in inner), "")).split())
    return said if len(words) < 2 else f"{said} One of {', '.join(f'`{w}`' for w in words)}.".strip()


def _table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    lines = [head, ("---",) * len(head), *rows]
    return "\n".join("| " + " | ".join(c.replace("|", "\\|") for c in row) + " |" for row in lines)


TABLES = {"rules": rules_table, "keys": keys_table}


def with_tables(text: str) -> str:
    """The README's text with both tables as the program has them now. Raises ValueError for a missing mark."""
    for name, make in TABLES.items():
        start, end = _MARK.format("begin", name), _MARK.format("end", name)
        if text.count(start) != 1 or text.count(end) != 1:
            raise ValueError(f"README.md needs the marks {start} and {end}, once each")
        pattern = re.escape(start) + ".*?" + re.escape(end)
        new = f"{start}\n{make()}\n{end}"
        text = re.sub(pattern, lambda _, new=new: new, text, flags=re.DOTALL)  # type: ignore[misc]
    return text


if __name__ == "__main__":
    README.write_text(with_tables(README.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")
