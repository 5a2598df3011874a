"""What was approved is what is printed: what has changed since, and what to print anew."""

from __future__ import annotations

import datetime as dt
import json
import tempfile
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st
from page_text import read_pages

from labelkit.cli import cli
from labelkit.common import files
from labelkit.common.errors import InputError
from labelkit.compose.fingerprint import ApprovedContent, collect_content, make_job_code
from labelkit.job.prepare import prepare_job
from labelkit.job.sheets import MadeSheets, Wish, make_sheets_of_file
from labelkit.pdf.read import read_panels
from labelkit.plan.approval import (
    Approval,
    KeptContent,
    approval_path_of,
    compare_contents,
    describe_changes,
    format_approval,
    read_approval,
)
from labelkit.plan.order_plan import make_plan

pytestmark = pytest.mark.usefixtures("ink_on_trust")

Event = Callable[..., Path]
MAY, JUNE = dt.date(2027, 5, 2), dt.date(2027, 6, 1)


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(cli, [str(a) for a in arguments], standalone_mode=False)


def approve(label: Path) -> str:
    code = make_job_code(prepare_job(label))
    assert run("proof", label, "--approved", code, "--on", "2027-05-02").return_value == 0
    return code


def guests(label: Path, *names: str) -> None:
    (label.parent / "guests.csv").write_text("\n".join(("name", *names)) + "\n", "utf-8")


@pytest.fixture
def small(event: Event) -> Path:
    """The sample's label for so few guests that one sheet holds all."""
    return event(("guests = 60", "guests = 6"))


@pytest.fixture
def personal(event: Event) -> Path:
    label = event(("guests = 60", 'guest_list = "guests.csv"'))
    guests(label, "Ana Roy", "Luc Babin", "Zoë Côté", "Luc Babin", "Mia Hébert")
    return label


def sheets(label: Path, **wish: object) -> MadeSheets:
    return make_sheets_of_file(label, label.parent / "sheets", Wish(today=JUNE, **wish))  # type: ignore[arg-type]


def printed(made: MadeSheets) -> list[str]:
    """The guests' names on the fronts, in order."""
    panels = read_panels(made.files[0]).panels
    return ["".join(r.text for r in p.panel.runs if r.element == "guest") for p in panels]


# -- recording -------------------------------------------------------------------------------------


def test_an_approval_is_kept_with_its_day_and_words(personal: Path) -> None:
    code = approve(personal)
    kept = read_approval(personal).approved
    assert kept == KeptContent(code, MAY, collect_content(prepare_job(personal)))
    text = approval_path_of(personal).read_text("utf-8")
    assert approval_path_of(personal).name == "label.approval.toml"
    for line in (
        f'code = "{code}"',
        "on = 2027-05-02",
        'names = { en = "The Lighthouse Supper", fr = "Le Souper du phare" }',
        "Zoë Côté",
    ):
        assert line in text.splitlines()


def test_a_code_of_another_state_is_refused_with_the_current_one(event: Event) -> None:
    label = event()
    old = make_job_code(prepare_job(label))
    event(('fr = "Le Souper du phare"', 'fr = "Le Bal du phare"'))
    now = make_job_code(prepare_job(label))
    done = run("proof", label, "--approved", old)
    assert isinstance(done.exception, InputError) and done.exception.exit_code == 2
    assert old in str(done.exception) and f"this order is {now}" in str(done.exception)
    misheard = now[:-1] + ("0" if now[-1] != "0" else "1")
    assert "misheard" in str(run("proof", label, "--approved", misheard).exception)
    assert not approval_path_of(label).exists()


def test_what_is_not_fit_cannot_be_approved(event: Event) -> None:
    label = event(('languages = ["en", "fr"]', 'languages = ["en"]'))
    done = run("proof", label, "--approved", make_job_code(prepare_job(label)))
    assert done.return_value == 1
    assert "not fit" in done.stderr
    assert not approval_path_of(label).exists()


