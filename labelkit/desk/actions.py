"""What the page can ask for, each by its name: from an edit to the sheets."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any
from unicodedata import normalize

import labelkit
from labelkit.common.errors import InputError, LabelkitError
from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.common.regions import list_region_titles
from labelkit.common.resources import find_layouts_folder
from labelkit.desk.answers import find_code
from labelkit.desk.asked import read_edits, read_upload
from labelkit.desk.desk import Answer, Desk, describe_error
from labelkit.desk.order_texts import Edit
from labelkit.desk.tasks import Task, Tasks
from labelkit.desk.workplace import Workplace
from labelkit.formula.materials import load_materials
from labelkit.order.fields import POURS, load_table
from labelkit.order.inks import load_inks
from labelkit.order.layout import read_layout_title
from labelkit.order.stock import Stock, list_stocks
from labelkit.report.speech import Speech

MOST_MADE = 12
"""Proofs and sheets that are kept to be looked at."""
SHEETS = "sheets"
"""The folder of an event's sheets."""
GUESTS = "guests.csv"
POUR_NOTES = load_table(POURS, "pour").fields["notes"].one_of
"""The words for how a batch misbehaved."""
LOGOS = (".svg", ".png", ".jpg", ".jpeg")
Action = Callable[[str, Mapping[str, Any]], Answer]


@dataclass(frozen=True, slots=True)
class Made:
    """A file that was made for her to look at or to send."""

    name: str
    kind: str
    data: bytes


