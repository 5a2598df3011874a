"""Several orders in one calendar, in words."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap
from typing import Any

from labelkit.common.json_text import format_json, pick_fields
from labelkit.common.messages import FactList
from labelkit.plan.order_plan import Plan
from labelkit.plan.shared_calendar import Collision, JointBatch, SharedCalendar, SharedThing
from labelkit.report.phrasebook import Phrases
from labelkit.report.plan_parts import choose_phrases, make_speech

WIDTH = 100


def format_calendar_text(made: SharedCalendar, language: str | None = None) -> str:
    """The days of all orders by date, then what collides, then what can be poured together."""
    say = choose_phrases(made.orders[0], language)
    return "\n".join([*_list_days(made, say), *_list_findings(made, say)]) + "\n"


def _list_days(made: SharedCalendar, say: Phrases) -> Iterator[str]:
    yield say("shared.title", on=say.date(made.on))
    yield ""
    cells = [
        (
            say.weekday(dated.first),
            say.date(dated.first)
            if dated.first == dated.last
            else say("step.span", first=say.date(dated.first), last=say.date(dated.last)),
            say(f"step.{dated.step.value}"),
            _name_order(plan, say),
        )
        for dated, plan in made.steps
    ]
    widths = [max(len(row[column]) for row in cells) for column in range(3)]
    for *head, name in cells:
        padded = (cell.ljust(width) for cell, width in zip(head, widths, strict=True))
        yield "  ".join([*padded, name])


def _list_findings(made: SharedCalendar, say: Phrases) -> Iterator[str]:
    lines = [
        *(
            say("shared.unkept", order=_name_order(p, say))
            for p in made.orders
            if not p.can_be_kept
        ),
        *(describe_collision(one, say) for one in made.collisions),
    ]
    yield ""
    for line in lines or [say("shared.nothing")]:
        yield from wrap(f"! {line}" if lines else line, WIDTH, subsequent_indent="  ")
    for joint in made.joint:
        yield from wrap(f"- {describe_joint_batch(joint, say)}", WIDTH, subsequent_indent="  ")


def describe_collision(one: Collision, say: Phrases) -> str:
    """What several orders want at one time, and how much of it there is."""
    key = "hands" if one.thing is SharedThing.HANDS else one.thing.value
    days = (
        say.date(one.first)
        if one.first == one.last
        else say("step.span", first=say.date(one.first), last=say.date(one.last))
    )
    wanted, have = say.number(one.wanted, 0), say.number(one.have, 0)
    return say(f"shared.{key}", days=days, orders=_join(one.orders, say), wanted=wanted, have=have)


def describe_joint_batch(one: JointBatch, say: Phrases) -> str:
    """Orders that one pour can serve, and what that saves."""
    scale = one.orders[0].scales.main
    return say(
        "shared.joint",
        orders=_join(one.orders, say),
        recipe=one.recipe,
        day=say.date(one.pour, "full"),
        mass=say.weighed(one.poured_g, scale),
        moulds=say.number(one.moulds),
        minutes=say.many("minutes", one.saved_minutes),
    )


def _name_order(plan: Plan, say: Phrases) -> str:
    return say.of(plan.job.spec.event.names)


def _join(orders: tuple[Plan, ...], say: Phrases) -> str:
    return make_speech(say)(FactList([_name_order(plan, say) for plan in orders], "and"))


def format_calendar_json(made: SharedCalendar) -> str:
    """The same as plain values."""
    return format_json(_build_calendar(made)) + "\n"


def _build_calendar(made: SharedCalendar) -> dict[str, Any]:
    def label_of(plan: Plan) -> str:
        return str(plan.job.spec.path)

    return {
        **pick_fields(made, "on can_be_kept"),
        "orders": [{"label": label_of(p), "can_be_kept": p.can_be_kept} for p in made.orders],
        "steps": [
            {**pick_fields(dated, "step first last"), "label": label_of(plan)}
            for dated, plan in made.steps
        ],
        "collisions": [
            {
                "of": one.thing,
                **pick_fields(one, "first last"),
                "labels": [label_of(plan) for plan in one.orders],
                **pick_fields(one, "wanted have"),
            }
            for one in made.collisions
        ],
        "poured_together": [
            {
                "recipe": one.recipe,
                "on": one.pour,
                "labels": [label_of(plan) for plan in one.orders],
                "saved_minutes": one.saved_minutes,
            }
            for one in made.joint
        ],
    }
