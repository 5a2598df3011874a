"""A card beside soap sold loose, and the outside of a box of several pieces.

CPLR: Consumer Packaging and Labelling Regulations, C.R.C., c. 417, s. 28. CR: Cosmetic Regulations,
C.R.C., c. 869, ss. 20, 21.2, 21.5. 21 CFR 701.3(q), 701.13(q) (edition of 2015). Reg.: Regulation
(EC) No 1223/2009 Art. 19, as national authorities tell it.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner
from rule_labels import Draft, american, british, canadian, european

from labelkit.cli import cli, main
from labelkit.model.runs import ELEMENTS
from labelkit.report.speech import Speech
from labelkit.rules.label import Label
from labelkit.rules.rule import Provenance
from labelkit.rules.surfaces import (
    check_surface,
    list_surface_rows,
    load_surface_rows,
    load_surface_titles,
)
from labelkit.rules.tables import load_measuring_tolerance_mm

MARKETS = ("CA", "CA-QC", "US", "EU", "GB", "AU", "NZ")
SURFACES = ("shelf-card", "gift-box", "over-label")


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


# -- a label made for the box or the card ----------------------------------------------------------


def lacks(draft: Draft, surface: str, region: str, pieces: int | None = 3) -> list[str]:
    """What a label made for a surface lacks."""
    label = Label(draft.panels, draft.facts, draft.facts.sold_on, load_measuring_tolerance_mm())
    found = check_surface(list_surface_rows(surface, [region], pieces), label, pieces)
    return [str(lack) for one in found for lack in one.lacks]


def boxed(draft: Draft) -> Draft:
    """The outside of a box of three pieces."""
    return draft.instead("net-quantity", "3 × 30 g")


@pytest.mark.parametrize(
    ("draft", "region"),
    [(canadian, "CA"), (american, "US"), (european, "BE"), (british, "GB")],
)
def test_a_box_that_says_all_lacks_nothing(draft: Callable[[], Draft], region: str) -> None:
    """CPLR s. 28(1); 21 CFR 701.13(q), 701.3(q); Reg. Art. 19(1)."""
    assert lacks(boxed(draft()), "gift-box", region) == []


@pytest.mark.parametrize(
    ("draft", "region", "told"),
    [
        # CPLR s. 28(1)(a), (b): number, identity in both languages, quantity. CR s. 21.2(1): list.
        (boxed(canadian()).without("identity", "fr"), "CA",
         "Product identity is missing in French"),
        (boxed(canadian()).without("ingredients"), "CA", "Ingredient list is missing"),
        (boxed(canadian()).without("dealer"), "CA", "Business name and address is missing"),
        (boxed(canadian()).without("net-quantity"), "CA", "Net quantity is missing"),
        (canadian(), "CA", "Net quantity does not say how many pieces there are: 3"),
        (canadian().instead("net-quantity", "13 × 30 g"), "CA",
         "Net quantity does not say how many pieces there are: 3"),
        (canadian().instead("net-quantity", "3 g"), "CA",
         "Net quantity does not say how many pieces there are: 3"),
        # 21 CFR 701.13(q): the number of pieces with the weight. 701.12: the firm.
        (american(), "US", "Net quantity does not say how many pieces there are: 3"),
        (boxed(american()).without("dealer"), "US", "Business name and address is missing"),
        # Reg. Art. 19(1): all particulars, the batch among them.
        (boxed(european()).without("lot"), "BE", "Lot or batch code is missing"),
        (boxed(british()).without("lot"), "GB", "Lot or batch code is missing"),
    ],
)  # fmt: skip
def test_what_a_box_lacks_is_told(draft: Draft, region: str, told: str) -> None:
    assert lacks(draft, "gift-box", region) == [told]


def test_without_a_number_of_pieces_none_is_looked_for() -> None:
    assert lacks(canadian(), "gift-box", "CA", None) == []


@pytest.mark.parametrize("region", ["CA", "BE", "GB", "AU"])
def test_a_card_beside_loose_soap_needs_the_list(region: str) -> None:
    """CR s. 21.5(3); Reg. Art. 19(3); the Australian standard, s. 7."""
    assert lacks(canadian(), "shelf-card", region) == []
    told = lacks(canadian().without("ingredients"), "shelf-card", region)
    assert told == ["Ingredient list is missing"]


def test_a_card_in_canada_names_the_product_in_both_languages_and_a_contact() -> None:
    """CR ss. 20, 18(a)."""
    card = canadian().without("identity", "en").without("contact")
    assert lacks(card, "shelf-card", "CA") == [
        "Contact information is missing", "Product identity is missing in English",
    ]  # fmt: skip


def test_the_command_holds_a_label_against_the_list(event: Callable[..., Path]) -> None:
    def run(label: Path, *more: str) -> tuple[int, str]:
        arguments = ["rules", "surface", "gift-box", "--region", "CA", "--pieces", "3"]
        done = CliRunner().invoke(cli, [*arguments, "--label", str(label), *more])
        return done.return_value if done.exception is None else 1, done.output

    label = event()
    _, told = run(label)
    assert "[!] CA, net quantity: For each kind" in told
    assert "-> Net quantity does not say how many pieces there are: 3" in told
    assert "[x] CA, ingredient list:" in told
    assert "[ ] CA, net quantity: A box of fewer than seven" in told
    _, data = run(label, "--format", "json")
    rows = json.loads(data)
    assert [row["lacks"] for row in rows if row["lacks"]] == [
        ["Net quantity does not say how many pieces there are: 3"]
    ]
    boxed_label = event(("[event]", '[front]\nnet_quantity = "3 × 40 g"\n\n[event]'))
    assert "[!] CA" not in run(boxed_label)[1]
    assert "y est, [!] n’y est pas" in run(boxed_label, "--language", "fr")[1].replace("\xa0", " ")


def test_the_command_ends_with_one_where_something_is_missing(
    event: Callable[..., Path], capsys: pytest.CaptureFixture[str]
) -> None:
    def code(label: Path) -> object:
        with pytest.raises(SystemExit) as done:
            main(["rules", "surface", "gift-box", "--region", "CA", "--pieces", "3",
                  "--label", str(label)])  # fmt: skip
        capsys.readouterr()
        return done.value.code

    assert code(event()) == 1
    boxed_label = event(("[event]", '[front]\nnet_quantity = "3 × 40 g"\n\n[event]'))
    assert code(boxed_label) == 0
