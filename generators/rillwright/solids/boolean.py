"""The kernel's boolean, and what is said where it cannot be done."""

from __future__ import annotations

from typing import Any

import cadquery as cq
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.TopTools import TopTools_ListOfShape


class GeometryError(RuntimeError):
    """The kernel could not make a valid single solid; the message names the plate."""


def cut(base: Any, tools: list[Any]) -> Any:
    """One boolean with all tools at once: linear where cutting one after another is quadratic."""
    arguments, cutters = TopTools_ListOfShape(), TopTools_ListOfShape()
    arguments.Append(base.wrapped)
    for t in tools:
        cutters.Append(t.wrapped)
    operation = BRepAlgoAPI_Cut()
    operation.SetArguments(arguments)
    operation.SetTools(cutters)
    operation.SetRunParallel(True)
    operation.SetNonDestructive(True)
    operation.Build()
    if not operation.IsDone():
        raise GeometryError("the boolean failed")
    return cq.Shape.cast(operation.Shape())
