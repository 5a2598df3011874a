"""Words made by labelkit itself pass the laws they are made for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from labelkit.compose.element_words import make_net_quantity
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.model.runs import Box, LetterHeights, Panel, Run
from labelkit.order.label import read_label, replace_regions
from labelkit.order.layout import complete_panel_layout
from labelkit.report.phrasebook import choose_locale
from labelkit.rules import judge_panels

Event = Callable[..., Path]
TRIM = ('trim = "44 x 28 mm"', 'trim = "60 x 44 mm"')
ONE_LANGUAGE = (
    ('{ en = "The Lighthouse Supper", fr = "Le Souper du phare" }', '"The Lighthouse Supper"'),
    ('identity = { en = "Soap", fr = "Savon" }', 'identity = "Soap"'),
    (
        '{ en = "Oat, honey & sea buckthorn", fr = "Avoine, miel et argousier" }',
        '"Oat and honey"',
    ),
)
WEIGHT, LANGUAGES = 'net_weight = "40 g"', 'languages = ["en", "fr"]'


@pytest.mark.parametrize(
    ("declared", "printed"),
    # By hand with 1 oz = 28.3495 g (16 CFR 500.8), cut off: 1.5 oz is 42.52 g, 4 oz 113.39 g,
    # 1.25 oz 35.43 g; 42 g is 1.4815 oz, 40.5 g 1.4286 oz, and 1.42 oz is 40.26 g.
    [
        ("1.5 oz", "1.5 oz (42.5 g)"),
        ("4 oz", "4 oz (113 g)"),
        ("1.25 oz", "1.25 oz (35.4 g)"),
        ("1 oz", "1 oz (28.3 g)"),
        ("42 g", "1.48 oz (42 g)"),
        ("40.5 g", "1.42 oz (40 g)"),
    ],
)
def test_ounces_and_grams_agree(event: Event, declared: str, printed: str) -> None:
    label = event((WEIGHT, f'net_weight = "{declared}"'), (LANGUAGES, 'languages = ["en"]'), TRIM)
    job = prepare_job(label, ["US"])
    (run, *_) = [r for r in job.panels[0].runs if r.element == "net-quantity"]
    assert run.text.replace("\u00a0", " ").endswith(printed)
    assert not [f for f in preflight_job(job).findings if f.rule.startswith("US-QUANTITY")]


def test_ounces_declared_in_canada_print_one_weight_for_both_languages(event: Event) -> None:
    # 1.2 x 28.3495 = 34.019 g, cut off to three figures: 34.0 g, which both languages write 34 g.
    label = event((WEIGHT, 'net_weight = "1.2 oz"'))
    panels = prepare_job(label).panels
    runs = [run for panel in panels for run in panel.runs if run.element == "net-quantity"]
    assert [run.text for run in runs] == ["34\u00a0g"]


@pytest.mark.parametrize(
    ("declared", "printed", "section"),
    [
        ("2 oz", "Net Wt 2 oz (56.6 g)", "500.19(b)"),
        ("1 lb", "16 oz (453 g)", "500.19(b), in the ounces that 500.9(b) lets stand there"),
        ("15 oz", "Net Wt 15 oz (425 g)", "500.8(a)"),
        ("24 oz", "24 oz (680 g)", "500.8(a): 1 1/2 lbs (680 g)"),
        ("2.5 oz", "2.5 oz (70.8 g)", "500.8(a)"),
        ("12 oz", "12 oz (340 g)", "500.9(b)(1)"),
    ],
)
def test_ounces_are_printed_as_in_16_cfr_500(
    event: Event, declared: str, printed: str, section: str
) -> None:
    """The regulation's own examples; in 500.19(b) 56.69 g and 453.592 g are printed as wrong."""
    label = event((WEIGHT, f'net_weight = "{declared}"'), (LANGUAGES, 'languages = ["en"]'))
    (made,) = make_net_quantity(replace_regions(read_label(label), ("US",)))
    assert made.text.replace("\u00a0", " ").endswith(printed), section


@pytest.mark.parametrize("step", [37, pytest.param(7, marks=pytest.mark.long)])
def test_any_hundredths_of_an_ounce_are_true_and_agree(step: int, event: Event) -> None:
    """16 CFR 500.25: no more than the piece holds; 500.19: each is the other, cut off."""
    label = event((LANGUAGES, 'languages = ["en"]'))
    text = label.read_text("utf-8")
    facts = prepare_job(label, ["US"]).facts
    quantity = {"US-QUANTITY-TRUE", "US-QUANTITY-PAIR", "US-QUANTITY-LARGER-GOVERNS"}
    for hundredths in range(1, 3500, step):
        ounces = f"{hundredths / 100:g} oz"
        label.write_text(text.replace(WEIGHT, f'net_weight = "{ounces}"'), "utf-8")
        spec = replace_regions(read_label(label), ("US",))
        (made,) = make_net_quantity(spec)
        assert ounces in made.text.replace("\u00a0", " ")
        run = Run(
            made.text, "net-quantity", "en", "Test", 700, 10, 4, 2, 24, Box(4, 2, 28, 5),
            LetterHeights(4, 4, 4),
        )  # fmt: skip
        known = replace(facts, net_weight_g=spec.product.net_weight_g)
        found = judge_panels([Panel("front", 60, 40, runs=(run,))], known, ["US"]).findings
        assert not quantity & {f.rule for f in found}, made.text


@pytest.mark.parametrize("language", ["nl", "de", "es", "it", "pt", "fi", "sv", "fr", "en"])
def test_the_list_is_headed_by_the_term_of_the_regulation(event: Event, language: str) -> None:
    """Regulation (EC) No 1223/2009, Art. 19(1)(g): the term "ingredients"."""
    label = event((LANGUAGES, f'languages = ["{language}"]'), *ONE_LANGUAGE, TRIM)
    found = preflight_job(prepare_job(label, ["EU"])).findings
    assert not [f for f in found if f.rule == "EU-LIST-HEADING"]


def test_a_heading_of_ones_own_is_said_once(event: Event) -> None:
    label = event(TRIM, ("[label]", '[back]\ningredients_heading = "Ingredients"\n\n[label]'))
    job = prepare_job(label)
    back = next(panel for panel in job.panels if panel.name == "back")
    said = [run.text for run in back.runs if run.element == "ingredients-heading"]
    assert "".join(said).count("Ingredients") == 1
    plan = job.layout.panel("back")
    assert complete_panel_layout(plan, ["ingredients-heading"]) is plan


def test_a_figure_and_a_sign_are_in_no_language(event: Event) -> None:
    """A unit symbol serves both languages: "40 g" (Canadian guidance on CPLR, from memory)."""
    label = event((LANGUAGES, 'languages = ["en"]'), TRIM)
    assert not [
        f for f in preflight_job(prepare_job(label)).findings if f.rule == "CA-QUANTITY-PRESENT"
    ]


@pytest.mark.parametrize(
    ("territory", "locale"),
    [("CA", "en_CA"), ("US", "en_US"), ("IE", "en_IE"), ("NL", "en_GB"), ("FI", "en_GB")],
)
def test_english_keeps_its_decimal_point_everywhere(territory: str, locale: str) -> None:
    """1,528 g of oil must not become 1.528 g beside English words (Unicode CLDR, en_NL)."""
    from babel.numbers import format_decimal

    found = choose_locale("en", territory)
    assert found == locale
    assert format_decimal("1528.5", locale=found) == "1,528.5"
