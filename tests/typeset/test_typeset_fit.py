"""The copyfitter against trying everything."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelkit.typeset import fit
from labelkit.typeset.fit import Choice, FitResult, find_least_cost, keep_pareto_choices

# Hundredths, so that sums of heights come out exactly the same in any order.
NUMBERS = st.integers(0, 2000).map(lambda n: n / 64)
CHOICES = st.builds(Choice, NUMBERS, NUMBERS, st.integers(0, 9))
GROUPS = st.lists(st.lists(CHOICES, min_size=1, max_size=6), max_size=5)


def fit_groups(groups: list[list[Choice]], available: float) -> FitResult:
    return fit.fit_groups([keep_pareto_choices(group) for group in groups], available)


@given(GROUPS, st.integers(0, 6000).map(lambda n: n / 64))
def test_nothing_that_fits_costs_less(groups: list[list[Choice]], available: float) -> None:
    fitted = fit_groups(groups, available)
    totals = [
        (sum(c.cost for c in picks), sum(c.height_mm for c in picks)) for picks in product(*groups)
    ]
    fitting = [total for total in totals if total[1] <= available]
    if fitting:
        assert fitted.picks is not None
        assert (fitted.cost, fitted.height_mm) == min(fitting)
        assert sum(c.cost for c in fitted.picks) == fitted.cost
        assert fitted.shortage_mm == 0
        assert len(fitted.picks) == len(groups)
        for pick, group in zip(fitted.picks, groups, strict=True):
            assert pick in group
    else:
        assert fitted.picks is None
        assert fitted.shortage_mm == min(total[1] for total in totals) - available


@given(GROUPS, st.integers(0, 6000).map(lambda n: n / 64), st.floats(0, 1000))
def test_no_price_of_a_millimetre_bounds_the_cost_too_high(
    groups: list[list[Choice]], available: float, per_mm: float
) -> None:
    fitted = fit_groups(groups, available)
    assert find_least_cost(groups, available, per_mm) <= fitted.cost
    if fitted.picks is not None and fitted.per_mm:
        least = sum(min(c.cost for c in group) for group in groups)
        assert find_least_cost(groups, available, fitted.per_mm) >= least - 1e-6


@given(st.lists(CHOICES, max_size=20))
def test_the_front_keeps_what_no_other_beats(choices: list[Choice]) -> None:
    front = keep_pareto_choices(choices)

    def beaten(choice: Choice) -> bool:
        return any(
            o.height_mm <= choice.height_mm
            and o.cost <= choice.cost
            and (o.height_mm, o.cost) != (choice.height_mm, choice.cost)
            for o in choices
        )

    assert {(c.height_mm, c.cost) for c in front} == {
        (c.height_mm, c.cost) for c in choices if not beaten(c)
    }
    assert front == sorted(front, key=lambda c: c.height_mm)
    assert len({(c.height_mm, c.cost) for c in front}) == len(front)


def test_of_equals_the_first_given_stays() -> None:
    first, second = Choice(1.0, 2.0, "first"), Choice(1.0, 2.0, "second")
    assert keep_pareto_choices([first, second]) == [first]
    assert fit_groups([[first, second]], 1.0).picks == (first,)


def test_heights_that_add_up_to_the_room_fit_it() -> None:
    # 0.1 ten times is not 1.0 in binary floating point.
    assert fit_groups([[Choice(0.1, 0.0)]] * 10, 1.0).picks is not None


def test_the_lowest_picks_fit_a_room_that_is_a_rounding_lower() -> None:
    lowest, other = Choice(0.5, 1.0), Choice(0.5, 0.0)
    assert fit_groups([[lowest, Choice(5.0, 0.0)], [other]], 1.0 - 5e-10).picks == (lowest, other)


def test_a_group_without_choices_is_beyond_any_room() -> None:
    fitted = fit_groups([[Choice(1.0, 0.0)], []], 100.0)
    assert fitted.picks is None and fitted.shortage_mm == float("inf")


def test_no_groups_fit_no_room() -> None:
    assert fit_groups([], 0.0).picks == ()
    assert fit_groups([], -1.0).shortage_mm == pytest.approx(1.0)
