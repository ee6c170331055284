"""What the record knows of one machine, under whichever of its names it is asked for."""

from __future__ import annotations

import gc
import json
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from witnessmark.record.identity import SeveralMachines, carrier_of, walkrounds_of
from witnessmark.record.rows import TABLES, Entry
from witnessmark.types import (
    Action,
    AnyItem,
    Decision,
    DecisionKind,
    Finding,
    Machine,
    PastAction,
    PastReading,
    Reading,
    Verdict,
)

if TYPE_CHECKING:
    from pydantic import TypeAdapter
    from sqlite_utils import Database


@cache
def _items() -> TypeAdapter[Finding | Reading | Action]:
    from pydantic import TypeAdapter  # slow to build: only when a history is read

    return TypeAdapter(AnyItem)


class Entered(NamedTuple):
    """One confirmed item with where it comes from."""

    item: Finding | Reading | Action
    drafted: Finding | Reading | Action | None
    """What the draft said; None when the reviewer added the item."""
    heard: str
    """The words behind it; empty when there were none."""
    decision: Decision
    """Who let it in, when and why."""
    verdict: Verdict | None
    """The deciding verdict. None for what a reviewer corrected or added: that was never judged."""


class Visit(NamedTuple):
    """One walkround of the machine."""

    walkround: str
    on: date
    machine: Machine
    """Identity and odometer as confirmed that day."""
    decision: Decision
    """Who confirmed the identity."""
    entered: tuple[Entered, ...]
    """In the order of the talk, added ones last."""
    jurisdiction: str | None = None
    """Country whose limits applied."""
    never_mentioned: tuple[str, ...] = ()
    """What the walkround never mentioned, gravest first, as judged when it came in."""


class History(NamedTuple):
    """All visits of one machine, oldest first; none when the record does not know it."""

    asked: str
    visits: tuple[Visit, ...] = ()

    def until(self, day: date) -> History:
        """The history up to that day, the day included."""
        return self._replace(visits=tuple(visit for visit in self.visits if visit.on <= day))

    @property
    def findings(self) -> tuple[tuple[Visit, Finding], ...]:
        """Confirmed findings by date."""
        return tuple((v, e.item) for v in self.visits for e in v.entered if isinstance(e.item, Finding))

    @property
    def readings(self) -> tuple[tuple[Visit, Reading], ...]:
        """Confirmed readings by date."""
        return tuple((v, e.item) for v in self.visits for e in v.entered if isinstance(e.item, Reading))

    @property
    def actions(self) -> tuple[tuple[Visit, Action], ...]:
        """Confirmed work by date."""
        return tuple((v, e.item) for v in self.visits for e in v.entered if isinstance(e.item, Action))

    @property
    def past_readings(self) -> tuple[PastReading, ...]:
        """Confirmed readings with day and distance, oldest first."""
        return tuple(
            PastReading(
                walkround=visit.walkround,
                on=visit.on,
                odometer=visit.machine.odometer,
                reading=entered.item,
                verdict=entered.verdict,
            )
            for visit in self.visits
            for entered in visit.entered
            if isinstance(entered.item, Reading)
        )

    @property
    def past_work(self) -> tuple[PastAction, ...]:
        """Confirmed work with day and distance, oldest first."""
        return tuple(
            PastAction(walkround=visit.walkround, on=visit.on, odometer=visit.machine.odometer, action=action)
            for visit, action in self.actions
        )


def history(db: Database, asked: str) -> History:
    """Visits of the machine with this registration or VIN.

    Raises:
        SeveralMachines: the registration was confirmed on machines of different VINs; nothing is guessed.
    """
    return _visits(db, asked, walkrounds_of(db, asked))


