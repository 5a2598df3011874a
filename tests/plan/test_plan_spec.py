"""The plan's tables: the label's word before the maker's, the maker's before the defaults."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.order.label import read_label, replace_regions
from labelkit.order.plan import MouldKind
from labelkit.order.prices import read_prices
from labelkit.order.weights import read_weights
from labelkit.plan.order_plan import Plan

Event = Callable[..., Path]


def test_the_labels_word_before_the_makers_and_then_the_default(event: Event) -> None:
    path = event(("pieces_per_bar = 3", 'pieces_per_bar = 3\nmargin = "40 %"'))
    plan = read_label(path).plan
    assert plan.money.margin_percent == 40  # the label's; the maker's file says 25 %
    assert plan.money.rate == 22  # the maker's
    assert plan.making.keep == 2  # nobody's
    used = {default.key: default.value for default in plan.defaults}
    assert used["plan.keep"] == "2"
    assert used["plan.cutting_loss"] == '"3 %"'
    assert "plan.margin" not in used
    assert "plan.rate" not in used


def test_a_table_may_be_split_between_the_two_files(event: Event) -> None:
    path = event(("[plan.box]", "[plan.labels]\nstart = 5\n\n[plan.box]"))
    labels = read_label(path).plan.labels
    assert (labels.front_start, labels.back_start) == (5, 5)
    assert labels.price == Decimal("0.14")  # from the maker's file


def test_a_spec_without_any_plan_is_planned(event: Event) -> None:
    path = event()
    for file in ("label.toml", "maker.toml"):
        target = path.parent / file
        text = target.read_text(encoding="utf-8")
        target.write_text(text[: text.index("[plan]")].rstrip() + "\n", encoding="utf-8")
    plan = read_label(path).plan.with_cure(5)
    assert plan.timing.cure_weeks == 5  # the recipe's, no default
    assert plan.making.mould is None
    assert plan.money.currency == "CAD"  # of the maker's own region (CLDR)
    keys = {default.key for default in plan.defaults}
    assert {"plan.rate", "plan.minutes.wrap", "plan.closed", "plan.currency"} <= keys
    assert "plan.cure_weeks" not in keys


NZ, IE = ('regions = ["CA"]', 'regions = ["NZ"]'), ("[label]", '[label]\nregions = ["IE", "NZ"]')
NOWHERE, POUNDS = ('regions = ["CA"]\n', ""), ("[plan]\n", '[plan]\ncurrency = "gbp"\n')


@pytest.mark.parametrize(
    ("maker", "label", "asked", "currency"),
    [
        # CLDR: the euro in Ireland, dollars in New Zealand and Canada, pounds in Great Britain.
        ((NZ,), (), ("IE",), "NZD"),  # the workshop's, whatever region is asked about
        ((NZ,), (), ("IE", "NZ"), "NZD"),
        ((NZ,), (IE,), (), "NZD"),
        ((NOWHERE,), (IE,), ("NZ",), "EUR"),  # no workshop's region: the label's own
        ((NZ, POUNDS), (), ("IE",), "GBP"),
    ],
)
def test_a_price_keeps_its_currency(
    event: Event,
    maker: tuple[tuple[str, str], ...],
    label: tuple[tuple[str, str], ...],
    asked: tuple[str, ...],
    currency: str,
) -> None:
    path = event(*label)
    event(*maker, file="maker.toml")
    assert replace_regions(read_label(path), asked).plan.money.currency == currency


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("pieces_per_bar = 3", "pieces_per_bar = 0", "plan.pieces_per_bar: 0: expected a whole"),
        ("pieces_per_bar = 3", "peices_per_bar = 3", "plan.peices_per_bar: unknown key; did you"),
        (
            "pieces_per_bar = 3",
            'cutting_loss = "51 %"',
            "plan.cutting_loss: '51 %': expected at",
        ),
        ("2027-06-11", "2027-06-20", "plan.deliver_on: 2027-06-20: is after the event"),
        ("pieces_per_bar = 3", "poured_on = 2027-06-12", "plan.poured_on: 2027-06-12: is after"),
        ("pieces_per_bar = 3", 'density = "1"', "plan.density: '1': write 1 without quotes"),
        ("pieces_per_bar = 3", "density = nan", "plan.density: nan: expected a number"),
        ("pieces_per_bar = 3", 'offcuts = "5 %"', "plan.offcuts: follow from the mould"),
        ("pieces_per_bar = 3", 'currency = "XXZ"', "plan.currency: 'XXZ': expected an ISO 4217"),
        ("pieces_per_bar = 3", 'lot_pattern = "{shift}"', "plan.lot_pattern: '{shift}': expected"),
        ("pieces_per_bar = 3", 'lot_pattern = "{yy"', "plan.lot_pattern: '{yy': expected text"),
        (
            "pieces_per_bar = 3",
            'closed = ["domingo"]',
            "plan.closed: 'domingo': expected some of",
        ),
        (
            "pieces_per_bar = 3",
            'suppliers_closed = ["domingo"]',
            "plan.suppliers_closed: 'domingo': expected some of",
        ),
        ("holds = 24", "holds = 0", "plan.box.holds: 0: expected a whole number from 1"),
        ("price = 0.12", "price = -1", "plan.extra[1].price: -1: expected a number from 0"),
        ("price = 0.12", "prise = 1", "plan.extra[1].prise: unknown key; did you mean 'price'?"),
    ],
)
def test_a_wrong_value_is_told_with_its_key(event: Event, old: str, new: str, told: str) -> None:
    path = event((old, new))
    with pytest.raises(InputError) as raised:
        read_label(path)
    assert told in str(raised.value)
    assert str(raised.value).startswith(f"{path}: ")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"07-01"', '"31-12"', "plan.holidays.Canada Day: '31-12': expected a date"),
        ('"07-01"', '"02-30"', "plan.holidays.Canada Day: '02-30': expected a date"),
        ('size = "95 x 150 mm"', 'size = "95 x 900 mm"', "plan.wrap.size: '95 x 900 mm': is lar"),
        ('length = "28 cm"', 'length = "30 m"', "plan.ribbon.length: '30000 mm': is longer"),
        ('ends = "10 mm"', 'ends = "400 mm"', "plan.mould.ends: '400 mm': expected less"),
        ('inside = "330 x 90 mm"', 'inside = "20 x 90 mm"', "plan.mould"),
        ("[plan.mould]", "[plan.mould]\ncavities = 6", "plan.mould.cavities: expected exactly one"),
        ("[plan]", "[planning]\n[plan]", "planning: unknown table; the plan's own is [plan]"),
    ],
)
def test_a_wrong_value_in_the_makers_file(
    planned: Callable[..., Plan], old: str, new: str, told: str
) -> None:
    with pytest.raises(InputError) as raised:
        planned(maker=((old, new),))
    assert told in str(raised.value)


def test_moulds(event: Event) -> None:
    path = event()
    assert read_label(path).plan.making.mould.kind is MouldKind.LOAF  # type: ignore[union-attr]
    inside = 'inside = "330 x 90 mm"\nfill = "65 mm"\nends = "10 mm"'
    event((inside, "volume_ml = 1200"), file="maker.toml")
    mould = read_label(path).plan.making.mould
    assert mould is not None
    assert (mould.kind, mould.volume_ml) == (MouldKind.VOLUME, 1200)
    event(("volume_ml = 1200", "cavities = 6\ncavity_ml = 110"), file="maker.toml")
    mould = read_label(path).plan.making.mould
    assert mould is not None
    assert (mould.kind, mould.cavities, mould.volume_ml) == (MouldKind.CAVITIES, 6, 110)


def test_days_are_dates_or_come_every_year(event: Event) -> None:
    holidays = read_label(event()).plan.timing.holidays
    assert holidays["Victoria Day"] == (dt.date(2027, 5, 24), dt.date(2028, 5, 22))
    assert holidays["Canada Day"] == ((7, 1),)


def test_spans_are_every_day_from_the_first_to_the_last(event: Event) -> None:
    path = event()
    changes = (
        ('"Canada Day" = "07-01"', '"Canada Day" = { from = 2027-06-30, to = 2027-07-02 }'),
        ('["12-25", "12-26"]', '[{ from = "12-30", to = "01-02" }, "12-25"]'),
        ('"National Acadian Day" = "08-15"', '"Leap" = { from = "02-28", to = "03-01" }'),
        ("[2027-05-24, 2028-05-22]", '{ from = "05-24", to = "05-24" }'),
    )
    event(*changes, file="maker.toml")
    holidays = read_label(path).plan.timing.holidays
    assert holidays["Canada Day"] == (
        dt.date(2027, 6, 30), dt.date(2027, 7, 1), dt.date(2027, 7, 2),
    )  # fmt: skip
    assert holidays["Christmas"] == ((12, 30), (12, 31), (1, 1), (1, 2), (12, 25))
    assert holidays["Leap"] == ((2, 28), (2, 29), (3, 1))
    assert holidays["Victoria Day"] == ((5, 24),)


@pytest.mark.parametrize(
    "span",
    [
        "{ from = 2027-01-04, to = 2026-12-24 }", "{ from = 2026-12-24 }", "{}",
        '{ from = 2026-12-24, to = "01-04" }', "{ from = 2026-12-24, to = 2028-01-04 }",
        '{ from = "02-30", to = "03-02" }', "{ from = 2026-12-24, to = 2027-01-04, by = 2 }",
        '{ from = "02-29", to = "01-05" }',
    ],
)  # fmt: skip
def test_what_is_no_span_is_told(event: Event, span: str) -> None:
    path = event()
    event(('"07-01"', span), file="maker.toml")
    with pytest.raises(InputError, match=r"plan\.holidays\.Canada Day: .*a span such as"):
        read_label(path)


# -- prices and weights ----------------------------------------------------------------------------


def test_prices_per_kilogram(tmp_path: Path) -> None:
    path = tmp_path / "prices.toml"
    path.write_text('[[price]]\nitem = "olive oil"\nprice = 46.50\nfor = "5 kg"\n')
    (line,) = read_prices(path)
    assert line.of_mass(lambda _: None).per_kg == Decimal("9.3")
    path.write_text('[[price]]\nitem = "olive oil"\nprice = 46.50\nfor = "0 kg"\n')
    with pytest.raises(InputError, match=r"price\[1\]\.for: '0 kg': expected from 0\.01 g or mL"):
        read_prices(path)


@pytest.mark.parametrize(
    "text",
    [
        "41.2\n40\n39.85\n",
        "41,2\n40\n39,85\n",
        "41.2 g\n40 g\n39.85 g\n",
        "weight\n41,2\n40\n39,85\n",
        "no,weight\n1,41.2\n2,40\n3,39.85\n",
        "no;poids\n1;41,2\n2;40\n3;39,85\n",
        "\ufeffweight\r\n41.2\r\n\r\n40\r\n39.85\r\n",
    ],
)
def test_weights_in_the_forms_a_maker_writes(tmp_path: Path, text: str) -> None:
    path = tmp_path / "weights.csv"
    path.write_bytes(text.encode())
    assert read_weights(path) == (Decimal("41.2"), Decimal(40), Decimal("39.85"))


def test_weights_in_ounces(tmp_path: Path) -> None:
    path = tmp_path / "weights.csv"
    path.write_text("1.45 oz\n")
    # 1.45 x 28.349523125 g (NIST Handbook 44, Appendix C).
    assert read_weights(path) == (Decimal("41.10680853125"),)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "holds no weights"),
        ("weight\n", "holds no weights"),
        ("41\nheavy\n", "line 2: 'heavy': expected a weight"),
        ("41\n0\n", "line 2: '0': expected a weight"),
        ("41\n-3\n", "line 2: '-3': expected a weight"),
        ("1,41.2\n2,40.9\n", "line 1: '1, 41.2': expected one weight a line"),
        # A decimal comma in a file that parts its columns by commas is never taken for 41.
        ("no,weight\n1,41,2\n", "line 2: '1,41,2': has more values than the first line"),
    ],
)
def test_weights_that_cannot_be_used(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "weights.csv"
    path.write_text(text)
    with pytest.raises(InputError) as raised:
        read_weights(path)
    assert told in str(raised.value)
