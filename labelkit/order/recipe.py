"""recipe.toml: what goes into one batch, as weighed, with what the suppliers say of it.

The file is read into frozen dataclasses that keep the key of every line, so that the formula room
can complain about a material by the place where the maker wrote it. Nothing is computed here.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import field
from decimal import Decimal
from enum import StrEnum
from functools import partial
from pathlib import Path
from typing import Any, NoReturn

from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.common.quantity import QuantityError, parse_percent, suggest_share
from labelkit.common.scales import Scale
from labelkit.order.fields import RECIPE, load_range
from labelkit.order.mistakes import collect_mistakes, collecting_mistakes
from labelkit.order.reader import Table, read_toml
from labelkit.order.remembered import remember_reading

MOST_LINES = 200
"""Of all lists together: far beyond any soap, and near enough to compute with."""
DEFAULT_SCALE = Scale(Decimal(1))
"""A kitchen scale's division: common practice, no source."""

MOST_LYE_PERCENT = load_range(RECIPE, "lye", "solution").most
"""Of alkali in a lye. Water at 20 to 25 °C dissolves 109 g of NaOH or 121 g of KOH per 100 g, which
makes 52 and 55 % (CRC Handbook of Chemistry and Physics, from memory). Soap is made with 25 to
40 %, and with nothing thinner than 10 %: common practice, no source."""
MOST_SUPERFAT_PERCENT = load_range(RECIPE, "superfat", "lye_discount").most
"""3 to 8 % is usual, up to 20 % in bars of coconut oil and salt: common practice, no source."""


class MaterialKind(StrEnum):
    """What a material is, as far as alkali and the law's naming rules ask."""

    TRIGLYCERIDE = "triglyceride"
    FREE_ACID = "free acid"
    WAX = "wax ester"
    HYDROXY_ACID = "hydroxy acid"
    INERT = "inert"
    COLOUR = "colour"
    BOTANICAL = "botanical"
    ESSENTIAL_OIL = "essential oil"
    COMPOUND = "compound"


class LineGroup(StrEnum):
    """The list of the recipe a line stands in."""

    OIL = "oil"
    ADDITIVE = "additive"
    COLOUR = "colour"


class Alkali(StrEnum):
    NAOH = "NaOH"
    KOH = "KOH"


@dataclass(frozen=True, slots=True)
class Share:
    """A share in percent by weight, from ``low`` to ``high`` where a supplier gives a range."""

    low: Decimal
    high: Decimal

    @property
    def middle(self) -> Decimal:
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class WeighedLine:
    """One weighed line of oils, additives or colours."""

    key: str
    """Where it stands in the file: "oil[2]"."""
    group: LineGroup
    material: str
    """An id or name of the materials table, or of the recipe's own materials."""
    mass_g: Decimal
    after_trace: bool = False
    saponification_value: Decimal | None = None
    """From the supplier's certificate, mg KOH per g."""
    saponification_spread: Decimal | None = None
    """Half the width of that value's range, mg KOH per g."""
    acid_value: Decimal | None = None
    """Free fatty acids of this lot, mg KOH per g."""
    infused_with: str = ""
    """INCI name of the plant extract an oil took up, its mass being unknown."""
    allergens: Mapping[str, Share] = field(default_factory=dict)
    """Fragrance allergens an extract brings, each with its share of the line."""
    lots: tuple[str, ...] = ()
    price_per_kg: Decimal | None = None
    typed: str = ""
    """Its mass as the maker wrote it, unit and all."""


@dataclass(frozen=True, slots=True)
class Scent:
    """A fragrance or an essential oil, with what its supplier's two documents say."""

    key: str
    name: str
    """What the maker calls it."""
    mass_g: Decimal
    essential_oil: str = ""
    """Id of an essential oil in the materials table; empty for a fragrance compound."""
    named: bool = False
    """Declare the essential oil by its own INCI name instead of within the parfum."""
    allergens: Mapping[str, Share] | None = None
    """INCI name to its share of the fragrance; None: the supplier's statement is missing."""
    limit_percent: Decimal | None = None
    """Highest share of the finished bar (the supplier's certificate, category of bar soap)."""
    certificate: str = ""
    lots: tuple[str, ...] = ()
    price_per_kg: Decimal | None = None
    label_scent: Mapping[str, str] = field(default_factory=dict)
    """What labels call it, by language, where the name does not tell."""


