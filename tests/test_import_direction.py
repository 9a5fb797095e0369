"""Imports run one way: a layer knows the layers before it and none after."""

import ast
from pathlib import Path

import pytest

import layfigure

LAYERS: tuple[frozenset[str], ...] = (
    frozenset({"errors", "units"}),
    frozenset({"told_lengths"}),
    frozenset({"geometry", "files", "recompute"}),
    frozenset({"body", "materials", "piece"}),
    frozenset({"design", "colour"}),
    frozenset({"study"}),
    frozenset({"place"}),
    frozenset({"draft"}),
    frozenset({"lay"}),
    frozenset({"shop"}),
    frozenset({"drawing"}),
    frozenset({"report"}),
    frozenset({"pipeline"}),
    frozenset({"workroom"}),
    frozenset({"cli"}),
)
ORDER = {room: level for level, rooms in enumerate(LAYERS) for room in rooms}
PACKAGE = Path(layfigure.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))


def room_of(path: Path) -> str:
    """The layer a module lives in: the first folder or module name below the package."""
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported_rooms(path: Path) -> set[str]:
    rooms: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        for name in names:
            parts = name.split(".")
            if parts[0] == "layfigure" and len(parts) > 1 and parts[1] != "__version__":
                rooms.add(parts[1])
    return rooms


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_a_module_imports_only_from_its_own_layer_or_an_earlier_one(path: Path) -> None:
    room = room_of(path)
    if room in {"__init__", "__main__"}:
        return
    assert room in ORDER, f"{room} has no place in LAYERS"
    for other in imported_rooms(path):
        assert other in ORDER, f"{path} imports {other}, which has no place in LAYERS"
        forward = ORDER[other] > ORDER[room]
        sideways = ORDER[other] == ORDER[room] and other != room
        assert not forward, f"{path} imports {other}, a later layer"
        allowed = room in {"errors", "units", "geometry", "files", "recompute"}
        assert not sideways or allowed, f"{path} imports {other} beside it"


def test_the_check_can_fail(tmp_path: Path) -> None:
    planted = tmp_path / "planted.py"
    planted.write_text("from layfigure.cli import main\n", encoding="utf-8")
    assert imported_rooms(planted) == {"cli"}
    assert ORDER["cli"] > ORDER["geometry"]
