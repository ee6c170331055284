"""What can go wrong, each with its exit status and a way out.

    WitnessmarkError              1
    ├── BadInputError             2   a file that cannot be read or is not what it should be
    ├── SpeechModelError          3   weights missing, of the wrong hash, or not loadable
    ├── StoreError                4   the record store: newer version, damaged, full disk
    ├── KnowledgeError            5   a file in models/ that breaks its own rules
    └── DecisionError             6   a reviewer's decision that does not fit the draft

Trouble in what was *said* is never an exception: it is a doubt on the finding.
"""

from __future__ import annotations


class WitnessmarkError(Exception):
    """Base of all errors meant for a person: what happened, to which file, what to do.

    Args:
        what: what went wrong, one sentence.
        where: the file, id or place it concerns, or None.
        remedy: what the user can do about it.
    """

    exit_code = 1

    def __init__(self, what: str, where: str | None = None, remedy: str | None = None) -> None:
        self.what, self.where, self.remedy = what, where, remedy
        super().__init__(str(self))

    def __str__(self) -> str:
        head = f"{self.where}: {self.what}" if self.where else self.what
        stop = "" if head.endswith((".", "!", "?")) else "."
        return f"{head}{stop} {self.remedy}" if self.remedy else f"{head}{stop}"


class BadInputError(WitnessmarkError):
    """A file given by the user cannot be used."""

    exit_code = 2


class SpeechModelError(WitnessmarkError):
    """The speech model's weights are missing, altered or cannot be loaded."""

    exit_code = 3


class StoreError(WitnessmarkError):
    """The record store cannot be opened, read or written."""

    exit_code = 4


class KnowledgeError(WitnessmarkError):
    """A file in ``models/`` breaks the rules of its own format."""

    exit_code = 5


class DecisionError(WitnessmarkError):
    """A reviewer's decision does not fit the item it is about."""

    exit_code = 6