@dataclass(frozen=True, slots=True)
class Lye:
    """One alkali: weighed (``mass_g``) or to be computed (``mass_g`` None)."""

    key: str
    alkali: Alkali
    purity_percent: Decimal
    purity_given: bool
    """Whether the recipe says how strong it is: as a solid or as a solution."""
    mass_g: Decimal | None = None
    """Grams on the scale: of the solution when ``concentration_percent`` is given."""
    share_percent: Decimal | None = None
    """Share of the alkali's molecules when two are computed."""
    concentration_percent: Decimal | None = None
    """Weight share of alkali in a ready-made solution; None: solid."""
    lots: tuple[str, ...] = ()
    price_per_kg: Decimal | None = None
    purity_spread_percent: Decimal | None = None
    """Half the width of the purity's range, by the lot's own certificate."""
    typed: str = ""
    """Its mass as the maker wrote it, unit and all."""


class WaterForm(StrEnum):
    MASS = "mass"
    LYE_CONCENTRATION = "lye_concentration"
    WATER_TO_LYE = "water_to_lye"
    SHARE_OF_OILS = "share_of_oils"


@dataclass(frozen=True, slots=True)
class Water:
    """How much water: grams, percent of lye in the lye solution, a ratio, or percent of oils."""

    form: WaterForm
    value: Decimal
    typed: str = ""
    """As the maker wrote it."""


class SuperfatForm(StrEnum):
    LYE_DISCOUNT = "lye_discount"
    EXTRA_OIL = "extra_oil"
    AFTER_TRACE = "after_trace"


@dataclass(frozen=True, slots=True)
class SuperfatSpec:
    """How the lye is counted: less of it, or more oil than it was counted for.

    ``percent`` is of the alkali (discount) or of the other oils (extra oil); AFTER_TRACE means the
    oils added after trace are the extra ones and were not counted, and needs no percentage.
    """

    form: SuperfatForm
    percent: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class MarkerBar:
    """A marker bar, weighed when cut and at the end of cure."""

    poured_g: Decimal
    cured_g: Decimal
    days: int | None = None
    """From cutting to the second weighing; None: the recipe's cure."""
    batch: str = ""
    """The lot it was of; those that name none are of one."""
    key: str = ""
    """Where it stands in the file: "cure.bar[2]"."""


@dataclass(frozen=True, slots=True)
class Cure:
    """What cure does to the poured mass; neither loss nor bars: the default is used and flagged."""

    loss_percent: Decimal | None = None
    spread_percent: Decimal | None = None
    """Half the width of the loss's range, in percent of the poured mass."""
    bars: tuple[MarkerBar, ...] = ()
    weeks: int | None = None


@dataclass(frozen=True, slots=True)
class OwnPart:
    """A part of a compound material: an INCI name or a known material, and its share."""

    key: str
    material: str
    inci: str
    share: Share | None
    """None: the supplier does not say."""


@dataclass(frozen=True, slots=True)
class OwnMaterial:
    """A material the maker adds, or what they know better of one in the table (None: unchanged)."""

    key: str
    id: str
    names: Mapping[str, str] = field(default_factory=dict)
    kind: MaterialKind | None = None
    inci: str | None = None
    eu: str | None = None
    us: str | None = None
    sodium: str | None = None
    potassium: str | None = None
    saponification_value: Decimal | None = None
    saponification_spread: Decimal | None = None
    acid_value: Decimal | None = None
    plant: bool | None = None
    parts: tuple[OwnPart, ...] = ()
    source: str = ""
    water_share: Share | None = None
    """Percent that dries out of it during cure."""
    fat_share: Share | None = None
    """Percent of a fat in it, that takes lye."""
    fat: str = ""
    """Which: a known material."""


