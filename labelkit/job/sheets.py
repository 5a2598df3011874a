"""From a job to finished sheets: preflight, impose, draw, read back, preflight again, write."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import field, replace
from itertools import islice
from pathlib import Path

from labelkit.common.errors import ExitCode, FitError, InputError, LabelkitError, format_path
from labelkit.common.frozen import dataclass
from labelkit.common.journal import (
    Journal,
    JournalledFiles,
    describe_writing,
    journal_files,
    lock_journal,
)
from labelkit.common.locks import lock_folders
from labelkit.common.messages import (
    NOTHING,
    Day,
    FactList,
    Number,
    Said,
    Term,
    count_things,
    shorten_list,
)
from labelkit.compose import ComposedPanel
from labelkit.compose.fingerprint import ApprovedContent, collect_content, format_pdf_keyword
from labelkit.compose.job import MOST_NAMED, Job, PrintRun
from labelkit.compose.suite import ComposedPiece
from labelkit.impose import (
    GuidePage,
    LabelPlace,
    LeftOver,
    Sheet,
    count_sheets_needed,
    describe_ruler_cuts,
    fills_die,
    find_left_over,
    generate_sheets,
    is_cut_by_outline,
    make_guide_pages,
    mirror_for_back,
)
from labelkit.impose import list_sheet_warnings as warnings_of
from labelkit.impose.roll import RollUse, count_roll, list_changes_of_roll
from labelkit.job.cutting import CutFile, describe_cutting, make_cut_files, make_cut_lines
from labelkit.job.ink import FormsWritten, look_at_ink
from labelkit.job.prepare import (
    job_from_order,
    leave_white_out,
    preflight_job,
    set_on_stock,
)
from labelkit.job.press import (
    CHOKE_MM,
    CUT_COLOURS,
    PressPlan,
    list_home_refusals,
    list_press_refusals,
    make_press_file,
    make_white_under,
    make_white_under_accent,
    make_white_under_runs,
    plan_press,
    prepare_panel,
    prepare_runs,
)
from labelkit.job.slugs import make_slugs, make_speech, shorten_slug
from labelkit.job.unwritten import drop_unwritten_names
from labelkit.job.work import describe_work
from labelkit.model.runs import Ornament, Panel, Run
from labelkit.order.fields import SURFACES
from labelkit.order.guests import choose_guests
from labelkit.order.label import LabelSpec, Trim
from labelkit.order.maker import name_label_for_maker
from labelkit.order.order import Order, read_order
from labelkit.order.part_used import (
    PartUsedSheet,
    find_part_used,
    format_part_used,
    path_of_part_used,
    read_part_used,
    replace_part_used,
)
from labelkit.order.pieces import list_piece_kinds
from labelkit.order.printer import PrinterProfile, choose_printer, path_of_printers
from labelkit.pdf.compare import compare_pages
from labelkit.pdf.read import PageRead, read_pages
from labelkit.pdf.write.draw import DocumentInfo, Page, SheetSide, draw_guide, draw_pages
from labelkit.pdf.write.inks import LIGHT, Inks
from labelkit.pdf.write.press import DIE_LINE, FOLD_LINE, KISS_LINE, PressFile
from labelkit.pdf.write.printing import make_printer_matrix
from labelkit.plan.approval import (
    Approval,
    add_printed,
    approval_path_of,
    compare_contents,
    describe_changes,
    describe_standing,
    format_approval,
    list_unapproved,
    list_unprinted,
    read_approval,
)
from labelkit.rules.findings import Report

COMMAND = "sheet"
GUIDE_NAME = "cut-guide"
BOTH_SIDES = "both-sides"
GUIDE_COLOURS = {DIE_LINE: "#000000", KISS_LINE: "#0066b3", FOLD_LINE: "#7f7f7f"}
"""Of cuts through all, of those that leave the backing whole, and of folds."""
_APART = (*SURFACES, *list_piece_kinds())
_GUIDE_NAMES = (GUIDE_NAME, *(f"{GUIDE_NAME}-{name}" for name in _APART))
SHEET_NAMES = ("front", "back", BOTH_SIDES, *_APART, *_GUIDE_NAMES)
"""What files with sheets can be called, without ".pdf"."""

PRESS_AROUND_MM = 3.0
"""What a works gets around the bleed, so that the line to cut along shows whole."""

Progress = Callable[[int, int], None]
"""Told how many labels are done, and of how many; each counts once drawn and once read back."""


class PressError(LabelkitError):
    """The finished file does not say what was composed: a fault of labelkit, never the maker's."""

    exit_code = ExitCode.FAULT


@dataclass(frozen=True, slots=True)
class Wish:
    """How the sheets are wanted."""

    start: int | None = None
    """First free position of a part-used sheet of each panel; None: that of a new one."""
    skip: tuple[int, ...] = ()
    """Its damaged positions."""
    remember: bool = False
    """Begin on the part-used sheet of this stock that is remembered (or at ``start``), and remember
    what is left."""
    printer: str | None = None
    """A measured printer whose offset and scale are corrected; "" for none, None for the one that
    the maker's file names, if it names one."""
    two_sided: str = ""
    """Front and back on one sheet in register, turned over its "long" or "short" edge."""
    one_per_page: bool = False
    """Every page a single label with its bleed, each of them once."""
    for_press: bool = False
    """For a printing works: the same as PDF/X-4, each ink a plate, with the line to cut along."""
    draft: bool = False
    """Even when the preflight fails, with a mark across every label."""
    guests: tuple[str, ...] = ()
    """Only the labels of these guests, without spares; none: those of all."""
    for_cutter: bool = False
    """With the cuts as SVG and DXF for a cutting machine."""
    changed: bool = False
    """Only the labels of guests whose name is otherwise than it was last printed."""
    unapproved: bool = False
    """Even where something was changed since the customer approved it."""
    today: dt.date | None = None
    """The day under which it is remembered which guests' labels were printed; None: it is not."""
    leave_out_unwritten: bool = False
    """Guests whose names cannot be set get a spare label without a name."""


