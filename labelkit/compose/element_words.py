"""What each element of a label says, in each language, before any design is chosen."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from decimal import ROUND_DOWN, Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.quantity import (
    GRAMS_PER_OUNCE,
    format_exact_number,
    format_long_date,
    format_mass,
)
from labelkit.compose.joined_names import (
    join_alike,
    make_initials,
    make_numerals,
    split_joined_names,
)
from labelkit.formula.declaration import Declaration
from labelkit.model.runs import NEUTRAL
from labelkit.order.label import LabelSpec, Product
from labelkit.order.maker import Maker
from labelkit.order.reader import Words
from labelkit.rules import list_phrase_forms, list_set_phrases
from labelkit.typeset.apostrophes import set_apostrophes
from labelkit.typeset.casing import capitalise_first
from labelkit.typeset.french import set_french_spacing
from labelkit.typeset.measures import bind_units


@dataclass(frozen=True, slots=True)
class Wording:
    """An element's text in one language (or NEUTRAL)."""

    language: str
    text: str
    lines: tuple[str, ...] = ()
    """The same in the lines it was typed in, as they stand one above the other."""


SPOKEN = frozenset({"identity", "directions", "list-elsewhere", "claim", "thanks"})
"""Elements whose words must be understood; names, places and codes are nobody's language."""

AS_DECLARED = frozenset({"ingredients", "contact"})
"""Elements that stand letter for letter as they were given."""

JAR_ROOM = "\u00a0" * 4
"""About an em before a period after opening, in which the open jar stands."""

_PERIOD_AFTER_OPENING = re.compile(r"\d{1,2}[ \u00a0]?M")
_DATE = re.compile(r"(?:\d{1,2}[/.-])?\d{1,2}[/.-]\d{4}")

Wordings = Mapping[str, tuple[Wording, ...]]
"""The wordings of every element that has any, keyed by element."""


BESIDE = frozenset({"ingredients-heading", "ingredients", "directions", "lot"})
"""What a tag or card carries: what it is there for, and the lot that says which piece it is of."""


def make_panel_wordings(spec: LabelSpec, declaration: Declaration, panel: str) -> Wordings:
    """Everything that may stand on ``panel``, the spec's own wording taking precedence."""
    side = spec.front if panel == "front" else spec.back
    texts = _derive_wordings(spec, declaration)
    for element, words in side.words.items():
        arranged = make_spoken_wordings if element in SPOKEN else make_wordings
        texts[element] = arranged(words, spec.languages)
    if spec.ingredients_on not in {panel, "website"} and panel in {"front", "back"}:
        texts.pop("ingredients", None)
        texts.pop("ingredients-heading", None)
    if spec.ingredients_on in {"front", "back"} or panel != "back":
        texts.pop("list-elsewhere", None)
    if panel not in {"front", "back"}:
        texts = {element: found for element, found in texts.items() if element in BESIDE}
    if spec.ingredients_on == "website":
        texts.pop("ingredients", None)
        texts.pop("ingredients-heading", None)
    if "durability" in texts:
        texts["durability"] = _complete_durability(texts["durability"], spec.languages)
    return {
        element: found if element in AS_DECLARED else tuple(map(_set_typography, found))
        for element, found in texts.items()
        if found and element not in side.leave_out
    }


def _set_typography(wording: Wording) -> Wording:
    """The words with the apostrophes and spaces that a compositor sets."""
    text = bind_units(set_apostrophes(wording.text))
    if wording.language.split("-")[0].lower() == "fr":
        text = set_french_spacing(text)
    return Wording(wording.language, text)


def _complete_durability(
    found: tuple[Wording, ...], languages: Iterable[str]
) -> tuple[Wording, ...]:
    """A statement of durability as it has to stand (Regulation (EC) No 1223/2009, Art. 19(1)(c)).

    A bare date gets its words in every language of the label; a bare period after opening such as
    ``12M`` keeps room for its jar; any other wording is the maker's own.
    """
    if len(found) == 1 and is_bare_date(found[0].text):
        date = found[0].text
        words = {code: f"{_find_best_before(date, code)} {date}" for code in languages}
        return _merge_alike(
            Wording(code, capitalise_first(text, code)) for code, text in words.items()
        )
    return tuple(
        Wording(one.language, f"{JAR_ROOM}{one.text}")
        if _PERIOD_AFTER_OPENING.fullmatch(one.text)
        else one
        for one in found
    )


def _find_best_before(date: str, language: str) -> str:
    """The words before a date of durability: some languages have others where it names a day."""
    names_day = len(re.findall(r"\d+", date)) > len(("month", "year"))
    if names_day and "best-before-day" in list_set_phrases(language):
        return _find_phrase("best-before-day", language)
    return _find_phrase("best-before", language)


