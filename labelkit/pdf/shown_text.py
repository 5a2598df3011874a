"""The text that shows on the pages of any PDF, measured by its ink.

PDFium tells the characters and about where they stand; what is measured is the page as it prints.
"""

from __future__ import annotations

import ctypes
import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple, cast

import pypdfium2
import pypdfium2.raw as pdfium

from labelkit.common.frozen import dataclass
from labelkit.common.quantity import PT_PER_MM
from labelkit.model.runs import Box
from labelkit.pdf.ink import SEEN, find_shown_box
from labelkit.pdf.read.state import format_hex_colour

if TYPE_CHECKING:
    from PIL import Image

FINE_DPI = 1200
"""A dot is 0.02 mm: letters are measured to less than laws tell apart."""
MOST_DOTS = 24_000_000
MOST_CHARACTERS = 20_000
_PT_PER_INCH = 72
_SAME_LINE = 0.3
"""Ems by which the foot of a letter may differ from the last one's on the same line."""
_NEXT_WORD = 1.5
"""Ems between two letters of one text."""
FLAT_CAPITALS = frozenset("BDEFHIKLMNPRTUVWXYZ")
"""Without the overshoot of round ones, as laws and type measure a capital."""
SMALL_LETTERS = frozenset("acemnorsuvwxz")
HANGING_LETTERS = frozenset("gpqy")
"""Small letters that reach below the line, and are measured from it."""
FIGURE_SIZE = (16, 24)
"""Dots across and down to which figures are brought to tell them apart by shape."""


INKED = [int(level >= 128) for level in range(256)]
_Colour = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class ShownFigure:
    """A figure as the file reads it, and its shape."""

    reads: str
    shape: bytes
    """FIGURE_SIZE dots in rows from the top, 1 where there is ink."""


@dataclass(frozen=True, slots=True)
class ShownText:
    """A line of text on a page; lengths in printed millimetres."""

    text: str
    ink: Box
    capital_mm: float | None
    """Height of the ink of its lowest flat capital; None where it has none."""
    small_o_mm: float | None
    """The same of letters without ascender or descender."""
    figure_mm: float | None
    colour: str
    """What shows, as #rrggbb."""
    ground: str
    figures: tuple[ShownFigure, ...] = ()


@dataclass(frozen=True, slots=True)
class ShownPage:
    """What shows on a page."""

    width_mm: float
    height_mm: float
    texts: tuple[ShownText, ...]
    other_ink: float
    """What share of its ink is beside all text: drawings, pictures, letters made outlines."""


class _Letter(NamedTuple):
    character: str
    box: tuple[float, float, float, float]
    """Left, lower, right and upper edge in points of the page."""
    foot: float
    size: float


def read_shown_page(data: bytes, index: int, unit: float = 1.0) -> ShownPage:
    """What shows on a page of a PDF (0-based). To be run in the confined child.

    ``unit`` is how many points one of the page is.
    """
    document = pypdfium2.PdfDocument(data)
    document.init_forms()
    page = document[index]
    page.set_rotation(0)
    left, low, right, top = find_shown_box(page)
    page.set_cropbox(left, low, right, top)
    width, height = right - left, top - low
    scale = min(FINE_DPI * unit / _PT_PER_INCH, (MOST_DOTS / (width * height)) ** 0.5)
    image = page.render(scale=scale, optimize_mode="print", may_draw_forms=True).to_pil()
    look = _Look(image.convert("RGB"), left, low, scale, scale * PT_PER_MM / unit)
    texts = tuple(text for line in _list_lines(page) if (text := look.measure(line)) is not None)
    return ShownPage(
        width * unit / PT_PER_MM,
        height * unit / PT_PER_MM,
        texts,
        look.measure_other_ink(texts),
    )


