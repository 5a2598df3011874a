"""The maker's logo: pictures and drawings read, placed and printed; anything else refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image, ImageDraw
from pypdf import PdfReader

from labelkit.checks.craft import _check_pictures
from labelkit.common.errors import InputError
from labelkit.compose.picture_tones import measure_tones
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.job.sheets import make_sheets_of_file
from labelkit.model.runs import Box, Panel, Picture
from labelkit.order.label import read_label
from labelkit.order.logo import read_logo
from labelkit.report.findings import load_finding_words
from labelkit.rules.findings import Level

Event = Callable[..., Path]
SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">{}</svg>'


def svg(tmp_path: Path, inner: str, head: str = "") -> Path:
    path = tmp_path / "logo.svg"
    path.write_text(head + SVG.format(inner), encoding="utf-8")
    return path


def png(path: Path, width: int, height: int) -> Path:
    image = Image.new("RGBA", (width, height), (255, 255, 255, 0))
    ImageDraw.Draw(image).ellipse((2, 2, width - 2, height - 2), fill=(20, 20, 20, 255))
    image.save(path)
    return path


def with_logo(event: Event, name: str, layout: str = "ledger") -> Path:
    return event(('layout = "lantern"', f'layout = "{layout}"\nlogo = "{name}"'))


def test_a_drawing_is_measured_by_its_shapes_not_by_its_view(tmp_path: Path) -> None:
    # A rectangle of 40 x 10 units, moved and doubled by its group: SVG 1.1, chapter 7.
    path = svg(
        tmp_path,
        '<g transform="translate(5 5) scale(2)"><rect x="0" y="0" width="40" height="10"/></g>',
    )
    logo = read_logo(path)
    assert logo.aspect == pytest.approx(4.0)
    assert logo.view == pytest.approx((5, 5, 80, 20))
    assert logo.pixels is None


def test_circles_holes_and_invisible_shapes(tmp_path: Path) -> None:
    path = svg(
        tmp_path,
        '<path fill-rule="evenodd" d="M0 0H60V60H0ZM20 20H40V40H20Z"/>'
        '<circle cx="30" cy="30" r="5" style="fill:#123456"/>'
        '<rect width="999" height="9" fill="none"/>',
    )
    logo = read_logo(path)
    assert [drawing.even_odd for drawing in logo.drawings] == [True, False]
    assert logo.view == pytest.approx((0, 0, 60, 60))


@pytest.mark.parametrize(
    ("inner", "message"),
    [
        ("<script>alert(1)</script>", "holds <script>"),
        ("<text>Name</text>", "holds <text>; convert text to outlines in your drawing program"),
        ('<line x2="9"/>', "holds <line>; convert lines to outlines"),
        (
            '<image href="photo.png"/>',
            "holds <image>; a picture within a drawing; save the logo as",
        ),
        ('<use href="#other"/>', "holds <use>; break it up into plain shapes"),
        ('<path d="M0 0H9V9Z" onclick="x()"/>', "'onclick'"),
        ('<path d="M0 0H9V9Z" style="fill:url(#g)"/>', "'style'"),
        ('<path d="M0 0H9V9Z" stroke="black" stroke-width="2%"/>', "cannot be read as SVG"),
        ('<path d="M0 0H9V9Z" stroke="black" stroke-width="1e400"/>', "cannot be read as SVG"),
        ('<path d="M0 0H9V9Z" stroke="black" stroke-dasharray="2 1"/>', "with a stroke; convert"),
        (
            '<path d="M0 0H9V9Z" stroke="black" vector-effect="non-scaling-stroke"/>',
            "with a stroke; convert strokes to outlines",
        ),
        ('<path d="M0 0H9V9Z" stroke="black" stroke-linejoin="arcs"/>', "with a stroke; convert"),
        ("<defs><linearGradient/></defs>", "(<linearGradient>); give the shape one plain colour"),
        ("<defs><linearGradient/></defs>", "refers to definitions"),
        ('<path d="M0 0H9V9Z" transform="wobble(3)"/>', "cannot be read as SVG"),
        ('<path d="nonsense"/>', "cannot be read as SVG"),
        ("", "shows nothing"),
        ('<path d="M0 0H9"/>', "has no extent"),
        ("<g>", "cannot be read as SVG"),
        ("<g>" * 60 + '<path d="M0 0H9V9Z"/>' + "</g>" * 60, "nested too deeply"),
    ],
)
def test_a_drawing_that_would_not_print_as_it_looks_is_refused(
    tmp_path: Path, inner: str, message: str
) -> None:
    with pytest.raises(InputError) as caught:
        read_logo(svg(tmp_path, inner))
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_logo_that_is_refused_is_told_with_the_key_that_brought_it_in(event: Event) -> None:
    label = with_logo(event, "logo.svg")
    svg(label.parent, '<line x2="9"/>')
    with pytest.raises(InputError) as caught:
        preflight_job(prepare_job(label))
    assert str(caught.value) == (
        f"{label}: line 28: label.logo: logo.svg: holds <line>; convert lines to outlines in"
        " your drawing program, then save as plain SVG"
    )
    (label.parent / "logo.svg").unlink()
    with pytest.raises(
        InputError, match=r"label\.toml: line 28: label\.logo: logo\.svg: no such file"
    ):
        preflight_job(prepare_job(label))


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("logo.svg", "workshop/logo.svg"),
        ("../logo.svg", "workshop/logo.svg"),
        ("art/logo.svg", "workshop/art/logo.svg"),
        ("own.svg", "workshop/event/own.svg"),
        # What lies beside the spec is meant first.
        ("both.svg", "workshop/event/both.svg"),
        ("../both.svg", "workshop/both.svg"),
        ("../../outside.svg", None),
        ("../art/../../outside.svg", None),
        ("../out.svg", None),
    ],
)
def test_one_logo_may_lie_beside_the_workshops_file(
    event: Event, tmp_path: Path, name: str, found: str | None
) -> None:
    workshop = tmp_path / "workshop"
    (workshop / "art").mkdir(parents=True)
    event(('maker = "maker.toml"', 'maker = "../maker.toml"'))
    label = with_logo(event, name).parent.rename(workshop / "event") / "label.toml"
    for file in ("maker.toml", "prices.toml"):
        (label.parent / file).rename(workshop / file)
    for path in ("logo.svg", "both.svg", "art/logo.svg", "event/both.svg", "event/own.svg"):
        (workshop / path).write_text(SVG.format('<path d="M0 0H9V9Z"/>'), encoding="utf-8")
    (tmp_path / "outside.svg").write_text(SVG.format('<path d="M0 0H9V9Z"/>'), encoding="utf-8")
    (workshop / "out.svg").symlink_to(tmp_path / "outside.svg")
    if found is None:
        with pytest.raises(
            InputError, match=r"must lie beside this file or maker\.toml, or in a f"
        ):
            read_label(label)
    else:
        logo = read_label(label).logo
        assert logo is not None
        assert logo.samefile(tmp_path / found)
        assert preflight_job(prepare_job(label)).findings


def test_entities_are_refused_before_anything_is_parsed(tmp_path: Path) -> None:
    head = '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;">]>'
    with pytest.raises(InputError, match="document type or entities"):
        read_logo(svg(tmp_path, "<title>&b;</title>", head))


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"GIF89a", "is no logo"),
        (b"", "is no logo"),
        (b"\x89PNG\r\n\x1a\n" + b"\x00" * 40, "cannot be read as a picture"),
        (b"\xff\xd8\xff" + b"\x00" * 40, "cannot be read as a picture"),
    ],
)
def test_a_file_that_is_no_picture_is_told_in_one_line(
    tmp_path: Path, data: bytes, message: str
) -> None:
    path = tmp_path / "logo.png"
    path.write_bytes(data)
    with pytest.raises(InputError, match=message):
        read_logo(path)


def test_a_picture_is_printed_in_its_proportions_and_its_resolution_judged(event: Event) -> None:
    label = with_logo(event, "logo.png")
    png(label.parent / "logo.png", 60, 20)
    job = prepare_job(label)
    (picture,) = job.composed[0].panel.pictures
    assert picture.box.width_mm / picture.box.height_mm == pytest.approx(3.0)
    coarse = [f for f in preflight_job(job).findings if f.rule == "CRAFT-LOGO-RESOLUTION"]
    # Pixels over inches: 25.4 mm to the inch.
    dpi = 60 / (picture.box.width_mm / 25.4)
    assert [f.measured for f in coarse] == ([f"{dpi:.0f}"] if dpi < 300 else [])
    png(label.parent / "logo.png", 1200, 400)
    assert "CRAFT-LOGO-RESOLUTION" not in {
        f.rule for f in preflight_job(prepare_job(label)).findings
    }


@pytest.mark.parametrize("kind", ["png", "svg"])
def test_sheets_with_a_logo_read_back_as_composed(event: Event, tmp_path: Path, kind: str) -> None:
    label = with_logo(event, f"logo.{kind}")
    event(("guests = 60", "guests = 2"))
    if kind == "png":
        png(label.parent / "logo.png", 900, 300)
    else:
        svg(label.parent, '<path d="M0 0H90V30H0Z"/>')
    made = make_sheets_of_file(label, tmp_path / "out")
    assert made.report.verdict == "pass"
    images = [len(page.images) for page in PdfReader(made.files[0]).pages]
    assert len(images) > 0


def test_no_logo_is_asked_for_and_a_layout_without_a_place_says_so(event: Event) -> None:
    assert prepare_job(event()).composed[0].panel.pictures == ()
    label = event(('layout = "lantern"', 'layout = "own.toml"\nlogo = "logo.svg"'))
    svg(label.parent, '<path d="M0 0H90V30H0Z"/>')
    shipped = Path(__file__).resolve().parents[2] / "layouts" / "lantern.toml"
    own = shipped.read_text(encoding="utf-8").replace('picture = "logo"\n', "")
    (label.parent / "own.toml").write_text(own, encoding="utf-8")
    assert "CRAFT-LOGO-PLACE" in {f.rule for f in preflight_job(prepare_job(label)).findings}


# -- tones -----------------------------------------------------------------------------------------


def photograph(low: int = 15, high: int = 240) -> Image.Image:
    """Tones that run into each other, from chosen corners, as in a picture out of focus."""
    corners = Image.new("L", (8, 8))
    corners.putdata([low + (n * n * 37 + n * 11) % (high - low) for n in range(64)])
    return corners.resize((900, 600), Image.Resampling.BICUBIC)


def cut_out() -> Image.Image:
    """A photograph of something on white ground."""
    whole = Image.new("L", (900, 600), "white")
    whole.paste(photograph().resize((480, 400)), (210, 100))
    return whole


def grain() -> Image.Image:
    """Black and white dots by turns, of which a small picture shows their grey alone."""
    dots = Image.new("L", (900, 600))
    dots.putdata([255 * ((x + y) % 2) for y in range(600) for x in range(900)])
    return dots


def drawing() -> Image.Image:
    """Rings and a bar in two flat colours, with smooth edges."""
    large = Image.new("RGB", (3600, 2400), "white")
    pen = ImageDraw.Draw(large)
    for ring in range(5):
        pen.ellipse((300 + ring * 200, 200 + ring * 200, 2300 - ring * 200, 2200 - ring * 200),
                    outline="#203060", width=60)  # fmt: skip
    pen.rectangle((2500, 500, 3300, 1900), fill="#80503c")
    return large.resize((900, 600), Image.Resampling.BOX)


def see_through() -> Image.Image:
    """One dark ink on no ground at all."""
    mark = Image.new("RGBA", (900, 600), (0, 0, 0, 0))
    ImageDraw.Draw(mark).ellipse((150, 50, 650, 550), fill=(20, 40, 20, 255))
    return mark


PHOTO = "The logo is a photograph or the like, of tones that run into each other; at "
BLOCK = "the logo prints as one block of nearly one tone"


@pytest.mark.parametrize("ending", ["png", "jpg"])
@pytest.mark.parametrize(
    ("picture", "told"),
    [
        (photograph(), PHOTO),
        (cut_out(), PHOTO),
        (photograph(118, 138), BLOCK),
        (grain(), BLOCK),
        (Image.new("L", (900, 600), 90), BLOCK),
        (drawing(), ""),
        (see_through(), ""),
    ],
    ids=["photograph", "cut out", "fog", "grain", "plain", "drawing", "see-through"],
)
@pytest.mark.quick(7)
def test_a_picture_that_prints_as_a_grey_block_is_told(
    event: Event, picture: Image.Image, told: str, ending: str
) -> None:
    label = with_logo(event, f"logo.{ending}")
    if ending == "jpg":
        ground = Image.new("RGBA", picture.size, "white")
        ground.alpha_composite(picture.convert("RGBA"))
        picture = ground.convert("RGB")
    picture.save(label.parent / f"logo.{ending}")
    found = [
        f for f in preflight_job(prepare_job(label)).findings if f.rule.startswith("CRAFT-LOGO-")
    ]
    assert [told in finding.message for finding in found] == [True] * bool(told)
    for finding in found:
        assert finding.level is Level.WARN
        assert "in one or two flat, dark colours" in finding.remedy
        assert "logo" in load_finding_words(("CA",), "fr").message(finding)


def test_a_photograph_has_to_be_as_large_as_a_stamp(sample: Path, tmp_path: Path) -> None:
    """On a large label it is seen as one, and only noted."""
    photograph().save(tmp_path / "logo.png")

    facts = prepare_job(sample).facts
    logo = (tmp_path / "logo.png").read_bytes()

    def levels(width_mm: float) -> list[tuple[str, Level]]:
        picture = Picture(logo, (900, 600), Box(0, 0, width_mm, width_mm * 2 / 3))
        panel = Panel("front", 90, 60, pictures=(picture,))
        return [(f.rule, f.level) for f in _check_pictures(panel, facts) if "RESOL" not in f.rule]

    assert levels(29.9) == [("CRAFT-LOGO-PHOTO", Level.WARN)]
    assert levels(30.1) == [("CRAFT-LOGO-PHOTO", Level.NOTE)]


def test_sixteen_bits_of_grey_are_measured_as_eight(tmp_path: Path) -> None:
    shades = Image.new("I;16", (256, 40))
    shades.putdata([x * 257 for _ in range(40) for x in range(256)])
    shades.save(tmp_path / "deep.png")
    tones = measure_tones((tmp_path / "deep.png").read_bytes(), 20.0)
    assert tones.continuous
    assert tones.lightest > 0.9 > 0.1 > tones.darkest
