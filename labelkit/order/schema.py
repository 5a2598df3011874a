"""What the files of an order may hold, as JSON Schemas for an editor and as a page to read.

JSON Schema draft 2020-12 (json-schema.org). An editor that knows TOML completes and checks a file
while it is typed; the reader stays the judge of values, and checks more than a schema can say.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from labelkit.order.fields import FILES, STOCK, Field, FieldTable, file_tables

DRAFT = "https://json-schema.org/draft/2020-12/schema"
_TEXT: dict[str, Any] = {"type": "string", "minLength": 1}
_MEASURE: dict[str, Any] = {"type": "string", "pattern": "[0-9]"}
_SHARES = {"type": "object", "additionalProperties": _MEASURE}


class Kind(NamedTuple):
    """What may stand for a key."""

    written: str
    """In a maker's words."""
    schema: Mapping[str, Any]


KINDS = {
    "text": Kind("text", _TEXT),
    "words": Kind(
        "text, or text by language",
        {"anyOf": [_TEXT, {"type": "object", "minProperties": 1, "additionalProperties": _TEXT}]},
    ),
    "texts": Kind("a list of texts, or one", {"anyOf": [_TEXT, {"type": "array", "items": _TEXT}]}),
    "file": Kind("the name of a file", _TEXT),
    "choice": Kind("one of some words", _TEXT),
    "date": Kind("a date without quotes", {"type": "string", "format": "date"}),
    "days": Kind("days by name", {"type": "object"}),
    "flag": Kind("true or false", {"type": "boolean"}),
    "integer": Kind("a whole number", {"type": "integer"}),
    "number": Kind("a number", {"type": "number"}),
    "mass": Kind("a mass with its unit", _MEASURE),
    "length": Kind("a length with its unit", _MEASURE),
    "size": Kind("a width and a height with their unit", _MEASURE),
    "amount": Kind("a mass or a volume with its unit", _MEASURE),
    "share": Kind("a share", _MEASURE),
    "share-range": Kind("a share, or a range of them", _MEASURE),
    "shares": Kind("shares by name", _SHARES),
    "count-or-share": Kind(
        "a whole number, or a share", {"anyOf": [{"type": "integer", "minimum": 0}, _MEASURE]}
    ),
    "colour": Kind("a colour in sRGB", {"type": "string", "pattern": "^#[0-9a-fA-F]{6}$"}),
}


def schema_of(file: str) -> dict[str, Any]:
    """The JSON Schema of a file of ``FILES``."""
    tables = file_tables()[file]
    return {"$schema": DRAFT, "title": file, **_object(tables, "")}


def _object(tables: Mapping[str, FieldTable], name: str) -> dict[str, Any]:
    table = tables[name]
    properties = {key: _property(field) for key, field in table.fields.items()}
    for inner in table.inner:
        full = f"{name}.{inner}" if name else inner
        schema = _object(tables, full)
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


def _property(field: Field) -> dict[str, Any]:
    kind = KINDS[field.kind]
    found = {"description": _said(field), **kind.schema}
    if field.one_of and field.kind == "choice":
        found = {"description": _said(field), "enum": list(field.one_of)}
    if field.range and kind.schema.get("type") in ("integer", "number"):
        found["minimum"], found["maximum"] = field.range
    return found


def _said(field: Field) -> str:
    example = f" Such as {field.example}." if field.example else ""
    default = f" Unless given: {field.default}." if field.default else ""
    return f"{field.about[:1].upper()}{field.about[1:]}{example}{default}"


def reference_page() -> str:
    """Every key of every file with its meaning and an example, in Markdown."""
    lines = ["# Every key of every file", ""]
    for file, tables in file_tables().items():
        lines += [f"## {file[:1].upper() + file[1:] if file == STOCK else file}", ""]
        for name, table in tables.items():
            lines += _section(file, name, table)
    return "\n".join(lines).rstrip() + "\n"


def _section(file: str, name: str, table: FieldTable) -> Iterator[str]:
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
        yield f"| `{key}` | {_told(field)} | {example} | {default} |"
    yield ""


def _told(field: Field) -> str:
    about = f"{field.about[:1].upper()}{field.about[1:]}"
    written = f"one of {', '.join(field.one_of)}" if field.one_of else KINDS[field.kind].written
    return f"{about} ({written}{_limits(field)})"


def _limits(field: Field) -> str:
    unit = field.unit or ("%" if field.kind == "share" else "")
    if not field.range:
        return f", in {unit}" if unit else ""
    least, most = (f"{end:.10g}" for end in field.range)
    return f", {least} to {most} {unit}".rstrip()


__all__ = ["FILES", "reference_page", "schema_of"]
