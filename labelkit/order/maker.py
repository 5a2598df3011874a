"""maker.toml: who makes the favours, and the defaults of the workshop."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import field, replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.common.regions import (
    explain_unknown_region,
    is_country_code,
    list_region_codes,
    list_region_titles,
)
from labelkit.order.evidence import Evidence, read_evidence
from labelkit.order.fields import MAKER
from labelkit.order.mistakes import collecting_mistakes
from labelkit.order.reader import Table, read_toml, read_unfilled_toml
from labelkit.order.remembered import remember_table
from labelkit.order.stock import read_stock_name

TRACE_NAME = "trace.sqlite"


@dataclass(frozen=True, slots=True)
class Maker:
    """The firm behind the label."""

    path: Path
    name: str
    """Business name as it stands in the dealer statement."""
    address: tuple[str, ...]
    """Lines of the principal place of business; the last names municipality and province."""
    contact: tuple[str, ...]
    """Ways to reach a person: e-mail, telephone, website."""
    country: str = ""
    """Where the soap is made: an ISO 3166 code, or "GB-NIR"; empty: not said."""
    street_listed: str = ""
    """The directory that lists the street where the address leaves it out; empty: none."""
    brand: str = ""
    """Trade name for the front, where it differs from the business name."""
    regions: tuple[str, ...] = ()
    """Regions a label is checked for when its own file names none."""
    stock: str = ""
    printer: str = ""
    """Name of the measured printer that sheets are corrected for unless told otherwise."""
    cut_drift_mm: float = 0.5
    """By how much a cut along crop marks may miss them, with a trimmer or a knife on a ruler
    (common practice, no source, where nothing is said)."""
    plan: Mapping[str, Any] = field(default_factory=dict, hash=False)
    """The table [plan] as it stands: the label's own is read over it."""
    evidence: tuple[Evidence, ...] = ()
    """What proves claims that several labels make."""
    works_profile: Path | None = None
    """The ICC profile of the works that labels are sent to; None: it named none."""
    works_condition: str = ""
    """Its printing condition by the name of the registry."""


@collecting_mistakes
def _read_country(business: Table) -> str:
    typed: str = business.text("country", "")
    code = typed.strip().upper()
    if code and not is_country_code(code) and code != "GB-NIR":
        business.wrong("country", typed, Said('expected an ISO 3166 code such as "CA"'))
    return code


@collecting_mistakes
def read_regions(table: Table, default: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Codes of regions that have rules, in capitals and without repeats; InputError for others."""
    typed: tuple[str, ...] = table.texts("regions", default, Said('a list such as ["CA"]'))
    for region in typed:
        if region.strip().upper() not in list_region_codes():
            table.wrong("regions", region, explain_unknown_region(region, list_region_titles()))
    return tuple(dict.fromkeys(region.strip().upper() for region in typed))


@collecting_mistakes
def _read_lines(business: Table, key: str, expected: Said) -> tuple[str, ...]:
    """Lines that a reader can act on: at least one, and something in each."""
    lines: tuple[str, ...] = business.texts(key, expected=expected, least=1)
    for line in lines:
        if not any(letter.isalnum() for letter in line):
            business.wrong(
                key,
                line,
                Said("has neither letter nor figure; expected {expected}", expected=expected),
            )
    return lines


def read_maker(path: Path) -> Maker:
    """The maker's file, or InputError naming the key that is wrong."""
    table = read_toml(path, MAKER)
    business = table.table("maker")
    defaults = table.table("defaults", None)
    press = table.table("press", None)
    maker = replace(
        _read_firm(business, defaults),
        plan=_read_plan_table(table),
        evidence=read_evidence(table),
        works_profile=press.beside("profile", None),
        works_condition=press.text("condition", ""),
    )
    for read in (business, defaults, press, table):
        read.done()
    return maker


@remember_table
def _read_firm(business: Table, defaults: Table) -> Maker:
    """What the file says without looking at another."""
    return Maker(
        path=business.path,
        name=business.text("name", expected=Said("the business name")),
        address=_read_lines(business, "address", Said('a list such as ["12 Quay Rd", "Town NB"]')),
        contact=_read_lines(business, "contact", Said('a list such as ["hello@maker.example"]')),
        country=_read_country(business),
        street_listed=business.text("street_listed", ""),
        brand=business.text("brand", ""),
        regions=read_regions(defaults),
        stock=read_stock_name(defaults),
        printer=defaults.text("printer", ""),
        cut_drift_mm=float(defaults.length_mm("cut_drift", Decimal("0.5"))),
    )


@collecting_mistakes
def _read_plan_table(table: Table) -> Mapping[str, Any]:
    for name in table.names():
        if name.startswith("plan") and name != "plan":
            table.wrong(name, None, Said("unknown table; the plan's own is [plan]"))
    table.table("plan", None)
    plan: Mapping[str, Any] = table.raw("plan", {})
    return plan


def read_country_and_regions(path: Path) -> tuple[str, tuple[str, ...]]:
    """Country and regions of a maker's file, whatever in it is still to be filled in.

    Empty where they are not said yet. InputError for a file that cannot be read, or a wrong one of
    the two.
    """
    table = read_unfilled_toml(path, MAKER)
    return _read_country(table.table("maker")), read_regions(table.table("defaults", None))


def trace_path_of(maker: Path) -> Path:
    """Where what was poured is recorded, beside the maker's file."""
    return maker.parent / TRACE_NAME


def name_label_for_maker(label: Path, maker: Path) -> str:
    """A label's file as the maker's records name it: from the maker's folder, forward slashes."""
    return Path(os.path.relpath(label.resolve(), maker.resolve().parent)).as_posix()
