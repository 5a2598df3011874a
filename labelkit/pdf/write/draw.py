"""Draws runs, ornaments and marks as PDF through reportlab.

A label's fixed content is drawn once as a form XObject and placed as often as there are labels;
only a guest's own name is drawn again for each. Every run rides in marked content that says which
element and language it is, so that the reader of the finished file knows.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import IO, TYPE_CHECKING, Any, cast

from labelkit.common.frozen import dataclass
from labelkit.common.quantity import PT_PER_MM
from labelkit.impose.sheet import LabelPlace, MarginNote, RegistrationMark, Sheet, StraightLine
from labelkit.model.marks import GUIDE_TAG, PANEL_TAG, PLACE_TAG, PRINTER_TAG, RUN_TAG
from labelkit.model.outline import Outline
from labelkit.model.runs import NEUTRAL, Ornament, Panel, Picture, Run
from labelkit.pdf.read import Matrix
from labelkit.pdf.write.inks import LIGHT, Inks
from labelkit.pdf.write.inks import format_pdf_number as format_pdf_number
from labelkit.pdf.write.press import OVERPRINT, WHITE_LAYER, Layer, PressFile
from labelkit.typeset.clusters import Cluster, OwnText, Piece
from labelkit.typeset.companions import Companion, own_face_of
from labelkit.typeset.faces import Face, FaceRequest, load_face
from labelkit.typeset.shape import MixedShapedLine, count_tracked_characters, shape_text

if TYPE_CHECKING:
    from labelkit.pdf.write.document import PdfCanvas, SubsetFont
    from labelkit.pdf.write.glyph_font import GlyphFont

MARGIN_FACE = FaceRequest("fira-sans")
"""The face of what is printed beside the labels."""
OUTLINE_PT = 0.25
"""Weight of the line to cut along: that of a crop mark."""
_REFERENCE_LETTERS = "HoN"
"""Kept in every subset, so that a reader can measure the letters the law goes by."""


@dataclass(frozen=True, slots=True)
class DocumentInfo:
    """What the PDF says of itself. No personal data: no author, no guest, no machine."""

    title: str
    language: str
    subject: str = ""
    keywords: str = ""


class PdfFonts:
    """The faces of one document, and the codes its letters got there."""

    def __init__(self, canvas: PdfCanvas, faces: Mapping[str, Face]) -> None:
        self._document = canvas._doc
        self._faces = faces
        self._own: dict[str, Face] = {}
        """Faces of lines in several scripts, which are known by the names of those lines' faces."""
        self._fonts: dict[str, SubsetFont] = {}
        self._codes: dict[str, dict[str, CharacterCode]] = {}
        self._glyphs: dict[Companion, GlyphFont] = {}

    def face(self, name: str) -> Face:
        return self._own[name] if name in self._own else self._faces[name]

    def resource(self, face: Face) -> str:
        """The name under which the document knows a face, whether or not it was told of it."""
        self._own[face.name] = face
        return self.codes(face.name, "H")[0].resource

    def codes(self, name: str, text: str) -> list[CharacterCode]:
        """How each character of a text is written in a face."""
        known = self._codes.setdefault(name, {})
        for character in text:
            if character not in known:
                resource, code, width = self._font(name).code(character, self._document)
                known[character] = CharacterCode(resource, _escape_code(code), width)
        return [known[character] for character in text]

    def glyphs(self, companion: Companion) -> GlyphFont:
        """The font that the document writes clusters of a companion in."""
        from labelkit.pdf.write.glyph_font import GlyphFont

        font = self._glyphs.get(companion)
        if font is None or font.full:
            font = self._glyphs[companion] = GlyphFont(companion, self._document)
        return font

    def _font(self, name: str) -> SubsetFont:
        from labelkit.pdf.write.document import load_subset_font

        if name not in self._fonts:
            font = load_subset_font(name, self.face(name).path)
            font.splitString(_REFERENCE_LETTERS, self._document)
            self._fonts[name] = font
        return self._fonts[name]


@dataclass(frozen=True, slots=True)
class CharacterCode:
    """How a document writes a character."""

    resource: str
    """Name of the font."""
    written: str
    """The character's code as it stands in a string."""
    width_em: float
    """What the document states as its width."""


def _escape_code(code: int) -> str:
    """A code inside a literal string (ISO 32000-1, 7.3.4.2), as the character of that number.

    Only brackets, the backslash and the carriage return do not stand for themselves there.
    """
    return {"(": "\\(", ")": "\\)", "\\": "\\\\", "\r": "\\r"}.get(chr(code), chr(code))


