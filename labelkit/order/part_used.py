"""Part-used sheets, remembered from one job to the next in part-used.toml beside maker.toml."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from pathlib import Path

from labelkit.common.frozen import dataclass
from labelkit.order.fields import PART_USED
from labelkit.order.reader import Table, read_toml

FILE_NAME = PART_USED


@dataclass(frozen=True, slots=True)
class PartUsedSheet:
    """What was left of the last sheet of one stock: what the next job gives as start and skip."""

    stock: str
    """As named in the label spec."""
    start: int
    """The first free position; 1 on a new sheet."""
    skip: tuple[int, ...] = ()
    label: str = ""
    """The label's file of the job that left it, from the maker's folder."""
    event: str = ""
    """That job's event."""
    began: int = 0
    """Where that job began; 0 where it is not known."""
    ended: int = 0
    """What ``start`` was when it was written: another value is the maker's own."""

    def is_of(self, label: str, event: str) -> bool:
        """Whether the same job left it."""
        return bool(self.label) and (self.label, self.event) == (
            clean_for_toml(label),
            clean_for_toml(event),
        )


def path_of_part_used(maker: Path) -> Path:
    """Where part-used sheets are remembered; ``maker`` is maker.toml or its folder."""
    return (maker if maker.is_dir() else maker.parent) / FILE_NAME


def read_part_used(path: Path) -> tuple[PartUsedSheet, ...]:
    """Every part-used sheet, none when there is no file; InputError for a wrong value."""
    if not path.exists():
        return ()
    table = read_toml(path, PART_USED)
    rests = table.rows("rest", _read_sheet)
    table.done()
    return rests


def find_part_used(stock: str, path: Path) -> PartUsedSheet | None:
    """The part-used sheet of a stock, if one is remembered."""
    return next((rest for rest in read_part_used(path) if rest.stock == stock), None)


def replace_part_used(
    rests: Iterable[PartUsedSheet], rest: PartUsedSheet
) -> tuple[PartUsedSheet, ...]:
    """The rests after a job: the stock's own replaced."""
    others = [other for other in rests if other.stock != rest.stock]
    return tuple(sorted([*others, rest], key=lambda other: other.stock))


def format_part_used(rests: Iterable[PartUsedSheet]) -> str:
    """The text of the file, as ``read_part_used`` reads it."""
    parts = [
        "# Part-used sheets, one of each stock for every side that was printed.",
        "# start is the first free position (1: a new sheet), skip those after it not free.",
        "# The other lines tell of the last job: if its sheets were not used, set start to began.",
        "labelkit = 1",
    ]
    for rest in rests:
        parts += ["", "[[rest]]", f"stock = {_quote_text(rest.stock)}", f"start = {rest.start}"]
        if rest.skip:
            parts.append(f"skip = [{', '.join(map(str, rest.skip))}]")
        if rest.label:
            parts += [
                f"label = {_quote_text(clean_for_toml(rest.label))}",
                f"event = {_quote_text(clean_for_toml(rest.event))}",
            ]
        if rest.began:
            parts += [f"began = {rest.began}", f"ended = {rest.ended}"]
    return "\n".join(parts) + "\n"


def clean_for_toml(text: str) -> str:
    """A text as the file holds it: on one line, without letters that TOML or UTF-8 refuse."""
    return _replace_hidden_letters(" ".join(text.split()))


def _replace_hidden_letters(text: str) -> str:
    hidden = {"Cc", "Cs"}  # Unicode general categories: control and surrogate
    return "".join("?" if unicodedata.category(letter) in hidden else letter for letter in text)


def _quote_text(text: str) -> str:
    escaped = _replace_hidden_letters(text).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _read_sheet(table: Table) -> PartUsedSheet:
    return PartUsedSheet(
        table.text("stock"),
        table.integer("start"),
        tuple(table.numbers("skip", [])),
        str(table.raw("label", "")),
        str(table.raw("event", "")),
        table.integer("began", 0),
        table.integer("ended", 0),
    )
