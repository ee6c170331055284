"""The page of one machine as values."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from witnessmark.desk.machines import shown, wording
from witnessmark.desk.machines.knowing import Known
from witnessmark.desk.machines.series import all_series
from witnessmark.knowledge.plain import plain_words
from witnessmark.knowledge.standing import standings
from witnessmark.record import Visit
from witnessmark.record.rows import plain
from witnessmark.summarise import Summary, summarise
from witnessmark.summarise.ahead import look_again, round_to
from witnessmark.summarise.reckoned import due_of, work_of
from witnessmark.types import DueWork, Outcome


def view(known: Known, name: str, today: date) -> shown.MachineView:
    """Everything that the page shows.

    Args:
        known: of the machine.
        name: under which it was asked for.
        today: what is due by then is late.
    """
    visits = known.history.visits
    pages = [
        summarise(outcome, plain_words(), before=before)
        for outcome, before in zip(known.outcomes, known.before, strict=True)
    ]
    registration, *others = _registrations(visits)
    look = known.outlook.look
    return shown.MachineView(
        name=name,
        registration=registration,
        vin=next((one.machine.vin for one in reversed(visits) if one.machine.vin), None),
        names=tuple(others),
        odometer=next(
            (wording.clock(v.machine.odometer) for v in reversed(visits) if v.machine.odometer), ""
        ),
        seen=visits[-1].on,
        jurisdiction=visits[-1].jurisdiction,
        waiting=sum(len(outcome.waiting) for outcome in known.outcomes),
        next=look_again(plain_words(), known.outlook),
        late=look.on is not None and look.on < today,
        open=tuple(wording.trouble(one) for one in known.troubles if one.settled is None),
        settled=tuple(wording.trouble(one) for one in known.troubles if one.settled),
        wanted=tuple(wording.wanted(one, known.answers) for one in known.wanted),
        due=tuple(due(one, today) for one in known.outlook.due),
        series=all_series(known),
        not_mentioned=tuple(part.part for area in pages[-1].never.items for part in area.parts),
        not_seen=tuple(part.part for part in pages[-1].not_seen.items),
        visits=tuple(map(_visit, visits, known.outcomes, pages))[::-1],
    )


def _registrations(visits: tuple[Visit, ...]) -> list[str | None]:
    """The last one, then the others it was seen under."""
    known = {
        plain(one.machine.registration): one.machine.registration
        for one in visits
        if one.machine.registration
    }
    last = next((one.machine.registration for one in reversed(visits) if one.machine.registration), None)
    return [last, *(name for key, name in known.items() if key != plain(last))]


def due(one: DueWork, today: date) -> shown.DueLine:
    """Work by the machine card; late by the last visit's distance, or by today's date."""
    known = one.at is not None or one.on is not None
    return shown.DueLine(
        work=work_of(one),
        done_on=one.done.on if one.done else None,
        done_at=wording.clock(one.done.odometer) if one.done else "",
        due_on=one.on,
        due_at=f"{round_to(one.at):,} {one.clock}" if one.at is not None else "",
        note="" if known else due_of(one),
        overdue=one.overdue or (one.on is not None and one.on <= today),
    )


def _visit(visit: Visit, outcome: Outcome, page: Summary) -> shown.VisitView:
    return shown.VisitView(
        walkround=visit.walkround,
        on=visit.on,
        odometer=wording.clock(visit.machine.odometer),
        standing=standings().level(page.urgency).name,
        because=page.because,
        entered=len(visit.entered),
        waiting=len(outcome.waiting),
        who=tuple(dict.fromkeys(_who(visit))),
    )


def _who(visit: Visit) -> Iterator[str]:
    yield visit.decision.who
    for entered in visit.entered:
        yield entered.decision.who
