"""What the record knows of one machine, with what of it is open still."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from typing import NamedTuple

from witnessmark import run
from witnessmark.knowledge.plain import plain_words
from witnessmark.record import Answers, History, MachineRow, Store
from witnessmark.record.rows import plain
from witnessmark.review import apply
from witnessmark.summarise import Before, Outlook
from witnessmark.summarise.answers import earlier_answers
from witnessmark.summarise.bill import Earlier
from witnessmark.summarise.later import Place, Trouble, Wanted, day_of, troubles, wanted
from witnessmark.types import Outcome


class Known(NamedTuple):
    """One machine."""

    history: History
    """Of one visit at least."""
    outcomes: tuple[Outcome, ...]
    """What each visit came to, judged as the reviewer has it."""
    outlook: Outlook
    troubles: tuple[Trouble, ...]
    wanted: tuple[Wanted, ...]
    answers: tuple[Earlier, ...]
    """The owner's last to each line of an estimate."""

    @property
    def renewed(self) -> dict[Place, date]:
        """Place → day by which readings show a new part there."""
        return renewed_of(self.outlook)

    @property
    def before(self) -> Iterator[Before]:
        """What was known before each visit."""
        days = tuple(map(day_of, self.outcomes))
        return (Before(days[:number], self.renewed) for number in range(len(days)))


def renewed_of(outlook: Outlook) -> dict[Place, date]:
    """As ``Known.renewed``."""
    return {(f.component, f.end, f.side): f.renewed for f in outlook.forecasts if f.renewed}


def know(store: Store, name: str) -> Known | None:
    """Everything confirmed of a machine; None where the record does not know it.

    Raises:
        SeveralMachines: the registration was confirmed on machines of different VINs.
    """
    history = store.history(name)
    if not history.visits:
        return None
    outcomes = tuple(run.judged_again(apply(store.walkround(one.walkround))) for one in history.visits)
    outlook = run.outlook(history, history.visits[-1].on)
    assert outlook is not None  # there is a visit on that day
    words, days, renewed = plain_words(), tuple(map(day_of, outcomes)), renewed_of(outlook)
    said = Answers(store).of([one.walkround for one in history.visits])
    return Known(
        history,
        outcomes,
        outlook,
        troubles(words, days, renewed),
        wanted(words, days, renewed),
        earlier_answers(said, history.past_work),
    )


def names(rows: Sequence[MachineRow]) -> list[str]:
    """The name under which each machine's page is asked for.

    Its registration where no other machine of the list carries it, else its VIN.
    """
    often = Counter(plain(row.registration) for row in rows)
    return [_name(row, often[plain(row.registration)] > 1) for row in rows]


def _name(row: MachineRow, shared: bool) -> str:
    by_vin = shared or not row.registration
    return (by_vin and row.vin) or row.registration or ""
