"""Pictures are opened upright; broken, empty and enormous ones are refused before they do harm."""

import io
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image, ImageCms

from layfigure.errors import FileError
from layfigure.files.picture import clean_picture, open_picture, picture_size


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


def encoded(picture: Image.Image, kind: str = "PNG", **more: object) -> bytes:
    written = io.BytesIO()
    picture.save(written, format=kind, **more)
    return written.getvalue()


def cleaned(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(clean_picture(data, name="a").data))


def test_a_drawing_stays_a_drawing_to_the_last_pixel() -> None:
    noise = Image.effect_noise((40, 30), 80).convert("RGB")
    assert cleaned(encoded(noise)).tobytes() == noise.tobytes()
    assert clean_picture(encoded(noise), name="a").suffix == ".png"
    assert clean_picture(encoded(noise, "JPEG"), name="a").suffix == ".jpg"


@pytest.mark.parametrize("mode", ["L", "P", "LA", "RGBA", "CMYK", "1"])
def test_every_way_of_storing_colours_is_read(mode: str) -> None:
    grey = Image.new("RGB", (20, 20), (128, 128, 128) if mode != "1" else (255, 255, 255))
    stored = grey.quantize() if mode == "P" else grey.convert(mode)
    data = encoded(stored, "JPEG" if mode == "CMYK" else "PNG")
    pixel = cleaned(data).convert("RGB").getpixel((10, 10))
    assert pixel == pytest.approx(grey.getpixel((10, 10)), abs=3)


def test_sixteen_bits_a_channel_do_not_turn_white() -> None:
    picture = Image.new("I;16", (20, 20), 0x8000)
    assert cleaned(encoded(picture)).getpixel((10, 10)) == pytest.approx((128, 128, 128), abs=1)


def test_colours_are_those_that_the_profile_means() -> None:
    """A profile of CIE L*a*b* numbers is no RGB profile: it is left aside. sRGB's own changes nothing."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    picture = Image.new("RGB", (20, 20), (200, 60, 20))
    for own in (profile, b"not a profile", ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()):
        seen = cleaned(encoded(picture, icc_profile=own))
        assert seen.getpixel((10, 10)) == pytest.approx((200, 60, 20), abs=1)
        assert "icc_profile" not in seen.info


def test_no_stretch_of_a_cut_or_spoilt_file_gets_past() -> None:
    for kind in ("PNG", "JPEG", "WEBP"):
        whole = encoded(Image.effect_noise((60, 60), 80).convert("RGB"), kind)
        for cut in range(0, len(whole) - 40, max(1, len(whole) // 40)):
            with pytest.raises(FileError):
                clean_picture(whole[:cut], name="a.png")
        for at in range(0, min(len(whole), 1500), 13):
            spoilt = whole[:at] + bytes([whole[at] ^ 0xFF]) + whole[at + 1 :]
            try:
                found = clean_picture(spoilt, name="a.png")
            except FileError:
                continue
            # What is still a picture is written as one.
            assert Image.open(io.BytesIO(found.data)).size == found.size
