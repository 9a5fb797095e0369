"""Owned patterns: the right size, the right changes, and the costume's lines on their pieces."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from shapely import LineString, Polygon

from layfigure.body.chart import ChartPoint
from layfigure.body.fit import fit_form
from layfigure.body.form import Form
from layfigure.body.prior import estimate
from layfigure.design.design import DesignEdge, EdgePoint, PieceStatement, Trace
from layfigure.draft.base.alter import alteration_of
from layfigure.draft.base.alter_checks import alteration_checks
from layfigure.draft.base.fit import alteration, blend, size_fits, usual_reduction
from layfigure.draft.base.kind import KIND, bare_measures, draft_base
from layfigure.draft.base.lie import Lie, lie_of
from layfigure.draft.base.pattern import BasePattern
from layfigure.draft.registry import DraftRequest, DraftResult, validated_options
from layfigure.errors import DraftError
from layfigure.files.svg_paths import svg_paths
from layfigure.materials.cloth import Cloth
from layfigure.materials.stretch import whole_stretch_reduction
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

WOVEN = Cloth(slug="calico", kind="woven", name="calico", width=1500.0, areal_mass=150.0)
KNIT = Cloth(slug="jersey", kind="knit", name="jersey", width=1500.0, areal_mass=200.0, stretch_across=0.6)
STIFF = Cloth(
    slug="stiff", kind="knit", name="stiff knit", width=1500.0, areal_mass=300.0, stretch_across=0.2
)

# EN 13402-3, women, bust and hip, cm (from memory): the steps every size table of the trade resembles.
WOMEN = {
    "36": (84, 68, 92),
    "38": (88, 72, 96),
    "40": (92, 76, 100),
    "42": (96, 80, 104),
    "44": (100, 84, 108),
}


def table(**lengths: float) -> dict[str, dict[str, str]]:
    return {
        size: {
            "bust_girth": f"{bust} cm",
            "waist_girth": f"{waist} cm",
            "hip_girth": f"{hip} cm",
            **{name: f"{value} mm" for name, value in lengths.items()},
        }
        for size, (bust, waist, hip) in WOMEN.items()
    }


def pattern(**said: object) -> BasePattern:
    return BasePattern.model_validate({"name": "block", "body": table(), **said})


@pytest.mark.parametrize("size", list(WOMEN))
def test_a_body_of_the_table_gets_its_own_size_unaltered(size: str) -> None:
    bust, waist, hip = (10.0 * cm for cm in WOMEN[size])
    wearer = {"bust_girth": bust, "waist_girth": waist, "hip_girth": hip}
    for cloth, stretch in ((WOVEN, "0 %"), (KNIT, "50 %")):
        best = size_fits(pattern(design_stretch=stretch), wearer, cloth)[0]
        assert best.size == size
        assert not any(change.needed for change in best.changes)


def test_a_full_hip_is_told_as_a_size_to_blend_to() -> None:
    wearer = {"bust_girth": 880.0, "waist_girth": 720.0, "hip_girth": 1035.0}
    fits = size_fits(pattern(), wearer, WOVEN)
    assert blend(fits).get("hip_girth", fits[0].size) == "42"


def test_between_sizes_the_larger_is_taken_in() -> None:
    wearer = {"bust_girth": 900.0, "waist_girth": 740.0, "hip_girth": 980.0}
    best = size_fits(pattern(), wearer, WOVEN)[0]
    assert best.size == "40"
    assert {round(change.by) for change in best.changes} == {-20}
    assert (
        alteration(best.changes[0], 4) == "Take in the bust girth by 20 mm: 5 mm at each of its 4 seam edges."
    )


def test_the_ease_that_a_pattern_means_is_kept() -> None:
    """36 in sewn at 24 in uses a stretch of 1.5 whole (teaching page, S12): a third off any other body."""
    inch = 25.4
    said = BasePattern.model_validate(
        {
            "name": "tube",
            "design_stretch": "50 %",
            "body": {"one": {"hip_girth": "36 in"}},
            "finished": {"one": {"hip_girth": "24 in"}},
        }
    )
    assert whole_stretch_reduction(1.5) == pytest.approx(1.0 - 24.0 / 36.0)
    (fit,) = size_fits(said, {"hip_girth": 39.0 * inch}, KNIT)
    assert fit.changes[0].by == pytest.approx(26.0 * inch - 24.0 * inch)


def test_cloth_that_stretches_less_is_reduced_less() -> None:
    wearer = {"bust_girth": 920.0}
    (best, *_) = size_fits(pattern(design_stretch="50 %"), wearer, STIFF)
    change = best.changes[0]
    wanted = 920.0 * (1.0 - usual_reduction(0.2))
    assert change.of + change.by == pytest.approx(wanted)
    assert wanted > 920.0 * (1.0 - usual_reduction(0.5))


@lru_cache(maxsize=1)
def body() -> Form:
    taken = {"stature": 1680.0, "bust_girth": 930.0, "waist_girth": 770.0, "hip_girth": 1010.0}
    guessed = {name: (guess.value, guess.spread) for name, guess in estimate(taken, "woman").items()}
    return fit_form(taken, wearer="A", estimated=guessed, sex="woman").form


HALF = """<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="700mm" viewBox="0 0 300 700">
<path id="front" d="M10 10 L200 10 L240 300 L250 650 L10 650 Z"/>
<line id="centre front" x1="10" y1="20" x2="10" y2="640"/>
<line id="bust" x1="12" y1="150" x2="200" y2="150"/>
<line id="waist" x1="12" y1="350" x2="200" y2="350"/>
<line id="hip" x1="12" y1="550" x2="200" y2="550"/>
</svg>"""


def drafted(
    options: dict[str, object], *, trace: str = "", edge: DesignEdge | None = None, cloth: Cloth = WOVEN
) -> DraftResult:
    form = body()
    statement = PieceStatement(
        slug="shirt",
        kind="base",
        cloth=cloth.slug,
        edges={} if edge is None else {"line_1": edge.slug},
        trace=Trace(file="front.svg", lines=svg_paths(trace, name="front.svg")) if trace else None,
    )
    edges = {} if edge is None else {edge.slug: place_edge(edge, form)}
    return draft_base(
        DraftRequest(
            statement=statement,
            options=validated_options(KIND, options, where="shirt"),
            form=form,
            placement=Placement(wearer="A", edges=edges),
            cloths={cloth.slug: cloth},
        )
    )


def bare(**said: object) -> dict[str, object]:
    return {"name": "block", "body": table(), **said}


def test_the_nearest_of_several_patterns_is_named_and_the_others_explained() -> None:
    form = body()
    fitting = {"one": {name: f"{form.measures[name]:.1f} mm" for name in ("bust_girth", "hip_girth")}}
    result = drafted(
        {
            "patterns": [
                bare(name="wide", body={"one": {"bust_girth": "130 cm"}}),
                bare(name="mine", body=fitting),
            ]
        }
    )
    assert result.notes[0] == "Cut mine in size one."
    assert any(note.startswith("wide would be size one, off by") for note in result.notes)
    assert result.items[0].source == "owned"
    assert all(check.passed for check in result.checks)


def test_a_wanted_feature_decides_between_like_patterns() -> None:
    two = [bare(name="plain"), bare(name="necked", features=["Round neck"])]
    assert drafted({"patterns": two, "wanted": ["round neck"]}).notes[0].startswith("Cut necked")
    assert drafted({"patterns": two, "wanted": ["hood"]}).notes[0].startswith("Cut plain")


def test_openings_and_stretch_are_checked() -> None:
    result = drafted({"patterns": [bare(design_stretch="50 %", openings={"neck": "42 cm"})]}, cloth=STIFF)
    failed = [check.what for check in result.checks if not check.passed]
    assert any("stretch" in what for what in failed)
    assert any("neck opening" in what for what in failed)


def ring(station: float) -> DesignEdge:
    points = tuple(
        EdgePoint(at=ChartPoint(region="torso", station=station, around=k / 32)) for k in range(32)
    )
    return DesignEdge(slug="stripe", points=points, closed=True, goes_round=True)


def test_a_line_lies_on_the_traced_piece_where_it_lies_between_levels() -> None:
    result = drafted({"patterns": [bare()]}, trace=HALF, edge=ring(3.5))
    (piece,) = result.pieces
    carried = [line for line in piece.lines if line.label == "stripe"]
    assert carried
    # Halfway from waist (3) to hip (4) is halfway between the two lines on the paper.
    assert np.concatenate([line.curve[:, 1] for line in carried]) == pytest.approx(-450.0, abs=0.5)
    reach = max(line.curve[:, 0].max() for line in carried)
    side = LineString([(0, -450), (300, -450)]).intersection(Polygon(piece.stitch_line)).bounds[2]
    assert reach == pytest.approx(side, abs=0.5)


def test_a_tracing_without_level_lines_says_what_to_draw() -> None:
    bare_front = "\n".join(line for line in HALF.split("\n") if "<line" not in line)
    with pytest.raises(DraftError, match="no lines that say") as told:
        drafted({"patterns": [bare()]}, trace=bare_front, edge=ring(3.5))
    assert "centre front" in told.value.advice


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"patterns": []}, "patterns"),
        ({"patterns": [bare(body={"S": {"bust_grith": "90 cm"}})]}, "bust_grith"),
        ({"patterns": [bare(finished={"XS": {"bust_girth": "90 cm"}})]}, "XS"),
        ({"patterns": [bare(body={"S": {"bust_girth": 90}})]}, "unit"),
        ({"patterns": [bare()], "size": "XXL"}, "XXL"),
    ],
)
def test_what_cannot_be_used_is_explained(options: dict[str, object], said: str) -> None:
    with pytest.raises(DraftError, match=said):
        drafted(options)


SHIRT = """<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="700mm" viewBox="0 0 900 700">
<path id="front" d="M10 10 L140 10 L230 150 L190 350 L250 550 L250 650 L10 650 Z"/>
<line id="centre front" x1="10" y1="20" x2="10" y2="640"/>
<line id="bust" x1="12" y1="150" x2="200" y2="150"/>
<line id="waist" x1="12" y1="350" x2="180" y2="350"/>
<line id="hip" x1="12" y1="550" x2="200" y2="550"/>
<path id="back" d="M310 10 L440 10 L530 150 L490 350 L550 550 L550 650 L310 650 Z"/>
<line id="centre back" x1="310" y1="20" x2="310" y2="640"/>
<line id="bust" x1="312" y1="150" x2="500" y2="150"/>
<line id="waist" x1="312" y1="350" x2="480" y2="350"/>
<line id="hip" x1="312" y1="550" x2="500" y2="550"/>
<path id="sleeve" d="M700 10 L860 130 L820 380 L790 640 L610 640 L580 380 L540 130 Z"/>
<line id="centre sleeve" x1="700" y1="30" x2="700" y2="630"/>
<line id="shoulder point" x1="690" y1="40" x2="710" y2="40"/>
<line id="elbow" x1="600" y1="350" x2="800" y2="350"/>
<line id="wrist" x1="620" y1="620" x2="780" y2="620"/>
</svg>"""


def altered_shirt(**off: float) -> tuple[DraftResult, dict[str, float]]:
    """The shirt of a size that is off by so much, and what each measure is wanted to be [mm]."""
    form = body()
    found = bare_measures(form)
    table = {name: f"{found[name] - by:.3f} mm" for name, by in off.items()}
    result = drafted({"patterns": [bare(body={"one": table}, pieces_traced="one")]}, trace=SHIRT)
    return result, off


def test_after_the_alteration_every_sewn_measure_is_the_wanted_one() -> None:
    result, off = altered_shirt(
        bust_girth=24.0,
        waist_girth=-28.0,
        hip_girth=40.0,
        nape_to_waist=15.0,
        arm_length=-30.0,
        wrist_girth=14.0,
    )
    after = {check.what: check for check in result.checks if "after the alteration" in check.what}
    assert len(after) == len(off)
    assert all(check.passed for check in after.values())
    assert any(note.endswith("7 mm at each of its 2 seam edges.") for note in result.notes)


def test_a_wrong_alteration_is_seen() -> None:
    lie = Lie(
        levels={"bust": 500.0, "hip": 100.0},
        centre=0.0,
        around=0.0,
        half=1,
        outline=np.array([[0.0, 0.0], [200.0, 0.0], [200.0, 600.0], [0.0, 600.0]]),
    )
    (fit,) = size_fits(
        pattern(body={"one": {"bust_girth": "80 cm", "hip_girth": "80 cm"}}),
        {"bust_girth": 840.0, "hip_girth": 824.0},
        WOVEN,
    )
    right = alteration_of(lie, fit.changes, 4)
    # By hand: 40 mm over four seam edges is 10 mm at each, 24 mm is 6.
    assert right.altered().widths(500.0) == pytest.approx((0.0, 210.0))
    assert right.altered().widths(100.0) == pytest.approx((0.0, 206.0))
    assert right.altered().widths(300.0) == pytest.approx((0.0, 208.0), abs=0.1)
    assert all(check.passed for check in alteration_checks([right], fit))
    wrong = replace(right, moves=tuple(replace(move, by=0.5 * move.by) for move in right.moves))
    assert not all(check.passed for check in alteration_checks([wrong], fit))


@pytest.mark.parametrize(("band", "at_the_top"), [(5.0, 10.0), (40.0, 10.0), (150.0, 0.0)])
def test_a_waist_that_is_the_top_edge_takes_the_top_with_it(band: float, at_the_top: float) -> None:
    """By hand: 40 mm over four seam edges is 10 mm at each, up to the edge a waistband is sewn to."""
    lie = Lie(
        levels={"waist": 600.0 - band, "hip": 100.0},
        centre=0.0,
        around=0.0,
        half=1,
        outline=np.array([[0.0, 0.0], [200.0, 0.0], [200.0, 600.0], [0.0, 600.0]]),
    )
    said = pattern(body={"one": {"waist_girth": "80 cm", "hip_girth": "80 cm"}})
    (fit,) = size_fits(said, {"waist_girth": 840.0, "hip_girth": 800.0}, WOVEN)
    altered = alteration_of(lie, fit.changes, 4)
    assert altered.out_at(600.0) == pytest.approx(at_the_top, abs=1e-3)
    assert all(check.passed for check in alteration_checks([altered], fit))


def test_a_length_folded_out_leaves_a_whole_outline() -> None:
    """By hand: 24 mm folded out between bust and waist take 24 mm from the height, however its sides run."""
    slant = np.array([[0.0, 0.0], [260.0, 0.0], [180.0, 300.0], [260.0, 500.0], [140.0, 640.0], [0.0, 640.0]])
    lie = Lie(
        levels={"bust": 500.0, "waist": 300.0, "hip": 100.0}, centre=0.0, around=0.0, half=1, outline=slant
    )
    said = pattern(body={"one": {"nape_to_waist": "42 cm", "bust_girth": "90 cm", "waist_girth": "75 cm"}})
    wearer = {"nape_to_waist": 396.0, "bust_girth": 945.0, "waist_girth": 710.0}
    (fit,) = size_fits(said, wearer, WOVEN)
    alteration = alteration_of(lie, fit.changes, 4)
    altered = alteration.altered()
    assert altered.levels["bust"] - altered.levels["waist"] == pytest.approx(176.0)
    assert altered.outline[:, 1].max() == pytest.approx(616.0)
    rows = np.linspace(-5.0, 700.0, 800)
    assert (np.diff(rows + alteration.up_at(rows)) >= -1e-9).all(), "nothing above comes to lie below"
    assert Polygon(altered.outline).buffer(0.0).area == pytest.approx(Polygon(altered.outline).area, rel=1e-6)
    assert all(check.passed for check in alteration_checks([alteration], fit))


def test_alterations_are_drawn_where_and_how_far() -> None:
    result, _ = altered_shirt(hip_girth=40.0, nape_to_waist=15.0, arm_length=-30.0)
    lines = {piece.slug: [line for line in piece.lines if line.kind == "slit"] for piece in result.pieces}
    front = next(own for slug, own in lines.items() if "front" in slug)
    across = next(line for line in front if line.label == "spread 1.5 cm")
    # Halfway between bust and waist, as drawn.
    assert across.curve[:, 1] == pytest.approx(-250.0, abs=0.1)
    assert any(line.label == "spread 1.0 cm" for line in front)
    sleeve = next(own for slug, own in lines.items() if "sleeve" in slug)
    assert [line.label for line in sleeve] == ["fold out 1.5 cm"] * 2
    for piece in result.pieces:
        room = Polygon(piece.stitch_line).buffer(0.1)
        assert all(room.covers(LineString(line.curve)) for line in piece.lines if line.kind == "slit")


def test_a_line_round_the_arm_lies_on_the_sleeve() -> None:
    points = tuple(
        EdgePoint(at=ChartPoint(region="forearm_left", station=0.5, around=k / 16)) for k in range(16)
    )
    edge = DesignEdge(slug="band", points=points, closed=True, goes_round=True)
    result = drafted({"patterns": [bare()]}, trace=SHIRT, edge=edge)
    carried = {piece.slug: [line for line in piece.lines if line.label == "band"] for piece in result.pieces}
    assert [slug for slug, own in carried.items() if own] == [s for s in carried if "sleeve" in s]
    (band,) = (own for own in carried.values() if own)
    heights = np.concatenate([line.curve[:, 1] for line in band])
    # Halfway from elbow (350) to wrist (620) on the paper.
    assert heights == pytest.approx(-485.0, abs=1.0)


TROUSERS = """<svg xmlns="http://www.w3.org/2000/svg" width="700mm" height="1100mm" viewBox="0 0 700 1100">
<path id="front" d="M60 10 L258 10 L284 220 L260 620 L230 1040 L110 1040 L80 620 L10 290 Z"/>
<line id="centre front" x1="60" y1="20" x2="60" y2="280"/>
<line id="centre leg" x1="170" y1="20" x2="170" y2="1030"/>
<line id="waist" x1="70" y1="15" x2="250" y2="15"/>
<line id="hip" x1="40" y1="220" x2="280" y2="220"/>
<line id="crotch" x1="30" y1="290" x2="270" y2="290"/>
<line id="knee" x1="90" y1="620" x2="250" y2="620"/>
<line id="ankle" x1="115" y1="1020" x2="225" y2="1020"/>
<path id="back" d="M642 10 L444 10 L418 220 L442 620 L472 1040 L592 1040 L622 620 L692 290 Z"/>
<line id="centre back" x1="642" y1="20" x2="642" y2="280"/>
<line id="centre leg" x1="532" y1="20" x2="532" y2="1030"/>
<line id="waist" x1="632" y1="15" x2="452" y2="15"/>
<line id="hip" x1="662" y1="220" x2="422" y2="220"/>
<line id="crotch" x1="672" y1="290" x2="432" y2="290"/>
<line id="knee" x1="612" y1="620" x2="452" y2="620"/>
<line id="ankle" x1="587" y1="1020" x2="477" y2="1020"/>
</svg>"""


def test_trousers_grow_at_their_sides_above_the_crotch_and_at_both_seams_below() -> None:
    found = bare_measures(body())
    off = {"waist_girth": 40.0, "hip_girth": 24.0, "knee_girth": 20.0, "ankle_girth": -16.0}
    sizes = {name: f"{found[name] - by:.3f} mm" for name, by in off.items()}
    options = {"patterns": [bare(body={"one": sizes})]}
    result = drafted(options, trace=TROUSERS)
    assert all(c.passed for c in result.checks if "after the alteration" in c.what)
    (fit, *_) = size_fits(BasePattern.model_validate(options["patterns"][0]), found, WOVEN)
    for piece in result.pieces:
        lie = lie_of(piece)
        assert lie is not None
        altered = alteration_of(lie, fit.changes, 4).altered()
        outward = -1 if "back" in piece.slug else 1
        for level, height in lie.levels.items():
            before, after = lie.ends(height), altered.ends(height)
            assert before is not None
            assert after is not None
            grown = [before[0] - after[0], after[1] - before[1]][::outward]  # inner leg or middle, side
            # By hand: a quarter of the change at each of four side edges, and at each of a leg's four.
            wanted = {
                "waist": [0.0, 10.0],
                "hip": [0.0, 6.0],
                "knee": [5.0, 5.0],
                "ankle": [-4.0, -4.0],
            }.get(level)
            assert wanted is None or grown == pytest.approx(wanted, abs=0.1)


def test_a_line_round_the_thigh_lies_right_across_a_leg_of_trousers() -> None:
    points = tuple(
        EdgePoint(at=ChartPoint(region="thigh_left", station=0.5, around=k / 32)) for k in range(32)
    )
    edge = DesignEdge(slug="band", points=points, closed=True, goes_round=True)
    result = drafted({"patterns": [bare()]}, trace=TROUSERS, edge=edge)
    for piece in result.pieces:
        band = np.concatenate([line.curve for line in piece.lines if line.label == "band"])
        lie = lie_of(piece)
        assert lie is not None
        ends = lie.ends(float(band[0, 1]))
        assert ends is not None
        assert (band[:, 0].min(), band[:, 0].max()) == pytest.approx(ends, abs=0.5)


def test_the_outside_of_a_leg_lies_at_the_side_of_front_and_back() -> None:
    points = tuple(
        EdgePoint(at=ChartPoint(region="thigh_left", station=station, around=0.2))
        for station in (0.3, 0.5, 0.7)
    )
    edge = DesignEdge(slug="stripe", points=points, closed=False)
    result = drafted({"patterns": [bare()]}, trace=TROUSERS, edge=edge)
    for piece in result.pieces:
        carried = [line for line in piece.lines if line.label == "stripe"]
        outward = -1.0 if "back" in piece.slug else 1.0
        middle = 532.0 if "back" in piece.slug else 170.0
        assert all((outward * (line.curve[:, 0] - middle) > 0.0).all() for line in carried)
    assert any(line.label == "stripe" for piece in result.pieces for line in piece.lines)
