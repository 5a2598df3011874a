"""Label stock: what a sheet or roll of blank labels measures, as TOML anyone can take off a ruler.

Stock is known by its geometry alone. A page is described as it lies before the reader, the first
label being the one in its upper left corner.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from labelkit.common.errors import InputError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import NOTHING, Said, Term, make_number
from labelkit.common.resources import find_stock_folder, has_bundled
from labelkit.model.runs import Box
from labelkit.order.fields import STOCK
from labelkit.order.mistakes import collecting_mistakes
from labelkit.order.reader import Table, is_below_folder, read_toml, suggest_nearest
from labelkit.order.remembered import remember_reading

KINDS = {
    "die": Said("ready-cut labels on sheets"),
    "plain": Said("plain sheets, cut after printing"),
    "roll": Said("a roll, one row of labels to a page"),
}
KRAFT = "#c4a57b"
"""Brown kraft paper as a scanner sees it; common practice, no source."""
_UNBLEACHED = {"kraft": KRAFT}
"""Materials whose own colour is never white, where the file does not say it."""
MIN_DIE_MM = 5
"""Room that the edges have to leave to print on."""

ROUNDING_MM = 0.001
"""Lengths that differ by less were equal before they were rounded to millimetres."""


@dataclass(frozen=True, slots=True)
class Stock:
    """One kind of sheet or roll. Lengths in millimetres."""

    name: str
    title: str
    kind: str
    """One of KINDS."""
    page_width_mm: float
    page_height_mm: float
    """0 for a continuous roll: a page is as long as its labels need."""
    across: int = 1
    down: int = 1
    die_width_mm: float = 0.0
    """Size of one ready-cut label; 0 where there is none (plain sheets, continuous rolls)."""
    die_height_mm: float = 0.0
    shape: str = "rectangle"
    corner_mm: float = 0.0
    left_mm: float = 0.0
    """From the left edge of the page to the first label."""
    top_mm: float = 0.0
    """From the upper edge of the page to the first label."""
    pitch_x_mm: float = 0.0
    """From the left edge of a label to that of its neighbour."""
    pitch_y_mm: float = 0.0
    feed_gap_mm: float = 0.0
    """Rolls only: between one page and the next along the roll."""
    grain: str = ""
    """The side of the sheet along which the paper's fibres run: "long" or "short"; "" where its
    file does not say."""
    roll_labels: int = 0
    """Ready-cut labels on a full roll; 0 where its file does not say."""
    unprintable_mm: float = 0.0
    """The edge of the page on which common printers put no ink."""
    material: str = "paper"
    says_material: bool = False
    """Whether its file says so: a size of ready-cut labels is sold in several."""
    colour: str | None = None
    """Colour of the stock as #rrggbb, None for white."""
    note: str = ""

    @property
    def ready_cut(self) -> bool:
        """Whether the labels are cut already."""
        return self.die_width_mm > 0

    @property
    def is_counted_roll(self) -> bool:
        """Whether it is a roll of ready-cut labels, of which so many are used and so many left."""
        return self.kind == "roll" and self.ready_cut

    @property
    def continuous(self) -> bool:
        """Whether it is an endless strip, cut after each page."""
        return self.page_height_mm == 0

    @property
    def count(self) -> int:
        """Ready-cut labels on a page; 0 where there is none."""
        return self.across * self.down if self.ready_cut else 0

    def dies(self) -> Iterator[Box]:
        """The ready-cut labels in rows from the upper left, from the page's lower left corner."""
        if not self.ready_cut:
            return
        for row in range(self.down):
            top = self.page_height_mm - self.top_mm - row * self.pitch_y_mm
            for column in range(self.across):
                left = self.left_mm + column * self.pitch_x_mm
                yield Box(left, top - self.die_height_mm, left + self.die_width_mm, top)


# -- finding ---------------------------------------------------------------------------------------


