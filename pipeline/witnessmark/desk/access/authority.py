"""A workshop's own certificate authority, so that phones on its network can reach the desk encrypted.

The authority may sign only for the names it was made with, for ``localhost`` and for addresses of private
networks (RFC 1918, 3927, 4193, 6598): a phone that trusts it is no worse off elsewhere if its key is stolen.
"""

from __future__ import annotations

import ipaddress
import os
import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from witnessmark.errors import BadInputError, WitnessmarkError

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.x509 import Certificate, CertificateBuilder, GeneralName, KeyUsage, Name

LASTS = timedelta(days=397)
"""The server's certificate. Devices refuse longer ones (CA/Browser Forum Baseline Requirements, 6.3.2)."""
AUTHORITY_LASTS = timedelta(days=3650)
PRIVATE = (
    "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "100.64.0.0/10", "127.0.0.0/8",
    "fc00::/7", "::1/128",
)  # fmt: skip
"""Networks for whose addresses the authority may sign."""
HOST = re.compile(r"(?=.{1,253}$)([a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?\.)*[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?")
"""A name of a host (RFC 1123, 2.1)."""


class Files(NamedTuple):
    """What a workshop keeps; the keys are for nobody else's eyes."""

    authority: Path
    """To be trusted by phones and computers."""
    authority_key: Path
    certificate: Path
    """Of the desk."""
    key: Path


def files_in(folder: Path) -> Files:
    """Where the files lie in a folder."""
    return Files(folder / "authority.crt", folder / "authority.key", folder / "desk.crt", folder / "desk.key")


def issue(folder: Path, names: tuple[str, ...]) -> tuple[Files, bool]:
    """Make the desk's certificate, and the authority where the folder has none.

    Args:
        folder: made where there is none.
        names: of the desk as phones call it: host names and addresses.

    Returns:
        The files, and whether the authority is new, so that devices must be told to trust it.

    Raises:
        BadInputError: a name is none, or the authority there may not sign for it.
        WitnessmarkError: the folder cannot be written.
    """
    wanted = tuple(dict.fromkeys((*map(checked, names), "localhost", "127.0.0.1", "::1")))
    files = files_in(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        new = not files.authority.exists()
        authority, key = _new_authority(files, wanted) if new else _kept_authority(files, wanted)
        _sign(files, wanted, authority, key)
    except OSError as error:
        raise WitnessmarkError(
            f"cannot be written ({error.strerror}).", str(error.filename or folder), "Name another folder."
        ) from error
    return files, new


def names_in(certificate: Path) -> tuple[str, ...]:
    """The names for which a certificate stands, as it lists them.

    Raises:
        BadInputError: the file is no certificate, or it stands for no name.
        OSError: it cannot be read.
    """
    from cryptography import x509

    try:
        found = x509.load_pem_x509_certificate(certificate.read_bytes())
        named = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (ValueError, x509.ExtensionNotFound) as error:
        remedy = "`witnessmark certificate` makes one."
        raise BadInputError("this is no certificate with names in it.", str(certificate), remedy) from error
    return tuple(str(one.value) for one in named)


def ends(certificate: Path) -> datetime:
    """Until when a certificate is valid. Raises as ``names_in`` does."""
    from cryptography import x509

    return x509.load_pem_x509_certificate(certificate.read_bytes()).not_valid_after_utc


def checked(name: str) -> str:
    """A host name or an address in its usual form.

    Raises:
        BadInputError: it is neither, or an address outside private networks.
    """
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        return _host(name)
    if not any(address in ipaddress.ip_network(network) for network in PRIVATE):
        remedy = "Give the desk's address in the workshop's own network."
        raise BadInputError("this is no address of a private network.", name, remedy)
    return str(address)


def _host(name: str) -> str:
    try:
        plain = name.rstrip(".").encode("idna").decode().lower()
    except UnicodeError:
        plain = ""
    if not HOST.fullmatch(plain) or plain.replace(".", "").isdigit():
        remedy = "Give names such as desk.workshop.internal, or addresses such as 192.168.1.20."
        raise BadInputError("this is neither the name of a computer nor an address.", name, remedy)
    return plain


def _new_authority(files: Files, names: tuple[str, ...]) -> tuple[Certificate, EllipticCurvePrivateKey]:
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec

    key = ec.generate_private_key(ec.SECP256R1())
    name = _name("Witnessmark authority of this workshop")
    permitted = [one for one in _general(names) if isinstance(one, x509.DNSName)]
    networks = [x509.IPAddress(ipaddress.ip_network(network)) for network in PRIVATE]
    made = (
        _begun(name, name, key, AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.NameConstraints([*permitted, *networks], None), critical=True)
        .sign(key, hashes.SHA256())
    )
    _write_key(files.authority_key, key)
    _write(files.authority, _pem(made), 0o644)
    return made, key


def _kept_authority(files: Files, names: tuple[str, ...]) -> tuple[Certificate, EllipticCurvePrivateKey]:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    remedy = "Move the folder away or name another; devices must then be told to trust the new authority."
    try:
        kept = x509.load_pem_x509_certificate(files.authority.read_bytes())
        key = load_pem_private_key(files.authority_key.read_bytes(), None)
        limits = kept.extensions.get_extension_for_class(x509.NameConstraints).value
    except (ValueError, TypeError, FileNotFoundError, x509.ExtensionNotFound) as error:
        raise BadInputError("this is no authority of ours.", str(files.authority), remedy) from error
    known = {one.value for one in limits.permitted_subtrees or () if isinstance(one, x509.DNSName)}
    beyond = [
        one.value for one in _general(names) if isinstance(one, x509.DNSName) and not _under(one, known)
    ]
    if beyond:
        raise BadInputError(f"it may not sign for {', '.join(beyond)}.", str(files.authority), remedy)
    if kept.not_valid_after_utc < datetime.now(UTC) + LASTS:
        raise BadInputError("it ends before the new certificate would.", str(files.authority), remedy)
    assert isinstance(key, EllipticCurvePrivateKey)
    return kept, key


def _under(name: GeneralName, known: set[str]) -> bool:
    """A constraint on a name holds for all names below it, too (RFC 5280, 4.2.1.10)."""
    return any(name.value == one or str(name.value).endswith(f".{one}") for one in known)


def _sign(
    files: Files, names: tuple[str, ...], authority: Certificate, authority_key: EllipticCurvePrivateKey
) -> None:
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import ExtendedKeyUsageOID

    key = ec.generate_private_key(ec.SECP256R1())
    made = (
        _begun(_name(names[0][:64]), authority.subject, key, LASTS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(_general(names)), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key()), critical=False
        )
        .sign(authority_key, hashes.SHA256())
    )
    _write_key(files.key, key)
    _write(files.certificate, _pem(made) + _pem(authority), 0o644)


