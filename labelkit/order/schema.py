"""What the files of an order may hold, as JSON Schemas for an editor and as a page to read.

JSON Schema draft 2020-12 (json-schema.org). An editor that knows TOML completes and checks a file
while it is typed; the reader stays the judge of values, and checks more than a schema can say.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from labelkit.order.fields import FILES, STOCK, Field, FieldTable, load_file_tables

DRAFT = "https://json-schema.org/draft/2020-12/schema"
_TEXT: dict[str, Any] = {"type": "string", "minLength": 1}
_MEASURE: dict[str, Any] = {"type": "string", "pattern": "[0-9]"}
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
    "numbers": ValueKind(
        "numbers by name", {"type": "object", "additionalProperties": {"type": "number"}}
    ),
    "count-or-share": ValueKind(
        "a whole number, or a share", {"anyOf": [{"type": "integer", "minimum": 0}, _MEASURE]}
    ),
    "colour": ValueKind("a colour in sRGB", {"type": "string", "pattern": "^#[0-9a-fA-F]{6}$"}),
}


def build_schema(file: str) -> dict[str, Any]:
    """The JSON Schema of a file of ``FILES``."""
    tables = load_file_tables()[file]
    return {"$schema": DRAFT, "title": file, **_build_table_schema(tables, "")}


def _build_table_schema(tables: Mapping[str, FieldTable], name: str) -> dict[str, Any]:
    table = tables[name]
    properties = {key: _build_key_schema(field) for key, field in table.fields.items()}
    for inner in table.inner:
        full = f"{name}.{inner}" if name else inner
        schema = _build_table_schema(tables, full)
        is_list = tables[full].is_list
        properties[inner] = {"type": "array", "items": schema} if is_list else schema
    needed = [key for key, field in table.fields.items() if field.needed]
    about = {"description": table.about} if table.about else {}
    return {
        **about,
        "type": "object",
        "properties": properties,
        **({"required": needed} if needed else {}),
        "additionalProperties": False,
    }


def _build_key_schema(field: Field) -> dict[str, Any]:
    kind = KINDS[field.kind]
    found = {"description": _describe_field(field), **kind.schema}
    if field.one_of and field.kind == "choice":
        found = {"description": _describe_field(field), "enum": list(field.one_of)}
    if field.range and kind.schema.get("type") in ("integer", "number"):
        found["minimum"], found["maximum"] = field.range
    return found


def _describe_field(field: Field) -> str:
    example = f" Such as {field.example}." if field.example else ""
    default = f" Unless given: {field.default}." if field.default else ""
    return f"{field.about[:1].upper()}{field.about[1:]}{example}{default}"


def format_reference_page() -> str:
    """Every key of every file with its meaning and an example, in Markdown."""
    lines = ["# Every key of every file", ""]
    for file, tables in load_file_tables().items():
        lines += [f"## {file[:1].upper() + file[1:] if file == STOCK else file}", ""]
        for name, table in tables.items():
            lines += _format_section(file, name, table)
    return "\n".join(lines).rstrip() + "\n"


def _format_section(file: str, name: str, table: FieldTable) -> Iterator[str]:
    if name.split(".")[0] == "plan" and file != "label.toml":
        if name == "plan":
            yield from (
                "### [plan]",
                "",
                "The same keys as in label.toml, but for [[plan.sent]].",
                "",
            )
        return
    if name:
        heading = f"[[{name}]]" if table.is_list else f"[{name}]"
        yield from (f"### {heading}", "", table.about, "")
    yield from ("| key | what stands there | such as | unless given |", "|---|---|---|---|")
    for key, field in table.fields.items():
        example = f"`{field.example}`" if field.example else ""
        default = "needed" if field.needed else field.default
        yield f"| `{key}` | {_format_about(field)} | {example} | {default} |"
    yield ""


def _format_about(field: Field) -> str:
    about = f"{field.about[:1].upper()}{field.about[1:]}"
    written = f"one of {', '.join(field.one_of)}" if field.one_of else KINDS[field.kind].written
    return f"{about} ({written}{_format_limits(field)})"


def _format_limits(field: Field) -> str:
    unit = field.unit or ("%" if field.kind == "share" else "")
    if not field.range:
        return f", in {unit}" if unit else ""
    least, most = (f"{end:.10g}" for end in field.range)
    return f", {least} to {most} {unit}".rstrip()


__all__ = ["FILES", "build_schema", "format_reference_page"]
