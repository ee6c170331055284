"""Invented walkrounds of the Larkspur 400, confirmed, for the tests and the pictures of the summary."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime

from witnessmark.summarise import Before
from witnessmark.summarise.bill import Earlier
from witnessmark.summarise.judged import Facts, Judged
from witnessmark.summarise.later import Day
from witnessmark.types import (
    Action,
    Answer,
    Assessment,
    Basis,
    Confirmed,
    Decision,
    DecisionKind,
    Draft,
    Finding,
    Grade,
    Item,
    Limit,
    Machine,
    Odometer,
    Outcome,
    PastReading,
    Reading,
    Recording,
    Rejected,
    Transcript,
    Verdict,
    Walkround,
)

NOON = datetime(2026, 5, 21, 12, 0, tzinfo=UTC)
ON = date(2026, 5, 21)
MACHINE = Machine(registration="KX21 WPT", odometer=Odometer(value=17930, unit="mi"))
TREAD_LAW = "Construction and Use Regulations 1986, reg. 27, as restated by the police"


def find(component: str, condition: str | None, end=None, side=None, state="present") -> Finding:
    return Finding(component=component, condition=condition, end=end, side=side, state=state)


def fine(component: str, end=None, side=None) -> Finding:
    return find(component, "sound", end, side)


def absent(component: str, condition: str, end=None, side=None) -> Finding:
    return find(component, condition, end, side, "absent")


def unseen(component: str, end=None, side=None) -> Finding:
    return find(component, None, end, side, "unseen")


def read(component: str, quantity: str, value, unit=None, end=None, phase="found", limit=None) -> Reading:
    return Reading(
        component=component, quantity=quantity, value=value, unit=unit, end=end, phase=phase, limit=limit
    )


def done(kind: str, component: str, end=None, side=None) -> Action:
    return Action(kind=kind, component=component, end=end, side=side, status="done")


def wanted(kind: str, component: str, end=None, side=None) -> Action:
    return Action(kind=kind, component=component, end=end, side=side, status="wanted")


def graded(grade: Grade, source: str = "", basis: Basis = Basis.LAW, sureness="read", **bounds) -> Verdict:
    """A verdict without its item's key; ``low``, ``high``, ``target`` and ``unit`` give the limit."""
    unit = bounds.pop("unit", None)
    limit = Limit(**bounds) if bounds else None
    given = {"source": source or None, "sureness": sureness, "limit": limit, "unit": unit}
    return Verdict(item="", grade=grade, basis=basis, **given)


def usual(grade: Grade, **bounds) -> Verdict:
    return graded(grade, "common practice, no source", Basis.COMMON_PRACTICE, "none", **bounds)


def annex(grade: Grade, item: str) -> Verdict:
    return graded(grade, f"Directive 2014/45/EU Annex I item {item}", sureness="memory")


SOUND = Verdict(item="", grade=Grade.SOUND, basis=Basis.NONE)
PLAIN = Verdict(item="", grade=Grade.UNGRADED, basis=Basis.NONE)
UNSEEN = Verdict(item="", grade=Grade.NOT_SEEN, basis=Basis.NONE)
Row = Item | tuple[Item, Verdict] | tuple[Item, tuple[Verdict, ...]]


def decided(key: str, kind: DecisionKind = DecisionKind.CONFIRM, who: str = "A. Fenwick") -> Decision:
    return Decision(walkround="w-0123456789ab", item=key, kind=kind, who=who, when=NOON)


def outcome(
    rows: Iterable[Row],
    *,
    waiting: Iterable[Row] = (),
    rejected: Iterable[Row] = (),
    added: Iterable[Item] = (),
    never: tuple[str, ...] = (),
    machine: Machine | None = MACHINE,
    jurisdiction: str | None = "GB",
    who: str = "A. Fenwick",
) -> Outcome:
    """What a review of these rows comes to; keys are given in order."""
    pools = [[_keyed(row, f"{name}-{n}") for n, row in enumerate(pool)] for name, pool in
             (("c", rows), ("w", waiting), ("r", rejected))]  # fmt: skip
    confirmed, held, refused = pools
    items = [item for pool in pools for item, _ in pool]
    draft = Draft(
        id="d",
        jurisdiction=jurisdiction,
        text="",
        machine=machine or Machine(),
        findings=tuple(item for item in items if not isinstance(item, Action)),
        actions=tuple(item for item in items if isinstance(item, Action)),
    )
    verdicts = tuple(verdict for pool in pools for _, given in pool for verdict in given)
    talk = Transcript(
        recording=Recording(sha256="0" * 64, name="talk.opus", duration=1), text="", model="none"
    )
    trail = (decided("machine", who=who),) if machine else ()
    walkround = Walkround(
        id="w-0123456789ab", on=ON, transcript=talk, decisions=trail,
        assessment=Assessment(draft=draft, verdicts=verdicts, never_mentioned=never),
    )  # fmt: skip
    new = [item.model_copy(update={"key": f"a-{n}"}) for n, item in enumerate(added)]
    taken = [Confirmed(item=item, drafted=item, decision=decided(item.key, who=who)) for item, _ in confirmed]
    taken += [Confirmed(item=item, decision=decided(item.key, DecisionKind.ADD, who)) for item in new]
    return Outcome(
        walkround=walkround,
        machine=machine,
        confirmed=tuple(taken),
        rejected=tuple(refusal(item, who) for item, _ in refused),
        waiting=(*(item.key for item, _ in held), *(() if machine else ("machine",))),
    )


