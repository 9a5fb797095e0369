"""ICC.1:2022 profiles of three curves and a matrix; the sRGB profile of the colour library below Pillow."""

import struct

import numpy as np
import pytest
from PIL import ImageCms

from layfigure.colour.cielab import SRGB_TO_XYZ
from layfigure.colour.profile import SRGB, read_profile

SRGB_PROFILE = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
CODES = np.arange(256, dtype=np.uint8)[:, None].repeat(3, axis=1)


def test_the_srgb_profile_reads_as_srgb() -> None:
    profile = read_profile(SRGB_PROFILE)
    assert profile is not None
    assert profile.matrix == pytest.approx(SRGB_TO_XYZ, abs=2e-3)
    assert profile.linear(CODES) == pytest.approx(SRGB.linear(CODES), abs=2e-4)


def made(curve: bytes) -> bytes:
    """The smallest profile: primaries of sRGB and one curve for all channels."""
    columns = np.linalg.inv(np.eye(3)) * 0.3
    tags = [(b"rXYZ", columns[0]), (b"gXYZ", columns[1]), (b"bXYZ", columns[2])]
    body, table = b"", []
    start = 132 + 12 * 6
    for name, xyz in tags:
        data = b"XYZ \0\0\0\0" + struct.pack(">3i", *(int(v * 65536) for v in xyz))
        table.append(struct.pack(">4sII", name, start + len(body), len(data)))
        body += data
    place = start + len(body)
    table += [struct.pack(">4sII", name, place, len(curve)) for name in (b"rTRC", b"gTRC", b"bTRC")]
    head = bytearray(128)
    head[16:20], head[20:24], head[36:40] = b"RGB ", b"XYZ ", b"acsp"
    return bytes(head) + struct.pack(">I", 6) + b"".join(table) + body + curve


def test_a_gamma_and_a_table_curve() -> None:
    gamma = read_profile(made(b"curv\0\0\0\0" + struct.pack(">IH", 1, int(1.8 * 256))))
    assert gamma is not None
    assert gamma.linear(CODES)[128, 0] == pytest.approx((128 / 255) ** 1.8, abs=2e-3)
    table = read_profile(made(b"curv\0\0\0\0" + struct.pack(">I3H", 3, 0, 16384, 65535)))
    assert table is not None
    assert table.linear(CODES)[[0, 255], 0] == pytest.approx([0.0, 1.0])


@pytest.mark.parametrize("cut", [0, 40, 131, 200])
def test_a_broken_profile_is_none(cut: int) -> None:
    assert read_profile(SRGB_PROFILE[:cut]) is None


def test_noise_is_none_and_raises_nothing() -> None:
    random = np.random.default_rng(8)
    for _ in range(200):
        data = bytearray(SRGB_PROFILE)
        for place in random.integers(0, len(data), 8):
            data[place] = int(random.integers(0, 256))
        read_profile(bytes(data))
