"""What an owner said to work that was offered."""

from __future__ import annotations

from datetime import date
from typing import Literal, NamedTuple

AnswerKind = Literal["go", "not_now"]


class Answer(NamedTuple):
    """What the owner said to one line of an estimate."""

    walkround: str
    line: str
    """The part, its place and the work: ``tyre:rear/replace``."""
    kind: AnswerKind
    who: str
    """Who said it."""
    on: date
