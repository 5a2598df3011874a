"""Half-typed orders: the label is there all the same, and every mistake is told at once."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import pytest
from served import leave_out_weight

import labelkit
from labelkit.desk.desk import Desk
from labelkit.desk.order_texts import Edit, OrderTexts, parse_keys
from labelkit.desk.plan_view import describe_recording
from labelkit.desk.reading import fill_ghosts, read_half_typed, suggest_ghost
from labelkit.job.new_order import make_starter_files
from labelkit.report.advice import explain_advice


def new_event(folder: Path, region: str) -> Path:
    for name, text in make_starter_files([region]).items():
        (folder / name).write_text(text, "utf-8")
    return folder / "label.toml"


FEW = ("CA", "CA-QC", "BE")
MORE = ("US", "FI", "GB", "NZ")


@pytest.mark.parametrize("region", [*FEW, *(pytest.param(r, marks=pytest.mark.long) for r in MORE)])
def test_a_new_order_shows_both_sides_in_ghost_words(tmp_path: Path, region: str) -> None:
    answer = Desk(new_event(tmp_path, region)).show()
    assert answer["blanks"] > 20
    assert all(mistake["blank"] for mistake in answer["mistakes"])
    assert [panel["problem"] for panel in answer["panels"]] == ["", ""]
    assert 'class="ghost"' in answer["panels"][0]["svg"]
    assert not answer["fit"]
    # A blank's hint may be English where French is asked for: that is told until it is filled in.
    asked = [found for found in answer["findings"] if found["rule"] != "CA-QC-FRENCH"]
    assert not [finding for finding in asked if finding["element"] == "names"]


def test_ghosts_go_one_by_one(tmp_path: Path) -> None:
    desk = Desk(new_event(tmp_path, "CA"))
    before = desk.show()
    blank = before["values"]["label"]["event"]["names"]
    named = desk.show([Edit("label", ("event", "names"), "Ada & Bo", blank)], save=True)
    assert named["blanks"] == before["blanks"] - 2
    assert named["title"] == "Ada & Bo"
    ghosts = named["panels"][0]["svg"].count('class="ghost"')
    assert 0 < ghosts <= before["panels"][0]["svg"].count('class="ghost"')


@pytest.mark.parametrize(
    ("blank", "ghost"),
    [
        ("<<< such as 40 g", "40 g"),
        ("<<< The names", "The names"),
        ("<<< the day, without quotes, such as 2027-06-19", "2027-06-19"),
        ("<<<", "…"),
    ],
)
def test_a_blank_suggests_its_words(blank: str, ghost: str) -> None:
    assert suggest_ghost(blank) == ghost


def test_a_ghost_number_stands_without_quotes() -> None:
    text = b'[event]\nguests = "<<< how many, such as 60"  # "<<< here"\nplace = "<<< Village"\n'
    assert fill_ghosts("label", text).startswith(b'[event]\nguests = 60  # "')
    assert fill_ghosts("label", text).endswith(b'place = "Village"\n')


def test_five_mistakes_of_two_files_are_told_and_the_label_stays(desk: Desk) -> None:
    desk.show()
    edits = [
        Edit("label", ("event", "date"), "soon", "2027-06-19"),
        Edit("label", ("event", "guests"), "many", 60),
        Edit("label", ("label", "trim"), "44 mm", "44 x 28 mm"),
        Edit("label", ("product", "net_weight"), "40 stones", "40 g"),
        Edit("maker", ("maker", "country"), "Canadia", "CA"),
    ]
    answer = desk.show(edits)
    told = {(one["file"], *one["keys"]) for one in answer["mistakes"]}
    assert told == {(edit.file, *edit.keys) for edit in edits}
    assert [panel["problem"] for panel in answer["panels"]] == ["", ""]
    assert answer["title"] == "The Lighthouse Supper"


def test_the_last_value_that_could_be_read_stays_on_the_label(desk: Desk) -> None:
    was = "The Lighthouse Supper"
    desk.show([Edit("label", ("label", "trim"), "50 x 30 mm", "44 x 28 mm")], save=True)
    answer = desk.show(
        [
            Edit("label", ("label", "trim"), "50 x", "50 x 30 mm"),
            Edit("label", ("event", "names", "en"), "Two", was),
        ]
    )
    assert (answer["panels"][0]["width"], answer["title"]) == (50.0, "Two")


def test_a_file_that_is_no_toml_is_told_and_the_rest_shown(desk: Desk) -> None:
    desk.show()
    recipe = desk.label.parent / "recipe.toml"
    whole = recipe.read_bytes()
    recipe.write_bytes(whole.replace(b'name = "Oat', b"name = Oat", 1))
    answer = desk.show()
    assert len(answer["panels"]) == 2
    assert [one["file"] for one in answer["mistakes"]] == ["recipe"]
    recipe.write_bytes(whole)
    assert desk.show()["mistakes"] == []


@pytest.mark.parametrize(
    ("key", "keys"),
    [
        ("oil[2].mass", ("oil", 1, "mass")),
        ("event.names.en", ("event", "names", "en")),
        ("plan.extra[1].name", ("plan", "extra", 0, "name")),
    ],
)
def test_a_complaints_key_is_a_way_to_its_value(key: str, keys: tuple[str | int, ...]) -> None:
    assert parse_keys(key) == keys


def test_nothing_that_was_made_up_is_ever_printed(tmp_path: Path) -> None:
    """What is only half typed has no order to print: that is read from the files alone."""
    import labelkit

    label = new_event(tmp_path, "CA")
    texts = OrderTexts(label)
    assert read_half_typed(texts.paths(), texts.read(), {}).order is not None
    with pytest.raises(labelkit.InputError):
        Desk(label).read_order()


NAMES = ("event", "names", "en")


@pytest.mark.parametrize(
    "edit",
    [
        Edit("label", NAMES, "Ada & Bo", check=False),
        Edit("label", ("label", "trim"), "40 x 12 mm", check=False),
        Edit("label", ("front", "leave_out"), ["net-quantity"], check=False),
        Edit("label", ("event", "names", "en"), "<<< The names", check=False),
    ],
    ids=["names", "too small", "a floor left out", "a blank"],
)
def test_the_label_comes_before_what_is_found_and_as_it_stays(desk: Desk, edit: Edit) -> None:
    judged = desk.show([edit])
    drawn = desk.draw([edit])
    assert len(drawn["panels"]) == 2
    assert {**judged, **drawn} == judged
    assert {**(again := desk.show([edit])), **drawn} == again == judged


def test_words_that_come_take_the_place_of_what_was_missing(desk: Desk) -> None:
    left_out = Edit("label", ("front", "leave_out"), ["net-quantity"], check=False)
    assert desk.show([left_out])["panels"][0]["lacking"]
    renamed = Edit("label", NAMES, "Ada & Bo", check=False)
    assert desk.draw([left_out, renamed])["panels"][0]["lacking"]
    assert not desk.draw([renamed])["panels"][0]["lacking"]


def test_of_a_file_that_cannot_be_read_no_label_is_drawn(tmp_path: Path) -> None:
    label = new_event(tmp_path, "CA")
    label.write_text("[event\n", "utf-8")
    desk = Desk(label)
    assert desk.draw([]) == {"panels": []}
    assert desk.show([])["mistakes"]


def test_an_oil_nobody_knows_is_told_at_its_field(desk: Desk) -> None:
    """Only working the recipe out shows it."""
    unknown = Edit("recipe", ("oil", 0, "material"), "olivia", check=False)
    (mistake,) = desk.show([unknown])["mistakes"]
    assert (mistake["file"], mistake["keys"]) == ("recipe", ["oil", 0, "material"])
    assert "did you mean" in mistake["message"].lower()


def test_what_is_wrong_in_no_file_of_the_page_names_its_file(desk: Desk) -> None:
    """A damaged record of batches has no field."""
    desk.label.with_name("trace.sqlite").write_bytes(b"no database" * 400)
    (mistake,) = desk.show()["mistakes"]
    assert not mistake["keys"] and "trace.sqlite" in mistake["message"]


def test_the_lye_weighed_by_hand_leaves_no_superfat_behind(desk: Desk) -> None:
    """Who gives its mass clears the superfat, and is left in peace."""
    weighed = [
        Edit("recipe", ("lye", 0, "mass"), "400 g", check=False),
        Edit("recipe", ("superfat", "lye_discount"), "", check=False),
    ]
    assert desk.show(weighed[:1])["mistakes"]
    assert not desk.show(weighed)["mistakes"]


def test_what_was_written_after_the_label_was_drawn_is_judged(desk: Desk) -> None:
    desk.draw([])
    leave_out_weight(desk.label)
    assert not desk.show([])["fit"]


def test_what_is_missing_is_set_where_it_would_stand(desk: Desk) -> None:
    """Under the words above it and inside the trim, named, and marked by its finding."""
    label = desk.label
    text = label.read_text("utf-8")
    leave_out_weight(label)
    answer = desk.show()
    front = answer["panels"][0]
    assert not answer["fit"] and front["lacking"] == {"net-quantity": "net weight"}
    found = next(one for one in answer["findings"] if one["element"] == "net-quantity")
    assert found["level"] == "fail"
    assert found["field"] == ["label", ["front", "leave_out"]]  # the weight itself is there
    (run,) = found["runs"]["front"]
    place = re.search(rf'data-run="{run}" data-element="net-quantity"[^>]*', front["svg"])
    assert place is not None
    label.write_text(text, "utf-8")
    whole = desk.show()
    assert whole["fit"] and not any(panel["lacking"] for panel in whole["panels"])


def test_every_finding_says_what_it_rests_on(desk: Desk) -> None:
    """The law, or what labelkit's own advice asks and why; never a bare code."""
    findings = desk.show()["findings"]
    own = next(one for one in findings if one["rule"] == "CRAFT-TIGHTER")
    assert own["source"] == " ".join(explain_advice("CRAFT-TIGHTER", "en"))
    law = next(one for one in findings if one["rule"] == "CA-QUANTITY-TOLERANCE")
    assert law["source"].startswith("CPLA s. 7(3)")
    assert all(one["source"] for one in findings)


