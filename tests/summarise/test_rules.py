"""Rules of the summary, one small outcome each."""

from __future__ import annotations

from datetime import date

import pytest
from tests.summarise.scenario import (
    PLAIN,
    SOUND,
    UNSEEN,
    absent,
    annex,
    decided,
    done,
    find,
    fine,
    graded,
    outcome,
    read,
    unseen,
    usual,
    wanted,
)

from witnessmark.knowledge.plain import plain_words
from witnessmark.summarise import Summary, summarise
from witnessmark.types import Basis, Confirmed, DecisionKind, Grade, Machine, Outcome, PastReading

GRAVE, MAJOR, MINOR = annex(Grade.DANGEROUS, "1"), annex(Grade.MAJOR, "2"), annex(Grade.MINOR, "3")
SLIGHT = usual(Grade.ADVISORY)


def page(outcome: Outcome, **more) -> Summary:
    return summarise(outcome, plain_words(), **more)


def section(summary: Summary, name: str):
    return next(part.items for part in summary.graded if part.id == name)


def parts(summary: Summary, name: str) -> list[str]:
    return [entry.part for entry in section(summary, name)]


# ── the verdict ──────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("rows", "urgency"),
    [
        ([(find("tyre", "bulge", "rear"), GRAVE), (find("horn", "inoperative"), MAJOR)], "stop"),
        ([(find("horn", "inoperative"), MAJOR), (find("seat", "damage"), PLAIN)], "work"),
        ([(find("seat", "damage"), PLAIN), (find("mirror", "loose"), MINOR)], "ungraded"),
        ([wanted("replace", "tyre", "rear"), (fine("horn"), SOUND)], "ungraded"),
        ([(find("mirror", "loose"), MINOR), (find("tyre", "aged"), SLIGHT)], "plan"),
        ([(find("tyre", "aged"), SLIGHT), (read("tyre", "pressure", 30, "psi"), PLAIN)], "watch"),
        ([(read("tyre", "pressure", 30, "psi"), PLAIN), (fine("horn"), SOUND)], "figures"),
        ([(fine("horn"), SOUND), (unseen("tyre"), UNSEEN)], "clear"),
        ([(unseen("tyre"), UNSEEN)], "nothing"),
        ([], "nothing"),
    ],
)  # fmt: skip
def test_the_gravest_thing_gives_the_verdict(rows, urgency) -> None:
    assert page(outcome(rows)).urgency == urgency


@pytest.mark.parametrize("grade", [Grade.MINOR, Grade.ADVISORY, Grade.SOUND])
def test_an_unfinished_review_gives_no_good_verdict(grade) -> None:
    waiting = [(find("tyre", "cut"), GRAVE)]
    summary = page(outcome([(fine("horn"), graded(grade))], waiting=waiting))
    assert summary.urgency == "open"
    assert summary.notice[0] == "The review is not finished."


def test_an_unfinished_review_still_says_what_must_not_wait() -> None:
    summary = page(outcome([(find("horn", "inoperative"), MAJOR)], waiting=[(fine("tyre"), SOUND)]))
    assert summary.urgency == "work"
    assert summary.notice[1].startswith("1 remark still waits")


def test_a_good_verdict_on_little_says_first_that_it_is_little() -> None:
    some = [(fine("horn"), SOUND), (fine("battery"), SOUND)]
    three = ("axle", "frame", "clutch")
    clear = "As far as it was looked at, everything was in order."
    little = "Most of this machine was not looked at. Have the rest looked at before you rely on it."
    assert page(outcome(some, never=three)).verdict == f"{little} {clear}"
    assert page(outcome(some, never=three[:2])).verdict == clear
    hidden = page(outcome([*some, (unseen("axle"), UNSEEN), (unseen("frame"), UNSEEN)], never=three[2:]))
    assert hidden.verdict.startswith("Most of this machine")


def test_a_grave_verdict_needs_no_such_word() -> None:
    grave = page(outcome([(find("tyre", "bulge", "rear"), GRAVE)], never=("axle", "frame", "clutch")))
    assert grave.verdict.startswith("Do not ride")


