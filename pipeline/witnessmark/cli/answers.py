"""What owners said to estimates: a line of JSON each in a file beside the record, chained by hash.

The record's own trail holds decisions on what was heard. These are decisions on work, under the same rule:
nothing is ever changed or removed, and a later answer stands beside an earlier one.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any, get_args

from witnessmark.errors import StoreError
from witnessmark.summarise.bill import Answer, AnswerKind

FIRST = "0" * 64
"""In place of the line before the first."""


def file_of(record: Path) -> Path:
    """Where the answers lie: beside the record's file."""
    return record.with_suffix(".answers.jsonl")


def read(record: Path) -> tuple[Answer, ...]:
    """All answers, oldest first; none where there is no file.

    Raises:
        StoreError: a line was changed, moved or taken out.
    """
    return tuple(answer for answer, _ in _lines(file_of(record)))


def append(record: Path, answers: Iterable[Answer]) -> None:
    """Write answers at the end, on the disk before it returns.

    Raises:
        StoreError: the file is not what was written, or cannot be written.
    """
    from filelock import FileLock

    path = file_of(record)
    with FileLock(f"{path}.lock"):
        before = next(iter([*(mark for _, mark in _lines(path))][-1:]), FIRST)
        lines = []
        for answer in answers:
            line = _line(answer, before)
            before = sha256(line.encode()).hexdigest()
            lines.append(f"{line}\n")
        _write(path, "".join(lines))


def _line(answer: Answer, before: str) -> str:
    return json.dumps({**answer._asdict(), "on": answer.on.isoformat(), "before": before}, sort_keys=True)


def _write(path: Path, text: str) -> None:
    """Whole lines or nothing, so that a full disk leaves no half of one."""
    try:
        with path.open("ab") as file:
            size = file.tell()
            try:
                file.write(text.encode())
                file.flush()
                os.fsync(file.fileno())
            except OSError:
                file.truncate(size)
                raise
    except OSError as error:
        raise StoreError("the answers cannot be written.", str(path), f"({error.strerror})") from error


def _lines(path: Path) -> Iterator[tuple[Answer, str]]:
    """Each answer with the hash of its line."""
    if not path.exists():
        return
    before = FIRST
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        answer = _answer(line, before)
        if answer is None:
            raise StoreError(f"line {number} is not what was written.", str(path), "Take it from a copy.")
        before = sha256(line.encode()).hexdigest()
        yield answer, before


def _answer(line: str, before: str) -> Answer | None:
    try:
        raw: dict[str, Any] = json.loads(line)
        if raw.pop("before") != before or raw["kind"] not in get_args(AnswerKind):
            return None
        return Answer(**{**raw, "on": date.fromisoformat(raw["on"])})
    except (ValueError, KeyError, TypeError):
        return None
