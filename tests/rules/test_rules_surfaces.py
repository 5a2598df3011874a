"""A card beside soap sold loose, and the outside of a box of several pieces.

CPLR: Consumer Packaging and Labelling Regulations, C.R.C., c. 417, s. 28. CR: Cosmetic Regulations,
C.R.C., c. 869, ss. 20, 21.2, 21.5. 21 CFR 701.3(q), 701.13(q) (edition of 2015). Reg.: Regulation
(EC) No 1223/2009 Art. 19, as national authorities tell it.
"""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from labelkit.cli import cli, main
from labelkit.model.runs import ELEMENTS
from labelkit.report.speech import Speech
from labelkit.rules.rule import Provenance
from labelkit.rules.surfaces import list_surface_rows, load_surface_rows, load_surface_titles

MARKETS = ("CA", "CA-QC", "US", "EU", "GB", "AU", "NZ")
SURFACES = ("shelf-card", "gift-box")


def elements(surface: str, region: str, pieces: int | None = None) -> set[str]:
    """The elements that a surface must have, what is not settled left out."""
    return {row.element for row in list_surface_rows(surface, [region], pieces) if not row.open}


@pytest.mark.parametrize("surface", SURFACES)
@pytest.mark.parametrize("region", MARKETS)
def test_every_market_has_a_word_on_every_surface(surface: str, region: str) -> None:
    assert list_surface_rows(surface, [region])
    assert [row for row in load_surface_rows() if (row.surface, row.region) == (surface, region)]


def test_every_row_is_whole() -> None:
    for row in load_surface_rows():
        assert row.surface in load_surface_titles()
        assert row.element in ELEMENTS
        assert row.asks.endswith(".")
        assert row.citation.strip()
        # A row from memory is no rule: it tells what was not found.
        assert row.open or row.provenance in (Provenance.READ, Provenance.TOLD)


def test_the_outside_of_a_box_in_canada() -> None:
    """CPLR s. 28(1): number and identity of each class, net quantity; s. 13: dealer. CR s. 21.2(1):
    the list on the outer label."""
    assert elements("gift-box", "CA") == {"identity", "net-quantity", "ingredients", "dealer"}


@pytest.mark.parametrize(("pieces", "is_let_off"), [(6, True), (7, False), (1, True), (8, False)])
def test_fewer_than_seven_identical_pieces_are_let_off(pieces: int, is_let_off: bool) -> None:
    """CPLR s. 28(2): less than seven identical products, labelled and clearly visible."""
    rows = list_surface_rows("gift-box", ["CA"], pieces)
    assert any(row.citation == "CPLR s. 28(2)" for row in rows) is is_let_off


def test_a_card_beside_loose_soap() -> None:
    # CR s. 21.5(3): a leaflet at the point of sale. CPLA s. 2(1): no container, no net quantity.
    assert elements("shelf-card", "CA") == {"ingredients", "identity", "net-quantity"}
    # Reg. Art. 19(3): a notice in immediate proximity, for the list alone.
    assert elements("shelf-card", "EU") == {"ingredients"}
    assert elements("shelf-card", "BE") == {"ingredients"}
    # 21 CFR 701.3(q): inner pieces need no list where the box has it.
    assert "ingredients" in elements("gift-box", "US")


@pytest.mark.parametrize(
    ("surface", "region"),
    # Where the facts do not reach: scales and unit prices, the state's own rules, New Zealand.
    [("shelf-card", "CA"), ("shelf-card", "US"), ("shelf-card", "EU"), ("gift-box", "EU"),
     ("gift-box", "AU"), ("gift-box", "NZ"), ("shelf-card", "NZ")],
)  # fmt: skip
def test_what_is_not_settled_is_told(surface: str, region: str) -> None:
    told = CliRunner().invoke(cli, ["rules", "surface", surface, "--region", region]).output
    assert "Not settled by what was read" in told
    assert told.rstrip().endswith("your authority decide.")


def test_the_list_is_printed_in_french() -> None:
    french = Speech("fr", "fr_CA")
    for row in load_surface_rows():
        if row.region in ("CA", "CA-QC", "EU"):
            assert french.knows(row.asks), row.asks
            assert french.knows(row.citation), row.citation
    arguments = ["rules", "surface", "gift-box", "--region", "CA-QC", "--language", "fr"]
    told = CliRunner().invoke(cli, arguments).output
    assert told.startswith("Une boîte de plusieurs savonnettes")
    assert "(texte lu)" in told
    assert "(en anglais)" not in told


def test_the_list_as_json() -> None:
    arguments = ["rules", "surface", "gift-box", "--region", "US", "--format", "json"]
    rows = json.loads(CliRunner().invoke(cli, arguments).output)
    assert {row["region"] for row in rows} == {"US"}
    assert {row["open"] for row in rows} == {True, False}


@pytest.mark.parametrize(
    "arguments", [["gift-box", "--region", "ZZ"], ["basket", "--region", "CA"], ["gift-box"]]
)
def test_a_slip_is_told_in_one_line(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as done:
        main(["rules", "surface", *arguments])
    assert done.value.code == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
