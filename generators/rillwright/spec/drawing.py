"""How drawings are made."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from .base import Part


class Drawing(Part):
    """Paper for the shop: how views lie, on which paper, and what the notes ask for."""

    projection: Literal["first", "third"] = Field(
        "first", description="How views are laid out: first-angle or third-angle, ISO 5456-2."
    )
    size: Literal["A4", "A3", "auto"] = Field(
        "auto", description="Paper of part drawings; auto: the smaller that serves."
    )
    general_tolerance: Literal["f", "m", "c", "v"] = Field(
        "m", description="Class of ISO 2768-1 for what has no ± of its own."
    )
    seal_roughness: Annotated[float, Field(gt=0, le=100)] = Field(
        1.6, description="Ra on faces that a cord seals on, µm; published advice for static seals, from memory."
    )
