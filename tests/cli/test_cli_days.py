"""Days given as options, in every command that takes one."""

from __future__ import annotations

from pathlib import Path

import click
import pytest

from labelkit.cli import main
from labelkit.cli.days import parse_day_option

LABEL = Path(__file__).resolve().parent.parent.parent / "samples/lighthouse-supper/label.toml"
COMMANDS = {
    "plan": (("plan", LABEL), "--on"),
    "poured": (("plan", LABEL), "--poured"),
    "preflight": (("preflight", LABEL), "--on"),
    "declare": (("declare", LABEL.with_name("recipe.toml")), "--on"),
    "trace": (("trace", "L1", "--withdraw"), "--on"),
    "rules": (("rules",), "--stale"),
}


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("01-06-2027", "write 2027-06-01 if the day came first, 2027-01-06 if the month did"),
        ("13-06-2027", "write 2027-06-13"),  # there is no thirteenth month
        ("06/13/2027", "write 2027-06-13"),
        ("1 juin 2027", "write 2027-06-01"),
        ("2027-02-29", "there is no such day: February 2027 has 28 days"),
        ("saturday", "expected a day such as 2027-06-19"),
        ("0001-01-01", "expected a day from 1900 to 2999"),
    ],
)
def test_a_day_written_otherwise_is_one_line_with_how_to_write_it(
    command: str, written: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments, option = COMMANDS[command]
    with pytest.raises(SystemExit) as ended:
        main([*map(str, arguments), option, written])
    assert ended.value.code == 2
    shown = capsys.readouterr()
    assert (shown.out, shown.err) == ("", f"labelkit: {option}: {written!r}: {told}\n")


@pytest.mark.parametrize("text", ["20270601", "2027-W22-2", "2027-06", ""])
def test_other_ways_of_writing_a_day_are_not_guessed_at(text: str) -> None:
    with pytest.raises(click.BadParameter, match="expected a day such as 2027-06-19"):
        parse_day_option(text)


def test_a_day_without_its_noughts_is_a_day() -> None:
    assert parse_day_option("2027-6-1") == parse_day_option("2027-06-01")
