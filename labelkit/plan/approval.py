"""What was approved for a label and what was printed last: one small file beside the label spec.

Both are kept as words, not only as codes, so that a change can be told: what it was, what it is.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from labelkit.common.errors import InputError, UnreadableTextError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Day, FactList, Said, Term
from labelkit.common.text_match import find_closest
from labelkit.compose.fingerprint import (
    ASPECTS,
    DESIGN,
    LOGO,
    WHOLE_ORDER,
    ApprovedContent,
    Part,
    format_guest_name,
    parse_code,
)
from labelkit.model.runs import ELEMENTS, NEUTRAL
from labelkit.order.fields import SURFACES
from labelkit.order.label import MAX_LABELS
from labelkit.order.pieces import list_piece_kinds
from labelkit.order.reader import Table, read_toml

MAX_BYTES = 40_000_000
"""A hundred thousand names, twice."""
_ORDER = "order"
"""How the file calls the panel of what belongs to none."""
_APART = (*SURFACES, *list_piece_kinds())
_PANELS = {_ORDER: WHOLE_ORDER, "front": "front", "back": "back", **{s: s for s in _APART}}
MOST_TOLD, MOST_COMPARED = 12, 10_000
"""Names told one by one, and pairs of them looked at for one that corrects another."""


@dataclass(frozen=True, slots=True)
class KeptContent:
    """The content of an order as it was on a day."""

    code: str
    on: dt.date
    content: ApprovedContent


@dataclass(frozen=True, slots=True)
class Approval:
    """What is known of an order's approval and of its last printing."""

    approved: KeptContent | None = None
    printed: KeptContent | None = None


@dataclass(frozen=True, slots=True)
class ContentChange:
    """A part that is otherwise than it was; an empty text: it was not there, or is not."""

    part: Part
    before: str
    now: str


@dataclass(frozen=True, slots=True)
class ContentChanges:
    """How the content of an order differs from an older one of it."""

    parts: tuple[ContentChange, ...] = ()
    added: tuple[str, ...] = ()
    """Guests' names, as often as there are more of them."""
    removed: tuple[str, ...] = ()
    guests: tuple[int, int] | None = None
    """Before and now, where there are others of them and no names."""
    layouts: tuple[str, str] = ("", "")
    """Before and now."""

    @property
    def reprints(self) -> bool:
        """Whether something on a label is otherwise."""
        return bool(self.parts or self.added or self.removed)

    def __bool__(self) -> bool:
        return self.reprints or self.guests is not None


def approval_path_of(label: Path) -> Path:
    """Where approval and printing of a label spec are kept: label.approval.toml for label.toml."""
    return label.with_name(f"{label.stem}.approval.toml")


def approve_content(
    approval: Approval, content: ApprovedContent, code: str, on: dt.date
) -> Approval:
    """The approval of what a code stands for; InputError where the order is otherwise by now."""
    try:
        meant = parse_code(code)
    except UnreadableTextError as error:
        raise InputError("--approved", "", code, error.told) from error
    if meant != content.code:
        expected = Said(
            "the code of this order is {code} as it stands now; approve the proof that says so",
            code=content.code,
        )
        raise InputError("--approved", "", meant, expected)
    return replace(approval, approved=KeptContent(meant, on, content))


# -- what has changed ------------------------------------------------------------------------------


def compare_contents(old: ApprovedContent, new: ApprovedContent) -> ContentChanges:
    """What is otherwise in ``new``, panel by panel."""
    keys = sorted(old.parts.keys() | new.parts.keys(), key=_part_rank)
    parts = tuple(
        ContentChange(key, old.parts.get(key, ""), new.parts.get(key, ""))
        for key in keys
        if old.parts.get(key) != new.parts.get(key)
    )
    counted, now = Counter(old.names), Counter(new.names)
    named = bool(old.names or new.names)
    guests = None if named or old.guests == new.guests else (old.guests, new.guests)
    return ContentChanges(
        parts,
        tuple(sorted((now - counted).elements())),
        tuple(sorted((counted - now).elements())),
        guests,
        (old.layout, new.layout),
    )


_KNOWN = (*ASPECTS, *ELEMENTS)


def _part_rank(part: Part) -> tuple[int, int, str]:
    """Where a part stands among others: panels in order, aspects before words."""
    panel, what, language = part
    return (list(_PANELS.values()).index(panel), _KNOWN.index(what), language)


