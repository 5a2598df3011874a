"""Prices as materials are sold, by volume too, and price lists with slips of the pen in them."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from decimal import Decimal
from importlib.resources import files
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.formula.materials import load_materials
from labelkit.order.prices import Price, read_prices
from labelkit.plan.batching import WeighingRole
from labelkit.plan.order_plan import Plan, Worry
from labelkit.plan.price_list import make_density_lookup
from labelkit.report.plan_text import format_plan_text
from labelkit.report.plan_view import check_quote

Planned = Callable[..., Plan]
Event = Callable[..., Path]


def prices(tmp_path: Path, *lines: str) -> tuple[Price, ...]:
    path = tmp_path / "prices.toml"
    path.write_text("\n".join(f"[[price]]\n{line}" for line in lines), encoding="utf-8")
    density_of = make_density_lookup(load_materials())
    return tuple(line.of_mass(density_of) for line in read_prices(path))


def test_a_litre_of_an_oil_is_what_it_weighs(tmp_path: Path) -> None:
    # Codex Alimentarius CXS 33 (from memory): the relative density of olive oil is 0.910 to 0.916.
    (litre,) = prices(tmp_path, 'item = "olive oil"\nprice = 12\nfor = "1 L"')
    assert Decimal(910) <= litre.mass_g <= Decimal(916)
    assert Decimal("13.10") < litre.per_kg < Decimal("13.19")  # 12 / 0.916 and 12 / 0.910
    (bottle,) = prices(tmp_path, 'item = "Olive Oil"\nprice = 9\nfor = "750 mL"')
    assert bottle.per_kg == litre.per_kg  # 9 for 0.75 L is 12 a litre


def test_a_density_beside_a_volume_comes_first(tmp_path: Path) -> None:
    lines = (
        'item = "lavender essential oil"\nprice = 29\nfor = "100 mL"\ndensity = 0.885',
        'item = "olive oil"\nprice = 29\nfor = "10 cl"\ndensity = 0.9',
    )
    assert [price.mass_g for price in prices(tmp_path, *lines)] == [Decimal("88.5"), Decimal(90)]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (
            'item = "Night garden"\nprice = 1\nfor = "100 mL"',
            r"price\[1\]\.for: '100 mL': is a volume; expected the mass bought, or density = its g",
        ),
        (
            'item = "olive oil"\nprice = 1\nfor = "5 kg"\ndensity = 0.9',
            r"price\[1\]\.density: 0\.9: is for a volume",
        ),
        ('item = "olive oil"\nprice = 1\nfor = "1 gal"', r"price\[1\]\.for: '1 gal': unknown unit"),
        (
            'item = "olive oil"\nprice = "6,50"\nfor = "1 kg"',
            r"price\[1\]\.price: '6,50': write 6\.50 without quotes",
        ),
        ('item = "olive oil"\nprice = 1', r"price\[1\]\.for: missing"),
        ('item = "olive oil"\nprice = 1\nfor = 5', r"price\[1\]\.for: 5: has no unit; for grams"),
        (
            'item = "olive oil"\nprice = 1\nfor = "0 L"',
            r"price\[1\]\.for: '0 L': expected from 0\.01 g or mL",
        ),
    ],
)
def test_what_cannot_be_a_price_is_told(tmp_path: Path, line: str, told: str) -> None:
    with pytest.raises(InputError, match=told):
        prices(tmp_path, line)


def test_every_density_is_of_a_material_that_is_known() -> None:
    text = files("labelkit.plan").joinpath("tables/densities.toml").read_text("utf-8")
    table = tomllib.loads(text)
    assert table["provenance"] == "memory"
    for name, (low, high) in table["density"].items():
        found = load_materials().find(name)
        assert found is not None, name
        assert found.id == name
        assert 0 <= (high - low) / 2 < 0.02 * low, name


# -- lines that name nothing -----------------------------------------------------------------------


def test_a_misspelt_line_is_told_with_what_it_may_mean(planned: Planned, event: Event) -> None:
    event(('"olive oil"', '"olvie oil"'), file="prices.toml")
    plan = planned()
    assert Worry.NO_PRICES in plan.worries
    ((item, meant),) = [(line.item, line.meant) for line in plan.unused_prices]
    assert (item, meant.name if meant else "") == ("olvie oil", "olive-oil")
    text = " ".join(format_plan_text(plan, "en").split())
    assert (
        "The price list's olvie oil is the name of nothing in this batch: is olive oil meant?"
    ) in text
    text = " ".join(format_plan_text(plan, "fr").split())
    assert "est-ce huile d’olive" in text


def test_a_quote_that_lacks_a_price_tells_the_misspelt_line(planned: Planned, event: Event) -> None:
    event(('"olive oil"', '"olvie oil"'), file="prices.toml")
    plan = planned(("price = 4.75", 'deposit = "30 %"'))
    with pytest.raises(InputError, match=r"no price for olive oil; .*is olive oil meant"):
        check_quote(plan)


def test_a_line_like_nothing_is_told_where_a_price_is_missing(
    planned: Planned, event: Event
) -> None:
    event(('"Hay & honey"', '"Night garden"'), file="prices.toml")
    plan = planned()
    assert [(line.item, line.meant) for line in plan.unused_prices] == [("Night garden", None)]
    text = " ".join(format_plan_text(plan, "en").split())
    assert "Lines of the price list that name nothing in this batch: Night garden." in text


OIL_PRICE = '[[price]]\nitem = "{}"\nprice = 29\nfor = "100 g"\n\n[[price]]\nitem = "honey"'


@pytest.mark.parametrize(
    ("scent", "item"),
    [
        ('name = "Lavender 40/42"\nessential_oil = "lavender-oil"', "lavender oil"),
        ('name = "Lavender 40/42"\nessential_oil = "lavender-oil"', "Lavender essential oil"),
        ('name = "Lavender 40/42"\nessential_oil = "lavender-oil"', "lavender-oil"),
        ('name = "Lavender 40/42"\nessential_oil = "lavender-oil"', "lavender 40/42"),
        ('name = "Lavender essential oil"', "lavender essential oil"),
        ('name = "Lavender oil"', "lavender oil"),
    ],
)
def test_an_essential_oil_is_priced_by_what_it_is_or_by_what_the_recipe_calls_it(
    scent: str, item: str, planned: Planned, event: Event
) -> None:
    event(('name = "Hay & honey"', scent), file="recipe.toml")
    event(('[[price]]\nitem = "honey"', OIL_PRICE.format(item)), file="prices.toml")
    plan = planned()
    (line,) = [line for line in plan.cost.materials if line.weighing.role is WeighingRole.SCENT]
    assert line.per_kg == 290  # 29 for 100 g
    assert Worry.NO_PRICES not in plan.worries


def test_a_scent_and_an_oil_that_may_be_the_same_are_told(planned: Planned, event: Event) -> None:
    event(('name = "Hay & honey"', 'name = "Lavender"'), file="recipe.toml")
    oil = OIL_PRICE.format("lavender essential oil")
    event(('[[price]]\nitem = "honey"', oil), file="prices.toml")
    text = " ".join(format_plan_text(planned(), "en").split())
    assert (
        "The price list's lavender essential oil is the name of nothing in this batch:"
        " is Lavender meant?"
    ) in text


def test_lines_for_other_batches_are_nobodys_mistake(planned: Planned, event: Event) -> None:
    # A known material, and a lye, that this recipe has no use for; and a scent of another recipe,
    # which is only told where something lacks a price.
    more = (
        '[[price]]\nitem = "sunflower oil"\nprice = 4\nfor = "1 L"\n\n'
        '[[price]]\nitem = "KOH"\nprice = 9\nfor = "1 kg"\n\n'
        '[[price]]\nitem = "Night garden"\nprice = 9\nfor = "100 g"\n\n'
    )
    event(
        ('[[price]]\nitem = "olive oil"', f'{more}[[price]]\nitem = "olive oil"'),
        file="prices.toml",
    )
    assert planned().unused_prices == ()
    event(('item = "honey"', 'item = "hony"'), file="prices.toml")
    assert [line.item for line in planned().unused_prices] == ["Night garden", "hony"]
