"""Every key of every file, as a page to read in the maker's language (Markdown)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import astuple
from decimal import Decimal

from labelkit.common.quantity import format_report_number
from labelkit.order.fields import FILES, LAYOUT, STOCK, Field, FieldTable, load_file_tables
from labelkit.order.schema import KINDS
from labelkit.report.catalogues import FIELDS, load_catalogue
from labelkit.report.phrasebook import choose_locale

SOURCE = "en"
_HEADS = ("key", "what stands there", "such as", "unless given")


def format_reference_page(language: str = SOURCE) -> str:
    """The page in a language; what has no words in it stands there as it is written in a file."""
    return "\n".join(_ReferencePage(language).list_lines()).rstrip() + "\n"


class _ReferencePage:
    """Says each text by its English; keys, examples and values stay as they are typed."""

    def __init__(self, language: str) -> None:
        self._words = {} if language == SOURCE else load_catalogue(language, FIELDS)
        self._locale = "" if language == SOURCE else choose_locale(language)

    def list_lines(self) -> Iterator[str]:
        yield from (f"# {self._say('Every key of every file')}", "")
        yield from (self._say("In the files themselves a point is the decimal mark."), "")
        for file, tables in load_file_tables().items():
            title = f"{file[:1].upper()}{file[1:]}" if file in (STOCK, LAYOUT) else file
            yield from (f"## {self._say(title)}", "")
            told: dict[str, str] = {}
            for name, table in tables.items():
                first = told.setdefault(FILES[file].get(name, ""), name)
                if first == name:
                    yield from self._list_section(file, name, table)
                else:
                    yield from (f"### {_put_in_brackets(name, table)}", "")
                    same = self._say("The same keys as in {table}.")
                    yield from (same.format(table=_put_in_brackets(first, table)), "")

    def _list_section(self, file: str, name: str, table: FieldTable) -> Iterator[str]:
        if name.split(".")[0] == "plan" and file != "label.toml":
            if name == "plan":
                same = self._say("The same keys as in label.toml, but for [[plan.sent]].")
                yield from ("### [plan]", "", same, "")
            return
        if name:
            yield from (f"### {_put_in_brackets(name, table)}", "", self._say(table.about), "")
        if not table.fields:
            return
        yield from (f"| {' | '.join(map(self._say, _HEADS))} |", "|---|---|---|---|")
        for key, field in table.fields.items():
            example = f"`{field.example}`" if field.example else ""
            default = self._say("needed" if field.needed else field.default)
            yield f"| `{key}` | {self._describe(field)} | {example} | {default} |"
        yield ""

    def _describe(self, field: Field) -> str:
        about = self._say(field.about)
        limits = "".join(f", {limit}" for limit in self._list_limits(field))
        return f"{about[:1].upper()}{about[1:]} ({self._describe_kind(field)}{limits})"

    def _describe_kind(self, field: Field) -> str:
        listed = ", ".join(field.one_of)
        if field.kind == "ink":
            return self._say("a colour in sRGB, or one of {listed}").format(listed=listed)
        if field.one_of:
            return self._say("one of {listed}").format(listed=listed)
        return self._say(KINDS[field.kind].written)

    def _list_limits(self, field: Field) -> Iterator[str]:
        unit = self._say(field.unit or ("%" if field.kind == "share" else ""))
        if field.range:
            least, most = map(self._write, astuple(field.range))
            limits = self._say("{least} to {most} {unit}")
            yield limits.format(least=least, most=most, unit=unit).rstrip()
        elif unit:
            yield self._say("in {unit}").format(unit=unit)

    def _say(self, text: str) -> str:
        return self._words.get(("", text), text)

    def _write(self, number: Decimal) -> str:
        """A limit as the language writes it; in English as it would be typed."""
        return format_report_number(number, self._locale) if self._locale else str(number)


def _put_in_brackets(name: str, table: FieldTable) -> str:
    return f"[[{name}]]" if table.is_list else f"[{name}]"
