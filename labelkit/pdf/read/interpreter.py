"""Runs a page's content and collects the labels on it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from labelkit.common.quantity import PT_PER_MM
from labelkit.model.marks import PANEL_TAG, PLACE_TAG, PRINTER_TAG, RUN_TAG
from labelkit.model.runs import NEUTRAL, Box, LetterHeights, Panel, Run
from labelkit.pdf.read.colour_spaces import read_colour
from labelkit.pdf.read.fonts import EmbeddedFont
from labelkit.pdf.read.geometry import Matrix, see_from_place
from labelkit.pdf.read.lexer import parse_operations
from labelkit.pdf.read.state import GraphicsState, format_hex_colour

MAX_FORM_DEPTH = 8
MAX_FORM_WORK = 3_000_000
"""Operators run, or runs taken over, in the forms of one page: forms that draw each other again
and again would never end otherwise."""

_MM = 1 / PT_PER_MM
_NOTHING = math.inf


@dataclass(frozen=True, slots=True)
class PlacedPanel:
    """One label found on a page: its panel in its own millimetres, and where it stands."""

    page: int
    """0-based page index."""
    label: int
    """0-based label number."""
    panel: Panel
    x_mm: float
    """Lower left corner of the trim on the page, as printed."""
    y_mm: float
    turns: int
    """Quarter turns anticlockwise, 0 to 3."""

    @property
    def turned(self) -> bool:
        """Whether it lies on its side."""
        return self.turns % 2 == 1


class FontUse(NamedTuple):
    """A font of the file and whether its program is embedded."""

    name: str
    embedded: bool


class SharedResources:
    """What pages of a file have in common: fonts, forms and the runs on them, read once.

    An object is kept with what was read from it: were it let go, another could get its identity.
    """

    def __init__(self) -> None:
        self._fonts: dict[object, tuple[Any, EmbeddedFont]] = {}
        self._forms: dict[object, tuple[Any, list[tuple[str, list[Any]]]]] = {}
        self.label_forms: dict[object, tuple[Run, ...]] = {}
        """What a form drawn at a label's own origin puts on it."""

    def font(self, key: object, resource: Any) -> EmbeddedFont:
        if key not in self._fonts:
            self._fonts[key] = (resource, EmbeddedFont(resource))
        return self._fonts[key][1]

    def form(self, key: object, form: Any) -> list[tuple[str, list[Any]]]:
        if key not in self._forms:
            self._forms[key] = (form, list(parse_operations(form.get_data())))
        return self._forms[key][1]


@dataclass(slots=True)
class _OpenRun:
    """Glyphs gathered between the begin and end of one marked run, in label space (points)."""

    properties: dict[str, Any]
    texts: list[str] = field(default_factory=list)
    font: EmbeddedFont | None = None
    size: float = 0.0
    named: bool = False
    """Whether an empty string said which font and size the run is measured by."""
    start: tuple[float, float] | None = None
    end_x: float = 0.0
    shown_x: float = -math.inf
    """Where the last string began."""
    furthest_x: float = -math.inf
    turned: bool = False
    """Whether some of it is shown from right to left."""
    x0: float = _NOTHING
    y0: float = _NOTHING
    x1: float = -_NOTHING
    y1: float = -_NOTHING
    figure: float = _NOTHING
    """The smallest figure's height."""
    colour: str = "#000000"


@dataclass(slots=True)
class _OpenPlace:
    properties: dict[str, Any]
    matrix: Matrix
    runs: list[Run] = field(default_factory=list)


