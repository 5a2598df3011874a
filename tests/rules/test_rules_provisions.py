"""The rows that were read, held against the text of the law.

``law_excerpts`` has real excerpts of the official XML of the Department of Justice of Canada (each
file names its source). What is done to them here is invented; what they say is not.
"""

from __future__ import annotations

import datetime as dt
import itertools
import json
import shutil
from pathlib import Path

import pytest

from labelkit import rules
from labelkit.cli import main
from labelkit.common.errors import InputError
from labelkit.rules import Provenance, load_rules
from labelkit.rules.provisions import (
    MOST_BYTES,
    ProvisionState,
    VerifiedProvision,
    find_provision,
    hash_words,
    is_cfr_title,
    load_laws,
    load_provisions,
    parse_citation,
    read_in_force_day,
    read_law,
    read_provision_words,
    verify_provisions,
)

EXCERPTS = Path(__file__).parent / "law_excerpts"
TABLES = Path(rules.__file__).parent / "tables"
CPLR, CPLA = "C.R.C.,_c._417.xml", "C-38.xml"
WHOLE = {
    "CPLR": ("13", "14(1)", "14(2)", "14(4)", "15"),
    "CPLA": ("2(1) “sell”", "7", "7(1)", "7(2)(a)", "7(2)(b)", "7(2)(c)", "7(3)"),
}
"""What the excerpts have whole of what is kept."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(EXCERPTS, tmp_path / "laws"))


def change(folder: Path, old: str, new: str, file: str = CPLR) -> None:
    path = folder / file
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")


def state(folder: Path, law: str, section: str) -> VerifiedProvision:
    return next(
        v
        for v in verify_provisions(folder)
        if (v.provision.law, v.provision.section) == (law, section)
    )


# -- the law as it is ------------------------------------------------------------------------------


@pytest.mark.parametrize(("law", "section"), [(law, s) for law in WHOLE for s in WHOLE[law]])
def test_what_is_kept_is_the_hash_of_the_laws_own_words(law: str, section: str) -> None:
    assert state(EXCERPTS, law, section).state is ProvisionState.SAME


@pytest.mark.parametrize(
    ("section", "words"),
    # Consumer Packaging and Labelling Regulations, read in the XML.
    [
        ("14(2)(a)", "1/16 inch (1.6 millimetres), where the principal display surface of the"
         " container is not more than five square inches (32 square centimetres);"),
        ("14(4)", "All information in the declaration of net quantity other than the information"
         " referred to in subsection (2), shall be shown in letters of not less than 1/16 inch"
         " (1.6 millimetres) in height."),
    ],
)  # fmt: skip
def test_a_provision_is_found_by_its_number(section: str, words: str) -> None:
    element = find_provision(read_law(EXCERPTS / CPLR), section)
    assert element is not None
    assert read_provision_words(element) == words


def test_the_days_are_those_of_the_xml() -> None:
    """lims:inforce-start-date of s. 14(2), (4) is 2014-01-29; only (5) was repealed in 2019."""
    root = read_law(EXCERPTS / CPLR)
    rows = {rule.id: rule for rule in load_rules(["CA"])}
    for section, rule in (
        ("14(2)", "CA-QUANTITY-FIGURE-HEIGHT"),
        ("14(4)", "CA-QUANTITY-TEXT-HEIGHT"),
    ):
        element = find_provision(root, section)
        assert element is not None
        assert read_in_force_day(element) == "2014-01-29"
        assert rows[rule].since == dt.date(2014, 1, 29)
    repealed = find_provision(root, "14(5)")
    assert repealed is not None
    assert read_provision_words(repealed) == ""
    sell = find_provision(read_law(EXCERPTS / CPLA), "2(1) “sell”")
    assert sell is not None
    # The packaging act does not name giving away, unlike the Food and Drugs Act.
    assert "consideration" not in read_provision_words(sell)
    assert "display in such manner" in read_provision_words(sell)


LIMS = "{http://justice.gc.ca/lims}"


@pytest.mark.parametrize("file", [CPLA, CPLR])
def test_the_head_of_the_table_says_how_current_the_law_was(file: str) -> None:
    """lims:current-date and lims:lastAmendedDate of each law's own XML."""
    law = read_law(EXCERPTS / file)
    current, amended = law.attrib[f"{LIMS}current-date"], law.attrib[f"{LIMS}lastAmendedDate"]
    name = "C.R.C., c. 417" if file == CPLR else "R.S.C. 1985, c. C-38"
    assert f"{name} (current to {current}, last amended on {amended})" in read_head("CA")