@dataclass(frozen=True, slots=True)
class MadeSheets:
    """What came of a request for sheets: no files when the label is not fit to print."""

    report: Report
    files: tuple[Path, ...] = ()
    """Sheets in the order of their panels; then cutting guides, where there are any."""
    summary: tuple[Said, ...] = ()
    warnings: tuple[Said, ...] = ()
    refused: tuple[Said, ...] = ()
    """Why a label that is fit is not printed all the same."""


@dataclass(frozen=True, slots=True)
class Document:
    """One PDF to be made. Its pages are laid out anew each time they are asked for."""

    name: str
    info: DocumentInfo
    sides: tuple[SheetSide, ...]
    labels: Sequence[int]
    """Numbers of the labels that each side has, in order."""
    pages: Callable[[], Iterator[Page]]
    printer: PrinterProfile | None = None
    press: PressFile | None = None

    @property
    def count(self) -> int:
        return len(self.labels) * len(self.sides)

    @property
    def panel(self) -> str:
        """The first side's."""
        return self.sides[0].panel.name


@dataclass(frozen=True, slots=True)
class CuttingGuide:
    """One cutting guide to be made, for the sheets of a document."""

    name: str
    pages: tuple[GuidePage, ...]
    trim: Trim
    document: Document


def make_sheets_of_file(
    label: Path, folder: Path, wish: Wish | None = None, progress: Progress | None = None
) -> MadeSheets:
    """Writes ``front.pdf`` and ``back.pdf`` (and those of a second surface and of every piece that
    goes with the label) into ``folder``, and ``cut-guide.pdf`` for what is cut to a curve.

    All or nothing: files are renamed into place only when every one of them is finished and its
    read-back passes the same rules as the composition. Raises LabelkitError for unusable input.
    """
    return make_order_sheets(read_order(label), folder, wish, progress)


def make_order_sheets(
    whole_order: Order, folder: Path, wish: Wish | None = None, progress: Progress | None = None
) -> MadeSheets:
    """The same of an order that has been read."""
    wish, label = wish or Wish(), whole_order.spec.path
    if wish.for_press:
        wish = replace(wish, one_per_page=True)
    whole = _replace_printer(job_from_order(whole_order), wish)
    if not wish.for_press:
        whole = leave_white_out(whole)
    order = OrderToPrint(collect_content(whole), read_approval(label))
    names = _choose_names(whole, order, wish)
    job = _keep_guests(whole, names)
    left_out: tuple[Said, ...] = ()
    if wish.leave_out_unwritten:
        dropped = drop_unwritten_names(job)
        job, left_out = dropped.job, dropped.told
        names = job.spec.event.guest_names if left_out else names
    report = preflight_job(job)
    if report.verdict == "fail" and not wish.draft:
        return MadeSheets(report)
    if held := (*_list_refusals(job, order, wish), *_list_press_refusals(job, wish)):
        return MadeSheets(report, refused=held)
    if wish.changed and not names:
        return MadeSheets(report, summary=tuple(_describe_unchanged(order)))
    wanted = LabelsToPrint(job, order, names, left_out, report)
    if not wish.remember:
        return _print_labels(wanted, folder, wish, progress)
    # Where the last job ended is read and written by one run at a time: two that go on from the
    # same position would print over each other.
    with lock_journal(Journal(job.spec.maker.path.parent), COMMAND):
        return _print_labels(wanted, folder, wish, progress)


@dataclass(frozen=True, slots=True)
class LabelsToPrint:
    """Labels that may be printed."""

    job: Job
    order: OrderToPrint
    names: tuple[str, ...] | None
    """Whose they are; None: everybody's."""
    left_out: tuple[str, ...]
    """What the maker is told of guests whose names cannot be set."""
    report: Report


