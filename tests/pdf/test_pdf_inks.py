"""Colours as they are written: held against littleCMS, and read back by pdfplumber."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pdfplumber
import pytest
from PIL import Image, ImageCms

from labelkit.compose.panel import ACCENTED
from labelkit.job.prepare import prepare_job
from labelkit.job.sheets import make_sheets_of_file
from labelkit.order.inks import load_inks
from labelkit.order.printer import PrinterProfile, read_printers, write_printer_into
from labelkit.pdf.write.icc import make_grey_profile
from labelkit.pdf.write.inks import Inks, Plate, convert_to_cmyk, convert_to_lab

Event = Callable[..., Path]


@pytest.mark.parametrize("colour", [*(ink.value for ink in load_inks().values()), "#c8a070"])
def test_lab_of_every_ink_is_that_of_littlecms(colour: str) -> None:
    """littleCMS rounds L* to a 255th of 100 and a*, b* to whole numbers in an image of 8 bits."""
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    dot = Image.new("RGB", (1, 1), (red, green, blue))
    made = ImageCms.profileToProfile(
        dot, ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), outputMode="LAB"
    )
    lightness, a, b = made.getpixel((0, 0))
    theirs = (lightness / 2.55, a - 128, b - 128)
    assert convert_to_lab(colour) == pytest.approx(theirs, abs=0.8)


def test_lab_of_pure_red_is_the_published_one() -> None:
    """sRGB red under D50 is L* 54.3, a* 80.8, b* 69.9 (colour handbooks, from memory)."""
    assert convert_to_lab("#ff0000") == pytest.approx((54.29, 80.81, 69.89), abs=0.1)
    assert convert_to_lab("#ffffff") == pytest.approx((100, 0, 0), abs=0.02)
    assert convert_to_lab("#000000") == (0, 0, 0)


def test_process_inks_give_back_the_colour_by_the_formula_of_the_standard() -> None:
    """ISO 32000-1, 10.3.5: red is 1 - min(1, cyan + black), and so the others."""
    for ink in load_inks().values():
        light = tuple(int(ink.value[i : i + 2], 16) / 255 for i in (1, 3, 5))
        *colours, black = convert_to_cmyk(light)
        assert min(colours) == 0  # all that is common to them is black
        back = [1 - min(1, black + v * (1 - black)) for v in colours]
        assert back == pytest.approx(light)


def test_black_and_greys_are_black_ink_alone_whatever_the_process() -> None:
    for process in ("rgb", "cmyk"):
        inks = Inks(process)
        assert (inks.fill("#000000"), inks.stroke("#000000")) == ("0 g", "0 G")
        assert inks.fill("#808080") == "0.50196 g"
    assert Inks("cmyk").fill("#ff0000") == "0 1 1 0 k"
    assert Inks("rgb").stroke("#ff0000") == "1 0 0 RG"
    plated = Inks(plates={"#ff0000": Plate("red", (54.29, 80.81, 69.89))})
    assert plated.fill("#ff0000") == "/Ink0 cs 1 scn"
    assert plated.stroke("#ff0000") == "/Ink0 CS 1 SCN"
    assert plated.fill("#000000") == "0 g"


@pytest.mark.parametrize(
    ("ink", "names"),
    [
        # moss is #4f5d3a
        ("", (0x4F / 255, 0x5D / 255, 0x3A / 255)),
        ('ink = "cmyk"\n', (14 / 93, 0, 35 / 93, 1 - 93 / 255)),
    ],
)
def test_a_printer_gets_the_accent_as_it_wants_it_and_the_law_in_black(
    event: Event, tmp_path: Path, ink: str, names: tuple[float, ...]
) -> None:
    label = event(
        ('layout = "lantern"', 'layout = "hedgerow"\naccent = "moss"\nstock = "letter-plain"'),
        ("guests = 60\n", "guests = 3\n"),
    )
    printers = f'labelkit = 1\n[[printers]]\nname = "back room"\noffset_x_mm = 0.5\n{ink}'
    (label.parent / "printers.toml").write_text(printers, encoding="utf-8")
    event(("[defaults]", '[defaults]\nprinter = "back room"'), file="maker.toml")
    job = prepare_job(label)
    size = {run.size_pt: run.element in ACCENTED for run in job.composed[0].panel.runs}
    assert set(size.values()) == {True, False}
    made = make_sheets_of_file(label, tmp_path / "out")
    assert made.report.verdict == "pass"
    with pdfplumber.open(made.files[0]) as pdf:
        colours: dict[bool, set[tuple[float, ...]]] = {True: set(), False: set()}
        for char in pdf.pages[0].chars:
            near = min(size, key=lambda pt: abs(pt - char["size"]))
            if abs(near - char["size"]) < 0.01:
                colours[size[near]].add(tuple(round(v, 4) for v in char["non_stroking_color"]))
    assert colours[False] == {(0,)}
    (found,) = colours[True]
    assert found == pytest.approx(names, abs=1e-4)


def test_measuring_a_printer_anew_keeps_how_it_wants_its_ink(tmp_path: Path) -> None:
    path = tmp_path / "printers.toml"
    path.write_text('labelkit = 1\n[[printers]]\nname = "a"\nink = "cmyk"\n', encoding="utf-8")
    text = write_printer_into(path, PrinterProfile("a", offset_x_mm=0.4))
    path.write_text(text, encoding="utf-8")
    assert read_printers(path) == (PrinterProfile("a", offset_x_mm=0.4, ink="cmyk"),)
    path.write_text(write_printer_into(path, PrinterProfile("b")), encoding="utf-8")
    assert [printer.ink for printer in read_printers(path)] == ["cmyk", "rgb"]


def test_littlecms_reads_the_profile_of_black_ink_on_paper() -> None:
    """Paper is white, solid black as dark as offset prints it (L* 15 or so, from memory), and half
    of the dots gain 16 % (ISO 12647-2, curve A, from memory): 66 % covered, 35 % of the light."""
    profile = ImageCms.getOpenProfile(io.BytesIO(make_grey_profile()))
    assert (profile.profile.device_class, profile.profile.xcolor_space) == ("prtr", "GRAY")
    shades = Image.new("L", (256, 1))
    shades.putdata(range(256))
    lab = ImageCms.profileToProfile(
        shades, profile, ImageCms.createProfile("LAB"), outputMode="LAB"
    )
    seen = [lab.getpixel((x, 0)) for x in range(256)]
    lightness = [one[0] / 2.55 for one in seen]
    assert lightness == sorted(lightness)
    assert lightness[0] == pytest.approx(15, abs=1) and lightness[-1] == pytest.approx(100, abs=0.5)
    light = 1 - 0.66 * (1 - 0.019)
    assert lightness[128] == pytest.approx(116 * light ** (1 / 3) - 16, abs=1.5)
    assert all(abs(a - 128) <= 1 and abs(b - 128) <= 1 for _, a, b in seen)  # neutral
