"""One open order at the desk: what the page shows of it, and what it does with it.

Every answer is a mapping that becomes JSON. Whoever asks waits for the lock: one writer at a time.
"""

from __future__ import annotations

import datetime as dt
import re
import threading
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import labelkit
from labelkit.common.errors import FitError, InputError, LabelkitError
from labelkit.compose.job import Job
from labelkit.desk.order_texts import About, Edit, OrderTexts, show_value
from labelkit.desk.reading import Mistake, Reading, place_mistakes, read_half_typed
from labelkit.desk.rooms import find_place, name_element, name_field, name_fields
from labelkit.desk.window import put_in_window
from labelkit.desk.words import Words
from labelkit.job.api import Checked, CheckedPanel, draw_front, draw_panels
from labelkit.job.missing import (
    drop_present_elements,
    list_missing_elements,
    place_missing_words,
)
from labelkit.order.fields import FIELDS, find_named_fields
from labelkit.order.label import LabelSpec
from labelkit.order.maker import trace_path_of
from labelkit.order.order import Order
from labelkit.order.write_back import WriteBackError, read_values
from labelkit.report.advice import explain_advice, list_advice_ids
from labelkit.report.findings import (
    ELEMENT_KEYS,
    WORDS_OF_A_SIDE,
    FindingWords,
    WordedFinding,
    find_field,
    load_finding_words,
)
from labelkit.report.phrasebook import choose_locale
from labelkit.report.speech import Speech
from labelkit.rules.findings import Finding

Answer = dict[str, Any]


