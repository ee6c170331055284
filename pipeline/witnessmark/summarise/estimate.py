"""The estimate of work: the workshop's prices on what is wanted, in decimals, spans where unknown."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

from witnessmark.knowledge.plain import PlainWords
from witnessmark.knowledge.prices import NOTHING, Between, PricedJob, Prices
from witnessmark.summarise.answers import answered, earlier_line, line_key
from witnessmark.summarise.bill import BillGroup, BillLine, Earlier, Estimate, Sum
from witnessmark.summarise.entries import SECTION_OF
from witnessmark.summarise.jobsheet import LATER, Wanted, wanted_work
from witnessmark.summarise.judged import FAULTY, facts_of
from witnessmark.summarise.summary import notice_of
from witnessmark.summarise.told import told
from witnessmark.summarise.words import (
    GRADES,
    capital,
    distance_text,
    isolated,
    name_of,
    number,
    percent,
    unique,
    written,
)
from witnessmark.types import Answer, Grade, Machine, Outcome

GROUPS = {"before": "before", "soon": "soon"}
"""Section of the summary → heading of the estimate; all else is at the owner's leisure."""


class Priced(NamedTuple):
    """One line before it is put into words."""

    wanted: Wanted
    work: str
    job: PricedJob | None
    net: Between | None
    """Before tax, rounded to the currency; None where the workshop has no price."""

    @property
    def key(self) -> str:
        """``tyre:rear/replace``."""
        return line_key(self.wanted.item, self.work)


def estimate(
    outcome: Outcome,
    plain: PlainWords,
    prices: Prices,
    made_on: date | None = None,
    answers: Sequence[Answer] = (),
    earlier: Sequence[Earlier] = (),
) -> Estimate:
    """What the work wanted may cost.

    Each line is rounded to the currency's smallest coin, half up; the tax is on the sum of the lines.

    Args:
        outcome: what the review came to, its walkround judged as the reviewer has it.
        plain: the plain words.
        prices: the workshop's.
        made_on: day on which the estimate is made.
        answers: of the owner to this estimate; the last to a line counts.
        earlier: answers of earlier visits.
    """
    words = plain.in_country(outcome.walkround.draft.jurisdiction)
    says, machine = words.paper.estimate, outcome.machine or Machine()
    name = machine.registration or machine.vin or words.paper.labels["machine"]
    lines = priced(words, outcome, prices)
    said = {answer.line: answer for answer in answers}
    missing = sum(line.net is None for line in lines)
    note = says["unknown_note_one" if missing == 1 else "unknown_note"].format(n=missing) if missing else ""
    return Estimate(
        language=words.locale.replace("_", "-"),
        labels={**words.paper.labels, **says},
        title=says["title"].format(machine=name),
        machine=name,
        distance=distance_text(words, machine.odometer) if machine.odometer else "",
        inspected=written(words, outcome.walkround.on),
        made=written(words, made_on) if made_on else "",
        notice=notice_of(words, outcome),
        groups=_groups(words, lines, prices, said),
        sums=tuple(_sums(words, lines, prices, said)),
        unknown=note,
        earlier=tuple(earlier_line(words, one) for one in earlier),
        cautions=(
            says["rate"].format(rate=money(words, prices, prices.rate)),
            says["caution_more"],
            says["caution_ride"],
        ),
    )


def priced(words: PlainWords, outcome: Outcome, prices: Prices) -> list[Priced]:
    """Every piece of work wanted with its price, gravest part first, then in walking order."""
    wanted = wanted_work(words, facts_of(outcome))
    lines = [_priced(one, work, prices) for one in wanted for work in one.work if work != LATER]
    return sorted(lines, key=lambda line: GRADES.index(_grade(line) or Grade.UNGRADED))


def _grade(line: Priced) -> Grade | None:
    """The gravest of what was found on the part."""
    return next((one.grade for one in line.wanted.found if one.grade in FAULTY), None)


def _section(line: Priced) -> str:
    grade = _grade(line)
    return SECTION_OF[grade] if grade else ""


def _priced(one: Wanted, work: str, prices: Prices) -> Priced:
    job = prices.of(one.item.component, work, one.item.end)
    if job is None:
        return Priced(one, work, None, None)
    net = Between(*(minutes * prices.rate / 60 for minutes in job.minutes))
    for part in job.parts:
        net = net.plus(part.price.times(part.quantity))
    return Priced(one, work, job, Between(*(rounded(end, prices.currency) for end in net)))


