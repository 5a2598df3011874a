"""Whole sheets, measured in the finished PDF by readers that share nothing with labelkit."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pdfplumber
import pypdf
import pypdfium2
import pytest
from sheet_events import GUESTS

from labelkit.common.errors import FitError, InputError
from labelkit.impose import find_left_over, impose_labels
from labelkit.impose.sheet import Sheet
from labelkit.job.prepare import prepare_job
from labelkit.job.sheets import MadeSheets, Wish, make_sheets_of_file
from labelkit.model.runs import Run
from labelkit.order.part_used import PartUsedSheet, find_part_used, format_part_used
from labelkit.order.printer import PrinterProfile, format_printers
from labelkit.order.stock import list_stocks

MM = 72 / 25.4
SLUG = re.compile(r"Order \w{4}-\w{4}.*?100\s%", re.DOTALL)
"""What stands beside the labels of every sheet."""
POSITION_MM = 0.05
"""How true positions are promised to be."""

Point = tuple[float, float]


def on_page(place: Any, x_mm: float, y_mm: float) -> Point:
    """A point of a label on its page: turned by hand, not by labelkit's own matrices."""
    left, bottom, right, top = place.box.x0_mm, place.box.y0_mm, place.box.x1_mm, place.box.y1_mm
    return {
        0: (left + x_mm, bottom + y_mm),
        1: (right - y_mm, bottom + x_mm),
        2: (right - x_mm, top - y_mm),
        3: (left + y_mm, top - x_mm),
    }[place.turns]


def same_points(found: list[Point], wanted: list[Point]) -> bool:
    """Whether each point wanted has one found within the promise, and none is left."""
    rest = sorted(found)
    for x, y in sorted(wanted):
        near = [p for p in rest if abs(p[0] - x) <= POSITION_MM and abs(p[1] - y) <= POSITION_MM]
        if not near:
            return False
        rest.remove(near[0])
    return not rest


def net_quantity(composed: Any) -> Run:
    (run,) = (run for run in composed.panel.runs if run.element == "net-quantity")
    return run


# -- positions -------------------------------------------------------------------------------------


QUICK = {"a4-3x7-63x38", "letter-3x6-oval-64x38", "letter-plain", "roll-102x152"}
"""A stock of every kind: dies as large as the label or larger, curved ones, a page, a roll."""
STOCKS = [
    pytest.param(stock, id=stock.name, marks=() if stock.name in QUICK else pytest.mark.long)
    for stock in list_stocks()
]


@pytest.mark.parametrize("stock", STOCKS)
def test_every_label_mark_and_ruler_is_where_the_stock_has_it(
    stock: Any, personal: Callable[..., Path], tmp_path: Path
) -> None:
    """The net quantity's first figure marks each label: the only "4" of its size on it."""
    change = ('layout = "lantern"', f'stock = "{stock.name}"\nlayout = "lantern"')
    label = personal("stock", ("Zoë B.", "Luc C."), "12", change)
    job = prepare_job(label)
    if not holds_44_by_28(stock):
        with pytest.raises(FitError):
            impose_labels(job.stock, job.spec.trim, 14)
        return
    sheets = impose_labels(job.stock, job.spec.trim, 14)
    made = make_sheets_of_file(label, tmp_path)
    run = net_quantity(job.composed[0])
    with pdfplumber.open(made.files[0]) as pdf:
        assert len(pdf.pages) == len(sheets)
        for page, sheet in zip(pdf.pages, sheets, strict=True):
            assert page.width / MM == pytest.approx(sheet.page_width_mm, abs=0.001)
            assert page.height / MM == pytest.approx(sheet.page_height_mm, abs=0.001)
            fours = [
                (c["matrix"][4] / MM, c["matrix"][5] / MM)
                for c in page.chars
                if c["text"] == "4" and c["fontname"].endswith(run.face)
            ]
            wanted = [on_page(p, run.x_mm, run.baseline_mm) for p in sheet.places]
            assert same_points(fours, wanted)
            assert lines_match(page, sheet)


