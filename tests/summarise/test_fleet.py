"""The fleet letter: who may not go out, what is due, what costs most; the table says the same."""

from __future__ import annotations

import csv
from datetime import date
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest
from tests.summarise.printed import reader, text_of_pdf, words
from tests.summarise.reading import parsed, text_of
from tests.summarise.reviewed import take_in
from tests.summarise.scenario import calm, grave, outcome
from tests.summarise.test_estimate import YAML

from helpers_cli import Run
from witnessmark.knowledge.plain import plain_words
from witnessmark.knowledge.prices import Between, Prices
from witnessmark.knowledge.standing import standings
from witnessmark.record import Store
from witnessmark.summarise import summarise
from witnessmark.summarise.convoy import Cost, FleetLetter, Standing, standing_of
from witnessmark.summarise.fleet import COLUMNS, fleet, table
from witnessmark.summarise.pdf import Printable, compiled
from witnessmark.summarise.render import render_paper
from witnessmark.types import DueWork, NextLook, Odometer, Outcome

WORDS = plain_words()
MADE = date(2026, 5, 22)
PRICES = Prices(currency="GBP", rate=Decimal(60), tax=Decimal(20))


def standing(name: str, made: Outcome, look: NextLook, cost: Cost | None = None, due=()) -> Standing:
    return standing_of(
        summarise(made, WORDS), name=name, seen=date(2026, 5, 21), odometer=Odometer(value=17930, unit="mi"),
        waiting=len(made.waiting), look=look, due=due, cost=cost,
    )  # fmt: skip


def between(low: str, high: str) -> Between:
    return Between(Decimal(low), Decimal(high))


OIL = DueWork(interval="own.oil", component="engine_oil", work="replace", overdue=True)
MACHINES = [
    standing("CALM 1", calm(), NextLook(on=date(2026, 11, 1), at=20930, clock="mi"),
             Cost(between("0", "0"), 0)),
    standing("GRAVE 2", grave(), NextLook(on=date(2026, 5, 30)), Cost(between("446.35", "489.19"), 3)),
    standing("LATE 3", calm(), NextLook(on=date(2026, 4, 1)), Cost(between("0", "0"), 2), (OIL,)),
    standing("WORN 4", outcome([]), NextLook(now=True, on=date(2026, 7, 1), because=("brake_disc:front",)),
             Cost(between("900", "900"), 0)),
]  # fmt: skip


def letter(machines=MACHINES, prices: Prices | None = PRICES, **more) -> FleetLetter:
    return fleet(machines, WORDS, MADE, prices, **more)


def told(page: FleetLetter, id: str) -> dict[str, tuple[str, tuple[str, ...]]]:
    section = next(one for one in page.sections if one.id == id)
    return {one.machine: (one.text, one.lines) for one in section.items}


def test_who_may_not_go_out_and_why() -> None:
    stop = told(letter(), "stop")
    assert list(stop) == ["GRAVE 2"]
    assert stop["GRAVE 2"][1][0].startswith("Rear tyre: tread depth 0.9 mm, which is below the legal limit")


def test_what_is_due_this_month_the_overdue_first() -> None:
    assert told(letter(), "due") == {
        "LATE 3": ("time has passed, was 1 April 2026", ("Engine oil: Replace, time has passed",)),
        "GRAVE 2": ("by 30 May 2026", ()),
        "WORN 4": ("do not wait", ("Front brake disc is at its limit, or may be",)),
    }


def test_what_costs_most() -> None:
    assert told(letter(), "cost") == {
        "WORN 4": ("£900.00", ()),
        "GRAVE 2": ("£446.35 to £489.19, and 3 without a price", ()),
        "LATE 3": ("2 without a price", ()),
    }


def test_without_prices_no_cost_is_told() -> None:
    bare = [one._replace(cost=None) for one in MACHINES]
    page = letter(bare, None)
    section = next(one for one in page.sections if one.id == "cost")
    assert section.items == ()
    assert section.none.startswith("No prices were given")
    assert not page.priced


def test_every_machine_is_in_the_table_gravest_first() -> None:
    rows = letter().rows
    assert [row.machine for row in rows] == ["GRAVE 2", "CALM 1", "LATE 3", "WORN 4"]
    assert rows[0].standing == "may not go out, most of it not looked at, review not finished"
    assert rows[1].next == "1 November 2026, 20,900 miles"


def test_every_standing_has_words() -> None:
    levels = {f"level_{level.id}" for level in standings().levels}
    assert levels == {key for key in WORDS.paper.fleet if key.startswith("level_")}


