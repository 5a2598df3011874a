"""What labelkit wrote in a workshop: a line for everything it made, in a file that only grows.

The journal stands beside maker.toml, in a folder of its own together with the files that the last
command replaced. A line says which command it was, from which files (by their SHA-256) and for
which order, what it wrote and what stood there before. It ends with a checksum over itself and the
line before it, so that no line can be changed or left out unseen.

From it is known what labelkit may write over: a file that the same command made, as it made it.
Anything else is the maker's, or somebody changed it since, and stays.

A line reaches the disk before the files it tells of get their names, all under one lock. Whoever
is killed in between leaves a line for files that are still the old ones, which does no harm.
"""

from __future__ import annotations

import datetime as dt
import errno
import hashlib
import json
import os
from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import field
from pathlib import Path
from typing import IO, Any

from labelkit.common.errors import InputError, describe_os_error, format_path
from labelkit.common.files import (
    StagedFiles,
    keep_file,
    make_write_error,
    sync_folder,
)
from labelkit.common.frozen import dataclass
from labelkit.common.locks import hold_off_signals, lock_by_file
from labelkit.common.messages import NOTHING, FactList, Said

FOLDER_NAME = "labelkit-journal"
FILE_NAME = "journal.jsonl"
FORMAT = 1
MAKER_NAME = "maker.toml"
UNDO = "undo"
_LOCK_NAME, _REPLACED_NAME = "lock", "replaced"
_CHAIN = b', "chain": "'
_NO_WRITING = (errno.EACCES, errno.EPERM, errno.EROFS)
"""A workshop that may only be read keeps nothing from being made elsewhere."""


@dataclass(frozen=True, slots=True)
class FileRead:
    """A file as it was read."""

    path: Path
    sha256: str


@dataclass(frozen=True, slots=True)
class Work:
    """What a command is about to write, as the journal is to tell of it."""

    command: str
    """As it is typed: "sheet", "stock show"."""
    workshop: Path | None
    """The folder of maker.toml; None where there is none, and so no journal."""
    inputs: tuple[FileRead, ...] = ()
    order_code: str = ""
    details: Mapping[str, object] = field(default_factory=dict)
    """What else is to be known of it: positions on a sheet, a lot. Plain JSON."""


@dataclass(frozen=True, slots=True)
class FileWritten:
    """What became of one file."""

    path: str
    """From the workshop, with forward slashes."""
    sha256: str
    """As it was written; empty: it was removed."""
    was: str
    """What stood there before; empty: nothing."""


@dataclass(frozen=True, slots=True)
class JournalEntry:
    """A line of the journal."""

    number: int
    at: str
    """When, by the clock of the computer (ISO 8601)."""
    command: str
    order_code: str = ""
    inputs: Mapping[str, str] = field(default_factory=dict)
    """SHA-256 of every file that was read, by its path from the workshop."""
    files: tuple[FileWritten, ...] = ()
    details: Mapping[str, object] = field(default_factory=dict)
    takes_back: int = 0
    """The number of an entry whose files are as they were before it again; 0: of none."""


