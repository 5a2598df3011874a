"""Reads files of strangers in a process of its own, whose time, memory and answer are limited.

Fonts, pictures, drawings and PDFs come from anywhere, and their parsers can be led to compute for
hours or to fill a computer's memory. What such a file comes to is therefore found out by a child
process: one for all the files of a command, begun with the first of them. Its answer is data alone
(labelkit's own classes, numbers, text), so that nothing which a parser was led to make is run here.

What a font or a picture of the maker's comes to is kept by its bytes: the next command on the same
files begins no child.

Where the system can, the child is forked from this process, which costs a few milliseconds; where
that is not safe (threads, systems other than Linux) it is started anew.
"""

from __future__ import annotations

import atexit
import contextlib
import functools
import gc
import hashlib
import importlib.util
import io
import os
import pickle
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, is_dataclass
from pathlib import Path
from typing import IO, Any, NoReturn, ParamSpec, TypeVar

from labelkit.common.errors import InputError, LabelkitError
from labelkit.common.kept import find_kept_file, keep_file, list_kept_files, make_stem
from labelkit.common.messages import Said, restore_fact

P = ParamSpec("P")
T = TypeVar("T")

CPU_S = 5
"""Seconds of computing for one file."""
WAIT_S = 120.0 if os.name == "posix" else 20.0
"""Seconds by the clock. Where computing is limited by itself only what never ends by itself meets
this: on a computer that does much else a good file may take long."""
MEMORY_BYTES = 300 << 20
"""What one file may take beyond what the process held before."""
ANSWER_BYTES = 200 << 20
RECIPE = "1"
"""Counts up when answers that are kept must be found out anew."""
MOST_KEPT = 64
"""So many answers are kept, the newest."""
_KEPT = "answer"
_PARSERS = ("PIL", "fontTools", "pathops")
"""What reads the files whose answers are kept."""
_LENGTH = 8
_PLAIN_CLASSES = {
    ("decimal", "Decimal"),
    ("datetime", "date"),
    ("builtins", "complex"),
    ("builtins", "frozenset"),
    ("builtins", "set"),
}


def run_confined(name: str, task: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """What ``task`` returns, computed by the child; ``name`` is what complaints call the file.

    Raises whatever LabelkitError the task raises, and InputError where it takes too much time or
    memory or fails in any other way. ``task`` is a function of one of labelkit's modules.
    """
    child, fresh = _get_child()
    try:
        answer = child.ask(task, args, kwargs)
    except _NoAnswerError as error:
        _end_child()
        if error.why == _TOO_LARGE and not fresh:  # what earlier files left may be to blame
            return run_confined(name, task, *args, **kwargs)
        raise InputError(name, "", None, error.why) from error
    if isinstance(answer, LabelkitError):
        raise answer
    if isinstance(answer, _FailedTask):
        raise InputError(name, "", None, _DAMAGED)
    return answer  # type: ignore[no-any-return]


def recall_confined(name: str, task: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """The same, of files that one command after the other asks for: answers are kept in the cache.

    What was asked is known again by its digest, so ``args`` are bytes and what ``repr`` tells
    apart. Complaints are not kept.
    """
    stem = _make_answer_stem(task, args, kwargs)
    if found := find_kept_file(stem):
        with contextlib.suppress(Exception):  # kept by a labelkit that had other classes of data
            return load_answer(io.BytesIO(found[1]))  # type: ignore[no-any-return]
    answer = run_confined(name, task, *args, **kwargs)
    with contextlib.suppress(OSError):
        keep_file(stem, ".data", pickle.dumps(answer, protocol=5))
        for old in sorted(list_kept_files(_KEPT), key=_get_time)[:-MOST_KEPT]:
            old.unlink(missing_ok=True)
    return answer


def _make_answer_stem(
    task: Callable[..., Any], args: tuple[Any, ...], kwargs: dict[str, Any]
) -> str:
    asked = [
        hashlib.sha256(given).hexdigest() if isinstance(given, bytes) else given
        for given in (*args, *sorted(kwargs.items()))
    ]
    readers = (RECIPE, sys.version_info[:3], *map(_describe_package, _PARSERS))
    return make_stem(_KEPT, readers, task.__module__, task.__qualname__, *asked)


@functools.cache
def _describe_package(name: str) -> tuple[int, int] | None:
    """Tells one version of an installed package from another without loading it."""
    found = importlib.util.find_spec(name)
    if found is None or not found.origin:
        return None
    state = Path(found.origin).stat()
    return state.st_mtime_ns, state.st_size


def _get_time(path: Path) -> int:
    return path.stat().st_mtime_ns


class _NoAnswerError(Exception):
    """The child ended, or had to be ended; ``why``, as a maker is told."""

    def __init__(self, why: Said) -> None:
        super().__init__(why)
        self.why = why


@dataclass(frozen=True)
class _FailedTask:
    """An error that no one foresaw, as broken files bring them about."""

    error: str


@dataclass
class _Child:
    """The process, and the two pipes to it."""

    owner: int
    """The process that began it: one that was forked since has to begin its own."""
    pid: int
    questions: IO[bytes]
    answers: IO[bytes]
    process: subprocess.Popen[bytes] | None = None
    stopped: bool = False
    """Whether it took too long."""

    def ask(self, task: Callable[..., Any], args: tuple[Any, ...], kwargs: dict[str, Any]) -> Any:
        question = pickle.dumps((task.__module__, task.__qualname__, args, kwargs), protocol=5)
        watch = threading.Timer(WAIT_S, self._stop)
        watch.start()
        try:
            answer = self._exchange(question)
        except (OSError, EOFError) as error:
            raise _NoAnswerError(self._explain_end()) from error
        finally:
            watch.cancel()
            watch.join()
        if isinstance(answer, MemoryError):
            raise _NoAnswerError(_TOO_LARGE)
        return answer

    def _exchange(self, question: bytes) -> Any:
        """The answer to a question; OSError or EOFError where none comes."""
        self.questions.write(len(question).to_bytes(_LENGTH, "big") + question)
        self.questions.flush()
        length = int.from_bytes(self.answers.read(_LENGTH), "big")
        if not length:
            raise EOFError
        if length > ANSWER_BYTES:
            raise _NoAnswerError(_TOO_LARGE)
        data = io.BufferedReader(_AnswerBytes(self.answers, length))
        try:
            answer = load_answer(data)
            if data.read(1):
                raise pickle.UnpicklingError  # more than one answer
        except _CutShortError:
            raise
        except Exception as error:
            raise _NoAnswerError(_DAMAGED) from error
        return answer

    def _stop(self) -> None:
        self.stopped = True
        if self.process is not None:
            self.process.kill()
        else:
            os.kill(self.pid, signal.SIGKILL)

    def _explain_end(self) -> Said:
        """Why the child is no more."""
        code = self.end()
        slow = self.stopped or code == -getattr(signal, "SIGXCPU", 0)
        return _TOO_SLOW if slow else _TOO_LARGE

    def end(self) -> int:
        """Ends the child, if it has not ended itself; its exit code, below zero a signal."""
        for pipe in (self.questions, self.answers):
            with contextlib.suppress(OSError):
                pipe.close()
        if self.process is not None:
            with contextlib.suppress(subprocess.TimeoutExpired):
                return self.process.wait(0.2)
            self.process.kill()
            return self.process.wait()
        with contextlib.suppress(ChildProcessError, ProcessLookupError):
            for _ in range(20):
                pid, status = os.waitpid(self.pid, os.WNOHANG)
                if pid:
                    return os.waitstatus_to_exitcode(status)
                time.sleep(0.01)
            os.kill(self.pid, signal.SIGKILL)
            return os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])
        return 0


