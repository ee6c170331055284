"""What owners said stands in the trail: chained, handed out, erased; an old file of answers is taken in."""

from __future__ import annotations

import json
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from helpers_walkround import walkround
from witnessmark.errors import StoreError
from witnessmark.record import Answers, Keeping, Store, answers, hand_out
from witnessmark.types import Answer

from .helpers import filled, rows, tamper

SAMPLE = walkround()
ANSWER = Answer(SAMPLE.id, "tyre:rear/replace", "not_now", "Bea Hale", date(2026, 3, 3))
CHANGED = ANSWER._replace(kind="go", on=date(2026, 3, 4))


def written(answers_: list[Answer]) -> list[str]:
    """The lines of an old file, as version 0.1.0 wrote them."""
    before, lines = "0" * 64, []
    for answer in answers_:
        fields = {**answer._asdict(), "on": answer.on.isoformat(), "before": before}
        lines.append(json.dumps(fields, sort_keys=True))
        before = sha256(lines[-1].encode()).hexdigest()
    return lines


def old_file(path: Path, lines: list[str]) -> Path:
    file = answers.file_of(path)
    file.write_text("".join(f"{line}\n" for line in lines), "utf-8")
    return file


def test_answers_are_entries_of_the_trail_in_their_order(store: Store) -> None:
    filled(store, "machine")
    Answers(store).add([ANSWER, CHANGED])
    assert Answers(store).of([SAMPLE.id]) == (ANSWER, CHANGED)
    assert Answers(store).of([]) == Answers(store).of(["w-other"]) == ()
    assert store.check() == []
    assert store.walkround(SAMPLE.id).decisions[-1].item == "machine", "an answer decides on no item"
    assert [row[3:6] for row in rows(store.path, "owners_answers")] == [
        ("tyre:rear/replace", "not_now", "Bea Hale"),
        ("tyre:rear/replace", "go", "Bea Hale"),
    ]
    assert rows(store.path, "acts_on_the_record") == []


def test_an_answer_to_no_walkround_is_refused_with_all_that_came_with_it(store: Store) -> None:
    filled(store)
    with pytest.raises(StoreError, match="there is no such walkround"):
        Answers(store).add([ANSWER, ANSWER._replace(walkround="w-000000000000")])
    assert Answers(store).of([SAMPLE.id]) == ()


@pytest.mark.parametrize("column", ["body = replace(body, 'not_now', 'go')", "hash = 'z' || substr(hash, 2)"])
def test_a_changed_answer_breaks_the_chain(store: Store, column: str) -> None:
    filled(store)
    Answers(store).add([ANSWER, CHANGED])
    tamper(store.path, f"UPDATE decisions SET {column} WHERE seq = 1")
    assert any("the trail is broken at decision" in problem for problem in store.check(quick=True))


def test_they_are_handed_out_with_the_machine(store: Store, tmp_path: Path) -> None:
    sample = filled(store, "machine")
    Answers(store).add([ANSWER])
    name = sample.draft.machine.registration or ""
    hand_out(store, Keeping(store, "Ada Foreman"), name, tmp_path / "out")
    (known,) = json.loads((tmp_path / "out" / "machine.json").read_text("utf-8"))["walkrounds"]
    assert known["answers"] == [{**ANSWER._asdict(), "on": "2026-03-03"}]


def test_they_go_with_the_machine(store: Store) -> None:
    sample = filled(store, "machine")
    Answers(store).add([ANSWER])
    Keeping(store, "Ada Foreman").erase(sample.draft.machine.registration or "")
    assert Answers(store).of([SAMPLE.id]) == ()
    assert b"Bea Hale" not in store.path.read_bytes()
    assert store.check() == []
    with pytest.raises(StoreError, match="there is no such walkround"):
        Answers(store).add([ANSWER])


def test_a_name_is_taken_out_of_them(store: Store) -> None:
    filled(store, "machine")
    Answers(store).add([ANSWER])
    assert Keeping(store, "Ada Foreman").redact(SAMPLE.id, "Hale") == 1
    assert [one.who for one in Answers(store).of([SAMPLE.id])] == ["Bea ····"]
    assert store.check() == []


def test_an_old_file_is_taken_in_once_and_goes(path: Path) -> None:
    with Store.open(path) as store:
        filled(store, "machine")
    file = old_file(path, written([ANSWER, CHANGED, ANSWER._replace(who="Ünal 🏍️")]))
    for _ in range(2):
        with Store.open(path) as store:
            assert [one.who for one in Answers(store).of([SAMPLE.id])] == ["Bea Hale", "Bea Hale", "Ünal 🏍️"]
            assert store.check() == []
    assert not file.exists()


def harms() -> list[Any]:
    return [
        (lambda lines: [lines[0].replace('"not_now"', '"go"'), *lines[1:]], 0),
        (lambda lines: lines[1:], 0),
        (lambda lines: [lines[1], lines[0], lines[2]], 0),
        (lambda lines: [*lines, "{}"], 2),
        (lambda lines: [*lines, "[1]"], 2),
        (lambda lines: [*lines[:2], lines[2][:-5]], 1),
    ]


@pytest.mark.parametrize(("harm", "good"), harms())
def test_of_a_harmed_file_only_what_was_written_is_taken_in_and_it_stays(harm, good: int, path: Path) -> None:
    with Store.open(path) as store:
        filled(store, "machine")
    lines = written([ANSWER, CHANGED, ANSWER])
    file = old_file(path, harm(lines))
    for _ in range(2):
        with Store.open(path) as store:
            assert len(Answers(store).of([SAMPLE.id])) == good
            assert f"from line {good + 1} on" in " ".join(store.check())
    file.write_text("".join(f"{line}\n" for line in lines), "utf-8")  # put back from a copy
    with Store.open(path) as store:
        assert Answers(store).of([SAMPLE.id]) == (ANSWER, CHANGED, ANSWER)
        assert store.check() == []


def test_answers_to_a_walkround_that_is_not_here_wait_for_it(path: Path) -> None:
    file = old_file(path, written([ANSWER]))
    with Store.open(path) as store:
        assert "which is not in this record" in " ".join(store.check())
        filled(store, "machine")
    with Store.open(path) as store:
        assert Answers(store).of([SAMPLE.id]) == (ANSWER,)
    assert not file.exists()


def test_answers_to_an_erased_walkround_go_with_it(path: Path) -> None:
    with Store.open(path) as store:
        sample = filled(store, "machine")
        Keeping(store, "Ada Foreman").erase(sample.draft.machine.registration or "")
    file = old_file(path, written([ANSWER]))
    with Store.open(path) as store:
        assert Answers(store).of([SAMPLE.id]) == ()
        assert store.check() == []
    assert not file.exists()


def test_who_spoke_is_kept_and_goes_with_the_rest(store: Store) -> None:
    sample = SAMPLE.model_copy(update={"speaker": "T. Arden"})
    store.ingest(sample)
    assert store.walkround(sample.id).speaker == "T. Arden"
    Keeping(store, "Ada Foreman").erase(sample.id)
    assert b"T. Arden" not in store.path.read_bytes()
