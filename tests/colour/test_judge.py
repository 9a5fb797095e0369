"""Verdicts, lights, rankings and dyes from typed colours and spectra."""

from pathlib import Path

import numpy as np
import pytest

from layfigure.colour.as_data import colours_as_data
from layfigure.colour.colours_file import parse_colours
from layfigure.colour.direction import direction, dye_words
from layfigure.colour.judge import judge, judge_folder
from layfigure.colour.light import WAVES, weights
from layfigure.colour.reflectance import smooth_reflectance
from layfigure.colour.verdict import judged, limits_for, thresholds
from layfigure.colour.words import colour_section
from layfigure.errors import FileError

LIMITS = limits_for(skin=False, lightness=0.0)


def test_thresholds_are_the_published_ones() -> None:
    """TRADE.md section 10, S83, S84, S85."""
    values = {use: threshold.value for use, threshold in thresholds().items()}
    assert (values["skin_seen_light"], values["skin_seen_dark"]) == (0.59, 1.75)
    assert (values["skin_accepted"], values["cloth_accepted"]) == (1.8, 2.25)
    assert limits_for(skin=True, lightness=70).seen.value == pytest.approx(0.59)
    assert limits_for(skin=True, lightness=38).seen.value == pytest.approx(1.75)
    assert all(threshold.source for threshold in thresholds().values())


@pytest.mark.parametrize(
    ("apart", "spread", "answer"),
    [(0.5, 0.1, "match"), (9.0, 0.5, "no match"), (2.0, 1.5, "not sure"), (0.0, 3.0, "not sure")],
)
def test_a_verdict_is_given_only_where_the_spread_allows(apart: float, spread: float, answer: str) -> None:
    random = np.random.default_rng(0)
    one, two = np.array([50.0, 0.0, 0.0]), np.array([50.0 + apart, 0.0, 0.0])
    draws = [middle + spread * random.standard_normal((2000, 3)) for middle in (one, two)]
    found = judged(one, two, draws[0], draws[1], LIMITS)
    assert found.answer == answer
    assert found.low <= found.difference <= found.high


def test_faults_that_two_colours_share_do_not_count() -> None:
    """Both drawn from one photograph, both too light by the same: nothing is less sure."""
    random = np.random.default_rng(0)
    one, two = np.array([50.0, 5.0, 5.0]), np.array([50.5, 5.0, 5.0])
    shared = random.standard_normal((500, 3))
    assert judged(one, two, one + shared, two + shared, LIMITS).sure_to < 0.02


def metamers() -> tuple[np.ndarray, np.ndarray]:
    """Two reflectances of one colour in daylight: the second with a part that daylight does not see."""
    first = 0.35 + 0.15 * np.sin(WAVES / 60.0)
    unseen = np.cos(WAVES / 25.0)
    w = weights("D65")
    unseen -= w @ np.linalg.solve(w.T @ w, w.T @ unseen)
    return first, first + 0.12 * unseen / np.abs(unseen).max()


def write_spectrum(path: Path, values: np.ndarray) -> None:
    rows = [f"{wave:g},{value:.6f}" for wave, value in zip(WAVES, values, strict=True)]
    path.write_text("nm,r\n" + "\n".join(rows) + "\n")


def test_spectra_that_match_by_day_and_part_under_lamps_are_told(tmp_path: Path) -> None:
    first, second = metamers()
    write_spectrum(tmp_path / "one.csv", first)
    write_spectrum(tmp_path / "two.csv", second)
    text = 'format = 1\n[samples.one]\nspectrum = "one.csv"\n[samples.two]\nspectrum = "two.csv"\n'
    found = judge(parse_colours(text + '[[pairs]]\nmatch = ["one", "two"]\n'), tmp_path)
    (pair,) = found.pairs
    assert pair.verdict is not None
    assert pair.verdict.difference < 0.01
    assert pair.verdict.answer == "match"
    assert {item.light for item in pair.breaks} & {"three_band", "incandescent"}
    assert any("by their spectra" in line for line in colour_section(found).attention)


def typed(**colours: tuple[float, float, float]) -> str:
    rows = [f'[samples.{name}]\nlab = {list(lab)}\nilluminant = "D65"\n' for name, lab in colours.items()]
    return "format = 1\n" + "".join(rows)


def test_samples_of_one_material_change_alike_with_the_light(tmp_path: Path) -> None:
    text = typed(one=(50, 10, 12), two=(50, 10, 12.2))
    pair = '[[pairs]]\nmatch = ["one", "two"]\n'
    apart = judge(parse_colours(text + pair), tmp_path).pairs[0]
    alike_text = text.replace("lab =", 'material = "felt"\nlab =')
    alike = judge(parse_colours(alike_text + pair), tmp_path).pairs[0]
    assert apart.breaks
    assert not alike.breaks


