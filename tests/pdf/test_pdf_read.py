"""What is drawn is read back, by our own reader and by one that knows nothing of labelkit."""

from __future__ import annotations

import io
from pathlib import Path

import pdfplumber
import pytest
from drawn import compared, drawn_sheets
from pypdf import PdfReader, PdfWriter, Transformation

from labelkit.common.errors import InputError
from labelkit.common.quantity import PT_PER_MM
from labelkit.compose import make_run
from labelkit.impose.sheet import LabelPlace, Sheet
from labelkit.model.runs import NEUTRAL, SOFT_HYPHEN, Panel, Run
from labelkit.pdf.read import Readback, read_panel_bytes, read_panels
from labelkit.pdf.write.draw import format_pdf_number
from labelkit.typeset.faces import Face, FaceRequest, load_face

TOLERANCE_MM = 0.02
PAGE_MM = (215.9, 279.4)


PLACES = (
    LabelPlace(0, 20, 200, 44, 28),
    LabelPlace(1, 70, 200, 44, 28),
    LabelPlace(2, 130, 100, 28, 44, turns=1),
)
SHEETS = (Sheet(*PAGE_MM, PLACES),)


def own_runs(number: int) -> tuple[Run, ...]:
    face = load_face(FaceRequest("cormorant-garamond", 600))
    if number == 2:
        return ()
    return (make_run(f"Zoë {number}", "guest", NEUTRAL, face, 10, 4, 4),)


@pytest.fixture(scope="module")
def faces() -> dict[str, Face]:
    wanted = (FaceRequest("fira-sans"), FaceRequest("fira-sans", 700, 75))
    loaded = [load_face(r) for r in (*wanted, FaceRequest("cormorant-garamond", 600))]
    return {face.name: face for face in loaded}


@pytest.fixture(scope="module")
def panel(faces: dict[str, Face]) -> Panel:
    regular, bold, serif = faces.values()
    runs = (
        make_run("AVATAR Savon\u202f: Thé", "identity", "fr", regular, 8.3, 3, 9, 0.02),
        make_run("40\u00a0g", "net-quantity", NEUTRAL, bold, 8.3, 34, 9),
        make_run(f"Avena Sa{SOFT_HYPHEN}", "ingredients", NEUTRAL, bold, 5, 3, 6, 0, "#3a2f25"),
        make_run("Fête à l’Étang", "names", "fr", serif, 15, 3, 18),
    )
    return Panel("front", 44, 28, runs=runs)


@pytest.fixture(scope="module")
def data(panel: Panel, faces: dict[str, Face]) -> bytes:
    return drawn_sheets(panel, SHEETS, faces, own_runs)


@pytest.fixture(scope="module")
def found(data: bytes) -> Readback:
    return read_panel_bytes(data, "front.pdf")


def test_everything_composed_is_found_again(panel: Panel, data: bytes, found: Readback) -> None:
    assert compared(data, panel, SHEETS, 3, own_runs) == []
    assert all(font.embedded for font in found.fonts)
    first = found.panels[0].panel.runs
    assert [run.text for run in first[:4]] == [run.text for run in panel.runs]
    assert [run.weight for run in first[:4]] == [400, 700, 700, 600]
    assert first[2].colour == "#3a2f25"


def test_labels_stand_where_they_were_placed(found: Readback) -> None:
    for place, read in zip(PLACES, found.panels, strict=True):
        assert (read.x_mm, read.y_mm) == pytest.approx((place.x_mm, place.y_mm), abs=0.001)
        assert read.turned is (place.turns == 1)
        assert read.panel.runs[0].x_mm == pytest.approx(3, abs=0.001)


def test_a_second_reader_sees_the_same_places_and_heights(panel: Panel, data: bytes) -> None:
    """pdfplumber (pdfminer.six) reads characters without knowing of labelkit's marks."""
    with pdfplumber.open(io.BytesIO(data)) as document:
        characters = document.pages[0].chars
    run = panel.runs[0]
    first = next(c for c in characters if c["text"] == "A")
    x_mm = first["matrix"][4] / PT_PER_MM
    y_mm = first["matrix"][5] / PT_PER_MM
    assert x_mm == pytest.approx(PLACES[0].x_mm + run.x_mm, abs=TOLERANCE_MM)
    assert y_mm == pytest.approx(PLACES[0].y_mm + run.baseline_mm, abs=TOLERANCE_MM)
    assert first["size"] == pytest.approx(run.size_pt, abs=0.001)
    last = next(c for c in characters if c["text"] == "é")
    end_mm = last["x1"] / PT_PER_MM
    wanted = PLACES[0].x_mm + run.x_mm + run.advance_mm - run.tracking_em * run.size_pt / PT_PER_MM
    assert end_mm == pytest.approx(wanted, abs=TOLERANCE_MM)


