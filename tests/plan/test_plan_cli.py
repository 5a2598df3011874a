"""The commands: exit codes, files, and a maker's walk from an empty folder to printed sheets."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from command import labelkit
from page_text import read_text

from labelkit.cli import main

Event = Callable[..., Path]
ON = ("--on", "2026-11-25")


def run(*arguments: object) -> int:
    """The exit code of a command line."""
    with pytest.raises(SystemExit) as ended:
        main([str(argument) for argument in arguments])
    return int(ended.value.code or 0)


def test_a_plan_that_can_be_kept(event: Event, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("plan", event(), *ON) == 0
    assert "The Lighthouse Supper" in capsys.readouterr().out


def test_a_plan_that_cannot_be_kept(event: Event, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("plan", event(), "--on", "2027-06-01", "--format", "json") == 1
    value = json.loads(capsys.readouterr().out)
    assert value["worries"][0] == "late"
    assert value["can_be_kept"] is False


@pytest.mark.parametrize("form", ["text", "html", "json", "pdf"])
def test_a_recipe_that_must_not_be_poured_ends_with_one(
    event: Event, tmp_path: Path, capsys: pytest.CaptureFixture[str], form: str
) -> None:
    event(('lye_discount = "6 %"', 'lye_discount = "0 %"'), file="recipe.toml")
    target = tmp_path / f"plan.{form.replace('text', 'txt')}"
    page = ("--page", "batch") if form == "pdf" else ()
    assert run("plan", event(), *ON, "--format", form, "--out", target, *page) == 1
    assert "Do not pour this recipe as it stands" in capsys.readouterr().err
    assert target.is_file()


def test_a_plan_in_the_makers_language(event: Event, capsys: pytest.CaptureFixture[str]) -> None:
    path = event()
    assert run("plan", path, *ON, "--language", "fr") == 0
    assert "mardi" in capsys.readouterr().out
    event(("[plan]\nscale", '[plan]\nlanguage = "fr"\nscale'), file="maker.toml")
    assert run("plan", path, *ON) == 0
    assert "Le Souper du phare" in capsys.readouterr().out
    assert run("plan", path, *ON, "--language", "xx") == 2
    assert capsys.readouterr().err == (
        "labelkit: --language\u202f: «\u202fxx\u202f»\u202f: attendu\u202f: l’un de en, fr, les"
        " langues des rapports\u202f; celles de l’étiquette elle-même sont sous label.languages\n"
    )


def test_a_plan_says_where_it_falls_back_on_another_language(
    event: Event, capsys: pytest.CaptureFixture[str]
) -> None:
    finnish = Path(__file__).parents[2] / "samples" / "island-christening" / "label.toml"
    wanted = "In English: there are plans in en, fr, and none in fi, sv\n"
    assert run("plan", finnish, *ON) == 0
    out, err = capsys.readouterr()
    assert wanted in err
    assert wanted not in out
    for asked in ((finnish, "--language", "en"), (event(),)):
        assert run("plan", *asked, *ON) == 0
        assert capsys.readouterr().err == ""
    # The maker reads Basque; the label's first language that there are plans in is French.
    basque = event(('languages = ["en", "fr"]', 'languages = ["fr", "en"]'))
    event(("[plan]\n", '[plan]\nlanguage = "eu"\n'), file="maker.toml")
    assert run("plan", basque, *ON) == 0
    told = "En français\u202f: les langues disponibles pour les plans sont en, fr, et non eu\n"
    assert told in capsys.readouterr().err


def test_a_plan_names_the_regions_whose_duties_have_no_french(
    capsys: pytest.CaptureFixture[str],
) -> None:
    australian = Path(__file__).parents[2] / "samples" / "shearing-ball" / "label.toml"
    assert run("plan", australian, *ON, "--language", "fr") == 0
    out, err = capsys.readouterr()
    assert "(en anglais)" in " ".join(out.split())
    told = "En partie en anglais\u202f: certaines règles (AU) n’ont pas de texte en fr\n"
    assert told in err
    assert run("plan", australian, *ON, "--language", "en") == 0
    assert "partie" not in capsys.readouterr().err


def test_files_are_written_whole(
    event: Event, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pdf, ics = tmp_path / "out" / "plan.pdf", tmp_path / "days.ics"
    assert run("plan", event(), *ON, "--format", "pdf", "--out", pdf, "--ics", ics) == 0
    assert pdf.read_bytes().startswith(b"%PDF")
    assert ics.read_bytes().startswith(b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n")
    assert capsys.readouterr().out.splitlines() == [str(pdf), str(ics)]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["days.ics", "event", "out"]


def test_what_cannot_be_asked_is_told(event: Event, capsys: pytest.CaptureFixture[str]) -> None:
    path = event()
    assert run("plan", path, "--format", "pdf") == 2
    assert capsys.readouterr().err == "labelkit: --format pdf needs --out FILE.pdf\n"
    assert run("plan", path, "--page", "quote") == 2
    assert run("plan", path.parent / "other.toml") == 2
    assert "no such file" in capsys.readouterr().err


def test_weights_decide_the_exit_code(event: Event, tmp_path: Path) -> None:
    path, weights = event(), tmp_path / "weights.csv"
    weights.write_text("41.5\n" * 17)
    assert run("plan", path, *ON, "--weights", weights) == 0
    weights.write_text("39.5\n" * 17)
    assert run("plan", path, *ON, "--weights", weights) == 1
    weights.write_text("39.5\nabout forty\n")
    assert run("plan", path, *ON, "--weights", weights) == 2


def test_a_recorded_lot_is_traced(event: Event, capsys: pytest.CaptureFixture[str]) -> None:
    path = event()
    maker = path.parent / "maker.toml"
    assert run("trace", "OL-0311", "--maker", maker) == 2
    assert "--record" in capsys.readouterr().err
    assert run("plan", path, *ON, "--record") == 0
    capsys.readouterr()
    assert run("trace", "OL-0311", "--maker", maker) == 0
    told = capsys.readouterr().out
    assert "2027-06-19  The Lighthouse Supper, Anse-aux-Brumes" in told
    assert "batch LS-2704, planned to be poured 2027-04-27" in told
    assert "recorded 2026-11-25" in told
    assert "g of olive-oil, lot OL-0311" in told
    assert run("trace", "OL-0312", "--maker", maker) == 0
    assert "No event used lot OL-0312. Did you mean OL-0311?" in capsys.readouterr().out
    assert run("trace", "LS-2704", "--maker", maker, "--format", "json") == 0
    (found,) = json.loads(capsys.readouterr().out)["events"]
    assert (found["labels"], found["label"]) == (66, "label.toml")


@pytest.mark.parametrize("asked", ["OL0311", "ol-0311 ", "OL-O311", "0l 03I1"])
def test_a_near_match_is_shown_and_told_as_one(
    event: Event, capsys: pytest.CaptureFixture[str], asked: str
) -> None:
    path = event()
    maker = ("--maker", path.parent / "maker.toml")
    assert run("plan", path, *ON, "--record") == 0
    capsys.readouterr()
    assert run("trace", asked, *maker) == 0
    first, second, event_line, *rest = capsys.readouterr().out.splitlines()
    assert first == f"No event used lot {asked.strip()}, written so."
    assert second.startswith("NEAR MATCH, not the same: OL-0311. Only letter case, blanks or marks")
    assert event_line == "2027-06-19  The Lighthouse Supper, Anse-aux-Brumes"
    assert any("of olive-oil, lot OL-0311" in line for line in rest)
    assert run("trace", asked, *maker, "--format", "json") == 0
    value = json.loads(capsys.readouterr().out)
    assert (value["lot"], value["near"]) == (asked.strip(), ["OL-0311"])
    assert [found["match"] for found in value["events"]] == ["near"]


def test_a_lot_written_in_two_ways_is_found_in_both(
    event: Event, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first = event()
    second = shutil.copytree(first.parent, tmp_path / "second") / "label.toml"
    recipe = second.with_name("recipe.toml")
    recipe.write_text(recipe.read_text("utf-8").replace('"OL-0311"', '["OL-0398", "ol 0311"]'))
    for path in (first, second):
        assert run("plan", path, *ON, "--record") == 0
    capsys.readouterr()
    asked = ("trace", "OL-0311", "--maker", first.with_name("maker.toml"))
    assert run(*asked) == 0
    exact, near = capsys.readouterr().out.split("NEAR MATCH, not the same: ol 0311.")
    assert "olive-oil, lot OL-0311\n" in exact
    assert "No event used" not in exact
    assert "olive-oil, lot OL-0398, ol 0311\n" in near
    assert run(*asked, "--format", "json") == 0
    events = json.loads(capsys.readouterr().out)["events"]
    assert [found["match"] for found in events] == ["exact", "near"]
    (oil,) = (used for used in events[1]["materials"] if used["asked"])
    assert (oil["material"], oil["lots"]) == ("olive-oil", ["OL-0398", "ol 0311"])


def test_several_lots_of_a_material_go_through_plan_record_and_trace(
    event: Event, capsys: pytest.CaptureFixture[str]
) -> None:
    lists = (
        ('lot = "OL-0311"', 'lot = ["OL-0311", "OL-0312"]'),
        ('lot = "NA-5530"', 'lot = ["NA-5530"]'),
    )
    path = event(*lists, file="recipe.toml")
    maker = ("--maker", path.parent / "maker.toml")
    assert run("plan", path, *ON, "--record") == 0
    assert "OL-0311, OL-0312\n" in capsys.readouterr().out
    assert run("plan", path, *ON, "--format", "json") == 0
    lots = {
        line["material"]: line["lots"]
        for line in json.loads(capsys.readouterr().out)["batch"]["weighings"]
    }
    assert lots["olive-oil"] == ["OL-0311", "OL-0312"]
    assert (lots["NaOH"], lots["water"]) == (["NA-5530"], [])
    for lot in ("OL-0311", "OL-0312"):
        assert run("trace", lot, *maker) == 0
        assert "g of olive-oil, lot OL-0311, OL-0312\n" in capsys.readouterr().out


SENT = '\n[[plan.sent]]\npieces = 5\nto = "Fern Gifts, Suva, Fiji"\n'


def test_a_record_is_corrected_confirmed_listed_and_withdrawn(
    event: Event, capsys: pytest.CaptureFixture[str]
) -> None:
    path = event()
    maker = ("--maker", path.parent / "maker.toml")
    quiet = ("--format", "json")
    assert run("plan", path, *ON, *quiet, "--record") == 0
    told = capsys.readouterr().err
    assert "recorded lot LS-2704, planned to be poured 2027-04-27\n" in told
    assert "once it is poured, record it again with --poured and the day\n" in told

    path.write_text(path.read_text(encoding="utf-8") + SENT, encoding="utf-8")
    event(("OL-0311", "OL-9999"), file="recipe.toml")
    poured = ("--on", "2027-05-02", "--record", "--poured", "2027-04-26")
    assert run("plan", path, *quiet, *poured) == 0
    told = capsys.readouterr().err
    assert "corrected lot LS-2704: poured 2027-04-26 (was planned to be poured 2027-04-2" in told
    assert "olive-oil lot OL-9999 (was OL-0311)" in told
    assert "once it is poured" not in told
    assert run("plan", path, *ON) == 0
    assert "5  of them to Fern Gifts, Suva, Fiji" in capsys.readouterr().out
    for lot, first in (("OL-0311", "SUPERSEDED: 2027-06-19"), ("OL-9999", "2027-06-19")):
        assert run("trace", lot, *maker) == 0
        assert capsys.readouterr().out.startswith(first)
    assert run("trace", "OL-9999", *maker) == 0
    assert "    5 pieces to Fern Gifts, Suva, Fiji\n" in capsys.readouterr().out

    assert run("trace", "LS-2704", *maker, "--withdraw", "--on", "2027-05-03") == 0
    capsys.readouterr()
    assert run("trace", "--list", *maker) == 0
    (line,) = capsys.readouterr().out.splitlines()
    assert line.startswith("2027-06-19  LS-2704, poured 2027-04-26; 66 labels of 40 g net;")
    assert line.endswith("(label.toml); withdrawn 2027-05-03")
    assert run("trace", "OL-9999", *maker, "--format", "json") == 0
    (found,) = json.loads(capsys.readouterr().out)["events"]
    assert (found["status"], found["planned"], found["ended"]) == ("withdrawn", False, "2027-05-03")
    assert found["net_grams"] == 40
    assert found["sent"] == [{"pieces": 5, "to": "Fern Gifts, Suva, Fiji", "on": None}]


def test_a_recall_looks_into_the_records_of_other_makers_files_near(
    event: Event, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two events with a maker.toml each: a lot that went into both is found from either, and from
    the folder above, and where the files lie is told."""
    soaps = tmp_path / "home" / "soaps"  # near that lies nothing of other tests
    made = event().parent
    first = shutil.copytree(made, soaps / "first") / "label.toml"
    second = shutil.move(made, soaps / "second") / "label.toml"
    for path in (first, second):
        assert run("plan", path, *ON, "--record") == 0
    (soaps / "third").mkdir()
    (soaps / "third" / "trace.sqlite").write_bytes(b"something else")
    capsys.readouterr()
    records = [str(path.parent / "trace.sqlite") for path in (first, second)]
    for maker, own in ((first, records[0]), (second, records[1]), (soaps / "label.toml", "")):
        asked = ("trace", "OL-0311", "--maker", maker.with_name("maker.toml"))
        assert run(*asked) == 1  # the third could not be searched
        out, err = capsys.readouterr()
        assert out.count("The Lighthouse Supper") == 2
        assert [f"In {record}:" in out for record in records] == [r != own for r in records]
        assert err.startswith(f"searched {own} and" if own else "there is no ")
        assert f"NOT searched: {soaps / 'third' / 'trace.sqlite'}: cannot be used" in err
        assert "THE SEARCH IS NOT COMPLETE" in err
        assert run(*asked, "--format", "json") == 1
        value = json.loads(capsys.readouterr().out)
        assert value["complete"] is False
        assert sorted(value["searched"]) == sorted(records)
        assert sorted(found["record"] for found in value["events"]) == sorted(records)
    (soaps / "third" / "trace.sqlite").unlink()
    assert run("trace", "OL-0312", "--maker", first.with_name("maker.toml")) == 0
    out, err = capsys.readouterr()
    assert "Did you mean OL-0311?" in out
    assert "NOT COMPLETE" not in err


