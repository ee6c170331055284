"""Words of degree, defects that count together, and findings that the words of another imply."""

from __future__ import annotations

import pytest

from witnessmark.assess import assess
from witnessmark.extract import extract
from witnessmark.knowledge.limits import rules
from witnessmark.types import Basis, Finding, Grade

from .making import draft, heard, of_finding


@pytest.mark.parametrize(
    ("words", "grade"),
    # Annex I item 5.1.3 a (read): major, dangerous where control is impaired. The words are common practice.
    [
        ("a bit of play", Grade.MAJOR),
        ("play", Grade.MAJOR),
        ("not badly, just play", Grade.MAJOR),
        ("bad wheel, play", Grade.MAJOR),
        ("an awful lot of play", Grade.DANGEROUS),
        ("very slight play", Grade.MAJOR),
        ("severe play", Grade.DANGEROUS),
    ],
)
def test_a_degree_moves_along_the_ladder_of_the_row(words, grade):
    assert of_finding("GB", "wheel_bearing", "play", words).grade is grade


def test_a_slight_degree_below_the_classes_of_the_law_is_common_practice():
    verdict = of_finding("EU", "brake_pads", "worn", "just starting to wear")
    assert (verdict.grade, verdict.basis) == (Grade.ADVISORY, Basis.COMMON_PRACTICE)
    assert "said to be slight, so advisory and not major" in verdict.message.lower()


def test_the_degree_is_told():
    assert "said to be bad" in of_finding("EU", "frame", "crack", "badly cracked").message.lower()


def defects(*rows: tuple[str, str], country: str = "EU"):
    found = [
        Finding(key=f"k{number}", component=component, condition=condition, state="present")
        for number, (component, condition) in enumerate(rows)
    ]
    return assess(draft(*found), rules(country)).together


def test_several_defects_of_one_group_may_be_classed_higher():
    """Directive 2014/45/EU article 7(3) (from memory); how many are several is a choice of this project."""
    (one,) = defects(("brake_fluid", "low"), ("brake_hose", "chafed"))
    assert (one.group, one.grade, one.raised) == ("brakes", Grade.MINOR, Grade.MAJOR)
    assert one.items == ("k0", "k1")
    assert one.sureness == "memory"
    assert "article 7(3)" in one.message
    assert "a person decides" in one.message


@pytest.mark.parametrize(
    "rows",
    [
        [("brake_fluid", "low")],
        [("brake_fluid", "low"), ("brake_fluid", "low")],  # the same defect twice
        [("brake_hose", "chafed"), ("brake_hose", "perished")],  # one part
        [("brake_fluid", "low"), ("mirror", "crack")],  # two groups
        [("brake_fluid", "low"), ("brake_pads", "worn")],  # two classes
    ],
)
def test_what_is_not_several(rows):
    assert defects(*rows) == ()


def test_where_the_directive_is_no_law_it_says_so():
    (one,) = defects(("brake_fluid", "low"), ("brake_hose", "chafed"), country="US-MD")
    assert "taken here as common practice" in one.message


TWO = "The left fork seal is leaking, oil is running down the leg onto the caliper."


def test_oil_from_a_fork_onto_the_caliper_is_two_findings():
    """Former GB manual § 2.3 and Annex I item 1.1.13 b (from memory)."""
    leak = Finding(
        key="a", component="fork_seal", side="left", condition="leak", state="present", evidence=heard(TWO)
    )
    judged = assess(draft(leak), rules("GB"))
    first, second = judged.draft.findings
    assert (second.component, second.end, second.condition) == ("brake_caliper", "front", "contamination")
    assert second.doubts[0].kind == "implied"
    assert second.evidence == first.evidence
    assert judged.verdicts_of(second.key)[0].grade is Grade.MAJOR


def test_it_is_implied_once_and_not_again_when_judged_again():
    leak = Finding(key="a", component="fork_seal", condition="leak", state="present", evidence=heard(TWO))
    once = assess(draft(leak), rules("GB")).draft
    assert assess(once, rules("GB")).draft == once


def test_what_was_said_of_the_caliper_itself_is_not_doubled():
    leak = Finding(key="a", component="fork_seal", condition="leak", state="present", evidence=heard(TWO))
    own = Finding(key="b", component="brake_caliper", end="front", condition="contamination", state="present")
    assert len(assess(draft(leak, own), rules("GB")).draft.findings) == 2


@pytest.mark.parametrize("words", ["leaking, but not on the caliper", "leaking"])
def test_nothing_is_implied_that_was_denied_or_not_said(words):
    leak = Finding(key="a", component="fork_seal", condition="leak", state="present", evidence=heard(words))
    assert len(assess(draft(leak), rules("GB")).draft.findings) == 1


def test_a_seal_that_does_not_leak_implies_nothing():
    leak = Finding(key="a", component="fork_seal", condition="leak", state="absent", evidence=heard(TWO))
    assert len(assess(draft(leak), rules("GB")).draft.findings) == 1


@pytest.mark.parametrize(
    "text",
    [
        "The left fork seal is leaking onto the caliper.",
        "Left fork leg has oil running down it onto the caliper.",
        "Left fork seal is weeping, running down onto the caliper.",
        "Oil is running down the left fork leg on to the caliper.",
    ],
)
def test_from_the_talk_itself(text):
    judged = assess(extract(text, id="d", jurisdiction="GB"), rules("GB"))
    (caliper,) = (f for f in judged.draft.findings if f.component == "brake_caliper")
    assert caliper.condition == "contamination"
    assert judged.verdicts_of(caliper.key)[0].grade is Grade.MAJOR
    assert len(judged.draft.findings) == 2
