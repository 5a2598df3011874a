"""Where each label and each crop mark goes on its sheet. Millimetres from the page's lower left.

A trim as large as its die is placed exactly. A smaller one is cut down: as many as fit into each
die, centred, with crop marks that stay inside their own die. A plain sheet takes the best grid in
either orientation, laid so that a guillotine cuts straight through, with the marks in its margins.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from labelkit.errors import FitError
from labelkit.runs import Box
from labelkit.spec.label import Trim
from labelkit.spec.stock import Stock

ROUNDING_MM = 1e-6
SAME_SIZE_MM = 0.05
"""A trim this close to its die is meant to be it."""


@dataclass(frozen=True, slots=True)
class MarkStyle:
    """Crop marks: how long, how far outside trim and bleed, and how heavy."""

    length_mm: float = 3.0
    offset_mm: float = 1.0
    least_mm: float = 1.0
    """A mark that would be shorter than this is left out."""
    weight_pt: float = 0.25


@dataclass(frozen=True, slots=True)
class Place:
    """A label: its 0-based number, the lower left corner of its trim, and its position."""

    index: int
    x_mm: float
    y_mm: float
    rotated: bool
    cell: int
    """1-based position on the sheet, row by row from the top left."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the sheet, not of a label."""

    x0: float
    y0: float
    x1: float
    y1: float
    weight_pt: float


@dataclass(frozen=True, slots=True)
class Sheet:
    page_width_mm: float
    page_height_mm: float
    places: tuple[Place, ...]
    marks: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True)
class Grid:
    """Trims side by side in one area: straight rows and columns, one orientation."""

    area: Box
    """What the marks must stay inside."""
    x_mm: float
    y_mm: float
    """Lower left corner of the grid's lower left trim."""
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    """One trim as it lies on the page."""
    gutter_mm: float
    rotated: bool

    def corner(self, column: int, row: int) -> tuple[float, float]:
        """Lower left corner of a trim; row 0 is the top one."""
        x = self.x_mm + column * (self.width_mm + self.gutter_mm)
        y = self.y_mm + (self.rows - 1 - row) * (self.height_mm + self.gutter_mm)
        return x, y

    def box(self, column: int, row: int) -> Box:
        x, y = self.corner(column, row)
        return Box(x, y, x + self.width_mm, y + self.height_mm)


def impose(
    stock: Stock,
    trim: Trim,
    count: int,
    start: int = 1,
    skip: Iterable[int] = (),
    bleed_mm: float = 0.0,
    marks: MarkStyle | None = None,
) -> tuple[Sheet, ...]:
    """``count`` labels on as many sheets as they need.

    ``start`` and ``skip`` are 1-based positions on the first sheet: where to begin, and which to
    leave empty. Raises FitError when the trim is larger than the die or the page.
    """
    style = marks or MarkStyle()
    grids = grids_of(stock, trim, bleed_mm, style)
    cells = _cells(grids)
    free = [n for n in range(start - 1, len(cells)) if n + 1 not in set(skip)]
    if start > len(cells):
        raise FitError("sheet", f"--start {start}: this stock has {len(cells)} positions")
    sheets: list[Sheet] = []
    done = 0
    while done < count or not sheets:
        used = free[: count - done]
        places = tuple(_place(cells[cell], done + number, cell) for number, cell in enumerate(used))
        sheets.append(
            Sheet(
                stock.page_width_mm,
                stock.page_height_mm,
                places,
                tuple(_marks(grids, {p.cell - 1 for p in places}, bleed_mm, style)),
            )
        )
        done += len(used)
        free = list(range(len(cells)))
    return tuple(sheet for sheet in sheets if sheet.places)


def positions(stock: Stock, trim: Trim, bleed_mm: float = 0.0) -> int:
    """How many labels one sheet takes."""
    return len(_cells(grids_of(stock, trim, bleed_mm, MarkStyle())))


