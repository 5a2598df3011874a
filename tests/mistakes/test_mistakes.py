"""A hundred mistakes of a hurried maker: each gets its sentence, from the command she would run."""

from __future__ import annotations

import datetime
import itertools
import re
import types
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from label_mistakes import LABEL_MISTAKES
from mistake import Change, Mistake, unfolded
from order_mistakes import ORDER_MISTAKES
from recipe_mistakes import RECIPE_MISTAKES
from sample_copies import copy_sample

from labelkit import cli
from labelkit.cli import plan, preflight, proof, sheet

SAMPLES = Path(__file__).parents[2] / "samples"
MISTAKES = (*RECIPE_MISTAKES, *LABEL_MISTAKES, *ORDER_MISTAKES)
TODAY = datetime.date(2027, 1, 10)
"""Before every sample's last day to begin."""

Answer = tuple[int, str]
Run = Callable[[str], Answer]
Event = Callable[[Mistake], Path]


class Day(datetime.date):
    @classmethod
    def today(cls) -> datetime.date:  # type: ignore[override]
        return TODAY


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command line on that day; its exit code and all that it prints, on both streams."""
    frozen = types.ModuleType("datetime")
    vars(frozen).update(vars(datetime) | {"date": Day})
    for command in (plan, preflight, proof, sheet):
        monkeypatch.setattr(command, "dt", frozen)

    def answer(line: str) -> Answer:
        with pytest.raises(SystemExit) as ended:
            cli.main(line.split())
        printed = capsys.readouterr()
        return int(ended.value.code or 0), unfolded(printed.out + printed.err)

    return answer


@pytest.fixture
def event(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Event:
    """Copies a mistake's sample, with those whose files are named, and goes to it."""

    copies = itertools.count()

    def copy(mistake: Mistake) -> Path:
        events = tmp_path / f"events-{next(copies)}"
        label = (SAMPLES / mistake.sample / "label.toml").read_text("utf-8")
        named = re.findall(r'"\.\./([\w-]+)/', f"{label}{mistake.steps}")
        for sample in {mistake.sample, *named}:
            copy_sample(SAMPLES / sample, events / sample)
        monkeypatch.chdir(events / mistake.sample)
        return Path()

    return copy


def done(mistake: Mistake, event: Path, run: Run) -> Answer:
    """What the last command answers."""
    answer = (0, "")
    for step in mistake.steps:
        if isinstance(step, Change):
            step.make(event)
        else:
            answer = run(step.replace("CODE", code(run) if "CODE" in step else ""))
    return answer


def code(run: Run) -> str:
    found = re.search(r"(?:Order|Commande) (\w{4}-\w{4})", run("preflight label.toml")[1])
    assert found
    return found[1]


def test_there_are_a_hundred_of_them() -> None:
    assert len(MISTAKES) >= 100
    assert len({m.did for m in MISTAKES}) == len(MISTAKES)


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda m: m.did)
@pytest.mark.usefixtures("no_ways_out")
def test_it_is_told(mistake: Mistake, event: Event, run: Run) -> None:
    ended, told = done(mistake, event(mistake), run)
    assert mistake.told in told
    assert ended == mistake.code


def test_it_is_not_said_without_the_mistake(event: Event, run: Run) -> None:
    """A sentence that any order gets would tell nothing."""
    answers: dict[tuple[str, tuple[str, ...]], str] = {}
    for mistake in MISTAKES:
        commands = tuple(step for step in mistake.steps if isinstance(step, str))
        key = mistake.sample, commands
        if len(commands) == len(mistake.steps) or "changed" in commands[-1]:
            continue  # the mistake is the command itself
        if key not in answers:
            answers[key] = done(replace(mistake, steps=commands), event(mistake), run)[1]
        assert mistake.told not in answers[key], mistake.did


# -- in the maker's language -----------------------------------------------------------------------

ENGLISH = re.compile(
    r"\b(?<!-)(the|is|are|not|must|with|only|which|missing|needs|without|least|print|by|of|for|from|"
    r"expected|unknown|such|did|you|mean|write|stands|has|read|labels|weight|and|this)\b",
    re.IGNORECASE,
)
"""Words that no French line has."""
OWN = ("Oat, honey and sea buckthorn", "pure tripalmitin is 208.5 by calculation")
"""The sample's name of its recipe, and a source as the table of materials has it."""


def speak_french(maker: Path) -> None:
    """Says in the maker's file that she reads French."""
    text = maker.read_text("utf-8") if maker.is_file() else ""
    before, plan, after = text.partition("[plan]\n")
    maker.write_text(f'{before}\n{plan or "[plan]"}\nlanguage = "fr"\n{after}', "utf-8")


def english_in(told: str) -> list[str]:
    """English sentences in what was told; what she typed, her own words and file names aside."""
    own = r"«[^»]*»|“[^”]*”|\"[^\"]*\"|'[^']*'|`[^`]*`|\{[^}]*\}|\([^()]*\)|\S*[_./]\S*|\[\S*"
    for words in OWN:
        told = told.replace(words, "")
    bare = re.sub(own, "", told)
    return [sentence for sentence in re.split(r"(?<=[.;:])\s", bare) if ENGLISH.search(sentence)]


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda m: m.did)
@pytest.mark.quick(20)
def test_it_is_told_in_french(
    mistake: Mistake, event: Event, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LC_ALL", "fr_CA.UTF-8")
    folder = event(mistake)
    speak_french(folder / "maker.toml")
    steps = [
        re.sub(r"^(preflight|plan|proof)\b(?!.*--language)", r"\1 --language fr", step)
        if isinstance(step, str)
        else step
        for step in mistake.steps
    ]
    ended, told = done(replace(mistake, steps=tuple(steps)), folder, run)
    assert ended == mistake.code
    if "En partie en anglais" not in told:  # of a region whose rules have no French
        assert "(en anglais)" not in told
        assert english_in(told) == []
