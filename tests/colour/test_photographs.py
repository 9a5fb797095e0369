"""Photographs simulated by their spectra (benchmarks/_photographs.py), judged through the files a maker
writes.
"""

from pathlib import Path

import numpy as np
import pytest
from benchmarks._photographs import (
    Camera,
    daylight_lab,
    light_power,
    measured_reflectances,
    photograph,
    random_camera,
)
from PIL import Image

from layfigure.colour.cielab import SRGB_TO_XYZ
from layfigure.colour.colours_file import parse_colours
from layfigure.colour.difference import ciede2000
from layfigure.colour.judge import JudgedColours, judge
from layfigure.colour.light import weights
from layfigure.colour.words import colour_section
from layfigure.errors import FileError

SIZE = (480, 360)
BOXES = {
    "cloth": (40, 120, 80, 80),
    "arm": (130, 120, 80, 80),
    "card": (40, 220, 80, 80),
    "far_card": (390, 20, 80, 80),
    "far_arm": (300, 20, 80, 80),
    "white_step": (130, 220, 80, 80),
    "black_step": (220, 220, 80, 80),
}
HEAD = """\
format = 1
lights = ["daylight"]
[photographs.bench]
file = "bench.jpg"
"""
CARD = 'greys = [{ at = [50, 230, 60, 60], reflectance = "18 %" }]\n'
TWO_CARDS = """\
greys = [
    { at = [50, 230, 60, 60], reflectance = "18 %" },
    { at = [400, 30, 60, 60], reflectance = "18 %" },
]
"""
STEPS = """\
greys = [
    { at = [50, 230, 60, 60], reflectance = "18 %" },
    { at = [140, 230, 60, 60], reflectance = "70 %" },
    { at = [230, 230, 60, 60], reflectance = "5 %" },
]
"""
SAMPLES = """\
[samples.cloth]
photograph = "bench"
at = [50, 130, 60, 60]
[samples.arm]
skin = true
photograph = "bench"
at = [140, 130, 60, 60]
[samples.typed]
lab = [60, 12, 20]
illuminant = "D65"
[samples.also_typed]
lab = [60.2, 12, 20]
illuminant = "D65"
[[pairs]]
match = ["cloth", "arm"]
[[pairs]]
match = ["cloth", "typed"]
[[pairs]]
match = ["typed", "also_typed"]
"""


def things() -> dict[str, np.ndarray]:
    measured = measured_reflectances()
    grey = np.full(81, 0.18)
    return {
        "cloth": measured[12],
        "arm": measured[14],
        "far_arm": measured[14],
        "card": grey,
        "far_card": grey,
        "white_step": np.full(81, 0.7),
        "black_step": np.full(81, 0.05),
    }


def judged(folder: Path, text: str, **more) -> JudgedColours:  # type: ignore[no-untyped-def]
    random = np.random.default_rng(5)
    camera = more.pop("camera", None) or random_camera(random)
    picture = photograph(things(), BOXES, SIZE, camera, light_power("D65"), random, **more)
    (folder / "bench.jpg").write_bytes(picture.jpeg(92))
    return judge(parse_colours(text), folder)


def plain_camera() -> Camera:
    """Sees as the eye does: its curves are sRGB's mixtures of the observer's, so its colours are exact."""
    return Camera(sensitivities=(weights("D65") / light_power("D65")[:, None]) @ np.linalg.inv(SRGB_TO_XYZ).T)


def test_a_plain_camera_and_a_stepped_card_give_the_true_colour(tmp_path: Path) -> None:
    """Only noise, JPEG and the pull of what cameras usually do are left."""
    found = judged(tmp_path, HEAD + STEPS + SAMPLES, camera=plain_camera(), balance=0.0)
    for name in ("cloth", "arm"):
        assert float(ciede2000(found.things[name].lab, daylight_lab(things()[name]))) < 1.5


def test_a_random_camera_is_as_sure_as_it_says(tmp_path: Path) -> None:
    found = judged(tmp_path, HEAD + CARD + SAMPLES)
    for name in ("cloth", "arm"):
        thing = found.things[name]
        off = float(ciede2000(thing.lab, daylight_lab(things()[name])))
        assert off <= thing.sure_to
        assert 1.0 < thing.sure_to < 15.0


