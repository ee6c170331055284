"""Entries of the trail that decide on no item: rules, removals, redactions, exports, an owner's answers."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Literal

from pydantic import Field

from witnessmark.types import Frozen

Kind = Literal[
    "policy", "remove_sound", "redact", "erase", "export", "redraft", "import", "answer", "calendar"
]


class Change(Frozen):
    """A body that an act replaces: which, and the hash of what stands there afterwards."""

    of: Literal["decision", "draft", "transcript"]
    id: str
    """Number of the decision, id of the draft's walkround, or hash of the transcript's recording."""
    to: str
    """SHA-256 of the new salt and the new body."""


class Act(Frozen):
    """One entry of the trail that is about the record or about work offered, not about an item."""

    kind: Kind
    walkround: str | None = None
    """None where it is about several, or none."""
    item: None = None
    who: str
    when: datetime
    why: str = ""
    what: dict[str, Any] = Field(default_factory=dict)
    """The particulars. Never what was taken out."""
    changes: tuple[Change, ...] = ()
