"""What owners said to work that was offered: entries of the trail, under the chain like decisions.

Nothing is ever changed or removed; of several answers to a line the last counts. Earlier versions kept them
in a file beside the record, a line of JSON each with the hash of the last; ``take_over`` takes those in.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable
from contextlib import suppress
from datetime import UTC, date, datetime
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, get_args

from witnessmark.errors import StoreError
from witnessmark.record import chain, lookup
from witnessmark.record.acts import Act
from witnessmark.types import Answer, AnswerKind

if TYPE_CHECKING:
    from sqlite_utils import Database

    from witnessmark.record.store import Store

FIRST = "0" * 64
"""In an old file: in place of the hash of the line before the first."""


class Answers:
    """The answers in a record.

    Args:
        store: the record.
    """

    def __init__(self, store: Store) -> None:
        self._store = store

    def add(self, answers: Iterable[Answer]) -> None:
        """Enter answers into the trail, all or none.

        Raises:
            StoreError: there is no such walkround, it was erased, or they could not be stored.
        """
        with self._store.writing() as db:
            for answer in answers:
                if not _is_here(db, answer.walkround):
                    raise StoreError("there is no such walkround", answer.walkround, "Nothing was stored.")
                chain.append(db, _act(answer))

    def of(self, walkrounds: Collection[str]) -> tuple[Answer, ...]:
        """The answers to the estimates of these walkrounds, by whole ids, oldest first."""
        with self._store.reading() as db:
            return of(db, walkrounds)


def of(db: Database, walkrounds: Collection[str]) -> tuple[Answer, ...]:
    """As ``Answers.of``, inside the caller's transaction."""
    marks = ", ".join("?" * len(walkrounds))
    rows = db.execute(
        "SELECT walkround, json_extract(body, '$.what.line'), json_extract(body, '$.what.said'), who, "
        "json_extract(body, '$.what.on') FROM decisions WHERE item IS NULL AND kind = 'answer' "
        f"AND walkround IN ({marks}) AND json_extract(body, '$.what.line') IS NOT NULL ORDER BY seq",
        [*walkrounds],
    )
    return tuple(
        Answer(walkround, line, said, who, date.fromisoformat(on))
        for walkround, line, said, who, on in rows.fetchall()
    )


def _is_here(db: Database, walkround: str) -> bool:
    row = db.execute("SELECT 1 FROM walkrounds WHERE id = ? AND erased_at IS NULL", [walkround]).fetchone()
    return row is not None


def _act(answer: Answer, **more: str) -> Act:
    what = {"line": answer.line, "said": answer.kind, "on": answer.on.isoformat(), **more}
    return Act(kind="answer", walkround=answer.walkround, who=answer.who, when=datetime.now(UTC), what=what)


def file_of(record: Path) -> Path:
    """Where earlier versions kept the answers."""
    return record.with_suffix(".answers.jsonl")


class Written(NamedTuple):
    """A line of an old file."""

    answer: Answer
    mark: str
    """SHA-256 of the line."""


def take_over(db: Database, record: Path) -> bool:
    """Bring an old file's answers into the trail, unless they are there, inside the caller's transaction.

    Answers to walkrounds that were erased go with them.

    Returns:
        Whether the file has nothing more to give: every line is what was written, its walkround known here.
    """
    rows = db.execute(
        "SELECT json_extract(body, '$.what.mark') FROM decisions WHERE item IS NULL AND kind = 'answer'"
    )
    known = {mark for (mark,) in rows.fetchall()}
    for answer, mark in written(file_of(record)):
        if mark not in known and _is_here(db, answer.walkround):
            chain.append(db, _act(answer, mark=mark))
    return not left_over(db, record)


def left_over(db: Database, record: Path) -> list[str]:
    """Why an old file still lies beside the record, a sentence each; none where there is none."""
    path = file_of(record)
    good = written(path)
    lost = {answer.walkround for answer, _ in good if not lookup.has(db, answer.walkround)}
    found = [f"{path} has answers to {one}, which is not in this record" for one in sorted(lost)]
    if len(good) < len(_lines(path)):
        found.append(
            f"{path}: from line {len(good) + 1} on it is not sure to be what was written, and not taken in"
        )
    return found


def _lines(path: Path) -> list[str]:
    try:
        return path.read_text("utf-8", errors="replace").splitlines()
    except FileNotFoundError:
        return []
    except OSError as error:
        raise StoreError(
            f"the answers cannot be read ({error.strerror})", str(path), "Nothing is lost."
        ) from error


def let_go(record: Path) -> None:
    """Take the old file away; where that is not allowed it stays, and gives nothing new the next time."""
    with suppress(OSError):
        file_of(record).unlink(missing_ok=True)


def written(path: Path) -> list[Written]:
    """The answers of an old file that are surely what was written, each with its mark.

    A line is vouched for by the next one's hash of it: where these do not fit, either may be changed.
    """
    good: list[Written] = []
    for line in _lines(path):
        answer = _answer(line, good[-1].mark if good else FIRST)
        if answer is None:
            return good[:-1]
        good.append(Written(answer, sha256(line.encode()).hexdigest()))
    return good


def _answer(line: str, before: str) -> Answer | None:
    try:
        raw: dict[str, Any] = json.loads(line)
        if raw.pop("before") != before or raw["kind"] not in get_args(AnswerKind):
            return None
        return Answer(**{**raw, "on": date.fromisoformat(raw["on"])})
    except (ValueError, KeyError, TypeError, AttributeError):
        return None
