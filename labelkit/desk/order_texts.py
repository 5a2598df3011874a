"""The files of one open order: edits laid over them, written back one value at a time, undone."""

from __future__ import annotations

import dataclasses
import datetime as dt
import re
import threading
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from decimal import Decimal
from pathlib import Path
from typing import Any

from labelkit.common.errors import InputError
from labelkit.common.files import write_files
from labelkit.common.first_bytes import read_at_most
from labelkit.common.frozen import dataclass
from labelkit.common.journal import Work, find_workshop, note_changes
from labelkit.common.locks import lock_folders
from labelkit.common.messages import Said
from labelkit.order.fields import Field, load_file_tables
from labelkit.order.write_back import (
    Keys,
    WriteBackError,
    add_entry,
    find_value,
    read_values,
    remove_entry,
    set_value,
)

FILES = {"label": "label.toml", "recipe": "recipe.toml", "maker": "maker.toml",
         "prices": "prices.toml"}  # fmt: skip
"""How the page calls a file of an order, and which of the table of all keys it is."""
MAX_BYTES = 1_000_000
SAME_STEP_S = 10.0
"""Edits of one value that follow each other so closely are undone as one."""
_WHOLE = re.compile(r"[+-]?(?:0|[1-9][0-9]{0,17})")
_NUMBER = re.compile(r"[+-]?(?:0|[1-9][0-9]{0,17})(?:\.[0-9]{1,12})?")


About = tuple[str, Keys, str]
"""What a step was about: file, keys, and what was done there."""


