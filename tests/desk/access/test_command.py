"""``witnessmark desk`` as a program of its own: where it listens, what it prints, how it ends."""

from __future__ import annotations

import re
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import httpx
import pytest

from helpers_cli import Run
from witnessmark.desk.access import authority

Started = Callable[..., "Desk"]


class Desk:
    """A desk that runs."""

    def __init__(self, folder: Path, port: int, *options: str) -> None:
        self.port = port
        arguments = ["desk", "--store", str(folder / "shop.sqlite"), "--port", str(port), *options]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "witnessmark", *arguments],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert self.process.stdout
        self.first = self.process.stdout.readline().strip()
        until = time.monotonic() + 30
        while time.monotonic() < until and self.process.poll() is None:
            with socket.socket() as probe:
                probe.settimeout(30)
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    probe.sendall(b"GET / HTTP/1.0\r\n\r\n")
                    with suppress(OSError):
                        probe.recv(1)  # whatever it says: it can be stopped from now on
                    break
            time.sleep(0.05)

    def ended(self, how: signal.Signals = signal.SIGINT) -> tuple[int, str, str]:
        self.process.send_signal(how)
        out, err = self.process.communicate(timeout=30)
        return self.process.returncode, out, err


@pytest.fixture
def started(tmp_path: Path) -> Iterator[Started]:
    running: list[Desk] = []

    def start(*options: str) -> Desk:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        running.append(Desk(tmp_path, port, *options))
        return running[-1]

    yield start
    for desk in running:
        if desk.process.poll() is None:
            desk.process.kill()
            desk.process.communicate()


def test_it_says_where_to_go_and_ends_quietly(started: Started) -> None:
    desk = started()
    address = f"http://localhost:{desk.port}"
    assert desk.first == f"The desk is at {address}/"
    with httpx.Client(base_url=address) as client:
        page = client.get("/sign-in")
        assert page.status_code == 200
        assert "server" not in page.headers
        assert client.get("/sign-in", headers={"Host": "evil.example"}).status_code == 400
        assert client.get("/", headers={"Accept": "text/html"}).headers["Location"] == "/sign-in?to=/"
    status, out, err = desk.ended()
    assert status == 0
    assert re.fullmatch(rf"{address}/welcome/[\w-]{{43}}\n", out)
    assert "The desk is closed." in err
    assert "Traceback" not in err


def test_a_service_that_is_stopped_ends_as_quietly(started: Started) -> None:
    desk = started()
    status, _, err = desk.ended(signal.SIGTERM)
    assert status == 0
    assert "The desk is closed." in err
    assert "Traceback" not in err


def test_the_link_makes_an_administrator_and_a_start_makes_a_new_one(started: Started) -> None:
    first = started()
    _, out, _ = first.ended()
    second = started()
    address = f"http://localhost:{second.port}"
    form = {"name": "Ada Foreman", "password": "four tin buckets", "again": "four tin buckets"}
    assert second.process.stdout
    link = second.process.stdout.readline().strip()
    with httpx.Client(base_url=address) as client:
        old = out.strip().rpartition("/")[2]
        assert client.post(f"/welcome/{old}", data=form).status_code == 404
        assert client.post(link, data=form).status_code == 303
        assert client.get("/people").status_code == 200
    assert second.ended()[1] == ""
    third = started()
    assert third.ended()[1] == ""


def test_a_lost_password_while_it_runs(started: Started, run: Run, tmp_path: Path) -> None:
    desk = started()
    ran = run("desk", "--store", tmp_path / "shop.sqlite", "--port", desk.port, "--administrator-link")
    assert ran.status == 0
    assert "once, within a day" in ran.err
    assert httpx.get(ran.out.strip()).status_code == 200


def test_it_listens_to_this_computer_only(started: Started) -> None:
    desk = started()
    others = {
        info[4][0]
        for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        if not str(info[4][0]).startswith("127.")
    }
    for address in others:
        with socket.socket() as probe:
            probe.settimeout(2)
            assert probe.connect_ex((str(address), desk.port)) != 0


def test_the_taken_port_is_told(started: Started, run: Run, tmp_path: Path) -> None:
    desk = started()
    ran = run("desk", "--store", tmp_path / "other.sqlite", "--port", desk.port)
    assert ran.status == 1
    assert "something else listens there" in ran.err
    assert not (tmp_path / "other.sqlite").exists()


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.20", "desk.internal", "::", ""])
def test_no_network_is_let_in_unencrypted_by_mistake(run: Run, tmp_path: Path, host: str) -> None:
    ran = run("desk", "--store", tmp_path / "shop.sqlite", "--host", host)
    assert (ran.status, ran.out) == (2, "")
    assert "--unencrypted" in ran.err
    assert "witnessmark certificate" in ran.err
    assert list(tmp_path.iterdir()) == []


def test_said_plainly_it_is(started: Started) -> None:
    desk = started("--host", "0.0.0.0", "--unencrypted")
    assert desk.first.startswith("The desk is at http://")
    assert httpx.get(f"http://127.0.0.1:{desk.port}/sign-in").status_code == 200
    _, _, err = desk.ended()
    assert "Nothing is encrypted" in err


def test_encrypted_for_who_trusts_the_authority(started: Started, tmp_path: Path) -> None:
    files, _ = authority.issue(tmp_path / "keys", ("desk.workshop.internal",))
    desk = started("--certificate", str(files.certificate), "--key", str(files.key))
    assert desk.first == f"The desk is at https://desk.workshop.internal:{desk.port}/"
    trusted = ssl.create_default_context(cafile=str(files.authority))
    form = {"name": "Ada Foreman", "password": "four tin buckets", "again": "four tin buckets"}
    assert desk.process.stdout
    path = httpx.URL(desk.process.stdout.readline().strip()).path
    with httpx.Client(base_url=f"https://localhost:{desk.port}", verify=trusted) as client:
        cookies = client.post(path, data=form).headers.get_list("set-cookie")
        assert all(cookie.startswith("__Host-") and "Secure" in cookie for cookie in cookies)
        assert client.get("/people").status_code == 200
        named = client.get("/sign-in", headers={"Host": f"desk.workshop.internal:{desk.port}"})
        assert named.headers["Strict-Transport-Security"]
    with pytest.raises(httpx.ConnectError, match="CERTIFICATE_VERIFY_FAILED"):
        httpx.get(f"https://localhost:{desk.port}/sign-in")
    with pytest.raises(httpx.HTTPError):
        httpx.get(f"http://localhost:{desk.port}/sign-in")


@pytest.mark.parametrize("case", ["one of the two", "not there", "not PEM", "another key"])
def test_a_certificate_of_no_use_is_told(run: Run, tmp_path: Path, case: str) -> None:
    files, _ = authority.issue(tmp_path / "keys", ("desk.internal",))
    certificate, key = ["--certificate", files.certificate], ["--key", files.key]
    if case == "one of the two":
        key = []
    elif case == "not there":
        files.key.unlink()
    elif case == "not PEM":
        files.certificate.write_text("not PEM")
    else:
        key = ["--key", files.authority_key]
    ran = run("desk", "--store", tmp_path / "shop.sqlite", *certificate, *key)
    assert (ran.status, ran.out) == (2, "")
    assert not (tmp_path / "shop.sqlite").exists()
