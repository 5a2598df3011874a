"""Layout files: the design of a label as data that anyone can copy and edit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from labelkit.errors import InputError
from labelkit.quantity import PT_PER_MM, QuantityError, parse_length_mm
from labelkit.runs import ELEMENTS
from labelkit.spec.reader import REQUIRED, Table, read_toml

T = TypeVar("T")

ZONES = ("head", "middle", "foot")
ALIGNMENTS = ("left", "centre", "right", "justified")
SETTINGS = ("as-written", "capitals", "small-capitals")
ANCHORS = (
    "top-left", "top", "top-right", "left", "centre", "right",
    "bottom-left", "bottom", "bottom-right",
)  # fmt: skip
MAX_BLOCKS = 40
MAX_PATH_CHARACTERS = 100_000


@dataclass(frozen=True, slots=True)
class FaceSpec:
    """A typeface by family (or the maker's own file) and the widths it may be narrowed to."""

    family: str
    weight: int = 400
    italic: bool = False
    widths: tuple[int, ...] = (100,)
    figures: str = "lining"
    file: Path | None = None


@dataclass(frozen=True, slots=True)
class OrnamentSpec:
    """A drawing as SVG path data in its own view box (x, y, width, height; y down)."""

    path: str
    view: tuple[float, float, float, float]
    stroke_mm: float | None = None


@dataclass(frozen=True, slots=True)
class SizeSpec:
    """A size class: every block of the class is set in one size between these, large preferred."""

    least_pt: float
    most_pt: float


@dataclass(frozen=True, slots=True)
class Block:
    """One element (or ornament, or rule) of a panel, in reading order."""

    element: str = ""
    ornament: str = ""
    rule: bool = False
    zone: str = "middle"
    row: str = ""
    """Blocks of one row share a baseline: the left ones, the centred one, the right ones."""
    face: str = "text"
    size: str = "text"
    align: str = "centre"
    above: float = 1.0
    """Space before it, in the panel's unit."""
    settings: tuple[str, ...] = ("as-written",)
    tracking_em: float = 0.0
    leading: float = 1.2
    lines: int = 3
    """Most lines it may take (for each language)."""
    text: str = ""
    """A Jinja2 template; empty: the element's own words."""
    join: str = " · "
    """Stands between two languages on one line."""
    stack: bool = True
    """Whether languages may stand one above the other."""
    run_in: str = ""
    """The element that opens this paragraph, in face ``run_in_face``."""
    run_in_face: str = ""
    height_mm: tuple[float, float] = (0.0, 0.0)
    """Least and most height of an ornament."""
    width_share: float = 1.0
    """Width of a rule, as a share of the panel's inner width."""
    optional: bool = False
    """May be left out when the panel cannot be fitted otherwise."""
    colour: str | None = None


@dataclass(frozen=True, slots=True)
class Art:
    """An ornament fixed to a place of the panel, behind the text."""

    ornament: str
    anchor: str
    width_mm: float
    inset_mm: float
    flip_x: bool = False
    flip_y: bool = False
    colour: str | None = None


@dataclass(frozen=True, slots=True)
class Border:
    """A line that follows the trim."""

    inset_mm: float
    stroke_mm: float
    colour: str | None = None


@dataclass(frozen=True, slots=True)
class PanelLayout:
    margin_mm: float
    unit_mm: float
    sizes: dict[str, SizeSpec]
    blocks: tuple[Block, ...]
    art: tuple[Art, ...] = ()
    borders: tuple[Border, ...] = ()


@dataclass(frozen=True, slots=True)
class Layout:
    path: Path
    name: str
    title: str
    about: str
    occasions: tuple[str, ...]
    shapes: tuple[str, ...]
    colour: str
    faces: dict[str, FaceSpec]
    ornaments: dict[str, OrnamentSpec]
    panels: dict[str, PanelLayout]

    def panel(self, name: str) -> PanelLayout:
        """The design of a panel; second surfaces (tag, card ...) fall back to the back's."""
        return self.panels.get(name) or self.panels["back"]


def find_layout(name: str, beside: Path, folder: Path) -> Path:
    """The file of a layout: a path beside the spec, or the name of one in ``folder``."""
    if name.endswith(".toml"):
        candidate = (beside / name).resolve()
        if not candidate.is_relative_to(beside.resolve()):
            raise InputError(name, "", None, "a layout of your own must lie beside the label spec")
        return beside / name
    candidate = folder / f"{name}.toml"
    if "/" in name or "\\" in name or not candidate.is_file():
        known = ", ".join(sorted(p.stem for p in folder.glob("*.toml")))
        raise InputError(
            "label.layout", "", name, f"no such layout; expected one of {known}, or a .toml file"
        )
    return candidate


def read_layout(path: Path) -> Layout:
    """A layout file, or InputError naming the key that is wrong."""
    table = read_toml(path, "a layout file")
    faces = _named(table, "faces", _face)
    ornaments = _named(table, "ornaments", _ornament) if table.has("ornaments") else {}
    panels: dict[str, PanelLayout] = {}
    for name in ("front", "back", "tag", "card", "leaflet", "notice"):
        if table.has(name):
            panels[name] = _panel(table.table(name), faces, ornaments)
    for name in ("front", "back"):
        if name not in panels:
            table.wrong(name, None, f"missing; a layout describes [{name}]")
    layout = Layout(
        path=path,
        name=path.stem,
        title=table.text("title"),
        about=table.text("about", ""),
        occasions=table.texts("occasions", ()),
        shapes=table.texts("shapes", ("rectangle", "rounded")),
        colour=table.text("colour", "#000000"),
        faces=faces,
        ornaments=ornaments,
        panels=panels,
    )
    table.done()
    return layout


def _named(table: Table, key: str, read: Callable[[Table], T]) -> dict[str, T]:
    group = table.table(key)
    return {name: read(group.table(name)) for name in group.names()}


def _face(table: Table) -> FaceSpec:
    widths = table.raw("widths", [100], "a list of widths in percent such as [100, 75]")
    if (
        not isinstance(widths, list)
        or not widths
        or not all(isinstance(w, int) and 50 <= w <= 200 for w in widths)
    ):
        table.wrong("widths", widths, "expected a list of widths in percent such as [100, 75]")
    file = table.beside("file", None)
    face = FaceSpec(
        family=table.text("family", "" if file else REQUIRED, "the name of a typeface family"),
        weight=table.integer("weight", 400, least=1, most=1000),
        italic=table.flag("italic", False),
        widths=tuple(widths),
        figures=table.choice("figures", ("lining", "oldstyle"), "lining"),
        file=file,
    )
    table.done()
    return face


def _ornament(table: Table) -> OrnamentSpec:
    view = table.raw("view", expected="four numbers: x, y, width, height")
    if (
        not isinstance(view, list)
        or len(view) != 4
        or not all(
            isinstance(v, int | float) and not isinstance(v, bool) and abs(v) < 1e5 for v in view
        )
    ):
        table.wrong("view", view, "expected four numbers: x, y, width, height")
    if view[2] <= 0 or view[3] <= 0:
        table.wrong("view", view, "expected a width and a height above zero")
    path = table.text("path", expected="SVG path data")
    if len(path) > MAX_PATH_CHARACTERS:
        table.wrong("path", None, f"is over {MAX_PATH_CHARACTERS} characters")
    stroke = table.length_mm("stroke", None)
    ornament = OrnamentSpec(
        path=path,
        view=(float(view[0]), float(view[1]), float(view[2]), float(view[3])),
        stroke_mm=float(stroke) if stroke is not None else None,
    )
    table.done()
    return ornament


def _panel(
    table: Table, faces: dict[str, FaceSpec], ornaments: dict[str, OrnamentSpec]
) -> PanelLayout:
    sizes = _sizes(table)
    blocks = tuple(_block(b, faces, ornaments, sizes) for b in table.tables("blocks"))
    if not blocks or len(blocks) > MAX_BLOCKS:
        table.wrong("blocks", len(blocks), f"expected 1 to {MAX_BLOCKS} blocks")
    panel = PanelLayout(
        margin_mm=float(table.length_mm("margin")),
        unit_mm=float(table.length_mm("unit")),
        sizes=sizes,
        blocks=blocks,
        art=tuple(_art(a, ornaments) for a in table.tables("art")),
        borders=tuple(_border(b) for b in table.tables("borders")),
    )
    table.done()
    return panel


def _sizes(table: Table) -> dict[str, SizeSpec]:
    group = table.table("sizes")
    sizes: dict[str, SizeSpec] = {}
    for name in group.names():
        pair = group.texts(name)
        if len(pair) != 2:
            group.wrong(name, list(pair), 'expected least and most such as ["6 pt", "9 pt"]')
        least, most = (_points(group, name, text) for text in pair)
        if not 1 <= least <= most <= 400:
            group.wrong(name, list(pair), "expected least before most, from 1 pt to 400 pt")
        sizes[name] = SizeSpec(least, most)
    return sizes


def _points(table: Table, name: str, text: str) -> float:
    try:
        return round(float(parse_length_mm(text)) * PT_PER_MM, 6)
    except QuantityError as error:
        table.wrong(name, text, str(error))


def _block(
    table: Table,
    faces: dict[str, FaceSpec],
    ornaments: dict[str, OrnamentSpec],
    sizes: dict[str, SizeSpec],
) -> Block:
    element = table.choice("element", ELEMENTS, "")
    ornament = table.choice("ornament", ornaments, "")
    rule = table.flag("rule", False)
    if sum((bool(element), bool(ornament), rule)) != 1:
        table.wrong("element", None, "expected exactly one of element, ornament and rule = true")
    heights = table.texts("height", ())
    if ornament and len(heights) != 2:
        table.wrong("height", None, 'expected least and most height such as ["4 mm", "7 mm"]')
    settings = table.texts("settings", ("as-written",))
    for setting in settings:
        if setting not in SETTINGS:
            table.wrong("settings", setting, "expected one of " + ", ".join(SETTINGS))
    block = Block(
        element=element,
        ornament=ornament,
        rule=rule,
        zone=table.choice("zone", ZONES, "middle"),
        row=table.text("row", ""),
        face=table.choice("face", faces, "text" if "text" in faces else next(iter(faces))),
        size=table.choice("size", sizes, "text" if "text" in sizes else next(iter(sizes), "")),
        align=table.choice("align", ALIGNMENTS, "centre"),
        above=float(table.number("above", 1.0, most=50)),
        settings=settings,
        tracking_em=float(table.number("tracking", 0.0, least=-0.05, most=0.5)),
        leading=float(table.number("leading", 1.2, least=0.8, most=3)),
        lines=table.integer("lines", 3, least=1, most=60),
        text=table.text("text", ""),
        join=table.text("join", " · "),
        stack=table.flag("stack", True),
        run_in=table.choice("run_in", ELEMENTS, ""),
        run_in_face=table.choice("run_in_face", faces, ""),
        height_mm=(
            (_mm(table, "height", heights[0]), _mm(table, "height", heights[1]))
            if ornament
            else (0.0, 0.0)
        ),
        width_share=float(table.number("width", 1.0, most=1)),
        optional=table.flag("optional", False),
        colour=table.text("colour", None),
    )
    table.done()
    return block


def _mm(table: Table, name: str, text: str) -> float:
    return _points(table, name, text) / PT_PER_MM


def _art(table: Table, ornaments: dict[str, OrnamentSpec]) -> Art:
    art = Art(
        ornament=table.choice("ornament", ornaments),
        anchor=table.choice("anchor", ANCHORS),
        width_mm=float(table.length_mm("width")),
        inset_mm=float(table.length_mm("inset", 0)),
        flip_x=table.flag("flip_x", False),
        flip_y=table.flag("flip_y", False),
        colour=table.text("colour", None),
    )
    table.done()
    return art


def _border(table: Table) -> Border:
    border = Border(
        inset_mm=float(table.length_mm("inset")),
        stroke_mm=float(table.length_mm("stroke")),
        colour=table.text("colour", None),
    )
    table.done()
    return border