class Actions:
    """What a page of a workplace can ask for."""

    def __init__(self, place: Workplace) -> None:
        self._place = place
        self._tasks = Tasks()
        self._made: dict[int, Made] = {}
        self._numbers = itertools.count(1)
        self._actions: Mapping[str, Action] = {
            "show": self._show, "draw": self._draw, "layout": self._draw_layout, "undo": self._undo,
            "redo": self._redo, "pour": self._note_pour,
            "new": self._start_event, "settings": self._keep_settings,
            "guests": self._write_guests, "logo": self._keep_logo, "ways": self._try_ways,
            "proof": self._make_proof, "answer": self._take_answer, "sheets": self._make_sheets,
            "sheet": self._show_sheet, "recipes": self._list_recipes, "send": self._send_to_printer,
            "plan": self._make_plan,
            "record": self._record, "recall": self._recall, "task": self._ask_task,
            "stop": self._stop_task, "approval": self._tell_approval,
        }  # fmt: skip

    def find(self, name: str) -> Action | None:
        return self._actions.get(name)

    def find_made(self, number: int) -> Made | None:
        return self._made.get(number)

    def find_version(self, event: str) -> str:
        """Changes whenever somebody writes one of an event's files; "" for no event."""
        try:
            return self._place.desk(event).texts.version()
        except KeyError:
            return ""

    def _keep(self, name: str, kind: str, data: bytes) -> str:
        """Where the page finds something that was made."""
        number = next(self._numbers)
        self._made[number] = Made(name, kind, data)
        for old in list(self._made)[:-MOST_MADE]:
            del self._made[old]
        return f"made/{number}/{name}"

    # -- what can be chosen from

    def list_known(self) -> Answer:
        """What there is to choose from: designs, stock, regions, materials."""
        language = self._place.language
        speech = Speech(language, language)
        return {
            "layouts": [
                {"name": path.stem, "title": title, "about": say_title(about, speech)}
                for path in sorted(find_layouts_folder().glob("*.toml"))
                for title, about in [read_layout_title(path)]
            ],
            "stocks": [_describe_stock(stock, speech) for stock in list_stocks()],
            "regions": [
                {"value": code, "name": name_region(code, title, speech)}
                for code, title in list_region_titles().items()
            ],
            "countries": list_countries(language),
            "inks": {name: ink.value for name, ink in load_inks().items()},
            "materials": sorted(
                {material.name(language) for material in load_materials()}, key=str.casefold
            ),
        }  # fmt: skip

    # -- the order

    def _show(self, event: str, asked: Mapping[str, Any]) -> Answer:
        return self._ask_desk(event).show(read_edits(asked), bool(asked.get("save")))

    def _draw(self, event: str, asked: Mapping[str, Any]) -> Answer:
        return self._ask_desk(event).draw(read_edits(asked))

    def _ask_desk(self, event: str) -> Desk:
        """A desk of which something is to be shown now: work ahead waits."""
        desk = self._place.desk(event)
        desk.note_asked()
        return desk

    def _list_recipes(self, event: str, asked: Mapping[str, Any]) -> Answer:
        del asked
        found = list_recipes(self._place.desk(event).label)
        return {"recipes": [{"value": path, "name": name} for path, name in found]}

    def _draw_layout(self, event: str, asked: Mapping[str, Any]) -> Answer:
        name = str(asked["name"])
        if name not in {path.stem for path in find_layouts_folder().glob("*.toml")}:
            raise ValueError("no layout")
        return self._ask_desk(event).draw_layout(name, read_edits(asked))

    def _undo(self, event: str, asked: Mapping[str, Any]) -> Answer:
        return self._place.desk(event).undo(bool(asked.get("all")))

    def _redo(self, event: str, asked: Mapping[str, Any]) -> Answer:
        del asked
        return self._place.desk(event).redo()

    def _start_event(self, event: str, asked: Mapping[str, Any]) -> Answer:
        del event
        name = self._place.start_event(str(asked["title"]), str(asked.get("region", "")))
        if title := str(asked["title"]).strip():
            desk = self._place.desk(name)
            values = desk.show()["values"]["label"]["event"]["names"]
            edits = [Edit("label", ("event", "names"), dict.fromkeys(values, title), values)]
            desk.show(edits, save=True)
        return {"event": name, "events": self._place.list_events()}

    def _keep_settings(self, event: str, asked: Mapping[str, Any]) -> Answer:
        del event
        return self._place.keep_settings(dict(asked))

    def _write_guests(self, event: str, asked: Mapping[str, Any]) -> Answer:
        """Keeps pasted names as a list beside the label, and names it there."""
        desk, text = self._place.desk(event), str(asked["text"])
        path = desk.label.parent / GUESTS
        lines = [line.rstrip() for line in text.splitlines() if line.strip()]
        if not lines:
            raise InputError("", "", None, Said("there is no name in it"))
        with desk.lock:
            values = desk.show()["values"]["label"].get("event", {})
            edits = [Edit("label", ("event", "guest_list"), GUESTS, values.get("guest_list"))]
            if "guests" in values:
                edits.append(Edit("label", ("event", "guests"), None, values["guests"]))
            laid = desk.texts.lay_over(edits)
            data = ("\n".join(lines) + "\n").encode("utf-8")
            from labelkit.order.guests import read_guests
            from labelkit.order.laid_over import lay_texts_over

            with lay_texts_over({path: data}):
                listed = read_guests(path)
            kept = data
            if {note.kind for note in listed.notes} == {"marks"} and not listed.unread:
                plain = ("\n".join(listed.names) + "\n").encode("utf-8")
                with lay_texts_over({path: plain}):  # numbers and bullets are told now, once
                    again = read_guests(path)
                kept = plain if again[:3] == (listed.names, (), ()) else data
            paths = desk.texts.paths()
            files = {path: kept, paths["label"]: laid.texts["label"]}
            desk.texts.save_files(files)
            return {**desk.show(), "listed": list(listed.names), "cleaned": kept != data}

    def _keep_logo(self, event: str, asked: Mapping[str, Any]) -> Answer:
        """Keeps a picture beside the label and names it there, if it can be printed."""
        from labelkit.order.laid_over import lay_texts_over
        from labelkit.order.logo import read_logo

        desk = self._place.desk(event)
        name, data = read_upload(asked)
        if not name.lower().endswith(LOGOS):
            raise InputError("", "", None, Said("expected a picture: SVG, PNG or JPEG"))
        path = desk.label.parent / name
        with lay_texts_over({path: data}):
            read_logo(path)
        with desk.lock:
            was = desk.show()["values"]["label"].get("label", {}).get("logo")
            laid = desk.texts.lay_over([Edit("label", ("label", "logo"), name, was)])
            desk.texts.save_files({path: data, desk.label: laid.texts["label"]})
            return desk.show()

    def _try_ways(self, event: str, asked: Mapping[str, Any]) -> Answer:
        from labelkit.desk.ways_out import list_ways_out

        desk, edits = self._place.desk(event), read_edits(asked)
        return self._start(lambda task: {"ways": list(list_ways_out(desk, edits, task.report))})

    # -- proof and approval

    def _make_proof(self, event: str, asked: Mapping[str, Any]) -> Answer:
        from labelkit.desk.proof_page import make_proof_page

        desk = self._place.desk(event)
        language = str(asked.get("language") or self._place.language)

        def work(task: Task) -> Answer:
            with desk.lock:
                order = desk.read_order()
                proof = labelkit.make_proof(order, language)
                checked = labelkit.check(order)
            page = make_proof_page(checked, language)
            name = f"proof-{desk.label.parent.resolve().name}"
            made = {who: self._keep(f"{name}{'' if who == 'customer' else '-maker'}.pdf",
                                    "application/pdf", data)
                    for who, data in proof.parts.items()}  # fmt: skip
            task.report(1, 1)
            if "customer" in proof.parts:
                html = page.html.encode("utf-8")
                made["page"] = self._keep(f"{name}.html", "text/html; charset=utf-8", html)
            return {"made": made, "code": page.code, "fit": "customer" in proof.parts,
                    "notes": list(proof.notes)}  # fmt: skip

        return self._start(work)

    def _tell_approval(self, event: str, asked: Mapping[str, Any]) -> Answer:
        del asked
        from labelkit.compose.fingerprint import collect_content
        from labelkit.job.prepare import job_from_order
        from labelkit.plan.approval import compare_contents, describe_changes, read_approval

        desk = self._place.desk(event)
        with desk.lock:
            order = desk.read_order()
            content = collect_content(job_from_order(order))
            kept = read_approval(desk.label)
        changes = compare_contents(kept.approved.content, content) if kept.approved else None
        return {
            "code": content.code,
            "approved": kept.approved.code if kept.approved else "",
            "on": kept.approved.on.isoformat() if kept.approved else "",
            "changes": list(describe_changes(changes)) if changes else [],
            "printed": kept.printed.on.isoformat() if kept.printed else "",
        }

    def _take_answer(self, event: str, asked: Mapping[str, Any]) -> Answer:
        """Takes in a customer's answer: the code that stands in it, in whatever words."""
        desk = self._place.desk(event)
        code = find_code(str(asked["text"]))
        if not code:
            raise InputError("", "", None, Said("there is no order's code in it"))
        with desk.lock:
            if not labelkit.record_approval(desk.read_order(), code, dt.date.today()):
                raise InputError("", "", None, Said("the label is not fit to print"))
        return self._tell_approval(event, {})

    # -- sheets

    def _show_sheet(self, event: str, asked: Mapping[str, Any]) -> Answer:
        """The sheet or roll as it will be cut: every label's place, in millimetres."""
        del asked
        from labelkit.impose.layout import lay_out_page

        desk = self._place.desk(event)
        with desk.lock:
            order = desk.read_order()
        stock, spec = order.stock, order.spec
        page = lay_out_page(stock, spec.trim, spec.bleed_mm)
        return {
            "width": page.width_mm,
            "height": page.height_mm,
            "title": Speech(self._place.language, self._place.language).term("stock", stock.title),
            "colour": stock.colour or "",
            "partUsed": stock.ready_cut,
            "shape": spec.trim.shape,
            "labels": spec.event.labels,
            "positions": [
                [_box(box, page.height_mm) for box in boxes] for boxes in page.trims
            ],
            "dies": [_box(box, page.height_mm) for box in page.dies],
            "names": len(spec.event.guest_names),
        }  # fmt: skip

    def _make_sheets(self, event: str, asked: Mapping[str, Any]) -> Answer:
        desk = self._place.desk(event)
        wish = labelkit.Wish(
            start=int(asked["start"]) if asked.get("start") else None,
            skip=tuple(int(one) for one in asked.get("skip", ())),
            remember=bool(asked.get("remember")),
            changed=bool(asked.get("changed")),
            unapproved=bool(asked.get("unapproved")),
            draft=bool(asked.get("draft")),
            today=dt.date.today(),
        )
        folder = desk.label.parent / SHEETS

        def work(task: Task) -> Answer:
            with desk.lock:
                order = desk.read_order()
            made = labelkit.make_sheets(order, folder, wish, task.report)
            files = [
                {"name": path.name, "at": self._keep(path.name, "application/pdf",
                                                     path.read_bytes())}
                for path in made.files
            ]  # fmt: skip
            return {"files": files, "folder": str(folder), "refused": list(made.refused),
                    "warnings": list(made.warnings), "summary": list(made.summary),
                    "fit": made.report.verdict == "pass"}  # fmt: skip

        return self._start(work)

    def _send_to_printer(self, event: str, asked: Mapping[str, Any]) -> Answer:
        """Hands a finished sheet to the print queue, or says how to print it by hand."""
        from labelkit.pdf.write import printing

        desk, name = self._place.desk(event), str(asked["name"])
        path = desk.label.parent / SHEETS / name
        if "/" in name or "\\" in name or not path.is_file() or path.suffix != ".pdf":
            raise ValueError("no sheet")
        data = printing.read_pdf(path)
        page = printing.read_page_size(data, name)
        if not asked.get("ask") and printing.has_print_queue():
            command = printing.make_queue_command(page, "", 1, "")
            return {"sent": printing.send_to_queue(data, name, command), "queue": True}
        return {
            "queue": printing.has_print_queue(),
            "how": list(printing.describe_manual_printing(page)),
        }

    # -- plan and afterwards

    def _make_plan(self, event: str, asked: Mapping[str, Any]) -> Answer:
        from labelkit.desk.plan_view import describe_plan

        desk = self._place.desk(event)
        weights = [Decimal(str(one)) for one in asked.get("weights", ())]
        with desk.lock:
            order = desk.read_order()
        plan = labelkit.make_plan(order, dt.date.today(), weights)
        if not asked.get("pdf"):
            return describe_plan(plan, self._place.language)
        from labelkit.report.plan_pdf import draw_plan_pdf

        pages = tuple(str(one) for one in asked["pdf"])
        data = draw_plan_pdf(plan, self._place.language, pages)
        return {"at": self._keep(f"plan-{'-'.join(pages) or 'all'}.pdf", "application/pdf", data)}

    def _record(self, event: str, asked: Mapping[str, Any]) -> Answer:
        """Keeps the batch with its lots; with a day, that it was poured then."""
        from labelkit.desk.plan_view import describe_recording

        desk = self._place.desk(event)
        poured = dt.date.fromisoformat(asked["poured"]) if asked.get("poured") else None
        with desk.lock:
            plan = labelkit.make_plan(desk.read_order(), dt.date.today(), (), poured)
            return describe_recording(plan)

    def _note_pour(self, event: str, asked: Mapping[str, Any]) -> Answer:
        """Keeps how a poured batch went, where something is said of it; what is known of it."""
        from labelkit.desk.plan_view import describe_pour
        from labelkit.order.pours import PourNotes, keep_pour_notes, path_of_pours

        desk = self._place.desk(event)
        with desk.lock:
            plan = labelkit.make_plan(desk.read_order(), dt.date.today())
            lost, notes = asked.get("lost"), tuple(str(one) for one in asked.get("notes", ()))
            if not set(notes) <= set(POUR_NOTES) or not (lost is None or type(lost) is int):
                raise ValueError("no notes")
            if plan.is_poured and (lost is not None or notes):
                mould, path = plan.spec.making.mould, path_of_pours(plan.job.spec.maker.path)
                noted = PourNotes(plan.lot, "" if mould is None else mould.name, lost, notes)
                data = path.read_bytes() if path.is_file() else b""
                desk.texts.save_files({path: keep_pour_notes(data, noted)})
                plan = labelkit.make_plan(desk.read_order(), dt.date.today())
            return describe_pour(plan, POUR_NOTES, self._place.language)

    def _recall(self, event: str, asked: Mapping[str, Any]) -> Answer:
        from labelkit.desk.plan_view import describe_recall

        desk = self._place.desk(event)
        return describe_recall(desk.texts.paths()["maker"], str(asked.get("lot", "")).strip())

    # -- tasks

    def _start(self, work: Callable[[Task], Answer]) -> Answer:
        return {"task": self._tasks.start(work).number}

    def _ask_task(self, event: str, asked: Mapping[str, Any]) -> Answer:
        del event
        task = self._tasks.find(int(asked["task"]))
        if isinstance(task.error, LabelkitError):
            language = self._place.language
            return {"ended": True, **describe_error(task.error, Speech(language, language))}
        if task.error is not None:
            return {"ended": True, "error": f"{type(task.error).__name__}: {task.error}"}
        return {"ended": task.ended, "done": task.done, "of": task.of, "result": task.result}

    def _stop_task(self, event: str, asked: Mapping[str, Any]) -> Answer:
        del event
        self._tasks.find(int(asked["task"])).stop()
        return {}


