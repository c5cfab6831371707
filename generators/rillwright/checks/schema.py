"""JSON Schema of `checks.json`, for programs that read the results."""

from __future__ import annotations

from typing import Any, get_args

from .finding import Bound, Severity

DIALECT = "https://json-schema.org/draft/2020-12/schema"
KEY = r"^[a-z][a-z0-9.-]*-[0-9a-f]{8}$"

_TEXT: dict[str, Any] = {"type": "string"}
_NUMBER: dict[str, Any] = {"type": "number"}
_MAYBE: dict[str, Any] = {"type": ["number", "null"]}
_NAMES: dict[str, Any] = {"type": "array", "items": {"type": "string"}}
_POINTS: dict[str, Any] = {
    "type": "array", "description": "Places in mm, in the frame of the plate, z out of the material; the closest "
    "points of both features where there are two.",
    "items": {"type": "array", "items": {"type": "number"}, "minItems": 3, "maxItems": 3},
}  # fmt: skip


def checks_schema() -> dict[str, Any]:
    """JSON Schema 2020-12 of `checks.json` as a build writes it and `--json` prints it for one job.

    Fields may be added within one `format`; that number counts up when one changes its meaning or goes.
    """
    top = {
        "format": {"const": 1, "description": "Counts up when a field changes its meaning."},
        "job": _said("Name of the job."),
        "holds": {"type": "boolean", "description": "No error stands that is not waived."},
        "by_build_only": _said("Rules not asked here, since only a build measures them; empty in a build.", _NAMES),
        "checked": {"type": "array", "items": {"$ref": "#/$defs/outcome"}},
        "findings": {
            "type": "array", "items": {"$ref": "#/$defs/finding"},
            "description": "Waived ones last; errors, warnings, notes; the furthest beyond its limit first.",
        },
        "seals": _rows("What is known of each tube's seal: nominal, extremes and what they come from."),
        "glands": _rows("What is known of each cord or ring in a groove of a face; those alike are told once."),
        "faces": _rows("The face that each fitting and plug seals on: flat round the thread, what it has to be."),
        "clamping": _rows("Loads and torques of each tube's screws."),
        "nets": _rows("Each loop of each assembly: what it joins and how much it holds; empty without solids."),
    }  # fmt: skip
    return {
        "$schema": DIALECT, "title": "rillwright checks", "type": "object", "properties": top,
        "required": list(top), "$defs": {"outcome": _outcome(), "finding": _finding()},
    }  # fmt: skip


def _said(text: str, kind: dict[str, Any] = _TEXT) -> dict[str, Any]:
    return {**kind, "description": text}


def _rows(text: str) -> dict[str, Any]:
    return {"type": "array", "items": {"type": "object"}, "description": text}


def _closed(fields: dict[str, Any]) -> dict[str, Any]:
    return {"type": "object", "properties": fields, "required": list(fields), "additionalProperties": False}


def _finding() -> dict[str, Any]:
    return _closed({
        "key": {**_said("Stable name: rule, plate and features, no coordinates."), "pattern": KEY},
        "rule": _said("Rule that is broken."),
        "severity": {"enum": list(get_args(Severity))},
        "plate": _said("Plate, or `assembly`, or `job` for the file itself."),
        "features": _said("Features the finding is about.", _NAMES),
        "measured": _said("What was found, in `unit`.", _MAYBE),
        "limit": _said("What is asked, in `unit`; it lies on the other side of `measured`.", _MAYBE),
        "unit": _TEXT,
        "what": _said("What is wrong, in plain words."),
        "remedy": _said("What would cure it; empty where nothing could be computed."),
        "source": _said("Where the limit comes from."),
        "method": _said("How it was measured."),
        "bound": {"enum": list(get_args(Bound)), "description": "What the figure is to the true one."},
        "tolerance": _said("Of the measurement, in `unit`.", _NUMBER),
        "nets": _said("Loops concerned.", _NAMES),
        "at": _POINTS,
        "waived": _said("The job's reason for accepting it; empty where it does not."),
    })  # fmt: skip


def _outcome() -> dict[str, Any]:
    keys = {"type": "array", "items": {"type": "string", "pattern": KEY}, "description": "Keys of its findings."}
    return _closed({
        "rule": _TEXT,
        "question": _said("What the rule asks."),
        "cases": {"type": "integer", "minimum": 0, "description": "Cases looked at; 0 proves nothing."},
        "worst": _said("Figure of the case nearest to its limit, or furthest beyond it.", _MAYBE),
        "limit": _said("Limit of that case.", _MAYBE),
        "unit": _TEXT,
        "source": _TEXT,
        "findings": keys,
        "worst_at": _said("Plate and features of that case."),
        "holds": {"type": "boolean", "description": "No error among its findings that is not waived."},
    })  # fmt: skip
