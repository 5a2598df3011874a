"""From the files of an order to a job, and from a job to its findings."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from labelkit import formula, rules
from labelkit.checks.bleed import check_bleed
from labelkit.checks.craft import OWN_CHECK, CheckedLabel, check_craft
from labelkit.checks.cutting import check_cutting
from labelkit.checks.order import check_order
from labelkit.checks.remedies import try_ways_out
from labelkit.checks.stock import check_stock
from labelkit.common.errors import (
    AsTyped,
    FaceError,
    FitError,
    InputError,
    NoRoomError,
    format_path,
)
from labelkit.common.messages import FactList
from labelkit.compose import ComposedPanel
from labelkit.compose.job import Job
from labelkit.compose.panel import resolve_inks
from labelkit.formula.declaration import Declaration
from labelkit.formula.stocking import stock_recipe
from labelkit.impose import count_labels_per_sheet
from labelkit.job.suite_checks import check_suite, list_unfit_pieces, split_printed
from labelkit.model.runs import Panel
from labelkit.order.label import LabelSpec, Trim
from labelkit.order.maker import trace_path_of
from labelkit.order.order import Order, read_order
from labelkit.order.recipe import Recipe
from labelkit.order.stock import Stock
from labelkit.plan.pouring import find_first_keeping_day, plan_lot
from labelkit.rules.facts import Facts, PackageFace
from labelkit.rules.findings import Finding, Level, Report
from labelkit.rules.policies import make_policy
from labelkit.typeset.companions import check_font_files

ROOMIER = (1.5, 2.5, 4.0)
"""How much larger a trim is tried to judge the words of a label that does not fit its own."""
HALVINGS = 2
"""Times the step between two of them is halved to show a label on little more than it takes."""
TRIM_AGAINST_FACE = "ALL-FACE-HOLDS-LABEL"
"""Says nothing of a label that was enlarged only to judge its words."""
UNFIT = "LABELKIT-FIT"
"""Says of a panel that it cannot be set."""


def prepare_job(
    path: Path,
    regions: Iterable[str] = (),
    on: dt.date | None = None,
    today: dt.date | None = None,
) -> Job:
    """Reads a label spec and all it names. Raises LabelkitError for anything unusable."""
    return job_from_order(read_order(path, regions=regions), on, today)


def job_from_order(order: Order, on: dt.date | None = None, today: dt.date | None = None) -> Job:
    """The job of an order, for the day of sale or another. Raises LabelkitError for a recipe that
    nothing can be declared of."""
    order = replace(order, recipe=stock_recipe(order.recipe, order.shelf))
    spec = order.spec
    day = on or spec.product.sold_on
    policy = make_policy(spec.regions, day, spec.product.first_sold_on)
    _check_fonts(spec)
    declaration = formula.declare_ingredients(order.recipe, policy)
    facts = _make_facts(spec, order.recipe, declaration, order.stock)
    apart = dict(order.piece_stocks)
    if order.second_stock:
        apart[spec.ingredients_on] = order.second_stock
    opaque = tuple(panel for panel, stock in apart.items() if stock.material != "clear")
    accent = resolve_inks(order.layout, spec.colour, spec.accent)[1]
    covering = (accent,) if spec.white_under_accent else ()
    facts = replace(facts, opaque=opaque, white_under=spec.white_under, covering_inks=covering)
    return Job(order, declaration, facts, day, today)


def set_on_stock(panel: Panel, made: Iterable[Panel]) -> Panel:
    """A panel read from a file on the stock, and on the tint, of the order's own."""
    for own in made:
        if own.name == panel.name:
            return replace(panel, background=own.background, stock_colour=own.stock_colour)
    return panel


def leave_white_out(job: Job) -> Job:
    """The same job as it is printed at home, where nothing lays white."""
    return replace(job, facts=replace(job.facts, white_under=False, covering_inks=()))


def preflight_job(
    job: Job,
    panels: Iterable[Panel] | None = None,
    strict: bool = False,
    with_ways_out: bool = True,
) -> Report:
    """The findings on the composed panels, or on ``panels`` read from a finished PDF.

    Each panel stands for itself: the words of one that does not fit are judged all the same, set on
    a trim with room, and the others as they are. A guest's name that cannot be set is one finding
    beside the others. Ways out of what does not fit are tried, which takes seconds, unless the
    panels' own are enough.
    """
    if panels is not None:
        label, pieces = split_printed(panels, job.suite)
        report = rules.judge_panels(label, job.known, job.regions, job.on, strict)
        beside = check_suite(job, report.findings, pieces, strict)
        return report.with_findings((*beside, *_check_poured(job)))
    stocks = [job.print_run(panel).stock for panel in job.printed_names]
    own = (
        *_check_poured(job),
        *check_order(job.spec, job.recipe, job.today),
        *check_stock(job.spec, stocks, job.order.printers),
        *check_bleed((one.panel for one in job.fitting_sheets), job.spec.bleed_mm),
    )
    guest_runs, unset = job.fitted_guests
    unfit = (_add_tried_ways(job, error) if with_ways_out else error for error in job.unfit)
    errors = (
        *_find_oversize_labels(job),
        *unfit,
        *list_unfit_pieces(job),
        *([unset] if unset else []),
    )
    craft = CheckedLabel(job.fitting, job.layout, job.facts, job.logo is not None, guest_runs)
    words = _judge_panels(job, strict)
    on_label = (*check_craft(craft), *check_cutting(job), *own)
    beside = check_suite(job, (*words.findings, *on_label), strict=strict)
    return words.with_findings((*on_label, *beside), first=map(_make_unfit_finding, errors))


