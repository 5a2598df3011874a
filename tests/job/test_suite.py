"""A suite from one order: band, tag, cards and lid of one design, read back from their sheets.

Sizes are worked out by hand beside each check. CPLR: Consumer Packaging and Labelling Regulations,
C.R.C., c. 417; CR: Cosmetic Regulations, C.R.C., c. 869; Charter: CQLR c. C-11.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pdfplumber
import pytest
from pypdf import PdfReader
from sample_copies import copy_sample

from labelkit.common.errors import InputError
from labelkit.compose.fingerprint import make_job_code
from labelkit.compose.job import Job
from labelkit.compose.suite import ComposedPiece, is_memorial
from labelkit.job.examine import examine_label
from labelkit.job.prepare import job_from_order, preflight_job, prepare_job
from labelkit.job.proof import MAKER, draw_proof
from labelkit.job.sheets import MadeSheets, Wish, make_sheets_of_file
from labelkit.job.suite_checks import check_suite
from labelkit.model.runs import Box, Panel, list_element_texts
from labelkit.order.layout import read_layout
from labelkit.order.order import read_order
from labelkit.order.pieces import find_usual_text, list_piece_kinds
from labelkit.pdf.read import PlacedPanel, read_panels
from labelkit.plan.order_plan import make_plan

Event = Callable[..., Path]
LAYOUTS = Path(__file__).resolve().parents[2] / "layouts"
SUITE = LAYOUTS.parent / "samples" / "bayside-vows" / "label.toml"
MM = 72 / 25.4
TAIL = "[plan.quote]"
"""Of the sample's label.toml, before which pieces are put."""
ALL = "".join(f'[[piece]]\nkind = "{kind}"\n' for kind in list_piece_kinds())
UNNAMED = ALL.replace('[[piece]]\nkind = "place-card"\n', "")
LAYOUT = 'layout = "lantern"'
SMALL_TEXT = ("date", "place", "scent", "identity", "ingredients", "dealer", "contact", "lot")
FEW = ("guests = 60\n", "guests = 1\n")
NAMES = ("Zoë Babin", "Ève Savoie", "Łucja Wróblewska")


def order_suite(event: Event, pieces: str, *changes: tuple[str, str]) -> Path:
    return event((TAIL, f"{pieces}\n{TAIL}"), *changes)


def with_guests(event: Event, pieces: str, *changes: tuple[str, str]) -> Path:
    label = order_suite(event, pieces, ("guests = 60\n", 'guest_list = "guests.csv"\n'), *changes)
    (label.parent / "guests.csv").write_text("\n".join(["name", *NAMES, ""]), "utf-8")
    return label


def compose(label: Path) -> Mapping[str, ComposedPiece]:
    return {one.piece.kind: one for one in prepare_job(label).fitting_pieces}


