"""Prices as a consumer is shown them: with tax in the EU and the UK, without and with lines of tax
in Canada and the United States.

Directive 98/6/EC, Art. 2(a): the selling price is the final price for a unit, with VAT and all
other taxes; Art. 3(1): it is shown. United Kingdom: Price Marking Order 2004 (SI 2004/102),
Art. 1(2), 4.
Both from memory. Rates are examples that a maker would type; every sum is worked by hand.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from command import labelkit
from hypothesis import given
from hypothesis import strategies as st
from page_text import read_pages
from plan_making import money
from smaller_offer import ONE_DESIGN, ONE_WRAP, SMALLEST

from labelkit.order.plan import Tax
from labelkit.plan.consumer_prices import find_final_price_law
from labelkit.plan.cost import Cost, add_tax, compute_pricing

Event = Callable[..., Path]
PRICE = Decimal("4.75")
COST = Cost("EUR", 24, (), (), (), Decimal(0), Decimal(0))
"""Of 24 pieces; what they cost does not matter here."""


@pytest.mark.parametrize(
    ("regions", "law"),
    [
        (("BE",), "Directive 98/6/EC"),
        (("GB-NIR",), "Directive 98/6/EC"),
        (("CA", "FI"), "Directive 98/6/EC"),
        (("GB",), "Price Marking Order 2004"),
        (("CA", "CA-QC", "US"), None),
    ],
)
def test_where_a_price_is_the_final_one(regions: tuple[str, ...], law: str | None) -> None:
    found = find_final_price_law(regions)
    assert (found is None) == (law is None)
    if found is not None and law is not None:
        assert found.citation.startswith(law)
        assert found.provenance == "memory"  # neither text was read


def test_tax_is_a_part_of_the_price_in_belgium() -> None:
    # 4.75 x 1.21 = 5.7475, the next cent 5.75; 24 pieces 138.00, of which 138 x 21/121 = 23.9504,
    # so 23.95, is tax, and 114.05 is left. A deposit of 30 % is 41.40.
    how = money(price=PRICE, taxes=(Tax({"": "VAT"}, Decimal(21)),),
                     deposit_percent=Decimal(30))  # fmt: skip
    prices = compute_pricing(COST, how, with_tax=True)
    assert (prices.shown, prices.total) == (Decimal("5.75"), Decimal("138.00"))
    assert prices.taxes[0].amount == Decimal("23.95")
    assert prices.subtotal == Decimal("114.05")
    assert (prices.deposit, prices.balance) == (Decimal("41.40"), Decimal("96.60"))


def test_tax_is_a_part_of_the_price_in_great_britain() -> None:
    # 4.75 x 1.20 = 5.70; 24 pieces 136.80, of which a sixth, 22.80, is tax.
    how = money(price=PRICE, taxes=(Tax({"": "VAT"}, Decimal(20)),))
    prices = compute_pricing(COST, how, with_tax=True)
    assert (prices.shown, prices.total) == (Decimal("5.70"), Decimal("136.80"))
    assert (prices.taxes[0].amount, prices.subtotal) == (Decimal("22.80"), Decimal("114.00"))


def test_tax_is_added_in_lines_of_its_own_in_canada() -> None:
    # 24 x 4.75 = 114.00; GST 5 % 5.70 and QST 9.975 % 11.3715, so 11.37; in all 131.07.
    taxes = (Tax({"": "GST"}, Decimal(5)), Tax({"": "QST"}, Decimal("9.975")))
    prices = compute_pricing(COST, money(price=PRICE, taxes=taxes))
    assert (prices.shown, prices.subtotal) == (PRICE, Decimal("114.00"))
    assert [line.amount for line in prices.taxes] == [Decimal("5.70"), Decimal("11.37")]
    assert prices.total == Decimal("131.07")


@given(
    parts=st.lists(st.decimals("0.01", 20, places=2), min_size=1, max_size=5),
    rate=st.decimals(0, 30, places=3),
)
def test_parts_chosen_together_are_never_dearer_than_shown(
    parts: list[Decimal], rate: Decimal
) -> None:
    taxes = (Tax({"": "VAT"}, rate),)
    alone = sum((add_tax(part, taxes, "EUR") for part in parts), Decimal(0))
    together = add_tax(sum(parts, Decimal(0)), taxes, "EUR")
    assert 0 <= alone - together < Decimal("0.01") * len(parts)


@given(price=st.decimals("0.01", 50, places=2), rate=st.decimals(0, 30, places=3))
def test_every_sum_with_tax_is_the_sum_of_its_lines(price: Decimal, rate: Decimal) -> None:
    how = money(price=price, taxes=(Tax({"": "VAT"}, rate),))
    prices = compute_pricing(COST, how, with_tax=True)
    assert prices.shown * prices.pieces == prices.total
    assert prices.subtotal + prices.taxes[0].amount == prices.total
    assert prices.shown >= price


def write_quote(label: Path, target: Path, *options: str) -> tuple[str, str]:
    """The quote's text, and what the maker is told."""
    done = labelkit(
        "plan", label, "--page", "quote", "--out", target, "--on", "2027-01-10", *options
    )
    text = read_pages(target)[0]
    return re.sub(r"[\u00a0\u202f]", " ", text), " ".join(done.stderr.split())