@dataclass(frozen=True, slots=True)
class Recipe:
    """One batch as the maker wrote it."""

    path: Path
    name: str
    scale: Scale
    """Every weighing is known to half of its division."""
    oils: tuple[WeighedLine, ...]
    lyes: tuple[Lye, ...]
    water: Water
    superfat: SuperfatSpec | None
    """None: the lye was given in grams and the superfat follows from it."""
    scents: tuple[Scent, ...] = ()
    additives: tuple[WeighedLine, ...] = ()
    colours: tuple[WeighedLine, ...] = ()
    cure: Cure = Cure()
    own_materials: tuple[OwnMaterial, ...] = ()

    @property
    def scale_g(self) -> Decimal:
        """One division of the scale."""
        return self.scale.division_g

    def wrong(self, key: str, value: object, expected: Said) -> NoReturn:
        """Raises the InputError for a value of this file."""
        raise InputError(format_path(self.path), key, value, expected)


@remember_reading
def read_recipe(path: Path) -> Recipe:
    """The recipe of a file; InputError for the first thing that is wrong."""
    top = read_toml(path, RECIPE)
    about = top.table("recipe")
    name: str = about.text("name")
    scale: Scale = about.scale("scale", DEFAULT_SCALE)
    about.done()
    oils = top.rows("oil", partial(_read_weighed_line, group=LineGroup.OIL))
    collect_mistakes(_check_oils, top, oils)
    lyes = top.rows("lye", _read_lye)
    collect_mistakes(_check_lyes, top, lyes)
    recipe = Recipe(
        path=path,
        name=name,
        scale=scale,
        oils=oils,
        lyes=lyes,
        water=_read_water(top.table("water")),
        superfat=_read_superfat(top, lyes, oils),
        scents=top.rows("scent", _read_scent),
        additives=top.rows("additive", partial(_read_weighed_line, group=LineGroup.ADDITIVE)),
        colours=top.rows("colour", partial(_read_weighed_line, group=LineGroup.COLOUR)),
        cure=_read_cure(top.table("cure", None)),
        own_materials=_read_own_materials(top),
    )
    collect_mistakes(_check_line_count, top, recipe)
    top.done()
    return recipe


def _check_oils(top: Table, oils: tuple[WeighedLine, ...]) -> None:
    if not oils:
        top.wrong("oil", None, Said("missing; a recipe needs at least one [[oil]]"))


def _check_line_count(top: Table, recipe: Recipe) -> None:
    materials = (recipe.oils, recipe.additives, recipe.colours, recipe.scents)
    lines = sum(map(len, materials))
    if lines > MOST_LINES:
        top.wrong(
            "oil",
            None,
            Said(
                "{lines} materials in one batch; expected at most {most}",
                lines=lines,
                most=MOST_LINES,
            ),
        )


# -- lines -----------------------------------------------------------------------------------------


def _read_weighed_line(table: Table, group: LineGroup) -> WeighedLine:
    oil = group is LineGroup.OIL
    return WeighedLine(
        key=table.prefix,
        group=group,
        material=table.text("material", expected=Said('a material such as "olive-oil"')),
        mass_g=table.mass_g("mass"),
        after_trace=table.flag("after_trace", False) if oil else False,
        saponification_value=_read_saponification(table) if oil else None,
        saponification_spread=_read_spread(table) if oil else None,
        acid_value=table.number("acid_value", None) if oil else None,
        infused_with=table.text("infused_with", "", Said("an INCI name")) if oil else "",
        allergens=read_allergens(table),
        lots=_read_lots(table),
        price_per_kg=table.number("price_per_kg", None),
        typed=str(table.raw("mass", "")),
    )


def _read_saponification(table: Table) -> Decimal | None:
    value: Decimal | None = table.number("saponification_value", None)
    return value


