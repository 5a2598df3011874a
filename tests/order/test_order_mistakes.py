"""Every mistake of an order is told in one run, with file, line, key and what would be right."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelkit.common.errors import InputError
from labelkit.order.key_lines import find_line_of_key
from labelkit.order.mistakes import MOST_TOLD, UNREAD, MistakeUsed
from labelkit.order.order import read_order

Event = Callable[..., Path]
SAMPLES = Path(__file__).resolve().parents[2] / "samples"

MISTAKES = [
    # file, what stands there, what a maker typed, the key that is told
    ("label.toml", "date = 2027-06-19", 'date = "soon"', "event.date"),
    ("label.toml", "guests = 60", 'identity = "Soap"\nguests = 60', "event.identity"),
    ("label.toml", 'spares = "10 %"', 'spares = "ten"', "event.spares"),
    ("label.toml", 'net_weight = "40 g"', 'net_weight = "40"', "product.net_weight"),
    ("label.toml", 'package_face = "60 x 45 mm"', "package_face = 60", "product.package_face"),
    ("label.toml", 'lot = "LS-2704"', 'lott = "LS-2704"', "product.lott"),
    ("label.toml", 'languages = ["en", "fr"]', 'languages = ["en", "xx-yy"]', "label.languages"),
    ("label.toml", 'trim = "44 x 28 mm"', 'trim = "44 x 2 mm"', "label.trim"),
    ("label.toml", 'layout = "lantern"', 'layout = "lanten"', "label.layout"),
    ("label.toml", "deliver_on = 2027-06-11", "deliver_on = 2027-06-21", "plan.deliver_on"),
    ("label.toml", "holds = 24", 'holds = "many"', "plan.box.holds"),
    ("maker.toml", 'country = "CA"', 'country = "Canada"', "maker.country"),
    ("maker.toml", 'stock = "letter-plain"', 'stock = "leter-plain"', "defaults.stock"),
    ("recipe.toml", 'mass = "190 g"', 'mas = "190 g"', "oil[4].mass"),
    ("recipe.toml", 'alkali = "NaOH"', 'alkali = "lye"', "lye[1].alkali"),
    ("recipe.toml", "lye_concentration = ", "lye_concentratoin = ", "water.mass"),
    ("prices.toml", "price = ", "prise = ", "price[1].price"),
]


def complaints(label: Path) -> tuple[str, ...]:
    with pytest.raises(InputError) as caught:
        read_order(label)
    return caught.value.lines


def told(label: Path) -> list[tuple[str, str, str]]:
    """File, line and key of every complaint; each is one line that says more after them."""
    found = []
    for line in complaints(label):
        match = re.fullmatch(r".*/(\w+\.toml): line (\d+): ([\w.\[\]]+): \S.*", line)
        assert match is not None, line
        found.append((match[1], match[2], match[3]))
    return found


def spoiled(event: Event, file: str, old: str, new: str) -> tuple[Path, int]:
    """The event with a mistake in it, and the line of it."""
    label = event()
    path = label.parent / file
    before, _, after = path.read_text("utf-8").partition(old)
    path.write_text(f"{before}{new}{after}", "utf-8")
    return label, before.count("\n") + 1


@pytest.mark.parametrize(("file", "old", "new", "key"), MISTAKES)
def test_a_mistake_by_itself_is_told_alone(
    event: Event, file: str, old: str, new: str, key: str
) -> None:
    """Nothing is told that follows from another mistake."""
    label, line = spoiled(event, file, old, new)
    ((in_file, at, found),) = told(label)
    assert (in_file, found) == (file, key)
    # What is missing has no line: the line of its table is told, which is above or the same.
    assert int(at) <= line


def test_all_of_them_are_told_in_one_run(event: Event) -> None:
    for file, old, new, _ in MISTAKES:
        label, _ = spoiled(event, file, old, new)
    found = told(label)
    every = {(file, key) for file, _, _, key in MISTAKES}
    # Whether the delivery is too late cannot be said of an event without a date.
    assert {(file, key) for file, _, key in found} == every - {("label.toml", "plan.deliver_on")}
    files = [file for file, _, _ in found]
    assert files == sorted(files, key=files.index)
    for name in set(files):
        lines = [int(line) for file, line, _ in found if file == name]
        assert lines == sorted(lines)


def test_a_blank_and_a_mistake_are_told_together(event: Event) -> None:
    label = event(("names = { en", 'names = "<<< who"\nnamed = { en'))
    event(("date = 2027-06-19", "date = 2027-06-39"))
    assert "names" not in str(complaints(label))  # a file that is no TOML says nothing else
    event(("date = 2027-06-39", 'date = "soon"'))
    blank, unknown, date = complaints(label)
    assert "label.toml: line 6: event.names: '<<< who': is still to be filled in" in blank
    assert "event.date: 'soon': expected a date" in date
    assert "event.named: unknown key; did you mean 'names'?" in unknown


def test_a_blank_written_in_escapes_is_one(event: Event) -> None:
    """TOML 1.0.0, String: \\u003c is the sign <."""
    label = event(('place = "Anse', 'place = "\\u003c\\u003c\\U0000003C Anse'))
    assert told(label) == [("label.toml", "8", "event.place")]


def test_the_command_prints_a_line_for_each(
    event: Event, capsys: pytest.CaptureFixture[str]
) -> None:
    from labelkit.cli import main

    label = event(("date = 2027-06-19", "date = 20270619"))
    event(('mass = "190 g"', 'mas = "190 g"'), file="recipe.toml")
    with pytest.raises(SystemExit) as stopped:
        main(["preflight", str(label)])
    date, mass = capsys.readouterr().err.splitlines()
    assert stopped.value.code == 2
    assert date.endswith("event.date: 20270619: expected a date such as 2027-06-19 (no quotes)")
    assert "oil[4].mass: missing; expected a mass such as" in mass
    assert mass.endswith("(is 'mas' meant for it?)")


VALUES = (
    '"x"', "5", "-1", "1.5", "true", "[]", "{}", '"<<< a"', "2027-01-01", '["a"]', '{ en = "x" }',
    '""', '"5 %"', '"40 g"', "[1]", "[{}]", "1e9", '"12 mm"', '{ a = "<<< b" }',
)  # fmt: skip


@given(st.randoms(use_true_random=False))
@settings(max_examples=40)
def test_whatever_stands_in_the_files_ends_in_an_order_or_in_complaints(chance: Random) -> None:
    """No stand-in gets out, and nothing that looks at one fails otherwise."""
    folder = SAMPLES / "lighthouse-supper"
    texts: dict[Path, str | bytes] = {}
    for path in folder.glob("*.toml"):
        lines = path.read_text("utf-8").split("\n")
        for index in chance.sample(range(len(lines)), chance.choice([0, 1, 2, 4])):
            key, assigns, _ = lines[index].partition("=")
            if assigns and not key.startswith("#"):
                value = chance.choice(VALUES)
                lines[index] = chance.choice([f"{key}= {value}", f"zz{key}= {value}", ""])
            elif key.startswith("["):
                lines[index] = chance.choice(["", "[zz]", key])
        texts[path] = "\n".join(lines)
    try:
        order = read_order(folder / "label.toml", texts)
    except InputError as error:
        assert len(set(error.lines)) == len(error.lines) <= MOST_TOLD
    else:
        assert repr(order)  # looks at every value: a stand-in would not be shown


# -- stand-ins and lines ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    "use",
    [
        bool, str, repr, len, list, float, int, hash, lambda x: x == 1, lambda x: x > 1,
        lambda x: x + 1, lambda x: 2 * x, lambda x: x.name, lambda x: x[0], lambda x: x(),
        lambda x: f"{x}", lambda x: {x: 1}, lambda x: 1 in x, lambda x: Path("a") / x,
    ],
)  # fmt: skip
def test_a_stand_in_cannot_be_looked_at(use: Callable[[object], object]) -> None:
    with pytest.raises(MistakeUsed):
        use(UNREAD)


def test_the_line_of_a_key_is_found_in_every_kind_of_table() -> None:
    text = (
        'labelkit = 1\n[a]\nx = 1\n"y z" = 2\n[[b]]\nx = """\nx = 3\n"""\n[[b]]\n  x = 4\n'
        "[b.c]\nx = { d = 5 }\n[[b.e]]\nx.y = 6\n[[b]]\n[[b.e]]\n[f.g]\n"
    )
    lines = {
        "labelkit": 1, "a": 2, "a.x": 3, "a.y z": 4, "b[1]": 5, "b[1].x": 6, "b[2]": 9,
        "b[2].x": 10, "b[2].c.x": 12, "b[2].c.x.d": 12, "b[2].e[1].x.y": 14, "b[3].e[1]": 16,
        "f.g": 17,
        # Of what is not there the line of its table.
        "a.gone": 2, "b[2].gone.too": 9, "gone": 0, "": 0, "line 3": 0,
    }  # fmt: skip
    assert {key: find_line_of_key(key, text) for key in lines} == lines


@pytest.mark.parametrize("path", sorted(SAMPLES.rglob("*.toml")), ids=lambda path: path.name)
def test_every_key_of_the_samples_is_found_where_it_stands(path: Path) -> None:
    """Held against the lines themselves: each that assigns is found again from its key."""
    text = path.read_text("utf-8")
    table, counts, checked = "", dict[str, int](), 0
    for number, line in enumerate(text.splitlines(), start=1):
        if match := re.match(r"\[\[(\w+)\]\]", line):
            counts[match[1]] = counts.get(match[1], 0) + 1
            table = f"{match[1]}[{counts[match[1]]}]."
        elif line.startswith("["):
            table = "" if "." in line else line.split("]")[0].strip("[]") + "."
        elif (match := re.match(r"(\w+) = ", line)) and table:
            assert find_line_of_key(f"{table}{match[1]}", text) == number
            checked += 1
    assert checked or "[" not in text


@given(st.text(alphabet="[]ab.=\"'\n #{}"), st.text(alphabet="ab.[]12"))
def test_no_text_confuses_it(text: str, key: str) -> None:
    assert 0 <= find_line_of_key(key, text) <= text.count("\n") + 1
