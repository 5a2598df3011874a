"""What a page shows once it is on paper, as an image, and how two such images differ.

PDFium decides what shows: annotations that print, layers as they print, whatever lies over what.
Whether that ink is the right one is a question about two images, not about what made them.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import field, replace
from typing import IO, TYPE_CHECKING, Any, cast

import pypdfium2
import pypdfium2.raw as pdfium

from labelkit.common.frozen import dataclass
from labelkit.common.quantity import PT_PER_MM
from labelkit.model.runs import Box, Panel, Run

if TYPE_CHECKING:
    from PIL import Image

INK_DPI = 400
"""Finer than any office printer shows text; a decimal point of 4 pt is two dots wide."""
MOST_DOTS = 32_000_000
"""Pages larger than A3 are looked at less closely."""
_PT_PER_INCH = 72
EDGE_MM = 0.2
"""Of the ground around a text, to tell it from."""

TONE = 96
"""Levels of grey (of 255) by which a dot may differ from every dot beside it: what is left of the
pale edges of letters where a place was rounded to half a dot. Rich black is within it."""
ODD_DOTS = 3
"""So many odd dots of nine together are seen; fewer are the tip of a stroke."""
AMOUNT = 80
"""Levels by which the ink of a small neighbourhood may differ: letters that became outlines, bolder
or narrower within a dot of where they stood have more or less ink."""
FILLS = 0.15
"""A text whose ink grows by more than this share of it, all of it in its own gaps, is told: text of
5 pt grows by a twentieth, heavy letters of 3 pt by a quarter (labelkit's own judgement)."""
FILLS_LEFT_OUT = 0.45
"""The same of what is left of letters in a dark ground."""
SEEN = 40
"""Levels by which the dots where a text stands must differ for it to be there for a reader: a grey
of #d7d7d7 on white is not."""
UNKNOWN_EM = 0.5
"""How high, and at least how wide, letters are taken to be of which only the size is known."""
COVERED = 1 / 3
"""A text of which more than this cannot be seen is not there."""
NEIGHBOURHOOD = 3
"""How many dots that neighbourhood reaches in each direction."""
REACH = 2 * (NEIGHBOURHOOD + 2)
"""Farther from dots that differ nothing is odd, and nothing that is depends on what is farther."""


@dataclass(frozen=True)
class PagePiece:
    """A part of a page as it prints, in dots from the page's upper left corner."""

    left: int
    top: int
    width: int
    height: int
    bands: tuple[bytes, ...]
    """Rows from the top, one byte a dot, 255 where there is no ink: how light the darkest of red,
    green and blue is there, which yellow has as much of as black; and where it has colours the
    lightest of them, which red has none of."""


@dataclass(frozen=True)
class PageInk:
    """A page as it prints: what its crop box shows, upright in its own coordinates."""

    left_mm: float
    """The lower left corner of what shows, in the coordinates of the page."""
    low_mm: float
    dpi: float
    width: int
    height: int
    pieces: tuple[PagePiece, ...]
    """The parts that were rendered; where they lie over each other they show the same."""

    @property
    def width_mm(self) -> float:
        return self.width * _PT_PER_INCH / self.dpi / PT_PER_MM

    @property
    def height_mm(self) -> float:
        return self.height * _PT_PER_INCH / self.dpi / PT_PER_MM

    def cut_out(self, box: Box, turns: int) -> list[Image.Image]:
        """What shows in a box of the page (mm), turned upright; no ink where the page ends.

        An image for each band. The box lies in what was rendered.

        ``turns`` are the quarter turns anticlockwise in which the label lies there.
        """
        from PIL import Image

        dots = self.dpi / _PT_PER_INCH * PT_PER_MM
        left, right = (round((x - self.left_mm) * dots) for x in (box.x0_mm, box.x1_mm))
        top, low = (self.height - round((y - self.low_mm) * dots) for y in (box.y1_mm, box.y0_mm))
        touched = [
            piece
            for piece in self.pieces
            if left < piece.left + piece.width
            and right > piece.left
            and top < piece.top + piece.height
            and low > piece.top
        ]
        images = []
        for number in range(max((len(piece.bands) for piece in touched), default=1)):
            label = Image.new("L", (max(1, right - left), max(1, low - top)), 255)
            for piece in touched:
                band, size = (
                    piece.bands[min(number, len(piece.bands) - 1)],
                    (piece.width, piece.height),
                )
                shown = Image.frombuffer("L", size, band, "raw", "L", 0, 1)
                label.paste(shown, (piece.left - left, piece.top - top))
            images.append(label.rotate(-90 * turns, expand=True) if turns else label)
        return images


@dataclass(frozen=True, slots=True)
class LabelOnPage:
    """A label where a page was read to have it (mm), in so many quarter turns anticlockwise."""

    panel: Panel
    box: Box
    turns: int


@dataclass(frozen=True, slots=True)
class DrawnPage:
    """Labels freshly drawn on a page of their own."""

    data: bytes = field(repr=False)
    """A PDF of one page."""
    places: tuple[tuple[Box, Box, int], ...]
    """Where each label should stand on the page that was found (mm), where it stands on this one,
    and its quarter turns."""


@dataclass(frozen=True)
class PageLook:
    """What is seen of a page's labels."""

    ink: PageInk
    """Without its pieces where every label shows, dot for dot, what was drawn for it."""
    seen: tuple[tuple[int, ...], ...]
    """The numbers of the runs that show, by label."""


def look_at_page(
    source: bytes,
    index: int,
    unit: float,
    boxes: Sequence[Box],
    labels: Sequence[LabelOnPage],
    drawn: Sequence[DrawnPage],
) -> PageLook:
    """Looks for the text of labels on a page (0-based), and whether all of them are as drawn.

    To be run in the confined child: the pictures of a page that is as it should be are large, and
    stay there. ``boxes`` hold all labels, as found and as they should be.
    """
    found = render_page_ink(source, index, unit, boxes)
    seen = tuple(find_seen_runs(found.cut_out(one.box, one.turns), one.panel) for one in labels)
    as_drawn = all(_is_as_drawn(found, page) for page in drawn)
    return PageLook(replace(found, pieces=()) if as_drawn else found, seen)


def _is_as_drawn(found: PageInk, drawn: DrawnPage) -> bool:
    from PIL import ImageChops

    boxes = [wanted for _, wanted, _ in drawn.places]
    expected = render_page_ink(drawn.data, 0, boxes=boxes)
    for box, wanted, turns in drawn.places:
        images = found.cut_out(box, turns), expected.cut_out(wanted, turns)
        if [one.size for one in images[0]] != [one.size for one in images[1]]:
            return False
        if any(ImageChops.difference(*pair).getbbox() for pair in zip(*images, strict=True)):
            return False
    return True


def measure_page(source: bytes, index: int, unit: float = 1.0) -> PageInk:
    """How large a page (0-based) prints, without any of its pieces. To be run in the confined
    child."""
    return _load_page(source, index, unit)[1]


def render_page_ink(
    source: bytes | IO[bytes], index: int, unit: float = 1.0, boxes: Sequence[Box] = ()
) -> PageInk:
    """A page of a PDF (0-based) as it prints: all of it, or what shows in ``boxes`` of it (mm).

    To be run in the confined child, but for labelkit's own files. ``unit`` is how many points one
    of the page is, which PDFium does not ask.
    """
    page, ink = _load_page(source, index, unit)
    scale = ink.dpi * unit / _PT_PER_INCH
    cuts = [_find_cut(box, find_shown_box(page), unit, scale) for box in boxes]
    dots = sum(max(0, ink.width - a - c) * max(0, ink.height - b - d) for a, b, c, d in cuts)
    if not cuts or dots > ink.width * ink.height:
        cuts = [(0, 0, 0, 0)]
    pieces = (
        _render_piece(page, cut, scale)
        for cut in cuts
        if cut[0] + cut[2] < ink.width and cut[1] + cut[3] < ink.height
    )
    return replace(ink, pieces=tuple(pieces))


def _load_page(source: bytes | IO[bytes], index: int, unit: float) -> tuple[Any, PageInk]:
    """A page to be rendered, and what it measures."""
    document: Any = pypdfium2.PdfDocument(source)
    document.init_forms()
    page = document[index]
    page.set_rotation(0)
    left, low, right, top = find_shown_box(page)
    # PDFium takes a page for what its crop box leaves of it.
    page.set_cropbox(left, low, right, top)
    width, height = pdfium.FPDF_GetPageWidthF(page), pdfium.FPDF_GetPageHeightF(page)
    scale = min(INK_DPI * unit / _PT_PER_INCH, (MOST_DOTS / (width * height)) ** 0.5)
    size = (math.ceil(width * scale), math.ceil(height * scale))
    origin = left * unit / PT_PER_MM, low * unit / PT_PER_MM
    return page, PageInk(*origin, scale * _PT_PER_INCH / unit, *size, ())


def _render_piece(page: Any, cut: tuple[int, int, int, int], scale: float) -> PagePiece:
    # pypdfium2 wants points, and rounds up what they come to in dots.
    crop = tuple((dots - 0.5) / scale if dots else 0 for dots in cut)
    image = page.render(scale=scale, crop=crop, optimize_mode="print", may_draw_forms=True).to_pil()
    return PagePiece(cut[0], cut[3], image.width, image.height, _find_bands(image))


def _find_cut(
    box: Box, page: tuple[float, float, float, float], unit: float, scale: float
) -> tuple[int, int, int, int]:
    """How many dots of a page (its own units) lie left of, under, right of and over a box (mm).

    Two dots beside the box stay, for what is rounded.
    """
    per_mm = PT_PER_MM / unit
    sides = (
        box.x0_mm * per_mm - page[0],
        box.y0_mm * per_mm - page[1],
        page[2] - box.x1_mm * per_mm,
        page[3] - box.y1_mm * per_mm,
    )
    left, low, right, top = (max(0, int(side * scale) - 2) for side in sides)
    return left, low, right, top


def _find_bands(image: Image.Image) -> tuple[bytes, ...]:
    from PIL import ImageChops

    red, green, blue = image.split() if image.mode == "RGB" else image.convert("RGB").split()
    grey = red.tobytes()
    if grey == green.tobytes() == blue.tobytes():
        return (grey,)
    darkest = ImageChops.darker(ImageChops.darker(red, green), blue)
    lightest = ImageChops.lighter(ImageChops.lighter(red, green), blue)
    return darkest.tobytes(), lightest.tobytes()


def find_shown_box(page: Any) -> tuple[float, float, float, float]:
    """The crop box inside the media box (ISO 32000-1, 14.11.2.1), in points."""
    media, crop = page.get_mediabox(), page.get_cropbox()
    (l0, b0, r0, t0), (l1, b1, r1, t1) = media, crop
    return max(l0, l1), max(b0, b1), min(r0, r1), min(t0, t1)


def find_seen_runs(label: Sequence[Image.Image], panel: Panel) -> tuple[int, ...]:
    """The numbers of a panel's runs that show in the images of a label, one for each band.

    Whatever hides a text (no paint, an opacity, a clip, a layer, a cover, the edge of the page),
    where it stands there is one colour. What of it stands over the trim is not looked at. Of a
    label that a page draws without any width or height no text shows.
    """
    flat = not panel.trim.width_mm or not panel.trim.height_mm
    return tuple(
        number
        for number, run in enumerate(panel.runs)
        if not run.text.strip() or (not flat and _is_seen(label, run, panel))
    )


def _is_seen(label: Sequence[Image.Image], run: Run, panel: Panel) -> bool:
    """Looks at a text piece by piece, each a letter or two wide."""
    ink, size = run.ink, label[0].size
    if not ink.height_mm:  # letters of a font that is not in the file have no outlines to measure
        letter_mm = UNKNOWN_EM * run.size_pt / PT_PER_MM
        right = max(ink.x1_mm, ink.x0_mm + letter_mm)
        ink = replace(ink, x1_mm=right, y1_mm=ink.y0_mm + letter_mm)
    near = Box(ink.x0_mm - EDGE_MM, ink.y0_mm - EDGE_MM, ink.x1_mm + EDGE_MM, ink.y1_mm + EDGE_MM)
    left, top = find_dot(near.x0_mm, near.y1_mm, size, panel.trim)
    right, low = find_dot(near.x1_mm, near.y0_mm, size, panel.trim)
    count = max(1, round((right - left) / (1.5 * (low - top))))
    step = (right - left) / count
    looked_at = hidden = 0
    first, end = max(0, math.floor(-left / step)), min(count, math.ceil((size[0] - left) / step))
    for number in range(first, end):  # a damaged file has texts that are metres long
        edges = (left + number * step, top, left + (number + 1) * step, low)
        x0, y0, x1, y1 = (
            min(max(0, round(edge)), most) for edge, most in zip(edges, size * 2, strict=True)
        )
        if x0 < x1 and y0 < y1:
            looked_at += 1
            hidden += all(_measure_range(band.crop((x0, y0, x1, y1))) < SEEN for band in label)
    return bool(looked_at) and hidden <= looked_at * COVERED


def _measure_range(grey: Image.Image) -> int:
    """From the darkest dot to the lightest."""
    least, most = cast("tuple[int, int]", grey.getextrema())
    return most - least


def fills_with_toner(label: Image.Image, run: Run, panel: Panel) -> bool:
    """Whether counters and gaps of a text close where its ink spreads by a dot on every side.

    Of letters left out of a dark ground: whether those do.
    """
    from PIL import ImageChops

    left, top = find_dot(run.ink.x0_mm, run.ink.y1_mm, label.size, panel.trim)
    right, low = find_dot(run.ink.x1_mm, run.ink.y0_mm, label.size, panel.trim)
    letters = label.crop((int(left) - 2, int(top) - 2, int(right) + 3, int(low) + 3))
    spread = _spread(_spread(letters, ImageChops.darker), ImageChops.lighter)
    dots = letters.size[0] * letters.size[1]
    light, kept = _sum_levels(letters), _sum_levels(spread)
    if light < dots * 255 / 2:
        return light - kept > FILLS_LEFT_OUT * light
    return light - kept > FILLS * (dots * 255 - light)


def _sum_levels(grey: Image.Image) -> int:
    return sum(level * count for level, count in enumerate(grey.histogram()))


@dataclass(frozen=True)
class InkDifference:
    """Where the ink of a label is not as composed: white dots in images of the label, upright."""

    extra: Image.Image
    """Ink that is there and should not be."""
    missing: Image.Image
    """Ink that should be there and is not."""


def compare_ink(
    expected: Sequence[Image.Image], found: Sequence[Image.Image], inside: Image.Image
) -> InkDifference | None:
    """What differs where ``inside`` is white; None where nothing does that anybody could see.

    Images for each band; where one of the two has no colours, one serves for both of the other's.
    """
    from PIL import Image, ImageChops

    extra, missing = (Image.new("L", inside.size, 0) for _ in range(2))
    for number in range(max(len(expected), len(found))):
        wanted, there = (images[min(number, len(images) - 1)] for images in (expected, found))
        differs = ImageChops.difference(wanted, there).getbbox()
        if differs is not None:
            near = _widen(differs, REACH, inside.size)
            one, other = wanted.crop(near), there.crop(near)
            for total, odd in (
                (extra, _find_darker(other, one)),
                (missing, _find_darker(one, other)),
            ):
                total.paste(ImageChops.lighter(total.crop(near), odd), near)
    difference = InkDifference(
        ImageChops.multiply(extra, inside), ImageChops.multiply(missing, inside)
    )
    seen = difference.extra.getbbox() or difference.missing.getbbox()
    return difference if seen else None


def _widen(
    box: tuple[int, int, int, int], dots: int, size: tuple[int, int]
) -> tuple[int, int, int, int]:
    left, top, right, low = box
    return (
        max(0, left - dots),
        max(0, top - dots),
        min(size[0], right + dots),
        min(size[1], low + dots),
    )


def _find_darker(one: Image.Image, other: Image.Image) -> Image.Image:
    """White where one image has ink that the other has not, a dot's shift aside.

    PDFium sets every letter on whole dots, so that two places that are equal but for the rounding
    of a number in a file may come out a dot apart.
    """
    from PIL import ImageChops, ImageFilter

    darkest, palest = _spread(other, ImageChops.darker), _spread(one, ImageChops.lighter)
    # Ink where the other has none near by, and paper of the other where this one has only ink.
    tone = ImageChops.lighter(ImageChops.subtract(darkest, one), ImageChops.subtract(other, palest))
    blur = ImageFilter.BoxBlur(NEIGHBOURHOOD)
    amount = ImageChops.subtract(_spread(other.filter(blur), ImageChops.darker), one.filter(blur))
    odd = ImageChops.lighter(_choose_over(tone, TONE), _choose_over(amount, AMOUNT))
    return _choose_over(odd.filter(ImageFilter.BoxBlur(1)), 255 * ODD_DOTS // 9 - 1)


def _choose_over(image: Image.Image, level: int) -> Image.Image:
    """White where an image is lighter than ``level``, black elsewhere."""
    return image.point([255 * (grey > level) for grey in range(256)])


def _spread(image: Image.Image, choose: Any) -> Image.Image:
    """Every dot the darkest, or palest, of the nine about it."""
    for across, up in ((1, 0), (0, 1)):
        shifted = [_shift(image, sign * across, sign * up) for sign in (-1, 1)]
        image = choose(image, choose(*shifted))
    return image


def _shift(image: Image.Image, across: int, down: int) -> Image.Image:
    """The image moved by so many dots; its edge is repeated, not carried round."""
    moved = image.copy()
    moved.paste(image, (across, down))
    return moved


def make_mask(contour: list[tuple[float, float]], size: tuple[int, int], box: Box) -> Image.Image:
    """White inside a closed contour (mm), in an image of ``size`` dots that shows ``box``."""
    from PIL import Image, ImageDraw

    mask = Image.new("L", size, 0)
    points = [find_dot(x, y, size, box) for x, y in contour]
    ImageDraw.Draw(mask).polygon(points, fill=255)
    return mask


def find_dot(x: float, y: float, size: tuple[int, int], box: Box) -> tuple[float, float]:
    """Where a point of the label (mm, y up) lies in its image (dots, y down)."""
    width, height = box.x1_mm - box.x0_mm, box.y1_mm - box.y0_mm
    return (x - box.x0_mm) / width * size[0], (box.y1_mm - y) / height * size[1]


def make_difference_picture(difference: InkDifference, found: Image.Image) -> Image.Image:
    """What was found, pale, with ink too much in red and ink too little in blue."""
    from PIL import Image

    picture = found.point([160 + level * 95 // 255 for level in range(256)]).convert("RGB")
    picture.paste(Image.new("RGB", found.size, (220, 0, 0)), mask=difference.extra)
    picture.paste(Image.new("RGB", found.size, (0, 60, 220)), mask=difference.missing)
    return picture


def encode_png(image: Image.Image, dpi: float = INK_DPI) -> bytes:
    stream = io.BytesIO()
    image.save(stream, "PNG", dpi=(dpi, dpi))
    return stream.getvalue()