def test_the_csv_says_the_same_in_plain_numbers() -> None:
    rows = list(csv.DictReader(StringIO(table(MACHINES, PRICES), newline="")))
    assert list(rows[0]) == list(COLUMNS)
    by_name = {row["machine"]: row for row in rows}
    grave_row = by_name["GRAVE 2"]
    assert {row["machine"]: row["mostly_unseen"] for row in rows} == {
        one.name: "yes" if one.little else "no" for one in MACHINES
    }
    assert grave_row["standing"] == "stop"
    assert (grave_row["dangerous"], grave_row["major"]) == ("1", "4")
    assert (grave_row["cost_low"], grave_row["cost_high"], grave_row["currency"]) == (
        "446.35",
        "489.19",
        "GBP",
    )
    assert grave_row["look_again_on"] == "2026-05-30"
    assert by_name["LATE 3"]["work_overdue"] == "own.oil"
    late = by_name["LATE 3"]
    assert (late["cost_low"], late["cost_high"], late["without_price"]) == ("", "", "2"), "not nothing to pay"
    assert by_name["CALM 1"]["look_again_distance"] == "20900"


@pytest.mark.parametrize("name", ['=HYPERLINK("x")', "+1", "-1", "@SUM(A1)", 'a "b", c', "line\nbreak"])
def test_no_name_becomes_a_formula_or_breaks_a_row(name: str) -> None:
    rows = list(csv.DictReader(StringIO(table([MACHINES[0]._replace(name=name)]), newline="")))
    assert len(rows) == 1
    assert rows[0]["machine"].lstrip("'") == name
    assert rows[0]["machine"][0] not in "=+-@"


def test_page_and_print_tell_the_same_and_nothing_else_of_a_hostile_name() -> None:
    hostile = "<b>#panic()</b>"
    page = letter(
        [*MACHINES, MACHINES[1]._replace(name=hostile)], left_out=[("TWIN 5", "two machines have it")]
    )
    root = parsed(render_paper("fleet.html", page))
    assert hostile in [text_of(node) for node in root.iter("bdi")]
    html = words(text_of(root))
    data = compiled(Printable("fleet.typ", page.model_dump(mode="json"), page.language))
    printed = words(text_of_pdf(data))
    texts = [page.heading, page.told, *page.left_out, *page.cautions]
    texts += [
        text for one in page.sections for line in one.items for text in (line.machine, line.text, *line.lines)
    ]
    texts += [text for row in page.rows for text in (row.machine, row.seen, row.standing, row.next, row.cost)]
    assert [text for text in texts if words(text) not in html] == []
    assert [text for text in texts if words(text) not in printed] == []
    assert reader(data).metadata.title == "Fleet letter, May 2026"
    assert "safe" not in html.lower()


def test_an_empty_fleet_is_told() -> None:
    page = letter([])
    assert page.told.startswith("0 machines")
    assert all(not section.items and section.none for section in page.sections)
    assert parsed(render_paper("fleet.html", page)) is not None


def test_the_command_over_a_record(run: Run, tmp_path: Path) -> None:
    path, listed = tmp_path / "record.sqlite", tmp_path / "prices.yaml"
    listed.write_text(YAML, "utf-8")
    with Store.open(path) as record:
        take_in(
            record,
            f"{KX} The rear tyre tread is 0.5 millimetres, so the rear tyre needs replacing.",
            MADE,
            "GB",
        )
        take_in(record, f"{LOT} The horn works.", MADE, "GB")
    out, sheet = tmp_path / "letter.pdf", tmp_path / "fleet.csv"
    ran = run(
        "fleet", "--store", path, "--out", out, "--csv", sheet, "--prices", listed, "--on", "2026-05-22"
    )
    assert (ran.status, ran.out.strip()) == (0, str(out))
    printed = text_of_pdf(out.read_bytes())
    assert "Your machines in May 2026" in printed
    assert "£174.22" in printed
    rows = {row["machine"]: row for row in csv.DictReader(StringIO(sheet.read_text("utf-8"), newline=""))}
    assert {name: row["standing"] for name, row in rows.items()} == {"KX21WPT": "stop", "Q24LOT": "clear"}
    one = run("fleet", "Q24 LOT", "--store", path, "--out", "-").out
    assert "KX21WPT" not in one
    assert run("fleet", "ZZ99 ZZZ", "--store", path).status == 2


KX = "Registration Kilo X-ray two one Whiskey Papa Tango. Fourteen thousand miles on the clock."
LOT = "Registration Quebec two four Lima Oscar Tango. Nine thousand miles on the clock."
