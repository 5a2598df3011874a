"""The proof: true sizes for the customer, every height beside its minimum for the maker."""

from __future__ import annotations

import io
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pdfplumber
import pypdf
import pypdfium2
import pytest
from sheet_events import SAMPLE

from labelkit.compose.fingerprint import make_job_code
from labelkit.compose.job import Job
from labelkit.job.prepare import prepare_job
from labelkit.job.proof import (
    CUSTOMER,
    MAKER,
    PNG_DPI,
    Proof,
    choose_captions,
    draw_proof,
    render_png_pages,
)
from labelkit.report.phrasebook import LanguageError

Event = Callable[..., Path]
MM = 72 / 25.4


def customers(job: Job, language: str | None = None) -> bytes:
    return draw_proof(job, language).parts[CUSTOMER]


def makers(job: Job, language: str | None = None) -> bytes:
    return draw_proof(job, language).parts[MAKER]


def pages(data: bytes) -> list[pdfplumber.page.Page]:
    return pdfplumber.open(io.BytesIO(data)).pages


@cache
def page_texts(data: bytes) -> tuple[str, ...]:
    """What stands on each page, as PDFium reads it: in a small part of the time of others."""
    document = pypdfium2.PdfDocument(data)
    return tuple(page.get_textpage().get_text_range().replace("\r\n", "\n") for page in document)


def text(data: bytes) -> str:
    return "\n".join(page_texts(data))


def letter_boxes(page: pypdfium2.PdfPage) -> list[tuple[str, tuple[float, ...]]]:
    """Every visible letter with its left, lower, right and upper edge in points, as PDFium has
    them: as wide as it is set, as high as its face."""
    page_text = page.get_textpage()
    letters = ((n, page_text.get_text_range(n, 1)) for n in range(page_text.count_chars()))
    found = [(letter, page_text.get_charbox(n, loose=True)) for n, letter in letters
             if letter.strip()]  # fmt: skip
    assert found
    return found


@cache
def sample_proof(language: str) -> Proof:
    """That of the sample as it stands, which several tests look at."""
    return draw_proof(prepare_job(SAMPLE / "label.toml"), language)


@pytest.mark.parametrize(
    ("language", "words"),
    [
        (
            "en",
            (
                "Proof",
                "The Lighthouse Supper",
                "Saturday, June 19, 2027",
                "actual size",
                "Signature",
                "66 labels (60 guests + 6 spares)",
            ),
        ),
        (
            "fr",
            (
                "Épreuve",
                "Le Souper du phare",
                "samedi 19 juin 2027",
                "grandeur réelle",
                "Signature",
                "66 étiquettes (60 invités + 6 en réserve)",
            ),
        ),
    ],
)
def test_it_is_in_the_customers_language(language: str, words: tuple[str, ...]) -> None:
    # 19 June 2027 is a Saturday (ISO 8601's calendar); the names of days are CLDR's.
    said = text(sample_proof(language).parts[CUSTOMER])
    for word in words:
        assert word in said


def test_it_goes_by_the_language_of_the_quote(event: Event) -> None:
    """What the files state for plan and quote holds for the proof; what is asked for is first."""
    assert choose_captions(prepare_job(event()), None).language == "en"
    path = event(("[plan]\nscale", '[plan]\nlanguage = "fr"\nscale'), file="maker.toml")
    assert choose_captions(prepare_job(path), None).language == "fr"
    assert choose_captions(prepare_job(path), "en").language == "en"
    event(("[plan]\npieces", '[plan]\nlanguage = "en"\npieces'))
    assert choose_captions(prepare_job(path), None).language == "en"  # of this order


def test_its_words_have_the_apostrophes_of_the_label(event: Event) -> None:
    label = event(
        ("The Lighthouse Supper", "Ada's & Olive's"),
        ("Le Souper du phare", "À la mémoire d'Aurélien"),
        ('place = "Anse-aux-Brumes"', 'place = "L\'Anse"'),
        ("guests = 60", 'guest_list = "guests.csv"'),
    )
    event(("Savonnerie Estran", "Savonnerie d'Estran"), file="maker.toml")
    (label.parent / "guests.csv").write_text("name\nLuc O'Hara\nMia d'Or\n", encoding="utf-8")
    job = prepare_job(label)
    for language in ("en", "fr"):
        said = text(customers(job, language))
        assert "'" not in said
        for words in ("Ada’s", "d’Aurélien", "L’Anse", "d’Estran", "O’Hara", "d’Or"):
            assert words in said


