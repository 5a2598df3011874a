"""How findings become a report: order, regions, dates, strictness, and what comes later."""

from __future__ import annotations

import datetime as dt
import tomllib
from dataclasses import replace
from decimal import Decimal

import pytest
from rule_labels import Draft, american, antipodean, british, canadian, european

from labelkit.common.errors import InputError
from labelkit.common.rule_tables import FOLDER
from labelkit.formula.declaration import Uncertainty
from labelkit.model.runs import Box, Ornament
from labelkit.report.findings import format_findings_text
from labelkit.rules import (
    LetterMeasure,
    Level,
    find_floors,
    judge_over_label,
    judge_over_time,
    judge_panels,
    list_too_small_rules,
)

GOOD = canadian()
BARE = Draft(GOOD.facts)


@pytest.mark.parametrize(
    ("draft", "region"),
    [
        (canadian(), "CA"),
        (canadian(), "CA-QC"),
        (american(), "US"),
        (american().know(product_class="soap"), "US"),
        (european(), "BE"),
        (european(), "EU"),
        (british(), "GB"),
        (antipodean(), "AU"),
        (antipodean(), "NZ"),
    ],
)
def test_a_right_label_has_notes_only(draft: Draft, region: str) -> None:
    report = draft.judged(region)
    assert report.verdict == "pass"
    assert {f.level for f in report.findings} == {Level.NOTE}


@pytest.mark.parametrize("draft", [BARE, canadian(), american(), european(), british()])
def test_what_lies_over_a_label_is_found_as_on_a_label_but_for_notes(draft: Draft) -> None:
    asked = ("CA", "US", "BE")
    whole = judge_panels(draft.panels, draft.facts, asked).findings
    over = judge_over_label(draft.panels, draft.facts, asked)
    assert over == tuple(f for f in whole if f.level is not Level.NOTE)
    assert over


def test_an_empty_label_fails_in_every_region() -> None:
    for region in ("CA", "CA-QC", "US", "BE", "GB-NIR", "GB", "AU", "NZ"):
        assert BARE.judged(region).verdict == "fail", region


def test_findings_stand_by_gravity_then_by_region_asked() -> None:
    findings = BARE.judged("US", "CA").findings
    levels = [list(Level).index(f.level) for f in findings]
    assert levels == sorted(levels)
    failing = [f.region for f in findings if f.level is Level.FAIL]
    assert failing == sorted(failing, key=["US", "CA"].index)


def test_the_same_label_gives_the_same_report() -> None:
    assert BARE.judged("CA", "US", "BE") == BARE.judged("CA", "US", "BE")


def test_what_two_regions_find_alike_is_told_once_with_both_named() -> None:
    findings = european().without("lot").found("EU-BATCH", "BE", "FI")
    assert [f.region for f in findings] == ["BE, FI"]
    languages = european().found("FI-LANGUAGES", "BE", "FI")
    assert [f.region for f in languages] == ["FI"]


def test_region_codes_may_be_small_and_repeated() -> None:
    assert GOOD.judged("ca", "CA").regions == ("CA",)


def test_an_unknown_region_is_told_with_those_known() -> None:
    with pytest.raises(InputError, match=r"'XX': unknown region; known: AT, AU, .*US"):
        GOOD.judged("XX")


def test_without_a_day_the_day_of_sale_counts() -> None:
    sold = GOOD.allergen("Coumarin", "0.05").know(sold_on=dt.date(2026, 4, 11))
    assert sold.judged("CA").on == dt.date(2026, 4, 11)
    assert sold.judged("CA").verdict == "pass"
    assert sold.know(sold_on=dt.date(2026, 4, 12)).judged("CA").verdict == "fail"


def test_a_finding_from_memory_says_so_and_only_strictness_lets_it_fail() -> None:
    draft = british().know(made_in="NZ")
    (mild,) = draft.found("GB-ORIGIN", "GB")
    assert mild.level is Level.WARN
    assert mild.provenance == "memory"
    assert "unverified" in mild.message
    (strict,) = draft.found("GB-ORIGIN", "GB", strict=True)
    assert strict.level is Level.FAIL


