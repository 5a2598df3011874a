"""Layout files: the design of a label as data that anyone can copy and edit."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from decimal import Decimal
from functools import lru_cache, partial
from pathlib import Path
from typing import TypeVar

from labelkit.common.errors import InputError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import NOTHING, FactList, Number, Said
from labelkit.common.quantity import PT_PER_MM, QuantityError, parse_length_mm
from labelkit.common.resources import has_bundled
from labelkit.model.outline import SHAPES
from labelkit.order.drawn_shapes import unite_drawings
from labelkit.order.extends import ChangedBlock, read_layout_table
from labelkit.order.fields import SURFACES
from labelkit.order.laid_over import is_file_there
from labelkit.order.logo import read_logo
from labelkit.order.ornament import (
    Growth,
    Lettering,
    Pattern,
    Surround,
    read_growth,
    read_lettering,
    read_pattern,
    read_surround,
)
from labelkit.order.reader import (
    REQUIRED,
    Table,
    describe_missing_file,
    is_below_folder,
    suggest_nearest,
)
from labelkit.order.remembered import remember_reading

T = TypeVar("T")

ZONES = ("head", "middle", "foot")
"""From the top down."""
BLEED_MM = 3.0
"""How far art that bleeds runs over the trim; what is printed of it is the label's own bleed."""
DRAWN_FOR_MM = (44.0, 28.0)
MAX_BLOCKS, MAX_ROW = 40, 4
MAX_ART, MAX_BORDERS, MAX_WIDTHS, MAX_STEPS = 40, 12, 8, 8
MAX_SIZE_RATIO = 10
MAX_PATH_CHARACTERS = 100_000
LEAST_REPEATED_CHARACTERS, MAX_REPEATED_CHARACTERS = 1_000, 5_000
"""Of path data: of each repeat as it is counted, and of all to a millimetre of the label."""
MAX_COORDINATE = 1e5
EDGE_MM, LINE_MM = 0.15, 0.2
"""Strokes of plants and figures drawn as areas, and as lines."""


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

    path: str = ""
    """Empty of one that is drawn only for an order: ``growth`` or ``lettering`` says how."""
    view: tuple[float, float, float, float] = (0.0, 0.0, 1.0, 1.0)
    stroke_mm: float | None = None
    filled: bool = False
    """Filled as well as stroked, so that no part is thinner than the stroke."""
    even_odd: bool = False
    growth: Growth | None = None
    lettering: Lettering | None = None


ANY_SIDE = (0.0, 1000.0)


@dataclass(frozen=True, slots=True)
class SizeSpec:
    """A size class: every block of the class is set in one size between these, large preferred."""

    least_pt: float
    most_pt: float
    kept: bool = False
    """It is what other pieces have too: only the law makes it larger, and nothing smaller."""


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """One element (or ornament, picture or rule) of a panel, in reading order."""

    element: str = ""
    ornament: str = ""
    picture: str = ""
    """"logo": the maker's own; with ``ornament`` too, that one stands in where there is none."""
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
    capitals_tracking_em: float = 0.03
    """Letterspace of capitals and small capitals."""
    leading: float = 1.2
    lines: int = 3
    """Most lines it may take (for each language)."""
    text: str = ""
    """A Jinja2 template; empty: the element's own words."""
    join: str = " · "
    """Stands between two languages on one line."""
    mark: str = ""
    """Stands before it where it follows another block of its row, ranged alike."""
    stack: bool = True
    """Whether languages may stand one above the other."""
    run_in: str = ""
    """The element that opens this paragraph, in face ``run_in_face``."""
    run_in_face: str = ""
    height_mm: tuple[float, float] = (0.0, 0.0)
    """Least and most height of an ornament, or of a picture without one."""
    picture_height_mm: tuple[float, float] = (0.0, 0.0)
    """Of a picture where an ornament stands in for it when there is none."""
    beside: str = ""
    """An ornament that stands at either side of a centred element, mirrored at its left."""
    beside_height_mm: float = 0.0
    width_share: float = 1.0
    """Width of a rule, as a share of the panel's inner width."""
    stroke_mm: float = 0.2
    """Weight of a rule."""
    instead_of: str = ""
    """A lettering: the element is set only where that cannot be drawn."""
    part: str = ""
    """Of names joined by "and": "first", "joint" or "second" alone."""
    optional: bool = False
    """May be left out where the rest gains much by it, or cannot be fitted otherwise."""
    colour: str | None = None
    shapes: tuple[str, ...] = SHAPES
    """The label shapes it is for."""
    sides_mm: tuple[float, float] = ANY_SIDE
    """Least and most of the shorter side of the labels it is for."""

    def is_for(self, shape: str, shorter_side_mm: float) -> bool:
        """Whether it belongs on a label of a shape and size."""
        return shape in self.shapes and self.sides_mm[0] <= shorter_side_mm < self.sides_mm[1]


