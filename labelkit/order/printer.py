"""Printers lie a little: what one was measured to do, kept in printers.toml beside maker.toml.

A printer that is asked for a point p of the page prints it at ``scale * p + offset``. Both are
measured on the calibration page; a sheet that first goes through the inverse lands true.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

from labelkit.common.errors import InputError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import FactList, Said
from labelkit.common.paper import find_paper
from labelkit.order.fields import PRINTERS
from labelkit.order.laid_over import is_file_there, lay_texts_over
from labelkit.order.reader import Table, read_text, read_toml

FILE_NAME = PRINTERS
USUAL_INK = "rgb"


@dataclass(frozen=True, slots=True)
class PrinterProfile:
    """What one printer does to a page; coordinates from its lower left corner, in millimetres."""

    name: str
    offset_x_mm: float = 0.0
    """How far to the right of its place everything prints."""
    offset_y_mm: float = 0.0
    """How far above its place."""
    scale_x: float = 1.0
    """How long a line across the page prints, per unit of its true length."""
    scale_y: float = 1.0
    unprintable_mm: float | None = None
    """The edge on which it puts no ink; None where it was not measured."""
    page: str = ""
    """The paper it was measured on, "letter" or "a4"; empty: not known."""
    ink: str = USUAL_INK
    """How it wants colours that are not black: as light ("rgb"), or as process inks ("cmyk")."""

    def measured_elsewhere(self, width_mm: float, height_mm: float) -> bool:
        """Whether it was measured on another paper than a page of this size."""
        return bool(self.page) and find_paper(width_mm, height_mm) != self.page

    @property
    def true(self) -> bool:
        """Whether there is nothing to correct."""
        return (self.offset_x_mm, self.offset_y_mm, self.scale_x, self.scale_y) == (0, 0, 1, 1)


def path_of_printers(maker: Path) -> Path:
    """Where the printers of a maker are kept; ``maker`` is maker.toml or its folder."""
    return (maker if maker.is_dir() else maker.parent) / FILE_NAME


def read_printers(path: Path) -> tuple[PrinterProfile, ...]:
    """The printers of a file, none when there is no such file; InputError for a wrong value."""
    if not is_file_there(path) and not path.exists():
        return ()
    table = read_toml(path, PRINTERS)
    printers = table.rows("printers", _read_printer)
    table.done()
    names = [printer.name for printer in printers]
    for name in names:
        if names.count(name) > 1:
            table.wrong("printers", name, Said("is there twice; keep one"))
    return printers


def find_printer(name: str, path: Path) -> PrinterProfile:
    """A printer of a file by the name it was measured under, or InputError with those there are."""
    return choose_printer(name, read_printers(path), path)


def choose_printer(name: str, printers: Sequence[PrinterProfile], path: Path) -> PrinterProfile:
    """The one of some printers, read from a file, that has this name; InputError with the others'
    names where none has."""
    for printer in printers:
        if printer.name == name:
            return printer
    told = Said(
        "no such printer; expected one of {known}; see labelkit calibrate"
        if printers
        else "no such printer; none was measured yet; see labelkit calibrate",
        known=FactList(printer.name for printer in printers),
    )
    raise InputError(format_path(path), "printers", name, told)


def replace_printer(
    printers: Iterable[PrinterProfile], measured: PrinterProfile
) -> tuple[PrinterProfile, ...]:
    """The printers with one added, or measured anew, sorted by name.

    What no ruler measures stays as its maker wrote it.
    """
    before = tuple(printers)
    others = [printer for printer in before if printer.name != measured.name]
    same = next((printer for printer in before if printer.name == measured.name), measured)
    measured = replace(measured, ink=same.ink)
    return tuple(sorted([*others, measured], key=lambda printer: printer.name))


def write_printer_into(path: Path, measured: PrinterProfile) -> str:
    """The text of a file of printers with one added, or measured anew; what else its maker wrote
    there stays, comments too."""
    anew = format_printers(replace_printer(read_printers(path), measured))
    if not path.exists():
        return anew
    text = read_text(path, Said("a file of printers (printers.toml)"))
    edited = _edit_printers(text, measured)
    # A table written in some other way than this file's own is written anew in that.
    return edited if _says_the_same(edited, anew, path) else anew


def format_printers(printers: Iterable[PrinterProfile]) -> str:
    """The text of a file of printers, as ``read_printers`` reads it."""
    parts = [
        "# What the printers of the workshop were measured to do; `labelkit calibrate` writes it.",
        "# A point of the page prints at scale * place + offset, from the lower left corner.",
        "labelkit = 1",
    ]
    for printer in printers:
        parts += ["", *_format_printer(printer)]
    return "\n".join(parts) + "\n"


def _format_printer(printer: PrinterProfile) -> Iterator[str]:
    yield "[[printers]]"
    yield from (f"{key} = {value}" for key, value in _list_values(printer).items())


def _list_values(printer: PrinterProfile) -> dict[str, str]:
    """What stands in the file of a printer: values of TOML by their keys."""
    values = {
        "name": f'"{printer.name}"',
        "offset_x_mm": _format_number(printer.offset_x_mm),
        "offset_y_mm": _format_number(printer.offset_y_mm),
        "scale_x": _format_number(printer.scale_x),
        "scale_y": _format_number(printer.scale_y),
    }
    if printer.unprintable_mm is not None:
        values["unprintable_mm"] = _format_number(printer.unprintable_mm)
    if printer.page:
        values["page"] = f'"{printer.page}"'
    if printer.ink != USUAL_INK:
        values["ink"] = f'"{printer.ink}"'
    return values


_HEADER = re.compile(r"^[ \t]*\[", re.MULTILINE)


def _edit_printers(text: str, measured: PrinterProfile) -> str:
    """The text with a printer's values in place of those it had, or its table at the end."""
    starts = [match.start() for match in _HEADER.finditer(text)]
    for start, end in pairwise([*starts, len(text)]):
        table = text[start:end]
        name = re.search(r"^[ \t]*name[ \t]*=[ \t]*[\"'](?P<name>.*?)[\"']", table, re.MULTILINE)
        if name is not None and name["name"] == measured.name:
            return text[:start] + _edit_table(table, measured) + text[end:]
    added = "\n".join(_format_printer(measured))
    return f"{text.rstrip()}\n\n{added}\n"


