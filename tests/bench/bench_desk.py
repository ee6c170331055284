"""How pages of the workshop and its machines hold out as the record grows: each beside itself on a small one.

``python tests/bench/bench_desk.py`` prints the figures; it is no test. The same pages of a small and a large
record are asked for in turn, so that a busy machine slows both alike; the last column is how many times as
long the large one takes. The first load of the workshop goes through machines that nobody has looked at yet.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[2]))

from bench_record import VISITS, loaded
from fastapi.testclient import TestClient
from tests.desk.conftest import PASSWORD

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Role
from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings

ROUNDS = 7
WALKROUNDS = 40
"""That the program takes in itself; the rest are copies."""
PAGES = {
    "workshop, again": "/?period=all",
    "machines": "/machines",
    "machines, one page by words": "/machines?q=q00&sort=waiting",
    "search, a common word": "/search?q=brake",
    "search, four words": "/search?q=brake+pads+front+worn",
    "search, nothing found": "/search?q=unicorn",
}


def client(folder: Path, items: int) -> TestClient:
    """Somebody signed in at a desk whose record has about so many items."""
    path = folder / f"{items}.sqlite"
    loaded(path, items, WALKROUNDS)
    app = create(Settings(record=path, jurisdiction="GB", live=False))
    with app.state.desk.own.writing() as db:
        people.add(db, "Ada Foreman", Role.READER, PASSWORD)
    found = TestClient(app, base_url="http://localhost")
    found.post("/sign-in", data={"name": "Ada Foreman", "password": PASSWORD})
    return found


def once(at: TestClient, path: str) -> float:
    """Milliseconds until the whole page is there."""
    started = time.perf_counter()
    answer = at.get(path, headers={"Accept": "text/html"})
    taken = (time.perf_counter() - started) * 1e3
    assert answer.status_code == 200, (path, answer.status_code)
    return taken


def machine(at: TestClient) -> str:
    """Page of a machine of ``VISITS`` visits, which both records have."""
    rows = at.get("/api/machines").json()["machines"]
    return "/machine/" + min(row["name"] for row in rows if row["walkrounds"] == VISITS)


def row(name: str, small: list[float], large: list[float]) -> None:
    one, other = statistics.median(small), statistics.median(large)
    print(f"| {name} | {one:.0f} | {other:.0f} | {other / one:.1f} |", flush=True)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--small", type=int, default=500, help="items of the small record")
    options.add_argument("--large", type=int, default=5000, help="items of the large one")
    sizes = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        small, large = client(Path(folder), sizes.small), client(Path(folder), sizes.large)
        print(f"| page | {sizes.small:,} items, ms | {sizes.large:,} items, ms | times |")
        print("| --- | --- | --- | --- |")
        once(small, "/machines")
        row("workshop, first load", [once(small, "/?period=all")], [once(large, "/?period=all")])
        for at in (small, large):
            while at.get("/api/workshop").json()["not_reckoned"]:
                time.sleep(0.2)
        for name, path in {**PAGES, f"machine of {VISITS} visits": machine(small)}.items():
            taken = [(once(small, path), once(large, path)) for _ in range(ROUNDS)]
            row(name, [one for one, _ in taken], [other for _, other in taken])


if __name__ == "__main__":
    main()
