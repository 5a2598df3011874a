"""labelkit's own checks: each has a label that just passes and one that does not."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import pytest
from drawn import drawn_sheets
from fontTools.ttLib import TTFont
from pypdfium2 import PdfDocument

from labelkit.checks.craft import (
    CheckedLabel,
    _check_gaps,
    _check_overlaps,
    check_contrast,
    check_craft,
)
from labelkit.common import resources
from labelkit.compose import ComposedPanel, make_run
from labelkit.compose.arrangements import load_spec_face
from labelkit.compose.job import Job
from labelkit.impose.sheet import LabelPlace, Sheet
from labelkit.job.prepare import leave_white_out, preflight_job, prepare_job
from labelkit.model.runs import Ornament, Panel
from labelkit.order.inks import load_inks
from labelkit.order.layout import read_layout
from labelkit.rules.findings import Finding, Level
from labelkit.rules.kinds.setting import contrast_ratio, measure_contrast, mix_colours
from labelkit.typeset.faces import Face, FaceRequest, load_face

Event = Callable[..., Path]


def rules_of(job: Job) -> dict[str, Finding]:
    return {f.rule: f for f in preflight_job(job).findings if f.rule.startswith("CRAFT-")}


def on_clear(label: Path, ink: str = "#000000") -> Job:
    job = prepare_job(label)
    facts = replace(job.facts, clear_stock=True)
    return replace(job, facts=facts).with_order(spec=replace(job.spec, colour=ink))


def test_the_sample_passes_every_check(sample: Path) -> None:
    found = rules_of(prepare_job(sample))
    # Its front is set a step tighter than the layout likes, and still read by most: a note.
    assert {rule: finding.level for rule, finding in found.items()} == {"CRAFT-TIGHTER": Level.NOTE}


@pytest.mark.parametrize(
    ("ink", "passes"),
    [
        # WCAG 2.2, "Understanding 1.4.3": #767676 on white is 4.54 : 1, #777777 is 4.48 : 1.
        ("#767676", True),
        ("#777777", False),
        ("#000000", True),
        ("#ffffff", False),
    ],
)
def test_contrast_on_paper_is_that_of_wcag(event: Event, ink: str, passes: bool) -> None:
    job = prepare_job(event(('layout = "lantern"', f'layout = "lantern"\ncolour = "{ink}"')))
    found = rules_of(job).get("CRAFT-CONTRAST")
    assert (found is None) == passes
    if found is not None:
        # 1 : 1 cannot be read at all; 4.48 : 1 is hard to read.
        assert found.level is (Level.FAIL if ink == "#ffffff" else Level.WARN)
        assert "WCAG" in found.citation


@pytest.mark.parametrize("region", ["CA", "US"])
def test_a_ground_has_one_figure_wherever_it_is_told(event: Event, region: str) -> None:
    """#777777 on kraft of #c4a57b lets 119 of 255 parts of each colour through: #5b4d39."""
    ink = 'layout = "lantern"\ncolour = "#777777"\nstock = "letter-plain-kraft"'
    job = prepare_job(event(('layout = "lantern"', ink)), (region,))
    findings = [f for f in preflight_job(job).findings if "CONTRAST" in f.rule]
    assert {f.rule for f in findings} == {f"{region}-QUANTITY-CONTRAST", "CRAFT-CONTRAST"}
    (figure,) = {str(f.measured) for f in findings}
    expected = contrast_ratio("#5b4d39", "#c4a57b")
    assert Decimal(figure) == pytest.approx(expected, abs=Decimal("0.02"))
    assert all("#c4a57b" in f.message for f in findings)


