"""labelkit's own checks of what a label spec says, before anything is made of it.

No law asks for them: they catch a slip of the finger that would print well, such as a weight in the
wrong unit or a year that is past.
"""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal

from labelkit.checks.craft import make_own_finding, quote_names
from labelkit.checks.durability import check_given_words
from labelkit.checks.maker import check_maker, check_origin
from labelkit.checks.scent import check_scent
from labelkit.common.messages import Day, FactList, Language, Number, Quoted, Said
from labelkit.common.text_match import fold_as_read
from labelkit.order.guest_files import UTF_16, WINDOWS_1252
from labelkit.order.label import LabelSpec
from labelkit.order.reader import Words
from labelkit.order.recipe import Recipe
from labelkit.plan.pouring import PlannedLot, plan_lot
from labelkit.rules.facts import PackageFace
from labelkit.rules.findings import Finding, Level
from labelkit.rules.kinds.french import find_english_words

SOAP_G_CM3 = Decimal(1)
"""Soap sinks or swims by a little either way (common practice, no source)."""
DEEPEST = 2
"""A package is taken to be at most so many times as deep as the longer side of its face (labelkit's
own judgement): soap is sold in bars, not in poles."""
THINNEST_MM = 2
"""A piece spread so thin over its face would be a leaf (labelkit's own judgement)."""
MOST_YEARS_AHEAD = 5
"""An event so far off is likelier a slip in the year (labelkit's own judgement)."""
FEW_GUESTS = 12
"""For fewer, spares may well be as many (labelkit's own judgement)."""
DAYS_A_YEAR = Decimal("365.25")
_NO_SOURCE = Said("common practice, no source")


def check_order(
    spec: LabelSpec, recipe: Recipe, today: dt.date | None = None
) -> tuple[Finding, ...]:
    """Everything that looks like a slip, in a fixed order; the day is judged only against one."""
    return (
        *_check_weight(spec),
        *_check_bar_weight(spec, recipe),
        *(_check_day(spec, today) if today else ()),
        *_check_lot(spec, recipe),
        *_check_languages(spec),
        *_check_lacking_languages(spec),
        *check_given_words(spec),
        *_check_copied_words(spec),
        *_check_pasted_marks(spec),
        *_check_list_notes(spec),
        *_check_guests(spec),
        *_check_spares(spec),
        *check_scent(spec, recipe),
        *check_maker(spec.maker),
        *check_origin(spec),
    )


def _check_weight(spec: LabelSpec) -> Iterator[Finding]:
    """A weight that a package with such a face cannot hold, or that would hardly cover it."""
    product = spec.product
    if product.label_is_tag:  # the tag's face says nothing of the piece it hangs from
        return
    face = PackageFace(product.face_width_mm, product.face_height_mm, product.face_shape)
    size = {"width": Number(face.width_mm), "height": Number(face.height_mm)}
    most_g = face.area_cm2 * DEEPEST * max(face.width_mm, face.height_mm) / 10 * SOAP_G_CM3
    least_g = face.area_cm2 * THINNEST_MM / 10 * SOAP_G_CM3
    if product.net_weight_g > most_g:
        message = Said(
            "Soap of that weight does not go behind a face of {width} x {height} mm", **size
        )
        limit = Number(most_g, 0)
    elif product.net_weight_g < least_g:
        message = Said(
            "Soap of that weight would be a leaf behind a face of {width} x {height} mm", **size
        )
        limit = Number(least_g, 1)
    else:
        return
    yield make_own_finding(
        "CRAFT-WEIGHT-FACE",
        message,
        element="net-quantity",
        measured=Number(product.net_weight_g),
        required=limit,
        unit="g",
        citation=_NO_SOURCE,
        remedy=Said(
            "Check net_weight and package_face, and their units: soap weighs about 1 g to the cubic"
            " centimetre."
        ),
    )


