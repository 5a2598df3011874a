"""label.toml: one event's label, from which everything else follows."""

from __future__ import annotations

import datetime as dt
import math
import os
import re
from collections.abc import Sequence
from dataclasses import astuple, field, replace
from decimal import ROUND_DOWN, ROUND_UP, Decimal
from operator import attrgetter, itemgetter
from pathlib import Path
from typing import Any

from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Language, Said, Term, make_number
from labelkit.common.quantity import GRAMS_PER_OUNCE, QuantityError, parse_percent
from labelkit.common.resources import find_layouts_folder
from labelkit.model.runs import ELEMENTS
from labelkit.order.evidence import Evidence, read_evidence
from labelkit.order.fields import FIELDS, LABEL, MAKER, SURFACES, load_range
from labelkit.order.guests import GuestList, read_guests
from labelkit.order.inks import load_inks
from labelkit.order.laid_over import is_file_there
from labelkit.order.layout import describe_unknown_layout
from labelkit.order.maker import Maker, read_maker, read_regions
from labelkit.order.mistakes import collect_mistakes, collecting_mistakes
from labelkit.order.pieces import Fold, Piece, Soap, is_named, measure_thickness_mm, read_piece
from labelkit.order.plan import MouldKind, PlanContext, PlanSpec, find_currency, read_plan
from labelkit.order.reader import (
    REQUIRED,
    Table,
    Words,
    check_filled_in,
    describe_missing_file,
    is_below_folder,
    read_unfilled_toml,
)
from labelkit.order.remembered import remember_table
from labelkit.order.stock import read_stock_name

EQUAL_SIDES = frozenset({"round", "square"})
"""Shapes as wide as they are high, whose size one length says."""
_SPOKEN_HERE = (
    "fr", "de", "nl", "es", "it", "pt", "fi", "sv", "da", "pl", "cs", "sk", "sl", "hr", "hu", "ro",
    "bg", "el", "et", "lv", "lt", "mt", "ga", "mi", "cy",
)  # fmt: skip
"""Languages that are known by their own names as well: those of the regions that have rules."""
CELEBRATION, MEMORIAL, DISPLAY = "celebration", "memorial", "display"
MIN_TRIM_MM, MAX_TRIM_MM = map(float, astuple(load_range(LABEL, "label", "trim")))
MAX_LABELS = int(load_range(LABEL, "event", "spares").most)
"""Of one event, spares and all; more is a slip of the finger."""
DEFAULT_STOCK = "letter-plain"
MOST_DECIMALS = 3
"""Decimals of a gram beyond which a weight cannot have been meant so."""
NO_LIST = GuestList(())
_WORDS = frozenset({"names", "place", "identity", "scent"})
"""Keys of [event] and [product] whose words may be given by language."""


@dataclass(frozen=True, slots=True)
class Event:
    names: Words
    date: dt.date
    place: Words
    guests: int
    spares: int
    guest_names: tuple[str, ...] = ()
    listed: GuestList = NO_LIST
    """The whole list as it was read; of some guests alone the names are fewer."""
    guest_list: Path | None = None
    """The file the names come from."""
    ordered_by: str = ""
    """Who ordered it, and how to reach them: notes of the maker's, on no label."""
    telephone: str = ""
    kind: str = CELEBRATION

    @property
    def labels(self) -> int:
        """How many labels of each side are printed."""
        return self.guests + self.spares


@dataclass(frozen=True, slots=True)
class Product:
    identity: Words
    scent: Words
    net_weight_g: Decimal
    """What a piece has to weigh to be as heavy as its label says."""
    net_ounces: Decimal | None
    """As declared, where it was declared in ounces or pounds."""
    face_width_mm: Decimal
    face_height_mm: Decimal
    face_shape: str
    recipe: Path
    lot: str
    sold_on: dt.date
    first_sold_on: dt.date | None
    product_class: str
    imported: bool
    label_is_tag: bool
    back_is_bottom: bool | None
    soap_colour: str | None
    total_surface_cm2: Decimal | None
    e_mark: bool
    durability_months: int | None = None
    """How long it keeps unopened, from the safety report."""


@dataclass(frozen=True, slots=True)
class Trim:
    width_mm: float
    height_mm: float
    shape: str = "rectangle"
    corner_mm: float = 0.0
    folds: tuple[Fold, ...] = ()
    """Where it is folded after cutting."""
    gutter_mm: float | None = None
    """Between two labels of a sheet that is cut up; None: as much as its shape asks for."""
    cut: str = "through"
    """How deep: "through" the backing, "kiss" the label alone, or "both", the backing wider."""


