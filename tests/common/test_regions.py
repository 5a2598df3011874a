"""Regions by the names people have for them."""

from __future__ import annotations

import pytest

from labelkit.common.regions import explain_unknown_region
from labelkit.rules import list_region_titles


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        # Each country's name in its own language (the countries' own constitutions and authorities
        # use them; from memory), in English, French and German.
        ("New Zealand", "NZ"), ("NEW ZEALAND", "NZ"), ("Nouvelle-Zélande", "NZ"),
        ("Neuseeland", "NZ"), ("Deutschland", "DE"), ("Germany", "DE"), ("Allemagne", "DE"),
        ("Österreich", "AT"), ("Osterreich", "AT"), ("Suomi", "FI"), ("Ελλάδα", "GR"),
        ("Eesti", "EE"), ("Éire", "IE"), ("Belgique", "BE"), ("België", "BE"), ("Polska", "PL"),
        ("Kanada", "CA"), ("Québec", "CA-QC"), ("Quebec", "CA-QC"), ("Sverige", "SE"),
        # What people say for a country, common practice, no source.
        ("UK", "GB"), ("uk", "GB"), ("England", "GB"), ("Northern Ireland", "GB-NIR"),
        ("USA", "US"), ("United States of America", "US"), ("Holland", "NL"),
        ("SP", "ES"),
        # A slip, a part of a country, another mark between the parts.
        ("Astralia", "AU"), ("US-ME", "US"), ("ca_qc", "CA-QC"),
    ],
)  # fmt: skip
def test_a_country_is_found_by_its_names(typed: str, code: str) -> None:
    assert f"did you mean {code} (" in explain_unknown_region(typed, list_region_titles())


@pytest.mark.parametrize("typed", ["Switzerland", "CH", "ch"])
def test_a_country_without_rules_is_told_so(typed: str) -> None:
    assert explain_unknown_region(typed, list_region_titles()).startswith(
        "there are no rules for Switzerland"
    )


@pytest.mark.parametrize("typed", ["XX", "ZZ", "", "soap", "X" * 3000])
def test_what_is_no_region_is_told_with_those_there_are(typed: str) -> None:
    assert explain_unknown_region(typed, list_region_titles()).startswith(
        "unknown region; known: AT, AU, BE"
    )
