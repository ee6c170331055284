"""The job sheet: work wanted, by place in walking order, what it needs and what to measure afterwards."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from witnessmark.knowledge.cards import MachineCard
from witnessmark.knowledge.drawings import drawings
from witnessmark.knowledge.jobs import About, Job, job_for
from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.answers import answered, earlier_line, line_key
from witnessmark.summarise.bench import BenchJob, BenchPlace, FigureLine, JobSheet, MeasureLine
from witnessmark.summarise.bill import Earlier
from witnessmark.summarise.judged import FAULTY, Facts, Judged, applies, facts_of, settled
from witnessmark.summarise.summary import notice_of
from witnessmark.summarise.told import is_trouble, told
from witnessmark.summarise.words import (
    GRADES,
    capital,
    distance_text,
    isolated,
    limit_text,
    name_of,
    reading_text,
    unique,
    written,
)
from witnessmark.types import Answer, End, Grade, Item, Limit, Machine, Outcome, Reading

DECIDE = "decide"
"""In place of an action where a fault stands and no work was named."""
LATER = "monitor"
"""The action that is no work at the bench."""


class Wanted(NamedTuple):
    """One part, the work wanted on it and what was found there."""

    item: Item
    work: tuple[str, ...]
    found: tuple[Judged, ...]

    @property
    def place(self) -> str:
        """Where on the machine; where the walk comes first for a part at both ends of which none was said."""
        return drawings().places_of(self.item.component, self.item.end)[0]


def wanted_work(words: PlainWords, facts: Facts) -> list[Wanted]:
    """Work wanted, then faults for which no work was named, in walking order."""
    work: dict[object, list[str]] = {}
    items: dict[object, Item] = {}
    for action in facts.actions:
        if action.status == "wanted":
            items.setdefault(action.place, action)
            work.setdefault(action.place, []).append(action.kind)
    for one in facts.judged:
        if _open(words, facts, one) and not _covers(words, facts, one, work):
            items.setdefault(one.item.place, one.item)
            work.setdefault(one.item.place, []).append(DECIDE)
    wanted = [
        Wanted(items[place], unique(kinds), _found_at(words, facts, items[place]))
        for place, kinds in work.items()
    ]
    return sorted(wanted, key=lambda one: drawings().walk(one.place))


def _open(words: PlainWords, facts: Facts, one: Judged) -> bool:
    """A fault that today's work has not put right, or trouble that no rule grades."""
    if one.unseen or one.favourable or settled(words, facts, one):
        return False
    if one.grade is Grade.ADVISORY:
        return False
    return one.grade in FAULTY or (one.grade is Grade.UNGRADED and is_trouble(words, one))


def _covers(words: PlainWords, facts: Facts, one: Judged, work: dict[object, list[str]]) -> bool:
    """Whether somebody said what to do about it."""
    if work.get(one.item.place):
        return True
    return any(action.status == "wanted" and applies(words, action, one.item) for action in facts.actions)


def _found_at(words: PlainWords, facts: Facts, item: Item) -> tuple[Judged, ...]:
    """What was found on a part, or on the pieces of a whole, and is not put right; gravest first."""
    pieces = (item.component, *words.includes.get(item.component, ()))
    here = [
        one
        for one in facts.judged
        if one.item.component in pieces and (one.item.end, one.item.side) == (item.end, item.side)
        if _told_on_sheet(words, one) and not settled(words, facts, one)
    ]
    return tuple(sorted(here, key=lambda one: GRADES.index(one.grade)))


def _told_on_sheet(words: PlainWords, one: Judged) -> bool:
    """Trouble only: what is in order calls for no work."""
    return not one.unseen and not one.favourable and (one.grade in FAULTY or is_trouble(words, one))


def jobsheet(
    outcome: Outcome,
    plain: PlainWords,
    card: MachineCard | None = None,
    answers: Sequence[Answer] = (),
    earlier: Sequence[Earlier] = (),
) -> JobSheet:
    """The sheet for the bench. Only ``outcome.confirmed`` is told.

    Args:
        outcome: what the review came to, its walkround judged as the reviewer has it.
        plain: the plain words.
        card: of this machine; that of a class gives no figures.
        answers: of the owner to the estimate of this work; the last to a line counts.
        earlier: answers of earlier visits.
    """
    words = plain.in_country(outcome.walkround.draft.jurisdiction)
    facts, said = facts_of(outcome), {answer.line: answer for answer in answers}
    wanted = wanted_work(words, facts)
    now = [one for one in wanted if set(one.work) != {LATER}]
    says, machine = words.paper.jobsheet, outcome.machine or Machine()
    name = machine.registration or machine.vin or words.paper.labels["machine"]
    grave = any(one.grade is Grade.DANGEROUS for entry in now for one in entry.found)
    return JobSheet(
        language=words.locale.replace("_", "-"),
        labels={**words.paper.labels, **says},
        title=says["title"].format(machine=name),
        machine=name,
        distance=distance_text(words, machine.odometer) if machine.odometer else "",
        inspected=written(words, outcome.walkround.on),
        stop=says["stop"] if grave else "",
        notice=notice_of(words, outcome),
        no_card="" if card and card.kind == "model" else says["no_card"],
        places=_places(words, now, Known(facts, card, said)),
        later=tuple(_name(words, one.item) for one in wanted if one not in now),
        earlier=tuple(earlier_line(words, one) for one in earlier),
        cautions=tuple(text for key, text in says.items() if key.startswith("caution_")),
    )


