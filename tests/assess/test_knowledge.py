"""The files of limits, severities, coverage and machine cards are checked when they load."""

from __future__ import annotations

import shutil

import pytest

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge import cards, coverage, files, limits, severity
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Basis
from witnessmark.units import convert

CACHED = (limits.jurisdictions, limits.limit_rows, limits.practice, limits.rules, severity.severity,
          coverage.coverage, cards.cards)  # fmt: skip


@pytest.fixture
def models(tmp_path, monkeypatch):
    """A copy of ``models`` that a test may spoil."""
    copy = tmp_path / "models"
    shutil.copytree(files.models_dir(), copy)
    monkeypatch.setattr(files, "models_dir", lambda: copy)
    monkeypatch.setattr(cards, "models_dir", lambda: copy)
    for cached in CACHED:
        cached.cache_clear()
    yield copy
    for cached in CACHED:
        cached.cache_clear()


def load_all():
    limits.rules("GB")
    cards.cards()


SPOILT = [
    ("gb", "component: tyre\n", "component: tire\n", "row gb.tyre.tread: component"),
    ("gb", "quantity: flash_rate", "quantity: blink_rate", "row gb.indicator.rate: quantity"),
    ("gb", "    low: 1.0\n    unit: mm\n", "    unit: mm\n", "row gb.tyre.tread: the row"),
    ("gb", "unit: 1/min", "unit: Hz", "row gb.indicator.rate: unit"),
    ("gb", "sureness: read\n", "sureness: certain\n", "row gb.wheel.runout.alloy: sureness"),
    ("gb", "basis: law", "basis: hearsay", "row gb.tyre.tread: basis"),
    ("gb", "id: gb.pads.thickness", "id: gb.tyre.tread", "row gb.tyre.tread: the id is used twice"),
    ("gb", "jurisdiction: GB", "jurisdiction: ZZ", "'ZZ' is not a jurisdiction"),
    ("gb", "    section: reg. 27", "    chapter: reg. 27", "row gb.tyre.tread: chapter"),
    ("gb", "limits:", "limit:", "unknown section 'limit'"),
    ("de", "jurisdiction: DE", "jurisdiction: generic", "no law holds everywhere"),
    ("generic", "grade: advisory, source: riding", "source: riding", "row tyre.tread.advice"),
    ("generic", "10, grade: advisory", "10, grade: major", "row tyre.age.replace: grade"),
    ("jurisdictions", "Maryland, parent: US", "Maryland, parent: USA", "row US-MD: parent"),
    ("severity", "condition: aged,", "condition: elderly,", "row any.aged: condition"),
    ("severity", "condition: aged,", "condition: worn,", "no row for the condition aged"),
    ("severity", "{EU: [minor, 4.4.4, memory]}}\n", "{FR: [minor]}}\n", "'FR' has no row in sources"),
    ("severity", "[major, 1.1.1 a, memory]", "[grave, 1.1.1 a, memory]", "row control.tight: grades"),
    ("coverage", "when: [final_belt]", "when: [rope]", "'rope' is not an alternative"),
    ("larkspur-400", "\ncapacity_cc:", "\ndisplacement:", "row larkspur-400: displacement"),
    ("larkspur-400", "chain, quantity: slack", "rope, quantity: slack", "larkspur-400.slack: component"),
]


@pytest.mark.parametrize(("name", "old", "new", "told"), SPOILT)
def test_a_bad_row_is_refused_by_file_and_row(models, name, old, new, told):
    (path,) = (p for p in models.rglob(f"{name}.yaml") if p.parent.name != "words")
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(KnowledgeError) as refused:
        load_all()
    assert refused.value.where == str(path.relative_to(models))
    assert told in refused.value.what


def test_a_country_is_added_by_a_row_and_a_file(models):
    places = models / "limits/jurisdictions.yaml"
    row = "  - {id: ZZ, name: Nowhere, parent: generic, file: zz.yaml}\n"
    places.write_text(places.read_text(encoding="utf-8") + row, encoding="utf-8")
    (models / "limits/zz.yaml").write_text(
        "limits:\n  - {id: zz.tread, jurisdiction: ZZ, component: tyre, quantity: tread_depth,"
        " kind: low, low: 3, unit: mm, basis: law, source: invented, sureness: none}\n",
        encoding="utf-8",
    )
    assert limits.rules("ZZ").limits[0].id == "zz.tread"


@pytest.mark.parametrize(
    ("code", "chain"),
    [
        ("US-MD", ("US-MD", "US", "generic")),
        ("us-tx", ("US", "generic")),
        ("DE", ("DE", "EU", "generic")),
        ("IE", ("IE", "EU", "generic")),
        ("UK", ("GB", "generic")),
        ("AU-NSW", ("AU", "generic")),
        ("AU-WA", ("AU-WA", "AU", "generic")),
        ("generic", ()),
        ("XX", ()),
        (None, ()),
    ],
)
def test_places_inherit(code, chain):
    assert limits.rules(code).chain == chain


def test_all_twenty_seven_member_states_inherit_from_the_union():
    members = [place for place in limits.jurisdictions().values() if place.parent == "EU"]
    assert len(members) == 27


def test_every_unit_measures_its_quantity():
    rows = [
        *limits.limit_rows(),
        *limits.practice().tolerances,
        *limits.practice().margins,
        *cards.cards()[0].figures,
    ]
    for row in rows:
        share = row in limits.practice().tolerances and row.unit == "%"  # of the target
        if row.unit and not share:
            assert convert(1.0, row.unit, vocabulary().quantities[row.quantity][0]) > 0


def test_law_names_its_source_and_how_sure_it_is():
    for row in limits.limit_rows():
        assert row.source
        assert row.basis is not Basis.LAW or row.sureness != "none"


def test_a_card_is_found_by_registration_however_it_is_written():
    assert cards.card_for("kx21wpt").id == "larkspur-400"
    assert cards.card_for("KX21 WPT").id == "larkspur-400"
    assert cards.card_for("AB01 CDE") is None
    assert cards.card_for(None) is None
