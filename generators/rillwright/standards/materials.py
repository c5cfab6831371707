"""What plates, tubes, struts, screws and cords are made of."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast

from ._table import UnknownSize, table

Family = Literal["plastic", "aluminium", "steel", "glass", "rubber"]
PROPERTIES = ("density", "modulus", "poisson", "expansion", "strength", "proof", "sustained", "modulus_1000h")


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where one value of a material comes from."""

    unit: str
    source: str
    mark: str  # verified, from memory, computed


@dataclass(frozen=True, slots=True)
class Material:
    """Values at room temperature; None where nothing is known. `provenance` says where each comes from.

    Rubbers are of 70 Shore A.
    """

    name: str
    title: str
    family: Family
    density: float  # kg/m³
    modulus: float  # E, GPa, short time
    poisson: float
    expansion: float  # linear, 1e-6/K
    strength: float | None  # tensile, MPa; glass: allowable
    proof: float | None  # 0.2 % proof stress or lower yield point, MPa
    sustained: float | None  # stress borne for years, MPa
    modulus_1000h: float | None  # creep modulus after 1000 h, GPa

    def provenance(self, name: str) -> Provenance:
        """Unit, source and mark of one value, by property name. Raises `UnknownSize` where there is none."""
        row = table("material_values").find("value", self.name, name)
        return Provenance(row.text("unit"), row.text("source"), row.text("mark"))

    def known(self, name: str) -> float:
        """A value that one cannot do without, by property name. Raises `UnknownSize` where there is none."""
        return table("material_values").find("value", self.name, name).number("value")


def names(family: str | None = None) -> tuple[str, ...]:
    """Names of all materials, or of one family."""
    rows = table("materials").rows.values()
    return tuple(row.text("name") for row in rows if family in (None, row.text("family")))


@lru_cache(maxsize=64)
def material(name: str) -> Material:
    """A material by its name in a parameter file, "pmma-cast". Raises `UnknownSize`."""
    row = table("materials").rows.get((name,))
    if row is None:
        raise UnknownSize("material", name, names(), "the material table")
    values = {v.text("property"): v.number("value") for v in table("material_values").where("material", name)}
    return Material(
        name=name,
        title=row.text("title"),
        family=cast("Family", row.text("family")),
        density=values["density"],
        modulus=values["modulus"],
        poisson=values["poisson"],
        expansion=values["expansion"],
        strength=values.get("strength"),
        proof=values.get("proof"),
        sustained=values.get("sustained"),
        modulus_1000h=values.get("modulus_1000h"),
    )
