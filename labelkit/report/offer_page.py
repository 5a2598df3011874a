"""The page a maker sends or lays on her table: what she offers, with the designs as they print."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList
from labelkit.compose import ComposedPanel
from labelkit.order.offer import Offer, OfferedSize
from labelkit.order.reader import Words
from labelkit.pdf.write.draw import DocumentInfo
from labelkit.pdf.write.page import FAINT, INK, MARGIN_MM, QUIET, PageWriter, choose_page_size
from labelkit.pdf.write.svg import draw_panel_svg
from labelkit.plan.cost import add_tax
from labelkit.report.layout_sheet import LayoutTrial, draw_label
from labelkit.report.phrasebook import Phrases, list_languages, load_phrases, strip_zeros
from labelkit.report.render import render_template
from labelkit.report.speech import Speech
from labelkit.typeset.apostrophes import set_apostrophes

if TYPE_CHECKING:
    from labelkit.plan.order_plan import Plan

BOOK = "offer"
GAP_MM, MOST_GAP_MM, COLUMN_GAP_MM = 8.0, 24.0, 12.0
SWATCH_MM = 4.2
NO_COLOUR = "#f1ece4"


@dataclass(frozen=True, slots=True)
class Design:
    title: str
    front: ComposedPanel


@dataclass(frozen=True, slots=True)
class Swatch:
    """A soap as the page shows it."""

    colour: str
    name: str
    about: str
    """Its colour's name and what it adds."""


@dataclass(frozen=True, slots=True)
class OfferPage:
    """The page in one language."""

    phrases: Phrases
    maker: str
    contact: tuple[str, ...]
    title: str
    about: str
    designs_title: str
    designs: tuple[Design, ...]
    soaps: tuple[Swatch, ...]
    lists: tuple[tuple[str, tuple[str, ...]], ...]
    """Heading and lines of sizes, wraps and extras."""
    prices: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    order: str


def choose_offer_languages(offer: Offer, asked: str | None = None) -> tuple[str, ...]:
    """The languages that pages are made in: the one asked for, or the offer's own with words."""
    known = list_languages(BOOK)
    if asked is not None:
        return (asked,)
    return tuple(tag for tag in offer.languages if tag in known) or ("en",)


def word_offer(
    offer: Offer, plan: Plan, designs: Sequence[LayoutTrial], language: str, invented: bool
) -> OfferPage:
    """The page in a language, with money and maker of the first choice's plan.

    LanguageError for a language without words.
    """
    spec = plan.job.spec
    say = load_phrases(BOOK, language, *spec.regions)
    return OfferPage(
        phrases=say,
        maker=set_apostrophes(spec.maker.name),
        contact=(*map(set_apostrophes, spec.maker.address), *spec.maker.contact),
        title=say.of(offer.title),
        about=say.of(offer.about),
        designs_title=say("designs_invented" if invented else "designs"),
        designs=tuple(_list_designs(designs)),
        soaps=tuple(
            Swatch(
                soap.colour or NO_COLOUR,
                say.of(soap.scent),
                _add(say, say.of(soap.colour_name), soap.adds, plan),
            )
            for soap in offer.soaps
        ),
        lists=tuple(_list_choices(offer, plan, say)),
        prices=tuple(_list_prices(offer, plan, say)),
        notes=tuple(_list_notes(offer, plan, say)),
        order=say("order", contact=", ".join(spec.maker.contact)),
    )


def _list_designs(trials: Sequence[LayoutTrial]) -> Iterator[Design]:
    for trial in trials:
        front = trial.job.results["front"]
        if isinstance(front, ComposedPanel):
            yield Design(trial.job.layout.title, front)


def _add(say: Phrases, what: str, adds: Decimal, plan: Plan) -> str:
    """What something is called, and what it adds to the price of a piece."""
    if not adds:
        return what
    amount = _show_price(say, adds, plan)
    return say("adds", what=what, amount=amount) if what else f"+ {amount}"


def _show_price(say: Phrases, price: Decimal, plan: Plan) -> str:
    """A price as a consumer of the regions is shown it."""
    if plan.pricing.with_tax:
        price = add_tax(price, plan.spec.money.taxes, plan.cost.currency)
    return say.money(price, plan.cost.currency)