def test_a_ranking_puts_the_nearest_first_and_says_which_way_to_dye(tmp_path: Path) -> None:
    text = typed(target=(40, 30, 10), near=(42, 28, 10), pale=(70, 10, 5), dark=(20, 10, 5))
    text += '[rankings.r]\ntarget = "target"\ncloths = ["dark", "pale", "near"]\ndye = true\n'
    found = judge(parse_colours(text), tmp_path)
    pairs = found.rankings[0].pairs
    assert pairs[0].first == "near"
    sizes = [pair.verdict.difference for pair in pairs if pair.verdict is not None]
    assert sizes == sorted(sizes)
    by_name = {pair.first: pair.way for pair in pairs}
    assert by_name["pale"] is not None
    assert by_name["dark"] is not None
    assert by_name["pale"].words[0] == "darker by 30"
    assert by_name["dark"].words[0] == "lighter by 20"
    assert by_name["dark"].out_of_reach
    assert any("swatch of the same cloth" in line for line in colour_section(found).cautions)


def test_a_dye_only_takes_light_away() -> None:
    white = smooth_reflectance(np.array([0.80, 0.85, 0.90]))
    red = smooth_reflectance(np.array([0.25, 0.15, 0.05]))
    there = direction((93, 0, 0), (46, 50, 40), white, red)
    back = direction((46, 50, 40), (93, 0, 0), red, white)
    assert not there.out_of_reach
    assert set(back.out_of_reach) == {"blue", "green", "red"}
    assert "dye alone cannot" in dye_words(back)
    assert dye_words(direction((50, 0, 0), (50, 0.1, 0), white, white)) == "No dye is needed."


def test_a_sheer_over_skin_lies_between_and_shows_more_skin_when_stretched(tmp_path: Path) -> None:
    text = typed(arm=(65, 10, 16), mesh=(30, 5, -20))
    text += (
        '[sheers.{name}]\nover = "arm"\nthreads = "mesh"\ncoverage = "50 %"\nstretch = ["{s} %", "{s} %"]\n'
    )
    looks = []
    for stretch in (0, 40):
        found = judge(parse_colours(text.format(name="s", s=stretch)), tmp_path)
        looks.append(found.things["s"].lab)
        assert found.sheers["s"].rest[0] == pytest.approx(0.5)
    assert 30 < looks[0][0] < looks[1][0] < 65


def test_a_sheer_covers_what_its_material_says(tmp_path: Path) -> None:
    text = typed(arm=(65, 10, 16), mesh=(30, 5, -20)) + '[sheers.s]\nover = "arm"\nthreads = "mesh"\n'
    (tmp_path / "colours.toml").write_text(f'{text}material = "own_mesh"\n')
    materials = tmp_path / "materials.toml"
    materials.write_text('format = 1\n[materials.own_mesh]\nlike = "power_mesh"\ncoverage = "45 %"\n')
    assert judge_folder(tmp_path).sheers["s"].rest[0] == pytest.approx(0.45)
    materials.write_text('format = 1\n[materials.own_mesh]\nlike = "cotton_calico"\n')
    with pytest.raises(FileError, match=r"'own_mesh' does not say how much it covers. Write coverage"):
        judge_folder(tmp_path)
    materials.write_text("format = 1\n")
    with pytest.raises(FileError, match="'own_mesh', which is no material"):
        judge_folder(tmp_path)


def test_a_spectrum_that_cannot_be_read_spoils_nothing_else(tmp_path: Path) -> None:
    text = typed(one=(50, 10, 12), two=(50, 10, 12.2)) + '[samples.lining]\nspectrum = "lining.csv"\n'
    text += '[[pairs]]\nmatch = ["one", "two"]\n[[pairs]]\nmatch = ["one", "lining"]\n'
    good, bad = judge(parse_colours(text), tmp_path).pairs
    assert good.verdict is not None
    assert "lining.csv" in bad.problem


def test_what_was_interpolated_between_published_thresholds_says_so() -> None:
    between = limits_for(skin=True, lightness=50.0).seen
    assert 0.59 < between.value < 1.75
    assert "0.59 on light and 1.75 on dark skin" in between.source
    assert "in between" not in limits_for(skin=True, lightness=70.0).seen.source


def test_thresholds_are_told_to_the_places_they_have(tmp_path: Path) -> None:
    text = typed(one=(50, 10, 12), two=(80, 10, 12)) + '[[pairs]]\nmatch = ["one", "two"]\n'
    sources = colour_section(judge(parse_colours(text), tmp_path)).sources
    assert [line.split(":")[0] for line in sources] == ["1", "2.25"]


def test_everything_is_plain_data(tmp_path: Path) -> None:
    import json

    text = typed(one=(50, 10, 12), two=(80, 10, 12)) + '[[pairs]]\nmatch = ["one", "two"]\ndye = "two"\n'
    data = json.loads(json.dumps(colours_as_data(judge(parse_colours(text), tmp_path))))
    assert data["pairs"][0]["daylight"]["answer"] == "no match"
    assert data["pairs"][0]["dye"]["words"][0] == "darker by 30"