def test_the_head_of_the_table_dates_the_regulations_and_the_readings() -> None:
    """The facts' table of sources: the Cosmetic Regulations' stored text is consolidated to
    2026-04-29 and was last amended on 2026-04-12; their second reading is of the federal XML of
    2026-07-23, from which every provision kept was seen."""
    head = read_head("CA")
    assert (
        "Cosmetic Regulations, C.R.C., c. 869 (consolidated to 2026-04-29, last amended on"
        " 2026-04-12)" in head
    )
    assert "All were read in the official XML of 2026-07-23" in head
    canadian = [p for p in load_provisions() if not p.law.endswith("CFR")]
    assert {p.seen for p in canadian} == {"2026-07-23"}


def read_head(code: str) -> str:
    """The comment at the head of a region's table, as one line."""
    lines = (TABLES / f"{code}.toml").read_text("utf-8").splitlines()
    head = itertools.takewhile(lambda line: line.startswith("#"), lines)
    return " ".join(line.removeprefix("#").strip() for line in head)


def test_every_row_read_in_canadas_laws_rests_on_what_is_kept() -> None:
    kept = {(one.law, one.section) for one in load_provisions()}
    read = [r for r in load_rules(["CA"]) if r.provenance is Provenance.READ]
    assert len(read) > 40
    assert {
        rule.id: parse_citation(rule.citation) for rule in read if not parse_citation(rule.citation)
    } == {}
    lacking = {(r.id, one) for r in read for one in parse_citation(r.citation) if one not in kept}
    assert lacking == set(), "read them, then run python tests/record_provisions.py FOLDER DAY"


def test_what_is_kept_is_whole_and_holds_no_text() -> None:
    assert len(load_provisions()) > 70
    for one in load_provisions():
        assert one.law in load_laws()
        assert len(one.sha256) == len(hash_words(""))
        if is_cfr_title(one.law):  # sentences of an annual edition that say no more than its year
            assert (one.fid, one.in_force, bool(one.words)) == ("", "", True)
            continue
        assert one.fid.isdecimal()
        assert dt.date.fromisoformat(one.in_force) <= dt.date.fromisoformat(one.seen)


# -- what citations mean ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("citation", "sections"),
    [
        ("CPLR ss. 12(b), 6(2)", ["12(b)", "6(2)"]),
        ("CPLR ss. 21, 27(c), (d)", ["21", "27(c)", "27(d)"]),
        ("CPLR s. 31(2) to (4)", ["31(2)", "31(3)", "31(4)"]),
        ("CR s. 21.4(0.1), (4); Regulation (EU) 2023/1545", ["21.4(0.1)", "21.4(4)"]),
        ("CR ss. 2(1) “ingredient”, 21.4(1)", ["2(1) “ingredient”", "21.4(1)"]),
        ("FDA s. 2 “drug”, “cosmetic”", ["2 “drug”", "2 “cosmetic”"]),
        ("CR s. 21.2(4) and schedule", ["21.2(4)", "Schedule"]),
        ("CPLR ss. 38, Schedule I Part III, Schedule II", ["38", "Schedule I", "Schedule II"]),
        ("Competition Act s. 74.01(1)(b.1)", ["74.01(1)(b.1)"]),
        ("CEPA 1999, Schedule 1, item 116", ["Schedule 1, item 116"]),
        ("Reg. Art. 19(1)(c)", []),
        ("Charter s. 51", []),
    ],
)  # fmt: skip
def test_a_citation_is_read(citation: str, sections: list[str]) -> None:
    assert [section for _, section in parse_citation(citation)] == sections


# -- the law as it may become ----------------------------------------------------------------------


def test_a_changed_sentence_is_told_with_its_day(folder: Path) -> None:
    change(folder, "any part of the label except that part", "any part of the label but that part")
    dated = 'lims:inforce-start-date="{day}" lims:lastAmendedDate="2006-03-22" lims:fid="556136"'
    change(folder, dated.format(day="2006-03-22"), dated.format(day="2027-01-01"))
    found = state(folder, "CPLR", "13")
    assert (found.state, found.in_force) == (ProvisionState.CHANGED, "2027-01-01")
    assert found.provision.in_force == "2006-03-22"
    assert set(found.rules) >= {"CA-DEALER-PRESENT", "CA-DEALER-BOTTOM"}
    assert state(folder, "CPLR", "14(2)").state is ProvisionState.SAME


