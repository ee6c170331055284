"""The description of the API for programs: both ways to sign in, and how every problem is told."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI

from witnessmark.desk.access.guard import KEY_HEADER

PROBLEM = {
    "type": "object",
    "required": ["title", "status", "detail"],
    "properties": {
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string", "description": "What is wrong, one sentence."},
        "remedy": {"type": ["string", "null"], "description": "What to do."},
    },
}
"""Problem details (RFC 9457). Some carry more, such as ``missing``."""


def describe(app: FastAPI, cookie: str) -> None:
    """Let the application describe itself in full.

    Args:
        app: with all its routes.
        cookie: name of the one that says who is signed in.
    """
    plain = app.openapi

    def whole() -> dict[str, Any]:
        if app.openapi_schema is None:
            app.openapi_schema = _completed(plain(), cookie)
        return app.openapi_schema

    app.openapi = whole  # type: ignore[method-assign]


def _completed(found: dict[str, Any], cookie: str) -> dict[str, Any]:
    parts = found.setdefault("components", {})
    parts["securitySchemes"] = {
        "token": {"type": "http", "scheme": "bearer", "description": "Made on the page of one's own name."},
        "seat": {"type": "apiKey", "in": "cookie", "name": cookie},
        "formKey": {
            "type": "apiKey",
            "in": "header",
            "name": KEY_HEADER,
            "description": "With the cookie, on every change: what <meta name=form-key> says in a page.",
        },
    }
    parts.setdefault("schemas", {})["Problem"] = PROBLEM
    found["security"] = [{"token": []}, {"seat": [], "formKey": []}]
    problem = {
        "description": "What is wrong, and what to do",
        "content": {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }
    for operations in found.get("paths", {}).values():
        for operation in operations.values():
            operation["responses"].pop("422", None)
            operation["responses"]["default"] = problem
    return found
