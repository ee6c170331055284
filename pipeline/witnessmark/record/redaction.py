"""Takes a name out of what was said, letter for letter, so that every place in the talk stays where it is."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from witnessmark.errors import BadInputError

MASK = "·"
"""Stands for each letter and digit that is taken out."""
_FREE = frozenset(("text", "message", "said_first", "first_printed", "why", "heard", "name"))
"""Keys whose values are free words; all others are ids, figures, dates and who decided."""


class Taken(NamedTuple):
    """A talk before and after a name was taken out of it."""

    pattern: re.Pattern[str]
    before: str
    after: str


def pattern_of(name: str) -> re.Pattern[str]:
    """Finds the name wherever it stands as whole words, in any case.

    Raises:
        BadInputError: there is no word in it.
    """
    parts = re.findall(r"\w+", name)
    if not parts:
        raise BadInputError("there is no name to take out", remedy="Give it as it stands in the talk.")
    words = r"\W+".join(map(re.escape, parts))
    return re.compile(rf"(?<!\w){words}(?!\w)", re.I)


def masked(text: str, pattern: re.Pattern[str]) -> str:
    """The text with each letter of the name replaced; it keeps its length."""
    return pattern.sub(lambda found: re.sub(r"\w", MASK, found[0]), text)


def take_out(value: Any, taken: Taken) -> Any:
    """A JSON value without the name.

    A stretch of the talk (``text`` with ``char_start`` and ``char_end``) is cut from the talk anew, so that
    half a name in it goes too.
    """
    if isinstance(value, list):
        return [take_out(each, taken) for each in value]
    if not isinstance(value, dict):
        return value
    held = {key: _free(each, taken) if key in _FREE else take_out(each, taken) for key, each in value.items()}
    span = slice(value.get("char_start"), value.get("char_end"))
    if "char_start" in value and taken.before[span] == value.get("text"):
        held["text"] = taken.after[span]
        if held["text"] != value["text"] and value.get("first_printed"):
            held["first_printed"] = re.sub(r"\w", MASK, value["first_printed"])
    return held


def _free(value: Any, taken: Taken) -> Any:
    if isinstance(value, str):
        return masked(value, taken.pattern)
    if isinstance(value, list):
        return [_free(each, taken) for each in value]
    return take_out(value, taken)
