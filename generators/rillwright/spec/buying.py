"""What the shop buys and at which price: sheets that blanks are cut from, and prices of parts."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from .base import Part
from .quantity import NonNegativeLength, PositiveLength
from .sheet import PlateMaterial

Price = Annotated[float, Field(ge=0, le=1e6)]


class Sheet(Part):
    """A sheet as it is sold."""

    material: PlateMaterial
    thickness: PositiveLength = Field(description="Nominal thickness, mm.")
    length: PositiveLength
    width: PositiveLength
    price: Price | None = Field(None, description="Of one sheet.")


class Buying(Part):
    """Sheets, and what is left round each blank. Prices are in whatever money the file names."""

    sheets: Annotated[list[Sheet], Field(max_length=50)] = []
    allowance: NonNegativeLength = Field(3, description="How much a blank is larger than its plate on each side, mm.")
    gap: NonNegativeLength = Field(4, description="Between two blanks of one sheet: the saw's or the cutter's width, mm.")
    rim: NonNegativeLength = Field(5, description="Edge of a sheet that is not used, mm.")
    money: Annotated[str, Field(max_length=8)] = Field("", description="Name of the money, as it is printed.")
    prices: Annotated[dict[str, Price], Field(max_length=200)] = Field(
        {}, description="Price of one piece by what `cut-list.csv` calls it; of cord by metre."
    )
