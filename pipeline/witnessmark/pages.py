"""Composes what is written of a walkround in the record: the owner's page, for commands and desk alike."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING

from witnessmark.errors import BadInputError

if TYPE_CHECKING:
    from witnessmark.record import History, Store
    from witnessmark.summarise import Summary
    from witnessmark.summarise.bill import Earlier
    from witnessmark.types import Outcome

NEAR = 20.0
"""Seconds between a picture and the words that it is taken to belong to."""


def _unheard(message: str) -> None:
    """Where nobody is told."""


def page_of(record: Store, which: str) -> tuple[Outcome, str]:
    """What the review of a walkround came to, and its page for the owner.

    Args:
        record: the store.
        which: the walkround, as ``Store.walkround`` takes it.

    Returns:
        The outcome, and the page as one HTML document that needs no other file.

    Raises:
        StoreError: there is no such walkround, or a picture of it is not what was stored.
    """
    from witnessmark.summarise import render

    outcome, page = summary_of(record, which, date.today())
    return outcome, render(page)


def summary_of(
    record: Store,
    which: str,
    made_on: date | None,
    language: str = "en",
    note: Callable[[str], None] = _unheard,
) -> tuple[Outcome, Summary]:
    """What the review of a walkround came to, and its page as values.

    Args:
        record: the store.
        which: the walkround, as ``Store.walkround`` takes it.
        made_on: day on which the page is made.
        language: of the page.
        note: told of a picture that is left out.

    Raises:
        StoreError: there is no such walkround, or a picture of it is not what was stored.
    """
    from witnessmark import run

    outcome, known = reviewed(record, which)
    photos, said = _pictures(record, outcome, language, note), said_before(record, outcome, known)
    return outcome, run.summary(outcome, known, made_on, language=language, photos=photos, answers=said)


def said_before(record: Store, outcome: Outcome, known: History) -> tuple[Earlier, ...]:
    """What the owner said at earlier visits of this machine, and what came of it up to this walkround.

    Args:
        record: the store.
        outcome: of the walkround.
        known: what the record knows of its machine.
    """
    from witnessmark.record import Answers
    from witnessmark.summarise.answers import earlier_answers

    visits = [visit.walkround for visit in known.visits]
    earlier = visits[: visits.index(outcome.walkround.id)] if outcome.walkround.id in visits else []
    given = Answers(record).of(earlier) if earlier else ()
    return earlier_answers(given, known.until(outcome.walkround.on).past_work)


def reviewed(record: Store, which: str) -> tuple[Outcome, History]:
    """What the review of a walkround came to, and what the record knows of its machine.

    Raises:
        StoreError: there is no such walkround.
    """
    from witnessmark.review import apply

    outcome = apply(record.walkround(which))
    return outcome, record.history_of(outcome.walkround.id)


def _pictures(
    record: Store, outcome: Outcome, language: str, note: Callable[[str], None]
) -> list[tuple[bytes, str]]:
    """The pictures of a walkround that can be shown, each with the confirmed part spoken of at its moment."""
    from witnessmark.summarise.photographs import shown

    found = []
    for photo in record.photos(outcome.walkround.id):
        data = record.photo_bytes(photo.sha256)
        try:
            shown(data, f"picture {photo.sha256[:12]}")
        except BadInputError as error:
            note(f"{error} It is left out.")
            continue
        found.append((data, _caption(outcome, photo.seconds, language)))
    return found


def _caption(outcome: Outcome, seconds: float | None, language: str) -> str:
    from witnessmark.knowledge.plain import plain_words
    from witnessmark.summarise.words import capital, name_of
    from witnessmark.types import Item

    if seconds is None:
        return ""
    spoken = [
        (abs(heard.start - seconds), entry.item)
        for entry in outcome.confirmed
        if isinstance(entry.item, Item)
        for heard in entry.item.evidence
        if heard.start is not None
    ]
    away, item = min(spoken, key=lambda pair: pair[0], default=(NEAR + 1, None))
    if item is None or away > NEAR:
        return ""
    return capital(name_of(plain_words(language), item.component, [(item.end, item.side)]))
