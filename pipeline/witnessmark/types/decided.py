"""What a reviewer decided."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from witnessmark.types.base import Frozen
from witnessmark.types.drafted import Action, Finding, Machine, Reading
from witnessmark.types.judged import Grade


class DecisionKind(StrEnum):
    """What a reviewer can do with an item."""

    CONFIRM = "confirm"
    CORRECT = "correct"
    REJECT = "reject"
    ADD = "add"
    POSTPONE = "postpone"


AnyItem = Annotated[Finding | Reading | Action, Field(union_mode="smart")]


class Decision(Frozen):
    """One entry of the trail: who decided what about which item, when and why."""

    walkround: str
    item: str
    """Key of the drafted item, of the new item for ``add``, or ``machine`` for the machine's identity."""
    kind: DecisionKind
    who: str
    when: datetime
    why: str = ""
    """Required for a rejection."""
    becomes: AnyItem | Machine | None = None
    """The item as the reviewer wants it: for ``correct`` and ``add``."""
    grade: Grade | None = None
    """The reviewer's own grade of what is let in, where it is not that of the rules; ``why`` says why."""


class Confirmed(Frozen):
    """An item that may enter the record, with the decision that let it in."""

    item: AnyItem | Machine
    drafted: AnyItem | Machine | None = None
    """What the draft said; None when the reviewer added the item."""
    decision: Decision


class Rejected(Frozen):
    """A drafted item that a reviewer refused."""

    drafted: AnyItem | Machine
    decision: Decision
