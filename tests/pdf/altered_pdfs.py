"""Finished PDFs altered on purpose: what shows otherwise, and what only is otherwise.

Made with pikepdf, pypdf and reportlab. Section numbers are those of ISO 32000-1.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple

import pikepdf
from fontTools.ttLib import TTFont
from pikepdf import Array, Dictionary, Name, Operator, Stream, String
from PIL import Image
from pypdf import PdfReader, PdfWriter, Transformation
from pypdf.annotations import Ellipse, Highlight, Rectangle
from pypdf.generic import ArrayObject, FloatObject, NameObject, NumberObject
from reportlab.lib.colors import Color, black, white
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from labelkit.compose.job import Job
from labelkit.model.runs import Box

EXTRA, MISSING = frozenset({"extra"}), frozenset({"missing"})
BOTH = EXTRA | MISSING


@dataclass(frozen=True)
class Target:
    """An element of a label on the first page of a sample's sheets."""

    job: Job
    data: bytes
    element: str
    ink: Box
    """The element's ink on the first label, in points of the label."""
    matrix: str
    """Takes the first label's points to the page."""

    @property
    def numbers(self) -> list[float]:
        return [float(v) for v in self.matrix.split()[:6]]

    @property
    def on_page(self) -> Box:
        """The element's ink, in points of the page."""
        a, b, c, d, e, f = self.numbers
        xs, ys = zip(
            *(
                (a * x + c * y + e, b * x + d * y + f)
                for x, y in ((self.ink.x0_mm, self.ink.y0_mm), (self.ink.x1_mm, self.ink.y1_mm))
            ),
            strict=True,
        )
        return Box(min(xs), min(ys), max(xs), max(ys))


Make = Callable[[Target], bytes]
Change = Callable[[pikepdf.Pdf, Target], None]


def save(pdf: pikepdf.Pdf, **how: Any) -> bytes:
    stream = io.BytesIO()
    pdf.save(stream, **how)
    return stream.getvalue()


def altered(*changes: Change) -> Make:
    """By pikepdf."""

    def make(target: Target) -> bytes:
        with pikepdf.open(io.BytesIO(target.data)) as pdf:
            for change in changes:
                change(pdf, target)
            return save(pdf)

    return make


# -- drawn on the page -----------------------------------------------------------------------------


def drawn_over(operators: Callable[[Box], str]) -> Change:
    """Draws on the first label, after everything else of the page."""

    def alter(pdf: pikepdf.Pdf, target: Target) -> None:
        page = pdf.pages[0]
        resources = page.resources
        resources.Font["/Other"] = pdf.make_indirect(
            Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name("/Helvetica-Bold"))
        )
        states = resources.get("/ExtGState", Dictionary())
        states["/Faint"] = Dictionary(ca=0.95, CA=0.95)
        states["/Inverts"] = Dictionary(BM=Name.Difference)
        states["/Screens"] = Dictionary(BM=Name.Screen)
        resources["/ExtGState"] = states
        resources["/Shading"] = Dictionary(Fade=make_shading())
        resources["/Pattern"] = Dictionary(Stripes=make_pattern(pdf))
        what = f"\nq {target.matrix} {operators(target.ink)} Q"
        page.contents_add(Stream(pdf, what.encode("latin-1")))

    return alter


def make_shading() -> Dictionary:
    """From black to white over the page (8.7.4.5.3)."""
    blend = Dictionary(FunctionType=2, Domain=Array([0, 1]), C0=Array([0]), C1=Array([1]), N=1)
    return Dictionary(
        ShadingType=2, ColorSpace=Name.DeviceGray, Coords=Array([0, 0, 612, 0]),
        Function=blend, Extend=Array([True, True]),
    )  # fmt: skip


def make_pattern(pdf: pikepdf.Pdf) -> pikepdf.Object:
    """White stripes, a point wide and a point apart (8.7.3)."""
    tile = Stream(pdf, b"1 g 0 0 2 1 re f")
    tile.stream_dict.update(
        Dictionary(
            PatternType=1, PaintType=1, TilingType=1, BBox=Array([0, 0, 2, 2]), XStep=2, YStep=2,
            Resources=Dictionary(),
        )
    )  # fmt: skip
    return pdf.make_indirect(tile)


def word(text: str, x: float, y: float, size: float) -> str:
    return f"0 g BT /Other {size:.2f} Tf {x:.2f} {y:.2f} Td ({text}) Tj ET"


def box(ink: Box, grow: float = 0.5) -> str:
    width, height = ink.x1_mm - ink.x0_mm + 2 * grow, ink.y1_mm - ink.y0_mm + 2 * grow
    return f"{ink.x0_mm - grow:.3f} {ink.y0_mm - grow:.3f} {width:.3f} {height:.3f} re"


def height_of(ink: Box) -> float:
    return ink.y1_mm - ink.y0_mm


def width_of(ink: Box) -> float:
    return ink.x1_mm - ink.x0_mm