def holds_44_by_28(stock: Any) -> bool:
    """Whether the sample's trim, with its corners of 2 mm, fits the stock's labels."""
    if not stock.die_width_mm:
        return True
    width, height = stock.die_width_mm, stock.die_height_mm
    if stock.shape in {"round", "oval"}:
        corner = ((20 + 2 * math.cos(a / 100), 12 + 2 * math.sin(a / 100)) for a in range(158))
        return all((x / width * 2) ** 2 + (y / height * 2) ** 2 <= 1 for x, y in corner)
    return bool(min(width, height) >= 28 and max(width, height) >= 44)


def lines_match(page: Any, sheet: Sheet) -> bool:
    """Crop marks, ruler and registration crosses as pdfplumber finds them, and no other line."""
    expected = [*sheet.marks, *(sheet.ruler.lines if sheet.ruler else ())]
    expected += [line for target in sheet.registration for line in target.cross]
    found = [
        ((line["x0"] + line["x1"]) / 2 / MM, (line["y0"] + line["y1"]) / 2 / MM)
        for line in page.lines
    ]
    lengths = Counter(
        round(max(line["x1"] - line["x0"], line["y1"] - line["y0"]) / MM, 1) for line in page.lines
    )
    wanted_lengths = Counter(
        round(max(line.box.width_mm, line.box.height_mm), 1) for line in expected
    )
    middles = [((e.x0 + e.x1) / 2, (e.y0 + e.y1) / 2) for e in expected]
    return lengths == wanted_lengths and same_points(found, middles)


@pytest.mark.long  # in every run, tests/hard has them agree on other sheets
def test_pdfium_and_pdfplumber_agree_on_every_letter(named: MadeSheets) -> None:
    """Origins and boxes of all visible letters of the sample's sheets."""
    for path in named.files:
        document = pypdfium2.PdfDocument(path)
        with pdfplumber.open(path) as pdf:
            for number, page in enumerate(pdf.pages):
                theirs = pdfium_letters(document[number])
                ours = [c for c in page.chars if not c["text"].isspace()]
                assert len(theirs) == len(ours)
                points = [(c["matrix"][4] / MM, c["matrix"][5] / MM) for c in ours]
                assert sorted(c["text"] for c in ours) == sorted(text for text, _ in theirs)
                assert same_points([point for _, point in theirs], points)


def pdfium_letters(page: Any, only: str = "", face: str = "") -> list[tuple[str, Point]]:
    """Every visible letter and its origin in millimetres, as PDFium has them; only those of a
    kind, or of a face."""
    import ctypes

    raw = pypdfium2.raw
    text_page = page.get_textpage()
    found: list[tuple[str, Point]] = []
    for index in range(raw.FPDFText_CountChars(text_page)):
        letter = chr(raw.FPDFText_GetUnicode(text_page, index))
        if letter.isspace() or (only and letter not in only):
            continue
        if raw.FPDFText_IsGenerated(text_page, index) == 1:
            continue
        name = ctypes.create_string_buffer(200)
        raw.FPDFText_GetFontInfo(text_page, index, name, 200, None)
        if not name.value.decode("utf-8").endswith(face):
            continue
        x, y = ctypes.c_double(), ctypes.c_double()
        assert raw.FPDFText_GetCharOrigin(text_page, index, x, y)
        found.append((letter, (x.value / MM, y.value / MM)))
    return found


def read_pages(path: Path) -> list[str]:
    """What stands on each page, as PDFium reads it."""
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(path)]


# -- counts ----------------------------------------------------------------------------------------


def test_sixty_guests_and_a_tenth_more(made: MadeSheets) -> None:
    for path, word in zip(made.files, ("Lighthouse Supper", "Sodium Cocoate"), strict=True):
        text = "".join(read_pages(path))
        assert SLUG.sub("", text).count(word) == 66
    assert made.summary[0].startswith("66 labels (60 guests + 6 spares)")


