"""Reads an order that is only half typed, so that its label can be shown all the same.

A blank is read as a ghost: the words it suggests, which the page shows pale. A value that cannot be
read is taken as it was when it last could, or as the example of its key; what is wrong with it is
told, all of it, beside its field. Nothing read so is ever printed.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

from labelkit.common.errors import InputError, LabelkitError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.desk.order_texts import FILES, find_key, parse_keys
from labelkit.order.blanks import BLANK
from labelkit.order.key_lines import find_line_of_key
from labelkit.order.order import Order, read_order
from labelkit.order.write_back import Keys, WriteBackError, find_value, read_values, set_value

ROUNDS = 6
"""So often an order is read again with stand-ins for what could not be read."""
_QUOTED = re.compile(r'"((?:[^"\\\n]|\\.)*)"')
_SET = re.compile(r"[ \t]*(?:[\w-]+|\"[^\"]*\")[ \t]*=")
_HEADER = re.compile(r"[ \t]*\[\[?([^\[\]]+)\]\]?")
_SUCH_AS = re.compile(r"such as (.+)$")
_BARE = frozenset({"date", "integer", "number", "flag", "count-or-share"})
"""Kinds of values that stand without quotes."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """What is wrong with a value, or that it is still to be filled in."""

    file: str
    keys: Keys
    error: InputError
    blank: bool = False


@dataclass(frozen=True, slots=True)
class Reading:
    """An order as far as it could be read."""

    order: Order | None
    mistakes: tuple[Mistake, ...]
    ghosts: tuple[tuple[str, Keys], ...]
    """Keys whose words are not hers yet: blanks, and what could not be read."""
    trouble: LabelkitError | None = None
    """Why there is no order at all, where that is no matter of one value."""

    @property
    def whole(self) -> bool:
        return self.order is not None and not self.mistakes


def read_half_typed(
    paths: Mapping[str, Path], texts: Mapping[str, bytes], good: Mapping[str, bytes]
) -> Reading:
    """Reads an order from texts laid over its files; ``good`` are texts that could be read."""
    blanks = [mistake for name, text in texts.items() for mistake in _list_blanks(name, text)]
    ghosted = {name: fill_ghosts(name, text) for name, text in texts.items()}
    found: dict[str, Mistake] = {}
    for _ in range(ROUNDS):
        try:
            over = {paths[name]: text for name, text in ghosted.items() if name in paths}
            order = read_order(paths["label"], over)
        except InputError as error:
            told = place_mistakes(error, paths)
            changed = False
            for mistake in told:
                found.setdefault(str(mistake.error), mistake)
                changed |= _stand_in(mistake, ghosted, good)
            if not changed:
                break
        except LabelkitError as error:
            return Reading(None, (*blanks, *found.values()), (), error)
        else:
            mistakes = (*blanks, *_drop_followers(found.values()))
            return Reading(order, mistakes, tuple((m.file, m.keys) for m in mistakes))
    return Reading(None, (*blanks, *found.values()), ())


def place_mistakes(error: InputError, paths: Mapping[str, Path]) -> list[Mistake]:
    """Every mistake that an error tells, at its key."""
    names = {format_path(path): name for name, path in paths.items()}
    return [_place(one, names) for one in (error, *error.others)]


def _drop_followers(found: Any) -> Iterator[Mistake]:
    """Each mistake of a key once: a stand-in may be wrong in another way, which is none of hers."""
    seen: set[tuple[str, Keys]] = set()
    for mistake in found:
        if (mistake.file, mistake.keys) not in seen:
            seen.add((mistake.file, mistake.keys))
            yield mistake


def _place(error: InputError, names: Mapping[str, str]) -> Mistake:
    key = "" if error.key.startswith("line ") else error.key
    return Mistake(names.get(error.file, ""), parse_keys(key), replace(error, others=()))


def _stand_in(mistake: Mistake, texts: dict[str, bytes], good: Mapping[str, bytes]) -> bool:
    """Puts something that can be read in place of a mistake; whether that changed anything."""
    name = mistake.file
    if name not in texts:
        return False
    if not mistake.keys or not _is_readable(texts[name]):  # as it was
        if name in good and texts[name] != good[name]:
            texts[name] = good[name]
            return True
        return False
    for value in _list_stand_ins(mistake, texts[name], good.get(name)):
        with suppress(WriteBackError):
            made = set_value(texts[name], mistake.keys, value)
            if made != texts[name]:
                texts[name] = made
                return True
    return False


def _is_readable(text: bytes) -> bool:
    try:
        read_values(text)
    except WriteBackError:
        return False
    return True


def _list_stand_ins(mistake: Mistake, text: bytes, good: bytes | None) -> Iterator[Any]:
    """The last value that could be read, the example of the key, nothing."""
    now = _find(text, mistake.keys)
    before = _find(good, mistake.keys) if good is not None else None
    if before not in (None, now) and not _is_blank(before):
        yield before
    known = find_key(mistake.file, mistake.keys)
    if known and known.example:
        example = tomllib.loads(f"value = {known.example}")["value"]
        if example != now:
            yield example
    if now is not None:
        yield None


def _find(text: bytes, keys: Keys) -> Any:
    try:
        return find_value(read_values(text), keys)
    except WriteBackError:
        return None


def _is_blank(value: Any) -> bool:
    if isinstance(value, dict):
        return any(BLANK in str(key) or _is_blank(one) for key, one in value.items())
    return BLANK in str(value)


# -- blanks ----------------------------------------------------------------------------------------


def _list_blanks(name: str, text: bytes) -> Iterator[Mistake]:
    if BLANK.encode() not in text:
        return
    try:
        values = read_values(text)
    except WriteBackError:
        return
    for keys, value in _walk_blanks(values, ()):
        key = ".".join(map(str, keys))
        line = find_line_of_key(key, text.decode("utf-8", "replace"))
        error = InputError(FILES[name], key, value, Said("is still to be filled in"), line=line)
        yield Mistake(name, keys, error, blank=True)


def _walk_blanks(value: Any, keys: Keys) -> Iterator[tuple[Keys, str]]:
    if isinstance(value, dict):
        for key, one in value.items():
            if BLANK in key:
                yield (*keys, key), key
            else:
                yield from _walk_blanks(one, (*keys, key))
    elif isinstance(value, list):
        for index, one in enumerate(value):
            yield from _walk_blanks(one, (*keys, index))
    elif isinstance(value, str) and BLANK in value:
        yield keys, value


def suggest_ghost(blank: str) -> str:
    """The words a blank suggests: what follows "such as", or its own without the mark."""
    words = blank.replace(BLANK, "").strip()
    found = _SUCH_AS.search(words)
    return (found[1] if found else words).strip() or "…"


def fill_ghosts(name: str, text: bytes) -> bytes:
    """A file's text with the words that each blank suggests in its place, line by line."""
    if BLANK.encode() not in text:
        return text
    lines, table = text.decode("utf-8", "replace").split("\n"), ""
    for number, line in enumerate(lines):
        if header := _HEADER.match(line):
            table = header[1].strip()
        elif BLANK in line and not line.lstrip().startswith("#"):
            lines[number] = _fill_line(name, table, line)
    return "\n".join(lines).encode("utf-8")


def _fill_line(name: str, table: str, line: str) -> str:
    key = line.split("=", 1)[0].strip().strip('"') if _SET.match(line) else ""
    known = find_key(name, (*table.split("."), key)) if key and BLANK not in key else None
    bare = known is not None and known.kind in _BARE

    def fill(found: re.Match[str]) -> str:
        if BLANK not in found[1]:
            return found[0]
        words = suggest_ghost(found[1])
        if bare and re.fullmatch(r"[\d.-]+", words):
            return words
        return f'"{words}"'

    return _QUOTED.sub(fill, line)
