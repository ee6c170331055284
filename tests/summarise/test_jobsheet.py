"""The job sheet: what is wanted, in walking order, with the card's figures; nothing unconfirmed or lost."""

from __future__ import annotations

import copy
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.summarise.printed import margins_are_white, reader, tags, text_of_pdf, words
from tests.summarise.reading import parsed, text_of
from tests.summarise.scenario import (
    PLAIN,
    SLACK,
    calm,
    done,
    find,
    graded,
    grave,
    outcome,
    read,
    usual,
    wanted,
)

from helpers_cli import Run
from witnessmark.errors import KnowledgeError
from witnessmark.knowledge import jobs as module
from witnessmark.knowledge.cards import card_for, cards
from witnessmark.knowledge.drawings import drawings
from witnessmark.knowledge.files import read_yaml
from witnessmark.knowledge.jobs import About, job_for, jobs
from witnessmark.knowledge.paper import paper_words
from witnessmark.knowledge.plain import plain_words
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.summarise import jobsheet
from witnessmark.summarise.bench import BenchJob, JobSheet
from witnessmark.summarise.pdf import Printable, compiled
from witnessmark.summarise.render import render_paper
from witnessmark.types import Grade, Machine, Outcome

WORDS = plain_words()
CARD = card_for("KX21 WPT")


def sheet(made: Outcome, card=CARD) -> JobSheet:
    return jobsheet(made, WORDS, card)


def all_jobs(page: JobSheet) -> list[BenchJob]:
    return [job for place in page.places for job in place.jobs]


def paper(page: JobSheet) -> Printable:
    return Printable("jobsheet.typ", page.model_dump(mode="json"), page.language)


def test_places_stand_in_walking_order_and_jobs_are_counted() -> None:
    page = sheet(grave())
    names = {name: place for place, name in WORDS.paper.places.items()}
    ranks = [drawings().walk(names[place.name[0].lower() + place.name[1:]]) for place in page.places]
    assert ranks == sorted(ranks)
    assert [job.number for job in all_jobs(page)] == list(range(1, len(all_jobs(page)) + 1))


def test_every_work_wanted_is_there() -> None:
    jobs_of = {job.part: job for job in all_jobs(sheet(grave()))}
    assert set(jobs_of) >= {
        "Rear tyre",
        "Front tyre",
        "Front brake pads",
        "Sprockets",
        "Drive chain",
        "Battery",
    }
    assert jobs_of["Rear tyre"].work == ("Replace",)
    assert jobs_of["Rear tyre"].label == "Dangerous"
    assert jobs_of["Sprockets"].found == ("Hooked: the teeth are worn to a hook",)


def test_figures_are_those_of_the_card_at_that_end() -> None:
    """Expected: ``models/machines/larkspur-400.yaml``."""
    rear = next(job for job in all_jobs(sheet(grave())) if job.part == "Rear tyre")
    assert [(one.name, one.text) for one in rear.figures] == [
        ("Rear tyre: size marking", "140/70-17 M/C 66H"),
        ("Rear axle: tightness (torque)", "98 Nm"),
    ]
    assert [(one.name, one.limit, one.was) for one in rear.measure] == [
        ("Rear tyre: pressure", "2.5 bar", "34 psi"),
        ("Rear tyre: tread depth", "at least 1 mm", "0.9 mm"),
        ("Rear axle: tightness (torque)", "98 Nm", ""),
    ]


def test_a_figure_that_the_card_has_not_is_said_to_be_missing() -> None:
    front = next(job for job in all_jobs(sheet(grave())) if job.part == "Front tyre")
    torque = next(one for one in front.figures if one.name == "Front axle: tightness (torque)")
    assert (torque.text, torque.known) == ("not on the card, see the handbook", False)


def test_without_a_card_no_figure_is_made_up() -> None:
    page = sheet(grave(), None)
    assert page.no_card
    assert not any(one.known for job in all_jobs(page) for one in job.figures)
    of_class = next(card for card in cards() if card.kind == "class" and card.id == "naked-chain")
    assert all_jobs(sheet(grave(), of_class)) == all_jobs(page), "a class has no maker"
    assert sheet(grave(), of_class).no_card


def test_a_pressure_for_two_riders_is_no_figure_to_set() -> None:
    made = outcome([wanted("inflate", "tyre", "rear"), (read("tyre", "pressure", 2.1, "bar", "rear"), PLAIN)])
    job = all_jobs(sheet(made))[0]
    assert [one.limit for one in job.measure] == ["2.5 bar"]
    assert [(one.text, one.note) for one in job.figures] == [
        ("2.5 bar", "Cold, solo."),
        ("2.8 bar", "Cold, two riders and luggage."),
    ]


def test_a_chain_is_on_the_rear_axle() -> None:
    job = all_jobs(sheet(outcome([wanted("adjust", "chain")])))[0]
    assert ("Rear axle: tightness (torque)", "98 Nm") in [(one.name, one.limit) for one in job.measure]
    assert ("Drive chain: slack", "25 to 35 mm") in [(one.name, one.limit) for one in job.measure]


def test_a_fault_without_work_is_to_be_decided() -> None:
    job = next(job for job in all_jobs(sheet(grave())) if job.part == "Front wheel bearing")
    assert job.work == ("Decide what to do",)
    assert job.note


def test_what_is_put_right_or_only_advised_on_is_no_job() -> None:
    rows = [
        (read("chain", "slack", 48, "mm"), graded(Grade.MAJOR, **SLACK)),
        (read("chain", "slack", 30, "mm", phase="left"), graded(Grade.SOUND, **SLACK)),
        done("adjust", "chain"),
        (find("battery", "aged"), usual(Grade.ADVISORY)),
    ]
    assert sheet(outcome(rows)).places == ()


