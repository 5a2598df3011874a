"""``labelkit declare``: its formats, its exit codes and its complaints."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from labelkit.cli import main
from labelkit.cli.declare import command
from labelkit.common.errors import InputError


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(command, [str(a) for a in (*arguments, "--on", "2027-06-19")])


@pytest.fixture
def recipe(sample: Path) -> Path:
    """The recipe of the sample event."""
    return sample.with_name("recipe.toml")


def test_json_holds_the_declaration_and_its_table(recipe: Path) -> None:
    result = run(recipe, "--format", "json")
    assert result.exit_code == 0
    found = json.loads(result.output)
    assert found["declaration"][0] == "Sodium Olivate"
    assert found["declaration"][-1] == "Parfum"
    assert found["basis"] == "cured"
    assert set(found["table"][0]) == {
        "material", "grams_in", "became", "name", "grams_in_bar", "percent", "reason"
    }  # fmt: skip
    in_bar = sum(r["grams_in_bar"] for r in found["table"] if r["became"] != "fragrance allergen")
    assert in_bar == pytest.approx(found["total_g"], abs=0.01)


def test_csv_is_the_table(recipe: Path) -> None:
    result = run(recipe, "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(result.output)))
    assert rows[0]["name"] == "Sodium Olivate"
    assert rows[0]["material"] == "olive oil"
    assert float(rows[0]["grams_in"]) == 1450


def test_text_states_the_basis_and_the_cautions_once(recipe: Path) -> None:
    result = run(recipe)
    assert "Names as formed; percent of the cured bar, 4051.498 g." in result.output
    assert result.output.count("Add lye to water") == 1
    assert "Local rules" in result.output


def test_columns_are_aligned(recipe: Path) -> None:
    lines = run(recipe).output.splitlines()
    rule = next(i for i, text in enumerate(lines) if text.startswith("-----"))
    edges = [i for i, char in enumerate(lines[rule]) if char == " "]
    for text in lines[rule - 1 : rule + 6]:
        assert all(text[i : i + 1] in ("", " ") for i in edges), text


@pytest.mark.parametrize(
    ("options", "first", "second"),
    [
        ((), "Sodium Olivate", "Sodium Cocoate"),
        (("--basis", "poured"), "Sodium Olivate", "Aqua"),
        (("--region", "FI"), "Olea Europaea Fruit Oil", "Aqua"),
        (("--region", "us"), "Olea Europaea (Olive) Fruit Oil", "Water"),
        (("--region", "US", "--style", "formed"), "Sodium Olivate", "Water"),
    ],
)
def test_region_style_and_basis(
    recipe: Path, options: tuple[str, ...], first: str, second: str
) -> None:
    result = run(recipe, *options, "--format", "json")
    assert json.loads(result.output)["declaration"][:2] == [first, second]


def test_alkali_excess_ends_with_one(recipe: Path, tmp_path: Path) -> None:
    text = recipe.read_text(encoding="utf-8").replace(
        'lye_discount = "6 %"', 'lye_discount = "0 %"'
    )
    spoilt = tmp_path / "recipe.toml"
    spoilt.write_text(text, encoding="utf-8")
    result = run(spoilt)
    assert result.exit_code == 1
    assert "fail: The superfat of 0.00 %" in result.output
    assert result.output.index("fail:") < result.output.index("Sodium Olivate")
    assert json.loads(run(spoilt, "--format", "json").output)["doubts"][0]["level"] == "fail"


def test_an_unfit_recipe_is_given_no_mass_to_pour_by(recipe: Path, tmp_path: Path) -> None:
    """Lye for all that the oils could take: 451.3 g of NaOH of 98.5 %, and 959 g of water."""
    spoilt = tmp_path / "recipe.toml"
    text = recipe.read_text(encoding="utf-8").replace('"6 %" # less', '"0 %" # less')
    spoilt.write_text(text, encoding="utf-8")
    told = run(spoilt)
    assert told.exit_code == 1
    assert "DO NOT POUR this recipe as it stands" in told.output
    assert "to weigh, rounded" not in told.output
    table = run(spoilt, "--format", "csv")
    assert table.exit_code == 1
    assert {row["grams_in"] for row in csv.DictReader(io.StringIO(table.output))} == {""}
    found = json.loads(run(spoilt, "--format", "json").output)
    assert len(found["unfit"]) == 1
    lye = found["batch"]["lye"][0]
    assert {lye["to_weigh_g"], lye["weighed_g"], lye["pure_g"], found["batch"]["water_g"]} == {None}
    for output in (told.output, table.output, json.dumps(found)):
        assert not re.search(r"\b(451|1450|959)\b", output), output
    assert (
        found["weighing_check"]["lye_share_of_oils_percent"]
        > (found["weighing_check"]["most_percent"])
    )


def test_a_fit_recipe_tells_the_mistakes_and_the_figure_to_check(recipe: Path) -> None:
    """424 g of lye on 3015 g of oils are 14.06 %. No superfat is left at 14.06 / 0.94 = 14.96 %;
    the low end of the range, 1.7 points under the superfat, brings that to 14.7 %."""
    told = run(recipe)
    assert told.exit_code == 0
    assert "the lye must weigh 10.47 to 14.7" in told.output
    assert "of the oils; here: 14.06 %" in told.output
    assert "CAUSTIC, should it happen:\n  the oils weighed" in told.output
    assert "DO NOT POUR" not in told.output


@pytest.mark.parametrize(
    ("maker", "options", "said", "first"),
    [
        ('regions = ["NZ"]', (), "for NZ, as maker.toml says, on", "Olea Europaea"),
        ('regions = ["nz"]', ("--region", "CA"), "for CA on", "Sodium Olivate"),
        ("", (), "for CA, no region being given, on", "Sodium Olivate"),
        (None, (), "for CA, no region being given, on", "Sodium Olivate"),
    ],
)
def test_the_makers_region_is_used_where_none_is_given(
    event: Callable[..., Path], maker: str | None, options: tuple[str, ...], said: str, first: str
) -> None:
    """Names as added for NZ and as formed for CA are the presets' choice; Canada's rests on the
    definition of an ingredient (Cosmetic Regulations, s. 2(1))."""
    recipe = event().with_name("recipe.toml")
    beside = recipe.with_name("maker.toml")
    if maker is None:
        beside.unlink()
    else:
        name = '[maker]\nname = "<<< not yet"\n'
        beside.write_text(f"labelkit = 1\n{name}[defaults]\n{maker}\n", encoding="utf-8")
    lines = run(recipe, *options).output.splitlines()
    assert said in lines[0]
    assert lines[2].startswith(first)


def test_an_unknown_region_of_the_maker_is_told_by_file_and_key(event: Callable[..., Path]) -> None:
    label = event(('regions = ["CA"]', 'regions = ["Kanada"]'), file="maker.toml")
    with pytest.raises(InputError, match=r"maker\.toml: defaults\.regions: .*did you mean CA"):
        CliRunner().invoke(command, [str(label.with_name("recipe.toml"))], catch_exceptions=False)


def test_the_reason_for_the_style_is_given(recipe: Path) -> None:
    """Cosmetic Regulations (Canada), s. 2(1): an ingredient is present in the final product; the EU
    orders by weight "at the time they are added" (Art. 19(1)(g), from memory)."""
    assert "As formed for CA: an ingredient is what is in the finished" in run(recipe).output
    added = " ".join(run(recipe, "--region", "EU").output.split())
    assert "As added for EU: the order is by weight at the time of adding" in added
    assert "--style formed is accepted too" in added
    assert "As formed for" not in run(recipe, "--region", "EU", "--style", "formed").output


@pytest.mark.parametrize(
    ("scale", "grams"), [("1 g", "424"), ("0.1 g", "424.2"), ("5 g", "420"), ("0.01 g", "424.21")]
)
def test_lye_is_given_as_the_scale_can_show_it_and_never_more(
    event: Callable[..., Path], scale: str, grams: str
) -> None:
    """The sample's lye by hand: grams of oil by mg KOH per g, less 6 %, times the molar masses of
    NaOH and KOH (39.997 and 56.106, IUPAC) and over the purity of 98.5 %."""
    demand = 1450 * 189.5 + 850 * 257 + 450 * 180 + 190 * 181.5 + 75 * 198
    exact = demand / 1000 * 0.94 * 39.997 / 56.106 / 0.985
    division = float(scale.split()[0])
    assert math.floor(exact / division) * division == pytest.approx(float(grams))
    label = event(('scale = "1 g"', f'scale = "{scale}"'), file="recipe.toml")
    output = run(label.with_name("recipe.toml")).output
    assert f"NaOH: {grams} g to weigh, rounded down" in output
    found = json.loads(run(label.with_name("recipe.toml"), "--format", "json").output)
    assert found["batch"]["lye"][0]["to_weigh_g"] == float(grams)


def test_grams_of_lye_that_were_given_stay_as_they_are(event: Callable[..., Path]) -> None:
    label = event(file="recipe.toml")
    recipe = label.with_name("recipe.toml")
    text = recipe.read_text(encoding="utf-8")
    text = text.replace('lye_discount = "6 %"', "").replace("[superfat]", "")
    text = text.replace('alkali = "NaOH"', 'alkali = "NaOH"\nmass = "420.5 g"')
    recipe.write_text(text, encoding="utf-8")
    assert "NaOH: 420.5 g as given" in run(recipe).output


def test_values_are_shown_beside_what_is_published(recipe: Path) -> None:
    """Codex CXS 33, from memory: olive oil, 184 to 196 mg KOH per g."""
    assert "189.5 (188.6 to 190.4, the recipe; published 184 to 196)" in run(recipe).output


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["nowhere.toml"], "no such file"),
        (["RECIPE", "--region", "XX"], "--region: 'XX': unknown region"),
        (["RECIPE", "--style", "cooked"], "--style: 'cooked' is not one of 'formed', 'added'"),
        (["RECIPE", "--on", "tomorrow"], "--on: 'tomorrow': expected a day such as 2027-06-19"),
    ],
)
def test_what_cannot_be_used_ends_with_two(
    recipe: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], message: str
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["declare", *(str(recipe) if a == "RECIPE" else a for a in arguments)])
    assert ended.value.code == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert message in shown.err
    assert len(shown.err.strip().splitlines()) == 1
