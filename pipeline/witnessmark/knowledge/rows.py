"""Reads lists of rows from ``models/`` and refuses a bad one by file and row."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from typing import TYPE_CHECKING, Annotated, Any, Literal, NoReturn, TypeVar

from pydantic import AfterValidator, BaseModel, BeforeValidator, ValidationError

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge.files import read_yaml
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.units import UNITS

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

Row = TypeVar("Row", bound=BaseModel)
Sureness = Literal["read", "read second-hand", "memory", "computed", "said", "none"]
"""How sure a source is; the same words as in ``Verdict.sureness``."""


def meant(word: str, known: Iterable[str]) -> str:
    """``; did you mean 'pressure'?`` where a known word is near; else nothing."""
    by_letters = {one.lower(): one for one in known}
    near = get_close_matches(word.lower(), by_letters, n=1)
    return f"; did you mean {by_letters[near[0]]!r}?" if near else ""


def _known(value: str, ids: Iterable[str], what: str) -> str:
    ids = list(ids)
    if value not in ids:
        raise ValueError(f"{value!r} is not a {what} of the vocabulary{meant(value, ids)}")
    return value


def _component(value: str) -> str:
    return _known(value, vocabulary().components, "component")


def _group(value: str) -> str:
    return _known(value, {part.group for part in vocabulary().components.values()}, "group")


def _condition(value: str) -> str:
    return _known(value, vocabulary().conditions, "condition")


def _quantity(value: str) -> str:
    return _known(value, vocabulary().quantities, "quantity")


def _unit(value: str) -> str:
    return _known(value, UNITS, "unit")


def _as_list(value: Any) -> Any:
    return [value] if isinstance(value, str) else value


ComponentId = Annotated[str, AfterValidator(_component)]
ConditionId = Annotated[str, AfterValidator(_condition)]
QuantityId = Annotated[str, AfterValidator(_quantity)]
UnitId = Annotated[str, AfterValidator(_unit)]
Components = Annotated[tuple[ComponentId, ...], BeforeValidator(_as_list)]
Groups = Annotated[tuple[Annotated[str, AfterValidator(_group)], ...], BeforeValidator(_as_list)]
Conditions = Annotated[tuple[ConditionId, ...], BeforeValidator(_as_list)]
Quantities = Annotated[tuple[QuantityId, ...], BeforeValidator(_as_list)]
Words = Annotated[tuple[str, ...], BeforeValidator(_as_list)]
"""One id or phrase, or a list of them."""


def refuse(what: str, where: str) -> NoReturn:
    """Raise the error for a row that breaks the rules of its file."""
    raise KnowledgeError(f"{what}.", where, "Mend that row; the head of the file explains its keys.")


def sections(relative: str, allowed: Iterable[str]) -> dict[str, Any]:
    """The file's mapping of sections, none of them unknown.

    Raises:
        KnowledgeError: when it is not a mapping or has another section.
    """
    raw = read_yaml(relative)
    if not isinstance(raw, dict):
        refuse("is not a mapping of sections", relative)
    for name in raw:
        if name not in tuple(allowed):
            refuse(f"has an unknown section {name!r}", relative)
    return raw


def fault_of(model: type[BaseModel], error: ErrorDetails) -> str:
    """What pydantic found wrong with one key, in words for whoever wrote the file."""
    key = ".".join(str(part) for part in error["loc"]) or "the row"
    told = {
        "extra_forbidden": f"there is no such key{meant(key, model.model_fields)}",
        "missing": "the key is missing",
        "literal_error": f"{error['input']!r} is not one of {error.get('ctx', {}).get('expected', '')}",
        "value_error": error["msg"].removeprefix("Value error, "),
        "float_parsing": f"{error['input']!r} is not a number",
        "string_type": f"{error['input']!r} is not text; put it in quotes",
    }
    return f"{key}: {told.get(error['type'], error['msg'])}"


def parse_row(model: type[Row], raw: Any, where: str, name: str) -> Row:
    """One row as its type.

    Raises:
        KnowledgeError: naming the file, the row and the first key that is wrong.
    """
    try:
        return model.model_validate(raw)
    except ValidationError as error:
        refuse(f"row {name}: {fault_of(model, error.errors()[0])}", where)


def parse_rows(model: type[Row], raw: Any, where: str, section: str) -> tuple[Row, ...]:
    """All rows of one section, in the order of the file; see ``parse_row``."""
    if not isinstance(raw, list | None):
        refuse(f"section {section} is not a list of rows", where)
    return tuple(
        parse_row(model, row, where, str(row.get("id", number) if isinstance(row, dict) else number))
        for number, row in enumerate(raw or (), start=1)
    )


def refuse_twins(ids: Iterable[str], where: str) -> None:
    """Refuse an id that occurs twice.

    Raises:
        KnowledgeError: naming the id.
    """
    seen: set[str] = set()
    for name in ids:
        if name in seen:
            refuse(f"row {name}: the id is used twice", where)
        seen.add(name)
