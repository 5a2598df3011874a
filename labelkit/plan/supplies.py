"""What else an order uses: label sheets, wraps, ribbon, boxes and extras, bought by the pack."""

from __future__ import annotations

from decimal import ROUND_FLOOR, Decimal
from enum import StrEnum

from labelkit.common.frozen import dataclass
from labelkit.order.pieces import list_piece_kinds
from labelkit.order.plan import ExtraItem, PlanSpec, Ribbon, Wrap
from labelkit.order.reader import Words

BOTH_SIDES = "both-sides"
FEW_SPARES = 3
"""So many labels that begin a sheet of their own are worth leaving out (labelkit's own
judgement)."""


class Supply(StrEnum):
    BOTH_SHEETS = "both-sheets"
    FRONT_SHEETS = "front-sheets"
    BACK_SHEETS = "back-sheets"
    OTHER_SHEETS = "other-sheets"
    PIECE_SHEETS = "piece-sheets"
    WRAP = "wrap"
    RIBBON = "ribbon"
    BOX = "box"
    EXTRA = "extra"


@dataclass(frozen=True, slots=True)
class SupplyNeed:
    """One supply, counted in the packs it is bought in (a sheet, a roll, a box, a bag)."""

    supply: Supply
    name: Words
    """Of an extra; empty otherwise."""
    pieces: int
    """How many single ones the order uses."""
    per_pack: int
    packs: int
    """Used, the last one in part."""
    in_hand: int
    price: Decimal | None
    """Of a pack."""
    left: int
    """Single ones left over of the last pack."""
    stock: str = ""
    """The title of the stock, of label sheets."""

    @property
    def to_buy(self) -> int:
        return max(0, self.packs - self.in_hand)

    @property
    def cost(self) -> Decimal | None:
        """Of the packs used, bought or in hand; None without a price."""
        return None if self.price is None else self.price * self.packs


@dataclass(frozen=True, slots=True)
class PanelSheets:
    """Label sheets of one panel: how many are printed on, and what is left of the last one."""

    panel: str
    """BOTH_SIDES for front and back on the two sides of the same sheets."""
    labels: int
    sheets: int
    per_sheet: int
    left: int
    """Positions still free on the last one."""
    next_start: int | None
    """The first of them, to start the next job at."""
    part_used: bool
    """The first one was begun before."""
    stock: str
    """Its title."""


def count_supplies(
    plan: PlanSpec, labelled: int, wrapped: int, sheets: tuple[PanelSheets, ...]
) -> tuple[SupplyNeed, ...]:
    """Every supply of an order of ``labelled`` pieces, of which ``wrapped`` have to be wrapped."""
    price, other = plan.labels.price, plan.labels.other_price
    needs = [_count_sheets(one, price if one.stock == sheets[0].stock else other) for one in sheets]
    if plan.wrap:
        needs.append(_count_wrap(plan.wrap, wrapped))
    if plan.ribbon:
        needs.append(_count_ribbon(plan.ribbon, wrapped))
    if plan.box:
        box = plan.box
        needs.append(_count_packs(Supply.BOX, {}, labelled, box.holds, box.in_hand, box.price))
    return (*needs, *(_count_extra(extra, labelled) for extra in plan.extras))


def find_needless_spares(sheets: tuple[PanelSheets, ...], spares: int) -> tuple[int, int]:
    """How many spares fewer save how many sheets; 0 and 0 where none do, or too few are left."""
    over = {_count_on_last(one) for one in sheets if one.sheets > 1}
    few = sorted(n for n in over if 0 < n <= min(FEW_SPARES, spares))
    if not few:
        return 0, 0
    fewer = few[0]
    return fewer, sum(one.sheets > 1 and _count_on_last(one) <= fewer for one in sheets)


def _count_on_last(one: PanelSheets) -> int:
    """Labels on the last sheet: beside what is free on it, or after full ones."""
    return one.per_sheet - one.left if one.left else (one.labels - 1) % one.per_sheet + 1


_PANELS = {
    BOTH_SIDES: Supply.BOTH_SHEETS,
    "front": Supply.FRONT_SHEETS,
    "back": Supply.BACK_SHEETS,
    **dict.fromkeys(list_piece_kinds(), Supply.PIECE_SHEETS),
}


def _count_sheets(one: PanelSheets, price: Decimal | None) -> SupplyNeed:
    return SupplyNeed(
        supply=_PANELS.get(one.panel, Supply.OTHER_SHEETS),
        name={"": one.panel},
        pieces=one.labels,
        per_pack=one.per_sheet,
        packs=one.sheets,
        in_hand=1 if one.part_used else 0,
        price=price,
        left=one.left,
        stock=one.stock,
    )


def _count_wrap(wrap: Wrap, wrapped: int) -> SupplyNeed:
    per_sheet = count_most_on_sheet(wrap.size_mm, wrap.sheet_mm)
    return _count_packs(Supply.WRAP, {}, wrapped, per_sheet, wrap.in_hand, wrap.price)


def _count_ribbon(ribbon: Ribbon, wrapped: int) -> SupplyNeed:
    """A length is never pieced together: what is left of a roll stays over."""
    per_roll = int((ribbon.roll_mm / ribbon.length_mm).to_integral_value(ROUND_FLOOR))
    return _count_packs(Supply.RIBBON, {}, wrapped, per_roll, ribbon.in_hand, ribbon.price)


def _count_extra(extra: ExtraItem, labelled: int) -> SupplyNeed:
    pieces = labelled * extra.per_piece
    return _count_packs(Supply.EXTRA, extra.name, pieces, extra.pack, extra.in_hand, extra.price)


def _count_packs(
    supply: Supply, name: Words, pieces: int, per_pack: int, in_hand: int, price: Decimal | None
) -> SupplyNeed:
    packs = -(-pieces // per_pack)
    return SupplyNeed(
        supply, name, pieces, per_pack, packs, in_hand, price, packs * per_pack - pieces
    )


def count_most_on_sheet(size: tuple[Decimal, Decimal], sheet: tuple[Decimal, Decimal]) -> int:
    """How many rectangles a sheet gives, all turned the same way, cut straight through."""
    width, height = size

    def grid(w: Decimal, h: Decimal) -> int:
        return int(sheet[0] // w) * int(sheet[1] // h)

    return max(grid(width, height), grid(height, width))