def _visits(db: Database, asked: str, walkrounds: list[str]) -> History:
    marks = ", ".join("?" * len(walkrounds))
    rows = db.execute(
        "SELECT w.id, w.inspected_on, m.body, d.body, a.body FROM machines AS m "
        "JOIN walkrounds AS w ON w.id = m.walkround JOIN decisions AS d ON d.seq = m.decision "
        f"JOIN drafts AS a ON a.walkround = w.id WHERE w.id IN ({marks}) ORDER BY w.inspected_on, w.number",
        walkrounds,
    )
    with _uncollected():
        return History(asked, tuple(_visit(db, *row) for row in rows.fetchall()))


@contextmanager
def _uncollected() -> Iterator[None]:
    """Hold the search for garbage back: thousands of new objects set it off, and none of them is any."""
    before = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if before:
            gc.enable()


def history_of(db: Database, walkround: str) -> History:
    """Visits of the machine of one walkround; none where its identity is not confirmed.

    Where only a registration was confirmed, and machines of different VINs have carried it, the machine is
    the one that carried it then, if that is beyond doubt (``carrier_of``). Else the visit stands alone.
    """
    row = db.execute(
        "SELECT registration_key, vin_key, body FROM machines WHERE walkround = ?", [walkround]
    ).fetchone()
    if row is None:
        return History("")
    registration, vin, body = row
    named = Machine.model_validate_json(body)
    asked = named.vin or named.registration or ""
    try:
        return history(db, vin or registration)._replace(asked=asked)
    except SeveralMachines:
        carrier = carrier_of(db, walkround, registration)
    return _visits(db, asked, [walkround, *(walkrounds_of(db, carrier) if carrier else ())])


def past_readings(db: Database, asked: str, before: date) -> tuple[PastReading, ...]:
    """Confirmed readings of earlier days, oldest first.

    Raises:
        StoreError: as ``history``.
    """
    return tuple(one for one in history(db, asked).past_readings if one.on < before)


def _visit(db: Database, walkround: str, on: str, machine: str, decided: str, drafted: str) -> Visit:
    # Checked types of the whole draft would cost more than all the rest, and only little of it is wanted.
    assessment = json.loads(drafted)
    verdicts: dict[str, dict[str, Any]] = {one["item"]: one for one in reversed(assessment["verdicts"])}
    entered = [
        _entered(kind, verdicts, *row)
        for kind, table in TABLES.items()
        if kind is not Machine
        for row in db.execute(
            f"SELECT c.body, c.drafted, c.heard, d.body FROM {table} AS c "
            "JOIN decisions AS d ON d.seq = c.decision WHERE c.walkround = ? ORDER BY d.seq",
            [walkround],
        ).fetchall()
    ]
    return Visit(
        walkround,
        date.fromisoformat(on),
        Machine.model_validate_json(machine),
        Decision.model_validate_json(decided),
        tuple(sorted(entered, key=_place_in_talk)),
        assessment["draft"]["jurisdiction"],
        tuple(assessment["never_mentioned"]),
    )


def _entered(
    kind: type[Finding | Reading | Action],
    verdicts: dict[str, dict[str, Any]],
    item: str,
    drafted: str | None,
    heard: str,
    decided: str,
) -> Entered:
    """One row of a confirmed table.

    Args:
        kind: of the items in that table.
        verdicts: key of a drafted item → its deciding verdict.
        item: as confirmed, JSON.
        drafted: as drafted.
        heard: the words.
        decided: the decision.
    """
    decision, confirmed = Decision.model_validate_json(decided), kind.model_validate_json(item)
    as_drafted = decision.kind is DecisionKind.CONFIRM and drafted is not None
    verdict = verdicts.get(decision.item) if as_drafted else None
    before = confirmed if drafted == item else _items().validate_json(drafted) if drafted else None
    return Entered(confirmed, before, heard, decision, Verdict.model_validate(verdict) if verdict else None)


def _place_in_talk(entered: Entered) -> tuple[bool, int]:
    source: Entry = entered.drafted or entered.item
    return entered.drafted is None, min((piece.char_start for piece in source.evidence), default=0)