class Interpreter:
    """Runs one page's content, collecting labels."""

    def __init__(self, page_index: int, seen: SharedResources, unit: float = 1.0) -> None:
        """``unit`` is how many points one of the page is."""
        self.page_index = page_index
        self.placed: list[PlacedPanel] = []
        self.fonts: dict[str, FontUse] = {}
        self.stray: list[str] = []
        self._seen = seen
        self._form_work = 0
        self._found: dict[tuple[int, str, str], tuple[Any, object, Any]] = {}
        self._ctm = Matrix(unit, 0.0, 0.0, unit)
        self._state = GraphicsState()
        self._space: Any = "/DeviceGray"
        self._saved: list[tuple[Matrix, GraphicsState]] = []
        self._tm = self._line = Matrix()
        self._marks: list[tuple[str, Matrix]] = []
        self._panel: dict[str, Any] = {}
        self._place: _OpenPlace | None = None
        self._run: _OpenRun | None = None
        self._handlers: dict[str, Callable[[list[Any]], None]] = {
            name: handler.__get__(self) for name, handler in _OPERATORS.items()
        }

    def page(self, data: bytes, resources: Any) -> None:
        """Runs the content of the page with its resource dictionary."""
        self._execute(parse_operations(data), resources, 0)

    def _execute(
        self, content: Iterable[tuple[str, list[Any]]], resources: Any, depth: int
    ) -> None:
        handlers = self._handlers
        for name, operands in content:
            handler = handlers.get(name)
            if handler is not None:
                handler(operands)
            elif name in ("BDC", "BMC"):
                self._begin_mark(operands, resources)
            elif name == "Tf":
                self._state.font = self._font(operands[0], resources)
                self._state.size = operands[1]
            elif name == "Do":
                self._draw(operands[0], resources, depth)
            elif name == "cs":
                self._space = self._named(resources, "/ColorSpace", operands[0])[1] or operands[0]
            elif name == "gs":
                self._state.set_parameters(
                    self._named(resources, "/ExtGState", operands[0])[1] or {}
                )

    def _named(self, resources: Any, kind: str, name: str) -> tuple[object, Any]:
        """A resource by kind and name with a key that is its own, or (None, None)."""
        asked = (id(resources), kind, name)
        if asked not in self._found:
            self._found[asked] = (resources, *_look_up_resource(resources, kind, name))
        return self._found[asked][1:]

    # -- forms and fonts

    def _draw(self, name: str, resources: Any, depth: int) -> None:
        key, drawn = self._named(resources, "/XObject", name)
        if drawn is None or drawn.get("/Subtype") != "/Form" or depth >= MAX_FORM_DEPTH:
            return
        place = self._place
        if place is not None and self._run is None and depth == 0 and self._ctm == place.matrix:
            self._label_form(place, key, drawn, resources)
        else:
            self._enter(key, drawn, resources, depth)

    def _label_form(self, place: _OpenPlace, key: object, form: Any, resources: Any) -> None:
        """A form at a label's own origin: the same on every label."""
        state, known = self._state, self._seen.label_forms
        # A part in a million of scale is less than matrices in files are written to.
        drawn = (key, round(place.matrix.scale, 6), state.colour, state.fill_alpha)
        if drawn not in known:
            self._place = alone = _OpenPlace(place.properties, place.matrix)
            self._enter(key, form, resources, 0)
            self._place, known[drawn] = place, tuple(alone.runs)
        self._work(len(known[drawn]))
        place.runs += known[drawn]

    def _work(self, amount: int) -> None:
        self._form_work += amount
        if self._form_work > MAX_FORM_WORK:
            raise ValueError("forms are drawn over and over")

    def _enter(self, key: object, form: Any, resources: Any, depth: int) -> None:
        saved = (self._ctm, self._state.copy())
        own = Matrix(*(float(v) for v in form.get("/Matrix", Matrix())))
        self._ctm = own.then(self._ctm)
        content = self._seen.form(key, form)
        self._work(len(content))
        self._execute(content, form.get("/Resources", resources), depth + 1)
        self._ctm, self._state = saved

    def _font(self, name: str, resources: Any) -> EmbeddedFont | None:
        key, resource = self._named(resources, "/Font", name)
        if resource is None:
            return None
        font = self._seen.font(key, resource)
        if font.name not in self.fonts:
            self.fonts[font.name] = FontUse(font.name, font.embedded)
        return font

    # -- graphics and text state

    def _save(self, _: list[Any]) -> None:
        self._saved.append((self._ctm, self._state.copy()))

    def _restore(self, _: list[Any]) -> None:
        if self._saved:
            self._ctm, self._state = self._saved.pop()

    def _concat(self, operands: list[Any]) -> None:
        self._ctm = Matrix(*operands).then(self._ctm)

    def _grey(self, operands: list[Any]) -> None:
        self._state.colour = format_hex_colour([operands[0]] * 3)

    def _rgb(self, operands: list[Any]) -> None:
        self._state.colour = format_hex_colour(operands)

    def _cmyk(self, operands: list[Any]) -> None:
        c, m, y, k = operands
        self._state.colour = format_hex_colour([(1 - v) * (1 - k) for v in (c, m, y)])

    def _own_colour(self, operands: list[Any]) -> None:
        """A colour in the space that was chosen (ISO 32000-1, 8.6.8); of a pattern, black."""
        numbers = [v for v in operands if isinstance(v, int | float)]
        self._state.colour = format_hex_colour(
            read_colour(self._space, numbers) if len(numbers) == len(operands) else [0.0] * 3
        )

    def _begin_text(self, _: list[Any]) -> None:
        self._tm = self._line = Matrix()

    def _move(self, operands: list[Any]) -> None:
        x, y = operands
        self._tm = self._line = Matrix(e=x, f=y).then(self._line)

    def _move_leading(self, operands: list[Any]) -> None:
        self._state.leading = -operands[1]
        self._move(operands)

    def _matrix(self, operands: list[Any]) -> None:
        self._tm = self._line = Matrix(*operands)

    def _next_line(self, _: list[Any]) -> None:
        self._move([0.0, -self._state.leading])

    def _set_character_space(self, operands: list[Any]) -> None:
        self._state.character_space = operands[0]

    def _set_word_space(self, operands: list[Any]) -> None:
        self._state.word_space = operands[0]

    def _set_stretch(self, operands: list[Any]) -> None:
        self._state.stretch = operands[0] / 100

    def _set_leading(self, operands: list[Any]) -> None:
        self._state.leading = operands[0]

    def _set_rise(self, operands: list[Any]) -> None:
        self._state.rise = operands[0]

    # -- marked content

    def _begin_mark(self, operands: list[Any], resources: Any) -> None:
        tag = operands[0]
        properties = operands[1] if len(operands) > 1 else {}
        if isinstance(properties, str):
            properties = self._named(resources, "/Properties", properties)[1] or {}
        self._marks.append((tag, self._ctm))
        if tag == PLACE_TAG:
            self._place = _OpenPlace({**self._panel, **properties}, self._ctm)
        elif tag == PANEL_TAG:
            self._panel = dict(properties)
        elif tag == RUN_TAG and self._place is not None:
            self._run = _OpenRun(dict(properties))
        elif tag == PRINTER_TAG:
            self._ctm = self._ctm.then(parse_printer_matrix(properties))

    def _end_mark(self, _: list[Any]) -> None:
        if not self._marks:
            return
        tag, ctm = self._marks.pop()
        if tag == RUN_TAG and self._run is not None and self._place is not None:
            run = _close_run(self._run)
            if run is not None:
                self._place.runs.append(run)
            self._run = None
        elif tag == PLACE_TAG and self._place is not None:
            self.placed.append(_close_place(self._place, self.page_index))
            self._place = None
        elif tag == PANEL_TAG:
            self._panel = {}
        elif tag == PRINTER_TAG:
            self._ctm = ctm

    # -- showing text

    def _show(self, operands: list[Any]) -> None:
        self._show_items(operands)

    def _show_array(self, operands: list[Any]) -> None:
        self._show_items(operands[0])

    def _next_and_show(self, operands: list[Any]) -> None:
        self._next_line([])
        self._show_items(operands[-1:])

    def _show_items(self, items: Sequence[Any]) -> None:
        """Shows strings and moves by numbers; glyphs on a label are collected as they print."""
        state, font = self._state, self._state.font
        if font is None:
            return
        if self._run is not None and self._place is not None:
            lifted = Matrix(f=state.rise).then(self._tm)
            seen = see_from_place(self._place.matrix, lifted.then(self._ctm))
            x = _collect_glyphs(self._run, state, font, items, seen)
        else:
            watched = self._place is not None and not self._in_artifact()
            x = _pass_over_strings(state, font, items, self.stray if watched else None)
        self._tm = Matrix(e=x).then(self._tm)

    def _in_artifact(self) -> bool:
        return any(tag == "/Artifact" for tag, *_ in self._marks)