def middle(ink: Box) -> float:
    return (ink.y0_mm + ink.y1_mm) / 2


def line(ink: Box, weight: float) -> str:
    y = middle(ink)
    return f"0 G {weight} w {ink.x0_mm:.2f} {y:.2f} m {ink.x1_mm:.2f} {y:.2f} l S"


def inline_image(ink: Box) -> str:
    """A black dot as wide and high as the ink (8.9.7)."""
    w, h = width_of(ink), height_of(ink)
    image = "BI /W 1 /H 1 /CS /G /BPC 8 /F /AHx ID 00> EI"
    return f"q {w:.2f} 0 0 {h:.2f} {ink.x0_mm:.2f} {ink.y0_mm:.2f} cm {image} Q"


def in_layer(change: Change, **state: Any) -> Change:
    """What ``change`` adds to the page belongs to a layer of its own (8.11); ``state`` says which
    of the default configuration's lists it stands in."""

    def alter(pdf: pikepdf.Pdf, target: Target) -> None:
        change(pdf, target)
        layer = add_layer(pdf, state)
        page = pdf.pages[0]
        page.resources["/Properties"] = Dictionary(Extra=layer)
        *_, last = page.Contents
        last.write(b"\n/OC /Extra BDC " + last.read_bytes() + b" EMC\n")

    return alter


def add_layer(pdf: pikepdf.Pdf, state: dict[str, Any]) -> pikepdf.Object:
    layer = pdf.make_indirect(Dictionary(Type=Name.OCG, Name=String("x")))
    config = Dictionary(Order=Array([layer]))
    if state.get("off"):
        config["/OFF"] = Array([layer])
    if "prints" in state:
        layer["/Usage"] = Dictionary(Print=Dictionary(PrintState=state["prints"]))
        event = Dictionary(Event=Name.Print, Category=Array([Name.Print]), OCGs=Array([layer]))
        config["/AS"] = Array([event])
    pdf.Root.OCProperties = Dictionary(OCGs=Array([layer]), D=config)
    return layer


# -- inside the labels' form -----------------------------------------------------------------------


def find_form(pdf: pikepdf.Pdf) -> pikepdf.Object:
    (name,) = (n for n in pdf.pages[0].resources.XObject if "label" in n)
    return pdf.pages[0].resources.XObject[name]


def in_run(begin: str, end: str = "") -> Change:
    """The element's first run on all labels, between other operators."""

    def alter(pdf: pikepdf.Pdf, target: Target) -> None:
        form = find_form(pdf)
        form.Resources["/ColorSpace"] = Dictionary(
            {
                "/Nothing": Array([Name.Separation, Name("/None"), Name.DeviceGray, tint()]),
                "/Spot": Array([Name.Separation, Name("/Red"), Name.DeviceGray, tint()]),
                "/Black": Array([Name.Separation, Name("/Black"), Name.DeviceGray, tint()]),
                "/All": Array([Name.Separation, Name("/All"), Name.DeviceGray, tint()]),
                "/Cal": Array([Name.CalGray, Dictionary(WhitePoint=Array([0.95, 1, 1.09]))]),
                "/Few": Array([Name.Indexed, Name.DeviceGray, 1, String(b"\x00\xff")]),
            }
        )
        form.Resources["/ExtGState"] = Dictionary(
            Faint=Dictionary(ca=0.05, CA=0.05),
            Over=Dictionary(OP=True, op=True, OPM=1, TK=True),
            Masked=Dictionary(SMask=make_mask(pdf)),
            Screens=Dictionary(BM=Name.Screen),
            Multiplies=Dictionary(BM=Name.Multiply),
        )
        form.Resources["/Pattern"] = Dictionary(Stripes=make_pattern(pdf))
        form.Resources["/Properties"] = Dictionary(Layer=add_layer(pdf, {"off": "Layer" in begin}))
        before, found, after = split_at_run(form, target)
        head, begun, rest = after.partition(b"BT")
        text, ended, tail = rest.partition(b"EMC")
        form.write(
            b"".join((before, found, head, b"q ", begin.encode(), b" ", begun, text))
            + b" ".join((b"", end.encode(), b"Q", ended))
            + tail
        )

    return alter


def make_mask(pdf: pikepdf.Pdf) -> Dictionary:
    """A soft mask of no luminosity lets nothing through (11.6.5.2)."""
    group = Stream(pdf, b"")
    group.stream_dict.update(
        Dictionary(
            Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 600, 800]),
            Group=Dictionary(S=Name.Transparency, CS=Name.DeviceGray),
        )
    )  # fmt: skip
    return Dictionary(S=Name.Luminosity, G=pdf.make_indirect(group))


def split_at_run(form: pikepdf.Object, target: Target) -> tuple[bytes, bytes, bytes]:
    mark = re.compile(rb"(/LkRun<</E/%b(?=[/>]))" % target.element.encode())
    before, found, after = mark.split(form.read_bytes(), maxsplit=1)
    return before, found, after


