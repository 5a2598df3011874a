"""Printers as measured: kept, found again, and inverted exactly."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelkit.common.errors import InputError
from labelkit.common.quantity import PT_PER_MM
from labelkit.order.printer import (
    PrinterProfile,
    check_printer_name,
    find_printer,
    format_printers,
    path_of_printers,
    read_printers,
    replace_printer,
    write_printer_into,
)
from labelkit.pdf.write.calibration import (
    ACROSS_MM,
    INSET_MM,
    UP_MM,
    CalibrationMeasures,
    make_profile,
)
from labelkit.pdf.write.printing import make_printer_matrix

scales = st.floats(0.95, 1.05)
real_scales = st.floats(0.991, 1.009)
"""Of printers that print at 100 %: within 1 % (common practice, no source)."""
offsets = st.floats(-5, 5)
places = st.floats(-10, 400)


def lands(printer: PrinterProfile, x_mm: float, y_mm: float) -> tuple[float, float]:
    """Where a printer puts a point: the model that printers.toml states."""
    return (
        printer.scale_x * x_mm + printer.offset_x_mm,
        printer.scale_y * y_mm + printer.offset_y_mm,
    )


def asked(printer: PrinterProfile, x_mm: float, y_mm: float) -> tuple[float, float]:
    """Where a corrected page asks for a point."""
    matrix = make_printer_matrix(printer)
    if matrix is None:
        return x_mm, y_mm
    a, b, c, d, e, f = matrix.inverse
    x, y = x_mm * PT_PER_MM, y_mm * PT_PER_MM
    return (a * x + c * y + e) / PT_PER_MM, (b * x + d * y + f) / PT_PER_MM


def printers(*profiles: PrinterProfile, at: Path) -> Path:
    path = path_of_printers(at)
    path.write_text(format_printers(profiles), encoding="utf-8")
    return path


@given(offsets, offsets, scales, scales, places, places)
def test_a_corrected_point_prints_at_its_true_place(
    dx: float, dy: float, sx: float, sy: float, x: float, y: float
) -> None:
    """The printer's model, applied to what the correction asks for, is the identity."""
    printer = PrinterProfile("p", dx, dy, sx, sy)
    assert lands(printer, *asked(printer, x, y)) == pytest.approx((x, y), abs=1e-9)


@given(st.sampled_from(["letter", "a4"]), offsets, offsets, real_scales, real_scales)
def test_a_printer_is_known_from_its_calibration_page(
    page: str, dx: float, dy: float, sx: float, sy: float
) -> None:
    """A model printer prints the page's crosses, a ruler measures them, and it is found out."""
    real = PrinterProfile("p", dx, dy, sx, sy)
    left, foot = lands(real, INSET_MM, INSET_MM)
    right, _ = lands(real, INSET_MM + ACROSS_MM[page], INSET_MM)
    _, head = lands(real, INSET_MM, INSET_MM + UP_MM[page])
    found = make_profile("p", page, CalibrationMeasures(right - left, head - foot, left, foot))
    for x, y in ((0.0, 0.0), (215.9, 297.0)):
        assert lands(real, *asked(found, x, y)) == pytest.approx((x, y), abs=0.001)


@pytest.mark.parametrize(
    ("measured", "key", "says"),
    [
        # A4 with 4.2 mm of white all round, fitted: 201.6 of 210 mm, so 4 % shorter.
        (
            CalibrationMeasures(163.2, 240, 20, 20),
            "across",
            '4.0 % shorter than the 170 mm .*"fit to page" off',
        ),
        (CalibrationMeasures(172, 250, 20, 20), "across", "1.2 % longer"),
        # The letter page measured as if it were the A4 page: 230 of 250 mm.
        (
            CalibrationMeasures(170, 230, 20, 20),
            "up",
            "8.0 % shorter than the 250 mm .* that --page names",
        ),
        (CalibrationMeasures(170, 280, 20, 20), "up", "12.0 % longer"),
        (CalibrationMeasures(170, 250, 45, 20), "left", "near 20 mm, at most 10 mm off"),
        # Centimetres taken for millimetres.
        (CalibrationMeasures(170, 250, 20, 2), "foot", "near 20 mm"),
        (CalibrationMeasures(170, 250, 20, 20, 31), "edge", "0 mm to 30 mm"),
    ],
)
def test_measures_no_printer_makes_are_refused(
    measured: CalibrationMeasures, key: str, says: str
) -> None:
    with pytest.raises(InputError, match=says) as caught:
        make_profile("p", "a4", measured)
    assert caught.value.file == key