def is_bare_date(text: str) -> bool:
    """Whether a statement of durability is a date in figures alone, which gets its words here."""
    return _DATE.fullmatch(text) is not None


def _join_names(found: tuple[Wording, ...]) -> tuple[Wording, ...]:
    """Names that differ from language to language in the word for "and" alone are set once."""
    joined = join_alike([wording.text for wording in found]) if len(found) > 1 else None
    return (Wording(NEUTRAL, joined),) if joined else found


def pick_name_part(found: tuple[Wording, ...], part: str) -> tuple[Wording, ...]:
    """One part of names that are joined; of others, or where languages differ, all is the first."""
    joined = split_joined_names(found[0].text) if len(found) == 1 else None
    if joined is None:
        return found if part == "first" else ()
    return (Wording(found[0].language, getattr(joined, part)),)


def make_wordings(words: Words, languages: Iterable[str]) -> tuple[Wording, ...]:
    """The words of each language of the label in turn; what several spell alike is given once."""
    if set(words) == {""}:
        return (Wording(NEUTRAL, words[""]),)
    return _merge_alike(Wording(code, words[code]) for code in languages if code in words)


def _merge_alike(found: Iterable[Wording]) -> tuple[Wording, ...]:
    """Wordings of which those that are spelt alike are one, in no language of its own."""
    alike: dict[str, list[Wording]] = {}
    for wording in found:
        alike.setdefault(wording.text, []).append(wording)
    return tuple(
        same[0] if len(same) == 1 else Wording(NEUTRAL, text) for text, same in alike.items()
    )


def make_spoken_wordings(words: Words, languages: Iterable[str]) -> tuple[Wording, ...]:
    """Words that have to be understood: each in its own language, even where two look alike.

    One text for all is taken to be in the label's first language: what "Soap" says, it says in
    English, however many languages the label has.
    """
    codes = list(languages)
    if set(words) == {""}:
        return (Wording(codes[0], words[""]),)
    return tuple(Wording(code, words[code]) for code in codes if code in words)


def choose_region_locale(language: str, regions: Iterable[str]) -> str:
    """The locale that writes numbers and dates: ``fr`` where CA is asked for is ``fr_CA``."""
    from babel import Locale, UnknownLocaleError

    for region in regions:
        tag = f"{language}_{region.split('-')[0]}"
        try:
            return str(Locale.parse(tag))
        except (UnknownLocaleError, ValueError):
            continue
    return language


def _derive_wordings(spec: LabelSpec, declaration: Declaration) -> dict[str, tuple[Wording, ...]]:
    """The elements that follow from the spec and the recipe, in every language of the label."""
    event, product, maker = spec.event, spec.product, spec.maker
    languages = spec.languages
    dates = {
        code: format_long_date(event.date, choose_region_locale(code, spec.regions))
        for code in languages
    }
    names = _join_names(make_wordings(event.names, languages))
    return {
        "names": names,
        "initials": (Wording(NEUTRAL, make_initials(names[0].text)),) if names else (),
        "numerals": (
            Wording(NEUTRAL, make_numerals(event.date.day, event.date.month, event.date.year)),
        ),
        "date": make_wordings(dates, languages),
        "place": make_wordings(event.place, languages),
        "scent": make_wordings(product.scent, languages),
        "identity": make_spoken_wordings(product.identity, languages),
        "net-quantity": make_net_quantity(spec),
        "ingredients-heading": make_wordings(
            {code: _find_phrase("ingredients", code) for code in languages}, languages
        ),
        "ingredients": (Wording(NEUTRAL, ", ".join(declaration.names)),),
        "dealer": (_make_dealer_wording(maker),),
        "contact": (Wording(NEUTRAL, " · ".join(maker.contact)),),
        "brand": (Wording(NEUTRAL, maker.brand),) if maker.brand else (),
        "lot": (Wording(NEUTRAL, _format_lot(product.lot, languages)),) if product.lot else (),
        "list-elsewhere": make_wordings(_make_list_elsewhere(spec), languages),
    }


_SAYS_LOT = re.compile(r"L[\d.:\s-]", re.IGNORECASE)
"""A code that begins with the customary letter, as in L26-11-A."""


def _format_lot(code: str, languages: Iterable[str]) -> str:
    """The code after the first language's word for it, unless it says itself what it is."""
    forms = ("Lot", *(form for tag in languages for form in list_phrase_forms("lot", tag)))
    begins = any(re.match(rf"{re.escape(form)}\b", code, re.IGNORECASE) for form in forms)
    if begins or _SAYS_LOT.match(code):
        return code
    return f"{_find_phrase('lot', next(iter(languages)))} {code}"


