"""What every model of a parameter file shares: unknown keys are refused, values never change."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Part(BaseModel):
    """A block of a parameter file."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)
