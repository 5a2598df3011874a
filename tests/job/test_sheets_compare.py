"""A finished file that is not as composed is caught, whatever is wrong with it."""

from __future__ import annotations

import gc
import io
import tracemalloc
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DecodedStreamObject, NameObject
from sheet_events import SAMPLE

from labelkit.cli import main
from labelkit.common.errors import InputError
from labelkit.compose import make_run
from labelkit.impose.sheet import LabelPlace, Sheet
from labelkit.job import sheets as press
from labelkit.job.sheets import PressError, make_sheets_of_file
from labelkit.model.runs import NEUTRAL, Panel, Run
from labelkit.pdf.compare import compare_pages
from labelkit.pdf.read import Matrix, PageRead, read_pages, read_panel_bytes
from labelkit.pdf.write.draw import DocumentInfo, Page, SheetSide, draw_pages
from labelkit.typeset.faces import FaceRequest, load_face

FACE = load_face(FaceRequest("fira-sans"))
COMMON = (make_run("Savon\u202f: 40\u00a0g", "identity", "fr", FACE, 8.0, 3.0, 9.0),)
PANEL = Panel("front", 44, 28, runs=COMMON)
SHEETS = (
    Sheet(100, 120, (LabelPlace(0, 5, 80, 44, 28), LabelPlace(1, 55, 80, 28, 44, 1))),
    Sheet(100, 120, (LabelPlace(2, 5, 80, 44, 28, 2), LabelPlace(3, 55, 70, 28, 44, 3))),
)
PAGES = tuple(Page(0, sheet) for sheet in SHEETS)


def own_runs(label: int) -> tuple[Run, ...]:
    if label == 3:
        return ()
    return (make_run(f"Guest {label}", "guest", NEUTRAL, FACE, 9.0, 4.0, 20.0),)


SIDE = SheetSide(PANEL, {FACE.name: FACE}, own_runs)


def drawn(
    pages: Iterable[Page] = PAGES, side: SheetSide = SIDE, printer: Matrix | None = None
) -> bytes:
    stream = io.BytesIO()
    draw_pages(stream, (side,), pages, DocumentInfo("T", "fr"), printer)
    return stream.getvalue()


def read(data: bytes) -> list[PageRead]:
    return list(read_pages(io.BytesIO(data), "t.pdf"))


def problems(data: bytes, pages: tuple[Page, ...] = PAGES, count: int = 4) -> list[str]:
    return list(compare_pages((SIDE,), range(count), pages, read(data)))


def test_a_file_as_composed_has_no_differences() -> None:
    assert problems(drawn()) == []


def test_every_quarter_turn_is_read_where_it_stands() -> None:
    found = [place for page in read(drawn()) for place in page.panels]
    assert [place.turns for place in found] == [0, 1, 2, 3]
    for place, wanted in zip(found, (p for s in SHEETS for p in s.places), strict=True):
        assert (place.x_mm, place.y_mm) == pytest.approx((wanted.x_mm, wanted.y_mm), abs=0.001)
        assert place.panel.runs[0].x_mm == pytest.approx(3.0, abs=0.001)


def moved(place: LabelPlace, dx_mm: float) -> Page:
    sheet = replace(
        SHEETS[0], places=(replace(place, x_mm=place.x_mm + dx_mm), SHEETS[0].places[1])
    )
    return Page(0, sheet)


