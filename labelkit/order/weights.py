"""weights.csv: what pieces weighed, one a line."""

from __future__ import annotations

import csv
import re
from decimal import Decimal
from pathlib import Path

from labelkit.common.errors import InputError, format_path
from labelkit.common.messages import Said
from labelkit.common.quantity import NumberError, QuantityError, parse_mass_g
from labelkit.order.reader import read_text

COLUMNS = ("weight", "cured", "grams", "g", "poids")
MOST_ROWS = 100_000
MOST_GRAMS = 100_000
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_FROM_A_SCALE = re.compile(r"\d{1,6}\.\d{1,6}")
"""A scale that reads thousandths of a gram writes a point before them, and no thousands."""


def read_weights(path: Path) -> tuple[Decimal, ...]:
    """The weights in grams, in file order.

    One weight a line ("41.2", "41,2 g", "1.45 oz"), or a table with a column headed "weight".
    Raises InputError for an empty file, a missing column or a value that is no weight.
    """
    rows = _read_rows(path)
    header = [cell.strip().lower() for cell in rows[0][1]]
    named = [header.index(name) for name in COLUMNS if name in header]
    if named:
        column, rows = named[0], rows[1:]
    elif len(header) == 1:
        column = 0
    else:
        expected = Said('expected one weight a line, or a column headed "weight"')
        raise InputError(format_path(path), "line 1", ", ".join(rows[0][1]), expected)
    weights = tuple(_parse_weight(path, number, row, column, len(header)) for number, row in rows)
    if not weights:
        raise InputError(format_path(path), "", None, Said("holds no weights; expected one a line"))
    return weights


def _read_rows(path: Path) -> list[tuple[int, list[str]]]:
    """The lines that hold something, with their numbers."""
    lines = read_text(path, Said("a list of weights (CSV)")).splitlines()
    first = next((line for line in lines if line.strip()), "")
    delimiter = _find_delimiter(first)
    rows = list(enumerate(csv.reader(lines, delimiter=delimiter), start=1))
    found = [(number, row) for number, row in rows if any(cell.strip() for cell in row)]
    if not found:
        raise InputError(format_path(path), "", None, Said("holds no weights; expected one a line"))
    if len(found) > MOST_ROWS:
        raise InputError(
            format_path(path), "", None, Said("holds over {most} weights", most=MOST_ROWS)
        )
    return found


def _find_delimiter(first: str) -> str:
    """What parts the columns: a tab, a semicolon, or a comma that is no decimal comma."""
    for mark in ("\t", ";"):
        if mark in first:
            return mark
    decimal = re.fullmatch(r'\s*"?\d+,\d+\s*\w*"?\s*', first)
    return "," if "," in first and not decimal else ";"


def _parse_weight(path: Path, number: int, row: list[str], column: int, columns: int) -> Decimal:
    where = f"line {number}"
    if len(row) > columns:
        expected = Said("has more values than the first line; write decimals with a point")
        raise InputError(format_path(path), where, ",".join(row), expected)
    text = row[column].strip() if column < len(row) else ""
    try:
        if _FROM_A_SCALE.fullmatch(text):
            return _check_weight(path, where, text, Decimal(text))
        grams = parse_mass_g(f"{text} g" if _NUMBER.fullmatch(text) else text)
    except NumberError as error:
        raise InputError(format_path(path), where, text, error.told) from error
    except QuantityError:
        grams = Decimal(0)
    return _check_weight(path, where, text, grams)


def _check_weight(path: Path, where: str, text: str, grams: Decimal) -> Decimal:
    if not 0 < grams <= MOST_GRAMS:
        raise InputError(format_path(path), where, text, Said('expected a weight such as "41.2 g"'))
    return grams
