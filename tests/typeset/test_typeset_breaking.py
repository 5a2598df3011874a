"""Line breaking against trying every way to break, and against what a careful hand does."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import pyphen
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from labelkit.common.quantity import PT_PER_MM
from labelkit.model.runs import SOFT_HYPHEN
from labelkit.typeset import breaking, breakpoints
from labelkit.typeset.breaking import BrokenLine, Widths, break_paragraph, count_lines
from labelkit.typeset.breakpoints import TextKind, measure_paragraph, measure_reach
from labelkit.typeset.faces import Face, FaceRequest, load_face
from labelkit.typeset.shape import shape_text

FACE = load_face(FaceRequest("fira-sans"))
SIZE = 7.0
EM_MM = SIZE / PT_PER_MM

WORDS = ["olive", "butter", "Cocoate", "sea-buckthorn", "oat,", "honey,", "Linalool,", "water;"]
SENTENCES = st.lists(st.sampled_from(WORDS), min_size=1, max_size=9).map(" ".join)
LIST = (
    "Sodium Olivate, Sodium Cocoate, Aqua/Water/Eau, Glycerin, Avena Sativa (Oat) Kernel Flour, "
    "Parfum (Fragrance), Linalool, CI 77491"
)


def break_lines(
    text: str, face: Face, size_pt: float, widths_mm: Widths, **wishes: Any
) -> tuple[BrokenLine, ...] | None:
    """The lines of the way that takes the fewest."""
    first = next(break_paragraph(text, face, size_pt, widths_mm, **wishes), None)
    return None if first is None else first.lines


def width_mm(text: str, tracking: float = 0.0) -> float:
    """Width of visible text measured afresh, by shaping it alone."""
    shown = text.rstrip(" ")
    return shape_text(FACE, shown).advance_mm(SIZE, tracking) - tracking * EM_MM * bool(shown)


def texts(lines: tuple[BrokenLine, ...] | None) -> list[str]:
    assert lines is not None
    return [line.text for line in lines]


# -- every way tried -------------------------------------------------------------------------------


def all_ways(words: list[str], room: float, heading: bool) -> dict[int, float]:
    """Number of lines to the least cost, by trying every set of breaks between words.

    The costs are those the module states; the search and the measuring are this test's own.
    """
    best: dict[int, float] = {}
    places = range(1, len(words))
    for count in range(len(words)):
        for stops in combinations(places, count):
            starts, ends = (0, *stops), (*stops, len(words))
            lines = [words[a:b] for a, b in zip(starts, ends, strict=True)]
            widths = [width_mm(" ".join(line)) for line in lines]
            if max(widths) > room + 1e-9:
                continue
            cost = 0.0
            for number, (line, width) in enumerate(zip(lines, widths, strict=True)):
                last = number == len(lines) - 1
                if not last:
                    cost += breakpoints.AT_COMMA if line[-1][-1] in ",;" else breakpoints.AT_SPACE
                if not last or heading:
                    cost += breaking.RAGGED * ((room - width) / room) ** 2
                if last and number and len(line) == 1:
                    cost += breaking.LONE_WORD_HEADING if heading else breaking.LONE_WORD
                if last and number and not heading:
                    lack = max(0.0, breaking.LAST_LEAST - width / room)
                    cost += breaking.SHORT_LAST * lack**2
            best[len(lines)] = min(cost, best.get(len(lines), float("inf")))
    return best


PLAIN = ["olive", "butter", "Cocoate", "honey,", "Linalool,", "water;", "lavender"]


@given(st.lists(st.sampled_from(PLAIN), min_size=1, max_size=8), st.floats(8, 40), st.booleans())
def test_no_other_set_of_breaks_costs_less(words: list[str], room: float, heading: bool) -> None:
    # Breaks at slashes and hyphens are left to other tests: words here have none.
    expected = all_ways(words, room, heading)
    ways = list(break_paragraph(" ".join(words), FACE, SIZE, room, heading=heading))
    assert [len(way.lines) for way in ways] == sorted(expected)
    for way in ways:
        assert way.cost == pytest.approx(expected[len(way.lines)], abs=0.05)


# -- what always holds -----------------------------------------------------------------------------


@given(
    SENTENCES,
    st.lists(st.floats(6, 40), min_size=1, max_size=9),
    st.floats(-0.01, 0.06),
    st.sampled_from([TextKind.WORDS, TextKind.LIST, TextKind.PERSONS]),
    st.booleans(),
)
def test_every_word_once_in_order_and_within_its_line(
    text: str, rooms: list[float], tracking: float, kind: TextKind, justified: bool
) -> None:
    def room(line: int) -> float:
        return rooms[line % len(rooms)]

    lines = break_lines(
        text, FACE, SIZE, room, tracking_em=tracking, kind=kind, justified=justified
    )
    if lines is None:
        widest = max(width_mm(word, tracking) for word in text.replace("-", "- ").split())
        # A line may be too narrow for a word that another would hold.
        assert widest > min(rooms) - 1e-6
        return
    assert "".join(texts(lines)) == text
    assert [line.start for line in lines] == [0, *(line.end for line in lines[:-1])]
    for number, line in enumerate(lines):
        assert width_mm(line.text, tracking) <= room(number) + 1e-6
        assert line.width_mm == pytest.approx(width_mm(line.text, tracking), abs=0.1)
        assert line.gaps == line.text.rstrip().count(" ")
        if line.gap_mm:
            filled = line.width_mm + line.gaps * line.gap_mm
            assert filled == pytest.approx(room(number))


@given(SENTENCES, st.floats(6, 40), st.floats(-0.01, 0.06), st.sampled_from(TextKind))
def test_counting_lines_agrees_with_breaking_them(
    text: str, room: float, tracking: float, kind: TextKind
) -> None:
    lines = break_lines(text, FACE, SIZE, room, tracking_em=tracking, kind=kind)
    reach = measure_reach(measure_paragraph(FACE, text, kind, ""), tracking)
    count = count_lines(reach, SIZE, room)
    assert count == (None if lines is None else len(lines))


# The widths of a convex shape are concave over its height (geometry), and words that open a
# paragraph make its first line narrower.
@given(
    SENTENCES,
    st.tuples(st.floats(0, 40), st.floats(0, 12), st.floats(0, 12), st.floats(0, 12)),
    st.floats(6, 40),
    st.floats(-0.01, 0.06),
    st.sampled_from(["", "en"]),
)
def test_counting_agrees_where_every_line_has_its_own_width(
    text: str,
    sides: tuple[float, float, float, float],
    widest: float,
    tracking: float,
    language: str,
) -> None:
    at_head, growing, narrowing, lead = sides

    def room(line: int) -> float:
        across = min(at_head + growing * line, widest, widest + at_head - narrowing * line)
        return max(0.0, across) - (0.0 if line else lead)

    ways = break_paragraph(text, FACE, SIZE, room, tracking_em=tracking, language=language)
    first = next(ways, None)
    counts = (
        count_lines(
            measure_reach(measure_paragraph(FACE, text, TextKind.WORDS, hyphens), tracking),
            SIZE,
            room,
        )
        for hyphens in dict.fromkeys(("", language))
    )
    count = next((found for found in counts if found is not None), None)
    assert count == (None if first is None else len(first.lines))


@given(SENTENCES, st.floats(6, 60), st.floats(-0.01, 0.06))
def test_a_paragraph_fits_one_line_where_it_is_no_wider_unbroken(
    text: str, room: float, tracking: float
) -> None:
    whole_mm = measure_paragraph(FACE, text, TextKind.WORDS, "").whole_em(tracking) * EM_MM
    lines = break_lines(text, FACE, SIZE, room, tracking_em=tracking, most=1)
    assert (lines is not None) == (whole_mm <= room + 1e-9)


def test_a_paragraph_with_a_forced_break_never_fits_one_line() -> None:
    assert measure_paragraph(FACE, "3 Quay Lane\nAnse", TextKind.WORDS, "").whole_em(0.0) == float(
        "inf"
    )
    assert measure_paragraph(FACE, "3 Quay Lane \n", TextKind.WORDS, "").whole_em(0.0) < 10


@given(SENTENCES, st.floats(12, 40))
def test_a_language_never_costs_a_line_and_breaks_only_where_needed(text: str, room: float) -> None:
    whole = break_lines(text, FACE, SIZE, room)
    assert break_lines(text, FACE, SIZE, room, language="en") == whole or whole is None


@given(SENTENCES, st.floats(8, 30), st.integers(1, 4))
def test_most_lines_is_a_limit(text: str, room: float, most: int) -> None:
    free = break_lines(text, FACE, SIZE, room)
    assume(free is not None)
    limited = break_lines(text, FACE, SIZE, room, most=most)
    assert limited == (free if free is not None and len(free) <= most else None)


# -- what a careful hand does (book practice, no single source) ------------------------------------


def test_a_name_stays_together_where_it_can() -> None:
    # Filled line by line, "Sodium" of the second name would go up to the first line.
    room = width_mm("Sodium Olivate, Sodium") + 0.5
    lines = texts(break_lines(LIST, FACE, SIZE, room, kind=TextKind.LIST))
    assert lines[0] == "Sodium Olivate, " and lines[1].startswith("Sodium Cocoate, ")
    assert lines[-1] == "Linalool, CI 77491"
    # The names of the list are of two words; a line ends inside none of them.
    assert not any(line.rstrip().endswith(("Sodium", "Avena", "CI", "Kernel")) for line in lines)


def test_letters_and_number_of_a_colour_stay_together_before_any_other_name() -> None:
    room = width_mm("Sodium Cocoate, CI") + 0.1
    lines = texts(break_lines("Sodium Cocoate, CI 77491", FACE, SIZE, room, kind=TextKind.LIST))
    assert lines == ["Sodium Cocoate, ", "CI 77491"]


def test_a_list_breaks_after_a_comma_rather_than_a_slash_or_inside_a_name() -> None:
    room = width_mm("Glycerin, Aqua/Water/") + 0.1
    lines = texts(
        break_lines("Glycerin, Aqua/Water/Eau, Mel", FACE, SIZE, room, kind=TextKind.LIST)
    )
    assert lines[0] in {"Glycerin, ", "Glycerin, Aqua/Water/"}
    tight = width_mm("Aqua/Water/") + 0.1
    lines = texts(break_lines("Aqua/Water/Eau", FACE, SIZE, tight, kind=TextKind.LIST))
    assert lines == ["Aqua/Water/", "Eau"]


def test_a_heading_does_not_end_in_a_lone_word() -> None:
    heading = "Savon à l’avoine, au miel et à l’argousier"
    for room in range(20, 50):
        lines = break_lines(heading, FACE, 9, room, heading=True)
        assert lines is not None
        assert len(lines) == 1 or " " in lines[-1].text.strip()


@pytest.mark.parametrize(
    ("widest", "lines"),
    [
        # Lines that read by themselves (common practice, no source).
        ("mémoire d’Aurélien", ["À la mémoire ", "d’Aurélien"]),
        ("MÉMOIRE D’AURÉLIEN", ["À LA MÉMOIRE ", "D’AURÉLIEN"]),
        ("memory of Rosamund", ["In the memory ", "of Rosamund"]),
        ("Zoé Haverfordshire", ["Léo & ", "Zoé Haverfordshire"]),
    ],
)
def test_a_line_of_a_heading_is_more_than_articles(widest: str, lines: list[str]) -> None:
    heading, room = "".join(lines), width_mm(widest) + 0.2
    assert texts(break_lines(heading, FACE, SIZE, room, heading=True)) == lines


def test_the_lines_of_a_heading_are_even() -> None:
    text = "Oat honey and sea buckthorn soap"
    lines = break_lines(text, FACE, SIZE, width_mm(text) * 0.75, heading=True)
    assert lines is not None and len(lines) == 2
    first, second = (line.width_mm for line in lines)
    assert min(first, second) > 0.75 * max(first, second)


def test_a_forced_break_is_kept() -> None:
    lines = texts(break_lines("3 Quay Lane\nAnse-aux-Brumes NB", FACE, SIZE, 60))
    assert lines == ["3 Quay Lane ", "Anse-aux-Brumes NB"]


def test_words_are_hyphenated_only_where_nothing_else_fits() -> None:
    word = "Assaisonnement"
    room = width_mm(word) - 0.5
    assert break_lines(word, FACE, SIZE, room) is None
    lines = texts(break_lines(word, FACE, SIZE, room, language="fr-CA"))
    assert "".join(lines).replace(SOFT_HYPHEN, "") == word
    assert lines[0].endswith(SOFT_HYPHEN) and not lines[1].endswith(SOFT_HYPHEN)
    # The hyphen stands where pyphen's French dictionary has one.
    assert lines[0].replace(SOFT_HYPHEN, "-") + lines[1] in {
        f"{a}-{b}" for a, b in pyphen.Pyphen(lang="fr").iterate(word)
    }
    assert width_mm(lines[0]) <= room


def test_a_language_without_a_dictionary_leaves_words_whole() -> None:
    assert break_lines("Assaisonnement", FACE, SIZE, 10, language="tlh") is None


def test_an_address_breaks_without_a_hyphen() -> None:
    address = "bonjour@savonnerie-des-brumes.example"
    lines = texts(break_lines(address, FACE, SIZE, width_mm(address) * 0.8, language="fr"))
    assert lines == ["bonjour@savonnerie-des-brumes", ".example"]
    assert break_lines(address, FACE, SIZE, width_mm(address) * 0.8) is None


ADDRESS = "Savonnerie Estran, 9,\u00a0ch. du Phare, Anse-aux-Brumes NB  E0X\u00a00Z9"


@pytest.mark.parametrize("room", [34.0, 40.0, 48.0, 60.0, 90.0])
def test_a_postal_address_ends_its_lines_between_its_parts_without_a_comma(room: float) -> None:
    """Common practice, no source."""
    lines = texts(break_lines(ADDRESS, FACE, SIZE, room, kind=TextKind.ADDRESS))
    assert not any(line.rstrip().endswith(",") for line in lines)
    parts = [part.rstrip() for line in lines for part in line.split(", ")]
    assert parts == ADDRESS.split(", ")
    for line in lines:
        assert width_mm(line.rstrip(), 0.0) <= room + 1e-6


def test_a_part_of_an_address_is_broken_only_where_no_line_holds_it() -> None:
    lines = texts(break_lines(ADDRESS, FACE, SIZE, 24.0, kind=TextKind.ADDRESS))
    assert [line.strip() for line in lines] == [
        "Savonnerie Estran", "9,\u00a0ch. du Phare", "Anse-aux-Brumes NB", "E0X\u00a00Z9",
    ]  # fmt: skip


@given(SENTENCES, st.floats(8, 40))
def test_an_address_keeps_every_letter_but_commas_at_the_ends_of_lines(
    text: str, room: float
) -> None:
    lines = break_lines(text, FACE, SIZE, room, kind=TextKind.ADDRESS)
    for number, line in enumerate(lines or ()):
        dropped = text[line.end : lines[number + 1].start] if number + 1 < len(lines) else ""
        assert dropped.strip(" ") in ("", ",")
        assert line.text.rstrip(" ") == text[line.start : line.end].rstrip(" ")


def test_no_break_spaces_do_not_break() -> None:
    text = "Net\u00a040\u202fg"
    assert break_lines(text, FACE, SIZE, width_mm(text) - 0.1) is None
    assert texts(break_lines(text, FACE, SIZE, width_mm(text) + 0.01)) == [text]


def test_overhanging_swashes_stay_within_the_room() -> None:
    # Great Vibes: the "f" at the end of a word reaches beyond its advance.
    face = load_face(FaceRequest("great-vibes"))
    shaped = shape_text(face, "Jeff")
    ink = shaped.ink_em
    assert ink is not None and ink.x1_em > shaped.width_em
    scale = 20 / PT_PER_MM
    assert break_lines("Jeff", face, 20, shaped.width_em * scale) is None
    lines = break_lines("Jeff", face, 20, (ink.x1_em - min(0.0, ink.x0_em)) * scale + 0.001)
    assert lines is not None and len(lines) == 1


def test_blank_text_is_one_empty_line() -> None:
    for text in ("", "  "):
        lines = break_lines(text, FACE, SIZE, 10)
        assert lines is not None
        assert [(line.text, line.width_mm) for line in lines] == [(text, 0.0)]


def test_no_room_at_all_is_no_way() -> None:
    assert break_lines("Soap", FACE, SIZE, 0) is None
    assert break_lines("Soap", FACE, SIZE, -1.0) is None
