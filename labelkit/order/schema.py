"""What the files of an order may hold, as JSON Schemas for an editor.

JSON Schema draft 2020-12 (json-schema.org). An editor that knows TOML completes and checks a file
while it is typed; the reader stays the judge of values, and checks more than a schema can say.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import astuple
from typing import Any, NamedTuple

from labelkit.order.fields import (
    ANY_NAME,
    FILES,
    Field,
    FieldTable,
    Range,
    load_file_tables,
)

DRAFT = "https://json-schema.org/draft/2020-12/schema"
_NUMBERS = ("integer", "number")
_TEXT: dict[str, Any] = {"type": "string", "minLength": 1}
_MEASURE: dict[str, Any] = {"type": "string", "pattern": "[0-9]"}
_MEASURES = {"type": "array", "items": _MEASURE, "minItems": 2, "maxItems": 2}
_COLOUR = {"type": "string", "pattern": "^#[0-9a-fA-F]{6}$"}
_SHARES = {"type": "object", "additionalProperties": _MEASURE}


class ValueKind(NamedTuple):
    """What may stand for a key."""

    written: str
    """In a maker's words."""
    schema: Mapping[str, Any]


KINDS = {
    "text": ValueKind("text", _TEXT),
    "words": ValueKind(
        "text, or text by language",
        {"anyOf": [_TEXT, {"type": "object", "minProperties": 1, "additionalProperties": _TEXT}]},
    ),
    "texts": ValueKind(
        "a list of texts, or one", {"anyOf": [_TEXT, {"type": "array", "items": _TEXT}]}
    ),
    "list": ValueKind("a list", {"type": "array"}),
    "file": ValueKind("the name of a file", _TEXT),
    "choice": ValueKind("one of some words", _TEXT),
    "date": ValueKind("a date without quotes", {"type": "string", "format": "date"}),
    "days": ValueKind("days by name", {"type": "object"}),
    "flag": ValueKind("true or false", {"type": "boolean"}),
    "integer": ValueKind("a whole number", {"type": "integer"}),
    "number": ValueKind("a number", {"type": "number"}),
    "mass": ValueKind("a mass with its unit", _MEASURE),
    "length": ValueKind("a length with its unit", _MEASURE),
    "size": ValueKind("a width and a height with their unit", _MEASURE),
    "amount": ValueKind("a mass or a volume with its unit", _MEASURE),
    "share": ValueKind("a share", _MEASURE),
    "share-range": ValueKind("a share, or a range of them", _MEASURE),
    "shares": ValueKind("shares by name", _SHARES),
    "share-or-late": ValueKind('a share, or "after trace"', _TEXT),
    "element": ValueKind("the name of an element", _TEXT),
    "integers": ValueKind(
        "a list of whole numbers", {"type": "array", "items": {"type": "integer"}}
    ),
    "numbers": ValueKind("a list of numbers", {"type": "array", "items": {"type": "number"}}),
    "named-numbers": ValueKind(
        "numbers by name", {"type": "object", "additionalProperties": {"type": "number"}}
    ),
    "lengths": ValueKind("two lengths with their unit", _MEASURES),
    "sizes": ValueKind(
        "sizes of type by name, each in two lengths",
        {"type": "object", "additionalProperties": _MEASURES},
    ),
    "count-or-share": ValueKind(
        "a whole number, or a share", {"anyOf": [{"type": "integer", "minimum": 0}, _MEASURE]}
    ),
    "colour": ValueKind("a colour in sRGB", _COLOUR),
    "ink": ValueKind("a colour in sRGB, or an ink by name", _TEXT),
}


def build_schema(file: str) -> dict[str, Any]:
    """The JSON Schema of a file of ``FILES``."""
    tables = load_file_tables()[file]
    return {"$schema": DRAFT, "title": file, **_build_table_schema(tables, "")}


def _build_table_schema(tables: Mapping[str, FieldTable], name: str) -> dict[str, Any]:
    table = tables[name]
    properties = {key: _build_key_schema(field) for key, field in table.fields.items()}
    others: Any = False
    for inner in table.inner:
        full = f"{name}.{inner}" if name else inner
        schema = _build_table_schema(tables, full)
        is_list = tables[full].is_list
        schema = {"type": "array", "items": schema} if is_list else schema
        if inner == ANY_NAME:
            others = schema
        else:
            properties[inner] = schema
    needed = [key for key, field in table.fields.items() if field.needed]
    about = {"description": table.about} if table.about else {}
    return {
        **about,
        "type": "object",
        "properties": properties,
        **({"required": needed} if needed else {}),
        "additionalProperties": others,
    }


def _build_key_schema(field: Field) -> dict[str, Any]:
    kind = KINDS[field.kind]
    found = {"description": _describe_field(field), **kind.schema}
    if field.one_of and field.kind in ("choice", "element"):
        found = {"description": _describe_field(field), "enum": list(field.one_of)}
    elif field.kind == "ink":
        found = {
            "description": _describe_field(field),
            "anyOf": [{"enum": list(field.one_of)}, _COLOUR],
        }
    if field.range and kind.schema.get("type") in _NUMBERS:
        found |= _build_limits(field.range)
    elif field.range and kind.schema.get("items", {}).get("type") in _NUMBERS:
        found["items"] = {**kind.schema["items"], **_build_limits(field.range)}
    return found


def _build_limits(limits: Range) -> dict[str, float]:
    """Least and most as JSON has them: a whole number without a point."""
    least, most = (int(end) if end == int(end) else float(end) for end in astuple(limits))
    return {"minimum": least, "maximum": most}


def _describe_field(field: Field) -> str:
    example = f" Such as {field.example}." if field.example else ""
    default = f" Unless given: {field.default}." if field.default else ""
    return f"{field.about[:1].upper()}{field.about[1:]}{example}{default}"


__all__ = ["FILES", "build_schema"]
