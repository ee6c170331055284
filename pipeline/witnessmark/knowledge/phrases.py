"""The small grammar in which ``models/trade`` writes phrases.

``(a|b)`` is a choice, ``[a]`` may be left out, ``a~`` is ``a`` or ``as``, and ``{}`` stands for one to four
words in between. Brackets hold whole words. Contractions are written as in speech ("won't go out").
"""

from __future__ import annotations

import re
from functools import cache
from itertools import product

from witnessmark.errors import KnowledgeError

GAP = "{}"
_TOKEN = re.compile(r"\(|\)|\[|\]|\||[^\s()\[\]|]+")


@cache
def expand(phrase: str) -> tuple[tuple[str, ...], ...]:
    """All word sequences that a phrase allows, duplicates removed, in a fixed order.

    Raises:
        KnowledgeError: when brackets do not match.
    """
    if re.search(r"[^\s(\[|][(\[]|[)\]][^\s)\]|]", phrase):
        raise KnowledgeError(
            f"phrase {phrase!r} has a bracket inside a word", "models/trade", "Write the words out."
        )
    tokens = _TOKEN.findall(_contractions(phrase.lower()))
    sequences, rest = _choice(tokens, phrase)
    if rest:
        raise KnowledgeError(f"phrase {phrase!r} has an unmatched bracket", "models/trade", "Mend the row.")
    return tuple(dict.fromkeys(s for s in sequences if s))


def _contractions(phrase: str) -> str:
    """ "won't" and "isn't" in the form tokens have: "will not", "is not", "'s" by itself."""
    phrase = re.sub(r"\bwon't\b", "will not", phrase).replace("can't", "can not")
    phrase = re.sub(r"n't\b", " not", phrase)
    return re.sub(r"(?<=\w)('(?:s|ve|d|ll|re|m))\b", r" \1", phrase)


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
    if not word.endswith("~"):
        return [(word,)]
    stem = word[:-1]
    return [(stem,), (f"{stem}es" if stem.endswith(("s", "x", "sh", "ch")) else f"{stem}s",)]
