"""When parts may reach their limits, as the owner reads it."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest
from tests.summarise.reading import by_id, grade_level, page_of, parsed, text_of
from tests.summarise.scenario import calm, done, find, graded, grave, outcome, read, unseen

from witnessmark.knowledge.plain import plain_words
from witnessmark.knowledge.standing import standings
from witnessmark.knowledge.wear import wear_rules
from witnessmark.summarise import Outlook, summarise
from witnessmark.types import (
    Basis,
    DaySpan,
    Forecast,
    Grade,
    Limit,
    NextLook,
    Odometer,
    PastReading,
    Span,
    Together,
    Verdict,
)

RULES = wear_rules()
LAW = Verdict(item="", grade=Grade.SOUND, basis=Basis.LAW, limit=Limit(low=1.0), unit="mm")


def seen(value: float, miles: float, on: date) -> PastReading:
    return PastReading(walkround=f"w-{on}", on=on, odometer=Odometer(value=miles, unit="mi"),
                       reading=read("tyre", "tread_depth", value, "mm", "rear"))  # fmt: skip


PAST = (seen(4.0, 10_000, date(2025, 3, 14)), seen(3.0, 14_000, date(2025, 10, 2)))
ESTIMATE = Forecast(
    component="tyre", end="rear", quantity="tread_depth", unit="mm", state="estimate", readings=PAST,
    limit=1.0, verdict=LAW, clock="mi", rate=Span(value=0.25, low=0.18, high=0.32),
    left=Span(value=8000, low=5149, high=12_651), at=Span(value=22_049, low=19_149, high=26_651),
    day=DaySpan(value=date(2026, 11, 8), low=date(2026, 6, 17), high=date(2027, 6, 28)),
)  # fmt: skip
LOOK = NextLook(at=16_574.5, clock="mi", on=date(2026, 3, 1), because=("tyre:rear", "larkspur-400.service"))


def page(*forecasts: Forecast, look: NextLook = LOOK) -> Any:
    return summarise(calm(), plain_words(), outlook=Outlook(forecasts, look, RULES))


def lines(forecast: Forecast) -> tuple[str, ...]:
    (one,) = page(forecast).ahead.items
    return one.lines


def test_an_estimate_with_its_bounds_and_what_it_rests_on() -> None:
    assert lines(ESTIMATE) == (
        "At its limit (the legal limit, at least 1 mm) at about 22,000 miles, around November 2026.",
        "It may be as early as 19,100 miles (June 2026) or as late as 26,700 miles (June 2027).",
        "This counts on about 7,200 miles a year, as between the visits so far.",
        "It has worn 0.25 mm per 1,000 miles, by 2 readings since 14 March 2025.",
    )


def test_without_a_distance_nothing_is_said_of_a_year() -> None:
    bare = ESTIMATE.model_copy(update={"readings": (PAST[0].model_copy(update={"odometer": None}), PAST[1])})
    assert not any("a year" in line for line in lines(bare))


def test_an_early_bound_is_never_told_late_nor_a_late_one_early() -> None:
    near = ESTIMATE.model_copy(
        update={"at": Span(value=999, low=989.9, high=1001), "day": None, "reason": "R."}
    )
    assert lines(near)[:3] == (
        "At its limit (the legal limit, at least 1 mm) at about 1,000 miles.",
        "R.",
        "It may be as early as 980 miles or as late as 1,100 miles.",
    )


def test_what_may_be_reached_at_any_time_says_so() -> None:
    now = ESTIMATE.model_copy(update={"left": Span(value=500, low=0, high=2000)})
    assert lines(now)[1].startswith("It may be reached at any time")


def test_reached_far_and_none() -> None:
    bare = {"rate": None, "left": None, "at": None, "day": None}
    reached = ESTIMATE.model_copy(update={**bare, "state": "reached"})
    assert lines(reached) == ("Its limit (the legal limit, at least 1 mm) is reached. Do not wait.",)
    advice = LAW.model_copy(update={"grade": Grade.ADVISORY, "basis": Basis.COMMON_PRACTICE})
    advised = reached.model_copy(update={"verdict": advice})
    assert lines(advised) == (
        "What is advised (the usual workshop figure, at least 1 mm) is reached. Plan to have it replaced.",
    )
    far = ESTIMATE.model_copy(update={**bare, "state": "far", "not_before": 31_980})
    assert lines(far)[0].startswith("Not at its limit (the legal limit, at least 1 mm) before 31,900 miles")
    none = ESTIMATE.model_copy(update={**bare, "state": "none", "reason": "Measure again."})
    assert lines(none) == ("No estimate. Measure again.",)


def test_a_part_with_one_reading_is_left_out() -> None:
    one = ESTIMATE.model_copy(update={"state": "none", "reason": "One.", "readings": PAST[:1]})
    assert page(one).ahead.items == ()


def test_when_to_look_again_and_what_sets_it() -> None:
    assert page(ESTIMATE).look == (
        "Look at the machine again by 1 March 2026 or 16,500 miles, whichever comes first.",
        "This is set by the rear tyre.",
    )
    usual = NextLook(on=date(2026, 3, 1), because=("usual",), now=True, overdue=("chain",))
    assert page(look=usual).look == (
        "Some parts are at their limit, or may be, so do not wait for the next inspection.",
        "The time to measure again has passed for the drive chain, so do not wait.",
        "Once that is put right, look at the machine again by 1 March 2026.",
    )


def test_without_a_history_the_page_says_nothing_of_the_time_to_come() -> None:
    root = parsed(page_of(calm()))
    assert by_id(root, "ahead") is None
    assert "Look at the machine again" not in text_of(root)


def test_the_page_is_sound_with_forecasts_on_it() -> None:
    root = parsed(page_of(calm(), outlook=Outlook((ESTIMATE,), LOOK, RULES)))
    section = by_id(root, "ahead")
    assert section is not None
    assert "Rear tyre Tread depth" in text_of(section)
    links = [node.get("href") for node in root.iter("a")]
    assert "#ahead" in links


# ── the verdict ──────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("made", [calm, grave])
def test_the_verdict_says_what_made_it_and_that_it_is_no_certificate(made) -> None:
    summary = summarise(made(), plain_words())
    assert summary.certificate in text_of(parsed(page_of(made())))
    named = [one.partition(":")[0] for one in summary.because]
    assert all(part[:1].lower() + part[1:] in summary.verdict for part in named[:5])


def test_every_urgency_has_a_level_with_a_name() -> None:
    assert {row.id for row in standings().levels} == set(plain_words().verdicts)


def test_the_gravest_parts_never_mentioned_are_named_first() -> None:
    summary = summarise(outcome([], never=("tyre:rear", "brake_pads", "horn")), plain_words())
    assert "Ask about these first, for nobody spoke of them: rear tyre and brake pads." in summary.coverage
    assert "horn" not in summary.coverage
    assert "Ask about" not in summarise(outcome([], never=("horn",)), plain_words()).coverage


def test_a_part_that_could_not_be_seen_is_not_called_unspoken_of() -> None:
    summary = summarise(outcome([], never=("tyre:rear",), added=[unseen("tyre", "rear")]), plain_words())
    assert "Ask about" not in summary.coverage


def raised(items: tuple[str, ...]) -> Together:
    return Together(
        group="brakes",
        grade=Grade.MAJOR,
        raised=Grade.DANGEROUS,
        items=items,
        rule="r",
        source="s",
        message="m",
    )


@pytest.mark.parametrize(
    ("items", "told"), [(("c-0", "c-1"), True), (("c-0", "w-0"), False), (("c-0", "c-2"), False)]
)
def test_faults_that_add_up_are_told_where_all_of_them_stand(items: tuple[str, ...], told: bool) -> None:
    """One that waits for review, and one that was put right, do not count."""
    rows = [
        (find("brake_pads", "worn", "front"), graded(Grade.MAJOR)),
        (find("brake_hose", "crack", "front"), graded(Grade.MAJOR)),
        (find("brake_caliper", "loose", "front"), graded(Grade.MAJOR)),
        done("tighten", "brake_caliper", "front"),
    ]
    about = outcome(rows, waiting=[(find("brake_disc", "crack", "front"), graded(Grade.MAJOR))])
    assessment = about.walkround.assessment.model_copy(update={"together": (raised(items),)})
    walkround = about.walkround.model_copy(update={"assessment": assessment})
    summary = summarise(about.model_copy(update={"walkround": walkround}), plain_words())
    assert bool(summary.together) is told
    if told:
        assert "brakes" in summary.together[0]
        assert "dangerous" in summary.together[0]


# ── words ────────────────────────────────────────────────────────────────────────────────────


def owners_words() -> list[str]:
    rows = standings()
    return [
        rows.scope,
        rows.first,
        rows.together,
        rows.none,
        rows.note,
        *RULES.words.values(),
        *RULES.reasons.values(),
    ]


def test_nothing_is_called_safe() -> None:
    assert "safe" not in " ".join(owners_words()).lower()


def test_a_twelve_year_old_can_read_it() -> None:
    """As for the plain words: grade 7 of the US school, no sentence longer than 25 words."""
    texts = tuple(text for text in owners_words() if len(text.split()) > 4)
    assert grade_level(texts) < 7
    sentences = [part for text in texts for part in re.split(r"(?<=[.!?:])\s+", text)]
    assert [part for part in sentences if len(part.split()) > 25] == []
