"""Fills a dataclass from a row of one of our own tables."""

from __future__ import annotations

import types
from dataclasses import fields, is_dataclass
from decimal import Decimal
from functools import cache
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

T = TypeVar("T")


def fill_row(kind: type[T], row: dict[str, Any]) -> T:
    """An instance of ``kind``; TypeError for a key it does not have or a value of another type.

    Lists become tuples, whole numbers decimals, and texts what a kind of text is asked for: a name
    out of a set, a sentence.
    """
    made: Any = kind  # a class is hashable, which mypy does not believe of every type
    hints = _list_type_hints(made)
    unknown = sorted(set(row) - set(hints))
    if unknown:
        raise TypeError(f"{kind.__name__} has no {', '.join(unknown)}")
    return kind(**{name: _convert_value(hints[name], value) for name, value in row.items()})


@cache
def _list_type_hints(kind: type[Any]) -> dict[str, Any]:
    hints = get_type_hints(kind)
    return {field.name: hints[field.name] for field in fields(kind)}


def _convert_value(hint: Any, value: Any) -> Any:
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        return _convert_value(next(a for a in get_args(hint) if a is not type(None)), value)
    if origin is tuple:
        if not isinstance(value, list):
            raise TypeError(f"expected a list, not {value!r}")
        inner = get_args(hint)
        each = inner[:1] * len(value) if inner[-1] is Ellipsis else inner
        return tuple(_convert_value(h, v) for h, v in zip(each, value, strict=True))
    if origin is dict:
        key, of = get_args(hint)
        return {_convert_value(key, k): _convert_value(of, v) for k, v in value.items()}
    if isinstance(hint, type) and is_dataclass(hint):
        return fill_row(hint, value)
    if hint is Decimal and isinstance(value, int) and not isinstance(value, bool):
        return Decimal(value)
    if issubclass(hint, str) and hint is not str:
        return hint(value)
    if type(value) is not hint:
        raise TypeError(f"expected {hint.__name__}, not {value!r}")
    return value