@dataclass(frozen=True, slots=True)
class Art:
    """An ornament fixed to a place of the panel, behind the text."""

    ornament: str
    anchor: str
    width_mm: float
    inset_mm: float
    """From the edges of the trim; below zero it bleeds over them."""
    flip_x: bool = False
    flip_y: bool = False
    repeat: bool = False
    """Repeated across the label from bleed to bleed, as often as it fits."""
    colour: str | None = None
    shapes: tuple[str, ...] = SHAPES


@dataclass(frozen=True, slots=True)
class Border:
    """A line that follows the trim."""

    inset_mm: float
    stroke_mm: float
    colour: str | None = None
    shapes: tuple[str, ...] = SHAPES


@dataclass(frozen=True, slots=True)
class TighterStep:
    """A setting tighter than the one a layout likes, tried only where that one does not fit."""

    letters_mm: float
    """Least height of letters for which no law gives a figure."""
    leading: float
    """Most leading of any block."""
    margin_mm: float
    """Most margin."""


READABLE_MM = 0.9
"""Small letters that people read on a small package: Regulation (EU) No 1169/2011, Art. 13(3), for
food in packages under 80 cm², borrowed as advice."""
STEPS = (
    TighterStep(READABLE_MM, 1.14, 1.9),
    TighterStep(READABLE_MM, 1.1, 1.5),
    # The smallest letters that a law read here allows (CPLR s. 16).
    TighterStep(0.8, 1.1, 1.5),
    TighterStep(0.7, 1.06, 1.5),
    # What an office printer of 600 dpi still holds: common practice, no source.
    TighterStep(0.6, 1.03, 1.5),
)
"""The steps down from what a layout likes, each tighter than the one before, to what only the law
holds up. A layout may give its own."""


@dataclass(frozen=True, slots=True, eq=False)
class PanelLayout:
    """The design of a panel. One is told from another by being another object: comparing all that
    is in it takes longer than finding what was made of it is worth."""

    margin_mm: float
    unit_mm: float
    sizes: dict[str, SizeSpec]
    blocks: tuple[Block, ...]
    art: tuple[Art, ...] = ()
    borders: tuple[Border, ...] = ()
    keep_clear_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    """Room left to art inside the margin: head, right, foot, left. Straight-sided shapes only."""
    background: str | None = None
    """A solid colour printed over the whole panel and its bleed."""
    surrounds: tuple[Surround, ...] = ()
    patterns: tuple[Pattern, ...] = ()
    first_step: int = 1
    """The step that is tried first where what the layout likes has not room enough."""


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """A design of whole labels; told from others as its panels are."""

    path: Path
    name: str
    title: str
    about: str
    occasions: tuple[str, ...]
    shapes: tuple[str, ...]
    """The shapes it was drawn for."""
    drawn_for_mm: tuple[float, float]
    """The trim its sizes are meant for; a larger one gets larger type."""
    colour: str
    faces: dict[str, FaceSpec]
    ornaments: dict[str, OrnamentSpec]
    panels: dict[str, PanelLayout]
    steps: tuple[TighterStep, ...] = STEPS
    accent: str | None = None
    """Ink of names, ornament and frame, where the order names none; None: the same as the text."""
    inks: tuple[str, ...] = ()
    """Names of inks that suit it."""

    def panel(self, name: str) -> PanelLayout:
        """The design of a panel; second surfaces (tag, card ...) fall back to the back's."""
        return self.panels.get(name) or self.panels["back"]


