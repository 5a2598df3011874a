"""What a finished PDF shows is judged by its ink, whatever operators made it.

Two corpora: altered files, of which each fails where it was altered, and files that were only saved
or turned otherwise, of which none fails. Section numbers are those of ISO 32000-1.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, Stream

from labelkit.compose.job import Job
from labelkit.job.ink import FinishedPdf, InkVerdict, judge_ink
from labelkit.job.prepare import prepare_job
from labelkit.job.sheets import make_sheets_of_file
from labelkit.model.runs import Box
from labelkit.pdf.read import read_panel_bytes

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
MM = 72 / 25.4
TARGETS = (
    ("lighthouse-supper", "front", "net-quantity"),
    pytest.param(("lighthouse-supper", "back", "ingredients"), marks=pytest.mark.long),
)
"""A sample, one of its panels, and the element that is altered."""


def mark_most_long(kinds: Iterable[str]) -> list[Any]:
    """Every sixth kind for the quick tests."""
    return [
        kind if number % 6 == 0 else pytest.param(kind, marks=pytest.mark.long)
        for number, kind in enumerate(kinds)
    ]


@dataclass(frozen=True)
class Target:
    job: Job
    data: bytes
    """The first page of its sheets."""
    element: str
    ink: Box
    """The element's ink on the first label, in points of the label."""
    matrix: str
    """Takes the first label's points to the page."""


@pytest.fixture(scope="session")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], tuple[Job, Path]]:
    @cache
    def make(sample: str) -> tuple[Job, Path]:
        label, folder = SAMPLES / sample / "label.toml", tmp_path_factory.mktemp(sample)
        make_sheets_of_file(label, folder)
        return prepare_job(label), folder

    return make


@pytest.fixture
def target(request: pytest.FixtureRequest, sheets: Callable[[str], tuple[Job, Path]]) -> Target:
    sample, panel, element = request.param
    job, folder = sheets(sample)
    with pikepdf.open(folder / f"{panel}.pdf") as pdf:
        del pdf.pages[1:]
        data = save(pdf)
    place = read_panel_bytes(data, "t.pdf").panels[0]
    # The element's first line: those of a list may stand in several languages.
    ink = next(run.ink for run in place.panel.runs if run.element == element)
    a, b, c, d = ((1, 0, 0, 1), (0, 1, -1, 0), (-1, 0, 0, -1), (0, -1, 1, 0))[place.turns]
    width, height = place.panel.width_mm, place.panel.height_mm
    dx, dy = ((0, 0), (height, 0), (width, height), (0, width))[place.turns]
    matrix = f"{a} {b} {c} {d} {(place.x_mm + dx) * MM:.4f} {(place.y_mm + dy) * MM:.4f} cm"
    points = Box(*(v * MM for v in (ink.x0_mm, ink.y0_mm, ink.x1_mm, ink.y1_mm)))
    return Target(job, data, element, points, matrix)


def save(pdf: pikepdf.Pdf, **how: Any) -> bytes:
    stream = io.BytesIO()
    pdf.save(stream, **how)
    return stream.getvalue()


def judge(target: Target, data: bytes) -> InkVerdict:
    panels = read_panel_bytes(data, "t.pdf").panels
    assert panels
    return judge_ink(target.job, [FinishedPdf("t.pdf", data, panels)])


Change = Callable[[pikepdf.Pdf, Target], None]


def change(data: bytes, alter: Change, target: Target) -> bytes:
    with pikepdf.open(io.BytesIO(data)) as pdf:
        alter(pdf, target)
        return save(pdf)


# -- ways to alter a file --------------------------------------------------------------------------


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
        resources["/ExtGState"] = states
        what = f"\nq {target.matrix} {operators(target.ink)} Q"
        page.contents_add(Stream(pdf, what.encode("latin-1")))

    return alter


def word(text: str, x: float, y: float, size: float) -> str:
    return f"0 g BT /Other {size:.2f} Tf {x:.2f} {y:.2f} Td ({text}) Tj ET"


def box(ink: Box, grow: float = 0.5) -> str:
    width, height = ink.x1_mm - ink.x0_mm + 2 * grow, ink.y1_mm - ink.y0_mm + 2 * grow
    return f"{ink.x0_mm - grow:.3f} {ink.y0_mm - grow:.3f} {width:.3f} {height:.3f} re"


def height_of(ink: Box) -> float:
    return ink.y1_mm - ink.y0_mm


def middle(ink: Box) -> float:
    return (ink.y0_mm + ink.y1_mm) / 2


def line(ink: Box, weight: float) -> str:
    y = middle(ink)
    return f"0 G {weight} w {ink.x0_mm:.2f} {y:.2f} m {ink.x1_mm:.2f} {y:.2f} l S"


