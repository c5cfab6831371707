"""What every model of a parameter file shares: unknown keys are refused, values never change."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Part(BaseModel):
    """A block of a parameter file."""

    # Built when first used: a file needs the validator of the whole only, not one more for each block (8 ms of 220).
    # For that reason defaults are made by model_construct, which fills in the same values and needs no validator.
    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True, defer_build=True)
