"""Words for every kind of error that validation can give; none of pydantic's own wording gets through."""

from __future__ import annotations

import re
from typing import Annotated, Any, NamedTuple, get_args, get_origin

from pydantic.fields import FieldInfo
from pydantic_core import core_schema

from rillwright.spec.branches import Fault, fields_of, members
from rillwright.spec.messages import advice, listed, nearest, printable, shown
from rillwright.spec.quantity import NAME_LENGTH, NAME_PATTERN

KINDS: frozenset[str] = frozenset(get_args(core_schema.ErrorType))

NAME_WORDS = (
    f"must be a name of lower-case letters, digits and hyphens, a letter first, at most {NAME_LENGTH} long"
)

# What the trade calls a material, and the one of ours that is most likely meant.
MEANT: dict[str, str] = {
    "acetal": "pom-c", "pom": "pom-c", "acrylic": "pmma-cast", "pmma": "pmma-cast", "polycarbonate": "pc",
    **dict.fromkeys(("aluminium", "aluminum"), "aluminium-6082-t6"), "glass": "borosilicate-3.3",
}  # fmt: skip

_WORDS: dict[str, str] = {
    **dict.fromkeys(("bool_type", "bool_parsing"), "must be true or false"),
    **dict.fromkeys(("int_type", "int_parsing", "int_from_float"), "must be a whole number"),
    **dict.fromkeys(("float_type", "float_parsing"), "must be a number"),
    **dict.fromkeys(("list_type", "iterable_type", "set_type", "frozen_set_type"), "must be a list"),
    **dict.fromkeys(("dict_type", "mapping_type"), "must be a mapping"),
    **dict.fromkeys(("string_type", "string_unicode"), "must be text"),
    "int_parsing_size": "must be a whole number of fewer digits",
    "finite_number": "must be a finite number",
    "none_required": "must be left out or null",
    "greater_than": "must be greater than {gt}",
    "greater_than_equal": "must be {ge} or more",
    "less_than": "must be less than {lt}",
    "less_than_equal": "must be at most {le}",
    "multiple_of": "must be a multiple of {multiple_of}",
    "too_short": "must have at least {min_length} entries",
    "too_long": "must have at most {max_length} entries",
    "string_too_short": "must be text of at least {min_length} characters",
    "string_too_long": "must be text of at most {max_length} characters",
    "string_not_ascii": "must be text of plain ASCII characters",
}
# For kinds that belong to one sort of value, by the first word of the kind.
_SORTS = {
    "date": "a date like 2030-12-31",
    "datetime": "a date and time",
    "time": "a time",
    "timezone": "a time",
    "decimal": "a decimal number",
    "url": "a web address",
    "uuid": "a UUID",
    "complex": "a complex number",
    "fraction": "a fraction",
    "bytes": "text",
}
_CHOICE = re.compile(r"'([^']*)'|\"([^\"]*)\"|([^\s,'\"]+)")


class Said(NamedTuple):
    """A fault in words; `got` None: there is no value to show."""

    what: str
    got: str | None
    do: str | None = None


def said(fault: Fault) -> Said:
    """Any fault in words."""
    special = _SPECIAL.get(fault.kind)
    if special is not None:
        return special(fault)
    if fault.kind not in KINDS:  # raised by our own types, in words already
        return _own(fault, fault.message)._replace(do=fault.context.get("do"))
    got = shown(fault.given)
    if fault.kind in _WORDS:
        context = {k: f"{v:g}" if isinstance(v, float) else v for k, v in fault.context.items()}
        return Said(_WORDS[fault.kind].format_map(context), got, _quotes(fault))
    sort = _SORTS.get(fault.kind.split("_")[0])
    return Said(f"must be {sort}" if sort else "does not fit here", got)


def _own(fault: Fault, text: str) -> Said:
    # A rule over several keys is raised for the mapping that holds them; "a mapping" is then no news.
    whole = isinstance(fault.given, dict | list) and fault.kind in ("value_error", "assertion_error")
    hidden = whole or "(got " in text
    return Said(printable(text), None if hidden else shown(fault.given))


def _quotes(fault: Fault) -> str | None:
    scalar = isinstance(fault.given, bool | int | float)
    return f'write it in quotes: "{shown(fault.given)}"' if fault.kind == "string_type" and scalar else None


def _raised(fault: Fault) -> Said:
    return _own(fault, str(fault.context.get("error", "does not hold")) or "does not hold")


