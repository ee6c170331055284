"""The line drawings of a machine and where on them each part is, read from ``models/drawings.yaml``."""

from __future__ import annotations

from collections.abc import Collection
from functools import cache
from typing import Annotated
from xml.etree import ElementTree

from pydantic import BeforeValidator, Field

from witnessmark.knowledge.files import models_dir, read_yaml
from witnessmark.knowledge.rows import parse_row, refuse, refuse_twins
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import End, Frozen

FILE = "drawings.yaml"
WHOLE = "whole"
"""Place of what is nowhere on the drawing."""


class DrawingRow(Frozen):
    """One line drawing."""

    id: str
    file: str
    width: float
    height: float
    when: dict[str, str] = Field(default_factory=dict)

    @property
    def svg(self) -> str:
        """The drawing, one SVG element."""
        return (models_dir() / self.file).read_text(encoding="utf-8")


def _ends(value: object) -> object:
    """A bare place is that of a component without ends."""
    return {"any": value} if isinstance(value, str) else value


class Drawings(Frozen):
    """The file; ``places`` in walking order."""

    drawings: tuple[DrawingRow, ...]
    places: dict[str, dict[str, tuple[float, float]]]
    components: dict[str, Annotated[dict[str, str], BeforeValidator(_ends)]]

    def drawing(self, id: str) -> DrawingRow:
        """The drawing with that id."""
        return next(row for row in self.drawings if row.id == id)

    def of_machine(self, built: Collection[str]) -> DrawingRow:
        """The first drawing that fits a machine built so (ids of alternatives of ``coverage.yaml``)."""
        return next(row for row in self.drawings if set(row.when.values()) <= set(built))

    def places_of(self, component: str, end: End | None) -> tuple[str, ...]:
        """Where a part is: both ends where none was said, ``whole`` for what is nowhere on the drawing."""
        row = self.components.get(component, {"any": WHOLE})
        if end in row:
            return (row[end],)
        return tuple(dict.fromkeys(row.values()))

    def walk(self, place: str) -> int:
        """Rank of a place on the way round the machine; the whole comes last."""
        order = list(self.places)
        return order.index(place) if place in order else len(order)


@cache
def drawings() -> Drawings:
    """The file, checked.

    Raises:
        KnowledgeError: on a bad row, a drawing that does not fit every machine in the end, an unknown
            component or place, or a place that a drawing lacks.
    """
    found = parse_row(Drawings, read_yaml(FILE), FILE, "the file")
    refuse_twins((row.id for row in found.drawings), FILE)
    if not found.drawings or found.drawings[-1].when:
        refuse("the last drawing must fit any machine", FILE)
    if unknown := set(found.components) - set(vocabulary().components):
        refuse(f"unknown component {sorted(unknown)[0]!r}", FILE)
    named = {place for row in found.components.values() for place in row.values()}
    if unknown := named - set(found.places):
        refuse(f"unknown place {sorted(unknown)[0]!r}", FILE)
    ids = {row.id for row in found.drawings}
    for place, spots in found.places.items():
        if set(spots) != ids:
            refuse(f"row {place}: a drawing has no such place", FILE)
    for row in found.drawings:
        _check_art(row)
    return found


def _check_art(row: DrawingRow) -> None:
    try:
        root = ElementTree.fromstring(row.svg)
    except (OSError, ElementTree.ParseError) as error:
        refuse(f"row {row.id}: {row.file} cannot be read ({error})", FILE)
    if root.get("viewBox") != f"0 0 {row.width:g} {row.height:g}":
        refuse(f"row {row.id}: its size is not the viewBox of {row.file}", FILE)
