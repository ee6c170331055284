"""The ids that findings use, read from ``models/trade/vocabulary.yaml``."""

from __future__ import annotations

from functools import cache
from typing import Literal, NamedTuple, get_args

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge.files import read_yaml

Placing = Literal["end", "pair", "sided", "once", "corner"]


class Component(NamedTuple):
    """A part that a technician can name."""

    id: str
    group: str
    name: str
    placing: Placing

    @property
    def takes_end(self) -> bool:
        """Whether a finding on it says front or rear."""
        return self.placing in ("end", "corner")


class Vocabulary(NamedTuple):
    """All ids. Mappings keep the order of the file."""

    components: dict[str, Component]
    conditions: dict[str, str]
    """id → name."""
    quantities: dict[str, tuple[str | None, str]]
    """id → canonical unit (None for text values), name."""
    actions: dict[str, str]
    """id → name."""
    families: tuple[dict[str, str | None], ...]
    """Parts whose front and rear have ids of their own."""
    home: dict[str, str]
    """quantity → component it belongs to when the part spoken of cannot have it."""
    worked_by: dict[str, dict[str, tuple[str, str]]]
    """lamp → control → component and end that a remark about both is of."""
    lacking: dict[str, str]
    """Component → what a lack of it is called, where it is not "missing"."""
    never_worn: frozenset[str]
    """Fluids: changed, never worn."""
    never_measured: frozenset[str]
    """Conditions that a reading beside them does not replace."""
    work_on: dict[str, dict[str, tuple[str, str]]]
    """work → part it was said of → component and end it is of."""
    felt_by: dict[str, dict[str, str]]
    """Part in the hand → condition felt by it → component that has it."""
    twofold: dict[str, str]
    """One of two parts that share a name → the other."""
    sideless: frozenset[str]
    """Parts of which a side that is said is never of the part itself."""
    high_limits: frozenset[str]
    """Quantities of which a bare "limit" is the highest allowed."""


@cache
def vocabulary() -> Vocabulary:
    """The vocabulary, checked.

    Raises:
        KnowledgeError: on an unknown placing or an empty part.
    """
    raw = read_yaml("trade/vocabulary.yaml")
    components = {key: Component(key, *row) for key, row in raw["components"].items()}
    for part in components.values():
        if part.placing not in get_args(Placing):
            raise KnowledgeError(
                f"component {part.id} has placing {part.placing!r}",
                "trade/vocabulary.yaml",
                f"Use one of {', '.join(get_args(Placing))}.",
            )
    return Vocabulary(
        components,
        {key: name for key, (_, name) in raw["conditions"].items()},
        {key: (unit, name) for key, (unit, name) in raw["quantities"].items()},
        dict(raw["actions"]),
        tuple(raw["families"]),
        dict(raw["home"]),
        {lamp: {c: (k, e) for c, (k, e) in rows.items()} for lamp, rows in raw["worked_by"].items()},
        {part: condition for condition, parts in raw["lacking"].items() for part in parts},
        frozenset(raw["never_worn"]),
        frozenset(raw["never_measured"]),
        {kind: {p: (c, e) for p, (c, e) in rows.items()} for kind, rows in raw["work_on"].items()},
        dict(raw["felt_by"]),
        dict(raw["twofold"]),
        frozenset(raw["sideless"]),
        frozenset(raw["high_limits"]),
    )
