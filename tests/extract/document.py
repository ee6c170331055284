"""Measures again and writes the tables of ``docs/extract.md``: ``python -m tests.extract.document``."""

from __future__ import annotations

import re
from pathlib import Path

from tests.walkrounds.score import drafted, table
from tests.walkrounds.scoring import gold_files, total

from . import forms

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "extract.md"


def scores() -> str:
    """Figures of each group of our own gold walkrounds."""
    own = ROOT / "tests" / "walkrounds" / "own"
    groups = sorted({path.name.split("-")[0] for path in own.glob("*.json")})
    return table({group: total(map(drafted, gold_files(own, group))) for group in groups})


def main() -> None:
    """Replaces what stands between the marks of each table."""
    page = PAGE.read_text("utf-8")
    for name, rows in (("scores", scores()), ("forms", forms.table())):
        marks = rf"(<!-- {name} -->\n).*?(\n<!-- end -->)"
        page, found = re.subn(marks, lambda m, rows=rows: m[1] + rows + m[2], page, count=1, flags=re.S)
        if not found:
            raise SystemExit(f"{PAGE} has no place for the table of {name}")
    PAGE.write_text(page, "utf-8")


if __name__ == "__main__":
    main()
