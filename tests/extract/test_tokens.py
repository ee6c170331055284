"""Tokens cover the text exactly, and their norms are the words of the lexicon."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.extract import pipeline
from witnessmark.extract.tokens import norm_of, pieces


@given(st.text())
def test_pieces_joined_are_the_text(text: str) -> None:
    assert "".join(pieces(text)) == text


@given(st.text())
def test_a_doc_is_its_text_and_offsets_slice_it(text: str) -> None:
    doc = pipeline().make_doc(text)
    assert doc.text == text
    assert all(text[token.idx : token.idx + len(token.text)] == token.text for token in doc)


@pytest.mark.parametrize(
    ("text", "norms"),
    [
        ("isn't", "is not"),
        ("won't go out", "will not go out"),
        ("can't", "can not"),
        ("doesnt", "does not"),
        ("isn’t", "is not"),
        ("that's", "that 's"),
        ("thats", "that 's"),
        ("I've", "i have"),
        ("they're", "they are"),
        ("I'd", "i 'd"),
        ("near-side", "near side"),
        ("near side", "near side"),
        ("forty-five", "forty five"),
        ("3.5mm", "3.5 mm"),
        (".5", ".5"),
        ("14,230 miles", "14230 miles"),
        ("1,234,567", "1234567"),
        ("120/70ZR17", "120 / 70 zr 17"),
        ("3.00-18", "3.00 - 18"),
        ("58W", "58 w"),
        ("Tire, center", "tyre , centre"),
        ("rotor's", "rotor 's"),
        ("wait…", "wait ..."),
    ],
)
def test_norms(text: str, norms: str) -> None:
    assert " ".join(token.norm_ for token in pipeline().make_doc(text) if not token.is_space) == norms


def test_white_space_is_kept() -> None:
    doc = pipeline().make_doc("  Front\tbrake \n\n fine ")
    assert doc.text == "  Front\tbrake \n\n fine "
    assert "\n" in [token.norm_ for token in doc]


@pytest.mark.parametrize("piece", ["Disk", "DISK", "disk"])
def test_a_norm_forgets_the_case(piece: str) -> None:
    assert norm_of(piece) == "disc"