DESIGNS = 512
"""Designs that are kept of what each step makes of others: of one order there are some sixty."""


@lru_cache(maxsize=DESIGNS)
def put_panel(layout: Layout, name: str, plan: PanelLayout) -> Layout:
    """A layout with another design of a panel."""
    return replace(layout, panels={**layout.panels, name: plan})


def complete_panel_layout(
    plan: PanelLayout, elements: Iterable[str], other: PanelLayout | None = None
) -> PanelLayout:
    """The panel with a block for each element it has none for, so that no asked words are lost.

    The new blocks are set like the panel's smallest text and stand before its last row; what the
    ``other`` side shows too is in the same face and casing as there.
    """
    return _complete_panel_layout(plan, tuple(elements), other)


@lru_cache(maxsize=DESIGNS)
def _complete_panel_layout(
    plan: PanelLayout, elements: tuple[str, ...], other: PanelLayout | None
) -> PanelLayout:
    placed = {name for block in plan.blocks for name in (block.element, block.run_in)}
    absent = [element for element in elements if element not in placed]
    if not absent:
        return plan
    texts = [block for block in plan.blocks if block.element]
    model = min(texts, key=lambda block: plan.sizes[block.size].most_pt)
    shown = {block.element: block for block in (other.blocks if other else ())}
    added = tuple(
        replace(
            model, element=e, zone=plan.blocks[-1].zone, row="", text="", run_in="", above=1.0,
            face=shown[e].face if e in shown else model.face,
            settings=shown[e].settings if e in shown else ("as-written",), lines=6,
        )
        for e in absent
    )  # fmt: skip
    last = plan.blocks[-1]
    at = next(i for i, b in enumerate(plan.blocks) if b is last or (b.row and b.row == last.row))
    return replace(plan, blocks=(*plan.blocks[:at], *added, *plan.blocks[at:]))


_MUST_LIE_BESIDE = Said("a layout of your own must lie beside the label spec")


def find_layout(name: str, beside: Path, folder: Path) -> Path:
    """The file of a layout: a path beside the spec, or the name of one in ``folder``."""
    if name.endswith(".toml"):
        if not is_below_folder(beside, name):
            raise InputError(name, "", None, _MUST_LIE_BESIDE)
        return beside / name
    complaint = describe_unknown_layout(name, beside, folder)
    if complaint:
        raise InputError("layout", "", name, complaint)
    return folder / f"{name}.toml"


def describe_unknown_layout(name: str, beside: Path, folder: Path) -> Said:
    """The complaint about a name of no layout in ``folder``, or of no file; "" for one that is."""
    if name.endswith(".toml"):
        below = is_below_folder(beside, name)
        return (
            describe_missing_file(beside / name, Said("a layout file"))
            if below
            else _MUST_LIE_BESIDE
        )
    if has_bundled(folder, name):
        return NOTHING
    names = sorted(path.stem for path in folder.glob("*.toml"))
    own = f"{name}.toml"
    near = suggest_nearest(name, names)
    if is_below_folder(beside, own) and is_file_there(beside / own):
        near = Said("did you mean {near}? ", near=own)
    return Said(
        "no such layout; {near}expected one of {listed}, or a .toml file",
        near=near,
        listed=FactList(names),
    )


