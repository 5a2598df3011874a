"""What `labelkit new` writes shows every key there is, and nothing that is not."""

from __future__ import annotations

import datetime as dt
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from importlib.resources import files
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.job.new_order import make_starter_files
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.order.fields import Field, load_file_tables
from labelkit.order.further_keys import add_further_keys
from labelkit.order.label import SideSpec, read_label
from labelkit.order.order import read_order
from labelkit.order.recipe import (
    Alkali,
    Cure,
    Share,
    SuperfatForm,
    SuperfatSpec,
    Water,
    WaterForm,
    read_recipe,
)
from labelkit.rules import list_region_titles

TABLES = {
    file: {name: table.keys for name, table in tables.items()}
    for file, tables in load_file_tables().items()
}
FillIn = Callable[[str], str]
Filled = Callable[..., Path]
FILES = ("label.toml", "recipe.toml", "maker.toml")
MOST_LINES = 265
"""Of all three files together: they are to be read, not searched."""

ALTERNATIVES = {
    "guest_list", "label_is_tag", "package_face_shape", "imported", "class", "extra_oil",
    "water_to_lye", "share_of_oils", "solution", "share", "essential_oil", "declare_as", "loss",
    "ingredients_on", "ingredients_url", "list_elsewhere", "logo", "price_list", "offcuts",
    "stock", "regions", "fonts",
}  # fmt: skip
"""Keys that stand instead of others, or name a file that is not there."""

EXAMPLES = {
    f"[plan.{table}]" for table in ("holidays", "mould", "wrap", "ribbon", "box", "extra", "tax")
}
"""Tables whose lines show what might be, where there is nothing without them."""

_HEADER = re.compile(r"^(?P<mark># )?\[\[?(?P<table>[a-z_.]+)\]\]?\s*(#.*)?$")
_KEY = re.compile(r"^(?P<mark># )?(?P<key>\"[^\"]+\"|[a-z_]+) = (?P<value>.*)$")


def starter(name: str) -> str:
    return files("labelkit.order").joinpath("starter", name).read_text("utf-8")


def shown(name: str) -> Iterator[tuple[str, str, str, bool]]:
    """Table, key, line and whether it is commented out, of every key the starter shows."""
    table = ""
    for line in starter(name).splitlines():
        if header := _HEADER.match(line):
            table = header["table"]
        elif key := _KEY.match(line):
            yield table, key["key"], line, bool(key["mark"])


@pytest.mark.parametrize("name", FILES)
def test_every_key_is_shown_or_named(name: str) -> None:
    """A line shows it, or a comment under its table names it, or names the whole table."""
    text = make_starter_files()[name]
    sections = re.split(r"(?m)^(?=(?:# )?\[)", text)
    closing = text[text.index("# `labelkit schema --reference`") :]
    for table, one in load_file_tables()[name].items():
        if (table.startswith("plan") and name == "label.toml") or table == "":
            continue  # habits are in the maker's file
        own = [s for s in sections if re.match(rf"(?:# )?\[\[?{re.escape(table)}\]", s)]
        if not own:
            inner = table.rpartition(".")[2]
            assert (
                f"[{table}]" in closing
                or f"{inner} = [" in text
                or table in ("plan.sent", "plan.customer")
            )
            continue
        shown = {word for section in own for word in re.findall(r"\w+", section)}
        dated = {key for key, field in one.fields.items() if field.kind == "date"}
        assert set(one.fields) - shown <= ({*dated} if table == "plan" else set()) | {
            inner for inner in one.fields if f"[{table}.{inner}]" in text
        }, table


