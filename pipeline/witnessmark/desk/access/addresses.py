"""Addresses that the desk hands out."""

from __future__ import annotations

from fastapi import Request

from witnessmark.desk.settings import LOCAL
from witnessmark.desk.web import desk_of


def outward(request: Request, path: str) -> str:
    """The whole address of a path, as others reach it.

    Who asks from the desk's own computer may call it ``localhost``, which leads nobody else here; then the
    first name that the desk is known by takes its place.
    """
    url = request.url.replace(path=path, query="", fragment="")
    names = desk_of(request).settings.names
    if url.hostname in LOCAL and names:
        url = url.replace(hostname=f"[{names[0]}]" if ":" in names[0] else names[0])
    return str(url)


def only_here(address: str) -> bool:
    """Whether an address works on the desk's own computer only."""
    host = address.partition("://")[2].partition("/")[0]
    return host.startswith(("localhost", "127.0.0.1", "[::1]"))
