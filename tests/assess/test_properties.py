"""What holds for any reading and any finding."""

from __future__ import annotations

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from witnessmark.assess import assess
from witnessmark.knowledge.limits import jurisdictions, rules
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Basis, Finding, Grade, Limit, Reading
from witnessmark.units import UNITS

from .making import LARKSPUR, draft, heard, judged

numbers = st.floats(allow_nan=True, allow_infinity=True) | st.floats(0, 100)
bound = st.none() | numbers
words = st.text() | st.sampled_from(["not empty", "hot", "engine running", "about to let go"])
countries = st.none() | st.text(max_size=5) | st.sampled_from(sorted(jurisdictions()))
readings = st.builds(
    Reading,
    key=st.just("k"),
    component=st.sampled_from(sorted(vocabulary().components)) | st.text(max_size=5),
    end=st.sampled_from([None, "front", "rear"]),
    quantity=st.sampled_from(sorted(vocabulary().quantities)) | st.text(max_size=5),
    value=numbers | st.text(max_size=9) | st.from_regex(r"\d{3,4}|\d{4}-W\d\d", fullmatch=True),
    unit=st.none() | st.sampled_from(UNITS) | st.text(max_size=4),
    limit=st.none() | st.builds(Limit, low=bound, high=bound, target=bound),
    evidence=words.map(heard),
)
findings = st.builds(
    Finding,
    key=st.just("k"),
    component=st.sampled_from(sorted(vocabulary().components)) | st.text(max_size=5),
    condition=st.none() | st.sampled_from(sorted(vocabulary().conditions)) | st.text(max_size=5),
    state=st.sampled_from(["present", "absent", "unsure", "unseen"]),
    evidence=words.map(heard),
)


@settings(max_examples=300, deadline=None)
@given(
    readings | findings, countries, st.sampled_from([None, LARKSPUR]), st.none() | st.dates(date(1990, 1, 1))
)
def test_every_item_has_a_verdict_and_nothing_raises(item, country, card, on):
    verdicts = assess(draft(item), rules(country), card, on).verdicts
    assert verdicts
    assert all(verdict.item == "k" and verdict.message for verdict in verdicts)


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from(["GB", "DE", "US-MD", "US-VA", "AU-WA", "IN"]),
    st.floats(0, 12),
    st.builds(Limit, low=st.floats(0, 12)),
    st.sampled_from([None, LARKSPUR]),
)
def test_the_law_is_never_hidden(country, depth, said, card):
    """Whatever limit is said, a tread below the law fails first and the law is among the verdicts."""
    reading = Reading(key="k", component="tyre", end="rear", quantity="tread_depth", value=depth, unit="mm")
    (alone, *_) = judged(reading, country, card)
    both = judged(reading.model_copy(update={"limit": said}), country, card)
    assert alone.limit in [verdict.limit for verdict in both]
    if alone.basis is Basis.LAW and alone.grade in (Grade.MAJOR, Grade.DANGEROUS):
        order = list(Grade)
        assert order.index(both[0].grade) <= order.index(alone.grade)


@settings(max_examples=100, deadline=None)
@given(st.floats(0, 12), st.floats(0, 12), st.sampled_from(["GB", "DE", "US-MD", "AU-WA", "FR", "ZA"]))
def test_more_tread_is_never_graver(one, other, country):
    def grade(depth):
        reading = Reading(key="k", component="tyre", quantity="tread_depth", value=depth, unit="mm")
        return list(Grade).index(judged(reading, country)[0].grade)

    assert grade(max(one, other)) >= grade(min(one, other))
