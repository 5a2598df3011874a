"""Files for a printing works, checked by programs that share nothing with labelkit.

pikepdf (qpdf's library) walks over every object for the points of PDF/X-4, whose clauses stand in
``labelkit.pdf.write.press``, from memory; PDFium and, where they are installed, Ghostscript,
poppler and qpdf show and separate the pages.
"""

from __future__ import annotations

import io
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pikepdf
import pypdfium2
import pytest
from PIL import Image, ImageChops, ImageCms
from sheet_events import GUESTS

from labelkit.common.errors import InputError
from labelkit.job.prepare import prepare_job
from labelkit.job.sheets import MadeSheets, Wish, make_sheets_of_file
from labelkit.model.runs import Box
from labelkit.pdf.read import PlacedPanel, read_panels

Event = Callable[..., Path]
PRESS = Wish(for_press=True)
MM = 72 / 25.4
NS = {
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "dc": "http://purl.org/dc/elements/1.1/",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "xmpMM": "http://ns.adobe.com/xap/1.0/mm/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "pdfxid": "http://www.npes.org/pdfx/ns/id/",
}
FLAG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20">'
    '<rect width="20" height="20" fill="#4f5d3a"/>'
    '<rect x="20" width="20" height="20" fill="#c8102e"/></svg>'
)


def dressed(event: Event, keys: str, layout: str = "hedgerow") -> Path:
    """The sample in another layout, with more keys under [label]."""
    return event(('layout = "lantern"', f'layout = "{layout}"\n{keys}'))


def make(label: Path, folder: Path) -> MadeSheets:
    made = make_sheets_of_file(label, folder, PRESS)
    assert made.report.verdict == "pass"
    return made


@pytest.fixture(scope="module")
def moss(personal: Event, tmp_path_factory: pytest.TempPathFactory) -> MadeSheets:
    """The sample's files for the press, names and ornament in moss."""
    change = ('layout = "lantern"', 'layout = "hedgerow"\naccent = "moss"')
    unlisted = ('guest_list = "guests.csv"\n', "guests = 60\n")
    label = personal("moss", (), '"10 %"', change, unlisted)
    return make(label, tmp_path_factory.mktemp("moss") / "out")


def say(made: MadeSheets) -> str:
    return "\n".join(map(str, (*made.summary, *made.refused)))


# -- the points of PDF/X-4 -------------------------------------------------------------------------


def every_object(pdf: pikepdf.Pdf) -> Iterator[Any]:
    """Every object of a file and everything in it."""
    for held in pdf.objects:
        yield from inside(held)


def inside(held: Any) -> Iterator[Any]:
    yield held
    if isinstance(held, pikepdf.Array):
        for part in held:
            if not getattr(part, "is_indirect", False):
                yield from inside(part)
    elif isinstance(held, pikepdf.Dictionary | pikepdf.Stream):
        for _, part in held.items():
            if not getattr(part, "is_indirect", False):
                yield from inside(part)


def contents(pdf: pikepdf.Pdf) -> Iterator[Any]:
    """Every content stream: those of pages and those of forms."""
    yield from pdf.pages
    for held in pdf.objects:
        if isinstance(held, pikepdf.Stream) and held.get("/Subtype") == "/Form":
            yield held


def find_breaches(path: Path) -> list[str]:
    """What of the points of PDF/X-4 a file does not keep, each by its clause."""
    with pikepdf.open(path) as pdf:
        return [
            *breaches_of_file(pdf, path),
            *breaches_of_metadata(pdf),
            *breaches_of_intent(pdf),
            *breaches_of_pages(pdf),
            *breaches_of_colour(pdf),
            *breaches_of_content(pdf),
        ]


def breaches_of_file(pdf: pikepdf.Pdf, path: Path) -> Iterator[str]:
    if pdf.is_encrypted or "/ID" not in pdf.trailer:
        yield "6.1: encrypted, or without an ID"
    if path.read_bytes()[:8] != b"%PDF-1.6":
        yield "6.1: not PDF 1.6"


