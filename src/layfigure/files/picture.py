"""The maker's pictures: opened carefully, turned upright, refused when broken or far too large."""

from __future__ import annotations

import warnings
from pathlib import Path

from PIL import Image, ImageOps, UnidentifiedImageError

from layfigure.errors import FileError

MOST_PIXELS = 120_000_000
"""No reference needs more; a small file may claim more and fill the memory when it is opened."""

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


def open_picture(path: Path) -> Image.Image:
    """The whole picture, upright, RGB. Raises FileError as ``picture_size``, and for one cut short."""
    with _opened(path) as picture:
        try:
            upright = ImageOps.exif_transpose(picture)
            return upright.convert("RGB")
        except (OSError, SyntaxError, ValueError) as error:
            raise _broken(path) from error


def _opened(path: Path) -> Image.Image:
    try:
        with warnings.catch_warnings():
            # Pillow warns from half its own limit on; ours is checked below.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture = Image.open(path)
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
