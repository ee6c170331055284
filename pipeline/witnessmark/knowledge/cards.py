"""Machine cards: what the maker says of one model, and how the usual machine of a class is built.

Cards lie in ``models/machines`` (those of classes in ``models/machines/classes``) and in the workshop's own
folder, one file each.
"""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BeforeValidator

from witnessmark.errors import BadInputError, KnowledgeError
from witnessmark.knowledge.card_rules import WorkId
from witnessmark.knowledge.figures import Figure, MachineFacts
from witnessmark.knowledge.files import models_dir
from witnessmark.knowledge.rows import ComponentId, QuantityId, Sureness, meant
from witnessmark.types import End, Frozen

FOLDER = "machines"
OWN = "WITNESSMARK_CARDS"
"""Environment variable that names the folder of the workshop's own cards."""
CHECK = "Mend the file; `witnessmark card check` lists all that is wrong with it."


def _texts(value: object) -> object:
    """A bare text is a list of one; a number is told as what it is."""
    return [value] if isinstance(value, str) else value


class Sourced(Frozen):
    """Where a row of a card comes from; a card that is read has both, from the row or from the card."""

    source: str = ""
    sureness: Sureness = "none"


class CardFigure(Figure, Sourced):
    """A figure of one machine."""


class Marking(Sourced):
    """A text that a part should carry, such as a tyre size or an oil grade."""

    id: str
    component: ComponentId
    end: End | None = None
    quantity: QuantityId
    text: str
    note: str = ""


class Interval(Sourced):
    """How often work is due: after a distance, a time, or whichever comes first."""

    id: str
    component: ComponentId
    work: WorkId
    every: float | None = None
    unit: Literal["km", "mi"] | None = None
    months: float | None = None
    note: str = ""


class MachineCard(MachineFacts):
    """One model of machine with the figures of its handbook, or the usual machine of a class."""

    id: str
    kind: Literal["model", "class"] = "model"
    name: str
    registrations: Annotated[tuple[str, ...], BeforeValidator(_texts)] = ()
    source: str
    sureness: Sureness
    front_brake: Literal["disc", "drum"]
    rear_brake: Literal["disc", "drum"]
    final_drive: Literal["chain", "belt", "shaft", "hub"]
    cooling: Literal["air", "liquid"]
    engine: Literal["four_stroke", "two_stroke", "electric"] | None = None
    gears: Literal["manual", "automatic"] | None = None
    shocks: Literal["one", "two", "none"] | None = None
    wheels: Literal["cast", "spoked"] | None = None
    abs: Literal["none", "fitted"] | None = None
    usual: MachineFacts = MachineFacts()
    """Of a class: what its machines usually are. The card's own facts are those of one model."""
    figures: tuple[CardFigure, ...] = ()
    markings: tuple[Marking, ...] = ()
    intervals: tuple[Interval, ...] = ()
    note: str = ""

    @property
    def built(self) -> dict[str, str]:
        """Choice of ``coverage.yaml`` → the alternative this machine has, as far as the card says."""
        ways = {
            "front": self.front_brake,
            "rear": self.rear_brake,
            "final": self.final_drive,
            "cooling": self.cooling,
            "engine": self.engine,
            "gears": self.gears,
            "shocks": self.shocks,
            "wheels": self.wheels,
            "abs": self.abs,
        }
        return {choice: f"{choice}_{way}" for choice, way in ways.items() if way}

    @property
    def makers(self) -> tuple[CardFigure, ...]:
        """Figures to hold a reading against as the maker's; those of a class are nobody's."""
        return self.figures if self.kind == "model" else ()

    @property
    def makers_markings(self) -> tuple[Marking, ...]:
        """Markings to compare with as the maker's."""
        return self.markings if self.kind == "model" else ()


def plain(registration: str) -> str:
    """A registration without spaces and hyphens, in capitals."""
    return "".join(filter(str.isalnum, registration)).upper()


def own_folder() -> Path:
    """Where the workshop keeps its own cards; it need not be there."""
    from platformdirs import user_data_path

    named = os.environ.get(OWN)
    return Path(named) if named else user_data_path("witnessmark", appauthor=False) / "cards"


