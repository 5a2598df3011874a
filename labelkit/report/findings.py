"""A preflight's findings in one language: as text, as a page and as JSON."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from labelkit.common.frozen import dataclass
from labelkit.common.json_text import format_json, pick_fields
from labelkit.common.messages import Said, format_fact_text
from labelkit.order.fields import find_named_fields
from labelkit.order.label import LabelSpec
from labelkit.report.advice import list_advice_ids
from labelkit.report.phrasebook import Phrases, list_languages, load_phrases
from labelkit.report.reader import Reader, describe_partly_english
from labelkit.report.speech import SOURCE, Speech
from labelkit.rules import RuleChange, VerdictDay
from labelkit.rules.findings import Finding, Level, Report

BOOK = "findings"
ELEMENT_KEYS = {
    "identity": "product.identity",
    "net-quantity": "product.net_weight",
    "scent": "product.scent",
    "lot": "product.lot",
    "names": "event.names",
    "initials": "event.names",
    "numerals": "event.date",
    "date": "event.date",
    "place": "event.place",
    "dealer": "maker.name, maker.address",
    "contact": "maker.contact",
    "brand": "maker.brand",
}
"""Where an element's words come from, as the files call it; others from [front] or [back]."""
WORDS_OF_A_SIDE = {
    "ingredients-heading", "claim", "thanks", "directions", "durability", "origin",
    "list-elsewhere",
}  # fmt: skip


def find_field(finding: Finding) -> str:
    """The key whose words a finding is about; empty where it is no matter of one field's words."""
    if finding.unit or not finding.panel or finding.rule.startswith(("CRAFT-", "LABELKIT-")):
        return ""
    if finding.element in WORDS_OF_A_SIDE:
        side = "front" if finding.panel == "front" else "back"
        return f"{side}.{finding.element.replace('-', '_')}"
    return ELEMENT_KEYS.get(finding.element, "")


@dataclass(frozen=True, slots=True)
class WordedFinding:
    """A finding in words, its measures and remedy as whole lines; empty where there is none."""

    grade: str
    level: str
    rule: str
    region: str
    panel: str
    element: str
    message: str
    measured: str
    remedy: str
    source: str


