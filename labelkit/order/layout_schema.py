"""The JSON Schema of a layout file, from layout_fields.toml (draft 2020-12, json-schema.org)."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from labelkit.order.fields import SURFACES, Field
from labelkit.order.schema import DRAFT, build_key_schema

LAYOUT = "layout.toml"
_SIZES = {
    "type": "object",
    "description": "Size classes: least and most.",
    "additionalProperties": {
        "type": "array", "items": {"type": "string"}, "minItems": 2, "maxItems": 2,
    },
}  # fmt: skip
_LISTS = {
    "art": "art", "borders": "border", "surrounds": "surround", "patterns": "pattern",
}  # fmt: skip


@cache
def load_layout_fields() -> Mapping[str, Mapping[str, Field]]:
    """The keys of each table of a layout file."""
    text = files("labelkit.order").joinpath("layout_fields.toml").read_text(encoding="utf-8")
    return {
        table: {key: _make_field(row) for key, row in rows.items()}
        for table, rows in tomllib.loads(text).items()
    }


def _make_field(row: Mapping[str, Any]) -> Field:
    lists = {name: tuple(row[name]) for name in ("range", "one_of") if name in row}
    return Field(**{**row, **lists})


def build_layout_schema() -> dict[str, Any]:
    """What may stand in a layout file."""
    panel = _build_panel_schema()
    top = _build_table("layout")
    top["properties"] |= {
        "faces": {"type": "object", "additionalProperties": _build_table("face")},
        "ornaments": {"type": "object", "additionalProperties": _build_table("ornament")},
        "steps": _list_of("step"),
        **dict.fromkeys(("front", "back", *SURFACES), panel),
    }
    return {"$schema": DRAFT, "title": LAYOUT, **top}


def _build_panel_schema() -> dict[str, Any]:
    panel = _build_table("panel")
    change = _build_table("block")
    change["properties"]["leave_out"] = {
        "description": "Shows the block no more.", "type": "boolean",
    }  # fmt: skip
    panel["properties"] |= {
        "sizes": _SIZES,
        "keep_clear": _build_table("keep_clear"),
        "blocks": _list_of("block"),
        "changes": {"type": "array", "items": change},
        **{name: _list_of(table) for name, table in _LISTS.items()},
    }
    return panel


def _list_of(table: str) -> dict[str, Any]:
    return {"type": "array", "items": _build_table(table)}


def _build_table(name: str) -> dict[str, Any]:
    fields = load_layout_fields()[name]
    needed = [key for key, field in fields.items() if field.needed]
    return {
        "type": "object",
        "properties": {key: build_key_schema(field) for key, field in fields.items()},
        **({"required": needed} if needed else {}),
        "additionalProperties": False,
    }
