"""What a label says of its scent is held against the recipe: no disagreement passes in silence."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from labelkit.checks.scent import check_scent
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.order.label import read_label
from labelkit.order.recipe import read_recipe
from labelkit.rules.findings import Finding, Level

Event = Callable[..., Path]
LABEL = 'scent = { en = "Oat, honey & sea buckthorn", fr = "Avoine, miel et argousier" }'
NAME = 'name = "Hay & honey"'
SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*/label.toml"))


def found(label: Path) -> dict[str, Finding]:
    spec = read_label(label)
    return {f.rule: f for f in check_scent(spec, read_recipe(spec.product.recipe))}


@pytest.fixture
def scented(event: Event) -> Callable[..., Path]:
    """The sample with another scent on the label and in the recipe."""

    def make(label: str, recipe: str, more: str = "") -> Path:
        path = event((LABEL, f"scent = {label}"))
        event((NAME, f'name = "{recipe}"\n{more}'), file="recipe.toml")
        return path

    return make


@pytest.mark.parametrize("label", SAMPLES, ids=lambda path: path.parent.name)
def test_no_sample_disagrees_with_its_recipe(label: Path) -> None:
    assert found(label) == {}


@pytest.mark.parametrize(
    ("label", "recipe"),
    [
        ('"Hay & honey"', "Hay & honey"),
        ('"Honey and hay"', "Hay & honey"),
        ('{ en = "Wild roses", fr = "Roses sauvages" }', "Wild Rose"),
        ('{ en = "Rose garden", fr = "Jardin de fleurs" }', "Rose garden fragrance"),
        # The same word in another language, as the materials table has it.
        ('"Lavande"', "Lavender"),
        ('"Miel"', "Hay & honey"),
        # What is also in the bar may stand beside the scent: the sample's has oat.
        ('"Oat & honey"', "Hay & honey"),
        ('"Avoine et miel"', "Hay & honey"),
    ],
)
def test_a_scent_in_the_labels_own_words_agrees(
    scented: Callable[..., Path], label: str, recipe: str
) -> None:
    assert found(scented(label, recipe)) == {}


@pytest.mark.parametrize(
    ("label", "recipe", "told"),
    [
        # Renamed in the recipe alone, and on the label alone. Honey is in the bar, but the
        # fragrance is another.
        (LABEL.removeprefix("scent = "), "Lavender", "“Lavender”"),
        ('{ en = "Rose", fr = "Rose" }', "Hay & honey", "“Rose”"),
        # Renamed in one language: lavender is a scent of its own, and not in this bar.
        ('{ en = "Lavender", fr = "Foin et miel" }', "Hay & honey", "“Lavender”"),
        ('"Lavender & honey"', "Hay & honey", "“Lavender & honey”"),
        # What all fragrances are is no agreement.
        ('"Rose fragrance"', "Cedar fragrance", "“Cedar fragrance”"),
    ],
)
def test_another_scent_than_the_recipes_is_told_with_both_names(
    scented: Callable[..., Path], label: str, recipe: str, told: str
) -> None:
    finding = found(scented(label, recipe))["CRAFT-SCENT"]
    assert finding.level is Level.WARN
    assert told in finding.message
    assert f"the recipe's is “{recipe}”" in finding.message


def test_a_scent_over_a_recipe_without_any_is_told(event: Event) -> None:
    label = event((LABEL, 'scent = { en = "Rose", fr = "Rose" }'))
    recipe = label.with_name("recipe.toml")
    text = recipe.read_text("utf-8")
    start = text.index("[[scent]]")
    recipe.write_text(text[:start] + text[text.index("[cure]") :], "utf-8")
    assert "but the recipe has no [[scent]]" in found(label)["CRAFT-SCENT"].message
    # Honey is in the bar, and may be smelt.
    label.write_text(label.read_text("utf-8").replace('"Rose"', '"Honey"'), "utf-8")
    assert found(label) == {}
    label.write_text(label.read_text("utf-8").replace('"Honey"', '"Unscented"'), "utf-8")
    assert found(label) == {}


def test_the_recipe_may_say_what_labels_call_its_scent(scented: Callable[..., Path]) -> None:
    declared = 'label_scent = { en = "First morning", fr = "Premier matin" }'
    both = '{ en = "First morning", fr = "Premier matin" }'
    assert found(scented(both, "Hay & honey", declared)) == {}


@pytest.mark.parametrize("language", ["en", "fr"])
def test_what_is_declared_the_same_is_so_in_each_language(
    scented: Callable[..., Path], language: str
) -> None:
    declared = 'label_scent = { en = "First morning", fr = "Premier matin" }'
    said = {"en": "First morning", "fr": "Premier matin"} | {language: "Honey & hay"}
    label = scented(f'{{ en = "{said["en"]}", fr = "{said["fr"]}" }}', "Hay & honey", declared)
    assert "“Honey & hay”" in found(label)["CRAFT-SCENT"].message


@pytest.mark.parametrize(
    "words",
    [
        "Unscented", "Fragrance-free", "fragrance free soap", "No added fragrance", "Scent free",
        "Sans parfum", "Savon non parfumé", "NON PARFUMÉE", "Parfümfrei", "Ohne Parfüm",
        "Ongeparfumeerd", "Sin perfume", "Senza profumo", "Sem fragrância", "Hajusteeton",
        "Oparfymerad",
    ],
)  # fmt: skip
@pytest.mark.parametrize("place", ["scent", "claim"])
def test_a_label_that_denies_its_fragrance_fails(event: Event, words: str, place: str) -> None:
    if place == "scent":
        label = event((LABEL, f'scent = "{words}"'))
    else:
        label = event(("[plan.box]", f'[front]\nclaim = "{words}"\n\n[plan.box]'))
    finding = found(label)["CRAFT-UNSCENTED"]
    assert finding.level is Level.FAIL
    assert "“Hay & honey”" in finding.message


def test_an_essential_oil_is_a_scent_as_well(event: Event) -> None:
    label = event((LABEL, 'scent = { en = "Unscented", fr = "Sans parfum" }'))
    event((NAME, 'name = "Field"\nessential_oil = "lavender oil"'), file="recipe.toml")
    report = preflight_job(prepare_job(label))
    assert "CRAFT-UNSCENTED" in {f.rule for f in report.findings if f.level is Level.FAIL}
    assert report.verdict == "fail"
    # Nor is one that stands among the additives anything else.
    event(("[[scent]]", '[[additive]]\nmaterial = "rosemary oil"\nmass = "3 g"\n\n[[scent]]'),
          file="recipe.toml")  # fmt: skip
    assert "“rosemary oil”" in found(label)["CRAFT-UNSCENTED"].message


@pytest.mark.parametrize("words", ["Sans parfum de synthèse", "Free of palm oil", "Scented gently"])
def test_words_that_deny_no_scent_pass(event: Event, words: str) -> None:
    label = event(("[plan.box]", f'[front]\nclaim = "{words}"\n\n[plan.box]'))
    assert found(label) == {}
