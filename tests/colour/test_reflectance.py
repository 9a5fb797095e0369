"""Reflectances a colour may have, against the 99 measured samples of CIE 224:2017."""

import numpy as np
import pytest
from benchmarks._photographs import measured_reflectances
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from layfigure.colour.cielab import lab_of_xyz, xyz_of_lab
from layfigure.colour.difference import ciede2000
from layfigure.colour.light import weights, xyz_of_reflectance
from layfigure.colour.reflectance import plausible_reflectances, smooth_reflectance


@settings(max_examples=30)
@given(st.floats(15, 95), st.floats(-25, 35), st.floats(-25, 40))
def test_the_likeliest_has_the_colour_and_is_a_reflectance(L: float, a: float, b: float) -> None:
    xyz = xyz_of_lab(np.array([L, a, b]))
    assume((xyz > 0.01).all() and (xyz < 0.9).all() and abs(a) + abs(b) < 0.8 * min(L, 110 - L))
    found = smooth_reflectance(xyz)
    assert found @ weights("D65") == pytest.approx(xyz, abs=1e-6)
    assert ((found >= 0.0) & (found <= 1.0)).all()


def test_every_draw_has_its_colour_and_draws_differ() -> None:
    random = np.random.default_rng(1)
    xyz = xyz_of_lab(np.array([60.0, 12.0, 20.0]) + random.normal(0, 1, (50, 3)))
    found = plausible_reflectances(xyz, random)
    assert found @ weights("D65") == pytest.approx(xyz, abs=1e-6)
    assert found.std(axis=0).max() > 0.02


def test_colours_no_surface_has_raise_nothing() -> None:
    wild = xyz_of_lab(
        np.array([[0, 0, 0], [100, 0, 0], [50, 120, -120], [5, 90, 90], [99, -100, 100]], dtype=float)
    )
    found = plausible_reflectances(wild, np.random.default_rng(0))
    assert np.isfinite(found).all()
    assert ((found >= 0.0) & (found <= 1.0)).all()


def test_measured_samples_change_with_the_light_as_foretold() -> None:
    """Of 99 samples about 95 change no more than 95 of 100 draws do; nearer than 88 or all, and ours is
    wrong.
    """
    random = np.random.default_rng(2)
    inside = []
    for reflectance in measured_reflectances():
        xyz = xyz_of_reflectance(reflectance, "D65")
        middle = lab_of_xyz(xyz_of_reflectance(smooth_reflectance(xyz), "A"), "A")
        draws = plausible_reflectances(np.repeat(xyz[None], 60, axis=0), random)
        far = ciede2000(lab_of_xyz(xyz_of_reflectance(draws, "A"), "A"), middle)
        true = ciede2000(lab_of_xyz(xyz_of_reflectance(reflectance, "A"), "A"), middle)
        inside.append(float(true) <= np.quantile(far, 0.95))
    assert 0.88 <= np.mean(inside) <= 1.0
