"""The plan's own tables: ``[plan]`` of label.toml, ``[plan]`` of maker.toml, and the defaults.

Both files know the same keys: the maker's file holds the habits of the workshop, the label's file
what is different this time. What neither says is taken from the defaults and remembered, so that a
plan can tell what it assumed.
"""

from __future__ import annotations

import datetime as dt
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import field, replace
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Day, Said
from labelkit.common.own_tables import read_own_text
from labelkit.common.scales import Scale
from labelkit.order.fields import MAKER
from labelkit.order.mistakes import collect_mistakes, collecting_mistakes
from labelkit.order.reader import Table, Words, describe_missing_file
from labelkit.order.remembered import remember_table

T = TypeVar("T")

LOT_FIELDS = ("yyyy", "yy", "mm", "dd", "day_of_year", "week", "recipe")
"""What may stand in braces in a lot pattern; all but the last are of the day of pouring."""
LONGEST_CLOSURE = 366


@dataclass(frozen=True, slots=True)
class UsedDefault:
    """A value that was assumed, as it would be written in the file."""

    key: str
    value: str


class MouldKind(StrEnum):
    LOAF = "loaf"
    VOLUME = "volume"
    CAVITIES = "cavities"


@dataclass(frozen=True, slots=True)
class Mould:
    """What the batch is poured into: a loaf to slice, a volume, or single cavities."""

    kind: MouldKind
    length_mm: Decimal = Decimal(0)
    width_mm: Decimal = Decimal(0)
    fill_mm: Decimal = Decimal(0)
    ends_mm: Decimal = Decimal(0)
    """Taken off the length for good, both ends together."""
    volume_ml: Decimal = Decimal(0)
    """Of one loaf or one cavity."""
    cavities: int = 0
    divider: bool = False
    """The last loaf may be filled in part, up to a board set across it."""
    owned: int | None = None
    """How many there are; None: as many as an order needs."""
    name: str = ""
    """By which pours.toml knows it."""


@dataclass(frozen=True, slots=True)
class Making:
    """How a batch becomes pieces."""

    pieces_per_bar: int
    cutting_loss_percent: Decimal
    wrapping_loss_percent: Decimal
    keep: int
    pot_loss_percent: Decimal
    offcuts_percent: Decimal
    density_g_ml: Decimal
    mould: Mould | None
    scale: Scale | None
    """None: the recipe's own."""
    fine_scale: Scale | None
    """A second one for small masses."""
    piece_poured_g: Decimal | None
    """What one piece weighs as cut, where that is fixed; None: the plan works it out."""
    spread_percent: Decimal
    """Standard deviation of one piece's mass."""
    further_loss_percent: Decimal
    """Of the cured mass, between wrapping and the day of sale."""
    shelf_loss_percent: Decimal | None = None
    """Of its mass, what a piece loses in every further month in its wrap; None: nobody said."""
    shelf_months: int = 6
    rack: int | None = None
    """Pieces that can lie and cure at a time; None: nobody said."""


@dataclass(frozen=True, slots=True)
class Timing:
    """When things can be done and how long they take."""

    deliver_on: dt.date | None
    poured_on: dt.date | None
    """The batch is already in cure since that day."""
    cure_weeks: int
    unmould_days: int
    supply_days: int
    supplies_in_hand: bool
    proof_days: int
    hours_per_day: Decimal
    closed: tuple[int, ...]
    """Weekdays without work, Monday 0."""
    holidays: Mapping[str, tuple[dt.date | tuple[int, int], ...]]
    """Name to its dates, or to a month and a day of every year; spans are written out."""
    suppliers_closed: tuple[int, ...] = ()
    """Weekdays on which an order is not taken up, Monday 0."""
    approve_days: int = 1
    """From the approval of the proof to the pour."""
    approve_on: dt.date | None = None
    """The day agreed with the customer, whenever it is poured."""


