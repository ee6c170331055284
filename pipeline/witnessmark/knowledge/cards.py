"""Machine cards: what the maker says of one model, read from ``models/machines``."""

from __future__ import annotations

from functools import cache
from typing import Literal

from witnessmark.knowledge.figures import Figure, MachineFacts
from witnessmark.knowledge.files import models_dir, read_yaml
from witnessmark.knowledge.rows import (
    ComponentId,
    QuantityId,
    Sureness,
    parse_row,
    parse_rows,
    refuse,
    refuse_twins,
)
from witnessmark.types import End, Frozen

FOLDER = "machines"


class Marking(Frozen):
    """A text that a part should carry, such as a tyre size or an oil grade."""

    id: str
    component: ComponentId
    end: End | None = None
    quantity: QuantityId
    text: str


class MachineCard(MachineFacts):
    """One model of machine with the figures of its handbook."""

    id: str
    name: str
    registrations: tuple[str, ...]
    source: str
    sureness: Sureness
    front_brake: Literal["disc", "drum"]
    rear_brake: Literal["disc", "drum"]
    final_drive: Literal["chain", "belt", "shaft"]
    cooling: Literal["air", "liquid"]
    figures: tuple[Figure, ...] = ()
    markings: tuple[Marking, ...] = ()

    @property
    def built(self) -> dict[str, str]:
        """Choice of ``coverage.yaml`` → the alternative this machine has."""
        return {
            "front": f"front_{self.front_brake}",
            "rear": f"rear_{self.rear_brake}",
            "final": f"final_{self.final_drive}",
            "cooling": f"cooling_{self.cooling}",
        }


def _plain(registration: str) -> str:
    return "".join(filter(str.isalnum, registration)).upper()


def _read(where: str) -> MachineCard:
    raw = read_yaml(where)
    if not isinstance(raw, dict):
        refuse("is not a mapping", where)
    figures = parse_rows(Figure, raw.get("figures"), where, "figures")
    markings = parse_rows(Marking, raw.get("markings"), where, "markings")
    refuse_twins([row.id for row in figures] + [row.id for row in markings], where)
    for row in figures:
        if row.kind == "none":
            refuse(f"row {row.id}: a card's figure needs a value", where)
    card = {**raw, "figures": figures, "markings": markings}
    return parse_row(MachineCard, card, where, str(raw.get("id", "1")))


@cache
def cards() -> tuple[MachineCard, ...]:
    """All cards, by file name.

    Raises:
        KnowledgeError: on a bad card, or an id or registration used twice.
    """
    found: list[MachineCard] = []
    for path in sorted((models_dir() / FOLDER).glob("*.yaml")):
        where = f"{FOLDER}/{path.name}"
        found.append(_read(where))
        refuse_twins((card.id for card in found), where)
        refuse_twins((_plain(mark) for card in found for mark in card.registrations), where)
    return tuple(found)


def card_for(registration: str | None) -> MachineCard | None:
    """The card of the machine with that registration, spaces and case aside; None when there is none."""
    wanted = _plain(registration or "")
    return next((card for card in cards() if wanted in map(_plain, card.registrations)), None)
