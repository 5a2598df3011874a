"""The quote that a customer is sent: in her languages, with the labels, and private."""

from __future__ import annotations

import stat
from collections.abc import Callable
from pathlib import Path

import pdfplumber
from command import labelkit

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
    with pdfplumber.open(target) as pdf:
        return [" ".join((page.extract_text() or "").split()) for page in pdf.pages], target


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
