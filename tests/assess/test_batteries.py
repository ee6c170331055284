"""Batteries. Flooded: table credited to the trade council BCI, at 80 °F; 0.024 V for each 10 °F."""

from __future__ import annotations

import pytest

from witnessmark.assess import assess
from witnessmark.assess.adjust import rested_voltage
from witnessmark.knowledge.limits import rules
from witnessmark.types import Draft, Grade, Reading

from .making import machine, of_reading


@pytest.mark.parametrize(
    ("volts", "degf", "at_80"),
    [
        (12.65, 50, 12.578),
        (12.65, 80, 12.65),
        (12.65, 100, 12.698),
    ],  # the first read with the table; computed
)
def test_temperature_of_a_lead_acid_battery(volts, degf, at_80):
    assert rested_voltage(volts, degf) == pytest.approx(at_80, abs=0.0005)


def with_temperature(volts: float, value: float, unit: str, chemistry: str = "flooded"):
    readings = (
        Reading(key="v", component="battery", quantity="voltage", value=volts, unit="V"),
        Reading(key="t", component="battery", quantity="temperature", value=value, unit=unit),
    )
    draft = Draft(id="d", text="", findings=readings)
    return assess(draft, rules("GB"), machine(chemistry=chemistry)).verdicts_of("v")[0]


def test_a_cold_battery_is_less_charged_than_its_voltage_says():
    """12.45 V is 75 % at 80 °F; at 40 °F it counts as 12.354 V, under 75 %."""
    assert with_temperature(12.45, 80, "degF").grade is Grade.SOUND
    cold = with_temperature(12.45, 40, "degF")
    assert cold.grade is Grade.ADVISORY
    assert "12.35 V at the 80 °F of the table" in cold.message


def test_the_correction_is_for_lead_acid_with_liquid_only():
    assert "of the table" not in with_temperature(13.2, 40, "degF", "lithium").message


@pytest.mark.parametrize(
    ("words", "rule"),
    [
        ("13.2 on the lithium battery", None),
        ("13.2 volts", "battery.flooded.unrested"),
    ],
)
def test_the_chemistry_said_is_taken(words, rule):
    """Four LiFePO4 cells at 13.2 V: near full on a flat curve, and not overcharged (from memory)."""
    verdict = of_reading("GB", "battery", "voltage", 13.2, "V", words=words)
    assert (verdict.rule == rule) == (rule is not None)
    assert ("70 %" in verdict.message) == (rule is None)


@pytest.mark.parametrize(
    ("volts", "grade"),  # usual advice for four cells (from memory), ceiling of 3.6 V a cell (rider thread)
    [(10.5, Grade.MAJOR), (12.7, Grade.MINOR), (13.3, Grade.SOUND), (14.5, Grade.MINOR), (14.7, Grade.MAJOR)],
)
def test_lithium(volts, grade):
    card = machine(chemistry="lithium")
    assert of_reading("GB", "battery", "voltage", volts, "V", card=card).grade is grade


@pytest.mark.parametrize(
    ("milliamps", "grade"), [(5, Grade.SOUND), (40, Grade.ADVISORY), (60, Grade.MINOR)]
)  # a few mA typical; over 30 to 50 mA investigate (from memory)
def test_drain(milliamps, grade):
    words = f"key off drain {milliamps}"
    assert of_reading("GB", "battery", "current", milliamps / 1000, "A", words=words).grade is grade


def test_what_a_meter_leaves_open_and_that_it_must_be_rested_is_said():
    """A ±1 % meter is ±0.12 V, roughly ±15 % of charge; 8 h of rest (battery trade pages)."""
    message = of_reading("GB", "battery", "voltage", 12.5, "V").message
    assert "±1 %" in message
    assert "8 h" in message
