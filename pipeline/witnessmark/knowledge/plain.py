"""Plain words for the owner, read from ``models/trade/plain.yaml`` and ``models/words``."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache, cached_property
from typing import Annotated, Any, NamedTuple

from pydantic import BeforeValidator, Field, ValidationError

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge.files import read_yaml
from witnessmark.knowledge.limits import jurisdictions
from witnessmark.knowledge.paper import Paper, locale_of, paper_words, refuse_gaps, units_of
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
    shows: bool = False
    """Whether it cannot be there where somebody finds the part in order."""


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

    @cached_property
    def small(self) -> frozenset[str]:
        """Words that begin a name or a phrase of the catalogue and are written small."""
        phrases = [row for one in self.conditions.values() for row in (one.found, one.none)]
        phrases += [row for one in self.actions.values() for row in (one.wanted, one.done)]
        texts = [text for row in phrases for text in row.values()]
        texts += [*self.paper.names.values(), *self.paper.spots.values(), *self.paper.values.values()]
        texts += [name for part in self.components.values() for name in part[:2]]
        firsts = (text.split()[0].rstrip(",:;") for text in texts if text)
        return frozenset(word for word in firsts if word[:1].islower())

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


TABLES = ("grades", "sections", "bases", "sureness", "units", "verdicts", "phrases")
"""Those of which every language needs the rows that the English has."""


def _wanted(words: PlainWords, english: PlainWords) -> dict[str, tuple[Iterable[str], Mapping[str, object]]]:
    """Section → the ids that need a row, and the rows."""
    ids = words.vocabulary
    return {
        "components": (ids.components, words.components),
        "conditions": (ids.conditions, words.conditions),
        "quantities": (ids.quantities, words.quantities),
        "actions": (ids.actions, words.actions),
        "areas": ({part.group for part in ids.components.values()}, words.areas),
        **{table: (getattr(english, table), getattr(words, table)) for table in TABLES},
    }


RULES = {"conditions": ("shows",), "quantities": ("fault",), "actions": ("settles",)}
"""Keys that hold no words: every language has them of the English rows."""


TRADE = ("components", "conditions", "quantities", "actions", "areas")
"""Those whose rows a language may lack: words of the trade are added in English first."""


def _completed(paper: Paper, english: Mapping[str, Any]) -> dict[str, Any]:
    """The rows of a language, with what is no word, and with trade rows that it lacks in marked English."""
    own = paper.plain or {}
    made = {"includes": english["includes"], **own}
    for table in TRADE:
        known, rules = english[table], RULES.get(table, ())
        made[table] = {id: _in_english(row, paper) for id, row in known.items()}
        for id, row in own.get(table, {}).items():
            kept = {key: known[id][key] for key in rules if key in known.get(id, ())}
            made[table][id] = {**kept, **row} if isinstance(row, dict) else row
    return made


def _in_english(row: Any, paper: Paper) -> Any:
    """A row whose texts say that they are English."""
    if isinstance(row, dict):
        rules = {key for keys in RULES.values() for key in keys}
        return {key: one if key in rules else _in_english(one, paper) for key, one in row.items()}
    if isinstance(row, list):
        return [_in_english(one, paper) for one in row]
    return paper.values["untranslated"].format(text=row) if isinstance(row, str) else row


def untranslated(language: str) -> tuple[str, ...]:
    """Trade rows that a language has only in English, such as ``components.abs``.

    Args:
        language: name of a file of ``models/words``.
    """
    own, english = paper_words(language).plain, read_yaml(FILE)
    if own is None:
        return ()
    return tuple(f"{table}.{id}" for table in TRADE for id in english[table] if id not in own.get(table, {}))


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
        english = read_yaml(FILE)
        rows = english if paper.plain is None else _completed(paper, english)
        words = PlainWords(
            vocabulary=vocabulary(), countries={**_countries(), **paper.countries}, paper=paper, **rows
        )
    except ValidationError as error:
        first = error.errors()[0]
        row = ".".join(str(step) for step in first["loc"])
        raise KnowledgeError(f"row {row}: {first['msg']}", file, "Mend the file.") from error
    refuse_gaps(_wanted(words, words if paper.plain is None else plain_words()), file)
    return words