def fill_operator(colour: str, inks: Inks = LIGHT) -> str:
    """The operator that sets a fill colour: black and greys as a single ink, others as RGB."""
    return inks.fill(colour)


def stroke_operator(colour: str, inks: Inks = LIGHT) -> str:
    return inks.stroke(colour)


# -- text ------------------------------------------------------------------------------------------


def run_operators(run: Run, fonts: PdfFonts, inks: Inks = LIGHT) -> list[str]:
    """One run as content stream operators in label space (points from the trim's lower left)."""
    x, y = run.x_mm * PT_PER_MM, run.baseline_mm * PT_PER_MM
    face = fonts.face(run.face)
    return [
        _format_run_mark(run),
        fill_operator(run.colour, inks),
        *text_objects(run.text, face, run.size_pt, (x, y), run.tracking_em, fonts),
        "EMC",
    ]


def text_objects(
    text: str,
    face: Face,
    size_pt: float,
    place_pt: tuple[float, float],
    tracking_em: float,
    fonts: PdfFonts,
) -> list[str]:
    """One line of text as text objects, from where it begins on its baseline."""
    x, y = place_pt
    begin = ["BT", f"{format_pdf_number(x)} {format_pdf_number(y)} Td"]
    shaped = shape_text(face, text)
    if isinstance(shaped, MixedShapedLine):
        # Nothing is shown: it names the line's own face and size, which a reader measures it by.
        named = f"{fonts.resource(own_face_of(shaped.face))} {format_pdf_number(size_pt)} Tf ()Tj"
        pieces = _mixed_objects(shaped, size_pt, place_pt, tracking_em, fonts)
        return [*begin, named, "ET", *pieces]
    return [*begin, *text_operators(text, face, size_pt, tracking_em, fonts), "ET"]


def _mixed_objects(
    shaped: MixedShapedLine,
    size_pt: float,
    place_pt: tuple[float, float],
    tracking_em: float,
    fonts: PdfFonts,
) -> Iterator[str]:
    """The pieces of a line in the order they are read, each where it is seen.

    A cluster that runs from right to left is a text object by itself: readers that order letters
    by place, those that take them as they come and those that turn such words all read it right.
    """
    x, y = place_pt
    turned = any(isinstance(piece, Cluster) and piece.right_to_left for piece in shaped.pieces)
    placed = list(shaped.placed(tracking_em))
    while placed:
        piece, at = placed.pop(0)
        yield "BT"
        yield f"{format_pdf_number(x + at * size_pt)} {format_pdf_number(y)} Td"
        if isinstance(piece, OwnText):
            part = shaped.text[piece.start : piece.end]
            yield from text_operators(part, own_face_of(shaped.face), size_pt, tracking_em, fonts)
        else:
            clusters = [piece]
            while not turned and placed and _is_continued_by(clusters[-1], placed[0][0]):
                clusters.append(cast(Cluster, placed.pop(0)[0]))
            yield from _cluster_operators(clusters, shaped.text, size_pt, tracking_em, fonts)
        yield "ET"


def _is_continued_by(cluster: Cluster, piece: Piece) -> bool:
    return isinstance(piece, Cluster) and piece.font is cluster.font


def _cluster_operators(
    clusters: Sequence[Cluster], text: str, size_pt: float, tracking_em: float, fonts: PdfFonts
) -> Iterator[str]:
    """Clusters of one font that follow each other, as font and showing operators."""
    first = clusters[0]
    items: list[str] = []
    owed = 0.0
    font = fonts.glyphs(first.font)
    for cluster in clusters:
        code, stated = font.code(cluster, text[cluster.start : cluster.end])
        items.append(f"<{code:04X}>")
        tracked = tracking_em / first.scale * count_tracked_characters(cluster)
        owed += (cluster.width + tracked - stated) * 1000
        step = round(owed, 1)
        if step:
            items.append(format_pdf_number(-step))
            owed -= step
    yield f"{font.resource} {format_pdf_number(size_pt * first.scale)} Tf"
    yield f"[{''.join(items)}]TJ" if len(items) > 1 else f"{items[0]}Tj"