def describe_changes(changes: ContentChanges) -> Iterator[Said]:
    """The changes in a line each, the old words before the new ones."""
    for change in changes.parts:
        yield _describe_part_change(change, changes.layouts)
    yield from _describe_name_changes(changes)
    if changes.guests is not None:
        before, now = changes.guests
        yield Said("guests: {before} before, {now} now", before=before, now=now)


def _describe_part_change(change: ContentChange, layouts: tuple[str, str]) -> Said:
    what = change.part[1]
    facts = {"where": _describe_part(change.part), "before": change.before, "now": change.now}
    if what == DESIGN:
        facts |= dict(zip(("before", "now"), layouts, strict=True))
        if facts["before"] == facts["now"]:
            return Said("{where}: layout {now} is not as it was", **facts)
        return Said("{where}: layout {before} before, {now} now", **facts)
    if change.before and change.now:
        if what == LOGO:
            return Said("{where}: another picture", **facts)
        return Said("{where}: “{before}” before, “{now}” now", **facts)
    if what == LOGO:
        return Said("{where}: added" if change.now else "{where}: left out", **facts)
    return Said("{where}: “{now}” added" if change.now else "{where}: “{before}” left out", **facts)


def _describe_part(part: Part) -> Said:
    """Where something stands: the panel, what it is, and in which language."""
    panel, what, language = part
    place = [Term("panel", panel), Term("part", what)] if panel else [Term("part", what)]
    if language in ("", NEUTRAL):
        return Said("{place}", place=FactList(place))
    return Said("{place} ({language})", place=FactList(place), language=language)


def _describe_name_changes(changes: ContentChanges) -> Iterator[Said]:
    """Corrections first, each beside the name it is like; then who came and who is gone."""
    removed, added = list(changes.removed), list(changes.added)
    lines: list[Said] = []
    for name in changes.added if len(added) * len(removed) <= MOST_COMPARED else ():
        if near := find_closest(name, removed):
            removed.remove(near)
            added.remove(name)
            lines.append(Said("guest: “{before}” before, “{now}” now", before=near, now=name))
    lines += [Said("guest: “{now}” added", now=name) for name in added]
    lines += [Said("guest: “{before}” left out", before=name) for name in removed]
    yield from lines[:MOST_TOLD]
    if len(lines) > MOST_TOLD:
        yield Said("and {count} more guests", count=len(lines) - MOST_TOLD)


# -- what may and what has to be printed -----------------------------------------------------------


def list_unapproved(
    approval: Approval, content: ApprovedContent, names: Iterable[str]
) -> tuple[Said, ...]:
    """What the labels of these guests say otherwise than was approved; nothing where they say the
    same, or nothing was ever approved."""
    kept = approval.approved
    if kept is None:
        return ()
    changes = compare_contents(kept.content, content)
    new = Counter(map(format_guest_name, names)) - Counter(kept.content.names)
    if not changes.parts and not new:
        return ()
    head = Said(
        "changed since it was approved on {on} as {approved}; it is {code} now:",
        on=Day(kept.on),
        approved=kept.code,
        code=content.code,
    )
    return (head, *describe_changes(changes))


def describe_standing(approval: Approval, content: ApprovedContent) -> Said:
    """The order's code and whether it is approved, in a line."""
    kept = approval.approved
    if kept is None:
        return Said(
            "Order {code}: no approval is recorded (labelkit proof --approved CODE)",
            code=content.code,
        )
    changes = compare_contents(kept.content, content)
    facts = {"code": content.code, "on": Day(kept.on)}
    if not changes:
        return Said("Order {code}, approved on {on}", **facts)
    return Said(
        "Order {code}; approved on {on} was {approved}. Since then: {changes}",
        **facts,
        approved=kept.code,
        changes=FactList(describe_changes(changes), ";"),
    )


def list_unprinted(
    printed: KeptContent, content: ApprovedContent, names: Iterable[str]
) -> tuple[str, ...]:
    """Those of the names, in their order, of which not as many labels were printed as there are."""
    lacking = Counter(content.names) - Counter(printed.content.names)
    found: list[str] = []
    for name in names:
        if lacking[format_guest_name(name)]:
            lacking[format_guest_name(name)] -= 1
            found.append(name)
    return tuple(found)


