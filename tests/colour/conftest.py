"""colour-science 0.4.7 (BSD-3-Clause), an implementation that is not ours."""

import warnings
from types import ModuleType

import pytest


@pytest.fixture(scope="session")
def reference() -> ModuleType:
    with warnings.catch_warnings():
        # It warns that optional plotting libraries are missing.
        warnings.simplefilter("ignore")
        import colour
    return colour
