"""A workshop's own authority and the desk's certificate, looked at with OpenSSL through Python's ``ssl``."""

from __future__ import annotations

import ssl
import stat
from datetime import timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

from helpers_cli import Run
from witnessmark.desk.access import authority
from witnessmark.errors import BadInputError

NAMES = ("desk.workshop.internal", "192.168.1.20")


def of(path: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate(path.read_bytes())


def welcome(trusted: Path, shown: Path, key: Path, name: str) -> str | None:
    """Whether a client that trusts the authority takes this server for that name; why not, if not."""
    client = ssl.create_default_context(cafile=str(trusted))
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(shown, key)
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    here = client.wrap_bio(to_client, to_server, server_hostname=name)
    there = server.wrap_bio(to_server, to_client, server_side=True)
    for _ in range(4):
        for side in (here, there):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
            except ssl.SSLCertVerificationError as error:
                return error.verify_message
    return None if here.version() else "no handshake"


def test_a_device_that_trusts_the_authority_takes_the_desk_for_its_names(tmp_path: Path) -> None:
    files, new = authority.issue(tmp_path / "keys", NAMES)
    assert new
    for name in (*NAMES, "localhost", "127.0.0.1", "::1"):
        assert welcome(files.authority, files.certificate, files.key, name) is None, name
    for name in ("other.workshop.internal", "192.168.1.21", "desk.example.org"):
        assert welcome(files.authority, files.certificate, files.key, name), name


def test_another_device_does_not(tmp_path: Path) -> None:
    files, _ = authority.issue(tmp_path / "keys", NAMES)
    others, _ = authority.issue(tmp_path / "others", NAMES)
    assert welcome(others.authority, files.certificate, files.key, NAMES[0])


def test_the_keys_are_for_nobody_elses_eyes(tmp_path: Path) -> None:
    files, _ = authority.issue(tmp_path / "keys", NAMES)
    for key in (files.authority_key, files.key):
        assert stat.S_IMODE(key.stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / "keys").stat().st_mode) == 0o700
    assert sorted(path.name for path in (tmp_path / "keys").iterdir()) == sorted(file.name for file in files)
    for public in (files.authority, files.certificate):
        assert b"PRIVATE" not in public.read_bytes()


def test_no_longer_than_devices_take(tmp_path: Path) -> None:
    """398 days (CA/Browser Forum Baseline Requirements, 6.3.2); server use, names in subjectAltName."""
    files, _ = authority.issue(tmp_path / "keys", NAMES)
    found = of(files.certificate)
    assert found.not_valid_after_utc - found.not_valid_before_utc <= timedelta(days=397)
    extensions = found.extensions
    assert not extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    use = extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(use) == [x509.oid.ExtendedKeyUsageOID.SERVER_AUTH]
    named = extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert named.get_values_for_type(x509.DNSName) == ["desk.workshop.internal", "localhost"]
    assert [str(one) for one in named.get_values_for_type(x509.IPAddress)] == [
        "192.168.1.20",
        "127.0.0.1",
        "::1",
    ]


@pytest.mark.parametrize("name", ["bank.example.com", "internal", "203.0.113.9"])
def test_a_stolen_authority_signs_for_nothing_else(tmp_path: Path, name: str) -> None:
    """RFC 5280, 4.2.1.10: name constraints, which a verifier must heed as they are critical."""
    files, _ = authority.issue(tmp_path / "keys", NAMES)
    key = serialization.load_pem_private_key(files.authority_key.read_bytes(), None)
    assert isinstance(key, ec.EllipticCurvePrivateKey)
    forged, own = tmp_path / "forged.crt", tmp_path / "forged.key"
    theirs = ec.generate_private_key(ec.SECP256R1())
    signed = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([]))
        .issuer_name(of(files.authority).subject)
        .public_key(theirs.public_key())
        .serial_number(7)
        .not_valid_before(of(files.certificate).not_valid_before_utc)
        .not_valid_after(of(files.certificate).not_valid_after_utc)
        .add_extension(x509.SubjectAlternativeName(authority._general((name,))), critical=True)
        .sign(key, hashes.SHA256())
    )
    forged.write_bytes(signed.public_bytes(serialization.Encoding.PEM))
    authority._write_key(own, theirs)
    assert "subtree violation" in str(welcome(files.authority, forged, own, name))


def test_a_year_later_the_authority_stays(tmp_path: Path) -> None:
    files, _ = authority.issue(tmp_path / "keys", NAMES)
    before, first = files.authority.read_bytes(), files.certificate.read_bytes()
    again, new = authority.issue(tmp_path / "keys", ("192.168.7.7", "desk.workshop.internal"))
    assert not new
    assert again.authority.read_bytes() == before
    assert again.certificate.read_bytes() != first
    assert welcome(again.authority, again.certificate, again.key, "192.168.7.7") is None


def test_a_name_it_may_not_sign_for_needs_another_authority(tmp_path: Path) -> None:
    files, _ = authority.issue(tmp_path / "keys", NAMES)
    before = files.certificate.read_bytes()
    with pytest.raises(BadInputError, match=r"may not sign for other\.internal"):
        authority.issue(tmp_path / "keys", ("other.internal",))
    assert files.certificate.read_bytes() == before


@pytest.mark.parametrize(
    "name",
    ["", "a b", "-x", "x-", "*.internal", "8.8.8.8", "2001:4860:4860::8888", "1.2.3", "a..b", "x" * 64],
)
def test_what_is_no_name(tmp_path: Path, name: str) -> None:
    with pytest.raises(BadInputError):
        authority.issue(tmp_path / "keys", (name,))
    assert not (tmp_path / "keys").exists()


def test_a_name_in_other_letters(tmp_path: Path) -> None:
    files, _ = authority.issue(tmp_path / "keys", ("Mühle.internal",))
    assert authority.names_in(files.certificate)[0] == "xn--mhle-0ra.internal"


@pytest.mark.parametrize("broken", ["authority.crt", "authority.key"])
def test_a_broken_authority_is_told(tmp_path: Path, broken: str) -> None:
    authority.issue(tmp_path / "keys", NAMES)
    (tmp_path / "keys" / broken).write_text("not PEM")
    with pytest.raises(BadInputError, match="no authority of ours"):
        authority.issue(tmp_path / "keys", NAMES)


def test_the_command_says_how_to_go_on(run: Run, tmp_path: Path) -> None:
    ran = run("certificate", *NAMES, "--folder", tmp_path / "keys")
    assert ran.status == 0
    assert ran.out.startswith("witnessmark desk --host 0.0.0.0 --certificate ")
    assert "trust" in ran.err
    assert "trust" not in run("certificate", *NAMES, "--folder", tmp_path / "keys").err
    wrong = run("certificate", "8.8.8.8", "--folder", tmp_path / "keys")
    assert (wrong.status, wrong.out) == (2, "")


def test_a_folder_that_cannot_be_written_is_told(run: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    ran = run("certificate", *NAMES, "--folder", tmp_path / "file")
    assert ran.status == 1
    assert "cannot be written" in ran.err
