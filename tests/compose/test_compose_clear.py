"""Space between ink and ink at the sizes of the trade, measured on the letters' and the drawings'
own outlines. The distances are common practice, no source."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import replace
from itertools import groupby, pairwise
from pathlib import Path

import pytest
from compose_checks import letter_boxes

from labelkit.compose import ComposedPanel, compose_panel, fit_guests
from labelkit.compose.element_words import Wording, Wordings
from labelkit.compose.job import Job
from labelkit.compose.lines import tears_address
from labelkit.job.prepare import prepare_job
from labelkit.model.path_segments import cut_into_segments, trace_contours
from labelkit.model.runs import NEUTRAL, Box, Ornament, Run
from labelkit.order.label import Trim
from labelkit.order.layout import READABLE_MM, read_layout
from labelkit.rules.floors import Floors
from labelkit.rules.label import measure_letters_mm

ROOT = Path(__file__).resolve().parents[2]
LAYOUTS = sorted((ROOT / "layouts").glob("*.toml"))
SAMPLE = ROOT / "samples" / "millpond-wedding" / "label.toml"
FAVOUR = Trim(38.1, 25.4)
TRIMS = (FAVOUR, Trim(45, 45, "square"), Trim(60, 40), Trim(50, 50, "round"), Trim(60, 42, "oval"),
         Trim(38, 52, "arch"))  # fmt: skip
ART_APART_MM, SCRIPT_APART_MM, ROWS_APART_MM = 0.6, 0.4, 0.4
"""A swash of a script face may come nearer to its frame."""
LONGEST_MM = 0.3
NEAR_MM = 1.5
FRONT: Wordings = {
    "names": (Wording(NEUTRAL, "Wren & Théo"),),
    "date": (Wording("en", "June 5, 2027"), Wording("fr", "5 juin 2027")),
    "scent": (Wording("en", "Fig leaf"), Wording("fr", "Feuille de figuier")),
    "numerals": (Wording(NEUTRAL, "5 · VI · 2027"),),
    "initials": (Wording(NEUTRAL, "W & T"),),
}
TWO_NAMES = (Wording("en", "The Lighthouse Supper"), Wording("fr", "Le Souper du phare"))


def compose_front(name: str, trim: Trim, names: tuple[Wording, ...] = ()) -> ComposedPanel:
    words = {**FRONT, "names": names} if names else FRONT
    return compose_panel(
        "front", read_layout(ROOT / "layouts" / f"{name}.toml"), words, Floors(), trim
    )


def list_ink_points(ornament: Ornament) -> Iterator[tuple[float, float]]:
    for start, end in cut_into_segments(ornament.path, LONGEST_MM):
        yield start
        yield end


def measure_apart_mm(ornament: Ornament, boxes: list[Box]) -> float:
    """The least distance between a drawing's ink and some letters'; infinite where none is near."""
    reach = NEAR_MM + (ornament.stroke_mm or 0.0) / 2
    near = [box for box in boxes if box.meets(ornament.box.inset(-reach))]
    points = sorted({*list_ink_points(ornament)}) if near else []
    found = (
        math.hypot(max(box.x0_mm - x, 0, x - box.x1_mm), max(box.y0_mm - y, 0, y - box.y1_mm))
        for box in near
        for x, y in points[
            bisect_left(points, (box.x0_mm - reach,)) : bisect_left(points, (box.x1_mm + reach,))
        ]
    )
    return min(found, default=math.inf) - (ornament.stroke_mm or 0.0) / 2


def with_a_guest(job: Job, composed: ComposedPanel) -> ComposedPanel:
    """The panel with the name of the first guest on it."""
    if composed.guest is None:
        return composed
    runs, _ = fit_guests(composed.guest, job.spec.event.guest_names[:1])
    (own,) = runs.values()
    return replace(composed, panel=replace(composed.panel, runs=(*composed.panel.runs, *own)))


@pytest.mark.parametrize(
    "trim",
    TRIMS,
    ids=lambda trim: f"{trim.shape} {trim.width_mm:g}",
)
@pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
@pytest.mark.quick(8)
def test_drawings_and_rows_keep_clear_of_each_other(path: Path, trim: Trim) -> None:
    job = prepare_job(SAMPLE).with_order(layout=read_layout(path))
    for side in ("front", "back"):
        composed = with_a_guest(job, job.panel_on(side, trim))
        assert not composed.fit.left_out
        written = [run for run in composed.panel.runs if run.text.strip()]
        boxes = [box for run in written for box in letter_boxes(composed, run)]
        least = SCRIPT_APART_MM if path.stem == "vesper" else ART_APART_MM
        for ornament in composed.panel.ornaments:
            assert measure_apart_mm(ornament, boxes) >= least, (side, ornament.box)
        check_rows(side, written)


def check_rows(side: str, written: list[Run]) -> None:
    """Rows of one element and the next are not set so close that they read as one."""
    ordered = sorted(written, key=lambda run: -run.baseline_mm)
    rows = [list(row) for _, row in groupby(ordered, lambda run: round(run.baseline_mm, 3))]
    for upper, lower in pairwise(rows):
        if not {run.element for run in upper} & {run.element for run in lower}:
            gap = min(r.ink.y0_mm for r in upper) - max(r.ink.y1_mm for r in lower)
            assert gap >= ROWS_APART_MM, (side, upper[0].text, lower[0].text)


# -- letters drawn as outlines ---------------------------------------------------------------------


def letters_of(ornament: Ornament) -> list[Box]:
    """The box of every contour but that of a band they are cut out of."""
    contours = trace_contours(ornament.path)
    boxes = [
        Box(min(x for x, _ in c), min(y for _, y in c), max(x for x, _ in c), max(y for _, y in c))
        for c in contours
    ]
    wide = max(box.width_mm for box in boxes)
    return [box for box in boxes if box.width_mm < wide]


@pytest.mark.parametrize("trim", TRIMS, ids=lambda trim: f"{trim.shape} {trim.width_mm:g}")
def test_names_in_a_band_stand_in_its_middle(trim: Trim) -> None:
    front = compose_front("banner", trim)
    (band,) = front.panel.ornaments
    low, high = band.box.y0_mm, min(band.box.y1_mm, trim.height_mm)
    letters = letters_of(band)
    foot, top = min(box.y0_mm for box in letters), max(box.y1_mm for box in letters)
    assert (foot + top) / 2 == pytest.approx((low + high) / 2, abs=0.05)
    assert foot - low > 0.5


@pytest.mark.parametrize("names", [(), TWO_NAMES], ids=["one line", "two languages"])
@pytest.mark.parametrize("name", ["banner", "roundel"])
def test_names_drawn_as_outlines_are_what_is_read_first(
    name: str, names: tuple[Wording, ...]
) -> None:
    front = compose_front(name, FAVOUR, names)
    assert "names" in front.lettered
    letters = max(max(box.height_mm for box in letters_of(o)) for o in front.panel.ornaments[:1])
    written = [run.letters.capital_mm or 0.0 for run in front.panel.runs if run.text.strip()]
    assert letters >= 1.4 * max(written)


@pytest.mark.parametrize("names", [(), TWO_NAMES], ids=["one line", "two languages"])
@pytest.mark.parametrize("trim", TRIMS, ids=lambda trim: f"{trim.shape} {trim.width_mm:g}")
@pytest.mark.parametrize("name", ["banner", "roundel", "cipher", "almanac", "spine"])
@pytest.mark.quick(20)
def test_what_is_drawn_as_outlines_is_not_written_as_well(
    name: str, trim: Trim, names: tuple[Wording, ...]
) -> None:
    front = compose_front(name, trim, names)
    assert not {run.element for run in front.panel.runs} & set(front.lettered)
    shown = {run.element for run in front.panel.runs} | set(front.lettered)
    assert "names" in shown


@pytest.mark.parametrize("initials", ["A & O", "W & T", "N & M", "L & S", "É & Ø", "K & X"])
def test_initials_that_lie_on_each_other_keep_air_and_leave_no_specks(initials: str) -> None:
    """The second is whole, and what is seen of the first stands off it."""
    layout = read_layout(ROOT / "layouts" / "cipher.toml")
    words = {**FRONT, "initials": (Wording(NEUTRAL, initials),)}
    front = compose_panel("front", layout, words, Floors(), TRIMS[2])
    (drawn,) = front.panel.ornaments
    contours = trace_contours(drawn.path)
    em = drawn.box.height_mm  # an em or a little less
    spans = [(min(x for x, _ in c), max(x for x, _ in c)) for c in contours]
    tall = [max(y for _, y in c) - min(y for _, y in c) for c in contours]
    assert min(max(b - a, high) for (a, b), high in zip(spans, tall, strict=True)) > 0.05 * em
    left, right = min(a for a, _ in spans), max(b for _, b in spans)
    under = [c for c, (a, _) in zip(contours, spans, strict=True) if a == left]
    over = [c for c, (_, b) in zip(contours, spans, strict=True) if b == right]
    assert under != over
    apart = min(math.dist(p, q) for c in under for p in c for o in over for q in o)
    assert apart > 0.015 * em
    assert apart > 0.12  # what an office printer of 600 dpi still shows: common practice, no source


# -- rules and edges -------------------------------------------------------------------------------


def test_a_heavy_rule_has_square_ends() -> None:
    front = compose_front("broadside", Trim(60, 40))
    bar = max(front.panel.ornaments, key=lambda one: one.box.height_mm)
    assert bar.box.height_mm == pytest.approx(0.9)
    assert bar.stroke_mm is None  # a stroke ends round
    points = list(list_ink_points(bar))
    for corner in ((bar.box.x0_mm, bar.box.y0_mm), (bar.box.x1_mm, bar.box.y1_mm)):
        assert min(math.dist(corner, point) for point in points) < 0.01


@pytest.mark.parametrize("name", ["bunting", "stall"])
@pytest.mark.parametrize("width", [38.1, 45.0, 60.0])
def test_what_repeats_along_an_edge_ends_alike_at_both_sides(name: str, width: float) -> None:
    front = compose_front(name, Trim(width, 40.0))
    edge = [one for one in front.panel.ornaments if one.box.y1_mm > 39.9]
    assert edge
    points = {
        (round(x, 1), round(y, 1))
        for one in edge
        for x, y in list_ink_points(one)
        if 0 <= x <= width
    }
    off = [
        (x, y) for x, y in points
        if not any(
            (round(width - x + dx, 1), round(y + dy, 1)) in points
            for dx in (-0.1, 0.0, 0.1) for dy in (-0.1, 0.0, 0.1)
        )
    ]  # fmt: skip
    assert len(off) <= 0.02 * len(points)


# -- addresses -------------------------------------------------------------------------------------


def test_an_address_is_torn_only_inside_its_parts() -> None:
    text = "Pine Row Soapery, 12 Pine Row, Lower Mallow ON  P0X 9Z9"
    assert not tears_address(text, [text.index(", 12")])
    assert not tears_address(text, [text.index(", 12"), text.index("  P0X")])
    assert tears_address(text, [text.index(" Row, Lower")])


def test_a_list_a_little_smaller_keeps_an_address_whole() -> None:
    """The sample's firm would fill two lines, and break "21 Ferry / Road"."""
    job = prepare_job(SAMPLE)
    torn = job.with_order(layout=read_layout(ROOT / "layouts" / "lantern.toml"))
    fewer = replace(torn.layout, steps=torn.layout.steps[:1])
    assert torn.with_order(layout=fewer).panel_on("back", FAVOUR).fit.torn
    whole = torn.panel_on("back", FAVOUR)
    assert not whole.fit.torn
    assert whole.fit.step == 2
    lines = [run.text.strip() for run in whole.panel.runs if run.element == "dealer"]
    typed = (job.spec.maker.name, *job.spec.maker.address)
    assert [" ".join(line.casefold().split()) for line in lines] == [
        " ".join(line.casefold().split()) for line in typed
    ]
    height = measure_letters_mm(whole.panel, "ingredients")
    assert height is not None
    assert height >= READABLE_MM  # never at the price of letters that are hard to read
