"""How long the command line takes to start, beside Python itself and the library it is made with.

``python tests/bench/bench_startup.py`` prints the figures; it is no test. The three are taken in turn, so
that a busy machine slows them alike. What must not be imported is a test in ``tests/house/test_layout.py``.
"""

from __future__ import annotations

import subprocess
import sys
import time

ROUNDS = 9
COMMANDS = {
    "python": ["-c", "pass"],
    "python, typer imported": ["-c", "import typer"],
    "witnessmark --help": ["-m", "witnessmark", "--help"],
}


def once(arguments: list[str]) -> float:
    """Wall seconds of one start."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - start


def main() -> None:
    best = dict.fromkeys(COMMANDS, float("inf"))
    for _ in range(ROUNDS):
        for name, arguments in COMMANDS.items():
            best[name] = min(best[name], once(arguments))
    for name, seconds in best.items():
        print(f"{name:24} {seconds:.3f} s  {seconds / best['python']:5.1f} times Python")


if __name__ == "__main__":
    main()