def _print_labels(
    wanted: LabelsToPrint, folder: Path, wish: Wish, progress: Progress | None
) -> MadeSheets:
    job, order, label = wanted.job, wanted.order, wanted.job.spec.path
    positions = replace(_choose_positions(job, wish), code=order.code)
    printer = _choose_printer(job, wish)
    documents = tuple(_make_documents(job, wish, positions, printer))
    guides = () if wish.one_per_page else tuple(_make_guides(job, documents, positions, wish))
    told = _ProgressCounter(progress, 2 * sum(document.count for document in documents))
    left = None if wish.one_per_page else _find_rest(job, positions)
    printed: dict[str, Panel] = {}
    warned: list[Said] = []
    work = describe_work(
        COMMAND, job.order, order.code, **_describe_positions(job, wish, positions, left)
    )
    with journal_files(work) as staged:
        staged.folder(folder)
        pages = [
            _write_document(
                job, document, folder / f"{document.name}.pdf", staged, printed, told, warned
            )
            for document in documents
        ]
        for guide in guides:
            pages.append(_write_guide(job, guide, folder / f"{guide.name}.pdf", staged))
        cuts = _make_cut_files(job, guides) if wish.for_cutter else ()
        for cut in cuts:
            staged.open(folder / cut.name).write(cut.data)
        composed = [side.panel for document in documents for side in document.sides]
        again = preflight_job(job, [set_on_stock(panel, composed) for panel in printed.values()])
        if again.verdict == "fail" and wanted.report.verdict == "pass":
            return MadeSheets(again)
        named: tuple[Document | CuttingGuide, ...] = (*documents, *guides)
        files = (
            *(folder / f"{made.name}.pdf" for made in named),
            *(folder / cut.name for cut in cuts),
        )
        with lock_journal(staged.journal, COMMAND), lock_folders([folder, label.parent]):
            if wish.remember and left is not None:
                _remember_rest(job, positions.start, left, staged)
            note = _note_printed(job, order, wanted.names, wish, staged)
            removed = _remove_stale_files(folder, files, staged)
            staged.commit()
    lines = [
        Said("{file}: {made}", file=format_path(path), made=made)
        for path, made in zip(files, [*pages, *(cut.told for cut in cuts)], strict=True)
    ]
    foot = (
        *wanted.left_out,
        *_describe_guest_list(job),
        *positions.told,
        *_describe_printing(job, wish, left, guides, printer),
    )
    state = describe_standing(order.approval, order.content)
    gone = _describe_unwanted(order) if wish.changed else ()
    noted = (*describe_writing(staged), note) if note else describe_writing(staged)
    summary = (*_describe_job(job), *lines, *removed, state, *gone, *noted, *foot)
    warned += _list_warnings(job, wish, documents)
    return MadeSheets(wanted.report, files, summary, tuple(warned))


def _describe_positions(
    job: Job, wish: Wish, positions: StartPositions, left: StockRest | None
) -> dict[str, object]:
    """For the journal: how many labels, and which positions of the stock they take."""
    about: dict[str, object] = {"labels": job.spec.event.labels, "stock": job.spec.stock}
    if wish.guests or wish.changed:
        about["guests"] = len(job.spec.event.guest_names)
    if job.stock.ready_cut and left is not None:
        about |= {"start": positions.start, "skip": list(positions.skip), "next": left.start}
    return about


@dataclass(frozen=True, slots=True)
class StockRest:
    """Where the next job on this stock begins, and what the maker is told of it."""

    start: int
    skip: tuple[int, ...] = ()
    sheet: LeftOver | None = None
    roll: RollUse | None = None


@dataclass(frozen=True, slots=True)
class OrderToPrint:
    """What the customer is to get, and what is known of its approval and printing."""

    content: ApprovedContent
    approval: Approval

    @property
    def code(self) -> str:
        return self.content.code


def _choose_names(job: Job, order: OrderToPrint, wish: Wish) -> tuple[str, ...] | None:
    """The guests whose labels are wanted, as they stand on the list; None: all labels.

    InputError for who is not on the list, and where --changed has nothing to go by.
    """
    if not wish.guests and not wish.changed:
        return None
    names, printed = job.spec.event.guest_names, order.approval.printed
    if not names:
        option = "--changed" if wish.changed else "--guests"
        expected = Said("missing; {option} prints labels that carry guests' names", option=option)
        raise InputError(format_path(job.spec.path), "event.guest_list", None, expected)
    if not wish.changed:
        return choose_guests(wish.guests, names)
    if printed is None:
        expected = Said("it is not known which labels were printed; print all, without it")
        raise InputError("--changed", "", None, expected)
    return list_unprinted(printed, order.content, names)


def _keep_guests(job: Job, names: tuple[str, ...] | None) -> Job:
    """The same job with the labels of some guests only."""
    if not names:
        return job
    event = replace(job.spec.event, guest_names=names, guests=len(names), spares=0)
    return job.with_order(spec=replace(job.spec, event=event))


def _list_refusals(job: Job, order: OrderToPrint, wish: Wish) -> tuple[Said, ...]:
    """Why labels are not printed though they are fit: more than names is otherwise than it was
    printed, or the customer approved something else."""
    printed = order.approval.printed
    if wish.changed and printed is not None:
        changes = compare_contents(printed.content, order.content)
        if changes.parts:
            head = Said(
                "what all labels say was changed since they were printed on {on}:",
                on=Day(printed.on),
            )
            shared = replace(changes, added=(), removed=())
            return (
                head,
                *describe_changes(shared),
                Said("all must be printed anew: leave out --changed"),
            )
    if wish.unapproved or wish.draft:
        return ()
    lines = list_unapproved(order.approval, order.content, job.spec.event.guest_names)
    how = Said("have the new proof approved, or print it all the same with --unapproved")
    return (*lines, how) if lines else ()


def _list_press_refusals(job: Job, wish: Wish) -> tuple[Said, ...]:
    """Why labels cannot go to a printing works, where they are meant to, or cannot be printed in a
    workshop."""
    return tuple(list_press_refusals(job) if wish.for_press else list_home_refusals(job))


def _describe_unchanged(order: OrderToPrint) -> Iterator[Said]:
    printed = order.approval.printed
    if printed is not None:
        yield Said(
            "Nothing to print: every guest's label is as it was printed on {on}.",
            on=Day(printed.on),
        )
    yield from _describe_unwanted(order)


