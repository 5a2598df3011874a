"""offer.toml, beside maker.toml: what a maker offers, and the prices at which it stands.

The choice is kept small: at most three scents and as many colours (common practice, no source),
each of a recipe that is known to behave.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Protocol, TypeVar

from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Said, Verbatim
from labelkit.common.resources import find_layouts_folder
from labelkit.order.fields import OFFER
from labelkit.order.label import Trim, read_trim
from labelkit.order.layout import describe_unknown_layout
from labelkit.order.mistakes import collect_mistakes, tell_mistakes_together
from labelkit.order.plan import measure_wrap_mm
from labelkit.order.reader import Table, Words, read_toml

USUAL_LEAD_WEEKS = 6
"""A month and a half: common practice, no source."""
MOST_SCENTS = 3
"""More than so many are hard to keep fresh and known: common practice, no source."""


@dataclass(frozen=True, slots=True)
class OfferedSoap:
    id: str
    scent: Words
    recipe: Path
    colour: str | None
    colour_name: Words
    adds: Decimal


@dataclass(frozen=True, slots=True)
class OfferedSize:
    id: str
    net_weight: str
    """As it is written, with its unit."""
    net_weight_g: Decimal
    face_mm: tuple[Decimal, Decimal]
    face_shape: str
    trim: Trim
    stock: str
    """Empty: the workshop's."""
    pieces_per_bar: int | None
    adds: Decimal


@dataclass(frozen=True, slots=True)
class OfferedPrice:
    least: int
    """Pieces from which on it holds."""
    price: Decimal


@dataclass(frozen=True, slots=True)
class OfferedWrap:
    id: str
    name: Words
    kind: str
    size_mm: tuple[Decimal, Decimal] | None
    """What one piece takes; None: it follows from the piece."""
    thick_mm: Decimal | None
    sheet_mm: tuple[Decimal, Decimal]
    in_hand: int
    price: Decimal | None
    """Of a sheet as bought."""
    adds: Decimal

    def measure_mm(self, size: OfferedSize) -> tuple[Decimal, Decimal]:
        """What it takes round a piece of a size."""
        if self.size_mm is not None:
            return self.size_mm
        assert self.thick_mm is not None, "read with one of the two"
        return measure_wrap_mm(self.kind, *size.face_mm, self.thick_mm)


@dataclass(frozen=True, slots=True)
class OfferedExtra:
    id: str
    name: Words
    per_piece: int
    pack: int
    in_hand: int
    price: Decimal | None
    """Of a pack."""
    adds: Decimal


@dataclass(frozen=True, slots=True)
class Offer:
    """What is offered, each list in the order of the file; prices by rising numbers."""

    path: Path
    title: Words
    about: Words
    languages: tuple[str, ...]
    names: Words
    """Invented ones, for the designs."""
    maker: Path
    layouts: tuple[str, ...]
    smallest_order: int
    lead_weeks: int
    deposit_percent: Decimal | None
    """None: as the workshop's file says."""
    until: dt.date | None
    terms: Words
    soaps: tuple[OfferedSoap, ...]
    sizes: tuple[OfferedSize, ...]
    prices: tuple[OfferedPrice, ...]
    wraps: tuple[OfferedWrap, ...]
    extras: tuple[OfferedExtra, ...]

    def find_price(self, pieces: int) -> Decimal:
        """Of one piece of so many, before what the choices add; below all steps the first's."""
        reached = [step.price for step in self.prices if step.least <= pieces]
        return reached[-1] if reached else self.prices[0].price


def read_offer(path: Path) -> Offer:
    """Reads an offer; one InputError that tells every mistake in it."""
    with tell_mistakes_together():
        top = read_toml(path, OFFER)
        own = top.table("offer")
        offer = Offer(
            path=path,
            title=own.words("title"),
            about=own.words("about", {}),
            languages=own.texts("languages", expected=Said('a list such as ["en", "fr"]'), least=1),
            names=own.words("names"),
            maker=own.must_be_there("maker", own.text("maker", "maker.toml"), Said("a maker file")),
            layouts=own.texts("layouts", expected=Said('a list such as ["lantern"]'), least=1),
            smallest_order=own.integer("smallest_order", 1),
            lead_weeks=own.integer("lead_weeks", USUAL_LEAD_WEEKS),
            deposit_percent=own.percent("deposit", None),
            until=own.date("until", None),
            terms=own.words("terms", {}),
            soaps=own.rows("soap", _read_soap),
            sizes=own.rows("size", _read_size),
            prices=own.rows("price", _read_price),
            wraps=own.rows("wrap", _read_wrap),
            extras=own.rows("extra", _read_extra),
        )
        collect_mistakes(_check_lists, own, offer)
        own.done()
        top.done()
        return offer