@pytest.fixture(scope="module")
def suite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample of a whole suite, for one guest of its list: one of each piece."""
    samples = copy_sample(SUITE.parents[1], tmp_path_factory.mktemp("suite") / "samples")
    label = samples / SUITE.parent.name / SUITE.name
    text = label.read_text("utf-8").replace("spares = 2", "spares = 0")
    label.write_text(text.replace("copies = 4", "copies = 1"), "utf-8")
    guests = label.with_name("guests.csv")
    guests.write_text("".join(guests.read_text("utf-8").splitlines(keepends=True)[:2]), "utf-8")
    return label


@pytest.fixture(scope="module")
def made_suite(suite: Path, tmp_path_factory: pytest.TempPathFactory) -> MadeSheets:
    return make_sheets_of_file(suite, tmp_path_factory.mktemp("suite") / "sheets")


def make_box(place: PlacedPanel) -> Box:
    """Where a piece that is not turned stands on its page."""
    assert place.turns == 0
    x, y, panel = place.x_mm, place.y_mm, place.panel
    return Box(x, y, x + panel.width_mm, y + panel.height_mm)


def read_first(made: MadeSheets) -> dict[str, Panel]:
    """The first label of every sheet file, as a reader finds it."""
    return {
        file.stem: read_panels(file).panels[0].panel
        for file in made.files
        if not file.stem.startswith("cut-guide")
    }


def job_wholes(job: Job) -> list[Panel]:
    return [one.whole.panel for one in job.fitting_pieces]


def describe_setting(panel: Panel, element: str) -> set[tuple[str, str, str]]:
    """Face, ink and casing in which an element stands on a panel."""
    return {
        (run.face, run.colour, "capitals" if run.text.isupper() else "as written")
        for run in panel.runs
        if run.element == element and re.search(r"[^\W\d_]{2}", run.text)
    }


def list_sizes_pt(panels: Iterable[Panel], element: str) -> set[float]:
    return {
        round(run.size_pt, 2) for panel in panels for run in panel.runs if run.element == element
    }


def assert_in_steps(panels: Mapping[str, Panel]) -> None:
    """Every kind of small text is in one size on label, band and tag, and elsewhere in that or in
    steps of 4 : 3 from it. The largest type and the net quantity, whose height the law sets by the
    size of what carries it, are left out."""
    near = [panels[name] for name in ("front", "back", "band", "hang-tag")]
    for element in SMALL_TEXT:
        (size,) = list_sizes_pt(near, element) or {0.0}
        for other in list_sizes_pt(panels.values(), element) if size else ():
            steps = math.log(other / size, 4 / 3)
            assert abs(steps - round(steps)) < 0.01, (element, size, other)


def assert_alike(panels: Iterable[Panel]) -> None:
    """Every element is in one face, ink and casing, wherever it stands."""
    found: dict[str, set[tuple[str, str, str]]] = {}
    for panel in panels:
        for element in {run.element for run in panel.runs} - {"separator"}:
            found.setdefault(element, set()).update(describe_setting(panel, element))
    casing = {e: {one[2] for one in settings} for e, settings in found.items()}
    assert {e: c for e, c in casing.items() if len(c) > 1} == {}
    for element in ("names", "thanks", *SMALL_TEXT):
        faces = {one[:2] for one in found.get(element, ())}
        if element != "names":  # only names are bound to one width (labelkit.compose.suite)
            faces = {(face.replace("Condensed", ""), ink) for face, ink in faces}
        assert len(faces) <= 1, (element, found[element])


# -- one design ------------------------------------------------------------------------------------


@pytest.mark.parametrize("layout", ["lantern", "ledger", "stillwater"])
@pytest.mark.quick(1)
def test_all_pieces_are_of_one_design(event: Event, tmp_path: Path, layout: str) -> None:
    label = with_guests(event, ALL, (LAYOUT, f'layout = "{layout}"\naccent = "plum"'))
    made = make_sheets_of_file(label, tmp_path / "sheets")
    read = read_first(made)
    assert set(read) == {"front", "back", *list_piece_kinds()}
    assert_alike(read.values())
    assert_in_steps(read)


@pytest.mark.long
@pytest.mark.parametrize("layout", sorted(path.stem for path in LAYOUTS.glob("*.toml")))
def test_in_every_layout(event: Event, tmp_path: Path, layout: str) -> None:
    label = with_guests(event, ALL, (LAYOUT, f'layout = "{layout}"'))
    made = make_sheets_of_file(label, tmp_path / "sheets")
    assert [f for f in made.report.findings if f.level == "fail"] == []
    read = read_first(made)
    assert_alike(read.values())
    assert_in_steps(read)


def test_the_ornament_is_the_same_plant(event: Event) -> None:
    """It grows from the order's seed: on every piece the same, but for its size and place."""
    label = order_suite(event, UNNAMED, (LAYOUT, 'layout = "bayleaf"'))
    job = prepare_job(label)
    shapes = {
        tuple(re.findall("[A-Z]", one.path))
        for panel in (job.fitting[0].panel, compose(label)["thank-you-card"].whole.panel)
        for one in panel.ornaments
        if one.filled
    }
    assert len(shapes) == 1


def list_leaf_shapes(file: Path, ink: str) -> set[float]:
    """The shorter over the longer side of all that is drawn in an ink on a file's first page, as
    another reader finds it: the same in any size and on a turned sheet."""
    colour = tuple(int(ink[at : at + 2], 16) / 255 for at in (1, 3, 5))
    with pdfplumber.open(file) as pdf:
        drawn = [
            (curve["width"], curve["height"])
            for curve in pdf.pages[0].curves
            if curve["fill"] and curve["non_stroking_color"] == pytest.approx(colour, abs=0.001)
        ]
    return {round(min(sides) / max(sides), 2) for sides in drawn}