@pytest.mark.parametrize("region", ["CA", "US", "BE", "FI", "GB", "AU", "NZ"])
@pytest.mark.parametrize(
    ("stock", "ink", "passes"),
    [
        # Of #888888 white paper keeps 3.54 : 1 (from memory), of #555555 7.46 : 1 (the same).
        ("letter-plain", "#888888", False),
        ("letter-plain", "#555555", True),
        ("letter-plain-kraft", "#777777", False),
        ("letter-plain-kraft", "#444444", True),
        ("letter-plain-clear", "#555555", True),
        ("letter-plain-clear", "#888888", False),
    ],
)
@pytest.mark.quick(8)
def test_every_word_is_held_against_its_ground_wherever_it_is_sold(
    event: Event, region: str, stock: str, ink: str, passes: bool
) -> None:
    """Whether a law of the region asks for contrast or not: all that is printed in that ink."""
    own = f'layout = "lantern"\ncolour = "{ink}"\nstock = "{stock}"'
    job = prepare_job(event(('layout = "lantern"', own)), (region,))
    found = [f for f in preflight_job(job).findings if f.rule == "CRAFT-CONTRAST"]
    assert (not found) == passes
    for panel in () if passes else job.panels:
        said = {run.element for run in panel.runs if run.text.strip()} - {"separator"}
        (finding,) = (f for f in found if f.panel == panel.name)
        assert ink in finding.message
        assert finding.message.count(",") + 2 >= len(said)  # each is named


@pytest.mark.parametrize("stock", ["letter-plain-kraft", "letter-plain-clear"])
def test_white_under_the_label_is_the_ground_at_a_works_alone(event: Event, stock: str) -> None:
    """On a dark soap black can hardly be read; on white it is 21 : 1, and #888888 3.54 : 1 (WCAG;
    from memory)."""
    own = f'layout = "lantern"\nstock = "{stock}"\nwhite_under = true\ncolour = "#888888"'
    soap = ('soap_colour = "#e9c98f"', 'soap_colour = "#3a2a20"')
    job = prepare_job(event(('layout = "lantern"', own), soap))
    on_white = rules_of(job)["CRAFT-CONTRAST"]
    assert "on #ffffff" in on_white.message
    assert Decimal(str(on_white.measured)) == pytest.approx(Decimal("3.54"), abs=Decimal("0.01"))
    at_home = rules_of(leave_white_out(job))["CRAFT-CONTRAST"]
    assert {"#c4a57b", "#3a2a20"} & set(re.findall("#[0-9a-f]{6}", at_home.message))
    black = prepare_job(event(("#888888", "#000000")))
    assert "CRAFT-CONTRAST" not in rules_of(black)
    assert ("CRAFT-CONTRAST" in rules_of(leave_white_out(black))) == stock.endswith("clear")


def test_an_accent_with_white_under_it_shows_as_it_is(event: Event) -> None:
    """#b0802a is 1.5 : 1 on kraft of #c4a57b where it covers it, 3.5 : 1 where it darkens it."""
    own = 'layout = "lantern"\nstock = "letter-plain-kraft"\naccent = "#b0802a"'
    job = prepare_job(event(('layout = "lantern"', own + "\nwhite_under_accent = true")))
    front = job.composed[0].panel
    covered, ground = measure_contrast("#b0802a", front, job.facts)
    mixed, _ = measure_contrast("#b0802a", front, leave_white_out(job).facts)
    assert ground == "#c4a57b"
    assert covered == contrast_ratio("#b0802a", ground)
    assert mixed == contrast_ratio(mix_colours("#b0802a", ground), ground) > covered


def test_a_guests_name_is_held_against_its_ground(event: Event) -> None:
    """In a layout that sets it in an ink of its own."""
    label = event(("guests = 60", 'guest_list = "guests.csv"'))
    (label.parent / "guests.csv").write_text("name\nAda\n", encoding="utf-8")
    job = prepare_job(label)
    front = job.composed[0].panel
    runs = next(iter(job.guest_runs["front"].values()))
    pale = tuple(replace(run, colour="#cccccc") for run in runs)
    (found,) = check_contrast(front, job.facts, pale)
    assert "guest" in found.message
    assert list(check_contrast(front, job.facts, runs)) == []


def test_a_tint_on_kraft_is_darker_than_either(sample: Path) -> None:
    """Half of the light of each, which text is read on; letters left out of it show the kraft."""
    job = prepare_job(sample)
    front = replace(job.composed[0].panel, background="#625340", stock_colour="#c4a57b")
    ratio, ground = measure_contrast("#ffffff", front, job.facts)
    assert ground == "#625340"
    assert ratio == contrast_ratio("#c4a57b", "#625340")


