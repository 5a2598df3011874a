"""Numbers the rules tell, against the numbers their sources print."""

from __future__ import annotations

import pytest
from rule_values import VALUES, Value


@pytest.mark.parametrize("value", VALUES, ids=lambda value: value.name)
def test_the_value_is_that_of_its_source(value: Value) -> None:
    assert value.told() == value.expected, value.source
    assert value.source.strip()
