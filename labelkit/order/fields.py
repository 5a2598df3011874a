"""Every key a maker may write: what it is, what may stand there, and where it belongs.

The table is fields.toml. A reader asks it what may stand for the key that it reads; nothing else
knows a range or a choice.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import cache, lru_cache
from typing import Any

from labelkit.common.errors import FieldPlace
from labelkit.common.frozen import dataclass
from labelkit.common.messages import NOTHING, FactList, Said
from labelkit.common.own_tables import parse_own_table, read_own_text
from labelkit.common.text_match import SLIPS, find_closest
from labelkit.model.runs import ELEMENTS
from labelkit.order.inks import load_inks

FIELDS = sorted(e for e in ELEMENTS if e not in {"separator", "draft-mark", "ingredients", "guest"})
"""Elements whose words a label spec may give itself, under [front] or [back]."""
SURFACES = ("tag", "card", "leaflet", "notice")
"""What may carry the ingredient list instead of the label: in the spec a table for each."""
_PLAN = {
    name: name
    for name in (
        "plan", "plan.mould", "plan.labels", "plan.wrap", "plan.ribbon", "plan.box", "plan.extra",
        "plan.quote", "plan.tax", "plan.sent", "plan.customer", "plan.minutes",
    )
}  # fmt: skip
LABEL, MAKER, RECIPE, PRICES = "label.toml", "maker.toml", "recipe.toml", "prices.toml"
STOCK = "a stock file"
LAYOUT = "a layout file"
PRINTERS, PART_USED = "printers.toml", "part-used.toml"
SHELF = "shelf.toml"
POURS = "pours.toml"
OFFER = "offer.toml"
_RECIPE = (
    "recipe", "oil", "lye", "water", "superfat", "scent", "additive", "colour", "cure", "cure.bar",
    "material", "material.part",
)  # fmt: skip
_SIDES = {"front": "front", "back": "back", **dict.fromkeys(SURFACES, "surface")}
_PANEL = {
    "": "panel", ".blocks": "block", ".art": "art", ".borders": "border",
    ".keep_clear": "keep clear", ".surrounds": "surround", ".patterns": "pattern",
    ".changes": "change",
}  # fmt: skip
FILES: Mapping[str, Mapping[str, str]] = {
    LABEL: {
        **{name: name for name in ("event", "product", "label")},
        **_SIDES,
        "piece": "piece",
        "evidence": "evidence",
        **_PLAN,
    },
    MAKER: {**{name: name for name in ("maker", "defaults", "evidence", "press")}, **_PLAN},
    RECIPE: {name: name for name in _RECIPE},
    PRICES: {"price": "price"},
    SHELF: {name: name for name in ("ages", "shelf", "shelf.lot")},
    POURS: {"pour": "pour"},
    OFFER: {
        "offer": "offer",
        **{f"offer.{row}": f"offer.{row}" for row in ("soap", "size", "price", "wrap", "extra")},
    },
    STOCK: {"": "stock file"},
    LAYOUT: {
        "": "layout file",
        "faces": "named tables",
        "faces.*": "face",
        "ornaments": "named tables",
        "ornaments.*": "ornament",
        "steps": "step",
        **{f"{side}{inner}": row for side in _SIDES for inner, row in _PANEL.items()},
    },
    PRINTERS: {"printers": "printer"},
    PART_USED: {"rest": "part-used sheet"},
}
"""The tables of each file, in the order in which a maker meets them, each with its heading in
fields.toml; "" is the top of the file, and "*" any name."""
ANY_NAME = "*"
_WRITTEN_BY_HER = (LABEL, MAKER, RECIPE, PRICES, SHELF, STOCK)
"""The files in which a key that is nowhere known may belong."""


@dataclass(frozen=True, slots=True)
class Range:
    """Least and most of a value, in the field's own unit."""

    least: Decimal
    most: Decimal

    def __contains__(self, value: object) -> bool:
        return isinstance(value, int | Decimal) and self.least <= value <= self.most


