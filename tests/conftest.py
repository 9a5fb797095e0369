"""Golden files: text compared line by line, renewed with ``--update-golden`` and then looked at.

Hypothesis sets no time limit on an example: a busy machine is no fault of the code.
"""

import difflib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("layfigure", deadline=None)
settings.load_profile("layfigure")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--update-golden", action="store_true", help="write golden files anew; look at them")


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """``golden(name, text)`` compares with ``golden/name`` beside the test, and fails with a diff."""
    folder = Path(request.path).parent / "golden"

    def compare(name: str, text: str) -> None:
        path = folder / name
        if request.config.getoption("--update-golden"):
            folder.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
            return
        kept = path.read_text(encoding="utf-8")
        if kept != text:
            lines = difflib.unified_diff(
                kept.splitlines(), text.splitlines(), f"golden/{name}", "drawn now", lineterm="", n=1
            )
            pytest.fail("\n".join(line[:160] for line in list(lines)[:80]))

    return compare
