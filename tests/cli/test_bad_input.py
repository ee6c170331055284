"""Whatever is given, one message says what, which file and what to do; the record stays as it was."""

from __future__ import annotations

import io
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from importlib.metadata import PackageNotFoundError
from pathlib import Path

import av
import numpy as np
import pytest

from helpers_cli import Run
from witnessmark.capture import capture, write_playback
from witnessmark.record import opening
from witnessmark.transcribe import weights
from witnessmark.types import SAMPLE_RATE

Wav = Callable[..., Path]
COMMANDS = ("transcribe", "extract", "ingest")


def noise(seconds: float, level: float = 0.05) -> np.ndarray:
    """White noise; seeded."""
    return np.random.default_rng(1).normal(0, level, int(seconds * SAMPLE_RATE))


def cut_flac(speech: Path, keep: float) -> Path:
    """A FLAC of the speech, of which the end is lost."""
    whole = write_playback(capture(speech), speech.with_suffix(".flac"))
    data = whole.read_bytes()
    whole.write_bytes(data[: int(len(data) * keep)])
    return whole


def not_sound(folder: Path) -> Path:
    path = folder / "notes.wav"
    path.write_text("Buy brake fluid.", encoding="utf-8")
    return path


def empty(folder: Path) -> Path:
    path = folder / "empty.m4a"
    path.touch()
    return path


