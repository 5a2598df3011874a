"""labelkit's own checks of what an order is printed on, and of the printer it is corrected for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from labelkit.checks.craft import make_own_finding
from labelkit.common.messages import Number, Quoted, Said, Term
from labelkit.common.paper import PAPER_NAMES, find_paper, find_usual_paper
from labelkit.order.label import LabelSpec
from labelkit.order.printer import PrinterProfile
from labelkit.order.stock import Stock
from labelkit.rules.findings import Finding

OPAQUE = ("paper", "card", "kraft", "fabric")
"""Materials that nothing shows through; film may be either."""


def check_stock(
    spec: LabelSpec, stocks: Sequence[Stock], printers: Sequence[PrinterProfile]
) -> tuple[Finding, ...]:
    """What does not go together, in a fixed order; the first of the stocks carries the labels."""
    # Sheets are corrected for the one that the maker names; where none has that name, they say so.
    printer = next((one for one in printers if one.name == spec.maker.printer), None)
    different = tuple(dict.fromkeys(stocks))
    return (
        *_check_clear_stock(spec, stocks[0]),
        *(finding for stock in different for finding in _check_paper(spec, stock)),
        *(
            finding
            for stock in different
            if printer
            for finding in _check_measured_paper(printer, stock)
        ),
    )


def _check_clear_stock(spec: LabelSpec, stock: Stock) -> Iterator[Finding]:
    """Labels said to be see-through, of stock whose own file says that it is not."""
    if spec.clear and stock.says_material and stock.material in OPAQUE:
        yield make_own_finding(
            "CRAFT-CLEAR",
            Said(
                "label.clear says that the labels are see-through, and the stock {stock} is"
                " {material}",
                stock=Quoted(spec.stock),
                material=Term("stock material", stock.material),
            ),
            remedy=Said(
                "Take out clear = true, or name the clear stock: the soap's colour is taken for"
                " the ground that the words are read on."
            ),
        )


def _check_paper(spec: LabelSpec, stock: Stock) -> Iterator[Finding]:
    """Sheets of a size that is not sold where the maker is; rolls and small sheets are anywhere."""
    country = spec.maker.country or next(iter(spec.regions), "")
    paper = find_paper(stock.page_width_mm, stock.page_height_mm)
    if paper and country and (usual := find_usual_paper(country)) != paper:
        yield make_own_finding(
            "CRAFT-PAPER",
            Said(
                "The sheets of the stock {stock} are {paper}, and where the soap is made paper is"
                " {usual}",
                stock=Quoted(stock.name),
                paper=_translate_paper(paper),
                usual=_translate_paper(usual),
            ),
            remedy=Said(
                "Measure a sheet: where it is {usual}, name a stock of that size (labelkit stock"
                " lists them); where it is {paper}, see that the printer is set to it.",
                paper=_translate_paper(paper),
                usual=_translate_paper(usual),
            ),
        )


def _check_measured_paper(printer: PrinterProfile, stock: Stock) -> Iterator[Finding]:
    """A printer that was measured on other paper than it is to print on."""
    if not printer.measured_elsewhere(stock.page_width_mm, stock.page_height_mm):
        return
    paper = find_paper(stock.page_width_mm, stock.page_height_mm)
    page = (
        _translate_paper(paper)
        if paper
        else Said("{width} mm wide", width=_mm_to_number(stock.page_width_mm))
    )
    yield make_own_finding(
        "CRAFT-PRINTER-PAPER",
        Said(
            "The printer {printer} was measured on {paper}, and these sheets are {page}",
            printer=Quoted(printer.name),
            paper=_translate_paper(printer.page),
            page=page,
        ),
        remedy=Said(
            "A printer takes in other paper at another place: measure it anew on {page} (labelkit"
            " calibrate), under a name of its own.",
            page=page,
        )
        if paper
        else Said("Print one sheet on plain paper and lay it over the stock against the light."),
    )


def _translate_paper(paper: str) -> Term:
    return Term("paper", PAPER_NAMES[paper])


def _mm_to_number(length_mm: float) -> Number:
    return Number(Decimal(repr(length_mm)))