def test_a_batch_that_only_the_journal_knows_makes_a_search_incomplete(
    event: Event, capsys: pytest.CaptureFixture[str]
) -> None:
    """An older copy of the record was put back, or the record is gone."""
    path = event()
    record = path.with_name("trace.sqlite")
    asked = ("trace", "OL-0311", "--maker", path.with_name("maker.toml"))
    assert run("plan", path, *ON, "--record") == 0
    older = record.read_bytes()
    event(("LS-2704", "LS-2705"))
    assert run("plan", path, *ON, "--record") == 0
    assert run(*asked) == 0
    capsys.readouterr()
    record.write_bytes(older)
    assert run(*asked) == 1
    out, err = capsys.readouterr()
    assert "batch LS-2704" in out
    assert f"NOT found, though the journal tells of it: {record} lacks lot LS-2705" in err
    record.unlink()
    assert run(*asked) == 1
    err = capsys.readouterr().err
    assert err.startswith(f"there is no {record}\n")
    assert "lacks lot LS-2704" in err and "lacks lot LS-2705" in err


def test_a_recipe_that_must_not_be_poured_is_not_recorded(
    event: Event, capsys: pytest.CaptureFixture[str]
) -> None:
    """Unless it was poured: a recall must find that."""
    path = event(('lye_discount = "6 %"', 'lye_discount = "0 %"'), file="recipe.toml")
    record = path.with_name("trace.sqlite")
    assert run("plan", path, *ON, "--record") == 1
    assert "is not recorded: as it stands the recipe must not be poured" in capsys.readouterr().err
    assert not record.exists()
    assert run("plan", path, "--on", "2027-05-02", "--record", "--poured", "2027-04-26") == 1
    assert record.exists()


