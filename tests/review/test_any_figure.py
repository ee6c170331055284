"""Whatever finite figure somebody types is refused with a reason, or goes through to the owner's page."""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tests.summarise.reviewed import NOON, transcript

from witnessmark import run
from witnessmark.errors import DecisionError
from witnessmark.knowledge.furthest import furthest
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.record import History
from witnessmark.review import apply
from witnessmark.summarise import render
from witnessmark.types import Decision, DecisionKind, Limit, Machine, Odometer, Reading, Walkround
from witnessmark.units import UNITS, convert

TALK = (
    "Registration Kilo X-ray two one Whiskey Papa Tango. Fourteen thousand two hundred miles on the clock. "
    "Front tyre tread is 2.5 millimetres. Chain slack is 30 millimetres."
)
FINITE = st.floats(allow_nan=False, allow_infinity=False)
HUGE = 1.7e308
NUMBERS = sorted(key for key, (unit, _) in vocabulary().quantities.items() if unit)


@cache
def walkround() -> Walkround:
    return run.walkround(transcript(TALK), date(2026, 5, 21), "GB", lambda stage, result: None)


def corrected(key: str, becomes: Reading | Machine) -> Decision:
    return Decision(
        walkround=walkround().id,
        item=key,
        kind=DecisionKind.CORRECT,
        who="A. Fenwick",
        when=NOON,
        becomes=becomes,
    )


def to_the_page(decision: Decision) -> str | None:
    """The owner's page with it; None where it was refused."""
    confirmed = [
        Decision(walkround=walkround().id, item=key, kind=DecisionKind.CONFIRM, who="A. Fenwick", when=NOON)
        for key in ("machine", *(item.key for item in walkround().draft.items))
        if key != decision.item
    ]
    try:
        outcome = apply(walkround(), [*confirmed, decision])
    except DecisionError as error:
        refused = error
    else:
        return render(run.summary(outcome, History(""), date(2026, 5, 22)))
    assert "cannot be" in refused.what or "no distance" in refused.what
    assert refused.remedy
    return None


def reading_of(quantity: str) -> Reading:
    return next(
        one for one in walkround().draft.items if isinstance(one, Reading) and quantity in one.quantity
    )


@settings(max_examples=60, deadline=None)
@given(FINITE, st.sampled_from(["mm", "in", "thou"]), st.sampled_from(["tread", "slack"]))
@example(HUGE, "mm", "tread")
@example(-HUGE, "thou", "slack")
@example(5e-324, "in", "tread")
@example(320.0, "mm", "tread")
@example(-0.0, "mm", "slack")
def test_of_a_reading(value: float, unit: str, which: str) -> None:
    reading = reading_of(which)
    page = to_the_page(corrected(reading.key, reading.model_copy(update={"value": value, "unit": unit})))
    within = abs(convert(value, unit, "mm")) <= furthest()[reading.quantity]
    assert (page is not None) == within
    assert page is None or ("nan" not in page and ">inf" not in page)


@settings(max_examples=30, deadline=None)
@given(FINITE, st.sampled_from(["low", "high", "target"]))
@example(HUGE, "low")
def test_of_a_limit(value: float, bound: str) -> None:
    reading = reading_of("slack")
    becomes = reading.model_copy(update={"limit": Limit(**{bound: value})})
    page = to_the_page(corrected(reading.key, becomes))
    assert (page is not None) == (abs(value) <= furthest()["slack"])


@settings(max_examples=30, deadline=None)
@given(FINITE, st.sampled_from(["km", "mi"]))
@example(HUGE, "mi")
@example(5e-324, "km")
def test_of_an_odometer(value: float, unit: str) -> None:
    machine = walkround().draft.machine.model_copy(update={"odometer": Odometer(value=value, unit=unit)})
    page = to_the_page(corrected("machine", machine))
    assert (page is not None) == (0 <= convert(value, unit, "km") <= furthest()["odometer"])


@pytest.mark.parametrize("quantity", NUMBERS)
def test_every_quantity_has_a_bound_and_it_holds_in_every_unit(quantity: str) -> None:
    canonical, _ = vocabulary().quantities[quantity]
    assert canonical
    part = vocabulary().home.get(quantity, "tyre")
    fitting = [unit for unit in UNITS if _measures(unit, canonical)]
    assert canonical in fitting
    for unit in fitting:
        becomes = Reading(key="tread", component=part, quantity=quantity, value=HUGE, unit=unit)
        added = Decision(
            walkround=walkround().id,
            item="tread",
            kind=DecisionKind.ADD,
            who="A. Fenwick",
            when=NOON,
            becomes=becomes,
        )
        with pytest.raises(DecisionError, match="cannot be"):
            apply(walkround(), [added])


def _measures(unit: str, canonical: str) -> bool:
    try:
        convert(1.0, unit, canonical)
    except ValueError:
        return False
    return True
