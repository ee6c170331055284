"""The small grammar in which the words of the trade are written."""

from __future__ import annotations

import pytest

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge.phrases import expand


@pytest.mark.parametrize(
    ("phrase", "said"),
    [
        ("brake pad", ["brake pad"]),
        ("Brake Pad", ["brake pad"]),
        ("pad~", ["pad", "pads"]),
        ("bush~", ["bush", "bushes"]),
        ("glass~", ["glass", "glasses"]),
        ("[brake] disc", ["disc", "brake disc"]),
        ("(head|tail) light", ["head light", "tail light"]),
        ("(a|a) b", ["a b"]),
        ("a [(b|c)]", ["a", "a b", "a c"]),
        ("((a|b) c|d)", ["a c", "b c", "d"]),
        ("top {} up", ["top {} up"]),
        ("won't go out", ["will not go out"]),
        ("isn't there", ["is not there"]),
        ("can't", ["can not"]),
        ("he's had it", ["he 's had it"]),
        ("(worn|) out", ["worn out", "out"]),
        ("[a]", ["a"]),
    ],
)
def test_a_phrase_allows_these_words(phrase: str, said: list[str]) -> None:
    assert [" ".join(words) for words in expand(phrase)] == said


@pytest.mark.parametrize("phrase", ["(a", "a)", "[a", "a]", "(a]", "a(b)", "(a)b", "a[b] c"])
def test_brackets_that_do_not_match_are_refused(phrase: str) -> None:
    with pytest.raises(KnowledgeError):
        expand(phrase)
