"""What earlier visits left open: faults that nobody looked at this time, and work that was offered then."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import NamedTuple

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.answers import place_name, place_of
from witnessmark.summarise.bill import Earlier
from witnessmark.summarise.judged import FAULTY, Facts
from witnessmark.summarise.later import Day, Place, Trouble, troubles
from witnessmark.summarise.page import Carried, Section
from witnessmark.summarise.told import leads_to, told
from witnessmark.summarise.words import capital, isolated, name_of, written
from witnessmark.types import Grade, Outcome

GRAVE = (Grade.DANGEROUS, Grade.MAJOR)


class Before(NamedTuple):
    """What is known of a machine from the visits before this one."""

    days: Sequence[Day] = ()
    """Oldest first."""
    renewed: Mapping[Place, date] = {}
    """Place → day by which readings show a new part there."""
    answers: Sequence[Earlier] = ()
    """The last answer to each line of earlier estimates."""


def carried(words: PlainWords, before: Before, outcome: Outcome, facts: Facts) -> Section[Carried]:
    """Confirmed faults of earlier visits that nothing says were put right, then work put off or agreed to.

    Args:
        words: the plain words.
        before: the visits before this one.
        outcome: of this visit.
        facts: of this visit.
    """
    today = Day(outcome.walkround.id, outcome.walkround.on, facts)
    open_ = [one for one in troubles(words, (*before.days, today), before.renewed) if _is_carried(one, today)]
    undone = [one for one in before.answers if one.done is None]
    items = [*(_fault(words, one, facts, undone) for one in open_), *_offered(words, undone, open_)]
    head = words.sections["earlier"]
    return Section(id="earlier", heading=head.heading, holds=head.holds, items=tuple(items))


def _is_carried(one: Trouble, today: Day) -> bool:
    return one.settled is None and one.walkround != today.walkround


def _fault(words: PlainWords, one: Trouble, facts: Facts, undone: Iterable[Earlier]) -> Carried:
    item, grade = one.judged.item, one.judged.grade
    spoken = any(now.place == item.place for now in facts.items)
    when = words.phrases["found_before_spoken" if spoken else "found_before"]
    return Carried(
        part=capital(name_of(words, item.component, [(item.end, item.side)])),
        grade=grade if grade in FAULTY else "",
        label=words.grades[grade].label if grade in FAULTY else "",
        purpose=words.part(item.component).purpose,
        found=capital(told(words, one.judged)),
        when=when.format(date=written(words, one.last)),
        leads=leads_to(words, one.judged),
        advised=capital(words.phrases["look_before" if grade in GRAVE else "look_soon"]),
        said=tuple(_said(words, answer) for answer in undone if place_of(answer.answer.line) == item.place),
    )


def _offered(words: PlainWords, undone: Iterable[Earlier], open_: Iterable[Trouble]) -> Iterator[Carried]:
    """Answers at places where no fault is carried."""
    told_of = {one.judged.item.place for one in open_}
    for one in undone:
        if place_of(one.answer.line) not in told_of:
            place, _, _ = one.answer.line.partition("/")
            yield Carried(part=place_name(words, place), said=(_said(words, one),))


def _said(words: PlainWords, one: Earlier) -> str:
    """``Replace: put off on 2 October 2025 …``."""
    _, _, work = one.answer.line.partition("/")
    row = words.phrases["put_off" if one.answer.kind == "not_now" else "agreed_to"]
    on, who = written(words, one.answer.on), isolated(one.answer.who)
    return row.format(work=words.paper.work.get(work, work), who=who, date=on)


def gravest(section: Section[Carried]) -> tuple[Carried, ...]:
    """Those that keep the machine from being ridden until somebody has looked."""
    return tuple(one for one in section.items if one.grade in GRAVE)