def _check_poured(job: Job) -> Iterable[Finding]:
    """Whether the list is that of the batch which was poured, where there is a record of any: what
    reads it is all that plans an order, which most commands can do without."""
    if not trace_path_of(job.spec.maker.path).exists():
        return ()
    from labelkit.checks.poured import check_poured

    return check_poured(job)


def _add_tried_ways(job: Job, error: FitError) -> FitError:
    """The same refusal with the ways out that were tried and help, where any does."""
    if not isinstance(error, NoRoomError):
        return error
    return replace(error, ways_out=try_ways_out(job, error) or error.ways_out)


def _find_oversize_labels(job: Job) -> Iterator[FitError]:
    """Labels too large for what they are printed on, each such sheet once."""
    told: set[str] = set()
    for run in map(job.print_run, job.printed_names):
        try:
            count_labels_per_sheet(run.stock, run.trim, job.spec.bleed_mm)
        except FitError as error:
            if str(error) not in told:
                yield error
            told.add(str(error))


def _judge_panels(job: Job, strict: bool) -> Report:
    """What the rules say of the panels; of one that does not fit, set on a trim with room."""
    panels = list_panels_to_judge(job)
    if not panels:
        return Report(job.on, job.regions, ())
    report = rules.judge_panels(
        panels, job.facts if job.unfit else job.known, job.regions, job.on, strict
    )
    if not job.unfit:
        return report
    kept = tuple(f for f in report.findings if f.rule != TRIM_AGAINST_FACE)
    return replace(report, findings=kept)


def list_panels_to_judge(job: Job) -> tuple[Panel, ...]:
    """Every panel as composed, or where it does not fit on the first larger trim that holds it;
    none where nothing holds one of them: what it says cannot be judged as if it were not there."""
    panels = [
        one.panel if isinstance(one, ComposedPanel) else _compose_with_room(job, name)
        for name, one in job.results.items()
    ]
    set_panels = tuple(panel for panel in panels if panel is not None)
    return set_panels if len(set_panels) == len(panels) else ()


def _compose_with_room(job: Job, name: str) -> Panel | None:
    """A panel on the first of some larger trims that holds it."""
    found = _find_room(job, name)
    return found[1].panel if found else None


def compose_with_room(job: Job, name: str) -> ComposedPanel | None:
    """A panel on a trim in its proportions that just holds it; None where none does."""
    found = _find_room(job, name)
    if found is None:
        return None
    enough, composed = found
    short = max((factor for factor in (1.0, *ROOMIER) if factor < enough), default=1.0)
    for _ in range(HALVINGS):
        factor = (short + enough) / 2
        try:
            composed = job.panel_on(name, _enlarge_trim(job.print_run(name).trim, factor))
            enough = factor
        except FitError:
            short = factor
    return composed


def _find_room(job: Job, name: str) -> tuple[float, ComposedPanel] | None:
    for factor in ROOMIER:
        try:
            trim = _enlarge_trim(job.print_run(name).trim, factor)
            return factor, job.panel_on(name, trim)
        except FitError:
            continue
    return None


def _enlarge_trim(trim: Trim, factor: float) -> Trim:
    return replace(trim, width_mm=trim.width_mm * factor, height_mm=trim.height_mm * factor)


def _check_fonts(spec: LabelSpec) -> None:
    """InputError for a font file that is missing, or that nothing could be written with."""
    for path in spec.fonts:
        try:
            check_font_files([path])
        except FaceError as error:
            named = AsTyped(format_path(path.name))
            raise InputError(format_path(spec.path), "label.fonts", named, error.told) from error


def _make_unfit_finding(error: FitError) -> Finding:
    return Finding(
        rule=UNFIT,
        region="",
        panel=error.panel,
        element="",
        level=Level.FAIL,
        message=error.reason,
        remedy=FactList(error.ways_out, ";"),
        provenance=OWN_CHECK,
    )


def _make_facts(spec: LabelSpec, recipe: Recipe, declaration: Declaration, stock: Stock) -> Facts:
    product, maker = spec.product, spec.maker
    planned = None if product.lot else plan_lot(spec, recipe)
    return Facts(
        face=_make_package_face(spec),
        net_weight_g=product.net_weight_g,
        languages=spec.languages,
        declaration=declaration,
        sold_on=product.sold_on,
        first_sold_on=product.first_sold_on,
        identity=product.identity,
        dealer_name=maker.name,
        dealer_address=maker.address,
        contact=maker.contact,
        lot=product.lot,
        planned_lot=planned.code if planned else "",
        scent=product.scent,
        product_class=product.product_class,
        imported=product.imported,
        made_in=maker.country,
        ingredients_on=spec.ingredients_on,
        ingredients_url=spec.ingredients_url,
        total_surface_cm2=product.total_surface_cm2,
        soap_colour=product.soap_colour,
        clear_stock=stock.material == "clear" if spec.clear is None else spec.clear,
        e_mark=product.e_mark,
        label_is_tag=product.label_is_tag,
        back_is_bottom=product.back_is_bottom,
        street_listed=maker.street_listed,
        durability_months=product.durability_months,
        kept_from=find_first_keeping_day(spec),
        evidence=spec.evidence,
    )


def _make_package_face(spec: LabelSpec) -> PackageFace:
    """The face that sets the display area: the tag's own side where the label is a tag."""
    product, trim = spec.product, spec.trim
    if product.label_is_tag:
        return PackageFace(Decimal(str(trim.width_mm)), Decimal(str(trim.height_mm)))
    return PackageFace(product.face_width_mm, product.face_height_mm, product.face_shape)
