"""Reads a finished PDF back into the same runs the composer makes, in printed millimetres.

What the reader takes for granted, and what it does not:

* A label stands inside marked content ``PLACE_TAG`` and each of its runs inside ``RUN_TAG``; the
  property list says which label, panel, element and language it is. Nothing else is believed: the
  text comes from the font's own character map, the place from the text and transformation
  matrices, the height of letters and the boldness from the font program embedded in the file.
* Names not present in a property list are treated as unknown, never guessed.
* ``ActualText`` (ISO 32000-1, 14.9.4) only settles which kind of space or hyphen a glyph stands
  for; where it disagrees with the glyphs in any other letter the glyphs win.
* Text is set horizontally; a label may be turned by a quarter or scaled as a whole (a printer
  driver's "fit to page"), and then its runs come out at the size they would print.
"""

from __future__ import annotations

import io
import logging
import math
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any, NamedTuple

from labelkit.errors import InputError, shown_path
from labelkit.quantity import PT_PER_MM
from labelkit.runs import NEUTRAL, SOFT_HYPHEN, Box, Letters, Panel, Run
from labelkit.spec.reader import read_bytes

# pypdf warns of oddities on standard error; what matters of them is an InputError here.
logging.getLogger("pypdf").addHandler(logging.NullHandler())

PLACE_TAG = "/LkPlace"
RUN_TAG = "/LkRun"
MAX_PDF_BYTES = 200_000_000
MAX_FORM_DEPTH = 8

_SPACES = "\u00a0\u2009\u202f"
_FOLD = {ord(c): " " for c in _SPACES} | {ord(SOFT_HYPHEN): "-"}


