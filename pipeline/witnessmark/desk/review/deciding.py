"""Takes a reviewer's decision: once, whole, and never over somebody else's unseen."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Annotated, Any, NamedTuple, NoReturn

from pydantic import BeforeValidator, Field

from witnessmark import run
from witnessmark.desk.problems import Refused
from witnessmark.desk.review.shapes import ItemView, Judged, Regraded
from witnessmark.desk.review.trail import changes, says
from witnessmark.desk.review.views import in_force, one_item, present, regraded, verdict_view
from witnessmark.errors import DecisionError, StoreError
from witnessmark.record import Store
from witnessmark.review import apply
from witnessmark.review.standing import Entry, standings
from witnessmark.types import (
    AnyItem,
    Decision,
    DecisionKind,
    Evidence,
    Frozen,
    Grade,
    Item,
    Machine,
    Outcome,
    Walkround,
    Word,
)

LARGEST = 1e12
"""No number in an item is larger."""
LONGEST_TEXT = 1000
MOST_PARTS = 400
"""Values in one item, its evidence included."""


def _modest(given: Any) -> Any:
    """What a client sends for an item: few parts, finite numbers, text that can be printed."""
    for count, value in enumerate(_leaves(given)):
        if count > MOST_PARTS:
            raise ValueError("this is too large for an item")
        if isinstance(value, str) and (len(value) > LONGEST_TEXT or not _sayable(value)):
            raise ValueError("a text is too long or cannot be printed")
        if isinstance(value, int | float) and not (abs(value) <= LARGEST and math.isfinite(value)):
            raise ValueError("a number is too large")
    return given


def _leaves(given: Any, depth: int = 0) -> Iterator[Any]:
    if depth > 6:
        raise ValueError("this is nested too deeply for an item")
    if isinstance(given, dict):
        given = [*given.keys(), *given.values()]
    if isinstance(given, list | tuple):
        for value in given:
            yield from _leaves(value, depth + 1)
    else:
        yield given


def _sayable(text: str) -> bool:
    return all(letter.isprintable() or letter in "\n\t" for letter in text)


def _said(text: str) -> str:
    if not _sayable(text):
        raise ValueError("this cannot be printed")
    return text


Becomes = Annotated[AnyItem | Machine, BeforeValidator(_modest)]
Key = Annotated[str, Field(min_length=1, max_length=120, pattern=r"^[A-Za-z0-9_.:-]+$")]
Why = Annotated[
    str,
    Field(max_length=500),
    BeforeValidator(lambda given: _said(given) if isinstance(given, str) else given),
]


class Wanted(Frozen):
    """A decision as a page or a program sends it. Who and when are the desk's to say."""

    item: Key
    """Key of the item, ``machine``, or a new key for ``add``."""
    kind: DecisionKind
    why: Why = ""
    becomes: Becomes | None = None
    """For ``correct`` and ``add``. Of its evidence only the characters count, and only for ``add``: a
    corrected item keeps its own."""
    grade: Grade | None = None
    """The reviewer's own, where it is not that of the rules; ``why`` says what it rests on."""
    seen: int = Field(ge=0, le=1_000_000)
    """How many decisions on this item the sender has seen."""
    reads: Annotated[str, Field(max_length=1000)] | None = None
    """The item's ``says`` as the sender saw it; where it reads otherwise by now, nothing is decided. A talk
    may have been read anew meanwhile."""


class Asked(Frozen):
    """What an item would read, to see how it would be judged."""

    item: Key
    becomes: Becomes
    grade: Grade | None = None
    why: Why = ""


class Done(NamedTuple):
    """A decision in the record."""

    walkround: Walkround
    """With its trail."""
    new: bool
    """False when the same decision by the same person stood there already."""


def decide(store: Store, id: str, who: str, wanted: Wanted) -> Done:
    """Put a decision into the record.

    Args:
        store: the record.
        id: of the walkround, which is there.
        who: the name of who decides.
        wanted: the decision.

    Raises:
        Refused: 409 somebody decided on the item meanwhile, or it reads otherwise than its sender saw, with
            how it stands; 422 it does not fit.
        StoreError: the record cannot be written.
    """
    walkround = store.walkround(id)
    if _seen(walkround, wanted.item) != wanted.seen:
        return _overtaken(walkround, who, wanted)
    _refuse_if_read_anew(walkround, wanted)
    decision = _decision(walkround, who, wanted)
    try:
        outcome = _applied(walkround, decision)
        store.decide(decision, outcome)
    except StoreError:
        walkround = store.walkround(id)
        if _seen(walkround, wanted.item) == wanted.seen:
            raise
        return _overtaken(walkround, who, wanted)
    return Done(outcome.walkround, True)