class Journal:
    """The journal of one workshop."""

    def __init__(self, workshop: Path) -> None:
        self.workshop = workshop
        self.folder = workshop / FOLDER_NAME
        self.path = self.folder / FILE_NAME
        self.replaced = self.folder / _REPLACED_NAME

    @contextmanager
    def lock(self, command: str) -> Iterator[None]:
        """Makes other runs and threads wait that write for this workshop; may be nested.

        LockedError names who holds it. OSError where the workshop may not be written to.
        """
        with lock_by_file(self.folder / _LOCK_NAME, f"labelkit {command}"):
            yield

    def read_entries(self) -> tuple[JournalEntry, ...]:
        """Every line; InputError where one does not follow from the one before it."""
        return tuple(self._parse(line) for line in self._read_lines())

    def list_makers(self, sha256: str) -> set[str]:
        """The commands that wrote a file with this digest."""
        sign = f'"{sha256}"'.encode()
        entries = (self._parse(line) for line in self._read_lines() if sign in line)
        return {
            entry.command for entry in entries if any(file.sha256 == sha256 for file in entry.files)
        }

    def name_file(self, path: Path) -> str:
        """A file's path from the workshop, by which the journal knows it."""
        real = os.path.realpath(path)
        try:
            return Path(os.path.relpath(real, os.path.realpath(self.workshop))).as_posix()
        except ValueError:  # on another drive
            return Path(real).as_posix()

    def locate(self, file: FileWritten) -> Path:
        return Path(os.path.normpath(self.workshop / file.path))

    def append(self, entry: JournalEntry) -> None:
        """Adds a line, numbered and dated here, that is on the disk when this is done."""
        lines = self._read_lines()
        chain, number = _read_chain(lines[-1]) if lines else ("", 0)
        body = _format_entry(entry, number + 1)
        line = body[:-1] + _CHAIN + _compute_chain(chain, body).encode() + b'"}\n'
        new = not self.path.exists()
        handle = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o666)
        try:
            end = sum(len(one) + 1 for one in lines)  # what a killed run did not finish goes
            _write_whole(handle, line, end)
        finally:
            os.close(handle)
        if new:
            sync_folder(self.folder)
            sync_folder(self.workshop)

    def keep_replaced(self, paths: Mapping[Path, str]) -> None:
        """Keeps files that are about to be replaced, by their digests."""
        if paths:
            self.replaced.mkdir(exist_ok=True)
        for path, sha256 in paths.items():
            (self.replaced / sha256).unlink(missing_ok=True)  # it may be of a run that was killed
            keep_file(path, self.replaced / sha256)
        if paths:
            sync_folder(self.replaced)

    def drop_replaced(self, kept: Iterable[str]) -> None:
        """Drops what commands before the last one replaced."""
        wanted = {*kept}
        with suppress(OSError):
            for old in self.replaced.iterdir():
                if old.name not in wanted:
                    old.unlink()

    def read_replaced(self, sha256: str) -> bytes | None:
        """A file that was replaced; None where it is not kept, or was changed."""
        try:
            data = (self.replaced / sha256).read_bytes()
        except OSError:
            return None
        return data if hashlib.sha256(data).hexdigest() == sha256 else None

    def _read_lines(self) -> list[bytes]:
        """The lines of the file as they stand there, each held against the one before it."""
        try:
            data = self.path.read_bytes()
        except FileNotFoundError:
            return []
        except OSError as error:
            reason = Said("cannot be read: {reason}", reason=describe_os_error(error))
            raise InputError(format_path(self.path), "", None, reason) from error
        lines = data.split(b"\n")[:-1]
        chain = ""
        for number, line in enumerate(lines, start=1):
            body, sign, rest = line.rpartition(_CHAIN)
            chain = _compute_chain(chain, body + b"}")
            if not sign or rest != f'{chain}"}}'.encode():
                raise self._make_damage_error(number)
        return lines

    def _parse(self, line: bytes) -> JournalEntry:
        try:
            values: dict[str, Any] = json.loads(line)
            if values["labelkit"] > FORMAT:
                expected = Said(
                    "has format {found}; this version reads format {known}; update labelkit",
                    found=values["labelkit"],
                    known=FORMAT,
                )
                raise InputError(format_path(self.path), "", None, expected)
            return JournalEntry(
                values["number"],
                values["at"],
                values["command"],
                values["order"],
                values["read"],
                tuple(
                    FileWritten(one["file"], one["sha256"], one["was"]) for one in values["made"]
                ),
                values["details"],
                values["takes_back"],
            )
        except (ValueError, KeyError, TypeError) as error:
            raise self._make_damage_error(0) from error

    def _make_damage_error(self, line: int) -> InputError:
        expected = Said(
            "is not as it was written: the journal was changed or damaged; move the folder {folder}"
            " away, and labelkit begins a new one",
            folder=FOLDER_NAME,
        )
        return InputError(format_path(self.path), "", None, expected, line=line)