def _collect_glyphs(
    run: _OpenRun,
    state: GraphicsState,
    font: EmbeddedFont,
    items: Sequence[Any],
    seen: Matrix,
) -> float:
    """Adds the glyphs of shown strings to the open run, in the label's own space, as they print.

    ``seen`` takes text space to the label. Returns how far the pen moved, in text space.
    """
    a, b, c, d, e, f = seen
    size, stretch = state.size, state.stretch
    space, word_space = _added_spaces(state, font)
    high, wide = size * math.hypot(c, d), size * math.hypot(a, b) * stretch
    first, before = run.start is None, len(run.texts)
    if first and not run.named:
        run.font, run.size, run.colour = font, high, state.printed_colour
        run.named = not any(items)
    left, low, right, top, figure = run.x0, run.y0, run.x1, run.y1, run.figure
    glyph_of, texts, x = font.glyph, run.texts, 0.0
    for item in items:
        if not isinstance(item, bytes):
            x -= item / 1000 * size * stretch
            continue
        for code in font.codes(item):
            character, width, bounds, is_figure = glyph_of(code)
            at, base = e + x * a, f + x * b
            if run.start is None:
                run.start = (at, base)
            texts.append(character)
            if bounds is not None:
                x0, y0, x1, y1 = bounds
                # Comparisons: min and max take twice as long, and this is done for every letter.
                left = at + x0 * wide if at + x0 * wide < left else left
                right = at + x1 * wide if at + x1 * wide > right else right
                low = base + y0 * high if base + y0 * high < low else low
                top = base + y1 * high if base + y1 * high > top else top
                if is_figure:
                    figure = min(figure, (y1 - y0) * high)
            x += (width * size + (word_space if code == 32 else space)) * stretch
    run.x0, run.y0, run.x1, run.y1, run.figure = left, low, right, top, figure
    # The pen's place after the last adjustment, so that tracking is part of the advance.
    run.end_x = e + x * a
    if len(texts) > before:
        run.turned |= e < run.shown_x
        run.shown_x, run.furthest_x = e, max(run.furthest_x, run.end_x)
        if run.turned and run.start is not None:
            run.start, run.end_x = (min(e, run.start[0]), run.start[1]), run.furthest_x
    return x


