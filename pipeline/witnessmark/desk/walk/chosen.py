"""What was chosen before a talk, for its reviewer: never more than a proposal."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from witnessmark.desk.walk import journal
from witnessmark.types import Doubt, Frozen, Machine, Walkround

if TYPE_CHECKING:
    from witnessmark.desk.web import Desk

_VIN = 17
"""Characters (ISO 3779)."""


class Beginning(Frozen):
    """How a recording came in."""

    who: str
    """Who recorded it."""
    started_at: datetime
    """By the clock of the recorder."""
    came_at: datetime
    """By the desk's clock, UTC."""
    notes: tuple[str, ...]
    """What a person should know, such as a wrong clock or a part that is missing."""
    machine: str | None
    """Chosen at the start."""
    doubt: str | None = None
    """Where the talk names no machine or another one."""
    proposal: Machine | None = None
    """The chosen machine with its doubt, where the talk names none. Somebody has to decide on it."""


def beginning(desk: Desk, walkround: Walkround) -> Beginning | None:
    """How the recording of a walkround came in; None where it did not come through the desk."""
    with desk.own.reading() as db:
        row = journal.of_walkround(db, walkround.id)
    if row is None:
        return None
    proposal, doubt = _proposed(row.machine, walkround.draft.machine)
    return Beginning(
        who=row.who,
        started_at=row.started_at,
        came_at=row.came_at,
        notes=row.notes,
        machine=row.machine,
        doubt=doubt and doubt.message,
        proposal=proposal,
    )


def doubted(desk: Desk, walkround: Walkround) -> Walkround:
    """The walkround as its reviewer should see it: with the doubt about a machine chosen at the start."""
    with desk.own.reading() as db:
        row = journal.of_walkround(db, walkround.id)
    machine = walkround.draft.machine
    _, doubt = _proposed(row and row.machine, machine)
    if doubt is None:
        return walkround
    machine = machine.model_copy(update={"doubts": (doubt, *machine.doubts)})
    draft = walkround.draft.model_copy(update={"machine": machine})
    assessment = walkround.assessment.model_copy(update={"draft": draft})
    return walkround.model_copy(update={"assessment": assessment})


def _proposed(chosen: str | None, said: Machine) -> tuple[Machine | None, Doubt | None]:
    """The chosen machine as a proposal, and the doubt about it or about the one that was said."""
    if not chosen or not _plain(chosen):
        return None, None
    named = [mark for mark in (said.registration, said.vin) if mark]
    if any(_plain(mark) == _plain(chosen) for mark in named):
        return None, None
    if named:
        message = f"{chosen} was chosen at the start; the talk names {' and '.join(named)}."
        return None, Doubt(kind="chosen_otherwise", message=message)
    message = f"{chosen} was chosen at the start; the talk names no machine."
    doubt = Doubt(kind="chosen_at_start", message=message)
    mark = {"vin": chosen} if len(_plain(chosen)) == _VIN else {"registration": chosen}
    return said.model_copy(update={**mark, "doubts": (doubt, *said.doubts)}), doubt


def _plain(mark: str) -> str:
    return "".join(letter for letter in mark.upper() if letter.isalnum())
