"""Requests that schemathesis makes up from the OpenAPI document: no answer to them is a server error."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error

from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph
from layfigure.workroom.app import create_app
from layfigure.workroom.guard import COOKIE, TOKEN_HEADER, Keys
from layfigure.workroom.room import Room

DEMONSTRATION = Path(__file__).parents[2] / "examples" / "brindle"
EXAMPLES = 12
"""Made up for every request; the workroom has some forty."""


def headers(keys: Keys) -> dict[str, str]:
    return {"Host": "localhost", TOKEN_HEADER: keys.token, "Cookie": f"{COOKIE}={keys.door}"}


@pytest.fixture(scope="module")
def keys() -> Keys:
    return Keys()


@pytest.fixture(scope="module")
def schema(tmp_path_factory: pytest.TempPathFactory, keys: Keys) -> Iterator[schemathesis.BaseSchema]:
    root = tmp_path_factory.mktemp("made_up") / "brindle"
    shutil.copytree(DEMONSTRATION, root)
    room = Room(root, graph=Graph(Cache()))
    yield schemathesis.openapi.from_asgi("/openapi.json", create_app(room, keys), headers=headers(keys))
    room.close()


def all_requests() -> list[tuple[str, str]]:
    document = create_app(Room(DEMONSTRATION, graph=Graph(Cache())), Keys()).openapi()
    return [(path, method) for path, methods in document["paths"].items() for method in methods]


@pytest.mark.parametrize(("path", "method"), all_requests())
def test_no_request_breaks_the_workroom(
    schema: schemathesis.BaseSchema, keys: Keys, path: str, method: str
) -> None:
    # The same requests in every run, and none made smaller: what breaks is shown as it was found.
    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        suppress_health_check=list(HealthCheck),
        database=None,
        derandomize=True,
        phases=[Phase.generate],
    )
    @given(case=schema[path][method].as_strategy())
    def made_up(case: schemathesis.Case) -> None:
        case.call_and_validate(headers=headers(keys), checks=[not_a_server_error], timeout=120)

    made_up()
