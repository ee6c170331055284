"""``witnessmark review``, ``summarise`` and ``history``: only what a named person confirmed goes further."""

from __future__ import annotations

import builtins
import json
import sys
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from helpers_cli import Run
from witnessmark.capture import write_playback
from witnessmark.cli import review
from witnessmark.errors import WitnessmarkError
from witnessmark.record import Store
from witnessmark.review import apply
from witnessmark.types import SAMPLE_RATE, Decision, DecisionKind, Evidence, Recording, Sound

from .conftest import walkround

Type = Callable[..., None]


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> Type:
    """What the reviewer will type, line by line; then the end of input."""

    def set_lines(*lines: str) -> None:
        waiting = iter(lines)

        def answer(prompt: str = "") -> str:
            try:
                return next(waiting)
            except StopIteration:
                raise EOFError from None

        monkeypatch.setattr(builtins, "input", answer)

    return set_lines


def test_what_is_typed_is_kept_with_the_name(run: Run, store: Path, typed: Type) -> None:
    typed("y", "r", "misheard", "q")
    ran = run("review", "--who", "Bo", "--store", store)
    assert ran.status == 0
    with Store.open(store) as record:
        trail = record.walkround("latest").decisions
    assert [(d.who, d.kind, d.why) for d in trail] == [("Bo", "confirm", ""), ("Bo", "reject", "misheard")]


def test_the_end_of_input_keeps_what_was_decided(run: Run, store: Path, typed: Type) -> None:
    typed("y")
    assert run("review", "--who", "Bo", "--store", store).status == 0
    with Store.open(store) as record:
        assert len(record.walkround("latest").decisions) == 1


def test_the_walkround_that_waited_longest_comes_first(run: Run, store: Path, typed: Type) -> None:
    with Store.open(store) as record:
        first = record.walkround("latest").id
        record.ingest(walkround("The horn works."))
    typed("q")
    ran = run("review", "--who", "Bo", "--store", store)
    typed("y", "y")
    run("review", first, "--who", "Bo", "--store", store)
    assert "tyre.front.tread_depth" in ran.out
    with Store.open(store) as record:
        assert len(record.walkround(first).decisions) == 2


def test_when_all_is_decided_nothing_waits(run: Run, store: Path, typed: Type) -> None:
    typed(*"y" * 50)
    ran = run("review", "--who", "Bo", "--store", store)
    assert "witnessmark summarise w-" in ran.err
    assert "Nothing waits" in run("review", "--store", store).err


def test_what_was_never_mentioned_is_told_before_the_first_item(run: Run, store: Path, typed: Type) -> None:
    typed("q")
    ran = run("review", "--store", store, "--who", "Ada")
    assert (
        "Never mentioned, which is not the same as in order, gravest first: rear tyre, front brake pads"
        in ran.err
    )


def test_the_list_says_what_waits(run: Run, store: Path) -> None:
    (row,) = json.loads(run("review", "--json", "--store", store).out)
    assert (row["registration"], row["identity_confirmed"], row["on"]) == ("KX21WPT", False, "2026-05-21")
    assert row["decided"] == 0
    assert row["waiting"] > 5
    shown = run("review", "--list", "--store", store).out
    assert row["id"] in shown
    assert "not confirmed" in shown


def test_a_walkround_that_is_not_there(run: Run, store: Path) -> None:
    ran = run("review", "w-zzz", "--who", "Bo", "--store", store)
    assert ran.status == 4
    assert ran.err.count("\n") == 1


def test_no_sound_no_listening(tmp_path: Path) -> None:
    assert review.player(tmp_path / "none.flac") is None