def test_a_quote_in_belgium_shows_prices_with_tax(event: Event, tmp_path: Path) -> None:
    event(('name = { en = "HST", fr = "TVH" }', 'name = "TVA"'), ('"15 %"', '"21 %"'),
          file="maker.toml")  # fmt: skip
    text, told = write_quote(event(), tmp_path / "q.pdf", "--region", "BE", "--language", "fr")
    # 4.75 x 1.21 = 5.75 up to the cent; 66 x 5.75 = 379.50; 379.50 x 21/121 = 65.8636.
    assert re.search(r"l’unité, taxes comprises .* 66 5,75 \$CA 379,50 \$CA", text)
    assert re.search(r"Total 379,50 \$CA dont TVA, 21 % 65,86 \$CA", text)
    assert "taxes" not in told


def test_a_quote_in_canada_shows_them_without(event: Event, tmp_path: Path) -> None:
    text, told = write_quote(event(), tmp_path / "q.pdf", "--language", "en")
    # 66 x 4.75 = 313.50; 15 % of it 47.025, halves up 47.03; in all 360.53.
    assert re.search(r"a piece amount .* 66 \$4.75 \$313.50 HST, 15 % \$47.03 Total \$360.53", text)
    assert "tax" not in told


def without_tax(event: Event, rate: str = "") -> Path:
    tax = '[[plan.tax]]\nname = { en = "HST", fr = "TVH" }\nrate = "15 %"\n'
    return event((tax, tax.replace("15 %", rate) if rate else ""), file="maker.toml")


def test_a_rate_that_is_not_given_is_asked_for_and_never_guessed(
    event: Event, tmp_path: Path
) -> None:
    without_tax(event)
    text, told = write_quote(event(), tmp_path / "q.pdf", "--region", "BE", "--language", "en")
    assert "Consumers (BE) are to be shown prices with tax in them (Directive 98/6/EC" in told
    assert 'from memory): give its rate as [[plan.tax]], or rate = "0 %" where you charge' in told
    assert "$4.75" in text
    assert "tax" not in text


def test_a_rate_of_nought_settles_it(event: Event, tmp_path: Path) -> None:
    without_tax(event, "0 %")
    text, told = write_quote(event(), tmp_path / "q.pdf", "--region", "BE", "--language", "en")
    assert re.search(r"\$4\.75 \S+313\.50 Total \S+313\.50", text)
    assert "HST" not in text
    assert "Consumers" not in told


def test_no_quote_in_canada_asks_for_a_rate(event: Event, tmp_path: Path) -> None:
    without_tax(event)
    _, told = write_quote(event(), tmp_path / "q.pdf", "--language", "en")
    assert "tax" not in told


BRITISH = (
    ('regions = ["CA"]', 'regions = ["GB"]'), ('country = "CA"', 'country = "GB"'),
    ('"Anse-aux-Brumes NB  E0X 0Z9"', '"Oldbourne TN90 9ZZ, United Kingdom"'),
    ('name = { en = "HST", fr = "TVH" }', 'name = { en = "VAT", fr = "TVA" }'),
    ('rate = "15 %"', 'rate = "20 %"'),
)  # fmt: skip


def test_an_offer_in_great_britain_shows_prices_with_tax(event: Event, tmp_path: Path) -> None:
    folder = event(*BRITISH, file="maker.toml").parent
    event(ONE_DESIGN, ONE_WRAP, file="offer.toml")
    page = tmp_path / "offer.pdf"
    done = labelkit("offer", folder / "offer.toml", "--out", page, "--on", "2026-11-30",
                    "--language", "en")  # fmt: skip
    assert done.returncode == 0, done.stderr
    text = read_pages(page)[0]
    # 8.25 x 1.2 = 9.90, 6.50 x 1.2 = 7.80, 5.75 x 1.2 = 6.90; 1.40 x 1.2 = 1.68 more.
    for words in ("from 40 pieces £9.90", "from 80 pieces £7.80", "from 150 pieces £6.90",
                  "£1.68 more", "Prices include tax (VAT, 20 %)."):  # fmt: skip
        assert words in text.replace("\u00a0", " "), words
    assert "asks 8.25" in done.stdout  # what the maker has of it


def test_an_offer_asks_for_the_rate(event: Event, tmp_path: Path) -> None:
    *rest, _, _ = BRITISH
    event(*rest, file="maker.toml")
    event(*SMALLEST, file="offer.toml")
    label = without_tax(event)
    done = labelkit("offer", label.parent / "offer.toml", "--out", tmp_path / "o.pdf", "--on",
                    "2026-11-30")  # fmt: skip
    assert "consumers of GB are shown prices with tax in them: give its rate as" in done.stderr
