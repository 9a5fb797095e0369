"""Every file has a schema that says the same as its reader."""

import json
from typing import Any

import pytest

from layfigure.body.levels import all_region_names
from layfigure.body.measures import ALIASES, all_stored_names
from layfigure.design.mark_names import LANDMARK_NAMES
from layfigure.design.schema import DIALECT, schema_of
from layfigure.errors import FileError
from layfigure.files.formats import CURRENT
from layfigure.pipeline.schemas import find_schema
from layfigure.pipeline.schemas import schema_names as all_names

FILES = [name for name in all_names() if not name.startswith("kind-")]


def every_object(schema: Any) -> list[dict[str, Any]]:
    found = [schema] if isinstance(schema, dict) and schema.get("type") == "object" else []
    children = schema.values() if isinstance(schema, dict) else schema if isinstance(schema, list) else ()
    return found + [inner for child in children for inner in every_object(child)]


@pytest.mark.parametrize("name", FILES)
def test_a_schema_is_json_states_its_format_and_closes_every_table(name: str) -> None:
    schema = json.loads(json.dumps(find_schema(name)))
    assert schema["$schema"] == DIALECT
    assert schema["properties"]["format"]["const"] == CURRENT[name]
    assert "format" in schema["required"]
    text = json.dumps(schema)
    for table in every_object(schema):
        # Either its keys are all listed, or it maps names of the maker's own to one kind of thing.
        own = table.get("additionalProperties")
        pattern = table.get("patternProperties")
        assert own is False or isinstance(own, dict) or pattern or own is True, table
    for reference in text.split('"$ref": "')[1:]:
        path = reference.split('"')[0].removeprefix("#/").split("/")
        target: Any = schema
        for part in path:
            target = target[part]


def test_every_file_kind_has_a_schema() -> None:
    assert set(FILES) == set(CURRENT)


def test_the_wearer_schema_lists_every_measure() -> None:
    measures = schema_of("wearer")["properties"]["measures"]["properties"]
    assert set(measures) >= {*all_stored_names(), *ALIASES}
    assert all(reading["description"] for reading in measures.values())


def test_the_marks_schema_lists_every_landmark_and_region() -> None:
    definitions = schema_of("marks")["$defs"]
    assert set(definitions["PictureFile"]["properties"]["landmarks"]["properties"]) == set(LANDMARK_NAMES)
    assert definitions["OutlineFile"]["properties"]["region"]["enum"] == list(all_region_names())


def test_an_unknown_schema_is_refused() -> None:
    with pytest.raises(FileError, match=r"there is no schema 'wearers'\. Did you mean 'wearer'\?"):
        schema_of("wearers")
