"""Sound files become samples, whatever their format; what is no sound is refused in plain words."""

from __future__ import annotations

import hashlib
import io
import logging
import math
import os
import wave
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from witnessmark.capture import capture, level
from witnessmark.errors import BadInputError
from witnessmark.types import SAMPLE_RATE, Recording, Sound

from .clips import FORMATS, encode, picture, sweep


def likeness(one: np.ndarray, other: np.ndarray) -> float:
    """Greatest correlation over all shifts, as codecs delay sound by some milliseconds."""
    n = one.size + other.size
    product = np.fft.irfft(np.fft.rfft(one, n) * np.fft.rfft(other, n).conj(), n)
    return float(product.max() / np.linalg.norm(one) / np.linalg.norm(other))


@pytest.fixture(scope="module")
def original(tmp_path_factory: pytest.TempPathFactory) -> np.ndarray:
    return capture(encode(sweep(2), tmp_path_factory.mktemp("original") / "a.wav")).samples


@pytest.mark.parametrize("suffix", FORMATS)
@pytest.mark.parametrize("layout", ["mono", "stereo"])
def test_every_format_gives_the_same_sound(
    tmp_path: Path, original: np.ndarray, suffix: str, layout: str
) -> None:
    path = encode(sweep(2), tmp_path / f"clip.{suffix}", layout)
    sound = capture(path)
    assert sound.samples.dtype == np.float32
    assert sound.samples.ndim == 1
    assert np.abs(sound.samples).max() <= 1
    assert sound.recording.duration == sound.samples.size / SAMPLE_RATE
    assert sound.recording.duration == pytest.approx(2, abs=0.05)
    assert sound.recording.name == f"clip.{suffix}"
    assert sound.recording.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert likeness(original, sound.samples) > 0.98