def refusal(item: Item, who: str) -> Rejected:
    return Rejected(drafted=item, decision=decided(item.key, DecisionKind.REJECT, who))


def _keyed(row: Row, key: str) -> tuple[Item, tuple[Verdict, ...]]:
    item, given = row if isinstance(row, tuple) else (row, ())
    verdicts = given if isinstance(given, tuple) else (given,)
    keyed = tuple(one.model_copy(update={"item": key}) for one in verdicts)
    return item.model_copy(update={"key": key}), keyed


SAID = {"basis": Basis.SAID, "source": "said with the reading", "sureness": "said"}
CARD = {"basis": Basis.MACHINE_CARD, "source": "handbook of the Larkspur 400"}
TREAD = {"low": 1.0, "unit": "mm", "sureness": "read second-hand", "source": TREAD_LAW}
SLACK = {"low": 25, "high": 35, "unit": "mm", **CARD}
PRESSURE = {"target": 36, "unit": "psi", **SAID}
DISC = {"low": 4.5, "unit": "mm", **SAID}
REST = {"low": 12.4, "unit": "V"}
CORNERS = [(end, side) for end in ("front", "rear") for side in ("left", "right")]


def calm() -> Outcome:
    """A well kept machine: one thing to watch, a little work done, some parts not seen."""
    return outcome(
        [
            (read("tyre", "tread_depth", 2.8, "mm", "front"), graded(Grade.SOUND, **TREAD)),
            (read("tyre", "tread_depth", 3.0, "mm", "rear"), graded(Grade.SOUND, **TREAD)),
            (absent("tyre", "cut", "front"), SOUND),
            (absent("tyre", "crack", "front"), SOUND),
            (read("tyre", "manufactured", "2021-W11", end="front"), usual(Grade.SOUND)),
            (read("tyre", "pressure", 34, "psi", "rear"), graded(Grade.ADVISORY, **PRESSURE)),
            (read("tyre", "pressure", 36, "psi", "rear", "left"), graded(Grade.SOUND, **PRESSURE)),
            done("inflate", "tyre", "rear"),
            (fine("brake_lever"), SOUND),
            (fine("brake_fluid", "front"), SOUND),
            (absent("brake_disc", "scoring", "front"), SOUND),
            (read("brake_disc", "thickness", 4.8, "mm", "front"), graded(Grade.SOUND, **DISC)),
            (unseen("brake_pads", "rear"), UNSEEN),
            (unseen("air_filter"), UNSEEN),
            (absent("fork_seal", "leak", side="left"), SOUND),
            (absent("fork_seal", "leak", side="right"), SOUND),
            (find("head_bearing", "notchy"), usual(Grade.ADVISORY)),
            wanted("monitor", "head_bearing"),
            (read("chain", "slack", 42, "mm"), graded(Grade.MINOR, **SLACK)),
            (read("chain", "slack", 30, "mm", phase="left"), graded(Grade.SOUND, **SLACK)),
            done("adjust", "chain"),
            (find("chain", "dry"), usual(Grade.MINOR)),
            done("lubricate", "chain"),
            (fine("headlight_dip"), SOUND),
            (fine("headlight_main"), SOUND),
            *((fine("indicator", end, side), SOUND) for end, side in CORNERS),
            (fine("horn"), SOUND),
            (read("battery", "voltage", 12.7, "V"), usual(Grade.SOUND, **REST)),
            (find("mirror", "loose", side="left"), annex(Grade.MINOR, "3.3 b")),
            done("tighten", "mirror", side="left"),
        ],
        never=("wheel_bearing", "axle", "rear_sprocket", "front_sprocket", "swingarm", "shock", "throttle",
               "brake_light", "tail_light", "frame", "coolant", "clutch", "side_stand", "number_plate"),
    )  # fmt: skip


