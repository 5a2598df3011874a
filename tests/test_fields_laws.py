"""Words made by labelkit itself pass the laws they are made for."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from labelkit.job import preflight, prepare
from labelkit.report.phrasebook import locale_for
from labelkit.spec.layout import completed

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
    job = prepare(label, ["US"])
    (run, *_) = [r for r in job.panels[0].runs if r.element == "net-quantity"]
    assert run.text.replace("\u00a0", " ").endswith(printed)
    assert not [f for f in preflight(job).findings if f.rule == "US-QUANTITY-PAIR"]


@pytest.mark.parametrize("language", ["nl", "de", "es", "it", "pt", "fi", "sv", "fr", "en"])
def test_the_list_is_headed_by_the_term_of_the_regulation(event: Event, language: str) -> None:
    """Regulation (EC) No 1223/2009, Art. 19(1)(g): the term "ingredients"."""
    label = event((LANGUAGES, f'languages = ["{language}"]'), *ONE_LANGUAGE, TRIM)
    found = preflight(prepare(label, ["EU"])).findings
    assert not [f for f in found if f.rule == "EU-LIST-HEADING"]


def test_a_heading_of_ones_own_is_said_once(event: Event) -> None:
    label = event(TRIM, ("[label]", '[back]\ningredients_heading = "Ingredients"\n\n[label]'))
    job = prepare(label)
    back = next(panel for panel in job.panels if panel.name == "back")
    said = [run.text for run in back.runs if run.element == "ingredients-heading"]
    assert "".join(said).count("Ingredients") == 1
    plan = job.layout.panel("back")
    assert completed(plan, ["ingredients-heading"]) is plan


def test_a_figure_and_a_sign_are_in_no_language(event: Event) -> None:
    """A unit symbol serves both languages: "40 g" (Canadian guidance on CPLR, from memory)."""
    label = event((LANGUAGES, 'languages = ["en"]'), TRIM)
    assert not [f for f in preflight(prepare(label)).findings if f.rule == "CA-QUANTITY-PRESENT"]


@pytest.mark.parametrize(
    ("territory", "locale"),
    [("CA", "en_CA"), ("US", "en_US"), ("IE", "en_IE"), ("NL", "en_GB"), ("FI", "en_GB")],
)
def test_english_keeps_its_decimal_point_everywhere(territory: str, locale: str) -> None:
    """1,528 g of oil must not become 1.528 g beside English words (Unicode CLDR, en_NL)."""
    from babel.numbers import format_decimal

    found = locale_for("en", territory)
    assert found == locale
    assert format_decimal("1528.5", locale=found) == "1,528.5"
