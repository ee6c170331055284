"""Fault codes: ISO 15031-6:2015 (its scope read, bits from memory); blinking by three descriptions."""

from __future__ import annotations

import pytest

from witnessmark.assess.faultcodes import blink_code, blinked, code_words, from_bytes, letter_code
from witnessmark.assess.words import tokens
from witnessmark.types import Grade

from .making import of_reading


@pytest.mark.parametrize(
    ("code", "text"),  # bit layout from memory, consistent in itself
    [
        (0x0171, "P0171"),
        (0x2135, "P2135"),
        (0x4035, "C0035"),
        (0x9234, "B1234"),
        (0xC100, "U0100"),
        (0xD401, "U1401"),
    ],
)
def test_codes_from_their_bytes(code, text):
    assert from_bytes(code) == text
    assert letter_code(f"0x{code:04X}") == text


@pytest.mark.parametrize(
    ("text", "code"),
    [("P0171", "P0171"), ("p 0171", "P0171"), ("P4123", None), ("X0100", None), ("P017", None)],
)
def test_the_form_of_a_code(text, code):
    assert letter_code(text) == code


@pytest.mark.parametrize("text", ["P4123", "X0100", "P017"])
def test_a_code_that_cannot_be_is_read_again(text):
    verdict = of_reading("GB", "warning_lamp", "fault_code", text)
    assert verdict.grade is Grade.UNGRADED
    assert "read it again" in verdict.message


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("P0171", ("powertrain", "standard", "fuel and air")),
        ("P1300", ("powertrain", "maker")),
        ("C0035", ("chassis", "standard")),
        ("P3000", ("maker",)),
        ("P3400", ("generic",)),
        ("U3000", ("reserved",)),
    ],
)
def test_what_a_code_is_about(code, words):
    assert all(word in code_words(code) for word in words)


@pytest.mark.parametrize(
    ("words", "counts", "code"),
    [
        ("two long and five short", (2, 5), 25),  # description on a motorcycle list
        ("eight slow, six fast", (8, 6), 86),  # another one
        ("five slow, four fast", (5, 4), 54),  # the same
        ("three long, two short", (3, 2), 32),
        ("twelve short", (0, 12), None),
    ],
)
def test_blinked_codes(words, counts, code):
    assert blinked([tokens(words)]) == counts
    assert blink_code(*counts) == code


def test_a_blinked_code_tells_what_was_counted_and_by_which_convention():
    verdict = of_reading("GB", "warning_lamp", "fault_code", "25", words="flashes two long five short")
    assert "2 long and 5 short: code 25" in verdict.message
    assert "confirm the convention" in verdict.message


def test_short_flashes_alone_are_asked_about():
    verdict = of_reading("GB", "warning_lamp", "fault_code", "12", words="twelve short flashes")
    assert "12 by count, or 0-12" in verdict.message