def breaches_of_metadata(pdf: pikepdf.Pdf) -> Iterator[str]:
    stream = pdf.Root.Metadata
    if "/Filter" in stream:
        yield "6.4: metadata are compressed, so no program that knows no PDF finds them"
    root = ElementTree.fromstring(stream.read_bytes())
    about = root.find(".//rdf:Description", NS)
    assert about is not None

    def said(name: str) -> str:
        return about.findtext(name, "", NS)

    if said("pdfxid:GTS_PDFXVersion") != "PDF/X-4":
        yield "6.3: does not say that it is PDF/X-4"
    for name in ("xmp:CreateDate", "xmp:ModifyDate", "xmp:MetadataDate", "xmpMM:DocumentID",
                 "xmpMM:VersionID", "xmpMM:RenditionClass"):  # fmt: skip
        if not said(name):
            yield f"6.4: no {name}"
    info = pdf.docinfo
    if about.findtext(".//rdf:li", "", NS) != str(info.Title):
        yield "6.5: two titles"
    if said("xmp:CreateDate").replace("-", "").replace(":", "")[:8] != str(info.CreationDate)[2:10]:
        yield "6.5: two dates"
    if str(info.Trapped) != "/False" or said("pdf:Trapped") != "False":
        yield "6.6: does not say that it is not trapped"


def breaches_of_intent(pdf: pikepdf.Pdf) -> Iterator[str]:
    intents = [one for one in pdf.Root.OutputIntents if one.S == "/GTS_PDFX"]
    if len(intents) != 1:
        yield "6.2.2: not one output intent"
        return
    (intent,) = intents
    if "/RegistryName" in intent and str(intent.OutputConditionIdentifier) == "Custom":
        yield "6.2.2: a condition that no registry has"
    if not str(intent.OutputConditionIdentifier) or not str(intent.Info):
        yield "6.2.2: the condition has no name"
    profile = ImageCms.getOpenProfile(io.BytesIO(intent.DestOutputProfile.read_bytes())).profile
    channels = {"GRAY": 1, "CMYK": 4}.get(profile.xcolor_space.strip())
    if profile.device_class != "prtr" or channels != int(intent.DestOutputProfile.N):
        yield "6.2.2: the profile is not that of a press"


def breaches_of_pages(pdf: pikepdf.Pdf) -> Iterator[str]:
    for page in pdf.pages:
        media, bleed, trim = ([float(v) for v in page[f"/{name}Box"]]
                              for name in ("Media", "Bleed", "Trim"))  # fmt: skip
        for inner, outer in ((trim, bleed), (bleed, media)):
            if not (inner[0] >= outer[0] and inner[1] >= outer[1]
                    and inner[2] <= outer[2] and inner[3] <= outer[3]):  # fmt: skip
                yield "6.9: a box reaches out of the one around it"
        if "/ArtBox" in page or "/Annots" in page or "/AA" in page:
            yield "6.9, 6.10: an ArtBox, annotations or actions"


def breaches_of_colour(pdf: pikepdf.Pdf) -> Iterator[str]:
    for held in every_object(pdf):
        if isinstance(held, pikepdf.Name) and str(held) in ("/DeviceRGB", "/DeviceCMYK"):
            yield f"6.2.3: {held}"
        if isinstance(held, pikepdf.Array) and len(held) and held[0] == "/Separation":
            look = held[2]
            if not isinstance(look, pikepdf.Array) or look[0] != "/Lab":
                yield "6.2.4: a separation that looks otherwise from press to press"
    for content in contents(pdf):
        for operands, operator in pikepdf.parse_content_stream(content):
            if str(operator) in ("rg", "RG", "k", "K", "sh", "BI"):
                yield f"6.2.3: {operator} {operands}"


def breaches_of_content(pdf: pikepdf.Pdf) -> Iterator[str]:
    for held in every_object(pdf):
        if not isinstance(held, pikepdf.Dictionary | pikepdf.Stream):
            continue
        if "/SMask" in held or "/Group" in held or held.get("/BM", "/Normal") != "/Normal":
            yield "6.2.5: transparency"
        if float(held.get("/ca", 1)) < 1 or float(held.get("/CA", 1)) < 1:
            yield "6.2.5: transparency"
        if held.get("/Type") == "/FontDescriptor" and not any(
            f"/FontFile{n}" in held for n in ("", "2", "3")
        ):
            yield "6.8: a font is not embedded"
        for key in ("/JS", "/OpenAction", "/EmbeddedFiles", "/Alternates", "/TR", "/OPI", "/PS"):
            if key in held:
                yield f"6.10-6.14: {key}"
    layers = pdf.Root.get("/OCProperties")
    if layers is not None:
        listed = {one.objgen for one in layers.OCGs}
        if "/AS" in layers.D or not str(layers.D.get("/Name", "")):
            yield "6.15: AS, or a configuration without a name"
        if {one.objgen for one in layers.D.Order} != listed or "/OFF" in layers.D:
            yield "6.15: a layer that is not listed, or is off"


