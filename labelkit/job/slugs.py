"""What a sheet says in its margin, for who prints it and who cuts it."""

from __future__ import annotations

from functools import lru_cache

from labelkit.common.messages import Day, Said, Term
from labelkit.compose.job import Job
from labelkit.impose import SHEET_NUMBER
from labelkit.pdf.write.draw import MARGIN_FACE
from labelkit.report.findings import choose_language
from labelkit.report.phrasebook import choose_locale
from labelkit.report.speech import Speech
from labelkit.typeset.faces import load_face

BETWEEN = " · "


def make_slugs(job: Job, panel: str, code: str, sheets: int) -> tuple[str, ...]:
    """The order's code, the event, the side, the sheet's number, lot and day, in the maker's
    language; then the same with less, where there is no room for all of it."""
    speak = make_speech(job)
    order = speak(Said("Order {code}", code=code))
    event = next(iter(job.spec.event.names.values()))
    sheet = speak(Said("sheet {number} of {sheets}", number=SHEET_NUMBER, sheets=str(sheets)))
    side = speak(Term("panel", panel))
    lot = job.spec.product.lot
    day = speak(Day(job.spec.event.date))
    parts = [order, event, side, sheet, *([speak(Said("lot {lot}", lot=lot))] if lot else []), day]
    whole = BETWEEN.join([*parts, "100\u00a0%"])
    shorter = BETWEEN.join([order, side, sheet])
    face = load_face(MARGIN_FACE)
    return tuple(
        text for text in (whole, shorter, order) if not face.missing(text.replace(SHEET_NUMBER, ""))
    )


def make_speech(job: Job) -> Speech:
    """The maker's language."""
    return _load_speech(choose_language(job.spec))


@lru_cache(maxsize=4)  # sheets that are asked for again are known by who speaks on them
def _load_speech(language: str) -> Speech:
    return Speech(language, choose_locale(language))


def shorten_slug(text: str) -> str:
    """A slug without what holds for one sheet alone."""
    return text.split(BETWEEN)[0]
