"""Pieces become words, words become a text, and nothing is lost or moved on the way."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.transcribe.words import Piece, join, lay_out

PIECES = st.lists(
    st.builds(
        Piece,
        st.text(st.sampled_from(list(" \n-ab2.5,/%½é")), max_size=6),
        st.floats(0, 60),
        st.floats(0, 60),
        st.floats(0, 1),
    ),
    max_size=12,
)


def pieces(*texts: str, probability: Sequence[float] = ()) -> list[Piece]:
    """Pieces of a second each."""
    chances = probability or [0.9] * len(texts)
    return [Piece(t, float(i), i + 1.0, p) for i, (t, p) in enumerate(zip(texts, chances, strict=True))]


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        ((" 2", ".5", " mm"), ["2.5", "mm"]),
        ((" 120", "/70", " 17"), ["120/70", "17"]),
        ((" 1", ",250", " rpm"), ["1,250", "rpm"]),
        ((" 50", "%", " left"), ["50%", "left"]),
        ((" half", "-worn", "."), ["half-worn."]),
        ((" 0", ".8", "mm", ","), ["0.8mm,"]),
        (("Right", ",", " front"), ["Right,", "front"]),
        ((" 2", ".", "5"), ["2.5"]),
        (("a ", "b", " ", "c"), ["a", "b", "c"]),
        ((" two words", "-here"), ["two", "words-here"]),
        (("", " ", "  "), []),
    ],
)
def test_a_piece_without_a_space_goes_on_with_the_word(texts: tuple[str, ...], words: list[str]) -> None:
    assert [w.text for w in join(pieces(*texts))] == words


def test_a_segment_begins_a_word() -> None:
    segments = [pieces(" Front"), pieces("tyre")]
    assert lay_out(w for s in segments for w in join(s))[0] == "Front tyre"


def test_times_are_those_of_the_first_and_last_spoken_piece() -> None:
    (number,) = join([Piece(" 2", 1.0, 1.3, 0.9), Piece(".5", 1.3, 1.9, 0.9), Piece(".", 1.9, 4.0, 0.9)])
    assert (number.start, number.end) == (1.0, 1.9)


def test_a_number_is_as_probable_as_its_least_piece() -> None:
    (number,) = join(pieces(" 2", ".5", probability=[0.9, 0.2]))
    assert number.probability == 0.2


def test_the_point_of_a_number_counts() -> None:
    (number,) = join(pieces(" 2", ".", "5", probability=[0.9, 0.3, 0.8]))
    assert number.probability == 0.3


def test_a_unit_does_not_make_a_number_doubtful() -> None:
    (number,) = join(pieces(" 2", ".5", "mm", ",", probability=[0.9, 0.8, 0.4, 0.3]))
    assert (number.text, number.probability) == ("2.5mm,", 0.8)


def test_a_stop_does_not_make_a_number_doubtful() -> None:
    (number,) = join(pieces(" 2", ".5", ".", probability=[0.9, 0.8, 0.1]))
    assert number.probability == 0.8


def test_a_word_is_as_probable_as_its_pieces_on_average() -> None:
    (word,) = join(pieces(" half", "-worn", probability=[0.9, 0.5]))
    assert word.probability == pytest.approx(0.7)


def test_a_stop_alone_is_a_word() -> None:
    assert join([Piece(" .", 1.0, 2.0, 0.5)]) == [Piece(".", 1.0, 2.0, 0.5)]


@given(PIECES)
def test_no_sign_is_lost_or_added(some: list[Piece]) -> None:
    assert [w.text for w in join(some)] == "".join(p.text for p in some).split()


@given(PIECES)
def test_words_keep_within_their_pieces(some: list[Piece]) -> None:
    for word in join(some):
        assert word.start <= word.end
        assert word.start in {p.start for p in some}
        assert min(p.probability for p in some) <= word.probability + 1e-12
        assert word.probability <= max(p.probability for p in some) + 1e-12


@given(st.lists(PIECES, max_size=4))
def test_every_word_is_where_it_says(segments: list[list[Piece]]) -> None:
    joined = [w for s in segments for w in join(s)]
    text, words = lay_out(joined)
    assert len(words) == len(joined)
    assert all(text[w.char_start : w.char_end] == w.text for w in words)
    assert text.split() == [w.text for w in words]
    assert text == " ".join(text.split())