def describe_trim(trim: Trim) -> Said:
    """Its width and height, to a tenth of a millimetre."""
    width, height = (make_number(round(side, 1)) for side in (trim.width_mm, trim.height_mm))
    return Said("{width} x {height} mm", width=width, height=height)


@dataclass(frozen=True, slots=True)
class SideSpec:
    """What the spec says of one panel: replaced wording, elements left out."""

    words: dict[str, Words] = field(default_factory=dict)
    leave_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Surface:
    """A tag, card, leaflet or notice that has a size of its own."""

    trim: Trim
    stock: str
    """"": the labels' own."""
    copies: int | None
    """None: as many as there are labels."""


@dataclass(frozen=True, slots=True)
class LabelSpec:
    """Everything label.toml says, with the maker's file it names."""

    path: Path
    event: Event
    product: Product
    maker: Maker
    regions: tuple[str, ...]
    languages: tuple[str, ...]
    trim: Trim
    stock: str
    layout: str
    bleed_mm: float
    colour: str | None
    front: SideSpec
    back: SideSpec
    ingredients_on: str
    ingredients_url: str
    logo: Path | None
    plan: PlanSpec
    """The tables [plan] of both files; the recipe may say the weeks of cure."""
    clear: bool | None = None
    """Whether the labels are see-through; None: as the stock's own file says."""
    evidence: tuple[Evidence, ...] = ()
    """What proves the label's claims: its own file's, then the workshop's."""
    fonts: tuple[Path, ...] = ()
    """Font files for names in letters that the layout's faces lack."""
    capitals: bool = True
    """Whether a layout may set the names of people in capitals."""
    accent: str | None = None
    """Ink of names, ornament and frame; None: the layout's."""
    inks: tuple[str, ...] = ()
    """Further inks, which a logo may have at a printing works."""
    white_under: bool = False
    """Whether a printing works lays white under the whole label."""
    white_under_accent: bool = False
    """Whether it lays white under what is in the accent ink."""
    seed: int | None = None
    """Another drawing of the plants that grow in a layout; None: the order's own."""
    second: Surface | None = None
    """Where the list is on a second surface; None: that is printed and cut as the labels are."""
    soap: Soap | None = None
    """What pieces and pictures are measured by, its thickness from weight and cut."""
    pieces: tuple[Piece, ...] = ()
    """What goes with the label in the same design."""


def read_label(path: Path) -> LabelSpec:
    """The label spec and its maker's file; InputError for the first thing that is wrong, or for
    everything that is still to be filled in, in the recipe as well."""
    table = read_unfilled_toml(path, LABEL)
    product_table = table.table("product")
    maker_path = _read_neighbour_path(product_table, "maker", Said("a maker file"))
    recipe_path = _read_neighbour_path(product_table, "recipe", Said("a recipe"))
    collect_mistakes(check_filled_in, (path, recipe_path, maker_path))
    label, event_table = table.table("label"), table.table("event")
    maker = collect_mistakes(read_maker, maker_path)
    event = _read_event(event_table)
    day = collect_mistakes(attrgetter("date"), event)
    product = _read_product(product_table, recipe_path, day)
    front_table, back_table = table.table("front", None), table.table("back", None)
    list_place = _read_list_place(back_table)
    languages = _read_languages(label)
    front, back = _read_side(front_table), _read_side(back_table)
    for said, said_in in ((event, event_table), (product, product_table)):
        _check_languages(said_in, said, languages)
    for side, said_in in ((front, front_table), (back, back_table)):
        _check_languages(said_in, side, languages)
    regions = _read_label_regions(label, maker)
    trim = read_trim(label)
    plan = _read_label_plan(table, maker, event, languages, regions)
    soap = collect_mistakes(_measure_soap, product, trim, plan)
    spec = LabelSpec(
        path=path,
        event=event,
        product=product,
        maker=maker,
        regions=regions,
        languages=languages,
        trim=trim,
        stock=_read_label_stock(label, maker),
        layout=_read_layout_name(label),
        bleed_mm=_read_bleed_mm(label),
        colour=label.colour("colour"),
        accent=_read_accent(label),
        inks=_read_inks(label),
        white_under=label.flag("white_under", False),
        white_under_accent=_read_white_under_accent(label),
        seed=label.integer("seed", None),
        front=front,
        back=back,
        ingredients_on=list_place,
        ingredients_url=_read_list_url(back_table, list_place),
        logo=_read_logo_path(label, maker),
        plan=plan,
        clear=label.flag("clear", None),
        evidence=(*read_evidence(table), *maker.evidence),
        fonts=_read_font_paths(label, maker),
        capitals=label.flag("capitals", True),
        second=_read_second_surface(table, list_place),
        soap=soap,
        pieces=_read_pieces(table, event, soap, languages),
    )
    collect_mistakes(_check_display, event_table, spec)
    for read in (event_table, product_table, label, front_table, back_table, table):
        collect_mistakes(_refuse_unknown_keys, read)
    return spec