def tint() -> Dictionary:
    """What a separation looks like without its ink: black at a tint of 1 (7.10.3)."""
    return Dictionary(FunctionType=2, Domain=Array([0, 1]), C0=Array([1]), C1=Array([0]), N=1)


def in_codes(change: Callable[[bytes], bytes]) -> Change:
    """The codes of the element's first string that has three letters or more."""

    def alter(pdf: pikepdf.Pdf, target: Target) -> None:
        form, mark = find_form(pdf), f"/{target.element}"
        instructions, inside, done = list(pikepdf.parse_content_stream(form)), False, False
        for number, (operands, operator) in enumerate(instructions):
            if str(operator) == "BDC":
                properties = operands[1]
                inside = isinstance(properties, Dictionary) and properties.get("/E") == mark
            if not inside or done or str(operator) not in ("Tj", "TJ"):
                continue
            joined = b"".join(list_strings(operands[0]))
            if len(joined.replace(b" ", b"")) >= 3:
                instructions[number] = ([String(change(joined))], Operator("Tj"))
                done = True
        assert done
        form.write(pikepdf.unparse_content_stream(instructions))

    return alter


def list_strings(shown: Any) -> Iterable[bytes]:
    parts = shown if isinstance(shown, Array) else [shown]
    return (bytes(part) for part in parts if isinstance(part, String))


def swap_ends(codes: bytes) -> bytes:
    return codes[-1:] + codes[1:-1] + codes[:1]


def in_font(change: Callable[[pikepdf.Object, bytes], None]) -> Change:
    """The font of the element's first run, and the codes it shows."""

    def alter(pdf: pikepdf.Pdf, target: Target) -> None:
        form = find_form(pdf)
        text = split_at_run(form, target)[2].partition(b"EMC")[0]
        name = re.search(rb"/(\S+) [\d.]+ Tf", text)
        assert name
        shown = Stream(pdf, b"BT" + text.partition(b"BT")[2])
        codes = b"".join(
            string
            for operands, operator in pikepdf.parse_content_stream(shown)
            if str(operator) in ("Tj", "TJ")
            for string in list_strings(operands[0])
        )
        change(form.Resources.Font["/" + name[1].decode()], codes.replace(b" ", b""))

    return alter


def in_program(change: Callable[[TTFont, list[str]], None]) -> Change:
    """The same, of its TrueType program: its tables, and the names of the glyphs it shows."""

    def alter(font: pikepdf.Object, codes: bytes) -> None:
        file = font.FontDescriptor.FontFile2
        program = TTFont(io.BytesIO(file.read_bytes()))
        table = program["cmap"].tables[0].cmap
        change(program, [table[c] if c in table else table[0xF000 + c] for c in codes])
        stream = io.BytesIO()
        program.save(stream)
        file.write(stream.getvalue())

    return in_font(alter)


def exchange_glyphs(program: TTFont, glyphs: list[str]) -> None:
    """The first letter is drawn as another, whatever the character map says."""
    outlines = program["glyf"]
    one, other = glyphs[0], next(g for g in reversed(glyphs) if g != glyphs[0])
    outlines[one], outlines[other] = outlines[other], outlines[one]


def empty_glyph(program: TTFont, glyphs: list[str]) -> None:
    outlines = program["glyf"]
    outlines[glyphs[0]] = outlines[".notdef"].__class__()


def rebuild_program(program: TTFont, _: list[str]) -> None:
    """As another program would set it anew: without names of glyphs and hints, other checksums."""
    for tag in ("fpgm", "prep", "cvt ", "gasp", "hdmx", "DSIG"):
        if tag in program:
            del program[tag]
    program["post"].formatType = 3.0
    program["head"].fontRevision = 9.0


def widen(font: pikepdf.Object, _: bytes) -> None:
    font["/Widths"] = Array([float(width) * 1.25 for width in font.Widths])


def rename_subset(font: pikepdf.Object, _: bytes) -> None:
    name = Name("/QQQQQQ+" + str(font.BaseFont).partition("+")[2])
    font["/BaseFont"] = font.FontDescriptor["/FontName"] = name


def forget_program(font: pikepdf.Object, _: bytes) -> None:
    del font.FontDescriptor["/FontFile2"]


def forget_characters(font: pikepdf.Object, _: bytes) -> None:
    """Of the characters that codes stand for nothing that shows depends."""
    if "/ToUnicode" in font:
        font.ToUnicode.write(font.ToUnicode.read_bytes() + b"\n% saved by another program")


def in_form(**values: Any) -> Change:
    def alter(pdf: pikepdf.Pdf, _: Target) -> None:
        for key, value in values.items():
            find_form(pdf)[f"/{key}"] = Array(value)

    return alter


def cut_form(pdf: pikepdf.Pdf, target: Target) -> None:
    """The labels' form ends where the element's middle is (8.10.1, BBox)."""
    find_form(pdf)["/BBox"] = Array([0, middle(target.ink), 600, 800])