def test_a_language_without_captions_is_refused_in_one_line(sample: Path) -> None:
    with pytest.raises(LanguageError, match="'fi': expected one of en, fr, the languages"):
        draw_proof(prepare_job(sample), "fi")


def test_the_label_is_there_at_actual_size_and_larger(sample: Path) -> None:
    job = prepare_job(sample)
    (net,) = [r for r in job.composed[0].panel.runs if r.element == "net-quantity"]
    first, *others = pages(sample_proof("en").parts[CUSTOMER])
    sizes = sorted(
        char["size"]
        for page in (first, *others)
        for char in page.chars
        if char["text"] == "4" and char["fontname"].endswith(net.face)
    )
    assert sizes[0] == pytest.approx(net.size_pt, abs=0.01)
    assert sizes[-1] > 1.2 * net.size_pt
    # The actual-size die line is as wide as the trim: 44 mm.
    widths = {round((c["x1"] - c["x0"]) / MM, 1) for c in (*first.curves, *first.rects)}
    assert 44.0 in widths


def test_every_height_is_told_beside_its_minimum(sample: Path) -> None:
    job = prepare_job(sample)
    said = text(sample_proof("en").parts[MAKER])
    # CPLR ss. 14 and 15 with a principal display area of at most 32 cm2: 1.6 mm (from memory).
    assert "net weight, figures" in said
    assert said.count("1.6 mm") >= 3
    for run in job.composed[1].panel.runs:
        if run.element == "ingredients":
            assert f"{run.letters.small_o_mm:.2f} mm" in said
            break


def test_the_order_of_the_ingredients_and_the_fit_are_told(sample: Path) -> None:
    job = prepare_job(sample)
    said = text(sample_proof("en").parts[MAKER])
    places = [
        said.find(line.name, said.find("Order of the ingredients"))
        for line in job.declaration.lines
    ]
    assert -1 not in places
    assert places == sorted(places)
    assert "How it was fitted" in said
    assert "gaps at" in said


@pytest.mark.parametrize("trim", ["120 x 90 mm", "30 x 60 mm", "62 x 62 mm"])
@pytest.mark.quick(2)
def test_a_large_or_tall_label_finds_room_on_more_pages(event: Event, trim: str) -> None:
    label = event(('trim = "44 x 28 mm"', f'trim = "{trim}"'), ("60 x 45 mm", "130 x 24 mm"))
    for data in draw_proof(prepare_job(label), "en").parts.values():
        for page in pypdfium2.PdfDocument(data):
            for letter, (left, bottom, right, top) in letter_boxes(page):
                assert 0 < left < right < page.get_width(), letter
                assert 0 < bottom < top < page.get_height(), letter


def test_what_has_no_room_above_the_signature_goes_to_the_next_page(event: Event) -> None:
    label = event(('trim = "44 x 28 mm"', 'trim = "60 x 85 mm"'), ("60 x 45 mm", "80 x 90 mm"))
    first, *rest = page_texts(customers(prepare_job(label), "en"))
    assert "As it will look" in first and "Signature" in first
    assert "enlarged" not in first
    (second,) = (said for said in rest if "Back, actual size" in said)
    (third,) = (said for said in rest if "Front, enlarged" in said)
    assert "Back, enlarged" in third
    assert rest.index(second) <= rest.index(third)


@pytest.mark.parametrize("trim", ["44 x 28 mm", "60 x 100 mm", "60 x 40 mm"])
@pytest.mark.quick(2)
def test_a_part_of_a_proof_stays_together(event: Event, trim: str) -> None:
    """Each title with all that is below it, where a page holds it."""
    job = prepare_job(event(('trim = "44 x 28 mm"', f'trim = "{trim}"')))
    sheet = page_texts(makers(job, "en"))
    (page,) = (said for said in sheet if "Order of the ingredients" in said)
    assert all(line.name in page for line in job.declaration.lines)
    (page,) = (said for said in sheet if "Preflight:" in said)
    assert "not legal advice" in page


