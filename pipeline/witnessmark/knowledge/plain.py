"""Plain words for the owner, read from ``models/trade/plain.yaml`` and ``models/words``."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Annotated, Any, NamedTuple

from pydantic import BeforeValidator, Field, ValidationError

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge.files import read_yaml
from witnessmark.knowledge.limits import jurisdictions
from witnessmark.knowledge.paper import Paper, locale_of, paper_words, units_of
from witnessmark.knowledge.standing import standings
from witnessmark.knowledge.vocabulary import Vocabulary, vocabulary
from witnessmark.types import Frozen

FILE = "trade/plain.yaml"


def _table(raw: Any) -> Any:
    """A bare text or list is the row for any part."""
    return {"any": raw} if isinstance(raw, str | list) else raw


Phrase = Annotated[dict[str, str], BeforeValidator(_table)]
"""Component id, group id or ``any`` → text."""

Settles = Annotated[dict[str, tuple[str, ...]], BeforeValidator(_table)]
"""Component id or ``any`` → condition ids, or ``all``."""


class PlainPart(NamedTuple):
    """What a component is called and what it is for."""

    one: str
    many: str
    purpose: str


class PlainCondition(Frozen):
    """How a condition is told."""

    found: Phrase
    none: Phrase
    leads: Phrase = Field(default_factory=dict)


class PlainQuantity(Frozen):
    """How a reading is told, and what too little or too much can lead to."""

    name: str
    low: Phrase = Field(default_factory=dict)
    high: Phrase = Field(default_factory=dict)
    other: Phrase = Field(default_factory=dict)
    fault: bool = False
    """Whether such a reading reports trouble by itself."""


class PlainAction(Frozen):
    """How work is told, and which conditions it puts right once done."""

    wanted: Phrase
    done: Phrase
    settles: Settles = Field(default_factory=dict)

    def puts_right(self, component: str, condition: str) -> bool:
        """Whether this work, once done on a component, deals with a condition found on it."""
        settled = self.settles.get(component, self.settles.get("any", ()))
        return "all" in settled or condition in settled


class PlainGrade(NamedTuple):
    """A grade's label and one line of explanation."""

    label: str
    explains: str


class PlainSection(NamedTuple):
    """A section's heading and what it holds."""

    heading: str
    holds: str


class PlainBasis(NamedTuple):
    """Whose limit it is: in a table, and inside a sentence."""

    name: str
    limit: str


class PlainCaution(Frozen):
    """A caution and the tag that calls for it."""

    when: str
    says: str


class PlainWords(Frozen):
    """All words of the summary. Keys are the ids of ``vocabulary`` and of ``witnessmark.types``."""

    vocabulary: Vocabulary
    components: dict[str, PlainPart]
    conditions: dict[str, PlainCondition]
    quantities: dict[str, PlainQuantity]
    actions: dict[str, PlainAction]
    includes: dict[str, tuple[str, ...]]
    areas: dict[str, str]
    grades: dict[str, PlainGrade]
    sections: dict[str, PlainSection]
    bases: dict[str, PlainBasis]
    sureness: dict[str, str]
    units: dict[str, str]
    verdicts: dict[str, str]
    phrases: dict[str, str]
    cautions: tuple[PlainCaution, ...]
    law_of: str
    law_unknown: str
    countries: dict[str, str]
    """Code of a country or state, also the other codes for it → its name."""
    paper: Paper
    """The words that are not of the trade."""
    country: str = ""
    """ISO 3166 code of the country whose way of writing figures is used; nothing for the language's own."""

    def in_country(self, jurisdiction: str | None) -> PlainWords:
        """The same words with dates, numbers and units as the country (of a state: its country) has them."""
        country = (jurisdiction or "").upper().partition("-")[0]
        known = next((row.id for row in jurisdictions().values() if country in (row.id, *row.also)), "")
        return self.model_copy(update={"country": known})

    @property
    def standing(self) -> Mapping[str, str]:
        """What is said of the machine as a whole: ``first``, ``together``, ``note``."""
        rows = standings()
        return {"first": rows.first, "together": rows.together, "note": rows.note, **self.paper.standing}

    @property
    def locale(self) -> str:
        """Unicode CLDR's name of the language as the country writes it, such as ``en_GB``."""
        return locale_of(self.paper.language, self.country)

    @property
    def units_here(self) -> Mapping[str, str]:
        """Quantity → the unit that the country is used to; none where the country is not known."""
        return units_of(self.country) if self.country else {}

    def group_of(self, component: str) -> str:
        """Vocabulary group of a component; ``whole`` for one the vocabulary no longer has."""
        known = self.vocabulary.components.get(component)
        return known.group if known else "whole"

    def part(self, component: str) -> PlainPart:
        """Words for a component; its id spelt out when the vocabulary no longer has it."""
        name = component.replace("_", " ")
        return self.components.get(component) or PlainPart(name, name, "")

    def pick(self, phrase: Mapping[str, str], component: str) -> str:
        """The most exact row of a phrase for a component, or nothing."""
        rows = (component, self.group_of(component), "any")
        return next((phrase[row] for row in rows if row in phrase), "")


def _missing(words: PlainWords) -> list[str]:
    ids = words.vocabulary
    wanted: dict[str, tuple[Iterable[str], Mapping[str, object]]] = {
        "components": (ids.components, words.components),
        "conditions": (ids.conditions, words.conditions),
        "quantities": (ids.quantities, words.quantities),
        "actions": (ids.actions, words.actions),
        "areas": ({part.group for part in ids.components.values()}, words.areas),
    }
    return [f"{part}.{key}" for part, (all_ids, rows) in wanted.items() for key in all_ids if key not in rows]


def _countries() -> dict[str, str]:
    return {code: place.name for place in jurisdictions().values() for code in (place.id, *place.also)}


@cache
def plain_words(language: str = "en") -> PlainWords:
    """The plain words of one language, checked.

    Args:
        language: name of a file of ``models/words``.

    Raises:
        KnowledgeError: when a row has the wrong shape, or an id of the vocabulary has no row.
    """
    paper = paper_words(language)
    file = FILE if paper.plain is None else f"words/{language}.yaml"
    try:
        rows = read_yaml(FILE) if paper.plain is None else paper.plain
        words = PlainWords(
            vocabulary=vocabulary(), countries={**_countries(), **paper.countries}, paper=paper, **rows
        )
    except ValidationError as error:
        first = error.errors()[0]
        row = ".".join(str(step) for step in first["loc"])
        raise KnowledgeError(f"row {row}: {first['msg']}", file, "Mend the file.") from error
    if missing := _missing(words):
        raise KnowledgeError(f"no row for {', '.join(missing)}", file, "Add the rows.")
    return words
