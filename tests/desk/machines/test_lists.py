"""The list of machines and the search."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from html5lib import parse

from witnessmark.desk.machines import listing
from witnessmark.desk.machines.finding import marked

from .making import HOSTILE, decide


def names(client: TestClient, query: str = "") -> list[str]:
    return [one["name"] for one in client.get(f"/api/machines?{query}").json()["machines"]]


def hits(client: TestClient, words: str, **more: Any) -> list[dict[str, Any]]:
    answer = client.get("/api/search", params={"q": words, **more})
    assert answer.status_code == 200, answer.text
    return list(answer.json()["hits"])


def test_machines_in_every_order(app: FastAPI, reader: TestClient) -> None:
    assert names(reader) == names(reader, "sort=seen") == ["LM56NOP", "KX21WPT"]
    assert names(reader, "sort=name") == ["KX21WPT", "LM56NOP"]
    assert names(reader, "sort=walkrounds") == ["KX21WPT", "LM56NOP"]
    assert names(reader, "sort=waiting") == ["LM56NOP", "KX21WPT"]
    assert reader.get("/api/machines?sort=colour").status_code == 422


@pytest.mark.parametrize(
    ("words", "count"), [("kx-21 w", 1), ("NOP", 1), ("zz", 0), ("***", 0), ("", 2), (" ", 2)]
)
def test_a_part_of_a_name_is_enough(reader: TestClient, words: str, count: int) -> None:
    assert reader.get("/api/machines", params={"q": words}).json()["total"] == count


def test_pages_of_the_list(reader: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listing, "A_PAGE", 1)
    assert names(reader, "p=1&sort=name") == ["KX21WPT"]
    assert names(reader, "p=2&sort=name") == names(reader, "p=999&sort=name") == ["LM56NOP"]
    page = reader.get("/machines?sort=name").text
    assert "Page 1 of 2" in page
    assert reader.get("/api/machines?p=0").status_code == 422


def test_a_hit_says_what_where_when_and_how_it_stands(app: FastAPI, reader: TestClient) -> None:
    with app.state.desk.record() as store:
        (last,) = [one for one in store.history("LM56NOP").visits if one.on == date(2026, 11, 20)]
        decide(store, last.walkround, ["mirror.left.loose"], "reject")
    (rejected,) = hits(reader, "loose mirror lm56")
    assert rejected == {
        "walkround": last.walkround,
        "item": "mirror.left.loose",
        "on": "2026-11-20",
        "machine": "LM56NOP",
        "says": "left mirror: loose",
        "heard": "The left mirror is loose",
        "status": "rejected",
        "who": "Ada Foreman",
    }
    assert {one["status"] for one in hits(reader, "horn")} == {"confirmed", "waiting"}


def test_hits_open_the_review_at_their_item_with_the_words_marked(reader: TestClient) -> None:
    tree = parse(reader.get("/search?q=leaking+fork").text)
    html = "{http://www.w3.org/1999/xhtml}"
    items = tree.findall(f".//{html}li[@class='hit confirmed']")
    assert len(items) == 2
    link = items[0].find(f".//{html}h2/{html}a")
    assert link is not None
    assert "#fork_seal" in link.get("href", "")
    marks = {"".join(mark.itertext()).lower() for item in items for mark in item.iter(f"{html}mark")}
    assert {"fork", "leaking"} <= marks
    assert "Confirmed" in "".join(items[0].itertext())


def test_more_than_was_asked_for_is_said(reader: TestClient) -> None:
    answer = reader.get("/api/search?q=chain&limit=2").json()
    assert (len(answer["hits"]), answer["more"]) == (2, True)
    assert "the best of more" in reader.get("/search?q=chain&limit=2").text
    for limit in ("0", "201", "x", "-1"):
        assert reader.get(f"/api/search?q=chain&limit={limit}").status_code == 422


@pytest.mark.parametrize(
    "words",
    ['chain"', "chain OR", "NEAR(chain", "-chain", "chain*", "(chain)", "words: chain", "^chain", "AND",
     "NOT NOT", "{chain}", '"', "'; DROP TABLE entries; --", "\x00chain", "%", "😀", "‮niahc", HOSTILE,
     "a" * 10_000, "chain " * 1666, "\ud7ff", "٣", "Ｃｈａｉｎ"],
)  # fmt: skip
def test_anything_may_be_looked_for(reader: TestClient, words: str) -> None:
    for path in ("/search", "/machines", "/api/search", "/api/machines"):
        answer = reader.get(path, params={"q": words})
        assert answer.status_code == 200, path
        assert "json" in answer.headers["content-type"] or "<script>alert" not in answer.text
    value = parse(reader.get("/search", params={"q": words}).text).find(".//*[@id='q']")
    assert value is not None
    assert value.get("value", "").replace("�", "") == words.replace("\x00", "")


def test_a_query_too_long_is_refused(reader: TestClient) -> None:
    assert reader.get("/api/search", params={"q": "a" * 10_001}).status_code == 422


def test_words_are_marked_as_the_search_takes_them() -> None:
    """FTS5's porter stemmer and its folding of marks; https://sqlite.org/fts5.html sections 4.3 and 5.1.2."""
    (pieces,) = marked("leak süd", ["It LEAKS to the sud; leakage is no leek."])
    assert [piece.text for piece in pieces if piece.marked] == ["LEAKS", "sud", "leakage"]
    assert "".join(piece.text for piece in pieces) == "It LEAKS to the sud; leakage is no leek."


def test_no_words_mark_nothing() -> None:
    assert [[piece.marked for piece in one] for one in marked('" * ()', ["a chain", ""])] == [
        [False],
        [False],
    ]
