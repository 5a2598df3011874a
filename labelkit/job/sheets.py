"""From a job to finished sheets: preflight, impose, draw, read back, preflight again, write."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path

from labelkit.common.errors import ExitCode, FitError, InputError, LabelkitError, shown_path
from labelkit.common.files import Staged, alone_in, staging
from labelkit.compose import Composed
from labelkit.compose.fingerprint import Content, content_of, keyword
from labelkit.compose.job import MOST_NAMED, Job, PrintRun
from labelkit.impose import (
    GuidePage,
    LeftOver,
    Place,
    Sheet,
    cut_by_outline,
    guide_pages,
    imposed,
    left_over,
    mirror_for_back,
    ruler_cuts,
)
from labelkit.impose import sheet_warnings as warnings_of
from labelkit.job.prepare import job_of, preflight
from labelkit.model.outline import Outline
from labelkit.model.runs import Panel, Run
from labelkit.order.fields import SURFACES
from labelkit.order.guests import chosen_guests
from labelkit.order.label import LabelSpec, Trim
from labelkit.order.maker import label_name
from labelkit.order.order import Order, read_order
from labelkit.order.part_used import Rest, find_rest, read_rests, rest_file, rests_toml, with_rest
from labelkit.order.printer import PrinterProfile, printer_named, printers_file
from labelkit.pdf.compare import page_differences
from labelkit.pdf.read import PageRead, is_sheet, pages_of
from labelkit.pdf.write.draw import DocumentInfo, Page, Side, draw_guide, draw_pages
from labelkit.pdf.write.printing import printer_matrix
from labelkit.plan.approval import (
    Approval,
    approval_file,
    approval_toml,
    changes_between,
    read_approval,
    standing_in_words,
    told,
    unapproved,
    unprinted,
    with_printed,
)
from labelkit.rules.findings import Report

GUIDE_NAME = "cut-guide"
BOTH_SIDES = "both-sides"
_GUIDE_NAMES = (GUIDE_NAME, *(f"{GUIDE_NAME}-{surface}" for surface in SURFACES))
SHEET_NAMES = ("front", "back", BOTH_SIDES, *SURFACES, *_GUIDE_NAMES)
"""What files with sheets can be called, without ".pdf"."""

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
    """For a printing works: every page a single label with its bleed, each of them once."""
    draft: bool = False
    """Even when the preflight fails, with a mark across every label."""
    guests: tuple[str, ...] = ()
    """Only the labels of these guests, without spares; none: those of all."""
    changed: bool = False
    """Only the labels of guests whose name is otherwise than it was last printed."""
    unapproved: bool = False
    """Even where something was changed since the customer approved it."""
    today: dt.date | None = None
    """The day under which it is remembered which guests' labels were printed; None: it is not."""
    leave_out_unwritten: bool = False
    """Guests whose names cannot be set get a spare label without a name."""


@dataclass(frozen=True, slots=True)
class Made:
    """What came of a request for sheets: no files when the label is not fit to print."""

    report: Report
    files: tuple[Path, ...] = ()
    """Sheets in the order of their panels; then cutting guides, where there are any."""
    summary: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()
    """Why a label that is fit is not printed all the same."""


@dataclass(frozen=True, slots=True)
class Document:
    """One PDF to be made. Its pages are laid out anew each time they are asked for."""

    name: str
    info: DocumentInfo
    sides: tuple[Side, ...]
    labels: Sequence[int]
    """Numbers of the labels that each side has, in order."""
    pages: Callable[[], Iterator[Page]]
    printer: PrinterProfile | None = None

    @property
    def count(self) -> int:
        return len(self.labels) * len(self.sides)

    @property
    def panel(self) -> str:
        """The first side's."""
        return self.sides[0].panel.name


@dataclass(frozen=True, slots=True)
class Guide:
    """One cutting guide to be made, for the sheets of a document."""

    name: str
    pages: tuple[GuidePage, ...]
    trim: Trim
    document: Document


