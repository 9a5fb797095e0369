"""JSON Schemas of the maker's files, for editors and for programs that write them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from pydantic import BaseModel

from layfigure.body.levels import all_region_names
from layfigure.body.measures import ALIASES, CATALOGUE
from layfigure.body.wearer_file import WearerFile
from layfigure.design.costume_tables import CostumeFile
from layfigure.design.mark_names import LANDMARK_NAMES
from layfigure.design.marks_file import MarksFile
from layfigure.errors import FileError
from layfigure.files.formats import CURRENT
from layfigure.files.nearest import did_you_mean
from layfigure.files.traced_picture import TracedPictureFile
from layfigure.materials.material_schema import MaterialsFile

Schema = dict[str, Any]

DIALECT = "https://json-schema.org/draft/2020-12/schema"

_MODELS: Mapping[str, type[BaseModel]] = MappingProxyType(
    {
        "costume": CostumeFile,
        "marks": MarksFile,
        "wearer": WearerFile,
        "materials": MaterialsFile,
        "trace": TracedPictureFile,
    }
)
_FILES: Mapping[str, str] = MappingProxyType(
    {
        "costume": "costume.toml",
        "marks": "marks.json",
        "wearer": "wearers/NAME.toml",
        "materials": "materials.toml",
        "trace": "traced/NAME.json",
    }
)


def schema_names() -> tuple[str, ...]:
    """Files that have a schema."""
    return tuple(_MODELS)


def schema_of(name: str) -> Schema:
    """JSON Schema (2020-12) of a file by name. TOML files are described as the tables they parse to.

    Raises FileError for a name that has none, with those that have.
    """
    if name not in _MODELS:
        raise FileError(f"there is no schema {name!r}.", advice=did_you_mean(name, _MODELS))
    schema = described(_MODELS[name], name, _FILES[name])
    refine = _REFINEMENTS.get(name)
    if refine is not None:
        refine(schema)
    return schema


def described(model: type[BaseModel], name: str, file: str) -> Schema:
    """JSON Schema of a kind of file, its format included. name : as in ``CURRENT``. file : as makers call
    it.
    """
    schema: Schema = model.model_json_schema()
    schema["$schema"] = DIALECT
    schema["title"] = file
    schema["properties"] = {
        "format": {"const": CURRENT[name], "description": "format of this file"},
        **schema["properties"],
    }
    schema["required"] = ["format", *schema.get("required", [])]
    return schema


def _refine_wearer(schema: Schema) -> None:
    """Every measure by name with where its tape runs."""
    properties: Schema = {}
    for measure in CATALOGUE.values():
        size: Schema = {
            "type": "string",
            "examples": ["62.5 kg"] if measure.kind == "mass" else ["41.3 cm", "16 1/4 in"],
        }
        reading = {
            "description": measure.place,
            "oneOf": [size, {"type": "array", "items": size, "minItems": 1, "maxItems": 3}],
        }
        names = (measure.name, *measure.sided()) if measure.paired else (measure.name,)
        properties |= dict.fromkeys(names, reading)
    for alias, name in ALIASES.items():
        properties[alias] = {**properties[name], "description": f"another name for {name}"}
    schema["properties"]["measures"] = {
        "type": "object",
        "description": "a size in quotes with its unit, or a list of two or three readings; a paired measure "
        "without left or right means both sides",
        "properties": properties,
        "additionalProperties": False,
    }


def _refine_marks(schema: Schema) -> None:
    """Every landmark by name with where to click, and the regions."""
    definitions = schema["$defs"]
    place: Schema = {
        "type": "array",
        "items": {"type": "number"},
        "minItems": 2,
        "maxItems": 2,
        "description": "x to the right and y down [pixels]",
    }
    definitions["PictureFile"]["properties"]["landmarks"] = {
        "type": "object",
        "properties": {
            name: {"description": where, "oneOf": [place, {"type": "null", "description": "cannot be seen"}]}
            for name, where in LANDMARK_NAMES.items()
        },
        "additionalProperties": False,
    }
    region: Schema = {"enum": list(all_region_names())}
    definitions["OutlineFile"]["properties"]["region"] = region
    definitions["StretchFile"]["properties"]["regions"] = {"type": "array", "items": region, "default": []}


_REFINEMENTS: Mapping[str, Callable[[Schema], None]] = MappingProxyType(
    {"wearer": _refine_wearer, "marks": _refine_marks}
)