def test_measures_of_a_poor_printer_are_taken() -> None:
    """Almost 1 % off, and 10 mm: the most a printer may be."""
    poor = make_profile("p", "a4", CalibrationMeasures(168.4, 252.4, 29.8, 10.2))
    assert (poor.scale_x, poor.scale_y) == pytest.approx((0.990588, 1.0096))
    assert (poor.offset_x_mm, poor.offset_y_mm) == pytest.approx((9.98824, -9.992))


def test_printers_are_kept_beside_the_makers_file(tmp_path: Path) -> None:
    first = PrinterProfile("back room", -0.5, 0.25, 1.00125, 0.9995, 4.0)
    second = PrinterProfile("attic")
    path = printers(second, first, at=tmp_path / "maker.toml")
    assert path == tmp_path / "printers.toml"
    assert find_printer("back room", path) == first
    assert find_printer("attic", path).true
    anew = PrinterProfile("attic", 1.0)
    assert replace_printer(read_printers(path), anew) == (anew, first)


def test_a_printer_nobody_measured(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="none was measured yet"):
        find_printer("attic", tmp_path / "printers.toml")
    path = printers(PrinterProfile("attic"), at=tmp_path)
    with pytest.raises(InputError, match="expected one of attic"):
        find_printer("cellar", path)


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("scale_x = 1.2", "expected a number from 0.9 to 1.1"),
        ("offset_x_mm = 50.0", "expected a number from -20 to 20"),
        ('offset_y_mm = "2 mm"', "expected a number"),
        ("offset_z_mm = 1.0", "unknown key"),
        ("unprintable_mm = -1", "expected a number from 0 to 30"),
    ],
)
def test_a_wrong_printers_file(tmp_path: Path, line: str, says: str) -> None:
    path = tmp_path / "printers.toml"
    path.write_text(f'labelkit = 1\n[[printers]]\nname = "a"\n{line}\n', encoding="utf-8")
    with pytest.raises(InputError, match=says):
        read_printers(path)


def test_a_printer_there_twice(tmp_path: Path) -> None:
    path = printers(PrinterProfile("a"), PrinterProfile("a"), at=tmp_path)
    with pytest.raises(InputError, match="twice"):
        read_printers(path)


@pytest.mark.parametrize("name", ["", " attic", 'a"b', "x" * 61, "a\nb", "a/b"])
def test_names_that_would_spoil_the_file(name: str) -> None:
    with pytest.raises(InputError, match="printer: "):
        check_printer_name(name)


# -- what a maker wrote beside it ------------------------------------------------------------------

COMMENTED = """# Mine: the blue one is upstairs.
labelkit = 1 # do not touch

[[printers]] # upstairs
  name = "hall" # by the door
offset_x_mm = 0.1 # measured in March
offset_y_mm = 0.2
scale_x = 1.0
# the end of hall

[[printers]]
name = 'attic'
offset_x_mm = 0.5"""
HALL = PrinterProfile("hall", 1.5, -2.5, 1.01, 0.99, 5.0, "letter")


def lines_kept(text: str) -> list[str]:
    return [line for line in COMMENTED.splitlines() if line in text.splitlines()]


@pytest.mark.parametrize("name", ["hall", "attic", "cellar"])
def test_comments_stay_when_a_printer_is_measured(tmp_path: Path, name: str) -> None:
    path = path_of_printers(tmp_path)
    path.write_text(COMMENTED, encoding="utf-8")
    measured = replace(HALL, name=name)
    path.write_text(write_printer_into(path, measured), encoding="utf-8")
    text = path.read_text(encoding="utf-8")
    comments = {part.strip() for part in re.findall("#.*", COMMENTED)}
    assert comments == {part.strip() for part in re.findall("#.*", text)}
    assert find_printer(name, path) == measured
    for other in {"hall", "attic"} - {name}:
        assert find_printer(other, path).offset_x_mm == {"hall": 0.1, "attic": 0.5}[other]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "labelkit = 1\n",
        'labelkit = 1\nprinters = [{ name = "hall", scale_x = 1.02 }]\n',
        'labelkit = 1\r\n\r\n[[printers]]\r\nname = "hall"\r\nscale_x = 1.0\r\n',
        'labelkit = 1\n[[printers]]\n"name" = "hall"\n"scale_x" = 1.02\n',
    ],
)
def test_a_printer_is_measured_into_any_file_of_printers(tmp_path: Path, text: str) -> None:
    path = path_of_printers(tmp_path)
    path.write_bytes(text.encode())
    path.write_bytes(write_printer_into(path, HALL).encode())
    assert read_printers(path) == (HALL,)