@dataclass(frozen=True, slots=True)
class LabelSheets:
    """Label sheets in hand: first free position of each side, and what a sheet costs."""

    front_start: int
    back_start: int
    price: Decimal | None
    two_sided: bool = False
    """Front and back of a piece on the two sides of one sheet."""
    other_price: Decimal | None = None
    """Of a sheet for a tag or card that has a stock of its own."""
    prices: Mapping[str, Decimal] = field(default_factory=dict)
    """Of a sheet, or of a label of a roll, by the name of its stock."""


@dataclass(frozen=True, slots=True)
class Wrap:
    size_mm: tuple[Decimal, Decimal]
    sheet_mm: tuple[Decimal, Decimal]
    in_hand: int
    price: Decimal | None
    """Of a sheet."""
    kind: str = "paper"
    """"paper", "sleeve", "band" or "shrink film"."""
    thick_mm: Decimal | None = None
    """Of the piece that its size follows from."""


@dataclass(frozen=True, slots=True)
class Ribbon:
    length_mm: Decimal
    roll_mm: Decimal
    in_hand: int
    price: Decimal | None
    """Of a roll."""


@dataclass(frozen=True, slots=True)
class PackingBox:
    holds: int
    in_hand: int
    price: Decimal | None


@dataclass(frozen=True, slots=True)
class ExtraItem:
    """Something counted by the piece: a sprig, a sleeve, a card."""

    name: Words
    per_piece: int
    pack: int
    in_hand: int
    price: Decimal | None
    """Of a pack."""


@dataclass(frozen=True, slots=True)
class SentPieces:
    """Labelled pieces that go elsewhere than to the event."""

    pieces: int
    to: str
    """Who has them, and where."""
    on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Customer:
    """Who ordered: for letters alone; no label, proof or record carries it."""

    name: str
    address: tuple[str, ...] = ()
    telephone: str = ""
    language: str = ""


@dataclass(frozen=True, slots=True)
class Tax:
    name: Words
    percent: Decimal
    number: str = ""
    """Under which the maker is registered for it."""


@dataclass(frozen=True, slots=True)
class Minutes:
    """Time for each step: an order's, a batch's, a bar's or a piece's."""

    design: Decimal
    pour: Decimal
    cut: Decimal
    label: Decimal
    wrap: Decimal
    print: Decimal
    deliver: Decimal


@dataclass(frozen=True, slots=True)
class PriceList:
    """The file of prices that one of the two names; labels do without it."""

    name: str
    """As it is named, from the folder of the file that does."""
    named_by: Path

    def find(self) -> Path:
        """Where it is; InputError where it is not."""
        path = self.named_by.parent / self.name
        if complaint := describe_missing_file(path, Said("a price list")):
            raise InputError(format_path(self.named_by), "plan.price_list", self.name, complaint)
        return path


@dataclass(frozen=True, slots=True)
class Money:
    currency: str
    """ISO 4217 code."""
    rate: Decimal
    """Of one hour."""
    overhead_percent: Decimal
    margin_percent: Decimal
    """Of the price."""
    price_step: Decimal
    price: Decimal | None
    """What the customer is asked for one piece, where the maker has settled it."""
    taxes: tuple[Tax, ...]
    minutes: Minutes
    price_list: PriceList | None
    deposit_percent: Decimal
    valid_days: int
    terms: Words
    lead_time: Words
    fee_percent: Decimal = Decimal(0)
    """Of the price: what a platform or a card keeps."""
    quote_languages: tuple[str, ...] = ()
    """A page of the quote for each; none: the plan's own alone."""


@dataclass(frozen=True, slots=True)
class PlanSpec:
    """Everything the two files say of an order, with the defaults that were used."""

    making: Making
    timing: Timing
    labels: LabelSheets
    wrap: Wrap | None
    ribbon: Ribbon | None
    box: PackingBox | None
    extras: tuple[ExtraItem, ...]
    money: Money
    language: str
    lot_pattern: str
    spare_pieces: int
    """How many of the event's spares are pieces; the other spares are labels alone."""
    defaults: tuple[UsedDefault, ...] = field(default=())
    sent: tuple[SentPieces, ...] = ()
    customer: Customer | None = None

    def has_own(self, name: str) -> bool:
        """Whether one of the two files says a key of [plan] itself."""
        return all(default.key != f"plan.{name}" for default in self.defaults)

    def with_cure(self, weeks: int | None) -> PlanSpec:
        """The plan with the weeks of cure a recipe asks for, unless one of the two files says."""
        if weeks is None or self.has_own("cure_weeks"):
            return self
        others = tuple(default for default in self.defaults if default.key != "plan.cure_weeks")
        return replace(self, timing=replace(self.timing, cure_weeks=weeks), defaults=others)