def _describe_unwanted(order: OrderToPrint) -> Iterator[Said]:
    """Labels that were printed for a name that is no longer on the list."""
    printed = order.approval.printed
    removed = compare_contents(printed.content, order.content).removed if printed else ()
    if printed and removed:
        yield Said(
            "No longer wanted, of the labels printed on {on}: {names}",
            on=Day(printed.on),
            names=shorten_list(removed, MOST_NAMED),
        )


def _note_printed(
    job: Job,
    order: OrderToPrint,
    names: tuple[str, ...] | None,
    wish: Wish,
    staged: JournalledFiles,
) -> Said:
    """Notes which guests' labels are printed with this; what the maker is told where it cannot be.

    A folder that may only be read keeps no order from being printed.
    """
    label = job.spec.path
    if wish.today is None or wish.draft or not order.content.names:
        return NOTHING
    some = None if wish.changed else names
    approval = add_printed(read_approval(label), order.content, some, wish.today)
    path = approval_path_of(label)
    try:
        stream = staged.update(path)
    except InputError as error:
        return Said("It is not remembered which labels were printed: {error}", error=error.told)
    stream.write(format_approval(approval).encode("utf-8"))
    return NOTHING


def _replace_printer(job: Job, wish: Wish) -> Job:
    """The same job with the printer asked for in place of the workshop's own."""
    maker = job.spec.maker
    name = "" if wish.one_per_page else maker.printer if wish.printer is None else wish.printer
    return job.with_order(spec=replace(job.spec, maker=replace(maker, printer=name)))


# -- what is to be made ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class StartPositions:
    """Where the first sheet of each panel begins."""

    start: int = 1
    skip: tuple[int, ...] = ()
    told: tuple[Said, ...] = ()
    """What the maker is told of it."""
    code: str = ""
    """Of the order, which stands beside the labels of every sheet."""


def _choose_positions(job: Job, wish: Wish) -> StartPositions:
    """Where to begin: as asked, else where the last job on this stock ended, else on a new sheet.

    InputError for stock that is cut up after printing: nothing of such a sheet is left.
    """
    given = {"--start": wish.start, "--skip": wish.skip, "--remember": wish.remember}
    for option in (option for option, value in given.items() if value):
        if not job.stock.ready_cut:
            expected = Said("is cut up once printed; only ready-cut labels are part-used")
            raise InputError(option, "", job.spec.stock, expected)
    if wish.skip and job.stock.is_counted_roll:
        expected = Said("is for sheets; feed the roll past damaged labels and count them: --start")
        raise InputError("--skip", "", wish.skip[0], expected)
    rest = _find_job_rest(job) if wish.remember else None
    kept = rest if wish.start is None else None
    start = wish.start or (kept.start if kept else 1)
    for position in wish.skip:
        if position < start:
            expected = Said(
                "lies before {start}, where these labels begin; it is left empty anyway",
                start=start,
            )
            raise InputError("--skip", "", position, expected)
    skip = tuple(sorted({*wish.skip, *(kept.skip if kept else ())}))
    return StartPositions(start, skip, tuple(_describe_beginning(job, wish, rest)) if rest else ())


def _find_job_rest(job: Job) -> PartUsedSheet | None:
    return find_part_used(job.spec.stock, path_of_part_used(job.spec.maker.path))


def _describe_beginning(job: Job, wish: Wish, rest: PartUsedSheet) -> Iterator[Said]:
    """Why it begins where it does, and what may be wrong with that."""
    file = format_path(path_of_part_used(job.spec.maker.path))
    if wish.start is not None and wish.start != rest.start:
        yield Said(
            "Begun at position {start} as asked, not at {noted} as {file} has it.",
            start=wish.start,
            noted=rest.start,
            file=file,
        )
    elif (
        not wish.guests
        and rest.is_of(*_identify_job(job))
        and rest.start == rest.ended != rest.began
    ):
        yield (
            Said(
                "These labels were made before, from position {began}; counted again, they go on "
                "from {start}. If the earlier sheets were not used, set start = {began} in "
                "{file} and run this again.",
                began=rest.began,
                start=rest.start,
                file=file,
            )
        )
    elif rest.start > 1:
        yield Said(
            "Begun at position {start}, where the last job ended ({file}).",
            start=rest.start,
            file=file,
        )


def _identify_job(job: Job) -> tuple[str, str]:
    """The label's file and the event, by which a reprint is known."""
    spec = job.spec
    return name_label_for_maker(spec.path, spec.maker.path), _event_title(job)


def _choose_printer(job: Job, wish: Wish) -> PrinterProfile | None:
    """The printer to correct for: the one asked for, or the workshop's own."""
    maker = job.spec.maker
    if not maker.printer:
        return None
    try:
        return choose_printer(maker.printer, job.order.printers, path_of_printers(maker.path))
    except InputError as error:
        if wish.printer is not None or error.key != "printers":
            raise
        raise InputError(
            format_path(maker.path),
            "defaults.printer",
            maker.printer,
            Said("{expected}, or use --no-printer", expected=error.expected),
        ) from error


