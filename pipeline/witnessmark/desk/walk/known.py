"""Refuses what does not go together with what is known of a recording."""

from __future__ import annotations

from witnessmark.desk.access.people import May, Person
from witnessmark.desk.problems import Refused
from witnessmark.desk.walk.forms import Start, State
from witnessmark.desk.walk.journal import Chunk, Row


def same_chunk(known: Chunk, sha256: str) -> bool:
    """False, as nothing is new.

    Raises:
        Refused: 409, the chunk that is here is another.
    """
    if known.sha256 != sha256:
        raise Refused(
            409,
            f"another chunk came as number {known.number} before, and stays.",
            "Each chunk has a number of its own. Ask how the recording stands.",
        )
    return False


def there(row: Row | None) -> Row:
    """The recording.

    Raises:
        Refused: 404, there is none.
    """
    if row is None:
        raise Refused(404, "there is no such recording.", "Begin it first.")
    return row


def theirs(row: Row | None, person: Person) -> Row:
    """The recording, where somebody may see it: others' are not told of, but to those who review.

    Raises:
        Refused: 404.
    """
    found = there(row)
    return found if found.person == person.id or person.may(May.REVIEW) else there(None)


def same_walk(row: Row, start: Start) -> Row:
    """The recording, where it began just so.

    Raises:
        Refused: 409.
    """
    given_day = start.on and start.on.isoformat()
    kept = (row.machine, row.jurisdiction, row.given_day, row.media_type, row.name, row.started_at)
    if kept != (
        start.machine, start.jurisdiction, given_day, start.media_type, start.name, start.started_at
    ):  # fmt: skip
        raise Refused(409, "a recording of this id began otherwise.", "Make a new id for another recording.")
    return row


def over(row: Row) -> Refused:
    """The refusal of anything more to a recording that has ended."""
    if row.state is State.DROPPED:
        return Refused(410, "this recording was dropped.", "Begin a new one.")
    return Refused(
        410,
        f"this walk was ended at the desk with {first_parts(row.chunks or 0)}.",
        "Send all of it as a new walk; its reviewer is told that both belong together.",
    )


def first_parts(count: int) -> str:
    """``the first part``, ``the first 12 parts``; people know chunks by this name."""
    return "the first part" if count == 1 else f"the first {count:,} parts"
