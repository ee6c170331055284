"""Cold pressures. Gas law at constant volume, checked against a published worked example."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.assess import assess
from witnessmark.assess.adjust import at_temperature
from witnessmark.knowledge.limits import rules
from witnessmark.types import Draft, Evidence, Grade, Reading
from witnessmark.units import convert

from .making import LARKSPUR

ON = date(2026, 5, 21)


@pytest.mark.parametrize(
    ("pressure", "unit", "before", "after", "degrees", "expected", "within"),
    [
        (20, "psi", 70, 50, "degF", 18.7, 0.05),  # worked example on a mailing list: 18.7
        (20, "psi", 70, 130, "degF", 23.9, 0.05),  # the same: 23.9
        (36, "psi", 68, 58, "degF", 35.04, 0.01),  # computed by the law; about 1 psi for each 10 °F
        (36, "psi", 68, 32, "degF", 32.54, 0.01),  # computed
        (29, "psi", 77, 50, "degF", 26.80, 0.01),  # computed
        (2.5, "bar", 20, 0, "degC", 2.260, 0.001),  # computed
        (2.9, "bar", 20, 40, "degC", 3.167, 0.001),  # computed
        (2.25, "bar", 15, 5, "degC", 2.137, 0.001),  # computed
    ],
)
def test_pressure_follows_temperature(pressure, unit, before, after, degrees, expected, within):
    found = at_temperature(pressure, unit, *(convert(at, degrees, "degC") for at in (before, after)))
    assert found == pytest.approx(expected, abs=within)


@given(st.floats(1, 4), st.floats(-20, 45), st.floats(-20, 45))
def test_there_and_back_is_where_it_was(bar, one, other):
    there = at_temperature(bar, "bar", one, other)
    assert at_temperature(there, "bar", other, one) == pytest.approx(bar)


def evidence(text: str, words: str) -> Evidence:
    at = text.index(words)
    return Evidence(text=words, char_start=at, char_end=at + len(words))


def talk(text: str, *readings: tuple[str, float, str, str]) -> Draft:
    """A draft whose readings (quantity, value, unit, words) stand in the text."""
    found = [
        Reading(
            key=f"k{number}", component="tyre", end="front", quantity=quantity, value=value, unit=unit,
            evidence=(evidence(text, words),),
        )
        for number, (quantity, value, unit, words) in enumerate(readings)
    ]  # fmt: skip
    return Draft(id="d", text=text, findings=tuple(found))


def first(draft: Draft):
    return assess(draft, rules("GB"), LARKSPUR, ON).verdicts_of("k0")[0]


def test_a_temperature_said_with_it_brings_it_to_the_label():
    """2.25 bar on the card; 2.137 bar at 5 °C is 2.25 bar at 15 °C (computed), 2.31 bar at 20 °C."""
    text = "Front tyre is 2.137 bar at 5 degrees."
    verdict = first(
        talk(text, ("pressure", 2.137, "bar", "2.137 bar"), ("temperature", 5, "degC", "5 degrees"))
    )
    assert verdict.grade is Grade.SOUND
    assert "gas law from 2.137 bar at 5 °C to 20 °C" in verdict.message
    raw = first(talk(text, ("pressure", 2.137, "bar", "2.137 bar")))
    assert raw.grade is Grade.MINOR


@pytest.mark.parametrize(
    "text",
    [
        "Front is 2.9 bar, tyre's hot.",
        "Front is 2.9 bar. It's hot, I've just ridden it.",
        "Hot, the front is 2.9 bar.",
    ],
)
def test_hot_is_refused_wherever_it_is_said_in_the_remark(text):
    verdict = first(talk(text, ("pressure", 2.9, "bar", "front is 2.9 bar" if "Hot" in text else "2.9 bar")))
    assert verdict.grade is Grade.UNGRADED
    assert "only when it is cold" in verdict.message


def test_not_hot_is_cold():
    assert (
        first(talk("Front is 2.25 bar, not hot.", ("pressure", 2.25, "bar", "2.25 bar"))).grade is Grade.SOUND
    )


def test_a_tyre_too_warm_to_be_cold_is_refused():
    """Above 45 °C: common practice, no source."""
    text = "Front is 2.9 bar at 60 degrees."
    verdict = first(
        talk(text, ("pressure", 2.9, "bar", "2.9 bar"), ("temperature", 60, "degC", "60 degrees"))
    )
    assert verdict.grade is Grade.UNGRADED
    assert "let no air out" in verdict.message


@pytest.mark.parametrize(
    ("bar", "grade"), [(2.4, Grade.UNGRADED), (1.5, Grade.ADVISORY), (3.4, Grade.ADVISORY)]
)
def test_without_a_label_a_plausible_pressure_is_not_passed(bar, grade):
    """1.8 to 3.0 bar is a plausibility window (from memory); the machine's label rules."""
    draft = talk(f"Front is {bar} bar.", ("pressure", bar, "bar", f"{bar} bar"))
    verdict = assess(draft, rules("GB"), None, ON).verdicts_of("k0")[0]
    assert verdict.grade is grade
    assert bar != 2.4 or "look it up" in verdict.message


def test_laden_figures_hold_only_when_it_was_said():
    laden = LARKSPUR.figures[0].model_copy(update={"id": "laden", "target": 2.9, "laden": True})
    card = LARKSPUR.model_copy(update={"figures": (LARKSPUR.figures[0], laden)})

    def rule(text: str) -> str | None:
        draft = talk(text, ("pressure", 2.9, "bar", "2.9 bar"))
        return assess(draft, rules("GB"), card, ON).verdicts_of("k0")[0].rule

    assert rule("Front is 2.9 bar, set up for two up.") == "laden"
    assert rule("Front is 2.9 bar.") == "larkspur-400.pressure.front"