def _pass_over_strings(
    state: GraphicsState, font: EmbeddedFont, items: Iterable[Any], stray: list[str] | None
) -> float:
    """How far the pen moves over shown strings; what is visible of them goes into ``stray``."""
    x = 0.0
    space, word_space = _added_spaces(state, font)
    for item in items:
        if not isinstance(item, bytes):
            x -= item / 1000 * state.size * state.stretch
            continue
        for code in font.codes(item):
            glyph = font.glyph(code)
            if stray is not None and glyph.character.strip():
                stray.append(glyph.character)
            after = word_space if code == 32 else space
            x += (glyph.width * state.size + after) * state.stretch
    return x


def _added_spaces(state: GraphicsState, font: EmbeddedFont) -> tuple[float, float]:
    """What is added after any code, and after the code 32.

    The word space belongs to single-byte codes alone (ISO 32000-1, 9.3.3).
    """
    space = state.character_space
    return space, space if font.composite else space + state.word_space


_OPERATORS: dict[str, Any] = {
    "q": Interpreter._save,
    "Q": Interpreter._restore,
    "cm": Interpreter._concat,
    "g": Interpreter._grey,
    "rg": Interpreter._rgb,
    "k": Interpreter._cmyk,
    "sc": Interpreter._own_colour,
    "scn": Interpreter._own_colour,
    "BT": Interpreter._begin_text,
    "Td": Interpreter._move,
    "TD": Interpreter._move_leading,
    "Tm": Interpreter._matrix,
    "T*": Interpreter._next_line,
    "Tc": Interpreter._set_character_space,
    "Tw": Interpreter._set_word_space,
    "Tz": Interpreter._set_stretch,
    "TL": Interpreter._set_leading,
    "Ts": Interpreter._set_rise,
    "Tj": Interpreter._show,
    "TJ": Interpreter._show_array,
    "'": Interpreter._next_and_show,
    '"': Interpreter._next_and_show,
    "EMC": Interpreter._end_mark,
}