@dataclass
class Desk:
    """An order that lies open."""

    label: Path
    language: str = "en"
    lock: threading.RLock = field(default_factory=threading.RLock)

    def __post_init__(self) -> None:
        self.texts = OrderTexts(self.label)
        self._good: dict[str, bytes] = {}
        """The texts of the last time that nothing real was wrong with them."""
        self._described: tuple[tuple[Any, ...], Answer] | None = None
        """What was last told of an order: what is saved at a pause was shown a moment before, and a
        space at the end of a name says nothing new."""
        self._looked: tuple[tuple[Any, ...], Reading] | None = None
        """What was last read for a layout: all of them are drawn of one reading."""
        self._drawn: tuple[Mapping[str, bytes], Reading] | None = None
        """What was last read to be drawn: it is judged next."""
        self._lacking: dict[str, tuple[str, ...]] = {}
        """The elements that each panel was last found to lack."""
        self.asked_at = 0.0
        """When something was last to be shown, by the monotonic clock."""

    def note_asked(self) -> None:
        """Work ahead waits for a while."""
        self.asked_at = time.monotonic()

    @property
    def say(self) -> Words:
        return Words(self.language)

    # -- showing and typing

    def draw(self, edits: Sequence[Edit]) -> Answer:
        """The label alone with some edits laid over its files, as ``show`` tells it, but unjudged.

        No ``panels`` where there is nothing to set them of.
        """
        with self.lock, suppress(LabelkitError):
            texts = self.texts.lay_over(edits).texts
            reading = self._read(texts)
            self._drawn = texts, reading
            if reading.order is not None:
                return self._describe_unjudged(reading.order, reading)
        return {"panels": []}

    def show(self, edits: Sequence[Edit] = (), save: bool = False) -> Answer:
        """The order with some edits: laid over its files, or written into them.

        What cannot be read is never written: it stays with the page until it can be.
        """
        with self.lock:
            laid = self.texts.lay_over(edits)
            drawn, self._drawn = self._drawn, None
            as_drawn = drawn is not None and drawn[0] == laid.texts
            reading = drawn[1] if drawn and as_drawn else self._read(laid.texts)
            kept = [edit for edit in edits if not _is_held(edit, reading, laid.conflicts)]
            if save and kept:
                fine = laid if len(kept) == len(edits) else self.texts.lay_over(kept)
                self.texts.save(fine.texts, [(edit.file, edit.keys, edit.do) for edit in kept])
            answer = self._describe(reading)
            answer["saved"] = [[edit.file, list(edit.keys)] for edit in kept] if save else []
            answer["conflicts"] = [
                {"file": c.edit.file, "keys": list(c.edit.keys), "mine": c.edit.value,
                 "theirs": c.theirs} for c in laid.conflicts
            ]  # fmt: skip
            speech = self._speech()
            answer["mistakes"] += [
                {
                    "file": edit.file,
                    "keys": list(edit.keys),
                    "message": _finish(speech.sentence(why)),
                }
                for edit, why in laid.refused
            ]
            answer["values"] = self._values()
            return answer

    def _read(self, texts: Mapping[str, bytes]) -> Reading:
        reading = read_half_typed(self.texts.paths(texts.get("label")), texts, self._good)
        if reading.order is not None and all(mistake.blank for mistake in reading.mistakes):
            self._good = dict(texts)
        return reading

    def read_order(self) -> Order:
        """The order as its files say it; InputError where something is wrong or still blank."""
        return labelkit.read_order(self.label)

    def _values(self) -> Answer:
        """What each file says, as it stands on the disk."""
        values: Answer = {}
        for name, text in self.texts.read().items():
            with suppress(WriteBackError):
                values[name] = show_value(read_values(text))
        return values

    def _speech(self, regions: Iterable[str] = ()) -> Speech:
        return Speech(self.language, choose_locale(self.language, *regions))

    # -- what is shown

    def _describe(self, reading: Reading) -> Answer:
        answer: Answer = {
            "version": self.texts.version(),
            "undo": self.texts.steps,
            "redo": self.texts.undone,
            "mistakes": [self._word_mistake(m) for m in reading.mistakes],
            "blanks": sum(m.blank for m in reading.mistakes),
            "panels": [],
            "findings": [],
            "list": None,
            "code": "",
            "fit": False,
        }
        if reading.order is None:
            if reading.trouble is not None:
                answer["mistakes"].append(self._word_trouble(reading.trouble))
            return answer
        today = dt.date.today()
        own = set(self.texts.paths().values())  # what these say is in the order, word for word
        others = [file for file in reading.order.inputs if file.path not in own]
        marks = (others, reading.order, reading.ghosts, reading.whole, self.language, today,
                 _find_mark(trace_path_of(reading.order.spec.maker.path)))  # fmt: skip
        if self._described is None or self._described[0] != marks:
            try:
                checked = labelkit.check(reading.order, today=today, with_ways_out=False)
            except InputError as error:  # what only making it shows: an oil nobody knows
                answer["mistakes"] += [
                    self._word_mistake(one) if one.file else self._word_trouble(one.error)
                    for one in place_mistakes(error, self.texts.paths())
                ]
                return answer
            except LabelkitError as error:
                answer["mistakes"].append(self._word_trouble(error))
                return answer
            self._described = (marks, self._describe_checked(checked, reading))
        return {**answer, **self._described[1]}

    def _describe_checked(self, checked: Checked, reading: Reading) -> Answer:
        spec = checked.job.spec
        words = load_finding_words(spec.regions, self.language)
        ghosts = frozenset(_list_ghost_elements(reading))
        self._lacking = {one.name: list_missing_elements(checked, one) for one in checked.panels}
        panels = self._place_missing(checked.job, checked.panels, words)
        return {
            "title": next(iter(spec.event.names.values()), ""),
            "weekday": ""
            if ("label", ("event", "date")) in reading.ghosts
            else words.say.date(spec.event.date, "full"),
            "languages": list(spec.languages),
            "layout": spec.layout,
            "labels": spec.event.labels,
            "guestNames": list(spec.event.guest_names[:1000]),
            **self._describe_label(checked.job, panels, words, ghosts),
            "pieces": [self._describe_panel(one, words, ghosts) for one in checked.pieces],
            "findings": [
                _describe_finding(finding, words, panels, spec)
                for finding in checked.report.findings
                if finding.element not in ghosts  # of words that are not hers yet
            ]
            + (self._list_plan_findings(checked.job) if reading.whole else []),
            "list": _describe_list(checked, words),
            "summary": words.summary(checked.report),
            "fit": checked.fit_to_print and reading.whole,
        }

    def _list_plan_findings(self, job: Job) -> list[Answer]:
        from labelkit.desk.plan_view import list_plan_findings

        return list_plan_findings(job, dt.date.today(), self.language)

    def _describe_unjudged(self, order: Order, reading: Reading) -> Answer:
        """The label with what it was last found to lack, as far as it still does."""
        job, panels = draw_panels(order)
        self._lacking = {
            one.name: drop_present_elements(self._lacking.get(one.name, ()), one) for one in panels
        }
        words = load_finding_words(order.spec.regions, self.language)
        ghosts = frozenset(_list_ghost_elements(reading))
        return self._describe_label(job, self._place_missing(job, panels, words), words, ghosts)

    def _describe_label(
        self,
        job: Job,
        panels: Iterable[CheckedPanel],
        words: FindingWords,
        ghosts: frozenset[str],
    ) -> Answer:
        """The sides, and what they lie on."""
        return {
            "soapColour": job.spec.product.soap_colour or "",
            "stockColour": job.stock.colour or "",
            "clear": job.facts.clear_stock,
            "panels": [self._describe_side(panel, job.spec, words, ghosts) for panel in panels],
        }

    def _place_missing(
        self, job: Job, panels: Iterable[CheckedPanel], words: FindingWords
    ) -> list[CheckedPanel]:
        """Panels with the names of what they lack where the words would stand."""
        return [
            place_missing_words(job, one, self._name_lacking(one.name, words)) for one in panels
        ]

    def _name_lacking(self, panel: str, words: FindingWords) -> dict[str, str]:
        return {e: name_element(e, words.speech) for e in self._lacking[panel]}

    def _describe_side(
        self, panel: CheckedPanel, spec: LabelSpec, words: FindingWords, ghosts: frozenset[str]
    ) -> Answer:
        return {
            **self._describe_panel(panel, words, ghosts),
            "lacking": self._name_lacking(panel.name, words),
            "fields": _list_fields(panel, spec, words),
        }

    def _describe_panel(
        self, panel: CheckedPanel, words: FindingWords, ghosts: frozenset[str]
    ) -> Answer:
        shown = panel.panel or panel.roomy
        made: Answer = {
            "name": panel.name,
            "title": words.speech.term("panel", panel.name),
            "svg": panel.draw_svg(f"{panel.name}-", ghosts),
            "width": shown.width_mm if shown else 0,
            "height": shown.height_mm if shown else 0,
            "problem": "",
        }
        if panel.problem is not None:
            made["problem"] = _finish(words.speech.sentence(panel.problem.reason))
        return made

    def _word_trouble(self, error: LabelkitError) -> Answer:
        """What is no matter of one value."""
        message = _finish(self._speech().sentence(error.told))
        return {"file": "", "keys": [], "message": message, "blank": False, "where": ""}

    def _word_mistake(self, mistake: Mistake) -> Answer:
        if mistake.blank:
            message = self.say("Still to be filled in.")
        else:
            expected = self._speech().sentence(mistake.error.expected)
            message = _finish(name_fields(expected, self.say))
        return {
            "file": mistake.file,
            "keys": list(mistake.keys),
            "message": message,
            "blank": mistake.blank,
            "where": "" if mistake.keys else mistake.error.key,
            "offers": [] if mistake.blank else _list_offers(mistake.error),
        }

    # -- looks and sizes

    def draw_layout(self, name: str, edits: Sequence[Edit]) -> Answer:
        """The front in another layout, with her words."""
        with self.lock:
            marks = (list(edits), self.texts.version())
            if self._looked is None or self._looked[0] != marks:
                self._looked = (marks, self._read(self.texts.lay_over(edits).texts))
            reading = self._looked[1]
            if reading.order is None:
                return {"name": name, "svg": ""}
            from labelkit.common.resources import find_layouts_folder
            from labelkit.order.layout import find_layout, read_layout

            path = find_layout(name, self.label.parent, find_layouts_folder())
            layout = read_layout(path)
            order = replace(reading.order, layout=layout)
            ghosts = frozenset(_list_ghost_elements(reading))
            drawn = draw_front(order, f"look-{path.stem}-", ghosts)
            return {"name": name, "title": layout.title, "about": layout.about, **drawn}

    # -- undoing

    def undo(self, everything: bool = False) -> Answer:
        """Takes the last step back, or all of them; what was taken back is told."""
        with self.lock:
            if everything:
                self.texts.undo_all()
                return self.show()
            return self._tell_step(self.texts.undo())

    def redo(self) -> Answer:
        """Brings back the step that was taken back last; what came back is told."""
        with self.lock:
            return self._tell_step(self.texts.redo())

    def _tell_step(self, about: Iterable[About]) -> Answer:
        named = dict.fromkeys(find_place(file, keys, self.say) for file, keys, _ in about)
        return {**self.show(), "step": ", ".join(name for name in named if name)}


