"""Rows read in the Code of Federal Regulations, held against its text as it is published.

``law_excerpts/ECFR-title1.xml`` is a real excerpt (title 1, of which the whole was at hand). Of
title 21 the text was not: its structure is that of title 1 here, and the sentences are those that
were quoted from the annual edition of 2015; what stands around them is left out.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from labelkit.cli import main
from labelkit.rules.cfr import list_paragraphs, read_amended_day
from labelkit.rules.provisions import (
    ProvisionState,
    VerifiedProvision,
    load_laws,
    load_provisions,
    parse_citation,
    read_law,
    verify_provisions,
)

TITLE_1 = Path(__file__).parent / "law_excerpts" / "ECFR-title1.xml"
QUOTED = {
    "701.11": "(c) reasonably related to the most prominent printed matter",
    "701.13": "(d) a decimal fraction shall not be carried out to more than two places",
    "701.20": "(a)(1) ... |(2) labeled, sold, and represented only as soap",
}
"""Sections of 21 CFR with their quoted words, "|" between two paragraphs."""


def write_title_21(folder: Path, sections: dict[str, str] = QUOTED) -> Path:
    """Title 21 in the form of the eCFR, with these sections alone."""
    made = "".join(
        f'<DIV8 N="§ {number}" TYPE="SECTION"><HEAD>§ {number}</HEAD>'
        + "".join(f"<P>{text}\n</P>" for text in texts.split("|"))
        + '<CITA TYPE="N">[39 FR 10056, Mar. 15, 1974, as amended at 55 FR 8, Jan. 2, 1990]</CITA>'
        "</DIV8>"
        for number, texts in sections.items()
    )
    path = folder / "ECFR-title21.xml"
    part = f'<DIV5 N="701" TYPE="PART"><HEAD>PART 701</HEAD>{made}</DIV5>'
    text = f"<DLPSTEXTCLASS><TEXT><BODY><ECFRBRWS>{part}</ECFRBRWS></BODY></TEXT></DLPSTEXTCLASS>"
    path.write_text(text, "utf-8")
    return path


def state(folder: Path, section: str) -> VerifiedProvision:
    found = verify_provisions(folder)
    return next(v for v in found if (v.provision.law, v.provision.section) == ("21 CFR", section))


# -- the text --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("section", "begins", "count"),
    # 1 CFR 51.7 and 21.11, as published.
    [
        ("51.7(a)", "(a) A publication is eligible", 7),
        ("51.7(a)(1)", "(1) Conforms to the policy stated in § 51.1;", 1),
        ("51.7(a)(2)", "(2)(i) Is published data", 2),
        ("51.7(a)(2)(ii)", "(ii) Does not detract", 1),
        ("51.7(a)(3)(i)", "(i) The completeness", 1),
        ("51.7(c)", "(c) The following materials", 3),
        ("51.7(c)(2)", "(2) Material published in the United States Code.", 1),
        ("21.11(g)", "(g) Sections, which are numbered", 1),
        ("51", "(a) A publication is eligible", 11),
    ],
)
def test_a_paragraph_is_found_by_its_number(section: str, begins: str, count: int) -> None:
    texts = list_paragraphs(read_law(TITLE_1), section)
    assert texts is not None
    assert texts[0].startswith(begins)
    assert len(texts) == count


@pytest.mark.parametrize("section", ["51.8", "51.7(d)", "51.7(a)(4)", "52"])
def test_what_is_not_there_is_not_found(section: str) -> None:
    assert list_paragraphs(read_law(TITLE_1), section) is None


def test_a_letter_after_a_number_is_the_next_paragraph_or_a_numeral_by_what_follows() -> None:
    """21 CFR 701.13 goes from (h)(3) to (i); 1 CFR 51.7 from (a)(3) to its (i) and (ii)."""

    def sections(*marks: str) -> ET.Element:
        paragraphs = "".join(f"<P>{mark} words</P>" for mark in marks)
        return ET.fromstring(f'<ECFR><DIV8 N="§ 9.1" TYPE="SECTION">{paragraphs}</DIV8></ECFR>')

    letters = sections("(h)", "(1)", "(3)", "(i)", "(j)")
    assert list_paragraphs(letters, "9.1(i)") == ("(i) words",)
    assert list_paragraphs(letters, "9.1(h)(3)(i)") is None
    numerals = sections("(h)", "(1)", "(3)", "(i)", "(ii)", "(i)", "(j)")
    assert list_paragraphs(numerals, "9.1(h)(3)(i)") == ("(i) words",)
    assert list_paragraphs(numerals, "9.1(h)(3)(ii)") == ("(ii) words",)
    assert list_paragraphs(numerals, "9.1(i)") == ("(i) words",)


def test_the_annual_edition_is_read_too() -> None:
    """Its form after GPO's CFR XML User Guide, 2.5 (a section of 7 CFR, shortened there)."""
    root = ET.fromstring(
        "<CFRDOC><SECTION><SECTNO>§ 1007.51</SECTNO><SUBJECT>Class I differential</SUBJECT>"
        "<P>(a) The Class I differential shall be the differential</P>"
        "<P>(b) Adjustment to Class I prices. Class I prices shall</P>"
        "<CITA>[73 FR 14163, Mar. 17, 2008]</CITA></SECTION></CFRDOC>"
    )
    assert list_paragraphs(root, "1007.51(b)") == (
        "(b) Adjustment to Class I prices. Class I prices shall",
    )
    assert read_amended_day(root, "1007.51(b)") == "2008-03-17"