def _check_display(table: Table, spec: LabelSpec) -> None:
    """Display pieces are an order of their own, never mixed with a customer's."""
    if spec.event is None or spec.event.kind != DISPLAY:
        return
    for key in ("ordered_by", "telephone", "guest_list"):
        if table.has(key):
            table.wrong(key, None, Said("display pieces are for no customer"))
    if spec.plan is not None and spec.plan.customer is not None:
        told = Said("display pieces are for no customer; expected no [plan.customer]")
        table.wrong("kind", DISPLAY, told)


def _refuse_unknown_keys(table: Table) -> None:
    table.done()


def replace_regions(spec: LabelSpec, regions: tuple[str, ...]) -> LabelSpec:
    """The same label, checked for other regions than its file names."""
    return replace(spec, regions=regions) if regions else spec


# -- the tables ------------------------------------------------------------------------------------


@collecting_mistakes
def _read_neighbour_path(table: Table, key: str, what: Said) -> Path:
    """A file of the workshop: may lie anywhere, is named from the spec's own folder."""
    name: str = table.text(key, f"{key}.toml", Said("the name of a file"))
    return table.must_be_there(key, name, what)


@collecting_mistakes
def _read_event(table: Table) -> Event:
    list_path: Path | None = table.beside("guest_list", None)
    listed = _read_guest_list(table, list_path)
    guests = _read_guest_count(table, listed)
    return Event(
        names=table.words("names"),
        date=table.date("date"),
        place=table.words("place", {}),
        guests=guests,
        spares=_read_spares(table, guests),
        guest_names=collect_mistakes(attrgetter("names"), listed),
        listed=listed,
        guest_list=list_path,
        ordered_by=table.text("ordered_by", ""),
        telephone=table.text("telephone", ""),
        kind=table.choice("kind", CELEBRATION),
    )


@collecting_mistakes
def _read_guest_list(table: Table, path: Path | None) -> GuestList:
    if path is None:
        return NO_LIST
    table.must_be_there("guest_list", table.text("guest_list"), Said("a list of guests (CSV)"))
    return read_guests(path)


@collecting_mistakes
def _read_guest_count(table: Table, listed: GuestList) -> int:
    """How many come: as many as are listed, where there is a list."""
    names = listed.names
    default = len(names) if names else REQUIRED
    guests: int = table.integer("guests", default)
    if names and guests != len(names):
        table.wrong(
            "guests",
            guests,
            Said(
                "the guest list holds {count} names; make them agree (labels without a name are"
                " spares)",
                count=len(names),
            ),
        )
    return guests


@collecting_mistakes
def _read_spares(table: Table, guests: int) -> int:
    spares = _read_own_spares(table, guests)
    if guests + spares > MAX_LABELS:
        table.wrong(
            "spares",
            spares,
            Said("expected at most {most} labels with the guests'", most=MAX_LABELS),
        )
    return spares


def _read_own_spares(table: Table, guests: int) -> int:
    """Spares: a count, or a share of the guests rounded up, never below spares_least."""
    expected = Said('a count such as 6 or a share such as "10 %"')
    least: int = table.integer("spares_least", 0)
    value: Any = table.raw("spares", 0, expected)
    if isinstance(value, str):
        try:
            share = parse_percent(value)
        except QuantityError:
            table.wrong("spares", value, Said("expected {expected}", expected=expected))
        return max(least, math.ceil(guests * share / 100))
    if isinstance(value, bool) or not isinstance(value, int) or value not in table.limits("spares"):
        table.wrong("spares", value, Said("expected {expected}", expected=expected))
    return max(least, value)


