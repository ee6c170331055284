"""Decisions in words: who did what to which item, and what reads otherwise since."""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.desk.review.shapes import Change, TrailLine
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.review import wording as worded
from witnessmark.review.fields import STATES, STATUSES
from witnessmark.review.standing import Entry, keyed, standings
from witnessmark.types import Action, Decision, DecisionKind, Finding, Grade, Machine, Reading, Walkround
from witnessmark.units import text_of

UNDONE = "undone by the reviewer"
"""Why an item is put back that somebody had decided; as in the terminal."""

_DID = {
    DecisionKind.CONFIRM: "confirmed",
    DecisionKind.CORRECT: "corrected",
    DecisionKind.REJECT: "rejected",
    DecisionKind.ADD: "added",
    DecisionKind.POSTPONE: "put back",
}


def trail(walkround: Walkround) -> dict[str, tuple[TrailLine, ...]]:
    """Item → its decisions in words, oldest first; an empty tuple for none."""
    said: dict[str, Entry] = {key: one.proposal for key, one in standings(_undecided(walkround)).items()}
    lines: dict[str, list[TrailLine]] = {key: [] for key in said}
    for decision in walkround.decisions:
        before = said.get(decision.item)
        lines.setdefault(decision.item, []).append(_line(decision, before))
        if (after := keyed(decision)) is not None:
            said[decision.item] = after
    return {key: tuple(found) for key, found in lines.items()}


def _undecided(walkround: Walkround) -> Walkround:
    return walkround.model_copy(update={"decisions": ()})


def _line(decision: Decision, before: Entry | None) -> TrailLine:
    after = keyed(decision)
    undone = decision.kind is DecisionKind.POSTPONE and decision.why == UNDONE
    return TrailLine(
        item=decision.item,
        who=decision.who,
        when=decision.when,
        kind=decision.kind,
        did="undone" if undone else _DID[decision.kind],
        why="" if undone else decision.why,
        says=says(before or after) if (before or after) else "",  # type: ignore[arg-type]
        grade=grade_word(decision.grade) if decision.grade else "",
        changes=changes(before, after) if before and after else (),
    )


def changes(before: Entry, after: Entry) -> tuple[Change, ...]:
    """Which fields read otherwise, in the words of the page."""
    was, now = dict(_fields(before)), dict(_fields(after))
    return tuple(
        Change(field=name, before=was.get(name, "none"), after=now.get(name, "none"))
        for name in dict.fromkeys((*was, *now))
        if was.get(name) != now.get(name)
    )


def _fields(entry: Entry) -> Iterator[tuple[str, str]]:
    known = vocabulary()
    match entry:
        case Machine():
            yield "registration", entry.registration or "not said"
            yield "VIN", entry.vin or "not said"
            clock = entry.odometer
            yield "odometer", text_of(clock.value, clock.unit) if clock else "not said"
            return
        case Finding():
            yield "state", STATES[entry.state]
            yield "condition", known.conditions.get(entry.condition or "", entry.condition or "none")
        case Reading():
            yield "quantity", known.quantities.get(entry.quantity, ("", entry.quantity))[1]
            yield "value", text_of(entry.value, entry.unit)
            yield "limit said", worded.bounds(entry.limit, entry.unit)
            yield "phase", "as left after work" if entry.phase == "left" else "as found"
        case Action():
            yield "work", known.actions.get(entry.kind, entry.kind)
            yield "status", STATUSES[entry.status]
    component = known.components.get(entry.component)
    yield "part", component.name if component else entry.component
    yield "end", entry.end or "none"
    yield "side", entry.side or "none"


def says(entry: Entry) -> str:
    """What an item says, fit to print."""
    return worded.printable(worded.says(entry))


def grade_word(grade: Grade) -> str:
    """The grade as it is read."""
    return {"ungraded": "not graded"}.get(grade, grade.replace("_", " "))
