"""What stands where on the pages of the scenario: a calm one and a grave one."""

from __future__ import annotations

from datetime import date

import pytest
from tests.summarise.reading import by_id, entries, listed, page_of, parsed, text_of
from tests.summarise.scenario import calm, grave, past


@pytest.fixture(scope="module")
def calm_page():
    return parsed(page_of(calm(), past=past(), made_on=date(2026, 5, 22)))


@pytest.fixture(scope="module")
def grave_page():
    return parsed(page_of(grave(), past=past()))


GRADES = ["Dangerous", "Major", "Minor", "Advisory"]
PRESSURE = "Pressure 34 psi as found (Advisory), 36 psi as left"


def headings(root) -> list[str]:
    return [text_of(node) for node in root.iter("h2")][1:]


def test_the_calm_page_in_order(calm_page) -> None:
    assert headings(calm_page) == [
        "Where on the machine",
        "Keep an eye on",
        "Done today",
        "Measured and read off",
        "In order, as far as looked at",
        "Could not be seen",
        "Never mentioned",
        "Please keep in mind",
        "Who checked this",
        "Is this page genuine?",
    ]
    assert text_of(next(calm_page.iter("h1"))) == "KX21 WPT"
    assert "17,930 miles" in text_of(next(calm_page.iter("header")))
    assert "21 May 2026" in text_of(next(calm_page.iter("header")))
    assert text_of(by_id(calm_page, "verdict")) == (
        "After today’s work and as far as it was looked at, nothing calls for work now, "
        "but this should be watched: steering head bearings."
    )


def test_work_done_shows_as_found_and_as_left(calm_page) -> None:
    assert entries(calm_page, "done") == {
        "Rear tyre": {"Done": ["Pressure set"], "Figures": [PRESSURE]},
        "Drive chain": {
            "Found": ["Dry, with no oil or grease (Minor as found)"],
            "Done": ["Adjusted and oiled or greased"],
            "Figures": ["Slack 42 mm as found (Minor), 30 mm as left"],
        },
        "Left mirror": {"Found": ["Loose (Minor as found)"], "Done": ["Tightened"]},
    }  # fmt: skip


def test_what_was_in_order_and_what_nobody_looked_at(calm_page) -> None:
    assert listed(calm_page, "in_order") == [
        "Front tyre: tread depth 2.8 mm, no cuts, no cracks, "
        "date of manufacture: week 11 of 2021 (March 2021)",
        "Rear tyre: tread depth 3 mm",
        "Front brake lever",
        "Front brake fluid",
        "Front brake disc: no grooves, thickness 4.8 mm",
        "Both fork oil seals: no leaks",
        "Dipped beam",
        "Main beam",
        "All four indicators",
        "Horn",
        "Battery: voltage 12.7 V",
    ]
    assert listed(calm_page, "not_seen") == ["Rear brake pads", "Air filter"]
    never = by_id(calm_page, "never")
    areas = [text_of(node) for node in never.iter("dt")]
    assert areas[:3] == ["Wheels and tyres", "Chain and drive", "Suspension"]
    assert listed(calm_page, "never")[:3] == ["Wheel bearings", "Axles", "Rear sprocket"]
    assert "does not mean that they are in order" in text_of(never)


def test_readings_have_their_limit_its_source_and_last_time(calm_page) -> None:
    rows = [[text_of(cell) for cell in row] for row in by_id(calm_page, "readings").iter("tr")]
    assert rows[0] == ["Part", "Reading", "Limit"]
    cells = {row[0]: row for row in rows}
    tread = cells["Front tyre Tread depth"]
    assert tread[1].startswith("2.8 mm In order")
    assert tread[1].endswith("Last time 3.1 mm on 2 October 2025")
    assert tread[2] == (
        "At least 1 mm The law: Construction and Use Regulations 1986, reg. 27, as restated by the police "
        "(read in a page that quotes the source)"
    )
    slack = cells["Drive chain Slack"]
    assert slack[1].startswith("42 mm as found Minor 30 mm as left In order")
    assert slack[1].endswith("Last time 38 mm, then set to 30 mm, on 2 October 2025")
    assert slack[2] == "25 to 35 mm The maker: handbook of the Larkspur 400 (read in the source itself)"
    assert cells["Rear tyre Pressure"][2] == "36 psi Given by the technician: said with the reading"
    assert cells["Battery Voltage"][2] == "At least 12.4 V Common practice: no source"