@pytest.mark.parametrize(
    ("verdict", "advice"),
    [
        (GRAVE, "Have this put right before you ride, and ask the workshop how"),
        (MAJOR, "Have this put right before you ride, and ask the workshop how"),
        (MINOR, "Have this put right soon, and ask the workshop how"),
        (SLIGHT, "Keep an eye on this"),
        (PLAIN, "Ask the workshop what they advise"),
    ],
)
def test_what_is_advised_where_nobody_advised_anything_agrees_with_the_grade(verdict, advice) -> None:
    made = page(outcome([(find("mirror", "loose"), verdict)]))
    assert [entry.advised for part in made.graded for entry in part.items] == [(advice,)]


def test_an_unconfirmed_machine_is_said_and_left_out() -> None:
    summary = page(outcome([(fine("horn"), SOUND)], machine=None))
    assert summary.registration is None
    assert summary.distance is None
    assert summary.notice[-1].startswith("What was said of the machine itself still waits")


def test_the_vin_stands_in_for_a_missing_registration() -> None:
    vin = "LKS00000000000001"
    assert page(outcome([], machine=Machine(vin=vin))).vin == vin
    assert page(outcome([], machine=Machine(registration="A1", vin=vin))).vin is None


def test_a_long_list_of_parts_is_cut_short() -> None:
    faulty = ["horn", "hazard", "tail_light", "brake_light", "plate_light", "headlight_dip", "headlight_main"]
    sentence = page(outcome([(find(part, "inoperative"), MAJOR) for part in faulty])).verdict
    assert sentence.endswith("horn, hazard lights, tail light, brake light, number plate light and 2 more.")


# ── grades that do not hold ──────────────────────────────────────────────────────────────────


def corrected(before, verdict, after) -> Outcome:
    """One item, and the reviewer's other wording of it."""
    drawn = outcome([(before, verdict)])
    key = drawn.confirmed[0].item.key
    change = Confirmed(
        item=after.model_copy(update={"key": key}),
        drafted=drawn.confirmed[0].item,
        decision=decided(key, DecisionKind.CORRECT),
    )
    return drawn.model_copy(update={"confirmed": (change,)})


def test_a_corrected_reading_loses_the_grade_of_the_misheard_one() -> None:
    heard, meant = (
        read("tyre", "tread_depth", 3.1, "mm", "rear"),
        read("tyre", "tread_depth", 0.9, "mm", "rear"),
    )
    summary = page(corrected(heard, graded(Grade.SOUND, low=1.0, unit="mm"), meant))
    assert summary.urgency == "ungraded"
    assert (
        section(summary, "noted")[0].found[0].text
        == "Tread depth 0.9 mm (changed in review and not graded again)"
    )
    assert summary.in_order.items == ()
    assert summary.readings.items[0].figures[0].label == "No grade"
    assert summary.readings.items[0].limits == ()


def test_a_correction_of_the_place_loses_the_grade_too() -> None:
    summary = page(
        corrected(find("fork_seal", "leak", side="left"), MINOR, find("fork_seal", "leak", side="right"))
    )
    assert parts(summary, "noted") == ["Right fork oil seal"]
    assert section(summary, "soon") == ()


def test_a_correction_that_changes_nothing_said_keeps_the_grade() -> None:
    before = find("fork_seal", "leak", side="left")
    summary = page(corrected(before, MINOR, before.model_copy(update={"confidence": 0.2})))
    assert parts(summary, "soon") == ["Left fork oil seal"]


def test_what_a_reviewer_added_has_no_grade() -> None:
    summary = page(outcome([], added=[find("tyre", "cut", "rear"), fine("horn")]))
    assert parts(summary, "noted") == ["Rear tyre"]
    assert [one.part for area in summary.in_order.items for one in area.parts] == ["Horn"]


def test_an_unsure_word_of_praise_is_no_praise() -> None:
    summary = page(outcome([(find("horn", "sound", state="unsure"), PLAIN)]))
    assert section(summary, "noted")[0].found[0].text == "In order (the technician was not certain)"


def test_a_rule_that_disagrees_is_told() -> None:
    pads = read("brake_pads", "thickness", 1.2, "mm", "front")
    maker = graded(Grade.SOUND, "handbook", Basis.MACHINE_CARD, low=1.0, unit="mm")
    summary = page(outcome([(pads, (maker, usual(Grade.MAJOR, low=1.5, unit="mm")))]))
    assert section(summary, "noted")[0].found[0].text == (
        "Thickness 1.2 mm, still within the maker’s figure (at least 1 mm), "
        "which is below the usual workshop figure (at least 1.5 mm)"
    )
    assert [line.text for line in summary.readings.items[0].limits] == ["At least 1 mm", "At least 1.5 mm"]