def in_run(begin: str, end: str = "", swap: tuple[bytes, bytes] | None = None) -> Change:
    """The element's first run on all labels, between other operators; ``swap`` of its own."""

    def alter(pdf: pikepdf.Pdf, target: Target) -> None:
        form = find_form(pdf)
        spaces = Dictionary(
            {
                "/Nothing": Array([Name.Separation, Name("/None"), Name.DeviceGray, tint()]),
                "/Spot": Array([Name.Separation, Name("/Red"), Name.DeviceGray, tint()]),
                "/Cal": Array([Name.CalGray, Dictionary(WhitePoint=Array([0.95, 1, 1.09]))]),
            }
        )
        form.Resources["/ColorSpace"] = spaces
        form.Resources["/ExtGState"] = Dictionary(Faint=Dictionary(ca=0.05, CA=0.05))
        mark = re.compile(rb"(/LkRun<</E/%b(?=[/>]))" % target.element.encode())
        before, found, after = mark.split(form.read_bytes(), maxsplit=1)
        head, begun, rest = after.partition(b"BT")
        text, ended, tail = rest.partition(b"EMC")
        if swap:
            assert swap[0] in text
            text = text.replace(*swap)
        form.write(
            b"".join((before, found, head, b"q ", begin.encode(), b" ", begun, text))
            + b" ".join((b"", end.encode(), b"Q", ended))
            + tail
        )

    return alter


def tint() -> Dictionary:
    """What a separation looks like without its ink: black at a tint of 1 (7.10.3)."""
    return Dictionary(FunctionType=2, Domain=Array([0, 1]), C0=Array([1]), C1=Array([0]), N=1)


def find_form(pdf: pikepdf.Pdf) -> pikepdf.Object:
    (name,) = (n for n in pdf.pages[0].resources.XObject if "label" in n)
    return pdf.pages[0].resources.XObject[name]


def annotate(flags: int, dark: bool = True) -> Change:
    """An annotation with an appearance (12.5.5) over the element."""

    def alter(pdf: pikepdf.Pdf, target: Target) -> None:
        look = Stream(pdf, f"{0 if dark else 1} g 0 0 400 400 re f".encode())
        look.stream_dict["/Type"], look.stream_dict["/Subtype"] = Name.XObject, Name.Form
        look.stream_dict["/BBox"] = Array([0, 0, 400, 400])
        numbers = [float(v) for v in target.matrix.split()[:6]]
        ink, (a, b, c, d, e, f) = target.ink, numbers
        xs, ys = zip(
            *(
                (a * x + c * y + e, b * x + d * y + f)
                for x, y in ((ink.x0_mm, ink.y0_mm), (ink.x1_mm, ink.y1_mm))
            ),
            strict=True,
        )
        mark = Dictionary(
            Type=Name.Annot,
            Subtype=Name.Stamp,
            F=flags,
            Rect=Array([min(xs), min(ys), max(xs), max(ys)]),
            AP=Dictionary(N=pdf.make_indirect(look)),
        )
        pdf.pages[0].obj["/Annots"] = Array([pdf.make_indirect(mark)])

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


ALTERATIONS: dict[str, Change] = {
    "a claim in the free room": drawn_over(lambda _: word("Heals eczema", 8, 4, 9)),
    "another weight beside": drawn_over(
        lambda k: word("42 g", k.x1_mm + 2, k.y0_mm, height_of(k) * 1.2)
    ),
    "X's typed over": drawn_over(lambda k: word("XXXX", k.x0_mm, k.y0_mm, height_of(k) * 1.3)),
    "a thick line through": drawn_over(lambda k: line(k, 1.5)),
    "a thin line through": drawn_over(lambda k: line(k, 0.5)),
    "a pale box over": drawn_over(lambda k: f"/Faint gs 1 g {box(k)} f"),
    "a white box over": drawn_over(lambda k: f"1 g {box(k)} f"),
    "a black box over": drawn_over(lambda k: f"0 g {box(k)} f"),
    "a frame too much": drawn_over(lambda k: f"0 G 0.5 w {box(k, 1.2)} S"),
    "turned to its negative": drawn_over(lambda k: f"/Inverts gs 1 g {box(k)} f"),
    "a white line through": drawn_over(
        lambda k: line(k, height_of(k) / 3).replace("0 G", "1 G", 1)
    ),
    "accents and tops cut off": drawn_over(
        lambda k: f"1 g {k.x0_mm} {k.y1_mm - height_of(k) * 0.25} 400 {height_of(k) * 0.3} re f"
    ),
    "a full stop too much": drawn_over(
        lambda k: f"0 g {k.x1_mm + 0.6:.2f} {k.y0_mm:.2f} 0.7 0.7 re f"
    ),
    "half of it covered": drawn_over(
        lambda k: f"1 g {k.x0_mm} {k.y0_mm} {(k.x1_mm - k.x0_mm) / 2} {height_of(k)} re f"
    ),
    "a white stroke over": drawn_over(lambda k: line(k, height_of(k) + 1).replace("0 G", "1 G", 1)),
    "an annotation that prints": annotate(4),
    "a white annotation that prints": annotate(4, dark=False),
    "the page twice": whole_page("1 0 0 1 2 0 cm", again=True),
    "the page twice, lower": whole_page("1 0 0 1 0 -2 cm", again=True),
    "as hairlines": in_run("1 Tr 0.05 w"),
    "bold by a stroke": in_run("2 Tr 0.8 w"),
    "not painted": in_run("3 Tr"),
    "in an ink that no printer has": in_run("/Nothing cs 1 scn"),
    "at tint 0": in_run("/Spot cs 0 scn"),
    "in white of another space": in_run("/Cal cs 1 sc"),
    "nearly white": in_run("0.93 g"),
    "white": in_run("1 g"),
    "nearly transparent": in_run("/Faint gs"),
    "squeezed": in_run("20 Tz"),
    "spread": in_run("130 Tz"),
    "moved": in_run("1 0 0 1 3 4 cm"),
    "turned a little": in_run("0.9962 0.0872 -0.0872 0.9962 0 0 cm"),
    "smaller": in_run("0.8 0 0 0.8 0 0 cm"),
    "clipped": in_run("0 0 3 3 re W n"),
    "raised": in_run("2 Ts"),
    "letterspaced": in_run("1 Tc"),
}