@collecting_mistakes
@remember_table
def _read_product(table: Table, recipe: Path, event: dt.date) -> Product:
    face_shape = table.choice("package_face_shape", "rectangle")
    face = table.size_mm("package_face", equal_sides=face_shape in EQUAL_SIDES)
    declared = _read_net_weight(table)
    first, second = itemgetter(0), itemgetter(1)
    return Product(
        identity=table.words("identity"),
        scent=table.words("scent", {}),
        net_weight_g=collect_mistakes(first, declared),
        net_ounces=collect_mistakes(second, declared),
        face_width_mm=collect_mistakes(first, face),
        face_height_mm=collect_mistakes(second, face),
        face_shape=face_shape,
        recipe=recipe,
        lot=table.text("lot", ""),
        sold_on=table.date("sold_on", event),
        first_sold_on=table.date("first_sold_on", None),
        product_class=table.choice("class", "cosmetic"),
        imported=table.flag("imported", False),
        label_is_tag=table.flag("label_is_tag", False),
        back_is_bottom=table.flag("back_is_bottom", None),
        soap_colour=table.colour("soap_colour"),
        total_surface_cm2=table.number("total_surface_cm2", None),
        e_mark=table.flag("e_mark", False),
        durability_months=table.integer("durability_months", None),
    )


@collecting_mistakes
def _read_net_weight(table: Table) -> tuple[Decimal, Decimal | None]:
    """The weight in grams that a piece has to have, and the ounces where it says ounces."""
    weight: Decimal = table.mass_g("net_weight")
    if re.search(r"(?:oz|ounces?|lbs?|pounds?)\W*$", str(table.raw("net_weight")), re.IGNORECASE):
        ounces = weight / GRAMS_PER_OUNCE
        # The label promises the ounces whole: a piece of 42.5 g is a little less than 1.5 oz.
        return weight.quantize(Decimal("0.01"), rounding=ROUND_UP), ounces
    if -int(weight.as_tuple().exponent) > MOST_DECIMALS:
        places = Decimal("0.1") if weight < 100 else Decimal(1)
        weight = weight.quantize(places, rounding=ROUND_DOWN)
    return weight, None


@collecting_mistakes
def _read_label_regions(table: Table, maker: Maker) -> tuple[str, ...]:
    regions = read_regions(table, maker.regions)
    if not regions:
        table.wrong("regions", None, Said('missing; expected a list such as ["CA"]'))
    return regions


@collecting_mistakes
def _read_languages(table: Table) -> tuple[str, ...]:
    from babel import Locale, UnknownLocaleError

    expected = Said('a list such as ["en", "fr"]')
    languages: tuple[str, ...] = table.texts("languages", expected=expected, least=1)
    for language in languages:
        try:
            Locale.parse(language, sep="-")
        except (UnknownLocaleError, ValueError):
            meant = _find_language_tag(language)
            expected = (
                Said('expected "{meant}"', meant=meant) if meant else Said('expected such as "fr"')
            )
            table.wrong(
                "languages", language, Said("is no language tag; {expected}", expected=expected)
            )
    if len(set(languages)) != len(languages):
        table.wrong(
            "languages", list(languages), Said('expected different tags such as ["en", "fr"]')
        )
    return languages


@collecting_mistakes
def _read_label_plan(
    table: Table, maker: Maker, event: Event, languages: Sequence[str], regions: Sequence[str]
) -> PlanSpec:
    first = itemgetter(0)
    return read_plan(
        table.table("plan", None),
        Table(maker.path, "plan", maker.plan, MAKER),
        PlanContext(
            event.date,
            event.guests,
            event.spares,
            collect_mistakes(first, languages),
            # A region that is only asked about never turns one currency into another.
            collect_mistakes(lambda: find_currency((maker.regions or regions)[0])),
        ),
    )


@collecting_mistakes
def _read_bleed_mm(table: Table) -> float:
    return float(table.length_mm("bleed", Decimal(0)))


@collecting_mistakes
def _read_label_stock(label: Table, maker: Maker) -> str:
    return _read_own_stock(label) or _find_makers_stock(label.path, maker) or DEFAULT_STOCK


def _read_own_stock(table: Table) -> str:
    name = read_stock_name(table)
    if name.endswith(".toml"):
        table.must_be_there("stock", name, Said("a stock file"))
    return name


