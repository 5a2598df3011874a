"""The materials table, and a recipe's own materials laid over it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from decimal import Decimal
from functools import lru_cache
from typing import Any

from labelkit.common.frozen import dataclass
from labelkit.common.messages import NOTHING, FactList, Said, Verbatim
from labelkit.common.own_tables import read_own_table
from labelkit.common.text_match import fold_as_read
from labelkit.formula.close_names import find_alike_names, split_into_words
from labelkit.formula.plausible import explain_implausible_value
from labelkit.formula.refusals import explain_refusal
from labelkit.order.recipe import MaterialKind, OwnMaterial, OwnPart, Recipe, Share

OWN_SPREAD = Decimal("0.005")
"""Half-range of a saponification value from a certificate that states none, as a share of it:
about the reproducibility of the titration; common practice, no source."""
UNKNOWN_SPREAD = Decimal("0.04")
"""The same for a material of which no published range is known: nobody can tell the value of a
certificate from one found somewhere. Three in four of the table's ranges are within it."""

LEAST_ENDING = 3
"""Letters of a word that is looked for at the end of another: "wax", but not the "ol" of "Öl"."""
MOST_OFFERED = 5
"""Materials named where one is not known."""


@dataclass(frozen=True, slots=True)
class ValueRange:
    """A value of nature: what is counted with, and what it may be. Titrations in mg KOH per g."""

    value: Decimal
    low: Decimal
    high: Decimal

    @staticmethod
    def between(low: Decimal, high: Decimal) -> ValueRange:
        return ValueRange((low + high) / 2, low, high)

    @staticmethod
    def about(value: Decimal, half: Decimal) -> ValueRange:
        return ValueRange(value, max(Decimal(0), value - half), value + half)

    @property
    def ends(self) -> tuple[Decimal, Decimal]:
        return self.low, self.high


ZERO = ValueRange(Decimal(0), Decimal(0), Decimal(0))


@dataclass(frozen=True, slots=True)
class CompoundPart:
    """A part of a compound: a known material (``material``) or a bare INCI name."""

    material: str
    inci: str
    share: Share | None
    """Percent of the compound; None: the supplier does not say."""


@dataclass(frozen=True, slots=True)
class Material:
    """One raw material. Shares are percent by weight, titrations mg KOH per g."""

    id: str
    kind: MaterialKind
    names: Mapping[str, str]
    """Common names by language."""
    inci: str = ""
    """Dictionary name, common name of a plant in brackets; empty for a compound without one."""
    eu: str = ""
    """Name in the EU glossary where it is more than ``inci`` without the brackets."""
    us: str = ""
    plant: bool = False
    sodium: str = ""
    potassium: str = ""
    saponification: ValueRange = ZERO
    published: ValueRange = ZERO
    """The table's range for it, or for its INCI name, whatever value the maker gives."""
    acid: ValueRange = ZERO
    alcohol: ValueRange = ZERO
    water: ValueRange = ZERO
    fat: ValueRange = ZERO
    fat_material: str = ""
    molar_mass: Decimal = Decimal(0)
    """Of a hydroxy acid, g per mol."""
    alkali_per_mole: int = 0
    formula: str = ""
    allergen: str = ""
    """Allergen name under which the whole material is listed."""
    usual_allergens: tuple[str, ...] = ()
    """Allergens that statements of an essential oil name as a rule."""
    parts: tuple[CompoundPart, ...] = ()
    source: str = ""
    provenance: str = "memory"
    names_provenance: str = "memory"
    inci_doubtful: bool = False
    aliases: tuple[str, ...] = ()
    families: tuple[str, ...] = ()
    """Words under which it is sold as well as others: the supplier's data sheet says which."""
    note: str = ""
    own: bool = False
    """The maker gave the saponification value."""

    def name(self, language: str = "en") -> str:
        """Its common name, in English where the language has none."""
        return self.names.get(language) or self.names.get("") or self.names.get("en") or self.id


