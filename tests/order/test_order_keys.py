"""Keys in the wrong place: the reader knows every key there is and sends it home."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from labelkit.common.errors import InputError
from labelkit.common.recent import RecentResults
from labelkit.common.resources import find_layouts_folder
from labelkit.order.fields import (
    FIELDS,
    FILES,
    LABEL,
    LAYOUT,
    MAKER,
    PART_USED,
    PRICES,
    PRINTERS,
    RECIPE,
    STOCK,
    describe_home_of_key,
    load_file_tables,
)
from labelkit.order.label import read_label
from labelkit.order.layout import read_layout
from labelkit.order.part_used import PartUsedSheet, format_part_used, read_part_used
from labelkit.order.prices import read_prices
from labelkit.order.printer import PrinterProfile, format_printers, read_printers
from labelkit.order.reader import Table
from labelkit.order.recipe import read_recipe
from labelkit.order.stock import list_stocks

Event = Callable[..., Path]
OWN_MATERIAL = """
[[material]]
id = "mango-butter"
kind = "compound"
part = [{ inci = "Mangifera Indica Seed Butter", share = "100 %" }]
"""


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[tuple[str, str], set[str]]]:
    """Which keys the readers ask for, by file and table."""
    found: dict[tuple[str, str], set[str]] = {}
    made = Table.__init__

    def noting(table: Table, path: Path, prefix: str, *rest: object) -> None:
        made(table, path, prefix, *rest)  # type: ignore[arg-type]
        bare = re.sub(r"\[\d+\]", "", prefix)
        table._asked = found.setdefault((path.name, bare), set())

    monkeypatch.setattr(Table, "__init__", noting)
    monkeypatch.setattr("labelkit.order.remembered._KEPT", RecentResults(9))
    yield found


def test_every_key_the_readers_ask_for_is_in_the_list_and_no_other(
    event: Event, asked: dict[tuple[str, str], set[str]]
) -> None:
    label = event()
    recipe = label.parent / "recipe.toml"
    recipe.write_text(recipe.read_text("utf-8") + OWN_MATERIAL, "utf-8")
    read_label(label)
    read_recipe(recipe)
    read_prices(label.parent / "prices.toml")
    list_stocks()
    words = {field.replace("-", "_") for field in FIELDS}
    stocks = {name for name, table in asked if not table} - set(load_file_tables())
    for file in (LABEL, MAKER, RECIPE, PRICES, STOCK):
        for table, one in load_file_tables()[file].items():
            known, names = one.keys, {file}
            if file == STOCK:
                names = stocks
            elif table.startswith("plan"):  # both files know the same; the sample asks some of each
                names = {"label.toml", "maker.toml"}
            found = set().union(*(asked.get((name, table), set()) for name in names))
            assert found <= set(known), f"{file} [{table}]"
            # Any field may stand on a side, and is asked for if it does.
            left = set(known) - found - (words if table in {"front", "back"} else set())
            # The plan asks for many of its keys only where another stands beside them.
            if found and not table.startswith("plan"):
                assert not left, f"{file} [{table}]"


def test_the_keys_of_the_other_files_are_those_their_readers_ask_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Layouts, measured printers and part-used sheets."""
    monkeypatch.setattr("labelkit.order.remembered._KEPT", RecentResults(9))
    made: list[Table] = []
    begin = Table.__init__

    def noting(table: Table, *rest: Any) -> None:
        begin(table, *rest)
        made.append(table)

    monkeypatch.setattr(Table, "__init__", noting)
    layouts = sorted(find_layouts_folder().glob("*.toml"))
    stepped = tmp_path / "stepped.toml"
    step = '[[steps]]\nletters = "0.9 mm"\nleading = 1.1\nmargin = "1.5 mm"\n'
    stepped.write_text(f"{layouts[0].read_text('utf-8')}\n{step}", "utf-8")
    changed = tmp_path / "changed.toml"
    changed.write_text(
        'labelkit = 1\nextends = "lantern"\n[[front.changes]]\nelement = "names"\nlines = 1\n'
    )
    for path in (*layouts, stepped, changed):
        # Read anew: one that an earlier test read is remembered, and asks for nothing.
        read_layout.__wrapped__(path)  # type: ignore[attr-defined]
    (tmp_path / "printers.toml").write_text(format_printers([PrinterProfile("back room")]))
    read_printers(tmp_path / "printers.toml")
    (tmp_path / "part-used.toml").write_text(format_part_used([PartUsedSheet("letter-30", 1)]))
    read_part_used(tmp_path / "part-used.toml")
    asked: dict[tuple[str, str], set[str]] = {}
    for table in made:
        name = re.sub(r"\[\d+\]", "", table.prefix)
        name = re.sub(r"^(faces|ornaments)\.\w+$", r"\1.*", name)
        if not name.endswith(".sizes"):  # classes of size have names of the designer's own
            heading = FILES[table.file].get(name, "top")
            asked.setdefault((table.file, heading), set()).update(table._asked)
    for file in (LAYOUT, PRINTERS, PART_USED):
        for name, one in load_file_tables()[file].items():
            if name not in ("faces", "ornaments"):
                found = asked[file, FILES[file].get(name, "top")]
                # What is laid over another layout is done before its tables are read.
                read = {*one.keys} - ({"changes", "leave_out"} if file == LAYOUT else set())
                assert found == read, f"{file} [{name}]"


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (("[plan.box]", '[logo]\nfile = "a.svg"\n[plan.box]'),
         "label.toml: logo: unknown key here; it belongs under [label] in label.toml"),
        (("[plan.box]", '[front]\nlogo = "a.svg"\n[plan.box]'),
         "front.logo: unknown field here; it belongs under [label] in label.toml"),
        (("[plan.box]", '[pictures]\nlogo = "a.svg"\n[plan.box]'),
         "pictures: unknown key; perhaps logo is meant, under [label] in label.toml"),
        (('lot = "LS-2704"', 'durability = "12 months"'),
         "product.durability: unknown key here; it belongs under [front] in label.toml"
         " or under [back] in label.toml, or did you mean 'durability_months'?"),
        (("[plan.box]", '[maker]\nname = "Ada"\n[plan.box]'),
         "maker: unknown key here; it belongs in maker.toml, as [maker]"),
        (("[plan.box]", '[[oil]]\nmaterial = "olive oil"\n[plan.box]'),
         "oil: unknown key here; it belongs in recipe.toml, as [[oil]]"),
        (("[event]", 'lot = "A"\n[event]'),
         "label.toml: lot: unknown key here; it belongs under [product] in label.toml"),
        (('trim = "44 x 28 mm"', 'size = "44 x 28 mm"'), "(is 'size' meant for it?)"),
        (('lot = "LS-2704"', 'lott = "LS-2704"'), "product.lott: unknown key; did you mean 'lot'?"),
    ],
)  # fmt: skip
def test_a_key_in_the_wrong_place_is_sent_home(
    event: Event, change: tuple[str, str], message: str
) -> None:
    with pytest.raises(InputError) as caught:
        read_label(event(change))
    assert message in str(caught.value)