def sheets_needed(
    stock: Stock, trim: Trim, count: int, start: int = 1, bleed_mm: float = 0.0
) -> int:
    """How many sheets ``count`` labels take, the part-used first one included."""
    each = positions(stock, trim, bleed_mm)
    return -(-(count + start - 1) // each)


def left_over(stock: Stock, trim: Trim, count: int, start: int = 1, bleed_mm: float = 0.0) -> int:
    """Positions still free on the last sheet."""
    each = positions(stock, trim, bleed_mm)
    return -(count + start - 1) % each


# -- grids -----------------------------------------------------------------------------------------


@lru_cache(maxsize=256)
def grids_of(stock: Stock, trim: Trim, bleed_mm: float, style: MarkStyle) -> tuple[Grid, ...]:
    """The grid in each die, or the one grid of a plain sheet; FitError where none fits."""
    if stock.kind == "plain":
        margin = stock.edge_mm + style.offset_mm + style.least_mm
        inner = stock.page.inset(margin)
        grid = _best(inner, stock.page.inset(stock.edge_mm), trim, bleed_mm, bleed_mm)
        if grid is None:
            raise _too_large(trim, "the sheet", inner)
        return (grid,)
    grids = [_in_die(die, trim, bleed_mm) for die in stock.dies()]
    if any(grid is None for grid in grids):
        raise _too_large(trim, "the die", stock.dies()[0])
    return tuple(grid for grid in grids if grid is not None)


def _in_die(die: Box, trim: Trim, bleed_mm: float) -> Grid | None:
    """Bleed is cut off at the die's own edge, so only the gutters between trims need room."""
    if _same(trim.width_mm, die.width_mm) and _same(trim.height_mm, die.height_mm):
        return Grid(die, die.x0_mm, die.y0_mm, 1, 1, trim.width_mm, trim.height_mm, 0.0, False)
    if _same(trim.width_mm, die.height_mm) and _same(trim.height_mm, die.width_mm):
        return Grid(die, die.x0_mm, die.y0_mm, 1, 1, trim.height_mm, trim.width_mm, 0.0, True)
    return _best(die, die, trim, bleed_mm, 0.0)


def _same(a_mm: float, b_mm: float) -> bool:
    return abs(a_mm - b_mm) <= SAME_SIZE_MM


def _best(inner: Box, area: Box, trim: Trim, bleed_mm: float, outer_mm: float) -> Grid | None:
    """The grid of most trims, upright where both orientations hold as many; None if none fits."""
    upright = _grid(inner, area, trim.width_mm, trim.height_mm, bleed_mm, outer_mm, False)
    turned = _grid(inner, area, trim.height_mm, trim.width_mm, bleed_mm, outer_mm, True)
    found = [grid for grid in (upright, turned) if grid.columns and grid.rows]
    return max(found, key=lambda g: (g.columns * g.rows, not g.rotated), default=None)


def _grid(
    inner: Box, area: Box, width: float, height: float, bleed: float, outer: float, rotated: bool
) -> Grid:
    gutter = 2 * bleed
    columns = int((inner.width_mm - 2 * outer + gutter + ROUNDING_MM) // (width + gutter))
    rows = int((inner.height_mm - 2 * outer + gutter + ROUNDING_MM) // (height + gutter))
    block_width = columns * (width + gutter) - gutter
    block_height = rows * (height + gutter) - gutter
    x = (inner.x0_mm + inner.x1_mm - block_width) / 2
    y = (inner.y0_mm + inner.y1_mm - block_height) / 2
    return Grid(area, x, y, max(0, columns), max(0, rows), width, height, gutter, rotated)


def _cells(grids: tuple[Grid, ...]) -> list[tuple[Grid, int, int]]:
    """Every position of a sheet: die by die, and inside each row by row from the top left."""
    return [(g, c, r) for g in grids for r in range(g.rows) for c in range(g.columns)]


def _place(cell: tuple[Grid, int, int], index: int, number: int) -> Place:
    grid, column, row = cell
    x, y = grid.corner(column, row)
    return Place(index, x, y, grid.rotated, number + 1)


def _too_large(trim: Trim, what: str, room: Box) -> FitError:
    return FitError(
        "sheet",
        f"a trim of {trim.width_mm:g} x {trim.height_mm:g} mm is larger than {what}"
        f" ({room.width_mm:.4g} x {room.height_mm:.4g} mm)",
        ("another stock (labelkit stock lists them)", "a smaller trim"),
    )


# -- crop marks ------------------------------------------------------------------------------------


def _marks(
    grids: tuple[Grid, ...], used: set[int], bleed_mm: float, style: MarkStyle
) -> Iterator[Line]:
    first = 0
    for grid in grids:
        count = grid.columns * grid.rows
        cells = {n - first for n in used if first <= n < first + count}
        first += count
        if cells and not _fills(grid):
            yield from _grid_marks(grid, cells, bleed_mm, style)


def _fills(grid: Grid) -> bool:
    """A trim that is its die needs no marks: the die has been cut already."""
    return _same(grid.width_mm, grid.area.width_mm) and _same(grid.height_mm, grid.area.height_mm)


def _grid_marks(grid: Grid, cells: set[int], bleed_mm: float, style: MarkStyle) -> Iterator[Line]:
    """Marks at the ends of every cut of the rows and columns in use, outside the whole grid."""
    columns = sorted({n % grid.columns for n in cells})
    rows = sorted({n // grid.columns for n in cells})
    block = grid.box(0, grid.rows - 1).union(grid.box(grid.columns - 1, 0))
    away = bleed_mm + style.offset_mm
    left, right = _ends(block.x0_mm, block.x1_mm, grid.area.x0_mm, grid.area.x1_mm, away, style)
    low, high = _ends(block.y0_mm, block.y1_mm, grid.area.y0_mm, grid.area.y1_mm, away, style)
    xs = {x for c in columns for x in (grid.box(c, 0).x0_mm, grid.box(c, 0).x1_mm)}
    ys = {y for r in rows for y in (grid.box(0, r).y0_mm, grid.box(0, r).y1_mm)}
    for x in _distinct(xs):
        for end in (low, high):
            if end:
                yield Line(x, end[0], x, end[1], style.weight_pt)
    for y in _distinct(ys):
        for end in (left, right):
            if end:
                yield Line(end[0], y, end[1], y, style.weight_pt)


Span = tuple[float, float]


def _ends(
    first: float, last: float, least: float, most: float, away: float, style: MarkStyle
) -> tuple[Span | None, Span | None]:
    """Where marks run before ``first`` and after ``last``; None where there is no room."""
    before = (max(least, first - away - style.length_mm), first - away)
    after = (last + away, min(most, last + away + style.length_mm))
    return (
        before if before[1] - before[0] >= style.least_mm - ROUNDING_MM else None,
        after if after[1] - after[0] >= style.least_mm - ROUNDING_MM else None,
    )


def _distinct(values: set[float]) -> list[float]:
    """Sorted values, those that are one cut given once."""
    kept: list[float] = []
    for value in sorted(values):
        if not kept or value - kept[-1] > ROUNDING_MM:
            kept.append(value)
    return kept
