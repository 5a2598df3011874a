"""``labelkit stock``, ``calibrate`` and ``print`` as a maker meets them."""

from __future__ import annotations

import io
import shutil
import stat
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pdfplumber
import pytest
from page_text import read_text
from sample_copies import copy_sample

from labelkit.cli import main
from labelkit.job.sheets import Wish, make_sheets_of_file
from labelkit.order.printer import PrinterProfile, find_printer, format_printers
from labelkit.order.stock import list_stocks, read_stock
from labelkit.pdf.read import read_panels
from labelkit.pdf.write.calibration import draw_calibration_pdf

MM = 72 / 25.4

MEASURED = [
    "stock", "measure", "--page", "210 x 297", "--across", "3", "--down", "7",
    "--label", "63.5 x 38.1 mm", "--left", "7.2", "--top", "15.1", "--span-across", "132",
    "--span-down", "9 in", "--shape", "rounded", "--corner", "2",
]  # fmt: skip


class Ran(NamedTuple):
    code: int
    out: str
    err: str


Run = Callable[..., Ran]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    def call(*arguments: object, answers: str = "") -> Ran:
        monkeypatch.setattr("sys.stdin", io.StringIO(answers))
        with pytest.raises(SystemExit) as ended:
            main([str(argument) for argument in arguments])
        shown = capsys.readouterr()
        return Ran(int(ended.value.code or 0), shown.out, shown.err)

    return call


# -- stock -----------------------------------------------------------------------------------------


def test_the_list_names_every_stock(run: Run) -> None:
    done = run("stock")
    assert done.code == 0
    lines = done.out.splitlines()
    assert [line.split()[0] for line in lines] == [stock.name for stock in list_stocks()]
    (line,) = [line for line in lines if line.startswith("a4-3x7-63x38")]
    assert " ".join(line.split()) == "a4-3x7-63x38 210 x 297 mm 3 x 7 63.5 x 38.1 mm rounded"