def make_sheets(
    label: Path, folder: Path, wish: Wish | None = None, progress: Progress | None = None
) -> Made:
    """Writes ``front.pdf`` and ``back.pdf`` (and a second surface's) into ``folder``, and
    ``cut-guide.pdf`` for what is cut to a curve.

    All or nothing: files are renamed into place only when every one of them is finished and its
    read-back passes the same rules as the composition. Raises LabelkitError for unusable input.
    """
    return sheets_of(read_order(label), folder, wish, progress)


def sheets_of(
    whole_order: Order, folder: Path, wish: Wish | None = None, progress: Progress | None = None
) -> Made:
    """The same of an order that has been read."""
    wish, label = wish or Wish(), whole_order.spec.path
    whole = _on_printer(job_of(whole_order), wish)
    order = Ordered(content_of(whole), read_approval(label))
    names = _names_wanted(whole, order, wish)
    job = _of_guests(whole, names)
    left_out: tuple[str, ...] = ()
    if wish.leave_out_unwritten:
        job, left_out = _without_unwritten(job)
        names = job.spec.event.guest_names if left_out else names
    report = preflight(job)
    if report.verdict == "fail" and not wish.draft:
        return Made(report)
    if held := _held_back(job, order, wish):
        return Made(report, refused=held)
    if wish.changed and not names:
        return Made(report, summary=tuple(_unchanged(order)))
    positions = replace(_positions(job, wish), code=order.code)
    printer = _printer(job, wish)
    documents = tuple(_documents(job, wish, positions, printer))
    guides = () if wish.one_per_page else tuple(_guides(job, documents, positions))
    told = _Told(progress, 2 * sum(document.count for document in documents))
    printed: dict[str, Panel] = {}
    with staging() as staged:
        staged.folder(folder)
        pages = [
            _pressed(job, document, folder / f"{document.name}.pdf", staged, printed, told)
            for document in documents
        ]
        for guide in guides:
            pages.append(_guided(job, guide, folder / f"{guide.name}.pdf", staged))
        again = preflight(job, printed.values())
        if again.verdict == "fail" and report.verdict == "pass":
            return Made(again)
        named: tuple[Document | Guide, ...] = (*documents, *guides)
        files = tuple(folder / f"{made.name}.pdf" for made in named)
        left = None if wish.one_per_page else _left(job, positions)
        rests = [rest_file(job.spec.maker.path).parent] if wish.remember else []
        with alone_in([folder, label.parent, *rests]):
            if wish.remember and left is not None:
                _remember(job, positions.start, left, staged)
            note = _note_printed(job, order, names, wish, staged)
            staged.commit()
            removed = _remove_stale(folder, files)
    lines = [f"{path}: {made}" for path, made in zip(files, pages, strict=True)]
    foot = (
        *left_out,
        *_of_the_list(job),
        *positions.told,
        *_foot(job, wish, left, guides, printer),
    )
    state = standing_in_words(order.approval, order.content)
    gone = _no_longer_wanted(order) if wish.changed else ()
    noted = (note,) if note else ()
    summary = (*_head(job), *lines, *removed, state, *gone, *noted, *foot)
    return Made(report, files, summary, _warnings(job, wish, documents))


@dataclass(frozen=True, slots=True)
class Ordered:
    """What the customer is to get, and what is known of its approval and printing."""

    content: Content
    approval: Approval

    @property
    def code(self) -> str:
        return self.content.code


def _names_wanted(job: Job, order: Ordered, wish: Wish) -> tuple[str, ...] | None:
    """The guests whose labels are wanted, as they stand on the list; None: all labels.

    InputError for who is not on the list, and where --changed has nothing to go by.
    """
    if not wish.guests and not wish.changed:
        return None
    names, printed = job.spec.event.guest_names, order.approval.printed
    if not names:
        option = "--changed" if wish.changed else "--guests"
        expected = f"missing; {option} prints labels that carry guests' names"
        raise InputError(shown_path(job.spec.path), "event.guest_list", None, expected)
    if not wish.changed:
        return chosen_guests(wish.guests, names)
    if printed is None:
        expected = "it is not known which labels were printed; print all, without it"
        raise InputError("--changed", "", None, expected)
    return unprinted(printed, order.content, names)