def _begun(subject: Name, issuer: Name, key: EllipticCurvePrivateKey, lasts: timedelta) -> CertificateBuilder:
    from cryptography import x509

    begins = datetime.now(UTC) - timedelta(hours=1)  # a phone's clock may be slow
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(begins + lasts)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _name(common: str) -> Name:
    from cryptography import x509

    return x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, common)])


def _general(names: tuple[str, ...]) -> list[GeneralName]:
    from cryptography import x509

    found: list[GeneralName] = []
    for name in names:
        try:
            found.append(x509.IPAddress(ipaddress.ip_address(name)))
        except ValueError:
            found.append(x509.DNSName(name))
    return found


def _usage(*, signs: bool) -> KeyUsage:
    from cryptography import x509

    return x509.KeyUsage(
        digital_signature=not signs, key_cert_sign=signs, crl_sign=signs, content_commitment=False,
        key_encipherment=False, data_encipherment=False, key_agreement=False, encipher_only=False,
        decipher_only=False,
    )  # fmt: skip


def _pem(certificate: Certificate) -> bytes:
    from cryptography.hazmat.primitives.serialization import Encoding

    return certificate.public_bytes(Encoding.PEM)


def _write_key(path: Path, key: EllipticCurvePrivateKey) -> None:
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    _write(path, key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()), 0o600)


def _write(path: Path, content: bytes, mode: int) -> None:
    """Whole or not at all, and never for other eyes in between."""
    part = path.with_name(f".{path.name}.part")
    part.unlink(missing_ok=True)
    with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
        file.write(content)
    part.chmod(mode)
    part.replace(path)
