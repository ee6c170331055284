"""The goals of hearing, each beside what was measured. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from .hearing_scores import Count

Groups = dict[str, dict[str, Count]]


def goals(groups: Groups) -> str:
    """A table: goal, bound, measured, met or not."""
    rows = ["| goal | wanted | measured | |", "|---|---|---|---|"]
    rows += [
        f"| {name} | {wanted} | {measured} | {'met' if met else 'missed'} |"
        for name, wanted, measured, met in _goals(groups)
    ]
    return "\n".join(rows)


def _goals(groups: Groups) -> Iterator[tuple[str, str, str, bool]]:
    for noise, bound in (("clean", 0.05), ("10 dB", 0.10)):
        if noise in groups:
            ours, stock = groups[noise]["ours"], groups[noise]["stock"]
            below, theirs = _below(ours), _below(stock)
            yield f"observation F1 below the true text, {noise}", f"≤ {bound}", f"{below:.3f}", below <= bound
            ratio = theirs / below if below > 0 else float("inf")
            yield f"that, stock's to ours, {noise}", "≥ 2", f"{ratio:.2f}", ratio >= 2
    for noise, bound in (("clean", 0.95), ("10 dB", 0.90)):
        if noise in groups:
            recall = groups[noise]["ours"].readings.recall
            yield f"reading recall, {noise}", f"≥ {bound}", f"{recall:.3f}", recall >= bound
    ours, stock = groups["all"]["ours"], groups["all"]["stock"]
    drafted = ours.drafted
    heard, misplaced = ours.misheard_silent, ours.silent - ours.misheard_silent
    yield "misheard figures not marked, all", "0", f"{heard} of {drafted}", not heard
    yield "readings otherwise wrong and not marked, all", "0", f"{misplaced} of {drafted}", not misplaced
    marked = ours.marked / max(1, ours.readings.right)
    yield "right values marked, all", "≤ 0.15", f"{marked:.3f}", marked <= 0.15
    recalled = ours.words_right / ours.words, stock.words_right / stock.words
    yield (
        "words recalled, ours and stock",
        "ours ≥ stock",
        f"{recalled[0]:.3f}, {recalled[1]:.3f}",
        recalled[0] >= recalled[1],
    )
    speed = ours.wall / ours.seconds
    yield "real-time factor", "≤ 0.08", f"{speed:.3f}", speed <= 0.08
    faster = stock.wall / ours.wall
    yield "times as fast as stock", "≥ 2", f"{faster:.2f}", faster >= 2


def _below(count: Count) -> float:
    return count.observations_text.f1 - count.observations.f1
