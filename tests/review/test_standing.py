"""The order in which a reviewer sees the items."""

from helpers_walkround import HORN, KEYS, SEAL, corrected, decision, machine, walkround
from witnessmark.review import MACHINE, queue
from witnessmark.review.standing import gravest, standings
from witnessmark.types import Basis, Doubt, Grade, Machine, Verdict


def test_doubt_and_danger_come_first_and_ties_keep_the_order_of_the_talk() -> None:
    assert queue(walkround()) == (
        "f-pads",  # doubtful and dangerous
        "r-tread",  # dangerous
        "r-volts",  # doubtful, only advisory
        "f-seal",  # major
        "f-filter",  # not seen
        "a-chain",  # work is not graded; said before
        "a-pads",  # ... this
        MACHINE,  # nothing doubtful about the identity
        "r-slack",  # sound; said before
        "f-horn",  # ... this, though drafted first
    )


def test_a_doubtful_identity_comes_before_everything() -> None:
    doubt = Doubt(kind="low_probability", message="One letter of the plate is unsure.")
    unsure = machine().model_copy(update={"doubts": (doubt,)})
    assert queue(walkround(identity=unsure))[0] == MACHINE


def test_an_identity_that_was_not_said_is_asked_for_first() -> None:
    assert queue(walkround(identity=Machine(), findings=(), actions=())) == (MACHINE,)


def test_a_decided_item_leaves_the_queue_and_a_postponed_one_comes_last() -> None:
    sample = walkround()
    trail = (decision(sample, "f-pads"), decision(sample, "r-tread", "postpone"))
    waiting = queue(walkround(decisions=trail))
    assert "f-pads" not in waiting
    assert waiting[-1] == "r-tread"
    assert set(waiting) == {MACHINE, *KEYS} - {"f-pads"}


def test_a_postponed_identity_comes_after_postponed_items_less_doubtful() -> None:
    sample = walkround(identity=Machine(), findings=(HORN,), actions=())
    trail = (decision(sample, MACHINE, "postpone"),)
    assert queue(sample.model_copy(update={"decisions": trail})) == ("f-horn", MACHINE)


def test_the_gravest_verdict_counts_whichever_rule_decided() -> None:
    mild = Verdict(item="x", grade=Grade.SOUND, basis=Basis.MACHINE_CARD)
    grave = Verdict(item="x", grade=Grade.MAJOR, basis=Basis.COMMON_PRACTICE)
    assert gravest((mild, grave)) is Grade.MAJOR
    assert gravest(()) is Grade.UNGRADED


def test_an_added_item_put_back_waits_as_it_was_added() -> None:
    sample = walkround()
    extra = corrected(SEAL, key="added-1", side="right", evidence=())
    trail = (
        decision(sample, "added-1", "add", becomes=extra),
        decision(sample, "added-1", "postpone"),
    )
    later = sample.model_copy(update={"decisions": trail})
    assert queue(later)[-1] == "added-1"
    assert standings(later)["added-1"].proposal == extra
    assert standings(later)["added-1"].drafted is None
