"""The plan's JSON Schema, for editors that check and complete while you type."""

from __future__ import annotations

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from nutricheck.outside_text import json_text
from nutricheck.plan.models import Plan

__all__ = ["json_schema_text"]


class _TextSchema(GenerateJsonSchema):
    """The schema of what is written: TOML has no null, and a quantity's default is no text."""

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        json_schema = super().default_schema(schema)
        if not isinstance(json_schema.get("default"), bool | str):
            json_schema.pop("default", None)
        return json_schema


def json_schema_text() -> str:
    """The plan's JSON Schema (draft 2020-12) as text."""
    schema = Plan.model_json_schema(mode="validation", schema_generator=_TextSchema)
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "nutricheck plan"
    return json_text(schema, indent=2)
