"""The small grammar in which ``models/trade`` writes phrases.

``(a|b)`` is a choice, ``[a]`` may be left out, ``a~`` is ``a`` or ``as``, and ``{}`` stands for one to four
words in between. Brackets hold whole words. Contractions are written as in speech ("won't go out"), and words
in any spelling that ``spellings.yaml`` knows ("tire" and "tyre" are one word).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache
from itertools import product

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge.files import read_yaml

GAP = "{}"
_TOKEN = re.compile(r"\(|\)|\[|\]|\||[^\s()\[\]|]+")


_INSIDE_WORD = re.compile(r"[^\s(\[|][(\[]|[)\]][^\s)\]|]")


@cache
def spellings() -> Mapping[str, str]:
    """Printed form of a word → the form in which rows and tokens meet, from ``spellings.yaml``."""
    table: Mapping[str, str] = read_yaml("trade/spellings.yaml")
    return table


@cache
def expand(phrase: str) -> tuple[tuple[str, ...], ...]:
    """All word sequences that a phrase allows, duplicates removed, in a fixed order.

    Raises:
        KnowledgeError: when brackets do not match.
    """
    check(phrase)
    tokens = _TOKEN.findall(_contractions(phrase.lower()))
    sequences, rest = _choice(tokens, phrase)
    if rest:
        raise KnowledgeError(f"phrase {phrase!r} has an unmatched bracket", "models/trade", "Mend the row.")
    return tuple(dict.fromkeys(s for s in sequences if s))


def check(phrase: str) -> None:
    """Refuses at a glance what ``expand`` could not read.

    Raises:
        KnowledgeError: for a bracket inside a word or without its fellow.
    """
    if not any(mark in phrase for mark in "()[]"):
        return
    if _INSIDE_WORD.search(phrase):
        raise KnowledgeError(
            f"phrase {phrase!r} has a bracket inside a word", "models/trade", "Write the words out."
        )
    if phrase.count("(") != phrase.count(")") or phrase.count("[") != phrase.count("]"):
        raise KnowledgeError(f"phrase {phrase!r} has an unmatched bracket", "models/trade", "Mend the row.")


def first_words(phrase: str) -> Iterable[str]:
    """The words with which what a phrase allows may begin; cheap for one that begins with a plain word."""
    first = phrase.split(" ", 1)[0]
    if first.isalpha() and first.islower() and first not in spellings():
        return (first,)
    return {words[0] for words in expand(phrase)}


def words_in(phrases: Iterable[str]) -> set[str]:
    """Every word of some phrases, without working out what they allow."""
    found = _TOKEN.findall(_contractions("\n".join(phrases).lower()))
    return {form for word in set(found) for (form,) in _word(word)}


def _contractions(phrase: str) -> str:
    """ "won't" and "isn't" in the form tokens have: "will not", "is not", "'s" by itself."""
    if "n't" in phrase:
        phrase = re.sub(r"\bwon't\b", "will not", phrase).replace("can't", "can not")
        phrase = re.sub(r"n't\b", " not", phrase)
    return re.sub(r"(?<=\w)('(?:s|ve|d|ll|re|m))\b", r" \1", phrase) if "'" in phrase else phrase


def _choice(tokens: list[str], phrase: str) -> tuple[list[tuple[str, ...]], list[str]]:
    """Alternatives up to a closing bracket or the end."""
    found, rest = _sequence(tokens, phrase)
    while rest and rest[0] == "|":
        more, rest = _sequence(rest[1:], phrase)
        found = found + more
    return found, rest


def _sequence(tokens: list[str], phrase: str) -> tuple[list[tuple[str, ...]], list[str]]:
    parts: list[list[tuple[str, ...]]] = []
    while tokens and tokens[0] not in (")", "]", "|"):
        head = tokens[0]
        if head in ("(", "["):
            inner, rest = _choice(tokens[1:], phrase)
            closing = ")" if head == "(" else "]"
            if not rest or rest[0] != closing:
                raise KnowledgeError(f"phrase {phrase!r} has an unmatched {head}", "models/trade", "Mend it.")
            parts.append(inner if head == "(" else [(), *inner])
            tokens = rest[1:]
        else:
            parts.append(_word(head))
            tokens = tokens[1:]
    return [sum(pick, ()) for pick in product(*parts)], tokens


def _word(word: str) -> list[tuple[str, ...]]:
    """A word in the spelling that tokens have, ``a~`` in both its forms."""
    if not word.endswith("~"):
        return [(spellings().get(word, word),)]
    stem = spellings().get(word[:-1], word[:-1])
    return [(stem,), (f"{stem}es" if stem.endswith(("s", "x", "sh", "ch")) else f"{stem}s",)]
