"""Where labels can stand on one page of a stock: the best grid in each die, or on the whole page.

A label is only ever placed in grids that straight cuts take apart. A die as large as the trim
holds a grid of one, a plain page a single grid of many.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from functools import cached_property, lru_cache
from typing import Protocol

from labelkit.common.errors import FitError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Number, Said, Term
from labelkit.impose.region import FIT_TOLERANCE_MM, ConvexRegion
from labelkit.impose.sheet import MarkStyle
from labelkit.model.runs import Box
from labelkit.order.pieces import Fold
from labelkit.order.stock import Stock


class TrimSize(Protocol):
    """A label after cutting (``labelkit.order.label.Trim`` is one)."""

    def __hash__(self) -> int: ...
    @property
    def width_mm(self) -> float: ...
    @property
    def height_mm(self) -> float: ...
    @property
    def shape(self) -> str: ...
    @property
    def corner_mm(self) -> float: ...
    @property
    def folds(self) -> tuple[Fold, ...]: ...
    @property
    def gutter_mm(self) -> float | None: ...
    @property
    def cut(self) -> str: ...


CURVED = ("round", "oval", "arch")
"""Shapes no straight cut makes."""
BLADE_MM = 2.0
"""Between two curved cuts, so that a blade can turn and nothing tears (common practice, no source:
2 to 3 mm)."""


def find_gutter_mm(trim: TrimSize, bleed_mm: float) -> float:
    """How far apart labels stand on a sheet that is cut up; never so near that bleeds meet."""
    turns = trim.shape in CURVED or trim.cut == "both"
    wanted = trim.gutter_mm if trim.gutter_mm is not None else BLADE_MM * turns
    return max(wanted, 2 * bleed_mm)


@dataclass(frozen=True)
class Grid:
    """Labels in columns and rows, all turned alike."""

    x_mm: float
    """Lower left corner."""
    y_mm: float
    columns: int
    rows: int
    cell_width_mm: float
    """Extent of one label on the page."""
    cell_height_mm: float
    gutter_mm: float
    turns: int
    region: ConvexRegion
    """What the grid and its crop marks keep inside."""

    @property
    def count(self) -> int:
        return self.columns * self.rows

    @property
    def width_mm(self) -> float:
        return self.columns * self.cell_width_mm + (self.columns - 1) * self.gutter_mm

    @property
    def height_mm(self) -> float:
        return self.rows * self.cell_height_mm + (self.rows - 1) * self.gutter_mm

    @property
    def box(self) -> Box:
        return Box(self.x_mm, self.y_mm, self.x_mm + self.width_mm, self.y_mm + self.height_mm)

    def cell(self, column: int, row: int) -> Box:
        """A label's trim; rows are counted from the top."""
        left = self.x_mm + column * (self.cell_width_mm + self.gutter_mm)
        bottom = self.y_mm + (self.rows - 1 - row) * (self.cell_height_mm + self.gutter_mm)
        return Box(left, bottom, left + self.cell_width_mm, bottom + self.cell_height_mm)

    def cells(self) -> Iterator[tuple[int, int]]:
        """Columns and rows, in reading order."""
        for row in range(self.rows):
            for column in range(self.columns):
                yield column, row


@dataclass(frozen=True)
class PageLayout:
    """Every position of a page. A position is a die, or one label of a plain page."""

    width_mm: float
    height_mm: float
    grids: tuple[Grid, ...]
    positions: tuple[tuple[tuple[int, int, int], ...], ...]
    """For each position, the (grid, column, row) of the labels it holds."""
    bleed_mm: float
    printable: Box
    straight_cuts: bool
    """Whether cuts go straight through the whole page."""
    dies: tuple[Box, ...] = ()
    """Ready-cut labels, whole."""

    @property
    def labels_per_page(self) -> int:
        return sum(len(cells) for cells in self.positions)

    def boxes(self) -> Iterator[Box]:
        """The trim of every label the page has room for."""
        for boxes in self.trims:
            yield from boxes

    @cached_property
    def trims(self) -> tuple[tuple[Box, ...], ...]:
        """For each position, the trims of the labels it holds."""
        return tuple(
            tuple(self.grids[grid].cell(column, row) for grid, column, row in cells)
            for cells in self.positions
        )