ORDERS = {
    "one ink": ("", "hedgerow"),
    "gold and a brown text": ('accent = "gold"\ncolour = "#3a2f25"', "hedgerow"),
    "bunting with bleed": ('accent = "brick"\nbleed = "3 mm"', "bunting"),
}


@pytest.mark.parametrize("name", ORDERS)
def test_a_file_for_the_press_keeps_every_point_of_pdf_x_4(
    name: str, event: Event, tmp_path: Path
) -> None:
    made = make(dressed(event, *ORDERS[name]), tmp_path / "out")
    assert len(made.files) == 2
    for path in made.files:
        assert find_breaches(path) == []


def test_so_does_one_in_two_inks(moss: MadeSheets) -> None:
    assert len(moss.files) == 2
    for path in moss.files:
        assert find_breaches(path) == []


def test_the_checker_finds_what_is_wrong(event: Event, moss: MadeSheets, tmp_path: Path) -> None:
    """A usual sheet is none of it, and neither is a press file that was tampered with."""
    label = dressed(event, 'accent = "moss"')
    usual = make_sheets_of_file(label, tmp_path / "usual").files[0]
    assert any("6.2.3: rg" in one for one in breaches_of(usual, breaches_of_colour))
    works = moss.files[0]
    with pikepdf.open(works) as pdf:
        del pdf.Root.OCProperties.D["/Name"]
        pdf.pages[0].TrimBox = [-5, 0, 10, 10]
        pdf.docinfo.Trapped = pikepdf.Name("/Unknown")
        pdf.pages[0].Resources.ExtGState.Overprint.ca = 0.5
        pdf.save(tmp_path / "broken.pdf")
    told = " ".join(find_breaches(tmp_path / "broken.pdf"))
    for clause in ("6.15", "6.9", "6.6", "6.2.5"):
        assert clause in told


def breaches_of(path: Path, check: Callable[[pikepdf.Pdf], Iterator[str]]) -> list[str]:
    with pikepdf.open(path) as pdf:
        return list(check(pdf))


def test_boxes_are_the_trim_and_its_bleed(event: Event, tmp_path: Path) -> None:
    made = make(dressed(event, 'bleed = "3 mm"'), tmp_path)
    trim = prepare_job(tmp_path / "event" / "label.toml").spec.trim
    with pikepdf.open(made.files[0]) as pdf:
        (page,) = pdf.pages
        for box, more in (("/TrimBox", 0), ("/BleedBox", 6)):
            x0, y0, x1, y1 = (float(v) / MM for v in page[box])
            assert (x1 - x0, y1 - y0) == pytest.approx(
                (trim.width_mm + more, trim.height_mm + more), abs=0.001
            )


def test_same_order_gives_the_same_bytes_dated_by_its_event(
    event: Event, moss: MadeSheets, tmp_path: Path
) -> None:
    one, other = moss.files, make(dressed(event, 'accent = "moss"'), tmp_path / "other").files
    assert [path.read_bytes() for path in one] == [path.read_bytes() for path in other]
    with pikepdf.open(one[0]) as pdf:
        assert str(pdf.docinfo.CreationDate).startswith("D:20270619")


