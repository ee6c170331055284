"""Trade words that a recogniser printed as others."""

from __future__ import annotations

import jellyfish
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from witnessmark.extract import extract
from witnessmark.extract.misheard import from_table
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.misheard import Misheard, misheard
from witnessmark.knowledge.phrases import expand

from .reading import Case, cases


@pytest.mark.parametrize("case", cases("misheard"))
def test_they_are_read_where_expected_and_marked(case: Case) -> None:
    case.check()


PRINTED = ("Front break pads are worn.", "The left forks eel is weeping.", "Front brake calliber is seized.")


@pytest.mark.parametrize("said", PRINTED)
def test_what_was_printed_stays(said: str) -> None:
    draft = extract(said, jurisdiction="GB")
    (item,) = draft.items
    assert draft.text == said
    assert item.evidence[0].text == said.rstrip(".")
    assert [doubt.kind for doubt in item.doubts] == ["misheard_word"]


@pytest.mark.parametrize(
    ("printed", "meant"),
    [
        ("the break pads", [(1, 3, ("brake", "pads"))]),
        ("the left forks eel", [(2, 4, ("fork", "seal"))]),
        ("change slack is low", [(0, 1, ("chain",))]),
        ("change the oil", []),
        ("left mere is cracked", [(1, 2, ("mirror",))]),
        ("mere words", []),
        ("", []),
    ],
)
def test_rows_of_the_table(printed: str, meant: list[tuple[int, int, tuple[str, ...]]]) -> None:
    assert [(s.start, s.end, s.meant) for s in from_table(printed.split())] == meant


ALWAYS = [row for row in misheard() if not (row.before or row.after or row.next)]


@pytest.mark.parametrize("row", ALWAYS, ids=lambda row: " ".join(row.heard))
def test_every_row_that_always_holds(row: Misheard) -> None:
    assert [s.meant for s in from_table(row.heard)] == [row.meant]


def words_of(*ids: str) -> set[str]:
    """Single words that say one of some conditions, or all but "sound" when none is given."""
    return {
        words[0]
        for row in lexicon().rows
        if row.family == "condition" and (row.id in ids or (not ids and row.id != "sound"))
        for phrase in row.phrases
        for words in expand(phrase)
        if len(words) == 1 and words[0].isalpha() and len(words[0]) > 3
    }


SAID = {
    word for row in lexicon().rows for phrase in row.phrases for words in expand(phrase) for word in words
}
GOOD, BAD = words_of("sound"), words_of()
TWO_FACED = sorted(GOOD & BAD)
"""Good of one part and bad of another: "dry", "soft", "tight"."""
LETTERS = "abcdefghijklmnoprstuwy"
FRAMES = ("Rear shock is {}.", "Front disc looks {}.", "The chain is {}.", "Left fork seal is {}.")


def misspelled(word: str, at: int, letter: str) -> str:
    """A word with one of its letters changed."""
    at %= len(word)
    return word[:at] + letter + word[at + 1 :]


def called_sound(word: str) -> list[str]:
    """Sentences in which a word that nobody knows makes a part sound."""
    if word in SAID:
        return []
    said = [frame.format(word) for frame in FRAMES]
    return [s for s in said if any(getattr(f, "condition", None) == "sound" for f in extract(s).findings)]


@settings(max_examples=150, deadline=None)
@given(
    st.builds(misspelled, st.sampled_from(sorted(GOOD - BAD)), st.integers(0, 20), st.sampled_from(LETTERS))
    | st.text(LETTERS, min_size=3, max_size=9).filter(lambda word: not like_two_faced(word))
)
def test_a_guess_never_calls_a_part_sound(word: str) -> None:
    assert called_sound(word) == []


def like_two_faced(word: str) -> bool:
    return any(jellyfish.damerau_levenshtein_distance(word, other) < 3 for other in TWO_FACED)


def test_nor_where_the_word_is_good_of_one_part_and_bad_of_another() -> None:
    words = {misspelled(w, at, letter) for w in TWO_FACED for at in range(len(w)) for letter in LETTERS}
    assert [sentence for word in sorted(words) for sentence in called_sound(word)] == []