@pytest.mark.parametrize(
    ("stock", "says", "clear"),
    [
        ("a4-3x8-70x37", "", False),
        ("a4-3x8-70x37", "clear = true", True),  # ready-cut film, whose geometry is the paper's
        ("a4-plain-clear", "", True),
        ("a4-plain-clear", "clear = false", False),
    ],
)
def test_the_label_says_whether_it_is_clear_where_the_stock_does_not(
    event: Event, stock: str, says: str, clear: bool
) -> None:
    label = event(
        (
            'layout = "lantern"',
            f'layout = "lantern"\nstock = "{stock}"\n{says}\ncolour = "#a08050"',
        ),
        ('soap_colour = "#e9c98f"', 'soap_colour = "#806040"'),
    )
    job = prepare_job(label)
    assert job.facts.clear_stock == clear
    # Brown ink on brown soap: what is seen of it depends on the soap behind a clear label alone.
    found = rules_of(job).get("CRAFT-CONTRAST")
    assert ("on #806040" in found.message if found else False) == clear


@pytest.mark.parametrize(
    ("ink", "passes"), [("#000000", True), ("#ffffff", False), ("#ffe9c0", False)]
)
def test_on_clear_stock_white_and_pale_ink_vanish_and_black_stands(
    sample: Path, ink: str, passes: bool
) -> None:
    assert ("CRAFT-CONTRAST" not in rules_of(on_clear(sample, ink))) == passes


def test_black_on_a_dark_soap_is_hard_to_read(sample: Path) -> None:
    job = on_clear(sample)
    dark = replace(job, facts=replace(job.facts, soap_colour="#3a2a20"))
    assert "CRAFT-CONTRAST" in rules_of(dark)
    unknown = replace(job, facts=replace(job.facts, soap_colour=None))
    assert "CRAFT-SOAP-COLOUR" in rules_of(unknown)


@pytest.mark.parametrize(
    ("stroke_mm", "clear", "passes"),
    [
        # One dot at 300 dpi is 25.4 / 300 = 0.0847 mm; half as much again is 0.127 mm.
        (0.085, False, True),
        (0.084, False, False),
        (0.128, True, True),
        (0.126, True, False),
    ],
)
def test_thin_strokes_are_told(sample: Path, stroke_mm: float, clear: bool, passes: bool) -> None:
    job = prepare_job(sample)
    front = job.composed[0]
    ornament = Ornament("M0 0L1 1", front.panel.trim, stroke_mm=stroke_mm)
    panel = replace(front.panel, runs=(), ornaments=(ornament,))
    facts = replace(job.facts, clear_stock=clear)
    craft = CheckedLabel((replace(front, panel=panel),), job.layout, facts, False, {})
    found = [f for f in check_craft(craft) if f.rule == "CRAFT-STROKE"]
    assert (found == []) == passes


def test_a_shape_the_layout_was_not_drawn_for_is_told(event: Event) -> None:
    label = event(('layout = "lantern"', 'layout = "own.toml"'))
    shipped = Path(__file__).resolve().parents[2] / "layouts" / "lantern.toml"
    text = shipped.read_text(encoding="utf-8")
    line = next(line for line in text.splitlines() if line.startswith("shapes"))
    own = text.replace(line, 'shapes = ["round"]')
    (label.parent / "own.toml").write_text(own, encoding="utf-8")
    assert "CRAFT-SHAPE" in rules_of(prepare_job(label))


def test_a_face_that_lacks_letters_is_told(event: Event) -> None:
    names = 'names = { en = "The Lighthouse Supper", fr = "Le Souper du phare" }'
    job = prepare_job(event((names, 'names = "Ελένη & Σοφία"')))
    found = rules_of(job)["CRAFT-FACE"]
    assert found.element == "names"
    assert found.level is Level.NOTE


def test_guests_in_another_face_are_named(event: Event) -> None:
    label = event(("guests = 60", 'guest_list = "guests.csv"'))
    guests = label.parent / "guests.csv"
    guests.write_text("name\nZoë\nΑλεξάνδρα\n", encoding="utf-8")
    found = rules_of(prepare_job(label))["CRAFT-GUEST-FACE"]
    assert "Αλεξάνδρα" in found.message
    assert "Zoë" not in found.message


