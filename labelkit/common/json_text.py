"""What a command found as JSON, for programs that read it."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import asdict, is_dataclass
from decimal import Decimal
from functools import partial
from typing import Any


def format_json(value: object, places: int | None = None) -> str:
    """``value`` as indented JSON.

    Days are written as in ISO 8601, decimals as numbers, rounded to ``places`` where given, and
    dataclasses as objects of their fields; names out of a set and sentences are texts already.
    """
    return json.dumps(
        value, ensure_ascii=False, indent=2, default=partial(_make_plain, places=places)
    )


def pick_fields(of: object, names: str) -> dict[str, Any]:
    """Some of what an object has, under the same names and in their order."""
    return {name: getattr(of, name) for name in names.split()}


def _make_plain(value: Any, places: int | None) -> object:
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return float(value if places is None else round(value, places))
    if is_dataclass(value) and not isinstance(value, type):
        return asdict(value)
    raise TypeError(f"no JSON for {value!r}")