# ── work ─────────────────────────────────────────────────────────────────────────────────────

SLACK = {"low": 25, "high": 35, "unit": "mm"}
FOUND = (read("chain", "slack", 48, "mm"), graded(Grade.MAJOR, **SLACK))


def left(value: float, unit: str = "mm"):
    return read("chain", "slack", value, unit, phase="left")


@pytest.mark.parametrize(
    ("after", "mended"),
    [
        ((left(30), graded(Grade.SOUND, **SLACK)), True),
        ((left(30), PLAIN), True),
        ((left(1.2, "in"), PLAIN), True),
        ((left(40), PLAIN), False),
        ((left(30), usual(Grade.ADVISORY, low=31, unit="mm")), True),
        ((left(30), usual(Grade.MAJOR, low=31, unit="mm")), False),
        ((left(40), graded(Grade.MAJOR, **SLACK)), False),
        ((left(30, "psi"), PLAIN), False),
    ],
)
def test_a_figure_left_within_the_limit_mends_the_figure_found(after, mended) -> None:
    summary = page(outcome([FOUND, after, done("adjust", "chain")]))
    assert (parts(summary, "before") == []) is mended
    assert summary.done.items[0].figures[0].startswith("Slack 48 mm as found (Major), ")


@pytest.mark.parametrize(
    ("fault", "work", "mended"),
    [
        (find("mirror", "loose", side="left"), [done("tighten", "mirror", side="left")], True),
        (find("mirror", "loose", side="left"), [done("tighten", "mirror", side="right")], False),
        (find("mirror", "crack", side="left"), [done("tighten", "mirror", side="left")], False),
        (find("mirror", "loose", side="left"), [wanted("tighten", "mirror", side="left")], False),
        (find("tyre", "cut", "rear"), [done("replace", "tyre", "rear")], True),
        (find("tyre", "cut", "rear"), [done("replace", "tyre")], False),
        (find("tyre", "cut", "rear"), [done("investigate", "tyre", "rear")], False),
        (find("rear_sprocket", "hooked"), [done("replace", "sprockets")], True),
        (find("tyre", "cut", "rear"),
         [done("replace", "tyre", "rear"), wanted("replace", "tyre", "rear")], False),
    ],
)  # fmt: skip
def test_only_work_that_fits_mends(fault, work, mended) -> None:
    summary = page(outcome([(fault, MAJOR), *work]))
    assert (section(summary, "before") == ()) is mended


@pytest.mark.parametrize(("value", "mended"), [(22, True), (40, False)])
def test_air_let_in_mends_a_soft_tyre_only(value, mended) -> None:
    reading = (
        read("tyre", "pressure", value, "psi", "rear"),
        graded(Grade.MINOR, low=30, high=36, unit="psi"),
    )
    summary = page(outcome([reading, done("inflate", "tyre", "rear")]))
    assert (section(summary, "soon") == ()) is mended


def test_advice_without_a_finding_stands_under_noted() -> None:
    summary = page(outcome([(fine("battery"), SOUND), wanted("replace", "battery")]))
    entry = section(summary, "noted")[0]
    assert (entry.part, entry.advised, entry.otherwise) == (
        "Battery",
        ("Have a new battery fitted",),
        "In order",
    )
    assert summary.in_order.items == ()


# ── places ───────────────────────────────────────────────────────────────────────────────────


def test_the_same_on_both_sides_is_told_once() -> None:
    dead = [(find("indicator", "inoperative", "front", side), MAJOR) for side in ("left", "right")]
    assert parts(page(outcome(dead)), "before") == ["Both front indicators"]


def test_two_sides_that_differ_are_told_apart() -> None:
    rows = [(find("fork_seal", "leak", side="left"), MINOR), (find("fork_seal", "leak", side="right"), MINOR)]
    summary = page(outcome([*rows, wanted("replace", "fork_seal", side="left")]))
    assert parts(summary, "soon") == ["Left fork oil seal", "Right fork oil seal"]


def test_a_kind_word_for_a_troubled_part_stands_with_its_trouble() -> None:
    rows = [
        (find("tyre", "cut", "rear"), MAJOR),
        (absent("tyre", "crack", "rear"), SOUND),
        (fine("tyre", "front"), SOUND),
    ]
    summary = page(outcome(rows))
    assert section(summary, "before")[0].otherwise == "No cracks"
    assert [one.part for area in summary.in_order.items for one in area.parts] == ["Front tyre"]


