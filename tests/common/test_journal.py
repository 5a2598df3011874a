"""The journal of a workshop: what may be written over, what was written, and how it was before."""

from __future__ import annotations

import hashlib
import json
import os
import signal
import threading
from collections.abc import Mapping
from pathlib import Path

import pytest

from labelkit.common import files, journal, locks
from labelkit.common.errors import InputError
from labelkit.common.files import stage_files
from labelkit.common.journal import (
    FileRead,
    Journal,
    Work,
    find_workshop,
    journal_files,
    note_work,
    take_back,
    write_outputs,
)
from labelkit.common.locks import LockedError, hold_off_signals, lock_by_file, lock_folders


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A workshop's folder."""
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "maker.toml").write_text("labelkit = 1\n", encoding="utf-8")
    return folder


def write(shop: Path, contents: Mapping[str, bytes], command: str = "sheet") -> tuple[str, ...]:
    paths = {shop / name: data for name, data in contents.items()}
    return write_outputs(paths, Work(command, shop))


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


# -- what may be written over ----------------------------------------------------------------------


def test_a_command_writes_over_what_it_made_itself(shop: Path) -> None:
    assert write(shop, {"out/front.pdf": b"one"}) == ()
    (told,) = write(shop, {"out/front.pdf": b"two"})
    assert told.startswith("replaced front.pdf; to have it back: labelkit undo --maker ")
    assert (shop / "out" / "front.pdf").read_bytes() == b"two"


@pytest.mark.parametrize("before", [b"another program's", b"one, signed", b""])
def test_a_file_that_it_did_not_make_so_stays(shop: Path, before: bytes) -> None:
    """Another program's, or its own that was signed since; and nothing else is written then."""
    write(shop, {"proof.pdf": b"one"}, "proof")
    (shop / "proof.pdf").write_bytes(before)
    with pytest.raises(InputError, match=r"proof\.pdf: is there already") as caught:
        write(shop, {"proof-maker.pdf": b"new", "proof.pdf": b"new"}, "proof")
    assert "\n" not in str(caught.value)
    assert (shop / "proof.pdf").read_bytes() == before
    assert not (shop / "proof-maker.pdf").exists()


def test_a_file_of_another_command_stays(shop: Path) -> None:
    write(shop, {"a.pdf": b"sheet"}, "sheet")
    with pytest.raises(InputError, match="is there already"):
        write(shop, {"a.pdf": b"proof"}, "proof")


def test_every_file_in_the_way_is_told(shop: Path) -> None:
    for name in ("a", "b"):
        (shop / name).write_bytes(b"theirs")
    with pytest.raises(InputError) as caught:
        write(shop, {"a": b"ours", "b": b"ours"})
    assert len(caught.value.lines) == 2


def test_without_a_workshop_only_the_same_may_be_written_again(tmp_path: Path) -> None:
    path = tmp_path / "stock.pdf"
    assert write_outputs({path: b"one"}, Work("stock show", None)) == ()
    assert write_outputs({path: b"one"}, Work("stock show", None)) == ()
    with pytest.raises(InputError, match=r"no journal beside a maker\.toml"):
        write_outputs({path: b"two"}, Work("stock show", None))


def test_what_is_as_it_would_be_written_is_known_from_then_on(shop: Path) -> None:
    """Sheets made before there was a journal, or with one that is lost."""
    (shop / "front.pdf").write_bytes(b"one")
    assert write(shop, {"front.pdf": b"one"}) == ()
    assert write(shop, {"front.pdf": b"two"}) != ()


def test_a_file_that_was_moved_or_copied_is_known_by_its_bytes(shop: Path) -> None:
    write(shop, {"front.pdf": b"one"})
    shop.rename(shop.with_name("moved"))
    assert write(shop.with_name("moved"), {"front.pdf": b"two"}) != ()


def test_the_workshop_of_a_file_is_the_nearest_above_it(shop: Path) -> None:
    assert find_workshop(shop / "a" / "b") == shop
    assert find_workshop(shop) == shop
    assert find_workshop(shop.parent) is None


# -- the lines -------------------------------------------------------------------------------------