class Offered(Protocol):
    """Anything to choose: how it is named, and what it adds to the price of a piece."""

    @property
    def id(self) -> str: ...

    @property
    def adds(self) -> Decimal: ...


Chosen = TypeVar("Chosen", bound=Offered)


def find_chosen(among: tuple[Chosen, ...], name: str) -> Chosen | None:
    """What is called so, letter case aside; None where nothing is."""
    return next((one for one in among if one.id.casefold() == name.casefold()), None)


def _check_lists(own: Table, offer: Offer) -> None:
    lists: tuple[tuple[str, tuple[Offered, ...]], ...] = (
        ("soap", offer.soaps), ("size", offer.sizes), ("wrap", offer.wraps),
        ("extra", offer.extras),
    )  # fmt: skip
    for name, rows in lists:
        told = FactList(_list_repeated([row.id.casefold() for row in rows if row is not None]))
        if told:
            own.wrong(f"{name}.id", None, Said("stands twice: {ids}", ids=told))
    for name in offer.layouts or ():
        if complaint := describe_unknown_layout(name, offer.path.parent, find_layouts_folder()):
            own.wrong("layouts", name, complaint)
    for name, among in (("soap", offer.soaps), ("size", offer.sizes), ("price", offer.prices)):
        if not among:
            told_none = Said("missing; expected at least one [[offer.{name}]]", name=name)
            own.wrong(name, None, told_none)
    steps = [step.least for step in offer.prices if step is not None]
    if steps != sorted(set(steps)):
        told_steps = Said("expected numbers of pieces that rise from row to row")
        own.wrong("price.from", FactList(map(str, steps)), told_steps)


def _list_repeated(ids: list[str]) -> Iterator[str]:
    return (Verbatim(one) for one in dict.fromkeys(ids) if ids.count(one) > 1)


def _read_id(table: Table) -> str:
    name: str = table.text("id", expected=Said('a short name such as "oat"'))
    return name


def _read_adds(table: Table) -> Decimal:
    adds: Decimal = table.number("adds", Decimal(0))
    return adds


def _read_soap(table: Table) -> OfferedSoap:
    return OfferedSoap(
        id=_read_id(table),
        scent=table.words("scent"),
        recipe=table.must_be_there("recipe", table.text("recipe", "recipe.toml"), Said("a recipe")),
        colour=table.colour("colour"),
        colour_name=table.words("colour_name", {}),
        adds=_read_adds(table),
    )


def _read_size(table: Table) -> OfferedSize:
    return OfferedSize(
        id=_read_id(table),
        net_weight=table.text("net_weight", expected=Said('a mass such as "40 g"')),
        net_weight_g=table.mass_g("net_weight"),
        face_mm=table.size_mm("package_face"),
        face_shape=table.choice("package_face_shape", "rectangle"),
        trim=read_trim(table),
        stock=table.text("stock", ""),
        pieces_per_bar=table.integer("pieces_per_bar", None),
        adds=_read_adds(table),
    )


def _read_price(table: Table) -> OfferedPrice:
    return OfferedPrice(table.integer("from"), table.number("price"))


def _read_wrap(table: Table) -> OfferedWrap:
    if table.has("piece"):
        table.wrong("piece", None, Said("follows from the size that is chosen"))
    if table.has("size") == table.has("thick"):
        told = Said("expected what one piece takes, or thick instead: how thick the piece is")
        table.wrong("size", None, told)
    return OfferedWrap(
        id=_read_id(table),
        name=table.words("name"),
        kind=table.choice("kind", "paper"),
        size_mm=table.size_mm("size", None),
        thick_mm=table.length_mm("thick", None),
        sheet_mm=table.size_mm("sheet"),
        in_hand=table.integer("in_hand", 0),
        price=table.number("price", None),
        adds=_read_adds(table),
    )


def _read_extra(table: Table) -> OfferedExtra:
    return OfferedExtra(
        id=_read_id(table),
        name=table.words("name"),
        per_piece=table.integer("per_piece", 1),
        pack=table.integer("pack", 1),
        in_hand=table.integer("in_hand", 0),
        price=table.number("price", None),
        adds=_read_adds(table),
    )
