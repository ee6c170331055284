"""What holds for any reading and any finding."""

from __future__ import annotations

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from witnessmark.assess import assess
from witnessmark.assess.lamps import LAMPS
from witnessmark.knowledge.electrics import electrics
from witnessmark.knowledge.limits import jurisdictions, rules
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Basis, Draft, Evidence, Finding, Grade, Limit, Machine, Reading
from witnessmark.units import UNITS, convert

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


safe_countries = st.sampled_from(["GB", "DE", "IE", "US-VA", "US-MD", "AU-WA", "FR", "ZA"])


def graveness(component, quantity, value, unit, country, card=None, **more):
    reading = Reading(key="k", component=component, quantity=quantity, value=value, unit=unit, **more)
    return -list(Grade).index(judged(reading, country, card)[0].grade)


@settings(max_examples=200, deadline=None)
@given(
    st.floats(0, 12),
    st.floats(0, 12),
    safe_countries,
    st.sampled_from([None, LARKSPUR]),
    st.none() | st.builds(Limit, low=st.floats(0.5, 5)),
)
def test_a_thinner_pad_is_never_graded_better(one, other, country, card, said):
    def pad(thickness):
        return graveness("brake_pads", "thickness", thickness, "mm", country, card, end="front", limit=said)

    assert pad(min(one, other)) >= pad(max(one, other))


@settings(max_examples=100, deadline=None)
@given(st.floats(-0.5, 4.9), st.floats(-0.5, 4.9), safe_countries)
def test_a_longer_chain_is_never_graded_better(one, other, country):
    def chain(per_cent):
        words = heard("520 chain, twenty links")
        length = 317.5 * (1 + per_cent / 100)
        return graveness("chain", "length", length, "mm", country, evidence=words)

    assert chain(max(one, other)) >= chain(min(one, other))


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from(
        [
            ("tyre", "tread_depth", "mm", "in", 0, 12),
            ("brake_pads", "thickness", "mm", "in", 0, 12),
            ("brake_disc", "runout", "mm", "thou", 0, 1),
            ("tyre", "pressure", "bar", "psi", 1, 4),
            ("tyre", "pressure", "kPa", "kgf/cm2", 100, 400),
            ("axle", "torque", "Nm", "lbf*ft", 50, 150),
            ("brake_fluid", "temperature", "degC", "degF", 100, 300),
        ]
    ),
    st.floats(0, 1),
    safe_countries,
    st.sampled_from([None, LARKSPUR]),
)
def test_units_give_one_grade(kind, share, country, card):
    component, quantity, unit, other, low, high = kind
    value = round(low + share * (high - low), 3)
    same = convert(value, unit, other)
    place = {} if component == "brake_fluid" else {"end": "rear"}
    assert graveness(component, quantity, value, unit, country, card, **place) == graveness(
        component, quantity, same, other, country, card, **place
    )


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from(sorted(vocabulary().components)),
    st.sampled_from(
        ["tread_depth", "thickness", "slack", "voltage", "pressure", "flash_rate", "runout", "elongation"]
    ),
    st.floats(0, 100),
    safe_countries,
)
def test_a_country_changes_only_what_its_rows_change(component, quantity, value, country):
    """Where it has no row of its own, the grade is that of a country without any."""
    rows = [
        row
        for row in rules(country).limits
        if row.jurisdiction != "generic" and (row.component, row.quantity) == (component, quantity)
    ]
    unit = vocabulary().quantities[quantity][0]
    if component in LAMPS and unit == "%":  # the dip of a headlamp has bands of its own
        rows += [row for row in electrics().aim if row.jurisdiction in rules(country).chain]
    if not rows:
        here = graveness(component, quantity, value, unit, country)
        assert here == graveness(component, quantity, value, unit, "ZA")


@settings(max_examples=200, deadline=None)
@given(findings, safe_countries)
def test_a_country_changes_only_findings_that_it_grades(finding, country):
    one, other = judged(finding, country)[0], judged(finding, "ZA")[0]
    if one.basis is not Basis.LAW:
        assert (one.grade, one.rule) == (other.grade, other.rule)


@settings(max_examples=100, deadline=None)
@given(
    st.sampled_from(sorted(vocabulary().components)),
    st.sampled_from(sorted(set(vocabulary().conditions) - {"sound"})),
    safe_countries,
)
def test_more_of_a_defect_is_never_graded_better(component, condition, country):
    def grave(words):
        finding = Finding(
            key="k", component=component, condition=condition, state="present", evidence=heard(words)
        )
        return -list(Grade).index(judged(finding, country)[0].grade)

    assert grave("a trace of it") <= grave("it") <= grave("badly so")


offsets = st.integers(-5, 60)
anywhere = st.builds(Evidence, text=st.text(max_size=8), char_start=offsets, char_end=offsets)


@settings(max_examples=200, deadline=None)
@given(
    st.text(max_size=60)
    | st.just("Front 36 psi at 5 degrees. It's hot. Twenty links, pin one to pin twenty."),
    st.lists(st.tuples(readings | findings, st.lists(anywhere, max_size=2)), max_size=4),
    st.text(max_size=20),
    countries,
)
def test_no_talk_and_no_evidence_makes_it_raise(text, items, name, country):
    found = [
        item.model_copy(update={"key": f"k{number}", "evidence": tuple(evidence)})
        for number, (item, evidence) in enumerate(items)
    ]
    whole = Draft(id="d", text=text, findings=tuple(found), machine=Machine(vin=name, registration=name))
    judgement = assess(whole, rules(country), LARKSPUR, date(2026, 5, 21))
    assert all(judgement.verdicts_of(item.key) for item in judgement.draft.findings)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=60), st.integers(0, 60), st.integers(0, 60))
def test_evidence_cut_from_the_talk_is_always_placed(text, one, other):
    start, end = sorted((min(one, len(text)), min(other, len(text))))
    reading = Reading(
        key="k", component="tyre", quantity="pressure", value=2.5, unit="bar",
        evidence=(Evidence(text=text[start:end], char_start=start, char_end=end),),
    )  # fmt: skip
    assert assess(Draft(id="d", text=text, findings=(reading,)), rules("GB")).verdicts_of("k")