@dataclass(frozen=True)
class FindingWords:
    """The words around findings, and the speech of the findings themselves."""

    say: Phrases
    speech: Speech

    def of(self, finding: Finding) -> WordedFinding:
        say, speech = self.say, self.speech
        measured, remedy, source = "", "", ""
        if finding.measured and finding.required:
            sizes = {"measured": finding.measured, "required": finding.required}
            unit = speech(finding.unit)
            blank = " " if speech.language == SOURCE else "\u00a0"
            full = {name: f"{speech(size)}{blank}{unit}".strip() for name, size in sizes.items()}
            advised = finding.rule in list_advice_ids() and finding.level is not Level.FAIL
            measured = say("finding.measured_advised" if advised else "finding.measured", **full)
        if finding.remedy:
            told = speech.sentence(finding.remedy)
            field = find_field(finding)
            named = not field or bool(find_named_fields(told))
            key = "finding.remedy" if named else "finding.remedy_in"
            remedy = say(key, remedy=told, **({} if named else {"field": field}))
        if finding.citation:
            citation, known = speech.cited(finding.citation), self.provenance(finding.provenance)
            source = say("finding.source", citation=citation, provenance=known)
        own = finding.rule.startswith(f"{finding.region}-")
        return WordedFinding(
            grade=str(finding.level),
            level=say(f"level.{finding.level}"),
            rule=finding.rule,
            region="" if own else self._named("region", finding.region),
            panel=self._named("panel", finding.panel),
            element=self._named("part", finding.element),
            message=self.message(finding),
            measured=measured,
            remedy=remedy,
            source=source,
        )

    def provenance(self, known: str) -> str:
        """Where a rule or finding comes from, in words."""
        if isinstance(known, Said):
            return self.speech(known)
        key = f"provenance.{known}"
        return self.say(key) if self.say.has(key) else self.speech.term("provenance", known)

    def message(self, finding: Finding) -> str:
        """The finding's sentence, from capital to full stop."""
        told = format_fact_text(self.speech.sentence(finding.message), "cap")
        return f"{told.removesuffix('.')}."

    def head(self, report: Report) -> str:
        """The verdict, for whom and as of when; and how much of a pass is only leniency."""
        head = self.say(
            "verdict.head",
            verdict=self.say(f"verdict.{report.verdict}"),
            regions=" + ".join(report.regions),
            date=self.say.date(report.on),
        )
        if report.verdict == "fail" or not report.softened:
            return head
        return self.say(
            "verdict.lenient", head=head, but=self.say.many("softened", report.softened)
        )

    def summary(self, report: Report) -> str:
        """The last line: the verdict and how many findings there are of each level."""
        counted = {
            name: self.say.many(name, report.count(level))
            for name, level in (("failing", "fail"), ("warnings", "warn"), ("notes", "note"))
        }
        counts = self.say("verdict.counts", head=self.head(report), **counted)
        doubt = self.doubt(report)
        return self.say("verdict.doubted", counts=counts, doubt=doubt) if doubt else counts

    def doubt(self, report: Report) -> str:
        """How much of the law behind the verdict was never read; empty for nothing."""
        if not report.unverified:
            return ""
        asked = self.say.many("rules", report.asked)
        return self.say("verdict.doubt", unverified=report.unverified, asked=asked)

    def laws(self, citations: Iterable[str]) -> list[str]:
        """What the short names of laws in some citations stand for, a line each."""
        told = " ".join(citations)
        lines = []
        for key, law in self.say.words.items():
            short = key.removeprefix("law.").replace("_", " ")
            pattern = r"\W+".join(map(re.escape, short.split())) + ("" if " " in short else r"\b")
            if key.startswith("law.") and re.search(rf"\b{pattern}", told):
                name = short.split()[0] if short != "Reg GB" else "Reg. GB"
                lines.append(self.say("finding.abbreviation", short=name, law=law))
        return lines

    def _named(self, kind: str, code: str) -> str:
        return self.speech.term(kind, code) if code else ""


def choose_language(spec: LabelSpec, asked: str | None = None) -> str:
    """The language asked for, or the one a maker reads findings in, as the plan chooses it."""
    return _make_reader(spec, asked).language(list_languages(BOOK))


def describe_finding_fallback(
    spec: LabelSpec, findings: Iterable[Finding], asked: str | None = None
) -> Iterator[Said]:
    """Lines that tell where findings are not in the language they were to be in."""
    yield from _make_reader(spec, asked).stand_in(Said("findings"), list_languages(BOOK))
    speech = load_finding_words(spec.regions, choose_language(spec, asked)).speech
    said = ((f.region, text) for f in findings for text in (f.message, f.remedy))
    yield from describe_partly_english(speech, said)


def _make_reader(spec: LabelSpec, asked: str | None) -> Reader:
    return Reader(asked, spec.plan.language, spec.languages)


def load_finding_words(regions: Sequence[str], language: str = SOURCE) -> FindingWords:
    """How findings for some regions are worded; LanguageError for a language without words."""
    say = load_phrases(BOOK, language, *regions)
    return FindingWords(say, Speech(say.language, say.locale))


def format_timeline_text(
    days: Sequence[VerdictDay], regions: Sequence[str], language: str = SOURCE
) -> str:
    """A line for each day of change with its verdict, and below it which rules change."""
    words = load_finding_words(regions, language)
    return "".join(f"{line}\n" for day in days for line in _describe_day(day, words))