def add_printed(
    approval: Approval, content: ApprovedContent, names: Iterable[str] | None, on: dt.date
) -> Approval:
    """What is known once labels were printed: all of them, or those of some guests.

    Labels of some guests join those printed before where both say the same, names apart; elsewhere
    what was known stays, and all are held to be printed otherwise.
    """
    if names is None:
        return replace(approval, printed=KeptContent(content.code, on, content))
    former = approval.printed
    if former is None or compare_contents(former.content, content).parts:
        return approval
    before, asked = Counter(former.content.names), Counter(map(format_guest_name, names))
    wanted = Counter(content.names)
    now = before | ((before + asked) & wanted)
    kept = replace(former.content, names=tuple(sorted(now.elements())), layout=content.layout)
    return replace(approval, printed=KeptContent(content.code, on, kept))


# -- the file --------------------------------------------------------------------------------------


def read_approval(label: Path) -> Approval:
    """What the file of a label spec holds, nothing where there is none; InputError if damaged."""
    path = approval_path_of(label)
    if not path.exists():
        return Approval()
    table = read_toml(path, Said("the file of a label's approval"), MAX_BYTES)
    kept = {
        name: _parse_kept_content(table.table(name))
        for name in ("approved", "printed")
        if table.has(name)
    }
    table.done()
    return Approval(kept.get("approved"), kept.get("printed"))


def _parse_kept_content(table: Table) -> KeptContent:
    code, on = table.text("code"), table.date("on")
    names = str(table.raw("guest_names", "")).split("\n")[:-1]
    guests = table.integer("guests")
    if guests > MAX_LABELS:
        expected = Said("a whole number from {least} to {most}", least=0, most=MAX_LABELS)
        table.wrong("guests", guests, Said("expected {expected}", expected=expected))
    layout = table.text("layout", "")
    parts: dict[Part, str] = {}
    for heading, panel in _PANELS.items():
        if table.has(heading):
            parts.update(_parse_parts(table.table(heading), panel))
    table.done()
    return KeptContent(code, on, ApprovedContent(parts, tuple(names), guests, layout))


def _parse_parts(table: Table, panel: str) -> Iterator[tuple[Part, str]]:
    for what in table.names():
        if what not in _KNOWN:
            table.unknown(what, _KNOWN, Said("part of a label"))
        value = table.raw(what)
        plain = NEUTRAL if what in ELEMENTS else ""
        for language, text in (value if isinstance(value, dict) else {plain: value}).items():
            yield (panel, what, language), str(text)


def format_approval(approval: Approval) -> str:
    """The text of the file, as ``read_approval`` reads it."""
    lines = [
        "# What the customer approved and which labels were printed last. This is written by",
        "# `labelkit proof --approved CODE` and `labelkit sheet`. To take an approval back, delete",
        "# all that stands under [approved].",
        "labelkit = 1",
    ]
    for name, kept in (("approved", approval.approved), ("printed", approval.printed)):
        if kept is not None:
            lines += _format_kept_content(name, kept)
    return "\n".join(lines) + "\n"


def _format_kept_content(name: str, kept: KeptContent) -> Iterator[str]:
    content = kept.content
    yield from ("", f"[{name}]", f"code = {_quote_text(kept.code)}", f"on = {kept.on.isoformat()}")
    if content.layout:
        yield f"layout = {_quote_text(content.layout)}"
    yield f"guests = {content.guests}"
    if content.names:
        yield from ('guest_names = """', *map(_escape_toml, content.names), '"""')
    for heading, panel in _PANELS.items():
        lines = list(_format_panel(content.parts, panel))
        if lines:
            yield from ("", f"[{name}.{heading}]", *lines)


def _format_panel(parts: Mapping[Part, str], panel: str) -> Iterator[str]:
    words: dict[str, dict[str, str]] = {}
    for part in sorted((part for part in parts if part[0] == panel), key=_part_rank):
        words.setdefault(part[1], {})[part[2]] = parts[part]
    for what, texts in words.items():
        if set(texts) <= {"", NEUTRAL}:
            yield f"{what} = {_quote_text(next(iter(texts.values())))}"
        else:
            yield f"{what} = {{ {_format_inline_table(texts.items())} }}"


def _format_inline_table(texts: Iterable[tuple[str, str]]) -> str:
    return ", ".join(f"{language} = {_quote_text(text)}" for language, text in texts)


def _quote_text(text: str) -> str:
    return f'"{_escape_toml(text)}"'


def _escape_toml(text: str) -> str:
    """A text inside a basic string of TOML 1.0."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return "".join(c if c.isprintable() else f"\\U{ord(c):08X}" for c in escaped)
