"""What is taken out is gone, what stays is whole, and the trail says who did it."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from helpers_walkround import HORN, NOON, TALK, TREAD, corrected, decision, heard, machine, walkround
from witnessmark.errors import BadInputError, StoreError
from witnessmark.record import Keeping, Store
from witnessmark.record.redaction import masked, pattern_of
from witnessmark.review import MACHINE, apply
from witnessmark.types import Transcript, Walkround, Word

from .helpers import decide, filled, rows, tamper
from .test_migrations import OLD

PNG = b"\x89PNG\r\n\x1a\n a picture"


def with_name(name: str = "talk.wav") -> Walkround:
    """The sample walkround, in which somebody is named."""
    talk = TALK.replace("Horn works", "Horn works says Ada Lamb")
    sample = walkround(name)
    words = tuple(
        Word(text=part, char_start=at, char_end=at + len(part), start=1, end=2, probability=1)
        for part in ("Ada", "Lamb")
        for at in [talk.index(part)]
    )
    at = talk.index("Horn")
    piece = heard("Horn works")[0].model_copy(
        update={"text": "Horn works says Ada", "char_start": at, "char_end": at + len("Horn works says Ada")}
    )
    horn = HORN.model_copy(update={"evidence": (piece,)})
    draft = sample.draft.model_copy(update={"text": talk, "findings": (horn, *sample.draft.findings[1:])})
    return sample.model_copy(
        update={
            "transcript": sample.transcript.model_copy(update={"text": talk, "words": words}),
            "assessment": sample.assessment.model_copy(update={"draft": draft}),
        }
    )


def bytes_of(path: Path) -> bytes:
    """Everything that lies in the record's files."""
    return b"".join(other.read_bytes() for other in path.parent.iterdir() if other.is_file())