# -- the page --------------------------------------------------------------------------------------


def annotate(flags: int, look: str = "0 g 0 0 400 400 re f", subtype: str = "Stamp") -> Change:
    """An annotation with an appearance (12.5.5) over the element."""

    def alter(pdf: pikepdf.Pdf, target: Target) -> None:
        appearance = Stream(pdf, look.encode())
        appearance.stream_dict["/Type"] = Name.XObject
        appearance.stream_dict["/Subtype"] = Name.Form
        appearance.stream_dict["/BBox"] = Array([0, 0, 400, 400])
        at = target.on_page
        mark = Dictionary(
            Type=Name.Annot,
            Subtype=Name(f"/{subtype}"),
            F=flags,
            Rect=Array([at.x0_mm, at.y0_mm, at.x1_mm, at.y1_mm]),
            AP=Dictionary(N=pdf.make_indirect(appearance)),
        )
        if subtype == "Widget":
            mark.update(Dictionary(FT=Name.Tx, T=String("field")))
        kept = pdf.make_indirect(mark)
        pdf.pages[0].obj["/Annots"] = Array([kept])
        if subtype == "Widget":
            pdf.Root.AcroForm = Dictionary(Fields=Array([kept]))

    return alter


def whole_page(before: str, again: bool = False) -> Change:
    """All that the page has through other operators, instead of as it is or once more."""

    def alter(pdf: pikepdf.Pdf, _: Target) -> None:
        page = pdf.pages[0]
        page.contents_coalesce()
        content = page.Contents.read_bytes()
        first = b"q " + content + b" Q\n" if again else b""
        page.Contents = Stream(pdf, first + b"q " + before.encode() + b"\n" + content + b" Q")

    return alter


def on_page(**values: Any) -> Change:
    def alter(pdf: pikepdf.Pdf, _: Target) -> None:
        for key, value in values.items():
            pdf.pages[0].obj[f"/{key}"] = value

    return alter


def cut_page(which: str) -> Change:
    """The page ends in the middle of the element (14.11.2)."""

    def alter(pdf: pikepdf.Pdf, target: Target) -> None:
        at = target.on_page
        _, low, right, top = (float(v) for v in pdf.pages[0].MediaBox)
        cut = (at.x0_mm + at.x1_mm) / 2
        pdf.pages[0].obj[which] = Array([cut, low, right, top])

    return alter


def draw_twice(pdf: pikepdf.Pdf, _: Target) -> None:
    """Every label once more, a little beside."""
    page = pdf.pages[0]
    page.contents_coalesce()
    again = rb"\1 q 1 0 0 1 1.2 0.9 cm \1 Q"
    page.Contents.write(re.sub(rb"(/FormXob\.label\S* Do)", again, page.Contents.read_bytes()))


def draw_not(pdf: pikepdf.Pdf, _: Target) -> None:
    """The first label's form is not drawn; its mark is still there."""
    page = pdf.pages[0]
    page.contents_coalesce()
    page.Contents.write(re.sub(rb"/FormXob\.label\S* Do", b"", page.Contents.read_bytes(), count=1))


# -- by other programs -----------------------------------------------------------------------------


def overlaid(draw: Callable[[Canvas, Box], None], below: bool = False) -> Make:
    """A page drawn by reportlab, laid over the sheet by pypdf."""

    def make(target: Target) -> bytes:
        reader = PdfReader(io.BytesIO(target.data))
        size = [float(v) for v in reader.pages[0].mediabox[2:]]
        stream = io.BytesIO()
        canvas = Canvas(stream, pagesize=(size[0], size[1]))
        canvas.transform(*target.numbers)
        draw(canvas, target.ink)
        canvas.save()
        writer = PdfWriter(clone_from=reader)
        writer.pages[0].merge_page(
            PdfReader(io.BytesIO(stream.getvalue())).pages[0], over=not below
        )
        return write(writer)

    return make


def write(writer: PdfWriter) -> bytes:
    stream = io.BytesIO()
    writer.write(stream)
    return stream.getvalue()


def by_pypdf(change: Callable[[PdfWriter, Target], object]) -> Make:
    def make(target: Target) -> bytes:
        writer = PdfWriter(clone_from=io.BytesIO(target.data))
        change(writer, target)
        return write(writer)

    return make


def mark_up(make: Callable[[tuple[float, float, float, float]], Any]) -> Make:
    """An annotation without an appearance of its own, that prints."""

    def change(writer: PdfWriter, target: Target) -> None:
        at = target.on_page
        note = make((at.x0_mm, at.y0_mm, at.x1_mm, at.y1_mm))
        note[NameObject("/F")] = NumberObject(4)
        writer.add_annotation(0, note)

    return by_pypdf(change)