def rounded(value: Decimal, currency: str) -> Decimal:
    """To the smallest coin that Unicode CLDR has for the currency, half up."""
    from babel.numbers import get_currency_precision

    return value.quantize(Decimal(1).scaleb(-get_currency_precision(currency)), ROUND_HALF_UP)


def money(words: PlainWords, prices: Prices, value: Decimal) -> str:
    """``£62.00``, as the country writes it."""
    from babel.numbers import format_currency

    return format_currency(value, prices.currency, locale=words.locale)


def money_span(words: PlainWords, prices: Prices, value: Between) -> str:
    """``£80.00 to £95.00``."""
    low, high = (money(words, prices, end) for end in value)
    return low if value.low == value.high else words.paper.estimate["to"].format(low=low, high=high)


def _groups(
    words: PlainWords, lines: list[Priced], prices: Prices, said: dict[str, Answer]
) -> tuple[BillGroup, ...]:
    groups: dict[str, list[BillLine]] = {}
    for count, line in enumerate(lines, start=1):
        heading = words.paper.estimate[GROUPS.get(_section(line), "later")]
        groups.setdefault(heading, []).append(_line(words, count, line, prices, said.get(line.key)))
    return tuple(BillGroup(heading=heading, lines=tuple(group)) for heading, group in groups.items())


def _line(words: PlainWords, count: int, line: Priced, prices: Prices, answer: Answer | None) -> BillLine:
    item, says = line.wanted.item, words.paper.estimate
    grade = _grade(line)
    return BillLine(
        number=count,
        key=line.key,
        part=capital(name_of(words, item.component, [(item.end, item.side)])),
        work=words.paper.work[line.work],
        grade=grade or "",
        label=words.grades[grade].label if grade else "",
        found=unique(capital(told(words, one)) for one in line.wanted.found),
        labour=_labour(words, line.job) if line.job else "",
        parts=tuple(_parts(words, line.job, prices)) if line.job else (),
        cost=money_span(words, prices, line.net) if line.net else says["unknown"],
        known=line.net is not None,
        answer=answered(words, answer) if answer else "",
    )


def _labour(words: PlainWords, job: PricedJob) -> str:
    low, high = (number(words, str(end)) for end in job.minutes)
    span = low if low == high else words.paper.estimate["to"].format(low=low, high=high)
    return words.paper.estimate["minutes"].format(minutes=span)


def _parts(words: PlainWords, job: PricedJob, prices: Prices) -> Iterable[str]:
    for part in job.parts:
        price = money_span(words, prices, Between(*(rounded(end, prices.currency) for end in part.price)))
        yield words.paper.estimate["part_line"].format(
            quantity=number(words, str(part.quantity)), part=isolated(part.name), price=price
        )


def _sums(words: PlainWords, lines: list[Priced], prices: Prices, said: dict[str, Answer]) -> Iterable[Sum]:
    if not any(line.net for line in lines):
        return
    net, tax, gross = totals(lines, prices)
    says = words.paper.estimate
    rate = percent(words, str(prices.tax.normalize() + 0))
    yield Sum(name=says["net"], text=money_span(words, prices, net))
    if prices.tax:
        name = says["tax"].format(name=isolated(prices.tax_name) or says["tax_name"], rate=rate)
        yield Sum(name=name, text=money_span(words, prices, tax))
    whole = "gross" if all(line.net for line in lines) else "gross_so_far"
    yield Sum(name=says[whole], text=money_span(words, prices, gross), total=True)
    agreed = [line for line in lines if line.key in said and said[line.key].kind == "go"]
    if agreed:
        yield Sum(name=says["agreed"], text=money_span(words, prices, totals(agreed, prices)[2]), total=True)


def totals(lines: Iterable[Priced], prices: Prices) -> tuple[Between, Between, Between]:
    """Before tax, the tax, and to pay, of the lines that have a price."""
    net = NOTHING
    for line in lines:
        net = net.plus(line.net or NOTHING)
    tax = Between(*(rounded(end * prices.tax / 100, prices.currency) for end in net))
    return net, tax, net.plus(tax)
