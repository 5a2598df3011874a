"""Printers lie a little: what one was measured to do, kept in printers.toml beside maker.toml.

A printer that is asked for a point p of the page prints it at ``scale * p + offset``. Both are
measured on the calibration page; a sheet that first goes through the inverse lands true.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from labelkit.common.errors import InputError, format_path
from labelkit.common.messages import FactList, Said
from labelkit.common.paper import find_paper
from labelkit.order.fields import PRINTERS
from labelkit.order.laid_over import is_file_there
from labelkit.order.reader import Table, read_toml

FILE_NAME = PRINTERS


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
    """The printers with one added, or measured anew, sorted by name."""
    others = [printer for printer in printers if printer.name != measured.name]
    return tuple(sorted([*others, measured], key=lambda printer: printer.name))


def format_printers(printers: Iterable[PrinterProfile]) -> str:
    """The text of a file of printers, as ``read_printers`` reads it."""
    parts = [
        "# What the printers of the workshop were measured to do; `labelkit calibrate` writes it.",
        "# A point of the page prints at scale * place + offset, from the lower left corner.",
        "labelkit = 1",
    ]
    for printer in printers:
        parts += [
            "",
            "[[printers]]",
            f'name = "{printer.name}"',
            f"offset_x_mm = {_format_number(printer.offset_x_mm)}",
            f"offset_y_mm = {_format_number(printer.offset_y_mm)}",
            f"scale_x = {_format_number(printer.scale_x)}",
            f"scale_y = {_format_number(printer.scale_y)}",
        ]
        if printer.unprintable_mm is not None:
            parts.append(f"unprintable_mm = {_format_number(printer.unprintable_mm)}")
        if printer.page:
            parts.append(f'page = "{printer.page}"')
    return "\n".join(parts) + "\n"


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
    printer = PrinterProfile(
        name=table.text("name"),
        offset_x_mm=float(table.number("offset_x_mm", 0)),
        offset_y_mm=float(table.number("offset_y_mm", 0)),
        scale_x=float(table.number("scale_x", 1)),
        scale_y=float(table.number("scale_y", 1)),
        unprintable_mm=None if edge is None else float(edge),
        page=table.choice("page", ""),
    )
    table.done()
    return printer


def _format_number(value: float) -> str:
    """A TOML number with the digits that matter: a scale of 1.00125 keeps all of them."""
    text = f"{value:.6f}".rstrip("0")
    return f"{text}0" if text.endswith(".") else text