class Matrix(NamedTuple):
    """A PDF transformation matrix [a b c d e f] (ISO 32000-1, 8.3.4)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def then(self, outer: Matrix) -> Matrix:
        """This matrix followed by ``outer`` (row vectors: self x outer)."""
        return Matrix(
            self.a * outer.a + self.b * outer.c,
            self.a * outer.b + self.b * outer.d,
            self.c * outer.a + self.d * outer.c,
            self.c * outer.b + self.d * outer.d,
            self.e * outer.a + self.f * outer.c + outer.e,
            self.e * outer.b + self.f * outer.d + outer.f,
        )

    @property
    def scale(self) -> float:
        return math.sqrt(abs(self.a * self.d - self.b * self.c))


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
    turned: bool


@dataclass(frozen=True, slots=True)
class FontUse:
    """A font of the file and whether its program is embedded."""

    name: str
    embedded: bool


@dataclass(frozen=True)
class Readback:
    """Everything read from one PDF."""

    name: str
    pages: int
    panels: tuple[PlacedPanel, ...]
    fonts: tuple[FontUse, ...]
    stray_text: tuple[str, ...] = ()
    """Text that stands on a label outside any marked run."""


class EmbeddedFont:
    """One font resource: characters, widths and outlines, all from the file itself."""

    def __init__(self, resource: Any) -> None:
        self._resource = resource
        self.name = str(resource.get("/BaseFont", "/unknown"))[1:].split("+")[-1]
        self.composite = resource.get("/Subtype") == "/Type0"
        self._font = resource["/DescendantFonts"][0].get_object() if self.composite else resource
        descriptor = self._font.get("/FontDescriptor")
        self._descriptor = descriptor.get_object() if descriptor is not None else {}

    @property
    def embedded(self) -> bool:
        return any(k in self._descriptor for k in ("/FontFile", "/FontFile2", "/FontFile3"))

    def codes(self, data: bytes) -> Iterator[int]:
        """The character codes of a shown string: two bytes each in a composite font."""
        if self.composite:
            for i in range(0, len(data) - 1, 2):
                yield data[i] << 8 | data[i + 1]
        else:
            yield from data

    def character(self, code: int) -> str:
        return self._to_unicode.get(code, "\ufffd")

    def width_em(self, code: int) -> float:
        return self._widths.get(code, self._default_width) / 1000

    def bounds_em(self, code: int) -> tuple[float, float, float, float] | None:
        """Outline extents of a glyph in ems, None for a blank one or when nothing is embedded."""
        return self._bounds_of_glyph(self._glyph_name(code))

    @cached_property
    def weight(self) -> int:
        """OS/2 weight class of the embedded program, or read from the font's name."""
        program = self._program
        if program is not None and "OS/2" in program:
            return int(program["OS/2"].usWeightClass)
        bold = re.search(r"(Semi|Demi|Extra|Ultra)?-?Bold|Black|Heavy", self.name)
        return 700 if bold else 400

    def height_em(self, letter: str) -> float | None:
        """Height of a letter's outline above the baseline-to-top extent: yMax - yMin in ems."""
        code = self._code_of.get(letter)
        bounds = self.bounds_em(code) if code is not None else None
        return bounds[3] - bounds[1] if bounds else None

    def width_of_em(self, letter: str) -> float | None:
        """Width of a letter's outline in ems, None where it is not in the file."""
        code = self._code_of.get(letter)
        bounds = self.bounds_em(code) if code is not None else None
        return bounds[2] - bounds[0] if bounds else None

    @cached_property
    def _program(self) -> Any:
        from fontTools.ttLib import TTFont, TTLibError

        stream = self._descriptor.get("/FontFile2")
        if stream is None:
            return None
        try:
            return TTFont(io.BytesIO(stream.get_object().get_data()), lazy=True)
        except (TTLibError, AssertionError, KeyError):
            return None

    @cached_property
    def _cmap(self) -> dict[int, str]:
        table = self._program["cmap"] if self._program is not None else None
        if table is None:
            return {}
        for platform, encoding in ((1, 0), (3, 0), (3, 1)):
            sub = table.getcmap(platform, encoding)
            if sub is not None:
                return dict(sub.cmap)
        return {}

    def _glyph_name(self, code: int) -> str | None:
        if self._program is None:
            return None
        if self.composite:
            order = self._program.getGlyphOrder()
            return order[code] if code < len(order) else None
        return self._cmap.get(code) or self._cmap.get(0xF000 + code)

    def _bounds_of_glyph(self, name: str | None) -> tuple[float, float, float, float] | None:
        if name is None or "glyf" not in self._program:
            return None
        glyf = self._program["glyf"]
        glyph = glyf[name]
        if glyph.numberOfContours == 0:
            return None
        if not hasattr(glyph, "xMin"):
            glyph.recalcBounds(glyf)
        em = self._program["head"].unitsPerEm
        return glyph.xMin / em, glyph.yMin / em, glyph.xMax / em, glyph.yMax / em

    @cached_property
    def _to_unicode(self) -> dict[int, str]:
        stream = self._resource.get("/ToUnicode")
        return _parse_to_unicode(stream.get_object().get_data()) if stream is not None else {}

    @cached_property
    def _code_of(self) -> dict[str, int]:
        return {text: code for code, text in reversed(self._to_unicode.items())}

    @cached_property
    def _widths(self) -> dict[int, float]:
        if not self.composite:
            first = int(self._font.get("/FirstChar", 0))
            return {first + i: float(w) for i, w in enumerate(self._font.get("/Widths", []))}
        return _composite_widths(self._font.get("/W", []))

    @cached_property
    def _default_width(self) -> float:
        if self.composite:
            return float(self._font.get("/DW", 1000))
        return float(self._descriptor.get("/MissingWidth", 0))


def _composite_widths(entries: Any) -> dict[int, float]:
    """A composite font's /W array: ``c [w ...]`` or ``first last w`` (ISO 32000-1, 9.7.4.3)."""
    widths: dict[int, float] = {}
    items = [entry.get_object() for entry in entries]
    i = 0
    while i + 1 < len(items):
        first = int(items[i])
        if isinstance(items[i + 1], list):
            widths.update({first + k: float(w) for k, w in enumerate(items[i + 1])})
            i += 2
        elif i + 2 < len(items):
            last = min(int(items[i + 1]), first + 65535)
            widths.update(dict.fromkeys(range(first, last + 1), float(items[i + 2])))
            i += 3
        else:
            break
    return widths


