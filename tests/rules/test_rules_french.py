"""Every finding that the rules' cases bring about, said in French.

The words are labelkit's own; what is checked is that nothing English is left over and that the
figures are the English ones.
"""

from __future__ import annotations

import re

import pytest
import rule_cases
from rule_labels import Case

from labelkit.report.findings import format_findings_json, format_findings_text, load_finding_words
from labelkit.rules import Finding

WHOLE = {"CA", "CA-QC", "EU", "BE"}
ENGLISH = re.compile(
    r"\b(the|is|are|not|must|with|only|which|label|piece|list|missing|needs|says|without|least|"
    r"print|printed|prints|required|measured|unverified|weight|month|between|from)\b"
)
"""Words that no French sentence here has; quoted words of the label are left out first."""
CASES = [case for case in rule_cases.all_cases() if case.level and {*case.regions} <= WHOLE]


def _findings(case: Case) -> list[Finding]:
    report = case.draft.judged(*case.regions, on=case.on, strict=case.strict)
    return [finding for finding in report.findings if finding.rule == case.rule]


def _own_words(text: str) -> str:
    """A sentence without what it quotes: words of the label, commands, names of files and keys."""
    return re.sub(r"«[^»]*»|“[^”]*”|`[^`]*`|\S*_\S*|\w+\.\w+|list-elsewhere|\([^()]*\)", "", text)


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.rule} {case.says}".strip())
@pytest.mark.quick(111)
def test_a_finding_is_french_throughout(case: Case) -> None:
    words = load_finding_words(case.regions, "fr")
    found = _findings(case)
    assert found
    for finding in found:
        told = words.of(finding)
        for line in (told.message, told.remedy, told.source, told.measured):
            assert "(en anglais)" not in line
        for line in (told.message, told.remedy):
            assert not ENGLISH.search(_own_words(line)), line
        assert told.message.endswith(".")


@pytest.mark.parametrize("case", CASES[::5], ids=lambda case: f"{case.rule} {case.says}".strip())
def test_english_and_french_give_the_same_figures(case: Case) -> None:
    words = load_finding_words(case.regions, "fr")
    for finding in _findings(case):
        english = re.findall(r"\d+\.\d+", _own_words(str(finding.message)))
        french = [n.replace(",", ".") for n in re.findall(r"\d+,\d+", words.message(finding))]
        assert {*english} <= {*french}, finding.message


def test_only_sentences_change_with_the_language() -> None:
    report = CASES[0].draft.judged("CA")
    english, french = (format_findings_json(report, language) for language in ("en", "fr"))
    sentences = r'(?m)^\s*"(message|remedy|citation)": .*$'
    assert re.sub(sentences, "", english) == re.sub(sentences, "", french)
    assert english != french
    assert "conforme pour CA" in format_findings_text(report, language="fr")
