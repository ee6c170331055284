"""Nothing that is not confirmed is ever on the page, whatever else the walkround holds."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.summarise.reading import page_of
from tests.summarise.scenario import done, find, graded, outcome, read, wanted

from witnessmark.knowledge.plain import plain_words
from witnessmark.summarise import summarise
from witnessmark.types import Basis, Doubt, Evidence, Grade, Item, Outcome

WORDS = plain_words()
COMPONENTS = st.sampled_from(list(WORDS.components))
ENDS = st.sampled_from([None, "front", "rear"])
SIDES = st.sampled_from([None, "left", "right"])
STATES = ["present", "absent", "unsure"]
GRADES = st.sampled_from(list(Grade))


def marked(item: Item, mark: str) -> Item:
    """The item with a mark in all that was heard around it."""
    heard = {
        "evidence": (Evidence(text=f"heard {mark}", char_start=0, char_end=5),),
        "doubts": (Doubt(kind="doubt", message=f"doubt {mark}"),),
        "why": (f"row {mark}",),
        "said_first": f"first {mark}",
    }
    return item.model_copy(update=heard)


@st.composite
def rows(draw, prefix: str):
    """Readings whose value is a mark that nothing else on a page can contain."""
    built = []
    for number in range(draw(st.integers(0, 5))):
        mark = f"{prefix}{number}Z"
        reading = read(draw(COMPONENTS), "size_marking", mark, end=draw(ENDS))
        reading = reading.model_copy(
            update={"side": draw(SIDES), "phase": draw(st.sampled_from(["found", "left"]))}
        )
        verdict = graded(draw(GRADES), f"source {mark}", draw(st.sampled_from(list(Basis))))
        built.append(
            (marked(reading, f"hidden-{mark}"), verdict.model_copy(update={"message": f"hidden-{mark}"}))
        )
    return built


@settings(max_examples=60, deadline=None)
@given(rows("QC"), rows("QW"), rows("QR"))
def test_marks_of_confirmed_readings_only(confirmed, waiting, rejected) -> None:
    page = page_of(outcome(confirmed, waiting=waiting, rejected=rejected))
    assert "QW" not in page
    assert "QR" not in page
    assert "hidden-" not in page
    for reading, _ in confirmed:
        assert reading.value in page


@st.composite
def findings(draw):
    """Findings and work of every kind."""
    place = {"end": draw(ENDS), "side": draw(SIDES)}
    component = draw(COMPONENTS)
    if draw(st.booleans()):
        action = draw(st.sampled_from([done, wanted]))
        return action(draw(st.sampled_from(list(WORDS.actions))), component, **place)
    state, condition = draw(st.sampled_from(STATES)), draw(st.sampled_from(list(WORDS.conditions)))
    return find(component, condition, state=state, **place), graded(draw(GRADES))


SOME = st.lists(findings(), max_size=6)


@settings(max_examples=60, deadline=None)
@given(SOME, SOME, SOME)
def test_the_unconfirmed_change_only_what_is_said_to_be_left_out(confirmed, waiting, rejected) -> None:
    """They change the notice, the counts, the names left out and who did what, nothing else."""
    plain, more = outcome(confirmed), outcome(confirmed, waiting=waiting, rejected=rejected)
    assert told(plain) == told(more)


def told(outcome: Outcome) -> tuple[object, ...]:
    page = summarise(outcome, WORDS)
    return page.graded, page.done, page.readings, page.in_order, page.not_seen, page.never, page.grades


@settings(max_examples=60, deadline=None)
@given(st.lists(findings(), min_size=1, max_size=8))
def test_every_confirmed_part_is_on_the_page(confirmed) -> None:
    page = page_of(outcome(confirmed)).lower()
    for row in confirmed:
        item = row[0] if isinstance(row, tuple) else row
        part = WORDS.part(item.component)
        assert part.one.lower() in page or part.many.lower() in page