@pytest.mark.parametrize("alteration", mark_most_long(ALTERATIONS))
@pytest.mark.parametrize("target", TARGETS, indirect=True, ids=" ".join)
def test_ink_that_was_altered_fails(target: Target, alteration: str) -> None:
    verdict = judge(target, change(target.data, ALTERATIONS[alteration], target))
    assert verdict.findings
    assert all(f.level == "fail" and f.rule == "LABELKIT-INK" for f in verdict.findings)
    assert verdict.pictures
    if alteration != "a claim in the free room":
        touched = {finding.element for finding in verdict.findings}
        beside = alteration in ("another weight beside", "a full stop too much")
        assert target.element in touched or (beside and touched), touched


# -- what changes nothing that shows ---------------------------------------------------------------


def saved(**how: object) -> Callable[[Target], bytes]:
    def make(target: Target) -> bytes:
        with pikepdf.open(io.BytesIO(target.data)) as pdf:
            return save(pdf, **how)

    return make


def altered(alter: Change) -> Callable[[Target], bytes]:
    return lambda target: change(target.data, alter, target)


def turned(degrees: int) -> Change:
    def alter(pdf: pikepdf.Pdf, _: Target) -> None:
        pdf.pages[0].Rotate = degrees

    return alter


def number_pages(pdf: pikepdf.Pdf, _: Target) -> None:
    pdf.Root.PageLabels = Dictionary(Nums=Array([0, Dictionary(S=Name.r)]))


def move_origin(pdf: pikepdf.Pdf, target: Target) -> None:
    page = pdf.pages[0]
    width, height = (float(v) for v in page.MediaBox[2:])
    page.MediaBox = Array([-50, 30, width - 50, height + 30])
    whole_page("1 0 0 1 -50 30 cm")(pdf, target)


def resave_by_pypdf(target: Target) -> bytes:
    from pypdf import PdfWriter

    writer, stream = PdfWriter(clone_from=io.BytesIO(target.data)), io.BytesIO()
    for page in writer.pages:
        page.compress_content_streams()
    writer.write(stream)
    return stream.getvalue()


def off_the_labels(pdf: pikepdf.Pdf, _: Target) -> None:
    pdf.pages[0].contents_add(Stream(pdf, b"\nq 0 g 1 1 4 4 re f Q"))


HARMLESS: dict[str, Callable[[Target], bytes]] = {
    "saved anew": saved(),
    "linearised": saved(linearize=True),
    "object streams": saved(object_stream_mode=pikepdf.ObjectStreamMode.generate),
    "compressed anew": saved(recompress_flate=True),
    "uncompressed": saved(
        compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.all
    ),
    "laid out for reading": saved(qdf=True),
    "content normalised": saved(normalize_content=True),
    "saved by another": resave_by_pypdf,
    "a quarter turn of the page": altered(turned(90)),
    "half a turn of the page": altered(turned(180)),
    "three quarter turns": altered(turned(270)),
    "page labels": altered(number_pages),
    "another origin": altered(move_origin),
    "rich black": altered(in_run("0.6 0.4 0.4 1 k")),
    "black of one ink": altered(in_run("0 0 0 1 k")),
    "black of three lights": altered(in_run("0 0 0 rg")),
    "a note that is hidden": altered(annotate(2)),
    "a note that does not print": altered(annotate(0)),
    "moved as a whole": altered(whole_page("1 0 0 1 0.4 0.3 cm")),
    "ink beside the labels": altered(off_the_labels),
}


@pytest.mark.parametrize("how", mark_most_long(HARMLESS))
@pytest.mark.parametrize("target", TARGETS, indirect=True, ids=" ".join)
def test_a_file_that_shows_the_same_passes(target: Target, how: str) -> None:
    assert judge(target, HARMLESS[how](target)).findings == ()
