"""What an owner who knows nothing of motorcycles does after reading each page, and when.

Somebody played that owner: read each page of ``golden_pages`` and nothing else, and wrote down what he would
do, and when. That reading is ``READINGS``. The tests hold two things against it: what the page says in its
headings, as a browser shows it, and what the findings call for by their grades, counted without the page.

Remarks of that reading, and what came of them:

- a fault of an earlier visit did not say what the part is for, nor what it can lead to: it does now;
- a chain that "can lock the rear wheel" and is only to be watched surprises. The grade is that of the rule;
  no law has a figure for it, and the section says to ask at the next visit;
- "everything was in order" beside parts that nobody looked at is read rightly only because the sentence in
  front of it says that most was not looked at.
"""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

import pytest
from tests.summarise.golden_pages import VISITS, made
from tests.summarise.reading import by_id, entries, parsed, text_of

from witnessmark.summarise import Summary, render
from witnessmark.summarise.entries import SECTION_OF
from witnessmark.summarise.judged import FAULTY, facts_of
from witnessmark.types import Finding, Grade, Outcome

Rides = Literal["no, has it fetched", "no", "after work", "yes", "yes, but first has the rest looked at"]


class Reading(NamedTuple):
    """What the owner does."""

    rides: Rides
    before: tuple[str, ...] = ()
    """Parts that he has put right or looked at before he rides."""
    soon: tuple[str, ...] = ()
    """Parts for which he books a visit."""
    watch: tuple[str, ...] = ()
    """Parts that he looks at himself from time to time."""
    asks: str = ""
    """The first part that he asks the workshop about, since nobody spoke of it."""


READINGS = {
    "calm": Reading("yes", soon=("Seat",), asks="front brake hose"),
    "dangerous": Reading(
        "no, has it fetched",
        before=(
            "Rear tyre",
            "Front brake hose",
            "Front brake pads",
            "Front wheel bearing",
            "Left fork oil seal",
            "Brake light",
        ),
        watch=("Drive chain", "Battery"),
        asks="rear brake pads",
    ),
    "mostly-unseen": Reading("yes, but first has the rest looked at", asks="rear tyre"),
    "electric": Reading(
        "after work",
        before=("Front tyre", "Drive belt", "Horn"),
        soon=("Rear tyre",),
        asks="front brake pads",
    ),
    "long-history": Reading("yes, but first has the rest looked at", asks="rear brake pads"),
    "still-open": Reading("no", before=("Front brake hose", "Left fork oil seal"), asks="brake pads"),
}

PLACES = {
    ("seat", None, None): "Seat",
    ("tyre", "rear", None): "Rear tyre",
    ("tyre", "front", None): "Front tyre",
    ("brake_hose", "front", None): "Front brake hose",
    ("brake_pads", "front", None): "Front brake pads",
    ("wheel_bearing", "front", None): "Front wheel bearing",
    ("fork_seal", None, "left"): "Left fork oil seal",
    ("brake_light", None, None): "Brake light",
    ("chain", None, None): "Drive chain",
    ("battery", None, None): "Battery",
    ("drive_belt", None, None): "Drive belt",
    ("horn", None, None): "Horn",
}
"""Places of the findings by what an owner calls them."""
PUT_RIGHT = {("mirror", None, "left")}
"""Tightened during the calm walkround."""


def page(name: str) -> str:
    summary = made().papers[name]
    assert isinstance(summary, Summary)
    return render(summary)


def rides(verdict: str, cautions: str) -> Rides:
    """What the sentence at the top has an owner do."""
    if verdict.startswith("Do not ride"):
        return "no, has it fetched" if "Have the machine fetched." in cautions else "no"
    if "needs work before its next ride" in verdict:
        return "after work"
    return "yes, but first has the rest looked at" if "before you rely on it" in verdict else "yes"


def read(html: str) -> Reading:
    """The page as its headings tell it."""
    root = parsed(html)
    parts = {
        key: tuple(_name(head) for head in entries(root, key))
        for key in ("before", "soon", "watch", "earlier")
    }
    verdict, cautions = by_id(root, "verdict"), by_id(root, "cautions")
    assert verdict is not None
    assert cautions is not None
    asks = re.search("Ask about these first, for nobody spoke of them: ([^,.]+?)(,| and|[.])", text_of(root))
    return Reading(
        rides(text_of(verdict), text_of(cautions)),
        parts["before"] + parts["earlier"],
        parts["soon"],
        parts["watch"],
        asks[1] if asks else "",
    )


def _name(heading: str) -> str:
    return re.sub(" (Dangerous|Major|Minor|Advisory)$", "", heading)


@pytest.mark.parametrize("name", READINGS)
def test_the_page_has_the_owner_do_what_he_wrote_down(name: str) -> None:
    assert read(page(name)) == READINGS[name]


def called_for(outcome: Outcome) -> dict[str, set[str]]:
    """Section → parts, by the grades of the confirmed findings alone."""
    gravest: dict[str, Grade] = {}
    for one in facts_of(outcome).judged:
        if one.grade in FAULTY and one.item.place not in PUT_RIGHT and not one.favourable:
            name = PLACES[one.item.place]
            known = gravest.get(name, one.grade)
            gravest[name] = min(known, one.grade, key=FAULTY.index)
    found: dict[str, set[str]] = {"before": set(), "soon": set(), "watch": set()}
    for name, grade in gravest.items():
        found[SECTION_OF[grade]].add(name)
    return found


@pytest.mark.parametrize("name", [name for name in READINGS if name != "still-open"])
def test_what_he_does_is_what_the_findings_call_for(name: str) -> None:
    reading, wanted = READINGS[name], called_for(made().outcomes[name])
    assert {"before": set(reading.before), "soon": set(reading.soon), "watch": set(reading.watch)} == wanted


def test_what_he_does_about_earlier_faults_is_what_was_found_then() -> None:
    """By hand from the first of the two talks: hose, fork seal and horn; the horn was heard to work since."""
    assert called_for(made().outcomes["still-open"])["before"] == set()
    first, _ = VISITS["still-open"]
    assert [
        part in first.talk for part in ("brake hose is leaking", "fork seal is leaking", "horn does not")
    ] == [
        True,
        True,
        True,
    ]
    assert set(READINGS["still-open"].before) == {"Front brake hose", "Left fork oil seal"}


@pytest.mark.parametrize("name", READINGS)
def test_every_part_to_be_put_right_says_what_it_is_what_may_come_and_what_to_do(name: str) -> None:
    root = parsed(page(name))
    for section in ("before", "soon", "watch", "earlier"):
        for head, facts in entries(root, section).items():
            assert facts.get("Found"), head
            assert facts.get("Can lead to"), head
            assert facts.get("Advised"), head
    assert text_of(root).count("Advised") >= len(READINGS[name].before)


@pytest.mark.parametrize("name", READINGS)
def test_nothing_rejected_or_unseen_is_taken_for_good(name: str) -> None:
    outcome, root = made().outcomes[name], parsed(page(name))
    good = by_id(root, "in_order")
    unseen = [
        one.item.component for one in facts_of(outcome).judged if isinstance(one.item, Finding) and one.unseen
    ]
    told = text_of(good).lower() if good is not None else ""
    assert [component for component in unseen if component.replace("_", " ") in told] == []