def _of_guests(job: Job, names: tuple[str, ...] | None) -> Job:
    """The same job with the labels of some guests only."""
    if not names:
        return job
    event = replace(job.spec.event, guest_names=names, guests=len(names), spares=0)
    return job.with_order(spec=replace(job.spec, event=event))


def _held_back(job: Job, order: Ordered, wish: Wish) -> tuple[str, ...]:
    """Why labels are not printed though they are fit: more than names is otherwise than it was
    printed, or the customer approved something else."""
    printed = order.approval.printed
    if wish.changed and printed is not None:
        changes = changes_between(printed.content, order.content)
        if changes.parts:
            head = f"what all labels say was changed since they were printed on {printed.on}:"
            shared = replace(changes, added=(), removed=())
            return (head, *told(shared), "all must be printed anew: leave out --changed")
    if wish.unapproved or wish.draft:
        return ()
    lines = unapproved(order.approval, order.content, job.spec.event.guest_names)
    how = "have the new proof approved, or print it all the same with --unapproved"
    return (*lines, how) if lines else ()


def _unchanged(order: Ordered) -> Iterator[str]:
    printed = order.approval.printed
    if printed is not None:
        yield f"Nothing to print: every guest's label is as it was printed on {printed.on}."
    yield from _no_longer_wanted(order)


def _no_longer_wanted(order: Ordered) -> Iterator[str]:
    """Labels that were printed for a name that is no longer on the list."""
    printed = order.approval.printed
    removed = changes_between(printed.content, order.content).removed if printed else ()
    if printed and removed:
        more = f" and {len(removed) - MOST_NAMED} more" if len(removed) > MOST_NAMED else ""
        shown = ", ".join(removed[:MOST_NAMED])
        yield f"No longer wanted, of the labels printed on {printed.on}: {shown}{more}"


def _note_printed(
    job: Job, order: Ordered, names: tuple[str, ...] | None, wish: Wish, staged: Staged
) -> str:
    """Notes which guests' labels are printed with this; what the maker is told where it cannot be.

    A folder that may only be read keeps no order from being printed.
    """
    label = job.spec.path
    if wish.today is None or wish.draft or not order.content.names:
        return ""
    some = None if wish.changed else names
    approval = with_printed(read_approval(label), order.content, some, wish.today)
    path = approval_file(label)
    try:
        stream = staged.open(path)
    except InputError as error:
        return f"It is not remembered which labels were printed: {error}"
    stream.write(approval_toml(approval).encode("utf-8"))
    return ""


def _on_printer(job: Job, wish: Wish) -> Job:
    """The same job with the printer asked for in place of the workshop's own."""
    maker = job.spec.maker
    name = "" if wish.one_per_page else maker.printer if wish.printer is None else wish.printer
    return job.with_order(spec=replace(job.spec, maker=replace(maker, printer=name)))


def _without_unwritten(job: Job) -> tuple[Job, tuple[str, ...]]:
    """The same job with a label without a name for each guest whose name cannot be set.

    And what the maker is told of them, with their lines of the guest list.
    """
    try:
        _ = job.guest_runs
    except FitError as error:
        if not error.guests:
            return job, ()
        event = job.spec.event
        kept = tuple(name for name in event.guest_names if name not in error.guests)
        count = len(event.guest_names) - len(kept)
        event = replace(
            event, guest_names=kept, guests=event.guests - count, spares=event.spares + count
        )
        told = (
            f"{_counted(count, 'label')} without a name, for who could not be set: {error.reason}"
        )
        return job.with_order(spec=replace(job.spec, event=event)), (told,)
    return job, ()


# -- what is to be made ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Positions:
    """Where the first sheet of each panel begins."""

    start: int = 1
    skip: tuple[int, ...] = ()
    told: tuple[str, ...] = ()
    """What the maker is told of it."""
    code: str = ""
    """Of the order, which stands beside the labels of every sheet."""