@dataclass(frozen=True, slots=True)
class Field:
    """One key of a table."""

    kind: str
    """What stands there: a name of ``schema.KINDS``."""
    about: str
    example: str = ""
    """As it is written in the file."""
    range: Range | None = None
    unit: str = ""
    needed: bool = False
    default: str = ""
    one_of: tuple[str, ...] = ()
    hint: str = ""
    """What is said besides where a value lies outside."""


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
    return {
        file: {name: load_table(file, name) for name in dict.fromkeys(("", *names))}
        for file, names in FILES.items()
    }


@cache
def load_table(file: str, name: str) -> FieldTable:
    """One table of a file; KeyError where the file has none of that name."""
    names = FILES[file]
    inner = _list_inner_names(names, f"{name}." if name else "")
    if not name:
        number = Field("integer", "The format of the file.", "1", default="1")
        own = _collect_own_fields(names[""]) if "" in names else {}
        return FieldTable("", {"labelkit": number, **own}, inner=inner)
    written = _load_written(names[name])
    own = _collect_own_fields(names[name])
    return FieldTable(written["about"], own, bool(written.get("list")), inner)


@lru_cache(maxsize=4096)  # more than there are keys, and names of a maker's own beside them
def find_field(file: str, table: str, key: str) -> Field | None:
    """What may stand for a key of a table, named as in the file ("oil[2]"); None for a key that is
    nobody's to range over: a name of the maker's own."""
    names = FILES.get(file, {})
    bare = re.sub(r"\[\d+\]", "", table)
    if bare and bare not in names:
        bare = f"{bare.rpartition('.')[0]}.{ANY_NAME}"
    if bare and bare not in names:
        return None
    return load_table(file, bare).fields.get(key) if file in FILES else None


def load_range(file: str, table: str, key: str) -> Range:
    """The range of a key; KeyError where it has none."""
    field = find_field(file, table, key)
    if field is None or field.range is None:
        raise KeyError(key)
    return field.range


def _list_inner_names(names: Mapping[str, str], prefix: str) -> tuple[str, ...]:
    rest = (name.removeprefix(prefix) for name in names if name.startswith(prefix))
    return tuple(name for name in rest if name and "." not in name)


def _collect_own_fields(name: str) -> dict[str, Field]:
    """The fields of a table of fields.toml, with those of the tables it goes with."""
    written = _load_written(name)
    with_ = written.get("with", [])
    found: dict[str, Field] = {}
    for other in [with_] if isinstance(with_, str) else with_:
        found |= _collect_own_fields(other)
    if name == "side":
        found |= {e.replace("-", "_"): Field("words", f"{ELEMENTS[e]}.") for e in FIELDS}
    return found | {key: _make_field(row) for key, row in written.get("key", {}).items()}


def _make_field(row: Mapping[str, Any]) -> Field:
    made = dict(row)
    if "range" in row:
        made["range"] = Range(*map(Decimal, row["range"]))
    if row.get("one_of") == "inks":
        made["one_of"] = tuple(load_inks())
    elif "one_of" in row:
        made["one_of"] = tuple(row["one_of"])
    elif row["kind"] == "element":
        made["one_of"] = tuple(ELEMENTS)
    return Field(**made)


@cache
def _load_written(heading: str) -> dict[str, Any]:
    """A table of fields.toml; each is read when it is asked for, as most commands ask for few."""
    found = parse_own_table(_split_written()[heading])
    return dict(found[heading])


@cache
def _split_written() -> Mapping[str, str]:
    """The text of each table of fields.toml, by its heading."""
    parts = re.split(r"^(?=\[)", read_own_text("order/fields.toml"), flags=re.MULTILINE)[1:]
    return {part[1 : part.index("]")].strip('"'): part for part in parts}


@cache
def _load_her_tables() -> Mapping[str, Mapping[str, FieldTable]]:
    return {file: tables for file, tables in load_file_tables().items() if file in _WRITTEN_BY_HER}


