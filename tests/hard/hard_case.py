"""One hostile case: the files a maker might have, and the command run in their folder.

A case is plain data, so that what once broke labelkit can be kept in ``corpus/`` and run again.
"""

from __future__ import annotations

import base64
import json
import os
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from hard_binary import font

ROOT = Path(__file__).resolve().parents[2]
CORPUS = Path(__file__).parent / "corpus"
SAMPLE = ROOT / "samples" / "lighthouse-supper"


@dataclass(frozen=True)
class Folder:
    """A folder where a file is expected."""

    def make(self, path: Path) -> None:
        path.mkdir()


@dataclass(frozen=True)
class Link:
    """A symbolic link; to its own name it is a loop."""

    target: str

    def make(self, path: Path) -> None:
        path.symlink_to(self.target)


@dataclass(frozen=True)
class Pipe:
    """A named pipe that nobody writes to: whoever opens it waits for ever."""

    def make(self, path: Path) -> None:
        os.mkfifo(path)


@dataclass(frozen=True)
class Locked:
    """A file its owner may not read."""

    data: bytes = b""

    def make(self, path: Path) -> None:
        path.write_bytes(self.data)
        path.chmod(0)


@dataclass(frozen=True)
class Filler:
    """A very large file: ``head``, and one byte again and again up to ``size`` bytes."""

    size: int
    byte: int = 32
    head: bytes = b""

    def make(self, path: Path) -> None:
        block = bytes([self.byte]) * 1_000_000
        with path.open("wb") as stream:
            stream.write(self.head)
            if not self.byte:
                stream.truncate(self.size)
                return
            while stream.tell() < self.size:
                stream.write(block[: self.size - stream.tell()])


@dataclass(frozen=True)
class Absent:
    """No file at all."""

    def make(self, path: Path) -> None:
        pass


Odd = Folder | Link | Pipe | Locked | Filler | Absent
Content = bytes | Odd
"""What stands at a path: the bytes of a file, or something odd in its place."""

_ODD: dict[str, type[Odd]] = {
    kind.__name__: kind for kind in (Folder, Link, Pipe, Locked, Filler, Absent)
}


@dataclass(frozen=True)
class Case:
    """Files by their path in the case's folder, and the arguments given to ``labelkit`` there."""

    kind: str
    """The row of the table of counts."""
    arguments: tuple[str, ...]
    files: Mapping[str, Content]
    what: str = ""
    """What was done to the files, in a few words."""
    ends: int | None = None
    """The exit code it must have; None: 0, 1 or 2."""

    @property
    def unprivileged(self) -> bool:
        """Whether it means nothing to a superuser, who may read and write everything."""
        return any(isinstance(content, Locked) for content in self.files.values())

    def make(self, folder: Path) -> None:
        """Puts the files into an empty folder."""
        for name, content in self.files.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            if isinstance(content, bytes):
                path.write_bytes(content)
            else:
                content.make(path)

    def written(self) -> str:
        """The case as JSON."""
        files = {name: _written(content) for name, content in sorted(self.files.items())}
        value = {
            "kind": self.kind,
            "what": self.what,
            "ends": self.ends,
            "arguments": list(self.arguments),
            "files": files,
        }
        return json.dumps(value, indent=1, ensure_ascii=True) + "\n"


def read_case(path: Path) -> Case:
    """A case of the corpus."""
    value = json.loads(path.read_text(encoding="utf-8"))
    files = {name: _content(entry) for name, entry in value["files"].items()}
    return Case(value["kind"], tuple(value["arguments"]), files, value["what"], value["ends"])


def _written(content: Content) -> object:
    if not isinstance(content, bytes):
        arguments = dict(vars(content))
        for key, value in arguments.items():
            if isinstance(value, bytes):
                arguments[key] = value.decode("latin-1")
        return {"odd": type(content).__name__, **arguments}
    for name in ("label.toml", "maker.toml", "recipe.toml"):
        if content == (SAMPLE / name).read_bytes():
            return {"sample": name}
    edited = _edited(content)
    if edited is not None:
        return edited
    packed = base64.b64encode(zlib.compress(content, 9)).decode("ascii")
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError:
        return packed
    return text.split("\n") if len(text) < 4 * len(packed) else packed


def _edited(content: bytes) -> object:
    """A font that differs from a good one in few bytes, as those bytes and their places."""
    good = font()
    if len(content) != len(good):
        return None
    places = [n for n, (a, b) in enumerate(zip(good, content, strict=True)) if a != b]
    return {"font": {str(n): content[n] for n in places}} if len(places) < 100 else None


def _content(entry: object) -> Content:
    if isinstance(entry, list):
        return "\n".join(entry).encode("utf-8")
    if isinstance(entry, str):
        return zlib.decompress(base64.b64decode(entry))
    assert isinstance(entry, dict)
    if "sample" in entry:
        return (SAMPLE / entry["sample"]).read_bytes()
    if "font" in entry:
        data = bytearray(font())
        for place, value in entry["font"].items():
            data[int(place)] = value
        return bytes(data)
    arguments = {key: value for key, value in entry.items() if key != "odd"}
    for key in ("head", "data"):
        if key in arguments:
            arguments[key] = arguments[key].encode("latin-1")
    return _ODD[entry["odd"]](**arguments)
