"""``witnessmark desk``: the web pages of a workshop."""

from __future__ import annotations

import signal
import socket
from contextlib import ExitStack, suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.options import Jurisdiction, Model, StorePath
from witnessmark.cli.output import note
from witnessmark.errors import BadInputError, WitnessmarkError

if TYPE_CHECKING:
    from fastapi import FastAPI
    from uvicorn import Server

    from witnessmark.desk.own import Own
    from witnessmark.desk.settings import Settings

EPILOG = """\b
Examples:
  witnessmark desk --jurisdiction GB
  witnessmark desk --store shop.sqlite --port 8800
  witnessmark desk --host 0.0.0.0 --certificate desk.crt --key desk.key
  witnessmark desk --administrator-link

Ctrl-C ends it; what is under way is finished first, and what is not read yet is read at the next start.
"""
SOON = timedelta(days=30)
"""Before a certificate ends it is told."""


def desk(
    store: StorePath = None,
    host: Annotated[
        str, typer.Option(metavar="NAME", help="Listen at this name or address; 0.0.0.0 is all of them.")
    ] = "localhost",
    port: Annotated[int, typer.Option(min=1, max=65535, help="Port to listen at.")] = 8700,
    jurisdiction: Jurisdiction = None,
    model: Model = None,
    certificate: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Certificate (PEM); `witnessmark certificate` makes one."),
    ] = None,
    key: Annotated[
        Path | None, typer.Option(metavar="FILE", help="The certificate's private key (PEM).")
    ] = None,
    unencrypted: Annotated[
        bool,
        typer.Option(
            "--unencrypted",
            help="Let other computers in without encryption: passwords can be read on the way, and phones "
            "get no microphone.",
        ),
    ] = False,
    administrator_link: Annotated[
        bool,
        typer.Option(
            "--administrator-link",
            help="Only print a link to become administrator, as when a password is lost; "
            "a desk that runs takes it.",
        ),
    ] = False,
) -> None:
    """Serve the workshop's pages: walks are recorded, findings decided on, machines looked up.

    Without options it listens to this computer only. At the first start it prints a link, good once and for a
    day, by which you become the administrator and let the others in.
    """
    settings = _settings(store, host, port, jurisdiction, model, certificate, key)
    _refuse_open_lines(settings, unencrypted)
    if administrator_link:
        from witnessmark.desk.own import Own
        from witnessmark.record import Store

        Store.open(settings.record).close()
        _print_link(settings, Own(settings.own_file))
        return
    _serve(settings)


def _settings(
    store: Path | None,
    host: str,
    port: int,
    jurisdiction: str | None,
    model: str | None,
    certificate: Path | None,
    key: Path | None,
) -> Settings:
    from witnessmark.desk.settings import Settings
    from witnessmark.record import Store

    if (certificate is None) != (key is None):
        raise BadInputError(
            "a certificate and its key go together.", remedy="Give both --certificate and --key."
        )
    return Settings(
        record=store or Store.default_path(),
        jurisdiction=jurisdiction,
        model=model,
        host=host,
        port=port,
        certificate=certificate,
        key=key,
        names=_names(host, certificate, key),
    )


def _names(host: str, certificate: Path | None, key: Path | None) -> tuple[str, ...]:
    """By which others reach the desk: those of the certificate; else of this computer, where it is open."""
    from witnessmark.desk.settings import EVERYWHERE, LOCAL

    if certificate and key:
        named = _checked_certificate(certificate, key)
        return tuple(name for name in named if name not in LOCAL)
    if host in LOCAL:
        return ()
    return (socket.gethostname().lower(),) if host in EVERYWHERE else (host,)


