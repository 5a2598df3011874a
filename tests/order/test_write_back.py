"""One value written back into a file: that value, and not a byte of another line.

What a file says is judged by Python's own TOML parser (tomllib), not by the writer's.
"""

from __future__ import annotations

import codecs
import datetime as dt
import difflib
import random
import tomllib
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from labelkit.job.new_order import make_starter_files
from labelkit.order.write_back import (
    Keys,
    WriteBackError,
    add_entry,
    find_value,
    read_values,
    remove_entry,
    set_value,
)

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = {
    f"{path.parent.name}/{path.name}": path.read_bytes()
    for path in sorted((ROOT / "samples").glob("*/*.toml"))
    if path.name in ("label.toml", "recipe.toml", "maker.toml", "prices.toml")
}
STARTERS = {
    f"{region}/{name}": text.encode()
    for region in ("CA", "US", "BE")
    for name, text in make_starter_files([region]).items()
}
FILES = {**SAMPLES, **STARTERS}
LABEL = SAMPLES["lighthouse-supper/label.toml"]
RECIPE = SAMPLES["lighthouse-supper/recipe.toml"]
STARTER, WORKSHOP = STARTERS["CA/label.toml"], STARTERS["CA/maker.toml"]


def changed_lines(before: bytes, after: bytes) -> tuple[list[str], list[str]]:
    """The lines that went and those that came."""
    old, new = (data.decode().splitlines(keepends=True) for data in (before, after))
    diff = list(difflib.ndiff(old, new))
    return (
        [line[2:] for line in diff if line.startswith("- ")],
        [line[2:] for line in diff if line.startswith("+ ")],
    )


def places_changed(before: bytes, after: bytes) -> int:
    """In how many places lines differ."""
    old, new = (data.split(b"\n") for data in (before, after))
    matcher = difflib.SequenceMatcher(None, old, new, autojunk=False)
    return sum(code != "equal" for code, *_ in matcher.get_opcodes())


def leaves(value: Any, keys: Keys = ()) -> Iterator[tuple[Keys, Any]]:
    """Every value of a file that is no table, with the way to it."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from leaves(inner, (*keys, key))
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for index, inner in enumerate(value):
            yield from leaves(inner, (*keys, index))
    else:
        yield keys, value


def another(value: Any, chance: random.Random) -> Any:
    """A value of the same kind that is not this one."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + chance.randint(1, 9)
    if isinstance(value, Decimal):
        return value + Decimal("0.25")
    if isinstance(value, dt.date):
        return value + dt.timedelta(days=chance.randint(1, 40))
    if isinstance(value, list):
        return [*value[: chance.randint(0, len(value))], f"{chance.choice(WORDS)}{chance.random()}"]
    return f"{chance.choice(WORDS)}{chance.random()}"


WORDS = (
    "Ada & Bo",
    'the "Quay"',
    "it’s",
    "back\\slash",
    "L'Île #1",
    "a = [b]",
    "日本",
    "tab\there",
)


@pytest.mark.parametrize("edits", [300, pytest.param(3000, marks=pytest.mark.long)])
def test_no_edit_touches_a_second_line(edits: int) -> None:
    """In files as they are, with CRLF, and with a byte order mark; a sixth of them one after
    another in one file, as an evening's work is."""
    chance = random.Random(19)
    names = sorted(FILES)
    kept: dict[str, bytes] = {}
    for number in range(edits):
        name = chance.choice(names)
        before = kept.get(name, FILES[name]) if number < edits // 6 else FILES[name]
        if number % 3 == 1:
            before = before.replace(b"\r\n", b"\n").replace(b"\n", b"\r\n")
        if number % 3 == 2 and not before.startswith(codecs.BOM_UTF8):
            before = codecs.BOM_UTF8 + before
        keys, value = chance.choice(list(leaves(read_values(before))))
        new = another(value, chance)
        after = set_value(before, keys, new)
        kept[name] = after
        told = tomllib.loads(after.decode("utf-8-sig"), parse_float=Decimal)
        assert find_value(told, keys) == new
        gone, come = changed_lines(before, after)
        assert len(come) == len(gone) == 1 or isinstance(value, list), (name, keys, gone, come)
        assert places_changed(before, after) == 1
        assert after.count(b"\r\n") == after.count(b"\n") or b"\r\n" not in after
        assert after.startswith(codecs.BOM_UTF8) == before.startswith(codecs.BOM_UTF8)


