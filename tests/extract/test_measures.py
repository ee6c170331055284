"""Figures with their units, and what a figure can be."""

from __future__ import annotations

import pytest

from witnessmark.extract import extract
from witnessmark.extract.measures import FAMILIES, KIND_OF, plausible
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.phrases import expand
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Reading
from witnessmark.units import UNITS

from .reading import params

FRAMES = {
    "mm": "Chain slack is 31 {}.",
    "pressure": "Front tyre pressure is 31 {}.",
    "volt": "Battery voltage is 12 {}.",
    "current": "Battery drain is 2 {}.",
    "torque": "Rear axle nut torque is 50 {}.",
    "percent": "Brake fluid water content is 2 {}.",
    "rpm": "Idle speed is 1200 {}.",
    "rate": "Front left indicator flashes at 80 {}.",
    "temperature": "Coolant temperature is 80 {}.",
}
"""Kind of unit → a sentence with a figure of that kind."""
SAID = {
    f"{frame.format(' '.join(said))}": row.id
    for row in lexicon().rows
    if row.family == "unit" and (frame := FRAMES.get(FAMILIES.get(row.id, "")))
    for phrase in row.phrases
    for said in expand(phrase)
}


@pytest.mark.parametrize("sentence", params(SAID))
def test_every_way_to_say_a_unit(sentence: str) -> None:
    units = [f.unit for f in extract(sentence, jurisdiction="GB").findings if isinstance(f, Reading)]
    assert units == [SAID[sentence]]


def test_every_unit_has_a_kind_and_every_figure_too() -> None:
    assert set(FAMILIES) == set(UNITS)
    text = {q for q, (unit, _) in vocabulary().quantities.items() if unit is None}
    assert set(KIND_OF) == set(vocabulary().quantities) - text - {"odometer"}


@pytest.mark.parametrize(
    ("quantity", "value", "unit", "can_be"),
    [
        ("tread_depth", 2.5, "mm", True),
        ("tread_depth", 25, "mm", False),
        ("tread_depth", 0.1, "in", True),
        ("tread_depth", 2, "in", False),
        ("pressure", 36, "psi", True),
        ("pressure", 2.5, "bar", True),
        ("pressure", 36, "bar", False),
        ("voltage", 12.6, "V", True),
        ("voltage", 126, "V", False),
        ("tread_depth", 2, "psi", False),
        ("odometer", 1e6, "km", True),
    ],
)
def test_what_a_figure_can_be(quantity: str, value: float, unit: str, can_be: bool) -> None:
    assert plausible(quantity, value, unit) is can_be


@pytest.mark.parametrize(
    ("said", "value", "unit"),
    [
        ("Front tyre pressure is 2.2.", 2.2, "bar"),
        ("Front tyre pressure is 32.", 32, "psi"),
        ("Front tyre pressure is 220.", 220, "kPa"),
        ("Front tread is 2.", 2, "mm"),
        ("Battery is at 12.4.", 12.4, "V"),
        ("Idle is 1300.", 1300, "rpm"),
        ("Rear axle nut torque is 90.", 90, "Nm"),
    ],
)
def test_a_missing_unit_is_the_usual_one(said: str, value: float, unit: str) -> None:
    (reading,) = (f for f in extract(said, jurisdiction="GB").findings if isinstance(f, Reading))
    assert (reading.value, reading.unit) == (value, unit)


def test_the_unit_of_the_reading_before_is_carried_on() -> None:
    draft = extract("Front tyre is 2.2 bar, rear is 2.5. Front tread is 4/32, rear tread is 3/32.")
    assert [f.unit for f in draft.findings if isinstance(f, Reading)] == ["bar", "bar", "in", "in"]
