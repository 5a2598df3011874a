"""The wrapped piece as a proof shows it: true measures, said scale, one drawing on page and screen.

Measures are worked out by hand from the sample: a face of 60 x 45 mm, a label of 44 x 28 mm.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pypdfium2
import pytest
from page_text import read_pages
from PIL import ImageChops
from sample_copies import copy_sample

from labelkit.desk.proof_page import make_proof_page
from labelkit.job.api import check
from labelkit.job.prepare import prepare_job
from labelkit.job.proof import CUSTOMER, draw_proof
from labelkit.order.order import read_order
from labelkit.order.pieces import Soap
from labelkit.report.captions import LANGUAGES
from labelkit.report.proof_suite import describe_views
from labelkit.report.wrapped_drawing import draw_view_svg
from labelkit.report.wrapped_piece import AROUND_MM, BACK_X, BACK_Y, PlacedFace, Shade, make_views

Event = Callable[..., Path]
TAIL = "[plan.quote]"
BAND = '[[piece]]\nkind = "band"\nthick = "20 mm"\n'
MM = 72 / 25.4
SAMPLE = Path(__file__).resolve().parents[2] / "samples" / "lighthouse-supper"


def with_band(event: Event, *changes: tuple[str, str]) -> Path:
    return event((TAIL, f"{BAND}\n{TAIL}"), *changes)


@pytest.fixture(scope="module")
def banded(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """What the customer gets of the proof of the sample with a band."""
    folder = copy_sample(SAMPLE, tmp_path_factory.mktemp("banded") / "event")
    label = folder / "label.toml"
    label.write_text(label.read_text("utf-8").replace(TAIL, f"{BAND}\n{TAIL}"), "utf-8")
    return draw_proof(prepare_job(label)).parts[CUSTOMER]


def test_labels_stand_in_the_middle_of_the_face_at_their_size(event: Event) -> None:
    """(60 - 44) / 2 = 8 mm and (45 - 28) / 2 = 8.5 mm from the edges of the face."""
    front, back = make_views(prepare_job(event()))
    for view, side in ((front, "front"), (back, "back")):
        (face,) = (part for part in view.parts if isinstance(part, PlacedFace))
        assert face.composed.panel.name == side == view.side
        assert face.matrix == (1, 0, 0, 1, AROUND_MM + 8.0, AROUND_MM + 8.5)


def test_both_sides_are_shown_again_with_the_band(event: Event) -> None:
    views = make_views(prepare_job(with_band(event)))
    assert [(v.side, v.banded) for v in views] == [
        ("front", False), ("back", False), ("front", True), ("back", True),
    ]  # fmt: skip
    for view in views:  # 20 mm run back by the view's own shares
        assert view.width_mm == pytest.approx(60 + BACK_X * 20 + 2 * AROUND_MM)
        assert view.height_mm == pytest.approx(45 + BACK_Y * 20 + 2 * AROUND_MM)
    for view in views[2:]:
        faces = [part for part in view.parts if isinstance(part, PlacedFace)]
        # The band hides the label: its own face is there, and its side leans back with the soap's.
        assert [face.composed.panel.name for face in faces[-1:]] == [view.side]
        assert faces[-1].composed.panel.width_mm == 60.0
        assert all(face.matrix[:4] == (BACK_X, BACK_Y, 0.0, 1.0) for face in faces[:-1])


def test_the_drawing_is_in_the_soaps_own_colour(event: Event) -> None:
    paper = ('trim = "44 x 28 mm"', 'trim = "44 x 28 mm"')
    label = event(paper)
    job = prepare_job(label)
    shades = {p.colour for v in make_views(job) for p in v.parts if isinstance(p, Shade)}
    assert "#e9c98f" not in shades  # the workshop wraps in paper
    plan = replace(job.spec.plan, wrap=None)
    bare = job.with_order(spec=replace(job.spec, plan=plan))
    shades = {p.colour for v in make_views(bare) for p in v.parts if isinstance(p, Shade)}
    assert "#e9c98f" in shades


def test_a_tag_is_on_no_face(event: Event) -> None:
    label = event(('soap_colour = "#e9c98f"', 'soap_colour = "#e9c98f"\nlabel_is_tag = true'))
    assert make_views(prepare_job(label)) == ()


def test_a_round_piece_is_drawn_round(event: Event) -> None:
    label = event(
        ('package_face = "60 x 45 mm"', 'package_face = "60 mm"\npackage_face_shape = "round"')
    )
    front, _ = make_views(prepare_job(label))
    assert front.soap.width_mm == front.soap.height_mm == 60.0
    assert any(isinstance(p, Shade) and p.path.count("L") > 100 for p in front.parts)


@pytest.mark.parametrize("language", ["en", "fr"])
def test_the_scale_and_the_drift_are_said(event: Event, language: str) -> None:
    views = make_views(prepare_job(event()))
    words = LANGUAGES[language]
    small = describe_views(views, 0.5, words, "film")
    true = describe_views(views, 1.0, words, "film")
    assert "50" in small
    assert words.actual_size in true
    for told in (small, true):
        assert {"60", "45"} <= set(re.findall(r"\d+", told))
        assert re.search(r"0[.,]5", told)


def test_a_proof_opens_with_it(banded: bytes) -> None:
    first = read_pages(banded)[0]
    assert first.index("As it will look") < first.index("40 g")
    assert "Signature" in first
    assert "Front, with its band" in first
    assert "actual size" in first
    # Drawn without transparency, which some presses flatten badly.
    assert b"/ca " not in banded
    assert b"/CA " not in banded


def test_it_is_drawn_at_the_scale_it_says(event: Event) -> None:
    """The face of a large piece is drawn smaller; its width on the page is measured in pixels."""
    soap = "#3355cc"
    wide = ('package_face = "60 x 45 mm"', 'package_face = "140 x 90 mm"')
    label = event(wide, ('soap_colour = "#e9c98f"', f'soap_colour = "{soap}"'))
    job = prepare_job(label)
    job = job.with_order(spec=replace(job.spec, plan=replace(job.spec.plan, wrap=None)))
    data = draw_proof(job).parts[CUSTOMER]
    (percent,) = re.findall(r"at (\d+) % of its size", read_pages(data)[0])
    picture = pypdfium2.PdfDocument(data)[0].render(scale=2).to_pil().convert("RGB")
    wanted = tuple(int(soap[i : i + 2], 16) for i in (1, 3, 5))
    left_half = picture.crop((0, 0, picture.width // 2, picture.height))
    shades = zip(left_half.split(), wanted, strict=True)
    red, green, blue = (
        band.point([255 * (value == shade) for value in range(256)]) for band, shade in shades
    )
    box = ImageChops.darker(ImageChops.darker(red, green), blue).getbbox()
    assert box is not None
    across_mm = (box[2] - 1 - box[0]) / 2 / MM
    assert across_mm == pytest.approx(140 * int(percent) / 100, abs=1.0)


def test_page_and_screen_have_one_drawing(event: Event) -> None:
    label = with_band(event)
    html = make_proof_page(check(read_order(label)), "en").html
    assert html.count("data-view=") == 4
    views = make_views(prepare_job(label))
    for number, view in enumerate(views):
        svg = draw_view_svg(view, f"look{number}-")
        root = ElementTree.fromstring(svg)
        assert root.get("viewBox") == f"0 0 {view.width_mm:g} {view.height_mm:g}"
        assert root.get("data-view") == view.side
        ids = re.findall(r' id="([^"]+)"', svg)
        assert len(ids) == len(set(ids))
        assert set(re.findall(r"#(look[^\")]+)", svg)) <= set(ids)


def test_the_same_order_is_drawn_the_same(event: Event) -> None:
    label = with_band(event)
    assert [draw_view_svg(v, "a") for v in make_views(prepare_job(label))] == [
        draw_view_svg(v, "a") for v in make_views(prepare_job(label))
    ]


def test_pieces_are_shown_flat_at_actual_size(banded: bytes) -> None:
    (shown,) = (
        text for text in read_pages(banded) if "it is folded along the broken lines" in text
    )
    assert "175 mm" in shown  # 2 × (60 + 20) + 15


def test_the_soap_has_a_thickness_of_its_own(event: Event) -> None:
    soap = prepare_job(event()).spec.soap
    assert isinstance(soap, Soap)
    assert 10 < soap.thick_mm < 40
