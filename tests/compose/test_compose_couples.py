"""Sixteen couples in every layout at 38.1 x 25.4 mm: what must not differ from piece to piece.

Invented names, of scripts and orthographies that are usual at Canadian weddings.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from compose_checks import check_apart

from labelkit.checks.craft import check_contrast
from labelkit.common import resources
from labelkit.common.errors import FitError
from labelkit.compose import compose_panel
from labelkit.compose.element_words import Wording, Wordings
from labelkit.compose.job import Job
from labelkit.job.prepare import prepare_job
from labelkit.model.runs import Run, list_element_texts
from labelkit.order.label import Trim
from labelkit.order.layout import read_layout
from labelkit.rules.floors import Floors
from labelkit.typeset.casing import convert_to_capitals

Event = Callable[..., Path]
LAYOUTS = sorted(resources.find_layouts_folder().glob("*.toml"))
TRIM = Trim(38.1, 25.4)
CAPITALS = {
    # Names that may stand in capitals, and how they then do.
    "Ada & Olive": "ADA & OLIVE",
    "Zoé & Élodie": "ZOÉ & ÉLODIE",
    "Siobhán & Tom": "SIOBHÁN & TOM",
    "Phượng & Minh": "PHƯỢNG & MINH",
    "Άννα & Νίκος": "ΑΝΝΑ & ΝΙΚΟΣ",
    "Олена & Марко": "ОЛЕНА & МАРКО",
    "Caoimhe & Seán": "CAOIMHE & SEÁN",
}
AS_TYPED = [
    # Names that say less in capitals, or whose script has none.
    "Anne McLean & Ida", "Ana de la Cruz & Tom", "Jürgen Groß & Zoé", "Gökçe & Ağça",
    "ليلى & Yusuf", "נועה & Maya", "अनु & Ravi", "ธนพ & Mali", "陳美玲 & Mei-Ling",
]  # fmt: skip
COUPLES = [*CAPITALS, *AS_TYPED]
GUESTS = (("Jo", "Bo"), ("Mary-Lou O’Dell", "Ida McLean"), ("נועה", "अनु"))


def set_for(job: Job, couple: str) -> Job:
    """The label with these names, on the small trim."""
    spec = job.spec
    names = dict.fromkeys(spec.languages, couple)
    return job.with_order(spec=replace(spec, trim=TRIM, event=replace(spec.event, names=names)))


def with_guests(job: Job, guests: tuple[str, ...]) -> Job:
    spec = job.spec
    event = replace(spec.event, guest_names=guests)
    return job.with_order(spec=replace(spec, event=event))


def names_of(runs: tuple[Run, ...]) -> list[str]:
    return [run.text.strip() for run in runs if run.element == "names"]


def check_couple(job: Job, couple: str) -> None:
    small = set_for(job, couple)
    fronts = []
    for guests in GUESTS:
        order = with_guests(small, guests)
        try:
            fronts.append(order.composed[0])
        except FitError as error:
            pytest.skip(str(error))
        # Each guest's name is as it was typed, whatever the couple's setting is.
        runs = order.guest_runs["front"]
        assert [run.text for name in guests for run in runs[name]] == list(guests)
    front = fronts[0]
    # Whoever the guests are: same words, faces, sizes, places, ornaments, and nothing left out.
    for other in fronts[1:]:
        assert other.panel.runs == front.panel.runs
        assert other.panel.ornaments == front.panel.ornaments
        assert other.fit.left_out == front.fit.left_out
    assert not list(check_contrast(front.panel, job.facts))
    assert [text.text for text in list_element_texts(front.panel, "net-quantity")] == ["40\u00a0g"]
    if "names" in front.lettered:  # drawn as outlines, which are in no run
        assert names_of(front.panel.runs) == []
        return
    lines = names_of(front.panel.runs)
    small_capitals = any("Caps" in run.face for run in front.panel.runs if run.element == "names")
    said = " ".join(lines)
    if couple in AS_TYPED:
        assert said == couple and not (small_capitals and re.search("[ßğ]|Mc|de la", couple))
    else:
        assert said in (couple, CAPITALS[couple])
    # A sign that joins two names on a line of its own may be larger than they are.
    people = [r for r in front.panel.runs if r.element == "names" and r.text.strip() != "&"]
    # In the layout's own face, with a companion for another script where one of them needs it.
    assert len({(r.face.split("+")[0], r.size_pt) for r in people}) == 1
    # "&" leads a line or stands alone; no particle ends one (common practice, no source).
    assert not any(re.search(r"\S\s+&$|(?:^|\s)(?:de|la)$", line) for line in lines)


PAIRS = [
    pytest.param(
        path,
        couple,
        # Each couple in one layout and each layout once or twice; all of them in the long run.
        marks=[] if (number - at) % len(COUPLES) == 0 else [pytest.mark.long],
        id=f"{path.stem}-{number}",
    )
    for at, path in enumerate(LAYOUTS)
    for number, couple in enumerate(COUPLES)
]


@pytest.mark.parametrize(("path", "couple"), PAIRS)
@pytest.mark.quick(6)
def test_pieces_of_an_order_differ_in_nothing_but_the_guest(
    path: Path, couple: str, event: Event
) -> None:
    check_couple(prepare_job(event()).with_order(layout=read_layout(path)), couple)


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
@pytest.mark.parametrize("couple", ["Ada & Olive", "Wilhelmina Oosterbeek & Ivo Featherstone"])
@pytest.mark.quick(6)
def test_a_guest_is_told_apart_from_the_couple(path: Path, couple: str, event: Event) -> None:
    """By space always, and more so than lines of the couple's are apart, or by a smaller size or
    another face (common practice, no source)."""
    job = set_for(prepare_job(event()).with_order(layout=read_layout(path)), couple)
    order = with_guests(job, ("Élodie Ash", "Jo"))
    front = order.composed[0]
    names = [run for run in front.panel.runs if run.element == "names"]
    (guest,) = order.guest_runs["front"]["Élodie Ash"]
    if "names" in front.lettered:  # cut out of a band or set along the trim
        assert names == []
        assert guest.text.strip() == "Élodie Ash"
        return
    between = min(run.ink.y0_mm for run in names) - guest.ink.y1_mm
    lines = [a.ink.y0_mm - b.ink.y1_mm for a, b in pairwise(names)]
    assert between > 0.8
    wider = all(between > gap + 0.2 for gap in lines)
    smaller = guest.size_pt < 0.92 * min(run.size_pt for run in names)
    other_face = guest.face not in {run.face for run in names}
    assert wider or smaller or other_face


STACKS = [
    (("en", "Maya & Tom"), ("he", "מאיה ותום")),
    (("fr", "Léa et Yusuf"), ("ar", "ليا ويوسف")),
    (("en", "Anna & Ravi"), ("hi", "अन्ना और रवि")),
    (("el", "Άννα & Νίκος"), ("en", "Anna & Nikos")),
]


@pytest.mark.parametrize("path", LAYOUTS[::3], ids=lambda path: path.stem)
@pytest.mark.parametrize("stack", STACKS, ids=lambda stack: stack[1][0])
@pytest.mark.quick(12)
def test_names_of_two_scripts_stand_one_above_the_other(
    path: Path, stack: tuple[tuple[str, str], ...]
) -> None:
    words: Wordings = {"names": tuple(Wording(language, text) for language, text in stack)}
    composed = compose_panel("front", read_layout(path), words, Floors(), Trim(40.0, 40.0))
    runs = [run for run in composed.panel.runs if run.text.strip()]
    names = [run for run in runs if run.element == "names"]
    if not names:
        assert "names" in composed.lettered
        return
    for language, text in stack:
        said = " ".join(run.text.strip() for run in names if run.language == language)
        assert said in (text, convert_to_capitals(text, language))
    assert len({run.size_pt for run in names if run.text.strip() != "&"}) == 1
    # One above the other, or where there is room beside it.
    first, second = (next(run for run in names if run.language == code) for code, _ in stack)
    beside = first.baseline_mm == second.baseline_mm and first.x_mm < second.x_mm
    assert first.baseline_mm > second.baseline_mm or beside
    check_apart(composed)


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
@pytest.mark.quick(6)
def test_names_of_two_scripts_break_between_the_people(path: Path) -> None:
    words: Wordings = {"names": (Wording("en", "ליאור & Samantha"),)}
    composed = compose_panel("front", read_layout(path), words, Floors(), Trim(30.0, 40.0))
    allowed = (["ליאור & Samantha"], ["ליאור", "& Samantha"], ["ליאור", "&", "Samantha"])
    lettered = "names" in composed.lettered
    assert lettered or names_of(composed.panel.runs) in allowed


def test_sixteen_couples_are_tried() -> None:
    assert len(set(COUPLES)) == 16