@lru_cache(maxsize=16)  # drawing, reading back, counting and guides ask for the same page
def lay_out_page(
    stock: Stock, trim: TrimSize, bleed_mm: float = 0.0, marks: MarkStyle | None = None
) -> PageLayout:
    """The most labels a page of the stock holds.

    Raises FitError, with the ways out, for a trim that is too large or a bleed with no room.
    """
    if stock.ready_cut:
        return _lay_out_on_dies(stock, trim, bleed_mm)
    style = marks or MarkStyle()
    if stock.continuous:
        return _lay_out_on_strip(stock, trim, bleed_mm, style)
    return _lay_out_on_page(stock, trim, bleed_mm, style)


# -- ready-cut labels ------------------------------------------------------------------------------


def _lay_out_on_dies(stock: Stock, trim: TrimSize, bleed_mm: float) -> PageLayout:
    dies = [ConvexRegion(box, stock.shape, stock.corner_mm) for box in stock.dies()]
    first = _find_best_in_die(stock, dies[0], trim, bleed_mm)
    origin = dies[0].box
    grids = tuple(
        _move_grid(first, die, die.box.x0_mm - origin.x0_mm, die.box.y0_mm - origin.y0_mm)
        for die in dies
    )
    positions = tuple(
        tuple((number, column, row) for column, row in grid.cells())
        for number, grid in enumerate(grids)
    )
    page = Box(0.0, 0.0, stock.page_width_mm, stock.page_height_mm)
    printable, whole = page.inset(stock.unprintable_mm), tuple(die.box for die in dies)
    return PageLayout(page.x1_mm, page.y1_mm, grids, positions, bleed_mm, printable, False, whole)


def _move_grid(grid: Grid, region: ConvexRegion, dx_mm: float, dy_mm: float) -> Grid:
    return replace(grid, x_mm=grid.x_mm + dx_mm, y_mm=grid.y_mm + dy_mm, region=region)


def _find_best_in_die(stock: Stock, die: ConvexRegion, trim: TrimSize, bleed_mm: float) -> Grid:
    """The grid with the most labels in a die, upright rather than turned, in its middle."""
    best: Grid | None = None
    for grid in _list_grids(stock, die, trim, bleed_mm):
        if best is None or grid.count > best.count:
            best = grid
    if best:
        return best
    if _fits_without_bleed(stock, die, trim):
        raise FitError(
            stock.name,
            Said(
                "a bleed of {bleed} mm would reach over the label beside it",
                bleed=_number_from_mm(bleed_mm),
            ),
            (
                Said('bleed = "0 mm"'),
                Said("a smaller trim"),
                Said("stock with wider gaps"),
                Said("a plain sheet"),
            ),
        )
    raise FitError(
        stock.name,
        Said(
            "a label of {size} does not fit this stock's {shape} labels of {die}",
            size=_format_size(trim.width_mm, trim.height_mm),
            die=_format_size(stock.die_width_mm, stock.die_height_mm),
            shape=Term("shape", stock.shape),
        ),
        (
            _suggest_smaller_trim(stock, die, trim),
            Said("stock with larger labels"),
            Said("a plain sheet, cut after printing"),
        ),
    )


def _fits_without_bleed(stock: Stock, die: ConvexRegion, trim: TrimSize) -> bool:
    return next(_list_grids(stock, die, trim, 0.0), None) is not None


@dataclass(frozen=True, slots=True)
class _SmallerTrim:
    width_mm: float
    height_mm: float
    shape: str
    corner_mm: float
    folds: tuple[Fold, ...]
    gutter_mm: float | None
    cut: str


def _suggest_smaller_trim(stock: Stock, die: ConvexRegion, trim: TrimSize) -> Said:
    """The way out for a trim that is too large: what is left of it inside the die, if that fits."""
    found: list[_SmallerTrim] = []
    for turns, width, height in _list_orientations(trim):
        across, up = min(width, die.box.width_mm), min(height, die.box.height_mm)
        if trim.shape in ("round", "square"):
            across = up = min(across, up)
        if turns:
            across, up = up, across
        less = _SmallerTrim(
            across, up, trim.shape, trim.corner_mm, trim.folds, trim.gutter_mm, trim.cut
        )
        if 2 * less.corner_mm <= min(across, up) and _fits_without_bleed(stock, die, less):
            found.append(less)
    if not found:
        return Said("a smaller trim")
    best = max(found, key=lambda less: less.width_mm * less.height_mm)
    size = _format_size(_round_down_mm(best.width_mm), _round_down_mm(best.height_mm))
    return Said('trim = "{size}"', size=size)