def _refuse_if_read_anew(walkround: Walkround, wanted: Wanted) -> None:
    """Nobody confirms what he did not see."""
    standing = standings(walkround).get(wanted.item)
    if wanted.reads is not None and standing is not None and says(in_force(standing)) != wanted.reads:
        what = "this item reads otherwise by now: the talk was read anew."
        _refuse(what, walkround, one_item(present(walkround), wanted.item))


def _refuse(what: str, walkround: Walkround, standing: ItemView) -> NoReturn:
    raise Refused(
        409,
        what,
        "Look at it, then decide again if it should stand otherwise.",
        standing=standing.model_dump(mode="json"),
        count=len(walkround.decisions),
    )


def _seen(walkround: Walkround, item: str) -> int:
    return sum(made.item == item for made in walkround.decisions)


def _overtaken(walkround: Walkround, who: str, wanted: Wanted) -> Done:
    """The decision that stands is the same one, sent again; or somebody else's."""
    last = next((made for made in reversed(walkround.decisions) if made.item == wanted.item), None)
    if last is not None and _same(last, _decision(walkround, who, wanted)):
        return Done(walkround, False)
    if last is None:
        raise Refused(409, "fewer decisions were made on this item than you say.", "Load the page again.")
    standing = one_item(present(walkround), wanted.item)
    _refuse(f"{last.who} decided on this item meanwhile: {standing.trail[-1].did}.", walkround, standing)


def _same(made: Decision, wanted: Decision) -> bool:
    blank = {"when": made.when}
    return made == wanted.model_copy(update=blank)


def _applied(walkround: Walkround, decision: Decision) -> Outcome:
    try:
        return apply(walkround, [decision])
    except DecisionError as error:
        raise Refused(422, f"{error.what}.", error.remedy) from error


def _decision(walkround: Walkround, who: str, wanted: Wanted) -> Decision:
    becomes = wanted.becomes
    if becomes is not None:
        becomes = _tidied(walkround, wanted.item, becomes)
    return Decision(
        walkround=walkround.id,
        item=wanted.item,
        kind=wanted.kind,
        who=who,
        when=datetime.now(UTC),
        why=" ".join(wanted.why.split()),
        becomes=becomes,
        grade=wanted.grade,
    )


def _tidied(walkround: Walkround, key: str, becomes: Entry) -> Entry:
    """The item with what is not the sender's to say: key, evidence, doubts settled by having looked."""
    standing = standings(walkround).get(key)
    if standing is not None:
        evidence = standing.proposal.evidence
    else:
        evidence = tuple(_evidence(walkround, piece) for piece in becomes.evidence)
    if isinstance(becomes, Machine):
        return becomes.model_copy(update={"evidence": evidence, "doubts": ()})
    first = standing.proposal.said_first if standing and isinstance(standing.proposal, Item) else None
    own = {"key": key, "evidence": evidence, "doubts": (), "why": (), "confidence": 1.0, "said_first": first}
    return becomes.model_copy(update=own)


def _evidence(walkround: Walkround, piece: Evidence) -> Evidence:
    """The words between the characters given, with their seconds.

    Raises:
        Refused: there are no such words.
    """
    text = walkround.draft.text
    if not 0 <= piece.char_start < piece.char_end <= len(text):
        raise Refused(422, "these words are not in the talk.", "Select them in the talk again.")
    heard = [word for word in walkround.transcript.words if _overlaps(word, piece)]
    return Evidence(
        text=text[piece.char_start : piece.char_end],
        char_start=piece.char_start,
        char_end=piece.char_end,
        start=heard[0].start if heard else None,
        end=heard[-1].end if heard else None,
    )


def _overlaps(word: Word, piece: Evidence) -> bool:
    return word.char_start < piece.char_end and word.char_end > piece.char_start


def judged(walkround: Walkround, who: str, asked: Asked) -> Judged:
    """How the item would be judged if it read so, and what else would change. Keeps nothing.

    Raises:
        Refused: 422 the item does not fit.
    """
    known = standings(walkround).get(asked.item)
    kind = DecisionKind.ADD if known is None else DecisionKind.CORRECT
    wanted = Wanted(**dict(asked), kind=kind, seen=0)
    decision = _decision(walkround, who, wanted)
    now = present(walkround)
    then = run.judged_again(_applied(walkround, decision)).walkround.assessment
    others = regraded(now.walkround.assessment, then, (key for key in now.stands if key != asked.item))
    before: ItemView | None = one_item(now, asked.item) if known is not None else None
    assert decision.becomes is not None
    return Judged(
        says=says(decision.becomes),
        changes=changes(before.entry, decision.becomes) if before else (),
        verdicts=tuple(map(verdict_view, then.verdicts_of(asked.item))),
        others=tuple(
            Regraded(key=key, says=one_item(now, key).says, before=was, after=is_now)
            for key, was, is_now in others
        ),
    )
