"""An order is one thing: everything a maker wrote for it, read once and all together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from labelkit.common.errors import AsTyped, InputError, shown_path
from labelkit.common.regions import checked_regions
from labelkit.common.resources import layouts_dir
from labelkit.order.label import LabelSpec, read_label, with_regions
from labelkit.order.laid_over import texts_laid_over
from labelkit.order.layout import Layout, find_layout, read_layout
from labelkit.order.logo import Logo, read_logo
from labelkit.order.mistakes import collect, collected, told_together
from labelkit.order.prices import PriceLine, read_prices
from labelkit.order.printer import PrinterProfile, printers_file, read_printers
from labelkit.order.recipe import Recipe, read_recipe
from labelkit.order.stock import Stock, find_stock


@dataclass(frozen=True, slots=True)
class Order:
    """The files of an order as they were read; nothing later opens one of them again."""

    spec: LabelSpec
    """label.toml, with the maker, the plan and the list of guests that it names."""
    recipe: Recipe
    layout: Layout
    stock: Stock
    """What the labels are printed on."""
    second_stock: Stock | None = None
    """Of a second surface with one of its own."""
    logo: Logo | None = None
    prices: tuple[PriceLine, ...] = ()
    no_prices: InputError | None = None
    """Why there are none, where the plan names a list that is not there: labels do without it."""
    printers: tuple[PrinterProfile, ...] = ()
    """Those that were measured in this workshop."""


def read_order(
    path: Path, laid_over: Mapping[Path, str | bytes] | None = None, regions: Iterable[str] = ()
) -> Order:
    """Reads a label spec and every file that it names.

    ``laid_over`` holds texts to be read in place of files, by path: with it an order is read as it
    would be if they were saved. ``regions`` are asked about instead of the label's own. Raises
    one InputError that tells every mistake in the files, with its line.
    """
    asked = checked_regions(regions)  # an unknown one is told before anything is read
    with texts_laid_over(laid_over or {}), told_together():
        spec = with_regions(read_label(path), asked)
        return Order(
            spec=spec,
            recipe=collect(lambda: read_recipe(spec.product.recipe)),
            layout=_layout(spec),
            stock=_stock(spec),
            second_stock=_second_stock(spec),
            logo=_logo(spec),
            prices=_prices(spec),
            no_prices=collect(_why_no_prices, spec),
            printers=collect(lambda: read_printers(printers_file(spec.maker.path))),
        )


@collected
def _layout(spec: LabelSpec) -> Layout:
    return read_layout(find_layout(spec.layout, spec.path.parent, layouts_dir()))


@collected
def _stock(spec: LabelSpec) -> Stock:
    return find_stock(spec.stock, spec.path.parent)


@collected
def _second_stock(spec: LabelSpec) -> Stock | None:
    own = spec.second.stock if spec.second else ""
    return find_stock(own, spec.path.parent) if own else None


@collected
def _logo(spec: LabelSpec) -> Logo | None:
    """The logo the spec names; a complaint about the file says which key brought it in."""
    if spec.logo is None:
        return None
    try:
        return read_logo(spec.logo)
    except InputError as error:
        named = AsTyped(shown_path(spec.logo.name))
        raise InputError(shown_path(spec.path), "label.logo", named, error.expected) from error


@collected
def _prices(spec: LabelSpec) -> tuple[PriceLine, ...]:
    named = spec.plan.money.price_list
    return read_prices(named.find()) if named and not _why_no_prices(spec) else ()


def _why_no_prices(spec: LabelSpec) -> InputError | None:
    named = spec.plan.money.price_list
    try:
        if named:
            named.find()
    except InputError as error:
        return error
    return None