WRONG: dict[str, tuple[Callable[[], bytes], str]] = {
    "a page is missing": (lambda: drawn(PAGES[:1]), "page 2 is missing"),
    "a page too many": (lambda: drawn((*PAGES, PAGES[0])), "more than 2 pages"),
    "pages in another order": (lambda: drawn(PAGES[::-1]), "page 1 has 2 labels that are not"),
    "a label stands elsewhere": (
        lambda: drawn((moved(SHEETS[0].places[0], 0.03), PAGES[1])), "0.030 mm from its place",
    ),
    "a label is turned": (
        lambda: drawn((
            Page(0, replace(SHEETS[0], places=(
                replace(SHEETS[0].places[0], turns=2), SHEETS[0].places[1]))),
            PAGES[1],
        )), "from its place",
    ),
    "a guest's name is another": (
        lambda: drawn(side=replace(SIDE, own_runs=lambda n: own_runs((n + 1) % 3 if n < 3 else n))),
        "reads 'Guest 1'",
    ),
    "a name is missing": (
        lambda: drawn(side=replace(SIDE, own_runs=lambda n: own_runs(n) if n != 1 else ())),
        "2 runs composed, 1 found",
    ),
    "the words are others": (
        lambda: drawn(side=replace(SIDE, panel=replace(PANEL, runs=(
            make_run("Savon\u202f: 45\u00a0g", "identity", "fr", FACE, 8.0, 3.0, 9.0),)))),
        "40\\xa0g' reads 'Savon\\u202f: 45\\xa0g'",
    ),
    "a break between words is another": (
        lambda: drawn(side=replace(SIDE, panel=replace(PANEL, runs=(
            make_run("Savon\u202f: 40 g", "identity", "fr", FACE, 8.0, 3.0, 9.0),)))),
        "40\\xa0g' reads 'Savon\\u202f: 40 g'",
    ),
    "letters are smaller": (
        lambda: drawn(side=replace(SIDE, panel=replace(PANEL, runs=(
            make_run(COMMON[0].text, "identity", "fr", FACE, 7.9, 3.0, 9.0),)))),
        "mm high, composed at",
    ),
    "another panel": (
        lambda: drawn(side=replace(SIDE, panel=replace(PANEL, name="back"))),
        "is a back, not a front",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG)
def test_what_is_wrong_is_told(what: str) -> None:
    make, message = WRONG[what]
    told = problems(make())
    assert told
    assert any(message in line for line in told), told


def test_a_label_left_out_of_the_pages_or_there_twice_is_told() -> None:
    twice = (PAGES[0], Page(0, replace(SHEETS[1], places=SHEETS[0].places)))
    assert any("out of turn" in line for line in problems(drawn(twice), twice))
    assert problems(drawn(PAGES[:1]), PAGES[:1]) == ["front: label 3 is missing"]


def test_an_unembedded_font_and_stray_words_are_told() -> None:
    writer = PdfWriter(clone_from=io.BytesIO(drawn()))
    page = writer.pages[0]
    content = page.get_contents()
    assert content is not None
    helvetica = b"BT /F9 6 Tf 10 10 Td (stray) Tj ET EMC Q"
    changed = DecodedStreamObject()
    changed.set_data(content.get_data().replace(b"EMC Q", helvetica, 1))
    page[NameObject("/Contents")] = writer._add_object(changed)
    font = PdfReader(io.BytesIO(_with_helvetica())).pages[0]["/Resources"]["/Font"]["/F1"]  # type: ignore[index]
    page["/Resources"]["/Font"][NameObject("/F9")] = font.get_object().clone(writer)  # type: ignore[index]
    stream = io.BytesIO()
    writer.write(stream)
    told = problems(stream.getvalue())
    assert "font Helvetica is not embedded" in told
    assert any("text outside any element" in line for line in told)


def _with_helvetica() -> bytes:
    """A page by plain reportlab, which names its standard font on every page."""
    from reportlab.pdfgen.canvas import Canvas

    stream = io.BytesIO()
    canvas = Canvas(stream)
    canvas.drawString(10, 10, "x")
    canvas.save()
    return stream.getvalue()


# -- a printer's correction ------------------------------------------------------------------------

PRINTER = Matrix(1.0043, 0.0, 0.0, 0.9971, -2.0, 3.4)


def test_a_corrected_page_is_read_as_it_will_print() -> None:
    data = drawn(printer=PRINTER)
    assert problems(data) == []
    run = read(data)[0].panels[0].panel.runs[0]
    assert run.letters.small_o_mm == pytest.approx(COMMON[0].letters.small_o_mm, abs=1e-5)


def test_what_the_printer_would_do_is_not_taken_for_granted_elsewhere() -> None:
    """Without its mark the same page is read as any printer prints it, and is wrong."""
    data = drawn(printer=PRINTER)
    writer = PdfWriter(clone_from=io.BytesIO(data))
    for page in writer.pages:
        content = page.get_contents()
        assert content is not None
        plain = DecodedStreamObject()
        plain.set_data(content.get_data().replace(b"/LkPrinter", b"/Other"))
        page[NameObject("/Contents")] = writer._add_object(plain)
    stream = io.BytesIO()
    writer.write(stream)
    assert any("from its place" in line for line in problems(stream.getvalue()))


def test_matrices_undo_each_other() -> None:
    for matrix in (PRINTER, Matrix(0.0, 2.0, -3.0, 0.5, 7.0, -1.0)):
        assert matrix.then(matrix.inverse) == pytest.approx(Matrix(), abs=1e-12)
        assert matrix.inverse.then(matrix) == pytest.approx(Matrix(), abs=1e-12)
    with pytest.raises(ZeroDivisionError):
        _ = Matrix(0.0, 0.0, 0.0, 0.0).inverse


# -- the press -------------------------------------------------------------------------------------


def test_the_press_writes_nothing_that_differs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    right = press.read_pages

    def wrong(stream: io.BytesIO, name: str) -> Iterable[PageRead]:
        for page in right(stream, name):
            places = [replace(place, x_mm=place.x_mm + 0.03) for place in page.panels]
            yield replace(page, panels=tuple(places))

    monkeypatch.setattr(press, "read_pages", wrong)
    with pytest.raises(PressError, match=r"not as composed: page 1: label 1 stands 0\.030 mm"):
        make_sheets_of_file(SAMPLE / "label.toml", tmp_path / "out")
    # Not exit code 2, which would send the maker looking for a mistake of hers.
    with pytest.raises(SystemExit) as done:
        main(["sheet", str(SAMPLE / "label.toml"), "--out", str(tmp_path / "out")])
    assert done.value.code == 3
    assert list(tmp_path.iterdir()) == []


def test_a_label_that_only_fails_as_printed_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second preflight sees what was read, not what was composed."""
    seen: list[object] = []
    judge = press.preflight_job

    def preflight(job: press.Job, panels: Iterable[Panel] | None = None) -> press.Report:
        if panels is None:
            return judge(job)
        seen.extend(panels)
        small = [
            replace(
                p, runs=tuple(replace(r, letters=replace(r.letters, figure_mm=0.5)) for r in p.runs)
            )
            for p in seen
        ]
        return judge(job, small)

    monkeypatch.setattr(press, "preflight_job", preflight)
    made = make_sheets_of_file(SAMPLE / "label.toml", tmp_path / "out")
    assert made.report.verdict == "fail"
    assert made.files == ()
    assert [panel.name for panel in seen] == ["front", "back"]
    assert list(tmp_path.iterdir()) == []


def looping(times: int) -> bytes:
    """The same file with a form that draws itself so many times."""
    writer = PdfWriter(clone_from=io.BytesIO(drawn()))
    forms = writer.pages[0]["/Resources"]["/XObject"]  # type: ignore[index]
    form = forms["/FormXob.label0"].get_object()
    form[NameObject("/Resources")][NameObject("/XObject")] = forms
    form.set_data(form.get_data() + b" /FormXob.label0 Do" * times)
    stream = io.BytesIO()
    writer.write(stream)
    return stream.getvalue()


@pytest.mark.long
def test_a_form_that_draws_itself_ends() -> None:
    """At a depth no real file has, and before it was drawn a million times."""
    panels = read_panel_bytes(looping(1), "loop.pdf").panels
    assert len(panels) == 4
    assert len(panels[3].panel.runs) > 1
    with pytest.raises(InputError, match="cut short or damaged"):
        read_panel_bytes(looping(20), "loop.pdf")


# -- many labels -----------------------------------------------------------------------------------


def peak_bytes(tmp_path: Path, pages: int) -> int:
    """What drawing and checking so many pages of names takes at its most."""

    def every() -> Iterable[Page]:
        for first in range(0, 4 * pages, 4):
            places = tuple(
                LabelPlace(first + n, 5 + 50 * (n % 2), 5 + 40 * (n // 2), 44, 28) for n in range(4)
            )
            yield Page(0, Sheet(105, 90, places))

    def names(label: int) -> tuple[Run, ...]:  # few, as measured text is kept for a while
        return (make_run(f"Guest {label % 50}", "guest", NEUTRAL, FACE, 9.0, 4.0, 20.0),)

    side = replace(SIDE, own_runs=names)
    # A command run in this process before may have made the collector rarer, as it does for itself.
    usual = gc.get_threshold()
    gc.set_threshold(700, 10, 10)
    with (tmp_path / "many.pdf").open("w+b") as stream:
        tracemalloc.start()
        try:
            draw_pages(stream, (side,), every(), DocumentInfo("T", "fr"))
            read_back = read_pages(stream, "many.pdf")
            assert list(compare_pages((side,), range(4 * pages), every(), read_back)) == []
            return tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()
            gc.set_threshold(*usual)


@pytest.mark.long
def test_memory_does_not_grow_with_the_labels(tmp_path: Path) -> None:
    """Ten times the pages: only the place of each in the file is kept, some hundred bytes."""
    peak_bytes(tmp_path, 300)  # fills caches that are there once
    few, many = peak_bytes(tmp_path, 30), peak_bytes(tmp_path, 300)
    assert many - few < 270 * 1000
