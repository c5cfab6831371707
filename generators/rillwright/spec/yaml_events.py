"""From the events of a YAML parser to plain data with places, within limits.

Scalars follow the core schema (YAML 1.2.2, 10.3.2): on, off, yes and no are text. An alias gives the same
object as its anchor, and counts as all that it stands for.
"""

from __future__ import annotations

import math
import re
import sys
from dataclasses import dataclass, field
from typing import Any, NoReturn

from ruamel.yaml.events import (
    AliasEvent,
    CollectionEndEvent,
    CollectionStartEvent,
    DocumentStartEvent,
    Event,
    MappingStartEvent,
    ScalarEvent,
)

from rillwright.spec.messages import Problem, SpecError, dotted, nearest, shown

MAX_NODES = 200_000  # keys and values, every alias counted as what it stands for
MAX_DEPTH = 60  # lists and mappings inside each other

Place = tuple[int, int]  # line, column, from 1
Loc = tuple[str | int, ...]

_CORE = "tag:yaml.org,2002:"
_WORDS: dict[str, bool | None] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL"), None),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
_INT = re.compile(r"[-+]?[0-9]+")
_BASED = re.compile(r"0o[0-7]+|0x[0-9a-fA-F]+")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_NOT_FINITE = re.compile(r"[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)")
_TAGGED: dict[str, tuple[type, ...]] = {
    "null": (type(None),),
    "bool": (bool,),
    "int": (int,),
    "float": (int, float),
    "str": (str,),
}


@dataclass(slots=True)
class Marks:
    """Places of one value and of all below it."""

    place: Place
    keys: dict[str, Place] = field(default_factory=dict)  # of a mapping
    below: dict[str | int, Marks] = field(default_factory=dict)
    nodes: int = 1  # keys and values in all, aliases expanded
    height: int = 0  # lists and mappings inside each other


@dataclass(slots=True)
class _Open:
    """A list or mapping that is still being read."""

    value: dict[str, Any] | list[Any]
    marks: Marks
    anchor: str | None
    key: str | None = None  # of a mapping: the key whose value comes next, None where a key comes next


def scalar(text: str) -> bool | int | float | str | None:
    """Value of a plain scalar by the core schema; NaN for every number that is not finite as a float."""
    if text in _WORDS:
        return _WORDS[text]
    if text[0] not in "+-.0123456789":  # most scalars are words, and leave here
        return text
    if _FLOAT.fullmatch(text):
        value = float(text)
        if not math.isfinite(value):
            return math.nan
        return int(text) if _INT.fullmatch(text) else value
    if _BASED.fullmatch(text):
        based = int(text[2:], 8 if text[1] == "o" else 16)
        return based if based <= sys.float_info.max else math.nan
    return math.nan if _NOT_FINITE.fullmatch(text) else text


