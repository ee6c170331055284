"""Chains the stages: sound to walkround, walkround and decisions to the owner's page. Composition only."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from witnessmark.assess import assess
from witnessmark.errors import BadInputError
from witnessmark.extract import extract
from witnessmark.knowledge.cards import card_for
from witnessmark.knowledge.limits import rules
from witnessmark.knowledge.plain import plain_words
from witnessmark.summarise import render, summarise
from witnessmark.transcribe import Transcriber
from witnessmark.types import (
    Action,
    Assessment,
    Draft,
    Finding,
    Machine,
    Outcome,
    PastReading,
    Reading,
    Recording,
    Sound,
    Transcript,
    Walkround,
)

Progress = Callable[[float, float], None]
"""Takes the seconds of sound done and the seconds in all."""
Stage = Callable[[str, object], None]
"""Takes the name of a stage that is done, and its result."""


def walkround_id(recording: Recording) -> str:
    """``w-`` and the first twelve digits of the recording's hash."""
    return f"w-{recording.sha256[:12]}"


def speech(
    sound: Sound, transcriber: Transcriber, where: str, progress: Progress | None = None
) -> Transcript:
    """What is said in a recording.

    Args:
        sound: the recording.
        transcriber: the speech model.
        where: the file, for messages.
        progress: called as the talk is read.

    Raises:
        BadInputError: nobody speaks in it.
        SpeechModelError: the model cannot be loaded.
    """
    transcript = transcriber.transcribe(sound, progress=progress)
    if not transcript.text.strip():
        remedy = "Play it: if somebody does speak, record nearer to the mouth."
        raise BadInputError("no speech was heard in it, so nothing was found.", where, remedy)
    return transcript


def walkround(transcript: Transcript, on: date, jurisdiction: str | None, stage: Stage) -> Walkround:
    """Everything the store keeps of a transcript: drafted and judged, undecided.

    Args:
        transcript: what is said.
        on: day of the inspection.
        jurisdiction: country (and state) whose limits apply; without one nothing passes or fails by law.
        stage: told of each stage as it is done.
    """
    id = walkround_id(transcript.recording)
    draft = extract(transcript.text, id=id, jurisdiction=jurisdiction, transcript=transcript)
    stage("extract", draft)
    assessment = judge(draft, on, draft.machine)
    stage("assess", assessment)
    return Walkround(id=id, on=on, transcript=transcript, assessment=assessment)


def judge(draft: Draft, on: date, machine: Machine) -> Assessment:
    """A draft judged by the rules of its country and the card of the machine."""
    return assess(draft, rules(draft.jurisdiction), card_for(machine.registration), on)


def page(outcome: Outcome, past: Sequence[PastReading], made_on: date) -> str:
    """The owner's summary as HTML.

    Args:
        outcome: what the review came to.
        past: confirmed readings of the machine's earlier walkrounds.
        made_on: day on which the page is made.
    """
    return render(summarise(judged_again(outcome), plain_words(), past, made_on=made_on))


def judged_again(outcome: Outcome) -> Outcome:
    """The outcome with its walkround judged as the reviewer has it.

    What was corrected or added, the machine's identity first of all, changes what the rules say. The store
    keeps the verdicts on the draft.
    """
    before = outcome.walkround
    confirmed = {e.decision.item: e.item for e in outcome.confirmed if not isinstance(e.item, Machine)}
    drafted: dict[str, Finding | Reading | Action] = {
        item.key: item for item in (*before.draft.findings, *before.draft.actions)
    }
    items = (drafted | confirmed).values()
    findings = tuple(item for item in items if not isinstance(item, Action))
    actions = tuple(item for item in items if isinstance(item, Action))
    draft = before.draft.model_copy(update={"findings": findings, "actions": actions})
    assessment = judge(draft, before.on, outcome.machine or draft.machine)
    walkround = before.model_copy(update={"assessment": assessment})
    return outcome.model_copy(update={"walkround": walkround})
