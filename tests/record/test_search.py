"""Any words find the items they belong to, whatever state these are in."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from helpers_walkround import KEYS, SEAL, TREAD, corrected, machine, walkround
from witnessmark.record import Store
from witnessmark.record.search import expression
from witnessmark.review import MACHINE

from .helpers import decide, filled


def keys(store: Store, words: str) -> set[str]:
    return {found.item for found in store.search(words)}


@pytest.mark.parametrize(
    ("words", "items"),
    [
        ("weeping", {"f-seal"}),  # what was heard
        ("WEEPING", {"f-seal"}),
        ("fork seal", {"f-seal"}),  # the name of the part
        ("seal fork", {"f-seal"}),  # in any order
        ("leak", {"f-seal"}),  # the name of the condition, another form of the word
        ("leaking", {"f-seal"}),
        ("sound", {"f-horn"}),  # its id
        ("front tyre", {"r-tread"}),
        ("tread depth", {"r-tread"}),
        ("1.2", {"r-tread"}),  # a value
        ("12.6 V", {"r-volts"}),
        ("left", {"f-seal"}),  # a place
        ("Q24 LOT", {MACHINE, *KEYS}),  # a registration
        ("q24lot", {MACHINE, *KEYS}),
        ("Q24-LOT horn", {"f-horn"}),
        ("q 24 lot horn", {"f-horn"}),
        ("ho", {"f-horn"}),  # a beginning
        ("hor works", set()),  # only the last word may be a beginning
        ("replace", {"a-pads"}),  # work
        ("wanted pads", {"a-pads"}),
        ("not seen", {"f-filter"}),
        ("unicorn", set()),
    ],
)
def test_found_by(store: Store, words: str, items: set[str]) -> None:
    filled(store)
    assert keys(store, words) == items


def test_what_is_found_says_where_it_stands(store: Store) -> None:
    sample = filled(store, MACHINE, "f-horn")
    decide(store, sample, "f-seal", "reject")
    (seal,) = store.search("weeping")
    assert seal[:5] == (sample.id, sample.on, "Q24 LOT", "f-seal", "Fork seal on the left is weeping")
    assert (seal.says.component, seal.says.side, seal.says.condition) == ("fork_seal", "left", "leak")
    assert (seal.status, seal.who) == ("rejected", "Ada Foreman")
    assert [found.status for found in store.search("horn")] == ["confirmed"]
    (tread,) = store.search("tread")
    assert (tread.says.quantity, tread.says.value, tread.says.unit) == ("tread_depth", 1.2, "mm")
    assert (tread.status, tread.who) == ("waiting", "")


def test_who_decided_is_found(store: Store) -> None:
    sample = filled(store)
    decide(store, sample, "f-horn", who="Ben Deputy")
    assert keys(store, "Ben Deputy") == {"f-horn"}


def test_a_correction_is_found_by_what_it_says(store: Store) -> None:
    sample = filled(store)
    decide(store, sample, "r-tread", "correct", becomes=corrected(TREAD, value=2.1))
    assert keys(store, "2.1") == {"r-tread"}
    assert keys(store, "1.2 mm") == set()
    assert keys(store, "one point two") == {"r-tread"}  # still heard so


def test_an_item_corrected_into_another_kind_keeps_nothing_of_the_first(store: Store) -> None:
    sample = filled(store)
    decide(store, sample, "f-pads", "correct", becomes=corrected(TREAD, key="f-pads", evidence=()))
    (found,) = [found for found in store.search("tread depth") if found.item == "f-pads"]
    assert (found.says.condition, found.says.state, found.says.quantity) == (None, None, "tread_depth")


def test_an_added_item_is_found(store: Store) -> None:
    sample = filled(store)
    added = corrected(SEAL, key="added-1", side="right", evidence=())
    decide(store, sample, "added-1", "add", becomes=added)
    assert keys(store, "right fork seal q24lot") == {"added-1"}
    assert store.check() == []


def test_a_corrected_registration_holds_for_every_item(store: Store) -> None:
    sample = filled(store)
    decide(store, sample, MACHINE, "correct", becomes=machine("Q25 LOT"))
    assert keys(store, "Q24 LOT") == set()
    assert keys(store, "Q25 LOT") == {MACHINE, *KEYS}
    assert {found.registration for found in store.search("Q25 LOT")} == {"Q25 LOT"}


def test_the_newest_are_ranked_and_no_more_than_the_limit_come(store: Store) -> None:
    for number in range(5):
        store.ingest(walkround(f"{number}.wav"))
    assert len(store.search("horn", limit=3)) == 3
    assert store.search("horn", limit=0) == []
    ranks = [found.rank for found in store.search("pads worn")]
    assert ranks == sorted(ranks)


@pytest.mark.parametrize(
    "words", ["", "   ", '"', "'", "*", "-", "AND", "horn OR", "NEAR(", "a:b", "^horn", "\0"]
)
def test_operators_are_words_like_any_other(store: Store, words: str) -> None:
    filled(store)
    assert isinstance(store.search(words), list)


def test_what_holds_no_word_finds_nothing(store: Store) -> None:
    filled(store)
    for words in ("", "  ", '"""', "*-*", "()"):
        assert expression(words) == ""
        assert store.search(words) == []
    assert keys(store, 'horn" OR "seal') == set()
    assert keys(store, '"horn"') == {"f-horn"}


@given(words=st.text(max_size=60))
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_text_may_be_given(store: Store, words: str) -> None:
    store.ingest(walkround())
    assert isinstance(store.search(words), list)
    assert isinstance(store.search(words + "\ud800 horn"), list)
