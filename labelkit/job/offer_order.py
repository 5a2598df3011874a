"""An order started from an offer: the text of its label.toml, and what is to be told of it."""

from __future__ import annotations

import datetime as dt
import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from labelkit.common.frozen import dataclass
from labelkit.compose.job import Job
from labelkit.job.new_order import (
    Workshop,
    format_array,
    format_inline_table,
    make_starter_files,
    quote_text,
    set_key,
    uncomment_key,
)
from labelkit.job.prepare import job_from_order
from labelkit.order.blanks import BLANK
from labelkit.order.label import DISPLAY
from labelkit.order.maker import read_country_and_regions
from labelkit.order.offer import Offer, Offered, OfferedExtra, OfferedSize, OfferedSoap, OfferedWrap
from labelkit.order.order import read_order
from labelkit.order.reader import Words
from labelkit.plan.order_plan import Plan, make_plan
from labelkit.rules import list_set_phrases

TRIAL_NAME = "trial-of-offer.label.toml"
"""Beside the offer, where no file of that name is ever written."""
TRIAL_LOT = "LOT-0000"
"""As long as a lot code usually is: the label has to have room for one."""
NO_LOT = "# The plan makes the lot code by lot_pattern."
_DAYS_A_WEEK = 7
_PLAN_PART = re.compile(
    r"^# For `labelkit plan`: .*?(?=^# `labelkit schema --reference`|\Z)", re.M | re.S
)
_LOT_LINE = re.compile(r'^lot = "<<<.*\n', re.M)
CUSTOMER = """
# Who ordered, for quote and letters alone: no label, proof or record carries it.
# [plan.customer]
# name = "Odile Brun"
# address = ["4 Rope Walk", "Anse-aux-Brumes NB  E0X 0Z9"]
# telephone = "506 555 0142"
# language = "fr"
"""


@dataclass(frozen=True, slots=True)
class Choice:
    """What a customer chose of an offer; what she has not said yet is None or empty."""

    soap: OfferedSoap
    size: OfferedSize
    layout: str
    wrap: OfferedWrap | None = None
    extras: tuple[OfferedExtra, ...] = ()
    pieces: int | None = None
    date: dt.date | None = None
    names: Words | None = None
    place: Words | None = None
    display: bool = False
    """Pieces to show, for no customer: with the offer's invented names."""

    def compute_price(self, offer: Offer) -> Decimal:
        """Of one piece, with what the choices add."""
        pieces = offer.smallest_order if self.pieces is None else self.pieces
        wraps = () if self.wrap is None else (self.wrap,)
        added: tuple[Offered, ...] = (self.soap, self.size, *wraps, *self.extras)
        return offer.find_price(pieces) + sum((one.adds for one in added), Decimal(0))


def choose_first(offer: Offer) -> Choice:
    """The first of everything that has to be chosen."""
    return Choice(offer.soaps[0], offer.sizes[0], offer.layouts[0])


def write_order_text(offer: Offer, choice: Choice, maker: str, recipe: str) -> str:
    """The text of label.toml, with a blank for what is not known yet.

    ``maker`` and ``recipe`` are the files as it names them.
    """
    workshop = Workshop(maker, *read_country_and_regions(offer.maker))
    text = make_starter_files((), workshop)["label.toml"]
    for key, value in _list_values(offer, choice):
        text = set_key(text, key, value)
    if choice.soap.colour is not None:
        text = uncomment_key(text, "soap_colour", f'soap_colour = "{choice.soap.colour}"')
    if choice.size.face_shape != "rectangle":
        shape = f'package_face_shape = "{choice.size.face_shape}"'
        text = uncomment_key(text, "package_face_shape", shape)
    if choice.size.stock:
        text = uncomment_key(text, "stock", f"stock = {quote_text(choice.size.stock)}")
    if choice.display:
        text = text.replace("\nspares = 0", f'\nkind = "{DISPLAY}"\nspares = 0', 1)
    text = set_key(text, "recipe", quote_text(recipe))
    text = _LOT_LINE.sub(f"{NO_LOT}\n", text)
    customer = "" if choice.display else CUSTOMER
    plan = "\n".join(_list_plan_lines(offer, choice)) + "\n" + customer + "\n"
    return _PLAN_PART.sub(lambda _: plan, text)