_TOO_SLOW = Said(
    "takes over {seconds} s to read: it is damaged, or far too intricate; save it anew, and"
    " simpler",
    seconds=CPU_S,
)
_TOO_LARGE = Said(
    "takes over {size} MiB to read: it is damaged, or far too large; save it anew, and simpler",
    size=MEMORY_BYTES >> 20,
)
_DAMAGED = Said("cannot be read: it is damaged; save it anew")
_child: _Child | None = None


def _get_child() -> tuple[_Child, bool]:
    """The child, and whether it was begun just now."""
    global _child
    if _child is not None and _child.owner == os.getpid():
        return _child, False
    _child = _fork_child() if _is_fork_safe() else _start_child()
    return _child, True


def _is_fork_safe() -> bool:
    return sys.platform.startswith("linux") and threading.active_count() == 1


@atexit.register
def _end_child() -> None:
    global _child
    child, _child = _child, None
    if child is not None and child.owner == os.getpid():
        child.end()


class _CutShortError(OSError):
    """The child ended before its answer did."""


class _AnswerBytes(io.RawIOBase):
    """The bytes of one answer, read where they are to be: the pictures of pages are large."""

    def __init__(self, source: IO[bytes], length: int) -> None:
        self._source, self._left = source, length

    def readable(self) -> bool:
        return True

    def readinto(self, place: Any) -> int:
        wanted = memoryview(place)[: self._left]
        count = self._source.readinto(wanted)  # type: ignore[attr-defined]
        if count < len(wanted):
            raise _CutShortError
        self._left -= count
        return int(count)


def load_answer(data: IO[bytes]) -> Any:
    """The data of an answer; pickle.UnpicklingError for anything that is no data."""
    return _AnswerReader(data).load()


class _AnswerReader(pickle.Unpickler):
    """Makes of an answer nothing but data: labelkit's own classes of data and errors, and plain
    values (Python's documentation of pickle, "Restricting Globals")."""

    def find_class(self, module: str, name: str) -> Any:
        if (module, name) in _PLAIN_CLASSES or (module, name) == ("builtins", "MemoryError"):
            return super().find_class(module, name)
        found = super().find_class(module, name) if module.startswith("labelkit.") else None
        if found is restore_fact or (
            isinstance(found, type)
            and (
                is_dataclass(found)
                or issubclass(found, str)
                or issubclass(found, LabelkitError)
                or (issubclass(found, tuple) and hasattr(found, "_fields"))
            )
        ):
            return found
        if module.split(".")[0] == "pathlib" and name in _PATHS:
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name}")


