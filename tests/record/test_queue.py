"""Which walkrounds wait, and in which order."""

from __future__ import annotations

from datetime import date

from helpers_walkround import FILTER, HORN, KEYS, PADS, SEAL, machine, walkround
from witnessmark.record import Store
from witnessmark.review import MACHINE
from witnessmark.types import Grade

from .helpers import decide


def test_what_is_dangerous_comes_first_then_the_oldest(store: Store) -> None:
    store.ingest(walkround("new.wav", on=date(2026, 5, 1), findings=(HORN, SEAL)))
    store.ingest(walkround("grave.wav", on=date(2026, 6, 1), findings=(HORN, PADS)))
    store.ingest(walkround("old.wav", on=date(2026, 4, 1), findings=(FILTER,)))
    found = store.waiting()
    assert [(one.on.month, one.items, one.dangerous, one.doubtful) for one in found] == [
        (6, 5, 1, 1),
        (4, 4, 0, 0),
        (5, 5, 0, 0),
    ]


def test_a_grade_counts_whichever_rule_gave_it(store: Store) -> None:
    """A walkround whose deciding verdict is mild while another rule calls the item dangerous."""
    sample = walkround(findings=(HORN,))
    verdict = sample.assessment.verdicts[0]
    grave = verdict.model_copy(update={"grade": Grade.DANGEROUS})
    judged = sample.assessment.model_copy(update={"verdicts": (verdict, grave)})
    store.ingest(sample.model_copy(update={"assessment": judged}))
    assert [one.dangerous for one in store.waiting()] == [1]


def test_what_is_decided_waits_no_longer_and_what_is_put_back_does(store: Store) -> None:
    sample = walkround()
    store.ingest(sample)
    decide(store, sample, MACHINE, "correct", becomes=machine("Q99 NEW"))
    decide(store, sample, "r-tread")
    decide(store, sample, "f-pads", "postpone")
    (found,) = store.waiting()
    assert (found.registration, found.items, found.dangerous) == ("Q99 NEW", len(KEYS) - 1, 1)
    for key in KEYS[1:]:
        decide(store, sample, key)
    assert store.waiting() == []
