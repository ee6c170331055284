"""The demo's reviewer: decides on every item as somebody would who heard the recording and knows the trade.

What was said in a recording is in its gold file, what this reviewer makes of it in a file of opinions. An
item that says what was said is confirmed; another is corrected, or rejected when nothing like it was said;
what is missing is added.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from typing import Any, NamedTuple

from pydantic import Field

from witnessmark.review import MACHINE, queue
from witnessmark.types import Action, Decision, DecisionKind, Finding, Frozen, Machine, Reading, Walkround

WHO = "demo reviewer"
Entry = Finding | Reading | Action
_NOT_SAID = {"key", "evidence", "confidence", "doubts", "why", "said_first"}
"""What an item carries besides what it says."""


class Opinion(Frozen):
    """What the reviewer thinks of something that was said."""

    of: dict[str, Any]
    """The gold item it is about, by those of its keys that tell it from the others."""
    reject: bool = False
    becomes: dict[str, Any] = Field(default_factory=dict)
    """The keys that should read otherwise."""
    why: str


class Heard(NamedTuple):
    """One thing that was said, and the reviewer's opinion of it."""

    item: Entry
    opinion: Opinion | None = None

    @property
    def recorded(self) -> Entry:
        """As the reviewer wants it."""
        return self.item.model_copy(update=self.opinion.becomes) if self.opinion else self.item


def decisions(walkround: Walkround, gold: dict[str, Any], opinions: Iterable[Opinion]) -> list[Decision]:
    """A decision on everything that waits and on everything that is missing, in review order.

    Args:
        walkround: with the trail so far.
        gold: what was said, in the form of the gold files.
        opinions: what the reviewer thinks of it.
    """
    said = _said(gold, tuple(opinions))
    pairs = _paired([*walkround.draft.findings, *walkround.draft.actions], said)
    order = queue(walkround)
    made = [_on_the_machine(walkround, gold["machine"])] if MACHINE in order else []
    made += [_on(walkround, item, heard) for item, heard in pairs if item.key in order]
    made.sort(key=lambda decision: order.index(decision.item))
    taken = {id(heard) for _, heard in pairs if heard}
    missing = (heard.recorded for heard in said if id(heard) not in taken and not _refused(heard))
    decided = {decision.item for decision in walkround.decisions}
    added = [_added(walkround, f"added-{n}", item) for n, item in enumerate(missing, 1)]
    return made + [decision for decision in added if decision.item not in decided]


def _said(gold: dict[str, Any], opinions: tuple[Opinion, ...]) -> list[Heard]:
    def opinion(row: dict[str, Any]) -> Opinion | None:
        return next((o for o in opinions if o.of.items() <= row.items()), None)

    return [Heard(_item(row), opinion(row)) for row in (*gold["findings"], *gold["actions"])]


def _item(row: dict[str, Any]) -> Entry:
    kind = Reading if "quantity" in row else Finding if "state" in row else Action
    return kind.model_validate(row)


def _paired(drafted: list[Entry], said: list[Heard]) -> list[tuple[Entry, Heard | None]]:
    """Each drafted item with what was said of it: first what agrees, then what is likest."""
    pairs: dict[str, Heard] = {}
    left = list(said)
    for like in _LIKENESS:
        for item in drafted:
            found = next((h for h in left if item.key not in pairs and like(item) == like(h.item)), None)
            if found:
                pairs[item.key] = found
                left = [heard for heard in left if heard is not found]
    return [(item, pairs.get(item.key)) for item in drafted]


def _content(item: Entry) -> object:
    return type(item), item.model_dump(exclude=_NOT_SAID)


def _subject(item: Entry) -> tuple[object, ...]:
    """Kind of item, and what it is about."""
    match item:
        case Reading():
            return Reading, item.quantity, item.phase
        case Action():
            return Action, item.kind
        case _:
            return Finding, item.condition


_LIKENESS: tuple[Callable[[Entry], object], ...] = (
    _content,
    lambda item: (item.place, _subject(item)),
    lambda item: (item.place, type(item), item.quantity if isinstance(item, Reading) else None),
    lambda item: (item.component, _subject(item)),
)
"""From the same in everything to the same part and subject."""


def _refused(heard: Heard) -> bool:
    return heard.opinion is not None and heard.opinion.reject


def _on(walkround: Walkround, item: Entry, heard: Heard | None) -> Decision:
    if heard is None:
        return _made(walkround, item.key, DecisionKind.REJECT, "Not said in the recording.")
    if heard.opinion and heard.opinion.reject:
        return _made(walkround, item.key, DecisionKind.REJECT, heard.opinion.why)
    recorded = heard.recorded
    if _content(item) == _content(recorded):
        why = "Heard again: it is right." if item.doubts else ""
        return _made(walkround, item.key, DecisionKind.CONFIRM, why)
    why = heard.opinion.why if heard.opinion else "Heard again: this is what was said."
    becomes = recorded.model_copy(update={"key": item.key, "evidence": item.evidence})
    return _made(walkround, item.key, DecisionKind.CORRECT, why, becomes)


def _on_the_machine(walkround: Walkround, said: dict[str, Any]) -> Decision:
    drafted, machine = walkround.draft.machine, Machine.model_validate(said)
    if drafted.model_dump(exclude=_NOT_SAID) == machine.model_dump(exclude=_NOT_SAID):
        return _made(walkround, MACHINE, DecisionKind.CONFIRM)
    becomes = machine.model_copy(update={"evidence": drafted.evidence})
    return _made(walkround, MACHINE, DecisionKind.CORRECT, "Heard again: this is what was said.", becomes)


def _added(walkround: Walkround, key: str, item: Entry) -> Decision:
    becomes = item.model_copy(update={"key": key})
    return _made(walkround, key, DecisionKind.ADD, "Said in the recording and missing in the draft.", becomes)


def _made(
    walkround: Walkround, key: str, kind: DecisionKind, why: str = "", becomes: Entry | Machine | None = None
) -> Decision:
    return Decision(
        walkround=walkround.id, item=key, kind=kind, who=WHO, when=datetime.now(UTC), why=why, becomes=becomes
    )
