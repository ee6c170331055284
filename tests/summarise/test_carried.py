"""Faults of earlier visits stay on the owner's page until something says that they were put right."""

from __future__ import annotations

from datetime import date

import pytest
from tests.summarise.printed import text_of_pdf, words
from tests.summarise.reading import by_id, parsed, text_of
from tests.summarise.reviewed import take_in
from tests.summarise.scenario import SOUND, find, fine, graded, outcome

from witnessmark import pages
from witnessmark.knowledge.plain import plain_words
from witnessmark.record import Answers, Store
from witnessmark.summarise import Before, Summary, render, render_pdf, summarise
from witnessmark.summarise.bill import Earlier
from witnessmark.summarise.carried import GRAVE
from witnessmark.summarise.judged import Facts, Judged
from witnessmark.summarise.later import Day
from witnessmark.types import Answer, Basis, Finding, Grade, Verdict

WORDS, BEFORE = plain_words(), date(2025, 10, 2)
PUT_OFF = Answer("w-1", "fork_seal:left/replace", "not_now", "B. Hale", BEFORE)


def earlier(grade: Grade, condition: str = "leak", component: str = "fork_seal") -> Day:
    """A visit that found one thing, on the left."""
    item = Finding(component=component, side="left", condition=condition, state="present")
    verdict = Verdict(item="", grade=grade, basis=Basis.COMMON_PRACTICE)
    return Day("w-1", BEFORE, Facts((Judged(item, (verdict,)),), ()))


def page(*today: object, days: tuple[Day, ...] = (), answers: tuple[Earlier, ...] = ()) -> Summary:
    return summarise(outcome(today), WORDS, before=Before(days, {}, answers))  # type: ignore[arg-type]


@pytest.mark.parametrize("grade", GRAVE)
def test_a_grave_fault_that_nobody_looked_at_is_the_verdict(grade: Grade) -> None:
    made = page((fine("horn"), SOUND), days=(earlier(grade),))
    assert made.urgency == "again"
    assert made.verdict.startswith(
        "Do not ride this machine until somebody has looked at this: left fork oil seal."
    )
    (one,) = made.earlier.items
    assert (one.part, one.grade, one.found) == ("Left fork oil seal", grade, "Leaking")
    assert one.when == "Found on 2 October 2025. Not looked at this time, as far as anybody said."
    assert made.still == ""
    assert grade.value.title() in [row.part for row in made.grades]


def test_a_lesser_one_is_named_under_the_verdict() -> None:
    made = page((fine("horn"), SOUND), days=(earlier(Grade.MINOR),))
    assert made.urgency == "clear"
    assert made.still == "Still open from earlier visits: left fork oil seal."


def test_beside_a_grave_fault_of_today_it_is_named_too() -> None:
    made = page((find("tyre", "cut", "rear"), graded(Grade.DANGEROUS)), days=(earlier(Grade.MAJOR),))
    assert made.urgency == "stop"
    assert made.still == "Still open from earlier visits: left fork oil seal."


def test_a_word_on_the_part_that_settles_nothing_is_told_as_such() -> None:
    made = page((fine("fork_seal", side="left"), SOUND), days=(earlier(Grade.MAJOR),))
    assert [one.when for one in made.earlier.items] == [
        "Found on 2 October 2025. The part was spoken of this time, but this was not put right or found gone."
    ]


def test_what_was_found_again_today_stands_in_its_own_section_only() -> None:
    made = page((find("fork_seal", "leak", side="left"), graded(Grade.MAJOR)), days=(earlier(Grade.MAJOR),))
    assert made.earlier.items == ()
    assert made.urgency == "work"


def test_what_works_again_is_settled_however_grave_it_was() -> None:
    broken = earlier(Grade.MAJOR, "inoperative", "mirror")
    assert page((fine("mirror", side="left"), SOUND), days=(broken,)).earlier.items == ()


def test_work_put_off_stands_with_its_fault_or_by_itself_until_it_is_done() -> None:
    told = "Replace: put off on 2 October 2025. Not now, said B. Hale. "
    told += "Not done since, as far as the record shows."
    with_fault = page((fine("horn"), SOUND), days=(earlier(Grade.MINOR),), answers=(Earlier(PUT_OFF),))
    assert [(one.found, one.said) for one in with_fault.earlier.items] == [("Leaking", (told,))]
    alone = page((fine("horn"), SOUND), answers=(Earlier(PUT_OFF),))
    assert [(one.part, one.found, one.said) for one in alone.earlier.items] == [
        ("Left fork oil seal", "", (told,))
    ]
    assert alone.still == ""
    assert page((fine("horn"), SOUND), answers=(Earlier(PUT_OFF, date(2026, 1, 1)),)).earlier.items == ()


def test_page_and_print_tell_it() -> None:
    said = Earlier(PUT_OFF._replace(who="<b>B. Hale</b> #panic()"))
    made = page((fine("horn"), SOUND), days=(earlier(Grade.DANGEROUS),), answers=(said,))
    section = by_id(parsed(render(made)), "earlier")
    assert section is not None
    printed = words(text_of_pdf(render_pdf(made)))
    for one in made.earlier.items:
        for text in (one.part, one.label, one.found, one.when, *one.said):
            assert words(text) in words(text_of(section))
            assert words(text) in printed


LARKSPUR = "Registration Kilo X-ray two one Whiskey Papa Tango. "
FIRST = (
    LARKSPUR + "Twelve thousand miles on the clock. The front brake hose is leaking. The horn does not work."
)
SECOND = LARKSPUR + "Thirteen thousand miles on the clock. The horn works."
THIRD = LARKSPUR + "Fourteen thousand miles on the clock. I replaced the front brake hose."


def test_only_confirmed_faults_are_carried_through_the_record(tmp_path) -> None:
    with Store.open(tmp_path / "record.sqlite") as record:
        ids = [take_in(record, FIRST, date(2026, 1, 5), "GB")]
        take_in(record, LARKSPUR + "The rear tyre is cut.", date(2026, 1, 6), "GB", leave=1)
        ids += [
            take_in(record, SECOND, date(2026, 3, 5), "GB"),
            take_in(record, THIRD, date(2026, 4, 5), "GB"),
        ]
        Answers(record).add(
            [Answer(ids[0], "brake_hose:front/repair", "not_now", "B. Hale", date(2026, 1, 5))]
        )
        first, second, third = (pages.summary_of(record, one, None)[1] for one in ids)
    assert first.earlier.items == ()
    assert [(one.part, len(one.said)) for one in second.earlier.items] == [("Front brake hose", 1)]
    assert second.urgency == "again"
    assert third.earlier.items == (), "a new hose needs no repair"
    assert third.urgency != "again"
