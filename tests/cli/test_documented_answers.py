"""The answers printed for programs have the shape that docs/files.md promises."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from layfigure.cli.main import layfigure

PAGE = (Path(__file__).parents[2] / "docs/files.md").read_text(encoding="utf-8")


def shape(value: Any) -> Any:
    """Keys and kinds of a document: a list is what its first item is, a number is a number."""
    if isinstance(value, dict):
        return {key: shape(item) for key, item in value.items()}
    if isinstance(value, list):
        return [shape(value[0])] if value else []
    return (
        "number" if isinstance(value, int | float) and not isinstance(value, bool) else type(value).__name__
    )


def promised(name: str) -> Any:
    (text,) = re.findall(rf"```json answer-{name}\n(.*?)```", PAGE, re.DOTALL)
    return json.loads(text)


@pytest.fixture(scope="module")
def costume(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("answers") / "costume"
    assert CliRunner().invoke(layfigure, ["new", str(folder)]).exit_code == 0
    return folder


def answer(costume: Path, command: str, monkeypatch: pytest.MonkeyPatch) -> Any:
    monkeypatch.setenv("LAYFIGURE_CACHE", str(costume.parent / "cache"))
    result = CliRunner().invoke(layfigure, [command, str(costume), "--json"], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return json.loads(result.output)


@pytest.mark.parametrize("command", ["check", "place"])
def test_an_answer_has_the_promised_shape(
    costume: Path, command: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    data, page = answer(costume, command, monkeypatch), promised(command)
    if command == "place":
        data["edges"] = {slug: data["edges"][slug] for slug in page["edges"]}
    assert shape(data) == shape(page)


def test_the_draft_answers_with_pieces_verdicts_and_checks(
    costume: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert shape(answer(costume, "draft", monkeypatch)) == shape(promised("draft"))


def test_the_body_answers_with_every_measure(costume: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    data = answer(costume, "body", monkeypatch)
    assert data["unit"] == "mm"
    for name, measure in data["measures"].items():
        assert set(measure) == {"on_the_form", "taken", "guessed_to"}, name
        assert (measure["taken"] is None) != (measure["guessed_to"] is None), name
