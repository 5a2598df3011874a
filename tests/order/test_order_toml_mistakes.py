"""The commonest slips in a TOML file: each is told with its line, its key and the cure.

The expected lines are TOML 1.0 (toml.io, from memory): the cure, put in the slip's place, is read
by Python's own tomllib.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelkit.common.days import suggest_day
from labelkit.common.errors import InputError
from labelkit.order.label import read_label
from labelkit.order.recipe import read_recipe
from labelkit.order.toml_mistakes import find_toml_mistake

Event = Callable[..., Path]

SLIPS = [
    # what a maker types, what it is in a file that is read, the complaint's beginning
    ("date = 27.02.2027", "2027-02-27", "27.02.2027: write 2027-02-27"),
    ("date = 19/06/2027", "2027-06-19", "19/06/2027: write 2027-06-19"),
    ("date = 2027-6-9", "2027-06-09", "2027-6-9: write 2027-06-09"),
    ("date = 27 February 2027", "2027-02-27", "27 February 2027: write 2027-02-27"),
    ("date = 27 février 2027", "2027-02-27", "27 février 2027: write 2027-02-27"),
    ("date = June 19, 2027", "2027-06-19", "June 19, 2027: write 2027-06-19"),
    ("name = “Ada”", '"Ada"', '“Ada”: use straight quotes: "Ada"'),
    ("name = «Ada»", '"Ada"', '«Ada»: use straight quotes: "Ada"'),
    ('name = "Ada”', '"Ada"', '"Ada”: use straight quotes: "Ada"'),
    ("name = Ada", '"Ada"', 'Ada: put it in quotes: "Ada"'),
    ("name = Ada Loom # who", '"Ada Loom"', 'Ada Loom: put it in quotes: "Ada Loom"'),
    ("purity = 98,5 %", '"98,5 %"', '98,5 %: put it in quotes: "98,5 %"'),
    ("weight = 40 g", '"40 g"', '40 g: put it in quotes: "40 g"'),
    ("trim = 44 x 28 mm", '"44 x 28 mm"', '44 x 28 mm: put it in quotes: "44 x 28 mm"'),
    ("spares = 10 %", '"10 %"', '10 %: put it in quotes: "10 %"'),
    ("colour = #3a2f25", '"#3a2f25"', '#3a2f25: put it in quotes: "#3a2f25"'),
    ("regions = CA, US", '["CA", "US"]', 'CA, US: put it in quotes: "CA, US", or write a list: '),
    ('name = "Ada', '"Ada"', '"Ada: the closing quote is missing: "Ada"'),
    ('name = Ada"', '"Ada"', 'Ada": the opening quote is missing: "Ada"'),
    ('name = "the "Ada" here"', "'the \"Ada\" here'",
     '"the "Ada" here": a quote stands within the text; put it in the other ones: '),
    ("name = 'L'Ada'", '"L\'Ada"', "'L'Ada': a quote stands within the text; put it in the other"),
    ("size = 1,5", "1.5", "1,5: write 1.5 with a point"),
    ("size = 05", "5", "05: write 5"),
    ("size = .5", "0.5", ".5: write 0.5"),
    ("flag = True", "true", "True: write true in small letters"),
]  # fmt: skip


def slip_of(text: str) -> str:
    with pytest.raises(tomllib.TOMLDecodeError) as caught:
        tomllib.loads(text)
    slip = find_toml_mistake(text, str(caught.value))
    assert slip is not None
    return f"line {slip.line}: {slip.key}: {slip.found}: {slip.cure}"


@pytest.mark.parametrize(("typed", "right", "told"), SLIPS, ids=[typed for typed, _, _ in SLIPS])
@pytest.mark.parametrize("after", ["", "\n", '\nother = "x"\n[label]\ntrim = "1"\n'])
def test_a_slip_is_told_with_line_key_and_cure(
    typed: str, right: str, told: str, after: str
) -> None:
    key = typed.split(" = ")[0]
    text = f"labelkit = 1\n\n[event] # what\n{typed}{after}"
    assert slip_of(text).startswith(f"line 4: event.{key}: {told}")
    assert right in slip_of(text)
    assert slip_of(text).count("write a list") == right.startswith("[")
    tomllib.loads(f"{key} = {right}")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("a = 2027-02-31",
         "line 1: a: 2027-02-31: there is no such day: February 2027 has 28 days"),
        ("a = 31.06.2027", "line 1: a: 31.06.2027: there is no such day: June 2027 has 30 days"),
        ("a = 29.02.2028", "line 1: a: 29.02.2028: write 2028-02-29"),  # a leap year
        ("a = 5/6/2027",
         "line 1: a: 5/6/2027: write 2027-06-05 if the day came first, 2027-05-06 if the month"),
        ("[oil]\na = 1\n[oil]\na = 2", "line 1: : [oil]: write [[oil]] with two brackets for each"),
        ("[[oil]]\na = 1\n[oil]\n", "line 3: : [oil]: write [[oil]] with two brackets for each"),
        ("[oil]\na = 1\n[[oil]]\n", "line 1: : [oil]: write [[oil]] with two brackets for each"),
        ("[[oil]\n", "line 1: : [[oil]: write [[oil]]"),
        ("[label\n", "line 1: : [label: write [label]"),
        ("label:\n", "line 1: : label:: write [label]"),
        ('a = { en = "The, fr = "Le" }',
         'line 1: a: { en = "The, fr = "Le" }: a quote is missing: each text has one before it'),
        ("label]\n", "line 1: : label]: write [label]"),
        ("[a]\nb = 1\n[c]\n[a]\n", "line 4: : [a]: stands in line 1 already; put all its lines"),
        ("[a]\nb = 1\nb = 2\n", "line 3: a.b: 2: b stands in line 2 already; keep one of them"),
        ("a = \n", "line 1: a: : nothing stands after ="),
        ("a == 3", "line 1: a: = 3: write a single ="),
        ("a = 1 b = 2", "line 1: a: 1 b = 2: write each key on a line of its own"),
        ('a: "x"', 'line 1: : a: "x": write = instead of ":", as in a = "..."'),
        ("Merci à tous", "line 1: : Merci à tous: expected key = "),
        ("net weight = 3", "line 1: : net weight: a key has the letters a to z, digits, _ and -"
         " alone; write net_weight"),
        ("“names” = 3", "line 1: : “names”: write a key without quotes: names"),
        ('a = ["x", "y"\n\n[b]\nc = 1', 'line 1: a: ["x", "y": the closing ] is missing'),
        ('a = ["x" "y"]', 'line 1: a: ["x" "y"]: a comma is missing after "x"'),
        ("a = [Ada, Bo]", 'line 1: a: [Ada, Bo]: put each text in quotes: "Ada"'),
        ("a = { en = Soap }", 'line 1: a: { en = Soap }: put each text in quotes: "Soap"'),
        ('a = { en = "x" fr = "y" }',
         'line 1: a: { en = "x" fr = "y" }: a comma is missing after "x"'),
        ('a = {\n en = "x" }', "line 1: a: {: a table in { } must stand on one line"),
        ("a = { en = “x” }", "line 1: a: { en = “x” }: use straight quotes"),
        ('a = [\n { b = "1 g", c = "2 g" },\n { b = "1 g" c = "2 g" },\n]',
         'line 3: a: { b = "1 g" c = "2 g" },: a comma is missing after "1 g"'),
        ('a = [\n { b = "1 g" }\n { b = "1 g" },\n]',
         'line 3: a: { b = "1 g" },: a comma is missing at the end of the line above'),
        ('a = "C:\\Users"', 'line 1: a: "C:\\Users": write \\\\ for each \\ in it'),
        ('a = "x";', "line 1: a: \"x\";: leave out the ';' after the closing quote"),
        ('a = """x\n[b]\n', 'line 1: a: """x: the closing """ is missing'),
    ],
)  # fmt: skip
def test_slips_of_every_kind(text: str, told: str) -> None:
    assert slip_of(text).startswith(told)


