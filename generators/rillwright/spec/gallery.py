"""Galleries: drilled passages of one loop whose drillings the tool chooses itself."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from .base import Part
from .quantity import Length, Name, PositiveLength


class Gallery(Part):
    """Joins ports, drillings and tubes of one loop by straight drillings with plugs, chosen for all galleries together."""

    name: Name
    loop: Name | None = Field(None, description="Left out: the loop of the first thing that it joins.")
    joins: Annotated[list[Name], Field(min_length=2, max_length=12)] = Field(
        description="What it joins: names of ports, upright drillings, and reservoirs, whose inside it rises into."
    )
    diameter: Annotated[PositiveLength, Field(ge=1, le=60)] = Field(8, description="Diameter of its drillings, mm.")
    plug: Literal["G1/8", "G1/4", "G3/8", "G1/2"] = Field("G1/8", description="Plug of drillings that begin at an edge.")
    edges: Annotated[list[Name], Field(min_length=1, max_length=20)] | None = Field(
        None, description="Edges that plugs may stand in: left, right, front, back, or edge-N. Left out: all of them."
    )
    level: Length | None = Field(None, description="z of its drillings, mm, below 0. Left out: chosen.")