def acts(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as connection:
        return [kind for (kind,) in connection.execute("SELECT kind FROM acts_on_the_record ORDER BY seq")]


def sounding(store: Store, sample: Walkround, content: bytes = b"fLaC") -> Path:
    """Take a walkround in with a file of sound where it belongs."""
    lies = store.path.with_suffix(".sound") / f"{sample.id}.flac"
    lies.parent.mkdir(exist_ok=True)
    lies.write_bytes(content)
    assert store.ingest(sample, lies)
    return lies


# Names


def test_a_name_is_taken_out_letter_for_letter(store: Store, path: Path) -> None:
    sample = with_name()
    store.ingest(sample)
    decide(store, sample, "f-horn", "correct", becomes=sample.draft.findings[0], why="Ada Lamb said so")
    head = store.head()
    assert Keeping(store, "Ben Deputy", "asked in writing").redact(sample.id, "ada lamb") == 3
    now = store.walkround(sample.id)
    assert "Horn works says ··· ····." in now.transcript.text
    assert now.draft.text == now.transcript.text
    assert len(now.transcript.text) == len(sample.transcript.text)
    assert [word.text for word in now.transcript.words] == ["···", "····"]
    assert now.draft.findings[0].evidence[0].text == "Horn works says ···"
    assert now.decisions[0].why == "··· ···· said so"
    assert now.decisions[0].who == "Ada Foreman"  # another Ada, who decided
    assert store.check() == []
    assert store.had_head(head)
    assert acts(path) == ["redact"]


def test_nothing_of_the_name_is_left_in_any_file(store: Store, path: Path) -> None:
    sample = with_name()
    store.ingest(sample)
    decide(store, sample, "f-horn")
    assert b"Lamb" in bytes_of(path)
    assert [found.item for found in store.search("Lamb")] == []  # only what an item was heard as is searched
    Keeping(store, "Ben Deputy").redact(sample.id, "Ada Lamb")
    assert b"Lamb" not in bytes_of(path)
    assert b"says Ada" not in bytes_of(path)
    assert [found.heard for found in store.search("horn")] == ["Horn works says ···"]
    assert rows(path, "confirmed_findings")[0][7] == "Horn works says ···"


def test_a_name_that_is_not_there_leaves_no_act(store: Store, path: Path) -> None:
    sample = filled(store)
    head = store.head()
    assert Keeping(store, "Ben Deputy").redact(sample.id, "Nobody") == 0
    assert (store.head(), acts(path)) == (head, [])


@pytest.mark.parametrize(
    ("text", "name", "after"),
    [
        ("Ask Ray, Ray's bike; a stray ray", "Ray", "Ask ···, ···'s bike; a stray ···"),
        ("Jean-Luc came", "jean luc", "····-··· came"),
        ("Zoë rode", "Zoë", "··· rode"),
        ("nothing", "Ray", "nothing"),
    ],
)
def test_only_whole_names_are_masked(text: str, name: str, after: str) -> None:
    assert masked(text, pattern_of(name)) == after


def test_without_a_name_or_somebody_who_acts_nothing_is_done(store: Store) -> None:
    sample = filled(store)
    with pytest.raises(BadInputError, match="no name"):
        Keeping(store, "Ben Deputy").redact(sample.id, " -- ")
    with pytest.raises(BadInputError, match="nobody is named"):
        Keeping(store, " ")
    with pytest.raises(StoreError, match="no such walkround"):
        Keeping(store, "Ben Deputy").redact("w-none", "Ada")


def test_deciding_goes_on_after_a_redaction(store: Store) -> None:
    sample = with_name()
    store.ingest(sample)
    decide(store, sample, "f-horn")
    Keeping(store, "Ben Deputy").redact(sample.id, "Ada Lamb")
    decide(store, sample, "f-pads")
    decide(store, sample, "f-horn", "reject")
    assert Keeping(store, "Ben Deputy").redact(sample.id, "works") > 0
    assert store.check() == []


@pytest.mark.parametrize(
    ("statement", "problem"),
    [
        ("UPDATE decisions SET body = replace(body, '···', 'Eve') WHERE seq = 1", "broken at decision 1"),
        ("UPDATE decisions SET salt = 'x' WHERE seq = 1", "broken at decision 1"),
        ("UPDATE drafts SET body = replace(body, '···', 'Eve')", "the draft of"),
        ("UPDATE transcripts SET body = replace(body, '···', 'Eve')", "the transcript of"),
        (
            "UPDATE decisions SET body = replace(body, 'redact', 'export') WHERE seq = 2",
            "broken at decision 2",
        ),
    ],
)
def test_what_was_redacted_cannot_be_changed_unseen(
    store: Store, path: Path, statement: str, problem: str
) -> None:
    sample = with_name()
    store.ingest(sample)
    decide(store, sample, "f-horn", "correct", becomes=sample.draft.findings[0])
    Keeping(store, "Ben Deputy").redact(sample.id, "Ada Lamb")
    store.close()
    tamper(path, statement)
    with Store.open(path) as opened:
        assert any(problem in line for line in opened.check())


def test_the_file_lets_only_what_the_last_act_names_be_replaced(store: Store, path: Path) -> None:
    sample = with_name()
    store.ingest(sample)
    decide(store, sample, "f-horn")
    Keeping(store, "Ben Deputy").redact(sample.id, "Ada Lamb")
    for statement in (
        "UPDATE decisions SET body = replace(body, 'Foreman', 'Other') WHERE seq = 1",
        "UPDATE decisions SET hash = 'x' WHERE seq = 2",
        "UPDATE drafts SET sha256 = 'x'",
    ):
        with closing(sqlite3.connect(path)) as other, pytest.raises(sqlite3.IntegrityError):
            other.execute(statement)


# A machine's erasure


def test_an_erased_machine_leaves_numbers_days_and_hashes(store: Store, path: Path) -> None:
    sample = walkround("own-name.wav")
    other = walkround("other.wav", on=date(2026, 5, 5))
    sound = sounding(store, sample)
    store.ingest(other)
    for taken, identity in ((sample, machine()), (other, machine("Q77 KEP"))):
        decide(store, taken, MACHINE, "correct", becomes=identity)
        decide(store, taken, "r-tread", "correct", becomes=corrected(TREAD, value=2.5), why="looked again")
    photo = store.add_photo(sample.id, PNG, "Ada Foreman")
    head = store.head()
    done = Keeping(store, "Ben Deputy", "the owner asked").erase("q24 lot")
    assert done == ((sample.id,), 2, 0)
    assert not sound.exists()
    with pytest.raises(StoreError, match="not there"):
        store.photo_bytes(photo.sha256)
    with pytest.raises(StoreError, match="was erased on"):
        store.walkround(sample.id)
    assert store.history("Q24 LOT").visits == ()
    assert [row.id for row in store.walkrounds()] == [other.id]
    assert [row.registration for row in store.machines()] == ["Q77 KEP"]
    assert store.search("Q24") == []
    assert store.check() == []
    assert store.had_head(head)
    assert acts(path) == ["erase"]
    trail = rows(path, "decisions")
    assert [json.loads(row[1])["item"] for row in trail] == [MACHINE, "r-tread", MACHINE, "r-tread", None]
    assert [json.loads(row[1])["who"] for row in trail[:2]] == ["Ada Foreman"] * 2


def test_nothing_of_an_erased_machine_is_left_in_any_file(store: Store, path: Path) -> None:
    sample = walkround("own-name.wav")
    store.ingest(sample)
    decide(store, sample, MACHINE, "correct", becomes=machine("Q24 LOT", "WTM5MRK24A7000042"))
    decide(store, sample, "f-pads", "reject", why="a remark about somebody")
    Keeping(store, "Ben Deputy").erase(sample.id)
    left = bytes_of(path)
    for word in (b"Q24", b"WTM5MRK24A7000042", b"wtm5mrk24a7000042", b"weeping", b"own-name", b"a remark"):
        assert word not in left, word


def test_an_erased_recording_does_not_come_back(store: Store) -> None:
    sample = filled(store, MACHINE)
    Keeping(store, "Ben Deputy").erase("Q24 LOT")
    assert store.has(sample.id)
    assert not store.ingest(walkround())
    with pytest.raises(StoreError, match="knows no such machine"):
        Keeping(store, "Ben Deputy").erase("Q24 LOT")
    with pytest.raises(StoreError, match="there is no walkround"):
        store.walkround("latest")


def test_a_picture_that_another_machine_has_too_stays(store: Store) -> None:
    first, second = walkround("1.wav"), walkround("2.wav")
    for sample in (first, second):
        store.ingest(sample)
        photo = store.add_photo(sample.id, PNG, "Ada Foreman")
    Keeping(store, "Ben Deputy").erase(first.id)
    assert store.photo_bytes(photo.sha256) == PNG


def test_a_record_of_version_1_can_be_redacted_and_erased(path: Path) -> None:
    import gzip

    path.write_bytes(gzip.decompress(OLD.read_bytes()))
    with Store.open(path) as store:
        second, first = (row.id for row in store.walkrounds())
        assert Keeping(store, "Ben Deputy").redact(first, "misheard") > 0  # a word of a reason
        assert store.check() == []
        Keeping(store, "Ben Deputy").erase("Q25 LOT")
        assert store.check() == []
        assert [row.id for row in store.walkrounds()] == [second]


# Sound


def test_sound_goes_when_its_days_are_over_and_the_words_stay(store: Store, path: Path) -> None:
    sample = walkround(findings=(HORN,), actions=())
    sound = sounding(store, sample)
    keeping = Keeping(store, "Ben Deputy", "workshop rule")
    keeping.keep_sound_for(30)
    later = NOON + timedelta(days=31)
    assert keeping.remove_old_sound(later) == ()  # it still waits
    decide(store, sample, MACHINE)
    decide(store, sample, "f-horn")
    assert keeping.remove_old_sound(NOON + timedelta(days=29)) == ()
    assert store.sound(sample.id) == sound
    assert keeping.remove_old_sound(later) == (sample.id,)
    assert not sound.exists()
    assert store.sound_removed(sample.id)
    with pytest.raises(StoreError, match="removed on"):
        store.sound(sample.id)
    assert store.walkround(sample.id).transcript.text == TALK
    assert keeping.remove_old_sound(later) == ()
    assert acts(path) == ["policy", "remove_sound"]
    assert store.check() == []


def test_without_a_rule_sound_is_kept_for_good(store: Store) -> None:
    sample = walkround(findings=(HORN,), actions=())
    sounding(store, sample)
    decide(store, sample, MACHINE)
    decide(store, sample, "f-horn")
    keeping = Keeping(store, "Ben Deputy")
    assert keeping.remove_old_sound(datetime(2090, 1, 1, tzinfo=UTC)) == ()
    keeping.keep_sound_for(0)
    keeping.keep_sound_for(None)
    assert keeping.remove_old_sound(datetime(2090, 1, 1, tzinfo=UTC)) == ()
    with pytest.raises(BadInputError):
        keeping.keep_sound_for(-1)


def test_changed_or_lost_sound_is_told(store: Store) -> None:
    sample = walkround()
    sound = sounding(store, sample)
    sound.write_bytes(b"fLaK")
    with pytest.raises(StoreError, match="changed after it was stored"):
        store.sound(sample.id)
    assert any("changed after it was stored" in line for line in store.check())
    sound.unlink()
    assert any("is not there" in line for line in store.check())
    with pytest.raises(StoreError, match="is not there"):
        store.sound(sample.id)


def test_acts_are_no_decisions_of_the_walkround(store: Store) -> None:
    sample = with_name()
    sounding(store, sample)
    decide(store, sample, "f-horn")
    Keeping(store, "Ben Deputy").redact(sample.id, "Ada Lamb")
    Keeping(store, "Ben Deputy").remove_sound(sample.id)
    now = store.walkround(sample.id)
    assert [made.item for made in now.decisions] == ["f-horn"]
    made = decision(now, "f-pads")
    store.decide(made, apply(now, [made]))
    assert isinstance(now.transcript, Transcript)
