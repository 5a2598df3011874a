"""Every key a maker may write: what it is, what may stand there, and where it belongs.

The table is fields.toml. The readers check values, and a test holds the two together. It is read
only where a mistake is told, or someone asks about the keys.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from typing import Any

from labelkit.model.runs import ELEMENTS

FIELDS = sorted(e for e in ELEMENTS if e not in {"separator", "draft-mark", "ingredients", "guest"})
"""Elements whose words a label spec may give itself, under [front] or [back]."""
SURFACES = ("tag", "card", "leaflet", "notice")
"""What may carry the ingredient list instead of the label: in the spec a table for each."""
_PLAN = (
    "plan", "plan.mould", "plan.labels", "plan.wrap", "plan.ribbon", "plan.box", "plan.extra",
    "plan.quote", "plan.tax", "plan.sent", "plan.customer", "plan.minutes",
)  # fmt: skip
STOCK = "a stock file"
FILES = {
    "label.toml": ("event", "product", "label", "front", "back", *SURFACES, "evidence", *_PLAN),
    "maker.toml": ("maker", "defaults", "evidence", *_PLAN),
    "recipe.toml": (
        "recipe", "oil", "lye", "water", "superfat", "scent", "additive", "colour", "cure",
        "cure.bar", "material", "material.part",
    ),
    "prices.toml": ("price",),
    "shelf.toml": ("ages", "shelf", "shelf.lot"),
    STOCK: (),
}  # fmt: skip
"""The tables of each file, in the order in which a maker meets them."""


@dataclass(frozen=True, slots=True)
class Field:
    """One key of a table."""

    kind: str
    """What stands there: a name of ``schema.KINDS``."""
    about: str
    example: str = ""
    """As it is written in the file."""
    range: tuple[float, float] | None = None
    """Least and most, in ``unit``."""
    unit: str = ""
    needed: bool = False
    default: str = ""
    one_of: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FieldTable:
    """A table of a file: its own keys, and the tables that stand in it."""

    about: str
    fields: Mapping[str, Field]
    is_list: bool = False
    inner: tuple[str, ...] = ()
    """Names, without this one's own before them."""

    @property
    def keys(self) -> tuple[str, ...]:
        return (*self.fields, *self.inner)


@cache
def load_file_tables() -> Mapping[str, Mapping[str, FieldTable]]:
    """The tables of each file by name; "" is the top of the file."""
    found = {}
    for file, names in FILES.items():
        tables = {"": _make_top_table(file, names)}
        for name in names:
            tables[name] = _make_table(name, _list_inner_names(names, f"{name}."))
        found[file] = tables
    return found


def _make_top_table(file: str, names: Sequence[str]) -> FieldTable:
    number = Field("integer", "The format of the file.", "1", (1, 1), default="1")
    own = _collect_own_fields("stock file") if file == STOCK else {}
    return FieldTable("", {"labelkit": number, **own}, inner=_list_inner_names(names, ""))


def _list_inner_names(names: Sequence[str], prefix: str) -> tuple[str, ...]:
    rest = (name.removeprefix(prefix) for name in names if name.startswith(prefix))
    return tuple(name for name in rest if "." not in name)


def _make_table(name: str, inner: tuple[str, ...]) -> FieldTable:
    written = _load_fields()["surface" if name in SURFACES else name]
    own = _collect_own_fields("surface" if name in SURFACES else name)
    return FieldTable(written["about"], own, bool(written.get("list")), inner)


def _collect_own_fields(name: str) -> dict[str, Field]:
    """The fields of a table of fields.toml, with those of the tables it goes with."""
    written = _load_fields()[name]
    with_ = written.get("with", [])
    found: dict[str, Field] = {}
    for other in [with_] if isinstance(with_, str) else with_:
        found |= _collect_own_fields(other)
    if name == "side":
        found |= {e.replace("-", "_"): Field("words", f"{ELEMENTS[e]}.") for e in FIELDS}
    return found | {key: _make_field(row) for key, row in written.get("key", {}).items()}


def _make_field(row: Mapping[str, Any]) -> Field:
    lists = {name: tuple(row[name]) for name in ("range", "one_of") if name in row}
    return Field(**{**row, **lists})


@cache
def _load_fields() -> dict[str, Any]:
    text = files("labelkit.order").joinpath("fields.toml").read_text("utf-8")
    return tomllib.loads(text)


def is_list_table(table: str) -> bool:
    """Whether a table may stand more than once, each as ``[[name]]``."""
    return any(tables[table].is_list for tables in load_file_tables().values() if table in tables)


_OTHER_WORDS = {
    "picture": "logo", "pictures": "logo", "image": "logo", "images": "logo", "photo": "logo",
    "color": "colour", "soap_color": "soap_colour", "weight": "net_weight", "width": "trim",
    "font": "layout", "design": "layout", "url": "ingredients_url", "website": "ingredients_url",
    "region": "regions", "language": "languages", "size": "trim", "best_before": "durability",
    "batch": "lot", "email": "contact", "phone": "contact", "telephone": "contact",
}  # fmt: skip
"""Words for which the files have another one."""
_NEAR = 0.8
_MOST_PLACES = 3


def is_known_key(key: str, table: str) -> bool:
    """Whether a table of any file has the key."""
    named = (tables[table] for tables in load_file_tables().values() if table in tables)
    return any(key in one.keys for one in named)


def describe_home_of_key(key: str, here: str) -> str:
    """Where a key that means nothing in the table ``here`` belongs, in words; "" if nowhere."""
    tables = [
        f"in {file}, as {_put_in_brackets(key)}"
        for file, top in load_file_tables().items()
        if key in top
    ]
    places = (tables if not here else []) or list(_describe_places_of_key(key))
    return f"it belongs {_join_places(places)}" if places else ""


def describe_near_key(key: str) -> str:
    """A key that is called so in other words, or nearly so, and where it belongs; or ""."""
    other = find_usual_word(key)
    if other == key:
        tables = (table for tables in load_file_tables().values() for table in tables.values())
        every = {k for table in tables for k in table.keys}
        other = next(iter(get_close_matches(key, sorted(every), 1, _NEAR)), "")
    places = list(_describe_places_of_key(other))
    return f"perhaps {other} is meant, {_join_places(places)}" if places else ""


def find_usual_word(key: str) -> str:
    """What the files call something that has other names too; ``key`` itself where it is that."""
    return _OTHER_WORDS.get(key.lower().replace("-", "_"), key)


def _describe_places_of_key(key: str) -> Iterator[str]:
    """The tables that have a key, those of the label spec first."""
    told = set()
    for file, tables in load_file_tables().items():
        for table, known in tables.items():
            if key in known.keys and (table, key) not in told:
                told.add((table, key))
                if table:
                    yield f"under {_put_in_brackets(table)} in {file}"
                elif key in tables:
                    yield f"in {file}, as {_put_in_brackets(key)}"
                else:
                    yield f"in {file}"


def _put_in_brackets(table: str) -> str:
    return f"[[{table}]]" if is_list_table(table) else f"[{table}]"


def _join_places(places: list[str]) -> str:
    more = len(places) - _MOST_PLACES
    return " or ".join(places[:_MOST_PLACES]) + (f" or {more} more" if more > 0 else "")