def test_a_read_rule_with_a_name_from_memory_warns() -> None:
    # The names added by Regulation (EU) 2023/1545 are from memory, the rule was read.
    draft = european().allergen("Vanillin", "0.05")
    (finding,) = draft.found("EU-ALLERGENS-ADDED", "BE")
    assert (finding.level, finding.provenance) == (Level.WARN, "memory")


def test_a_label_that_will_fail_later_gets_a_note_with_the_day() -> None:
    # CR s. 21.4 in force on 2026-04-12 (SOR/2024-63).
    draft = GOOD.allergen("Coumarin", "0.05").know(sold_on=dt.date(2026, 4, 1))
    notes = [f for f in draft.judged("CA").findings if f.rule == "CA-ALLERGENS"]
    assert [f.level for f in notes] == [Level.NOTE]
    assert notes[0].message.startswith("Passes now, but from 2026-04-12: Coumarin")


def test_the_timeline_has_the_verdict_of_each_day_of_change() -> None:
    # CR s. 21.4 in force on 2026-04-12; the later days are from memory and only warn.
    draft = GOOD.allergen("Coumarin", "0.05").know(sold_on=dt.date(2026, 4, 1))
    days = judge_over_time(draft.panels, draft.facts, ["CA"])
    assert [(day.on.isoformat(), day.verdict) for day in days] == [
        ("2026-04-01", "pass"),
        ("2026-04-12", "fail"),
        ("2026-08-01", "fail"),
        ("2028-08-01", "fail"),
    ]


def test_a_rule_that_ends_is_a_day_of_change() -> None:
    # OPSS guidance of 2023-05-04: EU addresses do until 2027-12-31.
    draft = british().instead("dealer", "Fern Hollow Soaps, Namur, Belgium")
    days = {day.on: day.verdict for day in judge_over_time(draft.panels, draft.facts, ["GB"])}
    assert days == {dt.date(2026, 11, 28): "pass", dt.date(2028, 1, 1): "fail"}


def test_the_recipes_doubts_are_in_the_report() -> None:
    doubt = Uncertainty("alkali", "fail", "The lye is more than the oils take", "Weigh less lye")
    declaration = replace(GOOD.facts.declaration, doubts=(doubt,))
    report = GOOD.know(declaration=declaration).judged("CA")
    assert report.verdict == "fail"
    assert report.findings[0].rule == "RECIPE-ALKALI"


def test_letters_that_cannot_be_measured_warn_rather_than_pass() -> None:
    bare = [
        replace(panel, runs=tuple(_unmeasured(run) for run in panel.runs)) for panel in GOOD.panels
    ]
    findings = judge_panels(bare, GOOD.facts, ["CA"]).findings
    heights = [f for f in findings if f.rule == "CA-IDENTITY-HEIGHT"]
    assert {f.level for f in heights} == {Level.WARN}
    assert "could not be measured" in heights[0].message


def _unmeasured(run):  # type: ignore[no-untyped-def]
    return replace(run, letters=replace(run.letters, small_o_mm=None))


def test_the_panels_may_be_read_from_a_file_that_lost_spaces() -> None:
    names = GOOD.facts.declaration.names
    squeezed = ",".join(name.replace(" ", "") for name in names)
    assert not GOOD.instead("ingredients", squeezed).found("ALL-LIST-AGREES", "CA")
    assert not GOOD.instead("dealer", "FernHollowSoaps,ElmvaleNB").found("CA-DEALER-PRESENT", "CA")


# -- floors ----------------------------------------------------------------------------------------


def test_floors_of_canada_before_layout() -> None:
    # CPLR ss. 14(2), (4), 15: 1.6 mm on 24 cm2, figures bold.
    known = find_floors(GOOD.facts, ["CA"])
    heights = {(h.measure, h.least_mm) for h in known.of("net-quantity").heights}
    assert heights == {
        (LetterMeasure.FIGURE, Decimal("1.6")),
        (LetterMeasure.CAPITAL_OR_SMALL_O, Decimal("1.6")),
    }
    assert known.of("net-quantity").bold
    assert [h.least_mm for h in known.of("dealer").heights] == [Decimal("1.6")]


