"""Composes what is written of a walkround in the record: the owner's page."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from witnessmark.record import Store
    from witnessmark.types import Outcome


def page_of(record: Store, which: str) -> tuple[Outcome, str]:
    """What the review of a walkround came to, and its page for the owner.

    Args:
        record: the store.
        which: the walkround, as ``Store.walkround`` takes it.

    Returns:
        The outcome, and the page as one HTML document that needs no other file.

    Raises:
        StoreError: there is no such walkround.
    """
    from witnessmark import run
    from witnessmark.record import History
    from witnessmark.review import apply
    from witnessmark.summarise import render

    outcome = apply(record.walkround(which))
    machine = outcome.machine
    name = (machine.vin or machine.registration) if machine else None
    known = record.history(name) if name else History("")
    return outcome, render(run.summary(outcome, known, date.today()))
