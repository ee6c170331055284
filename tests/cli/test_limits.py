"""``witnessmark limits`` and the page made from the data."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from helpers_cli import Run
from witnessmark.cli.limits_page import page
from witnessmark.cli.limits_rows import lines, named
from witnessmark.knowledge.electrics import electrics
from witnessmark.knowledge.limits import limit_rows

PAGE = Path(__file__).resolve().parents[2] / "docs" / "limits.md"


def test_the_page_is_the_data() -> None:
    """Made again by: witnessmark limits --markdown > docs/limits.md"""
    assert PAGE.read_text("utf-8") == page()


def test_every_limit_is_on_the_page_with_its_source_and_how_sure_it_is() -> None:
    text = PAGE.read_text("utf-8")
    for row in limit_rows():
        (line,) = (line for line in text.splitlines() if f"| `{row.id}` |" in line)
        assert row.source in line
        assert {"memory": "from memory", "none": "no source"}.get(row.sureness, row.sureness) in line
    assert len(lines()) == len(limit_rows()) + len(electrics().aim)


def test_without_a_part_all_are_told(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "250")
    ran = run("limits")
    assert ran.status == 0
    assert all(
        word in ran.out for word in ("StVZO", "COMAR", "BCI", "from memory", "no source", "floor, not advice")
    )


def test_a_part_as_it_is_called_in_one_country(run: Run) -> None:
    rows = json.loads(run("limits", "Brake Pads", "--jurisdiction", "US-VA", "--json").out)
    assert {row["component"] for row in rows} == {"brake_pads"}
    assert {row["where"] for row in rows} == {"Virginia (US-VA)", "everywhere"}
    (law,) = (row for row in rows if row["basis"] == "law")
    assert law["limit"] == "at least 2/32 in"
    assert law["source"] == "Virginia Administrative Code, 19VAC30-70-340"
    assert law["sureness"] == "read"


def test_names_and_groups() -> None:
    assert named("tyre") == ["tyre"]
    assert named("wheel_bearing") == ["wheel_bearing"]
    assert set(named("drive")) >= {"chain", "drive_belt"}
    assert named("wing") == []


def test_a_figure_too_unsure_to_pass_by_says_so(run: Run) -> None:
    rows = json.loads(run("limits", "tyre", "--jurisdiction", "IT", "--json").out)
    (full, _) = (row for row in rows if row["basis"] == "law")
    assert full["sureness"] == "from memory, too unsure to pass by"


@pytest.mark.parametrize("wrong", [["limits", "wing"], ["limits", "--jurisdiction", "XX"]])
def test_what_is_not_declared_is_refused_with_what_is(run: Run, wrong: list[str]) -> None:
    ran = run(*wrong)
    assert (ran.status, ran.out) == (2, "")
    assert "tyre" in ran.err or "GB" in ran.err


def test_a_part_without_a_limit(run: Run) -> None:
    ran = run("limits", "horn")
    assert (ran.status, ran.out) == (0, "")
    assert "not judged" in ran.err
