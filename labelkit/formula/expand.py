"""From the lines of a recipe to the substances they bring: compounds are taken apart.

Every substance keeps the line it came through, so that the table behind a list can be followed
back to the scale.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field, replace
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.formula.materials import (
    ZERO,
    CompoundPart,
    Material,
    Materials,
    ValueRange,
    check_saponification_value,
    make_own_value,
)
from labelkit.order.recipe import LineGroup, MaterialKind, Recipe, Scent, Share, WeighedLine

WHOLE = ValueRange(Decimal(1), Decimal(1), Decimal(1))
_DEEPEST = 8
_MOST_PARTS = 100
FRAGRANCE_INCI = "Parfum"


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """A weighed line, other than lye and water."""

    key: str
    name: str
    mass_g: Decimal
    allergens: Mapping[str, Share] = field(default_factory=dict)
    scent: Scent | None = None


@dataclass(frozen=True, slots=True)
class Substance:
    """A part of a line that behaves as one thing: it reacts, dries, or stays."""

    line: int
    """Index of its line."""
    material: Material
    share: ValueRange
    """Of the line's mass, from 0 to 1."""
    saponification: ValueRange = ZERO
    acid: ValueRange = ZERO
    late: bool = False
    dries: bool = False
    """Water that may leave in cure."""
    named: str = ""
    """INCI name it keeps whatever becomes of it (the fat and the water in milk)."""
    added_as: str = ""
    """INCI name of the compound it is declared within when declared as added."""
    share_unknown: bool = False
    parfum: bool = False

    @property
    def inci(self) -> str:
        """The INCI name as added."""
        return self.named or self.material.inci


@dataclass(frozen=True, slots=True)
class Expanded:
    """The lines in an order of their own (not the recipe's), and every substance in them."""

    lines: tuple[RecipeLine, ...]
    substances: tuple[Substance, ...]

    def mass_g(self, substance: Substance) -> Decimal:
        return self.lines[substance.line].mass_g * substance.share.value


def expand_recipe(recipe: Recipe, materials: Materials) -> Expanded:
    """Takes the recipe's lines apart; InputError for a material nobody knows.

    Lines are sorted by what they are, so the order of the recipe's lines changes nothing.
    """
    everything = (*recipe.oils, *recipe.additives, *recipe.colours)
    weighed = sorted(
        ((_find_material(recipe, materials, line), line) for line in everything),
        key=lambda pair: (pair[1].group, pair[0].id, pair[1].mass_g, pair[1].after_trace),
    )
    scents = sorted(recipe.scents, key=lambda s: (s.essential_oil, s.name, s.mass_g))
    lines: list[RecipeLine] = []
    substances: list[Substance] = []
    for material, line in weighed:
        found = list(_expand_weighed_line(recipe, materials, len(lines), material, line))
        lines.append(RecipeLine(line.key, material.name(), line.mass_g, line.allergens))
        substances += _normalise_line(found)
    for scent in scents:
        substances.append(_make_scent_substance(recipe, materials, len(lines), scent))
        lines.append(RecipeLine(scent.key, scent.name, scent.mass_g, scent.allergens or {}, scent))
    return Expanded(tuple(lines), tuple(substances))


def _find_material(recipe: Recipe, materials: Materials, line: WeighedLine) -> Material:
    material = materials.find(line.material)
    if material is None:
        recipe.wrong(f"{line.key}.material", line.material, materials.near(line.material))
    fat = material.saponification.value > 0 or material.kind is MaterialKind.COMPOUND
    if line.group is LineGroup.OIL and material.kind is MaterialKind.ESSENTIAL_OIL:
        expected = Said(
            'is an essential oil; make it a [[scent]] with essential_oil = "{id}"', id=material.id
        )
        recipe.wrong(f"{line.key}.material", line.material, expected)
    if line.group is LineGroup.OIL and not fat and material.id not in _NO_REACTION:
        recipe.wrong(
            f"{line.key}.material", line.material, Said("is no oil; put it under [[additive]]")
        )
    if line.group is LineGroup.COLOUR and material.kind is MaterialKind.ESSENTIAL_OIL:
        recipe.wrong(
            f"{line.key}.material", line.material, Said("is no colour; expected [[scent]]")
        )
    return material


_NO_REACTION = frozenset({"mineral-oil", "squalane"})


def _expand_weighed_line(
    recipe: Recipe, materials: Materials, index: int, material: Material, line: WeighedLine
) -> Iterator[Substance]:
    if line.saponification_value is not None:
        if material.kind is MaterialKind.COMPOUND:
            recipe.wrong(
                f"{line.key}.saponification_value",
                str(line.saponification_value),
                Said(
                    "{name} is a compound; give the value of its parts as [[material]]",
                    name=material.name(),
                ),
            )
        check_saponification_value(recipe, line.key, material, line.saponification_value)
        titration = make_own_value(
            line.saponification_value, line.saponification_spread, material.published
        )
        material = replace(
            material,
            saponification=titration,
            own=True,
            source=Said("the recipe"),
            provenance="maker",
        )
    if line.acid_value is not None:
        if line.acid_value > material.saponification.value:
            recipe.wrong(
                f"{line.key}.acid_value", str(line.acid_value), Said("is above saponification")
            )
        material = replace(material, acid=ValueRange.about(line.acid_value, Decimal(0)))
    parts = _expand_parts(recipe, materials, line.key, material, WHOLE, 0)
    for count, found in enumerate(parts, start=1):
        if count > _MOST_PARTS:
            recipe.wrong(
                f"{line.key}.material",
                material.id,
                Said("has over {most} parts", most=_MOST_PARTS),
            )
        yield replace(found, line=index, late=line.after_trace)
    if line.infused_with:
        extract = Material("", MaterialKind.BOTANICAL, {}, inci=line.infused_with, plant=True)
        yield Substance(index, extract, ZERO, share_unknown=True)