def _find_makers_stock(path: Path, maker: Maker) -> str:
    """The workshop's stock as named from the spec: a file of its own lies beside maker.toml."""
    own = maker.path.parent / maker.stock
    if not maker.stock.endswith(".toml") or is_file_there(path.parent / maker.stock):
        return maker.stock
    if complaint := describe_missing_file(own, Said("a stock file")):
        raise InputError(format_path(maker.path), "defaults.stock", maker.stock, complaint)
    return Path(os.path.relpath(own, path.parent)).as_posix()


@collecting_mistakes
def _read_logo_path(table: Table, maker: Maker) -> Path | None:
    name: str | None = table.text("logo", None, Said("the name of a file beside this one"))
    return None if name is None else _find_workshop_file(table, "logo", name, maker, Said("a logo"))


def _read_font_paths(table: Table, maker: Maker) -> tuple[Path, ...]:
    names = table.texts("fonts", (), Said("names of font files beside this one"))
    return tuple(_find_workshop_file(table, "fonts", name, maker, Said("a font")) for name in names)


def _find_workshop_file(table: Table, key: str, name: str, maker: Maker, what: Said) -> Path:
    """A file beside the spec or below, or so with maker.toml, which serves all events."""
    own, workshop = table.path.parent, maker.path.parent
    places = [folder / name for folder in (own, workshop) if is_below_folder(folder, name)]
    if is_below_folder(workshop, str((own / name).absolute())):  # "../logo.svg"
        places.append(own / name)
    if not places:
        expected = Said("must lie beside this file or maker.toml, or in a folder below")
        table.wrong(key, name, expected)
    return next((path for path in places if not describe_missing_file(path, what)), places[0])


@collecting_mistakes
def _read_layout_name(table: Table) -> str:
    name: str = table.text("layout", expected=Said('a layout such as "lantern"'))
    complaint = describe_unknown_layout(name, table.path.parent, find_layouts_folder())
    if complaint:
        table.wrong("layout", name, complaint)
    return name


def _find_language_tag(name: str) -> str:
    """The tag of a language called so in English or in itself; "" where none is known."""
    from babel import Locale

    wanted = name.strip().casefold()
    english = Locale("en").languages
    found = next((tag for tag, said in english.items() if said.casefold() == wanted), None)
    if found is None:
        own = (tag for tag in _SPOKEN_HERE if Locale(tag).languages[tag].casefold() == wanted)
        found = next(own, "")
    return str(found).replace("_", "-")


@collecting_mistakes
def _check_languages(
    table: Table, said: Event | Product | SideSpec, languages: tuple[str, ...]
) -> None:
    """InputError for words that have not one of the label's languages: none would be printed."""
    for key in table.names():
        if isinstance(said, SideSpec):
            words = said.words.get(key.replace("_", "-"), {})
        else:
            words = getattr(said, key, {}) if key in _WORDS else {}
        if not words or set(words) & {*languages, ""}:
            continue
        code = next(iter(words))
        alike = [
            tag for tag in languages if tag.split("-")[0].lower() == code.split("-")[0].lower()
        ]
        listed = FactList(languages)
        if alike:
            expected = Said(
                'the label\'s languages are {listed}; expected "{alike}", as it is there',
                listed=listed,
                alike=alike[0],
            )
        else:
            expected = Said(
                '{language:cap} is not among the label\'s languages ({listed}); add "{code}" to '
                "label.languages, or write plain text: it prints as it stands",
                language=Language(code),
                listed=listed,
                code=code,
            )
        table.table(key).wrong(code, words[code], expected)


@collecting_mistakes
def read_trim(table: Table) -> Trim:
    shape = table.choice("shape", "rectangle")
    width, height = table.size_mm("trim", equal_sides=shape in EQUAL_SIDES)
    if shape in EQUAL_SIDES and width != height:
        table.wrong(
            "trim",
            table.raw("trim"),
            Said("a {shape} label is as wide as it is high", shape=Term("shape", shape)),
        )
    corner = table.length_mm("corner", Decimal(2) if shape == "rounded" else Decimal(0))
    if corner * 2 > min(width, height):
        table.wrong("corner", table.raw("corner"), Said("expected at most half the shorter side"))
    gutter = table.length_mm("gutter", None)
    return Trim(
        float(width),
        float(height),
        shape,
        float(corner),
        gutter_mm=None if gutter is None else float(gutter),
        cut=table.choice("cut", "through"),
    )


