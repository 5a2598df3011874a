"""Content streams, against the standard's own examples and against pypdf's reading of them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf.generic import ContentStream, DecodedStreamObject

from labelkit.pdf.read.lexer import MAX_DEPTH, parse_operations


def read(data: bytes) -> list[tuple[str, list[Any]]]:
    return list(parse_operations(data))


def operand(text: bytes) -> Any:
    """The only operand of a content stream."""
    ((name, operands),) = read(text + b" x")
    assert name == "x"
    (value,) = operands
    return value


# -- the standard's examples -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "value"),
    [(b"123", 123), (b"43445", 43445), (b"+17", 17), (b"-98", -98), (b"0", 0),
     (b"34.5", 34.5), (b"-3.62", -3.62), (b"+123.6", 123.6), (b"4.", 4), (b"-.002", -0.002),
     (b"0.0", 0)],
)  # fmt: skip
def test_numbers(written: bytes, value: float) -> None:
    """ISO 32000-1, 7.3.3, examples 1 and 2."""
    assert operand(written) == value


@pytest.mark.parametrize(
    ("written", "text"),
    [
        # ISO 32000-1, 7.3.4.2, examples 1 to 5.
        (b"(This is a string)", b"This is a string"),
        (b"(Strings may contain newlines\nand such.)", b"Strings may contain newlines\nand such."),
        (b"(Strings may contain balanced parentheses ( ) and\n"
         b"special characters (*!&}^% and so on).)",
         b"Strings may contain balanced parentheses ( ) and\n"
         b"special characters (*!&}^% and so on)."),
        (b"()", b""),
        (b"(These \\\ntwo strings \\\nare the same.)", b"These two strings are the same."),
        (b"(This string has an end-of-line at the end of it.\r\n)",
         b"This string has an end-of-line at the end of it.\n"),
        (b"(So does this one.\\n)", b"So does this one.\n"),
        (b"(This string contains \\245two octal characters\\307.)",
         b"This string contains \xa5two octal characters\xc7."),
        (b"(\\0053)", b"\x053"),
        (b"(\\053)", b"+"),
        (b"(\\53)", b"+"),
        # 7.3.4.2, table 3, and an escape it does not list.
        (b"(\\r\\t\\b\\f\\(\\)\\\\\\y)", b"\r\t\b\f()\\y"),
        # 7.3.4.3, both examples: an odd number of digits ends in a nought.
        (b"<4E6F762073686D6F7A206B6120706F702E>", b"Nov shmoz ka pop."),
        (b"<901FA3>", b"\x90\x1f\xa3"),
        (b"<901FA>", b"\x90\x1f\xa0"),
        (b"< 90 1F\nA3 >", b"\x90\x1f\xa3"),
    ],
)  # fmt: skip
def test_strings(written: bytes, text: bytes) -> None:
    assert operand(written) == text


@pytest.mark.parametrize(
    ("written", "name"),
    [
        # ISO 32000-1, 7.3.5, table 4.
        (b"/Name1", "/Name1"),
        (b"/ASomewhatLongerName", "/ASomewhatLongerName"),
        (b"/A;Name_With-Various***Characters?", "/A;Name_With-Various***Characters?"),
        (b"/1.2", "/1.2"),
        (b"/$$", "/$$"),
        (b"/@pattern", "/@pattern"),
        (b"/.notdef", "/.notdef"),
        (b"/lime#20Green", "/lime Green"),
        (b"/paired#28#29parentheses", "/paired()parentheses"),
        (b"/The_Key_of_F#23_Minor", "/The_Key_of_F#_Minor"),
        (b"/A#42", "/AB"),
        (b"/", "/"),
    ],
)
def test_names(written: bytes, name: str) -> None:
    assert operand(written) == name


def test_arrays_and_dictionaries() -> None:
    """ISO 32000-1, 7.3.6 and 7.3.7 (the example of each, shortened)."""
    assert operand(b"[549 3.14 false (Ralph)/SomeName]") == [
        549,
        3.14,
        False,
        b"Ralph",
        "/SomeName",
    ]
    written = b"<</Type/Example /Version 0.01/Sub<</Item1 0.4/Item2 true>>/None null>>"
    assert operand(written) == {
        "/Type": "/Example",
        "/Version": 0.01,
        "/Sub": {"/Item1": 0.4, "/Item2": True},
        "/None": None,
    }


def test_comments_are_white_space() -> None:
    """ISO 32000-1, 7.2.3: the example, where the comment stands for a space."""
    assert read(b"abc% comment (/%) blah blah blah\n123 x % over") == [("abc", []), ("x", [123])]
    assert operand(b"(not a % comment)") == b"not a % comment"


def test_inline_images_are_passed_over() -> None:
    """ISO 32000-1, 8.9.7: the data runs to an EI that stands alone."""
    image = b"q BI /W 2 /H 2 /BPC 8 /CS /G ID \x00EI\xff( EIx\xfe EI Q (after) Tj"
    names = [name for name, _ in read(image)]
    assert names == ["q", "BI", "ID", "Q", "Tj"]
    assert [name for name, _ in read(b"BI ID endless")] == ["BI", "ID"]


# -- damage ----------------------------------------------------------------------------------------


def test_what_never_ends_is_refused() -> None:
    with pytest.raises(ValueError, match="does not end"):
        read(b"(open (twice) Tj")
    with pytest.raises(ValueError, match="nested too deeply"):
        read(b"[" * (MAX_DEPTH + 1))
    assert operand(b"[" * MAX_DEPTH + b"]" * MAX_DEPTH) is not None


UNITS = (
    b"%", b"% \n", b" ", b"7", b"7x", b"-", b".", b"<", b"<a", b">", b")", b"]", b"}", b"/", b"#",
    b"(()", b"(\\)", b"\x00", b"\xff", b"BI ID ", b"% (", b"(a)",
)  # fmt: skip


@pytest.mark.parametrize("unit", UNITS)
def test_long_runs_of_anything_are_read_in_one_go(unit: bytes) -> None:
    """An expression that backtracks would need the age of the world for these."""
    try:
        assert isinstance(read(unit * 60_000), list)
    except ValueError as error:
        assert str(error) in {"a string does not end", "arrays nested too deeply"}


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    try:
        found = read(data)
    except ValueError:
        return
    assert all(isinstance(name, str) and name for name, _ in found)


# -- against pypdf ---------------------------------------------------------------------------------

STRINGS = st.binary(max_size=12)
NUMBERS = st.integers(-9999, 9999) | st.decimals(-999, 999, places=4, allow_nan=False)
NAMES = st.text("ABCxyz019.-_+", min_size=1, max_size=8)


def literal(text: bytes) -> bytes:
    escaped = text.replace(b"\\", b"\\\\").replace(b"(", b"\\(").replace(b")", b"\\)")
    return b"(" + escaped.replace(b"\r", b"\\r") + b")"


WRITTEN = st.one_of(
    NUMBERS.map(lambda v: (str(v).encode("ascii"), float(v))),
    NAMES.map(lambda v: (f"/{v}".encode("ascii"), f"/{v}")),
    STRINGS.map(lambda v: (literal(v), v)),
    STRINGS.map(lambda v: (b"<" + v.hex().encode("ascii") + b">", v)),
)
OPERATORS = st.sampled_from([b"Tj", b"TJ", b"re", b"cm", b"BDC", b"Q", b"f*", b"'", b'"', b"T*"])
ARRAYS = st.lists(WRITTEN, max_size=4).map(
    lambda items: (b"[" + b" ".join(w for w, _ in items) + b"]", [v for _, v in items])
)
LINES = st.lists(
    st.tuples(st.lists(WRITTEN | ARRAYS, max_size=5), OPERATORS), min_size=1, max_size=12
)


def plain(value: Any) -> Any:
    """An operand of pypdf's as this reader gives it."""
    if isinstance(value, list):
        return [plain(item) for item in value]
    if isinstance(value, bytes | bytearray):
        return bytes(value)
    if hasattr(value, "original_bytes"):
        return bytes(value.original_bytes)
    return str(value) if isinstance(value, str) else float(value)


@given(LINES)
def test_pypdf_reads_the_same(lines: list[tuple[list[tuple[bytes, Any]], bytes]]) -> None:
    written = [b" ".join([*(w for w, _ in operands), name]) for operands, name in lines]
    data = b"\n".join(written) + b"\n"
    meant = [(name.decode("ascii"), [v for _, v in operands]) for operands, name in lines]
    assert read(data) == meant
    stream = DecodedStreamObject()
    stream.set_data(data)
    theirs = ContentStream(stream, None).operations
    assert [(n.decode("latin-1"), [plain(o) for o in ops]) for ops, n in theirs] == meant