def _positions(job: Job, wish: Wish) -> Positions:
    """Where to begin: as asked, else where the last job on this stock ended, else on a new sheet.

    InputError for stock that is cut up after printing: nothing of such a sheet is left.
    """
    given = {"--start": wish.start, "--skip": wish.skip, "--remember": wish.remember}
    for option in (option for option, value in given.items() if value):
        if not job.stock.ready_cut:
            expected = "is cut up once printed; only sheets of ready-cut labels are part-used"
            raise InputError(option, "", job.spec.stock, expected)
    rest = _rest(job) if wish.remember else None
    kept = rest if wish.start is None else None
    start = wish.start or (kept.start if kept else 1)
    for position in wish.skip:
        if position < start:
            expected = f"lies before {start}, where these labels begin; it is left empty anyway"
            raise InputError("--skip", "", position, expected)
    skip = tuple(sorted({*wish.skip, *(kept.skip if kept else ())}))
    return Positions(start, skip, tuple(_begun(job, wish, rest)) if rest else ())


def _rest(job: Job) -> Rest | None:
    return find_rest(job.spec.stock, rest_file(job.spec.maker.path))


def _begun(job: Job, wish: Wish, rest: Rest) -> Iterator[str]:
    """Why it begins where it does, and what may be wrong with that."""
    file = shown_path(rest_file(job.spec.maker.path))
    if wish.start is not None and wish.start != rest.start:
        yield f"Begun at position {wish.start} as asked, not at {rest.start} as {file} has it."
    elif not wish.guests and rest.is_of(*_own_job(job)) and rest.start == rest.ended != rest.began:
        yield (
            f"These labels were made before, from position {rest.began}; counted again, they go on"
            f" from {rest.start}. If the earlier sheets were not used, set start = {rest.began} in"
            f" {file} and run this again."
        )
    elif rest.start > 1:
        yield f"Begun at position {rest.start}, where the last job ended ({file})."


def _own_job(job: Job) -> tuple[str, str]:
    """The label's file and the event, by which a reprint is known."""
    spec = job.spec
    return label_name(spec.path, spec.maker.path), _names(job)


def _printer(job: Job, wish: Wish) -> PrinterProfile | None:
    """The printer to correct for: the one asked for, or the workshop's own."""
    maker = job.spec.maker
    if not maker.printer:
        return None
    try:
        return printer_named(maker.printer, job.order.printers, printers_file(maker.path))
    except InputError as error:
        if wish.printer is not None or error.key != "printers":
            raise
        raise InputError(
            shown_path(maker.path),
            "defaults.printer",
            maker.printer,
            f"{error.expected}, or use --no-printer",
        ) from error


def _documents(
    job: Job, wish: Wish, positions: Positions, printer: PrinterProfile | None
) -> Iterator[Document]:
    composed = [
        one.with_draft_mark(job.spec.languages) if wish.draft else one for one in job.composed
    ]
    if wish.two_sided:
        yield _two_sided(job, composed[:2], wish.two_sided, positions, printer)
        composed = composed[2:]
    for one in composed:
        if wish.one_per_page:
            yield _one_per_page(job, one, positions)
        else:
            yield _sheets(job, one, positions, printer)


def _sheets(
    job: Job, composed: Composed, positions: Positions, printer: PrinterProfile | None
) -> Document:
    """The sheets of one panel."""
    name = composed.panel.name
    return Document(
        name,
        _info(job, f"{name} labels", positions),
        (_side(job, composed),),
        range(job.print_run(name).count),
        lambda: (Page(0, sheet) for sheet in _imposed(job, name, positions)),
        printer,
    )


