"""The composer: every floor held, nothing lost, nothing outside, and refusals that help."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from labelkit import rules
from labelkit.compose import Composed, compose, fitted_guests, guest_runs
from labelkit.errors import FitError
from labelkit.fields import Wording, Wordings, wordings
from labelkit.formula.declaration import Basis, Declaration, DeclaredLine, Role, Style
from labelkit.quantity import PT_PER_MM
from labelkit.rules.facts import Face, Facts
from labelkit.rules.floors import Floors, Measure
from labelkit.runs import NEUTRAL, Box, Run, element_texts
from labelkit.spec.label import LabelSpec, Trim, read_label
from labelkit.spec.layout import Layout, read_layout
from labelkit.typeset.shape import shape

ROOT = Path(__file__).resolve().parents[2]
LAYOUTS = sorted((ROOT / "layouts").glob("*.toml"))
TOLERANCE_MM = 0.02
NAMES = (
    "Sodium Olivate",
    "Sodium Cocoate",
    "AQUA/WATER/EAU",
    "Glycerin",
    "Sodium Shea Butterate",
    "Sodium Castorate",
    "Olea Europaea Fruit Oil",
    "MEL/HONEY/MIEL",
    "Avena Sativa Kernel Flour",
    "Linalool",
    "Limonene",
    "Parfum",
)


@pytest.fixture(scope="module")
def spec() -> LabelSpec:
    return read_label(ROOT / "samples" / "lighthouse-supper" / "label.toml")


@pytest.fixture(scope="module")
def declaration() -> Declaration:
    lines = tuple(
        DeclaredLine(n, n, Role.INGREDIENT, *(Decimal(20 - i) for _ in range(4)))
        for i, n in enumerate(NAMES)
    )
    return Declaration(lines, Style.FORMED, Basis.CURED, Decimal(100))


@pytest.fixture(scope="module")
def floors(spec: LabelSpec, declaration: Declaration) -> Floors:
    facts = Facts(
        face=Face(Decimal(60), Decimal(45)),
        net_weight_g=Decimal(40),
        languages=spec.languages,
        declaration=declaration,
        sold_on=spec.event.date,
    )
    return rules.floors(facts, ("CA",))


def made(
    name: str, path: Path, spec: LabelSpec, declaration: Declaration, floors: Floors, trim: Trim
) -> tuple[Composed, Wordings, Layout]:
    layout = read_layout(path)
    words = wordings(spec, declaration, name)
    return compose(name, layout, words, floors, trim), words, layout


@pytest.fixture(scope="module", params=LAYOUTS, ids=lambda p: p.stem)
def panels(
    request: pytest.FixtureRequest, spec: LabelSpec, declaration: Declaration, floors: Floors
) -> list[tuple[Composed, Wordings, Layout]]:
    results = []
    for name in ("front", "back"):
        composed, words, layout = made(name, request.param, spec, declaration, floors, spec.trim)
        results.append((composed, words, layout))
    return results


def measured(run: Run, measure: Measure, text: str) -> float | None:
    if measure is Measure.FIGURE:
        return run.letters.figure_mm
    capitals = text == text.upper() and text != text.lower()
    return run.letters.capital_mm if capitals else run.letters.small_o_mm


def test_every_legal_floor_is_held(
    panels: list[tuple[Composed, Wordings, Layout]], floors: Floors
) -> None:
    checked = 0
    for composed, _, _ in panels:
        for run in composed.panel.runs:
            for floor in floors.of(run.element).heights:
                height = measured(run, floor.measure, run.text)
                if floor.legal and height is not None:
                    assert Decimal(str(round(height, 6))) >= floor.least_mm, run
                    checked += 1
    assert checked >= 4  # identity twice, figures and unit of the net quantity, dealer


def test_every_word_is_set_once_and_in_order(
    panels: list[tuple[Composed, Wordings, Layout]],
) -> None:
    for composed, words, layout in panels:
        panel, left_out = composed.panel, composed.fit.left_out
        for block in layout.panel(panel.name).blocks:
            if block.element not in words or block.element in {"guest", *left_out}:
                continue
            texts = {t.language: t.text for t in element_texts(panel, block.element)}
            wanted = {w.language: w.text for w in words[block.element]}
            folded = {language: text.casefold() for language, text in texts.items()}
            assert folded == {language: text.casefold() for language, text in wanted.items()}


def test_nothing_comes_closer_to_the_trim_than_the_margin(
    panels: list[tuple[Composed, Wordings, Layout]],
) -> None:
    for composed, _, _ in panels:
        panel = composed.panel
        safe = panel.trim.inset(panel.safe_mm)
        for run in panel.runs:
            assert safe.covers(run.ink, TOLERANCE_MM), run


def letter_boxes(composed: Composed, run: Run) -> list[Box]:
    """Where the ink of every letter of a run lies."""
    boxes: list[Box] = []
    x, em_mm = run.x_mm, run.size_pt / PT_PER_MM
    shaped = shape(composed.faces[run.face], run.text)
    for advance, ink in zip(shaped.advances_em, shaped.inks, strict=True):
        if ink is not None:
            left, foot = x + ink.x0_em * em_mm, run.baseline_mm + ink.y0_em * em_mm
            right, top = x + ink.x1_em * em_mm, run.baseline_mm + ink.y1_em * em_mm
            boxes.append(Box(left, foot, right, top))
        x += (advance + run.tracking_em) * em_mm
    return boxes


def test_no_two_lines_touch(panels: list[tuple[Composed, Wordings, Layout]]) -> None:
    for composed, _, _ in panels:
        runs = [r for r in composed.panel.runs if r.text.strip()]
        for i, run in enumerate(runs):
            for other in runs[i + 1 :]:
                if run.baseline_mm != other.baseline_mm and run.ink.meets(other.ink):
                    theirs = letter_boxes(composed, other)
                    for box in letter_boxes(composed, run):
                        assert not any(box.meets(b) for b in theirs), (run.text, other.text)


def test_a_trim_too_small_is_refused_with_the_ways_out(
    spec: LabelSpec, declaration: Declaration, floors: Floors
) -> None:
    with pytest.raises(FitError) as caught:
        made("back", LAYOUTS[0], spec, declaration, floors, Trim(30, 14))
    assert "mm too tall" in str(caught.value) or "no legal size" in str(caught.value)
    assert "a larger trim" in str(caught.value)
    assert caught.value.exit_code == 1


@pytest.fixture(scope="module")
def with_guest(spec: LabelSpec, floors: Floors) -> Composed:
    layout = read_layout(ROOT / "layouts" / "lantern.toml")
    words = {
        "guest": (Wording(NEUTRAL, ""),),
        "identity": (Wording("en", "Soap"), Wording("fr", "Savon")),
        "net-quantity": (Wording(NEUTRAL, "40\u00a0g"),),
    }
    return compose("front", layout, words, floors, spec.trim)


@pytest.mark.parametrize(
    "name", ["Li", "Zoë O’Hara", "Marie-Ève Thériault-Bélanger", "Łucja Wiśniewska", "Ĳsbrand"]
)
def test_a_guests_name_stands_on_its_line_inside_the_margin(
    with_guest: Composed, name: str
) -> None:
    place = with_guest.guest
    assert place is not None
    (run,) = guest_runs(place, name)
    assert run.text == name
    assert run.baseline_mm == place.baseline_mm
    assert place.left_mm - TOLERANCE_MM <= run.ink.x0_mm
    assert run.ink.x1_mm <= place.right_mm + TOLERANCE_MM
    middle = (run.ink.x0_mm + run.ink.x1_mm) / 2
    assert middle == pytest.approx((place.left_mm + place.right_mm) / 2, abs=TOLERANCE_MM)


def test_a_name_too_long_and_a_name_no_face_can_write_are_named(with_guest: Composed) -> None:
    assert with_guest.guest is not None
    with pytest.raises(FitError, match=r"needs .* mm and has"):
        guest_runs(with_guest.guest, "W" * 60)
    with pytest.raises(FitError, match=r"cannot be written in .*: '王'"):
        guest_runs(with_guest.guest, "王 Wei")


def test_all_guests_whose_names_cannot_be_set_are_named_at_once(with_guest: Composed) -> None:
    assert with_guest.guest is not None
    with pytest.raises(FitError) as caught:
        fitted_guests(with_guest.guest, ["Ada", "王 Wei", "M" * 70, "Noor", "محمد"])
    message = str(caught.value)
    assert all(name in message for name in ("王 Wei", "M" * 70, "محمد"))
    assert "Ada" not in message
    assert "Noor" not in message
    assert "\n" not in message


@pytest.mark.parametrize("name", ["Αλεξάνδρα", "Йоана", "Ștefan Țuțea", "Đặng Thị Hồng"])
def test_a_name_the_layouts_face_lacks_is_written_in_a_stand_in(
    with_guest: Composed, name: str
) -> None:
    assert with_guest.guest is not None
    (run,) = guest_runs(with_guest.guest, name)
    faces = {face.name: face for face in (with_guest.guest.face, *with_guest.guest.stand_ins)}
    assert faces[run.face].missing(name) == ""
    assert run.text == name
    assert run.face in with_guest.faces
