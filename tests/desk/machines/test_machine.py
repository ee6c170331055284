"""The page of one machine, and its API."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from html5lib import parse

from witnessmark.record import Answers
from witnessmark.review import validity
from witnessmark.types import Answer, Grade, Machine, Odometer, Reading

from .making import HOSTILE, decide, visit

LINK = "{http://www.w3.org/1999/xhtml}a"


def machine(client: TestClient, name: str = "KX21WPT") -> dict[str, Any]:
    answer = client.get(f"/api/machines/{name}")
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def test_what_is_known_of_a_machine(reader: TestClient) -> None:
    found = machine(reader)
    assert (found["registration"], found["odometer"], found["seen"]) == ("KX21WPT", "14,865 mi", "2025-10-02")
    assert [visit["on"] for visit in found["visits"]] == [
        "2025-10-02",
        "2025-03-14",
        "2024-04-18",
        "2023-03-09",
    ]
    assert found["visits"][0]["standing"] == "not to be ridden"
    assert found["waiting"] == 0


def test_trouble_is_open_until_it_is_put_right(reader: TestClient) -> None:
    found = machine(reader)
    assert [(one["says"].partition(" (")[0], one["grade"]) for one in found["open"]][:3] == [
        ("rear tyre: tread depth 0.9 mm", "dangerous"),
        ("drive chain: slack 40 mm", "major"),
        ("drive chain: worn", "major"),
    ]
    settled = {one["says"]: (one["ended"]["on"], one["ended"]["by"]) for one in found["settled"]}
    assert settled["right fork oil seal: leaking"] == ("2024-04-18", "right fork oil seal: replace, done")
    assert settled["left rear indicator: not working"][0] == "2025-10-02"
    assert [(one["says"], one["since"]) for one in found["wanted"]] == [
        ("rear brake fluid: replace", "2024-04-18"),
        ("rear tyre: replace", "2025-10-02"),
        ("drive chain: replace", "2025-10-02"),
        ("both sprockets: replace", "2025-10-02"),
    ]


def test_open_work_tells_what_the_owner_said_to_it(app: FastAPI, reader: TestClient) -> None:
    visit = machine(reader)["visits"][0]
    said = Answer(visit["walkround"], "tyre:rear/replace", "not_now", "B. Hale <b>", date(2025, 10, 3))
    with app.state.desk.record() as store:
        Answers(store).add([said])
    told = {one["says"]: one["owner"] for one in machine(reader)["wanted"]}
    assert told["rear tyre: replace"] == "Put off on 3 October 2025: not now, said B. Hale <b>."
    assert told["drive chain: replace"] == ""
    assert "not now, said B. Hale &lt;b&gt;." in reader.get("/machine/KX21WPT").text


def test_readings_carry_their_limits_and_the_forecast(reader: TestClient) -> None:
    series = {f"{one['part']}: {one['quantity']}": one for one in machine(reader)["series"]}
    tread, pads = series["rear tyre: tread depth"], series["front brake pads: thickness"]
    assert [one["value"] for one in tread["readings"]] == [4.9, 3.2, 1.9, 0.9]
    assert (tread["bounds"][0]["value"], tread["bounds"][0]["whose"]) == (1.0, "law")
    assert tread["reached"]
    assert tread["line"] == []
    assert pads["bounds"][0]["whose"] == "machine card"
    assert pads["line"][0]["odometer"] == pytest.approx(14865)
    assert pads["line"][-1]["high"] == pytest.approx(1.5)
    assert [one["left"] for one in series["drive chain: slack"]["readings"]] == [
        False,
        True,
        False,
        True,
        False,
    ]


def test_the_page_shows_every_part_of_it_and_links_to_each_walkround(reader: TestClient) -> None:
    answer = reader.get("/machine/kx21-wpt")
    assert answer.status_code == 200
    tree = parse(answer.text)
    links = {link.get("href") for link in tree.iter(LINK)}
    for one in machine(reader)["visits"]:
        assert {f"/review/{one['walkround']}", f"/summary/{one['walkround']}"} <= links
    headings = ["".join(h.itertext()) for h in tree.iter("{http://www.w3.org/1999/xhtml}h2")]
    assert headings == [
        "Next inspection", "Not in order", "Open work", "Readings", "Not looked at last time", "Walkrounds",
        "Settled",
    ]  # fmt: skip


def test_every_plot_has_a_name_a_description_and_a_table_of_the_same_figures(reader: TestClient) -> None:
    tree = parse(reader.get("/machine/KX21WPT").text)
    html, svg = "{http://www.w3.org/1999/xhtml}", "{http://www.w3.org/2000/svg}"
    figures = list(tree.iter(f"{html}figure"))
    assert len(figures) == 6
    for figure in figures:
        plot = next(one for one in figure.iter(f"{svg}svg") if one.get("role") == "img")
        named = {one.get("id") for one in plot.iter() if one.get("id")}
        assert set((plot.get("aria-labelledby") or "").split()) <= named
        drawn = len(plot.findall(f".//{svg}g[@class='marks']/*"))
        rows = len(figure.findall(f".//{html}tbody/{html}tr"))
        assert drawn == rows > 1


def test_the_summary_of_each_walkround_opens_and_runs_nothing(reader: TestClient) -> None:
    for one in machine(reader)["visits"]:
        answer = reader.get(f"/summary/{one['walkround']}")
        assert answer.status_code == 200
        assert "KX21WPT" in answer.text
        assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert reader.get("/summary/w-000000000000").status_code == 404
    assert reader.get("/summary/latest").status_code == 404


def test_what_waits_is_said_and_is_in_nothing_else(reader: TestClient) -> None:
    found = machine(reader, "LM56NOP")
    assert found["waiting"] == 1
    assert not [one for one in found["open"] if "mirror" in one["says"]]
    assert "1 item of its walkrounds waits for review" in reader.get("/machine/LM56NOP").text


def test_a_machine_nobody_knows(reader: TestClient) -> None:
    for name in ("ZZ99ZZZ", "%20", "..%2F..", "%00", "x" * 200, "ÄÖÜ😀"):
        answer = reader.get(f"/api/machines/{name}", headers={"Accept": "application/json"})
        assert answer.status_code == 404, name
        assert answer.json()["remedy"]
    assert reader.get(f"/api/machines/{'x' * 201}").status_code == 422
    assert "no confirmed walkround" in reader.get("/machine/ZZ99ZZZ").text


WEAR = "The rear tyre tread is {} millimetres. The horn works."
VINS = ("WTM5MRK24A7000042", "WTM5MRK24A7000043")


def test_a_registration_of_several_machines_lets_one_choose(app: FastAPI, reader: TestClient) -> None:
    for number, vin in enumerate(VINS):
        clock = Odometer(value=1000 * (number + 1), unit="km")
        identity = Machine(registration="Q24 LOT", vin=vin, odometer=clock)
        visit(app, date(2026, 1, 2 + number), "The horn works.", identity=identity)
    page = reader.get("/machine/Q24LOT")
    assert page.status_code == 300
    links = {link.get("href") for link in parse(page.text).iter(LINK)}
    assert {f"/machine/{vin}" for vin in VINS} <= links
    answer = reader.get("/api/machines/Q24LOT")
    assert answer.status_code == 409
    assert [one["vin"] for one in answer.json()["choices"]] == list(VINS)
    assert machine(reader, VINS[1])["odometer"] == "2,000 km"
    listed = reader.get("/api/machines?q=q24").json()["machines"]
    assert {one["name"] for one in listed} == set(VINS)


def test_the_summary_of_a_walkround_that_could_be_of_either_rests_on_itself_alone(
    app: FastAPI, reader: TestClient
) -> None:
    visit(app, date(2026, 1, 2), WEAR.format("four"), identity=Machine(registration="Q24 LOT", vin=VINS[0]))
    visit(app, date(2026, 1, 3), WEAR.format("three"), identity=Machine(registration="Q24 LOT", vin=VINS[1]))
    last = visit(app, date(2026, 1, 4), WEAR.format("two"), identity=Machine(registration="Q24 LOT"))
    answer = reader.get(f"/summary/{last}")
    assert answer.status_code == 200
    assert "2 mm" in answer.text
    assert not re.search(r"\b[34] mm", answer.text)
    with app.state.desk.record() as store:
        assert [one.walkround for one in store.history_of(last).visits] == [last]
    assert reader.get("/api/workshop").json()["unclear"] == ["Q24 LOT"]
    assert "nothing is reckoned for their walkrounds without a VIN" in reader.get("/").text


@pytest.mark.parametrize("name", [HOSTILE, "A/B 7", "Ünïcødé 7", "‮7evil", "7?x=1#y", "50 % 7"])
def test_any_registration_has_a_page_and_is_only_ever_text(
    app: FastAPI, reader: TestClient, name: str
) -> None:
    identity = Machine(registration=name)
    visit(app, date(2026, 1, 2), "The chain is dry. The front pads are four millimetres.", identity=identity)
    listed = reader.get("/machines").text
    tree = parse(listed)
    link = next(a for a in tree.iter(LINK) if "".join(a.itertext()) == name)
    page = reader.get(link.get("href"))
    assert page.status_code == 200
    for text in (listed, page.text, reader.get("/").text, reader.get("/search?q=chain").text):
        assert "<script>alert" not in text
        assert "<b>7</b>" not in text
    heading = next(parse(page.text).iter("{http://www.w3.org/1999/xhtml}h1"))
    assert "".join(heading.itertext()) == name


def test_markup_in_what_was_heard_is_only_ever_text(app: FastAPI, reader: TestClient) -> None:
    talk = (
        f"Registration Kilo X-ray two one Whiskey Papa Tango. The chain {HOSTILE} is dry. The chain is worn."
    )
    visit(app, date(2026, 2, 1), talk)
    for path in ("/machine/KX21WPT", "/", "/search?q=chain", "/search?q=script"):
        assert "<script>alert" not in reader.get(path).text


def test_a_number_nobody_can_have_measured_is_told_and_not_drawn(
    app: FastAPI, reader: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    # as a record may have it from before such figures were refused
    monkeypatch.setattr(validity, "furthest", lambda: defaultdict(lambda: math.inf))
    with app.state.desk.record() as store:
        for one in store.history("LM56NOP").visits:
            (tread,) = [e.item for e in one.entered if isinstance(e.item, Reading)]
            becomes = tread.model_copy(update={"value": -1e30 if one.on.month == 9 else 1e30})
            decide(store, one.walkround, [tread.key], "correct", becomes)
    (series,) = machine(reader, "LM56NOP")["series"]
    assert [one["value"] for one in series["readings"]] == [None, None]
    page = reader.get("/machine/LM56NOP")
    assert page.status_code == 200
    assert "Each read once, or as text" in page.text
    assert reader.get("/").status_code == 200


def test_the_grade_of_a_reviewer_decides_and_what_the_rules_say_stays_in_sight(
    app: FastAPI, reader: TestClient
) -> None:
    with app.state.desk.record() as store:
        last = store.history("KX21WPT").visits[-1]
        (tread,) = [
            entered.item.key
            for entered in last.entered
            if isinstance(entered.item, Reading) and (entered.item.value, entered.item.unit) == (0.9, "mm")
        ]
        decide(store, last.walkround, [tread], grade=Grade.SOUND)
    found = machine(reader)
    (one,) = [one for one in found["open"] if one["item"] == tread]
    assert one["grade"] == "sound"
    assert one["because"].startswith("Graded by Ada Foreman: Looked at again.")
    assert "legal minimum" in one["because"]
    assert found["series"][0]["bounds"][0]["whose"] == "law"


def test_a_rejected_finding_is_nowhere_on_the_machines_page(app: FastAPI, reader: TestClient) -> None:
    with app.state.desk.record() as store:
        (last,) = [one for one in store.history("LM56NOP").visits if one.on == date(2026, 11, 20)]
        decide(store, last.walkround, ["mirror.left.loose"], "reject")
    assert "mirror: loose" not in reader.get("/machine/LM56NOP").text


def test_only_people_who_are_signed_in_see_anything(app: FastAPI) -> None:
    client = TestClient(app, base_url="http://localhost")
    for path in ("/api/machines", "/api/machines/KX21WPT", "/api/search?q=chain", "/api/workshop"):
        assert client.get(path).status_code == 401
    for path in ("/", "/machines", "/machine/KX21WPT", "/search?q=chain"):
        answer = client.get(path, headers={"Accept": "text/html"}, follow_redirects=False)
        assert (answer.status_code, answer.headers["location"].partition("?")[0]) == (303, "/sign-in")


def test_every_role_may_look(signed_in: Callable[[str], TestClient]) -> None:
    for role in ("technician", "reviewer", "reader", "administrator"):
        client = signed_in(role)
        assert client.get("/api/machines/KX21WPT").status_code == 200
        assert client.get("/").status_code == 200