def _list_offers(error: InputError) -> list[str]:
    """What a complaint says to write instead, in quotes, where it is of her own figures: "38 g" for
    38, either reading of "1,200 g"."""
    if not isinstance(error.value, str | int | Decimal):
        return []
    figures = _pick_figures(str(error.value))
    offers = re.findall(r'"([^"]+)"', str(error.expected))
    return [one for one in offers if (own := _pick_figures(one)) and figures.startswith(own)]


def _pick_figures(text: str) -> str:
    return re.sub(r"\D", "", text).lstrip("0")


def _find_mark(path: Path) -> tuple[int, int]:
    """Changes whenever a file is written; of one that is not there (0, 0)."""
    try:
        state = path.stat()
    except OSError:
        return 0, 0
    return state.st_mtime_ns, state.st_size


def _is_held(edit: Edit, reading: Reading, conflicts: Iterable[Any]) -> bool:
    """Whether an edit stays with the page: it cannot be read, or somebody else was there first."""
    if any(conflict.edit is edit for conflict in conflicts):
        return True
    return any(
        mistake.file == edit.file and _meets(mistake.keys, edit.keys)
        for mistake in reading.mistakes
        if not mistake.blank
    )


def _meets(one: Sequence[Any], other: Sequence[Any]) -> bool:
    """Whether one key stands in the other, or is it."""
    short = min(len(one), len(other))
    return bool(short) and tuple(one[:short]) == tuple(other[:short])


