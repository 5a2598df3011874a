"""Part-used sheets, remembered and taken up again."""

from __future__ import annotations

from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.impose import impose, left_over
from labelkit.order.label import Trim
from labelkit.order.part_used import Rest, find_rest, read_rests, rest_file, rests_toml, with_rest
from labelkit.order.stock import find_stock

STOCK = "a4-4x8-44x28"


def test_two_jobs_use_one_sheet_up_and_no_position_twice(tmp_path: Path) -> None:
    stock, trim, path = find_stock(STOCK, tmp_path), Trim(44, 28), rest_file(tmp_path)
    left = left_over(stock, trim, 10, start=3, skip=(20,))
    assert left.start is not None
    first = impose(stock, trim, 10, 3, (20,))
    rest = Rest(STOCK, left.start, left.skip)
    path.write_text(rests_toml(with_rest((), rest)), encoding="utf-8")
    found = find_rest(STOCK, path)
    assert found == Rest(STOCK, 13, (20,))
    (second,) = impose(stock, trim, 19, found.start, found.skip)
    cells = [place.cell for sheet in (*first, second) for place in sheet.places]
    assert cells == [n for n in range(3, 33) if n != 20]
    assert left_over(stock, trim, 19, found.start, found.skip).start is None


def test_a_stock_has_one_sheet_that_is_part_used() -> None:
    rests = (Rest("a", 2), Rest("b", 5, (7,)))
    assert with_rest(rests, Rest("b", 9)) == (Rest("a", 2), Rest("b", 9))
    assert with_rest(rests, Rest("aa", 1)) == (Rest("a", 2), Rest("aa", 1), Rest("b", 5, (7,)))


def test_the_job_that_left_a_sheet_is_known_again(tmp_path: Path) -> None:
    path = rest_file(tmp_path)
    rest = Rest(STOCK, 13, (), 'su"pper\\label.toml', "Ann\n &  Bo", 3, 13)
    path.write_text(rests_toml((rest,)), encoding="utf-8")
    found = find_rest(STOCK, path)
    assert found is not None
    assert (found.start, found.began, found.ended) == (13, 3, 13)
    assert found.is_of('su"pper\\label.toml', "Ann & Bo")
    assert not found.is_of("other.toml", "Ann & Bo")
    assert not found.is_of('su"pper\\label.toml', "Ann & Cy")
    assert not Rest(STOCK, 1).is_of("", "")  # written before jobs were noted, or by hand


def test_letters_that_no_file_may_hold_are_not_written(tmp_path: Path) -> None:
    path = rest_file(tmp_path)
    rest = Rest(STOCK, 2, (), "a\x07\udcff.toml", "\x7f", 1, 2)
    path.write_text(rests_toml((rest,)), encoding="utf-8")
    assert read_rests(path) == (Rest(STOCK, 2, (), "a??.toml", "?", 1, 2),)


def test_names_of_files_survive(tmp_path: Path) -> None:
    path = rest_file(tmp_path / "maker.toml")
    rests = (Rest('my "best" sheets.toml', 4), Rest("x\\y.toml", 1, (2, 3)))
    path.write_text(rests_toml(rests), encoding="utf-8")
    assert read_rests(path) == rests
    assert find_rest("other", path) is None
    assert read_rests(tmp_path / "none.toml") == ()


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("start = 0", "1 to 100000"),
        ('start = 1\nskip = ["2"]', "a list of positions"),
        ("start = 1\nskip = 2", "a list of positions"),
        ("start = 1\nskip = [true]", "a list of positions"),
        ("", "start: missing"),
    ],
)
def test_a_wrong_file(tmp_path: Path, line: str, says: str) -> None:
    path = tmp_path / "part-used.toml"
    path.write_text(f'labelkit = 1\n[[rest]]\nstock = "a"\n{line}\n', encoding="utf-8")
    with pytest.raises(InputError, match=says):
        read_rests(path)
