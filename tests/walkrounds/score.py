"""Score the drafts of a folder of gold walkrounds: ``python -m tests.walkrounds.score FOLDER [--errors]``."""

from __future__ import annotations

import argparse
from pathlib import Path

from witnessmark.extract import extract

from .scoring import KINDS, Row, Score, compare, gold_files, total


def drafted(gold: Row) -> Score:
    """The score of the draft that is read from one gold walkround's text."""
    return compare(gold, extract(gold["text"], id=gold["id"], jurisdiction=gold.get("jurisdiction")))


def table(scores: dict[str, Score]) -> str:
    """Figures of several sets of walkrounds, one row each, as a table of Markdown."""
    head = [
        "set",
        "walkrounds",
        *(f"{kind} P / R / F1" for kind in KINDS),
        "limits",
        "header",
        "safety misses",
    ]
    rows = [head, ["---"] * len(head)]
    for name, score in scores.items():
        figures = (score.tallies[kind] for kind in KINDS)
        rows.append(
            [
                name,
                str(score.walkrounds),
                *(f"{t.precision:.3f} / {t.recall:.3f} / {t.f1:.3f}" for t in figures),
                f"{score.limits.recall:.3f}",
                f"{score.machine.recall:.3f}",
                str(len(score.safety)),
            ]
        )
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def main() -> None:
    """Scores each group (the letters before the first hyphen of a name) and all together."""
    parser = argparse.ArgumentParser(prog="python -m tests.walkrounds.score", description=__doc__)
    parser.add_argument("folder", type=Path, help="a folder of gold files (*.json)")
    parser.add_argument("--errors", action="store_true", help="also list every error")
    given = parser.parse_args()
    golds = gold_files(given.folder)
    if not golds:
        parser.error(f"{given.folder} holds no gold files")
    by_id = {gold["id"]: drafted(gold) for gold in golds}
    groups = sorted({id_.split("-")[0] for id_ in by_id})
    scores = {g: total(s for id_, s in by_id.items() if id_.split("-")[0] == g) for g in groups}
    if len(groups) > 1:
        scores["all"] = total(by_id.values())
    if given.errors:
        for score in by_id.values():
            print(*score.errors, *(f"{miss} (SAFETY MISS)" for miss in score.safety), sep="\n")
    print(table(scores))


if __name__ == "__main__":
    main()