def test_what_there_is_no_room_for_is_told(event: Event) -> None:
    # Two long lines of thanks on a small label push out what the layout calls optional.
    label = event(('trim = "44 x 28 mm"', 'trim = "40 x 25 mm"'))
    with label.open("a", encoding="utf-8") as stream:
        thanks = "Thank you for coming all the way to the end of the road with us"
        stream.write(f'\n[front]\nthanks = {{ en = "{thanks}", fr = "{thanks}" }}\n')
    job = prepare_job(label)
    left_out = job.composed[0].fit.left_out
    assert left_out
    told = [f for f in preflight_job(job).findings if f.rule == "CRAFT-LEFT-OUT"]
    assert len(told) == len(left_out)


def test_ink_that_cannot_be_read_fails(event: Callable[..., Path]) -> None:
    # White on white paper: contrast 1 : 1 by WCAG 2.2's own definition.
    label = event(('layout = "lantern"', 'layout = "lantern"\ncolour = "#ffffff"'))
    found = [f for f in preflight_job(prepare_job(label)).findings if f.rule == "CRAFT-CONTRAST"]
    assert found
    assert all(finding.level == "fail" for finding in found)


def test_letters_that_run_into_another_line_are_told() -> None:
    face = load_face(FaceRequest("fira-sans"))
    low = make_run("Ép", "names", "fr", face, 12, 5, 10)
    clear = make_run("go", "date", "fr", face, 12, 5, 16)
    close = make_run("go", "date", "fr", face, 12, 5, 13.5)
    for upper, touching in ((clear, False), (close, True)):
        panel = Panel("front", 40, 30, runs=(low, upper))
        made = ComposedPanel(panel, {face.name: face})
        assert bool(list(_check_overlaps(made, ()))) is touching


@pytest.mark.parametrize("shape", ["rectangle", "rounded", "oval"])
@pytest.mark.parametrize(
    ("margin_mm", "passes"),
    # A cut strays by up to a millimetre (common practice, no source).
    [("0", False), ("0.4", False), ("1.2", True)],
)
def test_words_that_the_cut_may_take_are_told(
    event: Event, shape: str, margin_mm: str, passes: bool
) -> None:
    # Larger than the layout was drawn for, so that the margin does not shrink.
    label = event(
        ('layout = "lantern"', 'layout = "own.toml"'),
        ('trim = "44 x 28 mm"', 'trim = "64 x 44 mm"'),
        ('shape = "rounded"\ncorner = "2 mm"', f'shape = "{shape}"'),
    )
    margins = "".join(f'[{side}]\nmargin = "{margin_mm} mm"\n' for side in ("front", "back"))
    own = f'labelkit = 1\nextends = "ledger"\ntitle = "Own"\n{margins}'
    (label.parent / "own.toml").write_text(own, encoding="utf-8")
    job = prepare_job(label)
    found = [f for f in preflight_job(job).findings if f.rule == "CRAFT-MARGIN"]
    assert (found == []) == passes
    for finding in found:
        panel = next(panel for panel in job.panels if panel.name == finding.panel)
        nearest = min(
            min(run.ink.x0_mm, panel.width_mm - run.ink.x1_mm, run.ink.y0_mm,
                panel.height_mm - run.ink.y1_mm)
            for run in panel.runs
        )  # fmt: skip
        assert finding.level is Level.WARN
        # In square corners the distance is that to the nearest side.
        assert shape != "rectangle" or float(finding.measured) == pytest.approx(nearest, abs=0.006)


APOSTROPHES = [
    "Mary-Lou O’Dell",
    "Élodie d’Arvieux",
    "L’Écuyer & D’Amour",
    "Tavi & Yves",
    "Jo Wyatt",
]