class Materials:
    """Materials found by id, common name or alias."""

    def __init__(self, rows: Iterable[Material]) -> None:
        self._by_id = {row.id: row for row in rows}
        self._by_key = {
            _fold_name(name): row
            for row in self._by_id.values()
            for name in _list_material_names(row)
        }
        self._by_inci = {_fold_name(row.inci): row for row in self._by_id.values() if row.inci}

    def __iter__(self) -> Any:
        return iter(self._by_id.values())

    def __len__(self) -> int:
        return len(self._by_id)

    def find(self, name: str) -> Material | None:
        """The material of an id, common name or alias, letter case aside."""
        return self._by_key.get(_fold_name(name))

    def by_inci(self, inci: str) -> Material | None:
        """A material with this INCI name, for what the table knows of it."""
        return self._by_inci.get(_fold_name(inci))

    def published(self, inci: str) -> ValueRange:
        """The range that holds the published values of every material with an INCI name, whether
        the common name of a plant stands in brackets in it or not."""
        named = _strip_brackets(inci)
        rows = [row for row in self if row.published.high and _strip_brackets(row.inci) == named]
        if not rows:
            return ZERO
        return ValueRange.between(
            min(row.published.low for row in rows), max(row.published.high for row in rows)
        )

    def alike(self, name: str, kind: MaterialKind | None = None) -> tuple[Material, ...]:
        """The materials (of a kind) that an unknown name may stand for, the nearest first."""
        rows = [row for row in self if kind in (None, row.kind)]
        by_name = {
            name: row
            for row in rows
            for name in (*_list_material_names(row), *_list_inci_words(row))
        }
        found = [by_name[other].id for other in find_alike_names(name, by_name)]
        in_scents = kind is MaterialKind.ESSENTIAL_OIL
        found += [
            row.id
            for row in rows
            if split_into_words(name) & {*row.families}
            and (in_scents or row.kind is not MaterialKind.ESSENTIAL_OIL)
        ]
        return tuple(self._by_id[id] for id in dict.fromkeys(found))

    def with_words(self, name: str) -> tuple[Material, ...]:
        """The materials with all words of a name, singular or plural, in one name of theirs: every
        oil for "oils", and beeswax for "wax"."""
        wanted = [{word, word.removesuffix("s")} for word in split_into_words(name)]
        return tuple(
            row
            for row in self
            if wanted
            and any(
                _has_all_words(wanted, other) for other in (*_list_material_names(row), row.inci)
            )
        )

    def near(self, name: str, kind: MaterialKind | None = None) -> Said:
        """A hint for a name that is not known, or why labelkit does not count with it."""
        if split_into_words(name) & _LYE_WORDS:
            return Said("is lye; give NaOH and KOH under [[lye]], with alkali and purity")
        if refusal := explain_refusal(name):
            return refusal
        found = [_describe_offer(row) for row in self.alike(name, kind)[:MOST_OFFERED]]
        own = Said(
            "labelkit materials lists what is known; describe another in a [[material]] with id,"
            " kind and inci"
        )
        if not found:
            return Said("is not known; {own}", own=own)
        return Said("did you mean {found}? {own}", found=FactList(found, "or"), own=own)


_LYE_WORDS = frozenset({"naoh", "koh", "lye", "hydroxide", "caustic", "soude", "potasse"})
"""Words by which the alkali is called where it is taken for a material."""


def _has_all_words(wanted: Iterable[set[str]], name: str) -> bool:
    return all(
        any(_is_word_or_compound(word, held) for held in split_into_words(name)) for word in wanted
    )


def _is_word_or_compound(words_: set[str], held: str) -> bool:
    """Whether a word is one of these, or a compound of one that is no mere ending."""
    return held in words_ or held.endswith(tuple(w for w in words_ if len(w) >= LEAST_ENDING))


def _list_inci_words(row: Material) -> tuple[str, ...]:
    """Its INCI name, which says "seed"; an essential oil's would answer for the whole plant."""
    return () if row.kind is MaterialKind.ESSENTIAL_OIL else (row.inci,)


