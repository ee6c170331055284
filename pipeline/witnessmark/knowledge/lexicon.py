"""The trade's words, read from ``models/trade`` and checked against the vocabulary.

Every phrase of every file becomes part of a `Row`; a row has a family (what kind of word it is), the id it
stands for and what its file says of it. Extraction sees nothing but these rows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge.files import read_yaml
from witnessmark.knowledge.phrases import check
from witnessmark.knowledge.vocabulary import vocabulary


class Row(NamedTuple):
    """One row of the lexicon."""

    family: str
    """part, shared, condition, action, unit, quantity, limit, place, zone or cue."""
    id: str
    phrases: tuple[str, ...]
    data: Mapping[str, Any]

    @property
    def name(self) -> str:
        """``condition:leak``, as shown to a reviewer who asks why."""
        return f"{self.family}:{self.id}"


class Lexicon(NamedTuple):
    """All rows, and the tables about readings."""

    rows: tuple[Row, ...]
    usual: Mapping[str, Mapping[str, str]]
    """component → unit family → quantity."""
    unit: Mapping[str, str]
    """quantity → unit when none was said."""
    plausible: Mapping[str, tuple[float, float]]
    """quantity → range in the canonical unit."""
    measured: Mapping[str, frozenset[str]]
    """component → every quantity that is read on it."""
    keep_left: frozenset[str]
    """Jurisdictions where traffic keeps left."""


@cache
def lexicon() -> Lexicon:
    """The lexicon.

    Raises:
        KnowledgeError: for a row about an id that the vocabulary lacks, naming file and row.
    """
    places, quantities = read_yaml("trade/places.yaml"), read_yaml("trade/quantities.yaml")
    rows = (
        *_parts(),
        *_conditions(),
        *_actions(),
        *_quantities(quantities),
        *_places(places),
        *_cues(),
    )
    for row in rows:
        for phrase in row.phrases:
            if not isinstance(phrase, str):
                raise KnowledgeError(
                    f"{row.name} has {phrase!r} for a phrase", "models/trade", "Put it in quotes."
                )
            check(phrase)
    return Lexicon(
        rows,
        quantities["usual"],
        quantities["unit"],
        {key: (low, high) for key, (low, high) in quantities["plausible"].items()},
        _measured(quantities),
        frozenset(places["keep_left"]),
    )


def _row(family: str, id_: str, raw: Any, **data: Any) -> Row:
    """A row from a phrase, a list of phrases or a mapping with ``say``."""
    if isinstance(raw, str):
        return Row(family, id_, (raw,), data)
    if isinstance(raw, list):
        return Row(family, id_, tuple(raw), data)
    extra = {key: value for key, value in raw.items() if key != "say"}
    return Row(family, id_, tuple(raw["say"]), {**data, **extra})


def _known(id_: str, ids: Mapping[str, Any], file: str) -> str:
    if id_ not in ids:
        raise KnowledgeError(f"has a row for {id_!r}, which is not in the vocabulary", f"models/trade/{file}")
    return id_


def _parts() -> Iterator[Row]:
    components = vocabulary().components
    for id_, phrases in read_yaml("trade/components.yaml").items():
        _known(id_, components, "components.yaml")
        yield Row("part", id_, tuple(p for p in phrases if isinstance(p, str)), {})
        yield from (_row("part", id_, p) for p in phrases if not isinstance(p, str))
    for number, raw in enumerate(read_yaml("trade/shared.yaml")):
        for id_ in (raw["default"], *raw["near"].values()):
            if id_ is not None:
                _known(id_, components, "shared.yaml")
        yield _row("shared", str(number), raw)


def _conditions() -> Iterator[Row]:
    known = vocabulary()
    groups = {c.group for c in known.components.values()}
    for id_, rows in read_yaml("trade/conditions.yaml").items():
        _known(id_, known.conditions, "conditions.yaml")
        for raw in rows:
            row = _row("condition", id_, raw)
            for part in (*row.data.get("of", ()), *row.data.get("not_of", ())):
                if part not in groups:
                    _known(part, known.components, "conditions.yaml")
            if row.data.get("denied"):
                _known(row.data["denied"], known.conditions, "conditions.yaml")
            yield row


def _actions() -> Iterator[Row]:
    for id_, forms in read_yaml("trade/actions.yaml").items():
        _known(id_, vocabulary().actions, "actions.yaml")
        for form, phrases in forms.items():
            if phrases:
                yield Row("action", id_, tuple(phrases), {"form": form})


def _quantities(raw: Mapping[str, Any]) -> Iterator[Row]:
    known = vocabulary().quantities
    for id_, phrases in raw["units"].items():
        yield Row("unit", id_, tuple(phrases), {})
    for id_, phrases in raw["words"].items():
        yield Row("quantity", _known(id_, known, "quantities.yaml"), tuple(phrases), {})
    for part, families in raw["usual"].items():
        _known(part, vocabulary().components, "quantities.yaml")
        for quantity in families.values():
            _known(quantity, known, "quantities.yaml")


def _places(raw: Mapping[str, Any]) -> Iterator[Row]:
    for axis in ("end", "side"):
        for id_, phrases in raw[axis].items():
            yield Row("place", id_, tuple(phrases), {"axis": axis})
    for axis in ("kerb", "far", "both", "ends_both", "corners", "others", "that", "other", "same"):
        yield Row("place", axis, tuple(raw[axis]), {"axis": axis})
    for id_, phrases in raw["zones"].items():
        yield Row("zone", id_, tuple(phrases), {})


def _cues() -> Iterator[Row]:
    for id_, value in read_yaml("trade/cues.yaml").items():
        if isinstance(value, dict):
            for sub, phrases in value.items():
                yield Row(
                    "limit" if id_ == "limit" else "cue",
                    sub if id_ == "limit" else f"{id_}.{sub}",
                    tuple(phrases),
                    {},
                )
        else:
            yield Row("cue", id_, tuple(value), {})


def fitting_row(rows: tuple[Row, ...], component: str) -> Row | None:
    """The row of a condition word that holds for a component: one written for it first."""
    names = {component}
    general = None
    for row in rows:
        if row.data.get("of"):
            if names & set(row.data["of"]):
                return row
        elif not names & set(row.data.get("not_of", ())) and general is None:
            general = row
    return general


def _measured(raw: Mapping[str, Any]) -> dict[str, frozenset[str]]:
    found = {part: frozenset(families.values()) for part, families in raw["usual"].items()}
    for part, quantities in raw["also_measured"].items():
        if part not in vocabulary().components or not set(quantities) <= set(vocabulary().quantities):
            where = f"trade/quantities.yaml, also_measured, {part}"
            raise KnowledgeError("names a part or a quantity that is not known", where, "Use ids.")
        found[part] = found.get(part, frozenset()) | frozenset(quantities)
    return found
