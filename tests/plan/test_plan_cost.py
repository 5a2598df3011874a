"""Money to the cent, worked by hand; supplies by the pack."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_making import money

from labelkit.formula.materials import load_materials
from labelkit.order.plan import (
    ExtraItem,
    LabelSheets,
    PackingBox,
    PlanSpec,
    Ribbon,
    Tax,
    Wrap,
    measure_ribbon_mm,
    measure_wrap_mm,
)
from labelkit.order.prices import Price
from labelkit.plan.batching import Weighing, WeighingRole
from labelkit.plan.cost import Cost, compute_cost, compute_pricing
from labelkit.plan.count import Counts
from labelkit.plan.money import find_coin, round_to_coin, round_up_amount
from labelkit.plan.order_plan import Plan
from labelkit.plan.supplies import (
    PanelSheets,
    Supply,
    SupplyNeed,
    count_most_on_sheet,
    count_supplies,
    find_needless_spares,
)

Planned = Callable[..., Plan]
ZERO = Decimal(0)
COUNTS = Counts(20, 4, 1, 2, 1, 14, 2)
"""24 pieces handed over, 25 to wrap, 14 bars."""


def line(
    name: str, mass: str, price: str | None = None, role: WeighingRole = WeighingRole.OIL
) -> Weighing:
    per_kg = None if price is None else Decimal(price)
    return Weighing(role, name, Decimal(mass), Decimal(mass), "", per_kg, False)


def order(**changes: object) -> Cost:
    lines = (
        line("olive-oil", "812"),
        line("coconut-oil", "405", "7.45"),
        line("NaOH", "170", None, WeighingRole.LYE),
        line("water", "361", None, WeighingRole.WATER),
    )
    prices = (
        Price("Olive oil", Decimal("46.50"), Decimal(5000)),
        Price("sodium hydroxide", Decimal("8.20"), Decimal(1000)),
    )
    needs = (
        SupplyNeed(Supply.WRAP, {}, 25, 21, 2, 0, Decimal("0.90"), 17),
        SupplyNeed(Supply.BOX, {}, 24, 12, 2, 2, Decimal("1.15"), 0),
    )
    return compute_cost(lines, load_materials(), prices, needs, COUNTS, money(**changes))


def test_an_order_to_the_cent() -> None:
    made = order()
    # 812 g x 46.50 / 5000 g = 7.5516 -> 7.55; 405 g x 7.45 / 1000 = 3.01725 -> 3.02;
    # 170 g x 8.20 / 1000 = 1.394 -> 1.39; water nothing. Materials 11.96.
    amounts = [material.amount for material in made.materials]
    assert amounts == [Decimal("7.55"), Decimal("3.02"), Decimal("1.39"), Decimal("0.00")]
    # Two sheets of wraps at 0.90, two boxes at 1.15 (in hand, but used all the same): 4.10.
    assert made.supply_total == Decimal("4.10")
    # At 21.50 an hour: design 45 min 16.125 -> 16.13; pour 90 min 32.25; cut 14 bars x 2 = 28 min
    # 10.0333 -> 10.03; print 20 min 7.1667 -> 7.17; wrap 25 x 1.5 = 37.5 min 13.4375 -> 13.44; of
    # the 25 one is lost in it: label 24 x 0.5 = 12 min 4.30; deliver 30 min 10.75. Together 94.07.
    assert [work.amount for work in made.work] == [
        Decimal(amount) for amount in ("16.13", "32.25", "10.03", "7.17", "13.44", "4.30", "10.75")
    ]
    assert made.work_total == Decimal("94.07")
    # Overhead 12 % of 11.96 + 4.10 + 94.07 = 110.13: 13.2156 -> 13.22. In all 123.35.
    assert made.overhead == Decimal("13.22")
    assert made.total == Decimal("123.35")
    # Of 24 pieces: 5.13958... -> 5.14.
    assert made.per_piece == Decimal("5.14")
    assert made.complete


def test_prices_that_follow() -> None:
    # 123.35 / 24 = 5.1396: the floor is the next cent, 5.14. A margin of 30 % of the price asks
    # 5.1396 / 0.70 = 7.3423, the next five cents 7.35.
    # 24 x 7.35 = 176.40; HST 15 % 26.46; in all 202.86; a deposit of 30 % 60.858 -> 60.86.
    how = money(taxes=(Tax({"en": "HST"}, Decimal(15)),), deposit_percent=Decimal(30))
    prices = compute_pricing(order(), how)
    assert (prices.floor, prices.at_margin, prices.asked) == (
        Decimal("5.14"),
        Decimal("7.35"),
        Decimal("7.35"),
    )
    assert not prices.settled
    assert prices.subtotal == Decimal("176.40")
    assert prices.taxes[0].amount == Decimal("26.46")
    assert prices.total == Decimal("202.86")
    assert (prices.deposit, prices.balance) == (Decimal("60.86"), Decimal("142.00"))


def test_a_friendly_price_still_shows_the_true_cost() -> None:
    # 24 x 4.00 = 96.00 against 123.35: 27.35 short, -28.49 % of the price.
    prices = compute_pricing(order(), money(price=Decimal(4)))
    assert prices.settled
    assert prices.result == Decimal("-27.35")
    assert prices.result_percent == pytest.approx(Decimal("-28.490"), abs=Decimal("0.001"))
    assert prices.floor == Decimal("5.14")
    gift = compute_pricing(order(), money(price=ZERO))
    assert gift.result == Decimal("-123.35")
    assert gift.result_percent is None


def test_what_has_no_price_is_not_taken_for_free() -> None:
    made = compute_cost((line("olive-oil", "812"),), load_materials(), (), (), COUNTS, money())
    assert made.materials[0].amount is None
    assert not made.complete


def test_coins_of_currencies() -> None:
    # ISO 4217 minor units: two for CAD and EUR, none for JPY, three for KWD.
    assert [find_coin(code) for code in ("CAD", "EUR", "JPY", "KWD")] == [
        Decimal("0.01"),
        Decimal("0.01"),
        Decimal("1"),
        Decimal("0.001"),
    ]
    assert round_to_coin(Decimal("2.345"), "EUR") == Decimal("2.35")
    assert round_up_amount(Decimal("4.01"), Decimal("0.05")) == Decimal("4.05")


@given(
    price=st.decimals("0.01", 50, places=2) | st.none(),
    overhead=st.decimals(0, 100, places=1),
    margin=st.decimals(0, 90, places=1),
    tax=st.decimals(0, 30, places=3),
)
def test_every_sum_is_the_sum_of_its_lines(
    price: Decimal | None, overhead: Decimal, margin: Decimal, tax: Decimal
) -> None:
    how = money(
        price=price,
        overhead_percent=overhead,
        margin_percent=margin,
        taxes=(Tax({"": "A"}, tax), Tax({"": "B"}, tax)),
    )
    made = order(overhead_percent=overhead)
    prices = compute_pricing(made, how)
    lines = [line.amount for line in (*made.materials, *made.supplies, *made.work)]
    assert sum(lines, made.overhead) == made.total
    assert prices.subtotal + sum(line.amount for line in prices.taxes) == prices.total
    assert prices.deposit + prices.balance == prices.total
    assert prices.floor * made.pieces >= made.total
    # At the margin's price the order leaves at least that share of it.
    if price is None:
        assert 100 * (prices.subtotal - made.total) >= margin * prices.subtotal - Decimal("1e-9")


# -- supplies --------------------------------------------------------------------------------------


def test_wraps_are_cut_the_way_that_gives_more() -> None:
    # A sheet of 500 x 700 mm and wraps of 95 x 150 mm: upright 5 x 4 = 20, lying 3 x 7 = 21.
    assert count_most_on_sheet((Decimal(95), Decimal(150)), (Decimal(500), Decimal(700))) == 21


def test_supplies_by_the_pack() -> None:
    spec = PlanSpec(
        making=None,  # type: ignore[arg-type]
        timing=None,  # type: ignore[arg-type]
        labels=LabelSheets(1, 1, None),
        wrap=Wrap((Decimal(95), Decimal(150)), (Decimal(500), Decimal(700)), 1, None),
        ribbon=Ribbon(Decimal(280), Decimal(20_000), 0, None),
        box=PackingBox(24, 3, None),
        extras=(ExtraItem({"en": "sprig"}, 2, 50, 0, None),),
        money=money(),
        language="en",
        lot_pattern="",
        spare_pieces=6,
    )
    wrap, ribbon, box, sprig = count_supplies(spec, 66, 68, ())
    # 68 wraps of 21 a sheet: 4 sheets, 84 less 68 is 16 over; one sheet is in hand.
    assert (wrap.packs, wrap.left, wrap.to_buy) == (4, 16, 3)
    # 20 m give 71 lengths of 28 cm (19.88 m; the rest is too short): one roll, 3 lengths over.
    assert (ribbon.per_pack, ribbon.packs, ribbon.left) == (71, 1, 3)
    # 66 pieces in boxes of 24: 3 boxes, room for 6 more; all are in hand.
    assert (box.packs, box.left, box.to_buy) == (3, 6, 0)
    # Two sprigs a piece are 132: 3 packs of 50, 18 over.
    assert (sprig.pieces, sprig.packs, sprig.left) == (132, 3, 18)


def test_a_fee_is_kept_of_the_price() -> None:
    # A cost of each at a fee of 6.5 % and a margin of 30 %: each / 0.635, up to 5 cents; the floor
    # each / 0.935, up to a cent. Of what is asked 6.5 % goes before the cost.
    plain, how = order(), money(fee_percent=Decimal("6.5"), price=Decimal(10))
    prices, each = compute_pricing(plain, how), plain.total / plain.pieces
    assert prices.at_margin == round_up_amount(each / Decimal("0.635"), Decimal("0.05"))
    assert prices.floor == round_up_amount(each / Decimal("0.935"), Decimal("0.01"))
    # 24 pieces at 10.00: 240.00, of which 15.60 is kept.
    assert prices.fee == Decimal("15.60")
    assert prices.result == Decimal("224.40") - plain.total


@pytest.mark.parametrize(
    ("kind", "size"),
    [
        # Round a piece of 60 x 45 x 25 mm the girth is 2 x (60 + 25) = 170 mm (laps and seams:
        # common practice, no source): paper 190 x 95, a sleeve 185 x 45, a band 185 x 22.5, film
        # 200 x (45 + 25 + 30).
        ("paper", (190, 95)),
        ("sleeve", (185, 45)),
        ("band", (185, Decimal("22.5"))),
        ("shrink film", (200, 100)),
    ],
)
def test_what_a_wrap_takes_round_a_piece(kind: str, size: tuple[Decimal, Decimal]) -> None:
    assert measure_wrap_mm(kind, Decimal(60), Decimal(45), Decimal(25)) == size


def sheets_of(labels: int, per_sheet: int) -> PanelSheets:
    count = -(-labels // per_sheet)
    left = count * per_sheet - labels
    return PanelSheets("front", labels, count, per_sheet, left, None, False, "Clear")


def test_one_spare_fewer_saves_a_sheet_of_either_side() -> None:
    # 66 + 1 labels on sheets of 33: the 67th begins a third sheet of fronts and a third of backs.
    both = (sheets_of(67, 33), sheets_of(67, 33))
    assert find_needless_spares(both, 7) == (1, 2)
    assert find_needless_spares((sheets_of(66, 33),), 7) == (0, 0)
    assert find_needless_spares((sheets_of(67, 33),), 0) == (0, 0)
    assert find_needless_spares((sheets_of(20, 33),), 7) == (0, 0)


@pytest.mark.parametrize(("kind", "length"), [("round", 370), ("crossed", 510)])
def test_a_ribbon_goes_round_the_piece(kind: str, length: int) -> None:
    # A face of 60 x 45 mm, 25 mm thick: once round it 2 x (60 + 25) = 170, across that
    # 2 x (45 + 25) = 140; 200 mm to tie a small bow (common practice, no source).
    sides = (Decimal(60), Decimal(45), Decimal(25))
    assert measure_ribbon_mm(kind, *sides, Decimal(200)) == length


def test_a_folded_box_is_cut_from_its_net() -> None:
    # Four sides round the piece, 2 x (60 + 25), and a seam of 15; flaps of 25 at either end of 45.
    assert measure_wrap_mm("box", Decimal(60), Decimal(45), Decimal(25)) == (185, 95)


def test_what_the_orders_own_file_says_of_a_wrap_stands(planned: Planned) -> None:
    wrap = '\n[plan.wrap]\npiece = "60 x 45 mm"\nthick = "25 mm"\n\n[plan.quote]'
    plan = planned(("\n[plan.quote]", wrap))  # the workshop's gives a size
    assert plan.spec.wrap is not None
    assert plan.spec.wrap.size_mm == (190, 95)
    ribbon = ('length = "28 cm"', 'kind = "crossed"\npiece = "60 x 45 mm"\nthick = "25 mm"')
    plan = planned(maker=(ribbon,))
    assert plan.spec.ribbon is not None
    assert plan.spec.ribbon.length_mm == 510


def test_sheets_are_priced_by_their_stock(planned: Planned) -> None:
    # 66 labels of 44 x 28 mm: whatever a sheet holds, each that is used costs what its stock does.
    by_name = ("price = 0.14 # a sheet", "prices = { letter-plain = 0.20, a4-plain = 0.50 }")
    plan = planned(maker=(by_name,))
    sheets = [need for need in plan.needs if need.supply.value.endswith("-sheets")]
    assert [need.price for need in sheets] == [Decimal("0.2")] * 2
    assert [need.cost for need in sheets] == [need.packs * Decimal("0.2") for need in sheets]
    other = planned(
        ('corner = "2 mm"', 'corner = "2 mm"\nstock = "a4-plain"'),
    )
    assert {n.price for n in other.needs if "-sheets" in n.supply.value} == {Decimal("0.5")}


def test_a_tag_of_another_stock_has_that_stocks_price(planned: Planned) -> None:
    tag = '[tag]\ntrim = "60 x 40 mm"\nstock = "a4-plain"'
    tag = f'\n[back]\ningredients_on = "tag"\n\n{tag}\n\n[plan]'
    by_name = ("price = 0.14 # a sheet", "prices = { letter-plain = 0.20, a4-plain = 0.50 }")
    plan = planned(("\n[plan]", tag), maker=(by_name,))
    found = {need.supply.value: need.price for need in plan.needs if "-sheets" in need.supply.value}
    assert found == {
        "front-sheets": Decimal("0.2"),
        "back-sheets": Decimal("0.2"),
        "other-sheets": Decimal("0.5"),
    }


def test_a_price_given_for_the_order_stands_above_the_stocks(planned: Planned) -> None:
    by_name = ("price = 0.14 # a sheet", "price = 0.14\nprices = { letter-plain = 0.20 }")
    plan = planned(maker=(by_name,))
    assert {n.price for n in plan.needs if "-sheets" in n.supply.value} == {Decimal("0.14")}
