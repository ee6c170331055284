"""A desk killed in the middle of a decision: the decision is there whole, or not at all."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.review.talk import FIRST, decide, outcome, record_is_sound

DESK = """
import sys, time
from pathlib import Path
from witnessmark.desk.review import deciding
from witnessmark.record import Store, entries

record, id, item, where = Path(sys.argv[1]), sys.argv[2], sys.argv[3], sys.argv[4]

def die(*args, **more):
    print("here", flush=True)
    time.sleep(60)

if where == "before":
    Store.decide = die
elif where == "within":
    entries.follow = die
with Store.open(record) as store:
    wanted = deciding.Wanted(item=item, kind="confirm", seen=0)
    deciding.decide(store, id, "Robin Reviewer", wanted)
die()
"""


@pytest.mark.parametrize(("where", "kept"), [("before", 0), ("within", 0), ("after", 1)])
def test_a_kill_leaves_a_decision_whole_or_undone_and_it_can_be_sent_again(
    app: FastAPI, ada: TestClient, id: str, where: str, kept: int
) -> None:
    record: Path = app.state.desk.settings.record
    desk = subprocess.Popen(
        [sys.executable, "-c", DESK, str(record), id, FIRST[0], where], stdout=subprocess.PIPE, text=True
    )
    assert desk.stdout is not None
    assert desk.stdout.readline() == "here\n"
    os.kill(desk.pid, signal.SIGKILL)
    desk.wait()
    desk.stdout.close()
    assert len(outcome(app, id).confirmed) == kept
    assert record_is_sound(app)
    # the page sends it again
    assert decide(ada, id, FIRST[0]).status_code == (200 if kept else 201)
    assert len(outcome(app, id).walkround.decisions) == 1
    assert record_is_sound(app)