def is_list_table(table: str) -> bool:
    """Whether a table may stand more than once, each as ``[[name]]``."""
    return any(tables[table].is_list for tables in _load_her_tables().values() if table in tables)


_OTHER_WORDS = {
    "picture": "logo", "pictures": "logo", "image": "logo", "images": "logo", "photo": "logo",
    "color": "colour", "soap_color": "soap_colour", "weight": "net_weight", "width": "trim",
    "font": "layout", "design": "layout", "url": "ingredients_url", "website": "ingredients_url",
    "region": "regions", "language": "languages", "size": "trim", "best_before": "durability",
    "batch": "lot", "email": "contact", "phone": "contact", "telephone": "contact",
}  # fmt: skip
"""Words for which the files have another one."""
_MOST_PLACES = 3


def is_known_key(key: str, table: str) -> bool:
    """Whether a table of any file has the key."""
    named = (tables[table] for tables in _load_her_tables().values() if table in tables)
    return any(key in one.keys for one in named)


def describe_home_of_key(key: str, here: str) -> Said:
    """Where a key that means nothing in the table ``here`` belongs, in words; "" if nowhere."""
    tables = [
        Said("in {file}, as {table}", file=_name_file(file), table=_put_in_brackets(key))
        for file, top in _load_her_tables().items()
        if key in top
    ]
    places = (tables if not here else []) or list(_describe_places_of_key(key))
    return Said("it belongs {places}", places=_join_places(places)) if places else NOTHING


def describe_near_key(key: str) -> Said:
    """A key that is called so in other words, or nearly so, and where it belongs; or ""."""
    other = find_usual_word(key)
    if other == key:
        tables = (table for tables in _load_her_tables().values() for table in tables.values())
        every = {k for table in tables for k in table.keys}
        other = find_closest(key, every, SLIPS)
    places = list(_describe_places_of_key(other))
    if not places:
        return NOTHING
    return Said("perhaps {key} is meant, {places}", key=other, places=_join_places(places))


def find_usual_word(key: str) -> str:
    """What the files call something that has other names too; ``key`` itself where it is that."""
    return _OTHER_WORDS.get(key.lower().replace("-", "_"), key)


def _describe_places_of_key(key: str) -> Iterator[Said]:
    """The tables that have a key, those of the label spec first."""
    told = set()
    for file, tables in _load_her_tables().items():
        for table, known in tables.items():
            if key in known.keys and (table, key) not in told:
                told.add((table, key))
                where = _name_file(file)
                if table:
                    yield Said("under {table} in {file}", table=_put_in_brackets(table), file=where)
                elif key in tables:
                    yield Said("in {file}, as {table}", file=where, table=_put_in_brackets(key))
                else:
                    yield Said("in {file}", file=where)


def _name_file(file: str) -> str:
    return Said(STOCK) if file == STOCK else file


_DOTTED = re.compile(r"\b[a-z_]+(?:\.[a-z_]+)+\b")


def find_named_fields(sentence: str) -> tuple[FieldPlace, ...]:
    """The fields that a sentence in any language names by their dotted keys, each once.

    "Put it into back.durability of label.toml" names one: ``label.toml`` itself is none.
    """
    named = (_find_field_place(key) for key in dict.fromkeys(_DOTTED.findall(sentence)))
    return tuple(place for place in named if place is not None)


def _find_field_place(dotted: str) -> FieldPlace | None:
    table, _, key = dotted.rpartition(".")
    for file, tables in load_file_tables().items():
        if table in tables and key in tables[table].keys:
            return FieldPlace(file, dotted)
    return None


def _put_in_brackets(table: str) -> str:
    return f"[[{table}]]" if is_list_table(table) else f"[{table}]"


def _join_places(places: list[Said]) -> FactList:
    more = len(places) - _MOST_PLACES
    others = [Said("{more} more", more=more)] if more > 0 else []
    return FactList([*places[:_MOST_PLACES], *others], "or")
