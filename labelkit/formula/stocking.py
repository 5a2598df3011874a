"""A recipe with what the workshop's shelf says of its materials, where it says nothing itself."""

from __future__ import annotations

from dataclasses import replace

from labelkit.common.text_match import fold_as_read
from labelkit.formula.materials import Materials, merge_own_materials
from labelkit.order.recipe import Lye, Recipe, Scent, WeighedLine
from labelkit.order.shelf import Shelf, ShelfItem

LYE_IDS = {"naoh": "naoh", "sodium-hydroxide": "naoh", "sodium hydroxide": "naoh",
           "koh": "koh", "potassium-hydroxide": "koh", "potassium hydroxide": "koh"}  # fmt: skip


def name_on_shelf(name: str, materials: Materials) -> str:
    """One name for a material, whatever a recipe or the shelf calls it."""
    found = materials.find(name)
    folded = fold_as_read(name)
    return LYE_IDS.get(folded) or (found.id if found is not None else folded)


def index_shelf(shelf: Shelf, materials: Materials) -> dict[str, ShelfItem]:
    """The materials of a shelf by the one name each has."""
    return {name_on_shelf(item.item, materials): item for item in shelf.items}


def stock_recipe(recipe: Recipe, shelf: Shelf | None) -> Recipe:
    """The recipe with the shelf's values, statements, limits and prices; its own come first."""
    if shelf is None:
        return recipe
    materials = merge_own_materials(recipe)
    items = index_shelf(shelf, materials)

    def of(*names: str) -> ShelfItem | None:
        keys = (name_on_shelf(name, materials) for name in names if name)
        return next((items[key] for key in keys if key in items), None)

    return replace(
        recipe,
        oils=tuple(_stock_line(line, of(line.material)) for line in recipe.oils),
        additives=tuple(_stock_line(line, of(line.material)) for line in recipe.additives),
        colours=tuple(_stock_line(line, of(line.material)) for line in recipe.colours),
        scents=tuple(_stock_scent(one, of(one.name, one.essential_oil)) for one in recipe.scents),
        lyes=tuple(_stock_lye(lye, of(lye.alkali.value)) for lye in recipe.lyes),
    )


def _stock_line(line: WeighedLine, item: ShelfItem | None) -> WeighedLine:
    if item is None:
        return line
    own = line.saponification_value is not None
    return replace(
        line,
        saponification_value=line.saponification_value if own else item.saponification_value,
        saponification_spread=line.saponification_spread if own else item.saponification_spread,
        acid_value=item.acid_value if line.acid_value is None else line.acid_value,
        allergens=line.allergens or item.allergens or {},
        price_per_kg=item.price_per_kg if line.price_per_kg is None else line.price_per_kg,
    )


def _stock_scent(scent: Scent, item: ShelfItem | None) -> Scent:
    if item is None:
        return scent
    return replace(
        scent,
        allergens=item.allergens if scent.allergens is None else scent.allergens,
        limit_percent=item.limit_percent if scent.limit_percent is None else scent.limit_percent,
        certificate=scent.certificate or item.certificate,
        price_per_kg=item.price_per_kg if scent.price_per_kg is None else scent.price_per_kg,
    )


def _stock_lye(lye: Lye, item: ShelfItem | None) -> Lye:
    if item is None or lye.price_per_kg is not None:
        return lye
    return replace(lye, price_per_kg=item.price_per_kg)
