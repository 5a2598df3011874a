"""A PDF without its order is judged by what shows on it."""

from __future__ import annotations

import datetime as dt
import io
from decimal import Decimal
from pathlib import Path

import pikepdf
import pytest
from command import labelkit
from pikepdf import Dictionary, Name, Stream
from reportlab.lib.pagesizes import A4
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas

from labelkit.common.errors import InputError
from labelkit.job.foreign_pdf import examine_foreign_pdfs, parse_named_text
from labelkit.pdf.shown_text import ShownText, read_shown_page
from labelkit.rules.findings import Finding, Report

MM = 72 / 25.4
FACE = (Decimal(60), Decimal(45))
ON = dt.date(2027, 6, 1)
CAPITAL, FIGURE, SMALL = 0.718, 0.709, 0.523
"""Heights of Helvetica's H, 0 and x in ems, by Adobe's font metrics (CapHeight and XHeight, and the
figure's own box as PDFium's stand-in face draws it, from memory)."""


def make_label(path: Path, *lines: tuple[str, float, float], grey: float = 0.0) -> Path:
    """A label of 60 x 45 mm by another program: texts with their sizes and heights (points)."""
    canvas = Canvas(str(path), pagesize=(60 * MM, 45 * MM))
    for text, size, y in lines:
        canvas.setFont("Helvetica", size)
        canvas.setFillGray(grey)
        canvas.drawString(12, y, text)
    canvas.save()
    return path


def judge(path: Path, *named: str, region: str = "CA") -> Report:
    return examine_foreign_pdfs([path], [region], FACE, [parse_named_text(n) for n in named], ON)


def texts_of(data: bytes, unit: float = 1.0) -> list[ShownText]:
    return list(read_shown_page(data, 0, unit).texts)


def rules_of(report: Report) -> dict[str, Finding]:
    return {finding.rule: finding for finding in report.findings}


def test_letters_are_measured_by_their_ink(tmp_path: Path) -> None:
    path = make_label(tmp_path / "x.pdf", ("SAVON HEX", 12, 90), ("40 g net", 9, 60))
    capitals, quantity = texts_of(path.read_bytes())
    assert (capitals.text, quantity.text) == ("SAVON HEX", "40 g net")
    assert capitals.capital_mm == pytest.approx(12 * CAPITAL / MM, abs=0.06)
    assert quantity.figure_mm == pytest.approx(9 * FIGURE / MM, abs=0.08)
    assert quantity.small_o_mm == pytest.approx(9 * SMALL / MM, abs=0.12)
    assert (quantity.colour, quantity.ground) == ("#000000", "#ffffff")


def test_units_of_two_points_print_twice_as_large(tmp_path: Path) -> None:
    path = make_label(tmp_path / "x.pdf", ("SAVON", 12, 90))
    (once,), (twice,) = texts_of(path.read_bytes()), texts_of(path.read_bytes(), 2.0)
    assert once.capital_mm and twice.capital_mm
    assert twice.capital_mm == pytest.approx(2 * once.capital_mm, abs=0.06)


def test_only_text_that_shows_counts(tmp_path: Path) -> None:
    """In white, not painted, and under a patch; one of four is left."""
    canvas = Canvas(str(tmp_path / "x.pdf"), pagesize=(60 * MM, 45 * MM))
    canvas.drawString(12, 100, "SAVON")
    canvas.setFillGray(1)
    canvas.drawString(12, 80, "50 g")
    canvas.setFillGray(0)
    canvas.drawString(12, 60, "60 g", mode=3)
    canvas.drawString(12, 40, "70 g")
    canvas.setFillGray(1)
    canvas.rect(10, 36, 60, 16, stroke=0, fill=1)
    canvas.save()
    found = texts_of((tmp_path / "x.pdf").read_bytes())
    assert [text.text for text in found] == ["SAVON"]
    with pytest.raises(InputError, match="no text that shows reads so"):
        judge(tmp_path / "x.pdf", "50 g=net-quantity")


def test_small_figures_fail_where_the_law_asks_for_larger_ones(tmp_path: Path) -> None:
    """CPLR s. 14: on a face of 27 cm² figures are at least 1.6 mm tall; at 5 pt these are 1.25."""
    small = judge(make_label(tmp_path / "s.pdf", ("40 g", 5, 60)), "40 g=net-quantity")
    large = judge(make_label(tmp_path / "l.pdf", ("40 g", 9, 60)), "40 g=net-quantity")
    failing = [f for f in small.findings if f.level == "fail" and f.region == "CA"]
    assert failing
    assert all(f.element == "net-quantity" for f in failing)
    assert Decimal(str(failing[0].measured)) == pytest.approx(Decimal("1.25"), abs=Decimal("0.06"))
    assert not [f for f in large.findings if f.level == "fail"]


