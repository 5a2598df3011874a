"""labelkit's own checks of what an order is printed on, and of the printer it is corrected for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from labelkit.checks.craft import own_finding
from labelkit.common.messages import Number, Quoted, Said, Term
from labelkit.common.paper import PAPER_NAMES, paper_of, usual_paper
from labelkit.order.label import LabelSpec
from labelkit.order.printer import PrinterProfile
from labelkit.order.stock import Stock
from labelkit.rules.findings import Finding

OPAQUE = ("paper", "card", "kraft", "fabric")
"""Materials that nothing shows through; film may be either."""


def stock_findings(
    spec: LabelSpec, stocks: Sequence[Stock], printers: Sequence[PrinterProfile]
) -> tuple[Finding, ...]:
    """What does not go together, in a fixed order; the first of the stocks carries the labels."""
    # Sheets are corrected for the one that the maker names; where none has that name, they say so.
    printer = next((one for one in printers if one.name == spec.maker.printer), None)
    different = tuple(dict.fromkeys(stocks))
    return (
        *_clear(spec, stocks[0]),
        *(finding for stock in different for finding in _paper(spec, stock)),
        *(finding for stock in different if printer for finding in _measured(printer, stock)),
    )


def _clear(spec: LabelSpec, stock: Stock) -> Iterator[Finding]:
    """Labels said to be see-through, of stock whose own file says that it is not."""
    if spec.clear and stock.says_material and stock.material in OPAQUE:
        yield own_finding(
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


def _paper(spec: LabelSpec, stock: Stock) -> Iterator[Finding]:
    """Sheets of a size that is not sold where the maker is; rolls and small sheets are anywhere."""
    country = spec.maker.country or next(iter(spec.regions), "")
    paper = paper_of(stock.page_width_mm, stock.page_height_mm)
    if paper and country and (usual := usual_paper(country)) != paper:
        yield own_finding(
            "CRAFT-PAPER",
            Said(
                "The sheets of the stock {stock} are {paper}, and where the soap is made paper is"
                " {usual}",
                stock=Quoted(stock.name),
                paper=_paper_name(paper),
                usual=_paper_name(usual),
            ),
            remedy=Said(
                "Measure a sheet: where it is {usual}, name a stock of that size (labelkit stock"
                " lists them); where it is {paper}, see that the printer is set to it.",
                paper=_paper_name(paper),
                usual=_paper_name(usual),
            ),
        )


def _measured(printer: PrinterProfile, stock: Stock) -> Iterator[Finding]:
    """A printer that was measured on other paper than it is to print on."""
    if not printer.measured_elsewhere(stock.page_width_mm, stock.page_height_mm):
        return
    paper = paper_of(stock.page_width_mm, stock.page_height_mm)
    page = _paper_name(paper) if paper else Said("{width} mm wide", width=_mm(stock.page_width_mm))
    yield own_finding(
        "CRAFT-PRINTER-PAPER",
        Said(
            "The printer {printer} was measured on {paper}, and these sheets are {page}",
            printer=Quoted(printer.name),
            paper=_paper_name(printer.page),
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


def _paper_name(paper: str) -> Term:
    return Term("paper", PAPER_NAMES[paper])


def _mm(length_mm: float) -> Number:
    return Number(Decimal(repr(length_mm)))
