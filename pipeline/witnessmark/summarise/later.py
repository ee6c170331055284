"""What became of the trouble and of the work of earlier visits: open still, or settled and by what.

Nothing is taken for settled that somebody might only hope is. Trouble ends with confirmed work at the very
place that puts such trouble right, with a look for the same that found none, or with the same figure read
in order. A general "in order" ends trouble only up to minor, or such as cannot be there then (it does
not work, it is missing), and only where nothing else was found there.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import NamedTuple, TypeAlias

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.judged import Facts, Judged, applies, facts_of, settled, sort
from witnessmark.summarise.told import is_trouble
from witnessmark.types import Action, End, Finding, Grade, Item, Outcome, Reading, Side

Place: TypeAlias = tuple[str, End | None, Side | None]

WATCH = "monitor"
"""Work that is done as soon as somebody says anything of the part again."""
RENEW = "replace"
_GRAVE = (Grade.DANGEROUS, Grade.MAJOR)
_ORDER = {grade: place for place, grade in enumerate(Grade)}


class Day(NamedTuple):
    """What was confirmed on one visit, judged as the reviewer has it."""

    walkround: str
    on: date
    facts: Facts


class Settled(NamedTuple):
    """How something came to its end."""

    walkround: str
    on: date
    by: Item | None
    """The work, the look or the reading that ended it."""


class Trouble(NamedTuple):
    """One thing that was not in order, through all visits that spoke of it."""

    since: date
    """Day on which it was first found."""
    walkround: str
    """Where it was found last."""
    last: date
    judged: Judged
    """As found last."""
    settled: Settled | None = None


class Wanted(NamedTuple):
    """Work that was wanted, on the last visit that said so."""

    since: date
    walkround: str
    last: date
    action: Action


def day_of(outcome: Outcome) -> Day:
    """A visit's facts; the outcome is judged as the reviewer has it."""
    return Day(outcome.walkround.id, outcome.walkround.on, facts_of(outcome))


def troubles(
    words: PlainWords, days: Sequence[Day], renewed: Mapping[Place, date] | None = None
) -> tuple[Trouble, ...]:
    """Everything that was not in order: the open first, gravest first; then the settled, newest first.

    Args:
        words: the plain words.
        days: the visits of one machine, oldest first.
        renewed: place → day by which readings show a new part there.
    """
    open_: dict[object, Trouble] = {}
    ended: list[Trouble] = []
    for day in days:
        piles = sort(words, day.facts)
        fresh = [*piles.graded, *(one for one in piles.noted if is_trouble(words, one))]
        for key, one in list(open_.items()):
            if end := _end(words, one, day, piles.in_order, fresh, renewed or {}):
                ended.append(open_.pop(key)._replace(settled=end))
        for judged in piles.settled:
            before = open_.pop(_key(judged.item), None)
            end = Settled(day.walkround, day.on, _mended_by(words, day, judged))
            ended.append(_found(day, judged, before)._replace(settled=end))
        for judged in fresh:
            key = _key(judged.item)
            before = open_.get(key)
            if not (before and before.walkround == day.walkround and _graver(before.judged, judged)):
                open_[key] = _found(day, judged, before)
    still = sorted(open_.values(), key=lambda one: (_ORDER[one.judged.grade], one.since))
    return (*still, *reversed(ended))


def _key(item: Item) -> object:
    about = item.quantity if isinstance(item, Reading) else getattr(item, "condition", None)
    return item.place, type(item), about


def _graver(one: Judged, other: Judged) -> bool:
    return _ORDER[one.grade] <= _ORDER[other.grade]


def _found(day: Day, judged: Judged, before: Trouble | None) -> Trouble:
    return Trouble(before.since if before else day.on, day.walkround, day.on, judged)


def _end(
    words: PlainWords,
    one: Trouble,
    day: Day,
    in_order: Sequence[Judged],
    fresh: Sequence[Judged],
    renewed: Mapping[Place, date],
) -> Settled | None:
    """What this visit says that ends trouble found before it."""
    item = one.judged.item
    by = _mended_by(words, day, one.judged)
    if by is None and not any(_key(now.item) == _key(item) for now in fresh):
        by = next((now.item for now in in_order if _looked_again(words, one.judged, now, fresh)), None)
        if by is None and renewed.get(item.place) == day.on:
            by = next((read.reading for read in day.facts.readings if read.reading.place == item.place), None)
    return Settled(day.walkround, day.on, by) if by else None


def _mended_by(words: PlainWords, day: Day, one: Judged) -> Item | None:
    """The confirmed work of that day that deals with it, or the reading left after work."""
    alone = day.facts._replace(judged=(one,))
    if settled(words, alone, one):
        done = (action for action in alone.actions if action.status == "done")
        return next((action for action in done if settled(words, Facts((one,), (action,)), one)), None)
    if not isinstance(one.item, Reading) or not settled(words, day.facts, one):
        return None
    left = (read.reading for read in day.facts.readings if read.reading.phase == "left")
    return next((read for read in left if _key(read) == _key(one.item)), None)


def _looked_again(words: PlainWords, before: Judged, now: Judged, fresh: Sequence[Judged]) -> bool:
    """Whether a later look, in order by itself, ends what was found before."""
    was, item = before.item, now.item
    if item.place != was.place:
        return False
    if isinstance(was, Reading) and isinstance(item, Reading):
        return item.quantity == was.quantity and now.grade is Grade.SOUND
    if isinstance(item, Finding) and item.state == "absent":
        return isinstance(was, Finding) and item.condition == was.condition
    general = isinstance(item, Finding) and item.condition == "sound"
    ends = before.grade not in _GRAVE or _shows(words, was)
    return general and ends and all(one.item.place != was.place for one in fresh)


def _shows(words: PlainWords, was: Item) -> bool:
    """Whether whoever finds the part in order would have met with it: it does not work, or is missing."""
    row = words.conditions.get(was.condition or "") if isinstance(was, Finding) else None
    return row is not None and row.shows


def wanted(
    words: PlainWords, days: Sequence[Day], renewed: Mapping[Place, date] | None = None
) -> tuple[Wanted, ...]:
    """Work that was wanted and not done since, what was wanted first first. Arguments as ``troubles``."""
    open_: dict[object, Wanted] = {}
    for day in days:
        for key, one in list(open_.items()):
            if _done_later(words, one.action, day, renewed or {}):
                del open_[key]
        for action in day.facts.actions:
            if action.status == "wanted" and not _done_after(words, action, day.facts):
                key = (action.place, action.kind)
                since = open_[key].since if key in open_ else day.on
                open_[key] = Wanted(since, day.walkround, day.on, action)
    return tuple(sorted(open_.values(), key=lambda one: one.since))


def _does(words: PlainWords, done: Action, wish: Action) -> bool:
    same = done.kind in (wish.kind, RENEW)
    return done.status == "done" and same and applies(words, done, wish)


def _done_later(words: PlainWords, wish: Action, day: Day, renewed: Mapping[Place, date]) -> bool:
    if wish.kind == WATCH and any(item.place == wish.place for item in day.facts.items):
        return True
    if wish.kind == RENEW and renewed.get(wish.place) == day.on:
        return True
    return any(_does(words, done, wish) for done in day.facts.actions)


def _done_after(words: PlainWords, wish: Action, facts: Facts) -> bool:
    """Whether it was done in the same walkround, by what was said after the wish."""
    return any(_does(words, done, wish) and _said(done) > _said(wish) for done in facts.actions)


def _said(action: Action) -> int:
    return min((piece.char_start for piece in action.evidence), default=-1)
