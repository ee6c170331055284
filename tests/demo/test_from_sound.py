"""From the sound of the demo's recordings: every reading is right or marked doubtful."""

from __future__ import annotations

import pytest

from witnessmark import run
from witnessmark.capture import capture
from witnessmark.cli.demo import scenes
from witnessmark.extract import extract
from witnessmark.transcribe import Transcriber
from witnessmark.types import Draft, Reading

pytestmark = pytest.mark.full
Said = tuple[object, ...]


@pytest.fixture(scope="module")
def heard() -> list[tuple[Draft, set[Said]]]:
    """Each recording's draft, and the readings of its gold file."""
    transcriber = Transcriber()
    pairs = []
    for scene in scenes():
        transcript = run.speech(capture(scene.recording), transcriber, scene.recording.name)
        country = scene.gold["jurisdiction"]
        draft = extract(transcript.text, id=scene.recording.stem, jurisdiction=country, transcript=transcript)
        rows = (row for row in scene.gold["findings"] if "quantity" in row)
        pairs.append((draft, {said(Reading.model_validate(row)) for row in rows}))
    return pairs


def said(reading: Reading) -> Said:
    return (*reading.place, reading.quantity, reading.value, reading.unit, reading.phase)


def readings(draft: Draft) -> list[Reading]:
    return [item for item in draft.findings if isinstance(item, Reading)]


def test_no_reading_is_wrong_and_undoubted(heard: list[tuple[Draft, set[Said]]]) -> None:
    assert [
        (draft.id, *said(reading))
        for draft, gold in heard
        for reading in readings(draft)
        if said(reading) not in gold and not reading.doubts
    ] == []


def test_no_reading_is_lost_without_a_doubt(heard: list[tuple[Draft, set[Said]]]) -> None:
    """A reading that is missing was misread: as another one of the same part, which then is doubtful."""
    lost = []
    for draft, gold in heard:
        doubtful = {(r.component, r.end) for r in readings(draft) if r.doubts and said(r) not in gold}
        lost += [
            (draft.id, *row)
            for row in gold - {said(reading) for reading in readings(draft)}
            if row[:2] not in doubtful
        ]
    assert lost == []


@pytest.mark.parametrize("key", ["registration", "odometer"])
def test_no_identity_is_wrong_and_undoubted(heard: list[tuple[Draft, set[Said]]], key: str) -> None:
    gold = {scene.recording.stem: scene.gold["machine"][key] for scene in scenes()}
    wrong = [draft.id for draft, _ in heard if draft.machine.model_dump()[key] != gold[draft.id]]
    undoubted = {draft.id for draft, _ in heard if not draft.machine.doubts}
    assert undoubted.isdisjoint(wrong)
