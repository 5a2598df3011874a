"""Files of strangers are read elsewhere, within limits, and only data comes back."""

from __future__ import annotations

import io
import os
import pickle
import time
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import pytest
from command import labelkit

from labelkit.common import confined
from labelkit.common.confined import run_confined
from labelkit.common.errors import FaceError, InputError
from labelkit.model.runs import Box

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


def test_one_child_reads_all_files(how: str) -> None:  # noqa: ARG001
    first = run_confined("a", answer, "pid")
    assert first == run_confined("b", answer, "pid") != os.getpid()


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
