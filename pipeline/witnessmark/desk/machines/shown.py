"""What the pages of machines and of the workshop show, and what the API answers."""

from __future__ import annotations

from datetime import date
from typing import Literal

from witnessmark.types import Frozen, Odometer

Period = Literal["month", "year", "all"]
Order = Literal["seen", "name", "walkrounds", "waiting"]
Kind = Literal["limit", "measure", "work", "inspection"]
"""A part at its limit or perhaps so, one to be measured again, work by the machine card, the next look."""
Status = Literal["confirmed", "rejected", "waiting"]


class MachineLine(Frozen):
    """One machine in the list."""

    name: str
    """Under which its page is asked for: its registration, or its VIN where several carried that."""
    registration: str | None
    vin: str | None
    last_seen: date
    odometer: str
    walkrounds: int
    waiting: int
    """Items of its walkrounds that nobody has decided on."""


class Machines(Frozen):
    """A page of the list."""

    machines: tuple[MachineLine, ...]
    total: int
    """Machines that fit, on all pages."""
    page: int
    pages: int


class VisitView(Frozen):
    """One walkround of a machine."""

    walkround: str
    on: date
    odometer: str
    standing: str
    """What it came to, in a few words; "not known" while the identity alone is confirmed."""
    because: tuple[str, ...]
    entered: int
    """Confirmed items."""
    waiting: int
    who: tuple[str, ...]


class Ending(Frozen):
    """By what trouble came to its end."""

    on: date
    walkround: str
    by: str


class TroubleLine(Frozen):
    """Something that was not in order."""

    says: str
    because: str
    """The judgement, and those of other rules where they find more; empty where no rule graded it."""
    grade: str
    since: date
    last: date
    walkround: str
    item: str
    heard: str
    ended: Ending | None = None


class OpenWork(Frozen):
    """Work that was wanted and not done since, as far as the record knows."""

    says: str
    since: date
    last: date
    walkround: str
    item: str
    heard: str
    owner: str = ""
    """What the owner said to it when it was offered."""


class DueLine(Frozen):
    """Work that the machine card wants at intervals."""

    work: str
    done_on: date | None
    """When it was last confirmed; None where the record has no such work, which proves nothing."""
    done_at: str
    due_on: date | None
    due_at: str
    """On the odometer."""
    note: str
    """Why nothing is known of when it is due."""
    overdue: bool


class LimitLine(Frozen):
    """A limit in the unit of its series."""

    value: float
    says: str
    """``at least 1.6 mm``."""
    whose: str
    """Whose limit: ``law``, ``machine card``, ``said by the technician``, ``common practice``."""
    source: str
    sureness: str


class Measured(Frozen):
    """One confirmed reading."""

    on: date
    walkround: str
    odometer: Odometer | None
    text: str
    """As it was read."""
    value: float | None
    """In the unit of the series; None for text."""
    left: bool
    """Whether as left after work."""
    before: bool
    """Whether of a part that was replaced since."""
    grade: str


class ForecastPoint(Frozen):
    """One place on the line of a forecast."""

    odometer: float
    value: float
    low: float
    high: float


class Series(Frozen):
    """All readings of one quantity at one place."""

    id: str
    part: str
    quantity: str
    unit: str
    clock: Literal["mi", "km"]
    readings: tuple[Measured, ...]
    bounds: tuple[LimitLine, ...] = ()
    reached: bool = False
    forecast: tuple[str, ...] = ()
    """When it reaches its limit, or why that cannot be said; a line each."""
    line: tuple[ForecastPoint, ...] = ()
    """The forecast with the bounds that hold it in 95 of 100 cases."""


class MachineView(Frozen):
    """Everything the page of one machine shows."""

    name: str
    registration: str | None
    vin: str | None
    names: tuple[str, ...]
    """Other registrations under which it was seen."""
    odometer: str
    seen: date
    jurisdiction: str | None
    waiting: int
    next: tuple[str, ...]
    """When to look at it again, in sentences."""
    late: bool
    """Whether the day to look again has passed."""
    open: tuple[TroubleLine, ...]
    settled: tuple[TroubleLine, ...]
    wanted: tuple[OpenWork, ...]
    due: tuple[DueLine, ...]
    series: tuple[Series, ...]
    not_mentioned: tuple[str, ...]
    """Parts that the last walkround never mentioned."""
    not_seen: tuple[str, ...]
    visits: tuple[VisitView, ...]
    """The last first."""


class Choice(Frozen):
    """One of several machines of the same registration."""

    vin: str
    last_seen: date
    odometer: str
    walkrounds: int


class WaitingLine(Frozen):
    """A walkround that is not reviewed to its end."""

    walkround: str
    on: date
    machine: str
    items: int
    dangerous: int
    doubtful: int


class Overdue(Frozen):
    """Something that should have been done by now."""

    kind: Kind
    machine: str
    """Name of its page."""
    what: str
    since: date | None
    walkround: str


class OpenWorkLine(Frozen):
    """Open work with its machine."""

    machine: str
    work: OpenWork


class FoundOften(Frozen):
    """A defect with how often it was confirmed in the period."""

    says: str
    times: int
    share: float
    """Percent of all in the period."""
    together: float
    """Percent with all that are commoner."""


class Workshop(Frozen):
    """Everything the page of the workshop shows."""

    day: date
    empty: bool
    """Whether no walkround has come in yet."""
    walkrounds: int
    """Of these machines."""
    machines: int
    """Those whose identity was confirmed."""
    waiting: tuple[WaitingLine, ...]
    wanted: tuple[OpenWorkLine, ...]
    overdue: tuple[Overdue, ...]
    not_reckoned: int
    """Machines not gone through yet: what they have open or overdue is missing here."""
    unclear: tuple[str, ...]
    """Registrations of several machines: their walkrounds without a VIN count for none of them."""
    period: Period
    found: tuple[FoundOften, ...]


class Hit(Frozen):
    """One item that fits the words looked for."""

    walkround: str
    item: str
    on: date
    machine: str
    """Registration, as confirmed or else as drafted; empty where none was said."""
    says: str
    heard: str
    status: Status
    who: str
    """Who decided; empty while nobody has."""


class SearchResult(Frozen):
    """What was found."""

    words: str
    hits: tuple[Hit, ...]
    more: bool
    """Whether there are more than were asked for."""
