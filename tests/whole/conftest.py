"""The costumes made once for a whole run of the tests."""

from pathlib import Path

import pytest
from tests.whole.made_costumes import COSTUMES, Made, make_once, shared_folder


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return shared_folder(tmp_path_factory.getbasetemp())


@pytest.fixture(scope="session", params=list(COSTUMES))
def made(request: pytest.FixtureRequest, shared: Path) -> Made:
    """Every costume in turn."""
    return make_once(shared, request.param)
