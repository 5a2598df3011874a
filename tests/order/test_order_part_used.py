"""Part-used sheets, remembered and taken up again."""

from __future__ import annotations

from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.impose import find_left_over, impose_labels
from labelkit.order.label import Trim
from labelkit.order.part_used import (
    PartUsedSheet,
    find_part_used,
    format_part_used,
    path_of_part_used,
    read_part_used,
    replace_part_used,
)
from labelkit.order.stock import find_stock

STOCK = "a4-4x8-44x28"


def test_two_jobs_use_one_sheet_up_and_no_position_twice(tmp_path: Path) -> None:
    stock, trim, path = find_stock(STOCK, tmp_path), Trim(44, 28), path_of_part_used(tmp_path)
    left = find_left_over(stock, trim, 10, start=3, skip=(20,))
    assert left.start is not None
    first = impose_labels(stock, trim, 10, 3, (20,))
    rest = PartUsedSheet(STOCK, left.start, left.skip)
    path.write_text(format_part_used(replace_part_used((), rest)), encoding="utf-8")
    found = find_part_used(STOCK, path)
    assert found == PartUsedSheet(STOCK, 13, (20,))
    (second,) = impose_labels(stock, trim, 19, found.start, found.skip)
    cells = [place.cell for sheet in (*first, second) for place in sheet.places]
    assert cells == [n for n in range(3, 33) if n != 20]
    assert find_left_over(stock, trim, 19, found.start, found.skip).start is None


def test_a_stock_has_one_sheet_that_is_part_used() -> None:
    rests = (PartUsedSheet("a", 2), PartUsedSheet("b", 5, (7,)))
    assert replace_part_used(rests, PartUsedSheet("b", 9)) == (
        PartUsedSheet("a", 2),
        PartUsedSheet("b", 9),
    )
    assert replace_part_used(rests, PartUsedSheet("aa", 1)) == (
        PartUsedSheet("a", 2),
        PartUsedSheet("aa", 1),
        PartUsedSheet("b", 5, (7,)),
    )


def test_the_job_that_left_a_sheet_is_known_again(tmp_path: Path) -> None:
    path = path_of_part_used(tmp_path)
    rest = PartUsedSheet(STOCK, 13, (), 'su"pper\\label.toml', "Ann\n &  Bo", 3, 13)
    path.write_text(format_part_used((rest,)), encoding="utf-8")
    found = find_part_used(STOCK, path)
    assert found is not None
    assert (found.start, found.began, found.ended) == (13, 3, 13)
    assert found.is_of('su"pper\\label.toml', "Ann & Bo")
    assert not found.is_of("other.toml", "Ann & Bo")
    assert not found.is_of('su"pper\\label.toml', "Ann & Cy")
    assert not PartUsedSheet(STOCK, 1).is_of("", "")  # written before jobs were noted, or by hand


def test_letters_that_no_file_may_hold_are_not_written(tmp_path: Path) -> None:
    path = path_of_part_used(tmp_path)
    rest = PartUsedSheet(STOCK, 2, (), "a\x07\udcff.toml", "\x7f", 1, 2)
    path.write_text(format_part_used((rest,)), encoding="utf-8")
    assert read_part_used(path) == (PartUsedSheet(STOCK, 2, (), "a??.toml", "?", 1, 2),)


def test_names_of_files_survive(tmp_path: Path) -> None:
    path = path_of_part_used(tmp_path / "maker.toml")
    rests = (PartUsedSheet('my "best" sheets.toml', 4), PartUsedSheet("x\\y.toml", 1, (2, 3)))
    path.write_text(format_part_used(rests), encoding="utf-8")
    assert read_part_used(path) == rests
    assert find_part_used("other", path) is None
    assert read_part_used(tmp_path / "none.toml") == ()


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("start = 0", "1 to 100000"),
        ('start = 1\nskip = ["2"]', "a list of whole numbers from 1 to 100000"),
        ("start = 1\nskip = 2", "a list of whole numbers from 1 to 100000"),
        ("start = 1\nskip = [true]", "a list of whole numbers from 1 to 100000"),
        ("", "start: missing"),
    ],
)
def test_a_wrong_file(tmp_path: Path, line: str, says: str) -> None:
    path = tmp_path / "part-used.toml"
    path.write_text(f'labelkit = 1\n[[rest]]\nstock = "a"\n{line}\n', encoding="utf-8")
    with pytest.raises(InputError, match=says):
        read_part_used(path)
