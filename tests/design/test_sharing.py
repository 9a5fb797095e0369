"""Sharing a design gives away neither a body nor a person's picture unless asked."""

import json
import zipfile
from pathlib import Path

import pytest
from PIL import Image

from layfigure.design.sharing import what_to_share, write_shared
from layfigure.errors import FileError


@pytest.fixture
def costume(tmp_path: Path) -> Path:
    folder = tmp_path / "costume"
    for sub in ("references", "wearers", "out"):
        (folder / sub).mkdir(parents=True)
    (folder / "costume.toml").write_text(
        'format = 1\nname = "x"\n[[references]]\nfile = "references/photo.png"\nphotograph = true\n'
    )
    pictures = [
        {"name": "front", "view": "front", "file": "references/front.png"},
        {"name": "fan", "view": "back", "file": "references/fan.png", "photograph": True},
    ]
    (folder / "marks.json").write_text(json.dumps({"format": 1, "pictures": pictures}))
    (folder / "materials.toml").write_text("format = 1\n")
    for name in ("front", "fan", "photo", "stray"):
        Image.new("RGB", (8, 8)).save(folder / f"references/{name}.png")
    (folder / "wearers/ada.toml").write_text("format = 1\n")
    (folder / "wearers/ada.jpg").write_text("")
    (folder / "out/pieces.json").write_text("{}")
    (folder / "diary.txt").write_text("mine")
    (tmp_path / "secret.txt").write_text("secret")
    (folder / "references/link.png").symlink_to(tmp_path / "secret.txt")
    return folder


DESIGN = {"costume.toml", "marks.json", "materials.toml", "references/front.png"}


def names(paths: tuple[Path, ...]) -> set[str]:
    return {path.as_posix() for path in paths}


def test_the_design_goes_and_people_stay(costume: Path) -> None:
    sharing = what_to_share(costume)
    assert names(sharing.included) == DESIGN
    reasons = {path.as_posix(): reason for path, reason in sharing.left_out}
    assert reasons == {
        "diary.txt": "not part of the design",
        "out/pieces.json": "not part of the design",
        "references/fan.png": "a photograph of a person",
        "references/photo.png": "a photograph of a person",
        "references/stray.png": "not listed in the costume or its marks, so it may show anybody",
        "wearers/ada.jpg": "a wearer's measures are private",
        "wearers/ada.toml": "a wearer's measures are private",
    }


def test_what_is_asked_for_goes_along(costume: Path) -> None:
    assert names(what_to_share(costume, wearers=True).included) == DESIGN | {"wearers/ada.toml"}
    photos = {"references/fan.png", "references/photo.png"}
    assert names(what_to_share(costume, photographs=True).included) == DESIGN | photos


def test_the_archive_holds_exactly_what_was_listed(costume: Path, tmp_path: Path) -> None:
    sharing = write_shared(costume, tmp_path / "x.zip")
    with zipfile.ZipFile(tmp_path / "x.zip") as archive:
        assert set(archive.namelist()) == names(sharing.included) == DESIGN
        assert archive.read("costume.toml") == (costume / "costume.toml").read_bytes()
    first = (tmp_path / "x.zip").read_bytes()
    write_shared(costume, tmp_path / "x.zip")
    assert (tmp_path / "x.zip").read_bytes() == first


def test_nothing_is_shared_that_cannot_be_read(costume: Path) -> None:
    (costume / "costume.toml").write_text("format = 1\nnaem = 3\n")
    with pytest.raises(FileError):
        what_to_share(costume)
