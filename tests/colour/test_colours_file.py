"""colours.toml: what is read, and what is said of every slip."""

from pathlib import Path

import pytest

from layfigure.colour.colours_file import parse_colours
from layfigure.colour.table_file import read_colour_table, read_spectrum
from layfigure.errors import FileError, UnknownKeyError

GOOD = """\
format = 1
[charts.home]
file = "chart.csv"
illuminant = "D50"
[photographs.bench]
file = "bench.jpg"
greys = [{ at = [0, 0, 20, 20], reflectance = "18 %" }]
[samples.suit]
photograph = "bench"
at = [[10, 10, 20, 20], [50, 10, 20, 20]]
[samples.arm]
skin = true
lab = [65, 10, 16]
illuminant = "D65"
[sheers.window]
over = "arm"
threads = "suit"
net = { thread = "0.25 mm", pitch = "1 mm" }
stretch = ["12 %", "2 %"]
[[pairs]]
match = ["suit", "window"]
dye = "suit"
[rankings.linings]
target = "arm"
cloths = ["suit", "window"]
"""


def test_a_whole_file_is_read() -> None:
    found = parse_colours(GOOD)
    assert found.samples["suit"].sights[0].at == ((10, 10, 20, 20), (50, 10, 20, 20))
    assert found.sheers["window"].coverage == pytest.approx(1.0 - 0.75**2)
    assert found.sheers["window"].stretch == pytest.approx((0.12, 0.02))
    assert found.pairs[0].dye == "suit"
    assert len(found.lights) == 5


SLIPS = {
    'threads = "suit"': ('threads = "suitt"', r"line 15: 'suitt' is no sample\. Did you mean 'suit'\?"),
    'photograph = "bench"': ('photograph = "bank"', r"line 9: 'bank' is no photograph"),
    'illuminant = "D65"': ("", r'line 11.* lab needs illuminant = "D65"'),
    'pitch = "1 mm"': ('pitch = "0.2 mm"', r"line 18: threads cannot be as thick as they lie apart"),
    'reflectance = "18 %"': ('reflectance = "0.2 %"', r"line 7: a grey card returns between"),
    "lab = [65, 10, 16]": ("lab = [165, 10, 16]", r"line 13: these are no CIELAB values"),
    'match = ["suit", "window"]': ('match = ["suit", "suit"]', r"line 20: 'suit' always matches itself"),
    'file = "bench.jpg"': ('file = "../bench.jpg"', r"line 6: a file of the costume lies outside"),
    'stretch = ["12 %", "2 %"]': ('stretch = ["12", "2 %"]', r"line 19.*12"),
    'target = "arm"': ('target = "leg"', r"line 23: 'leg' is no sample or sheer"),
}


@pytest.mark.parametrize("before", SLIPS)
def test_a_slip_is_told_with_its_line(before: str) -> None:
    after, message = SLIPS[before]
    assert before in GOOD
    with pytest.raises(FileError, match=message):
        parse_colours(GOOD.replace(before, after, 1))


def test_an_unknown_key_names_the_nearest() -> None:
    with pytest.raises(UnknownKeyError, match=r"line 12: key 'skinn' is unknown .* Did you mean 'skin'\?"):
        parse_colours(GOOD.replace("skin = true", "skinn = true"))


def test_a_table_with_commas_and_one_in_cgats_are_the_same(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("# mine\nname,L,a,b\nA1, 50, 10, 12\nA2,60.5,-4,8\n")
    (tmp_path / "a.txt").write_text(
        "CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_NAME LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
        'NUMBER_OF_SETS 2\nBEGIN_DATA\n"A1" 50 10 12\nA2 60.5 -4 8\nEND_DATA\n'
    )
    one = read_colour_table(tmp_path / "a.csv", illuminant="D50", where="here")
    two = read_colour_table(tmp_path / "a.txt", illuminant="D50", where="here")
    assert list(one) == list(two) == ["A1", "A2"]
    assert one["A1"].lab == pytest.approx(two["A1"].lab)
    plain = read_colour_table(tmp_path / "a.csv", illuminant="D65", where="here")
    assert plain["A1"].lab == pytest.approx([50, 10, 12])


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("name,L,a,b\nA1,50,10\n", r"t\.csv, line 2: 4 values are wanted and 3 are there"),
        ("name,L,a,b\nA1,50,ten,3\n", r"t\.csv, line 2: 'ten' is no number"),
        ("name,L,a,b\nA1,50,1,3\nA1,50,1,3\n", r"t\.csv, line 3: patch 'A1' is there twice"),
        ("name,x,y\nA1,5,1\n", r"no names, or neither CIELAB nor spectra"),
        ("name,L,a,b\n", r"the table is empty"),
        ("name,L,a,b\nA1,500,1,3\n", r"line 2: these are no CIELAB values"),
    ],
)
def test_a_slip_in_a_table_is_told(tmp_path: Path, text: str, message: str) -> None:
    (tmp_path / "t.csv").write_text(text)
    with pytest.raises(FileError, match=message):
        read_colour_table(tmp_path / "t.csv", illuminant="D65", where="here")


def test_a_table_needs_to_know_its_light(tmp_path: Path) -> None:
    (tmp_path / "t.csv").write_text("name,L,a,b\nA1,50,1,3\n")
    with pytest.raises(FileError, match=r'here: .*Write illuminant = "D50" or "D65"'):
        read_colour_table(tmp_path / "t.csv", illuminant=None, where="here")


def test_a_spectrum_as_shares_or_per_cent(tmp_path: Path) -> None:
    rows = [(wave, 0.2 + wave / 2000.0) for wave in range(400, 701, 10)]
    (tmp_path / "s.csv").write_text("nm,r\n" + "".join(f"{w},{r}\n" for w, r in rows))
    (tmp_path / "p.csv").write_text("nm,r\n" + "".join(f"{w},{100 * r}\n" for w, r in rows))
    assert read_spectrum(tmp_path / "s.csv") == pytest.approx(read_spectrum(tmp_path / "p.csv"))
    (tmp_path / "few.csv").write_text("nm,r\n400,0.2\n500,0.3\n")
    with pytest.raises(FileError, match="needs 16 or more"):
        read_spectrum(tmp_path / "few.csv")