def _round_down_mm(length_mm: float) -> float:
    """To the hundredth of a millimetre, never larger."""
    return math.floor(length_mm * 100 + 1e-6) / 100


def _list_grids(stock: Stock, die: ConvexRegion, trim: TrimSize, bleed_mm: float) -> Iterator[Grid]:
    """For every number of columns that fits, the grid with the most rows."""
    gutter = find_gutter_mm(trim, bleed_mm)
    for way in _list_orientations(trim):
        _, width, height = way
        rows = _count_in_room(die.box.height_mm, height, gutter)
        for columns in range(1, _count_in_room(die.box.width_mm, width, gutter) + 1):
            # A wider grid never has room for more rows than a narrower one.
            while rows:
                grid = _centre_grid(die, way, columns, rows, gutter)
                if _is_inside_region(grid, trim) and _fits_bleed(stock, grid, bleed_mm):
                    yield grid
                    break
                rows -= 1


def _centre_grid(
    region: ConvexRegion, way: tuple[int, float, float], columns: int, rows: int, gutter_mm: float
) -> Grid:
    turns, width, height = way
    used_x = columns * width + (columns - 1) * gutter_mm
    used_y = rows * height + (rows - 1) * gutter_mm
    box = region.box
    x, y = (box.x0_mm + box.x1_mm - used_x) / 2, (box.y0_mm + box.y1_mm - used_y) / 2
    return Grid(x, y, columns, rows, width, height, gutter_mm, turns, region)


def _is_inside_region(grid: Grid, trim: TrimSize) -> bool:
    """Whether every label of the grid lies inside its region.

    A rectangular label may be as large as a die with rounded corners: the die takes its corners.
    """
    region = grid.region
    if grid.count == 1 and _is_same_but_for_corners(region, grid.box):
        return region.shape not in ("round", "oval", "arch") or trim.shape == region.shape
    # Region and labels are convex: where the outermost labels lie inside, all of them do.
    return all(
        region.holds(
            ConvexRegion(grid.cell(column, row), _turned_shape(trim, grid), trim.corner_mm)
        )
        for column in {0, grid.columns - 1}
        for row in {0, grid.rows - 1}
    )


def _is_same_but_for_corners(region: ConvexRegion, box: Box) -> bool:
    return (
        abs(region.box.width_mm - box.width_mm) <= FIT_TOLERANCE_MM
        and abs(region.box.height_mm - box.height_mm) <= FIT_TOLERANCE_MM
    )


def _turned_shape(trim: TrimSize, grid: Grid) -> str:
    """An arch on its side is measured as the rectangle around it."""
    return "rectangle" if trim.shape == "arch" and grid.turns % 2 else trim.shape


def _fits_bleed(stock: Stock, grid: Grid, bleed_mm: float) -> bool:
    """Whether the bleed stays on this label's half of the gaps around its die."""
    if not bleed_mm:
        return True
    die = grid.region.box
    beside = (stock.pitch_x_mm - stock.die_width_mm) / 2 if stock.across > 1 else math.inf
    below = (stock.pitch_y_mm - stock.die_height_mm) / 2 if stock.down > 1 else math.inf
    over_mm = FIT_TOLERANCE_MM / 2  # the neighbour may reach over by as much
    return (
        grid.box.x0_mm - bleed_mm >= die.x0_mm - beside - over_mm
        and grid.box.y0_mm - bleed_mm >= die.y0_mm - below - over_mm
    )


# -- plain sheets and strips -----------------------------------------------------------------------


def _lay_out_on_page(stock: Stock, trim: TrimSize, bleed_mm: float, marks: MarkStyle) -> PageLayout:
    """One grid, at the head of the page so that the foot has room for ruler and notes.

    Crop marks get their room first. A label that leaves none is still placed where the page
    holds it, with fewer marks.
    """
    page = Box(0.0, 0.0, stock.page_width_mm, stock.page_height_mm)
    printable = page.inset(stock.unprintable_mm)
    mark_room = marks.offset_from(bleed_mm) + marks.length_mm
    gutter = find_gutter_mm(trim, bleed_mm)
    for area, region in (
        (printable.inset(mark_room), printable),
        (printable.inset(bleed_mm), printable),
        (page, page),
    ):
        grid = _find_best_grid(area, ConvexRegion(region), trim, gutter)
        if grid:
            return _lay_out_one_grid(page, grid, bleed_mm, printable, straight_cuts=True)
    raise FitError(
        stock.name,
        Said(
            "a label of {size} is larger than the page of {page}",
            size=_format_size(trim.width_mm, trim.height_mm),
            page=_format_size(page.width_mm, page.height_mm),
        ),
        (Said("a smaller trim"), Said("a larger page")),
    )


