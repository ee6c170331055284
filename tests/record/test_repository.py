"""The repository's interface: ``Store`` has it, and nothing above the record asks for more."""

from __future__ import annotations

import ast
import inspect
from collections.abc import Iterator
from pathlib import Path

import pytest

import witnessmark
from witnessmark.record import Store
from witnessmark.record.repository import Intake, Kept, Repository, Reviewed

PACKAGE = Path(witnessmark.__file__).parent
OPENING = {"open", "default_path", "version_of", "close"}
"""Of the file itself: where the record is and that it is there, before anything is asked of it."""
PROMISED = {
    name
    for part in (Intake, Reviewed, Kept)
    for name in vars(part)
    if not name.startswith("_")
}  # fmt: skip


def asked(path: Path) -> Iterator[str]:
    """Names of what a module asks of a store: of what is annotated as one, or opened as one."""
    tree = ast.parse(path.read_text("utf-8"))
    stores = {"_record", "_store"} if "Store" in path.read_text("utf-8") else set()
    for node in ast.walk(tree):
        if isinstance(node, ast.arg) and node.annotation is not None:
            annotated = ast.unparse(node.annotation).replace("'", "").replace("|", " ").split()
            stores |= {node.arg} if {"Store", "Intake"} & set(annotated) else set()
        if isinstance(node, ast.withitem) and isinstance(node.optional_vars, ast.Name):
            opens = ast.unparse(node.context_expr).startswith(("opened(", "Store.open("))
            stores |= {node.optional_vars.id} if opens else set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute):
            of = node.value
            name = of.id if isinstance(of, ast.Name) else of.attr if isinstance(of, ast.Attribute) else ""
            if name in stores:
                yield node.attr


ABOVE = [
    path
    for path in sorted(PACKAGE.rglob("*.py"))
    if path.relative_to(PACKAGE).parts[0] in ("cli", "desk", "intake.py", "pages.py", "run.py")
]
NOT_OF_A_STORE = {"getMessage", "thread", "with_suffix", "put", "get", "delete"}
"""Of other things that are called record or store: a log's, a path's, a browser's."""


def test_nothing_above_asks_for_more_than_is_promised() -> None:
    wanted = {name: path.name for path in ABOVE for name in asked(path)}
    assert {"ingest", "decide", "history", "walkround", "backup"} <= wanted.keys()
    assert wanted.keys() - PROMISED - OPENING - NOT_OF_A_STORE == set()


def test_nothing_above_sees_a_table() -> None:
    words = ("SELECT ", "INSERT INTO", "UPDATE ", "PRAGMA ")
    own = ("desk",)  # keeps accounts in a file of its own
    seen = [
        path.name
        for path in ABOVE
        if path.relative_to(PACKAGE).parts[0] not in own
        and any(word in path.read_text("utf-8") for word in words)
    ]
    assert seen == []


@pytest.mark.parametrize("name", sorted(PROMISED - {"path"}))
def test_the_store_takes_what_is_promised(name: str) -> None:
    promised, given = (inspect.signature(getattr(of, name)).parameters for of in (Repository, Store))
    assert list(promised) == list(given)
    assert [each.kind for each in promised.values()] == [each.kind for each in given.values()]
