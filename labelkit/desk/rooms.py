"""What stands in which room: fields by their keys, with their words in the language of the page."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import astuple
from functools import cache
from typing import Any

from labelkit.common.own_tables import read_own_table
from labelkit.desk.order_texts import FILES, find_key, parse_keys
from labelkit.desk.words import Words
from labelkit.order.fields import Field, FieldTable, find_named_fields, load_file_tables
from labelkit.order.write_back import Keys
from labelkit.report.speech import Speech

UNITS_IN_WORDS = frozenset({"days", "weeks", "months", "g or mL"})
"""The others are signs, the same in every language."""


@cache
def load_rooms() -> Mapping[str, Any]:
    """The table of rooms as it is written."""
    return read_own_table("desk/rooms")


def list_rooms(say: Words) -> list[dict[str, Any]]:
    """The rooms for the page, every field with its words."""
    return [
        {
            "id": room["id"],
            "title": say(room["title"]),
            "lead": say(room["lead"]),
            "groups": [_make_group(group, say) for group in room["group"]],
        }
        for room in load_rooms()["room"]
    ]


def _make_group(group: Mapping[str, Any], say: Words) -> dict[str, Any]:
    made: dict[str, Any] = {
        "title": say(group["title"]) if group["title"] else "",
        "lead": say(group["lead"]) if "lead" in group else "",
        "part": group.get("part", ""),
        "folded": group.get("folded", False),
        "fields": [],
        "lists": [],
    }
    if "list" in group:
        once = group.get("once", "")
        made["lists"].append(_make_list(group["list"], group["fields"], say, once))
    else:
        made["fields"] = [_make_field(name, say) for name in group.get("fields", ())]
    rest = [(name, *_find_table(name)) for name in group.get("rest", ())]
    headed = sum(not known.is_list for _, _, known in rest) > 1
    for name, table, known in rest:
        if known.is_list:
            made["lists"].append(_make_list(name, (), say))
            continue
        fields = [_make_field(f"{name}.{key}", say) for key in _list_rest(name, known)]
        if headed and fields:
            fields[0]["heading"] = say(load_rooms()["tables"].get(table, known.about))
        made["fields"] += fields
    return made


def _find_table(name: str) -> tuple[str, FieldTable]:
    """A table by its name in rooms.toml: what it is called in its file, and its keys."""
    file, table = name.split(":")
    return table, load_file_tables()[FILES[file]][table]


def _list_rest(name: str, known: FieldTable) -> Iterator[str]:
    """Keys of a table that no room shows by themselves."""
    shown = {field for room in load_rooms()["room"] for group in room["group"]
             if "list" not in group for field in group.get("fields", ())}  # fmt: skip
    yield from (key for key in known.fields if f"{name}.{key}" not in shown)


def _make_list(name: str, first: Any, say: Words, once: str = "") -> dict[str, Any]:
    """A table of which there may be several: the fields shown at once, then the others."""
    file = name.split(":")[0]
    table, known = _find_table(name)
    keys = [*first, *(key for key in known.fields if key not in first)]
    fields = [_make_field(f"{name}.{key}", say) for key in keys]
    return {
        "file": file,
        "keys": table.split("."),
        "about": say(known.about),
        "fields": fields,
        "shown": len(first) or min(2, len(fields)),
        "once": once,
    }


def _make_field(name: str, say: Words) -> dict[str, Any]:
    file, key = name.split(":")
    keys = parse_keys(key)
    field = find_key(file, keys)
    if field is None:
        raise LookupError(f"{name} is no key of a file")
    return {"file": file, "keys": list(keys), "name": name_field(key, say), **_describe(field, say)}


def _describe(field: Field, say: Words) -> dict[str, Any]:
    return {
        "kind": field.kind,
        "about": say(field.about),
        "example": field.example.strip('"') if not field.example.startswith(("{", "[")) else "",
        "unit": say(field.unit, "unit") if field.unit in UNITS_IN_WORDS else field.unit,
        "range": [float(end) for end in astuple(field.range)] if field.range else None,
        "needed": field.needed,
        "default": _say_default(field, say),
        "unset": field.default.replace('"', "") if field.one_of else "",
        "oneOf": [{"value": one, "name": say(one, "value")} for one in field.one_of],
    }


def _say_default(field: Field, say: Words) -> str:
    """What is taken where nothing is given: in words, or the value as it would be typed."""
    plain = field.default.replace('"', "")
    if plain in field.one_of:
        return say(plain, "value")
    if plain in ("true", "false"):
        return say("yes" if plain == "true" else "no")
    literal = field.default.startswith(('"', "[")) and " where " not in field.default
    return plain if literal or not field.default else say(field.default)


def name_field(key: str, say: Words) -> str:
    """What a field is called on the page."""
    named = load_rooms()["names"].get(key)
    if named is None:
        last = key.rsplit(".", 1)[-1].replace("_", " ")
        named = last[:1].upper() + last[1:]
    return say(named)


def name_element(element: str, speech: Speech) -> str:
    """What a part of the label is called, for people who read no keys."""
    plain = element.replace("-", " ")
    if speech.language == "en":
        return str(load_rooms()["parts"].get(element, plain))
    named = speech.term("part", element)
    return plain if named == element else named


def find_place(file: str, keys: Keys, say: Words) -> str:
    """What the page calls a value, and the room it stands in; "" where none shows it."""
    names = [key for key in keys if isinstance(key, str)]
    within = [".".join(names[:count]) for count in range(1, len(names) + 1)]
    here = {f"{file}:{key}" for key in within}
    for part in ("list", "fields", "rest"):
        for room in load_rooms()["room"]:
            for group in room["group"]:
                if part == "list":
                    if group.get("list") in here:
                        return f"{say(group['title'])} ({say(room['title'])})"
                elif "list" not in group and not here.isdisjoint(group.get(part, ())):
                    key = next((one for one in within if find_key(file, parse_keys(one))), "")
                    return f"{name_field(key, say)} ({say(room['title'])})" if key else ""
    return ""


_IN_FILE = (
    r"(?: (?:of|in|under|into|dans|de|sous) [\w-]+\.toml(?: (?:or|ou)(?: de)? [\w-]+\.toml)?)?"
)
_HABITS = re.compile(r"\[plan\]" + _IN_FILE)
_LIST = re.compile(r"\[\[([\w.]+)\]\]" + _IN_FILE)


def name_fields(sentence: str, say: Words) -> str:
    """A sentence that names fields by their keys, as the files have them, with the names that they
    have on the page."""
    titles = {
        group["list"].split(":")[1]: group["title"]
        for room in load_rooms()["room"]
        for group in room["group"]
        if "list" in group
    }

    def name_list(found: re.Match[str]) -> str:
        return _quote(say(titles[found[1]]), say) if found[1] in titles else found[0]

    made = _LIST.sub(name_list, sentence)
    made = _HABITS.sub(lambda _: _quote(say(_find_room("workshop")), say), made)
    for place in find_named_fields(made):
        key = rf"(?<![\w.]){re.escape(place.key)}(?![\w.]*\w)"
        made = re.sub(
            rf"(?:\[{key}\]|{key}){_IN_FILE}", _quote(name_field(place.key, say), say), made
        )
    if made == sentence:
        return made
    made = _TRUE.sub(say("yes"), made)
    return _FALSE.sub(say("no"), made)


_TRUE = re.compile(r"(?<=[=:] )true\b|\btrue(?= (?:or|ou) false)")
_FALSE = re.compile(r"(?<=[=:] )false\b|(?<=or )false\b|(?<=ou )false\b")
"""As values of a field, not as words of a sentence."""


def _find_room(name: str) -> str:
    """What a room is called."""
    return next(str(room["title"]) for room in load_rooms()["room"] if room["id"] == name)


def _quote(name: str, say: Words) -> str:
    return f"«\u202f{name}\u202f»" if say.language == "fr" else f"“{name}”"