def grave() -> Outcome:
    """A worn machine, its review not finished."""
    return outcome(
        [
            (read("tyre", "tread_depth", 0.9, "mm", "rear"), graded(Grade.DANGEROUS, **TREAD)),
            (find("tyre", "worn", "rear"), annex(Grade.MAJOR, "5.2.3 e")),
            (absent("tyre", "cut", "rear"), SOUND),
            wanted("replace", "tyre", "rear"),
            (read("tyre", "tread_depth", 2.0, "mm", "front"),
             graded(Grade.ADVISORY, **TREAD)),
            wanted("replace", "tyre", "front"),
            (read("brake_pads", "thickness", 1.2, "mm", "front"),
             usual(Grade.ADVISORY, low=1.0, unit="mm")),
            (find("brake_pads", "worn", "front"), annex(Grade.MAJOR, "1.1.13 a")),
            wanted("replace", "brake_pads", "front"),
            (read("brake_disc", "thickness", 4.6, "mm", "front"), graded(Grade.SOUND, **DISC)),
            (absent("brake_disc", "crack", "front"), SOUND),
            (find("wheel_bearing", "play", "front", state="unsure"), annex(Grade.MAJOR, "5.1.3 a")),
            (find("indicator", "inoperative", "front", "left"), annex(Grade.MAJOR, "4.4.1 a")),
            (find("indicator", "inoperative", "front", "right"), annex(Grade.MAJOR, "4.4.1 a")),
            wanted("investigate", "indicator", "front", "left"),
            wanted("investigate", "indicator", "front", "right"),
            (find("rear_sprocket", "hooked"), annex(Grade.MAJOR, "6.1.7 c")),
            wanted("replace", "sprockets"),
            wanted("replace", "chain"),
            (read("chain", "slack", 48, "mm"), graded(Grade.MAJOR, **SLACK)),
            (read("chain", "slack", 30, "mm", phase="left"), graded(Grade.SOUND, **SLACK)),
            done("adjust", "chain"),
            (find("chain", "stiff"), usual(Grade.ADVISORY)),
            (find("headlight_dip", "inoperative"), annex(Grade.MAJOR, "4.1.1 a")),
            done("replace", "headlight_dip"),
            (find("fork_seal", "leak", side="right"), usual(Grade.MINOR)),
            (absent("fork_seal", "leak", side="left"), SOUND),
            wanted("replace", "fork_seal", side="right"),
            (read("battery", "voltage", 12.2, "V"), usual(Grade.ADVISORY, **REST)),
            wanted("replace", "battery"),
            (find("seat", "damage"), PLAIN),
            (read("tyre", "manufactured", "2021-W11", end="front"), PLAIN),
            (read("tyre", "pressure", 34, "psi", "rear"), PLAIN),
            (fine("horn"), SOUND),
            (fine("brake_fluid", "rear"), SOUND),
            (unseen("swingarm"), UNSEEN),
            (unseen("exhaust"), UNSEEN),
        ],
        waiting=[
            (find("head_bearing", "notchy"), graded(Grade.MAJOR)),
            (read("brake_pads", "thickness", 2.3, "mm", "rear"), PLAIN),
        ],
        rejected=[(find("shock", "leak"), graded(Grade.MAJOR))],
        never=("brake_disc:rear", "brake_hose", "brake_lever", "wheel_bearing:rear", "axle", "throttle",
               "handlebar", "brake_light", "tail_light", "indicator:rear", "frame", "clutch",
               "footrest", "mirror"),
    )  # fmt: skip


def past() -> tuple[PastReading, ...]:
    """Readings of two earlier inspections."""

    def on(day: date, reading: Reading) -> PastReading:
        return PastReading(walkround=f"w-{day:%Y%m%d}", on=day, reading=reading)

    spring, autumn = date(2025, 3, 14), date(2025, 10, 2)
    return (
        on(spring, read("tyre", "tread_depth", 4.2, "mm", "front")),
        on(autumn, read("tyre", "tread_depth", 3.1, "mm", "front")),
        on(autumn, read("tyre", "tread_depth", 5.2, "mm", "rear")),
        on(autumn, read("brake_pads", "thickness", 2.6, "mm", "front")),
        on(autumn, read("chain", "slack", 38, "mm")),
        on(autumn, read("chain", "slack", 30, "mm", phase="left")),
        on(autumn, read("battery", "voltage", 12.5, "V")),
    )


def before(text: str) -> Before:
    """An earlier visit with a text in a reading, and as the name of who answered."""
    item = read("abs", "fault_code", text)
    code = Judged(item, (usual(Grade.MAJOR),))
    said = Answer("w-1", "abs/investigate", "not_now", text, date(2025, 10, 2))
    return Before((Day("w-1", date(2025, 10, 2), Facts((code,), ())),), {}, (Earlier(said),))