@pytest.mark.parametrize(
    ("data", "keys", "value", "gone", "come"),
    [
        (LABEL, ("event", "names", "fr"), "Le Phare",
         'names = { en = "The Lighthouse Supper", fr = "Le Souper du phare" }\n',
         'names = { en = "The Lighthouse Supper", fr = "Le Phare" }\n'),
        (LABEL, ("event", "spares"), 6, 'spares = "10 %" # or a count; always rounded up\n',
         "spares = 6 # or a count; always rounded up\n"),
        (STARTER, ("event", "guest_list"), "g.csv",
         '# guest_list = "guests.csv"  # a name a line; each label carries its own\n',
         'guest_list = "g.csv"  # a name a line; each label carries its own\n'),
        (STARTER, ("label", "colour"), "#123456",
         '# colour = "#2b3a55"         # one dark ink instead of black\n',
         'colour = "#123456"  # one dark ink instead of black\n'),
        (WORKSHOP, ("defaults", "printer"), "attic",
         '# printer = "back room"      # measured with `labelkit calibrate`; every sheet is'
         " corrected for it\n",
         'printer = "attic"  # measured with `labelkit calibrate`; every sheet is corrected for'
         " it\n"),
        (RECIPE, ("oil", 4, "lot"), None, 'lot = "AR-0019"\n', '# lot = "AR-0019"\n'),
        (RECIPE, ("cure", "bar", 1, "poured"), "200 g",
         '  { poured = "128 g", cured = "114 g" },\n',
         '  { poured = "200 g", cured = "114 g" },\n'),
    ],
)  # fmt: skip
def test_a_value_goes_to_its_own_line(
    data: bytes, keys: Keys, value: object, gone: str, come: str
) -> None:
    for end in ("\n", "\r\n"):
        before = data.replace(b"\n", end.encode())
        old, new = changed_lines(before, set_value(before, keys, value))
        assert old == [gone.replace("\n", end)]
        assert new == [come.replace("\n", end)]


def test_a_key_that_comes_back_finds_its_line_again() -> None:
    without = set_value(RECIPE, ("oil", 4, "lot"), None)
    assert set_value(without, ("oil", 4, "lot"), "AR-0019") == RECIPE


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [("front", "thanks", {"en": "Thanks"}), ("plan", "pieces_per_bar", 3)],
)
def test_a_table_that_is_only_shown_is_opened(table: str, key: str, value: Any) -> None:
    gone, come = changed_lines(STARTER, set_value(STARTER, (table, key), value))
    assert gone[0] == f"# [{table}]\n" and come[0] == f"[{table}]\n"
    assert len(gone) == len(come) == 2


def test_every_key_that_the_starter_shows_can_be_set() -> None:
    """Of every table that is there or shown; each by itself."""
    for name, text in make_starter_files().items():
        table, told = "", 0
        for line in text.split("\n"):
            bare = line.removeprefix("# ")
            if bare.startswith("[") and "]" in bare and " = " not in bare.split("]")[0]:
                table = bare.strip("[").split("]")[0]
            elif line.startswith("# ") and " = " in line and line[2].islower():
                key = bare.split(" = ")[0]
                if not key.replace("_", "").isalpha():
                    continue
                keys: Keys = (*table.split("."), key)
                values = read_values(text.encode())
                outer = find_value(values, keys[:-1])
                if isinstance(outer, list):
                    keys = (*keys[:-1], 0, key)
                elif "[[" in text and f"[[{table}]]" in text:
                    continue  # the entries of a list come as a whole
                after = read_values(set_value(text.encode(), keys, "x"))
                assert find_value(after, keys) == "x", (name, keys)
                told += 1
        assert told > 3


def test_entries_come_after_the_last_and_go_whole() -> None:
    more = add_entry(RECIPE, "oil", {"material": "lard", "mass": "3 g"})
    gone, come = changed_lines(RECIPE, more)
    assert (gone, come) == ([], ["\n", "[[oil]]\n", 'material = "lard"\n', 'mass = "3 g"\n'])
    assert [oil["material"] for oil in read_values(more)["oil"]][-1] == "lard"
    assert remove_entry(more, "oil", 5) == RECIPE
    less = remove_entry(RECIPE, "scent", 0)
    assert "scent" not in read_values(less)
    gone, come = changed_lines(RECIPE, less)
    assert come == [] and gone[0] == "[[scent]]\n"


@pytest.mark.parametrize("data", [b"names = [", b"\xff\xfe", b"a = 1\na = 2\n"])
def test_what_is_no_toml_is_not_written(data: bytes) -> None:
    with pytest.raises(WriteBackError):
        set_value(data, ("event", "names"), "x")


def test_a_way_that_leads_through_a_text_is_refused() -> None:
    with pytest.raises(WriteBackError):
        set_value(b'event = "x"\n', ("event", "names"), "y")
    with pytest.raises(WriteBackError):
        set_value(RECIPE, ("oil", 99, "mass"), "1 g")


def test_the_same_value_is_the_same_file() -> None:
    assert set_value(LABEL, ("event", "guests"), 60) is LABEL


def test_of_a_table_only_the_keys_that_differ_are_touched() -> None:
    starter = STARTERS["CA/recipe.toml"]
    after = set_value(starter, ("scent", 0, "allergens"), {"Linalool": "3 %"})
    gone, come = changed_lines(starter, after)
    blank = '"<<< an allergen, such as Linalool" = "<<< its share, such as 3 %"\n'
    assert (gone, come) == ([blank], [f"# {blank}", 'Linalool = "3 %"\n'])
    two = RECIPE.replace(
        b"# Three marker",
        b'[[scent]]\nname = "b"\n[scent.allergens]\nCitral = "1 %"\n\n# Three marker',
    )
    after = set_value(two, ("scent", 1, "allergens"), {"Citral": "2 %", "Linalool": "1 %"})
    assert read_values(after)["scent"][1]["allergens"] == {"Citral": "2 %", "Linalool": "1 %"}
    assert read_values(after)["scent"][0] == read_values(two)["scent"][0]