def test_a_missing_key_is_looked_for_in_the_other_tables(event: Event) -> None:
    label = event(
        ('layout = "lantern"\n', ""), ('place = "Anse', 'layout = "lantern"\nplace = "Anse')
    )
    with pytest.raises(InputError, match=r"\(it stands under \[event\]; move it to \[label\]\)"):
        read_label(label)


def test_the_workshops_file_sends_home_too(event: Event) -> None:
    label = event(("[maker]", '[maker]\nlogo = "a.svg"'), file="maker.toml")
    with pytest.raises(
        InputError, match=r"maker\.logo: unknown key here; it belongs under \[label"
    ):
        read_label(label)


def test_a_key_that_is_at_home_elsewhere_is_not_sent_away(event: Event) -> None:
    # The water of a recipe may have a mass as well as an oil.
    label = event(
        ('mass = "190 g"\n', ""), ('lye_concentration = "32 %"', 'mass = "400 g"'),
        file="recipe.toml",
    )  # fmt: skip
    with pytest.raises(InputError, match=r"oil\[4\]\.mass: missing; [^(]*$"):
        read_recipe(label.parent / "recipe.toml")


def test_a_key_of_no_file_has_no_home() -> None:
    assert describe_home_of_key("colophon", "label") == ""


def test_a_single_table_where_a_list_belongs(event: Event) -> None:
    label = event(('[[lye]]\nalkali = "NaOH"', '[lye]\nalkali = "NaOH"'), file="recipe.toml")
    with pytest.raises(InputError, match=r"lye: is a single table; write \[\[lye\]\] with two"):
        read_recipe(label.parent / "recipe.toml")