def make_highlight(rect: tuple[float, float, float, float]) -> Highlight:
    x0, y0, x1, y1 = rect
    quad = ArrayObject([FloatObject(v) for v in (x0, y1, x1, y1, x0, y0, x1, y0)])
    return Highlight(rect=rect, quad_points=quad, highlight_color="ffff00", printing=True)


def transform_page(matrix: Transformation) -> Make:
    return by_pypdf(lambda writer, _: writer.pages[0].add_transformation(matrix))


def write_beside(text: str) -> Callable[[Canvas, Box], None]:
    def draw(canvas: Canvas, ink: Box) -> None:
        canvas.setFont("Times-Roman", height_of(ink))
        canvas.drawString(ink.x0_mm + 3, ink.y1_mm - height_of(ink) / 2, text)

    return draw


def paste_picture(alpha: int) -> Callable[[Canvas, Box], None]:
    def draw(canvas: Canvas, ink: Box) -> None:
        picture = ImageReader(Image.new("RGBA", (4, 4), (90, 60, 30, alpha)))
        size = width_of(ink), height_of(ink)
        canvas.drawImage(picture, ink.x0_mm, ink.y0_mm, *size, mask="auto")

    return draw


def draw_rings(canvas: Canvas, ink: Box) -> None:
    canvas.setLineWidth(0.6)
    canvas.ellipse(ink.x0_mm - 1, ink.y0_mm - 1, ink.x1_mm + 1, ink.y1_mm + 1)


def hatch(canvas: Canvas, ink: Box) -> None:
    canvas.setLineWidth(0.4)
    for x in range(round(ink.x0_mm), round(ink.x1_mm), 2):
        canvas.line(x, ink.y0_mm, x + 2, ink.y1_mm)


def patch(canvas: Canvas, ink: Box) -> None:
    canvas.setFillColor(white)
    size = width_of(ink) + 2, height_of(ink) + 2
    canvas.roundRect(ink.x0_mm - 1, ink.y0_mm - 1, *size, radius=1, stroke=0, fill=1)


def patch_half_through(canvas: Canvas, ink: Box) -> None:
    canvas.setFillColor(Color(1, 1, 1, alpha=0.7))
    canvas.rect(ink.x0_mm, ink.y0_mm, width_of(ink), height_of(ink), stroke=0, fill=1)


def fade(canvas: Canvas, ink: Box) -> None:
    path = canvas.beginPath()
    path.rect(ink.x0_mm, ink.y0_mm, width_of(ink), height_of(ink))
    canvas.clipPath(path, stroke=0, fill=0)
    canvas.linearGradient(ink.x0_mm, 0, ink.x1_mm, 0, (white, black))


def ink_below(canvas: Canvas, ink: Box) -> None:
    canvas.setFillGray(0.4)
    canvas.rect(ink.x0_mm, ink.y0_mm, width_of(ink), height_of(ink), stroke=0, fill=1)


# -- the corpora -----------------------------------------------------------------------------------


class Alteration(NamedTuple):
    make: Make
    kinds: frozenset[str]
    """Whether ink is too much, lacking, or both."""
    beside: bool = False
    """Whether the element that is told need not be the one that was altered."""


def by(*changes: Change, kinds: frozenset[str], beside: bool = False) -> Alteration:
    return Alteration(altered(*changes), kinds, beside)


def white_line(weight: Callable[[Box], float]) -> Change:
    return drawn_over(lambda k: line(k, weight(k)).replace("0 G", "1 G", 1))


