"""Pieces, bars and moulds: worked by hand, and what holds whatever the numbers are."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_making import making

from labelkit.common.errors import InputError
from labelkit.order.plan import Mould, MouldKind
from labelkit.plan.count import count_pieces, gross_up_count
from labelkit.plan.moulding import balance_masses, plan_moulding


def test_an_order_worked_by_hand() -> None:
    # 60 guests + 6 spares = 66; 2 % lost in wrapping: 66 / 0.98 = 67.3 -> 68; 2 kept back: 70;
    # 3 % lost in cutting: 70 / 0.97 = 72.2 -> 73; bars cut in 3: 73 / 3 = 24.3 -> 25, 2 over.
    made = count_pieces(
        60,
        6,
        making(
            cutting_loss_percent=Decimal(3),
            wrapping_loss_percent=Decimal(2),
            keep=2,
            pieces_per_bar=3,
        ),
    )
    assert (made.labelled, made.wrapped_spoilt, made.kept, made.cut_spoilt) == (66, 2, 2, 3)
    assert (made.needed, made.bars, made.cut, made.over) == (73, 25, 75, 2)


def test_a_loss_that_divides_evenly_adds_nothing() -> None:
    # 97 / 0.97 = 100 exactly: no piece more.
    assert gross_up_count(97, Decimal(3)) == 100
    assert gross_up_count(98, Decimal(3)) == 102  # 101.03 rounded up


losses = st.decimals(0, 49, places=1)


@given(
    guests=st.integers(1, 100_000),
    spares=st.integers(0, 5_000),
    cutting=losses,
    wrapping=losses,
    keep=st.integers(0, 50),
    per_bar=st.integers(1, 40),
)
def test_there_are_always_enough_pieces(
    guests: int, spares: int, cutting: Decimal, wrapping: Decimal, keep: int, per_bar: int
) -> None:
    made = count_pieces(
        guests,
        spares,
        making(
            cutting_loss_percent=cutting,
            wrapping_loss_percent=wrapping,
            keep=keep,
            pieces_per_bar=per_bar,
        ),
    )
    assert made.cut >= made.needed >= guests + spares
    # What is left after the expected losses is enough, and one piece fewer would not be.
    sound = made.cut * (100 - cutting) / 100 - keep
    assert sound * (100 - wrapping) / 100 >= guests + spares
    assert 0 <= made.over < per_bar


# -- moulds ----------------------------------------------------------------------------------------

LOAF = Mould(
    MouldKind.LOAF,
    Decimal(250),
    Decimal(80),
    Decimal(60),
    Decimal(10),
    Decimal(1200),
)
"""Inside 25 x 8 x 6 cm: 25 x 8 x 6 = 1200 cm3."""


def test_a_loaf_worked_by_hand() -> None:
    # One millimetre of the loaf is 8 cm x 6 cm x 0.1 cm x 1.02 g/cm3 = 4.896 g. A bar of 120 g is
    # 24.51 mm, so 25 mm on a stop that goes by half millimetres: 122.4 g. Of 250 mm less 10 mm of
    # ends, 240 / 25 = 9.6 -> 9 bars. 20 bars: 3 loaves, 27 bars, 7 over.
    # Poured: 3 x 1200 cm3 x 1.02 = 3672 g; bars 27 x 122.4 = 3304.8 g; the rest is ends, 367.2 g.
    counts = count_pieces(20, 0, making())
    made = plan_moulding(counts, Decimal(120), making(mould=LOAF), "label.toml")
    assert made.slice_mm == 25
    assert made.bar_g == Decimal("122.4")
    assert (made.moulds, made.bars_per_mould, made.bars_made, made.bars_over) == (3, 9, 27, 7)
    assert made.moulded_g == 3672
    assert made.ends_g == Decimal("367.2")


def test_a_divider_leaves_the_last_loaf_short() -> None:
    # As above, but the third loaf holds 2 bars and its ends: 2 x 122.4 + 10 x 4.896 = 293.76 g.
    loaf = Mould(LOAF.kind, *_sides(), LOAF.ends_mm, LOAF.volume_ml, divider=True)
    counts = count_pieces(20, 0, making())
    made = plan_moulding(counts, Decimal(120), making(mould=loaf), "label.toml")
    assert (made.moulds, made.bars_made, made.bars_over) == (3, 20, 0)
    assert made.moulded_g == 2 * 1224 + Decimal("293.76")


def _sides() -> tuple[Decimal, Decimal, Decimal]:
    return LOAF.length_mm, LOAF.width_mm, LOAF.fill_mm


def test_cavities_are_filled_one_by_one() -> None:
    # Cavities of 110 mL hold 112.2 g each; 20 bars need 4 sets of 6, of which 20 are filled.
    tray = Mould(MouldKind.CAVITIES, volume_ml=Decimal(110), cavities=6)
    made = plan_moulding(
        count_pieces(20, 0, making()), Decimal(100), making(mould=tray), "label.toml"
    )
    assert made.moulds == 4
    assert made.moulded_g == 20 * Decimal("112.2")
    assert made.ends_g == 0


def test_a_mould_smaller_than_a_bar_is_refused() -> None:
    cup = Mould(MouldKind.VOLUME, volume_ml=Decimal(50))
    with pytest.raises(InputError, match=r"plan\.mould: is too small for one bar of 120 g"):
        plan_moulding(count_pieces(1, 0, making()), Decimal(120), making(mould=cup), "label.toml")


moulds = st.one_of(
    st.none(),
    st.builds(
        lambda volume: Mould(MouldKind.VOLUME, volume_ml=volume),
        st.decimals(1000, 9000, places=1),
    ),
    st.builds(
        lambda length, width, fill, divider: Mould(
            MouldKind.LOAF, length, width, fill, Decimal(12), length * width * fill / 1000,
            divider=divider,
        ),
        st.decimals(200, 900, places=0),
        st.decimals(60, 200, places=0),
        st.decimals(40, 120, places=0),
        st.booleans(),
    ),
)  # fmt: skip


@given(
    pieces=st.integers(1, 3000),
    per_bar=st.integers(1, 6),
    piece_g=st.decimals(20, 60, places=1),
    mould=moulds,
    offcuts=st.decimals(0, 20, places=1),
    extra=st.decimals(0, 50, places=1),
)
def test_mass_in_is_mass_out(
    pieces: int, per_bar: int, piece_g: Decimal, mould: Mould | None, offcuts: Decimal,
    extra: Decimal,
) -> None:  # fmt: skip
    how = making(pieces_per_bar=per_bar, mould=mould, offcuts_percent=offcuts)
    counts = count_pieces(pieces, 0, how)
    made = plan_moulding(counts, piece_g, how, "label.toml")
    poured = made.target_g(Decimal(1)) + extra
    parts = balance_masses(poured, made, counts)
    total = parts.pieces_g + parts.over_g + parts.ends_g + parts.pot_g
    assert abs(total - poured) < Decimal("1e-15") * poured
    assert min(parts.over_g, parts.ends_g, parts.pot_g) >= Decimal("-1e-15") * poured
    # No bar is lighter than its pieces need, and there are bars enough.
    assert made.bar_g >= piece_g * per_bar
    assert made.bars_made >= counts.bars