def test_contrast_is_that_of_the_dots(tmp_path: Path) -> None:
    """WCAG 2.2, "Understanding 1.4.3": #777777 on white is 4.48 : 1."""
    path = make_label(tmp_path / "x.pdf", ("SAVON", 14, 60), grey=0x77 / 255)
    finding = rules_of(judge(path))["CRAFT-CONTRAST"]
    assert Decimal(str(finding.measured)) == pytest.approx(Decimal("4.48"), abs=Decimal("0.05"))


def test_letters_on_a_dark_ground_are_held_against_that(tmp_path: Path) -> None:
    canvas = Canvas(str(tmp_path / "x.pdf"), pagesize=(60 * MM, 45 * MM))
    canvas.setFillColorRGB(0, 0, 0.4)
    canvas.rect(0, 0, 60 * MM, 45 * MM, stroke=0, fill=1)
    canvas.setFillGray(1)
    canvas.drawString(12, 60, "SAVON")
    canvas.save()
    (text,) = texts_of((tmp_path / "x.pdf").read_bytes())
    assert (text.colour, text.ground) == ("#ffffff", "#000066")


def test_a_figure_that_looks_like_another_is_told(tmp_path: Path) -> None:
    """The map of characters says 4 where the file draws a 0, and the other way round."""
    path = make_label(tmp_path / "x.pdf", ("40", 14, 60))
    assert "LABELKIT-GLYPH" not in rules_of(judge(path))
    with pikepdf.open(path) as pdf:
        lie = (
            b"1 begincodespacerange <00> <FF> endcodespacerange"
            b" 2 beginbfchar <30> <0034> <34> <0030> endbfchar"
        )
        for font in pdf.pages[0].resources.Font.values():
            font.ToUnicode = Stream(pdf, lie)
        pdf.save(tmp_path / "lie.pdf")
    finding = rules_of(judge(tmp_path / "lie.pdf"))["LABELKIT-GLYPH"]
    assert finding.level == "fail"
    assert "reads as 0 looks like 4" in finding.message


@pytest.mark.parametrize("face", ["Helvetica", "Times-Roman", "Courier-Bold", "Times-BoldItalic"])
def test_no_figure_is_taken_for_another_in_common_faces(tmp_path: Path, face: str) -> None:
    canvas = Canvas(str(tmp_path / "x.pdf"), pagesize=(80 * MM, 45 * MM))
    canvas.setFont(face, 14)
    canvas.drawString(12, 60, "1234567890 g")
    canvas.save()
    assert face in pdfmetrics.standardFonts
    assert "LABELKIT-GLYPH" not in rules_of(judge(tmp_path / "x.pdf"))


def test_what_cannot_be_known_is_said(tmp_path: Path) -> None:
    path = make_label(tmp_path / "x.pdf", ("SAVON", 12, 90), ("40 g", 9, 60))
    found = judge(path, "SAVON=identity:fr").findings
    told = {f.rule: f.message for f in found}
    assert "whether the list is that of the recipe" in told["LABELKIT-UNKNOWN"]
    unnamed = [f.message for f in found if f.rule == "LABELKIT-UNNAMED"]
    assert any("40 g" in message and "SAVON" not in message for message in unnamed)
    assert any("net-quantity" in message or "net quantity" in message for message in unnamed)


def test_ink_that_is_no_text_is_told(tmp_path: Path) -> None:
    canvas = Canvas(str(tmp_path / "x.pdf"), pagesize=A4)
    canvas.drawString(60, 700, "SAVON")
    canvas.circle(300, 300, 60, fill=1)
    canvas.save()
    assert "LABELKIT-NO-TEXT" in rules_of(judge(tmp_path / "x.pdf"))


def test_from_the_command_line(tmp_path: Path) -> None:
    path = make_label(tmp_path / "x.pdf", ("SAVON", 12, 90), ("40 g", 5, 60))
    common = ("preflight", "--pdf", path, "--region", "CA")
    done = labelkit(*common, "--face", "60 x 45 mm", "--is", "40 g=net-quantity")
    assert done.returncode == 1
    assert "net-quantity" in done.stdout
    without = labelkit(*common)
    assert without.returncode == 2
    assert "--face" in without.stderr
    wrong = labelkit(*common, "--face", "60 x 45 mm", "--is", "40 g=net-quantty")
    assert wrong.returncode == 2
    assert "did you mean net-quantity?" in wrong.stderr


def test_a_page_of_pictures_alone_has_no_text() -> None:
    with pikepdf.new() as pdf:
        pdf.add_blank_page(page_size=(100, 100))
        pdf.pages[0].Contents = Stream(pdf, b"0 g 10 10 50 50 re f")
        pdf.pages[0].Resources = Dictionary(ProcSet=Name.PDF)
        stream = io.BytesIO()
        pdf.save(stream)
    page = read_shown_page(stream.getvalue(), 0)
    assert page.texts == ()
    assert page.other_ink == 1
