"""No label, however odd, stops the judging."""

from __future__ import annotations

from dataclasses import replace

from examples import examples
from hypothesis import given, settings
from hypothesis import strategies as st
from rule_labels import Draft, facts

from labelkit.model.runs import ELEMENTS, Box, LetterHeights, Run
from labelkit.rules import Level, find_floors, list_region_titles

_LENGTHS = st.floats(0, 50)
_LANGUAGES = st.sampled_from(["zxx", "en", "fr", "fr-CA", "nl", "x-odd", "", "und", "en-"])
_TEXTS = st.one_of(
    st.text(max_size=30),
    st.sampled_from(
        ["40 g", "0 g (1 oz)", "1/2 oz", "05/2027", "12M", "A, B, , (C", "±", ")(", "½", "/"]
    ),
)
_BOXES = st.builds(Box, _LENGTHS, _LENGTHS, _LENGTHS, _LENGTHS)
_LETTERS = st.builds(
    LetterHeights,
    st.none() | _LENGTHS,
    st.none() | _LENGTHS,
    st.none() | _LENGTHS,
    st.none() | _LENGTHS,
)
_RUNS = st.builds(
    Run,
    text=_TEXTS,
    element=st.sampled_from([*ELEMENTS, "unheard-of"]),
    language=_LANGUAGES,
    face=st.just("Test-Regular"),
    weight=st.integers(1, 1000),
    size_pt=st.floats(0, 50),
    x_mm=_LENGTHS,
    baseline_mm=_LENGTHS,
    advance_mm=_LENGTHS,
    ink=_BOXES,
    letters=_LETTERS,
    colour=st.sampled_from(["#000000", "#ffffff", "#7f7f7f"]),
)
_PANELS = st.sampled_from(["front", "back", "tag", "leaflet", "odd"])


@settings(max_examples=examples(50))
@given(st.lists(st.tuples(_PANELS, _RUNS), max_size=6), st.sampled_from([*list_region_titles()]))
def test_every_label_is_judged(runs: list[tuple[str, Run]], region: str) -> None:
    report = Draft(facts(), tuple(runs)).judged(region)
    assert report.verdict in ("pass", "fail")
    for finding in report.findings:
        assert finding.message.endswith(".")
        assert "\n" not in finding.message
        assert finding.level is Level.NOTE or finding.remedy
        assert finding.citation


@given(
    st.sampled_from(["soap", "cosmetic"]), st.booleans(), st.sampled_from([*list_region_titles()])
)
def test_every_product_has_floors(product_class: str, imported: bool, region: str) -> None:
    known = replace(facts(), product_class=product_class, imported=imported)
    for floor in find_floors(known, [region]).by_element.values():
        assert all(height.least_mm > 0 for height in floor.heights)
