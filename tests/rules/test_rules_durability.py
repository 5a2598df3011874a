"""Statements of durability: a date in words, a period that may not stand for a date, and a date
against the maker's own figures."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest
from rule_labels import Draft, american, antipodean, british, canadian, european

from labelkit.common.months import LANGUAGES, find_month
from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.model.runs import NEUTRAL
from labelkit.report.findings import load_finding_words
from labelkit.rules import list_region_titles
from labelkit.rules.findings import Finding, Level
from labelkit.rules.kinds.keeping import add_months
from labelkit.rules.printed_date import find_dates_in_words


def about_durability(*texts: tuple[str, str], region: str = "BE", **known: object) -> list[Finding]:
    """What is found of statements of durability, each a text and its language."""
    draft = (british() if region == "GB" else european()).without("durability")
    draft = draft.know(**{"sold_on": dt.date(2027, 6, 19), "durability_months": None, **known})
    for text, language in texts:
        draft = draft.put("back", "durability", text, language)
    return [f for f in draft.judged(region).findings if "DURABILITY" in f.rule]


@pytest.mark.parametrize("region", ["BE", "GB", "GB-NIR"])
@pytest.mark.parametrize(
    ("text", "figures"),
    [
        ("april 2029", "04/2029"),
        ("avril 2029", "04/2029"),
        ("huhtikuu 2029", "04/2029"),
        ("À utiliser de préférence avant fin AVRIL\u00a02029", "04/2029"),
        ("Parasta käytettynä ennen huhtikuun 2029 loppua", "04/2029"),
        ("30 april 2029", "30/04/2029"),
        ("April 30, 2029", "30/04/2029"),
        ("1er avril 2029", "01/04/2029"),
        ("30 de abril de 2029", "30/04/2029"),
        ("31-apr-2029", "04/2029"),
    ],
)
def test_a_date_in_words_is_told_as_one_with_its_figures(
    text: str, figures: str, region: str
) -> None:
    """Reg. Art. 19(1)(c): month and year, or day, month and year, in that order."""
    (finding,) = about_durability((text, NEUTRAL), region=region, durability_months=24)
    assert finding.level is Level.WARN
    assert finding.message.startswith("The date of durability is in words: “")
    assert finding.required == figures
    assert f"{figures} is read alike" in finding.remedy
    assert about_durability((figures, NEUTRAL), region=region, durability_months=24) == []


def test_it_warns_only_however_strict() -> None:
    draft = european().instead("durability", "april 2029").know(durability_months=24)
    assert draft.level("EU-DURABILITY", "BE", strict=True) == "warn"


def test_words_in_two_languages_are_one_finding_and_figures_beside_words_none() -> None:
    dutch, french = ("bij voorkeur vóór eind april 2029", "nl"), ("avant fin avril 2029", "fr")
    (finding,) = about_durability(dutch, french, durability_months=24)
    assert "april 2029" in finding.measured
    assert about_durability(("avril 2029, 04/2029", "fr"), durability_months=24) == []


def test_a_date_in_words_that_is_over_is_told_as_over() -> None:
    over, words = about_durability(("mei 2027", "nl"), durability_months=24)
    assert "over by the day of sale" in over.message
    assert "in words" in words.message
    (finding,) = about_durability(("juni 2027", "nl"), durability_months=24)
    assert "in words" in finding.message


@pytest.mark.parametrize("text", ["Lot 2029", "before the end of 2029", "april", "april 29"])
def test_what_is_no_date_in_words_is_a_missing_date(text: str) -> None:
    (finding,) = about_durability((text, NEUTRAL), durability_months=24)
    assert "needs its date of durability" in finding.message


def test_french_says_it_too() -> None:
    (finding,) = about_durability(("avril 2029", "fr"), durability_months=24)
    words = load_finding_words(["BE"], "fr").of(finding)
    assert words.message.startswith("La date de durabilité est en lettres\u202f: «\u202favril 2029")
    assert "04/2029 se lit de même" in words.remedy
    assert "(en anglais)" not in words.message + words.remedy


# -- a period after opening instead of a date ------------------------------------------------------


@pytest.mark.parametrize("region", ["BE", "GB", "GB-NIR"])
def test_a_period_alone_wants_to_know_how_long_the_piece_keeps(region: str) -> None:
    """Reg. Art. 19(1)(c), as Tukes restates it: no date is needed over 30 months."""
    (finding,) = about_durability(("12M", NEUTRAL), region=region)
    assert finding.level is Level.WARN
    assert finding.rule.endswith("-DURABILITY-PERIOD")
    assert "only on a piece that keeps more than 30 months" in finding.message
    assert finding.provenance == ("memory" if region == "GB" else "told")
    assert about_durability(("12M", NEUTRAL), region=region, durability_months=36) == []
    (short,) = about_durability(("12M", NEUTRAL), region=region, durability_months=30)
    assert "needs its date of durability" in short.message


@pytest.mark.parametrize("region", ["BE", "GB"])
def test_that_is_said_in_french_as_well(region: str) -> None:
    (finding,) = about_durability(("12M", NEUTRAL), region=region)
    words = load_finding_words([region], "fr").of(finding)
    assert "ne remplace la date que sur un savon qui se garde plus de 30 mois" in words.message
    assert "product.durability_months" in words.remedy
    assert "(en anglais)" not in words.message + words.measured + words.remedy


# -- a date against the maker's own figures --------------------------------------------------------

MONTHS_AFTER = [
    ("2026-10-15", 24, "2028-10-15"),
    ("2026-08-31", 6, "2027-02-28"),
    ("2027-08-31", 6, "2028-02-29"),
    ("2028-02-29", 12, "2029-02-28"),
    ("2026-12-31", 1, "2027-01-31"),
    ("2026-01-31", 600, "2076-01-31"),
]


@pytest.mark.parametrize(("start", "months", "end"), MONTHS_AFTER)
def test_a_period_of_months_ends_on_the_same_day_or_the_last(
    start: str, months: int, end: str
) -> None:
    """Regulation (EEC, Euratom) No 1182/71 Art. 3(2)(c), from memory; counted by hand."""
    assert add_months(dt.date.fromisoformat(start), months) == dt.date.fromisoformat(end)


def label_in(region: str) -> Draft:
    made = {"CA": canadian, "US": american, "GB": british, "AU": antipodean, "NZ": antipodean}
    draft = made.get(region.split("-")[0], european)()
    return draft.without("durability")


def levels(draft: Draft, region: str, rule: str) -> list[str]:
    return [str(f.level) for f in draft.judged(region).findings if f.rule == rule]


@pytest.mark.parametrize("region", sorted(list_region_titles()))
@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("12/2035", ["fail"]),
        ("Best used before the end of 11/2028", ["fail"]),
        ("16/10/2028", ["fail"]),
        ("2035-12", ["fail"]),  # out of order, and yet plain
        ("décembre 2035", ["fail"]),
        ("10/2028", ["warn"]),
        ("15/10/2028", []),
        ("09/2028", []),
        ("Poured 10/2026, best used before the end of 09/2028", []),
        ("12M", []),
    ],
)
@pytest.mark.quick(72)
def test_no_label_says_longer_than_the_pieces_keep(
    region: str, text: str, wanted: list[str]
) -> None:
    """24 months from 15 October 2026 end on 15 October 2028; a month and year last to its end."""
    draft = label_in(region).put("back", "durability", text)
    draft = draft.know(kept_from=dt.date(2026, 10, 15), durability_months=24)
    assert levels(draft, region, "ALL-DURABILITY-KEPT") == wanted
    unsaid = draft.know(durability_months=None)
    assert levels(unsaid, region, "ALL-DURABILITY-KEPT") == []


@pytest.mark.parametrize("region", sorted(list_region_titles()))
@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("05/2027", ["fail"]),
        ("18/06/2027", ["fail"]),
        ("mai 2027", ["fail"]),
        ("19/06/2027", []),
        ("06/2027", []),
        ("Poured 04/2027, best used before the end of 04/2029", []),
        ("12M", []),
    ],
)
@pytest.mark.quick(63)
def test_no_label_says_a_date_that_is_over(region: str, text: str, wanted: list[str]) -> None:
    draft = label_in(region).put("back", "durability", text).know(sold_on=dt.date(2027, 6, 19))
    assert levels(draft, region, "ALL-DURABILITY-OVER") == wanted


@pytest.mark.parametrize(
    ("poured", "right"),
    [
        ("2026-10-15", "09/2028 or 15/10/2028"),
        ("2026-10-31", "10/2028"),
        ("2026-12-15", "11/2028 or 15/12/2028"),
        ("2027-01-15", "12/2028 or 15/01/2029"),
        ("2027-02-28", "02/2029"),
        ("2026-02-28", "01/2028 or 28/02/2028"),  # a leap year: February has a day more
    ],
)
def test_the_latest_date_that_is_right_is_told(poured: str, right: str) -> None:
    """Counted by hand: the last month that is over by the day, or the day itself."""
    draft = european().instead("durability", "12/2035")
    draft = draft.know(kept_from=dt.date.fromisoformat(poured), durability_months=24)
    (finding,) = draft.found("ALL-DURABILITY-KEPT", "BE")
    assert finding.required == right
    assert finding.message.startswith("The label says longer than the safety report allows: ")
    assert right in finding.remedy


def test_two_languages_with_one_date_are_one_finding() -> None:
    draft = european().without("durability").put("back", "durability", "vóór eind 12/2035", "nl")
    draft = draft.put("back", "durability", "avant fin 12/2035", "fr")
    draft = draft.know(kept_from=dt.date(2026, 10, 15), durability_months=24)
    assert len(draft.found("ALL-DURABILITY-KEPT", "BE")) == 1


@pytest.mark.parametrize(
    ("plan", "sold", "start"),
    [
        ("poured_on = 2027-04-20", "", "2027-04-20"),
        ("", "", "2027-06-19"),
        ("", "sold_on = 2027-06-12", "2027-06-12"),
        ("", "sold_on = 2027-07-01", "2027-06-19"),
    ],
)
def test_the_months_count_from_the_pour_or_the_event(
    event: Callable[..., Path], plan: str, sold: str, start: str
) -> None:
    """Nothing is given away before it is poured."""
    label = event(
        ("pieces_per_bar = 3", f"pieces_per_bar = 3\n{plan}"),
        ('lot = "LS-2704"', f'lot = "LS-2704"\n{sold}\ndurability_months = 24'),
        ("[plan]", '[back]\ndurability = "12/2035"\n[plan]'),
    )
    job = prepare_job(label)
    assert job.facts.kept_from == dt.date.fromisoformat(start)
    found = {f.rule: f for f in preflight_job(job).findings}["ALL-DURABILITY-KEPT"]
    assert found.level is Level.FAIL
    assert f"24 months from {start}" in found.message


def test_both_are_said_in_french() -> None:
    draft = european().instead("durability", "12/2035")
    draft = draft.know(kept_from=dt.date(2026, 10, 15), durability_months=24)
    over = european().instead("durability", "05/2026")
    (long,), (past,) = (
        draft.found("ALL-DURABILITY-KEPT", "BE"),
        over.found("ALL-DURABILITY-OVER", "BE"),
    )
    words = load_finding_words(["BE"], "fr").of(long)
    assert "dépasse la durée que permet le rapport de sécurité" in words.message
    assert "24 mois à compter du 15 octobre 2026 se terminent le 15 octobre 2028" in words.message
    assert "09/2028 ou 15/10/2028" in words.measured
    assert "(en anglais)" not in words.message + words.remedy
    words = load_finding_words(["BE"], "fr").of(past)
    assert "(en anglais)" not in words.message + words.remedy + words.measured


# Unicode CLDR, common/main/LANGUAGE.xml, months, stand-alone and format, wide and abbreviated.
@pytest.mark.parametrize(
    ("word", "language", "month"),
    [
        ("April", "en", 4), ("avr.", "fr", 4), ("Août", "fr", 8), ("aout", "fr", 8),
        ("huhtikuu", "fi", 4), ("huhtikuuta", "fi", 4), ("mrt", "nl", 3), ("März", "de", 3),
        ("kwietnia", "pl", 4), ("kwiecień", "pl", 4), ("απρίλιος", "el", 4), ("май", "bg", 5),
        ("aprill", "et", 4), ("listopad", "hr", 10), ("listopad", "cs", 11),
        ("listopad", "pl", 11), ("srpanj", "hr", 7), ("srpen", "cs", 8),
    ],
)  # fmt: skip
def test_months_are_known_by_name(word: str, language: str, month: int) -> None:
    assert find_month(word, [language]) == month
    assert find_month(word, [f"{language}-XX"]) == month


@pytest.mark.parametrize("word", ["soap", "end", "fin", "ma", "m", "", "aprilfool"])
def test_other_words_are_no_months(word: str) -> None:
    assert find_month(word) is None


def test_every_language_of_a_region_has_its_months() -> None:
    from labelkit.common.regions import list_region_titles
    from labelkit.rules.tables import list_required_languages

    asked = list_required_languages(tuple(list_region_titles()))
    spoken = {tag for ways in asked.values() for way in ways for tag in way}
    assert spoken - {*LANGUAGES} == set()


def test_a_year_may_come_first() -> None:
    # "2029. április 30.", "2029 m. balandis": Unicode CLDR, hu.xml and lt.xml, long dates.
    (hungarian,) = find_dates_in_words("2029. április 30.", ["hu"])
    assert (hungarian.in_figures, hungarian.last) == ("30/04/2029", dt.date(2029, 4, 30))
    (lithuanian,) = find_dates_in_words("2029 m. balandis", ["lt"])
    assert (lithuanian.in_figures, lithuanian.last) == ("04/2029", dt.date(2029, 4, 30))
