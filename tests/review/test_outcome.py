"""What a trail comes to; above all, that nothing unconfirmed gets through."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from helpers_walkround import KEYS, NOON, PADS, SEAL, TREAD, VOLTS, corrected, decision, machine, walkround
from witnessmark.errors import DecisionError
from witnessmark.review import MACHINE, apply, queue
from witnessmark.types import Decision, DecisionKind, Machine, Outcome

PLAIN = ("confirm", "reject", "postpone")
CHANGED = corrected(TREAD, value=2.1)


def confirmed(outcome: Outcome) -> dict[str, Any]:
    return {entry.item.key: entry.item for entry in outcome.confirmed}  # type: ignore[union-attr]


def test_nothing_decided_lets_nothing_through() -> None:
    outcome = apply(walkround(), ())
    assert outcome.confirmed == ()
    assert outcome.machine is None
    assert set(outcome.waiting) == {MACHINE, *KEYS}
    assert not outcome.complete


def test_confirmed_corrected_added_and_rejected_items_go_their_ways() -> None:
    sample = walkround()
    extra = corrected(SEAL, key="", side="right", evidence=())
    outcome = apply(
        sample,
        [
            decision(sample, "f-seal"),
            decision(sample, "r-tread", "correct", becomes=CHANGED),
            decision(sample, "added-1", "add", becomes=extra),
            decision(sample, "f-pads", "reject", why="wrong end"),
        ],
    )
    assert confirmed(outcome) == {
        "r-tread": CHANGED,
        "f-seal": SEAL,
        "added-1": corrected(extra, key="added-1"),
    }
    assert [entry.item.key for entry in outcome.confirmed] == ["r-tread", "f-seal", "added-1"]  # type: ignore[union-attr]
    assert [entry.drafted for entry in outcome.confirmed] == [TREAD, SEAL, None]
    assert [(entry.drafted, entry.decision.why) for entry in outcome.rejected] == [(PADS, "wrong end")]


def test_a_later_decision_replaces_an_earlier_one_and_the_trail_keeps_both() -> None:
    sample = walkround()
    trail = (decision(sample, "f-pads"), decision(sample, "f-pads", "reject"))
    outcome = apply(sample, trail)
    assert outcome.confirmed == ()
    assert outcome.walkround.decisions == trail


def test_postponing_puts_a_confirmed_item_back() -> None:
    sample = walkround()
    outcome = apply(sample, [decision(sample, "f-pads"), decision(sample, "f-pads", "postpone")])
    assert outcome.confirmed == ()
    assert outcome.waiting[-1] == "f-pads"


def test_a_correction_put_back_and_confirmed_is_the_drafted_item() -> None:
    sample = walkround()
    steps = [
        decision(sample, "r-tread", "correct", becomes=CHANGED),
        decision(sample, "r-tread", "postpone"),
        decision(sample, "r-tread"),
    ]
    assert confirmed(apply(sample, steps)) == {"r-tread": TREAD}


@pytest.mark.parametrize(
    ("kind", "becomes", "identity"),
    [
        ("confirm", None, machine()),
        ("correct", machine("Q25 LOT"), machine("Q25 LOT")),
        ("reject", None, None),
        ("postpone", None, None),
    ],
)
def test_the_identity_goes_the_way_of_its_decision(
    kind: str, becomes: Machine | None, identity: Machine | None
) -> None:
    sample = walkround()
    outcome = apply(sample, [decision(sample, MACHINE, kind, becomes=becomes)])
    assert outcome.machine == identity
    assert outcome.confirmed == ()


def test_the_whole_trail_or_its_continuation_come_to_the_same() -> None:
    sample = walkround()
    first, second = decision(sample, "f-pads"), decision(sample, "f-pads", "reject")
    so_far = apply(sample, [first]).walkround
    assert apply(so_far, [second]) == apply(so_far, [first, second]) == apply(sample, [first, second])
    assert apply(so_far, so_far.decisions) == apply(so_far)


def test_an_unfit_decision_is_refused_whole() -> None:
    sample = walkround()
    with pytest.raises(DecisionError, match="no such item"):
        apply(sample, [decision(sample, "f-pads"), decision(sample, "nowhere")])


class AnyReview(RuleBasedStateMachine):
    """Any sequence of decisions, against the plainest account of what they mean."""

    def __init__(self) -> None:
        super().__init__()
        self.walkround = walkround()
        self.last: dict[str, Decision] = {}
        self.trail: list[Decision] = []

    def made(self, key: str, kind: str, **more: Any) -> Decision:
        """A decision a second after the last one: no person makes the same one twice at once."""
        return decision(self.walkround, key, kind, when=NOON + timedelta(seconds=len(self.trail)), **more)

    def take(self, made: Decision) -> None:
        self.walkround = apply(self.walkround, [made]).walkround
        self.last[made.item] = made
        self.trail.append(made)

    @rule(key=st.sampled_from((MACHINE, *KEYS)), kind=st.sampled_from(PLAIN))
    def plain(self, key: str, kind: str) -> None:
        self.take(self.made(key, kind))

    @rule(depth=st.floats(0, 9))
    def correct(self, depth: float) -> None:
        becomes = corrected(TREAD, value=depth)
        self.take(self.made("r-tread", "correct", becomes=becomes))

    @rule(name=st.sampled_from(("Q24 LOT", "Q25 LOT")))
    def correct_identity(self, name: str) -> None:
        self.take(self.made(MACHINE, "correct", becomes=machine(name)))

    @rule(key=st.sampled_from(("added-1", "added-2")))
    def add(self, key: str) -> None:
        made = self.made(key, "add", becomes=corrected(VOLTS, key=key))
        if key in self.last:
            with pytest.raises(DecisionError):
                apply(self.walkround, [made])
        else:
            self.take(made)

    @rule(key=st.sampled_from(("added-1", "added-2")), kind=st.sampled_from(PLAIN))
    def about_an_added_one(self, key: str, kind: str) -> None:
        if key in self.last:
            self.take(self.made(key, kind))

    @invariant()
    def only_what_was_let_in_is_confirmed(self) -> None:
        outcome = apply(self.walkround)
        let_in = {
            key
            for key, made in self.last.items()
            if made.kind in (DecisionKind.CONFIRM, DecisionKind.CORRECT, DecisionKind.ADD)
        }
        assert set(confirmed(outcome)) == let_in - {MACHINE}
        assert (outcome.machine is not None) == (MACHINE in let_in)
        for entry in outcome.confirmed:
            assert entry.decision == self.last[entry.item.key]  # type: ignore[union-attr]
            if entry.decision.kind is DecisionKind.CONFIRM and entry.drafted:
                assert entry.item == entry.drafted
            elif entry.decision.becomes:
                assert entry.item == entry.decision.becomes

    @invariant()
    def every_item_is_decided_or_waits(self) -> None:
        outcome = apply(self.walkround)
        refused = {entry.decision.item for entry in outcome.rejected}
        through = set(confirmed(outcome)) | ({MACHINE} if outcome.machine else set())
        parts = [refused, through, set(outcome.waiting)]
        assert set.union(*parts) == {MACHINE, *KEYS, *self.last}
        assert sum(map(len, parts)) == len(set.union(*parts))
        assert outcome.waiting == queue(self.walkround)

    @invariant()
    def the_trail_is_what_was_decided_in_order(self) -> None:
        assert list(self.walkround.decisions) == self.trail


TestAnyReview = AnyReview.TestCase
