"""What stands beside the labels of a sheet, and what the maker is told of cutting them."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pdfplumber
import pypdf
import pytest
from command import labelkit

from labelkit.checks.cutting import check_cutting, check_frame
from labelkit.common.errors import InputError
from labelkit.compose.fingerprint import make_job_code
from labelkit.job.prepare import prepare_job
from labelkit.job.sheets import Wish, make_sheets_of_file
from labelkit.model.runs import Box, Ornament, Panel
from labelkit.pdf.read import PlacedPanel, read_panels

Event = Callable[..., Path]
MM = 72 / 25.4


def read_slugs(path: Path, begins: str) -> list[str]:
    """The slug of every page; one a page."""
    pages = [page.extract_text() for page in pypdf.PdfReader(path).pages]
    found = [[line for line in text.splitlines() if line.startswith(begins)] for text in pages]
    assert all(len(lines) == 1 for lines in found)
    return [lines[0] for lines in found]


FEW = ("guests = 60\n", "guests = 12\n")
"""With two spares 14 labels; letter, 215.9 x 279.4 mm, holds 12 of 60 x 60 mm: two sheets."""
LARGE = (
    ('trim = "44 x 28 mm"', 'trim = "60 x 60 mm"'),
    ('package_face = "60 x 45 mm"', 'package_face = "65 x 65 mm"'),
)


def test_every_sheet_says_which_it_is(event: Event, tmp_path: Path) -> None:
    label = event(FEW, *LARGE)
    code = make_job_code(prepare_job(label))
    made = make_sheets_of_file(label, tmp_path)
    for path in made.files:
        for number, slug in enumerate(read_slugs(path, "Order"), start=1):
            assert slug == (
                f"Order {code} · The Lighthouse Supper · {path.stem} · sheet {number} of 2 · lot"
                " LS-2704 · 19 June 2027 · 100\u00a0%"
            )


@pytest.mark.usefixtures("ink_on_trust")
def test_a_slug_is_in_the_makers_language(event: Event, tmp_path: Path) -> None:
    label = event(('languages = ["en", "fr"]', 'languages = ["fr", "en"]'), FEW, *LARGE)
    made = make_sheets_of_file(label, tmp_path)
    slugs = read_slugs(made.files[1], "Commande")
    assert [re.findall(r"dos · feuille (\d) sur 2 · lot LS-2704 · 19 juin 2027", s) for s in slugs]


@pytest.mark.parametrize("drift_mm", [0.5, 0.3])
def test_a_frame_at_a_cut_by_hand_warns(drift_mm: float) -> None:
    def framed(gap_mm: float) -> list[str]:
        frame = Ornament("M0 0L1 0", Box(gap_mm, gap_mm, 44 - gap_mm, 28 - gap_mm), stroke_mm=0.1)
        return [
            finding.rule
            for finding in check_frame(Panel("front", 44, 28, ornaments=(frame,)), drift_mm)
        ]

    assert framed(drift_mm) == ["CRAFT-FRAME-EDGE"]  # half the stroke nearer
    assert framed(drift_mm + 0.06) == []
    assert framed(-0.5) == []  # art that bleeds


@pytest.mark.parametrize(
    ("said", "warns"),
    [("", True), ('cut_drift = "0.3 mm"\n', True), ('cut_drift = "0.2 mm"\n', False)],
)
def test_the_workshop_says_how_true_it_cuts(event: Event, said: str, warns: bool) -> None:
    """A frame 0.25 mm from the edge, half its stroke taken off."""
    event(("[defaults]", f"[defaults]\n{said}"), file="maker.toml")
    job = prepare_job(event(('layout = "lantern"', 'layout = "lantern"\nstock = "letter-plain"')))
    made = job.composed[0]
    frame = Ornament("M0 0L1 0", Box(0.3, 0.3, 43.7, 27.7), stroke_mm=0.1)
    object.__setattr__(made.panel, "ornaments", (*made.panel.ornaments, frame))
    assert bool([*check_cutting(job)]) == warns


def test_a_drift_that_no_cut_has_is_told(event: Event) -> None:
    event(("[defaults]", '[defaults]\ncut_drift = "5 mm"'), file="maker.toml")
    with pytest.raises(InputError, match=r"defaults.cut_drift: .*from 0.1 to 3 mm"):
        prepare_job(event())


@pytest.mark.parametrize(("stock", "warns"), [("letter-plain", True), ("a4-4x8-44x28", False)])
def test_only_a_cut_by_hand_drifts(event: Event, stock: str, warns: bool) -> None:
    job = prepare_job(event(('layout = "lantern"', f'layout = "lantern"\nstock = "{stock}"')))
    made = job.composed[0]
    frame = Ornament("M0 0L1 0", Box(0.3, 0.3, 43.7, 27.7))
    object.__setattr__(made.panel, "ornaments", (*made.panel.ornaments, frame))
    assert bool([*check_cutting(job)]) == warns


# -- everything that is printed is in the maker's language -----------------------------------------

PIECES = '[[piece]]\nkind = "band"\n[[piece]]\nkind = "hang-tag"\n'
PLAIN = ('layout = "lantern"', 'stock = "letter-plain"\nlayout = "lantern"')


def read_margin_words(path: Path) -> set[str]:
    """Every word of a file that stands on none of its labels, and those of its title."""
    words = set(pypdf.PdfReader(path).metadata.title.split())  # type: ignore[union-attr]
    placed = () if path.stem.startswith("cut-guide") else read_panels(path).panels
    with pdfplumber.open(path) as pdf:
        for number, page in enumerate(pdf.pages):
            on = [place for place in placed if place.page == number]
            found = page.extract_words(line_dir_rotated="ltr", char_dir_rotated="btt")
            words |= {
                word["text"]
                for word in found
                if not any(is_on_label(word, place, page.height) for place in on)
            }
    return {word.strip(".,:;()·") for word in words}


def is_on_label(word: dict[str, float], place: PlacedPanel, page_height: float) -> bool:
    width, height = place.panel.width_mm, place.panel.height_mm
    if place.turned:
        width, height = height, width
    x = (word["x0"] + word["x1"]) / 2 / MM - place.x_mm
    y = (float(page_height) - (word["top"] + word["bottom"]) / 2) / MM - place.y_mm
    return 0 <= x <= width and 0 <= y <= height


@pytest.mark.parametrize(
    ("changes", "wish", "told"),
    [
        ((PLAIN,), Wish(), "Empiler"),
        (((*PLAIN[:1], PLAIN[1] + "\n" + PIECES),), Wish(), "Rainer"),
        (
            (PLAIN, ('shape = "rounded"', 'shape = "oval"'), ('corner = "2 mm"\n', "")),
            Wish(),
            "contour",
        ),
        ((), Wish(for_press=True), "étiquette"),
        ((), Wish(two_sided="long"), "côtés"),
    ],
    ids=["plain", "pieces", "oval", "press", "two-sided"],
)
@pytest.mark.quick(1)
@pytest.mark.usefixtures("ink_on_trust")
def test_no_english_is_printed_for_a_french_speaking_maker(
    event: Event,
    tmp_path: Path,
    changes: tuple[tuple[str, str], ...],
    wish: Wish,
    told: str,
) -> None:
    """Beside the labels: none of the words that stand there for an English-speaking maker, but
    for the names of the order and words that both languages have."""
    label = event(*changes, ("guests = 60\n", "guests = 1\n"))
    files = make_sheets_of_file(label, tmp_path / "en", wish).files
    english = {word for file in files for word in read_margin_words(file)}
    event(('languages = ["en", "fr"]', 'languages = ["fr", "en"]'))
    files = make_sheets_of_file(label, tmp_path / "fr", wish).files
    french = {word for file in files for word in read_margin_words(file)}
    names = {"The", "Lighthouse", "Supper"}
    assert any(told in word for word in french)
    assert {word for word in english & french if re.search(r"[^\W\d]", word)} <= {
        *names,
        "lot",
        "LS-2704",
        "mm",
        "guide",
    }


def test_the_calibration_page_is_in_the_makers_language(tmp_path: Path) -> None:
    texts = []
    for language in ("en", "fr"):
        folder = tmp_path / language
        folder.mkdir()
        (folder / "maker.toml").write_text(f'[plan]\nlanguage = "{language}"\n', encoding="utf-8")
        page = folder / "page.pdf"
        maker = folder / "maker.toml"
        done = labelkit("calibrate", "--page", "a4", "--out", page, "--maker", maker)
        assert done.returncode == 0, done.stderr
        texts.append(pypdf.PdfReader(page).pages[0].extract_text())
    english, french = (
        set(re.findall(r"[^\W\d]{2,}", text.partition("printer")[0])) for text in texts
    )
    # What she types is English, and so is the name of the paper.
    typed = {"across", "up", "left", "foot", "edge", "labelkit", "calibrate", "page", "mm"}
    assert "règle" in french
    assert english & french <= typed


@pytest.mark.parametrize(("grain", "told"), [("long", "up and down"), ("short", "side to side")])
def test_the_grain_is_told_where_the_stock_knows_it(
    event: Event, tmp_path: Path, grain: str, told: str
) -> None:
    """On an upright sheet whose labels lie upright."""
    label = event(('layout = "lantern"', 'layout = "lantern"\nstock = "mine.toml"'))
    (label.parent / "mine.toml").write_text(
        'labelkit = 1\ntitle = "Letter"\nkind = "plain"\npage = "8.5 x 11 in"\n'
        f'unprintable = "4.5 mm"\ngrain = "{grain}"\n',
        encoding="utf-8",
    )
    event(("guests = 60\n", "guests = 1\n"))
    done = labelkit("sheet", label, "--out", tmp_path / "out")
    assert done.returncode == 0, done.stderr
    assert told in done.stdout