def _two_sided(
    job: Job,
    composed: Sequence[Composed],
    flip: str,
    positions: Positions,
    printer: PrinterProfile | None,
) -> Document:
    """Fronts and backs of the same pieces: every odd page a sheet of fronts, the next its back."""

    def pages() -> Iterator[Page]:
        for sheet in _imposed(job, "front", positions):
            yield Page(0, sheet)
            yield Page(1, mirror_for_back(sheet, flip))

    return Document(
        BOTH_SIDES,
        _info(job, "labels printed on both sides", positions),
        tuple(_side(job, one) for one in composed),
        range(job.spec.event.labels),
        pages,
        printer,
    )


def _one_per_page(job: Job, composed: Composed, positions: Positions) -> Document:
    """Every label that is unlike the others once; a page is a label and its bleed."""
    panel, bleed = composed.panel, job.spec.bleed_mm
    count = job.print_run(panel.name).count
    named = _named(job, composed)
    labels = range(named + 1 if count > named else named)

    def sheet(label: int) -> Sheet:
        place = Place(label, bleed, bleed, panel.width_mm, panel.height_mm)
        return Sheet(panel.width_mm + 2 * bleed, panel.height_mm + 2 * bleed, (place,))

    return Document(
        panel.name,
        _info(job, f"{panel.name} label", positions),
        (_side(job, composed),),
        labels,
        lambda: (Page(0, sheet(label), press_ready=True) for label in labels),
    )


def _info(job: Job, what: str, positions: Positions) -> DocumentInfo:
    title = f"{_names(job)}: {what}"
    return DocumentInfo(title, job.spec.languages[0], keywords=keyword(positions.code))


def _side(job: Job, composed: Composed) -> Side:
    def own_runs(label: int) -> tuple[Run, ...]:
        return job.own_runs(composed, label)

    return Side(composed.panel, composed.faces, own_runs, job.spec.bleed_mm)


def _imposed(job: Job, panel: str, positions: Positions) -> Iterator[Sheet]:
    """The sheets of a panel; what is not printed as the labels are begins on a new one."""
    run, bleed, slug = job.print_run(panel), job.spec.bleed_mm, f"Order {positions.code}"
    if run == job.print_run("front"):
        start, skip = positions.start, positions.skip
        return imposed(run.stock, run.trim, run.count, start, skip, bleed, slug=slug)
    return imposed(run.stock, run.trim, run.count, bleed_mm=bleed, slug=slug)


def _apart(job: Job) -> dict[str, PrintRun]:
    """Panels that are not printed as the front is, with how they are."""
    runs = {panel: job.print_run(panel) for panel in job.panel_names}
    return {panel: run for panel, run in runs.items() if run != runs["front"]}


def _named(job: Job, composed: Composed) -> int:
    """How many labels of a panel carry a guest's own name."""
    return len(job.spec.event.guest_names) if composed.guest is not None else 0


def _names(job: Job) -> str:
    return next(iter(job.spec.event.names.values()))


# -- making it -------------------------------------------------------------------------------------


def _pressed(
    job: Job, document: Document, path: Path, staged: Staged, printed: dict[str, Panel], told: _Told
) -> str:
    """Draws a document, reads it back and compares; says in a few words what it is.

    The first label of each panel as read goes into ``printed``. PressError where the file is not
    as composed. Neither pass keeps a page, so that any number of labels needs the same memory.
    """
    stream = staged.open(path)
    pages = 0

    def drawn() -> Iterator[Page]:
        nonlocal pages
        for page in told.counted(document.pages()):
            pages += 1
            yield page

    printer = printer_matrix(document.printer) if document.printer else None
    draw_pages(stream, document.sides, drawn(), document.info, printer)
    read = _noted(pages_of(stream, path.name), printed)
    expected = told.counted(document.pages())
    wrong = next(page_differences(document.sides, document.labels, expected, read), None)
    if wrong:
        raise PressError(f"{document.name}: the finished PDF is not as composed: {wrong}")
    return _in_words(job, document, pages)