def find_stock(name_or_path: str, beside: Path) -> Stock:
    """Stock by the name of a bundled file, or by the path of one's own (from ``beside``).

    Raises InputError for a name nobody knows and for a file that cannot be used.
    """
    if name_or_path.endswith(".toml"):
        return read_stock(beside / name_or_path)
    complaint = describe_unknown_stock(name_or_path, beside)
    if complaint:
        raise InputError("stock", "", name_or_path, complaint)
    return read_stock(find_stock_folder() / f"{name_or_path}.toml")


def describe_unknown_stock(name_or_path: str, beside: Path) -> Said:
    """The complaint about a name of no bundled stock; "" for one that is, and for a path."""
    if name_or_path.endswith(".toml") or has_bundled(find_stock_folder(), name_or_path):
        return NOTHING
    own = [f"{name_or_path}.toml"] if is_below_folder(beside, f"{name_or_path}.toml") else []
    hint = suggest_nearest(name_or_path, list_stock_names())
    if own and (beside / own[0]).is_file():
        hint = Said("did you mean {near}? ", near=own[0])
    return Said(
        "no such stock; {hint}`labelkit stock` lists them, or name a .toml file of your own",
        hint=hint,
    )


@collecting_mistakes
def read_stock_name(table: Table) -> str:
    """The stock a maker's file names, "" where it names none; InputError for one nobody knows."""
    name: str = table.text("stock", "")
    complaint = describe_unknown_stock(name, table.path.parent) if name else NOTHING
    if complaint:
        table.wrong("stock", name, complaint)
    return name


def list_stocks() -> tuple[Stock, ...]:
    """Every bundled stock, by name."""
    return tuple(read_stock(find_stock_folder() / f"{name}.toml") for name in list_stock_names())


def list_stock_names() -> list[str]:
    """The names of the bundled stock, sorted."""
    return sorted(path.stem for path in find_stock_folder().glob("*.toml"))


# -- reading ---------------------------------------------------------------------------------------


@remember_reading
def read_stock(path: Path) -> Stock:
    """A stock file, or InputError naming the key that is wrong."""
    table = read_toml(path, STOCK)
    kind = table.choice("kind")
    stock = Stock(
        name=path.stem,
        title=table.text("title"),
        kind=kind,
        page_width_mm=0.0,
        page_height_mm=0.0,
        unprintable_mm=float(table.length_mm("unprintable", 0)),
        material=table.choice("material", "paper"),
        says_material=table.has("material"),
        colour=table.colour("colour") or _UNBLEACHED.get(table.raw("material", "")),
        note=table.text("note", ""),
        grain=table.choice("grain", "") if table.has("grain") else "",
    )
    read = {"die": _read_die_sheet, "plain": _read_plain_sheet, "roll": _read_roll}[kind]
    stock = read(table, stock)
    if 2 * stock.unprintable_mm > stock.page_width_mm - MIN_DIE_MM:
        table.wrong("unprintable", table.raw("unprintable"), Said("leaves no room to print on"))
    table.done()
    return stock


def _read_plain_sheet(table: Table, stock: Stock) -> Stock:
    width, height = _read_page_size(table)
    return replace(stock, page_width_mm=width, page_height_mm=height)


def _read_die_sheet(table: Table, stock: Stock) -> Stock:
    width, height = _read_page_size(table)
    down = table.integer("down")
    return _add_dies(
        table,
        replace(stock, page_width_mm=width, page_height_mm=height, down=down),
        _read_die_size(table),
    )


def _read_roll(table: Table, stock: Stock) -> Stock:
    width, gap = float(table.length_mm("width")), float(table.length_mm("feed_gap", 0))
    stock = replace(stock, page_width_mm=width, feed_gap_mm=gap)
    if not table.has("die"):
        return stock
    die = _read_die_size(table)
    stock = replace(stock, roll_labels=table.integer("labels", 0))
    # The printer feeds over the gap by itself: its page is as long as one label.
    return _add_dies(table, replace(stock, page_height_mm=die[1]), die)