def _describe_offer(row: Material) -> Said:
    is_scent = row.kind is MaterialKind.ESSENTIAL_OIL
    return Said("{id} ([[scent]])" if is_scent else "{id}", id=Verbatim(row.id))


def _list_material_names(row: Material) -> tuple[str, ...]:
    """What a material may be called; lavender oil is sold as lavender essential oil as well."""
    english = row.names.get("en", "")
    essential = row.kind is MaterialKind.ESSENTIAL_OIL and english.endswith(" oil")
    sold_as = (f"{english.removesuffix(' oil')} essential oil",) if essential else ()
    return (row.id, *row.names.values(), *row.aliases, *sold_as)


def _strip_brackets(inci: str) -> str:
    return _fold_name(re.sub(r"\([^)]*\)", "", inci))


def _fold_name(name: str) -> str:
    return " ".join(fold_as_read(name).replace("-", " ").split())


# -- the table -------------------------------------------------------------------------------------


@lru_cache(maxsize=1)
def load_materials() -> Materials:
    """The materials table."""
    return Materials(
        _make_material(row) for row in read_own_table("formula/tables/materials")["material"]
    )


def _make_material(row: dict[str, Any]) -> Material:
    kind = MaterialKind(row["kind"])
    return Material(
        id=row["id"],
        kind=kind,
        names={language: row[language] for language in ("en", "fr") if language in row},
        inci=row.get("inci", ""),
        eu=row.get("eu", ""),
        us=row.get("us", ""),
        plant=row.get("plant", kind in (MaterialKind.BOTANICAL, MaterialKind.ESSENTIAL_OIL)),
        sodium=row.get("sodium", ""),
        potassium=row.get("potassium", ""),
        saponification=_make_range(row.get("saponification_value")),
        published=_make_range(row.get("saponification_value")),
        acid=_make_range(row.get("acid_value")),
        alcohol=_make_range(row.get("alcohol_share")),
        water=_make_range(row.get("water_share")),
        fat=_make_range(row.get("fat_share")),
        fat_material=row.get("fat", ""),
        molar_mass=Decimal(row.get("molar_mass", 0)),
        alkali_per_mole=row.get("alkali_per_mole", 0),
        formula=row.get("formula", ""),
        allergen=row.get("allergen", ""),
        parts=tuple(_make_part(part) for part in row.get("part", ())),
        source=row.get("source", ""),
        provenance=row.get("provenance", "memory"),
        names_provenance=row.get("names_provenance", "memory"),
        inci_doubtful=row.get("inci_doubtful", False),
        aliases=tuple(row.get("aliases", ())),
        families=tuple(row.get("families", ())),
        usual_allergens=tuple(row.get("usual_allergens", ())),
        note=row.get("note", ""),
    )


def _make_range(ends: list[Any] | None) -> ValueRange:
    return ValueRange.between(Decimal(ends[0]), Decimal(ends[1])) if ends else ZERO


def _make_part(row: dict[str, Any]) -> CompoundPart:
    low, high = row["share"]
    return CompoundPart(row["material"], "", Share(Decimal(low), Decimal(high)))


# -- a recipe's own --------------------------------------------------------------------------------


def merge_own_materials(recipe: Recipe) -> Materials:
    """The table with the recipe's own materials added or laid over it.

    Raises InputError when a new material lacks what its kind needs.
    """
    table = load_materials()
    if not recipe.own_materials:
        return table
    rows = {row.id: row for row in table}
    for own in recipe.own_materials:
        _check_fat_is_known(recipe, own, table)
        known = table.find(own.id)
        row = _override_material(known, own) if known else _make_new_material(recipe, own, table)
        rows[row.id] = row
        _check_own_material(recipe, own, row)
    return Materials(rows.values())


def _make_new_material(recipe: Recipe, own: OwnMaterial, table: Materials) -> Material:
    if own.kind is None:
        recipe.wrong(
            f"{own.key}.kind",
            None,
            Said("missing; {id} is not in the materials table", id=Verbatim(own.id)),
        )
    blank = Material(
        id=own.id,
        kind=own.kind,
        names=own.names or {"en": own.id},
        plant=own.kind in (MaterialKind.BOTANICAL, MaterialKind.ESSENTIAL_OIL),
        published=table.published(own.inci or ""),
    )
    return _override_material(blank, own)