def _list_lines(page: Any) -> Iterator[list[_Letter]]:
    """Letters in the order of the file, as far as they stand beside each other."""
    line: list[_Letter] = []
    last: _Letter | None = None
    for letter in _list_letters(page):
        if not letter.character.strip():
            line.append(letter)
            continue
        if last is not None and (
            abs(letter.foot - last.foot) > _SAME_LINE * last.size
            or abs(letter.box[0] - last.box[2]) > _NEXT_WORD * last.size
            or abs(letter.size - last.size) > 0.1 * last.size
        ):
            yield line
            line = []
        line.append(letter)
        last = letter
    if line:
        yield line


def _list_letters(page: Any) -> Iterator[_Letter]:
    text = page.get_textpage()
    for index in range(min(text.count_chars(), MOST_CHARACTERS)):
        character = chr(pdfium.FPDFText_GetUnicode(text, index))
        x, y = ctypes.c_double(), ctypes.c_double()
        pdfium.FPDFText_GetCharOrigin(text, index, x, y)
        edges = text.get_charbox(index)
        matrix = pdfium.FS_MATRIX()
        pdfium.FPDFText_GetMatrix(text, index, matrix)
        size = abs(pdfium.FPDFText_GetFontSize(text, index)) * math.hypot(matrix.c, matrix.d)
        if character not in "\r\n\0":
            yield _Letter(character, edges, y.value, size or edges[3] - edges[1])


@dataclass(frozen=True)
class _Look:
    """A page as it prints."""

    image: Image.Image
    left: float
    """Of what shows, in points of the page."""
    low: float
    scale: float
    """Dots a point of the page."""
    per_mm: float
    """Dots a printed millimetre."""

    def measure(self, line: list[_Letter]) -> ShownText | None:
        """A line of letters by its ink; None where none of it shows."""
        seen = [letter for letter in line if letter.character.strip()]
        if not seen:
            return None
        around = self._enclose([letter.box for letter in seen], 0.3)
        colour, ground = _find_colours(self.image.crop(around))
        if colour is None:
            return None
        mask = _make_mask(self.image.crop(around), ground, colour)
        boxes = {id(one): self._find_ink(mask, around, one) for one in seen}
        text = "".join(one.character for one in line if boxes.get(id(one), True) is not None)
        found = [(one.character, box) for one in seen if (box := boxes[id(one)]) is not None]
        if not found:
            return None

        def least(letters: frozenset[str], *more: float) -> float | None:
            heights = [box[3] - box[1] for letter, box in found if letter in letters]
            return min((*heights, *more)) / self.per_mm if heights or more else None

        hanging = [
            self._find_row(one.foot) - box[1]
            for one in seen
            if one.character in HANGING_LETTERS and (box := boxes[id(one)]) is not None
        ]

        edges = [box for _, box in found]
        return ShownText(
            " ".join(text.split()),
            self._to_mm(
                min(box[0] for box in edges),
                min(box[1] for box in edges),
                max(box[2] for box in edges),
                max(box[3] for box in edges),
            ),
            least(FLAT_CAPITALS),
            least(SMALL_LETTERS, *hanging),
            least(frozenset("0123456789")),
            _format_colour(colour),
            _format_colour(ground),
            tuple(
                ShownFigure(letter, _take_shape(mask, around, box))
                for letter, box in found
                if letter in "0123456789"
            ),
        )

    def _enclose(
        self, boxes: list[tuple[float, float, float, float]], grow: float
    ) -> tuple[int, int, int, int]:
        """Dots around boxes of the page, larger by a share of their height."""
        x0, y0 = min(box[0] for box in boxes), min(box[1] for box in boxes)
        x1, y1 = max(box[2] for box in boxes), max(box[3] for box in boxes)
        more = grow * (y1 - y0) * self.scale + 1
        width, height = self.image.size
        return (
            max(0, int((x0 - self.left) * self.scale - more)),
            max(0, int(height - (y1 - self.low) * self.scale - more)),
            min(width, max(1, int((x1 - self.left) * self.scale + more))),
            min(height, max(1, int(height - (y0 - self.low) * self.scale + more))),
        )

    def _find_row(self, y: float) -> float:
        """How many dots under the page's upper edge a height of the page (points) is."""
        return self.image.size[1] - (y - self.low) * self.scale

    def _find_ink(
        self, mask: Image.Image, line: tuple[int, int, int, int], letter: _Letter
    ) -> tuple[int, int, int, int] | None:
        """The dots of the page that a letter inks, given the mask of what is around its line."""
        edges = self._enclose([letter.box], 0.0)
        x0, y0 = max(edges[0], line[0]), max(edges[1], line[1])
        x1, y1 = min(edges[2], line[2]), min(edges[3], line[3])
        if x0 >= x1 or y0 >= y1:
            return None
        left, top = line[:2]
        found = mask.crop((x0 - left, y0 - top, x1 - left, y1 - top)).getbbox()
        return found and (x0 + found[0], y0 + found[1], x0 + found[2], y0 + found[3])

    def _to_mm(self, left: float, top: float, right: float, low: float) -> Box:
        height = self.image.size[1]
        return Box(
            left / self.per_mm,
            (height - low) / self.per_mm,
            right / self.per_mm,
            (height - top) / self.per_mm,
        )

    def measure_other_ink(self, texts: tuple[ShownText, ...]) -> float:
        """The share of the page's ink that is beside all its text."""
        small = self.image.convert("L").reduce(max(1, round(self.per_mm / 8)))
        dots_per_mm = small.size[0] / self.image.size[0] * self.per_mm
        inked = small.point([255 * (level < 255 - SEEN) for level in range(256)])
        whole = inked.histogram()[255]
        for text in texts:
            box = text.ink
            edges = (
                int(box.x0_mm * dots_per_mm) - 2,
                int(small.size[1] - box.y1_mm * dots_per_mm) - 2,
                int(box.x1_mm * dots_per_mm) + 3,
                int(small.size[1] - box.y0_mm * dots_per_mm) + 3,
            )
            inked.paste(0, edges)
        return inked.histogram()[255] / whole if whole else 0.0