def _edit_table(table: str, measured: PrinterProfile) -> str:
    added = []
    for key, value in _list_values(measured).items():
        pattern = rf"^(?P<key>[ \t]*{key}[ \t]*=[ \t]*)[^#\n]*?(?P<rest>[ \t\r]*(?:#.*)?)$"
        found = re.search(pattern, table, re.MULTILINE)
        if found is None:
            added.append(f"{key} = {value}\n")
        elif key != "name":
            line = f"{found['key']}{value}{found['rest']}"
            table = table[: found.start()] + line + table[found.end() :]
    last = [match.end() for match in re.finditer(r"^[ \t]*\w+[ \t]*=.*\n?", table, re.MULTILINE)][
        -1
    ]
    head = table[:last] if table[:last].endswith("\n") or not added else f"{table[:last]}\n"
    return head + "".join(added) + table[last:]


def _says_the_same(text: str, anew: str, path: Path) -> bool:
    """Whether a text holds the printers of another, which has them in order of their names."""
    try:
        with lay_texts_over({path: text}):
            printers = read_printers(path)
    except InputError:
        return False
    return format_printers(sorted(printers, key=lambda printer: printer.name)) == anew


def check_printer_name(name: str) -> str:
    """A printer's name as it can stand in the file and on a command line; InputError otherwise."""
    if not re.fullmatch(r"[\w .()-]{1,60}", name) or name != name.strip():
        raise InputError(
            "printer",
            "",
            name,
            Said("expected letters, figures, spaces, dots and hyphens, at most 60"),
        )
    return name


def _read_printer(table: Table) -> PrinterProfile:
    edge = table.number("unprintable_mm", None)
    return PrinterProfile(
        name=table.text("name"),
        offset_x_mm=float(table.number("offset_x_mm", 0)),
        offset_y_mm=float(table.number("offset_y_mm", 0)),
        scale_x=float(table.number("scale_x", 1)),
        scale_y=float(table.number("scale_y", 1)),
        unprintable_mm=None if edge is None else float(edge),
        page=table.choice("page", ""),
        ink=table.choice("ink", USUAL_INK),
    )


def _format_number(value: float) -> str:
    """A TOML number with the digits that matter: a scale of 1.00125 keeps all of them."""
    text = f"{value:.6f}".rstrip("0")
    return f"{text}0" if text.endswith(".") else text