def test_the_works_own_profile_goes_into_the_file(event: Event, tmp_path: Path) -> None:
    """A profile that Ghostscript brings, of an output device in CMYK."""
    found = sorted(Path("/usr/share/color/icc/ghostscript").glob("default_cmyk.icc"))
    if not found:
        pytest.skip("no profile of a press is installed here (package libgs9-common)")
    label = dressed(event, 'accent = "moss"')
    shutil.copy(found[0], label.parent / "works.icc")
    keys = '[press]\nprofile = "works.icc"\ncondition = "FOGRA39"\n\n[defaults]'
    event(("[defaults]", keys), file="maker.toml")
    path = make(label, tmp_path / "out").files[0]
    assert find_breaches(path) == []
    with pikepdf.open(path) as pdf:
        (intent,) = pdf.Root.OutputIntents
        assert intent.DestOutputProfile.read_bytes() == found[0].read_bytes()
        assert str(intent.OutputConditionIdentifier) == "FOGRA39"
        assert str(intent.RegistryName) == "http://www.color.org"


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"nothing", "is no ICC profile"),
        (ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes(), "is not of a press"),
    ],
)
def test_a_profile_of_no_press_is_told(data: bytes, says: str, event: Event) -> None:
    label = dressed(event, "")
    (label.parent / "works.icc").write_bytes(data)
    event(("[defaults]", '[press]\nprofile = "works.icc"\n\n[defaults]'), file="maker.toml")
    with pytest.raises(InputError, match=says):
        prepare_job(label)


# -- inks ------------------------------------------------------------------------------------------


def plates_of(path: Path) -> dict[str, list[float]]:
    """The separations of a file with the L*a*b* of their solid."""
    found: dict[str, list[float]] = {}
    with pikepdf.open(path) as pdf:
        for held in every_object(pdf):
            if isinstance(held, pikepdf.Array) and len(held) and held[0] == "/Separation":
                found[str(held[1])[1:]] = [float(v) for v in held[3].C1]
    return found


def test_every_ink_is_a_plate_by_its_name(moss: MadeSheets) -> None:
    """#4f5d3a is L* 37.6, a* -10.7, b* 18.3 by littleCMS (tests/pdf/test_pdf_inks.py)."""
    plates = plates_of(moss.files[0])
    assert set(plates) == {"Moss", "Die line"}
    assert plates["Moss"] == pytest.approx([37.56, -10.71, 18.25], abs=0.5)
    assert "“Moss” and “Die line”" in say(moss)


def test_foil_is_a_plate_for_a_finisher(event: Event, tmp_path: Path) -> None:
    made = make(dressed(event, 'accent = "gold"'), tmp_path)
    assert set(plates_of(made.files[0])) == {"Foil gold", "Die line"}
    assert "Foil is laid by a finisher" in say(made)


def test_what_the_law_reads_is_no_tint_of_black(event: Event, tmp_path: Path) -> None:
    """A tint is made of dots, in which small letters go ragged."""
    made = make(dressed(event, 'colour = "#404040"'), tmp_path)
    assert "Words that the law asks for become black." in say(made)
    (place,) = read_panels(made.files[1]).panels
    assert {run.colour for run in place.panel.runs if run.element == "ingredients"} == {"#000000"}


def test_what_the_law_reads_is_black_whatever_the_ink_of_the_text(
    event: Event, tmp_path: Path
) -> None:
    made = make(dressed(event, 'colour = "#3a2f25"'), tmp_path)
    assert "Words that the law asks for become black." in say(made)
    colours: dict[str, set[str]] = {}
    for path in made.files:
        for place in read_panels(path).panels:
            for run in place.panel.runs:
                colours.setdefault(run.element, set()).add(run.colour)
    for element in ("identity", "net-quantity", "ingredients", "dealer", "contact"):
        assert colours[element] == {"#000000"}
    (names,) = colours["names"]
    near = zip(bytes.fromhex(names[1:]), bytes.fromhex("3a2f25"), strict=True)
    assert all(abs(a - b) <= 2 for a, b in near)


def test_pdfium_shows_a_plate_in_its_colour(event: Event, tmp_path: Path) -> None:
    """PDFium reckons L*a*b* coarsely: a few levels of 255 off."""
    made = make(dressed(event, 'accent = "rosehip"'), tmp_path)
    page = pypdfium2.PdfDocument(made.files[0])[0]
    counts = page.render(scale=4).to_pil().convert("RGB").getcolors(1 << 24)
    assert counts is not None
    shown = [colour for _, colour in sorted(counts, reverse=True)[:6]]
    wanted = (0xA2, 0x3B, 0x4A)
    assert any(max(abs(a - b) for a, b in zip(one, wanted, strict=True)) <= 12 for one in shown)


