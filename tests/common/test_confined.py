"""Files of strangers are read elsewhere, within limits, and only data comes back."""

from __future__ import annotations

import errno
import io
import os
import pickle
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import IO

import pytest
from command import labelkit
from PIL import Image

from labelkit.common import confined
from labelkit.common.confined import recall_confined, run_confined
from labelkit.common.errors import FaceError, InputError
from labelkit.common.kept import keep_file
from labelkit.common.messages import Said
from labelkit.model.runs import Box
from labelkit.typeset import companions
from labelkit.typeset.faces import FaceRequest, find_styled_file

SAMPLE = Path(__file__).resolve().parents[2] / "samples" / "lighthouse-supper" / "label.toml"


@pytest.fixture(autouse=True)
def end() -> Iterator[None]:
    """Each test begins with no child, and leaves none."""
    confined._end_child()
    yield
    confined._end_child()


@pytest.fixture(params=["forked", "started anew"])
def how(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both ways of beginning a child."""
    if request.param == "started anew":
        monkeypatch.setattr(confined, "_is_fork_safe", lambda: False)
    elif not confined._is_fork_safe():
        pytest.skip("needs processes that fork")
    return str(request.param)


def answer(what: str) -> object:
    """A task that does as it is told."""
    match what:
        case "data":
            return Box(1, 2, 3, 4), Decimal("1.5"), {"a": (b"x", None)}, Path("a/b")
        case "pid":
            return os.getpid()
        case "hang":
            while True:
                pass
        case "fill":
            return [bytes(1 << 20) for _ in range(10_000)]
        case "refuse":
            raise InputError("a.svg", "key", "value", "expected something else")
        case "refuse a face":
            raise FaceError("a.ttf: is no font")
        case "break":
            raise ZeroDivisionError("inner workings")
        case "die":
            os._exit(7)
        case "function":
            return os.system
        case "class":
            return Stranger()
        case "large":
            return bytes(8 << 20), [b"x" * (1 << 20)] * 3
        case "print":
            print("noise")
            os.write(1, b"noise")
            return "done"
        case "write":
            Path("written").write_text("x" * 10, encoding="utf-8")
    return None


@dataclass
class Stranger:
    """A class that is none of labelkit's."""


def test_what_a_task_returns_comes_back(how: str) -> None:  # noqa: ARG001
    wanted = (Box(1, 2, 3, 4), Decimal("1.5"), {"a": (b"x", None)}, Path("a/b"))
    assert run_confined("a", answer, "data") == wanted


@pytest.mark.quick(1)
def test_one_child_reads_all_files(how: str) -> None:  # noqa: ARG001
    first = run_confined("a", answer, "pid")
    assert first == run_confined("b", answer, "pid") != os.getpid()


@pytest.mark.quick(1)
def test_what_a_task_says_of_a_file_is_told_as_it_is(how: str) -> None:  # noqa: ARG001
    with pytest.raises(InputError, match=r"^a\.svg: key: 'value': expected something else$"):
        run_confined("a", answer, "refuse")
    with pytest.raises(FaceError, match=r"^a\.ttf: is no font$"):
        run_confined("a", answer, "refuse a face")


@pytest.mark.parametrize(
    ("what", "says"),
    [
        ("fill", "takes over 300 MiB to read: it is damaged, or far too large; save it anew, and"),
        ("break", "cannot be read: it is damaged; save it anew"),
        ("die", "takes over 300 MiB"),
        ("function", "cannot be read"),
        ("class", "cannot be read"),
    ],
)
def test_whatever_else_happens_is_one_line(what: str, says: str) -> None:
    if what == "fill" and not Path("/proc/self/statm").exists():
        pytest.skip("memory is limited on Linux alone")
    with pytest.raises(InputError) as caught:
        run_confined("a.svg", answer, what)
    assert str(caught.value).startswith(f"a.svg: {says}")
    assert run_confined("b", answer, "data")  # and the next file is read all the same


@pytest.mark.long
def test_a_task_that_never_ends_is_ended() -> None:
    begun = time.process_time()
    with pytest.raises(InputError, match="takes over 5 s to read"):
        run_confined("a", answer, "hang")
    assert time.process_time() - begun < 1  # this process only waits


@pytest.mark.quick(1)
def test_where_time_cannot_be_limited_the_child_is_stopped(
    how: str,  # noqa: ARG001
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(confined, "_limit_time", lambda: None)
    monkeypatch.setattr(confined, "WAIT_S", 0.5)
    with pytest.raises(InputError, match="takes over 5 s to read"):
        run_confined("a", answer, "hang")


def test_a_task_prints_and_writes_nothing(
    how: str,  # noqa: ARG001
    capfd: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run_confined("a", answer, "print") == "done"
    assert capfd.readouterr() == ("", "")
    if Path("/proc/self/statm").exists():
        with pytest.raises(InputError):
            run_confined("a", answer, "write")
        written = tmp_path / "written"
        assert not written.exists() or not written.read_bytes()


@pytest.mark.parametrize(
    "name", ["os.system", "builtins.eval", "labelkit.common.files.write_files", "pathlib.os"]
)
def test_an_answer_is_data_alone(name: str) -> None:
    module, _, function = name.rpartition(".")
    made = f"c{module}\n{function}\n.".encode()
    with pytest.raises(pickle.UnpicklingError):
        confined.load_answer(io.BytesIO(made))


def test_large_answers_come_back_whole_one_after_the_other(how: str) -> None:  # noqa: ARG001
    wanted = (bytes(8 << 20), [b"x" * (1 << 20)] * 3)
    for _ in range(2):
        assert run_confined("a", answer, "large") == wanted
        assert run_confined("a", answer, "data")


@pytest.mark.parametrize(
    ("left_out", "says"), [(1, "takes over 300 MiB"), (-1, "cannot be read: it is damaged")]
)
def test_an_answer_that_is_not_as_long_as_it_said_is_none(
    left_out: int, says: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The child ends in the midst of it, or goes on after it."""
    if not confined._is_fork_safe():
        pytest.skip("needs processes that fork")

    def speak(questions: IO[bytes], answers: IO[bytes]) -> None:
        questions.read(confined._LENGTH)
        data = pickle.dumps("x" * 100, protocol=5)
        answers.write(len(data + bytes(max(0, -left_out))).to_bytes(confined._LENGTH, "big"))
        answers.write(data[: len(data) - max(0, left_out)] + bytes(max(0, -left_out)))
        answers.flush()

    monkeypatch.setattr(confined, "_answer_questions", speak)
    with pytest.raises(InputError, match=says):
        run_confined("a", answer, "data")


# -- answers that are kept -------------------------------------------------------------------------


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache" / "labelkit" / "fonts"


@pytest.fixture
def children(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The files for which a child was asked."""
    asked: list[str] = []
    get = confined._get_child

    def get_child() -> tuple[confined._Child, bool]:
        asked.append("child")
        return get()

    monkeypatch.setattr(confined, "_get_child", get_child)
    return asked


def tell_length(data: bytes, path: Path) -> tuple[Box, int]:
    """A task that finds something out about the bytes of a file."""
    if not data:
        raise InputError(str(path), "", None, Said("is empty"))
    return Box(1, 2, 3, 4), len(data)


def test_a_file_that_was_read_before_begins_no_child(cache: Path, children: list[str]) -> None:
    path = cache / "a.png"
    for _ in range(3):
        assert recall_confined("a", tell_length, b"abc", path) == (Box(1, 2, 3, 4), 3)
    assert len(children) == 1
    assert recall_confined("a", tell_length, b"abcd", path) == (Box(1, 2, 3, 4), 4)
    assert recall_confined("a", tell_length, b"abc", cache / "b.png")
    assert len(children) == 3


def test_a_logo_and_a_font_are_read_once(
    event: Callable[..., Path], cache: Path, children: list[str]
) -> None:
    font = find_styled_file(FaceRequest("marcellus")).path
    label = event(('layout = "lantern"', 'layout = "ledger"\nlogo = "l.png"\nfonts = ["o.ttf"]'))
    (label.parent / "o.ttf").write_bytes(font.read_bytes())
    Image.new("L", (60, 20), 0).save(label.parent / "l.png")
    first = labelkit("preflight", label)
    assert len(children) == 2 and len([*cache.glob("answer-*")]) == 2
    companions._read_own_fonts.cache_clear()
    again = labelkit("preflight", label)
    assert len(children) == 2
    assert again.stdout == first.stdout and again.returncode == first.returncode == 0


def test_what_a_file_is_told_for_is_found_out_each_time(cache: Path, children: list[str]) -> None:
    for _ in range(2):
        with pytest.raises(InputError, match="is empty"):
            recall_confined("a", tell_length, b"", cache)
    assert len(children) == 2


def test_a_kept_answer_that_was_changed_is_found_out_anew(cache: Path, children: list[str]) -> None:
    recall_confined("a", tell_length, b"abc", cache)
    (kept,) = cache.glob("answer-*")
    kept.write_bytes(kept.read_bytes()[:-1])
    assert recall_confined("a", tell_length, b"abc", cache) == (Box(1, 2, 3, 4), 3)
    assert len(children) == 2


@pytest.mark.parametrize("made", [b"cos\nsystem\n.", b"no pickle", b""])
def test_a_kept_answer_is_data_alone(made: bytes, cache: Path, children: list[str]) -> None:
    """Even where the digest in its name is right."""
    recall_confined("a", tell_length, b"abc", cache)
    (kept,) = cache.glob("answer-*")
    kept.unlink()
    stem = kept.name.rpartition("-")[0]
    keep_file(stem, ".data", made)
    assert recall_confined("a", tell_length, b"abc", cache) == (Box(1, 2, 3, 4), 3)
    assert len(children) == 2


def test_only_the_newest_answers_are_kept(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(confined, "MOST_KEPT", 2)
    for number in range(1, 5):
        recall_confined("a", tell_length, bytes(number), cache)
        for age, path in enumerate(sorted(cache.glob("answer-*"), key=lambda p: p.stat().st_mtime)):
            os.utime(path, (number * 10 + age, number * 10 + age))
    assert len([*cache.glob("answer-*")]) == 2


def test_an_answer_that_cannot_be_kept_is_given_all_the_same(
    cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> Path:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(confined, "keep_file", refuse)
    assert recall_confined("a", tell_length, b"abc", cache) == (Box(1, 2, 3, 4), 3)


def test_no_child_is_begun_where_nothing_is_foreign() -> None:
    assert labelkit("preflight", SAMPLE).returncode == 0
    assert confined._child is None


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs processes that fork")
def test_a_process_that_was_forked_begins_its_own() -> None:
    first = run_confined("a", answer, "pid")
    out, into = os.pipe()
    if os.fork() == 0:
        os.write(into, str(run_confined("a", answer, "pid")).encode())
        confined._end_child()
        os._exit(0)
    os.wait()
    assert int(os.read(out, 100)) != first
    assert run_confined("a", answer, "pid") == first
