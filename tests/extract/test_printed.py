"""Figures as they are printed and typed, signs, scales, and denials through lists of unknown nouns."""

from __future__ import annotations

import pytest
from num2words import num2words

from witnessmark.extract import extract
from witnessmark.extract.numbers import find_numbers
from witnessmark.extract.tokens import norm_of, pieces
from witnessmark.types import Finding, Reading


def reading(text: str) -> tuple[float | str, str | None] | None:
    """The only reading of a text, None where there is none."""
    found = [f for f in extract(text).findings if isinstance(f, Reading)]
    assert len(found) < 2
    return (found[0].value, found[0].unit) if found else None


def states(text: str) -> dict[str | None, str]:
    return {f.condition: f.state for f in extract(text).findings if isinstance(f, Finding)}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Coolant temperature 180 °F.", (180, "degF")),
        ("Coolant temperature 80°C.", (80, "degC")),
        ("Coolant temperature -5 °C.", (-5, "degC")),
        ("Coolant temperature minus five degrees.", (-5, "degC")),
        ("Front tyre tread 2½ mm.", (2.5, "mm")),
        ("Front tyre tread 2½mm.", (2.5, "mm")),
        ("Front tyre tread 2,5 mm.", (2.5, "mm")),
        ("Front tyre tread -2.5 mm.", (2.5, "mm")),
        ("Chain slack 3 cm.", (30, "mm")),
        ("Battery drain 40 mA.", (0.04, "A")),
        ('Spark plug gap 0.035".', (0.035, "in")),
        ("Spark plug gap 0.035 in.", (0.035, "in")),
        ("Front tyre 2.1 kgf/cm².", (2.1, "kgf/cm2")),
        ("Rear axle nut torque 110 N·m.", (110, "Nm")),
        ("Rear axle nut torque 80 lbf·ft.", (80, "lbf*ft")),
        ("Idle is 1200 r/min.", (1200, "rpm")),
        ("Front brake disc thickness 4.2-mm.", (4.2, "mm")),
        ("Idle is one point two thousand rpm.", (1200, "rpm")),
    ],
)
def test_a_printed_figure_keeps_its_unit(text: str, expected: tuple[float, str]) -> None:
    assert reading(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "Front tyre was fine at ninety miles an hour.",
        "Front tyre, they say 12 mm/month.",
        "Coolant type XY173C.",
    ],
)
def test_a_rate_or_a_code_is_no_reading(text: str) -> None:
    assert reading(text) is None


@pytest.mark.parametrize(
    ("said", "values"),
    [
        ("two hundred three hundred", [200300]),
        ("four point two three point one", [4.2, 3.1]),
        ("sixty point two four zero zero", [60.24]),
        ("eighteen point o five", [18.05]),
        ("five point two million", [5_200_000]),
        ("twenty one crore ninety eight lakh", [219_800_000]),
        ("half a million", [500_000]),
        ("two and a half thousand", [2500]),
        ("minus sixty", [-60]),
        ("plus or minus five", [5]),
        ("twelve minus ten", [12, 10]),
    ],
)
def test_signs_scales_and_long_decimals(said: str, values: list[float]) -> None:
    norms = [norm_of(piece) for piece in pieces(said) if not piece.isspace()]
    assert [number.value for number in find_numbers(norms)] == values


def said_back(value: float) -> list[float]:
    """What is read of a number as num2words says it; nobody says its commas."""
    words = str(num2words(value)).replace(",", "")
    return [number.value for number in find_numbers([norm_of(p) for p in pieces(words) if not p.isspace()])]


def test_every_number_comes_back_from_words() -> None:
    """Words by num2words, which is not ours."""
    whole = [*range(-9_999, 10_000), *(7 * 10**power + 13 for power in range(4, 16))]
    assert [value for value in whole if said_back(value) != [value]] == []
    cents = [hundredths / 100 for hundredths in range(2_000)]
    assert [value for value in cents if said_back(value) != [value]] == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Front tyre has no whatnots, thingummies or cracks.", {"crack": "absent"}),
        ("Front tyre: no cracks, whatnots or thingummies.", {"crack": "absent"}),
        ("No rush, leak at the left fork seal or the right.", {"leak": "present"}),
        ("Frame's not bent, just rusty.", {"damage": "absent", "corrosion": "present"}),
        ("No change in the oil leak at the left fork seal.", {"leak": "present"}),
        ("Left fork seal no longer leaking.", {"leak": "absent"}),
        ("Rear tyre is not without cracks.", {"crack": "present"}),
        ("Left mirror: cracks - none.", {"crack": "absent"}),
    ],
)
def test_how_far_a_denial_reaches(text: str, expected: dict[str, str]) -> None:
    assert states(text) == expected