def _name(words: PlainWords, item: Item) -> str:
    return capital(name_of(words, item.component, [(item.end, item.side)]))


class Known(NamedTuple):
    """What a job can draw upon."""

    facts: Facts
    card: MachineCard | None
    said: dict[str, Answer]


def _places(words: PlainWords, wanted: list[Wanted], known: Known) -> tuple[BenchPlace, ...]:
    places: dict[str, list[BenchJob]] = {}
    for number, one in enumerate(wanted, start=1):
        places.setdefault(one.place, []).append(_job(words, number, one, known))
    return tuple(
        BenchPlace(name=capital(words.paper.places[place]), jobs=tuple(jobs))
        for place, jobs in places.items()
    )


def _job(words: PlainWords, number: int, one: Wanted, known: Known) -> BenchJob:
    rows = [job_for(one.item.component, kind) for kind in one.work if kind != DECIDE]
    gravest = one.found[0].grade if one.found else Grade.UNGRADED
    grade = gravest if gravest in FAULTY else None
    return BenchJob(
        number=number,
        part=_name(words, one.item),
        work=tuple(words.paper.work[kind] for kind in one.work),
        grade=grade or "",
        label=words.grades[grade].label if grade else "",
        found=unique(capital(told(words, judged)) for judged in one.found),
        note=words.paper.jobsheet["decide_note"] if DECIDE in one.work else "",
        answers=tuple(_answer(words, one.item, kind, known.said) for kind in one.work) if known.said else (),
        needs=unique(words.paper.needs[need] for row in rows for need in row.needs),
        figures=tuple(_figures(words, one.item, rows, known.card)),
        measure=tuple(_measures(words, one.item, rows, known)),
        after=unique(words.paper.after[check] for row in rows for check in row.after),
    )


def _answer(words: PlainWords, item: Item, kind: str, said: dict[str, Answer]) -> str:
    answer = said.get(line_key(item, kind))
    text = answered(words, answer) if answer else words.paper.jobsheet["unasked"]
    return words.paper.estimate["earlier_line"].format(part=words.paper.work[kind], work=text)


def _abouts(item: Item, rows: Iterable[Job], kind: str) -> tuple[About, ...]:
    wanted = (about for row in rows for about in getattr(row, kind))
    return tuple(dict.fromkeys(about.of(item.component, item.end) for about in wanted))


def _figures(
    words: PlainWords, item: Item, rows: list[Job], card: MachineCard | None
) -> Iterable[FigureLine]:
    """Every figure that the job wants, those that the card has not among them."""
    handbook = words.paper.jobsheet["handbook"]
    for about in _abouts(item, rows, "shows"):
        name = _about_name(words, about, item)
        known = list(_of_card(words, about, name, card))
        yield from known or [FigureLine(name=name, text=handbook, known=False)]


def _of_card(
    words: PlainWords, about: About, name: str, card: MachineCard | None, *, laden: bool = True
) -> Iterable[FigureLine]:
    """What the maker says of it; nothing where only a class of machines is known."""
    for mark in card.makers_markings if card else ():
        if _is(mark.component, mark.quantity, mark.end, about):
            yield FigureLine(name=name, text=isolated(mark.text), note=mark.note)
    for figure in card.makers if card else ():
        if _is(figure.component, figure.quantity, figure.end, about) and (laden or not figure.laden):
            limit = Limit(low=figure.low, high=figure.high, target=figure.target)
            yield FigureLine(name=name, text=limit_text(words, limit, figure.unit), note=figure.note)


def _is(component: str, quantity: str, end: End | None, about: About) -> bool:
    return (component, quantity) == about[:2] and end in (None, about.end)


def _about_name(words: PlainWords, about: About, item: Item) -> str:
    """``Rear axle: tightness``."""
    side = item.side if about.component == item.component else None
    part = capital(name_of(words, about.component, [(about.end, side)]))
    return f"{part}: {words.quantities[about.quantity].name}"


def _measures(words: PlainWords, item: Item, rows: list[Job], known: Known) -> Iterable[MeasureLine]:
    for about in _abouts(item, rows, "measure"):
        name = _about_name(words, about, item)
        same = [
            one
            for one in known.facts.readings
            if _is(one.reading.component, one.reading.quantity, one.reading.end, about)
        ]
        found = [one.reading for one in same if one.reading.phase == "found"]
        of_card = [line.text for line in _of_card(words, about, name, known.card, laden=False)]
        limits = of_card or [_limit_of(words, one.judged, one.reading) for one in same]
        yield MeasureLine(
            name=name,
            limit="; ".join(unique(limits)) or words.paper.jobsheet["handbook"],
            was=", ".join(unique(reading_text(words, reading) for reading in found)),
        )


def _limit_of(words: PlainWords, one: Judged, reading: Reading) -> str:
    verdict = one.verdict
    if verdict is None or verdict.limit is None:
        return ""
    return limit_text(words, verdict.limit, verdict.unit or reading.unit)