_PATHS = ("PosixPath", "WindowsPath", "PurePosixPath", "PureWindowsPath")


# -- the child -------------------------------------------------------------------------------------


_SHARED = ("PIL.Image", "fontTools.ttLib", "uharfbuzz")
"""What parsers rest on and most commands with them: loaded before the fork, and so only once."""


def _fork_child() -> _Child:
    ask_out, ask_in = os.pipe()
    answer_out, answer_in = os.pipe()
    for name in _SHARED:
        importlib.import_module(name)
    owner = os.getpid()
    pid = os.fork()
    if pid == 0:
        _be_forked_child(ask_out, answer_in)
    os.close(ask_out)
    os.close(answer_in)
    return _Child(owner, pid, os.fdopen(ask_in, "wb"), os.fdopen(answer_out, "rb"))


def _be_forked_child(questions: int, answers: int) -> NoReturn:
    try:
        for stop in (signal.SIGINT, signal.SIGTERM, getattr(signal, "SIGHUP", signal.SIGTERM)):
            signal.signal(stop, signal.SIG_DFL)
        _hold_only(questions, answers)
        gc.freeze()  # looking through what the parent left would copy all of it
        _answer_questions(os.fdopen(questions, "rb"), os.fdopen(answers, "wb"))
    finally:
        os._exit(0)


def _hold_only(*kept: int) -> None:
    """Lets go of every other file: locks and pipes of the command must not outlive it here."""
    nothing = os.open(os.devnull, os.O_RDWR)
    for stream in range(3):
        os.dup2(nothing, stream)
    sys.stdin = open(0, closefd=False)  # noqa: SIM115
    sys.stdout = sys.stderr = open(1, "w", closefd=False)  # noqa: SIM115
    at = 3
    for number in (*sorted(kept), os.sysconf("SC_OPEN_MAX")):
        os.closerange(at, number)
        at = number + 1


def _start_child() -> _Child:
    process = subprocess.Popen(
        [sys.executable, "-c", f"import {__name__} as c; c.answer_standard_input()"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
    )
    assert process.stdin is not None
    assert process.stdout is not None
    return _Child(os.getpid(), process.pid, process.stdin, process.stdout, process)


def answer_standard_input() -> None:
    """What a child that was started anew does."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    _answer_questions(sys.stdin.buffer, answers)


def _answer_questions(questions: IO[bytes], answers: IO[bytes]) -> None:
    """Answers until nobody asks any more."""
    _limit_memory()
    while header := questions.read(_LENGTH):
        module, name, args, kwargs = pickle.loads(questions.read(int.from_bytes(header, "big")))
        _limit_time()
        answer = _answer(getattr(importlib.import_module(module), name), args, kwargs)
        answers.write(sum(map(len, answer)).to_bytes(_LENGTH, "big"))
        answers.writelines(answer)
        answers.flush()


def _answer(task: Callable[..., Any], args: tuple[Any, ...], kwargs: dict[str, Any]) -> list[bytes]:
    made: object
    try:
        made = task(*args, **kwargs)
        return _pickle_answer(made)
    except MemoryError:
        made = MemoryError()
    except LabelkitError as error:
        error.__cause__ = error.__context__ = None
        made = error
    except Exception as error:
        made = _FailedTask(f"{type(error).__name__}: {error}"[:200])
    return _pickle_answer(made)


class _Chunks(list[bytes]):
    """Where an answer is written without being copied into one."""

    write = list.append


def _pickle_answer(made: object) -> list[bytes]:
    chunks = _Chunks()
    pickle.Pickler(chunks, protocol=5).dump(made)
    return chunks


def _limit_memory() -> None:
    with contextlib.suppress(ImportError, OSError, ValueError):
        import resource

        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
        most = pages * resource.getpagesize() + MEMORY_BYTES
        _lower_limit(resource.RLIMIT_AS, most)
        _lower_limit(resource.RLIMIT_FSIZE, 0)
        _lower_limit(resource.RLIMIT_CORE, 0)


def _limit_time() -> None:
    """Gives one question its seconds, whatever the earlier ones took."""
    with contextlib.suppress(ImportError, OSError, ValueError):
        import resource

        used = resource.getrusage(resource.RUSAGE_SELF)
        _, hard = resource.getrlimit(resource.RLIMIT_CPU)
        seconds = int(used.ru_utime + used.ru_stime) + CPU_S + 1
        if hard == resource.RLIM_INFINITY or seconds < hard:
            resource.setrlimit(resource.RLIMIT_CPU, (seconds, hard))


def _lower_limit(which: int, value: int) -> None:
    import resource

    _, hard = resource.getrlimit(which)
    least = value if hard == resource.RLIM_INFINITY else min(value, hard)
    resource.setrlimit(which, (least, hard))