@collecting_mistakes
def _read_spread(table: Table) -> Decimal | None:
    value: Decimal | None = table.number("saponification_plus_minus", None)
    if value is not None and not table.has("saponification_value"):
        table.wrong(
            "saponification_plus_minus", value, Said("needs saponification_value beside it")
        )
    return value


def _read_scent(table: Table) -> Scent:
    essential: str = table.text(
        "essential_oil", "", Said('an essential oil such as "lavender-oil"')
    )
    shown = _read_shown_as(table, essential)
    return Scent(
        key=table.prefix,
        name=table.text("name", essential) if essential else table.text("name"),
        mass_g=table.mass_g("mass"),
        essential_oil=essential,
        named=collect_mistakes(lambda: shown == "name"),
        allergens=read_allergens(table) if table.has("allergens") else None,
        limit_percent=table.percent("limit", None),
        certificate=table.text("certificate", ""),
        label_scent=table.words("label_scent", {}),
        lots=_read_lots(table),
        price_per_kg=table.number("price_per_kg", None),
    )


@collecting_mistakes
def _read_shown_as(table: Table, essential: str) -> str:
    shown: str = table.choice("declare_as", "parfum")
    if shown == "name" and not essential:
        table.wrong(
            "declare_as", shown, Said("a fragrance compound is parfum; name an essential_oil")
        )
    return shown


def _read_lots(table: Table) -> tuple[str, ...]:
    """The supplier's lots of a line: more than one where a rest and a new drum went in together."""
    lots: tuple[str, ...] = table.texts(
        "lot", (), Said('a lot such as "OL-0311", or a list of lots')
    )
    return lots


@collecting_mistakes
def read_allergens(table: Table) -> dict[str, Share]:
    """The allergens of a line, each with its share of it."""
    inner = table.table("allergens", None)
    return {name: _read_share(inner, name) for name in inner.names()}


@collecting_mistakes
def _read_share(table: Table, name: str) -> Share:
    """A share such as ``"1.2 %"`` or ``"1-5 %"``."""
    expected = suggest_share(str(table.raw(name)), Said('a share such as "1.2 %" or "1-5 %"'))
    text: str = table.text(name, expected=expected)
    ends = re.split(r"\s*[-–]\s*", text.strip().removesuffix("%").strip())
    try:
        values = [parse_percent(f"{end.strip().removesuffix('%')} %") for end in ends]
    except QuantityError:
        table.wrong(name, text, Said("expected {expected}", expected=expected))
    if not text.strip().endswith("%") or len(values) > 2 or values[-1] > 100:
        table.wrong(name, text, Said("expected {expected}", expected=expected))
    if values[0] > values[-1]:
        table.wrong(
            name, text, Said("runs from high to low; expected {expected}", expected=expected)
        )
    return Share(values[0], values[-1])


# -- lye, water, superfat --------------------------------------------------------------------------


def _read_lye(table: Table) -> Lye:
    mass: Decimal | None = table.mass_g("mass", None)
    concentration: Decimal | None = table.percent("solution", None)
    purity: Decimal | None = table.percent("purity", None)
    if concentration is not None and purity is not None:
        table.wrong(
            "purity", table.raw("purity"), Said("a solution's share says it all; leave it out")
        )
    spread: Decimal | None = table.percent("purity_plus_minus", None)
    if spread is not None and purity is None:
        table.wrong(
            "purity_plus_minus", table.raw("purity_plus_minus"), Said("needs purity beside it")
        )
    return Lye(
        key=table.prefix,
        alkali=Alkali(table.choice("alkali")),
        purity_percent=Decimal(100) if purity is None else purity,
        purity_given=purity is not None or concentration is not None,
        mass_g=mass,
        share_percent=table.percent("share", None),
        concentration_percent=concentration,
        lots=_read_lots(table),
        price_per_kg=table.number("price_per_kg", None),
        purity_spread_percent=spread,
        typed="" if mass is None else str(table.raw("mass")),
    )


