"""The estimate: exact sums, spans where unknown, answers that are kept and followed up."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import floor
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.summarise.printed import reader, text_of_pdf, words
from tests.summarise.reading import parsed, text_of
from tests.summarise.reviewed import take_in
from tests.summarise.scenario import done, grave, outcome, wanted

from helpers_cli import Run
from witnessmark.errors import BadInputError
from witnessmark.knowledge.plain import plain_words
from witnessmark.knowledge.prices import Between, Prices, read_prices
from witnessmark.record import Store
from witnessmark.summarise.answers import earlier_answers
from witnessmark.summarise.bill import Earlier
from witnessmark.summarise.estimate import estimate, priced, rounded, totals
from witnessmark.summarise.jobsheet import jobsheet
from witnessmark.summarise.pdf import Printable, compiled
from witnessmark.summarise.render import render_paper
from witnessmark.types import Answer, PastAction

WORDS = plain_words()
YAML = Path(__file__).with_name("prices.yaml").read_text("utf-8")
CSV = """component,work,end,minutes,part,price,quantity
workshop,currency,,,,GBP,
workshop,rate,,,,62.10,
workshop,tax,,,,20,
workshop,tax_name,,,,VAT,
tyre,replace,rear,45,Tyre 140/70-17,96.55,
tyre,replace,rear,,Valve,2.05,1
tyre,replace,,40,Tyre,80-95,
brake_pads,replace,,40-60,Pads,31.99,2
"""
MADE = date(2026, 5, 22)


@pytest.fixture
def prices(tmp_path: Path) -> Prices:
    (tmp_path / "prices.yaml").write_text(YAML, "utf-8")
    return read_prices(tmp_path / "prices.yaml")


def test_both_forms_say_the_same(prices: Prices, tmp_path: Path) -> None:
    (tmp_path / "prices.csv").write_text(CSV, "utf-8")
    assert read_prices(tmp_path / "prices.csv") == prices


def test_lines_and_sums_to_the_penny(prices: Prices) -> None:
    """By hand: 45 min at 62.10 an hour is 46.575; with 96.55 and 2.05 it is 145.175, to the penny 145.18.
    The front tyre: 41.40 and 80 to 95. Pads: 41.40 to 62.10 and 63.98. Tax: 20 %."""
    page = estimate(grave(), WORDS, prices, MADE)
    costs = {(line.part, line.work): line.cost for line in page.lines}
    assert costs["Rear tyre", "Replace"] == "£145.18"
    assert costs["Front tyre", "Replace"] == "£121.40 to £136.40"
    assert costs["Front brake pads", "Replace"] == "£105.38 to £126.08"
    assert costs["Battery", "Replace"] == "no price yet"
    assert [(one.name, one.text) for one in page.sums] == [
        ("Sum before tax", "£371.96 to £407.66"),
        ("VAT at 20%", "£74.39 to £81.53"),
        ("Sum to pay for the lines with a price", "£446.35 to £489.19"),
    ]
    assert page.unknown.startswith(f"{sum(not line.known for line in page.lines)} lines have no price yet")


def test_the_gravest_stands_first(prices: Prices) -> None:
    page = estimate(grave(), WORDS, prices)
    assert [group.heading for group in page.groups] == ["Before you ride", "Soon", "When you like"]
    assert page.lines[0].label in ("Dangerous", "Major")
    assert [line.number for line in page.lines] == list(range(1, len(page.lines) + 1))
    assert {line.part for line in page.groups[0].lines} == {
        "Front wheel bearing", "Front brake pads", "Front left indicator", "Front right indicator",
        "Sprockets", "Rear tyre",
    }  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 60000), st.integers(0, 600)), min_size=1, max_size=8),
    st.integers(0, 20000),
    st.integers(0, 3000),
)
def test_sums_agree_with_exact_fractions(rows, rate_pence, tax_tenths) -> None:
    """The same by whole fractions: each line to the penny, half up, then the tax on their sum."""
    found = Prices(currency="GBP", rate=Decimal(rate_pence) / 100, tax=Decimal(tax_tenths) / 100)
    works = ["replace", "adjust", "clean", "lubricate", "tighten", "repair", "bleed", "balance"]
    jobs = [
        {"component": "chain", "work": works[n], "minutes": str(minutes),
         "parts": [{"name": "p", "price": str(Decimal(pence) / 100)}]}
        for n, (pence, minutes) in enumerate(rows)
    ]  # fmt: skip
    made = Prices.model_validate({**found.model_dump(), "jobs": jobs})
    lines = priced(WORDS, outcome([wanted(works[n], "chain") for n in range(len(rows))]), made)
    net, tax, gross = totals(lines, made)
    pence_of = [half_up(Fraction(minutes * rate_pence, 60) + pence) for pence, minutes in rows]
    assert net.low * 100 == sum(pence_of)
    assert tax.low * 100 == half_up(Fraction(sum(pence_of) * tax_tenths, 10_000))
    assert gross == net.plus(tax)
    assert all(end == end.quantize(Decimal("0.01")) for end in (*net, *tax, *gross))


def half_up(value: Fraction) -> int:
    return floor(value + Fraction(1, 2))


@pytest.mark.parametrize(
    ("currency", "value", "text"), [("JPY", "1234.5", "1235"), ("KWD", "1.0005", "1.001")]
)
def test_the_smallest_coin_is_that_of_the_currency(currency: str, value: str, text: str) -> None:
    """ISO 4217 exponents: JPY 0, KWD 3."""
    assert str(rounded(Decimal(value), currency)) == text


def test_spans_keep_their_order() -> None:
    one, two = Between(Decimal(1), Decimal(2)), Between(Decimal(3), Decimal(5))
    assert one.plus(two) == (4, 7)
    assert one.times(Decimal(3)) == (3, 6)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (("rate: 62.10", "rate: much"), "rate"),
        (("currency: GBP", "currency: pounds"), "currency"),
        (("minutes: 45", "minutes: 60-45"), "row 1 of jobs: jobs.0.minutes"),
        (("component: brake_pads", "component: pads"), "row 3 of jobs"),
        (("minutes: 40,", "minutes: -5,"), "row 2 of jobs"),
        (("tax: 20", "tax: NaN"), "tax"),
        (("    end: rear\n", ""), "the work 'replace tyre' has two rows"),
        (("currency: GBP", "money: GBP"), "currency"),
        ((YAML, "[1, 2]"), "has no prices"),
        ((YAML, "a: [b"), "cannot be read as prices"),
    ],
)
def test_a_bad_file_is_refused_by_row(change, message: str, tmp_path: Path) -> None:
    path = tmp_path / "prices.yaml"
    path.write_text(YAML.replace(*change), "utf-8")
    with pytest.raises(BadInputError, match=r"prices\.yaml") as caught:
        read_prices(path)
    assert message in str(caught.value)


def test_page_and_print_tell_the_same(prices: Prices) -> None:
    said = [Answer("w-0123456789ab", "tyre:rear/replace", "go", "<b>B. Hale</b>", MADE)]
    before = [Earlier(Answer("w-1", "fork_seal:left/replace", "not_now", "B. Hale", date(2025, 10, 2)))]
    page = estimate(grave(), WORDS, prices, MADE, said, before)
    html = words(text_of(parsed(render_paper("estimate.html", page))))
    data = compiled(Printable("estimate.typ", page.model_dump(mode="json"), page.language))
    printed = words(text_of_pdf(data))
    texts = [page.unknown, *page.cautions, *(text for one in page.sums for text in (one.name, one.text))]
    for line in page.lines:
        texts += [
            line.part,
            line.work,
            line.label,
            line.labour,
            *line.parts,
            line.cost,
            line.answer,
            *line.found,
        ]
    texts += [
        "Left fork oil seal: Replace",
        "Put off on 2 October 2025: not now, said B. Hale.",
        "Not done as far as the record shows.",
    ]
    assert [text for text in texts if words(text) not in html] == []
    assert [text for text in texts if words(text) not in printed] == []
    assert reader(data).metadata.title == "Estimate of work, KX21 WPT"
    assert "safe" not in html.lower()
    assert [one.text for one in page.sums if one.name.startswith("Sum to pay for what")] == ["£174.22"]


def test_nothing_unconfirmed_is_priced(prices: Prices) -> None:
    made = outcome([wanted("replace", "tyre", "rear")], waiting=[wanted("replace", "brake_pads", "front")],
                   rejected=[wanted("replace", "tyre", "front")])  # fmt: skip
    assert [line.key for line in estimate(made, WORDS, prices).lines] == ["tyre:rear/replace"]


def test_without_work_there_is_nothing_to_pay(prices: Prices) -> None:
    page = estimate(outcome([]), WORDS, prices)
    assert (page.lines, page.sums, page.unknown) == ((), (), "")
    assert "nothing to estimate" in text_of(parsed(render_paper("estimate.html", page)))


def test_the_bench_sees_what_the_owner_said() -> None:
    said = [Answer("w-0123456789ab", "tyre:rear/replace", "not_now", "B. Hale", MADE)]
    page = jobsheet(grave(), WORDS, None, said)
    told = {job.part: job.answers for place in page.places for job in place.jobs}
    assert told["Rear tyre"] == ("Replace: Not now, said B. Hale on 22 May 2026",)
    assert told["Battery"] == ("Replace: the owner was not asked",)
    assert {job.answers for place in jobsheet(grave(), WORDS).places for job in place.jobs} == {()}


def test_an_answer_is_followed_up_until_the_work_is_done() -> None:
    first = Answer("w-1", "tyre:rear/replace", "not_now", "B. Hale", date(2025, 10, 2))
    changed = first._replace(kind="go", on=date(2025, 10, 3))
    work = [
        PastAction(walkround="w-0", on=date(2025, 3, 1), action=done("replace", "tyre", "rear")),
        PastAction(walkround="w-2", on=date(2026, 5, 21), action=done("replace", "tyre", "rear")),
        PastAction(walkround="w-2", on=date(2026, 5, 21), action=done("replace", "tyre", "front")),
    ]
    assert earlier_answers([first, changed], work) == (Earlier(changed, date(2026, 5, 21)),)
    assert earlier_answers([first], work[:1]) == (Earlier(first, None),)


FIRST_VISIT = (
    "Registration Kilo X-ray two one Whiskey Papa Tango. Twelve thousand miles on the clock. "
    "The rear tyre is worn, so it needs replacing. The left fork seal is leaking, so it needs replacing."
)
SECOND_VISIT = (
    "Registration Kilo X-ray two one Whiskey Papa Tango. Fourteen thousand miles on the clock. "
    "I replaced the rear tyre. The left fork seal is leaking, so it needs replacing."
)


def test_the_command_keeps_answers_and_follows_them_up(run: Run, tmp_path: Path) -> None:
    path, listed = tmp_path / "record.sqlite", tmp_path / "prices.yaml"
    listed.write_text(YAML, "utf-8")
    with Store.open(path) as record:
        first = take_in(record, FIRST_VISIT, date(2026, 1, 5), "GB")
    given = ("--prices", listed, "--store", path, "--out", "-")
    page = text_of(parsed(run("estimate", first, *given).out.rstrip("\n")))
    assert page.index("1 Left fork oil seal: Replace") < page.index("2 Rear tyre: Replace")
    assert run("estimate", first, *given, "--go", "1").status == 2, "nobody is named"
    assert run("estimate", first, *given, "--go", "7", "--who", "B. Hale").status == 2
    assert run("estimate", first, *given, "--go", "1", "--later", "1", "--who", "B. Hale").status == 2
    told = run("estimate", first, *given, "--go", "2", "--later", "1", "--who", "B. Hale")
    assert "Go ahead, said B. Hale on" in told.out
    bench = run("jobsheet", first, "--store", path, "--out", "-").out
    assert "Replace: Not now, said B. Hale" in bench
    with Store.open(path) as record:
        second = take_in(record, SECOND_VISIT, date(2026, 12, 21), "GB")
    later = text_of(parsed(run("estimate", second, *given).out.rstrip("\n")))
    assert words("Rear tyre: Replace Go ahead, said B. Hale") in words(later)
    assert "Done on 21 December 2026." in later
    assert "Not done as far as the record shows." in later
    assert "The owner said before" in run("jobsheet", second, "--store", path, "--out", "-").out