def _checked_certificate(certificate: Path, key: Path) -> tuple[str, ...]:
    """The certificate's names.

    Raises:
        BadInputError: the files are not there, do not go together, or are of no use any more.
    """
    import ssl

    from witnessmark.desk.access import authority

    remedy = "`witnessmark certificate` makes both."
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password="")
        named = authority.names_in(certificate)
    except ssl.SSLError as error:
        raise BadInputError("no certificate with its key.", f"{certificate}, {key}", remedy) from error
    except OSError as error:
        raise BadInputError(f"cannot be read ({error.strerror}).", f"{certificate}, {key}", remedy) from error
    left = authority.ends(certificate) - datetime.now(UTC)
    if left < timedelta():
        raise BadInputError("the certificate is over.", str(certificate), "`witnessmark certificate` again.")
    if left < SOON:
        note(f"The certificate ends in {left.days} days. Run `witnessmark certificate` again before.")
    return named


def _refuse_open_lines(settings: Settings, unencrypted: bool) -> None:
    """Nobody lets a network listen to passwords by mistake.

    Raises:
        BadInputError: others could reach it unencrypted and that was not asked for.
    """
    from witnessmark.desk.settings import LOCAL

    if settings.secure or settings.host in LOCAL:
        return
    if not unencrypted:
        raise BadInputError(
            f"at {settings.host or 'all addresses'} other computers could come in, and nothing would be "
            "encrypted.",
            remedy="Make a certificate (`witnessmark certificate NAME`) and give it with --certificate and "
            "--key, stay with localhost, or say --unencrypted.",
        )
    note("Nothing is encrypted: whoever is on this network can read passwords and recordings on the way.")


def _serve(settings: Settings) -> None:
    """Until Ctrl-C, or until a service is stopped."""
    from witnessmark.desk.access import people
    from witnessmark.desk.app import create
    from witnessmark.desk.own import Own

    signal.signal(signal.SIGTERM, signal.default_int_handler)
    with suppress(KeyboardInterrupt), ExitStack() as held:
        listening = [held.enter_context(one) for one in _listening(settings.host, settings.port)]
        app = create(settings)
        own = Own(settings.own_file)
        print(f"The desk is at {address(settings)}/", flush=True)
        with own.reading() as db:
            nobody = not people.administrators(db)
        if nobody:
            _print_link(settings, own)
        _server(app, settings).run(sockets=listening)
    note("The desk is closed.")


def _server(app: FastAPI, settings: Settings) -> Server:
    import uvicorn

    return uvicorn.Server(
        uvicorn.Config(
            app,
            access_log=False,  # it would hold the secrets of links
            log_level="warning",
            server_header=False,
            proxy_headers=False,  # anybody could claim any address with them
            ssl_certfile=settings.certificate,
            ssl_keyfile=settings.key,
            timeout_graceful_shutdown=10,
        )
    )


def _print_link(settings: Settings, own: Own) -> None:
    from witnessmark.desk.access import invites

    with own.writing() as db:
        secret = invites.make_at_the_computer(db)
    note("Become its administrator with this link. It works once, within a day:")
    print(f"{address(settings)}/welcome/{secret}", flush=True)


def address(settings: Settings) -> str:
    """Where to go, as others reach it: ``https://desk.workshop.internal:8700``."""
    host = settings.names[0] if settings.names else settings.host
    shown = f"[{host}]" if ":" in host else host
    return f"{'https' if settings.secure else 'http'}://{shown}:{settings.port}"


def _listening(host: str, port: int) -> list[socket.socket]:
    """Open sockets at every address of the name.

    Raises:
        WitnessmarkError: the name is unknown, or the port is taken.
    """
    where = f"{host}:{port}"
    try:
        found = socket.getaddrinfo(host or None, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
    except OSError as error:
        raise BadInputError("this computer has no such name.", host, "Give one it has.") from error
    opened: list[socket.socket] = []
    for family, *_, place in dict.fromkeys(found):
        try:
            opened.append(socket.create_server(place[:2], family=family))
        except OSError as error:
            if family == socket.AF_INET6 and not _taken(error):
                continue  # a computer without that kind of address
            for one in opened:
                one.close()
            why = "something else listens there" if _taken(error) else str(error.strerror)
            raise WitnessmarkError(f"{why}.", where, "Choose another with --port.") from error
    if not opened:
        raise BadInputError("this computer has no such address.", host, "Give one it has.")
    return opened


def _taken(error: OSError) -> bool:
    import errno

    return error.errno == errno.EADDRINUSE
