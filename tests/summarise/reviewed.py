"""Walkrounds through the real stages, every item confirmed by a reviewer."""

from __future__ import annotations

from datetime import UTC, date, datetime
from hashlib import sha256
from pathlib import Path

from witnessmark import run
from witnessmark.record import Store
from witnessmark.review import apply
from witnessmark.types import Decision, DecisionKind, Recording, Transcript, Word

TALK = (
    "Registration Kilo X-ray two one Whiskey Papa Tango. Fourteen thousand two hundred miles on the clock. "
    "Front tyre tread is 0.8 millimetres. The rear pads are 4 millimetres. "
    "The left fork seal is leaking, so it needs replacing. The horn works. "
    "I couldn't see the air filter."
)
NOON = datetime(2026, 5, 21, 12, 0, tzinfo=UTC)


def transcript(text: str) -> Transcript:
    """A transcript as a recogniser might give it, three words a second."""
    words, place = [], 0
    for number, word in enumerate(text.split()):
        place = text.index(word, place)
        times = {"start": number / 3, "end": number / 3 + 0.3, "probability": 0.95}
        words.append(Word(text=word, char_start=place, char_end=place + len(word), **times))
        place += len(word)
    recording = Recording(sha256=sha256(text.encode()).hexdigest(), name="talk.wav", duration=len(words) / 3)
    return Transcript(recording=recording, text=text, words=tuple(words), model="by hand")


def take_in(
    record: Store, text: str, on: date, jurisdiction: str, *, leave: int = 0, speaker: str = ""
) -> str:
    """Take a talk in and confirm all of it but the last ``leave`` items; its id."""
    walkround = run.walkround(transcript(text), on, jurisdiction, lambda stage, result: None, speaker)
    record.ingest(walkround)
    named = ["machine"] if walkround.draft.machine.registration else []
    keys = [*named, *(item.key for item in walkround.draft.items)]
    for key in keys[: len(keys) - leave]:
        decision = Decision(
            walkround=walkround.id, item=key, kind=DecisionKind.CONFIRM, who="A. Fenwick", when=NOON
        )
        now = record.walkround(walkround.id)
        record.decide(decision, apply(now.model_copy(update={"decisions": (*now.decisions, decision)})))
    return walkround.id


def store_of(path: Path, *talks: str, on: date = date(2026, 5, 21), jurisdiction: str = "GB") -> Path:
    """A record with these talks, all confirmed."""
    with Store.open(path) as record:
        for talk in talks:
            take_in(record, talk, on, jurisdiction)
    return path
