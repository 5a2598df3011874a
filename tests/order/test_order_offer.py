"""offer.toml as it is read: whole, and every mistake told with its key."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.order.fields import OFFER, Field, load_file_tables
from labelkit.order.offer import find_chosen, read_offer

Event = Callable[..., Path]


def write(event: Event, *changes: tuple[str, str]) -> Path:
    return event(*changes, file="offer.toml").parent / "offer.toml"


def test_the_price_of_a_number_is_that_of_the_step_it_reaches(event: Event) -> None:
    # The sample: 8.25 from 40, 6.50 from 80, 5.75 from 150.
    offer = read_offer(write(event))
    found = {n: offer.find_price(n) for n in (1, 40, 79, 80, 149, 150, 900)}
    assert list(map(str, found.values())) == ["8.25", "8.25", "8.25", "6.5", "6.5", "5.75", "5.75"]


def test_a_wrap_round_the_piece_follows_the_size(event: Event) -> None:
    # Paper: twice the face's width and the thickness, and 20 mm to lap over; folded in at both
    # ends (common practice, no source). 2 x (60 + 25) + 20 = 190, 45 + 2 x 25 = 95;
    # 2 x (70 + 25) + 20 = 210, 55 + 2 x 25 = 105. A band: a 15 mm seam, half as high.
    offer = read_offer(write(event))
    small, large = offer.sizes
    paper, band = offer.wraps
    assert paper.measure_mm(small) == (190, 95)
    assert paper.measure_mm(large) == (210, 105)
    assert band.measure_mm(small) == (185, Decimal("22.5"))


def test_what_is_offered_is_found_by_its_short_name(event: Event) -> None:
    offer = read_offer(write(event))
    assert find_chosen(offer.soaps, "OAT") is offer.soaps[0]
    assert find_chosen(offer.soaps, "rye") is None


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("from = 80", "from = 30", "offer.price.from: '40, 30, 150': expected numbers"),
        ('id = "large"', 'id = "Small"', "offer.size.id: stands twice: 'small'"),
        ('thick = "25 mm"\n', "", "offer.wrap[1].size: expected what one piece takes"),
        ('recipe = "recipe.toml"', 'recipe = "rye.toml"', "offer.soap[1].recipe: 'rye.toml'"),
        ("[[offer.soap]]", "[[offer.rest]]", "offer.soap: missing; expected at least one"),
        ("smallest_order", "smalest_order", "offer.smalest_order: unknown key; did you mean"),
        ('corner = "2 mm"', 'corner = "20 mm"', "offer.size[1].corner: '20 mm': expected at most"),
        ('"hedgerow"', '"hedgrow"', "offer.layouts: 'hedgrow': no such layout; did you mean"),
        ("until = 2027-12-31", 'until = "soon"', "offer.until: 'soon'"),
    ],
)
def test_a_mistake_is_told_with_its_key(event: Event, old: str, new: str, told: str) -> None:
    path = write(event)
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(InputError, match=re.escape(told)):
        read_offer(path)


RANGED = [
    pytest.param(table, key, field, id=f"{table}.{key}")
    for table, one in load_file_tables()[OFFER].items()
    for key, field in one.fields.items()
    if field.range and table and key != "piece"  # the size that is chosen is the piece
]
MEASURES = {
    "integer": "{}", "number": "{}", "mass": '"{} g"', "length": '"{} mm"', "share": '"{} %"',
    "size": '"{0} x {0} mm"',
}  # fmt: skip


@pytest.mark.parametrize(("table", "key", "field"), RANGED)
def test_a_value_outside_its_range_is_refused(
    event: Event, table: str, key: str, field: Field
) -> None:
    assert field.range is not None
    path = write(event)
    text = path.read_text("utf-8")
    header = f"[[{table}]]" if load_file_tables()[OFFER][table].is_list else f"[{table}]"
    step = Decimal(1) if field.kind == "integer" else Decimal("0.00001")
    for outside in (field.range.least - step, field.range.most + step):
        before, _, after = text.partition(f"{header}\n")
        own, mark, rest = after.partition("\n[")
        own = re.sub(rf"(?m)^{key} = .*\n?", "", own)
        value = MEASURES[field.kind].format(f"{outside:f}")
        path.write_text(f"{before}{header}\n{key} = {value}\n{own}{mark}{rest}", "utf-8")
        with pytest.raises(InputError) as told:
            read_offer(path)
        keys = [one.key for one in (told.value, *told.value.others)]
        assert any(one.endswith(f".{key}") for one in keys), keys