class JournalledFiles(StagedFiles):
    """Files being written that the journal of their workshop is to tell of."""

    def __init__(self, work: Work) -> None:
        super().__init__()
        self.work = work
        self.journal = Journal(work.workshop) if work.workshop is not None else None
        self.replaced: tuple[Path, ...] = ()
        """Files that were otherwise before, once these are committed."""
        self.untold = NOTHING
        """Why the journal could not tell of it."""
        self.takes_back = 0
        self._kept: frozenset[str] | None = None
        self._read_before: set[Path] = set()

    def update(self, path: Path) -> IO[bytes]:
        """The same as ``open`` for a file that was read under the same lock and is kept on: what
        stands there is known, whoever wrote it."""
        stream = self.open(path)
        self._read_before.add(next(reversed(self._temporaries)))
        return stream

    def remove(self, path: Path) -> None:
        """Lets a file go that was read under the same lock."""
        super().remove(path)
        self._read_before.add(path)

    def remove_own(self, path: Path) -> bool:
        """Lets a file go that the same command made, as it made it; whether it is one."""
        if not path.is_file() or not self._is_own(compute_digest(path)):
            return False
        super().remove(path)
        return True

    def commit(self) -> None:
        """Gives every file its name, or none. InputError for what must not be written over."""
        with lock_journal(self.journal, self.work.command) as reason:
            self.untold = reason
            super().commit()

    def _is_own(self, sha256: str) -> bool:
        return self.journal is not None and self.work.command in self.journal.list_makers(sha256)

    def _announce(self) -> None:
        files = [*self._list_changes()]
        self._check_own(files)
        replaced = {path: was for path, now, was in files if was not in ("", now)}
        self.replaced = tuple(replaced)
        if self.journal is None or self.untold:
            return
        if any(now != was for _, now, was in files):
            self._kept = frozenset(replaced.values())
        self.journal.keep_replaced(replaced)
        self.journal.append(self._make_entry(files))

    def _list_changes(self) -> Iterator[tuple[Path, str, str]]:
        """Every file with its digest to be and as it stands there; empty where there is none."""
        for path, temporary in self._temporaries.items():
            yield path, compute_digest(temporary), _compute_digest_if_there(path)
        for path in self._removed:
            yield path, "", _compute_digest_if_there(path)

    def _check_own(self, files: Iterable[tuple[Path, str, str]]) -> None:
        mistakes = [
            InputError(format_path(path), "", None, self._describe_stranger())
            for path, now, was in files
            if was not in ("", now) and path not in self._read_before and not self._is_own(was)
        ]
        if mistakes:
            mistakes[0].others = tuple(mistakes[1:])
            raise mistakes[0]

    def _describe_stranger(self) -> Said:
        if self.journal is None:
            return Said(
                "is there already, and no journal beside a {maker} says who wrote it; move it away,"
                " or choose another name",
                maker=MAKER_NAME,
            )
        return Said(
            "is there already, and the journal in {folder} does not say that labelkit {command}"
            " wrote it as it stands: it is another file, or was changed since; move it away, or"
            " choose another name",
            folder=format_path(self.journal.folder),
            command=self.work.command,
        )

    def _make_entry(self, files: Iterable[tuple[Path, str, str]]) -> JournalEntry:
        assert self.journal is not None
        name, work = self.journal.name_file, self.work
        return JournalEntry(
            0,
            "",
            work.command,
            work.order_code,
            {name(one.path): one.sha256 for one in work.inputs},
            tuple(FileWritten(name(path), now, was) for path, now, was in files),
            work.details,
            self.takes_back,
        )

    def _change_names(self) -> None:
        try:
            super()._change_names()
        except OSError:
            if self.journal is not None and not self.untold:
                last = self.journal.read_entries()[-1].number
                with suppress(OSError):  # the files are as they were, which is what counts
                    self.journal.append(JournalEntry(0, "", self.work.command, takes_back=last))
            raise
        if self.journal is not None and self._kept is not None:
            self.journal.drop_replaced(self._kept)


@contextmanager
def journal_files(work: Work) -> Iterator[JournalledFiles]:
    """Files of which nothing is left when the block ends, unless they were committed in it.

    InputError for a file or folder that cannot be written or must not be written over.
    """
    staged = JournalledFiles(work)
    try:
        yield staged
    finally:
        staged.discard()