def test_a_line_says_what_was_made_from_what_and_in_place_of_what(shop: Path) -> None:
    read = FileRead(shop / "label.toml", sha256(b"label"))
    work = Work("sheet", shop, (read,), "7K3M-Q9XA", {"start": 3, "skip": [7]})
    write(shop, {"out/front.pdf": b"one"})
    write_outputs({shop / "out" / "front.pdf": b"two"}, work)
    _, entry = Journal(shop).read_entries()
    assert (entry.number, entry.command, entry.order_code) == (2, "sheet", "7K3M-Q9XA")
    assert entry.inputs == {"label.toml": sha256(b"label")}
    assert entry.details == {"start": 3, "skip": [7]}
    (file,) = entry.files
    assert (file.path, file.sha256, file.was) == ("out/front.pdf", sha256(b"two"), sha256(b"one"))


def test_the_checksum_of_a_line_is_over_itself_and_the_one_before(shop: Path) -> None:
    """Worked out here from the lines alone, as the module's head says."""
    for n in range(3):
        note_work(Work("plan --record", shop, details={"n": n}))
    before = ""
    for line in Journal(shop).path.read_bytes().splitlines():
        values = json.loads(line)
        stated = values.pop("chain")
        before = hashlib.sha256(before.encode() + json.dumps(values).encode()).hexdigest()
        assert stated == before


@pytest.mark.parametrize("damage", ["change", "drop", "swap"])
def test_a_line_that_was_changed_is_told_and_nothing_is_written(shop: Path, damage: str) -> None:
    for n in range(3):
        write(shop, {f"{n}.pdf": b"one"})
    path = Journal(shop).path
    lines = path.read_bytes().splitlines(keepends=True)
    if damage == "change":
        lines[1] = lines[1].replace(b'"sheet"', b'"proof"')
    elif damage == "drop":
        del lines[1]
    else:
        lines[0], lines[1] = lines[1], lines[0]
    path.write_bytes(b"".join(lines))
    with pytest.raises(InputError, match=r"journal\.jsonl: line [12]: is not as it was written"):
        write(shop, {"0.pdf": b"two"})
    assert (shop / "0.pdf").read_bytes() == b"one"


def test_a_line_that_a_killed_run_did_not_finish_is_written_over(shop: Path) -> None:
    write(shop, {"a": b"one"})
    path = Journal(shop).path
    whole = path.read_bytes()
    path.write_bytes(whole + whole[:50])
    write(shop, {"a": b"two"})
    assert path.read_bytes().startswith(whole)
    assert [entry.number for entry in Journal(shop).read_entries()] == [1, 2]


def test_a_newer_journal_asks_for_a_newer_labelkit(shop: Path) -> None:
    write(shop, {"a": b"one"})
    path = Journal(shop).path
    values = json.loads(path.read_bytes())
    values["labelkit"] = 2
    del values["chain"]
    body = json.dumps(values).encode()
    chain = hashlib.sha256(body).hexdigest()
    path.write_bytes(body[:-1] + f', "chain": "{chain}"}}\n'.encode())
    with pytest.raises(InputError, match="update labelkit"):
        Journal(shop).read_entries()


@pytest.mark.skipif(os.name != "posix", reason="file names of any bytes")
def test_names_that_are_no_text_can_be_told_of(shop: Path) -> None:
    path = shop / os.fsdecode(b"Zo\xeb\n.pdf")
    write_outputs({path: b"one"}, Work("proof", shop))
    write_outputs({path: b"two"}, Work("proof", shop))
    assert Journal(shop).path.read_bytes().count(b"\n") == 2
    take_back(shop)
    assert path.read_bytes() == b"one"