def test_text_can_be_copied_in_reading_order(data: bytes) -> None:
    text = PdfReader(io.BytesIO(data)).pages[0].extract_text()
    assert text.index("AVATAR") < text.index("40") < text.index("Avena") < text.index("Fête")


@pytest.mark.parametrize("scale", [0.94, 1.03])
def test_a_page_that_was_scaled_prints_smaller_or_larger_letters(
    data: bytes, panel: Panel, scale: float
) -> None:
    writer = PdfWriter(clone_from=io.BytesIO(data))
    writer.pages[0].add_transformation(Transformation().scale(scale))
    stream = io.BytesIO()
    writer.write(stream)
    read = read_panel_bytes(stream.getvalue(), "scaled.pdf").panels[0].panel
    height = panel.runs[0].letters.small_o_mm
    assert height is not None
    assert read.runs[0].letters.small_o_mm == pytest.approx(height * scale, abs=0.001)
    assert read.width_mm == pytest.approx(44 * scale, abs=0.001)


def test_the_same_input_gives_the_same_bytes(panel: Panel, faces: dict[str, Face]) -> None:
    first, second = (drawn_sheets(panel, SHEETS, faces, own_runs) for _ in range(2))
    assert first == second


def test_a_missing_label_a_moved_run_and_a_run_over_the_trim_are_told(
    panel: Panel, data: bytes, faces: dict[str, Face]
) -> None:
    assert compared(data, panel, SHEETS, 4, own_runs) == ["front: label 4 is missing"]
    regular = faces["FiraSans-Regular"]
    moved = (make_run("AVATAR Savon\u202f: Thé", "identity", "fr", regular, 8.3, 3.1, 9, 0.02),)
    other = Panel("front", 44, 28, runs=(*moved, *panel.runs[1:]))
    assert any(
        "stands 0.100 mm from" in line for line in compared(data, other, SHEETS, 3, own_runs)
    )
    wide = Panel("front", 44, 28, runs=(make_run("W" * 30, "names", "fr", regular, 8, 3, 9),))
    sheets = [Sheet(*PAGE_MM, PLACES[:1])]
    problems = compared(drawn_sheets(wide, sheets, faces), wide, sheets, 1)
    assert any("runs over the trim" in line for line in problems)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "is no PDF"),
        (b"hello", "is no PDF"),
        (b"%PDF-1.4\n%%EOF", "cannot be read as PDF"),
        (b"%PDF-1.7\n" + b"\x00" * 400, "cannot be read as PDF"),
    ],
)
def test_what_is_no_pdf_is_told_in_one_line(tmp_path: Path, content: bytes, message: str) -> None:
    path = tmp_path / "x.pdf"
    path.write_bytes(content)
    with pytest.raises(InputError, match=message) as caught:
        read_panels(path)
    assert "\n" not in str(caught.value)


def test_an_encrypted_pdf_is_refused(data: bytes, tmp_path: Path) -> None:
    writer = PdfWriter(clone_from=io.BytesIO(data))
    writer.encrypt("secret", algorithm="RC4-128")
    path = tmp_path / "locked.pdf"
    writer.write(path)
    with pytest.raises(InputError, match="is encrypted"):
        read_panels(path)


def test_every_truncation_of_a_pdf_is_read_or_refused(data: bytes) -> None:
    for length in range(0, len(data), max(1, len(data) // 60)):
        try:
            read_panel_bytes(data[:length], "cut.pdf")
        except InputError as error:
            assert "\n" not in str(error)


def test_numbers_for_content_streams() -> None:
    assert [format_pdf_number(v) for v in (0.0, -0.0000001, 1.5, 10, -2.123456)] == [
        "0", "0", "1.5", "10", "-2.12346",
    ]  # fmt: skip
