"""HTML pages from templates, and the files they load."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.staticfiles import StaticFiles as StarletteStaticFiles

from layfigure import __version__
from layfigure.errors import LayfigureError

MOMENTS = (
    ("begin", "/", "Begin"),
    ("look", "/look", "Look"),
    ("measure", "/measure", "Measure"),
    ("costume", "/costume", "Costume"),
    ("cut", "/cut", "Cut"),
    ("buy", "/buy", "Buy"),
)
"""The moments of the work that have a page, in order: name, address, word."""


class StaticFiles(StarletteStaticFiles):
    """Files of the package, checked again at every load: a new version must not meet an old script."""

    def file_response(self, *arguments: Any, **named: Any) -> Any:
        """The file, with a word to the browser's cache."""
        response = super().file_response(*arguments, **named)
        response.headers["cache-control"] = "no-cache"
        return response


@lru_cache(maxsize=1)
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("layfigure.workroom", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def page(
    request: Request, template: str, *, moment: str = "", status: int = 200, **values: Any
) -> HTMLResponse:
    """A page. moment : which of the moments it belongs to. values : for its template."""
    room = request.app.state.room
    try:
        name = room.costume().costume.name
    except LayfigureError:
        name = ""
    text = (
        _environment()
        .get_template(template)
        .render(
            moments=MOMENTS,
            moment=moment,
            costume_name=name,
            token=request.app.state.keys.token,
            version=__version__,
            **values,
        )
    )
    return HTMLResponse(text, status_code=status)
