"""weights.csv: numbers as scales and people write them."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.order.weights import read_weights


def weights(folder: Path, text: str) -> tuple[Decimal, ...]:
    path = folder / "weights.csv"
    path.write_text(text, encoding="utf-8")
    return read_weights(path)


def test_a_decimal_comma_is_read(tmp_path: Path) -> None:
    """Unicode CLDR: the decimal comma of ``fr``."""
    assert weights(tmp_path, "41,2\n40,85 g\n") == (Decimal("41.2"), Decimal("40.85"))


def test_a_weight_with_two_readings_is_refused(tmp_path: Path) -> None:
    """Unicode CLDR: "1,202" is twelve hundred and two in ``en``, and 1.202 in ``fr``."""
    with pytest.raises(InputError) as caught:
        weights(tmp_path, "1,202\n1,198\n")
    assert "line 1: '1,202': the comma may part" in str(caught.value)
    assert '"1202 g" or "1202 mg"' in str(caught.value)


def test_a_scale_that_reads_thousandths_is_read(tmp_path: Path) -> None:
    assert weights(tmp_path, "41.205\n40.9\n") == (Decimal("41.205"), Decimal("40.9"))