def _describe_day(day: VerdictDay, words: FindingWords) -> Iterator[str]:
    say = words.say
    failing = ", ".join(sorted({f.rule for f in day.findings if f.level is Level.FAIL}))
    verdict = say(f"verdict.{day.verdict}")
    line = say("timeline.day", date=say.date(day.on), verdict=verdict)
    yield say("timeline.failing", day=line, rules=failing) if failing else line
    for change in day.changes:
        yield f"    {_describe_change(change, words)}"


def _describe_change(change: RuleChange, words: FindingWords) -> str:
    """One rule's start, end or other outcome, with the gravest thing it finds."""
    found = change.finding
    if found is None:
        return words.say(f"timeline.{change.turn}_clean", rule=change.rule)
    level, message = words.say(f"level.{found.level}"), words.message(found)
    key = f"timeline.{change.turn}"
    return words.say(key, rule=change.rule, level=level, message=message)


def format_timeline_json(
    days: Sequence[VerdictDay], regions: Sequence[str], language: str = SOURCE
) -> str:
    """The days as a JSON list of ``on``, ``verdict``, ``failing`` and ``changes``."""
    words = load_finding_words(regions, language)
    value = [
        {
            **pick_fields(day, "on verdict"),
            "failing": sorted({f.rule for f in day.findings if f.level is Level.FAIL}),
            "changes": [
                {
                    **pick_fields(change, "turn rule"),
                    "finding": _finding_to_values(change.finding, words)
                    if change.finding
                    else None,
                }
                for change in day.changes
            ],
        }
        for day in days
    ]
    return format_json(value)


def format_findings_text(
    report: Report, problems_only: bool = False, language: str = SOURCE
) -> str:
    """The findings for a terminal; with ``problems_only`` the notes are left out."""
    words = load_finding_words(report.regions, language)
    kept = [f for f in report.findings if not problems_only or f.level is not Level.NOTE]
    colon = "\u202f:" if language == "fr" else ":"
    lines = [line for finding in kept for line in _describe_finding(words.of(finding), colon)]
    laws = words.laws(words.speech.cited(f.citation) for f in kept)
    foot = (words.say("page.not_legal_advice"), words.summary(report))
    return "".join(f"{line}\n" for line in (*lines, *laws, *foot))


def _describe_finding(found: WordedFinding, colon: str) -> Iterator[str]:
    region = f" ({found.region})" if found.region else ""
    panel = f"  {found.panel}" if found.panel else ""
    element = f", {found.element}" if found.element else ""
    yield f"{found.level}  {found.rule}{region}{panel}{element}{colon} {found.message}"
    yield from (f"      {line}" for line in (found.measured, found.remedy, found.source) if line)


def format_findings_html(report: Report, title: str, language: str = SOURCE) -> str:
    """The findings as one self-contained page."""
    from labelkit.report.render import render_template

    words = load_finding_words(report.regions, language)
    return render_template(
        "findings.html.j2",
        report=report,
        shown=[words.of(finding) for finding in report.findings],
        title=title,
        head=words.head(report),
        laws=words.laws(words.speech.cited(f.citation) for f in report.findings),
        say=words.say,
    )


def format_findings_json(report: Report, language: str = SOURCE) -> str:
    """The findings as a JSON object with ``verdict``, ``on``, ``regions`` and ``findings``.

    Only ``message``, ``remedy`` and ``citation`` go by the language; codes and figures do not.
    """
    words = load_finding_words(report.regions, language)
    value = {
        **pick_fields(report, "verdict on regions"),
        "findings": [_finding_to_values(finding, words) for finding in report.findings],
    }
    return format_json(value)


def _finding_to_values(finding: Finding, words: FindingWords) -> dict[str, str]:
    return {
        **pick_fields(finding, "rule region panel element level"),
        "message": words.message(finding),
        **pick_fields(finding, "measured required unit"),
        "citation": words.speech.cited(finding.citation),
        "provenance": finding.provenance,
        "remedy": words.speech.sentence(finding.remedy),
    }