def test_a_card_at_either_end_takes_out_uneven_light(tmp_path: Path) -> None:
    """A second arm lies beside the far card, in light half as strong again."""
    more = '[samples.far_arm]\nphotograph = "bench"\nat = [310, 30, 60, 60]\n'
    true = daylight_lab(things()["far_arm"])
    off = [
        abs(
            judged(tmp_path, HEAD + cards + SAMPLES + more, slope=(0.4, 0.0)).things["far_arm"].lab[0]
            - true[0]
        )
        for cards in (CARD, TWO_CARDS)
    ]
    assert off[1] < 0.5 * off[0]


def test_without_a_card_things_of_one_photograph_are_still_compared(tmp_path: Path) -> None:
    found = judged(tmp_path, HEAD + SAMPLES)
    together, apart, typed = found.pairs
    assert together.verdict is not None
    assert apart.verdict is None
    assert "no grey card is in the photograph" in apart.problem
    assert typed.verdict is not None
    assert typed.verdict.answer == "match"
    assert any("lay a grey card beside them" in line for line in colour_section(found).attention)


def test_a_clipped_card_loses_its_photograph_and_nothing_else(tmp_path: Path) -> None:
    found = judged(tmp_path, HEAD + CARD + SAMPLES, exposure=9.0)
    assert "cut off at white" in found.photographs["bench"].fault
    assert "cannot be used" in found.things["cloth"].problem
    assert found.pairs[2].verdict is not None
    assert "take it again" in colour_section(found).attention[0]


def test_light_of_two_colours_is_told(tmp_path: Path) -> None:
    found = judged(tmp_path, HEAD + TWO_CARDS + SAMPLES, second=(light_power("A"), 0.9))
    assert "light of two colours" in found.photographs["bench"].fault
    assert found.pairs[2].verdict is not None


def test_a_picture_that_is_missing_or_broken_is_told_and_the_rest_judged(tmp_path: Path) -> None:
    colours = parse_colours(HEAD + CARD + SAMPLES)
    assert "is not there" in judge(colours, tmp_path).photographs["bench"].fault
    (tmp_path / "bench.jpg").write_bytes(b"no picture at all")
    found = judge(colours, tmp_path)
    assert "cannot be opened" in found.photographs["bench"].fault
    assert found.pairs[2].verdict is not None


def test_a_chart_s_file_that_is_missing_leaves_the_photograph_to_its_card(tmp_path: Path) -> None:
    chart = 'chart = { of = "home", patches = { A1 = [60, 40, 50, 50] } }\n'
    text = HEAD + CARD + chart + SAMPLES + '[charts.home]\nfile = "home.csv"\nilluminant = "D65"\n'
    found = judged(tmp_path, text, camera=plain_camera())
    assert found.pairs[0].verdict is not None
    assert found.things["cloth"].told
    assert any("chart is left out" in line and "home.csv" in line for line in colour_section(found).attention)


def test_a_rectangle_outside_the_picture_is_an_error_with_its_line(tmp_path: Path) -> None:
    text = HEAD + CARD + SAMPLES.replace("[140, 130, 60, 60]", "[450, 130, 60, 60]")
    with pytest.raises(FileError, match=r"colours\.toml, line \d+: the rectangle lies outside .*480"):
        judged(tmp_path, text)


def test_a_profile_of_another_space_changes_the_colour_as_it_says(tmp_path: Path) -> None:
    """The same light written with another curve and its profile reads as the same colour."""
    from PIL import ImageCms

    found = judged(tmp_path, HEAD + CARD + SAMPLES)
    picture = Image.open(tmp_path / "bench.jpg").convert("RGB")
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    picture.save(tmp_path / "bench.png", icc_profile=profile)
    again = judge(parse_colours((HEAD + CARD + SAMPLES).replace("bench.jpg", "bench.png")), tmp_path)
    assert again.things["arm"].lab == pytest.approx(found.things["arm"].lab, abs=0.1)
