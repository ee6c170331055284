"""The plain words are complete, known, simple, and never say that anything is safe."""

from __future__ import annotations

import copy
import re

import pytest
from tests.summarise.reading import grade_level, prose, syllables

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge import plain
from witnessmark.knowledge.files import models_dir, read_yaml
from witnessmark.knowledge.plain import plain_words
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Basis, Grade, Verdict

WORDS, IDS = plain_words(), vocabulary()
TABLES = {
    "components": (WORDS.components, IDS.components),
    "conditions": (WORDS.conditions, IDS.conditions),
    "quantities": (WORDS.quantities, IDS.quantities),
    "actions": (WORDS.actions, IDS.actions),
    "areas": (WORDS.areas, {part.group: part for part in IDS.components.values()}),
    "grades": (WORDS.grades, {str(grade): grade for grade in Grade}),
    "bases": (WORDS.bases, {str(basis): basis for basis in Basis}),
    "sureness": (WORDS.sureness, dict.fromkeys(Verdict.model_fields["sureness"].annotation.__args__)),
}


@pytest.mark.parametrize("table", TABLES)
def test_every_id_has_its_row_and_every_row_its_id(table: str) -> None:
    rows, ids = TABLES[table]
    assert set(rows) == set(ids)


def test_phrases_are_keyed_by_components_groups_or_any() -> None:
    known = {*IDS.components, *WORDS.areas, "any"}
    phrases = [phrase for row in WORDS.conditions.values() for phrase in (row.found, row.none, row.leads)]
    phrases += [phrase for row in WORDS.quantities.values() for phrase in (row.low, row.high, row.other)]
    phrases += [phrase for row in WORDS.actions.values() for phrase in (row.wanted, row.done, row.settles)]
    assert {key for phrase in phrases for key in phrase} <= known
    assert set(WORDS.includes) | {part for parts in WORDS.includes.values() for part in parts} <= known


def test_every_pairing_has_words() -> None:
    for component in IDS.components:
        assert WORDS.part(component).purpose.endswith(".")
        for key, condition in WORDS.conditions.items():
            assert WORDS.pick(condition.found, component)
            assert WORDS.pick(condition.none, component)
            assert bool(WORDS.pick(condition.leads, component)) == (key != "sound")
        for action in WORDS.actions.values():
            assert WORDS.pick(action.wanted, component)
            assert WORDS.pick(action.done, component)


def test_work_puts_right_only_known_conditions() -> None:
    settled = {key for action in WORDS.actions.values() for keys in action.settles.values() for key in keys}
    assert settled <= {*IDS.conditions, "all"}
    assert not WORDS.actions["monitor"].puts_right("tyre", "worn")
    assert WORDS.actions["replace"].puts_right("tyre", "worn")
    assert not WORDS.actions["replace"].puts_right("indicator", "crack"), "a new bulb mends no lens"
    assert not WORDS.actions["adjust"].puts_right("chain", "stiff"), "setting the slack mends no tight link"


def test_the_most_exact_phrase_wins() -> None:
    leads = WORDS.conditions["leak"].leads
    assert WORDS.pick(leads, "fork_seal") == leads["fork_seal"]
    assert WORDS.pick(leads, "brake_hose") == leads["brakes"]
    assert WORDS.pick(leads, "seat") == leads["any"]


def test_a_component_that_the_vocabulary_lost_is_spelt_out() -> None:
    assert WORDS.part("side_car").one == "side car"
    assert WORDS.group_of("side_car") == "whole"


def test_nothing_is_called_safe() -> None:
    file = (models_dir() / "trade/plain.yaml").read_text(encoding="utf-8")
    assert not re.search("safe", file, re.IGNORECASE)
    assert not re.search("roadworthy", file, re.IGNORECASE)


def test_a_twelve_year_old_can_read_it() -> None:
    """Grade 7 of the US school, at about twelve years; no sentence is longer than 25 words."""
    assert [syllables(word) for word in ("brake", "wheel", "handle", "battery", "machine")] == [1, 1, 2, 3, 2]
    texts = tuple(text for text in prose(WORDS) if len(text.split()) > 4)
    assert grade_level(texts) < 7
    sentences = [part for text in texts for part in re.split(r"(?<=[.!?:])\s+", text)]
    assert [part for part in sentences if len(part.split()) > 25] == []


@pytest.mark.parametrize("table", ["components", "conditions", "quantities", "actions", "areas"])
def test_a_missing_row_is_named(table: str, monkeypatch: pytest.MonkeyPatch) -> None:
    raw = copy.deepcopy(read_yaml(plain.FILE))
    lost = next(iter(raw[table]))
    del raw[table][lost]
    with pytest.raises(KnowledgeError, match=rf"no row for {table}\.{lost}"):
        _loaded(raw, monkeypatch)


def test_a_row_of_the_wrong_shape_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    raw = copy.deepcopy(read_yaml(plain.FILE))
    raw["conditions"]["worn"] = {"found": "worn"}
    with pytest.raises(KnowledgeError, match=r"row conditions\.worn\.none"):
        _loaded(raw, monkeypatch)


def _loaded(raw: object, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plain, "read_yaml", lambda _: raw)
    plain_words.__wrapped__()
