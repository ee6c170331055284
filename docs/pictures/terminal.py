"""Draw what a terminal shows: ``FORCE_COLOR=1 COLUMNS=118 witnessmark demo | python terminal.py demo.png``.

Needs Chromium.
"""

import io
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from rich.console import Console
from rich.terminal_theme import TerminalTheme
from rich.text import Text

INK, PAPER = (34, 34, 34), (250, 250, 247)
THEME = TerminalTheme(PAPER, INK, [INK] * 8)
PAGE = """<!DOCTYPE html><meta charset="utf-8"><style>
body {{ margin: 0; background: {background}; color: {foreground} }}
pre {{ margin: 22px 26px; font: 14px/1.32 "DejaVu Sans Mono", monospace }}
</style><pre><code>{code}</code></pre>"""


def main() -> None:
    lines = sys.stdin.read().strip("\n").split("\n")
    shown = shortened(lines)
    console = Console(record=True, width=118, file=io.StringIO(), force_terminal=True)
    console.print(Text.from_ansi("\n".join(["$ witnessmark demo", "", *shown])))
    with tempfile.TemporaryDirectory() as folder:
        page = Path(folder) / "page.html"
        page.write_text(console.export_html(theme=THEME, code_format=PAGE), "utf-8")
        size = f"--window-size=1060,{int(len(shown) * 18.48) + 90}"
        screenshot = f"--screenshot={Path(sys.argv[1]).resolve()}"
        chromium = [
            "chromium",
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--hide-scrollbars",
            size,
            screenshot,
        ]
        subprocess.run([*chromium, page.as_uri()], check=True, stderr=subprocess.DEVNULL)


def shortened(lines: list[str]) -> list[str]:
    """Without the many rows of what is in order."""
    plain = [re.sub(r"\x1b\[[0-9;]*m", "", line) for line in lines]
    first = next((n for n, line in enumerate(plain) if re.search(r"  sound  ", line)), len(lines))
    last = next((n for n, line in enumerate(plain) if line.startswith("What the demo reviewer")), first)
    return [*lines[:first], "…", *lines[last - 1 :]] if first < last else lines


if __name__ == "__main__":
    main()