def headless(folder: Path) -> Path:
    """An MP4 whose end is lost, and with it the index: nothing of it can be read."""
    data = io.BytesIO()
    with av.open(data, "w", format="mp4") as file:
        stream = file.add_stream("aac", rate=SAMPLE_RATE, layout="mono")
        frame = av.AudioFrame.from_ndarray(noise(3).astype(np.float32)[None], format="fltp", layout="mono")
        frame.sample_rate = SAMPLE_RATE
        file.mux([*stream.encode(frame), *stream.encode(None)])
    path = folder / "cut.m4a"
    path.write_bytes(data.getvalue()[: len(data.getvalue()) // 2])
    return path


def missing(folder: Path) -> Path:
    return folder / "gone.wav"


def is_a_folder(folder: Path) -> Path:
    path = folder / "folder.wav"
    path.mkdir()
    return path


def locked(folder: Path) -> Path:
    path = not_sound(folder)
    path.chmod(0)
    if os.access(path, os.R_OK):
        pytest.skip("this user may read everything")
    return path


UNUSABLE = {
    not_sound: "no sound file",
    empty: "is empty",
    headless: "no sound file",
    missing: "does not exist",
    is_a_folder: "is a folder",
    locked: "may not be read",
}


def dump(path: Path) -> list[str]:
    """Everything in the file but the steps of an intake, which are kept so that nothing is done twice."""
    with closing(sqlite3.connect(path)) as connection:
        return [line for line in connection.iterdump() if not line.startswith('INSERT INTO "steps"')]


def asked(command: str, file: Path, store: Path) -> list[object]:
    """The command on a file; only ``ingest`` knows of the store."""
    on_store = ["--store", store, "--jurisdiction", "GB"] if command == "ingest" else []
    return [command, file, "--model", "tiny.en", *on_store]


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("make", UNUSABLE)
def test_a_file_that_is_no_recording(
    run: Run, store: Path, tmp_path: Path, make: Callable[[Path], Path], command: str
) -> None:
    before = dump(store)
    file = make(tmp_path)
    ran = run(*asked(command, file, store))
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.count("\n") == 1
    assert ran.err.startswith(str(file))
    assert UNUSABLE[make] in ran.err
    assert dump(store) == before


@pytest.mark.parametrize("command", COMMANDS)
def test_silence(run: Run, store: Path, wav: Wav, command: str) -> None:
    before = dump(store)
    ran = run(*asked(command, wav(np.zeros(3 * SAMPLE_RATE)), store))
    assert (ran.status, ran.out) == (2, "")
    assert "no speech was heard" in ran.err
    assert dump(store) == before
    assert not store.with_suffix(".sound").exists()


@pytest.mark.speech
@pytest.mark.parametrize("command", COMMANDS)
def test_noise_gives_no_findings_and_says_so(run: Run, store: Path, wav: Wav, command: str) -> None:
    before = dump(store)
    ran = run(*asked(command, wav(noise(20)), store))
    assert (ran.status, ran.out) == (2, "")
    assert "no speech was heard in it, so nothing was found" in ran.err
    assert dump(store) == before


@pytest.mark.full
def test_an_hour_of_noise(run: Run, store: Path, wav: Wav) -> None:
    before = dump(store)
    ran = run("ingest", wav(noise(3600)), "--store", store)
    assert ran.status == 2
    assert "no speech was heard" in ran.err
    assert dump(store) == before


@pytest.mark.speech
def test_a_recording_that_is_cut_off_is_not_taken_in_unasked(run: Run, store: Path, speech: Path) -> None:
    before = dump(store)
    ran = run(*asked("ingest", cut_flac(speech, 0.7), store))
    assert ran.status == 2
    assert "seconds are missing" in ran.err
    assert "--damaged" in ran.err
    assert dump(store) == before
    assert not store.with_suffix(".sound").exists()
    assert ran.err.count("\n") == 1
    ran = run(*asked("ingest", cut_flac(speech, 0.7), store), "--damaged")
    assert ran.status == 0
    assert "seconds are missing" in ran.err
    assert len(dump(store)) > len(before)


@pytest.mark.speech
def test_what_is_left_of_a_cut_recording_is_transcribed_with_a_warning(run: Run, speech: Path) -> None:
    ran = run("transcribe", cut_flac(speech, 0.7), "--model", "tiny.en")
    assert ran.status == 2
    assert "seconds are missing" in ran.err
    assert '"text"' in ran.out


def test_weights_that_are_not_installed(
    run: Run, store: Path, speech: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def nowhere(package: str) -> None:
        raise PackageNotFoundError(package)

    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setattr(weights, "distribution", nowhere)
    before = dump(store)
    ran = run(*asked("ingest", speech, store))
    assert ran.status == 3
    assert ran.err.count("\n") == 1
    assert "pip install" in ran.err
    assert dump(store) == before


def test_weights_of_the_wrong_hash(
    run: Run, store: Path, speech: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    altered = tmp_path / "altered.bin"
    altered.write_bytes(b"not the weights")

    class Package:
        def locate_file(self, path: str) -> Path:
            return altered

    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setattr(weights, "distribution", lambda package: Package())
    before = dump(store)
    ran = run(*asked("ingest", speech, store))
    assert ran.status == 3
    assert ran.err.count("\n") == 1
    assert "wrong hash" in ran.err
    assert dump(store) == before


def test_a_folder_without_a_model(run: Run, speech: Path, tmp_path: Path) -> None:
    ran = run("transcribe", speech, "--model", tmp_path)
    assert (ran.status, ran.out) == (3, "")
    assert "could not be loaded" in ran.err


@pytest.mark.parametrize("command", ["ingest", "review", "summarise", "history", "doctor"])
def test_a_record_from_a_newer_version(run: Run, store: Path, speech: Path, command: str) -> None:
    with closing(sqlite3.connect(store)) as connection:
        connection.execute(f"PRAGMA user_version = {opening.VERSION + 1}")
    before = store.read_bytes()
    what = {"ingest": [speech], "summarise": ["latest"], "history": ["KX21WPT"]}.get(command, [])
    ran = run(command, *what, "--store", store)
    assert ran.status == 4
    assert "newer Witnessmark" in ran.err + ran.out
    assert store.read_bytes() == before


@pytest.mark.parametrize("command", [["review"], ["summarise", "latest"], ["history", "KX21WPT"]])
def test_looking_into_a_record_that_is_not_there_makes_none(
    run: Run, tmp_path: Path, command: list[str]
) -> None:
    ran = run(*command, "--store", tmp_path / "none.sqlite")
    assert (ran.status, ran.out) == (4, "")
    assert "there is no record here" in ran.err
    assert list(tmp_path.iterdir()) == []


def test_another_programs_file(run: Run, tmp_path: Path, speech: Path) -> None:
    path = tmp_path / "diary.txt"
    path.write_text("Dear diary, today I rode to the sea. " * 40, encoding="utf-8")
    before = path.read_bytes()
    ran = run("ingest", speech, "--store", path)
    assert ran.status == 4
    assert str(path) in ran.err
    assert path.read_bytes() == before


@pytest.mark.speech
def test_a_full_disk_under_the_record(
    run: Run, store: Path, speech: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def prepare(connection: sqlite3.Connection, prepare: Callable = opening._prepare) -> None:
        prepare(connection)
        connection.execute(f"PRAGMA max_page_count = {opening.pragma(connection, 'page_count')}")

    with closing(sqlite3.connect(store)) as connection:  # no room left in the pages there are
        connection.execute("VACUUM")
    monkeypatch.setattr(opening, "_prepare", prepare)
    before = dump(store)
    ran = run(*asked("ingest", speech, store))
    assert ran.status == 4
    assert "the disk is full" in ran.err
    assert str(store) in ran.err
    assert dump(store) == before
    assert list(store.with_suffix(".sound").iterdir()) == []


@pytest.mark.speech
def test_a_full_disk_under_the_sound(
    run: Run, store: Path, speech: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(file: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    before = dump(store)
    ran = run(*asked("ingest", speech, store))
    assert ran.status == 4
    assert "No space left on device" in ran.err
    assert dump(store) == before
    assert list(store.with_suffix(".sound").iterdir()) == []
