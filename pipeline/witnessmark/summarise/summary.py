"""Puts the page together from what is confirmed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from witnessmark.knowledge.plain import PlainWords
from witnessmark.knowledge.standing import standings
from witnessmark.summarise.ahead import Outlook, ahead, look_again
from witnessmark.summarise.cautions import cautions
from witnessmark.summarise.entries import graded_sections
from witnessmark.summarise.judged import FAULTY, Facts, facts_of, sort
from witnessmark.summarise.lists import gravest_gaps, in_order, never_mentioned, not_seen, unconfirmed
from witnessmark.summarise.page import Named, Summary
from witnessmark.summarise.people import MACHINE, people
from witnessmark.summarise.readings import readings_table
from witnessmark.summarise.verdict import add_up, ask_first, coverage, verdict
from witnessmark.summarise.words import distance_text, unique, written
from witnessmark.summarise.work import work_done
from witnessmark.types import Grade, Machine, Outcome, PastReading


def summarise(
    outcome: Outcome,
    plain: PlainWords,
    past: Sequence[PastReading] = (),
    made_on: date | None = None,
    outlook: Outlook | None = None,
) -> Summary:
    """The owner's page.

    Only ``outcome.confirmed`` is told. A verdict counts only when the graded item (the one with its key in
    ``outcome.walkround.draft``) says the same as the confirmed one; an item that a reviewer changed or added
    without grading it again stands under "also noted".

    Args:
        outcome: what the review came to.
        plain: the plain words (``witnessmark.knowledge.plain.plain_words``).
        past: earlier confirmed readings of this machine; those of this walkround or later are passed over.
        made_on: day on which the page is made.
        outlook: forecasts from the machine's history up to this walkround.
    """
    facts = facts_of(outcome)
    piles = sort(plain, facts)
    graded = graded_sections(plain, facts, piles)
    done = work_done(plain, facts, piles)
    unseen, refused = not_seen(plain, piles), unconfirmed(plain, facts, outcome)
    gaps = outcome.walkround.assessment.never_mentioned
    never, grave = never_mentioned(plain, facts, gaps), gravest_gaps(plain, facts, gaps)
    said = verdict(plain, graded, complete=outcome.complete, worked=bool(done.items),
                   praised=bool(piles.in_order or piles.settled))  # fmt: skip
    machine = outcome.machine or Machine()
    inspected = written(outcome.walkround.on)
    return Summary(
        title=", ".join((machine.registration or machine.vin or "Motorcycle", inspected)),
        registration=machine.registration,
        vin=machine.vin if not machine.registration else None,
        distance=distance_text(plain, machine.odometer) if machine.odometer else None,
        inspected=inspected,
        made=written(made_on) if made_on else "",
        notice=_notice(plain, outcome),
        urgency=said.urgency,
        verdict=said.sentence,
        because=said.because,
        together=add_up(plain, outcome.walkround.assessment.together, {one.item.key for one in piles.graded}),
        certificate=standings().note,
        coverage=" ".join(unique((coverage(plain, unseen, never, refused), ask_first(plain, grave)))),
        graded=graded,
        grades=_grades(plain, facts),
        done=done,
        ahead=ahead(plain, outlook),
        look=look_again(plain, outlook),
        readings=readings_table(plain, facts, past, outcome.walkround),
        in_order=in_order(plain, facts, piles),
        not_seen=unseen,
        never=never,
        unconfirmed=refused,
        cautions=cautions(plain, outcome, facts),
        people=people(plain, outcome, made_on),
    )


def _notice(words: PlainWords, outcome: Outcome) -> tuple[str, ...]:
    """What waits for review, for the top of the page."""
    if outcome.complete:
        return ()
    count = sum(key != MACHINE for key in outcome.waiting)
    lines = [words.phrases["unfinished"]]
    if count:
        lines.append(words.phrases["left_out_one" if count == 1 else "left_out_many"].format(n=count))
    if MACHINE in outcome.waiting:
        lines.append(words.phrases["machine_waits"])
    return tuple(lines)


def _grades(words: PlainWords, facts: Facts) -> tuple[Named, ...]:
    """The labels that the page uses, gravest first, each with its explanation."""
    used = {one.grade for one in facts.judged}
    return tuple(
        Named(part=words.grades[grade].label, detail=words.grades[grade].explains)
        for grade in (*FAULTY, Grade.UNGRADED)
        if grade in used
    )