def test_light_words_on_a_dark_ground_are_refused(event: Event, tmp_path: Path) -> None:
    made = make_sheets_of_file(
        dressed(event, 'colour = "#e8d9a0"'), tmp_path, Wish(for_press=True, draft=True)
    )
    assert not made.files
    assert "required words are printed in black alone" in say(made)


def test_a_logo_keeps_the_order_s_inks_and_the_rest_becomes_black(
    event: Event, tmp_path: Path
) -> None:
    label = dressed(event, 'accent = "moss"\nlogo = "flag.svg"\nbleed = "3 mm"', "stall")
    (label.parent / "flag.svg").write_text(FLAG, encoding="utf-8")
    made = make(label, tmp_path / "out")
    assert "The logo's “#c8102e” became black: the order has no such ink." in say(made)
    for path in made.files:
        assert find_breaches(path) == []
        assert set(plates_of(path)) == {"Moss", "Die line"}


def test_a_logo_has_the_further_inks_of_the_order(event: Event, tmp_path: Path) -> None:
    """#c8102e and #c4142f look alike; the plate is that of the order's ink."""
    keys = 'accent = "moss"\ninks = ["#c4142f"]\nlogo = "flag.svg"\nbleed = "3 mm"'
    label = dressed(event, keys, "stall")
    (label.parent / "flag.svg").write_text(FLAG, encoding="utf-8")
    made = make(label, tmp_path / "out")
    assert "became black" not in say(made)
    plates = [plates_of(path) for path in made.files]
    assert all(set(found) == {"Moss", "Ink c4142f", "Die line"} for found in plates)


@pytest.mark.parametrize("ink", ["banana", "#12345"])
def test_an_ink_that_is_none_is_told(ink: str, event: Event) -> None:
    with pytest.raises(InputError, match=r"label\.inks"):
        prepare_job(dressed(event, f'inks = ["{ink}"]'))


def test_a_picture_is_flat_and_grey(event: Event, tmp_path: Path) -> None:
    label = dressed(event, 'logo = "logo.png"\nbleed = "3 mm"', "stall")
    picture = Image.new("RGBA", (600, 600), (0, 0, 0, 0))
    picture.paste((160, 20, 20, 255), (150, 150, 450, 450))
    picture.save(label.parent / "logo.png")
    made = make(label, tmp_path / "out")
    assert "The logo is a picture in colours: it becomes shades of black." in say(made)
    images = 0
    for path in made.files:
        assert find_breaches(path) == []
        with pikepdf.open(path) as pdf:
            for held in pdf.objects:
                if isinstance(held, pikepdf.Stream) and held.get("/Subtype") == "/Image":
                    images += 1
                    assert held.ColorSpace == "/DeviceGray"
                    shown = pikepdf.PdfImage(held).as_pil_image()
                    # ITU-R BT.601, which Pillow goes by: 0.299 R + 0.587 G + 0.114 B
                    assert shown.getpixel((0, 0)) == 255
                    assert shown.getpixel((300, 300)) == pytest.approx(61.9, abs=1)
    assert images


def test_each_guest_has_a_page_with_the_name_in_the_accent(personal: Event, tmp_path: Path) -> None:
    change = ('layout = "lantern"', 'layout = "meadow"\naccent = "plum"')
    made = make(personal("press", GUESTS, "4", change), tmp_path)
    with pikepdf.open(made.files[0]) as pdf:
        assert len(pdf.pages) == len(GUESTS) + 1
    assert find_breaches(made.files[0]) == []


# -- white -----------------------------------------------------------------------------------------


def test_white_on_kraft_is_a_plate_and_never_simulated(event: Event, tmp_path: Path) -> None:
    label = dressed(event, 'accent = "white"\nstock = "letter-plain-kraft"')
    home = make_sheets_of_file(label, tmp_path / "home")
    assert not home.files and "white ink is laid by a printing works alone" in say(home)
    assert "CRAFT-WHITE" in {one.rule for one in home.report.findings}
    made = make(label, tmp_path / "works")
    assert find_breaches(made.files[0]) == []
    assert set(plates_of(made.files[0])) == {"White", "Die line"}
    (place,) = read_panels(made.files[0]).panels
    colours = {run.element: run.colour for run in place.panel.runs}
    assert colours["identity"] == "#000000"
    assert colours["names"] not in ("#000000", "#ffffff")  # read back as ink, not as bare paper


