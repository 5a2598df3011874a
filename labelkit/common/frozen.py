"""Frozen dataclasses whose methods are made when they are first called.

``dataclasses`` writes and compiles six methods for every frozen class while its module is imported,
and some 370 classes are imported to print a sheet: a fifth of the command's time. Here the
standard library still reads the fields; ``__init__`` is compiled for the first instance, and the
other methods are ordinary functions. Values go to their slots or into the instance's dictionary by
the shortest way: an edit of a label makes some thousands of instances. Nothing else differs:
``replace``, ``fields``, ``asdict``, comparing, hashing, copying and pickling do what they do for
the standard library's classes, and a test holds every class of labelkit against them.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from operator import attrgetter
from reprlib import recursive_repr
from types import MemberDescriptorType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:

    def dataclass(*, frozen: bool, slots: bool = False, eq: bool = True) -> Callable[[type], type]:
        """The standard decorator, for frozen classes without keyword-only fields."""
        if not frozen:
            raise TypeError("use dataclasses.dataclass for a class that changes")
        read_fields = dataclasses.dataclass(init=False, repr=False, eq=False, slots=slots)

        def decorate(cls: type) -> type:
            own = set(vars(cls))
            made = read_fields(cls)
            methods = _make_methods(made, eq) | (_STATE if slots else {})
            for name, method in methods.items():
                if name not in own:
                    setattr(made, name, method)
            return made

        return decorate


def _make_methods(made: type, eq: bool) -> dict[str, Any]:
    """The methods of a frozen class; its instances are compared by their fields if ``eq``."""

    def __init__(self: Any, *values: Any, **named: Any) -> None:
        setattr(made, "__init__", _compile_init(made))  # noqa: B010
        made.__init__(self, *values, **named)  # type: ignore[misc]

    methods = {
        "__init__": __init__,
        "__repr__": _describe,
        "__setattr__": _refuse_setting,
        "__delattr__": _refuse_deleting,
    }
    return methods | _make_comparison(made) if eq else methods


def _compile_init(made: type) -> Callable[..., None]:
    """``__init__`` of a frozen class: its fields in their order, with their defaults."""
    known: dict[str, Any] = {"_absent": object()}
    parameters, lines = ["self"], []
    for number, field in enumerate(dataclasses.fields(made)):
        parameter = value = field.name
        if field.default is not dataclasses.MISSING:
            known[f"_default{number}"] = field.default
            parameter += f"=_default{number}"
        elif field.default_factory is not dataclasses.MISSING:
            known[f"_factory{number}"] = field.default_factory
            parameter += "=_absent"
            value = f"_factory{number}() if {value} is _absent else {value}"
        parameters.append(parameter)
        slot = getattr(made, field.name, None)
        if isinstance(slot, MemberDescriptorType):
            known[f"_set{number}"] = slot.__set__
            lines.append(f" _set{number}(self, {value})")
        else:
            lines.append(f" self.__dict__[{field.name!r}] = {value}")
    if hasattr(made, "__post_init__"):
        lines.append(" self.__post_init__()")
    exec(f"def __init__({', '.join(parameters)}):\n" + "\n".join(lines or [" pass"]), known)
    init: Callable[..., None] = known["__init__"]
    init.__qualname__ = f"{made.__qualname__}.__init__"
    return init


def _make_comparison(made: type) -> dict[str, Any]:
    """``__eq__`` and ``__hash__`` by the fields that take part in them."""
    fields = dataclasses.fields(made)
    compared = _values_of([field.name for field in fields if field.compare])
    hashed = _values_of(
        [field.name for field in fields if (field.compare if field.hash is None else field.hash)]
    )

    def __eq__(self: Any, other: object) -> Any:
        if other.__class__ is not self.__class__:
            return NotImplemented
        return compared(self) == compared(other)

    def __hash__(self: Any) -> int:
        return hash(hashed(self))

    return {"__eq__": __eq__, "__hash__": __hash__}


def _values_of(names: list[str]) -> Callable[[Any], Any]:
    """What reads the values of some fields, one after the other."""
    return attrgetter(*names) if names else lambda _: ()


@recursive_repr()
def _describe(self: Any) -> str:
    shown = (f"{f.name}={getattr(self, f.name)!r}" for f in dataclasses.fields(self) if f.repr)
    return f"{self.__class__.__qualname__}({', '.join(shown)})"


def _refuse_setting(self: Any, name: str, value: object) -> None:  # noqa: ARG001
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_deleting(self: Any, name: str) -> None:  # noqa: ARG001
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _get_state(self: Any) -> list[Any]:
    return [getattr(self, field.name) for field in dataclasses.fields(self)]


def _set_state(self: Any, state: list[Any]) -> None:
    for field, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, field.name, value)


_STATE = {"__getstate__": _get_state, "__setstate__": _set_state}
