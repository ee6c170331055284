"""The owner's page as values: every text is final, the template only places it."""

from __future__ import annotations

import unicodedata
from typing import Annotated, Any, Generic, Literal, TypeVar

from pydantic import BeforeValidator

from witnessmark.types import Frozen

Item = TypeVar("Item")
Anchor = Literal["start", "middle", "end"]


def _tidied(text: object) -> object:
    """Controls, surrogates, noncharacters and direction overrides have no place here and become U+FFFD."""
    if not isinstance(text, str) or text.isprintable():  # which all of these are not
        return text
    return "".join("\ufffd" if _unprintable(char) else char for char in text)


def _unprintable(char: str) -> bool:
    code = ord(char)
    if code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF or 0x202A <= code <= 0x202E:
        return True
    return unicodedata.category(char) in ("Cc", "Cs") and char not in "\t\n"


Text = Annotated[str, BeforeValidator(_tidied)]
"""Text that may be printed; markup in it is escaped by the template."""


class Section(Frozen, Generic[Item]):
    """One headed part of the page; left out when it has no items."""

    id: str
    heading: Text
    holds: Text
    items: tuple[Item, ...] = ()


class Line(Frozen):
    """Something found, with its grade's label where that is not the entry's."""

    text: Text
    label: Text = ""


class Entry(Frozen):
    """One part, or the same on both sides, and what is to be told about it."""

    part: Text
    places: tuple[str, ...] = ()
    """Ids of its places on the drawing."""
    at: tuple[int, ...] = ()
    """The numbers that these places have on the drawing."""
    grade: str = ""
    """Grade id, or nothing when no rule grades it."""
    label: Text = ""
    purpose: Text = ""
    found: tuple[Line, ...] = ()
    leads: tuple[Text, ...] = ()
    advised: tuple[Text, ...] = ()
    otherwise: Text = ""
    rules: tuple[Text, ...] = ()
    """Whose rule graded it, its source and how sure that is."""


class Work(Frozen):
    """Work done on one part, with what was found before and the figures before and after."""

    part: Text
    did: Text
    found: tuple[Line, ...] = ()
    figures: tuple[Text, ...] = ()


class Mark(Frozen):
    """A point on a scale; ``x`` and its label's place in the scale's own units."""

    x: float
    label: Text = ""
    anchor: Anchor = "middle"
    kind: Literal["now", "before", "past", "limit", "target"] = "now"


class Band(Frozen):
    """A stretch of a scale outside the limit."""

    x: float
    width: float


class Scale(Frozen):
    """A drawn axis with the reading and its limit."""

    says: Text
    """The drawing in words, for those who cannot see it."""
    bands: tuple[Band, ...] = ()
    marks: tuple[Mark, ...] = ()


class Carried(Frozen):
    """A fault of an earlier visit, or work offered then, that nothing says was put right or done."""

    part: Text
    grade: str = ""
    label: Text = ""
    purpose: Text = ""
    found: Text = ""
    when: Text = ""
    leads: Text = ""
    advised: Text = ""
    said: tuple[Text, ...] = ()
    """What the owner said to work there."""


class Figure(Frozen):
    """A reading's value and the label of its grade."""

    text: Text
    beside: Text = ""
    """About what it is in the unit that the country is used to."""
    label: Text = ""
    grave: bool = False


class LimitLine(Frozen):
    """A limit (nothing for a rule without a figure), whose it is, its source and how sure that is."""

    text: Text
    whose: Text
    source: Text = ""
    sure: Text = ""


class ReadingRow(Frozen):
    """A quantity of one part in the table of readings."""

    part: Text
    quantity: Text
    figures: tuple[Figure, ...]
    limits: tuple[LimitLine, ...] = ()
    last: Text = ""
    scale: Scale | None = None


class Ahead(Frozen):
    """When one quantity of one part may reach its limit, in sentences."""

    part: Text
    quantity: Text
    state: str
    """``estimate``, ``reached``, ``far`` or ``none``."""
    lines: tuple[Text, ...]


class Named(Frozen):
    """A part and a few words on it."""

    part: Text
    detail: Text = ""


class Area(Frozen):
    """Parts of one area of the machine."""

    heading: Text
    parts: tuple[Named, ...]


class Numbered(Frozen):
    """A numbered place of a drawing, in its own units, and the parts there that the page speaks of."""

    number: int
    x: float
    y: float
    name: Text
    parts: tuple[Text, ...]


class Drawing(Frozen):
    """Where on the machine the parts are that call for something."""

    id: str
    heading: Text
    holds: Text
    says: Text
    """The drawing in words, for those who cannot see it."""
    width: float
    height: float
    places: tuple[Numbered, ...]


class Photograph(Frozen):
    """A picture taken during the inspection."""

    caption: Text
    alt: Text
    sha256: str
    """Of the picture as it was given."""
    jpeg: bytes
    """As it is shown: upright, not too large, without what cameras write into files."""


class Genuine(Frozen):
    """How to find out whether a page is what the record says."""

    heading: Text
    holds: Text
    code: Text
    """One line: which walkround, when the page was made, in which language, and the SHA-256 of its values."""
    alt: Text
    """Of the code as a pattern."""


class Summary(Frozen):
    """The whole page."""

    language: str
    """BCP 47, such as ``en-GB``."""
    labels: dict[str, Text]
    """The fixed words of the page."""
    title: Text
    registration: Text | None = None
    vin: Text | None = None
    distance: Text | None = None
    inspected: Text
    made: Text = ""
    notice: tuple[Text, ...] = ()
    """What still waits for review; empty when the review is finished."""
    urgency: str
    """Key of the verdict's row: ``stop``, ``work``, ``open``, ``nothing``, ``ungraded``, ``plan`` …"""
    verdict: Text
    little: bool = False
    """Whether more parts were not looked at than were."""
    because: tuple[Text, ...] = ()
    """What made the verdict, gravest first: ``Rear tyre: tread depth 0.9 mm, which is …``."""
    together: tuple[Text, ...] = ()
    """Faults of one area that together may be graver."""
    still: Text = ""
    """Parts with faults of earlier visits that the verdict does not name."""
    certificate: Text = ""
    """That the verdict is none."""
    coverage: Text = ""
    graded: tuple[Section[Entry], ...] = ()
    """Before you ride, soon, keep an eye on, also noted."""
    earlier: Section[Carried]
    """Open from earlier visits, the gravest first."""
    grades: tuple[Named, ...] = ()
    """The grades on this page, explained."""
    done: Section[Work]
    ahead: Section[Ahead]
    look: tuple[Text, ...] = ()
    """When to have the machine looked at again."""
    readings: Section[ReadingRow]
    in_order: Section[Area]
    not_seen: Section[Named]
    never: Section[Area]
    unconfirmed: Section[Named]
    cautions: Section[Text]
    people: Section[Text]
    drawing: Drawing | None = None
    photographs: Section[Photograph]
    genuine: Genuine | None = None

    @property
    def sections(self) -> tuple[tuple[str, str, int], ...]:
        """Id, heading and count of each part of the page that has items, in order of the page."""
        parts: tuple[Section[Any], ...] = (
            *self.graded, self.earlier, self.done, self.ahead, self.readings, self.in_order, self.not_seen,
            self.never, self.unconfirmed, self.photographs,
        )  # fmt: skip
        return tuple((part.id, part.heading, _count(part.items)) for part in parts if part.items)


def _count(items: tuple[object, ...]) -> int:
    return sum(len(item.parts) if isinstance(item, Area) else 1 for item in items)
