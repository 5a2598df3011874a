"""The one table of all keys: whole, true to what the readers do, and a schema for editors.

The schemas are held against JSON Schema draft 2020-12 by the jsonschema library, which is not ours.
"""

from __future__ import annotations

import ast
import calendar
import datetime as dt
import inspect
import json
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from labelkit.cli import cli
from labelkit.common.errors import InputError
from labelkit.common.resources import find_layouts_folder
from labelkit.job.new_order import make_starter_files
from labelkit.model.outline import SHAPES
from labelkit.order import plan, recipe, stock
from labelkit.order.fields import (
    FILES,
    LAYOUT,
    PART_USED,
    PRINTERS,
    STOCK,
    SURFACES,
    Field,
    load_file_tables,
)
from labelkit.order.layout import read_layout
from labelkit.order.order import read_order
from labelkit.order.part_used import PartUsedSheet, format_part_used, read_part_used
from labelkit.order.printer import PrinterProfile, format_printers, read_printers
from labelkit.order.reader import Table
from labelkit.order.schema import KINDS, build_schema

Event = Callable[..., Path]
FillIn = Callable[[str], str]
ROOT = Path(__file__).resolve().parents[2]
SAMPLES = [p for p in sorted((ROOT / "samples").rglob("*.toml")) if p.name in FILES]
LAYOUTS = sorted(find_layouts_folder().glob("*.toml"))
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


def test_every_layout_is_valid() -> None:
    found = {path: complaints(LAYOUT, path.read_text("utf-8")) for path in LAYOUTS}
    assert len(found) > 5
    assert {path: told for path, told in found.items() if told} == {}


def test_what_labelkit_writes_itself_is_valid() -> None:
    printer = PrinterProfile("back room", 0.4, -0.2, 1.001, 0.999, 4.2, "a4")
    assert complaints(PRINTERS, format_printers([printer])) == []
    sheet = PartUsedSheet("letter-30", 7, (9, 12), "fern/label.toml", "Ada & Bo", 1, 7)
    assert complaints(PART_USED, format_part_used([sheet])) == []


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


@pytest.mark.parametrize("file", FILES)
def test_every_key_has_a_meaning_and_an_example_that_is_valid(file: str) -> None:
    for table, one in load_file_tables()[file].items():
        for key, field in one.fields.items():
            check_field(f"{table}.{key}", key, field)


def check_field(name: str, key: str, field: Field) -> None:
    assert field.kind in KINDS, name
    assert len(field.about) > 3, name
    if field.kind == "words" and not field.example:
        return  # the words of an element
    value = plain(tomllib.loads(f"{key} = {field.example}")[key])
    schema = KINDS[field.kind].schema
    assert not list(jsonschema.Draft202012Validator(schema).iter_errors(value)), name
    if field.one_of and isinstance(value, str):
        assert value in field.one_of, name
    if field.range and isinstance(value, int | float):
        assert Decimal(repr(value)) in field.range, name


def test_what_may_be_chosen_is_what_the_readers_know() -> None:
    tables = load_file_tables()

    def choices(file: str, table: str, key: str) -> tuple[str, ...]:
        return tables[file][table].fields[key].one_of

    assert set(choices("label.toml", "label", "shape")) == set(SHAPES)
    assert set(choices("label.toml", "back", "ingredients_on")) > set(SURFACES)
    assert choices("label.toml", "plan", "closed") == tuple(
        day.lower() for day in calendar.day_name
    )
    assert choices("recipe.toml", "material", "kind") == tuple(
        kind.value for kind in recipe.MaterialKind
    )
    assert choices("recipe.toml", "lye", "alkali") == tuple(one.value for one in recipe.Alkali)
    assert set(choices(STOCK, "", "shape")) == set(SHAPES) - {"arch"}
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


ONE_OF_SEVERAL = ("water", "superfat")
"""Tables in which one key stands instead of the others."""


def with_value(text: str, table: str, is_list: bool, key: str, value: str) -> str:
    """A file in which a key of a table, of its first where it is a list, has a value."""
    if not table:
        top, mark, rest = text.partition("\n[")
        return re.sub(rf"(?m)^{key} = .*\n?", "", f"{top}\n") + f"{key} = {value}\n{mark}{rest}"
    header = f"[[{table}]]" if is_list else f"[{table}]"
    if f"{header}\n" not in text:
        return f"{text}\n{header}\n{key} = {value}\n"
    before, _, after = text.partition(f"{header}\n")
    own, mark, rest = after.partition("\n[")
    own = "" if table in ONE_OF_SEVERAL else re.sub(rf"(?m)^{key} = .*\n?", "", own)
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
        return any(told == f"{table}.{key}" or told.startswith(f"{table}.{key}.") for told in keys)
    return False


MEASURES = {
    "mass": '"{} g"', "length": '"{} mm"', "size": '"{0} x {0} mm"', "share": '"{} %"',
    "share-or-late": '"{} %"', "amount": '"{} g"', "integer": "{}", "number": "{}",
    "count-or-share": "{}", "named-numbers": "{{ letter-plain = {} }}",
}  # fmt: skip
"""How a value is written of each kind that has a range."""
RANGED = [
    case for case in EVERY
    if case.values[0] in ("label.toml", "recipe.toml", "prices.toml")
    and case.values[1] not in ("", *SURFACES, "cure.bar")  # the sample writes its bars in a line
    and case.values[2] not in ("piece", "thick")  # the sample's wrap says its size instead
    and case.values[3].range
    and case.values[1:3] not in (("plan.wrap", "piece"), ("plan.wrap", "thick"))  # see below
]  # fmt: skip
"""Fields of whose ends a reader can be asked."""


