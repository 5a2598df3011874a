"""Part-used sheets, remembered from one job to the next in part-used.toml beside maker.toml."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from labelkit.spec.reader import Table, read_toml

FILE_NAME = "part-used.toml"
_MOST = 100_000


@dataclass(frozen=True, slots=True)
class Rest:
    """What was left of the last sheet of one stock: what the next job gives as start and skip."""

    stock: str
    """As named in the label spec."""
    start: int
    skip: tuple[int, ...] = ()


def rest_file(maker: Path) -> Path:
    """Where part-used sheets are remembered; ``maker`` is maker.toml or its folder."""
    return (maker if maker.is_dir() else maker.parent) / FILE_NAME


def read_rests(path: Path) -> tuple[Rest, ...]:
    """Every part-used sheet, none when there is no file; InputError for a wrong value."""
    if not path.exists():
        return ()
    table = read_toml(path, "a file of part-used sheets (part-used.toml)")
    rests = tuple(_rest(entry) for entry in table.tables("rest"))
    table.done()
    return rests


def find_rest(stock: str, path: Path) -> Rest | None:
    """The part-used sheet of a stock, if one is remembered."""
    return next((rest for rest in read_rests(path) if rest.stock == stock), None)


def with_rest(rests: Iterable[Rest], stock: str, rest: Rest | None) -> tuple[Rest, ...]:
    """The rests after a job: the stock's own replaced, or dropped when the sheet was used up."""
    others = [other for other in rests if other.stock != stock]
    return tuple(sorted([*others, *([rest] if rest else [])], key=lambda other: other.stock))


def rests_toml(rests: Iterable[Rest]) -> str:
    """The text of the file, as ``read_rests`` reads it."""
    parts = [
        "# Part-used sheets, one of each stock for every side that was printed.",
        "# start is the first free position, skip lists those after it that are not.",
        "labelkit = 1",
    ]
    for rest in rests:
        stock = rest.stock.replace("\\", "\\\\").replace('"', '\\"')
        parts += ["", "[[rest]]", f'stock = "{stock}"', f"start = {rest.start}"]
        if rest.skip:
            parts.append(f"skip = [{', '.join(map(str, rest.skip))}]")
    return "\n".join(parts) + "\n"


def _rest(table: Table) -> Rest:
    expected = "a list of positions such as [7, 8]"
    skip = table.raw("skip", [], expected)
    if not isinstance(skip, list) or not all(type(n) is int and 1 <= n <= _MOST for n in skip):
        table.wrong("skip", skip, f"expected {expected}")
    rest = Rest(table.text("stock"), table.integer("start", least=1, most=_MOST), tuple(skip))
    table.done()
    return rest
