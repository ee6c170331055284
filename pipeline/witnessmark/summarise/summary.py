"""Puts the page together from what is confirmed."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date

from witnessmark.knowledge.drawings import drawings
from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.ahead import Outlook, ahead, look_again
from witnessmark.summarise.carried import Before, carried, gravest
from witnessmark.summarise.cautions import cautions
from witnessmark.summarise.entries import graded_sections
from witnessmark.summarise.genuine import genuine
from witnessmark.summarise.judged import FAULTY, Facts, facts_of, sort
from witnessmark.summarise.lists import gravest_gaps, in_order, never_mentioned, not_seen, unconfirmed
from witnessmark.summarise.page import Carried, Named, Section, Summary
from witnessmark.summarise.people import MACHINE, people
from witnessmark.summarise.photographs import Given, photographs
from witnessmark.summarise.readings import readings_table
from witnessmark.summarise.verdict import (
    BEFORE_RIDING,
    add_up,
    ask_first,
    coverage,
    mostly_unseen,
    still_open,
    verdict,
)
from witnessmark.summarise.where import drawing, numbered
from witnessmark.summarise.words import distance_text, unique, written
from witnessmark.summarise.work import work_done
from witnessmark.types import Grade, Machine, Outcome, PastReading

NOTHING_BEFORE = Before()


def summarise(
    outcome: Outcome,
    plain: PlainWords,
    past: Sequence[PastReading] = (),
    made_on: date | None = None,
    outlook: Outlook | None = None,
    *,
    built: Collection[str] = (),
    photos: Sequence[Given] = (),
    before: Before = NOTHING_BEFORE,
) -> Summary:
    """The owner's page.

    Only ``outcome.confirmed`` is told. A verdict counts only when the graded item (the one with its key in
    ``outcome.walkround.draft``) says the same as the confirmed one; an item that a reviewer changed or added
    without grading it again stands under "also noted".

    Args:
        outcome: what the review came to.
        plain: the plain words (``witnessmark.knowledge.plain.plain_words``), in the language of the page.
        past: earlier confirmed readings of this machine; those of this walkround or later are passed over.
        made_on: day on which the page is made.
        outlook: forecasts from the machine's history up to this walkround.
        built: how the machine is built (ids of alternatives of ``coverage.yaml``), which chooses the drawing.
        photos: pictures (JPEG or PNG files) with their captions.
        before: what earlier visits found, and what the owner answered to offered work.

    Raises:
        BadInputError: a picture cannot be read.
    """
    words = plain.in_country(outcome.walkround.draft.jurisdiction)
    facts = facts_of(outcome)
    piles = sort(words, facts)
    graded = numbered(graded_sections(words, facts, piles))
    done = work_done(words, facts, piles)
    earlier = carried(words, before, outcome, facts)
    unseen, refused = not_seen(words, piles), unconfirmed(words, facts, outcome)
    gaps = outcome.walkround.assessment.never_mentioned
    never, grave = never_mentioned(words, facts, gaps), gravest_gaps(words, facts, gaps)
    looked_at = {one.item.place for one in facts.judged if not one.unseen}
    little = mostly_unseen(looked_at, unseen, never, refused)
    said = verdict(words, graded, complete=outcome.complete, again=gravest(earlier), worked=bool(done.items),
                   praised=bool(piles.in_order or piles.settled), little=little)  # fmt: skip
    machine = outcome.machine or Machine()
    inspected = written(words, outcome.walkround.on)
    page = Summary(
        language=words.locale.replace("_", "-"),
        labels=words.paper.labels,
        title=", ".join((machine.registration or machine.vin or words.paper.labels["machine"], inspected)),
        registration=machine.registration,
        vin=machine.vin if not machine.registration else None,
        distance=distance_text(words, machine.odometer) if machine.odometer else None,
        inspected=inspected,
        made=written(words, made_on) if made_on else "",
        notice=notice_of(words, outcome),
        urgency=said.urgency,
        verdict=said.sentence,
        little=little,
        because=said.because,
        together=add_up(words, outcome.walkround.assessment.together, {one.item.key for one in piles.graded}),
        still=still_open(words, said, earlier),
        certificate=words.standing["note"],
        coverage=" ".join(unique((coverage(words, unseen, never, refused), ask_first(words, grave)))),
        graded=graded,
        earlier=earlier,
        grades=_grades(words, facts, earlier),
        done=done,
        ahead=ahead(words, outlook),
        look=look_again(words, outlook, first=said.urgency in BEFORE_RIDING),
        readings=readings_table(words, facts, past, outcome.walkround),
        in_order=in_order(words, facts, piles),
        not_seen=unseen,
        never=never,
        unconfirmed=refused,
        cautions=cautions(words, outcome, facts),
        people=people(words, outcome, made_on),
        drawing=drawing(words, graded, drawings().of_machine(built), drawings().places),
        photographs=photographs(words, photos),
    )
    sealed = genuine(words, page, outcome.walkround.id, made_on)
    return page.model_copy(update={"genuine": sealed})


def notice_of(words: PlainWords, outcome: Outcome) -> tuple[str, ...]:
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


def _grades(words: PlainWords, facts: Facts, earlier: Section[Carried]) -> tuple[Named, ...]:
    """The labels that the page uses, gravest first, each with its explanation."""
    used: set[str] = {*(one.grade for one in facts.judged), *(one.grade for one in earlier.items)}
    return tuple(
        Named(part=words.grades[grade].label, detail=words.grades[grade].explains)
        for grade in (*FAULTY, Grade.UNGRADED)
        if grade in used
    )