def test_the_day_of_the_last_amendment_is_that_of_the_source_note() -> None:
    assert read_amended_day(read_law(TITLE_1), "51.7(a)") == "2014-11-07"


# -- what was kept ---------------------------------------------------------------------------------


@pytest.mark.parametrize("section", ["701.11(c)", "701.13(d)", "701.20(a)(2)"])
def test_a_quoted_sentence_that_still_stands_is_the_same(section: str, tmp_path: Path) -> None:
    write_title_21(tmp_path)
    found = state(tmp_path, section)
    assert (found.state, found.in_force) == (ProvisionState.SAME, "1990-01-02")
    assert found.rules


def test_a_changed_word_is_told(tmp_path: Path) -> None:
    changed = QUOTED | {"701.13": QUOTED["701.13"].replace("two places", "three places")}
    write_title_21(tmp_path, changed)
    assert state(tmp_path, "701.13(d)").state is ProvisionState.CHANGED
    assert state(tmp_path, "701.11(c)").state is ProvisionState.SAME


def test_a_section_that_left_and_one_never_seen_word_for_word_are_told_apart(
    tmp_path: Path,
) -> None:
    write_title_21(tmp_path, QUOTED | {"701.2": "(a) ...|(b) ...|(2) ..."})
    assert state(tmp_path, "701.13(n)").state is ProvisionState.GONE
    assert state(tmp_path, "701.2(b)(2)").state is ProvisionState.NOT_KEPT
    assert state(tmp_path, "701.12(d)").state is ProvisionState.GONE


def test_every_provision_of_the_code_that_a_read_row_cites_is_listed(tmp_path: Path) -> None:
    from labelkit.rules import Provenance, load_rules

    write_title_21(tmp_path)
    listed = {(v.provision.law, v.provision.section) for v in verify_provisions(tmp_path)}
    read = [rule for rule in load_rules(["US"]) if rule.provenance is Provenance.READ]
    cited = {one for rule in read for one in parse_citation(rule.citation)}
    assert len(cited) > 50
    assert cited <= listed
    assert {one.law for one in load_provisions() if one.words} == {"21 CFR"}
    assert {"16 CFR", "19 CFR", "21 CFR"} <= set(load_laws())


@pytest.mark.parametrize(
    ("citation", "sections"),
    [
        ("21 CFR 701.13(h)(2), (3), (i); 16 CFR 500.21(b)",
         ["701.13(h)(2)", "701.13(h)(3)", "701.13(i)", "500.21(b)"]),
        ("21 CFR 701.3(a), (b), (i) to (k), (r)",
         ["701.3(a)", "701.3(b)", "701.3(i)", "701.3(j)", "701.3(k)", "701.3(r)"]),
        ("21 CFR 701.13(e), (f)(1)", ["701.13(e)", "701.13(f)(1)"]),
        ("21 USC 362(b)(1); 21 CFR 701.12(a) to (c); 16 CFR 500.5",
         ["701.12(a)", "701.12(b)", "701.12(c)", "500.5"]),
        ("19 USC 1304; 19 CFR 134.32(f), (h)", ["134.32(f)", "134.32(h)"]),
        ("16 CFR part 255", ["255"]),
    ],
)  # fmt: skip
def test_a_citation_of_the_code_is_read(citation: str, sections: list[str]) -> None:
    assert [section for _, section in parse_citation(citation)] == sections


def test_the_command_tells_of_the_code(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_title_21(tmp_path)
    with pytest.raises(SystemExit) as done:
        main(["rules", "--verify", str(tmp_path)])
    out = capsys.readouterr().out
    assert done.value.code == 1
    line = next(one for one in out.splitlines() if "21 CFR 701.13(d)" in one)
    assert line.startswith("same")
    assert "last amended 2 January 1990" in line.replace("January 2, 1990", "2 January 1990")
    assert "there but never seen word for word" in out.splitlines()[-1]
