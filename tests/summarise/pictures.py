"""Writes the scenario's pages into a folder: ``python -m tests.summarise.pictures FOLDER``."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

from tests.summarise.scenario import calm, grave, past

from witnessmark.knowledge.plain import plain_words
from witnessmark.summarise import render, summarise


def write(folder: Path) -> None:
    for name, outcome in {"summary": calm(), "summary-grave": grave()}.items():
        page = summarise(outcome, plain_words(), past(), made_on=date(2026, 5, 22))
        (folder / f"{name}.html").write_text(render(page), encoding="utf-8")


if __name__ == "__main__":
    write(Path(sys.argv[1]))
