"""The workroom as a web application."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException

from layfigure import __version__
from layfigure.errors import FileChanged, LayfigureError
from layfigure.workroom.background import error_as_data, log_where
from layfigure.workroom.guard import Guard, Keys
from layfigure.workroom.pages import StaticFiles, page
from layfigure.workroom.room import Room
from layfigure.workroom.routes import (
    begin,
    buy,
    costume,
    cut,
    edge_on_body,
    entrance,
    measures,
    pictures,
    state,
    study,
    tasks,
)

ROUTES = (entrance, state, tasks, begin, pictures, study, measures, costume, edge_on_body, cut, buy)
OPEN_PATHS = ("/enter",)


def create_app(room: Room, keys: Keys) -> FastAPI:
    """The application over one open costume. keys : its secrets, asked for with every request."""
    app = FastAPI(title="layfigure workroom", version=__version__, docs_url=None, redoc_url=None)
    app.state.room, app.state.keys = room, keys
    for module in ROUTES:
        app.include_router(module.router)
    app.mount("/static", StaticFiles(directory=Path(str(files("layfigure.workroom") / "static"))), "static")
    app.add_exception_handler(LayfigureError, _explained)
    app.add_exception_handler(HTTPException, _refused)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(Exception, _broken)
    app.add_middleware(Guard, keys=keys, open_paths=OPEN_PATHS)
    return app


def _wants_page(request: Request) -> bool:
    return not request.url.path.startswith(("/api/", "/static/")) and "text/html" in request.headers.get(
        "accept", ""
    )


def _answered(request: Request, status: int, data: dict[str, Any]) -> Response:
    if _wants_page(request):
        return page(request, "problem.html.j2", status=status, problem=data)
    return JSONResponse(data, status_code=status)


def _explained(request: Request, error: Exception) -> Response:
    assert isinstance(error, LayfigureError)
    changed = isinstance(error, FileChanged)
    return _answered(request, 409 if changed else 422, {**error_as_data(error), "kind": type(error).__name__})


def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    missing = "There is nothing at this address." if error.status_code == 404 else str(error.detail)
    data = {"what": missing, "where": "", "advice": "", "kind": "Refused"}
    response = _answered(request, error.status_code, data)
    response.headers.update(error.headers or {})
    return response


def _not_understood(_: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    # Where, never what was typed: it may be a measure.
    first = error.errors()[0]
    where = ".".join(str(part) for part in first["loc"] if part not in ("body", "query", "path"))
    data = {"what": f"{first['msg']}.", "where": where, "advice": "", "kind": "NotUnderstood"}
    return JSONResponse(data, status_code=422)


def _broken(request: Request, error: Exception) -> Response:
    log_where(error)
    data = {
        "what": "Something went wrong inside the workroom.",
        "where": "",
        "advice": "Your files are as they were. The terminal shows where it happened.",
        "kind": "Broken",
    }
    return _answered(request, 500, data)
