"""What ``models/speech.toml`` says: weights, vocabulary prompt, and how to listen."""

from __future__ import annotations

from functools import cache
from typing import Annotated, Self

from pydantic import Field, ValidationError, model_validator

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge.files import read_toml, read_yaml
from witnessmark.types import Frozen

_FILE = "speech.toml"


class Part(Frozen):
    """One file inside an installed package; the parts of a file are joined in order."""

    package: str
    """Name of the distribution."""
    path: str
    """Path as the distribution lists it."""


class ModelFile(Frozen):
    """One file of a speech model."""

    name: str
    sha256: Annotated[str, Field(pattern="^[0-9a-f]{64}$")]
    """Hash of the joined file."""
    size: int
    """Bytes of the joined file."""
    parts: Annotated[tuple[Part, ...], Field(min_length=1)]


class SpeechModel(Frozen):
    """A speech model whose weights installed packages carry."""

    name: str
    default: bool = False
    language: str
    licence: str
    source: str
    install: str
    """Command that installs the packages."""
    file: Annotated[tuple[ModelFile, ...], Field(min_length=1)]


class Decode(Frozen):
    """Search settings of the recogniser."""

    beam: int
    plain_beam: int
    batch: int
    """Windows decoded at once."""
    signs: tuple[str, ...]
    """Signs that may be printed although Whisper suppresses them by default."""
    prompt_tokens: int
    """Most tokens that a prompt may have."""
    compression: float
    log_probability: float


class Voice(Frozen):
    """Settings of the voice detector and of the windows around what it hears; see the rows' comments."""

    thresholds: Annotated[tuple[float, ...], Field(min_length=1)]
    block: float
    min_silence_ms: int
    padding: float
    longest: float
    pause: float
    live_pause: float
    live_longest: float
    unread: float


class Compare(Frozen):
    """How the readings with and without the prompt are held against each other; see the rows' comments."""

    missing_words: int
    missing_share: float
    disputed: float
    weighty: frozenset[str]


class Numbers(Frozen):
    """How numbers are challenged; see the rows' comments."""

    alike: tuple[Annotated[str, Field(pattern="^[0-9] [0-9]$")], ...]
    words: tuple[Annotated[str, Field(pattern="^[a-z]+ [a-z]+$")], ...]
    beyond_doubt: float
    least: float
    seconds: float
    preference: float
    lead: float
    slope: float
    in_a_row: float


class SecondHearing(Frozen):
    """How doubtful words are held against words of the trade; see the rows' comments."""

    sure: float
    seconds: float
    preference: float
    margin: float
    probability: float


class Guard(Frozen):
    """Bounds beyond which printed words are the recogniser's invention; see the rows' comments."""

    no_speech: float
    word_probability: float
    log_probability: float
    hopeless: float
    words_per_second: float
    fast_words: int
    echo_words: int
    echo_share: float
    echo_probability: float
    loop_words: int
    loop_phrases: int
    loop_length: int


class Speech(Frozen):
    """The whole file."""

    prompt: tuple[str, ...]
    phantoms: frozenset[str]
    decode: Decode
    voice: Voice
    compare: Compare
    numbers: Numbers
    second: SecondHearing
    guard: Guard
    model: tuple[SpeechModel, ...]

    @model_validator(mode="after")
    def _one_default(self) -> Self:
        names = [m.name for m in self.model]
        if len(set(names)) < len(names):
            raise ValueError("two models have the same name")
        if sum(m.default for m in self.model) != 1:
            raise ValueError("exactly one model must be the default")
        return self

    @property
    def default(self) -> SpeechModel:
        """The model used when none is named."""
        return next(m for m in self.model if m.default)

    def named(self, name: str) -> SpeechModel | None:
        """The model of that name, or None."""
        return next((m for m in self.model if m.name == name), None)


@cache
def sounds_like() -> dict[str, tuple[str, ...]]:
    """Everyday word → words of the trade that sound like it, from ``models/sounds_like.yaml``."""
    found: dict[str, tuple[str, ...]] = {}
    for meant, printed in read_yaml("sounds_like.yaml").items():
        for word in printed:
            found[str(word)] = (*found.get(str(word), ()), str(meant))
    return found


@cache
def speech() -> Speech:
    """The speech knowledge, checked.

    Raises:
        KnowledgeError: on a missing, unknown or ill-formed row.
    """
    try:
        return Speech.model_validate(read_toml(_FILE))
    except ValidationError as error:
        first = error.errors()[0]
        row = ".".join(str(key) for key in first["loc"]) or "the file"
        raise KnowledgeError(f"{row}: {first['msg']}.", _FILE, "Mend the row.") from error