def _make_documents(
    job: Job, wish: Wish, positions: StartPositions, printer: PrinterProfile | None
) -> Iterator[Document]:
    every = (*job.composed, *(one.whole for one in _choose_pieces(job, wish)))
    composed = [one.with_draft_mark(job.spec.languages) if wish.draft else one for one in every]
    if wish.for_press:
        plan = plan_press(job)
        yield from (_make_press_document(job, one, positions, plan) for one in composed)
        return
    if wish.two_sided:
        yield _make_two_sided_document(job, composed[:2], wish.two_sided, positions, printer)
        composed = composed[2:]
    for one in composed:
        if wish.one_per_page:
            yield _make_one_per_page_document(job, one, positions)
        else:
            yield _make_panel_document(job, one, positions, printer)


def _choose_pieces(job: Job, wish: Wish) -> tuple[ComposedPiece, ...]:
    """The pieces that are printed with the labels: for some guests alone those with their names.

    FitError where one has no room for its words.
    """
    for one in job.suite.values():
        if isinstance(one, FitError) and not wish.draft:
            raise one
    some = bool(wish.guests or wish.changed)
    return tuple(one for one in job.fitting_pieces if one.whole.guest is not None or not some)


def _make_panel_document(
    job: Job, composed: ComposedPanel, positions: StartPositions, printer: PrinterProfile | None
) -> Document:
    """The sheets of one panel."""
    name = composed.panel.name
    return Document(
        name,
        _make_document_info(job, Said("{panel} labels", panel=Term("panel", name)), positions),
        (_make_side(job, composed, printer),),
        range(job.print_run(name).count),
        lambda: (Page(0, sheet) for sheet in _impose_panel(job, name, positions)),
        printer,
    )


def _make_two_sided_document(
    job: Job,
    composed: Sequence[ComposedPanel],
    flip: str,
    positions: StartPositions,
    printer: PrinterProfile | None,
) -> Document:
    """Fronts and backs of the same pieces: every odd page a sheet of fronts, the next its back."""

    def pages() -> Iterator[Page]:
        for sheet in _impose_panel(job, "front", positions):
            yield Page(0, sheet)
            yield Page(1, mirror_for_back(sheet, flip))

    return Document(
        BOTH_SIDES,
        _make_document_info(job, Said("labels printed on both sides"), positions),
        tuple(_make_side(job, one, printer) for one in composed),
        range(job.spec.event.labels),
        pages,
        printer,
    )


def _make_one_per_page_document(
    job: Job, composed: ComposedPanel, positions: StartPositions, around_mm: float = 0.0
) -> Document:
    """Every label that is unlike the others once; a page is a label and its bleed, and as much as
    is wanted around it."""
    panel, room = composed.panel, job.spec.bleed_mm + around_mm
    count = job.print_run(panel.name).count
    named = _count_named_labels(job, composed)
    labels = range(named + 1 if count > named else named)

    def sheet(label: int) -> Sheet:
        place = LabelPlace(label, room, room, panel.width_mm, panel.height_mm)
        return Sheet(panel.width_mm + 2 * room, panel.height_mm + 2 * room, (place,))

    return Document(
        panel.name,
        _make_document_info(job, Said("{panel} label", panel=Term("panel", panel.name)), positions),
        (_make_side(job, composed),),
        labels,
        lambda: (Page(0, sheet(label), press_ready=True) for label in labels),
    )


def _make_press_document(
    job: Job, composed: ComposedPanel, positions: StartPositions, plan: PressPlan
) -> Document:
    """The same for a printing works: in plates, with the line to cut along."""
    made = prepare_panel(composed, plan)
    plain = _make_one_per_page_document(job, made, positions, PRESS_AROUND_MM)

    def own_runs(label: int) -> tuple[Run, ...]:
        return tuple(prepare_runs(job.own_runs(made, label), plan))

    def own_under(label: int) -> tuple[Ornament, ...]:
        return make_white_under_runs(own_runs(label), made.faces, plan.on_white)

    cuts = make_cut_lines(job, made.panel.name, CUT_COLOURS)
    side = replace(plain.sides[0], own_runs=own_runs, inks=plan.inks, cuts=cuts)
    if job.spec.white_under:
        side = replace(side, under=make_white_under(made.panel, job.spec.bleed_mm))
    elif plan.on_white:
        under = make_white_under_accent(made, plan.on_white)
        side = replace(side, under=under, own_under=own_under, choke_mm=CHOKE_MM)
    return replace(plain, sides=(side,), press=make_press_file(job))


def _make_document_info(job: Job, what: Said, positions: StartPositions) -> DocumentInfo:
    title = _make_title(job, what)
    return DocumentInfo(title, job.spec.languages[0], keywords=format_pdf_keyword(positions.code))


def _make_side(
    job: Job, composed: ComposedPanel, printer: PrinterProfile | None = None
) -> SheetSide:
    inks = Inks(printer.ink) if printer else LIGHT

    def own_runs(label: int) -> tuple[Run, ...]:
        return job.own_runs(composed, label)

    return SheetSide(composed.panel, composed.faces, own_runs, job.spec.bleed_mm, inks)


def _impose_panel(job: Job, panel: str, positions: StartPositions) -> Iterator[Sheet]:
    """The sheets of a panel; what is not printed as the labels are begins on a new one."""
    run = job.print_run(panel)
    goes_on = run == job.print_run("front") and not run.stock.is_counted_roll
    start, skip = (positions.start, positions.skip) if goes_on else (1, ())
    asked = (run.stock, run.trim, run.count, start, skip, job.spec.bleed_mm)
    slugs = make_slugs(job, panel, positions.code, count_sheets_needed(*asked))
    return generate_sheets(*asked, slugs=slugs, speak=make_speech(job))