def write_outputs(files: Mapping[Path, bytes], work: Work) -> tuple[Said, ...]:
    """Writes what a command made: all files or none, and the journal's line about them.

    Folders are made where they are missing. Returns what the maker is to be told of it. InputError
    for a file that is there and was not made so by the same command.
    """
    with journal_files(work) as staged:
        for path, data in files.items():
            staged.folder(path.parent)
            try:
                staged.open(path).write(data)
            except OSError as error:
                raise make_write_error(path, error) from error
        staged.commit()
    return describe_writing(staged)


def describe_writing(staged: JournalledFiles) -> tuple[Said, ...]:
    """What a maker is told of files that were written: which replaced others, and how to get those
    back."""
    told: list[Said] = []
    journal = staged.journal
    if staged.replaced and journal is not None and not staged.untold:
        told.append(
            Said(
                "replaced {files}; to have it back: labelkit undo --maker {maker}",
                files=FactList(format_path(path.name) for path in staged.replaced),
                maker=journal.workshop / MAKER_NAME,
            )
        )
    if staged.untold:
        told.append(staged.untold)
    return tuple(told)


@contextmanager
def lock_journal(journal: Journal | None, command: str) -> Iterator[Said]:
    """The lock of a workshop's journal; says why it keeps nothing, where it may not be written."""
    if journal is None:
        yield NOTHING
        return
    with ExitStack() as stack:
        reason = NOTHING
        try:
            stack.enter_context(journal.lock(command))
        except OSError as error:
            if error.errno not in _NO_WRITING:
                raise make_write_error(journal.folder, error) from error
            reason = Said(
                "{folder}: cannot be written: {reason}; it is not remembered what was made, and"
                " labelkit will not write over it",
                folder=format_path(journal.folder),
                reason=describe_os_error(error),
            )
        yield reason


def find_workshop(folder: Path) -> Path | None:
    """The folder of the maker.toml that is nearest above a folder, or in it."""
    here = Path(os.path.abspath(folder))  # noqa: PTH100
    return next((one for one in (here, *here.parents) if (one / MAKER_NAME).is_file()), None)


def note_work(work: Work) -> None:
    """Adds a line about something that is done already and wrote no file of its own."""
    if work.workshop is None:
        return
    journal = Journal(work.workshop)
    with lock_journal(journal, work.command) as reason, hold_off_signals():
        if reason:
            return
        name = journal.name_file
        inputs = {name(one.path): one.sha256 for one in work.inputs}
        entry = JournalEntry(0, "", work.command, work.order_code, inputs, (), work.details)
        try:
            journal.append(entry)
        except OSError as error:
            raise make_write_error(journal.path, error) from error


def note_changes(work: Work, before: Mapping[Path, bytes | None]) -> None:
    """Adds a line about files that were changed step by step, so that all of it can be taken back:
    ``before`` is what stood in each at the beginning (None: it was not there)."""
    if work.workshop is None:
        return
    journal = Journal(work.workshop)
    with lock_journal(journal, work.command) as reason, hold_off_signals():
        former = {hashlib.sha256(data).hexdigest(): data for data in before.values() if data}
        was = {path: hashlib.sha256(data).hexdigest() if data else ""
               for path, data in before.items()}  # fmt: skip
        now = {path: _compute_digest_if_there(path) for path in before}
        name = journal.name_file
        files = tuple(
            FileWritten(name(path), now[path], was[path])
            for path in before
            if now[path] != was[path]
        )
        if reason or not files:
            return
        try:
            journal.replaced.mkdir(exist_ok=True)
            for digest, data in former.items():
                (journal.replaced / digest).write_bytes(data)
            sync_folder(journal.replaced)
            journal.append(JournalEntry(0, "", work.command, files=files))
        except OSError as error:
            raise make_write_error(journal.path, error) from error
        journal.drop_replaced(former)


# -- taking back -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class TakenBack:
    """What came of taking a command back."""

    entry: JournalEntry
    restored: tuple[Path, ...]
    removed: tuple[Path, ...]


def take_back(workshop: Path) -> TakenBack:
    """Puts the files of the last command back to what they were before it; again: the other way.

    InputError where there is nothing to take back, where a file was changed since, and where what
    stood there is no longer kept.
    """
    journal = Journal(workshop)
    if not journal.path.exists():
        expected = Said(
            "no such file; labelkit keeps it from the first command on that writes here"
        )
        raise InputError(format_path(journal.path), "", None, expected)
    work = Work(UNDO, workshop)
    with lock_journal(journal, UNDO) as reason, journal_files(work) as staged:
        if reason:
            raise InputError(format_path(journal.folder), "", None, reason)
        entry = find_last_writing(journal)
        staged.takes_back = entry.number
        restored, removed = _stage_former_files(journal, entry, staged)
        staged.commit()
    return TakenBack(entry, restored, removed)


