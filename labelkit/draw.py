"""Draws runs, ornaments and marks as PDF through reportlab.

A label's fixed content is drawn once as a form XObject and placed as often as there are labels;
only a guest's own name is drawn again for each. Every run rides in marked content that says which
element and language it is, so that the reader of the finished file knows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import IO, Any

from labelkit.impose.sheet import Line, Note, Sheet, Target
from labelkit.quantity import PT_PER_MM
from labelkit.readback import PLACE_TAG, RUN_TAG
from labelkit.runs import NEUTRAL, Ornament, Panel, Picture, Run
from labelkit.typeset.faces import DRAWN_AS, Face, FaceRequest, load_face
from labelkit.typeset.outline import Outline
from labelkit.typeset.shape import shape

MARGIN_FACE = FaceRequest("fira-sans")
"""The face of what is printed beside the labels."""
_REFERENCE_LETTERS = "HoN"
"""Kept in every subset, so that a reader can measure the letters the law goes by."""


@dataclass(frozen=True, slots=True)
class DocumentInfo:
    """What the PDF says of itself. No personal data: no author, no guest, no machine."""

    title: str
    language: str
    subject: str = ""


class PdfFonts:
    """The faces of one document, and the codes its letters got there."""

    def __init__(self, canvas: Any, faces: Mapping[str, Face]) -> None:
        self._document = canvas._doc
        self._faces = faces
        self._fonts: dict[str, Any] = {}

    def face(self, name: str) -> Face:
        return self._faces[name]

    def font(self, name: str) -> Any:
        from reportlab.pdfbase.ttfonts import TTFont

        if name not in self._fonts:
            font = TTFont(name, str(self._faces[name].path), shapable=False)
            font.splitString(_REFERENCE_LETTERS, self._document)
            self._fonts[name] = font
        return self._fonts[name]

    def code(self, name: str, character: str) -> tuple[str, int, float]:
        """Resource name, character code and the width in ems that the PDF states for it."""
        font = self.font(name)
        ((subset, code),) = font.splitString(character, self._document)
        width = round(font.face.getCharWidth(ord(character))) / 1000
        return font.getSubsetInternalName(subset, self._document), code[0], width


def number(value: float) -> str:
    """A number for a content stream: at most five decimals, no trailing zeros, never "-0"."""
    text = f"{value:.5f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def fill_colour(colour: str) -> str:
    """The operator that sets a fill colour: black as a single ink, anything else as RGB."""
    if colour == "#000000":
        return "0 g"
    return f"{_channels(colour)} rg"


def stroke_colour(colour: str) -> str:
    return "0 G" if colour == "#000000" else f"{_channels(colour)} RG"


def _channels(colour: str) -> str:
    return " ".join(number(int(colour[i : i + 2], 16) / 255) for i in (1, 3, 5))


# -- text ------------------------------------------------------------------------------------------


def run_operators(run: Run, fonts: PdfFonts) -> list[str]:
    """One run as content stream operators in label space (points from the trim's lower left)."""
    x, y = run.x_mm * PT_PER_MM, run.baseline_mm * PT_PER_MM
    face = fonts.face(run.face)
    return [
        _marked(run),
        fill_colour(run.colour),
        "BT",
        f"1 0 0 1 {number(x)} {number(y)} Tm",
        *text_operators(run.text, face, run.size_pt, run.tracking_em, fonts),
        "ET",
        "EMC",
    ]


def text_operators(
    text: str, face: Face, size_pt: float, tracking_em: float, fonts: PdfFonts
) -> list[str]:
    """One line of text as font and showing operators, kerned and tracked."""
    shaped = shape(face, text)
    lines: list[str] = []
    items: list[str] = []
    current, owed, lifted = "", 0.0, 0.0
    for character, advance, rise in zip(text, shaped.advances_em, shaped.rises_em, strict=True):
        resource, code, width = fonts.code(face.name, DRAWN_AS.get(character, character))
        if resource != current:
            lines += _shown(items)
            lines.append(f"{resource} {number(size_pt)} Tf")
            current, items = resource, []
        if rise != lifted:
            lines += [*_shown(items), f"{number(rise * size_pt)} Ts"]
            items, lifted = [], rise
        items.append(f"<{code:02x}>")
        # What the stated width leaves over (kerning, tracking, narrow spaces) is made up after
        # the letter; the rounding is carried on so that a long line ends where it should.
        owed += (advance + tracking_em - width) * 1000
        step = round(owed, 1)
        if step:
            items.append(number(-step))
            owed -= step
    lines += _shown(items)
    return [*lines, *(["0 Ts"] if lifted else [])]


def _shown(items: list[str]) -> list[str]:
    return [f"[{''.join(items).replace('><', '')}] TJ"] if items else []


def _marked(run: Run) -> str:
    actual = run.text.encode("utf-16-be").hex()
    language = "" if run.language == NEUTRAL else f"/Lang ({run.language}) "
    return f"{RUN_TAG} <</E /{run.element} {language}/ActualText <feff{actual}>>> BDC"


# -- shapes ----------------------------------------------------------------------------------------


def path_operators(path: str) -> list[str]:
    """SVG path data (millimetres, y up) as PDF path construction operators in points."""
    from fontTools.pens.basePen import BasePen
    from fontTools.svgLib.path import parse_path

    class Pen(BasePen):  # type: ignore[misc]
        def __init__(self) -> None:
            super().__init__(None)
            self.lines: list[str] = []

        def _add(self, operator: str, *points: tuple[float, float]) -> None:
            numbers = " ".join(number(v * PT_PER_MM) for point in points for v in point)
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
    return pen.lines


def ornament_operators(ornament: Ornament) -> list[str]:
    """An ornament filled, or stroked with round ends where it has a stroke weight, or both."""
    path = path_operators(ornament.path)
    if ornament.stroke_mm is None:
        paint = "f*" if ornament.even_odd else "f"
        return ["/LkArt BMC", fill_colour(ornament.colour), *path, paint, "EMC"]
    weight = number(ornament.stroke_mm * PT_PER_MM)
    colour = stroke_colour(ornament.colour)
    if ornament.filled:
        colour, paint = f"{colour} {fill_colour(ornament.colour)}", "B"
    else:
        paint = "S"
    return ["/LkArt BMC", "q", colour, f"{weight} w 1 J 1 j", *path, paint, "Q", "EMC"]


def _draw_picture(canvas: Any, picture: Picture) -> None:
    box = picture.box
    canvas.drawImage(
        picture.file,
        box.x0_mm * PT_PER_MM,
        box.y0_mm * PT_PER_MM,
        box.width_mm * PT_PER_MM,
        box.height_mm * PT_PER_MM,
        mask="auto",
    )


# -- whole documents -------------------------------------------------------------------------------


def new_canvas(stream: IO[bytes], page_mm: tuple[float, float], info: DocumentInfo) -> Any:
    """A reportlab canvas whose bytes depend on nothing but what is drawn."""
    from reportlab.pdfbase.pdfdoc import PDFString
    from reportlab.pdfgen.canvas import Canvas

    size = (page_mm[0] * PT_PER_MM, page_mm[1] * PT_PER_MM)
    canvas = Canvas(stream, pagesize=size, invariant=1, pageCompression=1)
    canvas.setTitle(info.title)
    canvas.setSubject(info.subject or info.title)
    canvas.setAuthor("")
    canvas.setCreator("labelkit")
    canvas.setProducer("labelkit")
    canvas._doc.Catalog.Lang = PDFString(info.language)
    # Asks viewers not to shrink the sheet to the printer's margins (ISO 32000-1, 12.2).
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


def define_panel(canvas: Any, name: str, panel: Panel, fonts: PdfFonts, bleed_mm: float) -> None:
    """Draws a panel's content once, as the form XObject ``name`` clipped to trim and bleed."""
    low = -bleed_mm * PT_PER_MM
    canvas.beginForm(
        name,
        low,
        low,
        (panel.width_mm + bleed_mm) * PT_PER_MM,
        (panel.height_mm + bleed_mm) * PT_PER_MM,
    )
    for picture in panel.pictures:
        _draw_picture(canvas, picture)
    for ornament in panel.ornaments:
        canvas._code += ornament_operators(ornament)
    for run in panel.runs:
        canvas._code += run_operators(run, fonts)
    canvas.endForm()


def place_panel(
    canvas: Any,
    name: str,
    panel: Panel,
    label: int,
    matrix: Sequence[float],
    own_runs: Iterable[Run],
    fonts: PdfFonts,
) -> None:
    """Places the form ``name`` as label number ``label`` (0-based), with the runs of its own.

    ``matrix`` takes label space to the page, both in points.
    """
    width, height = number(panel.width_mm * PT_PER_MM), number(panel.height_mm * PT_PER_MM)
    code = canvas._code
    code.append(f"q {' '.join(number(v) for v in matrix)} cm")
    code.append(
        f"{PLACE_TAG} <</N {label} /Panel /{panel.name} /Shape /{panel.shape}"
        f" /W {width} /H {height}>> BDC"
    )
    canvas.doForm(name)
    for run in own_runs:
        code += run_operators(run, fonts)
    code.append("EMC Q")


def draw_sheets(
    stream: IO[bytes],
    panel: Panel,
    sheets: Sequence[Sheet],
    own_runs: Callable[[int], Iterable[Run]],
    faces: Mapping[str, Face],
    info: DocumentInfo,
    bleed_mm: float = 0.0,
) -> None:
    """Writes imposed sheets of one panel to ``stream``.

    ``own_runs`` gives the runs that only label number n carries (its guest's name).
    """
    first = sheets[0]
    canvas = new_canvas(stream, (first.page_width_mm, first.page_height_mm), info)
    margin_face = load_face(MARGIN_FACE)
    fonts = PdfFonts(canvas, {**faces, margin_face.name: margin_face})
    define_panel(canvas, "label", panel, fonts, bleed_mm)
    for sheet in sheets:
        canvas.setPageSize((sheet.page_width_mm * PT_PER_MM, sheet.page_height_mm * PT_PER_MM))
        for place in sheet.places:
            a, b, c, d, e, f = place.matrix_mm
            matrix = (a, b, c, d, e * PT_PER_MM, f * PT_PER_MM)
            place_panel(canvas, "label", panel, place.index, matrix, own_runs(place.index), fonts)
        canvas._code += margin_operators(sheet, margin_face, fonts)
        canvas.showPage()
    canvas.save()


# -- what stands beside the labels -----------------------------------------------------------------


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


def line_operators(line: Line) -> str:
    x0, y0, x1, y1 = (number(v * PT_PER_MM) for v in (line.x0, line.y0, line.x1, line.y1))
    return f"{number(line.weight_pt)} w {x0} {y0} m {x1} {y1} l S"


def ring_operators(target: Target) -> str:
    """The ring of a registration mark, as four cubic quarters."""
    ring = Outline("round", 2 * target.radius_mm, 2 * target.radius_mm).path()
    x, y = target.x_mm - target.radius_mm, target.y_mm - target.radius_mm
    move = f"1 0 0 1 {number(x * PT_PER_MM)} {number(y * PT_PER_MM)} cm"
    return " ".join(["q", move, f"{number(target.weight_pt)} w", *path_operators(ring), "S Q"])


def note_operators(note: Note, face: Face, fonts: PdfFonts) -> list[str]:
    """A few words in the margin, upright or running up the page."""
    x, y = number(note.x_mm * PT_PER_MM), number(note.y_mm * PT_PER_MM)
    turn = "0 1 -1 0" if note.turned else "1 0 0 1"
    shown = text_operators(note.text, face, note.size_mm * PT_PER_MM, 0.0, fonts)
    return ["0 g", "BT", f"{turn} {x} {y} Tm", *shown, "ET"]