def test_a_new_key_is_in_a_new_file_as_soon_as_it_has_its_row(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tables = load_file_tables()
    oil = tables["recipe.toml"]["oil"]
    more = replace(oil, fields={**oil.fields, "pressed": Field("choice", "How it was won.")})
    changed = {**tables, "recipe.toml": {**tables["recipe.toml"], "oil": more}}
    monkeypatch.setattr("labelkit.order.further_keys.load_file_tables", lambda: changed)
    assert "infused_with, pressed" in make_starter_files()["recipe.toml"]


@pytest.mark.parametrize("name", FILES)
def test_nothing_is_shown_that_is_no_key(name: str) -> None:
    for table, key, line, _ in shown(name):
        if table in ("plan.holidays", "scent.allergens"):
            continue
        assert key in TABLES[name][table], line


def test_the_files_stay_short() -> None:
    lines = [line for name in FILES for line in starter(name).splitlines()]
    assert len(lines) <= MOST_LINES
    assert max(map(len, lines)) <= 100


@pytest.mark.parametrize("name", FILES)
def test_every_commented_line_is_a_line(name: str) -> None:
    for _, _, line, commented in shown(name):
        if commented:
            assert tomllib.loads(line.removeprefix("# "))


def test_a_comment_of_the_plan_shows_what_holds_without_it() -> None:
    """A habit that is left a comment is the one the plan assumes, or the line says what is."""
    defaults = tomllib.loads(files("labelkit.order").joinpath("plan_defaults.toml").read_text())
    for table, key, line, _ in shown("maker.toml"):
        known = defaults if table == "plan" else defaults.get(table.removeprefix("plan."), {})
        said = "else " in line or key == "terms"  # one line says it of two
        if table.startswith("plan") and f"[{table}]" not in EXAMPLES and not said:
            assert tomllib.loads(line.removeprefix("# "))[key] == known[key], line
    headers = [line for line in starter("maker.toml").splitlines() if _HEADER.match(line)]
    for header in headers:
        table = _HEADER.match(header)["table"]  # type: ignore[index]
        assert ("e.g." in header) == (f"[{table}]" in EXAMPLES), header


def test_the_commented_lines_are_read_together(tmp_path: Path, fill_in: FillIn) -> None:
    """With every mark of a comment taken away, but of what stands instead of something else."""
    for name in FILES:
        lines = []
        for line in starter(name).splitlines():
            key = _KEY.match(line)
            known = (key and key["key"] not in ALTERNATIVES) or _HEADER.match(line)
            lines.append(line.removeprefix("# ") if known else line)
        text = fill_in("\n".join(lines))
        # Weighed lye, or water, stands instead of the superfat or the concentration.
        text = text.replace('mass = "140 g"', "").replace('mass = "280 g"', "")
        (tmp_path / name).write_text(text, "utf-8")
    spec = read_label(tmp_path / "label.toml")
    plan = spec.plan
    assert spec.product.soap_colour == "#e9c98f"
    assert plan.money.price is not None
    assert read_recipe(spec.product.recipe).own_materials


INSTEAD = {
    "guest_list": "guests", "extra_oil": "lye_discount", "water_to_lye": "lye_concentration",
    "share_of_oils": "lye_concentration", "solution": "purity",
}  # fmt: skip
"""Keys that a comment says stand instead of another, which is then taken out."""
WITH = {"declare_as": "essential_oil", "ingredients_url": "ingredients_on"}
"""Keys that a comment says go with another."""
BY_WEIGHT = {("recipe.toml", "lye", "mass"): "superfat", ("recipe.toml", "water", "mass"): "water"}
"""Masses that stand instead of a table, or of its other key."""


def list_examples() -> Iterator[tuple[str, str, str]]:
    """File, table and key of each commented line; "" for a table that is a comment as a whole."""
    for name in FILES:
        whole = ""
        for line in starter(name).splitlines():
            if header := _HEADER.match(line):
                table, whole = header["table"], header["mark"] or ""
                if whole:
                    yield name, table, ""
            elif (key := _KEY.match(line)) and key["mark"] and not whole:
                yield name, table, key["key"]


def uncomment(text: str, wanted: str, key: str) -> str:
    """The text with one commented line, or all of a commented table, made a line."""
    lines, table, skipped = [], "", INSTEAD.get(key, "")
    for line in text.splitlines():
        header, found = _HEADER.match(line), _KEY.match(line)
        table = header["table"] if header else table
        own = table == wanted and bool(header or found)
        if (own and not key) or (own and found and found["key"] in (key, WITH.get(key))):
            line = line.removeprefix("# ")
        elif own and found and not found["mark"] and found["key"] == skipped:
            continue
        lines.append(line)
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(("name", "table", "key"), sorted(set(list_examples())))
def test_each_example_works_once_it_is_no_comment(
    tmp_path: Path, fill_in: FillIn, name: str, table: str, key: str
) -> None:
    """By itself, with what its own comment says of its neighbours."""
    if (name, table, key) in BY_WEIGHT:
        pytest.skip("read by the test of all forms of water and superfat")
    for file in FILES:
        text = starter(file)
        (tmp_path / file).write_text(
            fill_in(uncomment(text, table, key) if file == name else text), encoding="utf-8"
        )
    (tmp_path / "guests.csv").write_text("Ada\nOlive\n", encoding="utf-8")
    (tmp_path / "prices.toml").write_text("labelkit = 1\n", encoding="utf-8")
    (tmp_path / "logo.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0H9V9Z"/></svg>',
        encoding="utf-8",
    )
    (tmp_path / "gurmukhi.ttf").write_bytes(b"read when a name needs it")
    try:
        read_order(tmp_path / "label.toml")
    except InputError as error:
        pytest.fail("\n".join(map(str, error.lines)))


# -- nothing is invented

OURS = {
    "label.toml": {
        "labelkit", "event.spares", "product.identity.en", "product.identity.fr", "product.recipe",
        "product.maker", "label.languages", "label.trim", "label.shape", "label.corner",
        "label.layout",
    },
    "recipe.toml": {"labelkit"},
    "maker.toml": {"labelkit", "defaults.stock"},
}  # fmt: skip
"""What the starter says itself: what soap is called, which files there are, a design and a paper to
begin with, and spares. All else only the maker can know."""

OWN = {
    "names.en": '"Wren & Ash"', "names.fr": '"Wren et Ash"', "date": "2028-09-02",
    "place": '"Kettle Bay"', "guests": "37", "scent.en": '"Smoke"', "scent.fr": '"Fumée"',
    "net_weight": '"53 g"', "package_face": '"71 x 52 mm"', "lot": '"K-88"',
    "recipe.name": '"Smoke house"', "scale": '"2 g"', "oil.material": '"lard"',
    "oil.mass": '"812 g"', "alkali": '"KOH"', "purity": '"91 %"', "lye_discount": '"7 %"',
    "lye_concentration": '"29 %"', "scent.name": '"Smoke"', "scent.mass": '"17 g"',
    "limit": '"9 %"', "weeks": "11", "maker.name": '"Kettle Soap"', "country": '"FR"',
}  # fmt: skip
"""By the end of its key, what a maker writes in the place of a blank."""


def leaves(value: object, key: str = "") -> Iterator[tuple[str, object]]:
    """Every value of a TOML file with its dotted key; lists of plain values are one value."""
    if isinstance(value, Mapping):
        for name, inner in value.items():
            yield from leaves(inner, f"{key}.{name}".lstrip("."))
    elif isinstance(value, list) and any(isinstance(item, Mapping) for item in value):
        for item in value:
            yield from leaves(item, key)
    else:
        yield key, value


@pytest.mark.parametrize("regions", [(), ("CA",), ("US", "CA"), ("BE",), ("CZ",), ("AU",)])
def test_what_only_the_maker_can_know_is_blank(regions: tuple[str, ...]) -> None:
    for name, text in make_starter_files(regions).items():
        said = {key for key, value in leaves(tomllib.loads(text)) if "<<<" not in f"{key}{value}"}
        languages = set(tomllib.loads(text).get("label", {}).get("languages", ()))
        ours = {key for key in OURS[name] if not key.startswith("product.identity")}
        asked = {"defaults.regions"} if regions and name == "maker.toml" else set()
        assert said == ours | asked | {f"product.identity.{tag}" for tag in languages}, name


def test_who_fills_in_what_is_marked_ends_with_nothing_invented(tmp_path: Path) -> None:
    blank = re.compile(r'^(?P<key>"?<<<.*?"|[a-z_]+) = .*"<<<')
    for name, text in make_starter_files().items():
        text = text.replace('"<<< The names"', OWN["names.en"])
        text = text.replace('"<<< Les noms"', OWN["names.fr"])
        text = text.replace('"<<< Scent"', OWN["scent.en"])
        text = text.replace('"<<< Parfum de ..."', OWN["scent.fr"])
        text = text.replace('["<<< 1 Street", "<<< Town NB  A0A 0A0"]', '["8 Kiln Rd", "Brae NS"]')
        text = text.replace('["<<< hello@maker.example"]', '["902 555 0199"]')
        text = text.replace('["<<< where it is sold, such as CA"]', '["CA-QC"]')
        table, lines = "", []
        for line in text.splitlines():
            if header := _HEADER.match(line):
                table = header["table"]
            if found := blank.match(line):
                key = found["key"]
                mine = (
                    "Citral = '4 %'"
                    if table == "scent.allergens"
                    else (f"{key} = {OWN.get(f'{table}.{key}') or OWN[key]}")
                )
                lines.append(mine)
            else:
                lines.append(line)
        (tmp_path / name).write_text("\n".join(lines), encoding="utf-8")

    spec = read_label(tmp_path / "label.toml")
    event, product, maker = spec.event, spec.product, spec.maker
    assert (event.names, event.place) == (
        {"en": "Wren & Ash", "fr": "Wren et Ash"},
        {"": "Kettle Bay"},
    )
    assert (event.date, event.guests) == (dt.date(2028, 9, 2), 37)
    assert product.scent == {"en": "Smoke", "fr": "Fumée"}
    assert (product.net_weight_g, product.lot) == (53, "K-88")
    assert (product.face_width_mm, product.face_height_mm) == (71, 52)
    assert (maker.name, maker.country, maker.brand) == ("Kettle Soap", "FR", "")
    assert (maker.address, maker.contact) == (("8 Kiln Rd", "Brae NS"), ("902 555 0199",))
    assert spec.regions == ("CA-QC",)
    assert (spec.front, spec.back) == (SideSpec(), SideSpec())

    recipe = read_recipe(product.recipe)
    assert (recipe.name, recipe.scale_g) == ("Smoke house", 2)
    assert [(oil.material, oil.mass_g) for oil in recipe.oils] == [("lard", 812)]
    assert [(lye.alkali, lye.purity_percent) for lye in recipe.lyes] == [(Alkali.KOH, 91)]
    assert recipe.superfat == SuperfatSpec(SuperfatForm.LYE_DISCOUNT, Decimal(7))
    assert recipe.water == Water(WaterForm.LYE_CONCENTRATION, Decimal(29), "29 %")
    (scent,) = recipe.scents
    assert (scent.name, scent.mass_g, scent.limit_percent) == ("Smoke", 17, 9)
    assert scent.allergens == {"Citral": Share(Decimal(4), Decimal(4))}
    assert recipe.cure == Cure(weeks=11)  # no bars, no loss
    assert (recipe.additives, recipe.colours, recipe.own_materials) == ((), (), ())


def test_half_filled_files_are_refused_with_a_line_for_each_blank(
    tmp_path: Path, fill_in: FillIn
) -> None:
    texts = dict(make_starter_files())
    texts["label.toml"] = fill_in(texts["label.toml"])
    texts["recipe.toml"] = texts["recipe.toml"].replace('"<<< such as 25 g"', '"25 g"')
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        prepare_job(tmp_path / "label.toml")
    wanted = [
        f"{tmp_path / name}: line {number}: "
        for name in ("recipe.toml", "maker.toml")
        for number, line in enumerate(texts[name].splitlines(), start=1)
        if not line.startswith("#")
        for _ in range(line.count('"<<<') - ('" = "<<<' in line))  # a key and its value are one
    ]
    assert len(wanted) > 12
    told = caught.value.lines
    assert [line[: len(where)] for line, where in zip(told, wanted, strict=True)] == wanted
    assert all(line.endswith(": is still to be filled in") for line in told)
    assert "scent[1].name: '<<< Fragrance'" in " ".join(told)
    assert "scent[1].mass" not in " ".join(told)


@pytest.mark.parametrize(
    ("blank", "typed", "told"),
    [
        ("date", '"2027-06-19"', "event.date: '2027-06-19': write 2027-06-19 (no quotes)"),
        ("date", '"19 June 2027"', "event.date: '19 June 2027': write 2027-06-19 (no quotes)"),
        ("guests", '"60"', "event.guests: '60': write 60 without quotes"),
    ],
)
def test_a_blank_filled_in_within_its_quotes_is_told(
    blank: str, typed: str, told: str, filled: Filled
) -> None:
    label = filled("CA")
    text = re.sub(rf"^{blank} = [-\d]+", f"{blank} = {typed}", label.read_text("utf-8"), flags=re.M)
    label.write_text(text, "utf-8")
    with pytest.raises(InputError) as caught:
        read_label(label)
    assert str(caught.value).endswith(told)


# -- suited to regions


@pytest.fixture
def filled(tmp_path: Path, fill_in: FillIn) -> Callable[..., Path]:
    """The starter for these regions with every blank filled in as it suggests itself."""

    def make(*regions: str) -> Path:
        for name, text in make_starter_files(regions).items():
            (tmp_path / name).write_text(fill_in(text), encoding="utf-8")
        return tmp_path / "label.toml"

    return make


def test_without_regions_the_starter_is_as_it_was_written() -> None:
    assert make_starter_files() == {n: add_further_keys(n, starter(n)) for n in FILES}


@pytest.mark.parametrize("region", sorted({*list_region_titles()} - {"EU"}))
@pytest.mark.quick(10)
def test_the_starter_of_a_region_passes_once_filled_in(region: str, filled: Filled) -> None:
    report = preflight_job(prepare_job(filled(region)))
    assert report.regions == (region,)
    assert [f.rule for f in report.findings if f.level == "fail"] == []


@pytest.mark.parametrize(
    ("regions", "languages", "stock"),
    [
        # CPLR s. 6(2): English and French. Regulation 1223/2009 Art. 19(5) leaves the language to
        # each state: Belgium as a whole Dutch and French, Finland Finnish and Swedish (Tukes).
        (("CA",), ["en", "fr"], "letter-plain"),
        (("US",), ["en"], "letter-plain"),
        (("BE", "GB"), ["nl", "fr", "en"], "a4-plain"),
        (("FI", "SE"), ["fi", "sv"], "a4-plain"),
        # Luxembourg takes French, German or Luxembourgish: French is on the label already.
        (("BE", "LU"), ["nl", "fr"], "a4-plain"),
    ],
)
def test_the_starter_has_the_languages_and_the_paper_of_its_regions(
    regions: tuple[str, ...], languages: list[str], stock: str, filled: Filled
) -> None:
    label = filled(*regions)
    spec = read_label(label)
    assert sorted(spec.languages) == sorted(languages)
    assert (spec.regions, spec.stock) == (regions, stock)
    assert set(spec.product.identity) == set(languages)


def test_the_starter_for_two_countries_says_where_it_is_made(filled: Filled) -> None:
    job = prepare_job(filled("US", "CA"))
    # 19 USC 1304: imported goods name their country of origin.
    assert all(
        "Made in the United States" in words for words in job.spec.back.words["origin"].values()
    )
    found = {finding.rule for finding in preflight_job(job).findings}
    assert "LABELKIT-FIT" not in found
    assert "US-ORIGIN" not in found


@pytest.mark.parametrize(
    ("region", "told"),
    [
        ("PT", set()),
        ("GB", set()),
        ("GB-NIR", set()),
        # The Czech words are the maker's to write: what stands for them is English, and is told.
        ("CZ", {"CRAFT-DURABILITY-LANGUAGE"}),
    ],
)
def test_the_starter_asks_how_long_a_piece_keeps(
    region: str, told: set[str], filled: Filled
) -> None:
    """Regulation (EC) No 1223/2009, Art. 19(1)(c): a date is asked for up to 30 months, and only
    beyond them a period after opening."""
    text = make_starter_files([region])["label.toml"]
    (months,) = re.findall(r'^durability_months = "<<< .* (\d+)"', text, re.MULTILINE)
    (line,) = re.findall(r"^durability = (.*)$", text, re.MULTILINE)
    assert int(months) <= 30
    assert re.search(r"\b(0[1-9]|1[0-2])/\d{4}\b", line)
    assert "12M" not in line
    report = preflight_job(prepare_job(filled(region)))
    assert {f.rule for f in report.findings if f.element == "durability"} == told


@pytest.mark.parametrize("region", ["CA", "US", "AU"])
def test_no_starter_asks_for_durability_where_no_law_does(region: str) -> None:
    """No law for cosmetics of these three asks for it (from memory)."""
    assert not re.search(r"^durability", make_starter_files([region])["label.toml"], re.MULTILINE)


def test_the_union_as_such_has_no_starter() -> None:
    with pytest.raises(InputError, match="'EU': has no language of its own; expected one of its"):
        make_starter_files(["EU"])