ALTERATIONS: dict[str, Alteration] = {
    # More ink.
    "a claim in the free room": by(
        drawn_over(lambda _: word("Heals eczema", 8, 4, 9)), kinds=EXTRA, beside=True
    ),
    "another weight beside": by(
        drawn_over(lambda k: word("42 g", k.x1_mm + 2, k.y0_mm, height_of(k) * 1.2)),
        kinds=EXTRA, beside=True,
    ),
    "X's typed over": by(
        drawn_over(lambda k: word("XXXX", k.x0_mm, k.y0_mm, height_of(k) * 1.3)), kinds=EXTRA
    ),
    "a thick line through": by(drawn_over(lambda k: line(k, 1.5)), kinds=EXTRA),
    "a thin line through": by(drawn_over(lambda k: line(k, 0.5)), kinds=EXTRA),
    "a black box over": by(drawn_over(lambda k: f"0 g {box(k)} f"), kinds=EXTRA),
    "a yellow box over": by(drawn_over(lambda k: f"1 1 0 rg {box(k)} f"), kinds=BOTH),
    "a frame too much": by(drawn_over(lambda k: f"0 G 0.5 w {box(k, 1.2)} S"), kinds=EXTRA),
    "a full stop too much": by(
        drawn_over(lambda k: f"0 g {k.x1_mm + 0.6:.2f} {k.y0_mm:.2f} 0.7 0.7 re f"),
        kinds=EXTRA, beside=True,
    ),
    "an inline picture over": by(drawn_over(inline_image), kinds=EXTRA),
    "an annotation that prints": by(annotate(4), kinds=EXTRA),
    "a form field that prints": by(annotate(4, subtype="Widget"), kinds=EXTRA),
    "a claim in a layer": by(
        in_layer(drawn_over(lambda _: word("Cures acne", 8, 4, 9))), kinds=EXTRA, beside=True
    ),
    "a claim in a layer that shows on paper alone": by(
        in_layer(drawn_over(lambda _: word("Cures acne", 8, 4, 9)), off=True, prints=Name.ON),
        kinds=EXTRA, beside=True,
    ),
    "the page twice": by(whole_page("1 0 0 1 2 0 cm", again=True), kinds=EXTRA),
    "the page twice, lower": by(whole_page("1 0 0 1 0 -2 cm", again=True), kinds=EXTRA),
    "every label twice": by(draw_twice, kinds=EXTRA),
    "bold by a stroke": by(in_run("2 Tr 0.8 w"), kinds=EXTRA),
    "typed beside by another program": Alteration(
        overlaid(write_beside("Soothes burns")), EXTRA, True
    ),
    "a ring drawn by another program": Alteration(overlaid(draw_rings), EXTRA),
    "hatching by another program": Alteration(overlaid(hatch), EXTRA),
    "a ground put under by another program": Alteration(overlaid(ink_below, below=True), EXTRA),
    "an ellipse marked by a reader": Alteration(
        mark_up(lambda rect: Ellipse(rect=rect, interior_color="303030")), EXTRA
    ),
    "a box marked by a reader": Alteration(
        mark_up(lambda rect: Rectangle(rect=rect, interior_color="303030")), EXTRA
    ),
    "highlighted by a reader": Alteration(mark_up(make_highlight), EXTRA),
    # Less ink.
    "a pale box over": by(drawn_over(lambda k: f"/Faint gs 1 g {box(k)} f"), kinds=MISSING),
    "a white box over": by(drawn_over(lambda k: f"1 g {box(k)} f"), kinds=MISSING),
    "screened by white": by(drawn_over(lambda k: f"/Screens gs 1 g {box(k)} f"), kinds=MISSING),
    "white stripes over": by(
        drawn_over(lambda k: f"/Pattern cs /Stripes scn {box(k)} f"), kinds=MISSING
    ),
    "a white line through": by(white_line(lambda k: height_of(k) / 3), kinds=MISSING),
    "a white stroke over": by(white_line(lambda k: height_of(k) + 1), kinds=MISSING),
    "accents and tops cut off": by(
        drawn_over(
            lambda k: f"1 g {k.x0_mm} {k.y1_mm - height_of(k) * 0.25} 400 {height_of(k) * 0.3} re f"
        ),
        kinds=MISSING,
    ),
    "half of it covered": by(
        drawn_over(
            lambda k: f"1 g {k.x0_mm} {k.y0_mm} {(k.x1_mm - k.x0_mm) / 2} {height_of(k)} re f"
        ),
        kinds=MISSING,
    ),
    "a white annotation that prints": by(annotate(4, "1 g 0 0 400 400 re f"), kinds=MISSING),
    "as hairlines": by(in_run("1 Tr 0.05 w"), kinds=MISSING),
    "not painted": by(in_run("3 Tr"), kinds=MISSING),
    "only a clip": by(in_run("7 Tr"), kinds=MISSING),
    "in an ink that no printer has": by(in_run("/Nothing cs 1 scn"), kinds=MISSING),
    "at tint 0": by(in_run("/Spot cs 0 scn"), kinds=MISSING),
    "in white of another space": by(in_run("/Cal cs 1 sc"), kinds=MISSING),
    "in white of a table": by(in_run("/Few cs 1 sc"), kinds=MISSING),
    "nearly white": by(in_run("0.93 g"), kinds=MISSING),
    "white": by(in_run("1 g"), kinds=MISSING),
    "in yellow": by(in_run("1 1 0 rg"), kinds=MISSING),
    "in red": by(in_run("1 0 0 rg"), kinds=MISSING),
    "nearly transparent": by(in_run("/Faint gs"), kinds=MISSING),
    "behind a mask": by(in_run("/Masked gs"), kinds=MISSING),
    "striped": by(in_run("/Pattern cs /Stripes scn"), kinds=MISSING),
    "clipped": by(in_run("0 0 3 3 re W n"), kinds=MISSING),
    "in a layer that is off": by(in_run("/OC /Layer BDC", "EMC"), kinds=MISSING),
    "a letter left out": by(in_codes(lambda codes: codes[:-1]), kinds=MISSING),
    "a letter without outline": by(in_program(empty_glyph), kinds=MISSING),
    "the labels' form cut": by(cut_form, kinds=MISSING),
    "the crop box cut": by(cut_page("/CropBox"), kinds=MISSING),
    "the media box cut": by(cut_page("/MediaBox"), kinds=MISSING),
    "the first label not drawn": by(draw_not, kinds=MISSING),
    "patched by another program": Alteration(overlaid(patch), MISSING),
    "made pale by another program": Alteration(overlaid(patch_half_through), MISSING),
    # Other ink.
    "turned to its negative": by(
        drawn_over(lambda k: f"/Inverts gs 1 g {box(k)} f"), kinds=MISSING
    ),
    "shaded over": by(drawn_over(lambda k: f"{box(k)} W n /Fade sh"), kinds=EXTRA),
    "squeezed": by(in_run("20 Tz"), kinds=BOTH, beside=True),
    "spread": by(in_run("130 Tz"), kinds=BOTH, beside=True),
    "moved": by(in_run("1 0 0 1 3 4 cm"), kinds=BOTH, beside=True),
    "turned a little": by(in_run("0.9962 0.0872 -0.0872 0.9962 0 0 cm"), kinds=BOTH, beside=True),
    "smaller": by(in_run("0.8 0 0 0.8 0 0 cm"), kinds=BOTH, beside=True),
    "slanted": by(in_run("1 0 0.35 1 0 0 cm"), kinds=BOTH, beside=True),
    "raised": by(in_run("2 Ts"), kinds=BOTH, beside=True),
    "letterspaced": by(in_run("1 Tc"), kinds=BOTH, beside=True),
    "two letters exchanged": by(in_codes(swap_ends), kinds=BOTH),
    "a letter twice": by(in_codes(lambda codes: codes[:1] + codes), kinds=EXTRA, beside=True),
    "a letter drawn as another": by(in_program(exchange_glyphs), kinds=BOTH),
    "letters' widths": by(in_font(widen), kinds=BOTH, beside=True),
    "no font program": by(in_font(forget_program), kinds=MISSING),
    "the labels' form shrunk": by(in_form(Matrix=[0.94, 0, 0, 0.94, 0, 0]), kinds=BOTH),
    "units of half a point": by(on_page(UserUnit=0.5), kinds=BOTH),
    "units of two points": by(on_page(UserUnit=2), kinds=MISSING),
    "scaled by another program": Alteration(
        transform_page(Transformation().scale(0.93)), BOTH
    ),
    "a picture pasted by another program": Alteration(overlaid(paste_picture(255)), EXTRA),
    "a picture that one sees through": Alteration(overlaid(paste_picture(150)), EXTRA),
    "faded by another program": Alteration(overlaid(fade), BOTH),
}  # fmt: skip


