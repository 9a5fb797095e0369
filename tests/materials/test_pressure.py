"""Pressure of stretched cloth against worked examples of Laplace's law and published ranges."""

from __future__ import annotations

import pytest

from layfigure.materials.cloth import Cloth
from layfigure.materials.pressure import feel_of, laplace_pressure, worn_pressure


def test_laplace_at_a_calf_a_trunk_and_a_wrist() -> None:
    # P = T / r with r = girth / 2 pi (AUTEX Res. J., doi 10.2478/aut-2020-0048), worked out by hand:
    # 2 kPa at a girth of 370 mm needs 117.8 N/m; 100 N/m gives 1.05 kPa at 600 mm and 3.59 at 175 mm.
    assert laplace_pressure(117.8, 370.0) == pytest.approx(2.0, abs=5e-4)
    assert laplace_pressure(100.0, 600.0) == pytest.approx(1.05, abs=5e-3)
    assert laplace_pressure(100.0, 175.0) == pytest.approx(3.59, abs=5e-3)


def test_feel_follows_the_published_ranges() -> None:
    # Anthropometry, Apparel Sizing and Design, 2nd ed. 2020, p. 345, table 13.5: 0.4 to 1.3 comfortable,
    # 1.3 to 2.0 critical for casual wear, 2.0 to 3.3 medical and shaping.
    assert [feel_of(p) for p in (0.39, 0.41, 1.29, 1.31, 1.99, 2.01, 3.31)] == [
        "barely felt",
        "snug",
        "snug",
        "tight",
        "tight",
        "will mark the skin",
        "too tight to wear",
    ]


def test_an_untested_cloth_has_a_wider_range_than_a_tested_one() -> None:
    cloth = {"kind": "knit", "name": "knit", "width": 1500.0, "areal_mass": 200.0, "stretch_across": 0.6}
    guess = worn_pressure(Cloth(slug="a", **cloth), 0.15, 370.0)  # type: ignore[arg-type]
    known = worn_pressure(Cloth(slug="b", tension=60.0, **cloth), 0.15, 370.0)  # type: ignore[arg-type]
    assert guess.likely == pytest.approx(known.likely)
    assert guess.greatest - guess.least > 2.0 * (known.greatest - known.least)


def test_no_girth_is_refused() -> None:
    with pytest.raises(ValueError, match="girth"):
        laplace_pressure(10.0, 0.0)