def read_layout_title(path: Path) -> tuple[str, str]:
    """What a layout is called, and what it says of itself; nothing else of it is looked at."""
    table = read_layout_table(path)
    return table.text("title"), table.text("about", "")


@remember_reading
def read_layout(path: Path) -> Layout:
    """A layout file, or InputError naming the key that is wrong."""
    table = read_layout_table(path)
    faces = _read_named_tables(table, "faces", _read_face)
    ornaments = (
        _read_named_tables(table, "ornaments", lambda one: _read_ornament(one, faces))
        if table.has("ornaments")
        else {}
    )
    panels: dict[str, PanelLayout] = {}
    for name in ("front", "back", *SURFACES):
        if table.has(name):
            panels[name] = _read_panel(table.table(name), faces, ornaments)
    for name in ("front", "back"):
        if name not in panels:
            table.wrong(name, None, Said("missing; a layout describes [{name}]", name=name))
    layout = Layout(
        path=path,
        name=path.stem,
        title=table.text("title"),
        about=table.text("about", ""),
        occasions=table.texts("occasions", ()),
        shapes=table.texts("shapes", ("rectangle", "rounded")),
        drawn_for_mm=_read_drawn_for(table),
        colour=table.colour("colour", "#000000"),
        faces=faces,
        ornaments=ornaments,
        panels=panels,
        steps=_read_steps(table) or STEPS,
        accent=table.colour("accent"),
        inks=table.texts("inks", ()),
    )
    table.done()
    return layout


def _read_named_tables(table: Table, key: str, read: Callable[[Table], T]) -> dict[str, T]:
    group = table.table(key)
    return {name: group.table(name).read(read) for name in group.names()}


def _read_steps(table: Table) -> tuple[TighterStep, ...]:
    """The steps that a layout gives itself, each tighter than the one before in all it says."""
    steps: list[TighterStep] = []
    for group in _check_count(table, "steps", tuple(table.tables("steps")), MAX_STEPS):
        step = TighterStep(
            letters_mm=float(group.length_mm("letters")),
            leading=float(group.number("leading")),
            margin_mm=float(group.length_mm("margin")),
        )
        for name in ("letters_mm", "leading", "margin_mm") if steps else ():
            if getattr(step, name) > getattr(steps[-1], name):
                key = name.removesuffix("_mm")
                group.wrong(key, group.raw(key), Said("expected no more than in the step before"))
        group.done()
        steps.append(step)
    return tuple(steps)


def _read_drawn_for(table: Table) -> tuple[float, float]:
    width, height = table.size_mm("drawn_for", DRAWN_FOR_MM)
    return float(width), float(height)


def _read_face(table: Table) -> FaceSpec:
    widths = table.numbers("widths", [100])
    if not 1 <= len(widths) <= MAX_WIDTHS:
        table.wrong("widths", widths, Said("expected 1 to {most} widths", most=MAX_WIDTHS))
    file = table.beside("file", None)
    return FaceSpec(
        family=table.text(
            "family", "" if file else REQUIRED, Said("the name of a typeface family")
        ),
        weight=table.integer("weight", 400),
        italic=table.flag("italic", False),
        widths=tuple(widths),
        figures=table.choice("figures", "lining"),
        file=file,
    )


def _read_ornament(table: Table, faces: dict[str, FaceSpec]) -> OrnamentSpec:
    if table.has("grow") or table.has("letters"):
        return _read_made_ornament(table, faces)
    if table.has("file"):
        return _read_drawn_ornament(table)
    view = table.numbers("view")
    if len(view) != 4:
        table.wrong("view", view, Said("expected four numbers: x, y, width, height"))
    if view[2] <= 0 or view[3] <= 0:
        table.wrong("view", view, Said("expected a width and a height above zero"))
    path = table.text("path", expected=Said("SVG path data"), most=MAX_PATH_CHARACTERS)
    _check_path(table, path)
    stroke = table.length_mm("stroke", None)
    return OrnamentSpec(
        path=path,
        view=(float(view[0]), float(view[1]), float(view[2]), float(view[3])),
        stroke_mm=float(stroke) if stroke is not None else None,
        filled=table.flag("filled", False),
    )