def test_the_sheets_show_the_same_plant(suite: Path, made_suite: MadeSheets) -> None:
    """Leaf by leaf in the accent's ink; the band also carries the back's, which is another."""
    _, accent = prepare_job(suite).inks
    shapes = {file.stem: list_leaf_shapes(file, accent) for file in made_suite.files}
    assert len(shapes["front"]) > 8
    for kind in ("hang-tag", "thank-you-card", "place-card", "box-lid"):
        assert shapes[kind] == shapes["front"], kind
    assert shapes["front"] | shapes["back"] == shapes["band"]


@pytest.mark.parametrize("layout", sorted(path.stem for path in LAYOUTS.glob("*.toml")))
@pytest.mark.quick(4)
def test_front_and_back_are_of_one_design(sample: Path, layout: str) -> None:
    """What stands on both has one casing and face; the back shows no other plant than the front."""
    order = read_order(sample)
    design = read_layout(LAYOUTS / f"{layout}.toml")
    words = {"identity": order.spec.product.identity, "brand": {"": "Estran"}}
    back = replace(order.spec.back, words={**order.spec.back.words, **words})
    front = replace(order.spec.front, words={**order.spec.front.words, "brand": {"": "Estran"}})
    trim = replace(order.spec.trim, width_mm=60.0, height_mm=60.0)
    spec = replace(order.spec, back=back, front=front, trim=trim)
    job = job_from_order(replace(order, layout=design, spec=spec))
    one, other = (composed.panel for composed in job.composed)
    for element in ("identity", "brand"):
        assert describe_setting(one, element) == describe_setting(other, element) != set()
    grown = {name: o.growth for name, o in design.ornaments.items() if o.growth}
    shown = {
        side: {
            grown[name].leaf
            for name in (
                *(block.ornament for block in plan.blocks),
                *(block.beside for block in plan.blocks),
                *(art.ornament for art in plan.art),
                *(pattern.ornament for pattern in plan.patterns),
            )
            if name in grown and grown[name].kind in ("garland", "stem", "sprig", "blossom")
        }
        | {around.leaf for around in plan.surrounds if around.kind in ("wreath", "vine")}
        for side, plan in (("front", design.panel("front")), ("back", design.panel("back")))
    }
    assert shown["back"] <= shown["front"]


