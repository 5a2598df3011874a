"""The quick frozen dataclass beside the standard library's, the reference of each check."""

from __future__ import annotations

import copy
import dataclasses
import importlib
import inspect
import pickle
import pkgutil
from typing import Any

import pytest

import labelkit
from labelkit.common.frozen import dataclass as frozen

WAYS = {"plain": {}, "slots": {"slots": True}, "by identity": {"eq": False}}


def _define(decorator: Any, **options: bool) -> type:
    @decorator(frozen=True, **options)
    class Bar:
        """A piece of soap."""

        name: str
        mass_g: float = 28.0
        cuts: list[str] = dataclasses.field(default_factory=list, hash=False)
        note: str = dataclasses.field(default="", repr=False, compare=False)

        @property
        def label(self) -> str:
            return f"{self.name} {self.mass_g:g} g"

    Bar.__qualname__ = "Bar"
    return Bar


@pytest.fixture(params=WAYS)
def pair(request: pytest.FixtureRequest) -> tuple[type, type]:
    """The class as labelkit makes it, and as the standard library does."""
    options = WAYS[request.param]
    return _define(frozen, **options), _define(dataclasses.dataclass, **options)


VALUES = [("Fern",), ("Fern", 31.5), ("Fern", 31.5, ["twice"]), ("Fern", 31.5, ["twice"], "shy")]


@pytest.mark.parametrize("values", VALUES)
def test_an_instance_is_what_the_standard_one_is(
    pair: tuple[type, type], values: tuple[Any, ...]
) -> None:
    own, standard = (made(*values) for made in pair)
    assert repr(own) == repr(standard)
    assert dataclasses.asdict(own) == dataclasses.asdict(standard)
    assert own.label == standard.label
    own, standard = (dataclasses.replace(one, name="Moss") for one in (own, standard))
    assert repr(own) == repr(standard)
    assert own.__match_args__ == standard.__match_args__


@pytest.mark.parametrize("first", VALUES)
@pytest.mark.parametrize("second", VALUES)
def test_equal_and_alike_in_sets_where_the_standard_ones_are(
    pair: tuple[type, type], first: tuple[Any, ...], second: tuple[Any, ...]
) -> None:
    own, standard = ((made(*first), made(*second)) for made in pair)
    assert (own[0] == own[1]) == (standard[0] == standard[1])
    assert (len(set(own)) == 1) == (len(set(standard)) == 1)
    assert own[0] != standard[0]


def test_nothing_of_it_can_be_changed_and_what_is_missing_is_said(
    pair: tuple[type, type],
) -> None:
    for made in pair:
        bar = made("Fern")
        with pytest.raises(dataclasses.FrozenInstanceError, match="cannot assign to field 'name'"):
            bar.name = "Moss"
        with pytest.raises(dataclasses.FrozenInstanceError, match="cannot delete field 'name'"):
            del bar.name
        with pytest.raises(TypeError, match="missing 1 required positional argument: 'name'"):
            made()
        with pytest.raises(TypeError, match="unexpected keyword argument 'colour'"):
            made("Fern", colour="green")


def test_each_instance_has_a_list_of_its_own(pair: tuple[type, type]) -> None:
    for made in pair:
        assert made("Fern").cuts == [] and made("Fern").cuts is not made("Fern").cuts


@frozen(frozen=True, slots=True)
class Slotted:
    """At the top of a module, so that pickle finds it."""

    name: str
    mass_g: float = 28.0


@frozen(frozen=True)
class Plain:
    """The same with a dictionary."""

    name: str
    mass_g: float = 28.0


@pytest.mark.parametrize("made", [Slotted, Plain])
def test_copies_and_pickles_are_equal(made: type) -> None:
    bar = made("Fern", 31.5)
    assert copy.copy(bar) == copy.deepcopy(bar) == pickle.loads(pickle.dumps(bar)) == bar


def test_methods_written_in_a_class_stay() -> None:
    @frozen(frozen=True, slots=True)
    class Own:
        """With two of its own."""

        name: str

        def __repr__(self) -> str:
            return self.name

        def __post_init__(self) -> None:
            if not self.name:
                raise ValueError("nameless")

    assert repr(Own("Fern")) == "Fern"
    with pytest.raises(ValueError, match="nameless"):
        Own("")


def test_a_class_that_changes_is_refused() -> None:
    with pytest.raises(TypeError, match=r"use dataclasses\.dataclass"):
        frozen(frozen=False)


def test_every_class_of_labelkit_takes_what_the_standard_one_would() -> None:
    seen = 0
    for module in pkgutil.walk_packages(labelkit.__path__, "labelkit."):
        if module.name.endswith("__main__"):
            continue
        for made in vars(importlib.import_module(module.name)).values():
            if not _is_quick(made, module.name):
                continue
            seen += 1
            fields = dataclasses.fields(made)
            assert all(f.init and not f.kw_only for f in fields), made
            standard = dataclasses.make_dataclass(
                made.__name__, [(f.name, f.type, _copy_field(f)) for f in fields], frozen=True
            )
            _compile(made)
            assert _list_parameters(made) == _list_parameters(standard), made
            own_hash = made.__hash__ in (object.__hash__, None)
            assert own_hash == (made.__eq__ is object.__eq__), made
    assert seen > 400


def _is_quick(made: Any, module: str) -> bool:
    return (
        isinstance(made, type)
        and made.__module__ == module
        and "__dataclass_fields__" in vars(made)
        and getattr(made.__setattr__, "__module__", "") == "labelkit.common.frozen"
    )


def _copy_field(field: Any) -> Any:
    return dataclasses.field(
        default=field.default, default_factory=field.default_factory, repr=field.repr,
        hash=field.hash, compare=field.compare,
    )  # fmt: skip


def _compile(made: Any) -> None:
    """``__init__`` is compiled by the first call, which may well fail for want of values."""
    with pytest.raises(TypeError, match="unexpected keyword argument 'no_such_field'"):
        made(no_such_field=1)


def _list_parameters(made: Any) -> list[tuple[str, bool]]:
    parameters = inspect.signature(made.__init__).parameters.values()
    return [(one.name, one.default is inspect.Parameter.empty) for one in parameters]