def test_white_names_on_white_paper_fail(event: Event, tmp_path: Path) -> None:
    made = make_sheets_of_file(dressed(event, 'accent = "white"'), tmp_path, PRESS)
    assert made.report.verdict == "fail" and not made.files


def test_white_under_all_is_left_whole_by_what_is_printed_over_it(
    event: Event, tmp_path: Path
) -> None:
    """As Ghostscript separates it: white everywhere, the words on black as without it."""
    keys = 'accent = "moss"\nstock = "letter-plain-clear"\nwhite_under = true\nbleed = "1 mm"'
    label = dressed(event, keys)
    home = make_sheets_of_file(label, tmp_path / "home")
    assert "No white is laid under these labels" in say(home)
    path = make(label, tmp_path / "works").files[0]
    assert find_breaches(path) == []
    with pikepdf.open(path) as pdf:
        white = next(one for one in pdf.Root.OCProperties.OCGs if str(one.Name) == "White")
        assert white.GTS_Metadata.GTS_ProcStepsGroup == "/White"
    ink = separate(path, tmp_path)
    assert ink["White"].getextrema() in ((0, 255), (0, 254))
    middle = ink["White"].crop(ink["White"].getbbox()).resize((9, 9))
    assert middle.getextrema()[0] > 200  # no words are knocked out of it
    assert ink["Black"].getbbox() and ink["Moss"].getbbox()


@pytest.mark.parametrize("layout", ["hedgerow", "frost", "stall"])
@pytest.mark.quick(1)
def test_white_under_the_accent_is_drawn_in(event: Event, tmp_path: Path, layout: str) -> None:
    """As Ghostscript separates it: white only where the accent is, never nearer its edge than
    0.1 mm less two dots, and everywhere that is farther from all its edges; also under
    guests' names, which are of each label alone."""
    keys = (
        'accent = "moss"\nstock = "letter-plain-kraft"\nwhite_under_accent = true\nbleed = "3 mm"'
    )
    label = dressed(event, keys, layout)
    event(("guests = 60", 'guest_list = "guests.csv"'))
    (label.parent / "guests.csv").write_text("name\nAda Brume\n", encoding="utf-8")
    home = make_sheets_of_file(label, tmp_path / "home")
    assert "No white is laid under these labels" in say(home)
    made = make(label, tmp_path / "works")
    assert "White lies under names, ornament and frame, drawn in by 0.1 mm" in say(made)
    path = made.files[0]
    assert find_breaches(path) == []
    assert set(plates_of(path)) == {"White", "Moss", "Die line"}
    dpi = 1200
    ink = separate(path, tmp_path, dpi)
    white, accent = (
        ink[name].point([255 * (v > 127) for v in range(256)]) for name in ("White", "Moss")
    )
    assert white.getbbox() is not None
    # What runs over the trim is cut off with all that it bleeds into.
    (place,) = read_panels(path).panels[:1]
    trim = Box(0, 0, place.panel.width_mm, place.panel.height_mm)
    nearest = int(0.1 / 25.4 * dpi - 2)
    inside = draw_in(accent, nearest)
    stray = cut_out(ImageChops.subtract(white, inside), place, trim, dpi)
    assert count_dots(stray) == 0
    # Letters have no edges inside: all that is far enough from theirs has white.
    deep = draw_in(inside, 4)
    names = [run for run in place.panel.runs if run.element == "names"]
    assert names
    for run in names:
        wanted, there = (cut_out(image, place, run.ink, dpi) for image in (deep, white))
        assert count_dots(wanted) > 20
        assert count_dots(ImageChops.subtract(wanted, there)) <= 0.02 * count_dots(wanted)
    (guest,) = (run for run in place.panel.runs if run.element == "guest")
    assert count_dots(cut_out(accent, place, guest.ink, dpi)) > 0
    if layout == "frost":  # in others they are so small that nothing is left
        assert count_dots(cut_out(white, place, guest.ink, dpi)) > 0