def _check_lyes(top: Table, lyes: tuple[Lye, ...]) -> None:
    """One alkali or both, all weighed or all computed, shares that make 100 %."""
    if not lyes:
        top.wrong("lye", None, Said('missing; expected one [[lye]] with alkali = "NaOH" or "KOH"'))
    if len({lye.alkali for lye in lyes}) != len(lyes):
        top.wrong("lye", None, Said("the same alkali stands twice; make it one [[lye]]"))
    given = [lye for lye in lyes if lye.mass_g is not None]
    if given and len(given) != len(lyes):
        top.wrong("lye", None, Said("give the mass of every [[lye]] or of none"))
    shares = [lye.share_percent for lye in lyes if lye.share_percent is not None]
    if given and shares:
        top.wrong("lye", None, Said("a weighed lye needs no share"))
    if not given and len(lyes) > 1 and (len(shares) != len(lyes) or sum(shares) != 100):
        top.wrong("lye", None, Said("two alkalis to be computed need a share each, together 100 %"))


@collecting_mistakes
def _read_water(table: Table) -> Water:
    found = [form for form in WaterForm if table.has(form.value)]
    if len(found) != 1:
        table.wrong(
            found[1].value if found else "mass",
            None,
            Said("expected exactly one of mass, lye_concentration, water_to_lye, share_of_oils"),
        )
    form = found[0]
    read: dict[WaterForm, Any] = {
        WaterForm.MASS: table.mass_g,
        WaterForm.LYE_CONCENTRATION: table.percent,
        WaterForm.WATER_TO_LYE: table.number,
        WaterForm.SHARE_OF_OILS: table.percent,
    }
    value: Decimal = read[form](form.value)
    table.done()
    return Water(form, value, str(table.raw(form.value)))


@collecting_mistakes
def _read_superfat(
    top: Table, lyes: tuple[Lye, ...], oils: tuple[WeighedLine, ...]
) -> SuperfatSpec | None:
    if any(lye.mass_g is not None for lye in lyes):
        if top.has("superfat") and top.raw("superfat") != {}:  # an empty table says nothing
            top.wrong("superfat", None, Said("follows from the lye's mass; give one or the other"))
        return None
    table = top.table("superfat")
    if table.has("lye_discount") == table.has("extra_oil"):
        table.wrong(
            "lye_discount",
            None,
            Said(
                "expected either lye_discount (less lye) or extra_oil (more oil): which is meant?"
            ),
        )
    if table.has("lye_discount"):
        superfat = SuperfatSpec(SuperfatForm.LYE_DISCOUNT, table.percent("lye_discount"))
    elif table.raw("extra_oil") == "after trace":
        late = [oil for oil in oils if oil.after_trace]
        if not late or len(late) == len(oils):
            table.wrong("extra_oil", "after trace", Said("needs oils with and without after_trace"))
        superfat = SuperfatSpec(SuperfatForm.AFTER_TRACE)
    else:
        superfat = SuperfatSpec(SuperfatForm.EXTRA_OIL, table.percent("extra_oil"))
    table.done()
    return superfat


# -- cure ------------------------------------------------------------------------------------------


@collecting_mistakes
def _read_cure(table: Table) -> Cure:
    bars = table.rows("bar", _read_bar)
    loss: Decimal | None = table.percent("loss", None)
    spread: Decimal | None = table.percent("plus_minus", None)
    if bars and loss is not None:
        table.wrong(
            "loss", table.raw("loss"), Said("follows from the weighed bars; give one of them")
        )
    if spread is not None and loss is None:
        table.wrong("plus_minus", table.raw("plus_minus"), Said("needs loss beside it"))
    weeks: int | None = table.integer("weeks", None)
    table.done()
    return Cure(loss, spread, bars, weeks)


