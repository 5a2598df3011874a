"""The quote that a customer is sent: in her languages, with the labels, and private."""

from __future__ import annotations

import re
import stat
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

from command import labelkit
from page_text import read_pages

Event = Callable[..., Path]
CUSTOMER = """
[plan.customer]
name = "Odile Brun"
address = ["4 Rope Walk", "Anse-aux-Brumes NB  E0X 0Z9"]
telephone = "506 555 0142"
"""


def quote(event: Event, tmp_path: Path, *options: str) -> tuple[list[str], Path]:
    label = event(("price = 4.75", 'languages = ["fr", "en"]\nprice = 4.75'))
    event(('rate = "15 %"', 'rate = "15 %"\nnumber = "00000 0000 RT0001"'), file="maker.toml")
    label.write_text(label.read_text("utf-8") + CUSTOMER, "utf-8")
    target = tmp_path / "quote.pdf"
    done = labelkit(
        "plan", label, "--page", "quote", "--out", target, "--on", "2027-01-10", *options
    )
    assert done.returncode == 0, done.stderr
    assert "names your customer, and only you can read it" in done.stderr
    return read_pages(target), target


def test_both_official_languages_number_validity_and_tax_number(
    event: Event, tmp_path: Path
) -> None:
    (french, english), _ = quote(event, tmp_path)
    for page in (french, english):
        assert page.startswith("Savonnerie Estran")  # her own name at the head
        assert "Odile Brun 4 Rope Walk" in page
        assert "LS-2704/270110" in page  # the lot, and the day it was made
        assert "00000 0000 RT0001" in page
    # 10 January 2027 and 30 days: 9 February, a Tuesday.
    assert "Valid until Tuesday, February 9, 2027" in english
    assert "Valable jusqu’au mardi 9 février 2027" in french
    assert "Soumission" in french  # what customers in Canada ask for
    assert "Devis" not in french


def test_what_is_included_is_shown(event: Event, tmp_path: Path) -> None:
    pages, _ = quote(event, tmp_path)
    for page in pages:
        # The front and the back as they print; a quote's own words say none of this.
        assert "Sodium Olivate" in page
        assert "SOAP · SAVON" in page


def test_one_language_where_it_is_asked_for(event: Event, tmp_path: Path) -> None:
    (only,), _ = quote(event, tmp_path, "--language", "en")
    assert "Quote" in only


def test_no_word_for_the_maker_alone_is_on_it(event: Event, tmp_path: Path) -> None:
    pages, _ = quote(event, tmp_path)
    for page in pages:
        for word in ("tax advice", "avis fiscal", "legal", "lye", "soude", "margin", "marge"):
            assert word not in page.casefold()


def test_only_its_owner_can_read_it(event: Event, tmp_path: Path) -> None:
    _, path = quote(event, tmp_path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_the_record_is_private_and_tells_where_the_customer_stands(event: Event) -> None:
    label = event()
    label.write_text(label.read_text("utf-8") + CUSTOMER, "utf-8")
    done = labelkit("plan", label, "--on", "2027-04-27", "--record", "--poured", "2027-04-27")
    assert "take [plan.customer] out of it" in done.stderr
    record = label.parent / "trace.sqlite"
    assert stat.S_IMODE(record.stat().st_mode) == 0o600
    assert b"Odile" not in record.read_bytes()


def test_a_language_without_words_is_refused(event: Event, tmp_path: Path) -> None:
    label = event(("price = 4.75", 'languages = ["fr", "nl"]\nprice = 4.75'))
    target = tmp_path / "quote.pdf"
    done = labelkit("plan", label, "--page", "quote", "--out", target, "--on", "2027-01-10")
    assert done.returncode == 2
    assert "plan.quote.languages: 'nl': expected one of en, fr" in done.stderr
    assert not target.exists()


def test_the_price_that_would_have_been_needed_is_said(event: Event) -> None:
    label = event(("price = 4.75", "price = 2.00"))
    text = " ".join(labelkit("plan", label, "--on", "2027-01-10").stdout.split())
    needed = re.search(
        r"margin of 25 % would have needed \$([\d.]+) a piece: \$([\d.]+) more than is asked", text
    )
    cost = re.search(r"True cost of a piece, of 66\s+\$([\d.]+)", text)
    assert needed is not None
    assert cost is not None
    # A margin of a quarter of the price: four thirds of the cost, up to the next 5 cents.
    whole = Decimal(cost[1]) * 4 / 3
    assert 0 <= Decimal(needed[1]) - whole < Decimal("0.06")  # the cost is itself rounded
    assert Decimal(needed[1]) % Decimal("0.05") == 0
    assert Decimal(needed[1]) - 2 == Decimal(needed[2])
