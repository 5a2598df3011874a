"""What an order truly costs, and what to ask for it. Every line is rounded to the coin once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from enum import StrEnum

from labelkit.common.frozen import dataclass
from labelkit.formula.materials import Materials
from labelkit.order.plan import Money, Tax
from labelkit.order.prices import Price
from labelkit.plan.batching import Weighing, WeighingRole
from labelkit.plan.count import Counts
from labelkit.plan.money import find_coin, round_to_coin, round_up_amount
from labelkit.plan.supplies import SupplyNeed


class WorkStep(StrEnum):
    DESIGN = "design"
    POUR = "pour"
    CUT = "cut"
    PRINT = "print"
    WRAP = "wrap"
    LABEL = "label"
    DELIVER = "deliver"


@dataclass(frozen=True, slots=True)
class MaterialCost:
    weighing: Weighing
    per_kg: Decimal | None
    amount: Decimal | None
    """None: there is no price for it."""


@dataclass(frozen=True, slots=True)
class WorkCost:
    work: WorkStep
    minutes: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True)
class SupplyCost:
    need: SupplyNeed
    amount: Decimal | None


@dataclass(frozen=True, slots=True)
class Cost:
    """The cost of the whole order and of one of the pieces handed over, before tax."""

    currency: str
    pieces: int
    materials: tuple[MaterialCost, ...]
    supplies: tuple[SupplyCost, ...]
    work: tuple[WorkCost, ...]
    overhead_percent: Decimal
    overhead: Decimal

    @property
    def material_total(self) -> Decimal:
        return _sum_amounts(line.amount for line in self.materials)

    @property
    def supply_total(self) -> Decimal:
        return _sum_amounts(line.amount for line in self.supplies)

    @property
    def work_total(self) -> Decimal:
        return _sum_amounts(line.amount for line in self.work)

    @property
    def minutes(self) -> Decimal:
        return sum((line.minutes for line in self.work), Decimal(0))

    @property
    def total(self) -> Decimal:
        return self.material_total + self.supply_total + self.work_total + self.overhead

    @property
    def per_piece(self) -> Decimal:
        return round_to_coin(self.total / self.pieces, self.currency)

    @property
    def complete(self) -> bool:
        """Whether everything had a price; otherwise the cost is at least what is said."""
        lines: list[MaterialCost | SupplyCost] = [*self.materials, *self.supplies]
        return all(line.amount is not None for line in lines)


@dataclass(frozen=True, slots=True)
class TaxLine:
    tax: Tax
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Pricing:
    """Prices of one piece before tax, and the sums of the order at the price asked."""

    currency: str
    pieces: int
    floor: Decimal
    """Below this one piece does not pay for itself."""
    at_margin: Decimal
    """What the wanted margin asks for."""
    margin_percent: Decimal
    asked: Decimal
    settled: bool
    """The maker named the price; otherwise it is the one at the margin."""
    cost_total: Decimal
    taxes: tuple[TaxLine, ...]
    deposit: Decimal
    fee_percent: Decimal = Decimal(0)
    with_tax: bool = False
    """The customer is shown prices with tax in them."""

    @property
    def shown(self) -> Decimal:
        """What the customer is asked for one piece, as it is shown."""
        if not self.with_tax:
            return self.asked
        return add_tax(self.asked, (line.tax for line in self.taxes), self.currency)

    @property
    def tax_is_shown(self) -> bool:
        """Prices are shown with tax in them, and there is some."""
        return self.with_tax and any(line.tax.percent for line in self.taxes)

    @property
    def fee(self) -> Decimal:
        """What a platform or a card keeps of the price."""
        return round_to_coin(self.subtotal * self.fee_percent / 100, self.currency)

    @property
    def subtotal(self) -> Decimal:
        """What is left of the total without tax."""
        if self.with_tax:
            return self.total - self._tax_total
        return round_to_coin(self.asked * self.pieces, self.currency)

    @property
    def total(self) -> Decimal:
        if self.with_tax:
            return round_to_coin(self.shown * self.pieces, self.currency)
        return self.subtotal + self._tax_total

    @property
    def _tax_total(self) -> Decimal:
        return _sum_amounts(line.amount for line in self.taxes)

    @property
    def balance(self) -> Decimal:
        return self.total - self.deposit

    @property
    def result(self) -> Decimal:
        """What the order leaves after fees and its true cost; negative when given below cost."""
        return self.subtotal - self.fee - self.cost_total

    @property
    def result_percent(self) -> Decimal | None:
        """The margin that the price asked really leaves; None for a gift."""
        return 100 * self.result / self.subtotal if self.subtotal else None


def compute_cost(
    weighings: Iterable[Weighing],
    materials: Materials,
    prices: Iterable[Price],
    needs: Iterable[SupplyNeed],
    counts: Counts,
    money: Money,
) -> Cost:
    """The true cost of an order: its materials, supplies and hours, and a share of the rest."""
    currency = money.currency
    per_kg = _index_prices(prices, materials)
    material_lines = tuple(_compute_material_cost(line, per_kg, currency) for line in weighings)
    supply_lines = tuple(
        SupplyCost(need, None if need.cost is None else round_to_coin(need.cost, currency))
        for need in needs
    )
    work = tuple(_list_work_costs(counts, money))
    direct = (
        _sum_amounts(line.amount for line in material_lines)
        + _sum_amounts(line.amount for line in supply_lines)
        + _sum_amounts(line.amount for line in work)
    )
    return Cost(
        currency=currency,
        pieces=counts.labelled,
        materials=material_lines,
        supplies=supply_lines,
        work=work,
        overhead_percent=money.overhead_percent,
        overhead=round_to_coin(direct * money.overhead_percent / 100, currency),
    )


def add_tax(amount: Decimal, taxes: Iterable[Tax], currency: str) -> Decimal:
    """An amount as it is shown with its taxes in it: the next coin, so that what is chosen part by
    part is never dearer together than its parts were shown."""
    percent = 100 + _sum_amounts(tax.percent for tax in taxes)
    return round_up_amount(amount * percent / 100, find_coin(currency))


def compute_pricing(made: Cost, money: Money, *, with_tax: bool = False) -> Pricing:
    """The prices that follow from a cost, and the customer's sums at the price asked.

    ``with_tax`` says that she is shown prices with tax in them: the tax is then a part of each sum,
    and not added to it.
    """
    currency = made.currency
    each = made.total / made.pieces
    kept = 100 - money.margin_percent - money.fee_percent
    margin_price = round_up_amount(each * 100 / kept, money.price_step)
    asked = money.price if money.price is not None else margin_price
    each_shown = add_tax(asked, money.taxes, currency) if with_tax else asked
    sum_shown = round_to_coin(each_shown * made.pieces, currency)
    whole = 100 + (_sum_amounts(tax.percent for tax in money.taxes) if with_tax else 0)
    taxes = tuple(
        TaxLine(tax, round_to_coin(sum_shown * tax.percent / whole, currency))
        for tax in money.taxes
    )
    total = sum_shown if with_tax else sum_shown + _sum_amounts(line.amount for line in taxes)
    return Pricing(
        currency=currency,
        pieces=made.pieces,
        floor=round_up_amount(each * 100 / (100 - money.fee_percent), find_coin(currency)),
        at_margin=margin_price,
        margin_percent=money.margin_percent,
        asked=asked,
        settled=money.price is not None,
        cost_total=made.total,
        taxes=taxes,
        deposit=round_to_coin(total * money.deposit_percent / 100, currency),
        fee_percent=money.fee_percent,
        with_tax=with_tax,
    )


def _sum_amounts(amounts: Iterable[Decimal | None]) -> Decimal:
    return sum((amount for amount in amounts if amount is not None), Decimal(0))


def material_key_of(name: str, materials: Materials) -> str:
    """The id of a known material, or the name itself, letter case aside."""
    found = materials.find(name)
    return found.id if found is not None else " ".join(name.split()).casefold()


def _index_prices(prices: Iterable[Price], materials: Materials) -> dict[str, Decimal]:
    """By the material that a line names, and by the very words, in which a scent may be named."""
    listed = tuple(prices)
    by_words = {" ".join(price.item.split()).casefold(): price.per_kg for price in listed}
    return by_words | {material_key_of(price.item, materials): price.per_kg for price in listed}


def _compute_material_cost(
    line: Weighing, per_kg: Mapping[str, Decimal], currency: str
) -> MaterialCost:
    """A line's own price comes first, then the price list's; water is free."""
    price = line.price_per_kg
    if price is None:
        price = next((per_kg[key] for key in list_price_keys(line) if key in per_kg), None)
    if price is None and line.role is WeighingRole.WATER:
        price = Decimal(0)
    amount = None if price is None else round_to_coin(line.mass_g * price / 1000, currency)
    return MaterialCost(line, price, amount)


LYE_NAMES = {
    "NaOH": ("naoh", "sodium-hydroxide", "sodium hydroxide"),
    "KOH": ("koh", "potassium-hydroxide", "potassium hydroxide"),
}


def list_price_keys(line: Weighing) -> tuple[str, ...]:
    """The keys under which a price list may have it."""
    name = line.name
    oil = (line.essential_oil,) if line.essential_oil else ()
    return LYE_NAMES.get(name, (name, " ".join(name.split()).casefold(), *oil))


def _list_work_costs(counts: Counts, money: Money) -> Iterator[WorkCost]:
    """One batch is poured. Every piece is wrapped, those lost in it too; the sound are labelled."""
    minutes = money.minutes
    times = {
        WorkStep.DESIGN: minutes.design,
        WorkStep.POUR: minutes.pour,
        WorkStep.CUT: minutes.cut * counts.bars,
        WorkStep.PRINT: minutes.print,
        WorkStep.WRAP: minutes.wrap * counts.to_wrap,
        WorkStep.LABEL: minutes.label * counts.labelled,
        WorkStep.DELIVER: minutes.deliver,
    }
    for work, minute in times.items():
        yield WorkCost(work, minute, round_to_coin(minute * money.rate / 60, money.currency))
