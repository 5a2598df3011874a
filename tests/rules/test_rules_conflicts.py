"""Where regions pull apart, it is said with the way out; where a wording serves both, it is not."""

from __future__ import annotations

from rule_labels import OAT_LIST, american, british, canadian, european

from labelkit.common.regions import list_region_titles
from labelkit.formula.declaration import Role
from labelkit.rules import Level
from labelkit.rules.conflicts import load_conflicts
from labelkit.rules.tables import load_rules

BOTH = (
    american()
    .declare(("Sodium Olivate", 80), ("Water", 10), ("Fragrance", "0.5", Role.PARFUM))
    .instead("ingredients", "Sodium Olivate, Aqua/Water/Eau, Fragrance (Parfum)")
)


def named(*regions: str, draft=american()) -> set[str]:  # type: ignore[no-untyped-def] # noqa: B008
    findings = draft.judged(*regions).findings
    return {f.rule for f in findings if f.rule.startswith("CONFLICT")}


def test_one_region_alone_has_no_conflict() -> None:
    assert named("US") == set()
    assert named("CA", draft=canadian()) == set()


def test_fragrance_and_parfum_pull_apart_until_both_are_printed() -> None:
    # 21 CFR 701.3(a) against CR s. 21.4(3) and Reg. Art. 19(1)(g).
    assert "CONFLICT-FRAGRANCE-WORD" in named("CA", "US", draft=canadian())
    assert "CONFLICT-FRAGRANCE-WORD" in named("US", "BE", draft=european())
    assert "CONFLICT-FRAGRANCE-WORD" not in named("CA", "US", draft=BOTH)


def test_all_three_everyday_names_serve_three_regions() -> None:
    # CR s. 21.2(4)(c); FDA wants Water in it.
    assert "CONFLICT-EVERYDAY-NAME" in named("CA", "US", draft=canadian())
    assert "CONFLICT-EVERYDAY-NAME" not in named("CA", "US", "BE", draft=BOTH)


def test_a_conflict_names_both_sides_and_the_way_out() -> None:
    findings = canadian().judged("US", "CA").findings
    (finding,) = [f for f in findings if f.rule == "CONFLICT-FRAGRANCE-WORD"]
    assert finding.level is Level.WARN
    assert finding.region == "US, CA"
    assert "Fragrance (Parfum)" in finding.remedy


def test_a_child_region_is_on_its_parents_side() -> None:
    assert "CONFLICT-FRAGRANCE-WORD" in named("CA-QC", "US", draft=canadian())
    # Reg. Art. 4: a GB address does not serve Northern Ireland (HPRA).
    assert "CONFLICT-RESPONSIBLE-PERSON" in named("GB", "GB-NIR", draft=british())


def test_parfum_over_one_percent_has_no_way_out_for_canada_and_europe() -> None:
    # CR s. 21.4(3): at the end; Reg. Art. 19(1)(g): by weight.
    lines = (*OAT_LIST[:-2], ("Parfum", 3, Role.PARFUM))
    draft = european().declare(*lines)
    assert "CONFLICT-PARFUM-ORDER" in named("CA", "BE", draft=draft)
    by_weight = draft.declare(("A", 90), ("Parfum", 3, Role.PARFUM), ("B", 2))
    assert "CONFLICT-PARFUM-PLACE" in named("CA", "BE", draft=by_weight)


def test_every_conflict_names_rules_and_regions_that_exist() -> None:
    rules = {rule.id for rule in load_rules(list(list_region_titles()))}
    for conflict in load_conflicts():
        assert set(conflict.rules) <= rules, conflict.id
        assert {*conflict.one, *conflict.other} <= set(list_region_titles()), conflict.id
        assert conflict.says and conflict.way_out and conflict.citation
