"""``witnessmark transcribe``: words with their times, as JSON or captions."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from helpers_cli import Run
from witnessmark.types import Transcript

pytestmark = pytest.mark.speech


def test_words_have_their_place_in_text_and_time(run: Run, speech: Path) -> None:
    ran = run("transcribe", speech, "--model", "tiny.en")
    transcript = Transcript.model_validate_json(ran.out)
    assert ran.status == 0
    assert transcript.recording.name == "speech.wav"
    assert "registration" in transcript.text.lower()
    assert all(transcript.text[w.char_start : w.char_end] == w.text for w in transcript.words)
    assert all(0 <= w.start <= w.end <= 12.5 and 0 <= w.probability <= 1 for w in transcript.words)


def test_what_it_writes_is_read_by_extract(run: Run, tmp_path: Path, speech: Path) -> None:
    ran = run("transcribe", speech, "--model", "tiny.en", "--folder", tmp_path / "out")
    assert (ran.status, ran.out) == (0, "")
    row = json.loads(run("extract", tmp_path / "out" / "speech.json").out)
    assert row["id"] == "speech"


def test_captions(run: Run, speech: Path) -> None:
    ran = run("transcribe", speech, "--vtt", "--model", "tiny.en")
    assert ran.out.startswith("WEBVTT\n")
    assert " --> " in ran.out


def test_captions_of_several_need_a_folder(run: Run, speech: Path) -> None:
    ran = run("transcribe", speech, speech, "--vtt")
    assert (ran.status, ran.out) == (2, "")
    assert "--folder" in ran.err


def test_recordings_of_the_same_name_do_not_overwrite_each_other(
    run: Run, speech: Path, tmp_path: Path
) -> None:
    ran = run("transcribe", speech, speech, "--folder", tmp_path / "out")
    assert ran.status == 2
    assert "same name" in ran.err