# -- what changes nothing that shows ---------------------------------------------------------------


def saved(**how: object) -> Make:
    def make(target: Target) -> bytes:
        with pikepdf.open(io.BytesIO(target.data)) as pdf:
            return save(pdf, **how)

    return make


def number_pages(pdf: pikepdf.Pdf, _: Target) -> None:
    pdf.Root.PageLabels = Dictionary(Nums=Array([0, Dictionary(S=Name.r)]))


def move_origin(pdf: pikepdf.Pdf, target: Target) -> None:
    page = pdf.pages[0]
    width, height = (float(v) for v in page.MediaBox[2:])
    page.MediaBox = Array([-50, 30, width - 50, height + 30])
    whole_page("1 0 0 1 -50 30 cm")(pdf, target)


def halve_units(pdf: pikepdf.Pdf, target: Target) -> None:
    """Units of two points, and half as many of them (14.11.2)."""
    page = pdf.pages[0]
    page.MediaBox = Array([float(v) / 2 for v in page.MediaBox])
    page.obj["/UserUnit"] = 2
    whole_page("0.5 0 0 0.5 0 0 cm")(pdf, target)


def off_the_labels(pdf: pikepdf.Pdf, _: Target) -> None:
    pdf.pages[0].contents_add(Stream(pdf, b"\nq 0 g 1 1 4 4 re f Q"))


def compress_page(writer: PdfWriter, _: Target) -> None:
    writer.pages[0].compress_content_streams()


def append_to_other(target: Target) -> bytes:
    writer = PdfWriter()
    writer.append(io.BytesIO(target.data))
    return write(writer)


def copy_page(target: Target) -> bytes:
    with pikepdf.open(io.BytesIO(target.data)) as pdf, pikepdf.new() as other:
        other.pages.append(pdf.pages[0])
        return save(other)


def put_in_form(pdf: pikepdf.Pdf, _: Target) -> None:
    """The page's content as one form, as programs that lay pages on sheets make it."""
    page = pdf.pages[0]
    page.contents_coalesce()
    form = Stream(pdf, page.Contents.read_bytes())
    form.stream_dict.update(
        Dictionary(
            Type=Name.XObject, Subtype=Name.Form, BBox=page.MediaBox, Resources=page.Resources
        )
    )  # fmt: skip
    page.Contents = Stream(pdf, b"q /Whole Do Q")
    page.Resources = Dictionary(XObject=Dictionary(Whole=pdf.make_indirect(form)))