@pytest.mark.parametrize(
    ("file", "keys", "typed", "offers"),
    [
        ("label", ("product", "net_weight"), "38", ["38 g"]),
        ("recipe", ("oil", 0, "mass"), "98", ["98 g"]),
        ("recipe", ("oil", 0, "mass"), "1,200 g", ["1200 g", "1.2 g"]),
        ("label", ("label", "bleed"), "3", ["3 mm"]),
        ("label", ("label", "trim"), "60 x 45", ["60 x 45 mm", "60 x 45 in"]),
        ("recipe", ("lye", 0, "purity"), "98", ["98 %"]),
        ("label", ("label", "trim"), "large", []),
        ("label", ("label", "layout"), "lanter", []),
    ],
)
@pytest.mark.parametrize("language", ["en", "fr"])
def test_a_number_without_its_unit_is_offered_with_it_and_not_guessed(
    desk: Desk, language: str, file: str, keys: tuple[str | int, ...], typed: str, offers: list[str]
) -> None:
    desk.language = language
    answer = desk.show([Edit(file, keys, typed, check=False)], save=True)
    assert [one["offers"] for one in answer["mistakes"]] == [offers]
    assert answer["saved"] == []
    for offer in offers[:1]:
        answer = desk.show([Edit(file, keys, offer, check=False)], save=True)
        assert (answer["mistakes"], answer["saved"]) == ([], [[file, list(keys)]])