def _missing(fault: Fault) -> Said:
    if isinstance(fault.loc[-1], int):
        wanted = len(get_args(members(fault.holder)[0]))
        return Said(f"must be a list of {wanted}", shown(fault.given))
    info = fields_of(fault.holder).get(fault.loc[-1])
    about = info.description if info is not None else None
    return Said("is missing", None, f"add it: {about.rstrip('.')}" if about else None)


def _unknown(fault: Fault) -> Said:
    return Said("unknown key", None, advice(str(fault.loc[-1]), fields_of(fault.holder), "keys"))


def _mapping(fault: Fault) -> Said:
    keys = fields_of(fault.kind_of)
    return Said(f"must be a mapping{f' with the keys {listed(keys)}' if keys else ''}", shown(fault.given))


def _length(fault: Fault) -> Said:
    fixed = _fixed_length(fault.kind_of)
    if fixed is not None:
        return Said(f"must be a list of {fixed}", shown(fault.given))
    key = "max_length" if fault.kind == "too_long" else "min_length"
    bound = "at most" if fault.kind == "too_long" else "at least"
    number = fault.context[key]
    got = str(len(fault.given)) if isinstance(fault.given, dict | list) else shown(fault.given)
    return Said(f"must have {bound} {number} {'entry' if number == 1 else 'entries'}", got)


def _fixed_length(annotation: Any) -> int | None:
    args = get_args(members(annotation)[0])
    fixed = get_origin(members(annotation)[0]) is tuple and args and args[-1] is not Ellipsis
    return len(args) if fixed else None


def _tuple(fault: Fault) -> Said:
    fixed = _fixed_length(fault.kind_of)
    return Said(f"must be a list{f' of {fixed}' if fixed else ''}", shown(fault.given))


def _choice(fault: Fault) -> Said:
    key = "expected_tags" if fault.kind == "union_tag_invalid" else "expected"
    found = _CHOICE.finditer(str(fault.context.get(key, "")))
    names = ["".join(filter(None, m.groups())) for m in found if m[3] != "or"]
    given = fault.context.get("tag", fault.given) if fault.kind == "union_tag_invalid" else fault.given
    meant = MEANT.get(given.lower()) if isinstance(given, str) else None
    near = meant if meant in names else nearest(given, names) if isinstance(given, str) else None
    what = f"must be one of {listed(names)}" if len(names) > 1 else f'must be "{"".join(names)}"'
    return Said(what, shown(given), f'did you mean "{near}"?' if near and near != given else None)


def _pattern(fault: Fault) -> Said:
    pattern = str(fault.context.get("pattern", ""))
    if pattern == NAME_PATTERN:
        return Said(NAME_WORDS, shown(fault.given))
    info = fields_of(fault.holder).get(str(fault.loc[-1])) if fault.loc else None
    about = _described(info.annotation, pattern) or info.description if info is not None else None
    words = f"{about[0].lower()}{about[1:].rstrip('.')}" if about else f"text of the form {pattern}"
    return Said(f"must be {words}", shown(fault.given))


def _described(annotation: Any, pattern: str) -> str | None:
    """Description that stands beside a pattern somewhere in an annotation."""
    for part in get_args(annotation):
        if (
            get_origin(annotation) is Annotated
            and isinstance(part, FieldInfo)
            and pattern in repr(part.metadata)
        ):
            return part.description
        deeper = _described(part, pattern)
        if deeper is not None:
            return deeper
    return None


def _any_of(fault: Fault) -> Said:
    every = [said(part) for part in fault.parts]
    whats = list(dict.fromkeys(s.what for s in every))
    if all(w.startswith("must be ") for w in whats):
        text = "must be " + ", or ".join(w.removeprefix("must be ") for w in whats)
    else:
        text = ", or ".join(whats)
    cures = ("did you mean", "write it with", "put a comma", "known units")
    do = next((s.do for s in every if s.do and s.do.startswith(cures)), None)
    return Said(text, shown(fault.given), do)


_SPECIAL = {
    "missing": _missing,
    "extra_forbidden": _unknown,
    "union_tag_not_found": _missing,
    **dict.fromkeys(("value_error", "assertion_error"), _raised),
    **dict.fromkeys(("model_type", "model_attributes_type", "dataclass_type"), _mapping),
    **dict.fromkeys(("too_long", "too_short"), _length),
    **dict.fromkeys(("literal_error", "enum", "union_tag_invalid"), _choice),
    "tuple_type": _tuple,
    "string_pattern_mismatch": _pattern,
    "any_of": _any_of,
}