def test_where_one_has_no_room_all_are_set_otherwise(
    event: Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Label and pieces take the next casing and width together."""
    label = order_suite(event, UNNAMED)
    liked = replace(prepare_job(label).settings, sizes={})
    monkeypatch.setattr(Job, "_has_room_for", lambda _, settings: settings != liked)
    job = prepare_job(label)
    assert job.settings.cases["identity"] == "as-written" != liked.cases["identity"]
    panels = [*(one.panel for one in job.fitting), *job_wholes(job)]
    assert_alike(panels)
    assert {one[2] for one in describe_setting(panels[0], "identity")} == {"as written"}


def test_small_text_is_larger_by_whole_steps_on_what_is_larger(made_suite: MadeSheets) -> None:
    """The lid, √(66 × 50 / (50 × 32)) = 1.44 times the label, has room for one step of 4 : 3. The
    card is 1.96 times as large but grows 1.45 times less: 1.35. Band and tag have none."""
    read = read_first(made_suite)
    (text,) = list_sizes_pt([read["front"]], "date")
    for kind, steps in {"band": 0, "hang-tag": 0, "thank-you-card": 1, "box-lid": 1}.items():
        (size,) = list_sizes_pt([read[kind]], "date")
        assert size == pytest.approx(text * (4 / 3) ** steps, abs=0.02), kind
    assert_in_steps(read)


@pytest.mark.parametrize("size", ["24 x 30 mm", "18 x 40 mm"])
def test_a_small_tag_takes_less_than_a_step_from_the_label(event: Event, size: str) -> None:
    """And is made all the same, with smaller steps of its own where it has to."""
    tag = f'[[piece]]\nkind = "hang-tag"\nsize = "{size}"\n'
    label = order_suite(event, tag)
    job = prepare_job(label)
    together = [one.panel for one in job.fitting]
    assert len(job.fitting_pieces) == 1
    label.write_text(label.read_text("utf-8").replace(tag, ""), "utf-8")
    job = prepare_job(label)
    alone = [one.panel for one in job.fitting]
    assert job.settings.sizes == {}
    for element in SMALL_TEXT:
        (with_tag,), (without,) = (list_sizes_pt(panels, element) for panels in (together, alone))
        assert without * 3 / 4 < with_tag <= without


# -- sizes, folds, holes ---------------------------------------------------------------------------


def test_a_band_goes_once_round_the_soap(event: Event) -> None:
    """2 × (60 + 22) + 15 mm long, as high as the label."""
    (band,) = prepare_job(
        order_suite(event, '[[piece]]\nkind = "band"\nthick = "22 mm"\n')
    ).spec.pieces
    assert (band.width_mm, band.height_mm) == (179.0, 28.0)
    assert [fold.at_mm for fold in band.folds] == [60.0, 82.0, 142.0, 164.0]
    assert all(fold.upright for fold in band.folds)


def test_thickness_follows_from_weight_and_cut(event: Event) -> None:
    spec = prepare_job(order_suite(event, '[[piece]]\nkind = "band"\n')).spec
    making, (band,) = spec.plan.making, spec.pieces
    assert making.mould is not None
    cut_mm2 = making.mould.width_mm * making.mould.fill_mm / making.pieces_per_bar
    exact = 1000 * spec.product.net_weight_g / making.density_g_ml / cut_mm2
    thick = band.folds[1].at_mm - band.folds[0].at_mm
    assert 0 <= thick - float(exact) < 0.5


def test_folds_are_marked_outside_the_pieces(event: Event, tmp_path: Path) -> None:
    label = order_suite(event, '[[piece]]\nkind = "band"\nthick = "22 mm"\n', FEW)
    made = make_sheets_of_file(label, tmp_path / "sheets")
    file = next(file for file in made.files if file.stem == "band")
    places = read_panels(file).panels
    with pdfplumber.open(file) as pdf:
        page = pdf.pages[0]
        lines = [
            (line["x0"] / MM, line["top"] / MM, line["bottom"] / MM)
            for line in page.lines
            if abs(line["x1"] - line["x0"]) < 0.01 and line["bottom"] - line["top"] < 1.0 * MM
        ]
        height = page.height / MM
    boxes = [make_box(place) for place in places if place.page == 0]
    left = min(box.x0_mm for box in boxes)
    for at in (60.0, 82.0, 142.0, 164.0):
        marks = [line for line in lines if abs(line[0] - left - at) < 0.05]
        assert len(marks) >= 4  # two broken marks at either end
        for _, top, bottom in marks:
            high, low = height - top, height - bottom
            assert not any(box.y0_mm < high and low < box.y1_mm for box in boxes)


@pytest.mark.parametrize("folded", ["true", "false"])
def test_a_hole_keeps_clear_of_words(event: Event, folded: str) -> None:
    tag = compose(order_suite(event, f'[[piece]]\nkind = "hang-tag"\nfolded = {folded}\n'))[
        "hang-tag"
    ]
    assert len(tag.piece.holes) == (2 if folded == "true" else 1)
    for x, y in tag.piece.holes:
        reach = tag.piece.hole_mm / 2 + 1.0
        for run in tag.whole.panel.runs:
            ink = run.ink
            assert not (
                ink.x0_mm < x + reach
                and x - reach < ink.x1_mm
                and ink.y0_mm < y + reach
                and y - reach < ink.y1_mm
            )
    if folded == "true":  # one punch goes through both leaves: they mirror each other at the fold
        (first, _), (second, _) = tag.piece.holes
        assert first + second == 2 * tag.piece.folds[0].at_mm


def test_nothing_written_lies_over_a_fold(event: Event) -> None:
    for made in compose(with_guests(event, ALL)).values():
        for fold in made.piece.folds:
            for run in made.whole.panel.runs:
                low, high = (
                    (run.ink.x0_mm, run.ink.x1_mm)
                    if fold.upright
                    else (run.ink.y0_mm, run.ink.y1_mm)
                )
                assert high < fold.at_mm or fold.at_mm < low


def test_labels_of_film_do_not_make_cards_of_film(event: Event) -> None:
    label = with_guests(
        event,
        ALL,
        ('trim = "44 x 28 mm"', 'trim = "44 x 28 mm"\nstock = "letter-4x5-square-46-clear"'),
    )
    job = prepare_job(label)
    assert {job.print_run(kind).stock.material for kind in list_piece_kinds()} == {"paper"}
    assert not job.facts.clear_on("band")


# -- what the law reads ----------------------------------------------------------------------------


def fails(job: Job, printed: Iterable[Panel] = ()) -> set[str]:
    found = check_suite(job, preflight_job(job).findings, printed)
    return {one.element for one in found if one.level == "fail" and one.panel == "band"}


def test_a_band_over_the_label_says_all_that_the_label_does(event: Event) -> None:
    job = prepare_job(order_suite(event, '[[piece]]\nkind = "band"\n'))
    band = job.fitting_pieces[0].whole.panel
    for element in ("identity", "net-quantity", "ingredients", "dealer", "contact"):
        assert list_element_texts(band, element), element
    assert fails(job) == set()
    # CR s. 21.2(1): the list on the outer label. CPLA s. 10: the dealer on the container.
    for element in ("ingredients", "dealer", "net-quantity"):
        bare = replace(band, runs=tuple(run for run in band.runs if run.element != element))
        assert element in fails(job, [bare])


def test_a_band_that_lets_the_label_be_seen_need_not(event: Event) -> None:
    job = prepare_job(order_suite(event, '[[piece]]\nkind = "band"\nhides_label = false\n'))
    panel = job.fitting_pieces[0].whole.panel
    assert {run.element for run in panel.runs} - {"separator"} == {"names", "date"}
    assert fails(job) == set()


def test_a_lid_has_the_figures_that_its_own_face_asks_for(event: Event) -> None:
    """CPLR s. 14(2), Schedule: figures of 1.6 mm on up to 32 cm², of 3.2 mm on up to 258 cm²."""
    for size, least in (("60 x 50 mm", 1.6), ("70 x 60 mm", 3.2)):
        lid = f'[[piece]]\nkind = "box-lid"\nsize = "{size}"\n'
        label = event((TAIL, f"{lid}\n{TAIL}"))
        made = compose(label)["box-lid"]
        label.write_text(label.read_text("utf-8").replace(lid, ""), "utf-8")
        (run,) = (r for r in made.whole.panel.runs if r.element == "net-quantity")
        assert run.letters.figure_mm is not None
        assert run.letters.figure_mm >= least - 0.01
        assert least == 3.2 or run.letters.figure_mm < 3.2


def test_the_makers_proof_measures_every_piece_against_the_floors(
    suite: Path, made_suite: MadeSheets
) -> None:
    """Each row as the sheet prints it, beside it what the law asks: figures of 1.6 mm on a face of
    62 x 46 mm, of 3.2 mm on a lid of more than 32 cm² (CPLR s. 14(2)); letters of 1.6 mm (s. 15).
    """
    sheets = read_first(made_suite)
    data = draw_proof(prepare_job(suite), "en").parts[MAKER]
    lines = [
        " ".join(line.replace("\u202f", " ").replace("\xa0", " ").split())
        for page in PdfReader(io.BytesIO(data)).pages
        for line in page.extract_text().splitlines()
    ]
    told = {
        "band": ("Band", "net weight", "net-quantity", "1.6 mm"),
        "box-lid": ("Box lid", "net weight", "net-quantity", "3.2 mm"),
        "thank-you-card": ("Card", "place", "place", "–"),
        "hang-tag": ("Hang tag", "names", "names", "–"),
    }
    for kind, (name, words, element, least) in told.items():
        (row,) = (line for line in lines if line.startswith(f"{name}, {words} "))
        runs = [run for run in sheets[kind].runs if run.element == element]
        letters = min((run.letters for run in runs), key=lambda one: one.capital_mm or 0.0)
        heights = (letters.capital_mm, letters.small_o_mm)
        shown = re.findall(r"\d+\.\d+", row.removeprefix(f"{name}, {words} "))
        assert [float(one) for one in shown[:2]] == pytest.approx(heights, abs=0.011)
        assert row.endswith(least)
    for kind, name in {"band": "Band", "box-lid": "Box lid"}.items():
        (row,) = (line for line in lines if line.startswith(f"{name}, name and address "))
        assert row.endswith("1.6 mm"), kind
    fits = [line.split(":")[0] for line in lines if " pt" in line]
    assert fits == ["Front", "Back", "Band, front", "Band, back", "Hang tag", "Hang tag", "Card",
                    "Place card", "Box lid, front", "Box lid, back"]  # fmt: skip


def test_what_was_not_found_is_said(event: Event) -> None:
    label = order_suite(
        event, '[[piece]]\nkind = "band"\n', ("[label]", '[label]\nregions = ["US"]')
    )
    found = preflight_job(prepare_job(label)).findings
    notes = [one for one in found if one.rule == "LABELKIT-OVER-LABEL"]
    assert [one.region for one in notes if one.level == "note"] == ["US"]


def test_a_card_with_the_product_in_quebec_speaks_french(event: Event) -> None:
    """Charter s. 51: it also holds for what comes with the product."""
    card = '[[piece]]\nkind = "thank-you-card"\ntext = {text}\n'
    quebec = ("[label]", '[label]\nregions = ["CA-QC"]')
    french = ('languages = ["en", "fr"]', 'languages = ["fr", "en"]')
    label = order_suite(event, card.format(text='{ en = "Until we meet again" }'), quebec, french)
    rules = {
        one.rule for one in preflight_job(prepare_job(label)).findings
        if one.panel == "thank-you-card" and one.level == "fail"
    }  # fmt: skip
    assert "CA-QC-FRENCH" in rules
    both = card.format(text='{ en = "Until we meet again", fr = "Au plaisir de vous revoir" }')
    label.write_text(
        label.read_text("utf-8").replace(card.format(text='{ en = "Until we meet again" }'), both),
        "utf-8",
    )
    again = preflight_job(prepare_job(label)).findings
    assert [one for one in again if one.panel == "thank-you-card" and one.level == "fail"] == []


def test_a_finished_band_is_preflighted(event: Event, tmp_path: Path) -> None:
    label = order_suite(event, '[[piece]]\nkind = "band"\n[[piece]]\nkind = "hang-tag"\n', FEW)
    made = make_sheets_of_file(label, tmp_path / "sheets")
    assert examine_label(label, pdfs=made.files).report.verdict == "pass"
    label.write_text(label.read_text("utf-8").replace("The Lighthouse", "The Lightship"), "utf-8")
    found = examine_label(label, pdfs=made.files).report.findings
    assert {"band", "hang-tag"} <= {one.panel for one in found if one.rule == "LABELKIT-AS-SPEC"}


# -- names, words ----------------------------------------------------------------------------------


def test_each_place_card_carries_a_guests_name(event: Event, tmp_path: Path) -> None:
    label = with_guests(event, '[[piece]]\nkind = "place-card"\n')
    made = make_sheets_of_file(label, tmp_path / "sheets")
    file = next(file for file in made.files if file.stem == "place-card")
    names = [
        " ".join(text.text for text in list_element_texts(place.panel, "guest"))
        for place in sorted(read_panels(file).panels, key=lambda place: place.label)
    ]
    assert names[: len(NAMES)] == list(NAMES)
    assert set(names[len(NAMES) :]) <= {""}  # spares, to write on


def test_some_guests_get_their_cards_alone(event: Event, tmp_path: Path) -> None:
    label = with_guests(event, ALL)
    made = make_sheets_of_file(label, tmp_path / "sheets", Wish(guests=("Ève Savoie",)))
    # In this layout the front carries the name, and so do the band and the lid that lie over it.
    named = {"front", "back", "place-card", "band", "box-lid"}
    assert {file.stem for file in made.files} == named


JOY = re.compile(
    r"\b(thank|merci|remerci|joy|joie|celebrat|fête|happy|heureu|tack\b|kiit|danke\b|dank\b)", re.I
)
"""Thanks and joy in the languages there are."""


@pytest.mark.parametrize("kind", ["hang-tag", "thank-you-card"])
def test_words_are_there_in_both_languages(kind: str) -> None:
    usual, quiet = find_usual_text(kind, False), find_usual_text(kind, True)
    assert {"en", "fr"} <= set(usual)
    assert set(usual) == set(quiet)
    for said in quiet.values():
        assert not JOY.search(said)
    assert all(JOY.search(said) for said in usual.values())


@pytest.mark.parametrize(
    ("change", "memorial"),
    [
        ((LAYOUT, 'layout = "stillwater"'), True),
        (("[event]", '[event]\nkind = "memorial"'), True),
        (("[event]", '[event]\nkind = "celebration"'), False),
        ((LAYOUT, LAYOUT), False),
    ],
)
def test_a_memorial_gives_no_thanks(event: Event, change: tuple[str, str], memorial: bool) -> None:
    label = order_suite(event, UNNAMED, change)
    job = prepare_job(label)
    assert is_memorial(job.spec.event, job.layout) is memorial
    said = " ".join(run.text for one in job.fitting_pieces for run in one.whole.panel.runs).lower()
    assert ("souvenir" in said) is memorial
    assert any(word in said for word in ("thank", "remerci")) is not memorial


# -- counted, approved -----------------------------------------------------------------------------


def test_the_plan_counts_and_prices_the_suite(event: Event) -> None:
    """66 of each. Letter less its margins holds two cards of 95 mm across and four of 65 mm down;
    of 12 cards, 8 to a sheet, there are 2 sheets."""
    cards = '[[piece]]\nkind = "thank-you-card"\ncopies = 12\n[[piece]]\nkind = "band"\n'
    job = prepare_job(order_suite(event, cards))
    plan = make_plan(job, job.spec.event.date)
    counted = {need.name[""]: need for need in plan.needs if need.stock}
    assert counted["thank-you-card"].pieces == 12
    assert counted["thank-you-card"].packs == 2
    assert counted["band"].pieces == 66
    front = counted["front"]
    assert front.price is not None
    assert counted["band"].cost == front.price * counted["band"].packs


def test_another_piece_is_another_order(event: Event) -> None:
    """The code that a customer approves changes with what she sees, not with how many there are."""
    codes = [make_job_code(prepare_job(event()))]
    for extra in ("", "copies = 9\n", 'text = "À bientôt"\n', 'size = "90 x 60 mm"\n'):
        piece = f'[[piece]]\nkind = "thank-you-card"\n{extra}'
        label = event((TAIL, f"{piece}\n{TAIL}"))
        codes.append(make_job_code(prepare_job(label)))
        label.write_text(label.read_text("utf-8").replace(piece, ""), "utf-8")
    assert codes[1] == codes[2]
    assert len(set(codes)) == 4
    assert all(one != other for one, other in pairwise([codes[0], *codes[2:]]))


# -- mistakes --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("piece", "key"),
    [
        ('kind = "bands"', "piece[1].kind"),
        ('kind = "place-card"', "piece[1].kind"),
        ('kind = "band"\nfolded = true', "piece[1].folded"),
        ('kind = "band"\nhole = "4 mm"', "piece[1].hole"),
        ('kind = "hang-tag"\nhides_label = true', "piece[1].hides_label"),
        ('kind = "band"\ntext = "Hello"', "piece[1].text"),
        ('kind = "hang-tag"\ntext = { de = "Danke" }', "piece[1].text.de"),
        ('kind = "hang-tag"\n[[piece]]\nkind = "hang-tag"', "piece"),
        ('kind = "hang-tag"\nsizes = "3 mm"', "piece[1].sizes"),
        ('kind = "hang-tag"\nstock = "nowhere"', "piece[1].stock"),
    ],
)
def test_a_mistake_is_told_with_its_key(event: Event, piece: str, key: str) -> None:
    label = order_suite(event, f"[[piece]]\n{piece}\n")
    with pytest.raises(InputError) as told:
        read_order(label)
    assert key in [one.key for one in (told.value, *told.value.others)]


def test_a_piece_without_room_is_refused(event: Event) -> None:
    label = order_suite(event, '[[piece]]\nkind = "band"\nsize = "20 x 8 mm"\n')
    report = preflight_job(prepare_job(label))
    assert [f.panel for f in report.findings if f.rule == "LABELKIT-FIT"] == ["band"]
