"""Which layers of a PDF print: its optional content (ISO 32000-1, 8.11)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

MAX_DEPTH = 20
"""Of expressions inside each other."""


class OptionalContent:
    """The optional content groups of a file, as they are set when it is printed."""

    def __init__(self, root: Any = None) -> None:
        """``root`` is the document's catalog; None: nothing is switched off."""
        self._off: set[object] = set()
        properties = _resolve_object(root.get("/OCProperties")) if root is not None else None
        if properties is None:
            return
        default = _resolve_object(properties.get("/D")) or {}
        if default.get("/BaseState") == "/OFF":
            self._off |= set(_list_group_keys(properties.get("/OCGs")))
            self._off -= set(_list_group_keys(default.get("/ON")))
        self._off |= set(_list_group_keys(default.get("/OFF")))
        for usage in _list_items(default.get("/AS")):
            self._for_print(_resolve_object(usage))

    def _for_print(self, usage: Any) -> None:
        """A group that says how it prints is set so, where the file asks for it (8.11.4.4)."""
        if usage.get("/Event") != "/Print" or "/Print" not in _list_items(usage.get("/Category")):
            return
        for item in _list_items(usage.get("/OCGs")):
            group = _resolve_object(item)
            prints = (
                _resolve_object((_resolve_object(group.get("/Usage")) or {}).get("/Print")) or {}
            )
            if prints.get("/PrintState") == "/ON":
                self._off.discard(_make_group_key(item))
            elif prints.get("/PrintState") == "/OFF":
                self._off.add(_make_group_key(item))

    def prints(self, item: Any, depth: int = 0) -> bool:
        """Whether what belongs to a group, or to groups by a condition (8.11.2.2), prints.

        ``item`` is what refers to it, or itself; None belongs to none.
        """
        group = _resolve_object(item)
        if group is None or not hasattr(group, "get"):
            return True
        if group.get("/VE") is not None:
            return self._holds(group.get("/VE"), depth)
        if group.get("/Type") != "/OCMD":
            return _make_group_key(item) not in self._off
        on = [_make_group_key(one) not in self._off for one in _list_items(group.get("/OCGs"))]
        return not on or {
            "/AllOn": all(on),
            "/AnyOff": not all(on),
            "/AllOff": not any(on),
        }.get(str(group.get("/P")), any(on))

    def _holds(self, expression: Any, depth: int) -> bool:
        """A visibility expression: an operator and what it is of."""
        if depth > MAX_DEPTH:
            raise ValueError("the conditions of a layer are too deep")
        found = _resolve_object(expression)
        if not isinstance(found, list):
            return self.prints(expression, depth + 1)
        operator, *operands = found
        values = [self._holds(one, depth + 1) for one in operands]
        if operator == "/Not":
            return not values[0]
        return all(values) if operator == "/And" else any(values)


def _resolve_object(item: Any) -> Any:
    return item.get_object() if hasattr(item, "get_object") else item


def _make_group_key(item: Any) -> object:
    """What tells a group from others: its number in the file, or itself."""
    reference = item if hasattr(item, "idnum") else getattr(item, "indirect_reference", None)
    return id(item) if reference is None else reference.idnum


def _list_items(listed: Any) -> Iterable[Any]:
    """The members of an array, as they are referred to; one alone may stand without it."""
    found = _resolve_object(listed)
    if found is None:
        return ()
    return found if isinstance(found, list) else (listed,)


def _list_group_keys(listed: Any) -> Iterator[object]:
    return map(_make_group_key, _list_items(listed))
