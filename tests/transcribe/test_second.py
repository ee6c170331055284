"""A doubtful word becomes the word of the trade that fits the sound better, and stays marked."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.phrases import expand, spellings
from witnessmark.knowledge.speech import sounds_like, speech
from witnessmark.transcribe.second import candidates, heard_again
from witnessmark.transcribe.words import Piece, lay_out

SECOND = speech().second
TABLE = {"ball": ("bald",), "pocket": ("sprocket", "packed"), "sixty": ("sixth",)}


def said(text: str, probability: float = 0.6) -> list[Piece]:
    return [Piece(word, i / 2, i / 2 + 0.4, probability) for i, word in enumerate(text.split())]


def likes(*words: str):  # type: ignore[no-untyped-def]  # a scorer
    """A scorer to which texts fit the better the earlier one of the words stands in the list."""

    def score(trials: Sequence[tuple[float, tuple[str, ...]]]) -> list[list[float]]:
        return [[max([0, *(9.0 - i for i, w in enumerate(words) if w in t)]) for t in ts] for _, ts in trials]

    return score


def again(words: list[Piece], *liked: str, other: str | None = None) -> list[Piece]:
    return heard_again(words, other, likes(*liked), TABLE, SECOND)


def test_the_word_that_fits_better_is_taken_and_marked() -> None:
    words = again(said("The back one's Ball, down the middle"), "Bald,")
    assert [w.text for w in words] == ["The", "back", "one's", "Bald,", "down", "the", "middle"]
    assert words[3].first_printed == "Ball,"
    assert words[3].probability < 0.5
    text, placed = lay_out(words)
    assert "Bald," in text
    assert placed[3].first_printed == "Ball,"
    assert all(w.first_printed is None for w in placed if w.text != "Bald,")


def test_the_printed_word_stays_where_it_fits_as_well() -> None:
    words = said("one's ball now")
    assert again(words) == words
    assert again(words, "ball") == words


def test_of_several_the_best_is_taken() -> None:
    assert again(said("rear pocket"), "packed", "sprocket")[1].text == "packed"
    assert again(said("rear pocket"), "sprocket", "packed")[1].text == "sprocket"


@pytest.mark.parametrize("probability", [0.9, 0.99])
def test_a_sure_word_stays(probability: float) -> None:
    assert again(said("one's ball", probability), "bald")[1].text == "ball"


def test_a_word_of_the_trade_and_a_figure_stay() -> None:
    found = candidates(said("bald sprocket 2.5 60"), "ball pocket 3.5 16", TABLE, SECOND)
    assert list(found) == []


def test_the_other_reading_offers_its_word_of_the_trade() -> None:
    assert again(said("it is bored there"), "bald", other="it is bald there")[2].text == "bald"
    assert again(said("it is bored there"), "dull", other="it is dull there")[2].text == "bored"


def test_the_shipped_table_leads_from_everyday_words_to_the_trade() -> None:
    known = {w for row in lexicon().rows for p in row.phrases for words in expand(p) for w in words}
    table = sounds_like()
    assert "bald" in table["ball"]
    meant = {word for row in table.values() for word in row}
    assert {spellings().get(word, word) for word in meant} <= known
