"""The words of the papers that are not of the trade, one file a language, and each country's units."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from pydantic import Field

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge.files import models_dir, read_yaml
from witnessmark.knowledge.rows import parse_row, refuse
from witnessmark.types import Frozen
from witnessmark.units import UNITS

FOLDER = "words"
if TYPE_CHECKING:
    from babel import Locale

COUNTRIES = "words/countries.yaml"
SECTIONS = (
    "labels", "spots", "names", "values", "places", "work", "needs", "after", "jobsheet", "estimate", "fleet",
)  # fmt: skip
"""Those of which every language needs every key."""


class ReadingEase(Frozen):
    """How hard the words of a language may be; the tests hold the files to it."""

    longest: int
    """Words in a sentence."""
    year: float
    """School year."""


class Paper(Frozen):
    """One language; the head of ``words/en.yaml`` explains the keys."""

    language: str
    locale: str
    capital_nouns: bool = False
    """Whether nouns have a capital letter inside a sentence."""
    labels: dict[str, str]
    spots: dict[str, str]
    names: dict[str, str]
    values: dict[str, str]
    places: dict[str, str]
    work: dict[str, str]
    needs: dict[str, str]
    after: dict[str, str]
    jobsheet: dict[str, str] = Field(default_factory=dict)
    estimate: dict[str, str] = Field(default_factory=dict)
    fleet: dict[str, str] = Field(default_factory=dict)
    ahead: dict[str, str] = Field(default_factory=dict)
    """``words`` of ``wear.yaml`` in this language; English has them there."""
    reasons: dict[str, str] = Field(default_factory=dict)
    """``reasons`` of ``wear.yaml`` in this language; English has them there."""
    standing: dict[str, str] = Field(default_factory=dict)
    """``first``, ``together`` and ``note`` of ``standing.yaml`` in this language; English has them there."""
    sources: dict[str, str] = Field(default_factory=dict)
    """A source that is a phrase and names no text, as the models have it → the same in this language."""
    countries: dict[str, str] = Field(default_factory=dict)
    """Code of a place of ``limits/jurisdictions.yaml`` → its name, where that differs from the English."""
    reading: ReadingEase
    plain: dict[str, Any] | None = None
    """The rows of ``trade/plain.yaml`` in this language; English has them there."""


@cache
def paper_words(language: str = "en") -> Paper:
    """The words of one language.

    Args:
        language: name of a file of ``models/words``, such as ``en``.

    Raises:
        KnowledgeError: there is no such file, or it has not the keys that the English one has.
    """
    file = f"{FOLDER}/{language}.yaml"
    found = parse_row(Paper, read_yaml(file), file, "the file")
    if language != "en":
        english = paper_words("en")
        refuse_gaps({part: (getattr(english, part), getattr(found, part)) for part in SECTIONS}, file)
        if found.plain is None:
            refuse("no section plain", file)
    return found


def refuse_gaps(wanted: Mapping[str, tuple[Iterable[str], Collection[str]]], file: str) -> None:
    """Refuse a catalogue in which rows are missing.

    Args:
        wanted: section → the ids that need a row, and the rows.
        file: the catalogue.

    Raises:
        KnowledgeError: the message names every row that is missing.
    """
    missing = [f"{part}.{key}" for part, (ids, rows) in wanted.items() for key in ids if key not in rows]
    if missing:
        raise KnowledgeError(f"no row for {', '.join(missing)}", file, "Add the rows.")


def languages() -> tuple[str, ...]:
    """The languages that there are files of."""
    files = sorted(path.stem for path in (models_dir() / FOLDER).glob("*.yaml"))
    return tuple(name for name in files if f"{FOLDER}/{name}.yaml" != COUNTRIES)


@cache
def units_of(country: str) -> dict[str, str]:
    """Quantity → the unit that the country is used to.

    Raises:
        KnowledgeError: the file names a unit that no reading may carry.
    """
    rows: dict[str, dict[str, str]] = read_yaml(COUNTRIES)["units"]
    if unknown := {unit for row in rows.values() for unit in row.values()} - set(UNITS):
        refuse(f"unknown unit {sorted(unknown)[0]!r}", COUNTRIES)
    return rows.get(country, rows["any"])


@cache
def locale_of(paper: str, country: str) -> str:
    """Unicode CLDR's name for a language in a country.

    The language's own where CLDR knows no such pair, and where the country writes decimals otherwise than the
    language: a reader takes ``9.400`` by the language that he reads.

    Args:
        paper: language, a file of ``models/words``.
        country: ISO 3166 code, or nothing.
    """
    from babel import Locale, UnknownLocaleError  # slow: only when a page is made

    words = paper_words(paper)
    try:
        local = Locale.parse(f"{words.language.partition('-')[0]}_{country}") if country else None
    except (UnknownLocaleError, ValueError):
        local = None
    return str(local) if local and _decimals(local) == _decimals(Locale.parse(words.locale)) else words.locale


def _decimals(locale: Locale) -> tuple[str, ...]:
    symbols = locale.number_symbols.get("latn", {})
    return symbols["decimal"], symbols["group"]