def text_operators(
    text: str, face: Face, size_pt: float, tracking_em: float, fonts: PdfFonts
) -> list[str]:
    """One line of text in one face as font and showing operators, kerned and tracked."""
    shaped = shape_text(face, text)
    lines: list[str] = []
    items: list[str] = []
    letters: list[str] = []
    current, owed, lifted = "", 0.0, 0.0

    def show() -> None:
        if letters:
            items.append(f"({''.join(letters)})")
        if items:
            lines.append(f"[{''.join(items)}]TJ" if len(items) > 1 else f"{items[0]}Tj")
        letters.clear()
        items.clear()

    codes = fonts.codes(face.name, text)
    for code, advance, rise in zip(codes, shaped.advances_em, shaped.rises_em, strict=True):
        if code.resource != current:
            show()
            current = code.resource
            lines.append(f"{current} {format_pdf_number(size_pt)} Tf")
        if rise != lifted:
            show()
            lines.append(f"{format_pdf_number(rise * size_pt)} Ts")
            lifted = rise
        letters.append(code.written)
        # What the stated width leaves over (kerning, tracking, narrow spaces) is made up after
        # the letter; the rounding is carried on so that a long line ends where it should.
        owed += (advance + tracking_em - code.width_em) * 1000
        step = round(owed, 1)
        if step:
            items += [f"({''.join(letters)})", format_pdf_number(-step)]
            letters.clear()
            owed -= step
    show()
    return [*lines, *(["0 Ts"] if lifted else [])]


def _format_run_mark(run: Run) -> str:
    language = "" if run.language == NEUTRAL else f"/Lang({run.language})"
    return f"{RUN_TAG}<</E/{run.element}{language}>>BDC"


# -- shapes ----------------------------------------------------------------------------------------


@lru_cache(maxsize=64)  # a label's art is drawn when it is written, and again to be compared
def path_operators(path: str) -> tuple[str, ...]:
    """SVG path data (millimetres, y up) as PDF path construction operators in points."""
    from fontTools.pens.basePen import BasePen
    from fontTools.svgLib.path import parse_path

    class Pen(BasePen):  # type: ignore[misc]
        def __init__(self) -> None:
            super().__init__(None)
            self.lines: list[str] = []

        def _add(self, operator: str, *points: tuple[float, float]) -> None:
            numbers = " ".join(format_pdf_number(v * PT_PER_MM) for point in points for v in point)
            self.lines.append(f"{numbers} {operator}")

        def _moveTo(self, pt: tuple[float, float]) -> None:
            self._add("m", pt)

        def _lineTo(self, pt: tuple[float, float]) -> None:
            self._add("l", pt)

        def _curveToOne(
            self, pt1: tuple[float, float], pt2: tuple[float, float], pt3: tuple[float, float]
        ) -> None:
            self._add("c", pt1, pt2, pt3)

        def _closePath(self) -> None:
            self.lines.append("h")

        def _endPath(self) -> None:
            pass

    pen = Pen()
    parse_path(path, pen)
    return tuple(pen.lines)


def ornament_operators(ornament: Ornament, inks: Inks = LIGHT) -> list[str]:
    """An ornament filled, or stroked with round ends where it has a stroke weight, or both."""
    path = path_operators(ornament.path)
    if ornament.stroke_mm is None:
        paint = "f*" if ornament.even_odd else "f"
        return ["/LkArt BMC", fill_operator(ornament.colour, inks), *path, paint, "EMC"]
    weight = format_pdf_number(ornament.stroke_mm * PT_PER_MM)
    colour = stroke_operator(ornament.colour, inks)
    if ornament.filled:
        colour, paint = f"{colour} {fill_operator(ornament.colour, inks)}", "B"
    else:
        paint = "S"
    return ["/LkArt BMC", "q", colour, f"{weight} w 1 J 1 j", *path, paint, "Q", "EMC"]


def under_operators(
    canvas: PdfCanvas, under: Iterable[Ornament], inks: Inks, choke_mm: float
) -> list[str]:
    """Ornaments in the layer of white, drawn in by ``choke_mm``.

    What has a stroke gets a narrower one; the edge of an area is taken away again by a stroke that
    leaves no ink, as is what of an area's own edges lies within it.
    """
    code = [f"/OC /{canvas.add_layer(WHITE_LAYER)} BDC"]
    for one in under:
        reach_mm = (one.stroke_mm or 0.0) / 2 - choke_mm
        if reach_mm > 0:
            code += ornament_operators(replace(one, stroke_mm=2 * reach_mm), inks)
        elif one.stroke_mm is None or one.filled:
            code += ornament_operators(replace(one, stroke_mm=None, filled=False), inks)
            if reach_mm < 0:
                width = format_pdf_number(-2 * reach_mm * PT_PER_MM)
                bare = [inks.bare_stroke(one.colour), f"{width} w", *path_operators(one.path), "S"]
                code += ["/LkArt BMC", "q", *bare, "Q", "EMC"]
    return [*code, "EMC"]