def find_property_list(resources: Any, operand: Any) -> Any:
    """The property list of marked content, which may be a resource (ISO 32000-1, 14.6.2)."""
    if isinstance(operand, str):
        return _look_up_resource(resources, "/Properties", operand)[1] or {}
    return operand


def parse_printer_matrix(properties: Any) -> Matrix:
    """What a printer does to a page, by the property list of ``PRINTER_TAG``; points."""
    return Matrix(*(float(v) for v in properties["/M"]))


def _look_up_resource(resources: Any, kind: str, name: str) -> tuple[object, Any]:
    group = resources.get(kind) if resources is not None else None
    group = group.get_object() if group is not None else None
    if group is None or name not in group:
        return None, None
    reference = group.raw_get(name)
    found = reference.get_object()
    number = getattr(reference, "idnum", None)
    return (number if number is not None else (id(found),)), found


# -- results ---------------------------------------------------------------------------------------


def _close_run(run: _OpenRun) -> Run | None:
    if run.start is None or run.font is None:
        return None
    font, size = run.font, run.size
    x, baseline = run.start
    ink = (run.x0, run.y0, run.x1, run.y1)
    if run.x0 > run.x1:
        ink = (x, baseline, run.end_x, baseline)
    capital, small_o, n_width = font.letters_em
    return Run(
        text="".join(run.texts),
        element=str(run.properties.get("/E", ""))[1:],
        language=_decode_text(run.properties.get("/Lang", NEUTRAL)),
        face=font.name,
        weight=font.weight,
        size_pt=size,
        x_mm=x * _MM,
        baseline_mm=baseline * _MM,
        advance_mm=(run.end_x - x) * _MM,
        ink=Box(ink[0] * _MM, ink[1] * _MM, ink[2] * _MM, ink[3] * _MM),
        letters=LetterHeights(
            capital_mm=capital * size * _MM if capital is not None else None,
            small_o_mm=small_o * size * _MM if small_o is not None else None,
            figure_mm=run.figure * _MM if run.figure < _NOTHING else None,
            n_width_mm=n_width * size * _MM if n_width is not None else None,
        ),
        colour=run.colour,
    )


def _decode_text(value: Any) -> str:
    """A text string (ISO 32000-1, 7.9.2.2), as bytes from a content stream or read already."""
    if not isinstance(value, bytes):
        return str(value)
    if value.startswith(b"\xfe\xff"):
        return value[2:].decode("utf-16-be", "replace")
    from pypdf.generic import decode_pdfdocencoding

    return decode_pdfdocencoding(value)


def _close_place(place: _OpenPlace, page: int) -> PlacedPanel:
    props, scale = place.properties, place.matrix.scale
    panel = Panel(
        name=str(props.get("/Panel", "/unknown"))[1:],
        width_mm=float(props.get("/W", 0)) * _MM * scale,
        height_mm=float(props.get("/H", 0)) * _MM * scale,
        shape=str(props.get("/Shape", "/rectangle"))[1:],
        runs=tuple(place.runs),
    )
    # Where the panel's own lower left corner comes to lie after each quarter turn.
    turns, width, height = place.matrix.turns, panel.width_mm, panel.height_mm
    left = (0.0, height, width, 0.0)[turns]
    below = (0.0, 0.0, height, width)[turns]
    x, y = place.matrix.e * _MM - left, place.matrix.f * _MM - below
    return PlacedPanel(page, int(props.get("/N", 0)), panel, x, y, turns)