class Reader:
    """Takes events one by one, collects problems and stops beyond a limit; `root` then gives the data."""

    def __init__(self, path: str) -> None:
        self.path = path
        self.last: Place = (1, 1)
        self._problems: list[Problem] = []
        self._stack: list[_Open] = []
        self._anchors: dict[str, tuple[Any, Marks]] = {}
        self._root: tuple[Any, Marks] | None = None
        self._documents = 0
        self._nodes = 0

    def take(self, event: Event) -> None:
        """One event. Raises SpecError where reading on makes no sense."""
        mark = event.start_mark
        place = self.last = (mark.line + 1, mark.column + 1)
        if isinstance(event, ScalarEvent):
            self._scalar(event, place)
        elif isinstance(event, CollectionStartEvent):
            self._open(event, place)
        elif isinstance(event, CollectionEndEvent):
            self._close()
        elif isinstance(event, AliasEvent):
            self._alias(event.anchor, place)
        elif isinstance(event, DocumentStartEvent):
            self._document(event, place)

    def root(self) -> tuple[dict[str, Any], Marks]:
        """The mapping read, and its places. Raises SpecError with every problem found."""
        value, marks = self._root or (None, Marks((1, 1)))
        if value is None and not self._problems:
            self._stop(marks.place, "the file is empty", do="write the keys of a parameter file")
        if not isinstance(value, dict):
            self._stop(marks.place, 'must be a mapping of "key: value" lines', got=shown(value))
        if self._problems:
            raise SpecError(self._problems)
        return value, marks

    def _document(self, event: DocumentStartEvent, place: Place) -> None:
        self._documents += 1
        if self._documents > 1:
            self._stop(
                place, "a second document begins here", do="keep one document per file, without --- between"
            )
        if event.version not in (None, (1, 2)):
            self._note(place, "parameter files are YAML 1.2", do="take the %YAML line out")

    def _open(self, event: CollectionStartEvent, place: Place) -> None:
        if self._awaits_key():
            self._stop(place, "a key must be text", got="a list or a mapping")
        if len(self._stack) >= MAX_DEPTH:
            self._stop(place, f"more than {MAX_DEPTH} lists and mappings inside each other")
        mapping = isinstance(event, MappingStartEvent)
        if event.tag not in (None, "!", _CORE + ("map" if mapping else "seq")):
            self._note_tag(event.tag, place)
        self._count(1, place)
        if event.anchor is not None:
            self._anchors.pop(event.anchor, None)  # known again when closed, so it cannot repeat itself
        self._stack.append(_Open({} if mapping else [], Marks(place, height=1), event.anchor))

    def _close(self) -> None:
        done = self._stack.pop()
        self._add(done.value, done.marks, done.anchor)

    def _alias(self, anchor: str, place: Place) -> None:
        if self._awaits_key():
            self._stop(place, "a key must be text", got=f"*{anchor}")
        if anchor not in self._anchors:
            if any(o.anchor == anchor for o in self._stack):
                self._stop(place, f"*{anchor} stands inside the value it repeats")
            near = nearest(anchor, self._anchors)
            do = f"did you mean *{near}?" if near else f"mark a value above with &{anchor}, or use quotes"
            self._stop(place, f"*{anchor} repeats nothing", do=do)
        value, marks = self._anchors[anchor]
        if len(self._stack) + marks.height > MAX_DEPTH:
            self._stop(place, f"more than {MAX_DEPTH} lists and mappings inside each other")
        self._count(marks.nodes, place)
        self._add(value, marks, None)

    def _scalar(self, event: ScalarEvent, place: Place) -> None:
        self._count(1, place)
        value = self._value(event, place)
        if not self._awaits_key():
            self._add(value, Marks(place), event.anchor)
            return
        if event.anchor is not None:
            self._anchors[event.anchor] = (value, Marks(place))
        if not isinstance(value, str):
            self._note(
                place, "a key must be text", got=event.value, do=f'write it in quotes: "{event.value}"'
            )
        elif event.value == "<<" and event.implicit[0]:
            self._note(place, "merge keys (<<) are not taken", do="write the keys out")
        self._key(event.value, place)

    def _key(self, key: str, place: Place) -> None:
        top = self._stack[-1]
        first = top.marks.keys.get(key)
        top.key = key
        if first is not None:
            lines = f"lines {first[0]} and {place[0]}" if first[0] != place[0] else f"line {place[0]}"
            self._note(place, f"the same key stands twice, {lines}", do="keep one of them")
        top.marks.keys[key] = place

    def _value(self, event: ScalarEvent, place: Place) -> Any:
        text: str = event.value
        if not text.isascii() and any("\ud800" <= c <= "\udfff" for c in text):
            self._note(place, "holds an escape for half a character")
        if event.tag in (None, "!"):
            value = scalar(text) if event.tag is None and event.implicit[0] else text
        else:
            value = self._tagged(event.tag, text, place)
        if isinstance(value, float) and math.isnan(value):
            self._note(place, "must be a finite number", got=shown(text).strip('"'))
        return value

    def _tagged(self, tag: str, text: str, place: Place) -> Any:
        kinds = _TAGGED.get(tag.removeprefix(_CORE)) if tag.startswith(_CORE) else None
        if kinds is None:
            self._note_tag(tag, place)
            return text
        value = text if kinds == (str,) else scalar(text)
        if type(value) not in kinds:
            self._note(place, f"is not what its tag !!{tag.removeprefix(_CORE)} says", got=shown(text))
        return value

    def _note_tag(self, tag: str, place: Place) -> None:
        name = tag.replace(_CORE, "!!")
        self._note(place, f"tag {shown(name)} is not taken", do="take the tag out; keys say what a value is")

    def _awaits_key(self) -> bool:
        return bool(self._stack) and isinstance(self._stack[-1].value, dict) and self._stack[-1].key is None

    def _add(self, value: Any, marks: Marks, anchor: str | None) -> None:
        if anchor is not None:
            self._anchors[anchor] = (value, marks)
        if not self._stack:
            self._root = (value, marks)
            return
        top = self._stack[-1]
        if isinstance(top.value, list):
            top.marks.below[len(top.value)] = marks
            top.value.append(value)
        else:
            key = str(top.key)
            top.marks.below[key] = marks
            top.value[key] = value
            top.key = None
            top.marks.nodes += 1
        top.marks.nodes += marks.nodes
        top.marks.height = max(top.marks.height, marks.height + 1)

    def _count(self, nodes: int, place: Place) -> None:
        self._nodes += nodes
        if self._nodes > MAX_NODES:
            self._stop(
                place, f"the file holds more than {MAX_NODES} values, aliases counted as what they repeat"
            )

    def _loc(self) -> Loc:
        ends = (len(o.value) if isinstance(o.value, list) else o.key for o in self._stack)
        return tuple(end for end in ends if end is not None)

    def _note(self, place: Place, what: str, got: str | None = None, do: str | None = None) -> None:
        self._problems.append(Problem(self.path, *place, dotted(self._loc()), what, got, do))

    def _stop(self, place: Place, what: str, got: str | None = None, do: str | None = None) -> NoReturn:
        self._note(place, what, got, do)
        raise SpecError(self._problems)