def _read_drawn_ornament(table: Table) -> OrnamentSpec:
    """A drawing of the maker's own: an SVG file beside the layout, its strokes made outlines."""
    path: Path = table.beside("file")
    logo = read_logo(path)
    if logo.pixels is not None:
        table.wrong("file", path.name, Said("is a picture; expected an SVG drawing"))
    return OrnamentSpec(path=unite_drawings(logo.drawings), view=logo.view, even_odd=True)


def _read_made_ornament(table: Table, faces: dict[str, FaceSpec]) -> OrnamentSpec:
    """One that is drawn for each order; areas get a fine edge, so that no tip is too thin."""
    growth = read_growth(table) if table.has("grow") else None
    lettering = None if growth else read_lettering(table, faces)
    line = growth is not None and growth.line
    stroke = table.length_mm("stroke", None)
    own = LINE_MM if line else EDGE_MM if growth else None
    return OrnamentSpec(
        stroke_mm=float(stroke) if stroke is not None else own,
        filled=growth is not None and not line,
        even_odd=lettering is not None and (lettering.form == "interlaced" or lettering.band),
        growth=growth,
        lettering=lettering,
    )


def _check_path(table: Table, path: str) -> None:
    from fontTools.pens.recordingPen import RecordingPen
    from fontTools.svgLib.path import parse_path

    pen = RecordingPen()
    try:
        parse_path(path, pen)
        numbers = [abs(v) for _, points in pen.value for point in points for v in point]
    except (ValueError, IndexError, TypeError, AssertionError, ZeroDivisionError, OverflowError):
        table.wrong("path", path[:30], Said("is not SVG path data"))
    if not numbers or not all(v < MAX_COORDINATE for v in numbers):
        table.wrong("path", path[:30], Said("expected a drawing with coordinates below 100000"))


def _read_panel(
    table: Table, faces: dict[str, FaceSpec], ornaments: dict[str, OrnamentSpec]
) -> PanelLayout:
    sizes = _read_sizes(table)
    blocks = tuple(_read_block(b, faces, ornaments, sizes) for b in table.tables("blocks"))
    if not blocks or len(blocks) > MAX_BLOCKS:
        table.wrong("blocks", len(blocks), Said("expected 1 to {most} blocks", most=MAX_BLOCKS))
    for row in dict.fromkeys(block.row for block in blocks if block.row):
        if sum(block.row == row for block in blocks) > MAX_ROW:
            table.wrong(
                "blocks", row, Said("expected at most {most} blocks in a row", most=MAX_ROW)
            )
    panel = PanelLayout(
        margin_mm=float(table.length_mm("margin")),
        unit_mm=float(table.length_mm("unit")),
        sizes=sizes,
        blocks=blocks,
        art=_read_all_art(table, ornaments),
        borders=_read_list(table, "borders", _read_border, MAX_BORDERS),
        keep_clear_mm=_read_keep_clear(table.table("keep_clear", None)),
        background=table.colour("background"),
        surrounds=_read_list(
            table, "surrounds", partial(read_surround, letters=ornaments), MAX_BORDERS
        ),
        patterns=_read_list(
            table, "patterns", partial(read_pattern, ornaments=ornaments), MAX_BORDERS
        ),
    )
    for line in panel.borders:
        if line.inset_mm > panel.margin_mm:
            expected = Said(
                "expected an inset within the margin, or the line runs through the text"
            )
            table.wrong("borders", f"inset {line.inset_mm:g} mm", expected)
    table.done()
    return panel


def _read_list(table: Table, name: str, read: Callable[[Table], T], most: int) -> tuple[T, ...]:
    return _check_count(table, name, tuple(one.read(read) for one in table.tables(name)), most)


