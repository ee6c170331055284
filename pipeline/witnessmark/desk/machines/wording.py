"""Items of a machine's history in the words of its page."""

from __future__ import annotations

from collections.abc import Iterable

from witnessmark.desk.machines import shown
from witnessmark.knowledge.plain import plain_words
from witnessmark.record.rows import heard
from witnessmark.review.wording import printable, says
from witnessmark.summarise.answers import said_to
from witnessmark.summarise.bill import Earlier
from witnessmark.summarise.later import Settled, Trouble, Wanted
from witnessmark.types import Action, Finding, Grade, Item, Odometer, Reading
from witnessmark.units import text_of


def told(item: Item) -> str:
    """What an item says, in the reviewer's words."""
    assert isinstance(item, Finding | Reading | Action)
    return printable(says(item))


def grade_of(grade: Grade) -> str:
    """A grade as a word."""
    return grade.value.replace("_", " ")


def clock(odometer: Odometer | None) -> str:
    """``14,865 mi``; nothing where it is not known."""
    return text_of(odometer.value, odometer.unit) if odometer else ""


def trouble(one: Trouble) -> shown.TroubleLine:
    """Trouble as the page shows it."""
    item, verdict = one.judged.item, one.judged.verdict
    told_by = [*([verdict] if verdict else []), *one.judged.dissenting]
    return shown.TroubleLine(
        says=told(item),
        because=printable(" ".join(rule.message for rule in told_by)),
        grade=one.judged.grade.value,
        since=one.since,
        last=one.last,
        walkround=one.walkround,
        item=item.key,
        heard=printable(heard(item.evidence)),
        ended=_ending(one.settled) if one.settled else None,
    )


def _ending(one: Settled) -> shown.Ending:
    return shown.Ending(
        on=one.on,
        walkround=one.walkround,
        by=told(one.by).removesuffix(" in the walkround") if one.by else "",
    )


def wanted(one: Wanted, answers: Iterable[Earlier] = ()) -> shown.OpenWork:
    """Open work as the page shows it, with the owner's answer to it."""
    return shown.OpenWork(
        says=told(one.action).removesuffix(", wanted"),
        since=one.since,
        last=one.last,
        walkround=one.walkround,
        item=one.action.key,
        heard=printable(heard(one.action.evidence)),
        owner=printable(said_to(plain_words(), one.action, answers)),
    )
