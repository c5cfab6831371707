"""The kernel's boolean, and what is said where it cannot be done."""

from __future__ import annotations

from typing import Any

import cadquery as cq
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse, BRepAlgoAPI_Splitter
from OCP.TopTools import TopTools_ListOfShape


class GeometryError(RuntimeError):
    """The kernel could not make a valid single solid; the message names the plate."""


def cut(base: Any, tools: list[Any], fuzzy: float = 0.0) -> Any:
    """One boolean with all tools at once: linear where cutting one after another is quadratic. `fuzzy`: how far apart
    the kernel may take places for one, mm; 0: its own tolerance."""
    return _done(BRepAlgoAPI_Cut(), [base], tools, fuzzy)


def fused(tools: list[Any], fuzzy: float = 0.0) -> Any:
    """All in one; `fuzzy` as in `cut`."""
    return _done(BRepAlgoAPI_Fuse(), tools[:1], tools[1:], fuzzy) if len(tools) > 1 else tools[0]


def parted(base: Any, faces: list[Any]) -> Any:
    """The same body, its faces parted along the edges of others that lie in them."""
    return _done(BRepAlgoAPI_Splitter(), [base], faces, 0.0)


def _done(operation: Any, bases: list[Any], tools: list[Any], fuzzy: float) -> Any:
    arguments, cutters = TopTools_ListOfShape(), TopTools_ListOfShape()
    for b in bases:
        arguments.Append(b.wrapped)
    for t in tools:
        cutters.Append(t.wrapped)
    operation.SetArguments(arguments)
    operation.SetTools(cutters)
    operation.SetRunParallel(True)
    operation.SetNonDestructive(True)
    if fuzzy > 0:
        operation.SetFuzzyValue(fuzzy)
    operation.Build()
    if not operation.IsDone():
        raise GeometryError("the boolean failed")
    return cq.Shape.cast(operation.Shape())