def _draw_picture(canvas: Any, picture: Picture) -> None:
    from reportlab.lib.utils import ImageReader

    box = picture.box
    canvas.drawImage(
        ImageReader(io.BytesIO(picture.data)),
        box.x0_mm * PT_PER_MM,
        box.y0_mm * PT_PER_MM,
        box.width_mm * PT_PER_MM,
        box.height_mm * PT_PER_MM,
        mask="auto",
    )


# -- whole documents -------------------------------------------------------------------------------


def make_canvas(
    stream: IO[bytes],
    page_mm: tuple[float, float],
    info: DocumentInfo,
    press: PressFile | None = None,
) -> PdfCanvas:
    """A reportlab canvas whose bytes depend on nothing but what is drawn."""
    from labelkit.pdf.write.document import PdfCanvas

    page_pt = (page_mm[0] * PT_PER_MM, page_mm[1] * PT_PER_MM)
    subject = info.subject or info.title
    return PdfCanvas(stream, page_pt, info.title, info.language, subject, info.keywords, press)


def define_panel(
    canvas: PdfCanvas,
    name: str,
    panel: Panel,
    fonts: PdfFonts,
    bleed_mm: float,
    inks: Inks = LIGHT,
    under: Sequence[Ornament] = (),
    choke_mm: float = 0.0,
) -> None:
    """Draws a panel's content once, as the form XObject ``name`` clipped to trim and bleed.

    What is ``under`` it is not taken away by what is printed over it.
    """
    low = -bleed_mm * PT_PER_MM
    canvas.beginForm(
        name,
        low,
        low,
        (panel.width_mm + bleed_mm) * PT_PER_MM,
        (panel.height_mm + bleed_mm) * PT_PER_MM,
    )
    if under:
        canvas._code += [*under_operators(canvas, under, inks, choke_mm), f"/{OVERPRINT} gs"]
    for picture in panel.pictures:
        _draw_picture(canvas, picture)
    for ornament in panel.ornaments:
        canvas._code += ornament_operators(ornament, inks)
    for run in panel.runs:
        canvas._code += run_operators(run, fonts, inks)
    canvas.endForm()


@dataclass(frozen=True, slots=True)
class SheetSide:
    """One panel as sheets carry it."""

    panel: Panel
    faces: Mapping[str, Face]
    own_runs: Callable[[int], Iterable[Run]]
    """The runs that only label number n (from 0) has: its guest's name."""
    bleed_mm: float = 0.0
    inks: Inks = LIGHT
    under: tuple[Ornament, ...] = ()
    """White ink that lies under all that is printed, in a layer of its own."""
    own_under: Callable[[int], Iterable[Ornament]] = lambda _: ()
    """The same under the runs that only label number n has."""
    choke_mm: float = 0.0
    """By how much that white is drawn in."""
    cuts: tuple[CutLine, ...] = ()
    """Lines to cut along, drawn on every label in layers of their own."""


@dataclass(frozen=True, slots=True)
class CutLine:
    """A line to cut along."""

    layer: Layer
    path: str
    """SVG path data in label millimetres, y up."""
    colour: str
    """Of its inks: that of a plate, or black."""


@dataclass(frozen=True, slots=True)
class Page:
    """One page: which side of the labels is on it, and where."""

    side: int
    sheet: Sheet
    press_ready: bool = False
    """The page is a single label and its bleed, and says so by TrimBox and BleedBox."""