def _list_choices(offer: Offer, plan: Plan, say: Phrases) -> Iterator[tuple[str, tuple[str, ...]]]:
    sizes = tuple(_add(say, _word_size(size, say), size.adds, plan) for size in offer.sizes)
    yield say("sizes"), sizes
    named: tuple[tuple[str, Sequence[tuple[Words, Decimal]]], ...] = (
        ("wraps", [(wrap.name, wrap.adds) for wrap in offer.wraps]),
        ("extras", [(extra.name, extra.adds) for extra in offer.extras]),
    )
    for key, rows in named:
        if rows:
            yield say(key), tuple(_add(say, say.of(name), adds, plan) for name, adds in rows)


def _word_size(size: OfferedSize, say: Phrases) -> str:
    sides = (Decimal(repr(side)) for side in (size.trim.width_mm, size.trim.height_mm))
    width, height = (say.number(strip_zeros(side)) for side in sides)
    return say("size", weight=say.grams(size.net_weight_g), width=width, height=height)


def _list_prices(offer: Offer, plan: Plan, say: Phrases) -> Iterator[tuple[str, str]]:
    for step in offer.prices:
        least = max(step.least, offer.smallest_order)
        which = say("from", pieces=say.many("pieces", least)) if least > 1 else say("from_one")
        yield which, _show_price(say, step.price, plan)


def _list_notes(offer: Offer, plan: Plan, say: Phrases) -> Iterator[str]:
    money = plan.spec.money
    taxes = [
        say("tax", name=say.of(tax.name), percent=say.number(strip_zeros(tax.percent)))
        for tax in money.taxes
        if tax.percent
    ]
    if taxes:
        key = "with_tax" if plan.pricing.with_tax else "before_tax"
        yield say(key, taxes=Speech(say.language, say.locale)(FactList(taxes)))
    if offer.smallest_order > 1:
        yield say("smallest", pieces=say.many("pieces", offer.smallest_order))
    yield say("lead", weeks=say.many("weeks", offer.lead_weeks))
    deposit = money.deposit_percent
    if deposit:
        yield say("deposit", percent=say.number(strip_zeros(deposit)))
    yield say("proof")
    if offer.until is not None:
        yield say("until", date=say.date(offer.until))
    if offer.terms:
        yield say.of(offer.terms)


# -- as HTML ---------------------------------------------------------------------------------------


def format_offer_html(pages: Sequence[OfferPage]) -> str:
    """All pages in one document, each in its language; the designs are drawings in it."""
    drawn = [
        [
            draw_panel_svg(design.front.panel, design.front.faces, f"{page.phrases.language}{n}-")
            for n, design in enumerate(page.designs)
        ]
        for page in pages
    ]
    return render_template("offer.html.j2", pages=list(zip(pages, drawn, strict=True)))


# -- as PDF ----------------------------------------------------------------------------------------


def draw_offer_pdf(pages: Sequence[OfferPage], regions: Sequence[str]) -> bytes:
    """A page for each language."""
    stream = io.BytesIO()
    faces = {
        name: face
        for page in pages
        for design in page.designs
        for name, face in design.front.faces.items()
    }
    info = DocumentInfo(pages[0].title, pages[0].phrases.language)
    writer = PageWriter(stream, choose_page_size(regions), info, faces)
    for page in pages:
        _OfferSheet(writer, page).draw()
    writer.save()
    return stream.getvalue()