@pytest.mark.parametrize("line", ["a.b = 1\na = 2", "[a]\nb = 1\n[a.b]\nc = 2", "a = " + "x" * 900])
def test_what_is_not_known_is_left_to_the_parser(line: str) -> None:
    with pytest.raises(tomllib.TOMLDecodeError) as caught:
        tomllib.loads(line)
    assert find_toml_mistake(line, str(caught.value)) is None


def test_the_whole_complaint_is_one_line_with_the_file(event: Event) -> None:
    label = event(("date = 2027-06-19", "date = 19.06.2027"))
    with pytest.raises(InputError) as caught:
        read_label(label)
    number = label.read_text("utf-8").split("\n").index("date = 19.06.2027") + 1
    assert str(caught.value) == f"{label}: line {number}: event.date: 19.06.2027: write 2027-06-19"


def test_a_day_in_quotes_is_told_as_well(event: Event) -> None:
    label = event(("date = 2027-06-19", 'date = "19.6.2027"'))
    with pytest.raises(InputError, match=r"event\.date: '19\.6\.2027': write 2027-06-19 \(no quo"):
        read_label(label)


def test_windows_line_ends_count_as_one(event: Event) -> None:
    label = event()
    recipe = label.parent / "recipe.toml"
    lines = recipe.read_text("utf-8").replace('mass = "190 g"', "mass = 190 g").split("\n")
    recipe.write_bytes("\r\n".join(lines).encode("utf-8"))
    wanted = lines.index("mass = 190 g") + 1
    with pytest.raises(InputError, match=rf"line {wanted}: oil\.mass: 190 g: put it in quotes"):
        read_recipe(recipe)


@pytest.mark.parametrize("text", ["soon", "40 g", "1.5", "12.5.1", "20 Smarch 2027", "3/4/5"])
def test_what_is_no_day_is_not_taken_for_one(text: str) -> None:
    assert not re.search(r"\d{4}-\d{2}-\d{2}(?! *$)", suggest_day(text).replace("2027-06-19", ""))


@pytest.mark.parametrize("text", ["05/00/2027", "00/05/2027", "1/2/0000", "0-0-2027", "13-13-2027"])
def test_figures_of_no_day_are_told_as_such(text: str) -> None:
    assert suggest_day(text).startswith("there is no such day")


@given(st.text(st.sampled_from("ab=[]{}\"'“”#,. \n\t\\1-/é"), max_size=60))
def test_any_text_is_looked_at_without_falling_over(text: str) -> None:
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        slip = find_toml_mistake(text, str(error))
        if slip is not None:
            assert 1 <= slip.line <= text.count("\n") + 1
            assert slip.cure
