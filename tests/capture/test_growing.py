"""A recording is decoded while it grows."""

from __future__ import annotations

from pathlib import Path

import av
import numpy as np
import pytest
from tests.capture.clips import encode, sweep

from witnessmark.capture import capture, growing
from witnessmark.errors import BadInputError

IN_FRAGMENTS = {"movflags": "frag_keyframe+empty_moov+default_base_moof", "frag_duration": "500000"}


class Trickle:
    """Gives a few bytes at a time, and knows how many it has given."""

    def __init__(self, content: bytes, most: int = 701) -> None:
        self.content, self.most, self.at = content, most, 0

    def read(self, size: int) -> bytes:
        piece = self.content[self.at : self.at + min(size, self.most)]
        self.at += len(piece)
        return piece


@pytest.mark.parametrize(
    ("name", "demuxer", "options"),
    [
        ("a.webm", "matroska", {"live": "1"}),
        ("a.m4a", "mov", IN_FRAGMENTS),
        ("a.ogg", "ogg", {}),
        ("a.wav", "wav", {}),
        ("a.flac", "flac", {}),
        ("a.aac", "aac", {}),
    ],
)
def test_it_gives_the_samples_of_the_whole_as_they_come(
    tmp_path: Path, name: str, demuxer: str, options: dict[str, str]
) -> None:
    path = encode(sweep(8), tmp_path / name, **options)
    file = Trickle(path.read_bytes())
    pieces, places = [], []
    for piece in growing(file, demuxer):
        pieces.append(piece)
        places.append(file.at / len(file.content))
    assert {piece.size for piece in pieces[:-1]} == {16_000}
    assert np.array_equal(np.concatenate(pieces), capture(path).samples)
    assert places[0] < 0.35  # of eight seconds: the first comes by the third


def test_what_waits_for_bytes_is_not_disturbed_by_their_end(tmp_path: Path) -> None:
    path = encode(sweep(3), tmp_path / "a.webm")
    cut = Trickle(path.read_bytes()[:-9000])
    assert 1 < np.concatenate(list(growing(cut, "matroska"))).size / 16_000 < 3


@pytest.mark.parametrize("content", [b"", b"MZ" + bytes(4000), bytes(range(256)) * 20])
def test_what_is_no_recording_is_told(content: bytes) -> None:
    with pytest.raises(BadInputError, match="no sound"):
        list(growing(Trickle(content), "matroska"))


def test_an_error_of_the_file_comes_out(tmp_path: Path) -> None:
    class Broken(Trickle):
        def read(self, size: int) -> bytes:
            if self.at > 20_000:
                raise KeyError("gone")
            return super().read(size)

    content = encode(sweep(6), tmp_path / "a.webm").read_bytes()
    with pytest.raises(KeyError):
        list(growing(Broken(content), "matroska"))


def test_a_film_without_sound_is_told(tmp_path: Path) -> None:
    path = tmp_path / "a.mkv"
    with av.open(str(path), "w") as file:
        stream = file.add_stream("mpeg4", rate=10)
        stream.width = stream.height = 64
        for _ in range(5):
            file.mux(stream.encode(av.VideoFrame.from_ndarray(np.zeros((64, 64, 3), np.uint8), "rgb24")))
        file.mux(stream.encode(None))
    with pytest.raises(BadInputError, match="no sound"):
        list(growing(Trickle(path.read_bytes()), "matroska"))