def _add_dies(table: Table, stock: Stock, die: tuple[float, float]) -> Stock:
    """The stock with its ready-cut labels, all of them on the page and none over another."""
    across = table.integer("across")
    pitch_x, pitch_y = _read_pitch(table, die)
    shape, corner = _read_shape(table, die)
    spare_x = stock.page_width_mm - die[0] - (across - 1) * pitch_x
    spare_y = stock.page_height_mm - die[1] - (stock.down - 1) * pitch_y
    return replace(
        stock,
        across=across,
        die_width_mm=die[0],
        die_height_mm=die[1],
        shape=shape,
        corner_mm=corner,
        left_mm=_read_margin(table, "left", spare_x, stock.page_width_mm),
        top_mm=_read_margin(table, "top", spare_y, stock.page_height_mm),
        pitch_x_mm=pitch_x,
        pitch_y_mm=pitch_y,
    )


def _read_page_size(table: Table) -> tuple[float, float]:
    width, height = table.size_mm("page")
    return float(width), float(height)


def _read_die_size(table: Table) -> tuple[float, float]:
    equal = table.raw("shape", "") in ("round", "square")
    width, height = table.size_mm("die", equal_sides=equal)
    return float(width), float(height)


def _read_pitch(table: Table, die: tuple[float, float]) -> tuple[float, float]:
    """The step from label to label, given as it is or as the gap between two labels."""
    gap, pitch = table.size_mm("gap", None), table.size_mm("pitch", None)
    if gap is not None and pitch is not None:
        table.wrong("gap", table.raw("gap"), Said("say it once; pitch is given too"))
    if pitch is None:
        across, down = gap or (0, 0)
        return die[0] + float(across), die[1] + float(down)
    if any(float(step) < side - ROUNDING_MM for step, side in zip(pitch, die, strict=True)):
        table.wrong(
            "pitch",
            table.raw("pitch"),
            Said(
                "the labels would overlap; expected at least {width} x {height} mm, the die",
                width=make_number(die[0]),
                height=make_number(die[1]),
            ),
        )
    return max(float(pitch[0]), die[0]), max(float(pitch[1]), die[1])


def _read_shape(table: Table, die: tuple[float, float]) -> tuple[str, float]:
    corner = table.length_mm("corner", None)
    shape: str = table.choice("shape", "rounded" if corner else "rectangle")
    if shape in {"round", "square"} and abs(die[0] - die[1]) > ROUNDING_MM:
        table.wrong(
            "die",
            table.raw("die"),
            Said("a {shape} label is as wide as it is high", shape=Term("shape", shape)),
        )
    if shape == "rounded" and not corner:
        table.wrong("corner", None, Said('missing; expected the corner radius such as "2 mm"'))
    if corner and shape in {"round", "oval"}:
        table.wrong(
            "corner",
            table.raw("corner"),
            Said("a {shape} label has no corners; leave it out", shape=Term("shape", shape)),
        )
    if corner and float(corner) * 2 > min(die):
        table.wrong("corner", table.raw("corner"), Said("expected at most half the shorter side"))
    return shape, float(corner or 0)


def _read_margin(table: Table, key: str, spare_mm: float, page_mm: float) -> float:
    """The margin before the first label; where none is given the labels stand in the middle.

    ``spare_mm`` is what the labels leave of the page; InputError where they reach over it.
    """
    given = table.length_mm(key, None)
    margin = spare_mm / 2 if given is None else float(given)
    if margin < -ROUNDING_MM or margin > spare_mm + ROUNDING_MM:
        if spare_mm < 0:
            needs = Said("the labels need {mm} mm", mm=make_number(page_mm - spare_mm))
        else:
            needs = Said("the labels leave {mm} mm for both margins", mm=make_number(spare_mm))
        table.wrong(
            key,
            None if given is None else table.raw(key),
            Said(
                "{needs} and the page is {page} mm wide; {cure}"
                if key == "left"
                else "{needs} and the page is {page} mm high; {cure}",
                cure=Said("check the die, the gap and the margin"),
                needs=needs,
                page=make_number(page_mm),
            ),
        )
    return margin
