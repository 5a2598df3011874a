"""Names of people: where they break, and which are never set in capitals."""

from __future__ import annotations

import pytest

from labelkit.typeset.breaking import break_paragraph
from labelkit.typeset.breakpoints import TextKind
from labelkit.typeset.companions import find_writing_face
from labelkit.typeset.faces import FaceRequest, load_face
from labelkit.typeset.personal_names import is_harmed_by_capitals

# Particles stay with what follows, "&" leads its line (common practice, no source).
BROKEN = [
    ("Ana de la Cruz & Tom", {("Ana", "de la Cruz", "& Tom"), ("Ana de la Cruz", "& Tom")}),
    ("Jo van der Berg", {("Jo", "van der Berg")}),
    ("Siobhán Ní Dhuibhir", {("Siobhán", "Ní Dhuibhir")}),
    ("Omar bin Said", {("Omar", "bin Said")}),
    ("Karl von Weiss", {("Karl", "von Weiss")}),
    ("J. R. Sutton & Ida", {("J. R. Sutton", "& Ida")}),
    ("Dr. Ida Marsh", {("Dr. Ida", "Marsh")}),
    ("Ben & Al", {("Ben", "& Al")}),
    ("Ana and Bo", {("Ana", "and Bo")}),
    ("Zoé et Léa", {("Zoé", "et Léa")}),
]


@pytest.mark.parametrize(("text", "wanted"), BROKEN)
def test_names_break_as_people_do(text: str, wanted: set[tuple[str, ...]]) -> None:
    face = load_face(FaceRequest("fira-sans"))
    ways = break_paragraph(text, face, 10.0, 200.0, heading=True, kind=TextKind.PERSONS)
    found = {tuple(line.text.strip() for line in way.lines) for way in ways} - {(text,)}
    assert found == wanted


@pytest.mark.parametrize(
    ("name", "loses"),
    [
        ("Anne McLean", True), ("Rory MacLeod", True), ("DeShawn", True), ("Ana de la Cruz", True),
        ("Jo van der Berg", True), ("Omar bin Said", True), ("Jürgen Groß", True),
        ("Gökçe Yağmur", True), ("Ümit Işık", True),
        ("Ana & Bo", False), ("Ana and Bo", False), ("Marie-Ève Côté", False),
        ("Siobhán O’Brien", False), ("Le Souper du phare", False), ("The Lighthouse Supper", False),
    ],
)  # fmt: skip
def test_names_that_say_less_in_capitals(name: str, loses: bool) -> None:
    assert is_harmed_by_capitals(name) is loses


# No break inside a name that is short enough; "與" (and) and "＆" lead the second line as "&" does
# (common practice, no source). Places to break at: Unicode UAX 14.
WITHOUT_SPACES = [
    ("陳美玲 & Mei-Ling", ("陳美玲", "& Mei-Ling")),
    ("陳美玲與王大明", ("陳美玲", "與王大明")),
    ("陳美玲＆王大明", ("陳美玲", "＆王大明")),
    ("ليلى & Tom", ("ليلى", "& Tom")),
    ("エマ・ワトリー", ("エマ・", "ワトリー")),
    ("សុខា\u200bចន្ទ", ("សុខា\u200b", "ចន្ទ")),
]


@pytest.mark.parametrize(("text", "wanted"), WITHOUT_SPACES)
def test_names_without_spaces_break_between_people(text: str, wanted: tuple[str, ...]) -> None:
    face = find_writing_face((load_face(FaceRequest("fira-sans")),), text)
    if face is None:
        pytest.skip("no font on this computer writes it")
    ways = break_paragraph(text, face, 10.0, 200.0, heading=True, kind=TextKind.PERSONS)
    found = [tuple(line.text.strip(" ") for line in way.lines) for way in ways]
    assert wanted == next(lines for lines in found if len(lines) == 2)
