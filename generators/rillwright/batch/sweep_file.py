"""Models of a sweep file: a base job, and what is varied in it."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, model_validator

from ..spec.base import Part
from ..spec.quantity import Name

MAX_VARIANTS = 10_000
# Written in the place of a path: they change the base job otherwise than by setting a value.
WITHOUT = "without"  # [loops.cold]: takes parts out, with all that hangs on them
MOVE = "move"  # {loops.hot: [75, 0]}: moves parts in plan, mm

ParameterPath = Annotated[str, Field(min_length=1, max_length=300)]
Values = Annotated[list[Any], Field(min_length=1, max_length=MAX_VARIANTS)]


class Range(Part):
    """Evenly spaced numbers, both ends among them. Give `step` or `count`."""

    start: Annotated[float, Field(allow_inf_nan=False)] = Field(alias="from", description="The first number.")
    to: Annotated[float, Field(allow_inf_nan=False)] = Field(description="The last number.")
    step: Annotated[float, Field(gt=0, allow_inf_nan=False)] | None = None
    count: Annotated[int, Field(ge=2, le=MAX_VARIANTS)] | None = None

    @model_validator(mode="after")
    def _one_spacing(self) -> Range:
        if (self.step is None) == (self.count is None):
            raise ValueError("give either step or count")
        if self.step is not None:
            steps = abs(self.to - self.start) / self.step
            if steps > MAX_VARIANTS:
                raise ValueError(f"more than {MAX_VARIANTS} numbers lie between from and to; give a larger step")
            if abs(steps - round(steps)) > 1e-6:
                raise ValueError(
                    f"steps of {self.step:g} from {self.start:g} do not end on {self.to:g}; give count instead"
                )
        return self

    def numbers(self) -> list[float]:
        """Every number, without the dust of binary fractions."""
        count = self.count if self.step is None else round(abs(self.to - self.start) / self.step) + 1
        assert count is not None
        if count == 1:
            return [_plain(self.start)]
        return [_plain(self.start + (self.to - self.start) * i / (count - 1)) for i in range(count)]


class Axis(Part):
    """One thing that is varied. Give one of: path with values or range, together, cases, table."""

    path: ParameterPath | Annotated[list[ParameterPath], Field(min_length=1, max_length=100)] | None = Field(
        None, description="Parameter path, or several that all take the same value."
    )
    values: Values | None = Field(None, description="Values that the path takes, one after another.")
    range: Range | None = None
    together: Annotated[dict[ParameterPath, Values], Field(min_length=1)] | None = Field(
        None, description="Lists of one length; the first values of all belong together, then the second ones, and so on."
    )
    cases: Annotated[dict[Name, dict[ParameterPath, Any]], Field(min_length=1, max_length=MAX_VARIANTS)] | None = Field(
        None, description="Named cases, each with the paths it sets; an empty one is the base as it is."
    )
    table: Annotated[str, Field(min_length=1)] | None = Field(
        None, description="CSV file whose first line holds parameter paths; a column named variant gives names."
    )
    labels: Annotated[list[str], Field(min_length=1)] | None = Field(
        None, description="Words for the values in names and tables. Left out: made from the values."
    )

    @model_validator(mode="after")
    def _one_way(self) -> Axis:
        given = [k for k in ("path", "together", "cases", "table") if getattr(self, k) is not None]
        if len(given) != 1:
            raise ValueError(f"give exactly one of path, together, cases, table ({', '.join(given) or 'none'} given)")
        spread = [k for k in ("values", "range") if getattr(self, k) is not None]
        if (self.path is not None) != (len(spread) == 1):
            raise ValueError("path goes with either values or range, the others with neither")
        if self.together is not None and len({len(v) for v in self.together.values()}) > 1:
            counts = ", ".join(f"{k}: {len(v)}" for k, v in self.together.items())
            raise ValueError(f"the lists under together must have one length ({counts})")
        if self.labels is not None and (self.cases is not None or self.table is not None):
            raise ValueError("cases have their names, a table its column variant; leave labels out")
        if self.labels is not None and len(self.labels) != self.count:
            raise ValueError(f"labels must have one word for each of the {self.count} values (got {len(self.labels)})")
        return self

    @property
    def count(self) -> int | None:
        """How many choices there are; None for a table, which is not read yet."""
        if self.values is not None:
            return len(self.values)
        if self.range is not None:
            return len(self.range.numbers())
        if self.together is not None:
            return len(next(iter(self.together.values())))
        return None if self.cases is None else len(self.cases)


class SweepFile(Part):
    """One sweep: every combination of what is varied, but for those left out."""

    sweep: Name
    base: Annotated[str, Field(min_length=1)] = Field(description="Parameter file, as seen from this file's folder.")
    over: Annotated[dict[Name, Axis], Field(min_length=1, max_length=20)]
    leave_out: Annotated[list[Annotated[dict[str, Any], Field(min_length=1)]], Field(max_length=1000)] = Field(
        [], description="Combinations that are not built: {tube: 60, count: three}; what is not named is any."
    )


def _plain(value: float) -> float:
    tidy = round(value, 9)
    return int(tidy) if tidy == int(tidy) else tidy
