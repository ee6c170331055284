"""Errors as a visitor or a program gets them: problem details (RFC 9457) or a plain page."""

from __future__ import annotations

from collections.abc import Mapping
from http import HTTPStatus
from urllib.parse import quote

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, RedirectResponse, Response
from starlette.exceptions import HTTPException

from witnessmark.errors import BadInputError, DecisionError, StoreError, WitnessmarkError

STATUS: dict[type[WitnessmarkError], int] = {
    BadInputError: 422,
    DecisionError: 409,
    StoreError: 503,
}
"""HTTP status by kind of error; 500 for the others."""


class Refused(WitnessmarkError):  # noqa: N818 - a refusal is an answer, not a fault
    """The desk refuses a request.

    Args:
        status: HTTP status.
        what: one sentence.
        remedy: what the visitor can do.
        more: further members of the problem details, for programs.
    """

    def __init__(self, status: int, what: str, remedy: str | None = None, **more: object) -> None:
        super().__init__(what, None, remedy)
        self.status, self.more = status, more


def answer(app: FastAPI) -> None:
    """Make every error of the app an answer that says what happened and what to do."""

    @app.exception_handler(WitnessmarkError)
    def _ours(request: Request, error: WitnessmarkError) -> Response:
        if isinstance(error, Refused):
            return told(request, error.status, error.what, error.remedy, more=error.more)
        status = next((code for kind, code in STATUS.items() if isinstance(error, kind)), 500)
        what = f"{error.where}: {error.what}" if error.where else error.what
        return told(request, status, what, error.remedy)

    @app.exception_handler(HTTPException)
    def _http(request: Request, error: HTTPException) -> Response:
        return told(request, error.status_code, str(error.detail), headers=error.headers)

    @app.exception_handler(RequestValidationError)
    def _invalid(request: Request, error: RequestValidationError) -> Response:
        faults = [f"{'.'.join(map(str, one['loc'][1:]))}: {one['msg']}" for one in error.errors()]
        return told(request, 422, "the request is not as it should be.", "; ".join(faults))


def told(
    request: Request,
    status: int,
    what: str,
    remedy: str | None = None,
    headers: Mapping[str, str] | None = None,
    more: Mapping[str, object] | None = None,
) -> Response:
    """The answer: a page for a browser that asked for one, else problem details."""
    if not wants_page(request):
        return details(status, what, remedy, headers, more)
    from witnessmark.desk.web import page

    if status == 401 and request.method == "GET":
        path = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        return RedirectResponse(f"/sign-in?to={quote(path, safe='/')}", 303)
    shown = page(request, "problem.html", status=status, title=_title(status), what=what, remedy=remedy)
    shown.headers.update(headers or {})
    return shown


def details(
    status: int,
    what: str,
    remedy: str | None = None,
    headers: Mapping[str, str] | None = None,
    more: Mapping[str, object] | None = None,
) -> Response:
    """Problem details (RFC 9457), for programs."""
    body = {"title": _title(status), "status": status, "detail": what, "remedy": remedy, **(more or {})}
    asked = {"WWW-Authenticate": "Bearer"} if status == 401 else {}  # RFC 9110, 15.5.2
    return JSONResponse(body, status, asked | dict(headers or {}), media_type="application/problem+json")


def wants_page(request: Request) -> bool:
    """Whether a person waits for it rather than a program."""
    return not request.url.path.startswith("/api") and "text/html" in request.headers.get("accept", "")


def _title(status: int) -> str:
    return HTTPStatus(status).phrase if status in HTTPStatus._value2member_map_ else "Problem"
