"""The file that reviewers hear is the sound that was transcribed, whole or not there."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from helpers_disk import full_disk
from witnessmark.capture import capture, write_playback
from witnessmark.errors import StoreError
from witnessmark.types import SAMPLE_RATE, Recording, Sound

from .clips import encode, sweep


@pytest.fixture
def sound(tmp_path: Path) -> Sound:
    return capture(encode(sweep(3), tmp_path / "clip.webm"))


def test_it_holds_the_decoded_samples(sound: Sound, tmp_path: Path) -> None:
    target = tmp_path / "sounds" / "w-1.flac"
    assert write_playback(sound, target) == target
    assert target.read_bytes()[:4] == b"fLaC"
    again = capture(target)
    assert np.array_equal(again.samples, sound.samples)
    assert again.recording.duration == sound.recording.duration


def test_full_scale_does_not_wrap(tmp_path: Path) -> None:
    samples = np.array([1.0, -1.0, 1.5, -1.5, 0.0] * 2000, np.float32)
    sound = Sound(Recording(sha256="0" * 64, name="a", duration=samples.size / SAMPLE_RATE), samples)
    again = capture(write_playback(sound, tmp_path / "a.flac")).samples
    assert np.abs(again - np.clip(samples, -1, 1)).max() < 1e-4


def test_an_old_file_is_replaced(sound: Sound, tmp_path: Path) -> None:
    target = tmp_path / "w-1.flac"
    target.write_bytes(b"old")
    write_playback(sound, target)
    assert capture(target).samples.size == sound.samples.size


def test_a_full_disk_leaves_nothing(sound: Sound, tmp_path: Path) -> None:
    folder = tmp_path / "sounds"
    with full_disk(), pytest.raises(StoreError, match=r"w-1\.flac"):
        write_playback(sound, folder / "w-1.flac")
    assert list(folder.iterdir()) == []


def test_a_full_disk_keeps_the_old_file(sound: Sound, tmp_path: Path) -> None:
    target = tmp_path / "w-1.flac"
    target.write_bytes(b"old")
    with full_disk(), pytest.raises(StoreError):
        write_playback(sound, target)
    assert target.read_bytes() == b"old"


def test_a_folder_that_cannot_be_made(sound: Sound, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(StoreError):
        write_playback(sound, tmp_path / "file" / "w-1.flac")
