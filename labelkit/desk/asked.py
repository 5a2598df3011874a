"""What a request asks, read with care: ValueError, TypeError or KeyError for what is none."""

from __future__ import annotations

import base64
import binascii
import re
from collections.abc import Mapping
from typing import Any

from labelkit.desk.order_texts import FILES, Edit

MOST_EDITS, MOST_KEYS = 500, 8
_NAME = re.compile(r"[\w.,' -]{1,100}")


def read_edits(asked: Mapping[str, Any]) -> list[Edit]:
    """The edits of a request."""
    edits = asked.get("edits", ())
    if not isinstance(edits, list | tuple) or len(edits) > MOST_EDITS:
        raise ValueError("no edits")
    return [_read_edit(one) for one in edits]


def _read_edit(one: Mapping[str, Any]) -> Edit:
    file, keys, do = one["file"], one["keys"], one.get("do", "set")
    if file not in FILES or do not in ("set", "add", "remove"):
        raise ValueError("no edit")
    if not isinstance(keys, list) or not 0 < len(keys) <= MOST_KEYS:
        raise ValueError("no keys")
    if not all(isinstance(key, str) or (type(key) is int and 0 <= key < 1000) for key in keys):
        raise TypeError("no keys")
    return Edit(
        file, tuple(keys), one.get("value"), one.get("was"), do, bool(one.get("check", True))
    )


def read_upload(asked: Mapping[str, Any]) -> tuple[str, bytes]:
    """Name and bytes of a file that she dropped: a plain name, in no other folder."""
    name = str(asked["name"]).replace("\\", "/").rsplit("/", 1)[-1].strip()
    if not _NAME.fullmatch(name) or name.startswith("."):
        raise ValueError("no name")
    try:
        return name, base64.b64decode(asked["data"], validate=True)
    except binascii.Error as error:
        raise ValueError("no data") from error
