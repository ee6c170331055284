"""The trail: canonical JSON, the links between its rows, and rows that are only ever added."""

from __future__ import annotations

import hashlib
import json
import sqlite3
import struct
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from helpers_walkround import KEYS, decision
from witnessmark.record import Store
from witnessmark.record.chain import canonical, digest, link
from witnessmark.record.opening import FIRST

from .helpers import filled, rows, tamper


def test_canonical_json_is_that_of_the_standards_example() -> None:
    # RFC 8785 sections 3.2.2 and 3.2.3.
    value = {
        "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/",
        "literals": [None, True, False],
    }
    assert canonical(value) == (
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )


def test_keys_are_sorted_by_utf_16_units() -> None:
    # RFC 8785 section 3.2.3: the order of these keys by their code units.
    keys = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
    assert list(json.loads(canonical(dict.fromkeys(reversed(keys), 0)))) == keys


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(allow_nan=False, allow_infinity=False) | st.text(st.characters(exclude_categories=["Cs"])),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(st.characters(exclude_categories=["Cs"])), inner),
)  # fmt: skip


@given(JSON)
@settings(max_examples=300)
def test_the_fast_way_prints_what_the_slow_one_does(value: Any) -> None:
    assert canonical(value) == rfc8785.dumps(value).decode()


@pytest.mark.parametrize(
    ("bits", "printed"),
    [
        ("0000000000000000", "0"),
        ("8000000000000000", "0"),
        ("0000000000000001", "5e-324"),
        ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
        ("3eb0c6f7a0b5ed8d", "0.000001"),
        ("41b3de4355555555", "333333333.3333333"),
        ("444b1ae4d6e2ef4f", "999999999999999900000"),
        ("444b1ae4d6e2ef50", "1e+21"),
    ],
)
def test_numbers_are_printed_as_in_the_standards_table(bits: str, printed: str) -> None:
    # RFC 8785 appendix B.
    assert canonical(struct.unpack(">d", bytes.fromhex(bits))[0]) == printed


def test_a_link_is_the_hash_that_anybody_can_compute(store: Store, path: Path) -> None:
    sample = filled(store, "f-horn", "f-pads")
    (draft,) = [row[2] for row in rows(path, "drafts")]
    before = "0" * 64
    for number, (key, row) in enumerate(zip(("f-horn", "f-pads"), rows(path, "decisions"), strict=True), 1):
        made = decision(sample, key)
        body = (
            f'{{"becomes":null,"grade":null,"item":"{key}","kind":"confirm","walkround":"{sample.id}",'
            f'"when":"2026-03-02T12:00:00Z","who":"{made.who}","why":""}}'
        )
        salt = row[2]
        sealed = hashlib.sha256(f"{salt}{body}".encode()).hexdigest()
        whole = f'{{"decision":"{sealed}","draft":"{draft}","previous":"{before}","seq":{number}}}'
        previous, before = before, hashlib.sha256(whole.encode()).hexdigest()
        assert row[:7] == (number, body, salt, sealed, draft, previous, before)
    assert FIRST == "0" * 64
    assert dict(rows(path, "meta"))["last_hash"] == before


def test_every_row_has_a_salt_of_its_own(store: Store, path: Path) -> None:
    filled(store, "f-horn", "f-pads")
    salts = {row[2] for row in rows(path, "decisions")}
    assert [len(salt) for salt in salts] == [32, 32]


@given(st.text(), st.integers(1))
def test_a_link_is_that_of_canonical_json(text: str, seq: int) -> None:
    value = {"decision": text, "draft": "d", "previous": FIRST, "seq": seq % 2**53}
    assert link(seq % 2**53, FIRST, "d", text) == digest(canonical(value))


