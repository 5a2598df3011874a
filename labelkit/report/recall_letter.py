"""A letter to each customer whose order used a recalled lot: what, which lot, what to do."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Iterable

from labelkit.common.frozen import dataclass
from labelkit.order.label import LabelSpec
from labelkit.pdf.write.draw import DocumentInfo
from labelkit.pdf.write.page import INK, MARGIN_MM, PageWriter, choose_page_size
from labelkit.plan.trace import BatchRecord
from labelkit.report.phrasebook import Phrases, list_languages, load_phrases
from labelkit.typeset.apostrophes import set_apostrophes


@dataclass(frozen=True)
class RecallLetter:
    """One order's letter, in its customer's language."""

    spec: LabelSpec
    record: BatchRecord
    say: Phrases
    on: dt.date
    """The day it is written."""

    @property
    def subject(self) -> str:
        return self.say("recall.subject", lot=self.record.lot)

    @property
    def paragraphs(self) -> tuple[str, ...]:
        """What it says, without a word of the supplier or of the maker's own lots."""
        say, record = self.say, self.record
        names, date = say.of(self.spec.event.names), say.date(record.date)
        contact = ", ".join(self.spec.maker.contact)
        return (
            say("recall.what", names=names, date=date, pieces=say.many("pieces", record.labels)),
            say("recall.which", lot=record.lot),
            say("recall.do"),
            say("recall.skin"),
            say("recall.contact", contact=contact),
            say("recall.sorry"),
        )


def choose_letter_language(spec: LabelSpec) -> str:
    """The customer's language, or the label's first that letters are written in, or English."""
    known = list_languages("plan")
    customer = spec.plan.customer
    asked = (customer.language if customer else "", *spec.languages, "en")
    return next(tag for tag in asked if tag in known)


def make_recall_letter(spec: LabelSpec, record: BatchRecord, on: dt.date) -> RecallLetter:
    """The letter of an order whose batch is recalled, written on a day."""
    language, occasion = choose_letter_language(spec), spec.event.kind
    say = load_phrases("plan", language, *spec.regions, occasion=occasion)
    return RecallLetter(spec, record, say, on)


def draw_recall_letter(letter: RecallLetter) -> bytes:
    """The letter as a page to print or to send."""
    spec, say = letter.spec, letter.say
    stream = io.BytesIO()
    info = DocumentInfo(letter.subject, say.language)
    page = PageWriter(stream, choose_page_size(spec.regions), info)
    contact = (*map(set_apostrophes, spec.maker.address), *spec.maker.contact)
    page.letterhead(set_apostrophes(spec.maker.name), contact)
    page.y -= 14
    page.text(say.date(letter.on), page.right, page.y, page.plain, 10.5, INK, "right")
    for line in _address(spec):
        page.text(line, MARGIN_MM, page.y, page.plain, 10.5, INK)
        page.y -= 5
    page.y -= 10
    page.y -= page.paragraph(letter.subject, MARGIN_MM, page.y, 13, INK, None, page.bold) + 5
    for text in letter.paragraphs:
        page.y -= page.paragraph(text, MARGIN_MM, page.y, 11, INK) + 4
    page.y -= 4
    page.text(set_apostrophes(spec.maker.name), MARGIN_MM, page.y, page.plain, 11, INK)
    page.new_page()
    page.save()
    return stream.getvalue()


def _address(spec: LabelSpec) -> tuple[str, ...]:
    customer = spec.plan.customer
    if customer is None:
        return ()
    return tuple(map(set_apostrophes, (customer.name, *customer.address)))


def list_customers(letters: Iterable[RecallLetter]) -> tuple[str, ...]:
    """Whom to call: event, pieces, name and telephone of each order, tabs between them."""
    return tuple(
        "\t".join(
            (
                letter.record.date.isoformat(),
                letter.record.names,
                str(letter.record.labels),
                customer.name if (customer := letter.spec.plan.customer) else "?",
                customer.telephone if customer else "?",
            )
        )
        for letter in letters
    )