def _box(box: Any, height_mm: float) -> list[float]:
    """Left, top, width and height from the page's upper left corner."""
    sides = (box.x0_mm, height_mm - box.y1_mm, box.width_mm, box.height_mm)
    return [round(side, 3) for side in sides]


def _describe_stock(stock: Stock, speech: Speech) -> Answer:
    return {
        "name": stock.name,
        "title": speech.term("stock", stock.title),
        "kind": stock.kind,
        "width": stock.page_width_mm,
        "height": stock.page_height_mm,
        "colour": stock.colour or "",
        "shape": stock.shape,
        "dies": [_box(box, stock.page_height_mm) for box in stock.dies()],
    }


def say_title(title: str, speech: Speech) -> str:
    """A title in the maker's language; of a file of her own as she wrote it."""
    return speech(Said(title)) if speech.knows(title) else title


def name_region(code: str, title: str, speech: Speech) -> str:
    """A region by the name that Unicode CLDR gives its country, and its own part after it."""
    from babel import Locale

    if speech.language == "en":
        return title
    if speech.knows(title, "region"):
        return speech.term("region", title)
    country, _, part = code.partition("-")
    named = Locale.parse(speech.language).territories.get(country, title)
    own = title.rpartition(": ")[2]
    return f"{named} ({own})" if part or own != title else str(named)