@pytest.mark.parametrize(("file", "table", "key", "field"), RANGED)
@pytest.mark.quick(30)
def test_a_reader_refuses_what_lies_outside_a_range(
    event: Event, file: str, table: str, key: str, field: Field
) -> None:
    assert field.range is not None
    step = Decimal(1) if field.kind in ("integer", "count-or-share") else Decimal("0.00001")
    for outside in (field.range.least - step, field.range.most + step):
        assert is_told(event, file, table, key, MEASURES[field.kind].format(f"{outside:f}"))


AROUND = "".join(
    f'\n[[{side}.surrounds]]\nkind = "beads"\ninset = "1 mm"\ndepth = "1 mm"\n'
    f'\n[[{side}.patterns]]\narea = "all"\nwidth = "1 mm"\npitch = "2 mm"\n'
    'ornament = "waves"\n'
    for side in ("front", "back")
)


@pytest.mark.parametrize(
    ("piece", "thick", "told"),
    [
        ("0.9 x 60 mm", "25 mm", "plan.wrap.piece"),
        ("10001 x 60 mm", "25 mm", "plan.wrap.piece"),
        ("45 x 60 mm", "0.9 mm", "plan.wrap.thick"),
        ("45 x 60 mm", "501 mm", "plan.wrap.thick"),
    ],
)
def test_a_wrap_round_a_piece_has_its_ranges_too(
    event: Event, piece: str, thick: str, told: str
) -> None:
    round_it = f'piece = "{piece}"\nthick = "{thick}"'
    spec = event(('size = "95 x 150 mm"', round_it), file="maker.toml")
    with pytest.raises(InputError, match=re.escape(f"{told}: ")):
        read_order(spec)


WRITTEN = {
    LAYOUT: ((find_layouts_folder() / "lantern.toml").read_text("utf-8") + AROUND, read_layout),
    STOCK: (next(path for path in STOCKS if "die" in path.read_text("utf-8")), stock.read_stock),
    PRINTERS: ('[[printers]]\nname = "back room"\n', read_printers),
    PART_USED: ('[[rest]]\nstock = "letter-30"\nstart = 1\n', read_part_used),
}
"""A file of each other kind, or its text, and its reader."""
OTHERS = [
    case for case in EVERY
    if case.values[0] in WRITTEN and case.values[3].range and case.values[3].kind != "sizes"
    and case.values[1].split(".")[0] not in SURFACES and case.values[2] not in ("width", "feed_gap")
    and "*" not in case.values[1] and case.values[1].split(".")[-1] not in ("steps", "changes")
]  # fmt: skip


@pytest.mark.parametrize(("file", "table", "key", "field"), OTHERS)
def test_a_reader_of_another_file_refuses_it_too(
    tmp_path: Path, file: str, table: str, key: str, field: Field
) -> None:
    source, read = WRITTEN[file]
    text = source if isinstance(source, str) else source.read_text("utf-8")
    is_list = load_file_tables()[file][table].is_list
    step = Decimal(1) if field.kind in ("integer", "integers") else Decimal("0.00001")
    form = {"integers": "[{}]", "numbers": "[0, 0, {}, 1]"}.get(field.kind) or MEASURES[field.kind]
    assert field.range is not None
    for outside in (field.range.least - step, field.range.most + step):
        value = form.format(f"{outside:f}")
        path = tmp_path / "own.toml"
        path.write_text(with_value(text, table, is_list, key, value), "utf-8")
        with pytest.raises(InputError) as told:
            read(path)
        assert told.value.key.endswith(key), told.value


def test_no_reader_states_a_range_of_its_own() -> None:
    """What may stand for a key comes from its field: readers are asked with a name alone."""
    values = ("integer", "number", "numbers", "mass_g", "length_mm", "size_mm", "percent", "choice")
    allowed = {"name", "default", "among", "equal_sides", "self"}
    for name in values:
        assert set(inspect.signature(getattr(Table, name)).parameters) <= allowed
    listed = [
        f"{path.name}:{call.lineno}"
        for path in Path(plan.__file__).parent.glob("*.py")
        for call in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(call, ast.Call)
        and isinstance(call.func, ast.Attribute)
        and call.func.attr in values
        for argument in (
            *call.args[2:],
            *(word.value for word in call.keywords if word.arg == "among"),
        )
        if isinstance(argument, ast.Constant | ast.List | ast.Tuple)
    ]
    assert listed == []


def test_no_key_with_a_range_is_compared_with_a_number_in_code() -> None:
    """No reader looks a value up by its key and holds it against a figure of its own."""
    ranged = {case.values[2] for case in EVERY if case.values[3].range}
    wrong = []
    for path in Path(plan.__file__).parent.glob("*.py"):
        for branch in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not isinstance(branch, ast.If):
                continue
            figures = [
                one.value
                for test in ast.walk(branch.test)
                if isinstance(test, ast.Compare)
                for one in (test.left, *test.comparators)
                if isinstance(one, ast.Constant) and type(one.value) in (int, float)
            ]
            told = {
                call.args[0].value
                for call in ast.walk(branch)
                if isinstance(call, ast.Call)
                and isinstance(call.func, ast.Attribute)
                and call.func.attr == "wrong"
                and isinstance(call.args[0], ast.Constant)
            }
            if told & ranged and any(figure not in (0, 1, 4) for figure in figures):
                wrong.append(f"{path.name}:{branch.lineno}")
    assert wrong == []


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
        "label.schema.json", "layout.schema.json", "maker.schema.json", "offer.schema.json",
        "part-used.schema.json",
        "pours.schema.json", "prices.schema.json", "printers.schema.json",
        "recipe.schema.json", "shelf.schema.json",
        "stock.schema.json",
    ]  # fmt: skip
