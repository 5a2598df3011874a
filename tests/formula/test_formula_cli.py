"""``labelkit declare``: its formats, its exit codes and its complaints."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from labelkit.cli import main
from labelkit.cli.declare import command


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


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["nowhere.toml"], "no such file"),
        (["RECIPE", "--region", "XX"], "unknown region 'XX'"),
        (["RECIPE", "--style", "cooked"], "Invalid value for '--style'"),
        (["RECIPE", "--on", "tomorrow"], "Invalid value for '--on'"),
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
