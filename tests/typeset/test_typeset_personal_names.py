"""Names of people: where they break, and which are never set in capitals."""

from __future__ import annotations

import pytest

from labelkit.typeset.breaking import break_paragraph
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
    ways = break_paragraph(text, face, 10.0, 200.0, heading=True, persons=True)
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
