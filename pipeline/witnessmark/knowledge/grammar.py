"""Small sets of English words that the grammar of talk turns on, from ``models/trade/grammar.yaml``."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge.files import read_yaml


@cache
def _sets() -> Mapping[str, Any]:
    sets: Mapping[str, Any] = read_yaml("trade/grammar.yaml")
    return sets


@cache
def words(name: str) -> frozenset[str]:
    """The words of one set; "" in it stands for the edge of the talk.

    Raises:
        KnowledgeError: when there is no such set, or a member is not text.
    """
    row = _sets().get(name)
    if row is None or not all(isinstance(word, str) for word in row["words"]):
        raise KnowledgeError(f"has no sound set {name!r}", "models/trade/grammar.yaml", "Mend the file.")
    return frozenset(row["words"])
