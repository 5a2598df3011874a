"""The commonest favour label of the trade, 38.1 x 25.4 mm (1.5 x 1 in), in every layout."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from command import labelkit
from sample_copies import copy_sample

from labelkit.common import resources
from labelkit.common.errors import InputError
from labelkit.common.quantity import GRAMS_PER_OUNCE
from labelkit.compose import compose_panel
from labelkit.compose.element_words import Wording, Wordings
from labelkit.compose.job import Job
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.job.sheets import Wish, make_sheets_of_file
from labelkit.model.runs import NEUTRAL
from labelkit.order.label import Trim
from labelkit.order.layout import READABLE_MM, STEPS, TighterStep, read_layout
from labelkit.pdf.read import read_panels
from labelkit.plan.order_plan import make_plan
from labelkit.rules.findings import Finding, Level
from labelkit.rules.floors import Floors
from labelkit.rules.label import measure_letters_mm

Event = Callable[..., Path]
ROOT = Path(__file__).resolve().parent.parent
LAYOUTS = sorted(resources.find_layouts_folder().glob("*.toml"))
RECIPES = sorted((ROOT / "samples").glob("*/recipe.toml"))
SAMPLE = ROOT / "samples" / "millpond-wedding" / "label.toml"
SMALL = ('trim = "44 x 28 mm"\nshape = "rounded"\ncorner = "2 mm"', 'trim = "1.5 x 1 in"')
NAMES = ('{ en = "The Lighthouse Supper", fr = "Le Souper du phare" }', '"Ada & Olive"')


@pytest.fixture(params=RECIPES, ids=lambda path: path.parent.name)
def small(request: pytest.FixtureRequest, event: Event) -> Job:
    """The sample label on the small trim, with the recipe of one of the samples."""
    recipe: Path = request.param
    label = event(SMALL, NAMES)
    (label.parent / "recipe.toml").write_bytes(recipe.read_bytes())
    return prepare_job(label)


def told(job: Job, rule: str) -> list[Finding]:
    return [finding for finding in preflight_job(job).findings if finding.rule == rule]


@pytest.mark.quick(1)
def test_every_recipe_fits_legally_in_four_of_five_layouts(small: Job) -> None:
    assert small.spec.trim == Trim(38.1, 25.4)
    assert (small.regions, small.spec.languages) == (("CA",), ("en", "fr"))
    failing: dict[str, list[str]] = {}
    for path in LAYOUTS:
        job = small.with_order(layout=read_layout(path))
        report = preflight_job(job)
        failing[path.stem] = [f.rule for f in report.findings if f.level is Level.FAIL]
        if not failing[path.stem]:
            least = measure_letters_mm(job.composed[1].panel, "ingredients")
            assert least is not None
            # CPLR s. 16: the smallest letters that law allows of anything.
            assert least >= Decimal("0.8")
            warned = [f for f in told(job, "CRAFT-TIGHTER") if f.level is Level.WARN]
            assert bool(warned) == (least < READABLE_MM)
            # The ornament is the layout's character.
            assert not any(composed.fit.left_out for composed in job.composed)
    assert len(LAYOUTS) >= 20
    assert sum(not rules for rules in failing.values()) >= 0.8 * len(LAYOUTS), failing


def test_the_step_and_its_cost_to_a_reader_are_told(event: Event) -> None:
    (found,) = [f for f in told(prepare_job(event(SMALL)), "CRAFT-TIGHTER") if f.panel == "back"]
    assert found.level is Level.WARN
    assert "Set 3 of 5 steps tighter than the layout likes" in found.message
    assert "ingredients, contact, lot at 0.83 mm: legal, hard to read" in found.message


def test_a_label_with_room_stands_on_no_step(event: Event) -> None:
    job = prepare_job(event(('trim = "44 x 28 mm"', 'trim = "56 x 40 mm"')))
    assert [composed.fit.step for composed in job.composed] == [0, 0]
    assert told(job, "CRAFT-TIGHTER") == []


@pytest.mark.long
def test_no_step_is_taken_that_another_above_it_makes_needless(event: Event) -> None:
    """Steps are gone down one by one: on the step above the one told it does not fit."""
    job = prepare_job(event(SMALL))
    back = job.composed[1]
    assert back.fit.step == 3
    fewer = replace(job.layout, steps=STEPS[: back.fit.step - 1])
    refused = told(job.with_order(layout=fewer), "LABELKIT-FIT")
    assert [finding.panel for finding in refused] == ["back"]
    same = replace(job.layout, steps=STEPS[: back.fit.step])
    assert job.with_order(layout=same).composed[1].panel.runs == back.panel.runs


def test_the_tighter_the_step_the_less_the_height_it_needs(event: Event) -> None:
    job = prepare_job(event())
    trims = [Trim(38.1, height) for height in (30.0, 25.4, 22.0, 20.0, 18.5)]
    steps = [job.panel_on("back", trim).fit.step for trim in trims]
    assert steps == sorted(steps)
    assert steps[-1] > steps[0]
    heights = [
        measure_letters_mm(job.panel_on("back", trim).panel, "ingredients") for trim in trims
    ]
    assert heights == sorted(heights, reverse=True)  # type: ignore[type-var]


def test_the_law_holds_letters_up_on_every_step(event: Event) -> None:
    job = prepare_job(event(('trim = "44 x 28 mm"', 'trim = "44 x 29 mm"')), ["US"])
    back = job.composed[1]
    assert back.fit.step > 0
    # 21 CFR 701.3(b): letters of the ingredient list are 1/16 inch tall or more.
    listed = [run for run in back.panel.runs if run.element == "ingredients"]
    heights = [run.letters.capital_mm for run in listed]
    assert heights
    assert all(height is not None and height >= 25.4 / 16 for height in heights)


def test_rows_that_crowd_are_set_a_little_smaller_with_more_space(event: Event) -> None:
    """The gaps of the sample's front, as its layout likes it, would be half of what is liked."""
    job = prepare_job(event())
    front = job.composed[0]
    assert front.fit.step == 1
    (note,) = [f for f in told(job, "CRAFT-TIGHTER") if f.panel == "front"]
    assert note.level is Level.NOTE
    for element in ("place", "date", "scent"):
        height = measure_letters_mm(front.panel, element)
        assert height is not None
        assert height >= READABLE_MM
    # A step that leaves letters too small to read is never taken for looks.
    tight = replace(job.layout, steps=(TighterStep(0.8, 1.1, 1.5),))
    crowded = job.with_order(layout=tight).composed[0]
    assert crowded.fit.step == 0
    assert crowded.fit.gaps < front.fit.gaps


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        ('[[steps]]\nletters = "0.1 mm"\nleading = 1.1\nmargin = "2 mm"', "expected from 0.3 to"),
        (
            '[[steps]]\nletters = "0.8 mm"\nleading = 1.1\nmargin = "2 mm"\n'
            '[[steps]]\nletters = "0.9 mm"\nleading = 1.1\nmargin = "2 mm"',
            "no more than in the step before",
        ),
        ('[[steps]]\nletters = "0.8 mm"\nmargin = "2 mm"', "missing"),
    ],
)
def test_steps_of_a_layout_that_cannot_be_are_one_line(
    tmp_path: Path, steps: str, words: str
) -> None:
    own = tmp_path / "own.toml"
    text = LAYOUTS[0].read_text(encoding="utf-8")
    own.write_text(f"{text}\n{steps}\n", encoding="utf-8")
    with pytest.raises(InputError, match=words) as caught:
        read_layout(own)
    assert "\n" not in str(caught.value)