def _list_ghost_elements(reading: Reading) -> Iterator[str]:
    """Elements of the label whose words are not hers yet."""
    named = {
        key.split(".", 1)[1] if key.startswith("maker.") else key: element
        for element, keys in ELEMENT_KEYS.items()
        for key in keys.split(", ")
    }
    for file, keys in reading.ghosts:
        if file == "recipe":
            yield "ingredients"
            continue
        key = ".".join(str(part) for part in keys[:2])
        short = key.removeprefix("maker.") if file == "maker" else key
        if short in named:
            yield named[short]
        elif keys and keys[0] in ("front", "back") and len(keys) > 1:
            yield str(keys[1]).replace("_", "-")


def _finish(sentence: str) -> str:
    """A sentence from capital to full stop."""
    text = sentence[:1].upper() + sentence[1:]
    return text if text.endswith((".", "!", "?", "…")) else f"{text}."


def _list_fields(panel: CheckedPanel, spec: LabelSpec, words: FindingWords) -> Answer:
    """What a side says or leaves out, field by field, with its name."""
    shown, side = panel.panel or panel.roomy, spec.front if panel.name == "front" else spec.back
    there = {run.element for run in shown.runs} if shown else set()
    return {e: name_element(e, words.speech) for e in FIELDS if e in there or e in side.leave_out}


