"""A report writes numbers, days, money and lists by one convention: its own language's.

Expected values are read off the Unicode Common Locale Data Repository (CLDR), common/main: the
decimal symbol, the long date format and the standard list pattern of each locale. Which languages
are official where is from its supplementalData.xml, territoryInfo.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from page_text import read_text

from labelkit.common.messages import Day, FactList, Number, Said
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.job.proof import MAKER, draw_proof
from labelkit.plan.order_plan import make_plan
from labelkit.report.findings import format_findings_text, load_finding_words
from labelkit.report.phrasebook import choose_locale, load_phrases
from labelkit.report.plan_text import format_plan_text

THE_DAY = dt.date(2027, 7, 3)
WORLD = "2.14", "3 July 2027", "a, b and c"
"""CLDR en_GB.xml, and en_001.xml from which en_150, en_FI and en_BE take their words: decimal ".",
long date "d MMMM y", list "{0} and {1}" at its end."""
CONVENTIONS = {
    # Finland: Finnish and Swedish are official (de facto none else); en_FI.xml has a decimal ",".
    ("FI", "en"): WORLD,
    # Belgium: Dutch, French and German; en_BE.xml has a decimal "," and parts thousands with ".".
    ("BE", "en"): WORLD,
    # en_CA.xml: "MMMM d, y"; list end "{0} and {1}" as in en_001.
    ("CA", "en"): ("2.14", "July 3, 2027", "a, b and c"),
    ("CA-QC", "en"): ("2.14", "July 3, 2027", "a, b and c"),
    # en.xml, which en_US takes over whole: "MMMM d, y"; list end "{0}, and {1}".
    ("US", "en"): ("2.14", "July 3, 2027", "a, b, and c"),
    # en_AU.xml: "d MMMM y"; list end "{0} and {1}".
    ("AU", "en"): WORLD,
    # fr.xml, and fr_CA.xml and fr_BE.xml with the same: decimal ",", "d MMMM y", "{0} et {1}".
    **{
        (region, "fr"): ("2,14", "3 juillet 2027", "a, b et c")
        for region in ("FI", "BE", "CA", "CA-QC", "US", "AU")
    },
}


@pytest.mark.parametrize(("region", "language"), CONVENTIONS)
def test_a_language_is_written_as_its_readers_write_it(region: str, language: str) -> None:
    number, day, listed = CONVENTIONS[region, language]
    say = load_phrases("plan", language, region)
    assert say.number(Decimal("2.14")) == number
    assert say.date(THE_DAY) == day
    speech = load_finding_words([region], language).speech
    said = Said(
        "{number}; {day}; {listed}",
        number=Number(Decimal("2.14")),
        day=Day(THE_DAY),
        listed=FactList("abc", "and"),
    )
    assert speech(said) == f"{number}; {day}; {listed}"


@pytest.mark.parametrize(
    ("language", "regions", "locale"),
    # The first region that speaks the language decides; in none of them it is written as at home.
    [
        ("en", ("FI", "IE"), "en_IE"),
        ("en", ("BE", "FI"), "en_GB"),
        ("en", ("CA-QC", "US"), "en_CA"),
        ("en", ("US", "CA"), "en_US"),
        ("en", ("GB-NIR",), "en_GB"),
        ("en", ("EU",), "en_GB"),
        ("en", (), "en_GB"),
        ("fr", ("FI", "BE"), "fr_BE"),
        ("fr", ("US", "CA-QC"), "fr_CA"),
        ("fr", ("EU",), "fr"),
    ],
)
def test_the_first_region_that_speaks_it_decides(
    language: str, regions: tuple[str, ...], locale: str
) -> None:
    assert choose_locale(language, *regions) == locale


@pytest.mark.parametrize(
    ("region", "told"),
    # CLDR: en_US.xml (by way of en.xml) "MMMM d, y", en_AU.xml "d MMMM y".
    [("US", "until July 31, 2028, and no later"), ("AU", "until 31 July 2028, and no later")],
)
def test_days_within_the_english_of_a_law_are_written_so_too(region: str, told: str) -> None:
    speech = load_finding_words([region], "en").speech
    assert speech.sentence(Said("until 2028-07-31, and no later")) == told
    assert speech.sentence("code 2028-17-31, as it stands") == "code 2028-17-31, as it stands"


MONTHS = "January|February|March|April|May|June|July|August|September|October|November|December"
OTHERWISE = {
    "day first": rf"(?:{MONTHS}) \d{{1,2}}, \d{{4}}|\d{{4}}-\d\d-\d\d",
    "month first": rf"(?<!\d)\d{{1,2}} (?:{MONTHS}) \d{{4}}|\d{{4}}-\d\d-\d\d",
}
"""Dates that have no place beside those of the other order."""


@pytest.mark.parametrize(
    ("region", "order", "sold"),
    # The sample's day of sale, 19 June 2027, in the long date format of CLDR as above.
    [
        ("FI", "day first", "19 June 2027"),
        ("BE", "day first", "19 June 2027"),
        ("AU", "day first", "19 June 2027"),
        ("CA", "month first", "June 19, 2027"),
        ("CA-QC", "month first", "June 19, 2027"),
        ("US", "month first", "June 19, 2027"),
    ],
)
@pytest.mark.quick(2)
def test_nothing_in_a_report_is_written_otherwise(
    region: str, order: str, sold: str, event: Callable[..., Path]
) -> None:
    label = event(
        ('trim = "44 x 28 mm"', 'trim = "56 x 40 mm"'),
        ('package_face = "', 'package_face = "60 x 44 mm" # "'),
    )
    job = prepare_job(label, [region])
    proof = read_text(draw_proof(job, "en").parts[MAKER])
    report = format_findings_text(preflight_job(job))
    plan = format_plan_text(make_plan(job, dt.date(2027, 4, 1)), "en")
    assert re.search(r"\d\.\d\d mm", proof)
    for text in (proof, report, plan):
        text = " ".join(text.split())
        assert sold in text
        assert re.findall(OTHERWISE[order], text) == []
        assert re.findall(r"\d,\d+ ?(?:mm|g|%)", text) == []