def _lay_out_on_strip(
    stock: Stock, trim: TrimSize, bleed_mm: float, marks: MarkStyle
) -> PageLayout:
    """One row across an endless strip, laid so that it uses the least of the strip.

    The printer cuts the strip between pages; labels narrower than it are cut along crop marks,
    which need their room in the gap.
    """
    edge, width = stock.unprintable_mm, stock.page_width_mm
    gutter = find_gutter_mm(trim, bleed_mm)
    mark_gap = 2 * (marks.offset_from(bleed_mm) + marks.least_mm)
    rows: list[tuple[float, int, Grid, Box]] = []
    for turns, cell_width, cell_height in _list_orientations(trim):
        columns = _count_in_room(width - 2 * edge, cell_width, gutter)
        if columns:
            used = columns * cell_width + (columns - 1) * gutter
            sides_cut = used < width - FIT_TOLERANCE_MM
            gap = max(stock.feed_gap_mm, mark_gap if sides_cut else gutter)
            page = Box(0.0, 0.0, width, cell_height + gap)
            grid = Grid(
                (width - used) / 2, gap / 2, columns, 1, cell_width, cell_height, gutter,
                turns, ConvexRegion(Box(edge, 0.0, width - edge, page.y1_mm)),
            )  # fmt: skip
            rows.append((page.y1_mm / columns, turns, grid, page))
    if not rows:
        raise FitError(
            stock.name,
            Said(
                "a label of {size} is wider than the printable {width} mm of the roll",
                size=_format_size(trim.width_mm, trim.height_mm),
                width=_number_from_mm(width - 2 * edge),
            ),
            (Said("a smaller trim"), Said("a wider roll")),
        )
    _, _, grid, page = min(rows, key=lambda row: (round(row[0], 6), row[1]))
    return _lay_out_one_grid(page, grid, bleed_mm, grid.region.box, straight_cuts=False)


def _find_best_grid(
    area: Box, region: ConvexRegion, trim: TrimSize, gutter_mm: float
) -> Grid | None:
    """The grid of most labels within ``area``; upright rather than turned where both are equal."""
    best: Grid | None = None
    for turns, width, height in _list_orientations(trim):
        columns = _count_in_room(area.width_mm, width, gutter_mm)
        rows = _count_in_room(area.height_mm, height, gutter_mm)
        if columns * rows <= (best.count if best else 0):
            continue
        used_x = columns * width + (columns - 1) * gutter_mm
        used_y = rows * height + (rows - 1) * gutter_mm
        best = Grid(
            (area.x0_mm + area.x1_mm - used_x) / 2,
            area.y1_mm - used_y,
            columns,
            rows,
            width,
            height,
            gutter_mm,
            turns,
            region,
        )
    return best


def _lay_out_one_grid(
    page: Box, grid: Grid, bleed_mm: float, printable: Box, straight_cuts: bool
) -> PageLayout:
    positions = tuple(((0, column, row),) for column, row in grid.cells())
    return PageLayout(
        page.x1_mm, page.y1_mm, (grid,), positions, bleed_mm, printable, straight_cuts
    )


def _list_orientations(trim: TrimSize) -> Iterator[tuple[int, float, float]]:
    """Quarter turns, and the width and height the label then takes on the page."""
    yield 0, trim.width_mm, trim.height_mm
    if abs(trim.width_mm - trim.height_mm) > FIT_TOLERANCE_MM:
        yield 1, trim.height_mm, trim.width_mm


def _count_in_room(room_mm: float, size_mm: float, gutter_mm: float) -> int:
    """How many of a size stand in a room; none where the room is too small for one."""
    return max(0, math.floor((room_mm + gutter_mm + FIT_TOLERANCE_MM) / (size_mm + gutter_mm)))


def _format_size(width_mm: float, height_mm: float) -> Said:
    return Said(
        "{width} x {height} mm", width=_number_from_mm(width_mm), height=_number_from_mm(height_mm)
    )


def _number_from_mm(length_mm: float) -> Number:
    return Number(Decimal(f"{length_mm:g}"))