def test_the_first_guest_stands_on_it(event: Event) -> None:
    label = event(("guests = 60", 'guest_list = "guests.csv"'))
    (label.parent / "guests.csv").write_text("name\nZoë Thériault\nLuc\n", encoding="utf-8")
    first = page_texts(customers(prepare_job(label), "en"))[0]
    # The longer name of the two stands first; the list of all comes after the page.
    assert "Shown is the first name, Zoë Thériault, the tightest of 2 names." in first
    assert "Luc" not in first


def test_the_name_fitted_hardest_stands_on_the_enlarged_label(event: Event) -> None:
    label = event(("guests = 60", 'guest_list = "guests.csv"'))
    long = "Alexandrina Wilhelmina Featherstone-Oakley"
    (label.parent / "guests.csv").write_text(f"name\nLuc\n{long}\nMia\n", encoding="utf-8")
    job = prepare_job(label)
    for language, said in (
        ("en", f"the first name, Luc; enlarged, the tightest of 3 names, {long}."),
        ("fr", f"le premier nom, Luc ; agrandi : le plus serré des 3 noms, {long}."),
    ):
        first, second, *_ = (
            page.replace("\u202f", " ") for page in page_texts(customers(job, language))
        )
        assert said in first
        # On the wrapped piece, at actual size, and in the sentence.
        assert first.count("Luc") == 3
        assert first.count(long) == 1 <= second.count(long)
        assert "Luc" not in second.partition(long)[0]
        assert "Mia" not in first


def test_one_guest_needs_no_choice(event: Event) -> None:
    label = event(("guests = 60", 'guest_list = "guests.csv"'))
    (label.parent / "guests.csv").write_text("name\nLuc\n", encoding="utf-8")
    first = page_texts(customers(prepare_job(label), "en"))[0]
    assert first.count("Luc") == 2  # at actual size and enlarged
    assert "tightest" not in first


def test_the_same_label_gives_the_same_bytes_and_pictures_at_600_dpi(sample: Path) -> None:
    first, second = sample_proof("en"), draw_proof(prepare_job(sample), "en")
    assert first.parts == second.parts
    data = first.parts[CUSTOMER]
    assert len(render_png_pages(data, Path(), "proof", 20)) == len(pages(data))
    writer = pypdf.PdfWriter()
    writer.add_page(pypdf.PdfReader(io.BytesIO(data)).pages[-1])
    one = io.BytesIO()
    writer.write(one)
    made = render_png_pages(one.getvalue(), Path(), "proof", PNG_DPI)
    from PIL import Image

    with Image.open(io.BytesIO(next(iter(made.values())))) as image:
        # Letter is 8.5 x 11 in: 5100 x 6600 pixels at 600 dpi.
        assert image.size == pytest.approx((5100, 6600), abs=2)
        assert image.info["dpi"] == pytest.approx((600, 600), abs=1)


def test_every_guests_name_stands_on_it_to_be_checked(event: Event) -> None:
    label = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    names = [f"Guest {letter * 3} {number}" for number in range(30) for letter in "AB"]
    (label.parent / "guests.csv").write_text("name\n" + "\n".join(names), encoding="utf-8")
    said = text(customers(prepare_job(label)))
    assert "Names to check (60)" in said
    assert all(name in said for name in names)


def test_a_pictures_white_shows_the_ground_on_clear_stock(event: Event) -> None:
    """No white ink is printed: the proof must not promise it (common practice, no source)."""
    from PIL import Image

    label = event(
        ("[label]\n", '[label]\nstock = "letter-plain-clear"\nlogo = "logo.png"\n'),
        ('soap_colour = "#e9c98f"', 'soap_colour = "#e6c87a"'),
        ('trim = "44 x 28 mm"', 'trim = "58 x 40 mm"'),
    )
    picture = Image.new("RGB", (600, 600), "white")
    picture.paste((20, 20, 120), (0, 0, 600, 300))
    picture.save(label.parent / "logo.png")
    job = prepare_job(label)
    data = customers(job)
    (logo, *_) = [p for c in job.composed for p in c.panel.pictures]
    image = next(img for img in pages(data)[0].images if img["width"] > 1)
    page = pypdfium2.PdfDocument(data)[0]
    bitmap = page.render(scale=4).to_pil().convert("RGB")
    middle = (image["x0"] + image["x1"]) / 2 * 4
    white = bitmap.getpixel((int(middle), int((image["bottom"] - 0.5) * 4)))
    blue = bitmap.getpixel((int(middle), int((image["top"] + 0.5) * 4)))
    assert logo.box.width_mm > 0
    assert white == pytest.approx((0xE6, 0xC8, 0x7A), abs=3)
    # Multiplied: each channel of (20, 20, 120) times the ground's share of white.
    assert blue == pytest.approx((20 * 0xE6 / 255, 20 * 0xC8 / 255, 120 * 0x7A / 255), abs=4)


