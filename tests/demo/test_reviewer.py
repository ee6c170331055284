"""The demo's reviewer lets nothing in that was not said, and nothing that it was not asked about."""

from __future__ import annotations

from collections import Counter
from datetime import date
from hashlib import sha256
from typing import Any

from witnessmark import run
from witnessmark.cli.demo import scenes
from witnessmark.cli.demo_reviewer import WHO, Opinion, decisions
from witnessmark.review import apply
from witnessmark.types import DecisionKind, Outcome, Recording, Transcript, Walkround

TALK = (
    "Registration Kilo X-ray two one Whiskey Papa Tango. 14200 miles. "
    "Rear pads are 4 millimetres. The horn works. The chain is dry. The battery is low, so I'd change it."
)
MACHINE = {"registration": "KX21WPT", "vin": None, "odometer": {"value": 14200, "unit": "mi"}}


def place(component: str, end: str | None = None) -> dict[str, Any]:
    return {"component": component, "end": end, "side": None}


def pads(value: float) -> dict[str, Any]:
    measured = {"quantity": "thickness", "value": value, "unit": "mm", "limit": None, "phase": "found"}
    return place("brake_pads", "rear") | measured


def seen(component: str, condition: str, state: str = "present") -> dict[str, Any]:
    return place(component) | {"condition": condition, "state": state}


NEW_BATTERY = place("battery") | {"kind": "replace", "status": "wanted"}
SAID = {
    "machine": MACHINE,
    "findings": [pads(4), seen("horn", "sound"), seen("chain", "dry"), seen("battery", "low")],
    "actions": [NEW_BATTERY],
}


def drafted() -> Walkround:
    recording = Recording(sha256=sha256(TALK.encode()).hexdigest(), name="t.wav", duration=20)
    transcript = Transcript(recording=recording, text=TALK, model="by hand")
    return run.walkround(transcript, date(2026, 5, 21), "GB", lambda stage, result: None)


def decided(gold: dict[str, Any], *opinions: dict[str, Any]) -> Outcome:
    walkround = drafted()
    return apply(walkround, decisions(walkround, gold, [Opinion.model_validate(o) for o in opinions]))


def kinds(outcome: Outcome) -> Counter[str]:
    return Counter(d.kind.value for d in outcome.walkround.decisions)


def test_what_was_said_is_confirmed() -> None:
    outcome = decided(SAID)
    assert kinds(outcome) == {"confirm": 6}
    assert outcome.complete
    assert {d.who for d in outcome.walkround.decisions} == {WHO}


def test_another_value_is_corrected_to_the_one_that_was_said() -> None:
    outcome = decided(SAID | {"findings": [pads(3.4), *SAID["findings"][1:]]})
    assert kinds(outcome) == {"confirm": 5, "correct": 1}
    (entry,) = (c for c in outcome.confirmed if c.decision.kind is DecisionKind.CORRECT)
    assert (entry.drafted.value, entry.item.value) == (4, 3.4)
    assert entry.item.evidence == entry.drafted.evidence


def test_what_was_not_said_is_rejected() -> None:
    outcome = decided(SAID | {"findings": SAID["findings"][:2] + SAID["findings"][3:]})
    (refused,) = outcome.rejected
    assert refused.drafted.component == "chain"
    assert refused.decision.why == "Not said in the recording."
    assert not any(c.item.component == "chain" for c in outcome.confirmed)


def test_what_is_missing_is_added() -> None:
    outcome = decided(SAID | {"findings": [*SAID["findings"], seen("mirror", "loose")]})
    (entry,) = (c for c in outcome.confirmed if c.drafted is None)
    assert (entry.item.component, entry.item.condition) == ("mirror", "loose")


def test_a_machine_that_was_misheard_is_corrected() -> None:
    outcome = decided(SAID | {"machine": MACHINE | {"registration": "KX21WPB"}})
    assert outcome.machine.registration == "KX21WPB"
    assert kinds(outcome) == {"confirm": 5, "correct": 1}


def test_an_opinion_outranks_what_was_said() -> None:
    about = {"component": "battery", "kind": "replace"}
    outcome = decided(SAID, {"of": about, "reject": True, "why": "Charge it first."})
    (refused,) = outcome.rejected
    assert refused.decision.why == "Charge it first."
    outcome = decided(SAID, {"of": about, "becomes": {"kind": "investigate"}, "why": "Test it first."})
    (entry,) = (c for c in outcome.confirmed if c.decision.kind is DecisionKind.CORRECT)
    assert (entry.item.kind, entry.decision.why) == ("investigate", "Test it first.")


def test_what_is_decided_is_not_decided_again() -> None:
    first = decided(SAID | {"findings": [*SAID["findings"], seen("mirror", "loose")]})
    gold = SAID | {"findings": [*SAID["findings"], seen("mirror", "loose")]}
    assert decisions(first.walkround, gold, []) == []


def test_every_opinion_is_about_one_thing_that_was_said() -> None:
    for scene in scenes():
        rows = [*scene.gold["findings"], *scene.gold["actions"]]
        for opinion in map(Opinion.model_validate, scene.opinions):
            assert len([row for row in rows if opinion.of.items() <= row.items()]) == 1


def test_the_script_corrects_and_rejects() -> None:
    opinions = [Opinion.model_validate(row) for scene in scenes() for row in scene.opinions]
    assert any(opinion.reject for opinion in opinions)
    assert any(opinion.becomes for opinion in opinions)
