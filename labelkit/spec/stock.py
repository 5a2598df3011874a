"""Stock files: label sheets, plain sheets and rolls by their geometry."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from labelkit.errors import InputError
from labelkit.resources import layouts_dir
from labelkit.runs import Box
from labelkit.spec.reader import Table, read_toml

KINDS = ("die", "plain", "roll")
SHAPES = ("rectangle", "rounded", "square", "round", "oval")
MATERIALS = ("paper", "clear", "kraft", "film", "card")
MIN_PAGE_MM, MAX_PAGE_MM = 20, 1200
ROUNDING_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Stock:
    """A sheet (or one step of a roll): page, dies and what it is made of. Lengths in mm.

    ``left_mm`` and ``top_mm`` are the distances of the first die from the page's left and top
    edges; ``pitch`` is the step from one die to the next. A plain sheet has no dies.
    """

    path: Path
    name: str
    title: str
    kind: str
    page_width_mm: float
    page_height_mm: float
    across: int = 1
    down: int = 1
    die_width_mm: float = 0.0
    die_height_mm: float = 0.0
    shape: str = "rectangle"
    corner_mm: float = 0.0
    left_mm: float = 0.0
    top_mm: float = 0.0
    pitch_x_mm: float = 0.0
    pitch_y_mm: float = 0.0
    edge_mm: float = 5.0
    """What most printers cannot reach along each edge."""
    material: str = "paper"
    note: str = ""

    @property
    def page(self) -> Box:
        return Box(0.0, 0.0, self.page_width_mm, self.page_height_mm)

    def die(self, column: int, row: int) -> Box:
        """A die's box from the page's lower left corner; row 0 is the top one."""
        x = self.left_mm + column * self.pitch_x_mm
        y = self.page_height_mm - self.top_mm - row * self.pitch_y_mm - self.die_height_mm
        return Box(x, y, x + self.die_width_mm, y + self.die_height_mm)

    def dies(self) -> tuple[Box, ...]:
        """Every die, row by row from the top left; none on a plain sheet."""
        if self.kind == "plain":
            return ()
        return tuple(self.die(c, r) for r in range(self.down) for c in range(self.across))


def find_stock(name: str, beside: Path) -> Stock:
    """The stock of a name shipped with labelkit, or of a .toml file beside the spec."""
    if name.endswith(".toml"):
        return read_stock(beside / name)
    path = layouts_dir() / "stock" / f"{name}.toml"
    if "/" in name or "\\" in name or not path.is_file():
        known = ", ".join(sorted(p.stem for p in path.parent.glob("*.toml")))
        raise InputError(
            "stock", "", name, f"no such stock; expected one of {known}, or a .toml file"
        )
    return read_stock(path)


def list_stocks() -> tuple[Stock, ...]:
    """Every stock shipped with labelkit, by name."""
    return tuple(read_stock(p) for p in sorted((layouts_dir() / "stock").glob("*.toml")))


def read_stock(path: Path) -> Stock:
    """A stock file; InputError naming the key when a die overlaps another or leaves the page."""
    table = read_toml(path, "a stock file")
    kind = table.choice("kind", KINDS)
    width, height = (float(side) for side in table.size_mm("page"))
    if not all(MIN_PAGE_MM <= side <= MAX_PAGE_MM for side in (width, height)):
        expected = f"expected {MIN_PAGE_MM} mm to {MAX_PAGE_MM} mm a side"
        table.wrong("page", table.raw("page"), expected)
    common = {
        "path": path,
        "name": path.stem,
        "title": table.text("title"),
        "kind": kind,
        "page_width_mm": width,
        "page_height_mm": height,
        "edge_mm": _length(table, "unprintable", Decimal(5)),
        "material": table.choice("material", MATERIALS, "paper"),
        "note": table.text("note", ""),
    }
    if kind == "plain":
        stock = Stock(**common)
    else:
        stock = _with_dies(table, common)
        _check_dies(table, stock)
    table.done()
    return stock


def _with_dies(table: Table, common: dict[str, object]) -> Stock:
    die_width, die_height = (float(side) for side in table.size_mm("die"))
    pitch = table.size_mm("pitch", (Decimal(str(die_width)), Decimal(str(die_height))))
    return Stock(
        **common,  # type: ignore[arg-type]
        across=table.integer("across", 1, least=1, most=100),
        down=table.integer("down", 1, least=1, most=100),
        die_width_mm=die_width,
        die_height_mm=die_height,
        shape=table.choice("shape", SHAPES, "rectangle"),
        corner_mm=_length(table, "corner", Decimal(0)),
        left_mm=_length(table, "left", Decimal(0)),
        top_mm=_length(table, "top", Decimal(0)),
        pitch_x_mm=float(pitch[0]),
        pitch_y_mm=float(pitch[1]),
    )


def _check_dies(table: Table, stock: Stock) -> None:
    if min(stock.die_width_mm, stock.die_height_mm) < 1:
        table.wrong("die", table.raw("die"), "expected at least 1 mm a side")
    if stock.across > 1 and stock.pitch_x_mm < stock.die_width_mm - ROUNDING_MM:
        table.wrong("pitch", table.raw("pitch", None), "the dies overlap from left to right")
    if stock.down > 1 and stock.pitch_y_mm < stock.die_height_mm - ROUNDING_MM:
        table.wrong("pitch", table.raw("pitch", None), "the dies overlap from top to bottom")
    last = stock.die(stock.across - 1, stock.down - 1)
    if not stock.page.covers(last, 1e-3) or not stock.page.covers(stock.die(0, 0), 1e-3):
        table.wrong("die", table.raw("die"), f"{stock.across} x {stock.down} dies leave the page")


def _length(table: Table, key: str, default: Decimal) -> float:
    return float(table.length_mm(key, default))