def test_every_guest_is_on_one_label_and_spares_on_none(named: MadeSheets) -> None:
    text = re.sub(r"[\s\u00a0]+", " ", " ".join(read_pages(named.files[0])))
    for guest in GUESTS:
        assert text.count(re.sub(r"[\s\u00a0]+", " ", guest)) == 1, guest
    assert len(re.findall(r"\bGuest [A-F]\d+", text)) == 60 - len(GUESTS)
    assert SLUG.sub("", text).count("The Lighthouse Supper") == 66
    back = re.sub(r"[\s\u00a0]+", " ", " ".join(read_pages(named.files[1])))
    assert back.count("Sodium Cocoate") == 66
    assert "Babin" not in back


# -- part-used sheets ------------------------------------------------------------------------------

DIES = ('layout = "lantern"', 'stock = "a4-4x8-44x28"\nlayout = "lantern"')


def fours(path: Path, run: Run) -> list[list[Point]]:
    pages = pypdfium2.PdfDocument(path)
    return [[point for _, point in pdfium_letters(page, "4", run.face)] for page in pages]


def test_a_part_used_sheet_is_taken_up_and_its_rest_told(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    label = personal("part", ("A B", "C D"), "30", DIES)
    job = prepare_job(label)
    made = make_sheets_of_file(label, tmp_path, Wish(start=5, skip=(7, 9)))
    run = net_quantity(job.composed[0])
    dies = list(job.stock.dies())
    free = [n for n in range(5, 33) if n not in {7, 9}]
    first, second = fours(made.files[0], run)
    for found, positions in ((first, free), (second, range(1, 7))):
        wanted = [
            (dies[n - 1].x0_mm + run.x_mm, dies[n - 1].y0_mm + run.baseline_mm) for n in positions
        ]
        assert same_points(found, wanted)
    assert "The last sheet of each has 26 of 32 positions left: --start 7" in made.summary


def start_and_skip(notes: Path, stock: str = "a4-4x8-44x28") -> tuple[int, tuple[int, ...]]:
    rest = find_part_used(stock, notes)
    assert rest is not None
    return rest.start, rest.skip


@pytest.mark.usefixtures("ink_on_trust")
def test_what_is_left_is_remembered_when_asked(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    label = personal("left", ("A B", "C D"), "8", DIES)
    notes = label.parent / "part-used.toml"
    make_sheets_of_file(label, tmp_path / "a", Wish(start=3, skip=(20,)))
    assert not notes.exists()
    made = make_sheets_of_file(label, tmp_path / "b", Wish(start=3, skip=(20,), remember=True))
    assert start_and_skip(notes) == (13, (20,))
    has = "The last sheet of each has 19 of 32 positions left"
    assert f"{has}; {notes} says start = 13, where the next --remember begins." in made.summary
    job = prepare_job(label)
    made = make_sheets_of_file(label, tmp_path / "c", Wish(remember=True))
    (sheet,) = impose_labels(job.stock, job.spec.trim, 10, 13, (20,))
    run = net_quantity(job.composed[0])
    wanted = [on_page(place, run.x_mm, run.baseline_mm) for place in sheet.places]
    assert same_points(fours(made.files[0], run)[0], wanted)
    left = find_left_over(job.stock, job.spec.trim, 10, 13, (20,))
    assert start_and_skip(notes) == (left.free[0], left.skip)


@pytest.mark.usefixtures("ink_on_trust")
def test_a_reprint_is_counted_again_and_told_with_the_way_to_undo_it(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    label = personal("again", ("A B", "C D"), "8", DIES)
    notes = label.parent / "part-used.toml"
    first = make_sheets_of_file(label, tmp_path, Wish(remember=True))
    assert not any("made before" in line or "Begun" in line for line in first.summary)
    again = make_sheets_of_file(label, tmp_path, Wish(remember=True))
    (line,) = (line for line in again.summary if "made before" in line)
    assert line == (
        "These labels were made before, from position 1; counted again, they go on from 11. If"
        f" the earlier sheets were not used, set start = 1 in {notes} and run this again."
    )
    assert start_and_skip(notes) == (21, ())
    # Undone as told: it begins where the first did, and nothing is said of a reprint.
    notes.write_text(notes.read_text("utf-8").replace("start = 21", "start = 1"), "utf-8")
    undone = make_sheets_of_file(label, tmp_path, Wish(remember=True))
    assert not any("made before" in line for line in undone.summary)
    assert start_and_skip(notes) == (11, ())
    # Another event's labels from there are no reprint.
    text = label.read_text("utf-8")
    label.write_text(text.replace("The Lighthouse Supper", "The Regatta"), "utf-8")
    other = make_sheets_of_file(label, tmp_path, Wish(remember=True))
    assert f"Begun at position 11, where the last job ended ({notes})." in other.summary


@pytest.mark.usefixtures("ink_on_trust")
def test_where_a_job_begins_is_told(personal: Callable[..., Path], tmp_path: Path) -> None:
    label = personal("begun", ("A B", "C D"), "8", DIES)
    notes = label.parent / "part-used.toml"
    notes.write_text(format_part_used((PartUsedSheet("a4-4x8-44x28", 7, (9,)),)), encoding="utf-8")
    made = make_sheets_of_file(label, tmp_path, Wish(remember=True))
    assert f"Begun at position 7, where the last job ended ({notes})." in made.summary
    assert start_and_skip(notes) == (18, ())  # ten labels on 7, 8 and 10 to 17
    made = make_sheets_of_file(label, tmp_path, Wish(start=5, remember=True))
    assert f"Begun at position 5 as asked, not at 18 as {notes} has it." in made.summary
    assert start_and_skip(notes) == (15, ())


def test_a_position_before_the_first_cannot_be_skipped(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    label = personal("early", ("A B", "C D"), "8", DIES)
    with pytest.raises(InputError, match="--skip: 3: lies before 6, where these labels begin"):
        make_sheets_of_file(label, tmp_path, Wish(start=6, skip=(3,)))
    notes = label.parent / "part-used.toml"
    notes.write_text(format_part_used((PartUsedSheet("a4-4x8-44x28", 7),)), encoding="utf-8")
    with pytest.raises(InputError, match="--skip: 3: lies before 7"):
        make_sheets_of_file(label, tmp_path, Wish(skip=(3,), remember=True))


@pytest.mark.usefixtures("ink_on_trust")
def test_other_stock_is_still_remembered_and_a_full_sheet_begins_a_new_one(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    label = personal("full", ("A B", "C D"), "30", DIES)
    notes = label.parent / "part-used.toml"
    both = (PartUsedSheet("a4-4x8-44x28", 1), PartUsedSheet("letter-3x10-66x25", 4))
    notes.write_text(format_part_used(both), encoding="utf-8")
    made = make_sheets_of_file(label, tmp_path, Wish(remember=True))
    assert start_and_skip(notes) == (1, ())
    assert find_part_used("letter-3x10-66x25", notes) == PartUsedSheet("letter-3x10-66x25", 4)
    assert any("has 0 of 32 positions left;" in line for line in made.summary)


# -- both sides, one by one, corrected -------------------------------------------------------------


@pytest.mark.parametrize("flip", ["long", "short"])
def test_fronts_and_backs_on_one_sheet_in_register(
    flip: str, personal: Callable[..., Path], tmp_path: Path
) -> None:
    small = ('layout = "lantern"', 'stock = "small.toml"\nlayout = "lantern"')
    label = personal("two", ("A B", "C D"), "6", small)
    label.with_name("small.toml").write_text(  # holds two labels in three rows
        'labelkit = 1\ntitle = "Small"\nkind = "plain"\npage = "110 x 120 mm"\n'
        'unprintable = "4.5 mm"\n',
        encoding="utf-8",
    )
    job = prepare_job(label)
    made = make_sheets_of_file(label, tmp_path, Wish(two_sided=flip))
    assert [path.name for path in made.files] == ["both-sides.pdf"]
    sheets = impose_labels(job.stock, job.spec.trim, 8)
    assert len(sheets) == 2
    (lot,) = (run for run in job.composed[1].panel.runs if run.element == "lot")
    trim = job.spec.trim
    with pdfplumber.open(made.files[0]) as pdf:
        assert len(pdf.pages) == 2 * len(sheets)
        for sheet, page in zip(sheets, pdf.pages[1::2], strict=True):
            size = (sheet.page_width_mm, sheet.page_height_mm)
            wanted: list[Point] = []
            for place in sheet.places:
                # The corner of the front that the back's lower left corner lies behind, seen
                # through the paper, then over to the other side.
                if flip == "long":
                    x, y = place.box.x1_mm, place.box.y0_mm
                    wanted.append((size[0] - x + lot.x_mm, y + lot.baseline_mm))
                else:
                    x, y = place.box.x1_mm, place.box.y0_mm
                    wanted.append((x - lot.x_mm, size[1] - y - lot.baseline_mm))
            found = [
                (c["matrix"][4] / MM, c["matrix"][5] / MM)
                for c, after in zip(page.chars, page.chars[1:], strict=False)
                if (c["text"], after["text"]) == ("L", "o") and c["fontname"].endswith(lot.face)
            ]
            found = [p for p in found if any(abs(p[1] - w[1]) < 1 for w in wanted)]
            assert trim.width_mm > trim.height_mm
            assert same_points(found, wanted)
    assert any(f"turned over the {flip} edge" in line for line in made.summary)


def test_one_label_to_a_page_for_a_printing_works(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    """ISO 32000-1, 14.11.2: the bleed box holds the trim box, and the page is the bleed."""
    change = ('trim = "44 x 28 mm"', 'trim = "44 x 28 mm"\nbleed = "2 mm"')
    label = personal("one", ("Zoë Babin", "Luc Roy", "Ève Hébert"), "4", change)
    made = make_sheets_of_file(label, tmp_path, Wish(one_per_page=True))
    front, back = (pypdf.PdfReader(path) for path in made.files)
    assert (len(front.pages), len(back.pages)) == (4, 1)
    for page in (*front.pages, *back.pages):
        media, bleed, trim = (
            [float(v) / MM for v in box] for box in (page.mediabox, page.bleedbox, page.trimbox)
        )
        assert media == pytest.approx([0, 0, 48, 32], abs=0.001)
        assert bleed == pytest.approx([0, 0, 48, 32], abs=0.001)
        assert trim == pytest.approx([2, 2, 46, 30], abs=0.001)
    texts = [page.extract_text() for page in front.pages]
    for text, name in zip(texts, ("Zoë Babin", "Luc Roy", "Ève Hébert", None), strict=True):
        assert [n for n in ("Zoë Babin", "Luc Roy", "Ève Hébert") if n in text] == [name][
            : bool(name)
        ]
    with pdfplumber.open(made.files[0]) as pdf:
        assert not any(page.lines for page in pdf.pages)
    assert made.summary[1].endswith("3 front labels, one to a page, and a last page for 4 spares")
    assert made.summary[2].endswith("1 page, to be printed 7 times")


def test_pages_corrected_for_a_printer_land_true(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    """What the printer was measured to do, applied to where the PDF asks for each label."""
    label = personal("lies", ("A B", "C D"), "20", DIES)
    printer = PrinterProfile("back room", -0.7, 1.2, 1.0043, 0.9971, 6.0)
    (label.parent / "printers.toml").write_text(format_printers([printer]), encoding="utf-8")
    job = prepare_job(label)
    made = make_sheets_of_file(label, tmp_path, Wish(printer="back room"))
    run = net_quantity(job.composed[0])
    (sheet,) = impose_labels(job.stock, job.spec.trim, 22)
    (asked,) = fours(made.files[0], run)
    landed = [(1.0043 * x - 0.7, 0.9971 * y + 1.2) for x, y in asked]
    wanted = [on_page(place, run.x_mm, run.baseline_mm) for place in sheet.places]
    assert same_points(landed, wanted)
    assert not same_points(asked, wanted)
    assert any("must not correct" in line for line in made.summary)


@pytest.mark.usefixtures("ink_on_trust")
def test_the_makers_own_printer_is_corrected_for_unless_told_otherwise(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    label = personal("own", ("A B", "C D"), "4", DIES)
    maker = label.parent / "maker.toml"
    text = maker.read_text(encoding="utf-8").replace("[defaults]", '[defaults]\nprinter = "attic"')
    assert 'printer = "attic"' in text
    maker.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        make_sheets_of_file(label, tmp_path / "none")
    assert (caught.value.file, caught.value.key) == (str(maker), "defaults.printer")
    assert "see labelkit calibrate, or use --no-printer" in str(caught.value)
    both = [PrinterProfile("attic", -0.7, 1.2), PrinterProfile("cellar", 2.0, 0.0)]
    (label.parent / "printers.toml").write_text(format_printers(both), encoding="utf-8")
    run = net_quantity(prepare_job(label).composed[0])
    asked: dict[str | None, Point] = {}
    for printer in (None, "", "cellar"):
        made = make_sheets_of_file(label, tmp_path / "out", Wish(printer=printer))
        asked[printer] = min(fours(made.files[0], run)[0])
        told = [line for line in made.summary if "Corrected for the printer" in line]
        named = {None: ["attic, as the maker's file says"], "": [], "cellar": ["cellar;"]}[printer]
        assert [name in line for name, line in zip(named, told, strict=True)] == [True] * len(named)
    x, y = asked[""]
    assert asked[None] == pytest.approx((x + 0.7, y - 1.2), abs=0.001)
    assert asked["cellar"] == pytest.approx((x - 2.0, y), abs=0.001)
    # A printing works gets the labels as they are.
    works = make_sheets_of_file(label, tmp_path / "works", Wish(one_per_page=True))
    assert not any("Corrected" in line for line in works.summary)
    assert b"LkPrinter" not in b"".join(
        page.get_contents().get_data() for page in pypdf.PdfReader(works.files[0]).pages
    )


@pytest.mark.usefixtures("ink_on_trust")
def test_warnings_of_the_stock_reach_the_maker(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    label = personal("edge", ("A B",), "1", DIES)
    printer = PrinterProfile("wide edge", unprintable_mm=25.0)
    (label.parent / "printers.toml").write_text(format_printers([printer]), encoding="utf-8")
    made = make_sheets_of_file(label, tmp_path, Wish(printer="wide edge"))
    assert any("25 mm edge of the page that printers leave white" in w for w in made.warnings)


@pytest.mark.usefixtures("ink_on_trust")
def test_cuts_without_marks_reach_the_maker(personal: Callable[..., Path], tmp_path: Path) -> None:
    """A label of 43 x 27 mm in the middle of one of 44 x 28 mm."""
    label = personal("tight", ("A B",), "1", DIES, ('trim = "44 x 28 mm"', 'trim = "43 x 27 mm"'))
    sides, heights = "0.5 and 43.5 mm from its left edge", "0.5 and 27.5 mm from its upper edge"
    told = f"cut each of them {sides} and {heights}."
    assert any(line.endswith(told) for line in make_sheets_of_file(label, tmp_path).summary)
    works = make_sheets_of_file(label, tmp_path, Wish(one_per_page=True))
    assert not any("crop marks" in line for line in works.summary)


# -- sheets of an earlier run ----------------------------------------------------------------------


@pytest.mark.usefixtures("ink_on_trust")
def test_sheets_of_an_earlier_run_do_not_stay_beside_the_new_ones(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    label = personal("stale", ("A B",), "3")

    def names() -> list[str]:
        return sorted(path.name for path in tmp_path.iterdir())

    def removed(made: MadeSheets) -> list[str]:
        return [line.split(": ")[0] for line in made.summary if "removed" in line]

    assert removed(make_sheets_of_file(label, tmp_path)) == []
    made = make_sheets_of_file(label, tmp_path, Wish(two_sided="long"))
    assert removed(made) == [str(tmp_path / "front.pdf"), str(tmp_path / "back.pdf")]
    assert names() == ["both-sides.pdf"]
    round_ = label.with_name("round.toml")  # of the same workshop
    text = label.read_text(encoding="utf-8").replace('"44 x 28 mm"', '"44 x 44 mm"')
    text = text.replace('shape = "rounded"', 'shape = "round"').replace('corner = "2 mm"\n', "")
    round_.write_text(text, encoding="utf-8")
    assert removed(make_sheets_of_file(round_, tmp_path)) == [str(tmp_path / "both-sides.pdf")]
    assert names() == ["back.pdf", "cut-guide.pdf", "front.pdf"]
    assert removed(make_sheets_of_file(label, tmp_path)) == [str(tmp_path / "cut-guide.pdf")]
    assert names() == ["back.pdf", "front.pdf"]


def test_files_of_others_stay(
    made: MadeSheets, personal: Callable[..., Path], tmp_path: Path
) -> None:
    """Whatever is called like a sheet: another program's PDF, damage, a folder, our own proof."""
    writer = pypdf.PdfWriter()
    writer.add_blank_page(100, 100)
    writer.add_metadata({"/Producer": "labelkit"})
    writer.write(tmp_path / "front.pdf")
    again = pypdf.PdfWriter(clone_from=made.files[1])  # a sheet that another program has changed
    again.add_metadata({"/Producer": "another program"})
    again.write(tmp_path / "back.pdf")
    (tmp_path / "tag.pdf").write_bytes(made.files[0].read_bytes()[:3000])
    (tmp_path / "card.pdf").mkdir()
    (tmp_path / "leaflet.pdf").write_bytes(b"")
    (tmp_path / "other.pdf").write_bytes(made.files[0].read_bytes())
    before = {path: path.stat().st_size for path in tmp_path.iterdir()}
    done = make_sheets_of_file(personal("others", ("A B",), "3"), tmp_path, Wish(two_sided="long"))
    assert not any("earlier run" in line for line in done.summary)
    assert before.items() <= {path: path.stat().st_size for path in tmp_path.iterdir()}.items()


@pytest.mark.usefixtures("no_ways_out", "ink_on_trust")
def test_a_label_that_is_not_fit_to_print_removes_nothing(
    personal: Callable[..., Path], tmp_path: Path
) -> None:
    make_sheets_of_file(personal("fit", ("A B",), "3"), tmp_path)
    small = personal("unfit", ("A B",), "3", ('trim = "44 x 28 mm"', 'trim = "12 x 12 mm"'))
    assert make_sheets_of_file(small, tmp_path, Wish(two_sided="long")).files == ()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["back.pdf", "front.pdf"]


def test_spares_without_a_name_and_columns_without_a_place_are_told(
    personal: Callable[..., Path], tmp_path: Path, named: MadeSheets, made: MadeSheets
) -> None:
    """60 guests and 10 % spares are 6 labels more; without a list no label lacks a name."""
    assert "6 spares without a name: room to write one on each" in named.summary
    assert not [line for line in made.summary if "without a name" in line]
    label = personal("columns", (), "1")
    (label.parent / "guests.csv").write_text("Nome;Apelido;Mesa\nAna;Brisa;3\n", "utf-8")
    told = make_sheets_of_file(label, tmp_path).summary
    assert "1 spare without a name: room to write one" in told
    assert "Not printed, of the guest list: Mesa" in told