def test_a_record_that_fails_leaves_no_empty_file(event: Event, tmp_path: Path) -> None:
    path = event()
    (tmp_path / "plan.pdf").write_bytes(b"%PDF-1.7 of another program")
    assert run("plan", path, *ON, "--record", "--out", tmp_path / "plan.pdf") == 2
    assert not path.with_name("trace.sqlite").exists()
    assert (tmp_path / "plan.pdf").read_bytes() == b"%PDF-1.7 of another program"


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--poured", "2026-11-26"), "--poured: 2026-11-26: is after today (2026-11-25)"),
        (("--on", "2027-07-01", "--poured", "2027-06-12"), "--poured: 2027-06-12: is after the"),
    ],
)
def test_a_day_of_pouring_that_cannot_be(
    event: Event, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], told: str
) -> None:
    assert run("plan", event(), *ON, "--record", *arguments) == 2
    assert told in capsys.readouterr().err


def test_more_pieces_sent_than_are_labelled(
    event: Event, capsys: pytest.CaptureFixture[str]
) -> None:
    path = event()
    many = SENT.replace("5", "67")
    path.write_text(path.read_text(encoding="utf-8") + many, encoding="utf-8")
    assert run("plan", path, *ON) == 2
    assert "plan.sent: '67 pieces': are more than the 66 that are labelled" in (
        capsys.readouterr().err
    )


