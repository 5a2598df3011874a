"""Under which licences the packages labelkit stands on and the fonts it embeds may be used.

Everything is read from what is installed: the metadata of each package (core metadata, the Python
packaging specification) and the name and OS/2 tables of each font (OpenType specification).
"""

from __future__ import annotations

import re
from functools import lru_cache
from importlib.metadata import Distribution, PackageNotFoundError, distribution

from labelkit.common.errors import InputError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.typeset.fontfiles import (
    check_embedding,
    list_family_files,
    list_installed_families,
    open_font,
    read_font,
)

_LICENCE_NAME_ID, _LICENCE_ADDRESS_ID = 13, 14
_CLASSIFIER = "License :: "
_OPTIONAL = re.compile(r";.*\bextra\s*==")
_ROOT = "labelkit"


@dataclass(frozen=True, slots=True)
class PackageLicence:
    """One installed package; ``licence`` is as its makers state it, "" where they state none."""

    name: str
    version: str
    licence: str
    needed_by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FontLicence:
    """One installed family; every file of it may be embedded, or it would not be here."""

    family: str
    licence: str
    address: str
    files: int


@lru_cache(maxsize=1)
def list_package_licences() -> tuple[PackageLicence, ...]:
    """labelkit and everything it needs at run time, by name; InputError if not installed."""
    found: dict[str, Distribution] = {}
    wanted: dict[str, set[str]] = {_ROOT: set()}
    waiting = [_ROOT]
    while waiting:
        name = waiting.pop()
        try:
            found[name] = distribution(name)
        except PackageNotFoundError:
            continue  # needed on other systems or older Pythons only
        for needed in _list_needed_packages(found[name]):
            if needed not in wanted:
                waiting.append(needed)
            wanted.setdefault(needed, set()).add(name)
    if _ROOT not in found:
        raise InputError(
            _ROOT,
            "",
            "a copy of the source",
            Said("install it (pip install .) to list its packages"),
        )
    return tuple(
        PackageLicence(name, package.version, _find_licence(package), tuple(sorted(wanted[name])))
        for name, package in sorted(found.items())
    )


def _list_needed_packages(package: Distribution) -> list[str]:
    """The names of the packages it needs, without those of its optional parts."""
    return [
        key
        for text in package.requires or ()
        if not _OPTIONAL.search(text) and (key := normalise_package_name(text))
    ]


def normalise_package_name(requirement: str) -> str:
    """The normalised name a requirement starts with (PEP 503): ``"Jinja2>=3"`` is ``"jinja2"``."""
    start = re.match(r"\s*([A-Za-z0-9._-]+)", requirement)
    return re.sub(r"[-_.]+", "-", start[1]).lower() if start else ""


def _find_licence(package: Distribution) -> str:
    """The SPDX expression, else the licence classifiers, else the first line of the old field."""
    metadata = package.metadata
    if "License-Expression" in metadata:
        return metadata["License-Expression"]
    classified = [
        str(line).rpartition(" :: ")[2]
        for line in metadata.get_all("Classifier") or ()
        if str(line).startswith(_CLASSIFIER)
    ]
    stated = "".join(str(text) for text in metadata.get_all("License") or ())
    return " or ".join(classified) or stated.strip().partition("\n")[0]


def list_font_licences() -> tuple[FontLicence, ...]:
    """Every installed family, by name; FaceError if a file of one may not be embedded."""
    return tuple(_read_font_licence(family) for family in list_installed_families())


def _read_font_licence(family: str) -> FontLicence:
    files = list_family_files(family)
    stated: set[tuple[str, str]] = set()
    for file in files:
        font = open_font(read_font(file.path), file.path, ("name", "OS/2"))
        check_embedding(font, file.path)
        names = font["name"]
        licence = _join_lines(names.getDebugName(_LICENCE_NAME_ID))
        stated.add((licence, _join_lines(names.getDebugName(_LICENCE_ADDRESS_ID))))
    licences = " / ".join(sorted({licence for licence, _ in stated if licence}))
    addresses = " ".join(sorted({address for _, address in stated if address}))
    return FontLicence(family, licences, addresses, len(files))


def _join_lines(text: str | None) -> str:
    return " ".join((text or "").split())
