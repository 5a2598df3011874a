"""What a command found, as JSON that any program reads (RFC 8259; days as in ISO 8601)."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal

import pytest

from labelkit.common.frozen import dataclass
from labelkit.common.json_text import format_json, pick_fields
from labelkit.common.messages import Said
from labelkit.plan.dates import PlanStep


@dataclass(frozen=True, slots=True)
class Weighed:
    on: dt.date
    mass_g: Decimal
    lots: tuple[str, ...] = ()


def test_days_decimals_names_and_sentences_are_plain_values() -> None:
    weighed = Weighed(dt.date(2027, 2, 3), Decimal("40.12345"), ("OL-0311",))
    value = {"step": PlanStep.POUR, "told": Said("{n} pieces", n=3), "weighed": weighed}
    assert json.loads(format_json(value, 3)) == {
        "step": "pour",
        "told": "3 pieces",
        "weighed": {"on": "2027-02-03", "mass_g": 40.123, "lots": ["OL-0311"]},
    }
    assert json.loads(format_json(weighed))["mass_g"] == 40.12345


def test_letters_of_any_language_stay_letters() -> None:
    assert format_json("Québec œuvre") == '"Québec œuvre"'


def test_some_fields_keep_their_names_and_the_order_asked_for() -> None:
    weighed = Weighed(dt.date(2027, 2, 3), Decimal(40))
    assert list(pick_fields(weighed, "mass_g on").items()) == [
        ("mass_g", Decimal(40)),
        ("on", dt.date(2027, 2, 3)),
    ]


def test_what_is_no_value_is_refused_and_not_written_as_text() -> None:
    with pytest.raises(TypeError, match="no JSON"):
        format_json(object())
