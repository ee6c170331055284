"""Confirmed items with the verdicts that hold for them, and what today's work has put right."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.limits import into, limit_of, standing, standing_of
from witnessmark.types import Action, Finding, Grade, Item, Machine, Outcome, Reading, Verdict

UNSPOKEN = {"key", "evidence", "confidence", "doubts", "why", "said_first"}
"""What an item carries besides what it says."""
FAULTY = (Grade.DANGEROUS, Grade.MAJOR, Grade.MINOR, Grade.ADVISORY)


class Judged(NamedTuple):
    """A confirmed finding or reading with its verdicts, the deciding one first."""

    item: Finding | Reading
    verdicts: tuple[Verdict, ...] = ()
    changed: bool = False
    """Whether a reviewer changed or added it after it was graded, so that no verdict holds for it."""

    @property
    def verdict(self) -> Verdict | None:
        """The deciding verdict."""
        return self.verdicts[0] if self.verdicts else None

    @property
    def grade(self) -> Grade:
        """The deciding grade; ungraded without a verdict."""
        return self.verdict.grade if self.verdict else Grade.UNGRADED

    @property
    def dissenting(self) -> tuple[Verdict, ...]:
        """Verdicts of other rules that find trouble where the deciding one finds none."""
        if self.grade is not Grade.SOUND:
            return ()
        return tuple(verdict for verdict in self.verdicts[1:] if verdict.grade in FAULTY)

    @property
    def favourable(self) -> bool:
        """Whether it is an observation that speaks well of the part."""
        item = self.item
        if not isinstance(item, Finding):
            return False
        return item.state == ("present" if item.condition == "sound" else "absent")

    @property
    def unseen(self) -> bool:
        """Whether it says that the part could not be seen."""
        return isinstance(self.item, Finding) and self.item.state == "unseen"


class Measured(NamedTuple):
    """A reading and how it was judged."""

    reading: Reading
    judged: Judged


class Facts(NamedTuple):
    """All that the page may speak of."""

    judged: tuple[Judged, ...]
    actions: tuple[Action, ...]

    @property
    def readings(self) -> tuple[Measured, ...]:
        """The readings among the judged items."""
        return tuple(Measured(one.item, one) for one in self.judged if isinstance(one.item, Reading))

    @property
    def items(self) -> tuple[Item, ...]:
        """Every confirmed item."""
        return (*(one.item for one in self.judged), *self.actions)


def says(item: Item) -> dict[str, object]:
    """What an item says, without where and how surely it was heard."""
    return {"type": type(item), **item.model_dump(exclude=UNSPOKEN)}


def facts_of(outcome: Outcome) -> Facts:
    """Confirmed items only. A verdict holds when the graded item says what was confirmed."""
    assessment = outcome.walkround.assessment
    graded = {item.key: item for item in assessment.draft.items}
    judged: list[Judged] = []
    actions: list[Action] = []
    for entry in outcome.confirmed:
        item, key = entry.item, entry.item.key if isinstance(entry.item, Item) else ""
        if isinstance(item, Action):
            actions.append(item)
        elif not isinstance(item, Machine):
            key = key or entry.decision.item
            holds = key in graded and says(graded[key]) == says(item)
            judged.append(Judged(item, assessment.verdicts_of(key) if holds else (), not holds))
    return Facts(tuple(judged), tuple(actions))


def applies(words: PlainWords, action: Action, item: Item) -> bool:
    """Whether work was on this part at this very place, by itself or as part of a whole."""
    same_part = item.component in (action.component, *words.includes.get(action.component, ()))
    return same_part and (action.end, action.side) == (item.end, item.side)


def left_of(facts: Facts, found: Reading) -> tuple[Judged, ...]:
    """The readings taken after work on what this reading found."""
    if found.phase == "left":
        return ()
    same = (found.place, found.quantity)
    return tuple(
        one
        for reading, one in facts.readings
        if reading.phase == "left" and (reading.place, reading.quantity) == same
    )


def settled(words: PlainWords, facts: Facts, one: Judged) -> bool:
    """Whether confirmed work has put right what was found."""
    item = one.item
    if isinstance(item, Finding):
        return _worked_on(words, facts, item, item.condition or "")
    lefts = left_of(facts, item)
    if lefts:
        return all(_set_right(one, left) for left in lefts)
    return item.phase == "found" and _worked_on(words, facts, item, _trouble(one))


def _trouble(one: Judged) -> str:
    where = standing_of(one.item, one.verdict) if isinstance(one.item, Reading) else ""
    return {"below": "low", "above": "high"}.get(where, "")


def _set_right(found: Judged, left: Judged) -> bool:
    """Graded in order, or less gravely than before and within the limit that the found reading broke."""
    if left.grade is Grade.SOUND:
        return True
    if left.grade in FAULTY and FAULTY.index(left.grade) <= _rank(found.grade):
        return False
    was, now = found.item, left.item
    if not isinstance(was, Reading) or not isinstance(now, Reading) or isinstance(now.value, str):
        return False
    value = into(now.value, now.unit, was.unit)
    return value is not None and standing(value, limit_of(was, found.verdict)) in ("at", "within")


def _rank(grade: Grade) -> int:
    return FAULTY.index(grade) if grade in FAULTY else len(FAULTY)


def _worked_on(words: PlainWords, facts: Facts, item: Item, trouble: str) -> bool:
    """Whether work done here deals with the trouble. Work still wanted here outranks a general repair."""
    here = [action for action in facts.actions if applies(words, action, item)]
    wanted = {action.kind for action in here if action.status == "wanted"}
    return any(
        action.status == "done"
        and action.kind not in wanted
        and action.kind in words.actions
        and words.actions[action.kind].puts_right(item.component, trouble)
        for action in here
    )


def by_place(judged: Iterable[Judged]) -> dict[tuple[str, object, object], list[Judged]]:
    """Items sorted by component and place, in the order of the talk."""
    places: dict[tuple[str, object, object], list[Judged]] = {}
    for one in judged:
        places.setdefault(one.item.place, []).append(one)
    return places


class Sorted(NamedTuple):
    """Every judged item in exactly one of these."""

    graded: list[Judged]
    noted: list[Judged]
    in_order: list[Judged]
    not_seen: list[Judged]
    settled: list[Judged]


def sort(words: PlainWords, facts: Facts) -> Sorted:
    """Where on the page each item belongs. A grade alone makes trouble grave; none makes it in order."""
    piles = Sorted([], [], [], [], [])
    for one in facts.judged:
        getattr(piles, _pile(words, facts, one)).append(one)
    return piles


def _pile(words: PlainWords, facts: Facts, one: Judged) -> str:
    if one.unseen:
        return "not_seen"
    if one.grade is Grade.SOUND and (one.favourable or isinstance(one.item, Reading)):
        return "noted" if one.dissenting else "in_order"
    if one.favourable and one.changed:
        return "in_order"
    if not one.favourable and settled(words, facts, one):
        return "settled"
    return "graded" if one.grade in FAULTY else "noted"
