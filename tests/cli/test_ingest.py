"""``witnessmark ingest``: a recording becomes one walkround that waits for review, with its sound."""

from __future__ import annotations

import json
import os
import shutil
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from helpers_cli import Run
from witnessmark.capture import capture
from witnessmark.record import Store

pytestmark = pytest.mark.speech
TINY = ("--model", "tiny.en", "--jurisdiction", "GB")


def test_a_recording_waits_for_review_with_its_sound(run: Run, tmp_path: Path, speech: Path) -> None:
    path = tmp_path / "shop.sqlite"
    ran = run("ingest", speech, "--store", path, "--on", "2025-03-14", "--spoken-by", "T. Arden", *TINY)
    assert (ran.status, ran.err) == (0, "")
    with Store.open(path) as store:
        (row,) = store.walkrounds()
        walkround = store.walkround(row.id)
    heard = capture(speech)
    assert row.id == f"w-{heard.recording.sha256[:12]}"
    assert row.id in ran.out
    assert str(row.on) == "2025-03-14"
    assert row.decided == 0
    assert walkround.draft.jurisdiction == "GB"
    assert walkround.speaker == "T. Arden"
    assert walkround.transcript.model == "tiny.en"
    played = capture(tmp_path / "shop.sound" / f"{row.id}.flac")
    assert np.array_equal(played.samples, heard.samples)


def test_the_same_recording_twice_is_one_walkround(run: Run, tmp_path: Path, speech: Path) -> None:
    path = tmp_path / "shop.sqlite"
    copy = shutil.copy(speech, tmp_path / "another name.wav")
    first, second = (
        json.loads(run("ingest", file, "--store", path, "--json", *TINY).out)[0] for file in (speech, copy)
    )
    assert (first["new"], second["new"]) == (True, False)
    assert first["walkround"] == second["walkround"]
    with Store.open(path) as store:
        assert len(store.walkrounds()) == 1


def test_the_day_is_that_on_which_the_file_was_written(run: Run, tmp_path: Path, speech: Path) -> None:
    when = datetime(2025, 6, 1, 12).timestamp()
    os.utime(speech, (when, when))
    ran = run("ingest", speech, "--store", tmp_path / "shop.sqlite", "--json", *TINY)
    assert json.loads(ran.out)[0]["on"] == "2025-06-01"


def test_a_bad_recording_does_not_lose_the_others(run: Run, tmp_path: Path, speech: Path) -> None:
    bad = tmp_path / "bad.wav"
    bad.write_bytes(b"")
    path = tmp_path / "shop.sqlite"
    ran = run("ingest", bad, speech, "--store", path, "--json", *TINY)
    assert ran.status == 2
    assert str(bad) in ran.err
    assert [row["file"] for row in json.loads(ran.out)] == [str(speech)]
    with Store.open(path) as store:
        assert len(store.walkrounds()) == 1


@pytest.mark.parametrize(
    ("country", "says"),
    [([], "No country is given"), (["--jurisdiction", "XX"], "XX: its limits are not known")],
)
def test_a_country_that_is_not_known_is_said(
    run: Run, tmp_path: Path, speech: Path, country: list[str], says: str
) -> None:
    ran = run("ingest", speech, "--store", tmp_path / "shop.sqlite", "--model", "tiny.en", *country)
    assert ran.status == 0
    assert says in ran.err