@pytest.mark.parametrize(
    "arguments",
    [(), (" ",), ("LS-2704", "--list"), ("--withdraw", "--list"), ("X", "--reason", "wrong")],
)
def test_a_trace_of_nothing_or_of_two_things(arguments: tuple[str, ...]) -> None:
    assert run("trace", *arguments) == 2


@pytest.mark.usefixtures("ink_on_trust")
def test_plan_sheet_and_proof_count_alike(
    event: Event, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # 72 guests; 10 % of them is 7.2, so 8 spares: 80 labels of each side.
    path = event(("guests = 60\n", 'guest_list = "guests.csv"\n'))
    names = "\n".join(f"Guest {letter} {row}" for row in "ABCDEFGHI" for letter in "KLMNOPQR")
    (path.parent / "guests.csv").write_text(f"name\n{names}\n", encoding="utf-8")
    counted = "(72 guests + 8 spares)"
    assert run("plan", path, *ON) == 0
    planned = capsys.readouterr().out
    assert f"80  labelled pieces {counted}" in planned
    assert run("sheet", path, "--out", tmp_path / "sheets") == 0
    told = capsys.readouterr().out
    assert f"80 labels {counted}" in told
    for side in ("front", "back"):
        assert f"80 {side} labels on " in told
    assert run("proof", path, "--out", tmp_path / "proof.pdf", "--language", "en") == 0
    assert "80  labels to print of each side\n" in planned
    said = read_text(tmp_path / "proof.pdf")
    assert f"80 labels {counted}" in said
    assert "Names to check (72)" in said


def test_planning_alone_writes_nothing(event: Event) -> None:
    path = event()
    before = sorted(p.name for p in path.parent.iterdir())
    assert run("plan", path, *ON) == 0
    assert sorted(p.name for p in path.parent.iterdir()) == before


# -- a maker's walk --------------------------------------------------------------------------------

OWN = {
    "label.toml": (
        ('names = { en = "<<< The names", fr = "<<< Les noms" }', 'names = "Ada & Olive"'),
        ("<<< Village", "Fallowmead"),
        ("<<< Scent", "Apple blossom"),
        ("<<< Parfum de ...", "Fleur de pommier"),
    ),
    "recipe.toml": (("<<< Name of the recipe", "Orchard"), ("<<< Fragrance", "Apple blossom")),
    "maker.toml": (
        ("<<< Business name", "Hedgerow Soap"),
        ("<<< 1 Street", "1 Orchard Lane"),
        ("<<< Town NB  A0A 0A0", "Fallowmead NB  E0X 0Z9"),
        ("<<< hello@maker.example", "hello@hedgerow.example"),
    ),
}
"""What a maker puts in the place of blanks that suggest nothing themselves."""


def test_a_makers_walk_from_an_empty_folder_to_printed_sheets(
    tmp_path: Path, fill_in: Callable[[str], str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert labelkit("new", "wedding").returncode == 0
    blank = labelkit("plan", "wedding/label.toml")
    assert blank.returncode == 2
    assert "is still to be filled in" in blank.stderr
    for name, pairs in OWN.items():
        path = tmp_path / ("wedding" if name != "maker.toml" else "") / name
        text = path.read_text(encoding="utf-8")
        for old, new in pairs:
            assert old in text, f"{old!r} is no longer in the starter's {name}"
            text = text.replace(old, new)
        path.write_text(fill_in(text), encoding="utf-8")

    planned = labelkit("plan", "wedding/label.toml", *ON)
    assert planned.returncode == 0, planned.stderr
    assert "Ada & Olive" in planned.stdout
    assert "plan.rate" in planned.stdout  # nothing is said of a plan: what is assumed is told
    checked = labelkit("preflight", "wedding/label.toml")
    assert checked.returncode == 0, checked.stdout
    proof = labelkit("proof", "wedding/label.toml", "--out", "proof.pdf")
    assert proof.returncode == 0, proof.stderr
    sheets = labelkit("sheet", "wedding/label.toml", "--out", "sheets")
    assert sheets.returncode == 0, sheets.stderr
    assert (tmp_path / "sheets" / "front.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "sheets" / "back.pdf").read_bytes().startswith(b"%PDF")

    value = json.loads(labelkit("plan", "wedding/label.toml", *ON, "--format", "json").stdout)
    # 60 guests and 10 %: the plan counts as many labels as the sheets print.
    assert value["count"]["guests"] + value["count"]["spares"] == 66
    assert "66 labels (60 guests + 6 spares)" in sheets.stdout


@pytest.mark.parametrize(
    ("pieces", "labels", "row"),
    [
        # 60 guests, 6 spares, of which so many are soap; the others are labels alone.
        (2, "66 labels (60 guests + 2 spare pieces + 4 spare labels)", "62 for pieces, 4 spare"),
        (1, "66 labels (60 guests + 1 spare piece + 5 spare labels)", "61 for pieces, 5 spare"),
        (5, "66 labels (60 guests + 5 spare pieces + 1 spare label)", "65 for pieces, 1 spare"),
        (0, "66 labels (60 guests + 6 spare labels)", "60 for pieces, 6 spare"),
    ],
)
@pytest.mark.usefixtures("ink_on_trust")
def test_plan_and_sheet_tell_spare_pieces_from_spare_labels(
    pieces: int,
    labels: str,
    row: str,
    event: Event,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    path = event(("[plan]\n", f"[plan]\nspare_pieces = {pieces}\n"))
    assert run("sheet", path, "--out", tmp_path / "sheets") == 0
    told = capsys.readouterr().out
    assert told.startswith(labels)
    assert "66 front labels on " in told
    assert run("plan", path, *ON) == 0
    planned = capsys.readouterr().out
    assert f"66  labels to print of each side ({row})\n" in planned
    assert f"{60 + pieces}  labelled pieces (60 guests + {pieces} spare piece" in planned
    assert run("plan", path, *ON, "--format", "json") == 0
    count = json.loads(capsys.readouterr().out)["count"]
    assert count["labels_to_print"] == count["labelled"] + count["spare_labels"] == 66


def test_no_quote_is_made_of_a_cost_that_lacks_prices(
    event: Event, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A price at a margin over half a cost would be too low, and the customer would have it."""
    pdf = tmp_path / "plan.pdf"
    prices = event().parent / "prices.toml"
    text = prices.read_text("utf-8")
    assert text.count('item = "olive oil"') == 1
    prices.write_text(text.replace('item = "olive oil"', 'item = "walnut oil"'), "utf-8")
    label = event(("price = 4.75", "# no price"))
    assert run("plan", label, *ON, "--format", "pdf", "--out", pdf, "--page", "quote") == 2
    told = capsys.readouterr().err
    assert "no quote while there is no price for olive oil; expected" in told
    assert told.count("\n") == 1
    assert not pdf.exists()
    assert run("plan", label, *ON, "--format", "json") == 0
    value = json.loads(capsys.readouterr().out)
    assert value["price"]["can_be_quoted"] is False
    assert value["cost"]["unpriced"] == ["olive oil"]
    assert run("plan", label, *ON) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert "no quote is made without these prices" in shown
    assert "Price asked" not in shown
    # The other pages are made, and the quote is left out with a word why.
    assert run("plan", label, *ON, "--format", "pdf", "--out", pdf) == 0
    assert "no quote is made" in capsys.readouterr().err
    assert "Quote" not in read_text(pdf)


def test_a_price_of_the_makers_own_is_quoted_all_the_same(
    event: Event, capsys: pytest.CaptureFixture[str]
) -> None:
    prices = event().parent / "prices.toml"
    text = prices.read_text("utf-8").replace('item = "olive oil"', 'item = "walnut oil"')
    prices.write_text(text, "utf-8")
    assert run("plan", event(), *ON, "--format", "json") == 0
    assert json.loads(capsys.readouterr().out)["price"]["can_be_quoted"] is True
    assert run("plan", event(), *ON) == 0
    assert "The order leaves" in (shown := capsys.readouterr().out)
    assert "at most $" in shown
