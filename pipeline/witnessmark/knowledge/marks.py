"""What VINs and registrations look like and tell, read from ``models/limits/identity.yaml``."""

from __future__ import annotations

import re
from functools import cache
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from witnessmark.knowledge.rows import Sureness, parse_row, refuse_twins, sections
from witnessmark.types import Frozen

FILE = "limits/identity.yaml"


def _pattern(text: str) -> str:
    try:
        re.compile(text)
    except re.error as error:
        raise ValueError(f"is no pattern: {error}") from error
    return text


class ModelYears(Frozen):
    """Symbols of position 10 in their order from the first year."""

    first: int
    cycle: int
    symbols: str
    source: str
    sureness: Sureness


class Vin(Frozen):
    """Rules of the vehicle identification number."""

    source: str
    sureness: Sureness
    length: int
    values: dict[str, int]
    weights: Annotated[tuple[int, ...], Field(min_length=17, max_length=17)]
    bound: tuple[str, ...]
    """Countries whose law asks for the check digit."""
    years: ModelYears
    hints: dict[str, str]


class Format(Frozen):
    """One form of registration mark."""

    id: str
    jurisdiction: str
    name: str
    pattern: Annotated[str, AfterValidator(_pattern)]
    rule: Literal["march-september"] | None = None
    years: dict[str, int] = Field(default_factory=dict)


class Origin(Frozen):
    """Where the forms were read."""

    source: str
    sureness: Sureness


class Marks(Frozen):
    """The file."""

    vin: Vin
    registrations: tuple[Format, ...]
    registrations_source: Origin


@cache
def marks() -> Marks:
    """The file, checked.

    Raises:
        KnowledgeError: on a wrong row, a pattern that is none or an id used twice.
    """
    found = parse_row(Marks, sections(FILE, Marks.model_fields), FILE, "tables")
    refuse_twins((row.id for row in found.registrations), FILE)
    return found
