"""What was never mentioned."""

from __future__ import annotations

import pytest

from witnessmark.assess.coverage import never_mentioned, touched
from witnessmark.knowledge.coverage import Coverage, coverage
from witnessmark.types import Action, Finding, Reading

from .making import LARKSPUR, draft, machine


def seen(component, end=None, state="present", side=None):
    condition = {"present": "sound", "absent": "crack", "unsure": "play"}.get(state)
    return Finding(component=component, end=end, side=side, condition=condition, state=state)


def gaps(*items, card=LARKSPUR):
    return never_mentioned(draft(*items), card, coverage())


def test_a_silent_walkround_misses_everything_gravest_first():
    missing = gaps()
    assert missing[:3] == ("tyre", "brake_pads", "brake_disc")
    assert missing.index("brake_pads") < missing.index("horn") < missing.index("reflector")
    assert not {"brake_shoes", "drive_belt", "shaft_drive"} & set(missing)


def test_one_end_alone_leaves_the_other():
    missing = gaps(seen("tyre", "front"))
    assert "tyre:rear" in missing
    assert "tyre" not in missing
    assert not [gap for gap in gaps(seen("tyre", "front"), seen("tyre", "rear")) if gap.startswith("tyre")]


def test_a_mention_without_an_end_counts_for_both():
    assert not [gap for gap in gaps(seen("tyre")) if gap.startswith("tyre")]


def test_the_whole_does_not_count_for_its_pieces():
    assert "brake_pads" in gaps(seen("brakes", "front"), seen("brakes", "rear"))


def test_both_sprockets_count_for_each():
    assert not {"front_sprocket", "rear_sprocket"} & set(gaps(seen("sprockets")))


@pytest.mark.parametrize(
    "item",
    [
        seen("horn", state="unseen"),
        Action(component="horn", kind="replace", status="wanted"),
        Reading(component="horn", quantity="voltage", value=12.0, unit="V"),
    ],
)
def test_any_item_is_a_mention(item):
    assert "horn" in gaps()
    assert "horn" not in gaps(item)


def test_a_rear_drum_on_the_card_wants_shoes_there_and_pads_in_front():
    missing = gaps(seen("brake_pads", "front"), card=machine(rear_brake="drum"))
    assert "brake_shoes" in missing
    assert not [gap for gap in missing if gap.startswith(("brake_pads", "brake_fluid:rear"))]


def test_without_a_card_what_was_mentioned_shows_how_it_is_built():
    missing = gaps(seen("brake_shoes", "rear"), seen("drive_belt"), card=None)
    assert "brake_pads" in missing
    assert not {"chain", "front_sprocket", "shaft_drive", "coolant"} & set(missing)
    assert not [gap for gap in missing if gap.startswith("brake_shoes")]
    assert "coolant" in gaps(card=LARKSPUR)


# ── left and right ───────────────────────────────────────────────────────────────────────────


def of(component, missing):
    return [gap for gap in missing if gap.partition(":")[0] == component]


def test_one_side_of_a_pair_leaves_the_other():
    assert of("mirror", gaps(seen("mirror", side="left"))) == ["mirror:right"]
    assert of("mirror", gaps(seen("mirror", side="left"), seen("mirror", side="right"))) == []
    assert of("mirror", gaps(seen("mirror"))) == []


def test_corners_are_named_by_end_where_both_sides_are_missing():
    one = seen("indicator", "rear", side="left")
    assert of("indicator", gaps(one)) == ["indicator:front", "indicator:rear right"]
    assert of("indicator", gaps(seen("indicator", "front"))) == ["indicator:rear"]


def test_one_shock_has_no_other_side_and_two_shocks_have():
    left = seen("shock", side="left")
    assert of("shock", gaps(left, card=machine(shocks="one"))) == []
    assert of("shock", gaps(left, card=machine(shocks="two"))) == ["shock:right"]
    assert of("shock", gaps(left, card=None)) == ["shock:right"]
    assert of("shock", gaps(card=machine(shocks="two"))) == ["shock"]


# ── how the machine is built ─────────────────────────────────────────────────────────────────

