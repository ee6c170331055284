"""Recordings in object stores: what is missing is named, and a day is never made up."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from witnessmark.cli import backlog_work
from witnessmark.cli.backlog import jobs_of
from witnessmark.cli.backlog_loop import drive
from witnessmark.cli.backlog_work import OBJECT_STORES, listed
from witnessmark.errors import BadInputError, WitnessmarkError
from witnessmark.record import Store

from .test_backlog import counts, jobs, quiet, threads, transcripts

PROJECT = (Path(__file__).parents[2] / "pyproject.toml").read_text("utf-8")


@pytest.mark.parametrize("scheme", OBJECT_STORES)
def test_the_extra_that_is_missing_is_named(scheme: str, monkeypatch: pytest.MonkeyPatch) -> None:
    package, extra = OBJECT_STORES[scheme]
    monkeypatch.setitem(sys.modules, package, None)
    with pytest.raises(WitnessmarkError) as caught:
        list(listed(f"{scheme}://bucket/2026/"))
    assert caught.value.what == f"this needs the package {package}"
    assert caught.value.remedy == f'Install it: pip install "witnessmark[{extra}]".'
    declared = re.search(rf"^{extra} = \[(.*)\]$", PROJECT, re.M)
    assert declared is not None
    assert f'"{package}>=' in declared[1]


def test_without_fsspec_its_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "fsspec", None)
    with pytest.raises(WitnessmarkError, match=r"needs the package fsspec") as caught:
        list(listed("memory://shop"))
    assert "witnessmark[places]" in (caught.value.remedy or "")


class Told:
    """A store that says of a file what it is given."""

    def __init__(self, known: dict[str, Any]) -> None:
        self._known = known

    def find(self, root: str, detail: bool) -> dict[str, dict[str, Any]]:
        return {f"{root}/a.json": {"size": 3, **self._known}}

    def unstrip_protocol(self, path: str) -> str:
        return f"told://{path}"


@pytest.mark.parametrize(
    "known",
    [
        {"mtime": datetime(2026, 5, 21, 12, tzinfo=UTC).timestamp()},
        {"LastModified": datetime(2026, 5, 21, 12, tzinfo=UTC)},
        {"last_modified": datetime(2026, 5, 21, 12, tzinfo=UTC)},
        {"updated": "2026-05-21T12:00:00.000Z"},
        {"mtime": None, "created": datetime(2026, 5, 21, 12, tzinfo=UTC)},
    ],
)
def test_every_store_names_the_time_of_writing_otherwise(
    known: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backlog_work, "_storage", lambda _: (Told(known), "x"))
    (job,) = jobs("told://x")
    assert (job.on, job.state) == ("2026-05-21", "3 2026-05-21T12:00:00+00:00")


def test_without_a_time_of_writing_the_day_has_to_be_given(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(backlog_work, "_storage", lambda _: (Told({"ETag": "e"}), "x"))
    with pytest.raises(BadInputError, match="nothing says when it was written") as caught:
        jobs("told://x")
    assert "--on" in (caught.value.remedy or "")
    (job,) = jobs_of(["told://x"], date(2026, 5, 21), None, None)
    assert (job.on, job.state) == ("2026-05-21", "3 e")


def test_a_store_that_cannot_be_asked_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    class Closed(Told):
        def find(self, root: str, detail: bool) -> dict[str, dict[str, Any]]:
            raise RuntimeError("no credentials\nmore of it")

    monkeypatch.setattr(backlog_work, "_storage", lambda _: (Closed({}), "x"))
    with pytest.raises(BadInputError, match=r"cannot be listed \(no credentials\)"):
        jobs("told://x")


@pytest.fixture
def bucket(monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    """A bucket of a server on this machine that speaks the protocol."""
    server = pytest.importorskip("moto.server", reason="needs moto[server] and s3fs")
    s3fs = pytest.importorskip("s3fs", reason="needs moto[server] and s3fs")
    running = server.ThreadedMotoServer(ip_address="127.0.0.1", port=0)
    running.start()
    host, port = running.get_host_and_port()
    for name, value in {
        "AWS_ENDPOINT_URL": f"http://{host}:{port}",
        "AWS_ACCESS_KEY_ID": "own",
        "AWS_SECRET_ACCESS_KEY": "own",
        "AWS_DEFAULT_REGION": "us-east-1",
    }.items():
        monkeypatch.setenv(name, value)
    s3fs.S3FileSystem.clear_instance_cache()
    files = s3fs.S3FileSystem()
    files.mkdir("shop")
    yield files
    s3fs.S3FileSystem.clear_instance_cache()
    running.stop()


@pytest.mark.full
def test_recordings_come_from_a_bucket(bucket: Any, tmp_path: Path) -> None:
    paths = transcripts(tmp_path / "in", 4)
    paths[3].write_text("nonsense", "utf-8")
    for path in paths:
        bucket.put(str(path), f"shop/2026/{path.name}")
    found = jobs("s3://shop/2026")
    assert [job.source for job in found] == [f"s3://shop/2026/00{number}.json" for number in range(4)]
    assert {job.on for job in found} == {datetime.now().date().isoformat()}
    with Store.open(tmp_path / "record.sqlite") as record:
        assert counts(drive(found, threads(), record, 2, quiet)) == (3, 0, 0, 1)
        assert counts(drive(jobs("s3://shop/2026"), threads(), record, 2, quiet)) == (0, 0, 4, 0)
        assert record.check() == []
    with pytest.raises(BadInputError, match=r"cannot be listed|holds nothing"):
        jobs("s3://nobodys/2026")