def test_what_is_to_be_watched_waits_for_the_next_visit() -> None:
    page = sheet(calm())
    assert page.later == ("Steering head bearings",)
    assert page.places == ()


def test_it_says_not_to_ride_only_where_it_is_dangerous() -> None:
    assert sheet(grave()).stop
    assert not sheet(calm()).stop


WORK = st.sampled_from([kind for kind in WORDS.actions if kind != "monitor"])
PART = st.sampled_from(list(vocabulary().components))
ENDS, SIDES = st.sampled_from([None, "front", "rear"]), st.sampled_from([None, "left", "right"])
ACTIONS = st.lists(st.builds(wanted, WORK, PART, ENDS, SIDES), max_size=6)


@settings(max_examples=60, deadline=None)
@given(ACTIONS, ACTIONS, ACTIONS)
def test_the_confirmed_work_is_all_there_and_no_other(confirmed, waiting, rejected) -> None:
    page = sheet(outcome(confirmed, waiting=waiting, rejected=rejected))
    assert len(all_jobs(page)) == len({item.place for item in confirmed})
    asked = {(item.place, item.kind) for item in confirmed}
    assert sum(len(job.work) for job in all_jobs(page)) == len(asked)
    assert all_jobs(page) == all_jobs(sheet(outcome(confirmed)))


def test_page_and_print_tell_the_same() -> None:
    page = sheet(grave())
    html = text_of(parsed(render_paper("jobsheet.html", page)))
    data = compiled(paper(page))
    printed = words(text_of_pdf(data))
    for job in all_jobs(page):
        texts = [job.part, *job.work, *job.found, *job.needs, *job.after]
        texts += [text for one in job.figures for text in (one.name, one.text, one.note)]
        texts += [text for one in job.measure for text in (one.name, one.limit, one.was)]
        assert [text for text in texts if words(text) not in words(html)] == []
        assert [text for text in texts if words(text) not in printed] == []
    assert reader(data).trailer["/Root"]["/Lang"] == "en-GB"
    assert reader(data).metadata.title == "Job sheet, KX21 WPT"
    assert list(tags(data)).count("H3") == len(all_jobs(page))
    assert "safe" not in html.lower()


def test_it_can_be_read_from_the_floor() -> None:
    """Letters of 13 points and more, parts of 16: common practice, no source."""
    data = compiled(paper(sheet(grave())))
    sizes: dict[str, float] = {}
    reader(data).pages[0].extract_text(
        visitor_text=lambda text, cm, tm, font, size: sizes.update({text.strip(): abs(size * tm[0])})
    )
    part = next(size for text, size in sizes.items() if "Front tyre: Replace" in text)
    found = next(size for text, size in sizes.items() if "Tread depth 2 mm" in text)
    assert part >= 16
    assert found >= 13


def test_hostile_names_change_only_themselves() -> None:
    name = "<b>#panic()$x$</b>" + "W" * 120
    page = sheet(outcome([wanted("replace", "tyre", "rear")], machine=Machine(registration=name)), None)
    root = parsed(render_paper("jobsheet.html", page))
    assert text_of(next(root.iter("h1"))) == name
    data = compiled(paper(page))
    assert words(name) in words(text_of_pdf(data))
    assert margins_are_white(paper(page))


def test_the_command(run: Run, store: Path, tmp_path: Path) -> None:
    ran = run("jobsheet", "latest", "--store", store, "--out", tmp_path / "bench.pdf")
    assert (ran.status, ran.out.strip()) == (0, str(tmp_path / "bench.pdf"))
    assert "Left fork oil seal: Replace" in text_of_pdf((tmp_path / "bench.pdf").read_bytes())
    html = run("jobsheet", "latest", "--store", store, "--out", "-").out
    assert "Left fork oil seal: Replace" in text_of(parsed(html.rstrip("\n")))


def test_every_id_has_words_and_every_word_a_use() -> None:
    paper = paper_words()
    assert set(paper.work) == {*vocabulary().actions, "decide"}
    assert {need for row in jobs() for need in row.needs} == set(paper.needs)
    assert {check for row in jobs() for check in row.after} == set(paper.after)


def test_the_first_row_that_fits() -> None:
    assert job_for("tyre", "replace").id == "tyre.replace"
    assert job_for("tyre", "align").id == "tyre.any"
    assert job_for("seat", "repair").id == "rest"
    assert About("self", "free_play").of("clutch", None) == ("clutch", "free_play", None)
    assert About("axle", "torque", "rear").of("chain", None) == ("axle", "torque", "rear")


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda rows: rows[0].update(needs=["tyres"]), "row tyre.replace: unknown need 'tyres'"),
        (lambda rows: rows[0].update(shows=["tyre.grip"]), "row tyre.replace: unknown quantity 'grip'"),
        (lambda rows: rows[0].update(work="mend"), "row tyre.replace: unknown action 'mend'"),
        (lambda rows: rows.pop(), "the last row must fit any job"),
    ],
)
def test_a_bad_row_is_named(change, message: str, monkeypatch: pytest.MonkeyPatch) -> None:
    raw = copy.deepcopy(read_yaml(module.FILE))
    change(raw["jobs"])
    monkeypatch.setattr("witnessmark.knowledge.rows.read_yaml", lambda _: raw)
    with pytest.raises(KnowledgeError, match=re.escape(message)):
        jobs.__wrapped__()
