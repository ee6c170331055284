"""A record in a folder of its own, and what is in its file."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from helpers_walkround import decision, walkround
from witnessmark.record import Store
from witnessmark.review import apply
from witnessmark.types import Walkround


def decide(store: Store, about: Walkround, item: str, kind: str = "confirm", **more: Any) -> None:
    """Decide as a program would: on the trail as the record has it."""
    now = store.walkround(about.id)
    made = decision(now, item, kind, **more)
    store.decide(made, apply(now, [made]))


def filled(store: Store, *items: str) -> Walkround:
    """The sample walkround taken in, these items confirmed."""
    sample = walkround()
    store.ingest(sample)
    for item in items:
        decide(store, sample, item)
    return sample


def dump(path: Path) -> list[str]:
    """Everything in the file, as SQL."""
    with closing(sqlite3.connect(path)) as connection:
        return list(connection.iterdump())


def rows(path: Path, table: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(f"SELECT * FROM {table}").fetchall()


def tamper(path: Path, *statements: str) -> None:
    """Change the file behind the program's back: without its triggers and its foreign keys."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            connection.execute(statement)