def test_the_trail_is_kept_in_the_order_of_deciding(store: Store) -> None:
    sample = filled(store, *reversed(KEYS))
    assert [made.item for made in store.walkround(sample.id).decisions] == list(reversed(KEYS))


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE decisions SET body = replace(body, 'Ada', 'Eve')",
        "UPDATE decisions SET hash = 'x' WHERE seq = 1",
        "DELETE FROM decisions",
        "DELETE FROM decisions WHERE seq = 2",
        "INSERT OR REPLACE INTO decisions (seq, body, salt, draft, previous, hash) "
        "SELECT seq, body, salt, draft, previous, hash FROM decisions WHERE seq = 1",
        "INSERT INTO decisions (seq, body, salt, draft, previous, hash) "
        "SELECT 3, body, salt, draft, previous, hash FROM decisions WHERE seq = 1",
        "UPDATE drafts SET body = '{}'",
        "DELETE FROM drafts",
        "UPDATE transcripts SET text = ''",
        "DELETE FROM transcripts",
    ],
)
def test_the_file_itself_refuses_changes_from_any_program(store: Store, path: Path, statement: str) -> None:
    filled(store, "f-horn", "f-pads")
    other = sqlite3.connect(path)
    with pytest.raises(sqlite3.IntegrityError, match=r"only ever added|never changed|must follow"):
        other.execute(statement)
    other.close()
    assert store.check() == []


COLUMNS = ("body", "salt", "sealed", "draft", "previous", "hash")


@pytest.fixture(scope="module")
def three_decisions(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of a record with three decisions, without its triggers."""
    path = tmp_path_factory.mktemp("whole") / "record.sqlite"
    with Store.open(path) as store:
        filled(store, "f-horn", "f-pads", "f-seal")
    tamper(path)
    return path


@given(number=st.integers(1, 3), column=st.sampled_from(COLUMNS), data=st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_one_changed_byte_of_any_decision_is_found(
    path: Path, three_decisions: Path, number: int, column: str, data: st.DataObject
) -> None:
    path.write_bytes(three_decisions.read_bytes())
    text: str = rows(path, "decisions")[number - 1][1 + COLUMNS.index(column)]
    at = data.draw(st.integers(0, len(text) - 1))
    letter = data.draw(st.characters(min_codepoint=32, max_codepoint=126).filter(lambda c: c != text[at]))
    changed = text[:at] + letter + text[at + 1 :]
    try:
        tamper(path, f"UPDATE decisions SET {column} = {_quoted(changed)} WHERE seq = {number}")
    except sqlite3.Error:
        return  # no longer JSON, or a field is gone: the file itself refuses it
    with Store.open(path) as store:
        found = store.check()
    assert any(f"broken at decision {n}" in line for line in found for n in (number, number + 1)), found


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


@pytest.mark.parametrize(
    ("statement", "problem"),
    [
        ("DELETE FROM decisions WHERE seq = 2", "broken at decision 2: one is missing"),
        ("DELETE FROM decisions WHERE seq = 1", "broken at decision 1: one is missing"),
        ("DELETE FROM decisions WHERE seq = 3", "broken at its end"),
        ("UPDATE decisions SET seq = seq + 10 WHERE seq = 3", "broken at decision 3"),
    ],
)
def test_a_decision_taken_out_is_found(store: Store, path: Path, statement: str, problem: str) -> None:
    filled(store, "f-horn", "f-pads", "f-seal")
    store.close()
    tamper(path, statement)
    with Store.open(path) as opened:
        assert any(problem in line for line in opened.check())


def test_only_the_first_bad_link_is_named(store: Store, path: Path) -> None:
    filled(store, "f-horn", "f-pads", "f-seal")
    store.close()
    tamper(path, "UPDATE decisions SET body = replace(body, 'Ada', 'Eve')")
    with Store.open(path) as opened:
        broken = [line for line in opened.check() if "the trail" in line]
    assert broken == ["the trail is broken at decision 1: it was changed after it was made"]


def test_links_depend_on_every_part() -> None:
    whole: dict[str, Any] = {"seq": 1, "previous": FIRST, "draft": "d", "decision": "b"}
    others = [
        whole | {"seq": 2},
        whole | {"previous": "p"},
        whole | {"draft": "e"},
        whole | {"decision": "c"},
    ]
    assert len({link(**each) for each in (whole, *others)}) == 5
