"""What was never mentioned."""

from __future__ import annotations

import pytest

from witnessmark.assess.coverage import never_mentioned
from witnessmark.knowledge.coverage import coverage
from witnessmark.types import Action, Finding, Reading

from .making import LARKSPUR, draft, machine


def seen(component, end=None, state="present"):
    return Finding(
        component=component, end=end, condition="sound" if state == "present" else None, state=state
    )


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
