"""Numbers as they are said and as recognisers print them."""

from __future__ import annotations

import pytest

from .forms import digits, numbers, span, value, words


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("zero", 0),
        ("nought", 0),
        ("nil", 0),
        ("twelve", 12),
        ("forty-five", 45),
        ("forty five", 45),
        ("a hundred", 100),
        ("a hundred and five", 105),
        ("a thousand", 1_000),
        ("fourteen thousand two hundred and thirty", 14_230),
        ("fourteen thousand two hundred thirty", 14_230),
        ("two hundred thousand", 200_000),
        ("14 thousand", 14_000),
        ("12 hundred", 1_200),
        ("14,230", 14_230),
        ("1.1", 1.1),
        (".8", 0.8),
        ("one point one", 1.1),
        ("nought point eight", 0.8),
        ("zero point zero five", 0.05),
        ("oh point five", 0.5),
        ("point eight", 0.8),
        ("twelve point two five", 12.25),
        ("twelve point twenty-five", 12.25),
        ("2 point 5", 2.5),
        ("two and a half", 2.5),
        ("2 and a half", 2.5),
        ("2 1/2", 2.5),
        ("one and three quarters", 1.75),
        ("three quarters", 0.75),
        ("half a", 0.5),
        ("three thirty-seconds", 3 / 32),
        ("3/32", 3 / 32),
        ("two tenths", 0.2),
        ("six hundredths", 0.06),
        # as a recogniser prints a number before "point"
        ("to point five", 2.5),
        ("for point one", 4.1),
        ("won point two", 1.2),
        # as pilots say digits (ICAO)
        ("niner", 9),
        ("fife", 5),
    ],
)
def test_a_number(text: str, number: float) -> None:
    assert value(text) == pytest.approx(number)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("25 to 35", 25, 35),
        ("twenty-five to thirty-five", 25, 35),
        ("25-35", 25, 35),
        ("25 – 35", 25, 35),
        ("between 25 and 35", 25, 35),
        ("from one point five to two", 1.5, 2),
        ("two or three", 2, None),
        ("35 to 25", 35, None),
    ],
)
def test_a_range(text: str, low: float, high: float | None) -> None:
    first = numbers(text)[0]
    assert (first.value, first.high) == (low, high)


@pytest.mark.parametrize(
    ("text", "run"),
    [
        ("two two one seven", "2217"),
        ("22 17", "2217"),
        ("oh nine one two", "0912"),
        ("twenty-two seventeen", "2217"),
        ("twenty seventeen", "2017"),
        ("one twenty seventy seventeen", "1207017"),
    ],
)
def test_digits_of_a_run(text: str, run: str) -> None:
    """A tyre size keeps its cardinals apart: 1, 20, 70, 17."""
    assert digits(text) == run


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("two five", (2, 5)),
        ("fourteen two", (14, 2)),
        ("one twenty seventy seventeen", (1, 20, 70, 17)),
        ("forty-five", (45,)),
        ("one oh five", (1, 0, 5)),
    ],
)
def test_cardinals_in_a_row_are_kept(text: str, parts: tuple[float, ...]) -> None:
    assert numbers(text)[0].parts == parts


@pytest.mark.parametrize(
    "text", ["", "a", "to be or not to be", "for the bike", "point taken", "half the bike", "won", "an oil"]
)
def test_no_number(text: str) -> None:
    assert numbers(text) == []


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("twelve point six volts", ["twelve point six"]),
        ("front 34, rear 38", ["34", "38"]),
        ("two and a half and three", ["two and a half", "three"]),
        ("two bolts and five nuts", ["two", "five"]),
    ],
)
def test_numbers_lie_over_their_own_words(text: str, kept: list[str]) -> None:
    tokens = text.replace(",", " ,").split()
    assert [" ".join(tokens[n.start : n.end]) for n in numbers(text)] == kept


def test_what_the_recogniser_misprinted_is_marked() -> None:
    assert numbers("to point five")[0].misheard
    assert not numbers("two point five")[0].misheard


def test_words_of_the_library_are_without_commas() -> None:
    assert words(1_234) == "one thousand two hundred and thirty-four"
    assert span("5 to 9") == (5, 9)