@pytest.mark.parametrize(
    ("damage", "said"),
    [
        (("on = 2027-05-02", 'on = "May"'), "approved.on"),
        (("code = ", "kode = "), "approved.code: missing"),
        (("guests = 5", "guests = -5"), "approved.guests"),
        (("trim = ", "trimm = "), "approved.front.trimm"),
        (("[approved.front]", "[approved.front"), "write [approved.front]"),
    ],
)
def test_a_damaged_file_is_told_in_one_line(
    personal: Path, damage: tuple[str, str], said: str
) -> None:
    approve(personal)
    file = approval_path_of(personal)
    text = file.read_text("utf-8")
    assert damage[0] in text
    file.write_text(text.replace(*damage, 1), "utf-8")
    for command in (["sheet", "--out", "out"], ["preflight"]):
        done = run(command[0], personal, *command[1:])
        assert isinstance(done.exception, InputError)
        assert said in str(done.exception) and "label.approval.toml" in str(done.exception)


WORDS = st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=12).map(
    lambda text: " ".join(text.split()) or "x"
)
PARTS = st.dictionaries(
    st.sampled_from(
        [("", "languages", ""), ("front", "ink", ""), ("front", "names", "en"),
         ("front", "names", "fr-CA"), ("back", "lot", "zxx"), ("tag", "claim", "zxx")]
    ),
    WORDS,
)  # fmt: skip


@given(PARTS, st.lists(WORDS, max_size=4), st.integers(0, 9))
def test_whatever_is_kept_is_read_back(
    parts: dict[tuple[str, str, str], str], names: list[str], count: int
) -> None:
    kept = KeptContent(
        "0000-0000", MAY, ApprovedContent(parts, tuple(sorted(names)), count, "lantern")
    )
    with tempfile.TemporaryDirectory() as folder:
        label = Path(folder) / "label.toml"
        for approval in (Approval(approved=kept), Approval(kept, kept)):
            approval_path_of(label).write_text(format_approval(approval), "utf-8", newline="\n")
            assert read_approval(label) == approval


# -- printing what was approved --------------------------------------------------------------------


def test_sheets_say_how_the_order_stands(small: Path, event: Event) -> None:
    label = small
    code = make_job_code(prepare_job(label))
    made = sheets(label)
    assert f"Order {code}: no approval is recorded (labelkit proof --approved CODE)" in made.summary
    assert not approval_path_of(label).exists()  # without guests' names nothing is remembered
    approve(label)
    assert f"Order {code}, approved on 2027-05-02" in sheets(label).summary
    event(("guests = 6\n", "guests = 8\n"))  # more of the same labels: told, and printed
    (line,) = (line for line in sheets(label).summary if line.startswith("Order"))
    assert "guests: 6 before, 8 now" in line


CHANGES = {
    "a word": (
        ('fr = "Le Souper du phare"', 'fr = "Le Bal du phare"'),
        "front, names (fr): “Le Souper du phare” before, “Le Bal du phare” now",
    ),
    "the date": (
        ("date = 2027-06-19", "date = 2027-06-26"),
        "front, date (en): “June 19, 2027” before, “June 26, 2027” now",
    ),
    "words left out": (
        ("[plan]\npieces", '[front]\nleave_out = ["place"]\n\n[plan]\npieces'),
        "front, place: “Anse-aux-Brumes” left out",
    ),
    "the ink": (
        ('layout = "lantern"', 'layout = "lantern"\ncolour = "#1b2b45"'),
        "back, ink: “#000000” before, “#1b2b45” now",
    ),
    "the layout": (
        ('layout = "lantern"', 'layout = "bunting"'),
        "front, design: layout lantern before, bunting now",
    ),
    "the lot": (
        ('lot = "LS-2704"', 'lot = "LS-2705"'),
        "back, lot: “Lot LS-2704” before, “Lot LS-2705” now",
    ),
}


@pytest.mark.parametrize(("change", "line"), CHANGES.values(), ids=CHANGES)
@pytest.mark.quick(3)
def test_changed_words_are_not_printed_and_told(
    small: Path, event: Event, change: tuple[str, str], line: str
) -> None:
    label = small
    old = approve(label)
    event(change)
    out = label.parent / "sheets"
    done = run("sheet", label, "--out", out)
    assert done.return_value == 1
    assert line in done.stderr
    assert f"approved on 2027-05-02 as {old}" in done.stderr
    assert not out.exists()
    assert run("sheet", label, "--out", out, "--unapproved").return_value == 0
    assert (out / "front.pdf").is_file()


def test_a_draft_needs_no_approval(small: Path, event: Event) -> None:
    label = small
    approve(label)
    event(('fr = "Le Souper du phare"', 'fr = "Le Bal du phare"'))
    assert sheets(label, draft=True).files