TODAY = dt.date.today()
SOON = TODAY + dt.timedelta(days=10)


@pytest.mark.parametrize(
    ("old", "new", "told", "field"),
    [
        ("deliver_on = 2027-06-11", "", "Too late by", ["event", "date"]),
        ("pieces_per_bar = 3", 'pieces_per_bar = 3\npiece_poured = "44 g"',
         "is more than these pieces will hold", ["product", "net_weight"]),
        ('lot = "LS-2704"', 'lot = "LS-2711"', "Recorded as poured", ["product", "lot"]),
    ],
)  # fmt: skip
def test_what_the_plan_has_against_a_label_is_told_beside_the_laws(
    event: Path, old: str, new: str, told: str, field: list[str]
) -> None:
    """A cure of weeks does not fit ten days; of 44 g poured 38.3 g are left (tests/plan)."""
    label = event / "label.toml"
    assert [one for one in Desk(label).show()["findings"] if not one["rule"]] == []
    if field == ["product", "lot"]:
        describe_recording(labelkit.make_plan(labelkit.read_order(label), TODAY, (), TODAY))
    text = label.read_text("utf-8")
    assert old in text
    text = text.replace(old, new)
    if field == ["event", "date"]:
        text = text.replace("date = 2027-06-19", f"date = {SOON}")
    label.write_text(text, "utf-8")
    findings = [one for one in Desk(label).show()["findings"] if not one["rule"]]
    (found,) = findings
    assert told in found["message"]
    assert found["field"] == ["label", field]
    assert found["level"] == "warn"
    assert found["elementName"] == "Days and money"
