"""Draws F1 against noise."""

from __future__ import annotations

from pathlib import Path

Points = dict[str, dict[str, list[tuple[str, float, float, float]]]]
_LOOK = {
    "ours": {"color": "#1f4e79", "marker": "o", "label": "Witnessmark"},
    "stock": {
        "color": "#8a6d3b",
        "marker": "s",
        "linestyle": "--",
        "label": "faster-whisper, default settings",
    },
    "true text": {"color": "#555555", "linestyle": ":", "label": "the true text"},
}


def draw(points: Points, path: Path) -> None:
    """One panel for each figure; the bars are 95 % over voices.

    Args:
        points: figure → line → noise, value, low and high end of the interval.
        path: an SVG or PNG file.
    """
    import matplotlib as mpl

    mpl.use("Agg")
    mpl.rcParams["svg.hashsalt"] = "witnessmark"
    from matplotlib import pyplot as plt

    figure, axes = plt.subplots(1, len(points), figsize=(9, 3.8), sharey=True, layout="constrained")
    for panel, (title, lines) in zip(axes, points.items(), strict=True):
        for aside, (name, line) in zip((-0.05, 0.05, 0.0), lines.items(), strict=True):
            noise, value, low, high = zip(*line, strict=True)
            places = [at + aside for at in range(len(noise))]
            bars = [
                [max(0.0, v - at) for v, at in zip(value, low, strict=True)],
                [max(0.0, at - v) for v, at in zip(value, high, strict=True)],
            ]
            panel.errorbar(places, value, None if name == "true text" else bars, capsize=3, **_LOOK[name])
        panel.set(title=title, xlabel="noise below the voice", ylim=(0, 1.03))
        panel.set_xticks(range(len(noise)), noise)
        panel.grid(alpha=0.3)
    axes[0].set_ylabel("F1 of the draft")
    axes[-1].legend(loc="lower left", frameon=False)
    figure.savefig(path, metadata={"Date": None} if path.suffix == ".svg" else None, dpi=150)
