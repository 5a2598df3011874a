"""Recipes for the formula's tests, written as the maker would write them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from labelkit.order.recipe import Recipe, read_recipe

HEAD = """labelkit = 1
recipe = { name = "Test", scale = "0.1 g" }
"""
LYE = """
[[lye]]
alkali = "NaOH"
purity = "98 %"
[superfat]
lye_discount = "5 %"
[water]
lye_concentration = "33 %"
[cure]
loss = "12 %"
plus_minus = "1 %"
"""

MakeRecipe = Callable[..., Recipe]


@pytest.fixture
def make(tmp_path: Path) -> MakeRecipe:
    """Reads a recipe from TOML; the lye, water and cure are the usual ones unless given."""

    def build(body: str, lye: str = LYE) -> Recipe:
        path = tmp_path / "recipe.toml"
        path.write_text(HEAD + body + lye, encoding="utf-8")
        return read_recipe(path)

    return build