def draw_pages(
    stream: IO[bytes],
    sides: Sequence[SheetSide],
    pages: Iterable[Page],
    info: DocumentInfo,
    printer: Matrix | None = None,
    press: PressFile | None = None,
) -> None:
    """Writes pages of labels to ``stream``, each page as soon as it is drawn.

    ``printer`` is what a printer does to a page (points); everything is drawn through its inverse,
    and the page says so, that a reader may know how it prints. ``press`` makes it a file for a
    printing works. The stream stays open.
    """
    margin_face = load_face(MARGIN_FACE)
    faces = {name: face for side in sides for name, face in side.faces.items()}
    canvas = make_canvas(stream, (1, 1), info, press)
    for side in sides:
        canvas.share_inks(side.inks)
    fonts = PdfFonts(canvas, {**faces, margin_face.name: margin_face})
    for number_, side in enumerate(sides):
        define_panel(
            canvas,
            f"label{number_}",
            side.panel,
            fonts,
            side.bleed_mm,
            side.inks,
            side.under,
            side.choke_mm,
        )
    margins = _Margins(canvas, margin_face, fonts)
    before, after = ([], []) if printer is None else correction_operators(printer)
    for page in pages:
        sheet, side = page.sheet, sides[page.side]
        margin = margins.form(sheet)
        canvas.setPageSize((sheet.page_width_mm * PT_PER_MM, sheet.page_height_mm * PT_PER_MM))
        _set_boxes(canvas, page, side)
        canvas._code += before
        _place_labels(canvas, f"label{page.side}", side, sheet, fonts)
        for line in side.cuts:
            canvas._code += cut_operators(canvas, line, sheet, side.inks)
        if margin:
            canvas.doForm(margin)
        canvas._code += [*margins.draw_slug(sheet), *after]
        canvas.showPage()
    canvas.save()


def draw_guide(
    stream: IO[bytes],
    sheets: Iterable[Sheet],
    lines: Sequence[CutLine],
    info: DocumentInfo,
    printer: Matrix | None = None,
) -> None:
    """Writes the lines to cut the labels on ``sheets`` along, with all that is beside them, but no
    label.

    ``printer`` is as for ``draw_pages``: what the labels were corrected for, their outlines are.
    """
    canvas = make_canvas(stream, (1, 1), info)
    face = load_face(MARGIN_FACE)
    margins = _Margins(canvas, face, PdfFonts(canvas, {face.name: face}))
    before, after = ([], []) if printer is None else correction_operators(printer)
    for sheet in sheets:
        margin = margins.form(sheet)
        canvas.setPageSize((sheet.page_width_mm * PT_PER_MM, sheet.page_height_mm * PT_PER_MM))
        canvas._code += [*before, f"{GUIDE_TAG} BMC"]
        for line in lines:
            canvas._code += cut_operators(canvas, line, sheet, LIGHT)
        canvas._code.append("EMC")
        if margin:
            canvas.doForm(margin)
        canvas._code += [*margins.draw_slug(sheet), *after]
        canvas.showPage()
    canvas.save()


def cut_operators(canvas: PdfCanvas, line: CutLine, sheet: Sheet, inks: Inks) -> list[str]:
    """The lines to cut every label of a sheet along, in their layer, over what is printed."""
    path = path_operators(line.path)
    over = [f"/{OVERPRINT} gs"] if inks.plates else []
    return [
        f"/OC /{canvas.add_layer(line.layer)} BDC q",
        *over,
        f"{inks.stroke(line.colour)} {OUTLINE_PT} w",
        *(
            operator
            for place in sheet.places
            for operator in (f"q {_format_place_matrix(place)} cm", *path, "S Q")
        ),
        "Q EMC",
    ]


def _place_labels(
    canvas: PdfCanvas, form: str, side: SheetSide, sheet: Sheet, fonts: PdfFonts
) -> None:
    """The labels of a sheet, each a reference to the form and the runs of its own."""
    panel, code = side.panel, canvas._code
    width, height = (
        format_pdf_number(panel.width_mm * PT_PER_MM),
        format_pdf_number(panel.height_mm * PT_PER_MM),
    )
    code.append(f"{PANEL_TAG}<</Panel/{panel.name}/Shape/{panel.shape}/W {width}/H {height}>>BDC")
    for place in sheet.places:
        code.append(f"q {_format_place_matrix(place)} cm")
        code.append(f"{PLACE_TAG}<</N {place.index}>>BDC")
        canvas.doForm(form)
        own_under = tuple(side.own_under(place.index))
        if side.under or own_under:
            code.append(f"/{OVERPRINT} gs")
        if own_under:
            code += under_operators(canvas, own_under, side.inks, side.choke_mm)
        for run in side.own_runs(place.index):
            code += run_operators(run, fonts, side.inks)
        code.append("EMC Q")
    code.append("EMC")


def _format_place_matrix(place: LabelPlace) -> str:
    a, b, c, d, e, f = place.matrix_mm
    return (
        f"{a:g} {b:g} {c:g} {d:g} {format_pdf_number(e * PT_PER_MM)}"
        f" {format_pdf_number(f * PT_PER_MM)}"
    )


