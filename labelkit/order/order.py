"""An order is one thing: everything a maker wrote for it, read once and all together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from pathlib import Path

from labelkit.common.errors import AsTyped, InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.journal import FileRead
from labelkit.common.paper import find_usual_paper
from labelkit.common.regions import check_regions
from labelkit.common.resources import find_layouts_folder
from labelkit.order.inputs import watch_reading
from labelkit.order.label import LabelSpec, read_label, replace_regions
from labelkit.order.laid_over import lay_texts_over
from labelkit.order.layout import Layout, find_layout, read_layout
from labelkit.order.logo import Logo, read_logo
from labelkit.order.mistakes import collect_mistakes, collecting_mistakes, tell_mistakes_together
from labelkit.order.pours import PourNotes, path_of_pours, read_pours
from labelkit.order.prices import PriceLine, read_prices
from labelkit.order.printer import PrinterProfile, path_of_printers, read_printers
from labelkit.order.recipe import Recipe, read_recipe
from labelkit.order.shelf import Shelf, path_of_shelf, read_shelf
from labelkit.order.stock import Stock, find_stock
from labelkit.order.works_profile import WorksProfile, read_works_profile


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
    piece_stocks: Mapping[str, Stock] = field(default_factory=dict)
    """What each piece that goes with the label is printed on, by kind."""
    logo: Logo | None = None
    prices: tuple[PriceLine, ...] = ()
    no_prices: InputError | None = None
    """Why there are none, where the plan names a list that is not there: labels do without it."""
    shelf: Shelf | None = None
    """What the workshop keeps; None: it has no such file."""
    pours: tuple[PourNotes, ...] = ()
    """What is remembered of batches that were poured in this workshop."""
    printers: tuple[PrinterProfile, ...] = ()
    """Those that were measured in this workshop."""
    works_profile: WorksProfile | None = None
    """Of the press of the printing works, where the maker names one."""
    inputs: tuple[FileRead, ...] = field(default=(), compare=False)
    """The files it was read from."""


def read_order(
    path: Path, laid_over: Mapping[Path, str | bytes] | None = None, regions: Iterable[str] = ()
) -> Order:
    """Reads a label spec and every file that it names.

    ``laid_over`` holds texts to be read in place of files, by path: with it an order is read as it
    would be if they were saved. ``regions`` are asked about instead of the label's own. Raises
    one InputError that tells every mistake in the files, with its line.
    """
    asked = check_regions(regions)  # an unknown one is told before anything is read
    with lay_texts_over(laid_over or {}), tell_mistakes_together(), watch_reading() as digests:
        spec = replace_regions(read_label(path), asked)
        return Order(
            spec=spec,
            recipe=collect_mistakes(lambda: read_recipe(spec.product.recipe)),
            layout=_read_spec_layout(spec),
            stock=_find_spec_stock(spec),
            second_stock=_find_second_stock(spec),
            piece_stocks=_find_piece_stocks(spec),
            logo=_read_spec_logo(spec),
            prices=_read_spec_prices(spec),
            no_prices=collect_mistakes(_find_price_list_error, spec),
            shelf=collect_mistakes(lambda: read_shelf(path_of_shelf(spec.maker.path))),
            pours=collect_mistakes(lambda: read_pours(path_of_pours(spec.maker.path))),
            printers=collect_mistakes(lambda: read_printers(path_of_printers(spec.maker.path))),
            works_profile=_read_spec_profile(spec),
            inputs=tuple(FileRead(file, sha256) for file, sha256 in digests.items()),
        )


@collecting_mistakes
def _read_spec_layout(spec: LabelSpec) -> Layout:
    return read_layout(find_layout(spec.layout, spec.path.parent, find_layouts_folder()))


@collecting_mistakes
def _find_spec_stock(spec: LabelSpec) -> Stock:
    return find_stock(spec.stock, spec.path.parent)


@collecting_mistakes
def _find_second_stock(spec: LabelSpec) -> Stock | None:
    own = spec.second.stock if spec.second else ""
    return find_stock(own, spec.path.parent) if own else None


@collecting_mistakes
def _find_piece_stocks(spec: LabelSpec) -> Mapping[str, Stock]:
    """Each piece's own; unasked the labels', where that is plain paper, else a plain sheet."""
    if not spec.pieces:
        return {}
    folder = spec.path.parent
    usual = find_stock(spec.stock, folder)
    if usual.ready_cut or usual.material == "clear":
        usual = find_stock(f"{find_usual_paper(spec.regions[0])}-plain", folder)
    return {one.kind: find_stock(one.stock, folder) if one.stock else usual for one in spec.pieces}


@collecting_mistakes
def _read_spec_logo(spec: LabelSpec) -> Logo | None:
    """The logo the spec names; a complaint about the file says which key brought it in."""
    if spec.logo is None:
        return None
    try:
        return read_logo(spec.logo)
    except InputError as error:
        named = AsTyped(format_path(spec.logo.name))
        raise InputError(format_path(spec.path), "label.logo", named, error.expected) from error


@collecting_mistakes
def _read_spec_profile(spec: LabelSpec) -> WorksProfile | None:
    maker = spec.maker
    if maker.works_profile is None:
        return None
    return read_works_profile(maker.works_profile, maker.works_condition)


@collecting_mistakes
def _read_spec_prices(spec: LabelSpec) -> tuple[PriceLine, ...]:
    named = spec.plan.money.price_list
    return read_prices(named.find()) if named and not _find_price_list_error(spec) else ()


def _find_price_list_error(spec: LabelSpec) -> InputError | None:
    named = spec.plan.money.price_list
    try:
        if named:
            named.find()
    except InputError as error:
        return error
    return None