def test_the_smallest_guests_name_is_measured_and_the_list_stays_on_the_page(event: Event) -> None:
    label = event(("guests = 60", 'guest_list = "guests.csv"'))
    long = "Alexandrina Wilhelmina Featherstone-Oakley"
    (label.parent / "guests.csv").write_text(f"name\nLuc\nZoë\n{long}\n", encoding="utf-8")
    job = prepare_job(label)
    data = makers(job)
    smallest = min(run.size_pt for runs in job.guest_runs["front"].values() for run in runs)
    run = job.guest_runs["front"][long][0]
    assert run.size_pt == smallest
    said = text(data)
    rows = [line for line in said.splitlines() if line.startswith("Front, guest ")]
    assert rows
    assert f"{run.letters.small_o_mm:.2f} mm" in rows[0]
    for page in pypdfium2.PdfDocument(data):
        rightmost = max(right for _, (_, _, right, _) in letter_boxes(page))
        assert rightmost <= page.get_width() - 8 * MM


SAMPLES = sorted((Path(__file__).resolve().parents[2] / "samples").glob("*/label.toml"))


@pytest.mark.parametrize("label", SAMPLES, ids=[path.parent.name for path in SAMPLES])
@pytest.mark.quick(2)
def test_the_customers_part_holds_nothing_of_the_workshop(label: Path) -> None:
    job = prepare_job(label)
    proof = draw_proof(job, "en")
    said = text(proof.parts[CUSTOMER])
    kept = text(proof.parts[MAKER])
    assert proof.report.findings
    for finding in proof.report.findings:
        assert finding.rule not in said and finding.rule in kept
    for line in job.declaration.lines:
        grams = f"{round(line.mass_g, 2)} g"
        assert grams not in said and grams in kept
    for words in ("Preflight", "memory", "law’s least", "advice"):
        assert words not in said and words in kept


def test_how_letters_are_measured_is_for_the_maker_alone() -> None:
    parts = sample_proof("fr").parts
    assert "petit o" in text(parts[MAKER])
    assert "petit o" not in text(parts[CUSTOMER])


def test_every_page_says_which_order_it_is_of(event: Event) -> None:
    label = event(("guests = 60", 'guest_list = "guests.csv"'))
    (label.parent / "guests.csv").write_text("name\nLuc\nMia\n", encoding="utf-8")
    job = prepare_job(label)
    proof = draw_proof(job, "en")
    code = make_job_code(job)
    for data in proof.parts.values():
        assert pypdf.PdfReader(io.BytesIO(data)).metadata["/Keywords"] == f"order {code}"
        for said in page_texts(data):
            assert f"Order {code}" in said
    first, second = page_texts(proof.parts[CUSTOMER])
    assert f"I approve {code}." in first
    assert "Names to check (2)" in second


@pytest.mark.usefixtures("no_ways_out")
def test_of_a_label_that_cannot_be_set_the_maker_learns_why(event: Event) -> None:
    label = event(('trim = "44 x 28 mm"', 'trim = "24 x 14 mm"'))
    proof = draw_proof(prepare_job(label), "en")
    assert list(proof.parts) == [MAKER]
    said = text(proof.parts[MAKER])
    assert "LABELKIT-FIT (Front)" in said or "LABELKIT-FIT (front)" in said
    assert "a larger trim" in said


@pytest.mark.usefixtures("no_ways_out")
def test_a_panel_that_can_be_set_is_shown_beside_the_reasons(event: Event) -> None:
    """The back alone is too full: the front stands there all the same."""
    name = "Savonnerie artisanale de la Pointe aux Brumes et des Sept Anses du Nord " * 4
    label = event()
    event(("Savonnerie Estran", name.strip()), file="maker.toml")
    proof = draw_proof(prepare_job(label), "en")
    said = text(proof.parts[MAKER])
    assert "LABELKIT-FIT" in said and list(proof.parts) == [MAKER]
    assert "Front, enlarged" in said
    assert "Back, enlarged" not in said