@pytest.mark.parametrize(
    ("never", "added", "named"),
    [
        (("tyre",), [], ["Tyres"]),
        (("tyre",), [fine("tyre", "front")], ["Rear tyre"]),
        (("tyre",), [fine("tyre")], []),
        (("brake_pads:rear",), [], ["Rear brake pads"]),
        (("brake_pads:rear",), [fine("brake_pads", "front")], ["Rear brake pads"]),
        (("brake_pads:rear",), [fine("brake_pads", "rear")], []),
        (("indicator:rear",), [], ["Rear indicators"]),
        (("horn", "mirror"), [fine("horn")], ["Mirrors"]),
        (("horn", "horn"), [], ["Horn"]),
    ],
)
def test_what_was_never_mentioned(never, added, named) -> None:
    summary = page(outcome([], never=never, added=added))
    assert [one.part for area in summary.never.items for one in area.parts] == named


# ── the last time ────────────────────────────────────────────────────────────────────────────


def past(day: date, value: float, unit: str = "mm", walkround: str = "w-1", end: str = "rear") -> PastReading:
    return PastReading(walkround=walkround, on=day, reading=read("tyre", "tread_depth", value, unit, end))


@pytest.mark.parametrize(
    ("readings", "last"),
    [
        ([], ""),
        ([past(date(2026, 3, 3), 3.1)], "Last time 3.1 mm on 3 March 2026"),
        ([past(date(2025, 3, 3), 4.0), past(date(2026, 3, 3), 3.1)], "Last time 3.1 mm on 3 March 2026"),
        ([past(date(2026, 3, 3), 3.1, end="front")], ""),
        ([past(date(2027, 3, 3), 3.1)], ""),
        ([past(date(2026, 5, 21), 3.1, walkround="w-0123456789ab")], ""),
        ([past(date(2026, 3, 3), 4 / 32, "in")], "Last time 1/8 in on 3 March 2026"),
    ],
)
def test_the_last_reading_is_the_latest_one_before(readings, last) -> None:
    row = (read("tyre", "tread_depth", 2.8, "mm", "rear"), graded(Grade.SOUND, low=1.0, unit="mm"))
    assert page(outcome([row]), past=readings).readings.items[0].last == last


# ── the drawn scale ──────────────────────────────────────────────────────────────────────────


def test_the_scale_keeps_the_order_of_the_values() -> None:
    row = (read("tyre", "tread_depth", 0.9, "mm", "rear"), graded(Grade.DANGEROUS, low=1.0, unit="mm"))
    scale = page(outcome([row]), past=[past(date(2026, 3, 3), 3.1)]).readings.items[0].scale
    assert scale is not None
    at = {mark.kind: mark.x for mark in scale.marks}
    assert 0 < at["now"] < at["limit"] < at["past"] < 240
    assert scale.bands[0].x == 0
    assert scale.bands[0].width == at["limit"]
    assert scale.says == "0.9 mm; at least 1 mm; last time 3.1 mm on 3 March 2026"


def test_a_limit_in_another_unit_is_drawn_in_the_unit_of_the_reading() -> None:
    row = (read("tyre", "tread_depth", 3, "mm", "rear"), graded(Grade.SOUND, low=2 / 32, unit="in"))
    drawn = page(outcome([row])).readings.items[0]
    assert [mark.label for mark in drawn.scale.marks if mark.kind == "limit"] == ["1.59 mm"]
    assert drawn.limits[0].text == "At least 1/16 in, about 1.59 mm"


def test_the_technicians_limit_is_drawn_before_common_practice() -> None:
    found = (read("chain", "slack", 48, "mm"), graded(Grade.MAJOR, basis=Basis.SAID, **SLACK))
    after = (read("chain", "slack", 30, "mm", phase="left"), usual(Grade.SOUND, low=20, high=50, unit="mm"))
    scale = page(outcome([found, after])).readings.items[0].scale
    assert [mark.label for mark in scale.marks if mark.kind == "limit"] == ["25 mm", "35 mm"]
    assert [mark.label for mark in scale.marks if mark.kind in ("now", "before")] == ["48 mm", "30 mm"]


@pytest.mark.parametrize("value", ["P0118", "2021-W11"])
def test_no_scale_without_a_number(value) -> None:
    row = (read("warning_lamp", "fault_code", value), PLAIN)
    assert page(outcome([row])).readings.items[0].scale is None