class _OfferSheet:
    """One language's page on paper."""

    def __init__(self, writer: PageWriter, page: OfferPage) -> None:
        self.writer, self.page = writer, page
        self.width = writer.right - MARGIN_MM

    def draw(self) -> None:
        writer, page = self.writer, self.page
        self._head()
        for part in (self._designs, self._soaps, self._choices):
            writer.keep(part, 30)
        writer.down(4)
        writer.y -= writer.paragraph(page.order, MARGIN_MM, writer.y, 11, INK, None, writer.bold)
        writer.new_page()

    def _head(self) -> None:
        writer, page = self.writer, self.page
        writer.letterhead(page.maker, page.contact)
        writer.y -= 15
        writer.y -= writer.paragraph(page.title, MARGIN_MM, writer.y, 28, INK, None, writer.serif)
        if page.about:
            writer.y += 4
            writer.y -= writer.paragraph(page.about, MARGIN_MM, writer.y, 11.5, INK)
        writer.down(4)

    def _heading(self, text: str, x: float = MARGIN_MM) -> None:
        self.writer.text(text, x, self.writer.y - 2, self.writer.serif, 14, INK)
        self.writer.down(8)

    def _designs(self) -> None:
        """The fronts at their true size, as many to a row as it holds."""
        writer, page = self.writer, self.page
        self._heading(page.designs_title)
        for row in _fill_rows([design.front.panel.width_mm for design in page.designs], self.width):
            shown = [page.designs[number] for number in row]
            height = max(design.front.panel.height_mm for design in shown)
            taken = sum(design.front.panel.width_mm for design in shown)
            gap = min(MOST_GAP_MM, (self.width - taken) / max(1, len(shown) - 1))
            x = MARGIN_MM
            for number, design in zip(row, shown, strict=True):
                panel = design.front.panel
                name = f"{page.phrases.language}-design{number}"
                if not writer.is_measuring:
                    draw_label(writer, name, design.front, x, writer.y - height)
                middle = x + panel.width_mm / 2
                writer.text(
                    design.title, middle, writer.y - height - 4.5, writer.plain, 9, QUIET, "centre"
                )
                x += panel.width_mm + gap
            writer.y -= height + 9
        writer.down(3)

    def _soaps(self) -> None:
        writer, page = self.writer, self.page
        self._heading(page.phrases("soaps"))
        columns = min(3, len(page.soaps))
        width = (self.width - (columns - 1) * GAP_MM) / columns
        for first in range(0, len(page.soaps), columns):
            row = page.soaps[first : first + columns]
            lowest = writer.y
            for index, soap in enumerate(row):
                x = MARGIN_MM + index * (width + GAP_MM)
                lowest = min(lowest, self._soap(soap, x, width))
            writer.y = lowest - 4
        writer.down(3)

    def _soap(self, soap: Swatch, x: float, width: float) -> float:
        """One soap with its colour; the height at which it ends."""
        writer, y = self.writer, self.writer.y
        writer.dot(x + SWATCH_MM, y - SWATCH_MM + 2, SWATCH_MM + 0.12, FAINT)
        writer.dot(x + SWATCH_MM, y - SWATCH_MM + 2, SWATCH_MM, soap.colour)
        left = x + 2 * SWATCH_MM + 4
        room = x + width - left
        y -= writer.paragraph(soap.name, left, y, 11, INK, room, writer.bold)
        if soap.about:
            y -= writer.paragraph(soap.about, left, y, 10, QUIET, room)
        return min(y, self.writer.y - 2 * SWATCH_MM)

    def _choices(self) -> None:
        """What to choose beside the prices and what there is to know, in two columns."""
        writer, page = self.writer, self.page
        width = (self.width - COLUMN_GAP_MM) / 2
        top, left, right = writer.y, MARGIN_MM, MARGIN_MM + width + COLUMN_GAP_MM
        for title, lines in page.lists:
            self._heading(title, left)
            self._lines(lines, left, width)
            writer.down(3)
        low, writer.y = writer.y, top
        self._heading(page.phrases("prices"), right)
        for which, price in page.prices:
            writer.text(which, right, writer.y, writer.plain, 11, INK)
            writer.text(price, right + width, writer.y, writer.bold, 11, INK, "right")
            writer.line(right, writer.y - 1.8, right + width, writer.y - 1.8, FAINT)
            writer.down(6.4)
        writer.down(3)
        self._heading(page.phrases("good_to_know"), right)
        self._lines(page.notes, right, width)
        writer.y = min(low, writer.y)

    def _lines(self, lines: Sequence[str], x: float, width: float) -> None:
        for line in lines:
            used = self.writer.paragraph(line, x, self.writer.y, 10.5, INK, width)
            self.writer.y -= used + 0.8


def _fill_rows(widths: Sequence[float], room: float) -> Iterator[list[int]]:
    """The numbers of what stands in each row, a gap between two."""
    row: list[int] = []
    taken = 0.0
    for number, width in enumerate(widths):
        if row and taken + GAP_MM + width > room:
            yield row
            row, taken = [], 0.0
        taken += width + (GAP_MM if row else 0.0)
        row.append(number)
    if row:
        yield row
