"""Ways of making and of asking money that a test changes as it needs."""

from __future__ import annotations

from decimal import Decimal

from labelkit.order.plan import Making, Minutes, Money


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


def money(**changes: object) -> Money:
    """Of a made-up workshop; its price follows from its margin."""
    values: dict[str, object] = {
        "currency": "CAD",
        "rate": Decimal("21.50"),
        "overhead_percent": Decimal(12),
        "margin_percent": Decimal(30),
        "price_step": Decimal("0.05"),
        "price": None,
        "taxes": (),
        "minutes": Minutes(*(Decimal(m) for m in ("45", "90", "2", "0.5", "1.5", "20", "30"))),
        "price_list": None,
        "deposit_percent": Decimal(0),
        "valid_days": 30,
        "terms": {},
        "lead_time": {},
    }
    return Money(**{**values, **changes})  # type: ignore[arg-type]