@dataclass(frozen=True, slots=True)
class PlanContext:
    """What the rest of a label's file says that its plan depends on."""

    date: dt.date
    guests: int
    spares: int
    language: str
    """The label's first."""
    currency: str
    """What the maker counts money in where neither file says."""


@remember_table
def read_plan(own: Table, workshop: Table, event: PlanContext) -> PlanSpec:
    """The tables [plan] of a label's and its maker's file; InputError for what is wrong."""
    layers = _Layers(own, workshop, _make_defaults_table())
    spare_pieces = _read_spare_pieces(layers, event.spares)
    read = PlanSpec(
        making=_read_making(layers),
        timing=_read_timing(layers, event.date),
        labels=_read_label_sheets(layers.inner("labels")),
        wrap=_read_wrap(layers.inner("wrap")),
        ribbon=_read_ribbon(layers.inner("ribbon")),
        box=_read_box(layers.inner("box")),
        extras=layers.rows("extra", _read_extra),
        customer=_read_customer(layers.own),
        sent=_read_sent(layers.own, event, spare_pieces),
        money=_read_money(layers, event.currency),
        language=layers.where("language").text(
            "language", event.language, Said('a language tag such as "fr"')
        ),
        lot_pattern=_read_lot_pattern(layers),
        spare_pieces=spare_pieces,
    )
    layers.done()
    return replace(read, defaults=tuple(sorted(layers.used, key=lambda default: default.key)))


@lru_cache(maxsize=1)
def _load_default_values() -> dict[str, Any]:
    return tomllib.loads(read_own_text("order/plan_defaults.toml"))  # as a maker's own is read


def _make_defaults_table() -> Table:
    return Table(Path("plan_defaults.toml"), "plan", _load_default_values(), MAKER)


class _Layers:
    """A table looked up in the label's file, then the maker's, then among the defaults."""

    def __init__(
        self, own: Table, workshop: Table, defaults: Table, used: list[UsedDefault] | None = None
    ) -> None:
        self.own, self.workshop, self.defaults = own, workshop, defaults
        self.used: list[UsedDefault] = [] if used is None else used
        self._inner: list[_Layers] = []

    def where(self, key: str) -> Table:
        """The table that answers for a key; a default's use is noted."""
        both = [table for table in (self.own, self.workshop) if table.has(key)]
        if both:
            return both[0]
        if self.defaults.has(key):
            default = UsedDefault(
                self.defaults.key(key), _format_as_written(self.defaults.raw(key))
            )
            if default not in self.used:
                self.used.append(default)
            return self.defaults
        return self.own

    def given(self, key: str) -> bool:
        """Whether one of the two files has the key."""
        return any([self.own.has(key), self.workshop.has(key)])

    @property
    def present(self) -> bool:
        """Whether either file has this table at all, with anything in it."""
        return bool(self.own.names() or self.workshop.names())

    def inner(self, key: str) -> _Layers:
        inner = _Layers(
            self.own.table(key, None),
            self.workshop.table(key, None),
            self.defaults.table(key, None),
            self.used,
        )
        self._inner.append(inner)
        return inner

    def rows(self, key: str, read: Callable[[Table], T]) -> tuple[T, ...]:
        return self.where(key).rows(key, read)

    def done(self) -> None:
        for inner in self._inner:
            inner.done()
        self.own.done()
        self.workshop.done()

    # -- values, each from whichever table answers

    def percent(self, key: str) -> Decimal:
        value: Decimal = self.where(key).percent(key)
        return value

    def number(self, key: str) -> Decimal:
        value: Decimal = self.where(key).number(key)
        return value

    def integer(self, key: str) -> int:
        value: int = self.where(key).integer(key)
        return value

    def flag(self, key: str) -> bool:
        """True where one of the two files says so; what neither says is no."""
        value: bool = self.where(key).flag(key, False)
        return value

    def price(self, key: str = "price") -> Decimal | None:
        """Money of one of something; None where neither file says."""
        value: Decimal | None = self.where(key).number(key, None)
        return value

    def mass_g(self, key: str) -> Decimal | None:
        value: Decimal | None = self.where(key).mass_g(key, None)
        return value

    def scale(self, key: str) -> Scale | None:
        value: Scale | None = self.where(key).scale(key, None)
        return value

    def size_mm(self, key: str) -> tuple[Decimal, Decimal]:
        size: tuple[Decimal, Decimal] = self.where(key).size_mm(key)
        return size

    def length_mm(self, key: str) -> Decimal:
        length: Decimal = self.where(key).length_mm(key)
        return length

    def date(self, key: str) -> dt.date | None:
        value: dt.date | None = self.where(key).date(key, None)
        return value

    def words(self, key: str) -> Words:
        value: Words = self.where(key).words(key, {})
        return value


