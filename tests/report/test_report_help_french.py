"""Pages of help in French: whole, with the same commands and options, set as French is set.

The words themselves are labelkit's own; what is checked of them is form.
"""

from __future__ import annotations

import io
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from command import labelkit

from labelkit.cli import COMMANDS, cli
from labelkit.cli.help_page import PLACEHOLDER, HelpContext, split_help
from labelkit.cli.voice import find_language
from labelkit.report.catalogues import HELP, load_catalogue

WORDS = load_catalogue("fr", HELP)
OF_THE_LIBRARY = {
    "Usage:", "Options:", "Commands:", "Show this message and exit.", "required", "default:",
    "Example:", "Examples:",
}  # fmt: skip
"""What click words itself (its source, 8.5), and how an example begins."""
KEPT = {"CODE", "ID", "LOT", "N", "LABEL.toml", "OFFER.toml", "OPTIONS", "RECIPE.toml"}
"""Placeholders that are the same in French."""
WIDTH = 78
"""click leaves two of a terminal's 80 columns free."""


def all_commands() -> dict[str, click.Command]:
    """Every command and those below it, by how it is typed."""
    found: dict[str, click.Command] = {"": cli}
    context = cli.context_class(cli)
    for name in COMMANDS:
        command = cli.get_command(context, name)
        assert command is not None
        found[name] = command
        if isinstance(command, click.Group):
            found |= {f"{name} {inner}": one for inner, one in command.commands.items()}
    return found


EVERY = all_commands()


def texts_of(command: click.Command) -> Iterator[str]:
    """What a command says of itself, paragraph by paragraph."""
    options = [p.help for p in command.params if isinstance(p, click.Option)]
    for text in (command.help, command.short_help, command.epilog, *options):
        yield from split_help(text) if text else ()


def all_texts() -> set[str]:
    lines = {line for _, line in COMMANDS.values()}
    return lines | {text for command in EVERY.values() for text in texts_of(command)}


@pytest.fixture
def french(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    """A French computer, in a folder without a maker's file."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("LC_ALL", "fr_CA.UTF-8")
    find_language.cache_clear()
    yield
    find_language.cache_clear()


def page_of(name: str) -> str:
    done = labelkit(*name.split(), "--help")
    assert done.returncode == 0
    return done.stdout


def test_every_text_of_every_command_has_french() -> None:
    texts = all_texts()
    assert len(texts) > 180
    examples = {text for text in texts if re.fullmatch(r"Examples?: labelkit [^,;]*", text)}
    pair = {text for text in texts if re.fullmatch(r"Examples: labelkit [^;]*; labelkit .*", text)}
    assert {t for t in texts - examples - pair if ("", t) not in WORDS} == set()
    assert {t for kind, t in WORDS if not kind} - texts == OF_THE_LIBRARY


def test_every_placeholder_has_french_or_is_the_same() -> None:
    shown = set()
    for name, command in EVERY.items():
        context = HelpContext(command, info_name=name)
        rows = [param.get_help_record(context) for param in command.params]
        first = [row[0] for row in rows if row] + command.collect_usage_pieces(context)
        shown |= {word for text in first for word in re.findall(r"[A-Z][A-Z-]*(?:\.[a-z]+)?", text)}
    known = {word for kind, word in WORDS if kind == PLACEHOLDER}
    assert shown - known - KEPT == set()
    assert known <= shown


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.usefixtures("french")
def test_a_french_page_has_no_english_sentence_and_keeps_its_width(name: str) -> None:
    page = page_of(name)
    told = " ".join(page.split())
    known = [english for kind, english in WORDS if not kind]
    assert [text for text in known if " " in text and text in told] == []
    assert not re.search(r"(?<![-\w])(the|and|of|with|this|from|Usage:|Example:)\s", told)
    for text in texts_of(EVERY[name]):
        if (spoken := WORDS.get(("", text))) and text != EVERY[name].short_help:
            assert "".join(spoken.split()) in "".join(told.split())
    assert max(map(len, page.splitlines())) <= WIDTH


def test_an_english_page_is_the_librarys_own(monkeypatch: pytest.MonkeyPatch) -> None:
    ours = {name: page_of(name) for name in EVERY}
    monkeypatch.setattr(HelpContext, "formatter_class", click.HelpFormatter)
    assert {name: page_of(name) for name in EVERY} == ours


def test_an_english_list_of_commands_reads_no_words() -> None:
    """It is to be there at once: the rooms that reports are made in stay unloaded."""
    seen = subprocess.run(
        [sys.executable, "-c", "import sys; from labelkit.cli import cli\n"
         "cli.main(['--help'], standalone_mode=False)\n"
         "print([name for name in sys.modules if name.startswith(('labelkit.report', 'babel'))])"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert seen.stdout.splitlines()[-1] == "[]"


def test_french_keeps_what_is_typed() -> None:
    """Options, files, tables and commands are the same in both languages."""
    same = r"--[a-z-]+|[\w-]+\.(?:toml|pdf)\b|\[+[a-z.]+\]+|`labelkit [a-z]+"
    for (kind, english), spoken in WORDS.items():
        if not kind:
            told = spoken.replace("FICHIER", "FILE").replace("mon-evenement", "my-event")
            assert sorted(re.findall(same, told)) == sorted(re.findall(same, english)), english


def test_what_stands_between_backticks_is_not_spaced() -> None:
    (page,) = (text for (_, text) in WORDS.items() if "schema label.schema.json" in text)
    assert "`#:schema label.schema.json`" in page


@pytest.mark.usefixtures("french")
def test_slips_on_the_command_line_are_told_in_french() -> None:
    assert labelkit("new").stderr == "labelkit: Il manque l’argument 'DOSSIER'.\n"
    told = labelkit("stock", "shw").stderr
    assert "aucune commande" in told
    assert "show" in told


@pytest.mark.usefixtures("french")
def test_an_answer_that_cannot_be_read_is_told_in_french_and_asked_again(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("court\n190 mm\n250 mm\n12 mm\n12 mm\n5 mm\n"))
    done = labelkit(
        "calibrate", "--page", "letter", "--printer", "test", "--maker", tmp_path / "maker.toml"
    )
    assert "court" in done.stderr
    assert "Error" not in done.stdout + done.stderr
    assert done.stdout.count("De croix à croix le long du bas") == 2
