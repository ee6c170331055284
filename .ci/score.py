"""Score the drafts of gold walkrounds and hold the floors: ``score.py SCORER``.

SCORER takes a folder of gold files and a file of predictions and prints figures with ``--json``; the gold
files lie in ``walkrounds/`` beside it.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

FLOORS = {"observations": 0.70, "readings": 0.80}
"""Least F1, text as given."""

scorer = Path(sys.argv[1])
gold = scorer.parent / "walkrounds"
with tempfile.TemporaryDirectory() as folder:
    drafts = Path(folder) / "drafts.jsonl"
    files = sorted(map(str, gold.glob("*.json")))
    subprocess.run([sys.executable, "-m", "witnessmark", "extract", *files, "--out", drafts], check=True)
    score = [sys.executable, scorer, gold, drafts]
    subprocess.run(score, check=True)
    told = subprocess.run([*score, "--json"], check=True, stdout=subprocess.PIPE)
figures = json.loads(told.stdout)
low = [name for name, floor in FLOORS.items() if figures[name]["f1"] < floor]
if low:
    sys.exit(f"Below the floor: {', '.join(low)}")
