"""A way of making that a test changes as it needs."""

from __future__ import annotations

from decimal import Decimal

from labelkit.order.plan import Making


def making(**changes: object) -> Making:
    """Without any loss, with pieces that vary by 3 %."""
    values: dict[str, object] = {
        "pieces_per_bar": 1,
        "cutting_loss_percent": Decimal(0),
        "wrapping_loss_percent": Decimal(0),
        "keep": 0,
        "pot_loss_percent": Decimal(0),
        "offcuts_percent": Decimal(0),
        "density_g_ml": Decimal("1.02"),
        "mould": None,
        "scale": None,
        "fine_scale": None,
        "piece_poured_g": None,
        "spread_percent": Decimal(3),
        "further_loss_percent": Decimal(0),
    }
    return Making(**{**values, **changes})  # type: ignore[arg-type]