def test_a_wav_is_read_to_the_sample(tmp_path: Path) -> None:
    pcm = np.array([0, 1, -1, 32767, -32768, 12345] * 500, np.int16)
    with wave.open(str(tmp_path / "a.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(SAMPLE_RATE)
        file.writeframes(pcm.tobytes())
    assert np.array_equal(capture(tmp_path / "a.wav").samples, pcm / np.float32(32768))


def test_the_name_does_not_matter(tmp_path: Path) -> None:
    path = encode(sweep(1), tmp_path / "clip.webm").rename(tmp_path / "recording.wav")
    assert capture(path).recording.duration == pytest.approx(1, abs=0.05)


@pytest.mark.parametrize(
    "file",
    [("clip.wav", {}), ("clip.flac", {}), ("clip.mp3", {}), ("clip.ogg", {}), ("clip.webm", {}),
     ("clip.m4a", {"movflags": "faststart"})],
    ids=lambda file: file[0],
)  # fmt: skip
def test_a_cut_off_file_is_read_as_far_as_it_goes(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, file: tuple[str, dict[str, str]]
) -> None:
    path = encode(sweep(8), tmp_path / file[0], **file[1])
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    duration = capture(path).recording.duration
    assert 3 < duration < 5
    # Matroska and Ogg keep no total length that outlives the cut; the others do.
    if path.suffix in (".mp3", ".flac", ".m4a"):
        assert "cut off" in caplog.text


@pytest.mark.parametrize("suffix", ["mp3", "m4a", "ogg", "webm", "flac"])
def test_damage_in_the_middle_does_not_lose_the_rest(
    tmp_path: Path, original: np.ndarray, suffix: str
) -> None:
    path = encode(sweep(8), tmp_path / f"clip.{suffix}")
    bytes_ = bytearray(path.read_bytes())
    middle = len(bytes_) // 2
    bytes_[middle : middle + 300] = np.random.default_rng(1).bytes(300)
    path.write_bytes(bytes_)
    assert 6 < capture(path).recording.duration < 8.1


def test_damage_is_told(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    path = encode(sweep(8), tmp_path / "clip.m4a")
    bytes_ = bytearray(path.read_bytes())
    bytes_[30_000:31_000] = bytes(1000)
    path.write_bytes(bytes_)
    capture(path)
    assert "damaged" in caplog.text


def test_a_sound_file_gives_no_warning(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.WARNING):
        for suffix in FORMATS:
            capture(encode(sweep(2), tmp_path / f"clip.{suffix}"))
    assert not caplog.records


def test_the_layout_may_change_on_the_way(tmp_path: Path) -> None:
    mono = encode(sweep(2), tmp_path / "mono.aac").read_bytes()
    stereo = encode(sweep(2), tmp_path / "stereo.aac", "stereo").read_bytes()
    (tmp_path / "both.aac").write_bytes(mono + stereo)
    assert capture(tmp_path / "both.aac").recording.duration == pytest.approx(4, abs=0.1)


# ── refused ──────────────────────────────────────────────────────────────────────────────────


def refusal(path: Path) -> str:
    with pytest.raises(BadInputError) as caught:
        capture(path)
    assert str(path) in str(caught.value)
    assert caught.value.remedy
    return caught.value.what


def test_missing(tmp_path: Path) -> None:
    assert "does not exist" in refusal(tmp_path / "gone.wav")


def test_folder(tmp_path: Path) -> None:
    assert "folder" in refusal(tmp_path)


def test_empty(tmp_path: Path) -> None:
    (tmp_path / "a.wav").touch()
    assert "empty" in refusal(tmp_path / "a.wav")


@pytest.fixture
def no_root() -> Iterator[None]:
    """Nobody may read everything during the test."""
    if os.name != "posix":
        pytest.skip("permissions are POSIX")
    user = os.geteuid()
    if user == 0:
        os.seteuid(65534)
    yield
    os.seteuid(user)


def test_unreadable(tmp_path: Path, no_root: None) -> None:
    path = tmp_path / "a.wav"
    user = os.geteuid()
    os.seteuid(os.getuid())
    path.write_bytes(b"RIFF")
    path.chmod(0)
    os.seteuid(user)
    assert "may not be read" in refusal(path)


@pytest.mark.parametrize(
    "content",
    [b"This is a shopping list.\n" * 100, bytes(5000), b"\x89PNG\r\n\x1a\n" + bytes(500), b"x"],
    ids=["text", "zeros", "png", "one byte"],
)
def test_no_sound_file(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "a.mp3").write_bytes(content)
    assert "no sound file" in refusal(tmp_path / "a.mp3")


def test_noise_bytes_are_not_taken_for_sound(tmp_path: Path) -> None:
    (tmp_path / "a.bin").write_bytes(np.random.default_rng(3).bytes(20_000))
    refusal(tmp_path / "a.bin")


def test_a_playlist_opens_nothing(tmp_path: Path) -> None:
    """FFmpeg would follow a playlist to other files and to the internet."""
    encode(sweep(1), tmp_path / "other.mp3")
    playlist = tmp_path / "list.m3u8"
    playlist.write_text("#EXTM3U\n#EXT-X-TARGETDURATION:2\n#EXTINF:1,\nother.mp3\n#EXT-X-ENDLIST\n")
    assert "no sound file" in refusal(playlist)


def test_a_film_without_sound(tmp_path: Path) -> None:
    assert "no sound in it" in refusal(picture(tmp_path / "film.mp4"))


def test_no_samples(tmp_path: Path) -> None:
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(SAMPLE_RATE)
    (tmp_path / "a.wav").write_bytes(buffer.getvalue())
    refusal(tmp_path / "a.wav")


# ── level ────────────────────────────────────────────────────────────────────────────────────


def sound_of(samples: np.ndarray) -> Sound:
    return Sound(Recording(sha256="0" * 64, name="a", duration=1.0), samples.astype(np.float32))


def test_level() -> None:
    """A sine at full scale has an RMS of 1/√2: -3.01 dB below full scale, by definition of the RMS."""
    sine = np.sin(2 * np.pi * 440 * np.arange(SAMPLE_RATE) / SAMPLE_RATE)
    assert level(sound_of(sine)) == pytest.approx(-3.0103, abs=1e-3)
    assert level(sound_of(sine / 10)) == pytest.approx(-23.0103, abs=1e-3)
    assert level(sound_of(np.ones(100))) == pytest.approx(0)


def test_digital_silence_has_no_level() -> None:
    assert level(sound_of(np.zeros(1000))) == -math.inf


def test_a_recording_that_is_too_long_is_refused(tmp_path: Path) -> None:
    path = encode(sweep(3), tmp_path / "clip.webm")
    assert capture(path, 3.1).recording.duration == pytest.approx(3, abs=0.05)
    with pytest.raises(BadInputError, match="longer than"):
        capture(path, 2.9)
