"""The versions of the schema, one step each: a script, and what has to be filled in after it.

A new record takes every step from the first, so that it is the same as one that came all the way. A step that
was released is never changed; what has to change becomes the next step.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Callable
from importlib.resources import files

from witnessmark.errors import StoreError

VERSION = 6
"""The newest: ``PRAGMA user_version`` and ``meta``."""


def _fill_entries(connection: sqlite3.Connection) -> None:
    from witnessmark.record.entries import rebuild

    rebuild(connection, there="TRUE")  # version 2 had no erasures


def _fill_seals(connection: sqlite3.Connection) -> None:
    from witnessmark.record.seals import put_all

    put_all(connection)


FILL: dict[int, Callable[[sqlite3.Connection], None]] = {2: _fill_entries, 6: _fill_seals}
"""Version → what its script cannot do."""


def upgrade(connection: sqlite3.Connection, since: int, until: int = VERSION) -> None:
    """Take every step after version ``since`` up to ``until``, inside the caller's transaction."""
    connection.create_function("digest", 1, lambda text: hashlib.sha256(text.encode()).hexdigest())
    for version in range(since + 1, until + 1):
        for statement in statements(_script(version)):
            connection.execute(statement)
        if since and version in FILL:
            FILL[version](connection)
    if since:
        connection.execute("UPDATE meta SET value = ? WHERE key = 'schema_version'", [str(until)])
    connection.execute(f"PRAGMA user_version = {until}")


def _script(version: int) -> str:
    folder = files("witnessmark.record").joinpath("migrations")
    for script in folder.iterdir():
        if script.name.startswith(f"{version:04}_"):
            return script.read_text("utf-8")
    raise StoreError(f"the step to schema {version} is missing", remedy="Install the program again.")


def statements(script: str) -> list[str]:
    """The script's statements one by one: ``executescript`` would commit before it starts."""
    found, pending = [], ""
    for line in script.splitlines(keepends=True):
        pending += line
        if sqlite3.complete_statement(pending):
            found.append(pending)
            pending = ""
    return found
