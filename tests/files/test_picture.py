"""Pictures are opened upright; broken, empty and enormous ones are refused before they do harm."""

import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from layfigure.errors import FileError
from layfigure.files.picture import open_picture, picture_size


def saved(path: Path, size: tuple[int, int] = (30, 20), orientation: int | None = None) -> Path:
    picture = Image.new("RGB", size, "white")
    picture.putpixel((0, 0), (255, 0, 0))
    exif = Image.Exif()
    if orientation is not None:
        exif[0x0112] = orientation
    picture.save(path, exif=exif)
    return path


@pytest.mark.parametrize(
    ("orientation", "size"), [(None, (30, 20)), (1, (30, 20)), (3, (30, 20)), (6, (20, 30)), (8, (20, 30))]
)
def test_size_is_that_of_the_upright_picture(
    tmp_path: Path, orientation: int | None, size: tuple[int, int]
) -> None:
    path = saved(tmp_path / "a.png", orientation=orientation)
    assert picture_size(path) == size
    assert open_picture(path).size == size


def test_a_turned_picture_is_turned_back(tmp_path: Path) -> None:
    # Exif 2.3, tag 274, value 6: the stored picture must be turned a quarter clockwise to be seen upright,
    # which brings its upper left corner to the upper right.
    upright = open_picture(saved(tmp_path / "a.png", orientation=6))
    assert upright.getpixel((upright.width - 1, 0)) == (255, 0, 0)


@pytest.mark.parametrize(
    "content", [b"", b"no picture at all", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff\xe0" + b"\0" * 40]
)
def test_what_is_no_picture_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "a.png").write_bytes(content)
    for read in (picture_size, open_picture):
        with pytest.raises(FileError, match=r"a\.png: the picture cannot be opened\."):
            read(tmp_path / "a.png")


def test_a_picture_cut_short_is_refused_when_opened(tmp_path: Path) -> None:
    path = saved(tmp_path / "a.png", size=(300, 300))
    path.write_bytes(path.read_bytes()[:-30])
    with pytest.raises(FileError, match="cannot be opened"):
        open_picture(path)


def test_a_missing_or_empty_picture_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="the picture is not there"):
        picture_size(tmp_path / "a.png")
    with pytest.raises(FileError, match="the picture is empty"):
        picture_size(saved(tmp_path / "a.png", size=(1, 1)))


@pytest.mark.parametrize("side", [12_000, 100_000])
def test_a_bomb_is_refused_by_what_it_claims(tmp_path: Path, side: int) -> None:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    (tmp_path / "a.png").write_bytes(
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", b"") + chunk(b"IEND", b"")
    )
    with pytest.raises(FileError, match="more than 120 million pixels"):
        picture_size(tmp_path / "a.png")