def _guides(job: Job, documents: Sequence[Document], positions: Positions) -> Iterator[Guide]:
    """Guides for what no straight cut makes: the labels, and what is printed apart from them."""
    apart = _apart(job)
    for number, document in enumerate(documents):
        run, panel = job.print_run(document.panel), document.panel
        if (number == 0 or panel in apart) and cut_by_outline(run.stock, run.trim):
            name = f"{GUIDE_NAME}-{panel}" if panel in apart else GUIDE_NAME
            yield Guide(name, guide_pages(_imposed(job, panel, positions)), run.trim, document)


def _guided(job: Job, guide: Guide, path: Path, staged: Staged) -> str:
    """Draws a cutting guide; says in a few words what it is."""
    document = guide.document
    trim, pages, printer = guide.trim, guide.pages, document.printer
    outline = Outline(trim.shape, trim.width_mm, trim.height_mm, trim.corner_mm)
    info = replace(document.info, title=f"{_names(job)}: cutting guide")
    matrix = printer_matrix(printer) if printer else None
    draw_guide(staged.open(path), [page.sheet for page in pages], outline, info, matrix)
    if len(pages) == 1:
        return "the outlines to cut along, one page for every sheet"
    which = [f"page {n} for {_sheet_numbers(page)}" for n, page in enumerate(pages, start=1)]
    return f"the outlines to cut along, {', '.join(which)}"


def _sheet_numbers(page: GuidePage) -> str:
    if page.first == page.last:
        return f"sheet {page.first}"
    return f"sheets {page.first} to {page.last}"


def _remove_stale(folder: Path, made: Sequence[Path]) -> list[str]:
    """Removes what an earlier run made under names that this one has no use for, and says so.

    Printed by mistake it would be another event's, or last week's list of guests. A file without
    labelkit's own marks is nobody's business here.
    """
    old = [folder / f"{name}.pdf" for name in SHEET_NAMES]
    stale = [path for path in old if path not in made and path.is_file() and is_sheet(path)]
    told: list[str] = []
    for path in stale:
        try:
            path.unlink()
            told.append(f"{path}: removed; it was of an earlier run")
        except OSError as error:
            told.append(f"{path}: of an earlier run, do not print it; {error.strerror}")
    return told


def _noted(read: Iterable[PageRead], printed: dict[str, Panel]) -> Iterator[PageRead]:
    for page in read:
        for place in page.panels:
            printed.setdefault(place.panel.name, place.panel)
        yield page


@dataclass
class _Told:
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


def _head(job: Job) -> Iterator[str]:
    event = job.spec.event
    people = (_counted(event.guests, "guest"), *_spares(job.spec))
    yield f"{_counted(event.labels, 'label')} ({' + '.join(people)}), {job.stock.title}"
    for panel, run in _apart(job).items():
        yield f"{_counted(run.count, panel)}, {run.stock.title}"


def _spares(spec: LabelSpec) -> Iterator[str]:
    """The spares, in the plan's words where it makes soap for some of them only."""
    spares = spec.event.spares
    pieces = min(spec.plan.spare_pieces, spares)
    if pieces == spares:
        yield _counted(spares, "spare")
        return
    if pieces:
        yield _counted(pieces, "spare piece")
    yield _counted(spares - pieces, "spare label")


def _of_the_list(job: Job) -> Iterator[str]:
    """What a guest list leaves open: labels without a name, columns without a place."""
    event = job.spec.event
    if event.guest_names and event.spares:
        spares = _counted(event.spares, "spare")
        room = "room to write one" if event.spares == 1 else "room to write one on each"
        yield f"{spares} without a name: {room}"
    if event.listed.unread:
        yield f"Not printed, of the guest list: {', '.join(event.listed.unread)}"


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _in_words(job: Job, document: Document, pages: int) -> str:
    labels = job.print_run(document.panel).count
    names = " and ".join(side.panel.name for side in document.sides)
    if not next(document.pages()).press_ready:
        return f"{_counted(labels, f'{names} label')} on {_counted(pages, 'page')}"
    like_the_last = labels - (pages - 1)
    if like_the_last == 1:
        return f"{_counted(labels, f'{names} label')}, one to a page"
    if pages == 1:
        return f"1 page, to be printed {labels} times"
    named = _counted(pages - 1, f"{names} label")
    return f"{named}, one to a page, and a last page for {like_the_last} spares"