def _check_bar_weight(spec: LabelSpec, recipe: Recipe) -> Iterator[Finding]:
    heaviest = max((bar.cured_g for bar in recipe.cure.bars), default=None)
    if heaviest is not None and spec.product.net_weight_g > heaviest:
        yield make_own_finding(
            "CRAFT-WEIGHT-BAR",
            Said("A piece is to weigh more than the heaviest bar of the recipe when cured"),
            element="net-quantity",
            measured=Number(spec.product.net_weight_g),
            required=Number(heaviest),
            unit="g",
            remedy=Said("Check net_weight and its unit, and the bars under [cure]."),
        )


def _check_day(spec: LabelSpec, today: dt.date) -> Iterator[Finding]:
    day = spec.event.date
    years = Decimal((day - today).days) / DAYS_A_YEAR
    if day < today:
        printed_again = spec.product.sold_on >= today
        yield make_own_finding(
            "CRAFT-DATE-PAST",
            Said("The day of the event, {day}, is past", day=Day(day)),
            element="date",
            level=Level.WARN if printed_again else Level.FAIL,
            remedy=Said(
                "Check the year. Where these labels are printed once more, say under [product] with"
                " sold_on when they are given away."
            ),
        )
    elif years > MOST_YEARS_AHEAD:
        yield make_own_finding(
            "CRAFT-DATE-FAR",
            Said(
                "The day of the event, {day}, is over {years} years ahead",
                day=Day(day),
                years=Number(int(years)),
            ),
            element="date",
            remedy=Said("Check the year."),
        )
    sold_on = spec.product.sold_on
    if sold_on < today <= day:
        yield make_own_finding(
            "CRAFT-SOLD-ON",
            Said(
                "The day of sale, {day}, is past, and the event is not: the label is held to the"
                " rules of that day",
                day=Day(sold_on),
            ),
            element="date",
            remedy=Said("Take product.sold_on out, or correct it."),
        )


def _check_lot(spec: LabelSpec, recipe: Recipe) -> Iterator[Finding]:
    """A lot that is not the one the maker's own pattern gives for the day of pouring.

    What is plainly added to that lot tells the batches of one day apart (common practice, no
    source).
    """
    lot = spec.product.lot
    planned = plan_lot(spec, recipe) if lot and spec.plan.has_own("lot_pattern") else None
    if planned is not None and not planned.allows(lot):
        yield make_own_finding(
            "CRAFT-LOT",
            Said(
                "The lot is {lot}, but plan.lot_pattern and the pour on {day} give {planned}",
                lot=Quoted(lot),
                planned=Quoted(planned.code),
                day=Day(planned.poured),
            ),
            element="lot",
            remedy=_suggest_lot(lot, planned),
        )


def _suggest_lot(lot: str, planned: PlannedLot) -> Said:
    """What to write for a lot that is not of its day, or that is run together with more."""
    another = Quoted(planned.another)
    if lot.startswith(planned.code):
        return Said(
            "For another batch of that day write an addition set apart, such as {another}; or put"
            " what every lot ends in into plan.lot_pattern: {pattern}.",
            another=another,
            pattern=Quoted(planned.pattern + lot.removeprefix(planned.code)),
        )
    return Said(
        "Write {planned} as product.lot ({another} for another batch of that day), or say in"
        " plan.poured_on or plan.lot_pattern what is right.",
        planned=Quoted(planned.code),
        another=another,
    )


def _check_languages(spec: LabelSpec) -> Iterator[Finding]:
    """Words in a language that the label does not have: they are nowhere printed."""
    lost: dict[str, list[str]] = {}
    for key, words in _list_words(spec):
        for code in words:
            if code and code not in spec.languages:
                lost.setdefault(code, []).append(f"{key}.{code}")
    for code, keys in lost.items():
        yield make_own_finding(
            "CRAFT-WORDS-UNUSED",
            Said(
                "Words in {language} are given and not printed: {keys}",
                language=Language(code),
                keys=quote_names(keys),
            ),
            remedy=Said('Add "{code}" to label.languages, or take the words out.', code=code),
        )


