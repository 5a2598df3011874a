"""What a command replaced comes back, and what labelkit did not write stays."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest
from command import labelkit

from labelkit.common.journal import FileWritten, Journal, JournalEntry
from labelkit.compose.fingerprint import make_job_code
from labelkit.job.prepare import prepare_job

pytestmark = pytest.mark.usefixtures("ink_on_trust")

Event = Callable[..., Path]
ON = ("--on", "2027-03-01")


@pytest.fixture
def guests(event: Event) -> Path:
    """The sample event with a list of guests."""
    label = event(("guests = 60\n", 'guest_list = "guests.txt"\n'))
    label.with_name("guests.txt").write_text("Ana\nBo\nCy\n", encoding="utf-8")
    return label


def contents(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and "labelkit-journal" not in path.parts
    }


def test_a_plan_never_replaces_the_list_that_its_label_names(guests: Path) -> None:
    listed = guests.with_name("guests.txt")
    done = labelkit("plan", guests, *ON, "--out", listed)
    assert done.returncode == 2
    assert f"labelkit: {listed}: is there already" in done.stderr
    assert listed.read_text(encoding="utf-8") == "Ana\nBo\nCy\n"


def test_a_signed_proof_and_another_program_s_sheet_stay(event: Event, tmp_path: Path) -> None:
    label, proof = event(), tmp_path / "proof.pdf"
    assert labelkit("proof", label, "--out", proof).returncode == 0
    signed = proof.read_bytes() + b"% signed\n"
    proof.write_bytes(signed)
    event(("The Lighthouse Supper", "The Second Supper"))
    done = labelkit("proof", label, "--out", proof)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "was changed since; move it away, or choose another name" in done.stderr
    assert proof.read_bytes() == signed
    other = tmp_path / "sheets" / "front.pdf"
    other.parent.mkdir()
    other.write_bytes(b"%PDF-1.7 of another program")
    done = labelkit("sheet", label, "--out", other.parent)
    assert done.returncode == 2
    assert f"{other}: is there already" in done.stderr
    assert contents(other.parent) == {"front.pdf": b"%PDF-1.7 of another program"}


def test_two_outputs_of_a_plan_are_two_files(event: Event, tmp_path: Path) -> None:
    done = labelkit("plan", event(), *ON, "--out", tmp_path / "days", "--ics", tmp_path / "days")
    assert done.returncode == 2
    assert "--ics: " in done.stderr
    assert "is the file of --out; give it another name" in done.stderr
    (tmp_path / "link").symlink_to("days")
    done = labelkit("plan", event(), *ON, "--out", tmp_path / "days", "--ics", tmp_path / "link")
    assert done.returncode == 2
    assert not (tmp_path / "days").exists()


def test_measured_stock_never_replaces_a_label(event: Event) -> None:
    label = event()
    before = label.read_bytes()
    measures = (
        "--page", "210 x 297", "--across", "1", "--down", "1", "--label", "63.5 x 38.1",
        "--left", "7.2", "--top", "15.1", "--shape", "rectangle",
    )  # fmt: skip
    done = labelkit("stock", "measure", "--force", "--out", label, *measures)
    assert done.returncode == 2
    assert label.read_bytes() == before
    own = label.with_name("mine.toml")
    assert labelkit("stock", "measure", "--out", own, *measures).returncode == 0
    again = (
        "stock",
        "measure",
        "--force",
        "--out",
        own,
        *measures[:-1],
        "rounded",
        "--corner",
        "2",
    )
    assert labelkit(*again).returncode == 0
    own.write_text(own.read_text(encoding="utf-8") + "# hers\n", encoding="utf-8")
    assert labelkit(*again).returncode == 2


def test_undo_brings_back_sheets_positions_and_what_was_printed(guests: Path) -> None:
    maker = guests.with_name("maker.toml")
    stock = maker.read_text(encoding="utf-8").replace(
        'stock = "', 'stock = "a4-4x8-44x28" # was "', 1
    )
    maker.write_text(stock, encoding="utf-8")
    sheet = ("sheet", guests, "--out", guests.parent / "out", "--remember")
    assert labelkit(*sheet).returncode == 0
    first = contents(guests.parent)
    guests.with_name("guests.txt").write_text("Ana\nBo\nCyd\n", encoding="utf-8")
    done = labelkit(*sheet, "--changed")
    assert done.returncode == 0, done.stderr
    assert "replaced front.pdf, back.pdf, part-used.toml, label.approval.toml" in done.stdout
    second = contents(guests.parent)
    done = labelkit("undo", "--maker", maker)
    assert done.returncode == 0, done.stderr
    assert "front.pdf: as it was before" in done.stdout
    first["guests.txt"] = second["guests.txt"]
    assert contents(guests.parent) == first
    assert labelkit("undo", "--maker", maker).returncode == 0
    assert contents(guests.parent) == second
    listed = labelkit("undo", "--maker", maker, "--list").stdout.splitlines()
    assert [line.split()[2].rstrip(",:") for line in listed] == ["sheet", "sheet", "undo", "undo"]


def test_undo_of_the_first_command_removes_what_it_made(event: Event, tmp_path: Path) -> None:
    label, plan = event(), tmp_path / "plan.pdf"
    assert labelkit("plan", label, *ON, "--out", plan).returncode == 0
    done = labelkit("undo", "--maker", label.with_name("maker.toml"))
    assert done.stdout.splitlines()[1] == f"{plan}: removed; it was not there before"
    assert not plan.exists()


def test_undo_after_one_that_was_killed_takes_back_what_that_one_was_to(
    guests: Path, tmp_path: Path
) -> None:
    """Killed between its line in the journal and the first file: nothing was changed by it."""
    plan, folder = tmp_path / "plan.txt", guests.parent
    assert labelkit("plan", guests, *ON, "--out", plan).returncode == 0
    first = plan.read_bytes()
    text = guests.read_text(encoding="utf-8")
    guests.write_text(text.replace("Lighthouse Supper", "Second Supper"), encoding="utf-8")
    assert labelkit("plan", guests, *ON, "--out", plan).returncode == 0
    journal = Journal(folder)
    made = journal.read_entries()[-1].files[0]
    journal.append(
        JournalEntry(0, "", "undo", files=(FileWritten(made.path, made.was, made.sha256),))
    )
    assert labelkit("undo", "--maker", folder / "maker.toml").returncode == 0
    assert plan.read_bytes() == first


def test_undo_leaves_what_was_changed_since(event: Event, tmp_path: Path) -> None:
    label, plan = event(), tmp_path / "plan.txt"
    assert labelkit("plan", label, *ON, "--out", plan).returncode == 0
    plan.write_text("hers", encoding="utf-8")
    done = labelkit("undo", "--maker", label.with_name("maker.toml"))
    assert done.returncode == 2
    assert done.stderr == (
        f"labelkit: {plan}: was changed since labelkit plan wrote it; it is left as it is\n"
    )
    assert plan.read_text(encoding="utf-8") == "hers"


def test_undo_where_nothing_was_written(tmp_path: Path) -> None:
    done = labelkit("undo", "--maker", tmp_path / "maker.toml")
    assert done.returncode == 2
    assert "no such file" in done.stderr
    assert list(tmp_path.iterdir()) == []
    done = labelkit("undo", "--list", "--maker", tmp_path / "maker.toml")
    assert done.returncode == 0
    assert "has written nothing" in done.stdout


def test_the_journal_says_from_which_files_sheets_were_made(guests: Path) -> None:
    assert labelkit("sheet", guests, "--out", guests.parent / "out").returncode == 0
    (entry,) = Journal(guests.parent).read_entries()
    for name in ("label.toml", "maker.toml", "recipe.toml", "guests.txt"):
        data = guests.with_name(name).read_bytes()
        assert entry.inputs[name] == hashlib.sha256(data).hexdigest()
    assert {file.path for file in entry.files} == {
        "out/front.pdf", "out/back.pdf", "label.approval.toml",
    }  # fmt: skip
    assert entry.order_code == make_job_code(prepare_job(guests))