def _foot(
    job: Job,
    wish: Wish,
    left: LeftOver | None,
    guides: Sequence[Guide],
    printer: PrinterProfile | None,
) -> Iterator[str]:
    if left is not None:
        yield from _left_in_words(job, wish, left)
    if printer:
        whose = ", as the maker's file says" if wish.printer is None else ""
        yield (
            f"Corrected for the printer {printer.name}{whose}; it must not correct the pages once"
            " more, and other printers print them wrong."
        )
    if wish.two_sided:
        yield f"Print on both sides, turned over the {wish.two_sided} edge."
    if not wish.one_per_page:
        yield from ruler_cuts(job.stock, job.spec.trim, job.spec.bleed_mm)
        for panel, run in _apart(job).items():
            cuts = ruler_cuts(run.stock, run.trim, job.spec.bleed_mm)
            yield from (f"{panel}: {line}" for line in cuts)
    for guide in guides:
        yield from _guide_in_words(f"{guide.name}.pdf", wish, printer)
    if wish.draft:
        yield "DRAFT: every label is marked and not fit for use."
    if not wish.one_per_page:
        yield "Print at 100 % (actual size), never fit to page."


def _guide_in_words(name: str, wish: Wish, printer: PrinterProfile | None) -> Iterator[str]:
    yield (
        f"Cut to the outline with {name}: lay it under a sheet on a light table, its marks on"
        " the sheet's, or give it to a cutting plotter; print no labels on it."
    )
    if wish.two_sided and name == f"{GUIDE_NAME}.pdf":
        yield f"{name} is for the side of the fronts."
    if printer:
        yield (
            f"{name} is corrected for the printer like the sheets; for a plotter make one"
            " with --no-printer."
        )


def _left(job: Job, positions: Positions) -> LeftOver:
    run, bleed = job.print_run("front"), job.spec.bleed_mm
    return left_over(run.stock, run.trim, run.count, positions.start, positions.skip, bleed)


def _left_in_words(job: Job, wish: Wish, left: LeftOver) -> Iterator[str]:
    """What remains of the last sheet, and how the next job takes it up."""
    if not job.stock.ready_cut:
        return
    which = "The last sheet" if wish.two_sided else "The last sheet of each"
    has = f"{which} has {len(left.free)} of {left.positions} positions left"
    if wish.remember:
        file = shown_path(rest_file(job.spec.maker.path))
        yield f"{has}; {file} says start = {left.start or 1}, where the next --remember begins."
    elif left.free:
        skip = "".join(f" --skip {position}" for position in left.skip)
        yield f"{has}: --start {left.start}{skip}"


def _remember(job: Job, began: int, left: LeftOver, staged: Staged) -> None:
    """Notes what is left of the sheet, and whose labels were printed on it."""
    path = rest_file(job.spec.maker.path)
    start = left.start or 1
    rest = Rest(job.spec.stock, start, left.skip, *_own_job(job), began, start)
    staged.open(path).write(rests_toml(with_rest(read_rests(path), rest)).encode("utf-8"))


def _warnings(job: Job, wish: Wish, documents: Sequence[Document]) -> tuple[str, ...]:
    if wish.one_per_page:
        return ()
    found = list(_warnings_of(job, documents[0]))
    for document in (d for d in documents if d.panel in _apart(job)):
        found += [f"{document.panel}: {line}" for line in _warnings_of(job, document)]
    return tuple(found)


def _warnings_of(job: Job, document: Document) -> tuple[str, ...]:
    # The first sheet may be part-used; every other one is like the second.
    sheets = [page.sheet for page in islice(document.pages(), 2)]
    run, printer = job.print_run(document.panel), document.printer
    edge = printer.unprintable_mm if printer else None
    return warnings_of(run.stock, run.trim, sheets, edge)