def test_a_workshop_that_may_only_be_read_is_told_of(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    make = Path.mkdir

    def refuse(path: Path, *args: int, **options: bool) -> None:
        if path.name == journal.FOLDER_NAME:
            raise PermissionError(13, "Permission denied", str(path))
        make(path, *args, **options)

    monkeypatch.setattr(Path, "mkdir", refuse)
    (told,) = write_outputs({tmp_path / "front.pdf": b"one"}, Work("sheet", shop))
    assert "it is not remembered what was made" in told
    assert (tmp_path / "front.pdf").read_bytes() == b"one"
    with pytest.raises(InputError, match="is there already"):
        write_outputs({tmp_path / "front.pdf": b"two"}, Work("sheet", shop))


# -- taking back -----------------------------------------------------------------------------------


def test_the_last_command_is_taken_back_and_that_too(shop: Path) -> None:
    write(shop, {"front.pdf": b"one", "guide.pdf": b"guide"})
    with journal_files(Work("sheet", shop)) as staged:
        staged.open(shop / "front.pdf").write(b"two")
        staged.open(shop / "back.pdf").write(b"two")
        assert staged.remove_own(shop / "guide.pdf")
        staged.commit()

    def contents() -> dict[str, bytes]:
        return {path.name: path.read_bytes() for path in shop.glob("*.pdf")}

    now = {"front.pdf": b"two", "back.pdf": b"two"}
    assert contents() == now
    done = take_back(shop)
    assert contents() == {"front.pdf": b"one", "guide.pdf": b"guide"}
    assert done.entry.number == 2
    assert [path.name for path in done.removed] == ["back.pdf"]
    take_back(shop)
    assert contents() == now
    assert [entry.takes_back for entry in Journal(shop).read_entries()] == [0, 0, 2, 3]


def test_a_file_that_was_changed_since_is_not_taken_back(shop: Path) -> None:
    write(shop, {"a": b"one", "b": b"one"})
    write(shop, {"a": b"two", "b": b"two"})
    (shop / "b").write_bytes(b"hers")
    with pytest.raises(InputError, match="was changed since labelkit sheet wrote it"):
        take_back(shop)
    assert [(shop / name).read_bytes() for name in "ab"] == [b"two", b"hers"]


def test_a_run_that_was_stopped_between_two_names_is_taken_back(shop: Path) -> None:
    """Its line is there, and one of its files still is the old one."""
    write(shop, {"a": b"one", "b": b"one"})
    write(shop, {"a": b"two", "b": b"two"})
    (shop / "b").write_bytes(b"one")
    take_back(shop)
    assert [(shop / name).read_bytes() for name in "ab"] == [b"one", b"one"]


def test_what_could_not_be_renamed_is_nothing_to_take_back(
    shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(shop, {"a": b"one"})
    write(shop, {"a": b"two"})
    replace = Path.replace

    def locked(self: Path, target: Path) -> Path:
        if Path(target).name == "b":
            raise PermissionError(13, "Permission denied", str(self), None, str(target))
        return replace(self, target)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", locked)
        with pytest.raises(InputError, match="cannot be written"):
            write(shop, {"a": b"three", "b": b"three"})
    assert (shop / "a").read_bytes() == b"two"
    assert Journal(shop).read_entries()[-1].takes_back == 3
    assert take_back(shop).entry.number == 2
    assert (shop / "a").read_bytes() == b"one"


def test_what_was_replaced_is_checked_before_it_comes_back(shop: Path) -> None:
    write(shop, {"a": b"one"})
    write(shop, {"a": b"two"})
    (Journal(shop).replaced / sha256(b"one")).write_bytes(b"damaged")
    with pytest.raises(InputError, match="no longer kept"):
        take_back(shop)
    assert (shop / "a").read_bytes() == b"two"


def test_only_what_the_last_command_replaced_is_kept(shop: Path) -> None:
    for n in range(4):
        write(shop, {"a": b"%d" % n})
    assert [path.name for path in Journal(shop).replaced.iterdir()] == [sha256(b"2")]


def test_where_nothing_was_written_nothing_is_taken_back(shop: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        take_back(shop)
    (shop / "a").write_bytes(b"one")
    write(shop, {"a": b"one"})
    with pytest.raises(InputError, match="tells of no file that was replaced"):
        take_back(shop)


def test_a_command_that_changed_nothing_does_not_hide_the_one_before(shop: Path) -> None:
    for data in (b"one", b"two", b"two"):
        write(shop, {"a": data})
    assert take_back(shop).entry.number == 2
    assert (shop / "a").read_bytes() == b"one"


def test_what_is_recorded_is_not_taken_back_nor_what_was_written_before(shop: Path) -> None:
    for data in (b"one", b"two"):
        write(shop, {"a": data})
    note_work(Work("plan --record", shop))
    with pytest.raises(InputError, match=r"labelkit plan --record of .*, replaced no file; what"):
        take_back(shop)
    assert (shop / "a").read_bytes() == b"two"


# -- order of what reaches the disk, and locks -----------------------------------------------------


def test_bytes_line_names_and_folders_reach_the_disk_in_this_order_under_the_lock(
    shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(shop, {"a": b"old", "b": b"old"})
    steps: list[str] = []
    fsync, replace, flock = os.fsync, Path.replace, locks.fcntl.flock

    def name_of(handle: int) -> str:
        return Path(f"/proc/self/fd/{handle}").readlink().name

    def sync(handle: int) -> None:
        steps.append(f"sync {name_of(handle).split('.')[1 if name_of(handle)[0] == '.' else 0]}")
        fsync(handle)

    def rename(old: Path, new: Path) -> Path:
        steps.append(f"name {new.name}")
        return replace(old, new)

    def lock(handle: int, how: int) -> None:
        flock(handle, how)
        if not name_of(handle).endswith(".part"):
            steps.append(f"lock {name_of(handle)}")

    monkeypatch.setattr(files.os, "fsync", sync)
    monkeypatch.setattr(Path, "replace", rename)
    monkeypatch.setattr(locks.fcntl, "flock", lock)
    write(shop, {"a": b"new", "b": b"new"})
    assert steps == [
        "lock lock", "sync a", "sync b", "lock shop",
        "sync replaced", "sync journal",
        "name a", "name b", "sync shop",
    ]  # fmt: skip


def test_a_lock_file_goes_with_its_holder(tmp_path: Path) -> None:
    path = tmp_path / "labelkit-journal" / "lock"
    with lock_by_file(path, "labelkit sheet"):
        assert path.read_text().startswith(f"labelkit sheet (process {os.getpid()}, since ")
        with lock_by_file(path, "labelkit proof"):  # nested
            pass
        assert path.exists()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs processes that fork")
def test_who_waits_in_vain_is_told_for_whom(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    ready, release = os.pipe(), os.pipe()
    child = os.fork()
    if child == 0:
        with Journal(shop).lock("sheet"):
            os.write(ready[1], b"x")
            os.read(release[0], 1)
        os._exit(0)
    try:
        os.read(ready[0], 1)
        monkeypatch.setattr(locks, "WAIT_S", 0.1)
        told = rf"is being written to by labelkit sheet \(process {child}, since [\d:]+\)"
        with pytest.raises(LockedError, match=told):
            write(shop, {"a": b"one"})
        assert not (shop / "a").exists()
    finally:
        os.write(release[1], b"x")
        os.waitpid(child, 0)
    write(shop, {"a": b"one"})


def test_threads_write_one_after_the_other(shop: Path) -> None:
    """A folder that one thread has locked is not another's; every line is there at the end."""
    inside: list[int] = []
    most: list[int] = []

    def work(number: int) -> None:
        with lock_folders([shop]):
            inside.append(number)
            most.append(len(inside))
            write(shop, {f"{number}.pdf": b"one"})
            inside.remove(number)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert most == [1] * 8
    assert len(Journal(shop).read_entries()) == 8


def test_a_thread_that_waits_in_vain_is_told(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(locks, "WAIT_S", 0.1)
    told: list[str] = []

    def work() -> None:
        try:
            write(shop, {"a": b"one"})
        except LockedError as error:
            told.append(str(error))

    with lock_folders([shop]):
        thread = threading.Thread(target=work)
        thread.start()
        thread.join()
    assert told == ["labelkit: still writes other files; try again"]


def test_signals_wait_also_where_other_threads_run(shop: Path) -> None:
    """The system may hand a signal to any thread; Python answers it in the main one."""
    stop = threading.Event()
    other = threading.Thread(target=stop.wait)
    other.start()
    done = False
    try:
        with pytest.raises(KeyboardInterrupt), hold_off_signals():
            os.kill(os.getpid(), signal.SIGINT)
            write(shop, {f"{number}.pdf": b"one" for number in range(20)})
            done = True
    finally:
        stop.set()
        other.join()
    assert done


def test_the_lock_of_the_files_being_written_is_their_own(tmp_path: Path) -> None:
    with stage_files() as staged:
        staged.open(tmp_path / "a").write(b"one")
        staged.commit()
    assert (tmp_path / "a").read_bytes() == b"one"
    assert journal.FOLDER_NAME not in os.listdir(tmp_path)  # noqa: PTH208