def _list_panels_apart(job: Job) -> dict[str, PrintRun]:
    """Panels that are not printed as the front is, with how they are."""
    runs = {panel: job.print_run(panel) for panel in job.printed_names}
    return {panel: run for panel, run in runs.items() if run != runs["front"]}


def _count_named_labels(job: Job, composed: ComposedPanel) -> int:
    """How many labels of a panel carry a guest's own name."""
    return len(job.spec.event.guest_names) if composed.guest is not None else 0


def _make_title(job: Job, what: Said) -> str:
    """What a viewer shows above a document, in the maker's language."""
    return make_speech(job)(Said("{event}: {what}", event=_event_title(job), what=what))


def _event_title(job: Job) -> str:
    return next(iter(job.spec.event.names.values()))


# -- making it -------------------------------------------------------------------------------------


def _write_document(
    job: Job,
    document: Document,
    path: Path,
    staged: JournalledFiles,
    printed: dict[str, Panel],
    told: _ProgressCounter,
    warned: list[Said],
) -> Said:
    """Draws a document, reads it back, renders it and compares; says in a few words what it is.

    The first label of each panel as read goes into ``printed``. PressError where the file is not
    as composed. Neither pass keeps a page, so that any number of labels needs the same memory.
    """
    stream = staged.open(path)
    pages = 0
    forms = FormsWritten()

    def drawn() -> Iterator[Page]:
        nonlocal pages
        for page in told.counted(document.pages()):
            forms.note(pages, page, document.sides[page.side])
            pages += 1
            yield page

    printer = make_printer_matrix(document.printer) if document.printer else None
    draw_pages(stream, document.sides, drawn(), document.info, printer, document.press)
    read = _note_first_panels(read_pages(stream, path.name), printed)
    expected = told.counted(document.pages())
    wrong = next(compare_pages(document.sides, document.labels, expected, read), None)
    look = look_at_ink(stream, forms.labels, printer)
    wrong = wrong or look.fault
    if wrong:
        raise PressError(
            Said(
                "{name}: the finished PDF is not as composed: {wrong}",
                name=document.name,
                wrong=wrong,
            )
        )
    if look.filling:
        warned.append(
            Said(
                "{panel}: toner may close the gaps inside {names}: try one sheet, or set them"
                " larger",
                panel=Term("panel", document.panel),
                names=FactList(Term("part", name) for name in look.filling),
            )
        )
    return _describe_document(job, document, pages)


def _make_guides(
    job: Job, documents: Sequence[Document], positions: StartPositions, wish: Wish
) -> Iterator[CuttingGuide]:
    """Guides for what no straight cut makes: the labels, and what is printed apart from them.

    A cutting machine cuts whatever the stock's own die does not.
    """
    apart = _list_panels_apart(job)
    for number, document in enumerate(documents):
        run, panel = job.print_run(document.panel), document.panel
        wanted = is_cut_by_outline(run.stock, run.trim) or (
            wish.for_cutter and not (run.stock.ready_cut and fills_die(run.stock, run.trim))
        )
        if (number == 0 or panel in apart) and wanted:
            name = f"{GUIDE_NAME}-{panel}" if panel in apart else GUIDE_NAME
            yield CuttingGuide(
                name, make_guide_pages(_impose_panel(job, panel, positions)), run.trim, document
            )


def _make_cut_files(job: Job, guides: Iterable[CuttingGuide]) -> tuple[CutFile, ...]:
    return tuple(
        file
        for guide in guides
        for file in make_cut_files(job, guide.document.panel, guide.name, guide.pages)
    )


def _write_guide(job: Job, guide: CuttingGuide, path: Path, staged: JournalledFiles) -> Said:
    """Draws a cutting guide; says in a few words what it is."""
    document = guide.document
    pages, printer = guide.pages, document.printer
    lines = make_cut_lines(job, document.panel, GUIDE_COLOURS)
    info = replace(document.info, title=_make_title(job, Said("cutting guide")))
    matrix = make_printer_matrix(printer) if printer else None
    sheets = [_leave_number_out(page.sheet) for page in pages]
    draw_guide(staged.open(path), sheets, lines, info, matrix)
    if len(pages) == 1:
        return Said("the outlines to cut along, one page for every sheet")
    which = [_describe_guide_page(n, page) for n, page in enumerate(pages, start=1)]
    return Said("the outlines to cut along, {pages}", pages=FactList(which))


def _leave_number_out(sheet: Sheet) -> Sheet:
    """The same of a page that holds for several sheets."""
    slug = sheet.slug
    return replace(sheet, slug=slug and replace(slug, text=shorten_slug(slug.text)))


def _describe_guide_page(number: int, page: GuidePage) -> Said:
    one = page.first == page.last
    template = (
        "page {number} for sheet {first}" if one else "page {number} for sheets {first} to {last}"
    )
    return Said(template, number=number, first=page.first, last=page.last)


def _remove_stale_files(folder: Path, made: Sequence[Path], staged: JournalledFiles) -> list[Said]:
    """Removes what an earlier run made under names that this one has no use for, and says so.

    Printed by mistake it would be another event's, or last week's list of guests. A file that is
    not as labelkit made it is nobody's business here.
    """
    old = [folder / f"{name}.pdf" for name in SHEET_NAMES]
    old += [path for end in ("svg", "dxf") for path in sorted(folder.glob(f"{GUIDE_NAME}*.{end}"))]
    stale = [path for path in old if path not in made and staged.remove_own(path)]
    return [
        Said("{file}: removed; it was of an earlier run", file=format_path(path)) for path in stale
    ]


