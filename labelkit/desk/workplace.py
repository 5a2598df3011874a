"""The folder that the desk was opened for: its events, a new one, what the page keeps.

What reads orders is loaded when it is first needed: the browser starts meanwhile.
"""

from __future__ import annotations

import json
import re
import threading
import unicodedata
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from labelkit.common.errors import InputError, LabelkitError
from labelkit.common.files import make_folder, write_files
from labelkit.common.kept import find_cache_folder
from labelkit.common.messages import Said
from labelkit.desk.words import LANGUAGES
from labelkit.order.blanks import BLANK

if TYPE_CHECKING:
    from labelkit.desk.desk import Desk

LABEL, MAKER = "label.toml", "maker.toml"
HERE = "~"
"""How the page calls an event whose files lie in the folder itself."""
MOST_EVENTS = 500
_SETTINGS = "desk.json"
LEAST_PER_MM, MOST_PER_MM = 1.0, 60.0
"""Device pixels of a screen in a millimetre: from a projector to the finest telephone."""


@dataclass
class Workplace:
    """A folder of events, or the one event that was asked for."""

    folder: Path
    only: Path | None = None
    """The one label's file, where a file was named."""
    language: str = LANGUAGES[0]
    _desks: dict[str, Desk] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    @classmethod
    def at(cls, path: Path) -> Workplace:
        """The workplace of a folder, of an event's folder or of a label's file; InputError for what
        is none of them."""
        if path.is_file() and path.suffix == ".toml":
            return cls(path.parent, path)
        if path.is_file():
            raise InputError(
                str(path), "", None, Said("is no label's file; expected a folder of yours")
            )
        if not path.exists():
            raise InputError(str(path), "", None, Said("no such folder"))
        return cls(path)

    # -- events

    def list_events(self) -> list[dict[str, Any]]:
        """The events there are, the latest day first."""
        found = [self._describe_event(name, path) for name, path in self._list_labels()]
        return sorted(found, key=lambda event: (event["date"], event["id"]), reverse=True)

    def _list_labels(self) -> Iterator[tuple[str, Path]]:
        if self.only is not None:
            yield HERE, self.only
            return
        if (self.folder / LABEL).is_file():
            yield HERE, self.folder / LABEL
        below = sorted(self.folder.glob(f"*/{LABEL}"))
        yield from ((path.parent.name, path) for path in below[:MOST_EVENTS])

    def _describe_event(self, name: str, path: Path) -> dict[str, Any]:
        from labelkit.order.write_back import WriteBackError, find_value, read_values

        values: dict[str, Any] = {}
        with suppress(OSError, WriteBackError):
            values = read_values(path.read_bytes())
        names, date = find_value(values, ("event", "names")), find_value(values, ("event", "date"))
        if isinstance(names, dict):
            names = names.get(self.language) or next(iter(names.values()), "")
        title = str(names or "")
        return {
            "id": name,
            "folder": path.parent.name,
            "title": "" if BLANK in title else title,
            "date": "" if BLANK in str(date) else str(date or ""),
        }

    def desk(self, name: str) -> Desk:
        """The desk of an event of this folder; KeyError for any other name."""
        from labelkit.desk.desk import Desk

        with self._lock:
            if name not in self._desks:
                self._desks[name] = Desk(dict(self._list_labels())[name], self.language)
            desk = self._desks[name]
            desk.language = self.language
            return desk

    def start_event(self, title: str, region: str) -> str:
        """Makes the files of a new event in a folder called after it; what the page calls it."""
        from labelkit.job.new_order import Workshop, make_starter_files, name_maker_above
        from labelkit.order.maker import read_country_and_regions

        if self.only is not None:
            raise InputError("", "", None, Said("one order is open; open its folder for more"))
        name = make_folder_name(title)
        if not name:
            raise InputError("", "", None, Said("give the event a name in letters or figures"))
        folder = self.folder / name
        if folder.exists():
            raise InputError("", "", name, Said("there is an event called so; choose another name"))
        maker = self.folder / MAKER
        used = maker if maker.is_file() else None
        workshop = Workshop(f"../{MAKER}", *read_country_and_regions(maker)) if used else None
        made = make_starter_files([region] if region else (), workshop)
        if used is None:  # the first event makes the workshop's file, where all events find it
            made = name_maker_above(made)
        make_folder(folder)
        write_files(
            {(maker if file == MAKER else folder / file): text.encode("utf-8")
             for file, text in made.items()}
        )  # fmt: skip
        return name

    def close(self) -> None:
        """Tells the journal what was changed at every desk; what it cannot be told is let go."""
        for desk in self._desks.values():
            with suppress(LabelkitError):
                desk.texts.note_in_journal()

    # -- what the page keeps

    def read_settings(self) -> dict[str, Any]:
        """The screen's measure and the language of the page, as far as they are known."""
        with suppress(OSError, ValueError):
            found = json.loads((find_cache_folder() / _SETTINGS).read_text("utf-8"))
            if isinstance(found, dict):
                return _check_settings(found)
        return {}

    def keep_settings(self, changed: dict[str, Any]) -> dict[str, Any]:
        """Keeps what is sound of it; what cannot be kept is asked for again some day."""
        settings = {**self.read_settings(), **_check_settings(changed)}
        with suppress(InputError):
            data = json.dumps(settings, sort_keys=True).encode("utf-8")
            write_files({find_cache_folder() / _SETTINGS: data})
        self.language = settings.get("language", self.language)
        return settings


def _check_settings(found: dict[str, Any]) -> dict[str, Any]:
    kept: dict[str, Any] = {}
    per_mm = found.get("pixelsPerMm")
    if isinstance(per_mm, int | float) and LEAST_PER_MM <= per_mm <= MOST_PER_MM:
        kept["pixelsPerMm"] = float(per_mm)
    if found.get("language") in LANGUAGES:
        kept["language"] = found["language"]
    if isinstance(found.get("inches"), bool):
        kept["inches"] = found["inches"]
    return kept


def make_folder_name(title: str) -> str:
    """A folder's name from what she calls the event: plain small letters, figures and strokes."""
    joined = re.sub("['\u2019]", "", title)
    plain = unicodedata.normalize("NFKD", joined).encode("ascii", "ignore").decode("ascii")
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:60]
