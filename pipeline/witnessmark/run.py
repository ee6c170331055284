"""Chains the stages: sound to walkround, walkround and decisions to the owner's page. Composition only."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from itertools import takewhile
from typing import TYPE_CHECKING

from witnessmark.assess import assess
from witnessmark.assess.coverage import Part, touched
from witnessmark.errors import BadInputError
from witnessmark.extract import extract
from witnessmark.forecast import due_work, forecast, next_look
from witnessmark.knowledge.cards import card_for
from witnessmark.knowledge.coverage import coverage
from witnessmark.knowledge.limits import rules
from witnessmark.knowledge.plain import plain_words
from witnessmark.knowledge.wear import WearRules, wear_rules
from witnessmark.review import apply
from witnessmark.summarise import Before, Outlook, Summary, summarise
from witnessmark.summarise.bill import Earlier
from witnessmark.summarise.judged import Facts, Judged
from witnessmark.summarise.later import Day
from witnessmark.transcribe import Transcriber
from witnessmark.types import (
    Action,
    Assessment,
    Basis,
    Decision,
    Draft,
    Finding,
    Grade,
    Machine,
    Outcome,
    PastReading,
    Reading,
    Recording,
    Sound,
    Transcript,
    Verdict,
    Walkround,
)

if TYPE_CHECKING:
    from witnessmark.record import History, Store, Visit

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


def walkround(
    transcript: Transcript, on: date, jurisdiction: str | None, stage: Stage, speaker: str = ""
) -> Walkround:
    """Everything the store keeps of a transcript: drafted and judged, undecided.

    Args:
        transcript: what is said.
        on: day of the inspection.
        jurisdiction: country (and state) whose limits apply; without one nothing passes or fails by law.
        stage: told of each stage as it is done.
        speaker: who inspected and spoke, where that is known.
    """
    id = walkround_id(transcript.recording)
    draft = extract(transcript.text, id=id, jurisdiction=jurisdiction, transcript=transcript)
    stage("extract", draft)
    assessment = judge(draft, on, draft.machine)
    stage("assess", assessment)
    return Walkround(id=id, on=on, transcript=transcript, assessment=assessment, speaker=speaker)


def judge(draft: Draft, on: date, machine: Machine) -> Assessment:
    """A draft judged by the rules of its country and the card of the machine."""
    return assess(draft, rules(draft.jurisdiction), card_for(machine.registration), on)


def summary(
    outcome: Outcome,
    history: History,
    made_on: date | None = None,
    *,
    language: str = "en",
    photos: Sequence[tuple[bytes, str]] = (),
    answers: Sequence[Earlier] = (),
) -> Summary:
    """The owner's page as values.

    Args:
        outcome: what the review came to.
        history: of its machine; what is later than the walkround is passed over.
        made_on: day on which the page is made.
        language: name of a file of ``models/words``.
        photos: pictures with their captions.
        answers: what the owner said to work offered at earlier visits.

    Raises:
        BadInputError: a picture cannot be read.
    """
    on = outcome.walkround.on
    past = tuple(one for one in history.past_readings if one.on < on)
    card = card_for(outcome.machine.registration) if outcome.machine else None
    built = tuple(card.built.values()) if card else ()
    again, known = judged_again(outcome), outlook(history, on)
    earlier = before(history, outcome.walkround.id, known, answers)
    words = plain_words(language)
    return summarise(again, words, past, made_on, known, built=built, photos=photos, before=earlier)


def before(
    history: History, walkround: str, known: Outlook | None, answers: Sequence[Earlier] = ()
) -> Before:
    """What the visits before a walkround found, each judged as its reviewer has it.

    Args:
        history: of the machine.
        walkround: its id.
        known: forecasts up to the walkround, which show the parts that were replaced.
        answers: what the owner said to work offered at earlier visits.
    """
    visits = tuple(takewhile(lambda visit: visit.walkround != walkround, history.visits))
    forecasts = known.forecasts if known else ()
    renewed = {(one.component, one.end, one.side): one.renewed for one in forecasts if one.renewed}
    return Before(tuple(map(_day, visits)), renewed, answers)


def _day(visit: Visit) -> Day:
    items = [one.item.model_copy(update={"key": one.decision.item}) for one in visit.entered]
    findings = tuple(item for item in items if not isinstance(item, Action))
    actions = tuple(item for item in items if isinstance(item, Action))
    draft = Draft(
        id=visit.walkround, jurisdiction=visit.jurisdiction, text="", findings=findings, actions=actions
    )
    assessment = judge(draft, visit.on, visit.machine)
    by_people = {one.decision.item: _by_person(one.decision) for one in visit.entered if one.decision.grade}
    judged = tuple(
        Judged(item, (*by_people.get(item.key, ()), *assessment.verdicts_of(item.key))) for item in findings
    )
    return Day(visit.walkround, visit.on, Facts(judged, actions))


def pages(record: Store, found: History) -> dict[str, Summary]:
    """The owner's page of each visit, as values: its verdict is the machine's standing on that day."""
    return {
        visit.walkround: summary(apply(record.walkround(visit.walkround)), found) for visit in found.visits
    }


def outlook(history: History, until: date) -> Outlook | None:
    """When the machine's parts may reach their limits, and when to look again.

    Args:
        history: what was confirmed of the machine.
        until: day up to which it counts.

    Returns:
        None where nothing was confirmed until then.
    """
    known = history.until(until)
    if not known.visits:
        return None
    last = known.visits[-1]
    card = card_for(last.machine.registration)

    words = wear_rules()

    def limit_of(one: PastReading) -> Verdict | None:
        return _limit_of(one, words, last.machine, last.jurisdiction)

    found = forecast(known.past_readings, known.past_work, limit_of, words, last.jurisdiction)
    when = last.on, last.machine.odometer
    intervals = card.intervals if card else ()
    due = due_work(intervals, known.past_work, when)
    return Outlook(found, next_look(found, intervals, when, words), words, due)


def _limit_of(
    one: PastReading, words: WearRules, machine: Machine, jurisdiction: str | None
) -> Verdict | None:
    """The verdict whose limit wear runs into, with the grade of a reading just beyond that limit."""
    wear = words.of(one.reading.component, one.reading.quantity)
    side, beyond = ("high", 1.01) if wear and wear.way == "rises" else ("low", 0.99)

    def verdicts(reading: Reading) -> tuple[Verdict, ...]:
        draft = Draft(id=one.walkround, jurisdiction=jurisdiction, text="", findings=(reading,))
        return judge(draft, one.on, machine).verdicts_of(reading.key)

    for held in verdicts(one.reading):
        bound = getattr(held.limit, side) if held.limit else None
        if bound is not None:
            worn = one.reading.model_copy(update={"value": bound * beyond, "unit": held.unit})
            grades = [verdict.grade for verdict in verdicts(worn) if verdict.rule == held.rule]
            return held.model_copy(update={"grade": grades[0] if grades else Grade.UNGRADED})
    return None


def covered(visit: Visit) -> tuple[Part, ...]:
    """How far each part that a walkround should touch was looked at, by what was confirmed of a visit.

    A part that was mentioned and is not confirmed stands as never mentioned.
    """
    items = [entered.item for entered in visit.entered]
    return touched(items, card_for(visit.machine.registration), coverage())


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
    machine = outcome.machine or before.draft.machine
    draft = before.draft.model_copy(update={"findings": findings, "actions": actions, "machine": machine})
    assessment = judge(draft, before.on, machine)
    verdicts = (*_graded_by_people(outcome), *assessment.verdicts)  # theirs decide; the rules' stand beside
    assessment = assessment.model_copy(update={"verdicts": verdicts})
    walkround = before.model_copy(update={"assessment": assessment})
    return outcome.model_copy(update={"walkround": walkround})


def _graded_by_people(outcome: Outcome) -> tuple[Verdict, ...]:
    """The grades that reviewers gave themselves, each with who gave it and why."""
    return tuple(verdict for entered in outcome.confirmed for verdict in _by_person(entered.decision))


def _by_person(decision: Decision) -> tuple[Verdict, ...]:
    """The reviewer's own grade of an item, if any."""
    if decision.grade is None:
        return ()
    told = f"Graded by {decision.who}: {decision.why}"
    return (
        Verdict(
            item=decision.item, grade=decision.grade, basis=Basis.REVIEWER, sureness="said", message=told
        ),
    )