_NO_COUNTRIES = frozenset({"EU", "EZ", "QO", "UN", "XA", "XB", "ZZ"})
"""Codes of Unicode CLDR for groups of countries, for none, and for tests."""


def list_countries(language: str) -> list[Answer]:
    """Every country by its ISO 3166 code, with its name from Unicode CLDR, in their order."""
    from babel import Locale

    named = {str(code): str(name) for code, name in Locale.parse(language).territories.items()}
    codes = [c for c in named if len(c) == 2 and c.isalpha() and c not in _NO_COUNTRIES]
    found = [{"value": code, "name": named[code]} for code in codes]
    northern = Speech(language, language).term("region", list_region_titles()["GB-NIR"])
    found.append({"value": "GB-NIR", "name": northern})
    return sorted(found, key=lambda one: normalize("NFKD", one["name"]).casefold())


def list_recipes(label: Path) -> Iterator[tuple[str, str]]:
    """Recipes near a label: each by its path from there, and its name."""
    from labelkit.order.write_back import WriteBackError, find_value, read_values

    here, above, name = label.parent, label.parent.parent, "*recipe*.toml"
    for path in sorted({*here.glob(name), *above.glob(name), *above.glob(f"*/{name}")}):
        try:
            name = find_value(read_values(path.read_bytes()), ("recipe", "name"))
        except (OSError, WriteBackError):
            continue
        if isinstance(name, str):
            near = path.parent == label.parent
            yield (path.name if near else f"../{path.relative_to(label.parent.parent)}"), name