def test_the_relief_for_small_faces_needs_everything_on_the_front() -> None:
    # CPLR s. 16: 0.8 mm on at most 10 cm2 with all information on the panel.
    small = GOOD.face("40", "25").facts
    everything = ["identity", "net-quantity", "dealer"]
    assert [h.least_mm for h in find_floors(small, ["CA"]).of("identity").heights] == [
        Decimal("1.6")
    ]
    relieved = find_floors(small, ["CA"], on_front=everything)
    assert [h.least_mm for h in relieved.of("identity").heights] == [Decimal("0.8")]


def test_the_lists_floor_is_advice_where_no_law_gives_a_height() -> None:
    heights = find_floors(GOOD.facts, ["CA"]).of("ingredients").heights
    assert heights
    assert not any(h.legal for h in heights)


def test_floors_of_several_regions_are_all_there() -> None:
    # 21 CFR 701.13(i): 1/16 in; 76/211/EEC: 2 mm figures up to 50 g.
    heights = find_floors(GOOD.facts, ["US", "BE"]).of("net-quantity").heights
    assert {(h.rule, h.least_mm) for h in heights} == {
        ("US-QUANTITY-HEIGHT", Decimal("1.5875")),
        ("EU-QUANTITY-FIGURE-HEIGHT", Decimal(2)),
    }


def test_the_united_states_bind_place_and_space_before_layout() -> None:
    # 21 CFR 701.13(f): lowest 30 %, waived up to 5 square inches; one height, two N widths.
    large = american().face("63.5", "51").facts
    floor = find_floors(large, ["US"]).of("net-quantity")
    assert floor.panel_part == (Decimal(0), Decimal("0.3"))
    assert (floor.clear_letter_heights, floor.clear_n_widths) == (Decimal(1), Decimal(2))
    small = american().face("63.5", "50.8").facts
    assert find_floors(small, ["US"]).of("net-quantity").panel_part is None


@pytest.mark.parametrize(
    ("written", "right"),
    [
        ("2028-05", "05/2028"),
        ("2028-05-31", "31/05/2028"),
        ("2028/5/9", "09/05/2028"),
        ("05/31/2028", "31/05/2028"),
        ("2028-31-05", "31/05/2028"),
        ("2028-02-30", "05/2027 or 31/05/2027"),  # no such day
        ("05/28", "05/2027 or 31/05/2027"),  # which of them is the year is not said
        ("2028-13", "05/2027 or 31/05/2027"),
        ("0000-05", "05/2027 or 31/05/2027"),
        ("05/0000", "05/2027 or 31/05/2027"),
        ("2028-05-2028", "05/2027 or 31/05/2027"),
    ],
)
def test_a_date_out_of_order_is_given_back_in_order(written: str, right: str) -> None:
    """Month and year, or day, month and year (Regulation (EC) No 1223/2009, Art. 19(1)(c))."""
    (found,) = european().instead("durability", written).found("EU-DURABILITY-DATE", "BE")
    assert found.required == right
    assert found.remedy == f"Write it as {right}."


@pytest.mark.parametrize(("height_mm", "rows"), [(0.8, set()), (0.79, {"ALL-LEGIBLE-LIST-LEAST"})])
def test_rows_that_find_letters_too_small_are_known_of_one_panel(
    height_mm: float, rows: set[str]
) -> None:
    """CPLR s. 16: 0.8 mm are the least that any law read here allows; a mere note counts not."""
    draft = GOOD.set("ingredients", o=height_mm)
    back = next(panel for panel in draft.panels if panel.name == "back")
    assert list_too_small_rules(back, draft.facts, ["CA"], draft.facts.sold_on) == rows


def test_a_date_that_is_over_asks_for_a_later_one() -> None:
    draft = european().know(sold_on=dt.date(2027, 6, 19)).instead("durability", "05/2027")
    (found,) = draft.found("ALL-DURABILITY-OVER", "BE")
    assert found.required == "a later month and year"
    assert "may not lie before the day of sale" in found.remedy
    assert "12M" not in found.remedy