def _shipped() -> list[Path]:
    folder = models_dir() / FOLDER
    return [*sorted(folder.glob("*.yaml")), *sorted((folder / "classes").glob("*.yaml"))]


def card_files() -> list[Path]:
    """The files of the workshop's own cards, then of those that come with the program."""
    return [*sorted(own_folder().glob("*.yaml")), *_shipped()]


@cache
def cards() -> tuple[MachineCard, ...]:
    """The cards that come with the program, models before classes, by file name.

    Raises:
        KnowledgeError: on a bad card, or an id or registration used twice.
    """
    return _read_all(_shipped(), ())


def own_cards() -> tuple[MachineCard, ...]:
    """The workshop's own cards, by file name; read again when a file has changed.

    Raises:
        KnowledgeError: on a bad card, or an id or registration that another card has.
    """
    try:
        paths = sorted(own_folder().glob("*.yaml"))
        return _read_own(tuple((path, path.stat().st_mtime_ns, path.stat().st_size) for path in paths))
    except OSError as error:
        raise KnowledgeError(f"cannot be read ({error.strerror})", str(own_folder()), CHECK) from error


@cache
def _read_own(stamps: tuple[tuple[Path, int, int], ...]) -> tuple[MachineCard, ...]:
    return _read_all([path for path, *_ in stamps], cards())


def _read_all(paths: list[Path], before: tuple[MachineCard, ...]) -> tuple[MachineCard, ...]:
    found: list[MachineCard] = []
    for path in paths:
        card = read_card(path)
        _refuse_same(card, path, (*before, *found))
        found.append(card)
    return tuple(found)


def _refuse_same(card: MachineCard, path: Path, others: tuple[MachineCard, ...]) -> None:
    for other in others:
        if other.id == card.id:
            remedy = "Give each card an id of its own."
            raise KnowledgeError(f"row {card.id}: the id is used twice", where_of(path), remedy)
        if both := {plain(mark) for mark in card.registrations} & {plain(m) for m in other.registrations}:
            raise KnowledgeError(
                f"the registration {sorted(both)[0]} is on two cards, this one and that of {other.id}",
                where_of(path),
                "Take it off the card that is not of this machine.",
            )


def where_of(path: Path) -> str:
    """A file as messages name it: below ``models``, or whole."""
    return str(path.relative_to(models_dir())) if path.is_relative_to(models_dir()) else str(path)


def read_card(path: Path) -> MachineCard:
    """One card, checked.

    Raises:
        KnowledgeError: it cannot be read, or something is wrong with it; the first fault is told.
    """
    from witnessmark.knowledge.card_checks import read

    card, faults = read(path)
    if card is None or faults:
        more = f" (and {len(faults) - 1} more)" if len(faults) > 1 else ""
        raise KnowledgeError(f"{faults[0]}{more}", where_of(path), CHECK)
    return card


def all_cards() -> tuple[MachineCard, ...]:
    """The workshop's own cards, then those that come with the program.

    Raises:
        KnowledgeError: on a bad card, or an id or registration used twice.
    """
    return (*own_cards(), *cards())


def card_for(registration: str | None) -> MachineCard | None:
    """The card of the machine with that registration, spaces and case aside; None when there is none."""
    wanted = plain(registration or "")
    return next((card for card in all_cards() if wanted in map(plain, card.registrations)), None)


def card_named(name: str) -> MachineCard:
    """The card with that id or registration, or in that file.

    Raises:
        BadInputError: there is none.
        KnowledgeError: on a bad card.
    """
    if name.endswith((".yaml", ".yml")) or Path(name).is_file():
        if not Path(name).is_file():
            raise BadInputError("there is no such file.", name, "`witnessmark card show` lists the cards.")
        return read_card(Path(name))
    wanted = plain(name)
    for card in all_cards():
        if card.id == name.lower() or (wanted and wanted in map(plain, card.registrations)):
            return card
    ids = [card.id for card in all_cards()]
    raise BadInputError(
        f"no machine card has this id or registration{meant(name.lower(), ids)}",
        name,
        "`witnessmark card show` lists the cards, `witnessmark card new` makes one.",
    )
