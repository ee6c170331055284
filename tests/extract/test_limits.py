"""Limits and specifications said with a reading."""

from __future__ import annotations

import pytest

from .reading import Case, cases, lines_of, params


@pytest.mark.parametrize("case", cases("limits"))
def test_the_limit_belongs_to_its_reading(case: Case) -> None:
    case.check()


READINGS = {
    "Front disc is {} mm": ("brake_disc front - thickness {} mm found", 4.8),
    "Rear tread is {}": ("tyre rear - tread_depth {} mm found", 1.4),
    "Chain slack is {}": ("chain - - slack {} mm found", 45),
    "Front tyre is {} psi": ("tyre front - pressure {} psi found", 30),
    "Rear pads are at {}": ("brake_pads rear - thickness {} mm found", 1.8),
    "Battery is {} volts": ("battery - - voltage {} V found", 12.2),
    "Rear axle nut torque is {} Nm": ("axle rear - torque {} Nm found", 90),
}
LOW = (
    (
        ", minimum {l}",
        ", minimum is {l}",
        ", the minimum is {l}",
        ". Minimum is {l}",
        ", min {l}",
        ", at least {l}",
    ),
    (", must be at least {l}", " against a minimum of {l}", " with a minimum of {l}", ", legal minimum {l}"),
    (" and the minimum is {l}", " where the minimum is {l}", ", should be no less than {l}"),
    (", {l} is the minimum", ", should be {l} minimum"),
)
HIGH = ((", maximum {l}", ", max {l}", ", no more than {l}", ", should be under {l}", ", {l} maximum"),)
TARGET = (
    (
        ", should be {l}",
        ", spec is {l}",
        ", spec {l}",
        ", book says {l}",
        ", the sticker says {l}",
        ", nominal {l}",
    ),
    (
        ", the manual says {l}",
        ", ought to be {l}",
        ", supposed to be {l}",
        ", it should be {l}",
        ". Spec is {l}",
    ),
    (
        " when it should be {l}",
        " and it should be {l}",
        ", wants to be {l}",
        ". Should be {l}",
        " instead of {l}",
    ),
)
RANGE = (
    (
        ", should be {l} to {h}",
        ", spec is {l} to {h}",
        ", should be between {l} and {h}",
        ", range {l} to {h}",
    ),
    (", book says {l} to {h}", " and the book wants {l} to {h}", ", limits are {l} to {h}"),
    (", minimum {l} maximum {h}", ", limits {l} and {h}", ", between {l} and {h} is the spec"),
)
ENDINGS = {
    ending: kind
    for kind, rows in (("low", LOW), ("high", HIGH), ("target", TARGET), ("range", RANGE))
    for row in rows
    for ending in row
}


@pytest.mark.parametrize("ending", params(ENDINGS))
def test_ways_to_say_a_limit(ending: str) -> None:
    wrong = []
    for start, (line, value) in READINGS.items():
        low, high = f"{value * 0.9:.3g}", f"{value * 1.1:.3g}"
        said = f"{start.format(value)}{ending.format(l=low, h=high)}."
        limit = f"low {low} high {high}" if ENDINGS[ending] == "range" else f"{ENDINGS[ending]} {low}"
        if lines_of(said) != [f"{line.format(value)} {limit}"]:
            wrong.append((said, lines_of(said)))
    assert wrong == []