def test_the_verdict_says_how_much_of_the_law_was_read() -> None:
    """Counted once more from the text of New Zealand's table, but for what is made in Australia."""
    on = dt.date(2027, 2, 27)
    table = tomllib.loads((FOLDER / "NZ.toml").read_text(encoding="utf-8"))
    assert [row["when"] for row in table["rule"] if "when" in row] == [{"made_in": "AU"}]
    table["rule"] = [row for row in table["rule"] if "when" not in row]
    rows = [row for row in table["rule"] if row.get("since", on) <= on <= row.get("until", on)]
    memory = sum(row["provenance"] == "memory" for row in rows)
    panels, known = GOOD.panels, GOOD.facts
    report = judge_panels(panels, known, ["NZ"], on=on)
    assert (report.asked, report.unverified) == (len(rows), memory)
    assert f"{memory} of {len(rows)} rules known from memory only" in format_findings_text(report)
    assert judge_panels(panels, known, ["NZ"], on=on, strict=True).unverified == 0
    french = format_findings_text(report, language="fr").replace("\u00a0", " ")
    assert f"{memory} sur {len(rows)} règles connues de mémoire" in french


def test_a_pass_says_how_many_of_its_warnings_would_fail_if_strict() -> None:
    """A label without Portuguese and Spanish, whose rows on languages are from memory."""
    words = GOOD.panels, GOOD.facts, ["PT", "ES"]
    report = judge_panels(*words)
    failing = [f.rule for f in judge_panels(*words, strict=True).findings if f.level is Level.FAIL]
    now = [f.rule for f in report.findings if f.level is Level.FAIL]
    assert {"PT-LANGUAGES", "ES-LANGUAGES"} <= set(failing) - set(now)
    assert report.softened == len(failing) - len(now)


def test_the_verdict_line_tells_a_pass_out_of_leniency() -> None:
    panels = european().without("identity").put("front", "identity", "Zeep", "nl").panels
    report = judge_panels(panels, european().facts, ["FR"])
    (softened,) = [f for f in report.findings if f.softened]
    assert softened.level is Level.WARN
    assert report.verdict == "pass"
    (line,) = format_findings_text(report).splitlines()[-1:]
    assert line.startswith(
        "pass for FR as of 28 November 2026, but 1 of its warnings would fail with --strict: 0 f"
    )
    french = format_findings_text(report, language="fr").replace("\u00a0", " ")
    assert ", mais 1 de ses avis serait un refus avec --strict" in french
    strict = judge_panels(panels, european().facts, ["FR"], strict=True)
    assert strict.softened == 0
    assert "--strict" not in format_findings_text(strict)


# Worked by hand: a bracket round the lower right corner of a label 60 mm wide. Its strokes, 0.2 mm
# thick, run along x = 58 and y = 2; the weight ends at x = 56 - gap and begins at y = 4 + gap.
@pytest.mark.parametrize(("gap_mm", "found"), [(0.2, []), (0.0, ["1.9"])])
def test_a_bracket_round_a_corner_is_as_near_as_its_strokes(
    gap_mm: float, found: list[str]
) -> None:
    weight = Box(42 - gap_mm, 4 + gap_mm, 56 - gap_mm, 7 + gap_mm)
    bracket = Ornament("M50 2L58 2L58 10", Box(50, 2, 58, 10), stroke_mm=0.2)
    draft = replace(antipodean().set("net-quantity", ink=weight), ornaments=(bracket,))
    told = [f for f in draft.found("AU-QUANTITY-CLEAR", "AU") if "ornament" in f.message]
    assert [str(f.measured) for f in told] == found


# A stroke that ends 1.2 mm beside the weight's corner and 1.6 mm below it (half its thickness of
# 0.2 mm off each): 2 mm away as in the triangle 3 : 4 : 5. A tenth nearer is too near.
@pytest.mark.parametrize(("nearer_mm", "found"), [(0.0, []), (0.1, ["1.92"])])
def test_a_stroke_is_near_at_a_corner_too(nearer_mm: float, found: list[str]) -> None:
    weight = Box(42, 6, 54, 9)
    end = 54 + 1.2 + 0.1
    top = 6 - 1.6 - 0.1 + nearer_mm
    stroke = Ornament(f"M58 {top}L{end} {top}", Box(end, top, 58, top), stroke_mm=0.2)
    draft = replace(antipodean().set("net-quantity", ink=weight), ornaments=(stroke,))
    told = [f for f in draft.found("AU-QUANTITY-CLEAR", "AU") if "ornament" in f.message]
    assert [str(f.measured) for f in told] == found
