"""Everyday names print as composed, in the face of every layout."""

from __future__ import annotations

import io
import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest

from labelkit.cli import main
from labelkit.common import resources
from labelkit.compose import ComposedPanel, make_run
from labelkit.compose.job import Job
from labelkit.impose.sheet import LabelPlace, Sheet
from labelkit.job.prepare import prepare_job
from labelkit.model.runs import Panel
from labelkit.pdf.compare import compare_pages
from labelkit.pdf.read import read_pages
from labelkit.pdf.write.draw import DocumentInfo, Page, SheetSide, draw_pages
from labelkit.typeset.faces import Face

Event = Callable[..., Path]

LAYOUTS = sorted(path.stem for path in resources.find_layouts_folder().glob("*.toml"))
# Common given names of English and French speakers (from memory), in pairs nobody in particular is.
GIVEN = (
    "Nova", "Lucas", "Emma", "Noah", "Olivia", "Liam", "Charlotte", "Oliver", "Amelia", "James",
    "Sophia", "William", "Isabella", "Henry", "Ava", "Theodore", "Mia", "Jack", "Evelyn", "Levi",
    "Luna", "Samuel", "Harper", "Mateo", "Grace", "Thomas", "Chloé", "Gabriel", "Juliette", "Rémi",
    "Camille", "Léo", "Manon", "Hugo", "Agathe", "Félix", "Zoé", "Étienne", "Océane", "Jérôme",
    "Anaïs", "Loïc", "Élodie", "François", "Maëlys", "Benoît",
)  # fmt: skip
JOINED = ("{} & {}", "{} and {}", "{} et {}", "{} + {}")
PAIRS = tuple(
    JOINED[number % len(JOINED)].format(*pair) for number, pair in enumerate(combinations(GIVEN, 2))
)[:1000]
EVERY_PAIR = bool(os.environ.get("LABELKIT_EVERY_PAIR"))
ROOMY = (
    ('trim = "44 x 28 mm"', 'trim = "65 x 50 mm"'),
    ('package_face = "60 x 45 mm"', 'package_face = "75 x 60 mm"'),
)


def laid_out(event: Event, layout: str) -> Job:
    return prepare_job(event(('layout = "lantern"', f'layout = "{layout}"'), *ROOMY))


def front(job: Job, names: str) -> ComposedPanel:
    spec = replace(job.spec, event=replace(job.spec.event, names={"": names}))
    return job.with_order(spec=spec).panel_on("front", spec.trim)


def unlike(panels: Iterable[tuple[Panel, dict[str, Face]]]) -> list[str]:
    """What of these panels, one to a page, does not print as composed."""
    sides = [SheetSide(panel, faces, lambda _: ()) for panel, faces in panels]
    pages = [
        Page(
            number,
            Sheet(
                side.panel.width_mm,
                side.panel.height_mm,
                (LabelPlace(0, 0, 0, side.panel.width_mm, side.panel.height_mm),),
            ),
        )
        for number, side in enumerate(sides)
    ]
    stream = io.BytesIO()
    draw_pages(stream, sides, pages, DocumentInfo("Names", "en"))
    return list(compare_pages(sides, [0], pages, read_pages(stream, "names.pdf")))


def composed_unlike(job: Job, pairs: Sequence[str]) -> list[str]:
    fronts = [front(job, names) for names in pairs]
    return unlike((composed.panel, dict(composed.faces)) for composed in fronts)


def test_there_are_a_thousand_pairs() -> None:
    assert len(set(PAIRS)) == 1000


def test_an_ordinary_wedding_prints(event: Event, tmp_path: Path) -> None:
    """Letters of a face with 2000 units to the em, each half a thousandth off, add up."""
    label = event(
        ('layout = "lantern"', 'layout = "bunting"'),
        ('names = { en = "The Lighthouse Supper", fr = "Le Souper du phare" }',
         'names = "Nova & Lucas"'),
        *ROOMY,
    )  # fmt: skip
    with pytest.raises(SystemExit) as done:
        main(["sheet", str(label), "--out", str(tmp_path / "out")])
    assert done.value.code == 0


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.quick(2)
def test_a_thousand_pairs_are_as_long_as_measured(event: Event, layout: str) -> None:
    """Set in the layout's own face for names, one under the other, as large as names get."""
    composed = front(laid_out(event, layout), PAIRS[0])
    set_so = next((run for run in composed.panel.runs if run.element == "names"), None)
    if set_so is None:  # names drawn as outlines are in no run
        assert any("names" in str(one) for one in composed.lettered)
        return
    face = composed.faces[set_so.face]
    runs = tuple(
        make_run(text, "names", "en", face, 24, 10, 10 + 12 * line, set_so.tracking_em)
        for line, text in enumerate(PAIRS)
    )
    panel = Panel("front", 400, 12 * len(PAIRS) + 20, runs=runs)
    assert unlike([(panel, {face.name: face})]) == []


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.quick(2)
def test_some_pairs_print_as_composed(event: Event, layout: str) -> None:
    assert composed_unlike(laid_out(event, layout), PAIRS[::250]) == []


@pytest.mark.long
@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_pair_prints_as_composed_in_some_layouts(event: Event, layout: str) -> None:
    """Each layout takes every fourth pair, another fourth than the layout before it; all of them,
    a quarter of an hour's work, where the environment says LABELKIT_EVERY_PAIR (.ci/optional)."""
    job = laid_out(event, layout)
    pairs = PAIRS if EVERY_PAIR else PAIRS[LAYOUTS.index(layout) % 4 :: 4]
    wrong = [
        said
        for start in range(0, len(pairs), 50)
        for said in composed_unlike(job, pairs[start : start + 50])
    ]
    assert wrong == []