@dataclass(frozen=True, slots=True)
class Edit:
    """One value that is to be otherwise. ``do`` is "set", "add" (an entry) or "remove" (one)."""

    file: str
    keys: Keys
    value: Any
    was: Any = None
    do: str = "set"
    check: bool = True
    """Whether the file must still say what the page last knew; not where she chose hers."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """A value that someone else changed meanwhile."""

    edit: Edit
    theirs: Any


@dataclass(frozen=True, slots=True)
class Laid:
    """The texts of an order with edits laid over them."""

    texts: Mapping[str, bytes]
    """By what the page calls the file."""
    conflicts: tuple[Conflict, ...] = ()
    refused: tuple[tuple[Edit, str], ...] = ()
    """Edits that cannot be written, and why."""


@dataclass(frozen=True, slots=True)
class _Step:
    """What a step changed: each file before (None: it was not there) and after."""

    files: Mapping[Path, tuple[bytes | None, bytes]]
    about: tuple[About, ...]
    at: float


@dataclasses.dataclass
class OrderTexts:
    """Reads and writes the files of an order; one at a time, whoever asks."""

    label: Path
    lock: threading.RLock = field(default_factory=threading.RLock)
    _steps: list[_Step] = field(default_factory=list)
    _undone: list[_Step] = field(default_factory=list)
    """Steps that were taken back, the last of them last."""
    _opened: dict[Path, bytes | None] = field(default_factory=dict)
    """What stood in each file when it was first changed here."""

    # -- reading

    def paths(self, label_text: bytes | None = None) -> dict[str, Path]:
        """Where each file of the order lies."""
        found = {"label": self.label}
        values = _read_or_nothing(label_text if label_text is not None else self._read(self.label))
        folder = self.label.parent
        for name in ("recipe", "maker"):
            named = find_value(values, ("product", name))
            found[name] = folder / (named if isinstance(named, str) and named else f"{name}.toml")
        for home, text in ((self.label, values), (found["maker"], None)):
            said = _read_or_nothing(self._read(home)) if text is None else text
            named = find_value(said, ("plan", "price_list"))
            if isinstance(named, str) and named:
                found["prices"] = home.parent / named
                break
        return found

    def read(self) -> dict[str, bytes]:
        """What stands in each file that there is."""
        texts = {name: self._read(path) for name, path in self.paths().items()}
        return {name: text for name, text in texts.items() if text is not None}

    def _read(self, path: Path) -> bytes | None:
        try:
            return read_at_most(path, MAX_BYTES)
        except OSError:
            return None

    def version(self) -> str:
        """Changes whenever somebody writes one of the files."""
        marks = []
        for name, path in self.paths().items():
            try:
                state = path.stat()
                marks.append(f"{name}:{state.st_mtime_ns}:{state.st_size}")
            except OSError:
                marks.append(f"{name}:-")
        return ";".join(marks)

    # -- edits

    def lay_over(self, edits: Iterable[Edit]) -> Laid:
        """The texts as they would be with these edits; those that cannot be made are told."""
        texts = self.read()
        conflicts, refused = list[Conflict](), list[tuple[Edit, str]]()
        for edit in edits:
            text = texts.get(edit.file)
            if text is None:
                text = b"labelkit = 1\n"
            try:
                theirs = show_value(find_value(read_values(text), edit.keys))
                mine = show_value(_make_value(edit))
                if edit.do == "set" and edit.check and theirs not in (edit.was, mine):
                    conflicts.append(Conflict(edit, theirs))
                else:
                    texts[edit.file] = _apply(text, edit)
            except WriteBackError as error:
                refused.append((edit, error.args[0]))
        return Laid(texts, tuple(conflicts), tuple(refused))

    def save(self, texts: Mapping[str, bytes], about: Sequence[About] = ()) -> tuple[str, ...]:
        """Writes the texts that are otherwise than the files; which ones. All or none.

        Raises InputError for what cannot be written.
        """
        paths = self.paths(texts.get("label"))
        wanted = {paths[name]: text for name, text in texts.items() if name in paths}
        return tuple(name for name, path in paths.items() if path in self.save_files(wanted, about))

    def save_files(self, files: Mapping[Path, bytes], about: Sequence[About] = ()) -> set[Path]:
        """Writes whole files as one step that can be undone."""
        before = {path: self._read(path) for path in files}
        changed = {path: data for path, data in files.items() if before[path] != data}
        if not changed:
            return set()
        with lock_folders(path.parent for path in changed):
            write_files(changed)
        for path in changed:
            self._opened.setdefault(path, before[path])
        self._note({path: (before[path], data) for path, data in changed.items()}, tuple(about))
        return set(changed)

    def _note(
        self, files: dict[Path, tuple[bytes | None, bytes]], about: tuple[About, ...]
    ) -> None:
        self._undone.clear()
        now, last = time.monotonic(), self._steps[-1] if self._steps else None
        typed = bool(about) and all(do == "set" for _, _, do in about)
        if last and typed and last.about == about and now - last.at < SAME_STEP_S:
            joined = dict(files)
            for path, (old, new) in last.files.items():
                joined[path] = (old, files.get(path, (None, new))[1])
            self._steps[-1] = _Step(joined, about, now)
        else:
            self._steps.append(_Step(files, about, now))

    @property
    def steps(self) -> int:
        """How many steps can be undone."""
        return len(self._steps)

    @property
    def undone(self) -> int:
        """How many steps can be brought back."""
        return len(self._undone)

    def undo(self) -> tuple[About, ...]:
        """Takes the last step back, byte for byte; what it was about. InputError where a file is
        otherwise by now."""
        if not self._steps:
            return ()
        self._put_back({path: old for path, (old, _) in self._steps[-1].files.items()},
                       {path: new for path, (_, new) in self._steps[-1].files.items()})  # fmt: skip
        self._undone.append(self._steps.pop())
        return self._undone[-1].about

    def redo(self) -> tuple[About, ...]:
        """Brings the step that was taken back last here again, byte for byte; likewise."""
        if not self._undone:
            return ()
        files = self._undone[-1].files
        self._put_back({path: new for path, (_, new) in files.items()},
                       {path: old for path, (old, _) in files.items()})  # fmt: skip
        for path, (old, _) in files.items():
            self._opened.setdefault(path, old)
        self._steps.append(dataclasses.replace(self._undone.pop(), at=-SAME_STEP_S))
        return self._steps[-1].about

    def undo_all(self) -> None:
        """Puts every file back as it was when the order was opened, byte for byte."""
        last = {path: new for step in self._steps for path, (_, new) in step.files.items()}
        self._put_back(self._opened, last)
        self._undone += reversed(self._steps)
        self._steps.clear()
        self._opened.clear()

    def note_in_journal(self) -> None:
        """Tells the workshop's journal what was changed since the opening, as one command's work:
        ``labelkit undo`` takes it back as a whole. While the page is open its own steps do, as a
        line for each pause in typing would bury what other commands made."""
        with self.lock:
            note_changes(Work("open", find_workshop(self.label.parent)), self._opened)
            self._steps.clear()
            self._undone.clear()
            self._opened.clear()

    def _put_back(
        self, old: Mapping[Path, bytes | None], known: Mapping[Path, bytes | None]
    ) -> None:
        for path in old:
            if self._read(path) != known.get(path):
                raise InputError(path.name, "", None, Said("was changed by another program since"))
        with lock_folders(path.parent for path in old):
            write_files({path: data for path, data in old.items() if data is not None})
            for path, data in old.items():
                if data is None:
                    path.unlink(missing_ok=True)


def _read_or_nothing(text: bytes | None) -> dict[str, Any]:
    try:
        return read_values(text or b"")
    except WriteBackError:
        return {}


def _apply(text: bytes, edit: Edit) -> bytes:
    if edit.do == "add":
        values = edit.value if isinstance(edit.value, dict) else {}
        table = ".".join(str(key) for key in edit.keys)
        typed = {
            key: convert_typed(find_key(edit.file, (*edit.keys, 0, key)), value)
            for key, value in values.items()
        }
        return add_entry(text, table, {k: v for k, v in typed.items() if v is not None})
    if edit.do == "remove":
        *names, index = edit.keys
        return remove_entry(text, ".".join(map(str, names)), int(index))
    return set_value(text, edit.keys, _make_value(edit))


def _make_value(edit: Edit) -> Any:
    return convert_typed(find_key(edit.file, edit.keys), edit.value)


# -- values ----------------------------------------------------------------------------------------


def find_key(file: str, keys: Keys) -> Field | None:
    """The row of the table of all keys that a value belongs to; None: labelkit knows none."""
    tables = load_file_tables()[FILES[file]]
    names = [key for key in keys if isinstance(key, str)]
    for count in range(len(names) - 1, -1, -1):
        table = tables.get(".".join(names[:count]))
        if table and names[count] in table.fields:
            return table.fields[names[count]]
    return None


def convert_typed(known: Field | None, typed: Any) -> Any:
    """What she typed as the file is to hold it; None for nothing. What is no number, day or truth
    stays a text: the reader says what is wrong with it."""
    if typed is None or (isinstance(typed, str) and not typed.strip()) or typed in ([], {}):
        return None
    if isinstance(typed, list):
        inner = known if known and known.kind == "days" else None
        return [one for one in (convert_typed(inner, one) for one in typed) if one is not None]
    if isinstance(typed, dict):
        inner = known if known and known.kind == "days" else None
        kept = {str(key): convert_typed(inner, one) for key, one in typed.items()}
        return {key: one for key, one in kept.items() if one is not None} or None
    kind = known.kind if known else ""
    if isinstance(typed, str):
        return _convert_text(kind, typed.strip() if kind != "words" else typed)
    return Decimal(str(typed)) if isinstance(typed, float) else typed


def _convert_text(kind: str, text: str) -> Any:
    if kind in ("integer", "count-or-share") and _WHOLE.fullmatch(text):
        return int(text)
    if kind == "number" and _NUMBER.fullmatch(text):
        return Decimal(text) if "." in text else int(text)
    if kind == "flag" and text in ("true", "false"):
        return text == "true"
    if kind in ("date", "days"):
        try:
            return dt.date.fromisoformat(text)
        except ValueError:
            return text
    return text


def show_value(value: Any) -> Any:
    """A value of a file as JSON has it: days and decimal numbers as texts."""
    if isinstance(value, Mapping):
        return {key: show_value(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [show_value(one) for one in value]
    if isinstance(value, dt.date | dt.time | Decimal):
        return str(value)
    return value


def parse_keys(key: str) -> Keys:
    """The way to a value of a key as complaints name it: "oil[2].mass" is ("oil", 1, "mass")."""
    return tuple(_split_key(key))


def _split_key(key: str) -> Iterator[str | int]:
    for part in re.findall(r'"[^"]*"|[^.\[\]]+|\[\d+\]', key):
        yield int(part[1:-1]) - 1 if part.startswith("[") else part.strip('"')