def split_content(pdf: pikepdf.Pdf, _: Target) -> None:
    """In two streams, parted between two tokens (7.8.2)."""
    page = pdf.pages[0]
    page.contents_coalesce()
    content = page.Contents.read_bytes()
    middle = content.index(b"\n", len(content) // 2)
    page.Contents = Array([Stream(pdf, content[:middle]), Stream(pdf, content[middle:])])


def round_numbers(pdf: pikepdf.Pdf, _: Target) -> None:
    form = find_form(pdf)
    text = form.read_bytes()
    form.write(re.sub(rb"(?<=[ \n])-?\d+\.\d{4,}", lambda m: b"%.3f" % float(m[0]), text))


def attach(pdf: pikepdf.Pdf, _: Target) -> None:
    pdf.attachments["order.txt"] = b"two dozen"


def add_bookmark(pdf: pikepdf.Pdf, _: Target) -> None:
    with pdf.open_outline() as outline:
        outline.root.append(pikepdf.OutlineItem("Labels", 0))


def name_producer(pdf: pikepdf.Pdf, _: Target) -> None:
    with pdf.open_metadata() as metadata:
        metadata["pdf:Producer"] = "another program"


def add_empty_form(pdf: pikepdf.Pdf, _: Target) -> None:
    pdf.Root.AcroForm = Dictionary(Fields=Array([]))


def link(pdf: pikepdf.Pdf, target: Target) -> None:
    at = target.on_page
    rect = Array([at.x0_mm, at.y0_mm, at.x1_mm, at.y1_mm])
    mark = Dictionary(Type=Name.Annot, Subtype=Name.Link, Rect=rect, Border=Array([0, 0, 0]))
    pdf.pages[0].obj["/Annots"] = Array([pdf.make_indirect(mark)])


HARMLESS: dict[str, Make] = {
    "saved anew": saved(),
    "linearised": saved(linearize=True),
    "object streams": saved(object_stream_mode=pikepdf.ObjectStreamMode.generate),
    "no object streams": saved(object_stream_mode=pikepdf.ObjectStreamMode.disable),
    "compressed anew": saved(recompress_flate=True),
    "uncompressed": saved(
        compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.all
    ),
    "laid out for reading": saved(qdf=True),
    "content normalised": saved(normalize_content=True),
    "a later version": saved(force_version="2.0"),
    "saved by another": by_pypdf(compress_page),
    "appended to another": append_to_other,
    "copied to another": copy_page,
    "identical objects joined": by_pypdf(lambda w, _: w.compress_identical_objects()),
    "a quarter turn of the page": altered(on_page(Rotate=90)),
    "half a turn of the page": altered(on_page(Rotate=180)),
    "three quarter turns": altered(on_page(Rotate=270)),
    "turned in its content": by_pypdf(
        lambda w, _: w.pages[0].rotate(90).transfer_rotation_to_content()
    ),
    "page labels": altered(number_pages),
    "another origin": altered(move_origin),
    "units of two points, half as many": altered(halve_units),
    "boxes of the finished page": altered(
        on_page(TrimBox=Array([20, 20, 500, 500]), BleedBox=Array([10, 10, 510, 510]))
    ),
    "rich black": altered(in_run("0.6 0.4 0.4 1 k")),
    "black of one ink": altered(in_run("0 0 0 1 k")),
    "black of three lights": altered(in_run("0 0 0 rg")),
    "black as a separation": altered(in_run("/Black cs 1 scn")),
    "black in all inks": altered(in_run("/All cs 1 scn")),
    "black of a table": altered(in_run("/Few cs 0 sc")),
    "black of another space": altered(in_run("/Cal cs 0 sc")),
    "printed over": altered(in_run("/Over gs")),
    "multiplied": altered(in_run("/Multiplies gs")),
    "a clip around all": altered(in_run("-9 -9 999 999 re W n")),
    "an intent and a flatness": altered(in_run("/Perceptual ri 1 i")),
    "a font set anew": altered(in_program(rebuild_program)),
    "a font of another name": altered(in_font(rename_subset)),
    "a character map of another program": altered(in_font(forget_characters)),
    "numbers rounded": altered(round_numbers),
    "a page in a form": altered(put_in_form),
    "content in two parts": altered(split_content),
    "a note that is hidden": altered(annotate(2)),
    "a note that does not print": altered(annotate(0)),
    "a link": altered(link),
    "a layer that is off": altered(
        in_layer(drawn_over(lambda _: word("Draft", 8, 4, 9)), off=True)
    ),
    "a layer that shows on screen alone": altered(
        in_layer(drawn_over(lambda _: word("Draft", 8, 4, 9)), prints=Name.OFF)
    ),
    "moved as a whole": altered(whole_page("1 0 0 1 0.4 0.3 cm")),
    "ink beside the labels": altered(off_the_labels),
    "a file attached": altered(attach),
    "a bookmark": altered(add_bookmark),
    "another producer": altered(name_producer),
    "a form without fields": altered(add_empty_form),
}
