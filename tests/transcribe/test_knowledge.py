"""``models/speech.toml`` is checked when it is read."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge import speech as knowledge
from witnessmark.knowledge.files import read_toml

Harm = Callable[[dict[str, Any]], object]


@pytest.fixture
def rows(monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[str, Any]]:
    """The rows, to be harmed before they are read."""
    rows = copy.deepcopy(read_toml("speech.toml"))
    monkeypatch.setattr(knowledge, "read_toml", lambda relative: rows)
    knowledge.speech.cache_clear()
    yield rows
    knowledge.speech.cache_clear()


HARMS: dict[str, Harm] = {
    "guard.no_speech": lambda rows: rows["guard"].pop("no_speech"),
    "voice.treshold": lambda rows: rows["voice"].update(treshold=0.5),
    "model.0.file.0.sha256": lambda rows: rows["model"][0]["file"][0].update(sha256="abc"),
    "model.1.file.0.parts": lambda rows: rows["model"][1]["file"][0].update(parts=[]),
    "exactly one model must be the default": lambda rows: rows["model"][0].update(default=False),
    "two models have the same name": lambda rows: rows["model"][1].update(name="base"),
    "decode.beam": lambda rows: rows["decode"].update(beam="wide"),
}


@pytest.mark.parametrize("told", HARMS)
def test_a_bad_row_is_named(rows: dict[str, Any], told: str) -> None:
    HARMS[told](rows)
    with pytest.raises(KnowledgeError) as caught:
        knowledge.speech()
    assert told in caught.value.what
    assert caught.value.where == "speech.toml"


def test_the_file_as_it_stands() -> None:
    speech = knowledge.speech()
    assert speech.default.name == "base"
    assert speech.named("tiny.en")
    assert speech.named("gigantic") is None
    assert all(row == " ".join(row.lower().split()) for row in speech.phantoms)
