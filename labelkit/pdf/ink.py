"""What a page shows once it is on paper, as an image, and how two such images differ.

PDFium decides what shows: annotations that print, layers as they print, whatever lies over what.
Whether that ink is the right one is a question about two images, not about what made them.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from labelkit.common.quantity import PT_PER_MM
from labelkit.model.runs import Box

if TYPE_CHECKING:
    from PIL import Image

INK_DPI = 400
"""Finer than any office printer shows text; a decimal point of 4 pt is two dots wide."""
MOST_DOTS = 60_000_000
"""Pages larger than A3 are looked at less closely."""
_PT_PER_INCH = 72

TONE = 96
"""Levels of grey (of 255) by which a dot may differ from every dot beside it: what is left of the
pale edges of letters where a place was rounded to half a dot. Rich black is within it."""
ODD_DOTS = 3
"""So many odd dots of nine together are seen; fewer are the tip of a stroke."""
AMOUNT = 80
"""Levels by which the ink of a small neighbourhood may differ: letters that became outlines, bolder
or narrower within a dot of where they stood have more or less ink."""
NEIGHBOURHOOD = 3
"""How many dots that neighbourhood reaches in each direction."""


@dataclass(frozen=True)
class PageInk:
    """A page as it prints: what its crop box shows, upright in its own coordinates."""

    left_mm: float
    """The lower left corner of what shows, in the coordinates of the page."""
    low_mm: float
    dpi: float
    width: int
    height: int
    greys: bytes
    """Rows from the top, one byte a dot, 255 where there is no ink."""

    @property
    def width_mm(self) -> float:
        return self.width * _PT_PER_INCH / self.dpi / PT_PER_MM

    @property
    def height_mm(self) -> float:
        return self.height * _PT_PER_INCH / self.dpi / PT_PER_MM

    def cut_out(self, box: Box, turns: int) -> Image.Image:
        """What shows in a box of the page (mm), turned upright; no ink where the page ends.

        ``turns`` are the quarter turns anticlockwise in which the label lies there.
        """
        from PIL import Image

        dots = self.dpi / _PT_PER_INCH * PT_PER_MM
        left, right = (round((x - self.left_mm) * dots) for x in (box.x0_mm, box.x1_mm))
        top, low = (self.height - round((y - self.low_mm) * dots) for y in (box.y1_mm, box.y0_mm))
        page = Image.frombuffer("L", (self.width, self.height), self.greys, "raw", "L", 0, 1)
        label = Image.new("L", (max(1, right - left), max(1, low - top)), 255)
        label.paste(page, (-left, -top))
        return label.rotate(-90 * turns, expand=True) if turns else label


def render_page_ink(data: bytes, index: int) -> PageInk:
    """A page of a PDF (0-based) as it prints. To be run in the confined child."""
    import pypdfium2
    import pypdfium2.raw as pdfium

    document = pypdfium2.PdfDocument(data)
    document.init_forms()
    page = document[index]
    page.set_rotation(0)
    left, low, right, top = _find_shown_box(page)
    # PDFium takes a page for what its crop box leaves of it.
    page.set_cropbox(left, low, right, top)
    width, height = pdfium.FPDF_GetPageWidthF(page), pdfium.FPDF_GetPageHeightF(page)
    scale = min(INK_DPI / _PT_PER_INCH, (MOST_DOTS / (width * height)) ** 0.5)
    image = page.render(
        scale=scale, grayscale=True, optimize_mode="print", may_draw_forms=True
    ).to_pil()
    return PageInk(
        left / PT_PER_MM,
        low / PT_PER_MM,
        scale * _PT_PER_INCH,
        image.width,
        image.height,
        image.tobytes(),
    )


def _find_shown_box(page: Any) -> tuple[float, float, float, float]:
    """The crop box inside the media box (ISO 32000-1, 14.11.2.1), in points."""
    media, crop = page.get_mediabox(), page.get_cropbox()
    (l0, b0, r0, t0), (l1, b1, r1, t1) = media, crop
    return max(l0, l1), max(b0, b1), min(r0, r1), min(t0, t1)


@dataclass(frozen=True)
class InkDifference:
    """Where the ink of a label is not as composed: white dots in images of the label, upright."""

    extra: Image.Image
    """Ink that is there and should not be."""
    missing: Image.Image
    """Ink that should be there and is not."""


def compare_ink(
    expected: Image.Image, found: Image.Image, inside: Image.Image
) -> InkDifference | None:
    """What differs where ``inside`` is white; None where nothing does that anybody could see."""
    from PIL import ImageChops

    if ImageChops.difference(expected, found).getbbox() is None:
        return None
    extra = _find_darker(found, expected)
    missing = _find_darker(expected, found)
    difference = InkDifference(
        ImageChops.multiply(extra, inside), ImageChops.multiply(missing, inside)
    )
    seen = difference.extra.getbbox() or difference.missing.getbbox()
    return difference if seen else None


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
