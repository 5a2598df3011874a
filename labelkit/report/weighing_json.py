"""The check of a weighing as plain values, for the objects of a plan and of a declaration."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from labelkit.formula.weighing_mistakes import WeighingCheck

_PLACES = Decimal("0.0001")


def weighing_to_values(found: WeighingCheck, say: Callable[[str], str] = str) -> dict[str, Any]:
    """Percents as numbers of four decimals; ``say`` puts the mistakes in a language."""
    scale = found.scale
    return {
        "lye_share_of_oils_percent": _percent_to_float(scale.share_percent) if scale else None,
        "least_percent": _percent_to_float(scale.least_percent) if scale else None,
        "most_percent": _percent_to_float(scale.most_percent) if scale else None,
        "mistakes": [
            {
                "mistake": mistake.key,
                "what": say(mistake.what),
                "caustic": mistake.is_caustic,
                "superfat_percent": _percent_to_float(mistake.superfat_percent),
                "superfat_low_percent": _percent_to_float(mistake.low_percent),
                "lye_left_over_percent": _percent_to_float(mistake.left_over_percent),
            }
            for mistake in found.mistakes
        ],
    }


def _percent_to_float(value: Decimal) -> float:
    return float(value.quantize(_PLACES))