def _note_first_panels(read: Iterable[PageRead], printed: dict[str, Panel]) -> Iterator[PageRead]:
    for page in read:
        for place in page.panels:
            printed.setdefault(place.panel.name, place.panel)
        yield page


@dataclasses.dataclass
class _ProgressCounter:
    """Tells how far the work is, page by page."""

    progress: Progress | None
    total: int
    done: int = field(default=0, init=False)

    def counted(self, pages: Iterator[Page]) -> Iterator[Page]:
        for page in pages:
            yield page
            self.done += len(page.sheet.places)
            if self.progress is not None:
                self.progress(self.done, self.total)


# -- what the maker is told ------------------------------------------------------------------------


def _describe_job(job: Job) -> Iterator[Said]:
    event = job.spec.event
    yield Said(
        "{labels} ({people}), {stock}",
        labels=count_things(event.labels, "{n} label", "{n} labels"),
        people=FactList(
            (count_things(event.guests, "{n} guest", "{n} guests"), *_describe_spares(job.spec)),
            " +",
        ),
        stock=Term("stock", job.stock.title),
    )
    for panel, run in _list_panels_apart(job).items():
        yield Said(
            "{panel}: {count}, {stock}",
            panel=Term("panel", panel),
            count=run.count,
            stock=Term("stock", run.stock.title),
        )


def _describe_spares(spec: LabelSpec) -> Iterator[Said]:
    """The spares, in the plan's words where it makes soap for some of them only."""
    spares = spec.event.spares
    pieces = min(spec.plan.spare_pieces, spares)
    if pieces == spares:
        yield count_things(spares, "{n} spare", "{n} spares")
        return
    if pieces:
        yield count_things(pieces, "{n} spare piece", "{n} spare pieces")
    yield count_things(spares - pieces, "{n} spare label", "{n} spare labels")


def _describe_guest_list(job: Job) -> Iterator[Said]:
    """What a guest list leaves open: labels without a name, columns without a place."""
    event = job.spec.event
    if event.guest_names and event.spares:
        yield count_things(
            event.spares,
            "{n} spare without a name: room to write one",
            "{n} spares without a name: room to write one on each",
        )
    if event.listed.unread:
        yield Said("Not printed, of the guest list: {listed}", listed=FactList(event.listed.unread))


def _describe_document(job: Job, document: Document, pages: int) -> Said:
    labels = job.print_run(document.panel).count
    panels = FactList((Term("panel", side.panel.name) for side in document.sides), "and")
    several = count_things(labels, "{n} {panels} label", "{n} {panels} labels", panels=panels)
    if document.panel in job.suite:
        several = Said("{panels}: {n}", panels=panels, n=Number(labels))
    if not next(document.pages()).press_ready:
        on = count_things(pages, "{n} page", "{n} pages")
        return Said("{labels} on {pages}", labels=several, pages=on)
    like_the_last = labels - (pages - 1)
    if like_the_last == 1:
        return Said("{labels}, one to a page", labels=several)
    if pages == 1:
        return Said("1 page, to be printed {labels} times", labels=labels)
    return Said(
        "{named}, one to a page, and a last page for {spares} spares",
        named=count_things(pages - 1, "{n} {panels} label", "{n} {panels} labels", panels=panels),
        spares=like_the_last,
    )


def _describe_printing(
    job: Job,
    wish: Wish,
    left: StockRest | None,
    guides: Sequence[CuttingGuide],
    printer: PrinterProfile | None,
) -> Iterator[Said]:
    if left is not None:
        yield from _describe_rest(job, wish, left)
    if printer:
        yield Said(
            "Corrected for the printer {name}{whose}; it must not correct the pages once more, and"
            " other printers print them wrong.",
            name=printer.name,
            whose=Said(", as the maker's file says") if wish.printer is None else NOTHING,
        )
    if wish.two_sided:
        long = wish.two_sided == "long"
        yield Said(
            "Print on both sides, turned over the long edge."
            if long
            else "Print on both sides, turned over the short edge."
        )
    if not wish.one_per_page:
        yield from _describe_grain(job)
        yield from describe_ruler_cuts(job.stock, job.spec.trim, job.spec.bleed_mm)
        for panel, run in _list_panels_apart(job).items():
            cuts = describe_ruler_cuts(run.stock, run.trim, job.spec.bleed_mm)
            yield from (_say_of_panel(panel, line) for line in cuts)
    for guide in guides:
        yield from _describe_guide(f"{guide.name}.pdf", wish, printer)
    if wish.for_cutter:
        bleed_mm = job.spec.bleed_mm
        told = (line for guide in guides for line in describe_cutting(guide.trim, bleed_mm))
        yield from {str(line): line for line in told}.values()
    if wish.for_cutter and not guides:
        yield Said("The stock cuts these labels itself: there is nothing for a cutting machine.")
    if wish.for_press:
        yield from plan_press(job).told
    elif job.spec.white_under or job.spec.white_under_accent:
        yield Said("No white is laid under these labels: only a printing works does (--for-press).")
    if wish.draft:
        yield Said("DRAFT: every label is marked and not fit for use.")
    if not wish.one_per_page:
        yield Said("Print at 100 % (actual size), never fit to page.")