BUILT = [
    ({"engine": "four_stroke"}, {"engine_oil", "exhaust", "fuel_system"}, {"two_stroke_oil", "gearbox"}),
    ({"engine": "two_stroke"}, {"two_stroke_oil", "gearbox", "exhaust"}, {"engine_oil"}),
    ({"engine": "electric"}, {"wiring", "battery"}, {"engine_oil", "exhaust", "fuel_system"}),
    ({"gears": "automatic"}, set(), {"clutch"}),
    ({"final_drive": "belt"}, {"drive_belt"}, {"chain", "front_sprocket", "shaft_drive"}),
    ({"final_drive": "shaft"}, {"shaft_drive"}, {"chain", "rear_sprocket", "drive_belt"}),
    ({"final_drive": "hub"}, set(), {"chain", "drive_belt", "shaft_drive"}),
    ({"wheels": "spoked"}, {"spokes"}, set()),
    ({"abs": "fitted"}, {"abs"}, set()),
    ({"cooling": "air"}, set(), {"coolant"}),
    ({"front_brake": "drum", "rear_brake": "drum"}, {"brake_shoes", "brake_linkage"},
     {"brake_pads", "brake_disc", "brake_fluid", "brake_hose", "brake_caliper"}),
]  # fmt: skip


@pytest.mark.parametrize(("facts", "wanted", "not_wanted"), BUILT)
def test_what_is_wanted_follows_how_the_machine_is_built(facts, wanted, not_wanted):
    missing = set(gaps(card=machine(**facts)))
    assert wanted <= missing
    assert not not_wanted & missing


def test_two_stroke_oil_in_the_talk_shows_a_two_stroke():
    assert "engine_oil" not in gaps(seen("two_stroke_oil"), card=None)


# ── how far a part was looked at ─────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("items", "touch"),
    [
        ([], "never mentioned"),
        ([seen("horn", state="unseen")], "unseen"),
        ([seen("horn", state="unsure")], "unsure"),
        ([seen("horn", state="absent")], "ruled out"),
        ([seen("horn", state="unseen"), seen("horn")], "seen"),
        ([seen("horn", state="absent"), seen("horn")], "seen"),
    ],
)
def test_the_most_that_was_said_of_a_part(items, touch):
    (part,) = [part for part in touched(items, LARKSPUR, coverage()) if part.component == "horn"]
    assert part.touch == touch


def test_a_part_that_could_not_be_seen_is_not_seen():
    parts = touched([seen("swingarm", state="unseen")], LARKSPUR, coverage())
    assert "seen" not in {part.touch for part in parts}


def test_gravest_first():
    risks = [part.risk for part in touched([], LARKSPUR, coverage())]
    assert risks == sorted(risks)
    assert len(set(risks)) == 3


ANNEX_I = {
    "0.1": "number_plate", "1.1.2": "brake_lever", "1.1.10": "brake_fluid", "1.1.12": "brake_hose",
    "1.1.13": "brake_pads", "1.1.14": "brake_disc", "1.1.16": "brake_caliper", "2.2.1": "handlebar",
    "2.2.2": "yoke", "2.3": "head_bearing", "3.3": "mirror", "4.1.1": "headlight_dip",
    "4.2.1": "position_light", "4.3.1": "brake_light", "4.3.2": "brake_light_switch", "4.4.1": "indicator",
    "4.7.1": "plate_light", "4.8.1": "reflector", "4.9.1": "warning_lamp", "4.13": "battery",
    "5.1.3": "wheel_bearing", "5.2.1": "axle", "5.2.2": "wheel", "5.2.3": "tyre", "5.3.2": "shock",
    "5.3.4": "swingarm", "6.1.1": "frame", "6.1.2": "exhaust", "6.1.3": "fuel_system", "6.1.7": "chain",
    "6.2.10": "mudguard", "6.2.11": "side_stand", "6.2.12": "footrest", "7.7": "horn", "7.8": "instruments",
}  # fmt: skip
"""Items of Annex I to Directive 2014/45/EU that a walkround without a test bench can look at, and the part
that each is about. 0.1 and 5.1.3 were read; the other numbers are from memory."""


def test_every_item_of_the_roadworthiness_directive_is_expected():
    rows: Coverage = coverage()
    assert {row.id: row.item for row in rows.expected if row.id in ANNEX_I.values()} == {
        part: item for item, part in ANNEX_I.items()
    }
    assert set(ANNEX_I.values()) <= {gap.partition(":")[0] for gap in gaps(card=LARKSPUR)}