def test_a_corrected_name_is_told_beside_the_old_one(personal: Path) -> None:
    approve(personal)
    guests(personal, "Ana Roy", "Luc Babin", "Zoé Côté", "Luc Babin", "Noé Aucoin")
    done = run("sheet", personal, "--out", personal.parent / "out")
    assert done.return_value == 1
    lines = done.stderr.splitlines()
    assert "labelkit: guest: “Zoë Côté” before, “Zoé Côté” now" in lines
    assert "labelkit: guest: “Noé Aucoin” added" in lines
    assert "labelkit: guest: “Mia Hébert” left out" in lines
    # A label that says what was approved may be printed again, and fewer of them as well.
    assert sheets(personal, guests=("Ana Roy",)).files
    guests(personal, "Ana Roy", "Luc Babin")
    assert sheets(personal).files


def test_the_preflight_tells_the_state(event: Event) -> None:
    label = event()

    def finding(language: str = "en", *more: str) -> dict[str, str]:
        done = run("preflight", label, "--format", "json", "--language", language, *more)
        found = json.loads(done.stdout)["findings"]
        return next((f for f in found if f["rule"] == "LABELKIT-APPROVAL"), {})

    assert finding()["level"] == "note"
    assert "no approval is recorded" in finding()["message"]
    code = approve(label)
    assert finding()["level"] == "note"
    assert finding()["message"] == f"Order {code}: approved on May 2, 2027."
    event(("date = 2027-06-19", "date = 2027-06-26"), ('lot = "LS-2704"', 'lot = "LS-2705"'))
    assert finding()["level"] == "warn"
    assert finding()["message"].endswith(
        f"changed since order {code} was approved on May 2, 2027: date, lot."
    )
    assert finding("fr")["message"].endswith("le 2 mai 2027\u202f: date, lot.")
    assert finding("en", "--region", "US") == {}  # another region's words were never proposed


# -- printing what was changed ---------------------------------------------------------------------


def test_only_what_changed_is_printed_anew(personal: Path) -> None:
    assert len(printed(sheets(personal))) == 6  # five guests and a spare
    guests(personal, "Anna Roy", "Luc Babin", "Zoé Côté", "Luc Babin", "Mia Hebert")
    made = sheets(personal, changed=True)
    assert printed(made) == ["Anna Roy", "Zoé Côté", "Mia Hebert"]
    assert any("No longer wanted" in line and "Zoë Côté" in line for line in made.summary)
    again = sheets(personal, changed=True)
    assert (again.files, again.refused) == ((), ())
    assert "Nothing to print" in again.summary[0]


def test_namesakes_are_counted(personal: Path) -> None:
    sheets(personal)
    guests(personal, "Luc Babin", "Luc Babin", "Luc Babin", "Ana Roy", "Zoë Côté", "Mia Hébert")
    assert printed(sheets(personal, changed=True)) == ["Luc Babin"]
    guests(personal, "Luc Babin", "Ana Roy", "Zoë Côté", "Mia Hébert")
    assert sheets(personal, changed=True).files == ()


def test_labels_printed_by_name_count_as_printed(personal: Path) -> None:
    sheets(personal)
    guests(personal, "Anna Roy", "Luc Babin", "Zoé Côté", "Luc Babin", "Mia Hébert")
    assert printed(sheets(personal, guests=("Anna Roy",))) == ["Anna Roy"]
    assert printed(sheets(personal, changed=True)) == ["Zoé Côté"]


def test_changed_words_on_all_labels_ask_for_all_of_them(personal: Path, event: Event) -> None:
    sheets(personal)
    before = (personal.parent / "sheets" / "front.pdf").read_bytes()
    event(("date = 2027-06-19", "date = 2027-06-26"))
    made = sheets(personal, changed=True)
    assert made.files == ()
    assert "front, date (en): “June 19, 2027” before, “June 26, 2027” now" in made.refused
    assert "all must be printed anew" in made.refused[-1]
    assert (personal.parent / "sheets" / "front.pdf").read_bytes() == before


def test_changed_needs_names_and_an_earlier_printing(personal: Path, event: Event) -> None:
    with pytest.raises(InputError, match="not known which labels were printed"):
        sheets(personal, changed=True)
    assert sheets(personal, draft=True).files  # a draft is no printing
    with pytest.raises(InputError, match="not known which labels were printed"):
        sheets(personal, changed=True)
    event(('guest_list = "guests.csv"', "guests = 60"))
    with pytest.raises(InputError, match="--changed prints labels that carry"):
        sheets(personal, changed=True)