def _describe_grain(job: Job) -> Iterator[Said]:
    """How the paper's fibres run on a label, which bends more easily along them."""
    run, bleed = job.print_run("front"), job.spec.bleed_mm
    if not run.stock.grain:
        return
    sheet = next(generate_sheets(run.stock, run.trim, 1, bleed_mm=bleed))
    upright = (run.stock.grain == "long") == (sheet.page_height_mm >= sheet.page_width_mm)
    turned = sheet.places[0].turns % 2 == 1
    yield Said(
        "The paper's grain runs up and down each label."
        if upright != turned
        else "The paper's grain runs from side to side of each label."
    )
    if turned:
        yield Said("The labels lie turned on the sheet, and so does their grain.")


def _describe_guide(name: str, wish: Wish, printer: PrinterProfile | None) -> Iterator[Said]:
    yield (
        Said(
            "Cut to the outline with {name}: lay it under a sheet on a light table, its "
            "marks on the sheet's, or give it to a cutting plotter; print no labels on it.",
            name=name,
        )
    )
    if wish.two_sided and name == f"{GUIDE_NAME}.pdf":
        yield Said("{name} is for the side of the fronts.", name=name)
    if printer:
        yield (
            Said(
                "{name} is corrected for the printer like the sheets; for a plotter make one "
                "with --no-printer.",
                name=name,
            )
        )


def _find_rest(job: Job, positions: StartPositions) -> StockRest:
    run, bleed = job.print_run("front"), job.spec.bleed_mm
    if run.stock.is_counted_roll:
        apart = _list_panels_apart(job)
        wanted = {
            panel: (job.print_run(panel).trim, job.print_run(panel).count)
            for panel in job.printed_names
            if panel not in apart
        }
        roll = count_roll(run.stock, wanted, positions.start, bleed)
        return StockRest(roll.next_start, roll=roll)
    left = find_left_over(run.stock, run.trim, run.count, positions.start, positions.skip, bleed)
    return StockRest(left.start or 1, left.skip, left)


def _describe_rest(job: Job, wish: Wish, rest: StockRest) -> Iterator[Said]:
    """What remains of the last sheet or roll, and how the next job takes it up."""
    if not job.stock.ready_cut:
        return
    if rest.roll is not None:
        yield from _describe_roll(rest.roll)
        has = _describe_roll_left(rest.roll)
    elif rest.sheet is not None:
        has = Said(
            "The last sheet has {free} of {positions} positions left"
            if wish.two_sided
            else "The last sheet of each has {free} of {positions} positions left",
            free=len(rest.sheet.free),
            positions=rest.sheet.positions,
        )
    if wish.remember:
        file = format_path(path_of_part_used(job.spec.maker.path))
        yield Said(
            "{has}; {file} says start = {start}, where the next --remember begins.",
            has=has,
            file=file,
            start=rest.start,
        )
    elif rest.roll is not None or (rest.sheet is not None and rest.sheet.free):
        skip = "".join(f" --skip {position}" for position in rest.skip)
        yield Said("{has}: --start {start}{skip}", has=has, start=rest.start, skip=skip)


def _describe_roll(roll: RollUse) -> Iterator[Said]:
    for span in roll.spans:
        yield Said(
            "{panel}: labels {first} to {last} of the roll",
            panel=Term("panel", span.name),
            first=span.first,
            last=span.last,
        )
    for span, done in list_changes_of_roll(roll):
        yield Said(
            "The roll ends after {done} of the {panel} labels: put in a new one there."
            if done
            else "The roll ends before the {panel} labels: put in a new one there.",
            done=done,
            panel=Term("panel", span.name),
        )


def _describe_roll_left(roll: RollUse) -> Said:
    if not roll.labels:
        return Said("How many are left is not known (labels, in the roll's file, says how many a"
                    " full one has)")  # fmt: skip
    if not roll.left:
        return Said("The roll is used up")
    return Said("The roll has {left} of {labels} labels left", left=roll.left, labels=roll.labels)


def _remember_rest(job: Job, began: int, rest: StockRest, staged: JournalledFiles) -> None:
    """Notes what is left of the sheet or roll, and whose labels were printed on it."""
    path = path_of_part_used(job.spec.maker.path)
    start, skip = rest.start, rest.skip
    noted = PartUsedSheet(job.spec.stock, start, skip, *_identify_job(job), began, start)
    staged.update(path).write(
        format_part_used(replace_part_used(read_part_used(path), noted)).encode("utf-8")
    )


def _list_warnings(job: Job, wish: Wish, documents: Sequence[Document]) -> tuple[Said, ...]:
    if wish.one_per_page:
        return ()
    found = list(_list_document_warnings(job, documents[0]))
    for document in (d for d in documents if d.panel in _list_panels_apart(job)):
        found += [_say_of_panel(document.panel, w) for w in _list_document_warnings(job, document)]
    return tuple(found)


def _say_of_panel(panel: str, told: Said) -> Said:
    return Said("{panel}: {told}", panel=Term("panel", panel), told=told)


def _list_document_warnings(job: Job, document: Document) -> tuple[Said, ...]:
    # The first sheet may be part-used; every other one is like the second.
    sheets = [page.sheet for page in islice(document.pages(), 2)]
    run, printer = job.print_run(document.panel), document.printer
    edge = printer.unprintable_mm if printer else None
    return warnings_of(run.stock, run.trim, sheets, edge)
