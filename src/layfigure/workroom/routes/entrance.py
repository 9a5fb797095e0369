"""The door of a workroom that is open to the network: a password, typed once a browser."""

from __future__ import annotations

import time
from threading import Lock
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import RedirectResponse, Response
from starlette.exceptions import HTTPException

from layfigure.workroom.guard import let_in
from layfigure.workroom.pages import page

router = APIRouter()

PAUSE = 1.0
"""Between two wrong passwords, whoever types them [s]."""
_waiting = Lock()


@router.get("/enter", include_in_schema=False)
def door(request: Request) -> Response:
    """Where the password is typed; no such page where there is none."""
    if request.app.state.keys.password is None:
        raise HTTPException(404)
    return page(request, "enter.html.j2", wrong=False)


@router.post("/enter", include_in_schema=False)
def enter(request: Request, password: Annotated[str, Form(max_length=200)]) -> Response:
    """Let in whoever knows the password."""
    keys = request.app.state.keys
    if keys.password is None:
        raise HTTPException(404)
    with _waiting:
        if not keys.knows(password):
            time.sleep(PAUSE)
            return page(request, "enter.html.j2", status=403, wrong=True)
    response = RedirectResponse("/", status_code=303)
    let_in(response, keys)
    return response
