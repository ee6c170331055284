"""Search over all items as values, and the words looked for marked in them."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import NamedTuple

from witnessmark.desk.machines import shown
from witnessmark.record import Found, Says, Store
from witnessmark.record.search import MOST_WORDS
from witnessmark.review.wording import printable, says
from witnessmark.types import Action, Finding, Reading

_BEGIN, _END = "\x02", "\x03"
"""Around a word while SQLite marks it; ``printable`` lets neither through."""


class Piece(NamedTuple):
    """A stretch of text, and whether it is one of the words looked for."""

    text: str
    marked: bool


def view(store: Store, words: str, limit: int) -> shown.SearchResult:
    """The best ``limit`` items that have all the words."""
    found = store.search(words, limit + 1)
    hits = tuple(map(_hit, found[:limit]))
    return shown.SearchResult(words=words, hits=hits, more=len(found) > limit)


def _hit(one: Found) -> shown.Hit:
    return shown.Hit.model_validate(
        {
            "walkround": one.walkround,
            "item": one.item,
            "on": one.on,
            "machine": printable(one.registration or ""),
            "says": printable(_said(one.says)),
            "heard": printable(one.heard),
            "status": one.status,
            "who": printable(one.who),
        }
    )


def _said(of: Says) -> str:
    """What an item says, from the ids that the record found it by."""
    place = {"component": of.component, "end": of.end, "side": of.side}
    if of.component is None:
        return "the machine's registration, VIN and odometer"
    if of.work is not None:
        return says(Action.model_validate({**place, "kind": of.work, "status": of.work_status or "wanted"}))
    if of.quantity is not None:
        return says(
            Reading.model_validate({**place, "quantity": of.quantity, "value": of.value, "unit": of.unit})
        )
    return says(Finding.model_validate({**place, "condition": of.condition, "state": of.state or "present"}))


def marked(words: str, texts: Sequence[str]) -> list[list[Piece]]:
    """Each text in pieces, those marked that the search takes for one of the words.

    SQLite marks them itself, cutting words and their endings as the record's search does.
    """
    readable = words.encode("utf-8", "ignore").decode().replace("\0", " ").replace('"', " ")
    known = [word for word in readable.split() if any(map(str.isalnum, word))]
    wanted = " OR ".join(f'"{word}"*' for word in known[:MOST_WORDS])
    if not wanted or not texts:
        return [[Piece(text, False)] for text in texts]
    db = sqlite3.connect(":memory:")
    try:
        db.execute("CREATE VIRTUAL TABLE t USING fts5 (x, tokenize = 'porter unicode61 remove_diacritics 2')")
        db.executemany("INSERT INTO t (rowid, x) VALUES (?, ?)", enumerate(texts))
        rows = db.execute(
            "SELECT rowid, highlight(t, 0, ?, ?) FROM t WHERE t MATCH ?", [_BEGIN, _END, wanted]
        )
        found = dict(rows.fetchall())
    finally:
        db.close()
    return [_pieces(found.get(number, text)) for number, text in enumerate(texts)]


def _pieces(text: str) -> list[Piece]:
    first, *rest = text.split(_BEGIN)
    pieces = [Piece(first, False)]
    for piece in rest:
        word, _, after = piece.partition(_END)
        pieces += [Piece(word, True), Piece(after, False)]
    return [piece for piece in pieces if piece.text]
