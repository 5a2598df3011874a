"""The one table of all keys: whole, true to what the readers do, and a schema for editors.

The schemas are held against JSON Schema draft 2020-12 by the jsonschema library, which is not ours.
"""

from __future__ import annotations

import datetime as dt
import json
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from labelkit.cli import cli
from labelkit.common.errors import InputError
from labelkit.job.new_order import make_starter_files
from labelkit.model.outline import SHAPES
from labelkit.order import label, plan, recipe, stock
from labelkit.order.fields import FILES, STOCK, Field, load_file_tables
from labelkit.order.order import read_order
from labelkit.order.schema import KINDS, build_schema

Event = Callable[..., Path]
FillIn = Callable[[str], str]
ROOT = Path(__file__).resolve().parents[2]
SAMPLES = [p for p in sorted((ROOT / "samples").rglob("*.toml")) if p.name in FILES]
STOCKS = sorted(stock.find_stock_folder().glob("*.toml"))
EVERY = [
    pytest.param(file, table, key, field, id=f"{file}-{table}.{key}")
    for file, tables in load_file_tables().items()
    for table, one in tables.items()
    for key, field in one.fields.items()
]


def plain(value: Any) -> Any:
    """TOML as JSON has it: a date is a text."""
    if isinstance(value, dict):
        return {key: plain(one) for key, one in value.items()}
    if isinstance(value, list):
        return [plain(one) for one in value]
    return value.isoformat() if isinstance(value, dt.date) else value


def complaints(file: str, text: str) -> list[str]:
    """What a schema has against a file, by the path of the key."""
    schema = build_schema(file)
    checker = jsonschema.Draft202012Validator(
        schema, format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    )
    errors = checker.iter_errors(plain(tomllib.loads(text)))
    return [f"{'.'.join(map(str, error.path))}: {error.message}" for error in errors]


# -- the schemas -----------------------------------------------------------------------------------


@pytest.mark.parametrize("file", FILES)
def test_each_schema_is_one(file: str) -> None:
    jsonschema.Draft202012Validator.check_schema(build_schema(file))


def test_the_samples_are_valid() -> None:
    assert len(SAMPLES) > 12
    found = {path: complaints(path.name, path.read_text("utf-8")) for path in SAMPLES}
    assert {path: told for path, told in found.items() if told} == {}


def test_every_stock_is_valid() -> None:
    found = {path: complaints(STOCK, path.read_text("utf-8")) for path in STOCKS}
    assert found
    assert {path: told for path, told in found.items() if told} == {}


@pytest.mark.parametrize("region", ["CA", "US", "BE", "FI", "NZ"])
def test_a_starter_is_valid_once_it_is_filled_in(region: str, fill_in: FillIn) -> None:
    for name, text in make_starter_files([region]).items():
        assert complaints(name, fill_in(text)) == []


@pytest.mark.parametrize(
    ("file", "old", "new", "told"),
    [
        ("label.toml", "net_weight", "net_wieght", "product: Additional properties are not"),
        ("label.toml", "date = 2027-06-19", 'date = "19 June"', "event.date: '19 June' is not a"),
        ("label.toml", "guests = 60", "guests = 0", "event.guests: 0 is less than the minimum"),
        ("label.toml", 'shape = "rounded"', 'shape = "star"', "label.shape: 'star' is not one of"),
        ("recipe.toml", 'alkali = "NaOH"', 'alkali = "lye"', "lye.0.alkali: 'lye' is not one of"),
        ("recipe.toml", 'mass = "190 g"', "mass = 190", "oil.3.mass: 190 is not of type 'string'"),
    ],
)
def test_what_a_reader_refuses_an_editor_marks(file: str, old: str, new: str, told: str) -> None:
    text = (ROOT / "samples" / "lighthouse-supper" / file).read_text("utf-8")
    assert old in text
    found = complaints(file, text.replace(old, new, 1))
    assert any(one.startswith(told) for one in found), found


# -- the table -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("file", "table", "key", "field"), EVERY)
def test_every_key_has_a_meaning_and_an_example_that_is_valid(
    file: str, table: str, key: str, field: Field
) -> None:
    del file, table
    assert field.kind in KINDS
    assert len(field.about) > 3
    if field.kind == "words" and not field.example:
        return  # the words of an element
    value = plain(tomllib.loads(f"{key} = {field.example}")[key])
    schema = KINDS[field.kind].schema
    jsonschema.Draft202012Validator(schema).validate(value)
    if field.one_of and isinstance(value, str):
        assert value in field.one_of
    if field.range and isinstance(value, int | float):
        assert field.range[0] <= value <= field.range[1]