def _check_lacking_languages(spec: LabelSpec) -> Iterator[Finding]:
    """Words that are given in a language by its key and not in every one that the label has.

    What a law asks for in all of them, the rules say.
    """
    lacking: dict[tuple[str, ...], list[str]] = {}
    for key, words in _list_words(spec):
        missing = tuple(code for code in spec.languages if code not in words)
        if missing and words and "" not in words and key not in _ASKED_BY_LAW:
            lacking.setdefault(missing, []).append(key)
    for codes, keys in lacking.items():
        yield make_own_finding(
            "CRAFT-WORDS-MISSING",
            Said(
                "Words are not given in {languages}: {keys}",
                languages=FactList(map(Language, codes), "and"),
                keys=quote_names(keys),
            ),
            remedy=Said(
                "Add them, or give words that are the same in every language once, as plain text."
            ),
        )


def _check_copied_words(spec: LabelSpec) -> Iterator[Finding]:
    """English where French is to stand, as when a line was copied and not translated."""
    for key, words in _list_words(spec):
        french = words.get("fr", "")
        copied = french == words.get("en")
        if key in _JUDGED_ELSEWHERE or not find_english_words(french, whole=not copied):
            continue
        yield make_own_finding(
            "CRAFT-WORDS-COPIED",
            Said(
                "{words} is given as {language}, and its words are {other}",
                words=Quoted(french),
                language=Language("fr"),
                other=Language("en"),
            ),
            remedy=Said(
                "Say {key} in {language}.", key=Quoted(f"{key}.fr"), language=Language("fr")
            ),
        )


def _check_pasted_marks(spec: LabelSpec) -> Iterator[Finding]:
    """Words that carry the marks of a page they were copied from."""
    for key, words in _list_words(spec):
        for code, text in words.items():
            if _MARKUP.search(text):
                yield make_own_finding(
                    "CRAFT-WORDS-MARKUP",
                    Said("{words} has marks of a web page in it", words=Quoted(text)),
                    level=Level.FAIL,
                    remedy=Said(
                        "Write {key} as it is to be printed.",
                        key=Quoted(f"{key}.{code}" if code else key),
                    ),
                )


_JUDGED_ELSEWHERE = frozenset({"event.names", "event.place", "product.identity"})
"""Names may be alike in both; the identity is held against the law's rows."""
_MARKUP = re.compile(
    r"</?[a-z][a-z0-9]*(?:\s[^<>]*)?/?>|&(?:#\d+|#x[0-9a-f]+|[a-z]{2,8});", re.IGNORECASE
)
_ASKED_BY_LAW = frozenset({"product.identity"})


def _list_words(spec: LabelSpec) -> Iterator[tuple[str, Words]]:
    """Everything the spec says in words, with its key."""
    yield "event.names", spec.event.names
    yield "event.place", spec.event.place
    yield "product.identity", spec.product.identity
    yield "product.scent", spec.product.scent
    for name, side in (("front", spec.front), ("back", spec.back)):
        for element, words in side.words.items():
            yield f"{name}.{element.replace('-', '_')}", words