@collecting_mistakes
def _read_second_surface(table: Table, place: str) -> Surface | None:
    """What the table named like the second surface says of it."""
    for name in SURFACES:
        if table.has(name) and name != place:
            told = Said(
                "the ingredient list is not on a {surface}; expected no such table, or"
                ' ingredients_on = "{name}" under [back]',
                surface=Term("panel", name),
                name=name,
            )
            table.wrong(name, None, told)
    if place not in SURFACES or not table.has(place):
        return None
    own = table.table(place)
    copies = own.integer("copies", None)
    surface = Surface(read_trim(own), _read_own_stock(own), copies)
    own.done()
    return surface


@collecting_mistakes
def _read_pieces(
    table: Table, event: Event, soap: Soap, languages: tuple[str, ...]
) -> tuple[Piece, ...]:
    """The pieces that go with the label, each kind once."""
    if not table.has("piece"):
        return ()

    def read(own: Table) -> Piece:
        piece = read_piece(own, soap, _read_own_stock(own))
        if is_named(piece) and not event.guest_names:
            told = Said("carries the guests' names; give their list as guest_list under [event]")
            own.wrong("kind", piece.kind, told)
        if piece.text:
            _check_languages(own, SideSpec({"text": piece.text}), languages)
        return piece

    pieces = table.rows("piece", read)
    told = Said("stands twice; expected one [[piece]] of each kind")
    table.refuse_repeated(pieces, lambda piece: ("piece", piece.kind), told)
    return pieces


def _measure_soap(product: Product, trim: Trim, plan: PlanSpec) -> Soap:
    """The soap that pieces are measured by, as thick as its wrap says. Else of a loaf the cut says
    how large its face is: a slice is as wide as the mould and as high as it is filled, and is cut
    into the pieces of a bar."""
    width, height = product.face_width_mm, product.face_height_mm
    making = plan.making
    cut, mould = width * height, making.mould
    if mould is not None and mould.kind is MouldKind.LOAF:
        cut = mould.width_mm * mould.fill_mm / making.pieces_per_bar
    thick = measure_thickness_mm(product.net_weight_g, making.density_g_ml, cut)
    if plan.wrap is not None and plan.wrap.thick_mm is not None:
        thick = float(plan.wrap.thick_mm)
    return Soap(float(width), float(height), thick, min(trim.height_mm, float(height)))


@collecting_mistakes
def _read_accent(table: Table) -> str | None:
    """An ink by its name, or a colour."""
    value: str | None = table.ink("accent")
    inks = load_inks()
    return inks[value].value if value is not None and value in inks else value


@collecting_mistakes
def _read_white_under_accent(table: Table) -> bool:
    wanted: bool = table.flag("white_under_accent", False)
    if wanted and table.flag("white_under", False):
        told = Said("white_under lays white under the whole label already; leave one of them out")
        table.wrong("white_under_accent", wanted, told)
    return wanted


@collecting_mistakes
def _read_inks(table: Table) -> tuple[str, ...]:
    """Inks by their names, or colours."""
    named: tuple[str, ...] = table.texts("inks", ())
    known = load_inks()
    for ink in named:
        if ink not in known and not re.fullmatch("#[0-9a-fA-F]{6}", ink):
            listed = Said('a colour such as "#3a2f25", or one of {listed}', listed=FactList(known))
            expected = Said("expected {expected}", expected=listed)
            table.wrong("inks", ink, expected)
    return tuple(known[ink].value if ink in known else ink.lower() for ink in named)


@collecting_mistakes
@remember_table
def _read_side(table: Table) -> SideSpec:
    words: dict[str, Words] = {}
    for key in table.names():
        if key in {"leave_out", "ingredients_on", "ingredients_url"}:
            continue
        element = key.replace("_", "-")
        if element not in FIELDS:
            table.unknown(key, [field.replace("-", "_") for field in FIELDS], Said("field"))
        words[element] = table.words(key)
    left_out = tuple(e.replace("_", "-") for e in table.texts("leave_out", ()))
    for element in left_out:
        if element not in ELEMENTS:
            table.wrong(
                "leave_out",
                element,
                Said("unknown field; known: {listed}", listed=FactList(FIELDS)),
            )
    return SideSpec(words, left_out)


@collecting_mistakes
def _read_list_place(table: Table) -> str:
    place: str = table.choice("ingredients_on", "back")
    return place


@collecting_mistakes
def _read_list_url(table: Table, place: str) -> str:
    url: str = table.text("ingredients_url", "")
    if place == "website" and not url:
        table.wrong("ingredients_url", None, Said("missing; the address where the list is found"))
    return url
