"""The command line as a maker meets it: exit codes, one-line complaints, nothing half-written."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from command import Done, labelkit

Event = Callable[..., Path]
FEW_GUESTS = ("guests = 60", "guests = 6")


def test_help_lists_every_command_and_each_has_an_example() -> None:
    listing = labelkit("--help")
    assert listing.returncode == 0
    for name in ("new", "sheet", "preflight", "proof"):
        assert name in listing.stdout
        text = labelkit(name, "--help").stdout
        assert "Example: labelkit" in " ".join(text.split())


def test_the_samples_sheets(sample: Path, tmp_path: Path) -> None:
    made = labelkit("sheet", sample, "--out", tmp_path / "new" / "sheets")
    assert made.returncode == 0, made.stderr
    assert "66 labels (60 guests + 6 spares)" in made.stdout
    assert sorted(p.name for p in (tmp_path / "new" / "sheets").iterdir()) == [
        "back.pdf",
        "front.pdf",
    ]


def test_an_illegal_label_is_refused_and_nothing_is_written(event: Event, tmp_path: Path) -> None:
    english_only = ('identity = { en = "Soap", fr = "Savon" }', 'identity = { en = "Soap" }')
    label = event(english_only, FEW_GUESTS)
    refused = labelkit("sheet", label, "--out", tmp_path / "sheets")
    assert refused.returncode == 1
    assert "CA-IDENTITY" in refused.stderr
    assert not (tmp_path / "sheets").exists()
    draft = labelkit("sheet", label, "--out", tmp_path / "sheets", "--draft")
    assert draft.returncode == 0
    assert "DRAFT" in draft.stdout
    assert (tmp_path / "sheets" / "front.pdf").exists()


def test_preflight_as_json(sample: Path) -> None:
    done = labelkit("preflight", sample, "--format", "json", "--on", "2027-06-01")
    assert done.returncode == 0
    report = json.loads(done.stdout)
    assert set(report) == {"verdict", "on", "regions", "findings"}
    assert (report["verdict"], report["on"], report["regions"]) == ("pass", "2027-06-01", ["CA"])
    keys = {
        "rule", "region", "panel", "element", "level", "message", "measured", "required", "unit",
        "citation", "provenance", "remedy",
    }  # fmt: skip
    assert report["findings"]
    for finding in report["findings"]:
        assert set(finding) == keys
        assert finding["level"] in {"fail", "warn", "note"}


def test_preflight_as_html_escapes_what_the_maker_wrote(event: Event) -> None:
    label = event(('en = "The Lighthouse Supper"', 'en = "<script>x</script>"'))
    done = labelkit("preflight", label, "--format", "html")
    assert done.stdout.startswith("<!doctype html>")
    assert "<script>" not in done.stdout


def test_preflight_of_the_finished_sheets(event: Event, tmp_path: Path) -> None:
    label = event(FEW_GUESTS)
    assert labelkit("sheet", label, "--out", tmp_path).returncode == 0
    both = ("--pdf", tmp_path / "front.pdf", "--pdf", tmp_path / "back.pdf")
    done = labelkit("preflight", label, *both)
    assert done.returncode == 0, done.stdout
    only = labelkit("preflight", label, "--pdf", tmp_path / "front.pdf", "--format", "json")
    rules = {f["rule"] for f in json.loads(only.stdout)["findings"]}
    assert "LABELKIT-NO-PDF" in rules


UNUSABLE = [
    (('net_weight = "40 g"', 'net_weight = "40 stone"'), "product.net_weight"),
    (('net_weight = "40 g"', 'net_weight = "-40 g"'), "product.net_weight"),
    (('trim = "44 x 28 mm"\n', ""), "label.trim: missing"),
    (('layout = "lantern"', 'layout = "no-such"'), "no such layout"),
    (('layout = "lantern"', 'stock = "no-such"\nlayout = "lantern"'), "no-such"),
    (
        ('recipe = "recipe.toml"', 'recipe = "gone.toml"'),
        "label.toml: line 17: product.recipe: 'gone.toml': no such file; expected a recipe\n",
    ),
    (
        ('maker = "maker.toml"', 'maker = "gone.toml"'),
        "label.toml: line 18: product.maker: 'gone.toml': no such file; expected a maker file\n",
    ),
]


@pytest.mark.parametrize(("change", "message"), UNUSABLE, ids=[m for _, m in UNUSABLE])
@pytest.mark.parametrize("command", ["sheet", "preflight", "proof"])
def test_unusable_input_is_one_line_and_exit_2(
    event: Event, tmp_path: Path, command: str, change: tuple[str, str], message: str
) -> None:
    label = event(change)
    out = () if command == "preflight" else ("--out", tmp_path / "out")
    done = labelkit(command, label, *out)
    assert done.returncode == 2
    assert message in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()


def failing(done: Done) -> set[str]:
    return {f["rule"] for f in json.loads(done.stdout)["findings"] if f["level"] == "fail"}


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        (('identity = { en = "Soap", fr = "Savon" }', 'identity = "Soap"'), "CA-IDENTITY"),
        (('fr = "Savon" }', 'fr = "Savon, environ" }'), "CA-QUANTITY-QUALIFIED"),
        (
            ('trim = "44 x 28 mm"', 'stock = "letter-3x10-66x25"\ntrim = "44 x 28 mm"'),
            "LABELKIT-FIT",
        ),
    ],
)
def test_preflight_fails_what_must_not_be_printed(
    event: Event, change: tuple[str, str], rule: str
) -> None:
    done = labelkit("preflight", event(change), "--format", "json")
    assert done.returncode == 1
    assert any(found.startswith(rule) for found in failing(done)), failing(done)


def test_a_pdf_that_says_otherwise_than_the_spec_fails(event: Event, tmp_path: Path) -> None:
    label = event(FEW_GUESTS, ('en = "Soap"', 'en = "Guest soap"'))
    assert labelkit("sheet", label, "--out", tmp_path / "s").returncode == 0
    event(('en = "Guest soap"', 'en = "Soap"'))
    pdfs = ("--pdf", tmp_path / "s" / "front.pdf", "--pdf", tmp_path / "s" / "back.pdf")
    done = labelkit("preflight", label, *pdfs, "--format", "json")
    assert done.returncode == 1
    assert "LABELKIT-AS-SPEC" in failing(done)


def test_an_unknown_region_is_exit_2(sample: Path) -> None:
    done = labelkit("preflight", sample, "--region", "ZZ")
    assert done.returncode == 2
    assert "ZZ" in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


@pytest.mark.parametrize("command", ["preflight", "sheet", "proof", "fit", "plan"])
@pytest.mark.parametrize(
    ("file", "change", "told"),
    [
        # Misspelt, the day of pouring would not be held against what the label says of keeping.
        (
            "label.toml",
            ("[plan]\n", "[plan]\npored_on = 2027-01-04\n"),
            "plan.pored_on: unknown key; did you mean 'poured_on'?",
        ),
        (
            "label.toml",
            ("deliver_on = 2027-06-11", 'deliver_on = "soon"'),
            "plan.deliver_on: 'soon': expected a date such as 2027-06-19 (no quotes)",
        ),
        (
            "maker.toml",
            ("lot_pattern =", "lot_patern ="),
            "plan.lot_patern: unknown key; did you mean 'lot_pattern'?",
        ),
    ],
)
def test_every_command_reads_the_plan(
    event: Event, tmp_path: Path, command: str, file: str, change: tuple[str, str], told: str
) -> None:
    label = event()
    event(change, file=file)
    out = {"sheet": ("--out", tmp_path / "out"), "proof": ("--out", tmp_path / "out.pdf")}
    done = labelkit(command, label, *out.get(command, ()))
    assert done.returncode == 2, done.stdout
    (line,) = done.stderr.strip().splitlines()
    assert re.search(rf"{re.escape(file)}: line \d+: {re.escape(told)}$", line)
    assert not list(tmp_path.glob("out*"))


def test_a_missing_face_is_one_line_and_exit_2(event: Event) -> None:
    label = event(('layout = "lantern"', 'layout = "own.toml"'))
    source = Path(__file__).parents[2] / "layouts" / "lantern.toml"
    text = source.read_text(encoding="utf-8").replace("cormorant-garamond", "no-such-face")
    (label.parent / "own.toml").write_text(text, encoding="utf-8")
    done = labelkit("preflight", label)
    assert done.returncode == 2
    assert "no-such-face" in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


@pytest.mark.usefixtures("few_designs")
def test_a_label_too_small_is_exit_1_with_the_ways_out(event: Event, tmp_path: Path) -> None:
    face = ('package_face = "60 x 45 mm"', 'package_face = "44 x 24 mm"')  # it cannot be wider
    label = event(('trim = "44 x 28 mm"', 'trim = "44 x 14 mm"'), face)
    done = labelkit("sheet", label, "--out", tmp_path / "out")
    assert done.returncode == 1
    assert "a larger trim" in done.stderr
    assert not (tmp_path / "out").exists()


def test_new_starts_a_folder_that_passes_once_filled_in(
    tmp_path: Path, fill_in: Callable[[str], str]
) -> None:
    folder = tmp_path / "my-event"
    started = labelkit("new", folder)
    assert started.returncode == 0
    assert started.stdout.endswith(f"labelkit preflight {folder / 'label.toml'}\n")
    unfilled = labelkit("preflight", folder / "label.toml")
    assert unfilled.returncode == 2
    assert "is still to be filled in" in unfilled.stderr
    assert sorted(p.name for p in folder.iterdir()) == ["label.toml", "recipe.toml"]
    for path in (*folder.glob("*.toml"), tmp_path / "maker.toml"):
        path.write_text(fill_in(path.read_text(encoding="utf-8")), encoding="utf-8")
    done = labelkit("preflight", folder / "label.toml")
    assert done.returncode == 0, done.stdout + done.stderr
    assert labelkit("new", folder).returncode == 2


def test_a_second_event_names_the_workshops_file(tmp_path: Path) -> None:
    """It is made once, above the first event; one that stands in an older event's own folder is
    told."""
    assert labelkit("new", tmp_path / "first", "--region", "US").returncode == 0
    (tmp_path / "maker.toml").rename(tmp_path / "first" / "maker.toml")
    alone = labelkit("new", tmp_path / "second").stdout
    assert f"{tmp_path / 'first' / 'maker.toml'} is there already" in alone
    assert 'write maker = "../first/maker.toml"' in alone
    assert f"remove {tmp_path / 'maker.toml'}" in alone
    (tmp_path / "maker.toml").unlink()
    named = labelkit("new", tmp_path / "third", "--maker", tmp_path / "first" / "maker.toml")
    assert f"label.toml names {tmp_path / 'first' / 'maker.toml'}" in named.stdout
    (tmp_path / "first" / "maker.toml").rename(tmp_path / "maker.toml")
    under = labelkit("new", tmp_path / "fourth", "--region", "CA")
    assert f"label.toml names {tmp_path / 'maker.toml'}" in under.stdout
    for name, maker, languages, regions in (
        ("third", "../first/maker.toml", ["en"], None),
        ("fourth", "../maker.toml", ["en", "fr"], ["CA"]),
    ):
        assert not (tmp_path / name / "maker.toml").exists()
        label = tomllib.loads((tmp_path / name / "label.toml").read_text(encoding="utf-8"))
        assert label["product"]["maker"] == maker
        assert (label["label"]["languages"], label["label"].get("regions")) == (languages, regions)
    missing = labelkit("new", tmp_path / "fifth", "--maker", tmp_path / "none.toml")
    assert missing.returncode == 2
    assert "none.toml: no such file" in missing.stderr
    assert not (tmp_path / "fifth").exists()


def test_two_events_share_the_file_that_the_first_one_makes(tmp_path: Path) -> None:
    for name in ("first", "second"):
        assert labelkit("new", tmp_path / name, "--region", "CA-QC").returncode == 0
    assert [p.parent for p in sorted(tmp_path.rglob("maker.toml"))] == [tmp_path]
    for name in ("first", "second"):
        label = tomllib.loads((tmp_path / name / "label.toml").read_text(encoding="utf-8"))
        assert label["product"]["maker"] == "../maker.toml"
        # Québec's Charter of the French language (CQLR c. C-11, s. 51): French, others beside it.
        assert label["label"]["languages"] == ["fr", "en"]
        assert list(label["product"]["identity"]) == ["fr", "en"]


@pytest.mark.parametrize("rule", ["CRAFT-SHAPE", "recipe-alkali", "LABELKIT-FIT"])
@pytest.mark.parametrize("language", ["en", "fr"])
def test_findings_of_labelkits_own_explain_themselves(rule: str, language: str) -> None:
    told = labelkit("rules", "show", rule, "--language", language).stdout
    assert told.startswith(rule.upper())
    assert ("Why:" if language == "en" else "Pourquoi") in told


def test_a_new_folder_that_is_a_link_to_itself_is_refused(sample: Path, tmp_path: Path) -> None:
    circle, maker = tmp_path / "circle", sample.parent / "maker.toml"
    circle.symlink_to("circle")
    refused = labelkit("new", circle, "--maker", maker)
    assert refused.returncode == 2
    assert len(refused.stderr.splitlines()) == 1


def test_a_proof_says_where_it_falls_back_to_english(sample: Path, tmp_path: Path) -> None:
    finnish = Path(__file__).parents[2] / "samples" / "island-christening" / "label.toml"
    done = labelkit("proof", finnish, "--out", tmp_path / "proof.pdf")
    assert done.stderr == "In English: there are captions in en, fr, and none in fi, sv\n"
    assert "In English" not in done.stdout
    assert labelkit("proof", sample, "--out", tmp_path / "other.pdf").stderr == ""
    asked = labelkit("proof", finnish, "--out", tmp_path / "proof.pdf", "--language", "en")
    assert asked.stderr == ""


def test_a_proof_names_the_regions_whose_rules_it_gives_in_english(tmp_path: Path) -> None:
    border = Path(__file__).parents[2] / "samples" / "border-anniversary" / "label.toml"
    done = labelkit("proof", border, "--out", tmp_path / "proof.pdf", "--language", "fr")
    told = "En partie en anglais\u202f: certaines règles (US) n’ont pas de texte en fr\n"
    assert done.stderr == told
    assert done.stdout.splitlines()[-1] == "Contrôle avant impression\u202f: conforme"


@pytest.mark.usefixtures("coarse_pictures")
def test_a_proof_with_pictures(sample: Path, tmp_path: Path) -> None:
    done = labelkit("proof", sample, "--out", tmp_path / "proof.pdf", "--png", tmp_path / "png")
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "proof.pdf").read_bytes().startswith(b"%PDF-")
    pictures = sorted((tmp_path / "png").glob("*.png"))
    assert pictures
    assert all(p.read_bytes().startswith(b"\x89PNG") for p in pictures)


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        (("shet", "x.toml"), "no such command 'shet'; did you mean sheet?"),
        (("Preflight",), "no such command 'Preflight'; did you mean preflight?"),
        (("mend",), "no such command 'mend'; there are open, new, offer, "),
        (("preflight", "x.toml", "--region", "New Zealand"), "'New Zealand': unknown region; did"),
    ],
)
def test_a_slip_on_the_command_line_is_told_with_what_is_meant(
    typed: tuple[str, ...], message: str
) -> None:
    done = labelkit(*typed)
    assert done.returncode == 2
    assert message in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_a_page_is_named_in_either_case(tmp_path: Path) -> None:
    assert labelkit("calibrate", "--page", "A4", "--out", tmp_path / "a.pdf").returncode == 0


def test_a_missing_typeface_is_told_with_the_layout_that_names_it(event: Event) -> None:
    label = event(('layout = "lantern"', 'layout = "mine.toml"'))
    lantern = Path(__file__).resolve().parents[2] / "layouts" / "lantern.toml"
    text = re.sub(r'family = "[^"]*"', 'family = "gilded-quill"', lantern.read_text("utf-8"))
    (label.parent / "mine.toml").write_text(text, "utf-8")
    done = labelkit("preflight", label)
    assert done.returncode == 2
    assert "mine.toml: typeface 'gilded-quill' is not installed; " in done.stderr