def find_last_writing(journal: Journal) -> JournalEntry:
    """The last entry that changed a file; InputError where there is none, and where something else
    was noted since that is no file to be put back."""
    entries = journal.read_entries()
    failed = {entry.takes_back for entry in entries if not entry.files}
    for entry in reversed(entries):
        if entry.number in failed or (entry.takes_back and not entry.files):
            continue
        if not entry.files:
            expected = Said(
                "the last command, labelkit {command} of {at}, replaced no file; what is recorded"
                " stays, and labelkit trace LOT --withdraw marks it as wrong",
                command=entry.command,
                at=entry.at,
            )
            raise InputError(format_path(journal.path), "", None, expected)
        if _has_changed_files(journal, entry):
            return entry
    nothing = Said("tells of no file that was replaced")
    raise InputError(format_path(journal.path), "", None, nothing)


def _has_changed_files(journal: Journal, entry: JournalEntry) -> bool:
    """Whether a command changed a file; one that was killed right after its line changed none."""
    return any(
        file.sha256 != file.was and _compute_digest_if_there(journal.locate(file)) != file.was
        for file in entry.files
    )


def _stage_former_files(
    journal: Journal, entry: JournalEntry, staged: JournalledFiles
) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
    restored: list[Path] = []
    removed: list[Path] = []
    mistakes: list[InputError] = []
    for file in entry.files:
        path = journal.locate(file)
        now = _compute_digest_if_there(path)
        if now == file.was:  # of a run that was stopped before it came so far
            continue
        former = journal.read_replaced(file.was) if file.was else b""
        if now != file.sha256:
            changed = Said(
                "was changed since labelkit {command} wrote it; it is left as it is",
                command=entry.command,
            )
            mistakes.append(InputError(format_path(path), "", None, changed))
        elif former is None:
            gone = Said("what stood here before is no longer kept")
            mistakes.append(InputError(format_path(path), "", None, gone))
        elif not file.was:
            staged.remove(path)
            removed.append(path)
        else:
            staged.folder(path.parent)
            staged.update(path).write(former)
            restored.append(path)
    if mistakes:
        mistakes[0].others = tuple(mistakes[1:])
        raise mistakes[0]
    return tuple(restored), tuple(removed)


# -- lines -----------------------------------------------------------------------------------------


def compute_digest(path: Path) -> str:
    """The SHA-256 of a file, in hexadecimal figures."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _compute_digest_if_there(path: Path) -> str:
    return compute_digest(path) if path.is_file() else ""


def _format_entry(entry: JournalEntry, number: int) -> bytes:
    values = {
        "labelkit": FORMAT,
        "number": number,
        "at": entry.at or dt.datetime.now().astimezone().isoformat(timespec="seconds"),
        "command": entry.command,
        "order": entry.order_code,
        "read": entry.inputs,
        "made": [{"file": f.path, "sha256": f.sha256, "was": f.was} for f in entry.files],
        "details": entry.details,
        "takes_back": entry.takes_back,
    }
    return json.dumps(values).encode("ascii")  # escapes what is no UTF-8 in a file's name


def _compute_chain(before: str, body: bytes) -> str:
    return hashlib.sha256(before.encode() + body).hexdigest()


def _read_chain(line: bytes) -> tuple[str, int]:
    """The checksum and the number of a line."""
    values = json.loads(line)
    return str(values["chain"]), int(values["number"])


def _write_whole(handle: int, line: bytes, end: int) -> None:
    """Writes a line at the end of a file, or nothing."""
    os.ftruncate(handle, end)
    os.lseek(handle, end, os.SEEK_SET)
    try:
        rest = line
        while rest:
            rest = rest[os.write(handle, rest) :]
        os.fsync(handle)
    except OSError:
        os.ftruncate(handle, end)
        raise
