"""What each region asks of the list, and several at once."""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
from collections.abc import Callable

import pytest
from rule_labels import Draft, american, antipodean, british, canadian, european

from labelkit import rules
from labelkit.formula.allergens import list_allergen_names
from labelkit.formula.declaration import Basis, Style
from labelkit.formula.policy import BotanicalForm, ColourForm, ParfumForm, ScheduleForm
from labelkit.rules import Level, judge_panels
from labelkit.rules.policies import PolicyError, list_preset_regions, make_policy

SOLD = dt.date(2027, 6, 19)
EU_MEMBERS = [
    "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT",
    "LT", "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
]  # fmt: skip


def test_every_region_code_has_a_preset() -> None:
    wanted = {"CA", "CA-QC", "US", "US-PR", "EU", *EU_MEMBERS, "GB", "GB-NIR", "AU", "NZ"}
    assert set(list_preset_regions()) == wanted
    assert len(EU_MEMBERS) == 27


def test_unknown_region_is_refused() -> None:
    with pytest.raises(PolicyError, match="unknown region 'XX'"):
        make_policy(["XX"], SOLD)
    with pytest.raises(PolicyError, match="no region"):
        make_policy([], SOLD)


@pytest.mark.parametrize(
    ("regions", "style", "basis"),
    [
        # Cosmetic Regulations s. 2(1): what is used up is no ingredient; s. 21.4(1): weight in the
        # product. EU Art. 19(1)(g): weight at the time of adding (from memory). US: a choice.
        (["CA"], Style.FORMED, Basis.CURED),
        (["BE"], Style.ADDED, Basis.POURED),
        (["US"], Style.ADDED, Basis.POURED),
        (["CA", "US"], Style.FORMED, Basis.CURED),
        (["US", "CA"], Style.FORMED, Basis.CURED),
        (["GB"], Style.ADDED, Basis.POURED),
    ],
)
def test_style_and_basis(regions: list[str], style: Style, basis: Basis) -> None:
    policy = make_policy(regions, SOLD)
    assert (policy.style, policy.basis) == (style, basis)
    assert policy.conflicts == ()


def test_canada_and_the_eu_have_no_common_basis() -> None:
    policy = make_policy(["CA", "EU"], SOLD)
    assert (policy.style, policy.basis) == (Style.FORMED, Basis.CURED)
    assert len(policy.conflicts) == 1
    assert "cured" in policy.conflicts[0]


def test_a_style_the_region_does_not_provide_for_is_said() -> None:
    assert make_policy(["CA"], SOLD).made(style=Style.ADDED).conflicts != ()
    assert make_policy(["US"], SOLD).made(style=Style.FORMED).conflicts == ()


def test_exactly_one_percent() -> None:
    """Canada, s. 21.4(2): 1 % or less is free. US, 21 CFR 701.3(f)(2): not more than 1 %.
    EU, Art. 19(1)(g): less than 1 %; AU, NZ: 1 % or more is ordered (second-hand)."""
    free = {r: make_policy([r], SOLD).free_at_exactly_one_percent for r in list_preset_regions()}
    assert {r for r, is_free in free.items() if is_free} == {"CA", "CA-QC", "US", "US-PR"}
    assert not make_policy(["CA", "EU"], SOLD).free_at_exactly_one_percent


@pytest.mark.parametrize(
    ("regions", "schedule", "botanical", "colour", "parfum"),
    [
        ("CA", "technical", "latin", "index", "Parfum"),
        ("EU", "technical", "latin", "index", "Parfum"),
        ("US", "english", "english", "english", "Fragrance"),
        ("AU", "technical", "latin", "index", "Parfum"),
        # Canada, s. 21.2(4)(b): INCI name and French equivalent, which holds the US "Water".
        ("CA US", "english-french", "english", "english (index)", "Fragrance (Parfum)"),
        ("US EU", "english (technical)", "english", "english (index)", "Fragrance (Parfum)"),
        # s. 21.2(4)(c): all three.
        ("CA US EU", "technical-english-french", "english", "english (index)",
         "Fragrance (Parfum)"),
    ],
)  # fmt: skip
def test_names_of_several_regions(
    regions: str, schedule: str, botanical: str, colour: str, parfum: str
) -> None:
    policy = make_policy(regions.split(), SOLD)
    assert policy.schedule is ScheduleForm(schedule)
    assert policy.botanical is BotanicalForm(botanical)
    assert policy.colour is ColourForm(colour)
    assert policy.parfum is ParfumForm(parfum)