US_GRAMS_PER_OUNCE = Decimal("28.3495")
"""The only factor to convert by (16 CFR 500.19(a))."""

_HOUSE_NUMBER = re.compile(r"^(\d\w*,?) ")
_NUMBER_AFTER = re.compile(r"(?<=[^\W\d_]) (?=\d+\w?(?:,|$))")
_SPLIT_CODE = re.compile(r"\b(\w*\d\w*) +(?=\w*\d\w*\b)")


def _make_dealer_wording(maker: Maker) -> Wording:
    lines = (maker.name, *map(bind_address, maker.address))
    return Wording(NEUTRAL, ", ".join(lines), lines)


def bind_address(address: str) -> str:
    """An address line whose house number stays with its street and whose postal code stays whole.

    ``9, ch. du Phare``, ``Rantapolku 4`` and ``E0X 0Z9`` get no-break spaces where a line must not
    end.
    """
    bound = _HOUSE_NUMBER.sub("\\1\u00a0", address)
    bound = _NUMBER_AFTER.sub("\u00a0", bound)
    return _SPLIT_CODE.sub("\\1\u00a0", bound)


def _find_phrase(key: str, language: str) -> str:
    """A set phrase, in English where the table has none: the preflight then asks for the rest."""
    return (list_set_phrases(language).get(key) or list_set_phrases("en")[key]).text


def make_net_quantity(spec: LabelSpec) -> tuple[Wording, ...]:
    """The net quantity as the regions want it: grams, and for the US ounces with grams.

    What was declared is printed as it is; what follows from it is cut off, never rounded up, so
    that neither promises more than was declared: ounces to two decimals (16 CFR 500.17 and
    21 CFR 701.13(d)), grams to three figures (16 CFR 500.19(b)).
    """
    if not any(region.startswith("US") for region in spec.regions):
        grams = printed_weight_g(spec.product)
        written = {
            code: format_mass(grams, choose_region_locale(code, spec.regions))
            for code in spec.languages
        }
        if len(set(written.values())) == 1:  # a figure and a sign are nobody's language
            return (Wording(NEUTRAL, next(iter(written.values()))),)
        return make_wordings(written, spec.languages)
    ounces, grams = _pair_ounces_and_grams(spec.product)
    weights = {
        code: f"{format_exact_number(ounces, locale)}\u00a0oz ({format_mass(grams, locale)})"
        for code in spec.languages
        for locale in (choose_region_locale(code, spec.regions),)
    }
    words = {code: _find_phrase("net-weight", code) for code in spec.languages}
    if len(set(weights.values())) == 1:
        # The figures serve all languages: the words stand together before them, once.
        together = " / ".join(dict.fromkeys(words.values()))
        return (Wording(NEUTRAL, f"{together} {next(iter(weights.values()))}"),)
    return make_wordings({code: f"{words[code]} {weights[code]}" for code in words}, spec.languages)


def printed_weight_g(product: Product) -> Decimal:
    """The net weight in grams as labels give it: as declared, or what the ounces make, cut off."""
    if product.net_ounces is None:
        return product.net_weight_g
    return _cut_to_three_figures(product.net_ounces * GRAMS_PER_OUNCE)


def _pair_ounces_and_grams(product: Product) -> tuple[Decimal, Decimal]:
    """Both as a label for the US prints them, each the other cut off."""
    declared, grams = product.net_ounces, product.net_weight_g
    exact = grams / GRAMS_PER_OUNCE if declared is None else declared
    ounces = exact.quantize(Decimal("0.01"), rounding=ROUND_DOWN)
    if declared is not None:
        return _strip_zeros(ounces), _cut_to_three_figures(ounces * US_GRAMS_PER_OUNCE)
    # Ounces that are cut off stand for whole grams at most: 40.5 g is 1.42 oz or 40 g.
    return ounces, grams.quantize(Decimal(1), rounding=ROUND_DOWN) if grams >= 1 else grams


def _cut_to_three_figures(mass_g: Decimal) -> Decimal:
    """Grams at three figures or, below ten, one decimal."""
    step = Decimal("0.1") if mass_g < 100 else Decimal(1)
    return _strip_zeros(mass_g.quantize(step, rounding=ROUND_DOWN))


def _strip_zeros(value: Decimal) -> Decimal:
    whole = value.to_integral_value()
    return whole if value == whole else value.normalize()


def _make_list_elsewhere(spec: LabelSpec) -> Words:
    """The statement where the ingredient list is found, for a list that is on a website."""
    if spec.ingredients_on != "website":
        return {}
    return {
        code: f"{_find_phrase('ingredients', code)}: {spec.ingredients_url}"
        for code in spec.languages
    }
