"""Blank parts of letters beside fontTools, which lays out every glyph: the reference."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from fontTools.ttLib import TTFont

from labelkit.typeset.faces import FaceRequest, load_face
from labelkit.typeset.glyph_parts import GlyphParts

FAMILIES = {"fira-sans": 1, "marcellus": 0}
"""Families with letters put together of parts, and how their loca tables are written."""


def has_blank_part(glyf: Any, name: str) -> bool:
    glyph = glyf[name]
    if not glyph.isComposite():
        return not glyph.numberOfContours
    return any(has_blank_part(glyf, part.glyphName) for part in glyph.components)


def compare_with_fonttools(data: bytes) -> list[bool]:
    font = TTFont(io.BytesIO(data))
    parts, glyf = GlyphParts(data), font["glyf"]
    found = [parts.has_blank_part(number) for number in range(len(font.getGlyphOrder()))]
    assert found == [has_blank_part(glyf, name) for name in font.getGlyphOrder()]
    assert any(glyf[name].isComposite() for name in font.getGlyphOrder())
    return found


@pytest.fixture(params=FAMILIES)
def path(request: pytest.FixtureRequest) -> Path:
    found = load_face(FaceRequest(request.param)).path
    assert TTFont(found)["head"].indexToLocFormat == FAMILIES[request.param]
    return found


def test_every_glyph_of_a_font_as_it_is_used(path: Path) -> None:
    found = compare_with_fonttools(path.read_bytes())
    assert any(found), "the space"
    assert not all(found)


def test_an_accent_that_is_blank_makes_its_letters_blank(path: Path) -> None:
    font = TTFont(path, recalcBBoxes=False)
    glyf, letters = font["glyf"], font.getBestCmap()
    accented = next(
        name
        for point, name in letters.items()
        if chr(point) in "éèêñöüàçâô" and glyf[name].isComposite()
    )
    accent = glyf[accented].components[-1].glyphName
    glyf[accent] = type(glyf[accent])()
    stream = io.BytesIO()
    font.save(stream)
    found = compare_with_fonttools(stream.getvalue())
    assert found[font.getGlyphID(accented)]