def _expand_parts(
    recipe: Recipe,
    materials: Materials,
    key: str,
    material: Material,
    share: ValueRange,
    depth: int,
) -> Iterator[Substance]:
    """The substances of a material that makes up ``share`` of its line."""
    if depth > _DEEPEST:
        recipe.wrong(f"{key}.material", material.id, Said("is a compound that contains itself"))
    if material.kind is not MaterialKind.COMPOUND:
        yield from _expand_simple(materials, material, share)
        return
    for part, of_whole in _split_shares(material.parts):
        inner = _find_part_material(recipe, materials, key, part)
        for found in _expand_parts(
            recipe, materials, key, inner, _multiply_ranges(share, of_whole), depth + 1
        ):
            yield replace(
                found,
                added_as=material.inci or found.added_as,
                share_unknown=found.share_unknown or part.share is None,
            )


def _expand_simple(
    materials: Materials, material: Material, share: ValueRange
) -> Iterator[Substance]:
    """A material as one substance, or milk as its solids, its water and its fat."""
    solids = share
    if material.fat.value:
        fat = materials.find(material.fat_material)
        assert fat is not None, f"the table has no {material.fat_material}"
        of_line = _multiply_ranges(share, _percent_to_share(material.fat))
        solids = _subtract_ranges(solids, of_line)
        yield _make_substance(replace(fat, acid=ZERO), of_line, material.inci)
    if material.water.value:
        of_line = _multiply_ranges(share, _percent_to_share(material.water))
        solids = _subtract_ranges(solids, of_line)
        yield Substance(0, material, of_line, dries=True, named=material.inci)
    if solids.value > 0:
        yield _make_substance(material, solids, "")


def _make_substance(material: Material, share: ValueRange, named: str) -> Substance:
    acid = material.saponification if material.kind is MaterialKind.FREE_ACID else material.acid
    return Substance(0, material, share, material.saponification, acid, named=named)


def _find_part_material(
    recipe: Recipe, materials: Materials, key: str, part: CompoundPart
) -> Material:
    if part.material:
        found = materials.find(part.material)
        if found is None:
            recipe.wrong(f"{key}.part", part.material, materials.near(part.material))
        return found
    known = materials.by_inci(part.inci)
    if known is not None and known.kind is not MaterialKind.COMPOUND:
        return known
    colour = part.inci.upper().startswith("CI ")
    kind = MaterialKind.COLOUR if colour else MaterialKind.INERT
    return Material("", kind, {"": part.inci}, inci=part.inci)


def _split_shares(parts: Sequence[CompoundPart]) -> Iterator[tuple[CompoundPart, ValueRange]]:
    """Each part's share of the compound; what nobody stated is split evenly, from none to all."""
    silent = [part for part in parts if part.share is None]
    stated = sum((part.share.middle for part in parts if part.share), Decimal(0))
    rest = max(Decimal(0), 1 - stated / 100)
    for part in parts:
        if part.share is None:
            yield part, ValueRange(rest / len(silent), Decimal(0), rest)
        else:
            low, high = part.share.low / 100, part.share.high / 100
            yield part, ValueRange(part.share.middle / 100, low, high)


def _normalise_line(found: list[Substance]) -> list[Substance]:
    """The same substances, their shares scaled to make up the whole line."""
    total = sum((s.share.value for s in found), Decimal(0))
    if total == 1 or total == 0:
        return found
    return [
        replace(
            s, share=ValueRange(s.share.value / total, s.share.low / total, s.share.high / total)
        )
        for s in found
    ]


def _make_scent_substance(
    recipe: Recipe, materials: Materials, index: int, scent: Scent
) -> Substance:
    material = Material("", MaterialKind.INERT, {"": scent.name}, inci=FRAGRANCE_INCI)
    if scent.essential_oil:
        found = materials.find(scent.essential_oil)
        if found is None or found.kind is not MaterialKind.ESSENTIAL_OIL:
            near = materials.near(scent.essential_oil, MaterialKind.ESSENTIAL_OIL)
            hint = near if found is None else Said("is no essential oil")
            recipe.wrong(f"{scent.key}.essential_oil", scent.essential_oil, hint)
        material = found
    named = "" if scent.named else FRAGRANCE_INCI
    return Substance(index, material, WHOLE, named=named, parfum=not scent.named)


def _multiply_ranges(a: ValueRange, b: ValueRange) -> ValueRange:
    return ValueRange(a.value * b.value, a.low * b.low, a.high * b.high)


def _subtract_ranges(a: ValueRange, b: ValueRange) -> ValueRange:
    return ValueRange(a.value - b.value, max(Decimal(0), a.low - b.high), a.high - b.low)


def _percent_to_share(percent: ValueRange) -> ValueRange:
    return ValueRange(percent.value / 100, percent.low / 100, percent.high / 100)