@pytest.mark.parametrize("number", ["2.6", "1.7"])
def test_a_changed_figure_is_seen(folder: Path, number: str) -> None:
    change(folder, "1/16 inch (1.6 millimetres), where", f"1/16 inch ({number} millimetres), where")
    assert state(folder, "CPLR", "14(2)").state is ProvisionState.CHANGED


def test_a_blank_or_a_note_changes_nothing(folder: Path) -> None:
    change(folder, "<Text>Subject to section 10, the", "<Text>Subject\n   to section 10,\u00a0the")
    change(folder, "<Label>13</Label>", "<MarginalNote>Place</MarginalNote><Label>13</Label>")
    assert state(folder, "CPLR", "13").state is ProvisionState.SAME


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (
            "<Label>(4)</Label><Text>All",
            "<Label>(4)</Label><Text><Repealed>x</Repealed></Text><!--",
        ),
        ("<Label>(4)</Label><Text>All", "<Label>(6)</Label><Text>Nearly all"),
    ],
)
def test_what_is_gone_is_gone(folder: Path, old: str, new: str) -> None:
    text = (folder / CPLR).read_text("utf-8")
    if "<!--" in new:
        new = new.removesuffix("<!--")
        old = text[text.index(old) : text.index("</Text>", text.index(old)) + len("</Text>")]
    change(folder, old, new)
    assert state(folder, "CPLR", "14(4)").state is ProvisionState.GONE


def test_a_text_under_another_number_has_moved(folder: Path) -> None:
    change(folder, "<Label>13</Label>", "<Label>13.1</Label>")
    found = state(folder, "CPLR", "13")
    assert (found.state, found.now) == (ProvisionState.MOVED, "13.1")


def test_a_law_that_is_not_there_is_told_as_that(folder: Path) -> None:
    assert state(folder, "CR", "20(a)").state is ProvisionState.NO_FILE
    # The French text of a law is not the one that was hashed.
    change(folder, 'xml:lang="en"', 'xml:lang="fr"')
    assert state(folder, "CPLR", "13").state is ProvisionState.NO_FILE


# -- the command -----------------------------------------------------------------------------------


def told(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as done:
        main(["rules", *map(str, arguments)])
    out, err = capsys.readouterr()
    return int(str(done.value.code)), out, err


def test_the_command_lists_what_is_no_longer_the_same_first(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    change(folder, "any part of the label except that part", "any part of the label but that part")
    code, out, _ = told(capsys, "--verify", folder)
    assert code == 1
    changed = next(line for line in out.splitlines() if "CPLR s. 13 " in line)
    assert changed.startswith("changed")
    assert "CA-DEALER-BOTTOM" in changed
    assert "text seen on 23 July 2026" in changed
    assert out.index("changed  ") < out.index("same  ")
    assert "1 changed" in out.splitlines()[-1]
    code, out, _ = told(capsys, "--verify", folder, "--format", "json")
    states = {one["provision"]: one["state"] for one in json.loads(out)}
    assert (code, states["CPLR s. 13"], states["CPLR s. 14(2)"]) == (1, "changed", "same")
    _, out, _ = told(capsys, "--verify", folder, "--language", "fr")
    assert "texte lu le 23 juillet 2026" in out.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is no act or regulation in the XML"),
        (b"<html/>", "is no act or regulation in the XML"),
        (b"<Regulation>", "is no act or regulation in the XML"),
        (b'<!DOCTYPE x [<!ENTITY a "b">]><Regulation/>', "is no act or regulation in the XML"),
        (None, "holds none of these files"),
    ],
)
def test_what_is_no_law_is_told_in_one_line(
    content: bytes | None, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if content is not None:
        (tmp_path / CPLR).write_bytes(content)
    code, out, err = told(capsys, "--verify", tmp_path)
    assert (code, out) == (2, "")
    assert says in err
    assert len(err.splitlines()) == 1
    code, _, err = told(capsys, "--verify", tmp_path / "nowhere")
    assert code == 2
    assert "is no folder" in err


def test_a_file_larger_than_any_law_is_not_read(tmp_path: Path) -> None:
    with (tmp_path / CPLR).open("wb") as stream:
        stream.truncate(MOST_BYTES + 1)
    with pytest.raises(InputError, match="is no act or regulation"):
        verify_provisions(tmp_path)