def test_who_and_when(calm_page) -> None:
    lines = [text_of(node) for node in next(calm_page.iter("footer")).findall("p")]
    assert lines == [
        "A technician inspected the machine on 21 May 2026 and spoke while doing it. "
        "The name was not recorded.",
        "A. Fenwick checked the remarks against the recording on 21 May 2026: 33 confirmed as spoken "
        "and the machine’s own details checked.",
        "This page was made on 22 May 2026.",
    ]


def test_cautions_follow_what_is_on_the_page(calm_page, grave_page) -> None:
    calm_ones, grave_ones = listed(calm_page, "cautions"), listed(grave_page, "cautions")
    assert any("Great Britain" in text for text in calm_ones)
    assert any("pressures cold" in text for text in calm_ones)
    assert not any("do not ride" in text for text in calm_ones)
    assert grave_ones[0] == "Wait for the finished summary before you rely on this page."
    assert "do not ride to the workshop either" in grave_ones[1]


def test_the_grave_page_says_stop_and_that_the_review_goes_on(grave_page) -> None:
    body = text_of(next(grave_page.iter("main")))
    assert body.startswith(
        "The review is not finished. 2 remarks still wait to be checked and are left out of this page. "
        "Do not ride this machine, not even a short way, until this is put right: "
        "rear tyre, front brake pads, front wheel bearing, "
        "both front indicators and rear sprocket. This is not the whole machine: 2 parts could not be seen, "
        "14 were never mentioned and 3 were mentioned but not confirmed."
    )


def test_the_gravest_first_with_cause_and_advice(grave_page) -> None:
    before = entries(grave_page, "before")
    assert list(before) == [
        "Rear tyre Dangerous",
        "Front brake pads Major",
        "Front wheel bearing Major",
        "Both front indicators Major",
        "Rear sprocket Major",
    ]
    assert before["Rear tyre Dangerous"] == {
        "Found": ["Tread depth 0.9 mm, which is below the legal limit (at least 1 mm)", "Worn (Major)"],
        "Can lead to": [
            "Shallow grooves cannot push the water away, so the tyre can slide in the wet.",
            "A worn tyre grips badly, most of all in the wet, and is easier to puncture.",
        ],
        "Advised": ["Have a new tyre fitted"],
        "Otherwise": ["No cuts"],
        "Graded by": [
            "The law: Construction and Use Regulations 1986, reg. 27, as restated by the police "
            "(read in a page that quotes the source)",
            "The law: Directive 2014/45/EU Annex I item 5.2.3 e (from memory, not checked in the source)",
        ],
    }
    bearing = before["Front wheel bearing Major"]
    assert bearing["Found"] == ["Play: it moves where it should be firm (the technician was not certain)"]
    assert bearing["Advised"] == ["Have this put right before you ride, and ask the workshop how"]
    assert before["Rear sprocket Major"]["Advised"] == ["Have new sprockets fitted"]


def test_lesser_things_and_ungraded_ones(grave_page) -> None:
    assert list(entries(grave_page, "soon")) == ["Right fork oil seal Minor"]
    watch = entries(grave_page, "watch")
    assert list(watch) == ["Front tyre Advisory", "Drive chain Advisory", "Battery Advisory"]
    assert watch["Front tyre Advisory"]["Found"] == [
        "Tread depth 2 mm, still within the legal limit (at least 1 mm)"
    ]
    noted = entries(grave_page, "noted")
    assert noted["Seat"]["Advised"] == ["Ask the workshop what they advise"]
    assert noted["Rear tyre"] == {"Found": ["Pressure 34 psi"]}


def test_parts_without_a_confirmed_word_are_named_without_what_was_said(grave_page) -> None:
    assert listed(grave_page, "unconfirmed") == ["Steering head bearings", "Rear brake pads", "Rear shock"]
    assert "2.3 mm" not in text_of(grave_page)
    assert "notchy" not in text_of(grave_page)


def test_every_label_on_the_page_is_explained(calm_page, grave_page) -> None:
    for page, labels in ((calm_page, ["Minor", "Advisory"]), (grave_page, [*GRADES, "No grade"])):
        assert [text_of(node) for node in by_id(page, "cautions").iter("dt")] == labels


def test_work_that_mended_a_grave_fault_takes_it_off_the_list(grave_page) -> None:
    assert entries(grave_page, "done")["Dipped beam"] == {
        "Found": ["Not working (Major as found)"],
        "Done": ["Bulb or lamp replaced"],
    }