def _describe_finding(
    finding: Finding, words: FindingWords, panels: Iterable[CheckedPanel], spec: LabelSpec
) -> Answer:
    told = words.of(finding)
    runs = {}
    for panel in panels:
        shown = panel.panel or panel.roomy
        if shown is not None and (found := finding.runs_on(shown)):
            runs[panel.name] = list(found)
    return {
        "level": str(finding.level),
        "levelName": told.level,
        "rule": told.rule,
        "region": finding.region,
        "panel": finding.panel,
        "panelName": told.panel,
        "element": finding.element,
        "elementName": name_element(finding.element, words.speech) if finding.element else "",
        "message": name_fields(told.message, Words(words.speech.language)),
        "measured": told.measured,
        "remedy": name_fields(
            words.speech.sentence(put_in_window(finding.remedy)), Words(words.speech.language)
        ),
        "source": _explain_source(finding, told, words.speech.language),
        "field": _locate_field(finding, spec),
        "runs": runs,
    }


def _explain_source(finding: Finding, told: WordedFinding, language: str) -> str:
    """The law that a finding stands on; of labelkit's own, what it asks and why."""
    if finding.rule in list_advice_ids():
        return " ".join(explain_advice(finding.rule, language))
    return told.source


def _locate_field(finding: Finding, spec: LabelSpec) -> list[Any]:
    """File and keys of the field that mends a finding; empty where it is no matter of one."""
    side = spec.front if finding.panel == "front" else spec.back
    if finding.element in side.leave_out:
        return ["label", ["front" if side is spec.front else "back", "leave_out"]]
    key = find_field(finding).split(", ")[0] or _guess_field(finding)
    if not key:
        return []
    file, keys = ("maker", key) if key.startswith("maker.") else ("label", key)
    if key.startswith("recipe"):
        return ["recipe", key.split(".")]
    return [file, keys.split(".")]


def _guess_field(finding: Finding) -> str:
    """Where the words of what it is about come from, also where they are no matter of words."""
    if finding.rule == "LABELKIT-FIT":
        return "label.trim"
    if finding.element in WORDS_OF_A_SIDE:
        side = "front" if finding.panel == "front" else "back"
        return f"{side}.{finding.element.replace('-', '_')}"
    if finding.element == "ingredients":
        return "recipe.name"
    return ELEMENT_KEYS.get(finding.element, "").split(", ")[0]


def _describe_list(checked: Checked, words: FindingWords) -> Answer:
    """The declared list: names with their shares, and what is not sure of it."""
    declaration, say = checked.job.declaration, words.say
    page = Words(words.speech.language)
    return {
        "lines": [
            {
                "name": line.name,
                "percent": f"{say.number(line.percent, 2)}\u00a0%",
                "range": f"{say.number(line.low_percent, 2)} – {say.number(line.high_percent, 2)}"
                if line.low_percent != line.high_percent
                else "",
                "sources": ", ".join(words.speech.term("material", one) for one in line.sources),
            }
            for line in declaration.lines
        ],
        "doubts": [
            {
                "level": doubt.level,
                "message": _finish(name_fields(words.speech.sentence(doubt.message), page)),
                "remedy": _finish(name_fields(words.speech.sentence(doubt.remedy), page))
                if doubt.remedy
                else "",
            }
            for doubt in declaration.doubts
        ],
        "superfat": f"{say.number(declaration.superfat.percent, 1)}\u00a0%"
        if declaration.superfat
        else "",
        "unfit": bool(declaration.unfit),
    }


def _name_key(error: InputError) -> str:
    """Where something is wrong; options of commands are none of the page's."""
    return "" if error.key.startswith("--") or error.file.startswith("--") else error.key


def _say_mistake(error: InputError, speech: Speech, say: Words) -> str:
    """A mistake in one sentence, with the page's name for the field that it is about."""
    key = _name_key(error)
    sentence = name_fields(speech.sentence(put_in_window(error.expected)), say)
    if key and find_named_fields(key):
        return say("{field}: {what}").format(field=name_field(key, say), what=_finish(sentence))
    return _finish(f"{key} {sentence}".strip())


def describe_error(error: LabelkitError, speech: Speech) -> Answer:
    """What went wrong, for the page."""
    if isinstance(error, InputError):
        say = Words(speech.language)
        told = [_say_mistake(one, speech, say) for one in (error, *error.others)]
        return {"error": " ".join(told)}
    if isinstance(error, FitError):
        return {"error": _finish(speech.sentence(error.reason))}
    return {"error": _finish(speech.sentence(error.told))}