def test_the_page_tells_only_what_was_confirmed(
    run: Run, store: Path, typed: Type, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    ran = run("summarise", "latest", "--store", store)
    assert ran.status == 0
    assert "still wait for review" in ran.err
    page = Path(ran.out.strip()).read_text("utf-8")
    assert "0.8 mm" not in page
    typed(*"y" * 50)
    run("review", "--who", "Bo", "--store", store)
    ran = run("summarise", "latest", "--store", store)
    assert (ran.status, ran.err, ran.out) == (0, "", "KX21WPT-2026-05-21.html\n")
    page = Path("KX21WPT-2026-05-21.html").read_text("utf-8")
    assert "0.8 mm" in page
    assert "Bo" in page


def test_the_page_goes_where_it_is_told(run: Run, store: Path, tmp_path: Path) -> None:
    assert run("summarise", "latest", "--out", tmp_path / "p.html", "--store", store).status == 0
    piped = run("summarise", "latest", "--out", "-", "--store", store).out
    assert piped == (tmp_path / "p.html").read_text("utf-8") + "\n"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
def test_a_full_disk_under_the_page(run: Run, store: Path) -> None:
    ran = run("summarise", "latest", "--out", "/dev/full", "--store", store)
    assert ran.status == 1
    assert ran.err.splitlines()[-1].startswith("/dev/full: cannot be written (No space left on device)")


def test_what_a_reviewer_corrected_is_judged_anew(run: Run, store: Path, typed: Type) -> None:
    """0.8 mm of tread is below the 1.0 mm of Great Britain (Construction and Use Regulations 1986, reg. 27);
    4.0 mm is not."""
    typed(*"y" * 50)
    run("review", "--who", "Bo", "--store", store)
    with Store.open(store) as record:
        now = record.walkround("latest")
        (tread,) = (f for f in now.draft.findings if f.key == "tyre.front.tread_depth")
        corrected = Decision(
            walkround=now.id,
            item=tread.key,
            kind=DecisionKind.CORRECT,
            who="Bo",
            when=now.decisions[-1].when + timedelta(hours=1),
            becomes=tread.model_copy(update={"value": 4.0}),
        )
        before = run("summarise", "latest", "--out", "-", "--store", store).out
        record.decide(corrected, apply(now, [corrected]))
    after = run("summarise", "latest", "--out", "-", "--store", store).out
    assert "0.8 mm" in before
    assert "0.8 mm" not in after
    assert "4 mm" in after


def test_history_shows_what_was_confirmed(run: Run, store: Path, typed: Type) -> None:
    ran = run("history", "KX21 WPT", "--store", store)
    assert (ran.status, ran.out) == (4, "")
    assert "no confirmed walkround" in ran.err
    typed(*"y" * 50)
    run("review", "--who", "Bo", "--store", store)
    ran = run("history", "kx21 wpt", "--store", store)
    assert ran.status == 0
    assert "0.8 mm" in ran.out
    assert "14,200 mi" in ran.out
    assert "left fork oil seal: leaking" in ran.out
    (visit,) = json.loads(run("history", "KX21WPT", "--json", "--store", store).out)["visits"]
    tread = next(e for e in visit["entered"] if e["item"].get("quantity") == "tread_depth")
    assert tread["decision"]["who"] == "Bo"
    assert tread["verdict"]["grade"] == "dangerous"
    assert tread["heard"]


def test_listening_plays_the_words_with_a_little_around(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The loudspeaker is the only thing that is not real here."""
    played: list[tuple[int, int]] = []

    class NoLoudspeakerError(Exception):
        """As sounddevice has it."""

    def play(samples: np.ndarray, rate: int, blocking: bool) -> None:
        if len(played) == 1:
            raise NoLoudspeakerError("no device")
        played.append((samples.size, rate))

    device = SimpleNamespace(play=play, PortAudioError=NoLoudspeakerError)
    monkeypatch.setitem(sys.modules, "sounddevice", device)
    recording = Recording(sha256="0" * 64, name="s.wav", duration=5)
    file = write_playback(Sound(recording, np.zeros(5 * SAMPLE_RATE, np.float32)), tmp_path / "s.flac")
    listen = review.player(file)
    assert listen is not None
    words = Evidence(text="x", char_start=0, char_end=1, start=1.0, end=2.0)
    listen(words)
    assert played == [(int(1.8 * SAMPLE_RATE), SAMPLE_RATE)]
    with pytest.raises(WitnessmarkError, match="no device"):
        listen(words)