def test_parfum_may_stand_last_only_in_canada() -> None:
    """Cosmetic Regulations s. 21.4(3); elsewhere it has its place by weight."""
    assert make_policy(["CA"], SOLD).parfum_at_end
    assert not make_policy(["CA", "US"], SOLD).parfum_at_end


@pytest.mark.parametrize(
    ("region", "sold", "first_sold", "count"),
    [
        # Canada, s. 21.4: in force 2026-04-12; the extended list from 2026-08-01 for new cosmetics,
        # 2028-08-01 for existing ones (dates second-hand).
        ("CA", "2026-04-11", None, 0),
        ("CA", "2026-04-12", None, 24),
        ("CA", "2026-07-31", None, 24),
        ("CA", "2026-08-01", None, 81),
        ("CA", "2026-11-25", "2026-06-01", 24),
        ("CA", "2028-07-31", "2026-06-01", 24),
        ("CA", "2028-08-01", "2026-06-01", 81),
        # Regulation (EU) 2023/1545: old placing on the market until 2026-07-31 (second-hand).
        ("FR", "2026-07-31", None, 24),
        ("FR", "2026-08-01", None, 80),
        ("FR", "2026-08-01", "2025-01-01", 80),
        ("GB-NIR", "2026-08-01", None, 80),
        # Great Britain had not taken it over when last known; NZ is not established.
        ("GB", "2027-06-19", None, 24),
        ("NZ", "2027-06-19", None, 24),
        ("US", "2027-06-19", None, 0),
        ("AU", "2027-06-19", None, 0),
    ],
)
def test_allergen_lists_by_date(region: str, sold: str, first_sold: str | None, count: int) -> None:
    first = dt.date.fromisoformat(first_sold) if first_sold else None
    policy = make_policy([region], dt.date.fromisoformat(sold), first)
    assert len(policy.allergens) == count


def test_coming_allergens_bear_their_day() -> None:
    policy = make_policy(["CA"], dt.date(2026, 11, 25), dt.date(2026, 6, 1))
    coming = dict(policy.coming_allergens)
    assert len(coming) == 57
    assert coming["Vanillin"] == dt.date(2028, 8, 1)
    assert "Linalool" not in coming


def test_several_regions_name_every_allergen_any_of_them_lists() -> None:
    assert make_policy(["US", "EU"], SOLD).allergens == list_allergen_names("80")
    assert make_policy(["EU", "CA"], SOLD).allergens == list_allergen_names("81")


def test_the_rooms_face_gives_all_it_names() -> None:
    homes = [name for names in rules._HOMES.values() for name in names]
    assert sorted(homes) == sorted(rules.__all__)
    assert all(getattr(rules, name) is not None for name in rules.__all__)


def test_a_list_is_made_without_the_checks_of_labels() -> None:
    """An ingredient list alone loads no kind of check: it is asked for in every command."""
    code = (
        "import sys, labelkit.rules.policies;"
        "sys.exit(any(name.startswith('labelkit.rules.kinds') for name in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize(
    ("draft", "region"),
    [(canadian, "CA"), (european, "BE"), (british, "GB"), (american, "US"), (antipodean, "NZ"),
     (antipodean, "AU")],
)  # fmt: skip
@pytest.mark.parametrize("name", ["Coumarin", "Vanillin", "6-Methyl Coumarin"])
@pytest.mark.parametrize("first", [None, dt.date(2024, 5, 1), dt.date(2026, 8, 1)])
@pytest.mark.quick(18)
def test_the_list_names_what_the_label_is_judged_by(
    draft: Callable[[], Draft], region: str, name: str, first: dt.date | None
) -> None:
    """Both read the same rows; on the days on which something changes and the days before."""
    label = draft().allergen(name, "0.05").know(first_sold_on=first)
    for day in (dt.date(2026, 4, 12), dt.date(2026, 8, 1), dt.date(2028, 8, 1)):
        for on in (day - dt.timedelta(days=1), day):
            found = judge_panels(label.panels, label.facts, [region], on).findings
            rows = {f.rule for f in found if "ALLERGENS" in f.rule and f.level is not Level.NOTE}
            named = name in make_policy([region], on, first).allergens
            assert bool(rows) is named, (on, rows)