def _list_values(offer: Offer, choice: Choice) -> Iterator[tuple[str, str]]:
    """The keys of the starter that an offer and a choice settle, with their values in TOML."""
    size, languages = choice.size, offer.languages
    width, height = size.face_mm
    yield "languages", format_array(languages)
    yield (
        "identity",
        format_inline_table(
            {tag: p.text for tag in languages if (p := list_set_phrases(tag).get("soap"))}
        ),
    )
    blank = dict.fromkeys(languages, f"{BLANK} The names")
    invented = offer.names if choice.display else blank
    yield "names", _format_words(choice.names or invented, languages)
    if choice.date is not None:
        yield "date", choice.date.isoformat()
    if choice.pieces is not None:
        yield "guests", str(choice.pieces)
    yield "spares", "0"
    if choice.place is not None:
        yield "place", _format_words(choice.place, languages)
    yield "scent", _format_words(choice.soap.scent, languages)
    yield "net_weight", quote_text(size.net_weight)
    yield "package_face", f'"{width} x {height} mm"'
    yield "trim", f'"{size.trim.width_mm:g} x {size.trim.height_mm:g} mm"'
    yield "shape", f'"{size.trim.shape}"'
    yield "corner", f'"{size.trim.corner_mm:g} mm"'
    yield "layout", quote_text(choice.layout)


def _format_words(words: Words, languages: Iterable[str]) -> str:
    """Words as TOML has them: one text for all, or one for each language that has its own."""
    if set(words) == {""}:
        return quote_text(words[""])
    every = {tag: words.get(tag) or words.get("") for tag in languages}
    return format_inline_table({tag: text for tag, text in every.items() if text})


def _list_plan_lines(offer: Offer, choice: Choice) -> Iterator[str]:
    """The tables of [plan]: what was chosen, and the price at which it is offered."""
    yield "# As chosen from the offer; habits, and all other keys, are in maker.toml."
    yield "[plan]"
    if choice.size.pieces_per_bar is not None:
        yield f"pieces_per_bar = {choice.size.pieces_per_bar}"
    if (wrap := choice.wrap) is not None:
        (width, height), sheet = wrap.measure_mm(choice.size), wrap.sheet_mm
        yield f"\n[plan.wrap] # {offer_words(wrap.name)}"
        yield f'size = "{width} x {height} mm"'
        yield f'sheet = "{sheet[0]} x {sheet[1]} mm"'
        yield from _list_bought_lines(wrap)
    for extra in choice.extras:
        yield "\n[[plan.extra]]"
        yield f"name = {_format_words(extra.name, offer.languages)}"
        yield f"per_piece = {extra.per_piece}"
        yield f"pack = {extra.pack}"
        yield from _list_bought_lines(extra)
    if choice.display:
        return
    yield "\n[plan.quote]"
    yield f"price = {choice.compute_price(offer)} # for a piece, as offered"
    if offer.deposit_percent is not None:
        yield f'deposit = "{offer.deposit_percent} %"'
    if offer.terms:
        yield f"terms = {_format_words(offer.terms, offer.languages)}"


def offer_words(words: Words) -> str:
    """Any of them, for a comment."""
    return next(iter(words.values()), "")


def _list_bought_lines(bought: OfferedWrap | OfferedExtra) -> Iterator[str]:
    if bought.price is not None:
        yield f"price = {bought.price}"
    if bought.in_hand:
        yield f"in_hand = {bought.in_hand}"


# -- tried before anything is sent -----------------------------------------------------------------


def complete_choice(offer: Offer, choice: Choice, on: dt.date) -> Choice:
    """The choice with the offer's own figures for what the customer has not said yet."""
    lead = dt.timedelta(days=offer.lead_weeks * _DAYS_A_WEEK)
    return replace(
        choice,
        pieces=choice.pieces or offer.smallest_order,
        date=choice.date or on + lead,
        names=choice.names or offer.names,
    )


def prepare_choice(offer: Offer, choice: Choice, on: dt.date) -> Job:
    """The job that an order of a choice would be, read as if its file were there already."""
    path = offer.path.parent / TRIAL_NAME
    maker = _name_from(offer.maker, path.parent)
    recipe = _name_from(choice.soap.recipe, path.parent)
    whole = complete_choice(offer, choice, on)
    assert whole.date is not None, "completed"
    text = _fill_in(write_order_text(offer, whole, maker, recipe), whole.date)
    return job_from_order(read_order(path, {path: text}))


def _fill_in(text: str, date: dt.date) -> str:
    """An order's text with what only the order itself will know, so that its labels can be judged:
    a lot, and a date of durability where one is asked for; other blanks are left out."""
    text = text.replace(NO_LOT, f'lot = "{TRIAL_LOT}"', 1)
    text = re.sub(r"(?m)^durability_months = .*", "durability_months = 24", text)
    kept = f'durability = "{date.month:02}/{date.year + 1}"'  # well within them
    text = re.sub(r'(?m)^durability = ".*', kept, text)
    return "".join(line for line in text.splitlines(keepends=True) if BLANK not in line)


def plan_choice(offer: Offer, choice: Choice, on: dt.date) -> Plan:
    """The plan of the same order, as of a day."""
    return make_plan(prepare_choice(offer, choice, on), on)


def _name_from(path: Path, folder: Path) -> str:
    return Path(os.path.relpath(path, folder)).as_posix()