@pytest.mark.parametrize(
    "path", sorted(resources.find_layouts_folder().glob("*.toml")), ids=lambda p: p.stem
)
@pytest.mark.quick(6)
def test_no_layout_parts_a_name_at_an_apostrophe_or_a_capital(path: Path) -> None:
    """Measured on the picture: every blank strip inside a word is narrower than between words."""
    layout = read_layout(path)
    block = next(b for b in layout.panel("front").blocks if b.element == "names")
    face = load_spec_face(layout.faces[block.face], 100)
    for name in APOSTROPHES:
        gaps = sorted(blank_strips_em(face, name), reverse=True)
        words = name.count(" ")
        assert gaps[words] < 0.85 * gaps[words - 1], (name, gaps[: words + 1])


def blank_strips_em(face: Face, text: str, size_pt: float = 72.0) -> list[float]:
    """How wide the upright strips without ink are between the first ink of a text and the last."""
    run = make_run(text, "names", "zxx", face, size_pt, 20, 40)
    panel = Panel("front", run.advance_mm + 60, 90, runs=(run,))
    sheet = Sheet(panel.width_mm, 90, (LabelPlace(0, 0, 0, panel.width_mm, 90),))
    page = PdfDocument(drawn_sheets(panel, [sheet], {face.name: face}))[0]
    image = page.render(scale=2).to_pil().convert("L").point(lambda tone: 255 * (tone < 128))
    columns, _ = image.getprojection()
    inked = [x for x, found in enumerate(columns) if found]
    return [(after - before - 1) / 2 / size_pt for before, after in pairwise(inked)]


@pytest.mark.parametrize(("tracking_em", "told"), [(0.0, False), (0.1, False), (2.0, True)])
def test_letters_that_stand_as_far_apart_as_words_are_told(tracking_em: float, told: bool) -> None:
    face = load_face(FaceRequest("fira-sans"))
    run = make_run("Ada O’Dell", "names", "zxx", face, 6, 5, 10, tracking_em)
    made = ComposedPanel(Panel("front", 90, 30, runs=(run,)), {face.name: face})
    assert bool(list(_check_gaps(made, ()))) is told


def test_a_guest_whose_name_reaches_into_the_margin_is_told(sample: Path) -> None:
    job = prepare_job(sample)
    face = load_face(FaceRequest("fira-sans"))
    bare = replace(job.composed[0], panel=replace(job.composed[0].panel, runs=()))
    safe_mm = bare.panel.safe_mm
    assert safe_mm > 1.5
    for x_mm, told in ((safe_mm - 0.4, True), (safe_mm + 0.2, False)):
        guests = {"front": {"Ada": (make_run("Ada", "guest", "zxx", face, 6, x_mm, 14),)}}
        craft = CheckedLabel((bare,), job.layout, job.facts, None, guests)
        found = [f for f in check_craft(craft) if f.rule == "CRAFT-GUEST-MARGIN"]
        assert bool(found) is told
        assert all("Ada" in finding.message for finding in found)


def test_a_guest_whose_name_stands_in_the_margin_is_told(sample: Path) -> None:
    job = prepare_job(sample)
    face = load_face(FaceRequest("fira-sans"))
    bare = replace(job.composed[0], panel=replace(job.composed[0].panel, runs=()))
    for x_mm, near in ((0.5, True), (5.0, False)):
        guests = {"front": {"Ada": (make_run("Ada", "guest", "zxx", face, 6, x_mm, 14),)}}
        craft = CheckedLabel((bare,), job.layout, job.facts, None, guests)
        assert any(f.rule == "CRAFT-MARGIN" for f in check_craft(craft)) is near


@pytest.mark.parametrize("damaged", [False, True])
def test_damaged_kerning_of_a_makers_own_font_is_told_once(event: Event, damaged: bool) -> None:
    label = event(
        ('layout = "lantern"', 'layout = "own.toml"'),
        ('trim = "44 x 28 mm"', 'trim = "60 x 42 mm"'),
    )
    shipped = Path(__file__).resolve().parents[2] / "layouts" / "lantern.toml"
    own = shipped.read_text(encoding="utf-8")
    # In two faces of the layout, and on both panels.
    for family in ('family = "cormorant-garamond"', 'family = "fira-sans"\nweight = 400'):
        assert family in own
        own = own.replace(family, 'file = "mine.ttf"')
    (label.parent / "own.toml").write_text(own, encoding="utf-8")
    source = load_face(FaceRequest("fira-sans")).path
    data = bytearray(source.read_bytes())
    table = TTFont(source, lazy=True).reader.tables["GPOS"]
    data[table.offset + table.length - 1] ^= damaged
    (label.parent / "mine.ttf").write_bytes(data)
    findings = preflight_job(prepare_job(label)).findings
    assert [f.message for f in findings if f.rule == "LABELKIT-FIT"] == []
    found = [f for f in findings if f.rule == "CRAFT-KERNING"]
    assert len(found) == damaged
    for finding in found:
        assert finding.level is Level.WARN
        assert finding.message.startswith("Kerning is damaged in FiraSans-Regular")


