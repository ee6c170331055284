"""What counts as said with an item: its own words, the rest of its remark, never a neighbour's."""

from __future__ import annotations

import pytest

from witnessmark.assess.context import Context
from witnessmark.knowledge.limits import rules
from witnessmark.types import Draft, Evidence, Reading

from .making import machine


def context(text: str, *words: str, **more) -> tuple[Context, tuple[Reading, ...]]:
    """A context in which each of the words is the evidence of a battery's voltage."""
    readings = []
    for number, said in enumerate(words):
        at = text.index(said)
        evidence = (Evidence(text=said, char_start=at, char_end=at + len(said)),)
        readings.append(
            Reading(
                key=f"k{number}",
                component="battery",
                quantity="voltage",
                value=12,
                unit="V",
                evidence=evidence,
            )
        )
    draft = Draft(id="d", text=text, findings=tuple(readings))
    return Context(draft, rules("GB"), **more), tuple(readings)


@pytest.mark.parametrize(
    ("text", "own", "said", "heard"),
    [
        ("Battery 12.6, engine running.", "Battery 12.6", "engine running", True),
        ("Battery 12.6. Engine running.", "Battery 12.6", "engine running", True),
        ("With the engine running the battery is 14.2.", "battery is 14.2", "engine running", True),
        ("Horn works. Battery 12.6.", "Battery 12.6", "horn works", False),
        ("Battery 12.6, not running.", "Battery 12.6", "running", False),
    ],
)
def test_the_remark_around_an_item(text, own, said, heard):
    where, (reading,) = context(text, own)
    assert where.says(reading, [said]) == heard


def test_a_neighbour_keeps_its_own_words():
    where, (rested, running) = context("Battery 12.6 at rest and 14.2 running.", "Battery 12.6", "14.2")
    assert where.says(rested, ["at rest"])
    assert not where.says(rested, ["running"])
    assert where.says(running, ["running"])


def test_a_next_sentence_with_an_item_of_its_own_is_not_of_this_one():
    where, (first, _) = context("Battery 12.6. Running it is 14.2.", "Battery 12.6", "14.2")
    assert not where.says(first, ["running"])


def test_evidence_that_is_not_in_the_talk_is_taken_as_it_is():
    draft = Draft(id="d", text="")
    reading = Reading(
        key="k", component="battery", quantity="voltage", value=12, unit="V",
        evidence=(Evidence(text="on the starter", char_start=40, char_end=54),),
    )  # fmt: skip
    assert Context(draft, rules("GB")).says(reading, ["on the starter"])


def test_what_was_said_of_the_machine_goes_before_the_card():
    where, (reading,) = context("Lithium battery 13.2.", "battery 13.2", card=machine(chemistry="flooded"))
    assert where.facts(reading).chemistry == "lithium"
    where, (reading,) = context("Battery 13.2.", "Battery 13.2", card=machine(chemistry="agm"))
    assert where.facts(reading).chemistry == "agm"