def test_a_layout_may_give_its_own_steps(tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    text = LAYOUTS[0].read_text(encoding="utf-8")
    step = '[[steps]]\nletters = "0.85 mm"\nleading = 1.1\nmargin = "1.7 mm"\n'
    own.write_text(f"{text}\n{step}", encoding="utf-8")
    (found,) = read_layout(own).steps
    assert (found.letters_mm, found.leading, found.margin_mm) == (0.85, 1.1, 1.7)


def test_an_ornament_left_out_is_a_warning_that_sheet_shows(event: Event, tmp_path: Path) -> None:
    label = event(SMALL, ('layout = "lantern"', 'layout = "tall.toml"'))
    change = '[[front.changes]]\nornament = "rays"\nheight = ["11 mm", "12 mm"]\n'
    own = f'labelkit = 1\nextends = "solstice"\ntitle = "Tall"\n{change}'
    (label.parent / "tall.toml").write_text(own, "utf-8")
    (found,) = told(prepare_job(label), "CRAFT-LEFT-OUT")
    assert found.level is Level.WARN
    assert "rays" in found.message
    done = labelkit("sheet", label, "--out", tmp_path / "out")
    assert "There was no room for the rays" in done.stderr


@pytest.mark.parametrize(
    "layouts", [LAYOUTS[::3], pytest.param(LAYOUTS, marks=pytest.mark.long)], ids=["some", "all"]
)
def test_names_take_a_third_line_where_two_do_not_hold_them(
    event: Event, layouts: list[Path]
) -> None:
    job = prepare_job(event((NAMES[0], '"Wilhelmina Oosterbeek & Bartholomew Featherstone"')))
    lines = ["Wilhelmina Oosterbeek", "& Bartholomew", "Featherstone"]
    for path in layouts:
        laid = job.with_order(layout=read_layout(path))
        plan = laid.layout.panel("front")
        beside_mm = plan.keep_clear_mm[1] + plan.keep_clear_mm[3]  # a stem, a column
        wide, narrow = (
            laid.panel_on("front", Trim(width + beside_mm, 50.0)) for width in (56.0, 26.0)
        )
        for front, wanted in ((wide, {1, 2}), (narrow, {2, 3})):
            names = [run.text.strip() for run in front.panel.runs if run.element == "names"]
            if "names" in front.lettered:  # drawn as outlines, which are in no run
                continue
            if any(block.part for block in plan.blocks):  # each of the two on a line of its own
                assert len(names) >= 3
                continue
            assert len(names) in wanted
            assert len(names) < 3 or (names == lines and front.fit.step > 0)


# -- ornaments beside the names --------------------------------------------------------------------


def test_a_leaf_stands_at_either_side_of_the_names() -> None:
    layout = read_layout(SAMPLE.parent / "figleaf.toml")
    words: Wordings = {"names": (Wording(NEUTRAL, "Théo"),)}
    panel = compose_panel("front", layout, words, Floors(), Trim(38.1, 25.4)).panel
    left, right = sorted(panel.ornaments, key=lambda ornament: ornament.box.x0_mm)
    (run,) = [run for run in panel.runs if run.text.strip()]
    assert left.box.x1_mm < run.ink.x0_mm < run.ink.x1_mm < right.box.x0_mm
    # Symmetric about the middle of the label, and level with the names.
    assert left.box.x0_mm + right.box.x1_mm == pytest.approx(panel.width_mm, abs=0.02)
    for box in (left.box, right.box):
        assert box.x0_mm >= panel.safe_mm - 0.02
        assert box.x1_mm <= panel.width_mm - panel.safe_mm + 0.02
        assert run.ink.y0_mm - 0.02 <= box.y0_mm < box.y1_mm <= run.ink.y1_mm + 0.02


def test_names_leave_room_for_what_stands_beside_them() -> None:
    layout = read_layout(SAMPLE.parent / "figleaf.toml")
    words: Wordings = {"names": (Wording(NEUTRAL, "Wilhelmina & Bartholomew"),)}
    panel = compose_panel("front", layout, words, Floors(), Trim(38.1, 25.4)).panel
    left, right = sorted(panel.ornaments, key=lambda ornament: ornament.box.x0_mm)
    for run in panel.runs:
        assert left.box.x1_mm < run.ink.x0_mm < run.ink.x1_mm < right.box.x0_mm
    assert left.box.x0_mm >= panel.safe_mm - 0.02


# -- the sample event ------------------------------------------------------------------------------


def test_the_sample_is_what_the_trade_makes() -> None:
    """Common practice, no source: a bar in four, pieces of 1 to 1.5 oz, film, clear squares."""
    job = prepare_job(SAMPLE)
    spec, recipe = job.spec, job.recipe
    ounces = spec.product.net_weight_g / GRAMS_PER_OUNCE
    assert 1 <= ounces <= Decimal("1.5")
    assert spec.trim == Trim(38.1, 25.4)
    assert (job.stock.die_width_mm, job.stock.die_height_mm) == (45.72, 45.72)
    assert job.facts.clear_on("front") and job.facts.clear_on("back")
    assert len(spec.event.guest_names) == len(set(spec.event.guest_names)) == 80
    assert recipe.superfat is not None
    assert 3 <= recipe.superfat.percent <= 8
    oils_g = {oil.material: oil.mass_g for oil in recipe.oils}
    share = {name: mass / sum(oils_g.values()) for name, mass in oils_g.items()}
    assert 0.2 <= share["coconut oil"] <= 0.35
    assert share["castor oil"] <= 0.1
    assert recipe.cure.weeks is not None and 4 <= recipe.cure.weeks <= 8
    plan = make_plan(job, dt.date(2026, 11, 29))
    assert plan.counts.per_bar == 4
    mould = plan.spec.making.mould
    assert mould is not None
    # The face of a piece is a quarter of the bar, which is as wide and as high as the loaf.
    assert (job.facts.face.width_mm, job.facts.face.height_mm) == (96 / 2, 68 / 2)


def test_the_sample_passes_without_a_warning_and_begins_on_its_part_used_sheet(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "event"
    copy_sample(SAMPLE.parent, folder)
    made = make_sheets_of_file(folder / "label.toml", tmp_path / "out", Wish(remember=True))
    levels = {f.level for f in made.report.findings}
    assert Level.FAIL not in levels
    assert Level.WARN not in levels
    front = read_panels(made.files[0])
    texts = [run.text for place in front.panels for run in place.panel.runs]
    for name in prepare_job(SAMPLE).spec.event.guest_names:
        assert texts.count(name) == 1
    assert any("Begun at position 7" in line for line in made.summary)
    # 88 labels from position 7 of sheets of 20: 6 + 88 = 94, so the fifth sheet has 14 used.
    assert "start = 15" in (folder / "part-used.toml").read_text(encoding="utf-8")


def test_a_logo_goes_before_any_word_and_is_told(event: Event) -> None:
    """Its place is the ornament's: what was asked for in words stays on the label."""
    label = event(
        ("[label]\n", '[label]\nlogo = "logo.svg"\n'),
        ('trim = "44 x 28 mm"\nshape = "rounded"\ncorner = "2 mm"', 'trim = "38.1 x 19 mm"'),
    )
    svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20">'
    drawing = f'{svg}<path d="M0 0H40V20H0Z"/></svg>'
    (label.parent / "logo.svg").write_text(drawing, encoding="utf-8")
    job = prepare_job(label)
    front = job.panel_on("front", job.spec.trim)
    assert front.fit.left_out == ("logo",)
    shown = {run.element for run in front.panel.runs if run.text.strip()}
    assert {"names", "place", "date", "scent", "identity", "net-quantity"} <= shown
    (found,) = [f for f in told(job, "CRAFT-LEFT-OUT") if f.panel == "front"]
    assert found.level is Level.WARN
    assert "logo" in found.message
