"""JSON Schema of a parameter file, for editors that complete and check while one types."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from .interface_files import shipped

DIALECT = "https://json-schema.org/draft/2020-12/schema"


class _Generator(GenerateJsonSchema):
    schema_dialect = DIALECT

    def encode_default(self, dft: Any) -> Any:
        # A default of 0 for a length is as good as 0.0; pydantic's encoder warns of it inside a union.
        if isinstance(dft, BaseModel):
            return dft.model_dump(mode="json", by_alias=True, warnings=False)
        return dft if isinstance(dft, bool | int | float | str | None) else super().encode_default(dft)

    def tagged_union_schema(self, schema: core_schema.TaggedUnionSchema) -> JsonSchemaValue:
        made = super().tagged_union_schema(schema)
        made.pop("discriminator", None)  # a keyword of OpenAPI, unknown to JSON Schema 2020-12
        return made


def json_schema(model: type[BaseModel], title: str | None = None) -> dict[str, Any]:
    """JSON Schema 2020-12 of a model's file form (aliases as keys, before defaults are filled in)."""
    made = model.model_json_schema(by_alias=True, mode="validation", schema_generator=_Generator)
    if title is not None:
        made["title"] = title
    _name_foot_prints(made)
    return {"$schema": DIALECT, **made}


def _name_foot_prints(made: dict[str, Any]) -> None:
    """Wherever a foot print is named, those of the package as examples: its own name and a mount's are one and the same."""
    for part in (made, *made.get("$defs", {}).values()):
        if "interface" in part.get("properties", {}):
            part["properties"]["interface"]["examples"] = shipped()