def _check_count(table: Table, name: str, items: tuple[T, ...], most: int) -> tuple[T, ...]:
    if len(items) > most:
        table.wrong(name, len(items), Said("expected at most {most}", most=most))
    return items


def _read_all_art(table: Table, ornaments: dict[str, OrnamentSpec]) -> tuple[Art, ...]:
    art = _read_list(table, "art", partial(_read_art, ornaments=ornaments), MAX_ART)
    characters = sum(
        max(LEAST_REPEATED_CHARACTERS, len(ornaments[a.ornament].path)) / a.width_mm
        for a in art
        if a.repeat
    )
    if characters > MAX_REPEATED_CHARACTERS:
        table.wrong("art", None, Said("repeats too long a path too often; expected a larger width"))
    return art


def _read_keep_clear(table: Table) -> tuple[float, float, float, float]:
    head, right, foot, left = (
        float(table.length_mm(side, Decimal(0))) for side in ("head", "right", "foot", "left")
    )
    table.done()
    return head, right, foot, left


def _read_sizes(table: Table) -> dict[str, SizeSpec]:
    group, limits = table.table("sizes"), table.limits("sizes")
    wanted = Said(
        "expected least before most, from {least} pt to {most} pt",
        least=Number(limits.least),
        most=Number(limits.most),
    )
    sizes: dict[str, SizeSpec] = {}
    for name in group.names():
        pair = group.texts(name)
        if len(pair) != 2:
            group.wrong(name, list(pair), Said('expected least and most such as ["6 pt", "9 pt"]'))
        least, most = (_parse_points(group, name, text) for text in pair)
        if not limits.least <= least <= most <= limits.most:
            group.wrong(name, list(pair), wanted)
        if most > MAX_SIZE_RATIO * least:
            group.wrong(
                name,
                list(pair),
                Said(
                    "expected most at most {most} times least",
                    most=MAX_SIZE_RATIO,
                ),
            )
        sizes[name] = SizeSpec(least, most)
    return sizes


def _parse_points(table: Table, name: str, text: str) -> float:
    try:
        return round(float(parse_length_mm(text)) * PT_PER_MM, 6)
    except QuantityError as error:
        table.wrong(name, text, error.told)


