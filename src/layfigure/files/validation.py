"""Outside data checked against a schema, with errors a maker can act on."""

from __future__ import annotations

import types
from collections.abc import Callable, Mapping
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from layfigure.errors import FileError, UnknownKeyError
from layfigure.files.nearest import did_you_mean

Model = TypeVar("Model", bound=BaseModel)
Where = Callable[..., str]

_WORDS: Mapping[str, str] = {
    "missing": "is missing",
    "string_type": "must be text in quotes",
    "int_type": "must be a whole number",
    "int_parsing": "must be a whole number",
    "int_from_float": "must be a whole number",
    "float_type": "must be a number",
    "float_parsing": "must be a number",
    "finite_number": "must be a finite number",
    "string_pattern_mismatch": "must be small letters, digits and underscores, a letter first",
    "bool_type": "must be true or false",
    "bool_parsing": "must be true or false",
    "list_type": "must be a list in square brackets",
    "tuple_type": "must be a list in square brackets",
    "dict_type": "must be a table of keys and values",
    "model_type": "must be a table of keys and values",
    "model_attributes_type": "must be a table of keys and values",
}


def validated(
    model: type[Model],
    data: Any,
    *,
    where: Where,
    path: tuple[str | int, ...] = (),
    private: bool = False,
) -> Model:
    """The data as the schema's model.

    where : gives file and line of a key path, such as ``TomlFile.where``. path : of ``data`` in the file.
    private : messages never repeat what was typed. Raises UnknownKeyError or FileError for the first fault,
    unknown keys first: they are typing slips that explain the others.
    """
    try:
        return model.model_validate(data)
    except ValidationError as error:
        # Without the cause: pydantic's own message repeats the input, which may be private.
        faults = error.errors(include_url=False)
    faults.sort(key=lambda fault: fault["type"] != "extra_forbidden")
    raise _explained(faults[0], model, where, path, private=private)


def _explained(
    fault: ErrorDetails, model: type[BaseModel], where: Where, path: tuple[str | int, ...], *, private: bool
) -> FileError:
    location = tuple(fault["loc"])
    key = _spoken(location)
    place = where(*path, *location)
    if fault["type"] == "extra_forbidden":
        return UnknownKeyError(
            f"key {location[-1]!r} is unknown{_inside(location)}.",
            where=place,
            advice=did_you_mean(str(location[-1]), _known_keys(model, location[:-1])),
        )
    if fault["type"] == "unit":
        return FileError(f"{key}: {fault['msg']}", where=place)
    if fault["type"] == "literal_error":
        return FileError(f"{key} must be one of {fault['ctx']['expected']}.", where=place)
    if fault["type"] == "missing":
        place = where(*path, *location[:-1])
    told = _WORDS.get(fault["type"])
    if told is None:
        message = fault["msg"].removeprefix("Value error, ")
        told = "is not as expected" if private else f"is not as expected: {message[:1].lower()}{message[1:]}"
    return FileError(f"{key} {told}.", where=place)


def _spoken(location: tuple[str | int, ...]) -> str:
    """``pieces[0].edges.top``; the file's own top when empty."""
    text = ""
    for part in location:
        text += f"[{part}]" if isinstance(part, int) else f".{part}" if text else str(part)
    return text or "the file"


def _inside(location: tuple[str | int, ...]) -> str:
    return f" in {_spoken(location[:-1])}" if len(location) > 1 else ""


def _known_keys(model: type[BaseModel], location: tuple[str | int, ...]) -> tuple[str, ...]:
    """Keys the schema has at a location, by walking its annotations."""
    current: Any = model
    for part in location:
        current = _step(current, part)
    kind = _model_within(current)
    if kind is None:
        return ()
    return tuple(field.alias or name for name, field in kind.model_fields.items())


def _step(annotation: Any, part: str | int) -> Any:
    """The annotation one key or index further in; Any where it cannot be told."""
    kind = _model_within(annotation)
    if isinstance(part, str) and kind is not None:
        for name, field in kind.model_fields.items():
            if part in (name, field.alias):
                return field.annotation
        return Any
    for option in _options(annotation):
        origin, inner = get_origin(option), get_args(option)
        if origin in (dict, Mapping) and len(inner) == 2 and isinstance(part, str):
            return inner[1]
        if origin in (list, tuple) and inner and isinstance(part, int):
            return inner[0]
    return Any


def _options(annotation: Any) -> tuple[Any, ...]:
    """The members of a union, looking through ``Annotated``."""
    if get_origin(annotation) is Annotated:
        return _options(get_args(annotation)[0])
    if get_origin(annotation) in (Union, types.UnionType):
        return tuple(option for member in get_args(annotation) for option in _options(member))
    return (annotation,)


def _model_within(annotation: Any) -> type[BaseModel] | None:
    for option in _options(annotation):
        if isinstance(option, type) and issubclass(option, BaseModel):
            return option
    return None
