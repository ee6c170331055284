"""For any sequence of decisions, the confirmed tables hold what was let in and nothing else."""

from __future__ import annotations

import tempfile
from datetime import timedelta
from pathlib import Path
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from helpers_walkround import KEYS, NOON, TREAD, VOLTS, corrected, decision, machine, walkround
from witnessmark.record import Store
from witnessmark.record.rows import TABLES
from witnessmark.review import MACHINE, apply
from witnessmark.types import Decision, Walkround


class AnyTrail(RuleBasedStateMachine):
    """Decisions through the record, against the last word on each item."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.store = Store.open(Path(self.folder.name) / "record.sqlite")
        self.store._db.execute("PRAGMA synchronous = OFF")  # nothing here is about a power cut
        self.store.ingest(walkround())
        self.trail: list[Decision] = []

    def teardown(self) -> None:
        assert self.store.check() == []
        self.store.close()
        self.folder.cleanup()

    def now(self) -> Walkround:
        return self.store.walkround("latest")

    def take(self, key: str, kind: str, **more: Any) -> None:
        now = self.now()
        made = decision(now, key, kind, when=NOON + timedelta(seconds=len(self.trail)), **more)
        self.store.decide(made, apply(now, [made]))
        self.trail.append(made)

    @rule(key=st.sampled_from((MACHINE, *KEYS)), kind=st.sampled_from(("confirm", "reject", "postpone")))
    def plain(self, key: str, kind: str) -> None:
        self.take(key, kind)

    @rule(depth=st.floats(0, 9))
    def correct(self, depth: float) -> None:
        self.take("r-tread", "correct", becomes=corrected(TREAD, value=depth))

    @rule(name=st.sampled_from(("Q24 LOT", "Q25 LOT")))
    def correct_identity(self, name: str) -> None:
        self.take(MACHINE, "correct", becomes=machine(name))

    @rule(kind=st.sampled_from(("confirm", "reject", "postpone")))
    def an_added_one(self, kind: str) -> None:
        if any(made.item == "added-1" for made in self.trail):
            self.take("added-1", kind)
        else:
            self.take("added-1", "add", becomes=corrected(VOLTS, key="added-1"))

    @rule()
    def take_in_again(self) -> None:
        assert not self.store.ingest(walkround())

    @invariant()
    def only_what_the_last_decision_lets_in_is_there(self) -> None:
        last = {made.item: made.kind.value for made in self.trail}
        due = {key for key, kind in last.items() if kind in ("confirm", "correct", "add")}
        there = [row for table in TABLES.values() for row in self.store._db.table(table).rows]
        assert sorted(row["item"] for row in there) == sorted(due)

    @invariant()
    def the_trail_is_whole_and_in_order(self) -> None:
        assert list(self.now().decisions) == self.trail


TestAnyTrail = AnyTrail.TestCase
TestAnyTrail.settings = settings(max_examples=25, stateful_step_count=15, deadline=None)
