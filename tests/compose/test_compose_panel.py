"""The composer: every floor held, nothing lost, nothing outside, and refusals that help."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from compose_checks import (
    TOLERANCE_MM,
    check_apart,
    check_equals,
    check_floors,
    check_inside,
    check_reading_order,
    check_words,
)
from examples import examples
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from labelkit import rules
from labelkit.common.errors import FitError
from labelkit.compose import ComposedPanel, compose_panel, fit_all_guests, make_guest_runs
from labelkit.compose.element_words import Wording, Wordings, make_panel_wordings
from labelkit.formula.declaration import Basis, Declaration, DeclaredLine, Role, Style
from labelkit.model.runs import NEUTRAL
from labelkit.order.label import LabelSpec, Trim, read_label
from labelkit.order.layout import Layout, read_layout
from labelkit.rules.facts import Facts, PackageFace
from labelkit.rules.floors import ElementFloor, Floors, HeightFloor, LetterMeasure

ROOT = Path(__file__).resolve().parents[2]
LAYOUTS = sorted((ROOT / "layouts").glob("*.toml"))
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
        face=PackageFace(Decimal(60), Decimal(45)),
        net_weight_g=Decimal(40),
        languages=spec.languages,
        declaration=declaration,
        sold_on=spec.event.date,
    )
    return rules.find_floors(facts, ("CA",))


@pytest.fixture(scope="module", params=LAYOUTS, ids=lambda p: p.stem)
def panels(
    request: pytest.FixtureRequest, spec: LabelSpec, declaration: Declaration, floors: Floors
) -> list[tuple[ComposedPanel, Wordings]]:
    layout = read_layout(request.param)
    made = []
    for name in ("front", "back"):
        words = make_panel_wordings(spec, declaration, name)
        made.append((compose_panel(name, layout, words, floors, spec.trim), words))
    return made


def test_every_legal_floor_is_held(
    panels: list[tuple[ComposedPanel, Wordings]], floors: Floors
) -> None:
    # Identity twice, figures and unit of the net quantity, dealer.
    assert sum(check_floors(composed.panel, floors) for composed, _ in panels) >= 4


def test_every_word_is_set_once_and_in_order(panels: list[tuple[ComposedPanel, Wordings]]) -> None:
    for composed, words in panels:
        check_words(composed, words)
    shown = {run.element for composed, _ in panels for run in composed.panel.runs}
    shown |= {element for composed, _ in panels for element in composed.lettered}
    shown |= {"date"} if "numerals" in shown else set()
    legal = {"identity", "net-quantity", "ingredients", "dealer", "contact", "lot"}
    assert shown >= legal | {"names", "date", "scent", "ingredients-heading"}


def test_nothing_comes_closer_to_the_trim_than_the_margin(
    panels: list[tuple[ComposedPanel, Wordings]],
) -> None:
    for composed, _ in panels:
        check_inside(composed.panel)


def test_no_two_lines_touch(panels: list[tuple[ComposedPanel, Wordings]]) -> None:
    for composed, _ in panels:
        check_apart(composed)


def test_runs_come_in_reading_order(panels: list[tuple[ComposedPanel, Wordings]]) -> None:
    for composed, _ in panels:
        check_reading_order(composed.panel)


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda p: p.stem)
@pytest.mark.parametrize("trim", [Trim(66, 40), Trim(56, 56, "round")], ids=lambda t: t.shape)
@pytest.mark.quick(15)
def test_marks_of_weight_stand_beside_each_other_in_reading_order(path: Path, trim: Trim) -> None:
    words: Wordings = {
        "names": (Wording(NEUTRAL, "Ada & Olive"),),
        "place": (Wording(NEUTRAL, "Quince Cottage"),),
        "date": (Wording(NEUTRAL, "19 June 2027"),),
        "identity": (Wording("en", "Soap"), Wording("fr", "Savon")),
        "e-mark": (Wording(NEUTRAL, "℮"),),
        "net-quantity": (Wording(NEUTRAL, "40\u00a0g"),),
    }
    composed = compose_panel("front", read_layout(path), words, Floors(), trim)
    check_reading_order(composed.panel)


def test_languages_are_equals(panels: list[tuple[ComposedPanel, Wordings]]) -> None:
    for composed, _ in panels:
        check_equals(composed)


def test_the_fit_is_told_in_one_line(panels: list[tuple[ComposedPanel, Wordings]]) -> None:
    for composed, _ in panels:
        assert "\n" not in composed.panel.note
        assert "gaps at" in composed.panel.note
        told = {fitting.element for fitting in composed.fit.elements}
        shown = {r.element for r in composed.panel.runs} - {"separator", "ingredients-heading"}
        assert told == shown


def test_the_same_words_give_the_same_panel(
    spec: LabelSpec, declaration: Declaration, floors: Floors
) -> None:
    layout = read_layout(LAYOUTS[0])
    words = make_panel_wordings(spec, declaration, "front")
    first, second = (compose_panel("front", layout, words, floors, spec.trim) for _ in range(2))
    assert first.panel == second.panel


def test_a_trim_too_small_is_refused_with_the_ways_out(
    spec: LabelSpec, declaration: Declaration, floors: Floors
) -> None:
    words = make_panel_wordings(spec, declaration, "back")
    with pytest.raises(FitError) as caught:
        compose_panel("back", read_layout(LAYOUTS[0]), words, floors, Trim(30, 14))
    assert "mm too tall" in str(caught.value) or "no legal size" in str(caught.value)
    assert "a larger trim" in str(caught.value)
    assert caught.value.exit_code == 1


def test_words_no_face_can_write_are_refused_and_the_letters_named(
    spec: LabelSpec, floors: Floors
) -> None:
    words = {"names": (Wording(NEUTRAL, "🎉 & 🎈"),)}
    with pytest.raises(FitError, match="can write '🎉', '🎈'"):
        compose_panel("front", read_layout(LAYOUTS[0]), words, floors, spec.trim)


# -- any words, any trim ---------------------------------------------------------------------------

_LETTERS = "abcdefghilmnoprstuvyABCDEGLMNRSTàâçéèêëîïôùûüœŁłßåäöÅÄÖčšžő’-&"
_WORD = st.text(_LETTERS, min_size=1, max_size=11)
_LINE = st.lists(_WORD, min_size=1, max_size=5).map(" ".join)
_LIST = st.lists(_WORD, min_size=2, max_size=16).map(", ".join)
_TRIMS = st.one_of(
    st.builds(
        Trim,
        st.floats(34, 80).map(lambda v: round(v, 1)),
        st.floats(24, 60).map(lambda v: round(v, 1)),
        st.sampled_from(["rectangle", "oval", "arch"]),
    ),
    st.builds(lambda s: Trim(s, s, "round"), st.floats(36, 70).map(lambda v: round(v, 1))),
    st.builds(lambda w, c: Trim(w, 30.0, "rounded", c), st.floats(40, 60), st.floats(0, 6)),
)
_PARSED = [read_layout(path) for path in LAYOUTS]


@settings(
    max_examples=examples(20), derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)  # fmt: skip
@given(
    layout=st.sampled_from(_PARSED),
    trim=_TRIMS,
    lines=st.lists(_LINE, min_size=6, max_size=6),
    listed=_LIST,
)
def test_any_words_on_any_trim_are_set_whole_or_refused(
    floors: Floors, layout: Layout, trim: Trim, lines: list[str], listed: str
) -> None:
    names_en, names_fr, scent, identity_en, identity_fr, dealer = lines
    front: Wordings = {
        "names": (Wording("en", names_en), Wording("fr", names_fr)),
        "scent": (Wording(NEUTRAL, scent),),
        "identity": (Wording("en", identity_en[:12]), Wording("fr", identity_fr[:12])),
        "net-quantity": (Wording(NEUTRAL, "40\u00a0g"),),
    }
    back: Wordings = {
        "ingredients-heading": (Wording("en", "Ingredients"), Wording("fr", "Ingrédients")),
        "ingredients": (Wording(NEUTRAL, listed),),
        "dealer": (Wording(NEUTRAL, dealer),),
        "lot": (Wording(NEUTRAL, "Lot 1"),),
    }
    for name, words in (("front", front), ("back", back)):
        try:
            composed = compose_panel(name, layout, words, floors, trim)
        except FitError as error:
            assert "\n" not in str(error)
            continue
        check_words(composed, words)
        check_inside(composed.panel)
        check_floors(composed.panel, floors)
        check_equals(composed)
        check_reading_order(composed.panel)


# -- what a law asks beside heights ----------------------------------------------------------------


def test_free_space_the_law_wants_is_kept_all_round() -> None:
    # As 21 CFR 701.13(f)(2) has it: the height of the lettering above and below, twice the width
    # of the N at the sides (from memory).
    net = ElementFloor(
        heights=(HeightFloor(Decimal("1.6"), LetterMeasure.FIGURE, "T"),),
        clear_letter_heights=Decimal(1),
        clear_n_widths=Decimal(2),
    )
    words: Wordings = {
        "names": (Wording(NEUTRAL, "Ada & Olive"),),
        "identity": (Wording("en", "Soap"), Wording("fr", "Savon")),
        "net-quantity": (Wording("en", "Net Wt 1.4 oz"), Wording("fr", "Poids net 1,4 oz")),
    }
    for path in LAYOUTS:
        composed = compose_panel(
            "front", read_layout(path), words, Floors({"net-quantity": net}), Trim(60, 40)
        )
        runs = composed.panel.runs
        own = [run for run in runs if run.element == "net-quantity"]
        others = [r for r in runs if r.element != "net-quantity" and r.text.strip()]
        left, right = min(r.ink.x0_mm for r in own), max(r.ink.x1_mm for r in own)
        foot, top = min(r.ink.y0_mm for r in own), max(r.ink.y1_mm for r in own)
        height = max(r.letters.capital_mm or 0 for r in own)
        beside = 2 * max(r.letters.n_width_mm or 0 for r in own)
        for run in others:
            apart = run.ink.y0_mm >= top + height or run.ink.y1_mm <= foot - height
            aside = run.ink.x0_mm >= right + beside or run.ink.x1_mm <= left - beside
            assert apart or aside, (path.stem, run.text)


def test_an_element_the_law_wants_bold_is_bold(spec: LabelSpec) -> None:
    floors = Floors({"identity": ElementFloor(bold=True)})
    words: Wordings = {"identity": (Wording("en", "Soap"),)}
    for path in LAYOUTS:
        composed = compose_panel("front", read_layout(path), words, floors, spec.trim)
        assert {run.weight for run in composed.panel.runs} == {700}


def test_a_mark_that_must_keep_from_the_edge_does(spec: LabelSpec) -> None:
    floors = Floors({"e-mark": ElementFloor(clear_mm=(("edge", Decimal(5)),))})
    words: Wordings = {"e-mark": (Wording(NEUTRAL, "℮"),)}
    composed = compose_panel("front", read_layout(LAYOUTS[0]), words, floors, spec.trim)
    (run,) = [r for r in composed.panel.runs if r.element == "e-mark"]
    assert min(run.ink.x0_mm, run.ink.y0_mm) >= 5
    assert run.ink.x1_mm <= spec.trim.width_mm - 5


def test_an_element_bound_to_the_foot_is_refused_elsewhere(spec: LabelSpec) -> None:
    floors = Floors({"names": ElementFloor(panel_part=(Decimal(0), Decimal("0.3")))})
    words: Wordings = {
        "names": (Wording(NEUTRAL, "Ada & Olive"),),
        "scent": (Wording(NEUTRAL, "Oat and honey"),),
    }
    with pytest.raises(FitError, match="must stay between"):
        compose_panel(
            "front", read_layout(ROOT / "layouts" / "lantern.toml"), words, floors, spec.trim
        )


# -- guests ----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def with_guest(spec: LabelSpec, floors: Floors) -> ComposedPanel:
    layout = read_layout(ROOT / "layouts" / "lantern.toml")
    words = {
        "guest": (Wording(NEUTRAL, ""),),
        "identity": (Wording("en", "Soap"), Wording("fr", "Savon")),
        "net-quantity": (Wording(NEUTRAL, "40\u00a0g"),),
    }
    return compose_panel("front", layout, words, floors, spec.trim)


@pytest.mark.parametrize(
    "name", ["Li", "Zoë O’Hara", "Marie-Ève Thériault-Bélanger", "Łucja Wiśniewska", "Ĳsbrand"]
)
def test_a_guests_name_stands_on_its_line_inside_the_margin(
    with_guest: ComposedPanel, name: str
) -> None:
    place = with_guest.guest
    assert place is not None
    (run,) = make_guest_runs(place, name)
    assert run.text == name
    assert run.baseline_mm == place.baseline_mm
    assert place.left_mm - TOLERANCE_MM <= run.ink.x0_mm
    assert run.ink.x1_mm <= place.right_mm + TOLERANCE_MM
    middle = (run.ink.x0_mm + run.ink.x1_mm) / 2
    assert middle == pytest.approx((place.left_mm + place.right_mm) / 2, abs=TOLERANCE_MM)


def test_a_guests_straight_apostrophe_is_set_as_a_typographic_one(
    with_guest: ComposedPanel,
) -> None:
    # The Unicode Standard, chapter 6.2: U+2019 is the preferred apostrophe.
    assert with_guest.guest is not None
    (run,) = make_guest_runs(with_guest.guest, "Zoë O'Hara")
    assert run.text == "Zoë O\u2019Hara"
    assert fit_all_guests(with_guest.guest, ["Zoë O'Hara"])["Zoë O'Hara"] == (run,)


def test_a_name_too_long_and_a_name_no_face_can_write_are_named(with_guest: ComposedPanel) -> None:
    assert with_guest.guest is not None
    with pytest.raises(FitError, match=r"needs .* mm and has") as wide:
        make_guest_runs(with_guest.guest, "W" * 60)
    assert "narrower face" in str(wide.value)
    assert "letters" not in str(wide.value)  # its own are all there
    with pytest.raises(FitError, match=r"no font here can write: '🎉'"):
        make_guest_runs(with_guest.guest, "🎉 Wei")


def test_all_guests_whose_names_cannot_be_set_are_named_at_once(with_guest: ComposedPanel) -> None:
    assert with_guest.guest is not None
    with pytest.raises(FitError) as caught:
        fit_all_guests(with_guest.guest, ["Ada", "🎉 Wei", "M" * 70, "Noor", "🎈"])
    message = str(caught.value)
    assert all(name in message for name in ("🎉 Wei", "M" * 70, "🎈"))
    assert "Ada" not in message
    assert "Noor" not in message
    assert "\n" not in message


@pytest.mark.parametrize("name", ["Αλεξάνδρα", "Йоана", "Ștefan Țuțea", "Đặng Thị Hồng"])
def test_a_name_the_layouts_face_lacks_is_written_in_a_stand_in(
    with_guest: ComposedPanel, name: str
) -> None:
    assert with_guest.guest is not None
    (run,) = make_guest_runs(with_guest.guest, name)
    faces = {face.name: face for face in (with_guest.guest.face, *with_guest.guest.stand_ins)}
    assert faces[run.face].missing(name) == ""
    assert run.text == name
    assert run.face in with_guest.faces