def _read_block(
    table: Table,
    faces: dict[str, FaceSpec],
    ornaments: dict[str, OrnamentSpec],
    sizes: dict[str, SizeSpec],
) -> Block:
    table = _find_own_place(table)
    element = table.choice("element", "")
    ornament = table.choice("ornament", "", ornaments)
    picture = table.choice("picture", "")
    rule = table.flag("rule", False)
    drawn = bool(ornament or picture)
    if sum((bool(element), drawn, rule)) != 1:
        table.wrong(
            "element",
            None,
            Said("expected exactly one of element, ornament or picture, and rule = true"),
        )
    heights = table.texts("height", ())
    picture_heights = table.texts("picture_height", heights)
    if drawn and len(picture_heights) != 2:
        expected = Said('expected least and most height such as ["4 mm", "7 mm"]')
        table.wrong("picture_height", list(picture_heights), expected)
    if drawn and len(heights) != 2:
        table.wrong("height", None, Said('expected least and most height such as ["4 mm", "7 mm"]'))
    settings = tuple(dict.fromkeys(table.texts("settings", ("as-written",), least=1)))
    block = Block(
        element=element,
        ornament=ornament,
        picture=picture,
        rule=rule,
        zone=table.choice("zone", "middle"),
        row=table.text("row", ""),
        face=table.choice("face", "text" if "text" in faces else next(iter(faces)), faces),
        size=table.choice("size", "text" if "text" in sizes else next(iter(sizes), ""), sizes),
        align=table.choice("align", "centre"),
        above=float(table.number("above", 1)),
        settings=settings,
        tracking_em=float(table.number("tracking", 0)),
        capitals_tracking_em=float(table.number("capitals_tracking", 0.03)),
        leading=float(table.number("leading", 1.2)),
        lines=table.integer("lines", 3),
        text=table.text("text", ""),
        join=table.text("join", " · "),
        mark=table.text("mark", ""),
        stack=table.flag("stack", True),
        run_in=table.choice("run_in", ""),
        run_in_face=table.choice("run_in_face", "", faces),
        height_mm=(
            (_parse_mm(table, "height", heights[0]), _parse_mm(table, "height", heights[1]))
            if drawn
            else (0.0, 0.0)
        ),
        picture_height_mm=(
            (
                _parse_mm(table, "picture_height", picture_heights[0]),
                _parse_mm(table, "picture_height", picture_heights[1]),
            )
            if drawn
            else (0.0, 0.0)
        ),
        beside=table.choice("beside", "", ornaments),
        beside_height_mm=float(table.length_mm("beside_height", Decimal(0))),
        width_share=float(table.number("width", 1)),
        stroke_mm=float(table.length_mm("stroke", Decimal("0.2"))),
        instead_of=table.choice("instead_of", "", ornaments),
        part=table.choice("part", ""),
        optional=table.flag("optional", False),
        colour=table.ink("colour"),
        shapes=table.texts("shapes", SHAPES),
        sides_mm=_read_sides(table),
    )
    for name, (least, most) in (
        ("height", block.height_mm),
        ("picture_height", block.picture_height_mm),
    ):
        if drawn and not 0 < least <= most:
            table.wrong(name, [f"{least:g} mm", f"{most:g} mm"], Said("expected least before most"))
    if block.beside and (not element or block.align != "centre" or block.row):
        expected = Said("expected only of a centred element in a row of its own")
        table.wrong("beside", block.beside, expected)
    if bool(block.beside) != (block.beside_height_mm > 0):
        table.wrong("beside_height", None, Said('expected with beside, a height such as "4 mm"'))
    table.done()
    return block


def _read_sides(table: Table) -> tuple[float, float]:
    """Of which shorter sides labels are for which a block is; the second is left to larger ones."""
    least = float(table.length_mm("from_side", Decimal(0)))
    most = float(table.length_mm("below_side", Decimal(1000)))
    if least >= most:
        table.wrong("below_side", f"{most:g} mm", Said("expected more than from_side"))
    return least, most


def _find_own_place(table: Table) -> Table:
    """A block's table under the name by which its keys stand in the file."""
    data = table.raw_data()
    if not isinstance(data, ChangedBlock):
        return table
    return Table(table.path, data.written_at, data, table.file)


def _parse_mm(table: Table, name: str, text: str) -> float:
    return _parse_points(table, name, text) / PT_PER_MM


def _read_art(table: Table, ornaments: dict[str, OrnamentSpec]) -> Art:
    art = Art(
        ornament=table.choice("ornament", among=ornaments),
        anchor=table.choice("anchor"),
        width_mm=float(table.length_mm("width")),
        inset_mm=_read_inset(table),
        flip_x=table.flag("flip_x", False),
        flip_y=table.flag("flip_y", False),
        repeat=table.flag("repeat", False),
        colour=table.ink("colour"),
        shapes=table.texts("shapes", SHAPES),
    )
    if art.width_mm <= 0:
        table.wrong("width", None, Said("expected a width above zero"))
    return art


def _read_inset(table: Table) -> float:
    """A length from the edge; ``bleed = true`` instead lets the drawing run over the edge."""
    if table.flag("bleed", False):
        return -BLEED_MM
    return float(table.length_mm("inset", Decimal(0)))


def _read_border(table: Table) -> Border:
    return Border(
        inset_mm=float(table.length_mm("inset")),
        stroke_mm=float(table.length_mm("stroke")),
        colour=table.ink("colour"),
        shapes=table.texts("shapes", SHAPES),
    )
