"""What findings can be drafted from: recordings, transcripts, plain text, and talks as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from witnessmark.errors import BadInputError

if TYPE_CHECKING:
    from witnessmark.transcribe import Transcriber
    from witnessmark.types import Transcript

_KEYS = "Give a transcript of `witnessmark transcribe`, or an object with the keys id, text and jurisdiction."


class Talk(NamedTuple):
    """One talk, read but not yet understood."""

    id: str
    text: str
    jurisdiction: str | None = None
    """As the file says; None when it does not."""
    transcript: Transcript | None = None


def talks(file: Path, transcriber: Transcriber) -> Iterator[Talk]:
    """The talks in a file: ``.txt``, ``.json``, ``.jsonl`` (one a line), or else a recording.

    Raises:
        BadInputError: it cannot be read, is not what its name says, or holds no words.
        SpeechModelError: it is a recording and the speech model cannot be loaded.
    """
    match file.suffix.lower():
        case ".txt":
            yield _with_words(Talk(file.stem, _text(file)), file)
        case ".json":
            yield _from_json(_text(file), file)
        case ".jsonl":
            yield from (_from_json(line, file) for line in _text(file).splitlines() if line.strip())
        case _:
            yield _of_transcript(heard(file, transcriber))


def heard(file: Path, transcriber: Transcriber) -> Transcript:
    """What is said in a recording, with a bar on standard error while it is read.

    Raises:
        BadInputError: it is no sound, or nobody speaks in it.
        SpeechModelError: the speech model cannot be loaded.
    """
    from witnessmark import run
    from witnessmark.capture import capture
    from witnessmark.cli.output import progress

    sound = capture(file)
    with progress(file.name) as bar:
        return run.speech(sound, transcriber, str(file), bar)


def _of_transcript(transcript: Transcript) -> Talk:
    return Talk(Path(transcript.recording.name).stem, transcript.text, transcript=transcript)


def _text(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInputError("is not text in UTF-8.", str(file), "Save it as UTF-8.") from error
    except OSError as error:
        what = f"cannot be read ({error.strerror})."
        raise BadInputError(what, str(file), "Check its name and its permissions.") from error


def _from_json(text: str, file: Path) -> Talk:
    try:
        raw = json.loads(text)
    except ValueError as error:
        raise BadInputError(f"is not JSON ({error}).", str(file), _KEYS) from error
    if isinstance(raw, dict) and "recording" in raw:
        return _with_words(_of_transcript(_transcript(raw, file)), file)
    if not isinstance(raw, dict) or not isinstance(raw.get("text"), str):
        raise BadInputError("holds no talk.", str(file), _KEYS)
    country = raw.get("jurisdiction")
    talk = Talk(str(raw.get("id") or file.stem), raw["text"], None if country is None else str(country))
    return _with_words(talk, file)


def _transcript(raw: dict[str, Any], file: Path) -> Transcript:
    from pydantic import ValidationError

    from witnessmark.types import Transcript

    try:
        transcript = Transcript.model_validate(raw)
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(map(str, first["loc"]))
        raise BadInputError(f"is not a transcript: {key}: {first['msg']}.", str(file), _KEYS) from error
    if any(transcript.text[word.char_start : word.char_end] != word.text for word in transcript.words):
        raise BadInputError(
            "is a transcript whose words do not fit its text.", str(file), "Transcribe again."
        )
    return transcript


def _with_words(talk: Talk, file: Path) -> Talk:
    if not talk.text.strip():
        raise BadInputError(
            "holds no words, so nothing was found.", str(file), "Give a file with a talk in it."
        )
    return talk
