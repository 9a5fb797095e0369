"""The maker's pictures: opened carefully, turned upright, refused when broken or far too large."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

from layfigure.errors import FileError

MOST_PIXELS = 120_000_000
"""No reference needs more; a small file may claim more and fill the memory when it is opened."""

MOST_ACROSS = 4000
"""A picture taken in is kept no larger than this each way [px]: browsers on small machines show no more."""

TAKEN_IN = ("JPEG", "PNG", "WEBP")
"""Formats a picture may be dropped in as."""

JPEG_QUALITY = 92
_QUARTER_TURNS = (5, 6, 7, 8)
_ORIENTATION = 0x0112


def picture_size(path: Path) -> tuple[int, int]:
    """Width and height as the picture is seen, upright [px], without decoding it.

    Raises FileError for a picture that is missing, empty, broken, no picture or larger than ``MOST_PIXELS``.
    """
    with _opened(path) as picture:
        width, height = picture.size
        turned = picture.getexif().get(_ORIENTATION) in _QUARTER_TURNS
    return (height, width) if turned else (width, height)


def picture_format(path: Path) -> str:
    """``PNG``, ``JPEG`` and so on, by content. Raises FileError as ``picture_size``."""
    with _opened(path) as picture:
        return picture.format or ""


def open_picture(path: Path) -> Image.Image:
    """The whole picture, upright, RGB. Raises FileError as ``picture_size``, and for one cut short."""
    with _opened(path) as picture:
        try:
            upright = ImageOps.exif_transpose(picture)
            return upright.convert("RGB")
        except (OSError, SyntaxError, ValueError) as error:
            raise _broken(path) from error


def open_with_profile(path: Path) -> tuple[Image.Image, bytes | None]:
    """The whole picture, upright, RGB, its codes as the camera wrote them, and the colour profile they mean.

    Without a profile the codes mean sRGB; so they do for a picture that is not plain RGB, which is converted.
    Raises FileError as ``open_picture``.
    """
    with _opened(path) as picture:
        profile: bytes | None = picture.info.get("icc_profile")
        try:
            upright = ImageOps.exif_transpose(picture)
            if upright.mode == "RGB" and profile:
                upright.load()
                return upright, profile
            return _plain(upright), None
        except (OSError, SyntaxError, ValueError) as error:
            raise _broken(path) from error


def in_srgb(picture: Image.Image, profile: bytes) -> Image.Image:
    """An RGB picture in sRGB codes; unchanged where its profile cannot be read."""
    picture.info["icc_profile"] = profile
    return _plain(picture)


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanPicture:
    """A picture as the costume keeps it: upright, in sRGB, with nothing in its file but the picture.

    size : width and height [px]. shrunk : it came larger than ``MOST_ACROSS``.
    """

    data: bytes
    suffix: Literal[".png", ".jpg"]
    size: tuple[int, int]
    shrunk: bool


def clean_picture(data: bytes, *, name: str) -> CleanPicture:
    """A picture from anywhere, written anew: where and with what it was taken does not come along.

    name : for messages. Raises FileError for what is no JPEG, PNG or WebP, is broken, cut short, empty or
    larger than ``MOST_PIXELS``.
    """
    path = Path(name)
    if not data:
        raise _broken(path)
    try:
        with _opened(path, io.BytesIO(data), formats=TAKEN_IN) as picture:
            drawn = picture.format == "PNG" or picture.has_transparency_data
            upright = _plain(ImageOps.exif_transpose(picture))
    except FileError:
        raise
    # Whatever a stranger's file makes the decoder stumble over, it is a broken picture and nothing more.
    except Exception as error:
        raise _broken(path) from error
    shrunk = max(upright.size) > MOST_ACROSS
    if shrunk:
        upright.thumbnail((MOST_ACROSS, MOST_ACROSS), Image.Resampling.LANCZOS)
    written = io.BytesIO()
    # Made from its pixels alone: a copy would carry along what the decoder noted beside them.
    bare = Image.frombytes("RGB", upright.size, upright.tobytes())
    if drawn:
        bare.save(written, format="PNG", compress_level=6)
    else:
        bare.save(written, format="JPEG", quality=JPEG_QUALITY, subsampling=0)
    return CleanPicture(
        data=written.getvalue(), suffix=".png" if drawn else ".jpg", size=bare.size, shrunk=shrunk
    )


def _plain(picture: Image.Image) -> Image.Image:
    """RGB on white paper, in the colours its profile means."""
    profile = picture.info.get("icc_profile")
    if picture.mode.startswith("I"):
        # Sixteen bits a channel: a plain conversion would turn all but the darkest white.
        picture = picture.point(lambda value: value / 256).convert("L")
    if picture.has_transparency_data:
        seen = picture.convert("RGBA")
        picture = Image.new("RGBA", seen.size, "white")
        picture.alpha_composite(seen)
        picture = picture.convert("RGB")
    if profile and picture.mode in ("RGB", "CMYK", "L"):
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            changed = ImageCms.profileToProfile(
                picture, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
        except (ImageCms.PyCMSError, OSError):
            # A profile that cannot be read says nothing; the numbers are shown as they are.
            changed = None
        picture = changed or picture
    return picture.convert("RGB")


def _opened(
    path: Path, content: io.BytesIO | None = None, *, formats: tuple[str, ...] | None = None
) -> Image.Image:
    """The picture of a file, or of bytes that are called ``path``, not decoded yet."""
    try:
        with warnings.catch_warnings():
            # Pillow warns from half its own limit on; ours is checked below.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture = Image.open(path if content is None else content, formats=formats)
    except FileNotFoundError as error:
        raise FileError("the picture is not there.", where=str(path), advice="Check its name.") from error
    except Image.DecompressionBombError as error:
        raise _too_large(path) from error
    except UnidentifiedImageError as error:
        raise _broken(path) from error
    except (OSError, SyntaxError, ValueError) as error:
        raise _broken(path) from error
    if picture.width * picture.height > MOST_PIXELS:
        picture.close()
        raise _too_large(path)
    if picture.width < 2 or picture.height < 2:
        picture.close()
        raise FileError("the picture is empty.", where=path.name, advice="Save it again.")
    return picture


def _broken(path: Path) -> FileError:
    return FileError(
        "the picture cannot be opened.",
        where=path.name,
        advice="It is empty, cut short or no picture; save it again as PNG or JPEG.",
    )


def _too_large(path: Path) -> FileError:
    return FileError(
        "the picture has more than 120 million pixels.",
        where=path.name,
        advice="Save a smaller copy; 4000 pixels high is plenty.",
    )
