"""Sample walkrounds and decisions for the tests of review and record. Own scenario."""

from __future__ import annotations

from datetime import UTC, date, datetime
from hashlib import sha256
from typing import Any

from witnessmark.types import (
    Action,
    Assessment,
    Basis,
    Decision,
    DecisionKind,
    Doubt,
    Draft,
    Evidence,
    Finding,
    Grade,
    Limit,
    Machine,
    Odometer,
    Reading,
    Recording,
    Transcript,
    Verdict,
    Walkround,
)

TALK = (
    "Right, this is Quebec two four Lima Oscar Tango, fourteen thousand two hundred miles. Front tyre, tread "
    "depth one point two millimetres. Rear brake pads worn right down. Fork seal on the left is weeping. "
    "Chain slack thirty millimetres, adjusted it. Horn works. Could not see the air filter. Battery twelve "
    "point six volts. Wants new rear pads."
)
NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def heard(phrase: str) -> tuple[Evidence, ...]:
    """The phrase where it stands in the talk, a tenth of a second a letter."""
    at = TALK.index(phrase)
    until = at + len(phrase)
    return (Evidence(text=phrase, char_start=at, char_end=until, start=at / 10, end=until / 10),)


def machine(registration: str | None = "Q24 LOT", vin: str | None = None, miles: float = 14200) -> Machine:
    return Machine(
        registration=registration,
        vin=vin,
        odometer=Odometer(value=miles, unit="mi"),
        evidence=heard("Quebec two four Lima Oscar Tango"),
    )


TREAD = Reading(
    key="r-tread", component="tyre", end="front", quantity="tread_depth", value=1.2, unit="mm",
    evidence=heard("tread depth one point two millimetres"), limit=Limit(low=1.5),
)  # fmt: skip
PADS = Finding(
    key="f-pads", component="brake_pads", end="rear", condition="worn", state="present", confidence=0.5,
    evidence=heard("Rear brake pads worn right down"),
    doubts=(Doubt(kind="low_probability", message="The recogniser was unsure of 'pads'."),),
)  # fmt: skip
SEAL = Finding(
    key="f-seal", component="fork_seal", side="left", condition="leak", state="present",
    evidence=heard("Fork seal on the left is weeping"),
)  # fmt: skip
SLACK = Reading(
    key="r-slack", component="chain", quantity="slack", value=30.0, unit="mm",
    evidence=heard("Chain slack thirty millimetres"),
)  # fmt: skip
HORN = Finding(
    key="f-horn", component="horn", condition="sound", state="present", evidence=heard("Horn works")
)
FILTER = Finding(
    key="f-filter", component="air_filter", condition=None, state="unseen",
    evidence=heard("Could not see the air filter"),
)  # fmt: skip
VOLTS = Reading(
    key="r-volts", component="battery", quantity="voltage", value=12.6, unit="V",
    evidence=heard("Battery twelve point six volts"),
    doubts=(Doubt(kind="unit_assumed", message="Volts were assumed."),),
)  # fmt: skip
ADJUSTED = Action(
    key="a-chain", component="chain", kind="adjust", status="done", evidence=heard("adjusted it")
)
NEW_PADS = Action(
    key="a-pads", component="brake_pads", end="rear", kind="replace", status="wanted",
    evidence=heard("Wants new rear pads"),
)  # fmt: skip

VERDICTS = (
    Verdict(
        item="r-tread", grade=Grade.DANGEROUS, basis=Basis.LAW, rule="tread.own", source="Own Act 12",
        sureness="read", limit=Limit(low=1.6), unit="mm", message="0.4 mm below the least depth.",
    ),
    Verdict(item="f-pads", grade=Grade.DANGEROUS, basis=Basis.COMMON_PRACTICE),
    Verdict(item="f-seal", grade=Grade.MAJOR, basis=Basis.COMMON_PRACTICE),
    Verdict(
        item="r-slack", grade=Grade.SOUND, basis=Basis.MACHINE_CARD, limit=Limit(low=25, high=35), unit="mm",
    ),
    Verdict(item="f-horn", grade=Grade.SOUND, basis=Basis.NONE),
    Verdict(item="f-filter", grade=Grade.NOT_SEEN, basis=Basis.NONE),
    Verdict(item="r-volts", grade=Grade.ADVISORY, basis=Basis.COMMON_PRACTICE),
)  # fmt: skip

KEYS = ("r-tread", "f-pads", "f-seal", "r-slack", "f-horn", "f-filter", "r-volts", "a-chain", "a-pads")


def walkround(
    name: str = "talk.wav",
    identity: Machine | None = None,
    on: date = date(2026, 3, 2),
    decisions: tuple[Decision, ...] = (),
    findings: tuple[Finding | Reading, ...] = (HORN, TREAD, PADS, SEAL, SLACK, FILTER, VOLTS),
    actions: tuple[Action, ...] = (ADJUSTED, NEW_PADS),
) -> Walkround:
    """A walkround whose recording's hash is that of ``name``."""
    digest = sha256(name.encode()).hexdigest()
    draft = Draft(
        id=digest[:12],
        jurisdiction="GB",
        text=TALK,
        machine=machine() if identity is None else identity,
        findings=findings,
        actions=actions,
    )
    keys = {item.key for item in draft.items}
    return Walkround(
        id=f"w-{digest[:12]}",
        on=on,
        transcript=Transcript(
            recording=Recording(sha256=digest, name=name, duration=45.0), text=TALK, model="none"
        ),
        assessment=Assessment(draft=draft, verdicts=tuple(v for v in VERDICTS if v.item in keys)),
        decisions=decisions,
    )


def decision(about: Walkround, item: str, kind: str | DecisionKind = "confirm", **more: Any) -> Decision:
    """A decision by the foreman at noon; a rejection has a reason."""
    kind = DecisionKind(kind)
    fields = {"who": "Ada Foreman", "when": NOON, **more}
    if kind is DecisionKind.REJECT:
        fields.setdefault("why", "misheard")
    return Decision(walkround=about.id, item=item, kind=kind, **fields)


def corrected(item: Any, **change: Any) -> Any:
    """The item with other fields, its doubts settled."""
    return item.model_copy(update={"doubts": (), **change})