def _read_bar(table: Table) -> MarkerBar:
    bar = MarkerBar(
        table.mass_g("poured"),
        table.mass_g("cured"),
        table.integer("days", None),
        table.text("batch", "", Said('the lot of its batch, such as "LS-2704"')),
        table.prefix,
    )
    if not 0 < bar.cured_g <= bar.poured_g:
        table.wrong(
            "cured", table.raw("cured"), Said("expected more than 0 g and at most as poured")
        )
    return bar


# -- the maker's own materials ---------------------------------------------------------------------


@collecting_mistakes
def _read_own_materials(top: Table) -> tuple[OwnMaterial, ...]:
    found = top.rows("material", _read_own_material)
    told = Said("stands twice; make it one [[material]]")
    top.refuse_repeated(found, lambda own: ("material", own.id), told)
    return found


def _read_own_material(table: Table) -> OwnMaterial:
    kind: str | None = table.choice("kind", None)
    parts = table.rows("part", _read_part)
    own = OwnMaterial(
        key=table.prefix,
        id=table.text("id", expected=Said('an id such as "mango-butter"')),
        names=table.words("name", {}),
        kind=collect_mistakes(lambda: MaterialKind(kind) if kind else None),
        inci=table.text("inci", None, Said("an INCI name")),
        eu=table.text("eu", None, Said("an INCI name as in the EU glossary")),
        us=table.text("us", None, Said("a name as US law wants it")),
        sodium=table.text("sodium", None, Said("the INCI name of its sodium soap")),
        potassium=table.text("potassium", None, Said("the INCI name of its potassium soap")),
        saponification_value=_read_saponification(table),
        saponification_spread=_read_spread(table),
        acid_value=table.number("acid_value", None),
        plant=table.flag("plant", None),
        parts=parts,
        source=table.text("source", ""),
        water_share=_read_share(table, "water_share") if table.has("water_share") else None,
        fat_share=_read_share(table, "fat_share") if table.has("fat_share") else None,
        fat=table.text("fat", "", Said('a known fat such as "butter-fat"')),
    )
    collect_mistakes(_check_parts, table, own)
    collect_mistakes(_check_water_and_fat, table, own)
    return own


def _check_parts(table: Table, own: OwnMaterial) -> None:
    if own.parts and own.kind is not MaterialKind.COMPOUND:
        table.wrong("part", None, Said('parts need kind = "compound"'))
    shares = [part.share for part in own.parts if part.share is not None]
    low, high = sum(s.low for s in shares), sum(s.high for s in shares)
    if low > 100:
        table.wrong("part", None, Said("the shares make more than 100 % ({low} %)", low=low))
    if own.parts and len(shares) == len(own.parts) and high < Decimal("99.5"):
        table.wrong("part", None, Said("the shares make only {high} %; expected 100 %", high=high))


_DRIES = (MaterialKind.INERT, MaterialKind.BOTANICAL)


def _check_water_and_fat(table: Table, own: OwnMaterial) -> None:
    """Shares of water and fat are of what is neither a fat nor a compound, and leave the rest."""
    given = [key for key in ("water_share", "fat_share", "fat") if table.has(key)]
    if given and own.kind not in (None, *_DRIES):
        table.wrong(given[0], table.raw(given[0]), Said('needs kind = "inert" or "botanical"'))
    if bool(own.fat) != (own.fat_share is not None):
        key, other = ("fat_share", "fat") if own.fat else ("fat", "fat_share")
        table.wrong(key, None, Said("missing beside {other}", other=other))
    high = sum(share.low for share in (own.water_share, own.fat_share) if share)
    if high > 100:
        table.wrong(given[0], table.raw(given[0]), Said("water and fat together are over 100 %"))


def _read_part(table: Table) -> OwnPart:
    if table.has("material") == table.has("inci"):
        table.wrong("inci", None, Said("expected either inci or material"))
    return OwnPart(
        key=table.prefix,
        material=table.text("material", ""),
        inci=table.text("inci", "", Said("an INCI name")),
        share=_read_share(table, "share") if table.has("share") else None,
    )