def _override_material(row: Material, own: OwnMaterial) -> Material:
    changes: dict[str, Any] = {
        field: value
        for field in ("kind", "inci", "eu", "us", "sodium", "potassium", "plant")
        if (value := getattr(own, field)) is not None
    }
    if own.inci is not None:
        changes |= {"names_provenance": "maker", "inci_doubtful": False}
    if own.saponification_value is not None:
        value = make_own_value(own.saponification_value, own.saponification_spread, row.published)
        changes |= {"saponification": value, "own": True, "provenance": "maker"}
        changes["source"] = own.source or Said("the recipe")
    if own.acid_value is not None:
        changes["acid"] = ValueRange.about(own.acid_value, Decimal(0))
    if own.water_share is not None:
        changes["water"] = ValueRange.between(own.water_share.low, own.water_share.high)
    if own.fat_share is not None:
        changes["fat"] = ValueRange.between(own.fat_share.low, own.fat_share.high)
        changes["fat_material"] = own.fat
    if own.parts:
        changes["parts"] = tuple(_make_own_part(part) for part in own.parts)
    return replace(row, names={**row.names, **own.names}, **changes)


def make_own_value(value: Decimal, half: Decimal | None, published: ValueRange) -> ValueRange:
    """A saponification value the maker gave, mg KOH per g, and what it may be."""
    if half is None:
        half = value * (OWN_SPREAD if published.high else UNKNOWN_SPREAD)
    return ValueRange.about(value, half)


def _make_own_part(part: OwnPart) -> CompoundPart:
    return CompoundPart(part.material, part.inci, part.share)


def _check_fat_is_known(recipe: Recipe, own: OwnMaterial, table: Materials) -> None:
    """The fat in a liquid is one of the table's, with a saponification value."""
    if not own.fat:
        return
    fat = table.find(own.fat)
    if fat is None:
        recipe.wrong(f"{own.key}.fat", own.fat, table.near(own.fat))
    if fat.kind not in _TITRATED:
        recipe.wrong(
            f"{own.key}.fat", own.fat, Said('is no fat; expected one such as "butter-fat"')
        )


_TITRATED = (MaterialKind.TRIGLYCERIDE, MaterialKind.FREE_ACID, MaterialKind.WAX)


def _check_own_material(recipe: Recipe, own: OwnMaterial, row: Material) -> None:
    """A material must have what is counted with and what is printed."""
    check_saponification_value(recipe, own.key, row, own.saponification_value)
    if row.kind is MaterialKind.COMPOUND:
        if not row.parts:
            recipe.wrong(
                f"{own.key}.part", None, Said("missing; a compound needs [[material.part]]")
            )
    elif not row.inci:
        recipe.wrong(f"{own.key}.inci", None, Said("missing; expected an INCI name"))
    if row.kind in _TITRATED and not row.saponification.value:
        recipe.wrong(
            f"{own.key}.saponification_value",
            None,
            Said("missing; expected mg KOH per g, such as 190"),
        )
    if row.kind is MaterialKind.HYDROXY_ACID and not row.molar_mass:
        recipe.wrong(
            f"{own.key}.kind", row.kind.value, Said("only citric, lactic and acetic acid are known")
        )
    if row.acid.value > row.saponification.value:
        recipe.wrong(
            f"{own.key}.acid_value", str(row.acid.value), Said("is above the saponification")
        )


def check_saponification_value(
    recipe: Recipe, key: str, material: Material, value: Decimal | None
) -> None:
    """InputError for a saponification value, mg KOH per g, that the material cannot have."""
    published = material.published.ends if material.published.high else None
    reason = (
        explain_implausible_value(value, material.kind, published) if value is not None else NOTHING
    )
    if reason:
        recipe.wrong(f"{key}.saponification_value", value, reason)
