"""Decisions that do not fit are refused with a reason and a way out."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from helpers_walkround import (
    ADJUSTED,
    FILTER,
    HORN,
    NOON,
    PADS,
    SEAL,
    SLACK,
    TREAD,
    corrected,
    decision,
    machine,
    walkround,
)
from witnessmark.errors import DecisionError
from witnessmark.review import MACHINE, apply, check
from witnessmark.types import Decision, DecisionKind, Limit, Machine, Odometer, Reading

SAMPLE = walkround()
MARKING = Reading(key="r-tread", component="tyre", end="front", quantity="manufactured", value="2217")


@pytest.mark.parametrize(
    ("item", "kind", "more", "complaint"),
    [
        ("f-hron", "confirm", {}, "no such item.*Nearest: f-horn"),
        ("f-pads", "reject", {"why": "  "}, "needs a reason"),
        ("f-pads", "confirm", {"who": " "}, "names nobody"),
        ("f-pads", "correct", {}, "nothing says what to correct"),
        ("new", "add", {}, "nothing says what to add"),
        ("", "add", {"becomes": corrected(PADS, key="")}, "needs a key"),
        ("f-pads", "confirm", {"becomes": PADS}, "changes nothing"),
        ("f-pads", "reject", {"becomes": PADS}, "changes nothing"),
        ("f-pads", "add", {"becomes": PADS}, "already"),
        (MACHINE, "add", {"becomes": machine()}, "already"),
        ("f-pads", "correct", {"becomes": HORN}, "another key"),
        ("f-pads", "correct", {"becomes": machine()}, "take each other's place"),
        (MACHINE, "correct", {"becomes": corrected(PADS, key=MACHINE)}, "take each other's place"),
        (MACHINE, "correct", {"becomes": Machine(registration=" ")}, "registration or a VIN"),
        (MACHINE, "correct", {"becomes": Machine(registration="?", vin="-")}, "registration or a VIN"),
        (
            MACHINE,
            "correct",
            {"becomes": Machine(registration="Q1", odometer=Odometer(value=-1, unit="km"))},
            "no distance",
        ),
        ("f-pads", "correct", {"becomes": corrected(PADS, component="brake_pad")}, "Nearest: brake pads"),
        ("f-seal", "correct", {"becomes": corrected(SEAL, end="front")}, "neither front nor rear"),
        ("f-horn", "correct", {"becomes": corrected(HORN, end="rear")}, "neither front nor rear"),
        ("f-horn", "correct", {"becomes": corrected(HORN, condition="craked")}, "Nearest: cracked"),
        ("f-filter", "correct", {"becomes": corrected(FILTER, state="present")}, "needs a condition"),
        ("a-chain", "correct", {"becomes": corrected(ADJUSTED, kind="adjst")}, "Nearest: adjust"),
        ("r-slack", "correct", {"becomes": corrected(SLACK, quantity="slck")}, "Nearest: slack"),
        ("r-slack", "correct", {"becomes": corrected(SLACK, unit="mn")}, "no unit"),
        ("r-slack", "correct", {"becomes": corrected(SLACK, unit="psi")}, "cannot be measured in psi"),
        ("r-slack", "correct", {"becomes": corrected(SLACK, unit=None)}, "needs a unit"),
        ("r-slack", "correct", {"becomes": corrected(SLACK, value="thirty")}, "is a number"),
        ("r-slack", "correct", {"becomes": corrected(SLACK, value=float("nan"))}, "is a number"),
        ("r-slack", "correct", {"becomes": corrected(SLACK, value=1.7e308)}, r"slack cannot be 1.7e\+308 mm"),
        ("r-slack", "correct", {"becomes": corrected(SLACK, value=1.7e308, unit="in")}, "slack cannot be"),
        (
            "r-slack",
            "correct",
            {"becomes": corrected(SLACK, value=-2001)},
            r"be -2,001 mm.*2,000 mm is the most",
        ),
        ("r-slack", "correct", {"becomes": corrected(SLACK, limit=Limit(high=1e9))}, "slack cannot be"),
        (
            MACHINE,
            "correct",
            {"becomes": Machine(registration="Q1", odometer=Odometer(value=6.3e6, unit="mi"))},
            "odometer cannot be 6,300,000 mi",
        ),
        ("r-slack", "correct", {"becomes": corrected(SLACK, limit=Limit(low=float("inf")))}, "is a number"),
        ("r-tread", "correct", {"becomes": corrected(MARKING, unit="mm")}, "text without a unit"),
        ("r-tread", "correct", {"becomes": corrected(MARKING, value=2217.0)}, "text without a unit"),
    ],
)
def test_refused(item: str, kind: str, more: dict[str, Any], complaint: str) -> None:
    with pytest.raises(DecisionError, match=complaint) as caught:
        check(SAMPLE, decision(SAMPLE, item, kind, **more))
    assert caught.value.where == item


@pytest.mark.parametrize(
    ("item", "kind", "becomes"),
    [
        ("f-pads", "confirm", None),
        ("f-pads", "reject", None),
        ("f-pads", "postpone", None),
        ("f-pads", "correct", corrected(PADS, end="front", side="left")),
        ("f-pads", "correct", corrected(PADS, key="")),
        ("f-pads", "correct", corrected(TREAD, key="f-pads")),  # misheard altogether
        ("r-tread", "correct", MARKING),
        ("r-tread", "correct", corrected(TREAD, value=0.05, unit="in")),
        ("r-slack", "correct", corrected(SLACK, value=2000)),  # doubtful, and somebody's word
        (MACHINE, "correct", Machine(registration="Q1", odometer=Odometer(value=6.2e6, unit="mi"))),
        ("f-filter", "correct", corrected(FILTER, component="oil_filter")),
        (MACHINE, "correct", Machine(vin="OWNV1N00000000001")),
        (MACHINE, "confirm", None),
        ("added-1", "add", corrected(ADJUSTED, key="added-1")),
    ],
)
def test_accepted(item: str, kind: str, becomes: Any) -> None:
    check(SAMPLE, decision(SAMPLE, item, kind, becomes=becomes))


def test_another_walkrounds_decision_is_refused() -> None:
    other = walkround("other.wav", on=date(2026, 4, 1))
    with pytest.raises(DecisionError, match=f"Review {SAMPLE.id} instead"):
        check(SAMPLE, decision(other, "f-pads"))


def test_what_was_not_said_of_the_machine_cannot_be_confirmed_but_added() -> None:
    silent = walkround(identity=Machine())
    with pytest.raises(DecisionError, match="neither registration nor VIN"):
        check(silent, decision(silent, MACHINE))
    outcome = apply(silent, [decision(silent, MACHINE, "add", becomes=machine())])
    assert outcome.machine == machine()
    again = outcome.walkround
    with pytest.raises(DecisionError, match="already"):
        check(again, decision(again, MACHINE, "add", becomes=machine("Q25 LOT")))


def test_an_added_key_cannot_be_added_again() -> None:
    extra = corrected(ADJUSTED, key="added-1")
    later = apply(SAMPLE, [decision(SAMPLE, "added-1", "add", becomes=extra)]).walkround
    with pytest.raises(DecisionError, match="already"):
        check(later, decision(later, "added-1", "add", becomes=extra))


def test_the_error_has_its_exit_status() -> None:
    wrong = Decision(
        walkround=SAMPLE.id, item="f-pads", kind=DecisionKind.REJECT, who="Ada Foreman", when=NOON
    )
    with pytest.raises(DecisionError) as caught:
        check(SAMPLE, wrong)
    assert caught.value.exit_code == 6
    assert caught.value.remedy