def test_what_may_be_chosen_is_what_the_readers_know() -> None:
    tables = load_file_tables()

    def choices(file: str, table: str, key: str) -> tuple[str, ...]:
        return tables[file][table].fields[key].one_of

    assert choices("label.toml", "label", "shape") == label.SHAPES
    assert set(label.SHAPES) == set(SHAPES)
    assert choices("label.toml", "back", "ingredients_on") == label.LIST_PLACES
    assert choices("label.toml", "plan", "closed") == plan.WEEKDAYS
    assert choices("recipe.toml", "material", "kind") == tuple(
        kind.value for kind in recipe.MaterialKind
    )
    assert choices("recipe.toml", "lye", "alkali") == tuple(one.value for one in recipe.Alkali)
    assert choices(STOCK, "", "shape") == stock.SHAPES
    assert choices(STOCK, "", "material") == stock.MATERIALS
    assert set(choices(STOCK, "", "kind")) == set(stock.KINDS)


def test_what_a_plan_assumes_is_what_is_said_of_it() -> None:
    assumed = tomllib.loads(Path(plan.__file__).with_name("plan_defaults.toml").read_text("utf-8"))
    tables = load_file_tables()["label.toml"]

    def check(values: Mapping[str, Any], table: str) -> Iterator[str]:
        for key, value in values.items():
            if key in tables[table].inner:
                if isinstance(value, dict):
                    yield from check(value, f"{table}.{key}")
            elif value and key != "cure_weeks":  # a recipe may say the weeks
                said = tables[table].fields[key].default
                yield f"{table}.{key}"
                assert tomllib.loads(f"x = {said}")["x"] == value, key

    assert len(list(check(assumed, "plan"))) > 25


# -- against the readers ---------------------------------------------------------------------------


def with_value(text: str, table: str, is_list: bool, key: str, value: str) -> str:
    """A file in which a key of a table, of its first where it is a list, has a value."""
    header = f"[[{table}]]" if is_list else f"[{table}]"
    if f"{header}\n" not in text:
        return f"{text}\n{header}\n{key} = {value}\n"
    before, _, after = text.partition(f"{header}\n")
    own, mark, rest = after.partition("\n[")
    own = re.sub(rf"(?m)^{key} = .*\n?", "", own)
    return f"{before}{header}\n{key} = {value}\n{own}{mark}{rest}"


def is_told(event: Event, file: str, table: str, key: str, value: str) -> bool:
    """Whether something is told of this one key where it has this value."""
    spec = event()
    path = spec.parent / file
    one = load_file_tables()[file][table]
    text = with_value(path.read_text("utf-8"), table, one.is_list, key, value)
    assert tomllib.loads(text)
    try:
        read_order(spec, {path: text})
    except InputError as error:
        keys = [re.sub(r"\[\d+\]", "", one.key) for one in (error, *error.others)]
        return f"{table}.{key}" in keys
    return False


RANGED = [
    case for case in EVERY
    if case.values[0] in ("label.toml", "recipe.toml", "prices.toml")
    and case.values[1] not in ("", "tag", "card", "leaflet", "notice")
    and case.values[3].range and case.values[3].kind in ("integer", "number")
]  # fmt: skip
"""Numbers of whose ends a reader can be asked."""


@pytest.mark.parametrize(("file", "table", "key", "field"), RANGED)
def test_a_reader_refuses_what_lies_outside_a_range(
    event: Event, file: str, table: str, key: str, field: Field
) -> None:
    assert field.range is not None
    least, most = field.range
    step = 1 if field.kind == "integer" else 0.00001
    assert is_told(event, file, table, key, f"{least - step:.12f}".rstrip("0").rstrip("."))
    assert is_told(event, file, table, key, f"{most + step:.12f}".rstrip("0").rstrip("."))


# -- the command -----------------------------------------------------------------------------------


def test_the_command_prints_schemas_and_the_page(tmp_path: Path) -> None:
    def run(*arguments: str) -> str:
        done = CliRunner().invoke(cli, ["schema", *arguments], standalone_mode=False)
        assert done.exception is None
        return done.output

    assert json.loads(run("recipe.toml")) == json.loads(json.dumps(build_schema("recipe.toml")))
    page = run("--reference")
    for tables in load_file_tables().values():
        for table in tables.values():
            assert [key for key in table.fields if f"| `{key}` |" not in page] == []
    run("--out", str(tmp_path / "schemas"))
    names = sorted(path.name for path in (tmp_path / "schemas").iterdir())
    assert names == [
        "label.schema.json", "maker.schema.json", "prices.schema.json", "recipe.schema.json",
        "shelf.schema.json", "stock.schema.json",
    ]  # fmt: skip
