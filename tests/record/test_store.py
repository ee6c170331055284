"""What comes in, what is decided, and what is refused."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from helpers_walkround import KEYS, PADS, SEAL, TREAD, corrected, decision, machine, walkround
from witnessmark.errors import StoreError
from witnessmark.record import Store
from witnessmark.review import MACHINE, apply
from witnessmark.types import Confirmed, Machine, Outcome, Walkround

from .helpers import decide, dump, filled, rows


def test_a_walkround_comes_back_as_it_went_in(store: Store) -> None:
    sample = walkround()
    assert store.ingest(sample)
    assert store.walkround(sample.id) == sample


def test_the_same_recording_again_changes_nothing(store: Store, path: Path) -> None:
    store.ingest(walkround())
    before = dump(path)
    assert not store.ingest(walkround())
    assert not store.ingest(walkround(on=date(2026, 9, 9), findings=(PADS,)))
    assert dump(path) == before


def test_a_recording_of_another_name_but_the_same_content_is_the_same(store: Store) -> None:
    sample = walkround()
    store.ingest(sample)
    renamed = sample.transcript.recording.model_copy(update={"name": "copy.wav"})
    transcript = sample.transcript.model_copy(update={"recording": renamed})
    assert not store.ingest(sample.model_copy(update={"transcript": transcript}))


def test_a_decided_walkround_does_not_come_in(store: Store, path: Path) -> None:
    sample = walkround()
    before = dump(path)
    with pytest.raises(StoreError, match="undecided"):
        store.ingest(apply(sample, [decision(sample, "f-horn")]).walkround)
    assert dump(path) == before


def test_drafted_items_are_laid_flat_and_marked_with_the_knowledge_behind_them(
    store: Store, path: Path
) -> None:
    store.ingest(walkround())
    flat = {row[1]: row for row in rows(path, "items")}
    assert set(flat) == {MACHINE, *KEYS}
    assert flat["r-tread"][2] == "reading"
    assert {"tyre", "front", "tread_depth", 1.2, "mm", "dangerous"} <= set(flat["r-tread"])
    assert "The recogniser was unsure of 'pads'." in flat["f-pads"]
    version = rows(path, "drafts")[0][3]
    assert version.startswith("0.1.0+")
    assert len(version.partition("+")[2]) == 12


@pytest.fixture
def several(store: Store) -> list[Walkround]:
    taken = [walkround(f"talk-{number}.wav", on=date(2026, 3, 10 - number)) for number in range(9)]
    for each in taken:
        store.ingest(each)
    return taken


def test_a_walkround_is_found_by_id_by_its_beginning_and_as_the_latest(
    store: Store, several: list[Walkround]
) -> None:
    assert store.walkround("latest") == several[-1]
    for each in several:
        assert store.walkround(each.id) == each
        assert store.walkround(each.id[:-1]) == each
        assert store.walkround(each.id.removeprefix("w-")[:10]) == each


def test_a_beginning_of_several_ids_names_them_and_an_unknown_one_is_told(
    store: Store, several: list[Walkround]
) -> None:
    with pytest.raises(StoreError, match="begins several ids") as caught:
        store.walkround("w-")
    assert all(each.id in str(caught.value) for each in several)
    for unknown in ("w-zzz", "", "%"):
        with pytest.raises(StoreError, match="there is no walkround"):
            store.walkround(unknown)


def test_there_is_no_latest_in_an_empty_record(store: Store) -> None:
    with pytest.raises(StoreError, match="there is no walkround 'latest'"):
        store.walkround("latest")


def test_the_list_counts_what_waits_and_shows_the_confirmed_registration(store: Store) -> None:
    sample = filled(store, "f-horn", "f-seal")
    assert store.walkrounds() == [(sample.id, date(2026, 3, 2), "Q24 LOT", False, len(KEYS) + 1 - 2, 2)]
    decide(store, sample, "f-seal", "postpone")
    decide(store, sample, "f-pads", "reject")
    decide(store, sample, MACHINE, "correct", becomes=machine("Q25 LOT"))
    decide(store, sample, "added-1", "add", becomes=corrected(SEAL, key="added-1", side="right"))
    listed = store.walkrounds()[0]
    assert (listed.registration, listed.identity_confirmed) == ("Q25 LOT", True)
    assert (listed.waiting, listed.decided) == (7, 4)
    assert listed.waiting == len(apply(store.walkround(sample.id)).waiting)


def test_the_last_to_come_in_is_listed_first(store: Store, several: list[Walkround]) -> None:
    assert [each.id for each in store.walkrounds()] == [each.id for each in reversed(several)]


def test_a_confirmed_item_keeps_what_was_heard_and_drafted_and_who_decided(store: Store, path: Path) -> None:
    sample = filled(store)
    better = corrected(TREAD, value=2.1, evidence=())
    decide(store, sample, "r-tread", "correct", becomes=better, why="misread")
    (row,) = list(_view(path, "measured"))
    assert row["value"] == 2.1
    assert TREAD.model_validate_json(row["drafted"]) == TREAD
    assert row["heard"] == "tread depth one point two millimetres"
    assert (row["decided"], row["who"], row["why"]) == ("correct", "Ada Foreman", "misread")
    assert row["registration"] is None  # the machine is not confirmed yet
    decide(store, sample, MACHINE)
    (row,) = list(_view(path, "measured"))
    assert (row["registration"], row["odometer"]) == ("Q24 LOT", 14200)


def _view(path: Path, name: str) -> list[dict[str, Any]]:
    with Store.open(path) as store:
        return list(store._db.query(f"SELECT * FROM {name}"))


def test_each_kind_has_a_table_and_a_view(store: Store, path: Path) -> None:
    filled(store, "f-horn", "r-slack", "a-chain", MACHINE)
    assert [row[1] for row in rows(path, "confirmed_findings")] == ["f-horn"]
    assert [row[1] for row in rows(path, "confirmed_readings")] == ["r-slack"]
    assert [row[1] for row in rows(path, "confirmed_actions")] == ["a-chain"]
    assert [row["component"] for row in _view(path, "found")] == ["horn"]
    assert [row["quantity"] for row in _view(path, "measured")] == ["slack"]
    assert [row["work"] for row in _view(path, "worked_on")] == ["adjust"]
    assert [row["item"] for row in _view(path, "trail")] == ["f-horn", "r-slack", "a-chain", MACHINE]


def test_an_item_corrected_into_another_kind_changes_its_table(store: Store, path: Path) -> None:
    sample = filled(store, "f-pads")
    decide(store, sample, "f-pads", "correct", becomes=corrected(TREAD, key="f-pads"))
    assert rows(path, "confirmed_findings") == []
    assert [row[1] for row in rows(path, "confirmed_readings")] == ["f-pads"]
    assert store.check() == []


@pytest.mark.parametrize("kind", ["postpone", "reject"])
def test_an_item_put_back_or_rejected_leaves_the_confirmed_record_but_not_the_trail(
    store: Store, path: Path, kind: str
) -> None:
    sample = filled(store, "f-pads", MACHINE)
    decide(store, sample, "f-pads", kind)
    decide(store, sample, MACHINE, kind)
    assert rows(path, "confirmed_findings") == rows(path, "machines") == []
    assert [made.kind for made in store.walkround(sample.id).decisions] == ["confirm"] * 2 + [kind] * 2
    assert store.check() == []


def test_reviewers_at_different_items_do_not_undo_each_other(store: Store, path: Path) -> None:
    sample = filled(store)
    first, second = decision(sample, "f-pads"), decision(sample, "f-horn", who="Ben Deputy")
    both_read = store.walkround(sample.id)
    store.decide(first, apply(both_read, [first]))
    store.decide(second, apply(both_read, [second]))
    assert {row[1] for row in rows(path, "confirmed_findings")} == {"f-pads", "f-horn"}
    assert store.walkround(sample.id).decisions == (first, second)
    assert store.check() == []


def test_a_decision_on_an_item_that_was_decided_meanwhile_is_refused(store: Store, path: Path) -> None:
    sample = filled(store)
    both_read = store.walkround(sample.id)
    first, second = decision(sample, "f-pads", "reject"), decision(sample, "f-pads", who="Ben Deputy")
    store.decide(first, apply(both_read, [first]))
    before = dump(path)
    with pytest.raises(StoreError, match="meanwhile"):
        store.decide(second, apply(both_read, [second]))
    assert dump(path) == before


def test_a_walkround_that_is_not_here_cannot_be_decided_on(store: Store) -> None:
    sample = walkround()
    made = decision(sample, "f-pads")
    with pytest.raises(StoreError, match="no such walkround"):
        store.decide(made, apply(sample, [made]))


def _smuggled(outcome: Outcome) -> list[Outcome]:
    """Outcomes that let in more, or other, than their last decision says."""
    last = outcome.walkround.decisions[-1]
    let_in = Confirmed(item=PADS, drafted=PADS, decision=last)
    by_another = Confirmed(item=PADS, drafted=PADS, decision=last.model_copy(update={"who": "Nobody"}))
    return [
        outcome.model_copy(update={"confirmed": (let_in,)}),
        outcome.model_copy(update={"confirmed": (by_another,)}),
        outcome.model_copy(update={"walkround": walkround("other.wav")}),
        outcome.model_copy(update={"walkround": outcome.walkround.model_copy(update={"decisions": ()})}),
    ]


@pytest.mark.parametrize("which", range(4))
def test_an_outcome_that_does_not_follow_from_its_decision_is_refused(
    store: Store, path: Path, which: int
) -> None:
    sample = filled(store)
    made = decision(sample, "f-pads", "reject")
    before = dump(path)
    with pytest.raises(ValueError, match="the outcome"):
        store.decide(made, _smuggled(apply(sample, [made]))[which])
    assert dump(path) == before


def test_an_identity_without_its_decision_is_refused(store: Store, path: Path) -> None:
    sample = filled(store)
    made = decision(sample, MACHINE, "postpone")
    outcome = apply(sample, [made]).model_copy(update={"machine": Machine(registration="Q9")})
    with pytest.raises(ValueError, match="the outcome"):
        store.decide(made, outcome)
    assert rows(path, "machines") == []


def test_a_confirmation_that_its_outcome_forgot_is_refused(store: Store) -> None:
    sample = filled(store)
    made = decision(sample, "f-pads")
    with pytest.raises(ValueError, match="the outcome"):
        store.decide(made, apply(sample, [made]).model_copy(update={"confirmed": ()}))