def _parse_to_unicode(data: bytes) -> dict[int, str]:
    """The bfchar and bfrange entries of a ToUnicode map (ISO 32000-1, 9.10.3)."""
    text = data.decode("latin-1")
    mapping: dict[int, str] = {}
    for block in re.findall(r"beginbfchar(.*?)endbfchar", text, re.S):
        for code, value in re.findall(r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>", block):
            mapping[int(code, 16)] = _utf16(value)
    for block in re.findall(r"beginbfrange(.*?)endbfrange", text, re.S):
        pattern = r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>\s*(?:<([0-9A-Fa-f]+)>|\[(.*?)\])"
        for low, high, start, listed in re.findall(pattern, block, re.S):
            first, last = int(low, 16), min(int(high, 16), int(low, 16) + 65535)
            if start:
                base = int(start, 16)
                for code in range(first, last + 1):
                    mapping[code] = _utf16(f"{base + code - first:0{len(start)}X}")
            else:
                values = re.findall(r"<([0-9A-Fa-f]+)>", listed)
                mapping.update(zip(range(first, last + 1), map(_utf16, values), strict=False))
    return mapping


def _utf16(hexadecimal: str) -> str:
    if len(hexadecimal) <= 4:
        return chr(int(hexadecimal, 16))
    return bytes.fromhex(hexadecimal).decode("utf-16-be", "replace")


# -- the content stream ----------------------------------------------------------------------------


@dataclass(slots=True)
class _TextState:
    font: EmbeddedFont | None = None
    size: float = 0.0
    character_space: float = 0.0
    word_space: float = 0.0
    stretch: float = 1.0
    leading: float = 0.0
    rise: float = 0.0
    colour: str = "#000000"


@dataclass(slots=True)
class _OpenRun:
    """Glyphs gathered between the begin and end of one marked run, in label space (points)."""

    properties: dict[str, Any]
    texts: list[str] = field(default_factory=list)
    font: EmbeddedFont | None = None
    size: float = 0.0
    start: tuple[float, float] | None = None
    end_x: float = 0.0
    ink: Box | None = None
    figures: list[float] = field(default_factory=list)
    colour: str = "#000000"


@dataclass(slots=True)
class _OpenPlace:
    properties: dict[str, Any]
    matrix: Matrix
    runs: list[Run] = field(default_factory=list)


class _Interpreter:
    """Runs one page's content, collecting labels."""

    def __init__(
        self,
        reader: Any,
        page_index: int,
        fonts: dict[int, EmbeddedFont],
        forms: dict[tuple[int, float], tuple[Run, ...]],
    ) -> None:
        self.reader = reader
        self.page_index = page_index
        self.placed: list[PlacedPanel] = []
        self.fonts: dict[str, FontUse] = {}
        self.stray: list[str] = []
        self._font_cache = fonts
        self._form_cache = forms
        self._ctm = Matrix()
        self._state = _TextState()
        self._saved: list[tuple[Matrix, _TextState]] = []
        self._tm = self._line = Matrix()
        self._marks: list[str] = []
        self._place: _OpenPlace | None = None
        self._run: _OpenRun | None = None

    def page(self, page: Any) -> None:
        contents = page.get_contents()
        if contents is not None:
            self._stream(contents.operations, page.get("/Resources", {}), depth=0)

    def _stream(self, operations: Any, resources: Any, depth: int) -> None:
        resources = resources.get_object() if hasattr(resources, "get_object") else resources
        for operands, operator in operations:
            name = operator.decode("latin-1")
            if name == "Do":
                self._form(str(operands[0]), resources, depth)
            elif name == "Tf":
                self._state.font = self._font(str(operands[0]), resources)
                self._state.size = float(operands[1])
            elif name in {"BDC", "BMC"}:
                self._begin_mark(operands, resources)
            else:
                handler = _OPERATORS.get(name)
                if handler:
                    handler(self, operands)

    def _form(self, name: str, resources: Any, depth: int) -> None:
        objects = resources.get("/XObject")
        form = objects.get_object().get(name) if objects is not None else None
        form = form.get_object() if form is not None else None
        if form is None or form.get("/Subtype") != "/Form" or depth >= MAX_FORM_DEPTH:
            return
        if self._place is not None and self._run is None and self._ctm == self._place.matrix:
            self._place.runs += self._label_runs(form, resources, depth)
            return
        self._enter(form, resources, depth)

    def _label_runs(self, form: Any, resources: Any, depth: int) -> tuple[Run, ...]:
        """The runs of a form drawn at a label's own origin: the same on every label it is on."""
        assert self._place is not None
        key = (id(form), round(self._place.matrix.scale, 9))
        if key not in self._form_cache:
            before = len(self._place.runs)
            self._enter(form, resources, depth)
            self._form_cache[key] = tuple(self._place.runs[before:])
            del self._place.runs[before:]
        return self._form_cache[key]

    def _enter(self, form: Any, resources: Any, depth: int) -> None:
        from pypdf.generic import ContentStream

        saved = (self._ctm, replace(self._state))
        own = Matrix(*(float(v) for v in form.get("/Matrix", Matrix())))
        self._ctm = own.then(self._ctm)
        operations = ContentStream(form, self.reader).operations
        self._stream(operations, form.get("/Resources", resources), depth + 1)
        self._ctm, self._state = saved

    def _font(self, name: str, resources: Any) -> EmbeddedFont | None:
        fonts = resources.get("/Font")
        reference = fonts.get_object().get(name) if fonts is not None else None
        resource = reference.get_object() if reference is not None else None
        if resource is None:
            return None
        font = self._font_cache.get(id(resource))
        if font is None:
            font = self._font_cache[id(resource)] = EmbeddedFont(resource)
        return font

    # -- graphics and text state

    def _save(self, _: Any) -> None:
        self._saved.append((self._ctm, replace(self._state)))

    def _restore(self, _: Any) -> None:
        if self._saved:
            self._ctm, self._state = self._saved.pop()

    def _concat(self, operands: Any) -> None:
        self._ctm = Matrix(*map(float, operands)).then(self._ctm)

    def _grey(self, operands: Any) -> None:
        self._state.colour = _hex([float(operands[0])] * 3)

    def _rgb(self, operands: Any) -> None:
        self._state.colour = _hex([float(v) for v in operands])

    def _cmyk(self, operands: Any) -> None:
        c, m, y, k = map(float, operands)
        self._state.colour = _hex([(1 - v) * (1 - k) for v in (c, m, y)])

    def _begin_text(self, _: Any) -> None:
        self._tm = self._line = Matrix()

    def _move(self, operands: Any) -> None:
        x, y = map(float, operands)
        self._tm = self._line = Matrix(e=x, f=y).then(self._line)

    def _move_leading(self, operands: Any) -> None:
        self._state.leading = -float(operands[1])
        self._move(operands)

    def _matrix(self, operands: Any) -> None:
        self._tm = self._line = Matrix(*map(float, operands))

    def _next_line(self, _: Any) -> None:
        self._move((0.0, -self._state.leading))

    # -- marked content

    def _begin_mark(self, operands: Any, resources: Any) -> None:
        tag = str(operands[0])
        properties = operands[1] if len(operands) > 1 else {}
        if isinstance(properties, str):
            named = resources.get("/Properties", {})
            properties = named.get(properties, {}) if named else {}
        properties = properties.get_object() if hasattr(properties, "get_object") else properties
        self._marks.append(tag)
        if tag == PLACE_TAG:
            self._place = _OpenPlace(dict(properties), self._ctm)
        elif tag == RUN_TAG and self._place is not None:
            self._run = _OpenRun(dict(properties))

    def _end_mark(self, _: Any) -> None:
        tag = self._marks.pop() if self._marks else ""
        if tag == RUN_TAG and self._run is not None and self._place is not None:
            run = _closed_run(self._run)
            if run is not None:
                self._place.runs.append(run)
            self._run = None
        elif tag == PLACE_TAG and self._place is not None:
            self.placed.append(_closed_place(self._place, self.page_index))
            self._place = None

    # -- showing text

    def _show(self, operands: Any) -> None:
        self._show_items([operands[0]])

    def _show_array(self, operands: Any) -> None:
        self._show_items(operands[0])

    def _next_and_show(self, operands: Any) -> None:
        self._next_line(None)
        self._show_items([operands[-1]])

    def _show_items(self, items: Any) -> None:
        state = self._state
        if state.font is None:
            return
        font = state.font
        self.fonts.setdefault(font.name, FontUse(font.name, font.embedded))
        for item in items:
            if isinstance(item, int | float) or hasattr(item, "as_numeric"):
                self._advance(-float(item) / 1000 * state.size * state.stretch)
                continue
            for code in font.codes(_raw_bytes(item)):
                self._glyph(font, code)
        if self._run is not None and self._place is not None:
            # The pen's place after the last adjustment, so that tracking is part of the advance.
            self._run.end_x = _inside(self._place.matrix, self._tm.then(self._ctm)).e

    def _glyph(self, font: EmbeddedFont, code: int) -> None:
        state = self._state
        character = font.character(code)
        width = font.width_em(code) * state.size + state.character_space
        if code == 32 and not font.composite:
            width += state.word_space
        if self._place is not None:
            self._collect(font, code, character)
        self._advance(width * state.stretch)

    def _collect(self, font: EmbeddedFont, code: int, character: str) -> None:
        """Adds a glyph to the open run, in the label's own space, at the size it prints."""
        assert self._place is not None
        if self._run is None:
            if character.strip() and "/Artifact" not in self._marks:
                self.stray.append(character)
            return
        run, state = self._run, self._state
        lifted = Matrix(f=state.rise).then(self._tm)
        label = _inside(self._place.matrix, lifted.then(self._ctm))
        size = state.size * math.hypot(label.c, label.d)
        stretch = math.hypot(label.a, label.b) * state.stretch
        if run.start is None:
            run.start, run.font, run.size = (label.e, label.f), font, size
            run.colour = state.colour
        run.texts.append(character)
        bounds = font.bounds_em(code)
        if bounds is None:
            return
        x0, y0, x1, y1 = bounds
        glyph = Box(
            label.e + x0 * state.size * stretch,
            label.f + y0 * size,
            label.e + x1 * state.size * stretch,
            label.f + y1 * size,
        )
        run.ink = glyph if run.ink is None else run.ink.union(glyph)
        if character.isdigit():
            run.figures.append((y1 - y0) * size)

    def _advance(self, by: float) -> None:
        self._tm = Matrix(e=by).then(self._tm)


_OPERATORS: dict[str, Any] = {
    "q": _Interpreter._save,
    "Q": _Interpreter._restore,
    "cm": _Interpreter._concat,
    "g": _Interpreter._grey,
    "rg": _Interpreter._rgb,
    "k": _Interpreter._cmyk,
    "BT": _Interpreter._begin_text,
    "Td": _Interpreter._move,
    "TD": _Interpreter._move_leading,
    "Tm": _Interpreter._matrix,
    "T*": _Interpreter._next_line,
    "Tj": _Interpreter._show,
    "TJ": _Interpreter._show_array,
    "'": _Interpreter._next_and_show,
    '"': _Interpreter._next_and_show,
    "EMC": _Interpreter._end_mark,
}


def _setter(attribute: str, factor: float = 1.0) -> Any:
    def set_it(interpreter: _Interpreter, operands: Any) -> None:
        setattr(interpreter._state, attribute, float(operands[0]) * factor)

    return set_it


_OPERATORS |= {
    "Tc": _setter("character_space"),
    "Tw": _setter("word_space"),
    "Tz": _setter("stretch", 0.01),
    "TL": _setter("leading"),
    "Ts": _setter("rise"),
}


def _raw_bytes(item: Any) -> bytes:
    original = getattr(item, "original_bytes", None)
    return bytes(original if original is not None else item)


def _hex(channels: list[float]) -> str:
    return "#" + "".join(f"{round(min(1.0, max(0.0, v)) * 255):02x}" for v in channels)


def _inside(place: Matrix, point: Matrix) -> Matrix:
    """``point`` seen from the place's lower left corner, turned upright, printed size kept."""
    scale = place.scale or 1.0
    # Rotation and translation are taken out; the scale stays, because it is what prints.
    cos, sin = place.a / scale, place.b / scale
    e, f = point.e - place.e, point.f - place.f
    return Matrix(
        point.a * cos + point.b * sin,
        -point.a * sin + point.b * cos,
        point.c * cos + point.d * sin,
        -point.c * sin + point.d * cos,
        e * cos + f * sin,
        -e * sin + f * cos,
    )


def _closed_run(run: _OpenRun) -> Run | None:
    if run.start is None or run.font is None:
        return None
    mm = 1 / PT_PER_MM
    ink = run.ink or Box(run.start[0], run.start[1], run.end_x, run.start[1])
    font, size = run.font, run.size
    capital, small_o = font.height_em("H"), font.height_em("o")
    n_width = font.width_of_em("N")
    return Run(
        text=_settled_text("".join(run.texts), run.properties.get("/ActualText")),
        element=str(run.properties.get("/E", ""))[1:],
        language=str(run.properties.get("/Lang", NEUTRAL)),
        face=font.name,
        weight=font.weight,
        size_pt=size,
        x_mm=run.start[0] * mm,
        baseline_mm=run.start[1] * mm,
        advance_mm=(run.end_x - run.start[0]) * mm,
        ink=Box(ink.x0_mm * mm, ink.y0_mm * mm, ink.x1_mm * mm, ink.y1_mm * mm),
        letters=Letters(
            capital_mm=capital * size * mm if capital is not None else None,
            small_o_mm=small_o * size * mm if small_o is not None else None,
            figure_mm=min(run.figures) * mm if run.figures else None,
            n_width_mm=n_width * size * mm if n_width is not None else None,
        ),
        colour=run.colour,
    )


def _settled_text(drawn: str, actual: Any) -> str:
    """The drawn text, with the actual text's spaces and hyphens where all letters agree."""
    if actual is None:
        return drawn
    text = str(actual)
    return text if text.translate(_FOLD) == drawn.translate(_FOLD) else drawn


def _closed_place(place: _OpenPlace, page: int) -> PlacedPanel:
    mm = 1 / PT_PER_MM
    props, scale = place.properties, place.matrix.scale
    panel = Panel(
        name=str(props.get("/Panel", "/unknown"))[1:],
        width_mm=float(props.get("/W", 0)) * mm * scale,
        height_mm=float(props.get("/H", 0)) * mm * scale,
        shape=str(props.get("/Shape", "/rectangle"))[1:],
        runs=tuple(place.runs),
    )
    turned = abs(place.matrix.b) > abs(place.matrix.a)
    # A quarter turn anticlockwise puts the panel's own lower left corner at the lower right.
    x = place.matrix.e * mm - (panel.height_mm if turned and place.matrix.b > 0 else 0.0)
    y = place.matrix.f * mm - (panel.width_mm if turned and place.matrix.b < 0 else 0.0)
    return PlacedPanel(page, int(props.get("/N", 0)), panel, x, y, turned)


def read_panels(path: Path) -> Readback:
    """Every label of a finished PDF as placed panels of runs.

    Raises InputError when the file is missing, no PDF, encrypted or damaged. A PDF without
    labelkit's marks has no panels: the caller decides what that means.
    """
    return read_panels_of(read_bytes(path, "a PDF", MAX_PDF_BYTES), shown_path(path))


def read_panels_of(data: bytes, name: str) -> Readback:
    """The same for a PDF in memory; ``name`` is what complaints call it."""
    from pypdf import PdfReader

    if b"%PDF-" not in data[:1024]:
        raise InputError(name, "", None, "is no PDF")
    with readable_pdf(name):
        reader = PdfReader(io.BytesIO(data))
        if reader.is_encrypted:
            raise InputError(name, "", None, "is encrypted; expected an open PDF")
        return _read_pages(name, reader)


@contextmanager
def readable_pdf(name: str) -> Iterator[None]:
    """Turns whatever goes wrong inside a PDF's parser into one InputError.

    A damaged file, or a damaged font in it, makes its parser fail in any way there is; all of them
    mean the same to a maker.
    """
    try:
        yield
    except InputError:
        raise
    except Exception as error:
        reason = " ".join(str(error).split())[:80] or type(error).__name__
        raise InputError(name, "", None, f"cannot be read as PDF: {reason}") from error


def _read_pages(name: str, reader: Any) -> Readback:
    panels: list[PlacedPanel] = []
    fonts: dict[str, FontUse] = {}
    stray: list[str] = []
    loaded: dict[int, EmbeddedFont] = {}
    forms: dict[tuple[int, float], tuple[Run, ...]] = {}
    for index, page in enumerate(reader.pages):
        interpreter = _Interpreter(reader, index, loaded, forms)
        interpreter.page(page)
        panels += interpreter.placed
        fonts |= interpreter.fonts
        stray += ["".join(interpreter.stray)] if interpreter.stray else []
    return Readback(name, len(reader.pages), tuple(panels), tuple(fonts.values()), tuple(stray))
