"""CIE 015:2018 and IEC 61966-2-1:1999, against colour-science 0.4.7."""

import numpy as np
import pytest

from layfigure.colour.cielab import (
    adapted,
    lab_of_xyz,
    shown,
    srgb_decoded,
    srgb_encoded,
    xyz_of_lab,
)
from layfigure.colour.light import LIGHTS, WAVES, white_point, xyz_of_reflectance

# CIE 015:2018 table 1 and appendix tables: x, y of the illuminants, 2 degrees.
CHROMATICITY = {
    "D65": (0.31272, 0.32903),
    "D50": (0.34567, 0.35851),
    "A": (0.44758, 0.40745),
    "FL2": (0.3721, 0.3751),
    "FL11": (0.3805, 0.3769),
    "LED-B3": (0.3756, 0.3723),
}


@pytest.mark.parametrize("table", CHROMATICITY)
def test_white_points_are_the_published_ones(table: str) -> None:
    white = white_point(table)
    assert white[1] == pytest.approx(1.0)
    assert white[:2] / white.sum() == pytest.approx(CHROMATICITY[table], abs=2e-4)
    assert {light.table for light in LIGHTS.values()} <= set(CHROMATICITY)


def test_cielab_there_and_back_and_as_elsewhere(reference) -> None:  # type: ignore[no-untyped-def]
    xyz = np.random.default_rng(1).uniform(0.0, 1.0, (500, 3))
    lab = lab_of_xyz(xyz)
    assert xyz_of_lab(lab) == pytest.approx(xyz, abs=1e-12)
    white = white_point("D65")
    theirs = reference.XYZ_to_Lab(xyz, white[:2] / white.sum())
    assert np.abs(lab - theirs).max() < 1e-6


def test_srgb_codes_there_and_back_and_as_elsewhere(reference) -> None:  # type: ignore[no-untyped-def]
    codes = np.arange(256) / 255.0
    assert srgb_encoded(srgb_decoded(codes)) == pytest.approx(codes, abs=1e-6)
    assert srgb_decoded(codes) == pytest.approx(reference.models.eotf_sRGB(codes), abs=1e-9)
    assert shown([100.0, 0.0, 0.0]) == "#ffffff"
    assert shown([0.0, 0.0, 0.0]) == "#000000"


def test_another_white_as_elsewhere(reference) -> None:  # type: ignore[no-untyped-def]
    xyz = np.random.default_rng(2).uniform(0.0, 1.0, (50, 3))
    theirs = reference.adaptation.chromatic_adaptation_VonKries(
        xyz, white_point("D50"), white_point("D65"), transform="Bradford"
    )
    assert adapted(xyz, "D50", "D65") == pytest.approx(theirs, abs=1e-6)


def test_a_reflectance_under_each_light_as_elsewhere(reference) -> None:  # type: ignore[no-untyped-def]
    reflectance = 0.1 + 0.8 / (1.0 + np.exp(-(WAVES - 580.0) / 25.0))
    shape = reference.SpectralShape(380, 780, 5)
    spectrum = reference.SpectralDistribution(dict(zip(WAVES, reflectance, strict=True)))
    observer = reference.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
    for light in LIGHTS.values():
        power = reference.SDS_ILLUMINANTS[light.table].copy().align(shape)
        theirs = reference.sd_to_XYZ(spectrum, observer, power, method="Integration") / 100.0
        assert xyz_of_reflectance(reflectance, light.table) == pytest.approx(theirs, abs=1e-5)