_COMPARE = Said("Compare the names on the proof with your list.")
_SAVED_AS = Said("Compare the names on the proof with your list, or save it as CSV UTF-8.")
_LIST_NOTES = {
    UTF_16: (
        "CRAFT-GUEST-ENCODING",
        Said("The guest list is in UTF-16, not UTF-8, and was read as it is"),
        Said("Nothing need be done; saved as CSV UTF-8 the list is read without this line."),
    ),
    WINDOWS_1252: (
        "CRAFT-GUEST-ENCODING",
        Said(
            "The guest list is not in UTF-8 and does not say what it is in; read as"
            " Windows-1252 it has these names: {names}"
        ),
        _SAVED_AS,
    ),
    "one-line": (
        "CRAFT-GUEST-ONE-LINE",
        Said("The guest list is one line, and was taken for these names: {names}"),
        Said("Put each guest on a line of their own where that is not so."),
    ),
    "marks": (
        "CRAFT-GUEST-MARKS",
        Said("Numbers, bullets and dashes were taken off guests’ names: {names}"),
        _COMPARE,
    ),
    "numbers": (
        "CRAFT-GUEST-NUMBERS",
        Said("Guests’ names that begin with a number are printed with it: {names}"),
        Said("Take the number out of the list where it is no part of the name."),
    ),
    "decoded": (
        "CRAFT-GUEST-DECODED",
        Said("Guests’ names had been decoded twice, and were read as was meant: {names}"),
        _SAVED_AS,
    ),
    "hidden": (
        "CRAFT-GUEST-HIDDEN",
        Said("Letters that nobody sees were taken out of guests’ names: {names}"),
        _COMPARE,
    ),
    "lines": (
        "CRAFT-GUEST-LINES",
        Said("Guests’ names that go over several lines of the list were made one: {names}"),
        Said("Give each guest a row of their own where these are several."),
    ),
    "formula": (
        "CRAFT-GUEST-FORMULA",
        Said("Formulas of a spreadsheet were read as the names in them: {names}"),
        _COMPARE,
    ),
    "asides": (
        "CRAFT-GUEST-ASIDE",
        Said("Guests’ names are printed with what stands beside them: {names}"),
        Said("Take out of the list what is no part of the name."),
    ),
    "surname-first": (
        "CRAFT-GUEST-COMMA",
        Said("Names with a comma are printed with it, as they stand; are they meant so? {names}"),
        Said("Write the given name first where that is meant."),
    ),
    "passed-over": (
        "CRAFT-GUEST-PASSED",
        Said("Lines of the guest list without a letter were passed over: {names}"),
        Said("Write the name where a guest is meant; take the line out where none is."),
    ),
    "couple": (
        "CRAFT-GUEST-COUPLE",
        Said("The guest list is a single name: {names}"),
        Said("Put each guest on a line of their own where these are to have a label each."),
    ),
}
"""What is said of each kind of note on the guest list, and what to do."""


def _check_list_notes(spec: LabelSpec) -> Iterator[Finding]:
    """What was taken off the guests' names, mended or guessed: a line for each kind."""
    for note in spec.event.listed.notes:
        rule, message, remedy = _LIST_NOTES[note.kind]
        shown: list[str] = [Quoted(name) for name in note.written]
        if note.read:
            pairs = zip(shown, note.read, strict=True)
            shown = [Said("{written} → {read}", written=w, read=Quoted(r)) for w, r in pairs]
        yield make_own_finding(
            rule,
            Said(message.template, names=quote_names(shown)) if shown else message,
            element="guest",
            remedy=remedy,
        )


def _check_guests(spec: LabelSpec) -> Iterator[Finding]:
    """Names that stand on the guest list more than once, and columns that no label carries."""
    unread = spec.event.listed.unread
    if unread:
        yield make_own_finding(
            "CRAFT-GUEST-COLUMNS",
            Said(
                "Columns of the guest list that are not printed: {columns}",
                columns=quote_names(Quoted(column) for column in unread),
            ),
            element="guest",
            level=Level.NOTE,
            remedy=Said("Put what a label is to carry into the columns of the name."),
        )
    keys = [fold_as_read(name) for name in spec.event.guest_names]
    spelt = dict(zip(reversed(keys), reversed(spec.event.guest_names), strict=True))
    again = [spelt[key] for key, count in Counter(keys).items() if count > 1]
    if again:
        yield make_own_finding(
            "CRAFT-GUEST-TWICE",
            Said(
                "Names that stand on the guest list more than once: {names}",
                names=quote_names(Quoted(name) for name in again),
            ),
            element="guest",
            level=Level.NOTE,
            remedy=Said("Look whether each is a guest; two may share a name."),
        )


def _check_spares(spec: LabelSpec) -> Iterator[Finding]:
    """As many spares as guests, where there are more guests than a table seats."""
    event = spec.event
    if event.spares >= event.guests >= FEW_GUESTS:
        yield make_own_finding(
            "CRAFT-SPARES",
            Said(
                "{spares} spares are made for {guests} guests",
                spares=Number(event.spares),
                guests=Number(event.guests),
            ),
            level=Level.NOTE,
            remedy=Said("Check event.spares: it is a share of the guests, or a count."),
        )