def draw_in(image: Image.Image, dots: int) -> Image.Image:
    """Only what has ink in a square of 2 n + 1 dots about it: nothing nearer to an edge than n."""
    for across, up in [(1, 0), (0, 1)] * dots:
        beside = (ImageChops.offset(image, sign * across, sign * up) for sign in (-1, 1))
        image = ImageChops.darker(image, ImageChops.darker(*beside))
    return image


def cut_out(page: Image.Image, place: PlacedPanel, box: Box, dpi: int) -> Image.Image:
    """A box of a label (mm) out of the plate of its page."""
    dots = dpi / 25.4
    left, right = (round((place.x_mm + x) * dots) for x in (box.x0_mm, box.x1_mm))
    top, low = (round(page.height - (place.y_mm + y) * dots) for y in (box.y1_mm, box.y0_mm))
    return page.crop((left, top, right, low))


def count_dots(image: Image.Image) -> int:
    return sum(image.histogram()[128:])


def test_white_is_laid_once(event: Event) -> None:
    label = dressed(event, "white_under = true\nwhite_under_accent = true")
    with pytest.raises(InputError, match=r"white_under_accent: .*leave one of them out"):
        prepare_job(label)


def test_no_white_is_laid_under_black(event: Event, tmp_path: Path) -> None:
    made = make(dressed(event, "white_under_accent = true"), tmp_path)
    assert "No white is laid: names" in say(made)
    assert set(plates_of(made.files[0])) == {"Die line"}


# -- bleed -----------------------------------------------------------------------------------------


def test_art_at_the_cut_needs_bleed(event: Event, tmp_path: Path) -> None:
    label = dressed(event, 'accent = "brick"', "bunting")
    home = make_sheets_of_file(label, tmp_path / "home")
    told = [one for one in home.report.findings if one.rule == "CRAFT-BLEED"]
    assert [one.panel for one in told] == ["front"]
    refused = make_sheets_of_file(label, tmp_path / "press", PRESS)
    assert not refused.files and not (tmp_path / "press").exists()
    assert "front: art meets the cut" in say(refused)


def test_labels_whose_art_stops_need_none(event: Event, tmp_path: Path) -> None:
    made = make(dressed(event, ""), tmp_path)
    assert not [one for one in made.report.findings if one.rule == "CRAFT-BLEED"]


# -- what others make of it ------------------------------------------------------------------------


def run(program: str, *arguments: object) -> str:
    if shutil.which(program) is None:
        pytest.skip(f"{program} is not installed here")
    done = subprocess.run(
        [program, *map(str, arguments)], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout + done.stderr


def test_qpdf_finds_no_fault(moss: MadeSheets) -> None:
    for path in moss.files:
        assert "No syntax or stream encoding errors" in run("qpdf", "--check", path)


def test_poppler_finds_boxes_fonts_and_no_fault(moss: MadeSheets) -> None:
    path = moss.files[0]
    told = run("pdfinfo", "-box", path)
    assert "Error" not in told and "TrimBox" in told
    fonts = run("pdffonts", path).splitlines()[2:]
    assert fonts and all(" yes yes " in line for line in fonts)  # embedded, in subset


def separate(path: Path, folder: Path, dpi: int = 200) -> dict[str, Image.Image]:
    """The plates of a file's first page by Ghostscript, 255 where there is ink."""
    run("gs", "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=tiffsep", f"-r{dpi}",
        "-dFirstPage=1", "-dLastPage=1", f"-sOutputFile={folder}/sep-%d.tif", path)  # fmt: skip
    found = {}
    for plate in sorted(folder.glob("sep-1(*).tif")):
        with Image.open(plate) as image:
            grey = image.convert("L")
            found[plate.stem[6:-1]] = grey.point([255 - level for level in range(256)])
    return found


def test_ghostscript_separates_the_plates(moss: MadeSheets, tmp_path: Path) -> None:
    """Names and ornament on their plate, the law's words on black, and nothing in process inks."""
    ink = separate(moss.files[0], tmp_path)
    assert all(ink[name].getbbox() is None for name in ("Cyan", "Magenta", "Yellow"))
    height = ink["Black"].height
    (_, top, _, _), (_, _, _, low) = ink["Black"].getbbox(), ink["Moss"].getbbox()
    assert low <= top + 0.02 * height  # in this layout names stand above what the law reads