def test_one_stock_is_shown_and_drawn(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "new" / "stock.pdf"
    done = run("stock", "show", "a4-3x7-63x38", "--out", target)
    assert done.code == 0
    assert "3 across x 7 down = 21" in done.out
    with pdfplumber.open(target) as pdf:
        assert pdf.pages[0].width / MM == pytest.approx(210, abs=0.01)


def test_a_stock_nobody_knows(run: Run) -> None:
    done = run("stock", "show", "a4-3x7-63x39")
    assert (done.code, done.out) == (2, "")
    assert "did you mean a4-3x7-63x38" in done.err
    assert done.err.count("\n") == 1


def test_a_sheet_is_measured_by_options(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "mine.toml"
    done = run(*MEASURED, "--out", target)
    assert done.code == 0
    stock = read_stock(target)
    assert (stock.count, stock.pitch_x_mm, stock.pitch_y_mm) == (21, 66, 38.1)
    (read,) = [line for line in done.out.splitlines() if line.startswith("Read as ")]
    # 9 in is 228.6 mm; what was given without a unit is shown with the one it was taken in.
    assert read == (
        "Read as page 210 x 297 mm, label 63.5 x 38.1 mm, left 7.2 mm, top 15.1 mm, span across"
        " 132 mm, span down 228.6 mm, corner 2 mm; lengths without a unit are millimetres."
    )
    again = run(*MEASURED, "--out", target)
    assert again.code == 2
    assert "add --force" in again.err
    assert run(*MEASURED, "--out", target, "--force").code == 0


def test_a_sheet_is_measured_by_answers(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "mine.toml"
    answers = (
        "sheet\n8.5 x 11 in\n2\n5\n4 x 2 in\nrounded\n1.6\n4\nhalf an inch\n0.5 in\n106.3\n8 in\n"
        "paper\n"
    )
    done = run("stock", "measure", "--out", target, answers=answers)
    assert done.code == 0, done.err
    stock = read_stock(target)
    assert (stock.count, stock.top_mm, stock.pitch_x_mm, stock.pitch_y_mm) == (
        10,
        12.7,
        106.3,
        50.8,
    )


def test_a_roll_is_measured_by_answers_in_fractions_of_an_inch(run: Run, tmp_path: Path) -> None:
    """An inch is 25.4 mm (NIST Handbook 44, Appendix C)."""
    target = tmp_path / "roll.toml"
    answers = "roll\n2 3/8 in\n1\n2 1/4 x 1 1/4 in\nrounded\n1/16 in\n1/8 in\n500\nfilm\ny\n"
    done = run("stock", "measure", "--out", target, answers=answers)
    assert done.code == 0, done.err
    stock = read_stock(target)
    assert (stock.kind, stock.material, stock.roll_labels) == ("roll", "clear", 500)
    assert stock.page_width_mm == pytest.approx(60.325)
    assert (stock.die_width_mm, stock.die_height_mm) == pytest.approx((57.15, 31.75))
    assert (stock.feed_gap_mm, stock.corner_mm) == pytest.approx((3.175, 1.588), abs=0.001)


def test_film_that_hides_what_is_behind_it_is_not_clear(run: Run, tmp_path: Path) -> None:
    answers = "roll\n60\n1\n50 x 30\nrectangle\n3\n0\nfilm\nperhaps\nn\n"
    done = run("stock", "measure", "--out", tmp_path / "roll.toml", answers=answers)
    assert done.code == 0, done.err
    assert read_stock(tmp_path / "roll.toml").material == "film"


def test_what_is_wrong_is_asked_again_and_the_rest_is_kept(run: Run, tmp_path: Path) -> None:
    """Labels that overlap: the die and the two spans are asked again, Enter keeping each."""
    target = tmp_path / "mine.toml"
    first = "sheet\n8.5 x 11 in\n2\n5\n4 x 2 in\nrectangle\n4\n0.5 in\n80\n8 in\nkraft\n\n"
    done = run("stock", "measure", "--out", target, answers=first + "\n106.3\n\n")
    assert done.code == 0, done.err
    assert "the labels would overlap" in done.err
    stock = read_stock(target)
    assert (stock.count, stock.pitch_x_mm, stock.pitch_y_mm) == (10, 106.3, 50.8)
    assert (stock.material, stock.colour) == ("kraft", "#c4a57b")


def test_a_fraction_without_its_unit_is_told(run: Run, tmp_path: Path) -> None:
    done = run("stock", "measure", "--out", tmp_path / "m.toml", "--left", "7/16")
    assert done.code == 2
    assert 'a fraction needs its unit: "7/16 in"' in done.err


def test_measures_that_cannot_be_true_write_nothing(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "mine.toml"
    options = [option if option != "132" else "250" for option in MEASURED]
    done = run(*options, "--out", target)
    assert done.code == 2
    assert "measured: left" in done.err
    assert "the page is 210 mm wide" in done.err
    assert not target.exists()
    assert run(*MEASURED, "--out", tmp_path / "mine.txt").code == 2
    assert not list(tmp_path.iterdir())


def test_inches_that_do_not_say_so_are_told_as_the_millimetres_they_are(
    run: Run, tmp_path: Path
) -> None:
    options = [option if option != "210 x 297" else "8.5 x 11" for option in MEASURED]
    done = run(*options, "--out", tmp_path / "m.toml")
    assert done.code == 2
    assert "measured: page: '8.5 x 11 mm': expected from 20 to 2000 mm" in done.err
    assert done.err.endswith("(lengths without a unit are millimetres)\n")


def test_an_option_that_is_no_length(run: Run, tmp_path: Path) -> None:
    done = run("stock", "measure", "--out", tmp_path / "m.toml", "--left", "7 apples")
    assert done.code == 2
    assert "unknown unit 'apples'" in done.err


@pytest.mark.parametrize(
    ("answers", "option"),
    [
        ("", "kind"),
        ("sheet\n", "page"),
        ("sheet\n8.5 x 11 in\n", "across"),
        ("sheet\n8.5 x 11 in\n2\n5\n", "label"),
        ("sheet\n8.5 x 11 in\n2\n5\n4 x 2 in\n", "shape"),
        ("sheet\n8.5 x 11 in\n2\n5\n4 x 2 in\nround\n4\n12.7\n", "span-across"),
        ("roll\n", "width"),
        ("roll\n2 3/8 in\n1\n2 1/4 x 1 1/4 in\nsquare\n", "gap"),
    ],
)
def test_a_measure_that_nobody_gives_is_named(
    run: Run, tmp_path: Path, answers: str, option: str
) -> None:
    done = run("stock", "measure", "--out", tmp_path / "mine.toml", answers=answers)
    assert done.code == 2
    assert done.out.endswith("\n")  # the complaint has a line of its own in a terminal
    assert done.err == (
        f"labelkit: --{option}: missing, and there is nobody to answer; give it here\n"
    )
    assert not (tmp_path / "mine.toml").exists()


# -- calibrate and print ---------------------------------------------------------------------------


def test_a_printer_is_calibrated_and_a_sheet_corrected(run: Run, tmp_path: Path) -> None:
    page, maker = tmp_path / "page.pdf", tmp_path / "maker.toml"
    assert run("calibrate", "--page", "a4", "--out", page).code == 0
    measured = [
        "--across",
        "170.51",
        "--up",
        "249.5",
        "--left",
        "20.86",
        "--foot",
        "19",
        "--edge",
        5,
    ]
    done = run("calibrate", "--page", "a4", "--printer", "back room", "--maker", maker, *measured)
    assert done.code == 0
    # 170.51 / 170 = 1.003: the cross at 20 mm prints at 20.06, and was found 0.8 further right.
    printer = find_printer("back room", tmp_path / "printers.toml")
    assert printer.scale_x == pytest.approx(1.003)
    assert printer.scale_y == pytest.approx(0.998)
    assert printer.offset_x_mm == pytest.approx(0.8)
    assert printer.offset_y_mm == pytest.approx(-0.96)
    assert printer.unprintable_mm == 5
    target = tmp_path / "true.pdf"
    done = run("print", page, "--printer", "back room", "--maker", maker, "--out", target)
    assert done.code == 0
    assert "100 %" in done.out
    with pdfplumber.open(target) as pdf:
        lines = pdf.pages[0].lines
    crosses = [line for line in lines if abs(line["x1"] - line["x0"] - 12 / 1.003 * MM) < 0.01]
    left = min((line["x0"] + line["x1"]) / 2 for line in crosses) / MM
    assert 1.003 * left + 0.8 == pytest.approx(20, abs=0.01)


def test_answers_stand_for_options(run: Run, tmp_path: Path) -> None:
    done = run(
        "calibrate", "--page", "letter", "--printer", "p", "--maker", tmp_path,
        answers="170\nlong\n230\n20\n20\n4\n",
    )  # fmt: skip
    assert done.code == 0, done.err
    assert find_printer("p", tmp_path / "printers.toml").true


@pytest.mark.parametrize(
    ("answers", "option"), [("", "across"), ("170\n", "up"), ("170\n230\n20\n20\n", "edge")]
)
def test_a_distance_that_nobody_gives_is_named(
    run: Run, tmp_path: Path, answers: str, option: str
) -> None:
    to = ("--printer", "p", "--maker", tmp_path)
    done = run("calibrate", "--page", "letter", *to, answers=answers)
    assert done.code == 2
    assert done.out.endswith("\n")
    assert done.err == (
        f"labelkit: --{option}: missing, and there is nobody to answer; give it here\n"
    )
    assert not (tmp_path / "printers.toml").exists()


def test_a_page_that_was_fitted_is_noticed(run: Run, tmp_path: Path) -> None:
    measured = ["--across", "163", "--up", "240", "--left", "20", "--foot", "20", "--edge", "5"]
    done = run("calibrate", "--page", "a4", "--printer", "p", "--maker", tmp_path, *measured)
    assert done.code == 2
    assert done.err.count("\n") == 1
    assert "across: '163 mm': 4.1 % shorter than the 170 mm" in done.err
    assert 'printed at 100 % with "fit to page" off' in done.err
    assert not (tmp_path / "printers.toml").exists()
    assert run("calibrate", "--page", "a4").code == 2


@pytest.fixture
def queue(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A print system that notes what it is asked, with its ``lp`` first on the path."""
    folder = tmp_path / "bin"
    folder.mkdir()
    lp = folder / "lp"
    lp.write_text(
        f'#!/bin/sh\nprintf "%s\\n" "$@" > {tmp_path}/asked\nfor last; do :; done\n'
        f'cp "$last" {tmp_path}/taken.pdf\n[ ! -e {tmp_path}/refuse ] || {{ echo "no paper" >&2;'
        ' exit 1; }\necho "request id is q-1 (1 file(s))"\n'
    )
    lp.chmod(lp.stat().st_mode | stat.S_IXUSR)
    monkeypatch.setenv("PATH", f"{folder}:/usr/bin:/bin")
    return tmp_path


def test_a_queue_is_asked_for_true_size(run: Run, queue: Path) -> None:
    pdf = queue / "page.pdf"
    pdf.write_bytes(draw_calibration_pdf("letter"))
    done = run("print", pdf, "--queue", "attic", "--copies", "2", "--two-sided", "short")
    assert done.code == 0
    assert "request id is q-1" in done.out
    asked = (queue / "asked").read_text().splitlines()
    # CUPS: print-scaling=none prints at true size; fit-to-page would not (from memory).
    assert "print-scaling=none" in asked
    assert "media=na_letter_8.5x11in" in asked
    assert "sides=two-sided-short-edge" in asked
    assert asked[asked.index("-d") + 1] == "attic"
    assert asked[asked.index("-n") + 1] == "2"
    assert not any("fit" in word for word in asked)
    assert (queue / "taken.pdf").read_bytes() == pdf.read_bytes()


def test_a_queue_that_refuses(run: Run, queue: Path) -> None:
    (queue / "refuse").touch()
    pdf = queue / "page.pdf"
    pdf.write_bytes(draw_calibration_pdf("a4"))
    done = run("print", pdf)
    assert done.code == 2
    assert done.err == "labelkit: page.pdf: the print queue refused it: no paper\n"


def test_without_a_queue_the_way_by_hand_is_told(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    pdf = tmp_path / "page.pdf"
    pdf.write_bytes(draw_calibration_pdf("a4"))
    done = run("print", pdf)
    assert done.code == 0
    assert "choose 100 % or Actual size" in done.out
    assert "A4" in done.out


@pytest.mark.parametrize("content", [b"", b"text", b"%PDF-1.4\ngarbage", b"%PDF-1.4\n%%EOF\n"])
def test_what_is_no_pdf_is_not_printed(run: Run, tmp_path: Path, content: bytes) -> None:
    pdf = tmp_path / "page.pdf"
    pdf.write_bytes(content)
    done = run("print", pdf)
    assert done.code == 2
    assert done.err.startswith(f"labelkit: {pdf}: ")
    assert "Traceback" not in done.err


# -- corrected once --------------------------------------------------------------------------------

SAMPLE = Path(__file__).resolve().parents[2] / "samples" / "lighthouse-supper"


@pytest.fixture(scope="module")
def corrected(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the sample's sheets for six guests, made for the back room's printer, and two
    printers."""
    event = tmp_path_factory.mktemp("corrected") / "event"
    copy_sample(SAMPLE, event)
    label = event / "label.toml"
    label.write_text(label.read_text("utf-8").replace("guests = 60", "guests = 6"), "utf-8")
    both = (PrinterProfile("back room", -0.7, 1.2, 1.0043, 0.9971), PrinterProfile("attic", 0.5))
    (event / "printers.toml").write_text(format_printers(both), encoding="utf-8")
    make_sheets_of_file(event / "label.toml", event, Wish(printer="back room"))
    return event


def letters(pdf: Path) -> list[tuple[str, float, float]]:
    with pdfplumber.open(pdf) as document:
        return [
            (c["text"], c["matrix"][4], c["matrix"][5]) for p in document.pages for c in p.chars
        ]


def test_a_sheet_made_for_a_printer_is_not_corrected_again(run: Run, corrected: Path) -> None:
    sheet, target = corrected / "front.pdf", corrected / "out.pdf"
    to = ("--maker", corrected / "maker.toml", "--out", target)
    done = run("print", sheet, "--printer", "back room", *to)
    assert (done.code, done.err) == (0, "")
    assert "nothing to correct for back room" in done.out
    assert target.read_bytes() == sheet.read_bytes()


def test_by_hand_only_what_is_not_corrected_yet_is_written_anew(
    run: Run, corrected: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    to = ("--printer", "back room", "--maker", corrected)
    assert "0. Write" not in run("print", corrected / "front.pdf", *to).out
    page = tmp_path / "page.pdf"
    page.write_bytes(draw_calibration_pdf("letter"))
    assert "0. Write the corrected pages with --out" in run("print", page, *to).out


@pytest.mark.parametrize("other", [PrinterProfile("attic", 0.5), PrinterProfile("attic")])
def test_a_sheet_made_for_another_printer_is_refused(
    run: Run, corrected: Path, tmp_path: Path, other: PrinterProfile
) -> None:
    both = (PrinterProfile("back room", -0.7, 1.2, 1.0043, 0.9971), other)
    (tmp_path / "printers.toml").write_text(format_printers(both), encoding="utf-8")
    to = ("--maker", tmp_path, "--out", tmp_path / "out.pdf")
    done = run("print", corrected / "front.pdf", "--printer", "attic", *to)
    assert (done.code, done.out) == (2, "")
    assert done.err.count("\n") == 1
    assert "already corrected for the printer back room, not for attic" in done.err
    assert "without --printer" in done.err
    assert not (tmp_path / "out.pdf").exists()


def test_a_sheet_made_before_its_printer_was_measured_anew_is_refused(
    run: Run, corrected: Path, tmp_path: Path
) -> None:
    anew = PrinterProfile("back room", -0.2, 1.2, 1.0043, 0.9971)
    (tmp_path / "printers.toml").write_text(format_printers([anew]), encoding="utf-8")
    sheet = corrected / "front.pdf"
    done = run(
        "print", sheet, "--printer", "back room", "--maker", tmp_path, "--out", tmp_path / "o"
    )
    assert done.code == 2
    assert "or an earlier measurement" in done.err


def test_a_page_corrected_by_printing_is_not_corrected_again(
    run: Run, corrected: Path, tmp_path: Path
) -> None:
    """And it is read back as the printer prints it, which is true."""
    plain, once, twice = (tmp_path / name for name in ("plain.pdf", "once.pdf", "twice.pdf"))
    shutil.copy(make_sheets_of_file(corrected / "label.toml", tmp_path / "plain").files[0], plain)
    to = ("--printer", "back room", "--maker", corrected, "--out")
    assert run("print", plain, *to, once).code == 0
    printed = letters(once)
    moved = [(x, y) != (a, b) for (_, x, y), (_, a, b) in zip(letters(plain), printed, strict=True)]
    assert all(moved)
    assert len(moved) > 500
    assert run("print", once, *to, twice).code == 0
    assert letters(twice) == printed
    for made, again in zip(read_panels(plain).panels, read_panels(once).panels, strict=True):
        assert (made.x_mm, made.y_mm) == pytest.approx((again.x_mm, again.y_mm), abs=0.001)


def test_the_calibration_page_names_a_makers_file_that_lies_elsewhere(
    run: Run, tmp_path: Path
) -> None:
    def printed(*more: str) -> str:
        target = tmp_path / f"page-{len(more)}.pdf"
        assert run("calibrate", "--page", "a4", "--out", target, *more).code == 0
        return read_text(target)

    assert '--maker "soap/maker.toml"' in printed("--maker", "soap/maker.toml")
    assert "--maker" not in printed()
