"""The text of a guest list, whatever program saved it; files that are no text are told apart."""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

from labelkit.common.errors import InputError, format_path
from labelkit.common.messages import Said
from labelkit.order.reader import SAVED_AS_TABLE, read_bytes, read_text

WHAT = Said("a list of guests (CSV)")
MAX_BYTES = 20_000_000
UTF_16, WINDOWS_1252 = "UTF-16", "Windows-1252"

_AS_TABLE = Said("open it, and {how}", how=SAVED_AS_TABLE)
_AS_TEXT = Said(
    'open it, and save it as the file type "plain text" (.txt) with the character set UTF-8, a name'
    " a line"
)
_COPIED = Said("copy the names out of it into a text file, a name a line")
_BY_START = (
    (b"%PDF-", Said("is a PDF"), _COPIED),
    (b"{\\rtf", Said("is a text document (RTF)"), _AS_TEXT),
    (b"\x89PNG", Said("is a picture (PNG)"), _COPIED),
    (b"\xff\xd8\xff", Said("is a picture (JPEG)"), _COPIED),
    (b"BEGIN:VCARD", Said("is an address book (vCard)"), _COPIED),
    (b"<", Said("is a web page or another file of tags (HTML, XML)"), _COPIED),
)
"""What files begin with (their published formats, from memory), what they are, what to do."""
_ZIP, _OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_BY_PART = (
    (_ZIP, b"xl/workbook", Said("is a workbook (.xlsx)"), _AS_TABLE),
    (_ZIP, b"word/document", Said("is a text document (.docx)"), _AS_TEXT),
    (_ZIP, b"opendocument.spreadsheet", Said("is a spreadsheet (.ods)"), _AS_TABLE),
    (_ZIP, b"opendocument.text", Said("is a text document (.odt)"), _AS_TEXT),
    (_ZIP, b"Index/", Said("is a spreadsheet or document that is kept packed"), _AS_TABLE),
    (_ZIP, b"", Said("is a packed file (zip)"), Said("unpack it, and name the list that is in it")),
    (_OLE, "WordDocument".encode("utf-16-le"), Said("is a text document (.doc)"), _AS_TEXT),
    (_OLE, b"", Said("is an older workbook (.xls)"), _AS_TABLE),
)
"""Files that hold others, by the name of a part (ECMA-376, OASIS OpenDocument 1.3, [MS-CFB]; from
memory), which stands in them as it is."""
_OLD_SIGNS = re.compile(rb"[\x80-\x9f]")
_ODD_WORD = re.compile("[À-ÿ]{3}|[×÷ÿ]")
"""No western name has three accented letters in a row, or one of these signs: such a text is of
another old character set (labelkit's own judgement)."""
_FEWEST_BLANK = 0.3
"""Share of every second byte that is zero in plain UTF-16 of western names (labelkit's own
judgement; it is nearly all of them, and none in any other text)."""


class ListText(NamedTuple):
    text: str
    encoding: str = ""
    """The character set where it is not UTF-8."""


def read_list_text(path: Path) -> ListText:
    """The text of a list; InputError for a file that is no text, or in no known character set.

    UTF-8 and UTF-16 are read as they say they are. Windows-1252 says nothing of itself: it is read
    only where all it has beyond ASCII are letters of names, among others.
    """
    data = read_bytes(path, WHAT, MAX_BYTES)
    _refuse_foreign_file(path, data)
    if (utf_16 := _decode_utf_16(data)) is not None:
        return ListText(utf_16, UTF_16)
    if (old := _decode_windows_1252(data)) is not None:
        return ListText(old, WINDOWS_1252)
    return ListText(read_text(path, WHAT, MAX_BYTES))


def _refuse_foreign_file(path: Path, data: bytes) -> None:
    head = data[:1000].removeprefix(b"\xef\xbb\xbf").lstrip()
    for start, what, cure in _BY_START:
        if head.startswith(start):
            raise InputError(
                format_path(path),
                "",
                None,
                Said("{what}, not a list; {cure}", what=what, cure=cure),
            )
    for start, part, what, cure in _BY_PART:
        if head.startswith(start) and part in data:
            raise InputError(
                format_path(path),
                "",
                None,
                Said("{what}, not a list; {cure}", what=what, cure=cure),
            )


def _decode_utf_16(data: bytes) -> str | None:
    """The text of UTF-16 with its mark, or plainly without it; None for anything else."""
    start = data[:1000]
    if start[:2] in (b"\xff\xfe", b"\xfe\xff"):
        codec = "utf-16"
    elif start[1::2].count(0) > _FEWEST_BLANK * len(start[1::2]):
        codec = "utf-16-le"
    elif start[::2].count(0) > _FEWEST_BLANK * len(start[::2]):
        codec = "utf-16-be"
    else:
        return None
    try:
        text = data.decode(codec)
    except UnicodeDecodeError:
        return None
    return None if "\0" in text else text


def _decode_windows_1252(data: bytes) -> str | None:
    """The text where it is plainly names of western Europe in their old character set.

    The signs from 0x80 to 0x9f are letters in other old sets, and signs in this one: they prove
    nothing.
    """
    if _is_utf_8(data) or _OLD_SIGNS.search(data):
        return None
    text = data.decode("cp1252")
    odd = [word for word in re.findall(r"\w+", text) if not word.isascii()]
    plain = all(any(letter.isascii() for letter in word) for word in odd)
    signs = re.search("[\u00a1-¿]", text)
    return text if odd and plain and not signs and not _ODD_WORD.search(text) else None


def _is_utf_8(data: bytes) -> bool:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True