def _set_boxes(canvas: PdfCanvas, page: Page, side: SheetSide) -> None:
    if not page.press_ready:
        return
    (place,) = page.sheet.places
    box = place.box
    for name, outset in (("trim", 0.0), ("bleed", side.bleed_mm)):
        grown = box.inset(-outset)
        corners = (grown.x0_mm, grown.y0_mm, grown.x1_mm, grown.y1_mm)
        canvas.setCropBox(tuple(v * PT_PER_MM for v in corners), name)


def correction_operators(printer: Matrix) -> tuple[list[str], list[str]]:
    """The operators before and after a page's content that correct and mark it for a printer."""
    does = " ".join(f"{v:.8f}" for v in printer)
    asked = " ".join(f"{v:.8f}" for v in printer.inverse)
    return [f"{PRINTER_TAG}<</M[{does}]>>BDC q {asked} cm"], ["Q EMC"]


# -- what stands beside the labels -----------------------------------------------------------------


class _Margins:
    """The margins of a document's sheets, as forms: most sheets have the same one."""

    def __init__(self, canvas: PdfCanvas, face: Face, fonts: PdfFonts) -> None:
        self._canvas, self._face, self._fonts = canvas, face, fonts
        self._forms: dict[tuple[object, ...], str] = {}

    def form(self, sheet: Sheet) -> str:
        """The name of the form that holds what stands beside a sheet's labels; "" for nothing."""
        key = (sheet.page, sheet.marks, sheet.registration, sheet.ruler, sheet.notes)
        if not any(key[1:]):
            return ""
        if key not in self._forms:
            name = f"margin{len(self._forms)}"
            canvas, page = self._canvas, sheet.page
            canvas.beginForm(name, 0, 0, page.x1_mm * PT_PER_MM, page.y1_mm * PT_PER_MM)
            canvas._code += margin_operators(sheet, self._face, self._fonts)
            canvas.endForm()
            self._forms[key] = name
        return self._forms[key]

    def draw_slug(self, sheet: Sheet) -> list[str]:
        """The operators for what each sheet has of its own."""
        if sheet.slug is None:
            return []
        return ["/Artifact BMC", *note_operators(sheet.slug, self._face, self._fonts), "EMC"]


def margin_operators(sheet: Sheet, face: Face, fonts: PdfFonts) -> list[str]:
    """Crop marks, registration, ruler and notes, as an artifact that is no part of any label."""
    ruler = sheet.ruler
    lines = [*sheet.marks, *(ruler.lines if ruler else ())]
    lines += [line for target in sheet.registration for line in target.cross]
    notes = [*sheet.notes, *([ruler.label] if ruler else [])]
    return [
        "/Artifact BMC q 0 G",
        *map(line_operators, lines),
        *map(ring_operators, sheet.registration),
        *(operator for note in notes for operator in note_operators(note, face, fonts)),
        "Q EMC",
    ]


def line_operators(line: StraightLine) -> str:
    x0, y0, x1, y1 = (
        format_pdf_number(v * PT_PER_MM) for v in (line.x0, line.y0, line.x1, line.y1)
    )
    return f"{format_pdf_number(line.weight_pt)} w {x0} {y0} m {x1} {y1} l S"


def ring_operators(target: RegistrationMark) -> str:
    """The ring of a registration mark, as four cubic quarters."""
    ring = Outline("round", 2 * target.radius_mm, 2 * target.radius_mm).path()
    x, y = target.x_mm - target.radius_mm, target.y_mm - target.radius_mm
    move = f"1 0 0 1 {format_pdf_number(x * PT_PER_MM)} {format_pdf_number(y * PT_PER_MM)} cm"
    return " ".join(
        ["q", move, f"{format_pdf_number(target.weight_pt)} w", *path_operators(ring), "S Q"]
    )


def note_operators(note: MarginNote, face: Face, fonts: PdfFonts) -> list[str]:
    """A few words in the margin, upright or running up the page."""
    x, y = format_pdf_number(note.x_mm * PT_PER_MM), format_pdf_number(note.y_mm * PT_PER_MM)
    turn = "0 1 -1 0" if note.turned else "1 0 0 1"
    shown = text_operators(note.text, face, note.size_mm * PT_PER_MM, 0.0, fonts)
    return ["0 g", "BT", f"{turn} {x} {y} Tm", *shown, "ET"]