def _take_shape(
    mask: Image.Image, line: tuple[int, int, int, int], box: tuple[int, int, int, int]
) -> bytes:
    left, top = line[:2]
    cut = mask.crop((box[0] - left, box[1] - top, box[2] - left, box[3] - top))
    return cut.resize(FIGURE_SIZE).point(INKED).tobytes()


def _find_colours(image: Image.Image) -> tuple[_Colour | None, _Colour]:
    """The colours of a text, None where it cannot be told from its ground, and of that."""
    found = image.getcolors(image.size[0] * image.size[1])
    counted = cast("list[tuple[int, _Colour]]", found or [(1, (255, 255, 255))])
    _, ground = max(counted)
    enough = max(2, image.size[0] * image.size[1] // 1000)
    plain = [colour for count, colour in counted if count >= enough] or [ground]
    furthest = max(plain, key=lambda colour: (_distance(colour, ground), colour))
    return (furthest if _distance(furthest, ground) >= SEEN else None), ground


def _distance(one: _Colour, other: _Colour) -> int:
    return max(abs(a - b) for a, b in zip(one, other, strict=True))


def _make_mask(image: Image.Image, ground: _Colour, colour: _Colour) -> Image.Image:
    """White where a dot is nearer to the text's colour than to the ground's."""
    from PIL import Image, ImageChops

    difference = ImageChops.difference(image, Image.new("RGB", image.size, ground))
    most = _distance(colour, ground)
    red, green, blue = difference.split()
    grey = ImageChops.lighter(ImageChops.lighter(red, green), blue)
    return grey.point([255 * (2 * level >= most) for level in range(256)])


def _format_colour(colour: _Colour) -> str:
    return format_hex_colour([channel / 255 for channel in colour])