def _format_as_written(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return f"[{', '.join(_format_as_written(item) for item in value)}]"
    return f'"{value}"' if isinstance(value, str) else str(value)


# -- making ----------------------------------------------------------------------------------------


@collecting_mistakes
def _read_making(layers: _Layers) -> Making:
    mould = _read_mould(layers.inner("mould"))
    measured = mould is not None and mould.kind is not MouldKind.VOLUME
    if measured and layers.given("offcuts"):
        layers.where("offcuts").wrong(
            "offcuts", None, Said("follow from the mould that is measured")
        )
    offcuts = Decimal(0) if measured else layers.percent("offcuts")
    return Making(
        pieces_per_bar=layers.integer("pieces_per_bar"),
        cutting_loss_percent=layers.percent("cutting_loss"),
        wrapping_loss_percent=layers.percent("wrapping_loss"),
        keep=layers.integer("keep"),
        pot_loss_percent=layers.percent("pot_loss"),
        offcuts_percent=offcuts,
        density_g_ml=layers.number("density"),
        mould=mould,
        scale=layers.scale("scale"),
        fine_scale=layers.scale("fine_scale"),
        piece_poured_g=layers.mass_g("piece_poured"),
        spread_percent=layers.percent("weight_spread"),
        further_loss_percent=layers.percent("further_loss"),
        shelf_loss_percent=layers.percent("shelf_loss") if layers.given("shelf_loss") else None,
        shelf_months=layers.integer("shelf_months") if layers.given("shelf_months") else 6,
        rack=layers.integer("rack") if layers.given("rack") else None,
    )


@collecting_mistakes
def _read_mould(layers: _Layers) -> Mould | None:
    if not layers.present:
        return None
    kinds = [key for key in ("inside", "volume_ml", "cavities") if layers.given(key)]
    if len(kinds) != 1:
        layers.own.wrong(
            kinds[1] if kinds else "inside",
            None,
            Said("expected exactly one of inside (length x width), volume_ml and cavities"),
        )
    if kinds[0] != "inside":
        for key in ("fill", "ends", "divider"):
            if layers.given(key):
                layers.where(key).wrong(key, None, Said("is for a loaf measured by inside"))
    owned = layers.integer("owned") if layers.given("owned") else None
    name: str = layers.where("name").text("name", "")
    if kinds[0] == "volume_ml":
        volume = layers.number("volume_ml")
        return Mould(MouldKind.VOLUME, volume_ml=volume, owned=owned, name=name)
    if kinds[0] == "cavities":
        count = layers.integer("cavities")
        volume = layers.number("cavity_ml")
        return Mould(MouldKind.CAVITIES, volume_ml=volume, cavities=count, owned=owned, name=name)
    length, width = layers.size_mm("inside")
    fill = layers.length_mm("fill")
    ends = layers.length_mm("ends") if layers.given("ends") else Decimal(0)
    if ends >= length:
        layers.where("ends").wrong(
            "ends", f"{ends} mm", Said("expected less than the mould's length")
        )
    divider: bool = layers.where("divider").flag("divider", False)
    volume = length * width * fill / 1000
    sizes = (length, width, fill, ends, volume)
    return Mould(MouldKind.LOAF, *sizes, divider=divider, owned=owned, name=name)


# -- timing ----------------------------------------------------------------------------------------


@collecting_mistakes
def _read_timing(layers: _Layers, event: dt.date) -> Timing:
    deliver, poured = layers.date("deliver_on"), layers.date("poured_on")
    if deliver is not None and deliver > event:
        layers.where("deliver_on").wrong(
            "deliver_on", deliver, Said("is after the event ({day})", day=Day(event))
        )
    if poured is not None and poured > (deliver or event):
        layers.where("poured_on").wrong("poured_on", poured, Said("is after the day of delivery"))
    return Timing(
        deliver_on=deliver,
        poured_on=poured,
        cure_weeks=layers.integer("cure_weeks"),
        unmould_days=layers.integer("unmould_days"),
        supply_days=layers.integer("supply_days"),
        supplies_in_hand=layers.flag("supplies_in_hand"),
        proof_days=layers.integer("proof_days"),
        hours_per_day=layers.number("hours_per_day"),
        closed=_read_closed_weekdays(layers.where("closed"), "closed"),
        holidays=_read_holidays(layers.where("holidays").table("holidays")),
        suppliers_closed=_read_closed_weekdays(
            layers.where("suppliers_closed"), "suppliers_closed"
        ),
        approve_days=layers.integer("approve_days"),
        approve_on=layers.date("approve_on"),
    )


@collecting_mistakes
def _read_closed_weekdays(table: Table, key: str) -> tuple[int, ...]:
    names: tuple[str, ...] = table.texts(
        key, expected=Said('a list of weekdays such as ["sunday"]')
    )
    found = tuple(sorted({table.options(key).index(name) for name in names}))
    if len(found) == len(table.options(key)):
        table.wrong(key, list(names), Said("leaves no day to work on"))
    return found


HolidayDay = dt.date | tuple[int, int]
"""A date, or a month and a day of every year."""


@collecting_mistakes
def _read_holidays(table: Table) -> dict[str, tuple[HolidayDay, ...]]:
    expected = Said(
        'a date such as 2027-05-24, "07-01" for every year, a span such as'
        " { from = 2026-12-24, to = 2027-01-04 }, or a list of them"
    )
    found: dict[str, tuple[HolidayDay, ...]] = {}
    for name in table.names():
        value = table.raw(name)
        items = value if isinstance(value, list) else [value]
        days = [
            _parse_holiday_span(item) if isinstance(item, dict) else _parse_holiday(item)
            for item in items
        ]
        if not all(days):
            table.wrong(name, value, Said("expected {expected}", expected=expected))
        found[name] = tuple(day for some in days for day in some)
    return found


def _parse_holiday(value: Any) -> tuple[HolidayDay, ...]:
    """The one day of a value; none where it is no day."""
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        return (value,)
    match = re.fullmatch(r"(\d\d)-(\d\d)", value) if isinstance(value, str) else None
    if match is None:
        return ()
    month, day = int(match[1]), int(match[2])
    try:
        dt.date(2000, month, day)  # a leap year: 29 February is a day
    except ValueError:
        return ()
    return ((month, day),)


def _parse_holiday_span(value: Mapping[str, Any]) -> tuple[HolidayDay, ...]:
    """Every day of a span, both ends included; none where it is no span of at most a year."""
    if set(value) != {"from", "to"}:
        return ()
    ends = (*_parse_holiday(value["from"]), *_parse_holiday(value["to"]))
    if len(ends) != 2:
        return ()
    first, last = ends
    if isinstance(first, dt.date) and isinstance(last, dt.date):
        return _list_days(first, last)
    if isinstance(first, tuple) and isinstance(last, tuple):
        # 2000 is a leap year: a span over New Year ends in it, and 29 February is never left out.
        begins = 2000 if first <= last else 1999
        try:
            days = _list_days(dt.date(begins, *first), dt.date(2000, *last))
        except ValueError:
            return ()
        return tuple((day.month, day.day) for day in days)
    return ()


def _list_days(first: dt.date, last: dt.date) -> tuple[dt.date, ...]:
    count = (last - first).days + 1
    if not 1 <= count <= LONGEST_CLOSURE:
        return ()
    return tuple(first + dt.timedelta(days=n) for n in range(count))


# -- supplies --------------------------------------------------------------------------------------


@collecting_mistakes
def _read_label_sheets(layers: _Layers) -> LabelSheets:
    start = layers.integer("start")

    def of(key: str) -> int:
        return layers.integer(key) if layers.given(key) else start

    two_sided = layers.flag("two_sided")
    for key in ("front_start", "back_start"):
        if two_sided and layers.given(key):
            expected = Said("is for sheets printed on one side; with two_sided = true write start")
            layers.where(key).wrong(key, layers.integer(key), expected)
    price, other_price = layers.price(), layers.price("other_price")
    named = layers.where("prices").table("prices", None)
    prices = {name: named.number(name) for name in named.names()}
    return LabelSheets(of("front_start"), of("back_start"), price, two_sided, other_price, prices)


def _read_in_hand(layers: _Layers) -> int:
    return layers.integer("in_hand") if layers.given("in_hand") else 0


@collecting_mistakes
def _read_wrap(layers: _Layers) -> Wrap | None:
    if not layers.present:
        return None
    size, sheet = _read_wrap_size(layers), layers.size_mm("sheet")
    if not any(w <= sheet[0] and h <= sheet[1] for w, h in (size, size[::-1])):
        layers.where("size").wrong(
            "size", f"{size[0]} x {size[1]} mm", Said("is larger than the sheet")
        )
    kind = layers.where("kind").choice("kind") if layers.given("kind") else "paper"
    thick = layers.length_mm("thick") if layers.given("thick") else None
    return Wrap(size, sheet, _read_in_hand(layers), layers.price(), kind, thick)


_OVERLAP_MM, _SEAM_MM = Decimal(20), Decimal(15)
"""Of paper and of a film's or sleeve's seam: common practice, no source."""


@collecting_mistakes
def _read_wrap_size(layers: _Layers) -> tuple[Decimal, Decimal]:
    """What one piece takes: as it is given, or as its kind needs round a piece.

    What the order's own file says of the one stands instead of what the workshop's says of the
    other.
    """
    given = {
        key: (layers.own.has(key), layers.workshop.has(key))
        for key in ("size", "piece", "kind", "thick")
    }
    own = any(given[key][0] for key in ("size", "piece"))
    table, place = (layers.own, 0) if own else (layers.workshop, 1)
    if not given["piece"][place]:
        if not own and (any(given["kind"]) or any(given["thick"])):
            told = Said('missing; expected its face, such as "60 x 45 mm"')
            layers.own.wrong("piece", None, told)
        return layers.size_mm("size")
    if given["size"][place]:
        told = Said("follows from the piece; give one of them")
        table.wrong("size", None, told)
    kind = "paper"
    if any(given["kind"]):
        kind = layers.where("kind").choice("kind")
    width, height = layers.size_mm("piece")
    return measure_wrap_mm(kind, width, height, layers.length_mm("thick"))


def measure_wrap_mm(
    kind: str, width: Decimal, height: Decimal, thick: Decimal
) -> tuple[Decimal, Decimal]:
    """What a wrap of a kind takes round a piece, in millimetres: round its girth, along its height.

    Paper laps over and is folded in at both ends; film is a sleeve with a seam, longer by the
    thickness and a seam at either end; a sleeve is as long as the piece, a band half as long; a
    folded box has a seam, and flaps as deep as the piece is thick at both ends.
    """
    girth = 2 * (width + thick)
    return {
        "paper": (girth + _OVERLAP_MM, height + 2 * thick),
        "sleeve": (girth + _SEAM_MM, height),
        "band": (girth + _SEAM_MM, height / 2),
        "box": (girth + _SEAM_MM, height + 2 * thick),
        "shrink film": (girth + 2 * _SEAM_MM, height + thick + 2 * _SEAM_MM),
    }[kind]


def measure_ribbon_mm(
    kind: str, width: Decimal, height: Decimal, thick: Decimal, ends: Decimal
) -> Decimal:
    """What a ribbon or twine takes round a piece, in millimetres: once round its girth, or crossed
    like a parcel's, with its ends to tie."""
    girth = 2 * (width + thick)
    crossing = 2 * (height + thick) if kind == "crossed" else Decimal(0)
    return girth + crossing + ends


@collecting_mistakes
def _read_ribbon(layers: _Layers) -> Ribbon | None:
    if not layers.present:
        return None
    length, roll = _read_ribbon_length(layers), layers.length_mm("roll")
    if roll < length:
        layers.where("length").wrong("length", f"{length} mm", Said("is longer than the roll"))
    return Ribbon(length, roll, _read_in_hand(layers), layers.price())


_ENDS_MM = Decimal(200)
"""To tie a knot and a small bow: common practice, no source."""


def _read_ribbon_length(layers: _Layers) -> Decimal:
    """As it is given, or as it goes round a piece; the order's own file before the workshop's."""
    given = {key: (layers.own.has(key), layers.workshop.has(key)) for key in ("length", "piece")}
    kind = layers.where("kind").choice("kind", "round")
    ends = layers.where("ends").length_mm("ends", _ENDS_MM)
    layers.given("thick")
    own = any(has for has, _ in given.values())
    table, place = (layers.own, 0) if own else (layers.workshop, 1)
    if not given["piece"][place]:
        return layers.length_mm("length")
    if given["length"][place]:
        told = Said("follows from the piece; give one of them")
        table.wrong("length", None, told)
    return measure_ribbon_mm(kind, *layers.size_mm("piece"), layers.length_mm("thick"), ends)


@collecting_mistakes
def _read_box(layers: _Layers) -> PackingBox | None:
    if not layers.present:
        return None
    return PackingBox(layers.integer("holds"), _read_in_hand(layers), layers.price())


def _read_extra(table: Table) -> ExtraItem:
    return ExtraItem(
        name=table.words("name"),
        per_piece=table.integer("per_piece", 1),
        pack=table.integer("pack", 1),
        in_hand=table.integer("in_hand", 0),
        price=table.number("price", None),
    )


@collecting_mistakes
def _read_spare_pieces(layers: _Layers, spares: int) -> int:
    """All spares unless a file says otherwise: soap too much is better than soap too little."""
    key = "spare_pieces"
    if not layers.given(key):
        if spares:
            layers.used.append(UsedDefault(f"plan.{key}", str(spares)))
        return spares
    pieces = layers.integer(key)
    if pieces > spares and layers.own.has(key):
        layers.own.wrong(key, pieces, Said("is more than event.spares, {spares}", spares=spares))
    return min(pieces, spares)  # a habit of the workshop goes as far as this event has spares


@collecting_mistakes
def _read_sent(table: Table, event: PlanContext, spare_pieces: int) -> tuple[SentPieces, ...]:
    """``[[plan.sent]]`` of the label's own file: no other order's pieces are meant."""
    found = table.rows("sent", _read_sent_row)
    total, labelled = sum(sent.pieces for sent in found), event.guests + spare_pieces
    if total > labelled:
        table.wrong(
            "sent",
            f"{total} pieces",
            Said("are more than the {labelled} that are labelled", labelled=labelled),
        )
    return found


@collecting_mistakes
def _read_customer(own: Table) -> Customer | None:
    """``[plan.customer]`` of the label's own file: a workshop has many."""
    if not own.has("customer"):
        return None
    table = own.table("customer")
    customer = Customer(
        table.text("name"),
        table.texts("address", (), Said('a list such as ["4 Rope Walk", "Anse-aux-Brumes NB"]')),
        table.text("telephone", ""),
        table.text("language", "", Said('a language tag such as "fr"')),
    )
    table.done()
    return customer


def _read_sent_row(table: Table) -> SentPieces:
    return SentPieces(
        table.integer("pieces"),
        table.text("to", expected=Said('a name and place such as "Fern Gifts, Suva, Fiji"')),
        table.date("on", None),
    )


# -- money -----------------------------------------------------------------------------------------


@collecting_mistakes
def _read_money(layers: _Layers, usual_currency: str) -> Money:
    quote = layers.inner("quote")
    named = layers.where("price_list")
    name: str | None = named.text("price_list", None, Said("the name of a file"))
    return Money(
        currency=_read_currency(layers, usual_currency),
        rate=layers.number("rate"),
        overhead_percent=layers.percent("overhead"),
        margin_percent=layers.percent("margin"),
        price_step=layers.number("price_step"),
        price=quote.price(),
        taxes=layers.rows("tax", _read_tax),
        minutes=_read_minutes(layers.inner("minutes")),
        price_list=collect_mistakes(lambda: PriceList(name, named.path) if name else None),
        deposit_percent=quote.percent("deposit"),
        valid_days=quote.integer("valid_days"),
        terms=quote.words("terms"),
        lead_time=quote.words("lead_time"),
        fee_percent=_read_fee(layers),
        quote_languages=quote.where("languages").texts(
            "languages", (), Said('a list such as ["en", "fr"]')
        ),
    )


WHOLE_PERCENT = 100


@collecting_mistakes
def _read_fee(layers: _Layers) -> Decimal:
    """What is kept of the price; with the margin it must leave something of it."""
    if not layers.given("fee"):
        return Decimal(0)
    fee = layers.percent("fee")
    if fee + layers.percent("margin") >= WHOLE_PERCENT:
        told = Said("and the margin leave nothing of the price")
        layers.where("fee").wrong("fee", f"{fee} %", told)
    return fee


@collecting_mistakes
def _read_minutes(layers: _Layers) -> Minutes:
    def of(key: str) -> Decimal:
        return layers.number(key)

    return Minutes(
        of("design"), of("pour"), of("cut"), of("label"), of("wrap"), of("print"), of("deliver")
    )


def _read_tax(table: Table) -> Tax:
    return Tax(table.words("name"), table.percent("rate"), table.text("number", ""))


def find_currency(region: str) -> str:
    """The currency of a region, as of today."""
    from babel.numbers import get_territory_currencies

    found = get_territory_currencies(region[:2], tender=True) or ["EUR"]
    return str(found[0])


@collecting_mistakes
def _read_currency(layers: _Layers, usual: str) -> str:
    """The currency the files name, or the usual one."""
    from babel.numbers import is_currency

    table = layers.where("currency")
    named: str | None = table.text("currency", None, Said('an ISO 4217 code such as "CAD"'))
    if named is not None:
        if not is_currency(named.upper()):
            table.wrong("currency", named, Said('expected an ISO 4217 code such as "CAD"'))
        return named.upper()
    layers.used.append(UsedDefault("plan.currency", f'"{usual}"'))
    return usual


# -- words -----------------------------------------------------------------------------------------


@collecting_mistakes
def _read_lot_pattern(layers: _Layers) -> str:
    table = layers.where("lot_pattern")
    pattern: str = table.text("lot_pattern")
    known = ", ".join("{" + name + "}" for name in LOT_FIELDS)
    unknown = [name for name in re.findall(r"\{(.*?)\}", pattern) if name not in LOT_FIELDS]
    if unknown or pattern.count("{") != pattern.count("}"):
        table.wrong("lot_pattern", pattern, Said("expected text with any of {known}", known=known))
    return pattern