def test_changed_and_approval_go_together(personal: Path) -> None:
    approve(personal)
    sheets(personal)
    guests(personal, "Anna Roy", "Luc Babin", "Zoë Côté", "Luc Babin", "Mia Hébert")
    assert sheets(personal, changed=True).refused
    code = approve(personal)
    made = sheets(personal, changed=True)
    assert printed(made) == ["Anna Roy"]
    kept = read_approval(personal)
    assert kept.approved is not None and kept.printed is not None
    assert (kept.approved.code, kept.printed.code, kept.printed.on) == (code, code, JUNE)


def test_a_folder_that_may_only_be_read_still_prints(
    personal: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    beside = files._create_file_beside

    def refused(path: Path) -> Path:
        if path == approval_path_of(personal):
            raise InputError(str(path), "", None, "cannot be written: Permission denied")
        return beside(path)

    monkeypatch.setattr(files, "_create_file_beside", refused)
    made = sheets(personal)
    assert made.files and all(path.is_file() for path in made.files)
    assert any("It is not remembered which labels were printed" in line for line in made.summary)


@given(st.lists(st.sampled_from("abc"), max_size=6), st.lists(st.sampled_from("abc"), max_size=6))
def test_names_added_and_removed_make_one_list_of_the_other(old: list[str], new: list[str]) -> None:
    before, now = (ApprovedContent({}, tuple(sorted(n)), len(n)) for n in (old, new))
    changes = compare_contents(before, now)
    assert sorted([*old, *changes.added]) == sorted([*new, *changes.removed])
    assert bool(changes) == (sorted(old) != sorted(new))
    # Single letters are not alike: none is taken for the correction of another.
    assert len(list(describe_changes(changes))) == len(changes.added) + len(changes.removed)


def test_a_plan_asks_for_no_proof_once_it_is_approved(personal: Path) -> None:
    """Nor for printing once the labels are printed, until the order is changed."""

    def asked() -> set[str]:
        plan = make_plan(prepare_job(personal), JUNE)
        passed = {d.step for d in plan.passed.steps} if plan.passed else set()
        return {str(step) for step in {d.step for d in plan.steps_left} | passed}

    assert {"proof", "approve", "print"} <= asked()
    approve(personal)
    assert asked() & {"proof", "approve", "print"} == {"print"}
    sheets(personal)
    assert not asked() & {"proof", "approve", "print"}
    guests(personal, "Ana Roy", "Luc Babineau", "Zoë Côté", "Luc Babin", "Mia Hébert")
    assert {"proof", "approve", "print"} <= asked()


# -- where the code stands -------------------------------------------------------------------------


def test_the_code_is_beside_the_labels_and_in_the_file(event: Event, tmp_path: Path) -> None:
    label = event(("guests = 60", "guests = 32"))  # two sheets
    code = make_job_code(prepare_job(label))
    for wish in (Wish(), Wish(two_sided="long"), Wish(one_per_page=True)):
        made = make_sheets_of_file(label, tmp_path, wish)
        for path in made.files:
            assert pypdf.PdfReader(path).metadata["/Keywords"] == f"order {code}"
            assert f"<pdf:Keywords>order {code}</pdf:Keywords>".encode() in path.read_bytes()
            texts = read_pages(path)
            fronts = texts[::2] if wish.two_sided else texts
            for text in fronts:
                assert text.count(f"Order {code}") == (0 if wish.one_per_page else 1)
            for place in read_panels(path).panels:
                assert all("Order" not in run.text for run in place.panel.runs)


def test_the_quote_and_the_record_carry_it(event: Event, tmp_path: Path) -> None:
    label = event()
    code = make_job_code(prepare_job(label))
    done = run(
        "plan", label, "--on", "2027-04-01", "--out", tmp_path / "p.pdf", "--record",
        "--language", "en",
    )  # fmt: skip
    assert done.return_value == 0, done.output
    assert all(f"Order {code}" in text for text in read_pages(tmp_path / "p.pdf"))
    maker = label.parent / "maker.toml"
    assert f"order {code}" in run("trace", "LS-2704", "--maker", maker).output
    found = json.loads(run("trace", "--list", "--maker", maker, "--format", "json").stdout)
    assert found["events"][0]["order"] == code
