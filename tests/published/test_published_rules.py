"""Statements and figures that the laws themselves print, judged by the rules."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelkit.formula.declaration import Basis, Declaration, Style
from labelkit.formula.schedule import load_schedule_names
from labelkit.model.runs import NEUTRAL, Box, LetterHeights, Panel, Run
from labelkit.rules import Facts, Level, PackageFace, judge_panels
from labelkit.rules.schedule import find_schedule_entries


def statement(text: str, product_class: str, levels: tuple[Level, ...] = (Level.FAIL,)) -> set[str]:
    """The United States' rules on the quantity that a statement fails."""
    run = Run(
        text, "net-quantity", NEUTRAL, "Test-Bold", 700, 10, 4, 2, 24, Box(4, 2, 28, 5),
        LetterHeights(4, 4, 4),
    )  # fmt: skip
    known = Facts(
        face=PackageFace(Decimal(60), Decimal(40)),
        net_weight_g=Decimal(100_000),
        languages=("en",),
        declaration=Declaration((), Style.FORMED, Basis.CURED, Decimal(1)),
        sold_on=dt.date(2026, 11, 28),
        product_class=product_class,
    )
    panel = Panel("front", 60, 40, runs=(run,))
    findings = judge_panels([panel], known, ["US"]).findings
    return {f.rule for f in findings if f.level in levels and f.rule.startswith("US-QUANTITY")}


# Printed as right in 16 CFR 500 (edition of 2015).
@pytest.mark.parametrize(
    ("text", "section"),
    [
        ("1 lb (453 g)", "500.19(b)"),
        ("Net Wt. 2 oz (56 g)", "500.19(b)"),
        ("Net Wt 2 oz (56.6 g)", "500.19(b)"),
        ("Net Wt 15 oz (425 g)", "500.8(a)"),
        ("Net Wt 1 1/2 lbs (680 g)", "500.8(a)"),
        ("2.5 oz (70.8 g)", "500.8(a)"),
        ("Net Mass 425 g (15 oz)", "500.8(a)"),
        ("100 g e (3.5 oz)", "500.8(a)"),
        ("Net Weight 12 oz. (340 g)", "500.9(b)(1)"),
        ("Net Mass 340 g (12 oz)", "500.9(b)(1)"),
        ("453 g (1 lb)", "500.9(a)"),
        ("Net Wt 1 lb (453 g)", "500.9(a)"),
        ("Net Wt. 1 lb. 8 oz. (680 g)", "500.9(b)(2)"),
        ("Net Wt. 1.5 lb./24 oz. (680 g)", "500.9(b)(2)"),
    ],
)
def test_what_16_cfr_500_prints_as_right_passes(text: str, section: str) -> None:
    assert statement(text, "soap") == set(), section


# Printed as wrong in 16 CFR 500.19(b).
@pytest.mark.parametrize("text", ["1 lb (453.592 g)", "Net Wt. 2 oz (56.69 g)"])
@pytest.mark.parametrize("product_class", ["soap", "cosmetic"])
def test_what_16_cfr_500_prints_as_wrong_is_found(text: str, product_class: str) -> None:
    """It warns: the regulation says how many figures there "should" be."""
    assert "US-QUANTITY-METRIC-FIGURES" in statement(text, product_class, (Level.WARN,))
    assert "US-QUANTITY-METRIC-FIGURES" not in statement(text, product_class)


# Printed in 21 CFR 701.13(j), (m); they are older than the statute that adds the metric weight.
@pytest.mark.parametrize(
    "text",
    [
        "Net wt. 6 oz.",
        "6 oz. net wt.",
        "Net wt. 24 oz. (1 lb. 8 oz.)",
        "Net wt. 24 oz. (1 1/2 lb.)",
        "Net wt. 24 oz. (1.5 lb.)",
        "Net wt. 12 oz.",
    ],
)
def test_what_21_cfr_701_13_prints_wants_only_the_metric_weight(text: str) -> None:
    assert statement(text, "cosmetic") == {"US-QUANTITY-METRIC"}


# Worked out from 1 oz = 28.3495 g (16 CFR 500.19(a)), cut off: what may stand beside the ounces.
@pytest.mark.parametrize(
    ("ounces", "right", "wrong"),
    [
        ("0.75", ["21", "21.2"], ["22.3", "20"]),
        ("1", ["28", "28.3"], ["30", "27"]),
        ("1.25", ["35", "35.4"], ["37", "35.6"]),
        ("1.4", ["39", "39.6"], ["41", "38"]),
        ("1.5", ["42", "42.5"], ["42.52", "44"]),
        ("2", ["56", "56.6"], ["56.69", "58"]),
    ],
)
def test_ounces_first_with_their_grams(ounces: str, right: list[str], wrong: list[str]) -> None:
    for grams in right:
        assert statement(f"Net Wt {ounces} oz ({grams} g)", "cosmetic") == set()
    for grams in wrong:
        found = statement(f"Net Wt {ounces} oz ({grams} g)", "cosmetic", (Level.FAIL, Level.WARN))
        assert found


# Ounces that a number of grams makes, cut at two places: arithmetic with the factor of 16 CFR
# 500.19(a), 1 g = 0.0352740 oz.
@pytest.mark.parametrize(
    ("grams", "ounces"),
    [
        (25, "0.88"), (28, "0.98"), (30, "1.05"), (35, "1.23"), (36, "1.26"), (40, "1.41"),
        (42, "1.48"), (45, "1.58"),
    ],
)  # fmt: skip
def test_grams_first_made_into_ounces(grams: int, ounces: str) -> None:
    assert f"{Decimal(grams) * Decimal('0.0352740'):.4f}".startswith(ounces)
    assert statement(f"Net Wt {ounces} oz ({grams} g)", "cosmetic") == set()
    assert statement(f"{grams} g ({ounces} oz)", "soap") == set()


@given(st.integers(10, 999))
def test_any_whole_grams_have_ounces_that_pass(grams: int) -> None:
    # 16 CFR 500.19(a): 1 oz = 28.3495 g.
    ounces = Decimal(grams) / Decimal("28.3495")
    cut = f"{int(ounces * 100) / Decimal(100):.2f}"
    pound = "US-QUANTITY-OUNCES"
    assert statement(f"Net Wt {cut} oz ({grams} g)", "cosmetic") <= {pound}


# CR schedule: 58 items (consolidation of 2026-04-29).
def test_the_canadian_schedule_has_its_items_in_all_forms() -> None:
    assert {name.item for name in load_schedule_names()} == set(range(1, 59))
    for name in load_schedule_names():
        for printed in (name.technical, name.english, f"{name.english}/{name.french}"):
            assert name in find_schedule_entries(printed)
