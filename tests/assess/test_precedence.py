"""Which limit decides: said with the reading, machine card, law, common practice."""

from __future__ import annotations

import pytest

from witnessmark.types import Basis, Grade, Reading

from .making import LARKSPUR, judged, of_reading


def pads(value: float, **limit: float) -> Reading:
    return Reading(key="k", component="brake_pads", end="front", quantity="thickness", value=value, unit="mm",
                   limit=limit or None)  # fmt: skip


def test_what_the_technician_said_comes_first():
    first = judged(pads(2.1, low=2.0), "GB", LARKSPUR)[0]
    assert first.limit.low == 2.0
    assert "given with the reading" in first.message


def test_then_the_machine_card():
    first, *rest = judged(pads(1.4), "GB", LARKSPUR)
    assert (first.basis, first.grade, first.rule) == (Basis.MACHINE_CARD, Grade.MAJOR, "larkspur-400.pads")
    assert "0.1 mm below the maker's minimum of 1.5 mm (machine card)" in first.message
    assert [verdict.limit.low for verdict in rest] == [1.0]


def test_then_the_law_and_last_common_practice():
    assert judged(pads(0.9), "GB")[0].basis is Basis.LAW
    assert judged(pads(0.9), "DE")[0].basis is Basis.COMMON_PRACTICE


@pytest.mark.parametrize("said", [0.5, 0.8])
def test_a_lax_limit_never_hides_the_law(said):
    first, *rest = judged(pads(0.9, low=said), "GB")
    assert (first.basis, first.grade) == (Basis.LAW, Grade.MAJOR)
    assert any("given with the reading" in verdict.message for verdict in rest)


def test_a_strict_limit_decides_and_the_law_is_still_told():
    first, *rest = judged(pads(2.6, low=3.0), "GB")
    assert (first.basis, first.grade) == (Basis.SAID, Grade.MAJOR)
    assert [(verdict.basis, verdict.grade) for verdict in rest] == [(Basis.LAW, Grade.SOUND)]


def test_a_card_and_a_said_limit_that_disagree_are_both_told():
    first, second, *_ = judged(pads(1.8, low=2.0), "GB", LARKSPUR)
    assert (first.basis, first.grade) == (Basis.SAID, Grade.MAJOR)
    assert second.limit.low == 1.5
    assert second.grade is Grade.ADVISORY


def test_common_practice_that_fails_what_the_maker_allows_is_told_second():
    reading = Reading(
        key="k", component="chain", quantity="elongation", value=2.2, unit="%", limit={"high": 3}
    )
    first, second = judged(reading, "GB")
    assert (first.basis, first.grade) == (Basis.SAID, Grade.SOUND)
    assert (second.basis, second.grade) == (Basis.COMMON_PRACTICE, Grade.MINOR)


@pytest.mark.parametrize(("component", "grade"), [("axle", Grade.MAJOR), ("engine", Grade.MINOR)])
def test_a_said_limit_is_graver_on_a_safety_part(component, grade):
    verdict = of_reading("GB", component, "torque", 60, "Nm", limit={"low": 70, "high": 80})
    assert verdict.grade is grade


def test_the_card_tells_the_ends_apart():
    front = of_reading("GB", "tyre", "pressure", 2.25, "bar", card=LARKSPUR, end="front")
    rear = of_reading("GB", "tyre", "pressure", 2.25, "bar", card=LARKSPUR, end="rear")
    unsaid = of_reading("GB", "tyre", "pressure", 2.25, "bar", card=LARKSPUR)
    assert (front.grade, rear.grade) == (Grade.SOUND, Grade.MINOR)
    assert unsaid.grade is Grade.UNGRADED
    assert "which end" in unsaid.message


@pytest.mark.parametrize(
    ("psi", "grade"),  # common practice, no source: 10 kPa either way; 60 under is major
    [(33, Grade.SOUND), (30, Grade.MINOR), (20, Grade.MAJOR), (36, Grade.MINOR)],
)
def test_a_target_has_a_tolerance(psi, grade):
    assert of_reading("GB", "tyre", "pressure", psi, "psi", card=LARKSPUR, end="front").grade is grade


def test_without_a_country_a_broken_card_limit_is_still_told_and_a_met_one_does_not_pass():
    broken, *others = judged(pads(1.2), None, LARKSPUR)
    assert (broken.grade, broken.basis, others) == (Grade.MAJOR, Basis.MACHINE_CARD, [])
    met = judged(pads(4.0), None, LARKSPUR)
    assert [(verdict.grade, verdict.basis) for verdict in met] == [(Grade.UNGRADED, Basis.NONE)]


def test_limits_said_the_wrong_way_round_are_a_range():
    verdict = of_reading("GB", "chain", "slack", 30, "mm", limit={"low": 35, "high": 25})
    assert "within the range of 25 to 35 mm given with the reading" in verdict.message


def test_common_practice_excuses_nothing_that_the_law_fails():
    """0.9 mm is over the wear bars' 0.8 mm (FMVSS 119 S6.4) and under the legal 1 mm (C&U 1986 reg. 27)."""
    reading = Reading(
        key="k", component="tyre", quantity="tread_depth", value=0.9, unit="mm", limit={"low": 1}
    )
    assert [verdict.basis for verdict in judged(reading, "GB")] == [Basis.LAW]