def test_guests_whose_names_print_too_small_are_named(event: Event) -> None:
    label = event(("guests = 60", 'guest_list = "guests.csv"'))
    long = "Maximiliana Wilhelmina Featherstonehaugh of Brume Bay"
    capitals = "MAXIMILIANA WILHELMINA FEATHERSTONEHAUGH"
    guests = label.parent / "guests.csv"
    guests.write_text(f"name\nAda\n{long}\n{capitals}\n", encoding="utf-8")
    job = prepare_job(label)
    found = rules_of(job)["CRAFT-GUEST-SMALL"]
    assert long in found.message
    assert "Ada" not in found.message
    # Of words all in capitals the capitals are measured, as CPLR s. 15 has it.
    (in_capitals,) = job.guest_runs["front"][capitals]
    assert in_capitals.letters.small_o_mm is not None
    assert in_capitals.letters.small_o_mm < 0.8 < (in_capitals.letters.capital_mm or 0)
    assert capitals not in found.message
    (small,) = job.guest_runs["front"][long]
    # The height of lower-case letters as the face's designers state it; an "o" stands a hair over.
    stated = TTFont(job.faces[small.face].path)["OS/2"].sxHeight / 1000
    assert float(found.measured) == pytest.approx(small.size_pt / 72 * 25.4 * stated, rel=0.08)
    assert found.level is Level.WARN


@pytest.mark.parametrize("ground", ["white", "kraft", "clear over pale soap"])
@pytest.mark.parametrize("ink", [i.name for i in load_inks().values() if not i.plate_only])
@pytest.mark.quick(12)
def test_every_accent_passes_on_its_ground_or_is_told(event: Event, ink: str, ground: str) -> None:
    """WCAG 2.2: 4.5 : 1 for text (1.4.3), 3 : 1 for what is none (1.4.11; from memory)."""
    stocks = {"white": "letter-plain", "kraft": "letter-plain-kraft"}
    label = event(
        (
            "[label]\n",
            f'[label]\naccent = "{ink}"\nstock = "{stocks.get(ground, "letter-plain-clear")}"\n',
        ),
    )
    job = prepare_job(label)
    if ground not in stocks:
        job = replace(job, facts=replace(job.facts, soap_colour="#e6dcc0"))
    front = job.composed[0].panel
    value = load_inks()[ink].value
    assert {run.colour for run in front.runs if run.element == "names"} == {value}
    assert {one.colour for one in front.ornaments} == {value}
    behind = {"white": "#ffffff", "kraft": "#c4a57b"}.get(ground, "#e6dcc0")
    if ground in stocks:
        # A transparent ink takes from the paper's light what it takes from white.
        channels = [int(value[i : i + 2], 16) * int(behind[i : i + 2], 16) for i in (1, 3, 5)]
        mixed = "#" + "".join(f"{round(channel / 255):02x}" for channel in channels)
        seen = contrast_ratio(mixed, behind)
        found = rules_of(job)
        assert ("CRAFT-CONTRAST" in found) == (seen < Decimal("4.5"))
        assert ("CRAFT-ACCENT" in found) == (seen < 3)
    else:  # ink only darkens what shows through: what passes on white passes there
        assert not {"CRAFT-CONTRAST", "CRAFT-ACCENT"} & set(rules_of(job))
    # What the law reads stays black.
    legal = [run for run in front.runs if run.element in ("identity", "net-quantity")]
    assert {run.colour for run in legal} == {"#000000"}
