"""Refuses walkrounds that the record does not have, or has no more."""

from __future__ import annotations

from witnessmark.desk.problems import Refused
from witnessmark.record import Store


def there(store: Store, walkround: str) -> None:
    """Refuse a walkround that is not there.

    Args:
        store: the record.
        walkround: a whole id.

    Raises:
        Refused: 404, or 410 where it was erased.
    """
    if not store.has(walkround):
        raise Refused(404, "there is no such walkround.", "Look in the list of those that wait.")
    if on := store.erased_on(walkround):
        when = f"{on.day} {on:%B %Y}"
        raise Refused(
            410,
            f"this walkround was erased on {when}: what was said, its sound and every decision are gone.",
            "Nothing brings it back. The machine may have others.",
        )
