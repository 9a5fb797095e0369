"""Draw the references of the demonstration: Brindle, of the invented serial *The Painted Round*.

Brindle is a carousel figure come alive: six heads tall, huge shoulders, short legs, carved and lacquered.
The character, the costume and the pictures are made here and nowhere else, so the truth is known: the script
writes ``references/*.png``, ``marks.json`` (what somebody with a steady hand would mark on them) and
``truth.json`` (where every edge truly runs). The drawings disagree a little with each other, as drawings do.

    python tools/draw_references.py [folder]
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from benchmarks.study.bodies import SIDES, template_body  # noqa: E402
from benchmarks.study.character import Character, Style, make_character  # noqa: E402
from benchmarks.study.costume import TrueEdge, lens, ring  # noqa: E402
from benchmarks.study.marked_folder import marks_text, truth_text, write_text  # noqa: E402
from benchmarks.study.observe import Marking, Scene, mark_picture  # noqa: E402
from benchmarks.study.outer import (  # noqa: E402
    Solid,
    banner,
    cape,
    helm,
    knee_dome,
    pleated_skirt,
    plume_horn,
    rings,
    roll,
    stand_collar,
    strap,
)  # fmt: skip
from benchmarks.study.painting import Area, Skin, between, inside_lens, paint  # noqa: E402
from benchmarks.study.sections import true_charts  # noqa: E402
from benchmarks.study.view import take_picture  # noqa: E402

from layfigure.body.levels import REGIONS  # noqa: E402

Points = NDArray[np.float64]

SEED = 1889
HEIGHT = 1200
VIEWS = (
    ("front", "front", 0.0),
    ("back", "back", 180.0),
    ("left", "left", 90.0),
    ("three_quarter", "free", 38.0),
)

WOOD, MANE, CURL = (240, 206, 166), (120, 58, 36), (150, 82, 48)
TEAL, SHEER, CLARET, ROSE = (38, 122, 126), (236, 204, 120), (128, 36, 56), (150, 52, 68)
PLUM, GOLD = (91, 42, 78), (201, 162, 60)
LACQUER, BRASS, LEATHER, HOOF = (196, 52, 42), (214, 164, 64), (96, 58, 36), (52, 36, 34)


def brindle_style() -> Style:
    """Six heads tall, huge shoulders, short legs."""
    lengths: dict[str, float] = {}
    across: dict[str, float] = {}
    for side in SIDES:
        lengths |= {
            f"upper_arm_{side}": 1.02, f"forearm_{side}": 1.06, f"hand_{side}": 1.1,
            f"thigh_{side}": 0.8, f"shank_{side}": 0.8, f"foot_{side}": 1.05,
        }  # fmt: skip
        across |= {
            f"upper_arm_{side}": 1.45, f"forearm_{side}": 1.5, f"hand_{side}": 1.2,
            f"thigh_{side}": 1.05, f"shank_{side}": 1.3, f"foot_{side}": 1.15,
        }  # fmt: skip
    # Nothing carved is quite even.
    across["forearm_right"] *= 1.05
    lengths["neck"], across["neck"] = 0.75, 1.25
    return Style(
        torso_heights=(0.95, 0.95, 1.0, 1.0, 1.0),
        torso_widths=(0.95, 0.98, 1.0, 1.22, 1.4, 1.6),
        torso_depths=(0.95, 0.95, 1.0, 1.15, 1.3, 1.3),
        bone_lengths=lengths,
        bone_widths=across,
        bone_depths=across,
        head=1.16,
        bumps=0.035,
        arm_fall={"left": 64.0, "right": 62.0},
        arm_forward={"left": 2.0, "right": 4.0},
        elbow_bend={"left": 12.0, "right": 10.0},
        leg_spread={"left": -1.0, "right": 0.0},
        seed=SEED,
    )


def brindle_costume(levels: dict[str, float]) -> tuple[TrueEdge, ...]:
    """Every marked edge: windows, belt, guards, shin plates and the thigh band."""
    # Lens windows down a spiral, from the right shoulder to the left hip: (share of the way from nape to
    # crotch, around, half height of the lens as such a share).
    spiral = (
        (0.2, 0.888, 0.066), (0.335, 0.942, 0.052), (0.455, 0.04, 0.046), (0.565, 0.097, 0.044),
        (0.672, 0.155, 0.042),
    )  # fmt: skip
    edges = [
        _window(f"window_{k + 1}", levels, share, around, half)
        for k, (share, around, half) in enumerate(spiral)
    ]
    edges.append(ring("belt", "torso band", "torso", 3.6, 0.24, 0.25))
    for side in SIDES:
        edges += [
            ring(f"guard_top_{side}", "limb edge", f"forearm_{side}", 0.24, 0.0, 0.25, -0.12),
            ring(f"shin_top_{side}", "limb edge", f"shank_{side}", 0.2, 0.0, 0.0, -0.09),
            ring(f"shin_bottom_{side}", "limb edge", f"shank_{side}", 0.8, 0.0, 0.0),
        ]
    edges += [
        ring("thigh_band_top", "limb edge", "thigh_right", 0.46, 0.03, 0.25),
        ring("thigh_band_bottom", "limb edge", "thigh_right", 0.66, 0.03, 0.12, 0.1),
    ]
    return tuple(edges)


def _window(slug: str, levels: dict[str, float], share: float, around: float, half: float) -> TrueEdge:
    """A lens upright on Brindle's own trunk, leaning along the spiral, in stations of that trunk."""
    plain = lens(slug, "torso", (share, around), (half, 0.011), (0.0, 0.021))
    names = REGIONS["torso"].levels
    heights = np.array([levels[name] for name in names])
    shares = (heights[0] - heights) / (heights[0] - heights[-1])
    return replace(plain, station=np.interp(plain.station, shares, np.arange(len(names), dtype=np.float64)))


def brindle_scene() -> Scene:
    """The character with its truth, not yet drawn."""
    body = template_body(preset="man")
    character = make_character(body, brindle_style(), name="Brindle")
    return Scene(
        character=character,
        charts=true_charts(character),
        costume=brindle_costume(character.levels),
        pictures=(),
    )


def brindle_areas(character: Character, costume: tuple[TrueEdge, ...]) -> list[Area]:
    """Colours, painted in this order."""
    edge = {item.slug: (item.station, item.around) for item in costume}
    levels, joints = character.levels, character.joints
    arms = [f"{bone}_{side}" for side in SIDES for bone in ("upper_arm", "forearm")]
    legs = [f"{bone}_{side}" for side in SIDES for bone in ("thigh", "shank")]
    neck = joints["neck"]

    def below_neckline(skin: Skin) -> NDArray[np.bool_]:
        slope = 0.55 * (skin.place[:, 1] - neck[1])
        result: NDArray[np.bool_] = skin.place[:, 2] < levels["nape"] - 18 + slope
        return result

    def level(station: float) -> tuple[Points, Points]:
        around = np.arange(8) / 8
        return np.full(8, station), around

    def band(name: str, width: float) -> tuple[Points, Points]:
        station, around = edge[name]
        return station + width, around

    def leg_station(skin: Skin) -> Points:
        """Station down a thigh, above 0 on the trunk, beyond 1 on the shank."""
        result = np.full(len(skin.bone), -1.0)
        for side in SIDES:
            thigh, shank = skin.on(f"thigh_{side}"), skin.on(f"shank_{side}")
            result[thigh] = skin.charted[f"thigh_{side}"][0][thigh]
            result[shank] = 1.0 + skin.charted[f"shank_{side}"][0][shank]
        return result

    def stripe(skin: Skin) -> NDArray[np.bool_]:
        around = np.zeros(len(skin.bone))
        for limb in legs:
            own = skin.on(limb)
            around[own] = skin.charted[limb][1][own]
        result: NDArray[np.bool_] = (np.mod(around * 12, 1.0) < 0.5) & skin.on(*legs) & ~above_leg_line(skin)
        return result

    hips = [joints[f"hip_{side}"] for side in SIDES]
    reach = 1.75 * abs(hips[0][0] - hips[1][0]) / 2
    rise = 0.45 * (levels["waist"] - levels["crotch"])

    def above_leg_line(skin: Skin) -> NDArray[np.bool_]:
        """Above the leg openings, which rise from the crotch to the hips."""
        share = np.clip((np.abs(skin.place[:, 0]) - 38.0) / reach, 0, 1)
        result: NDArray[np.bool_] = skin.place[:, 2] > levels["crotch"] - 12 + rise * share**0.8
        return result

    areas = [
        Area(name="wood", colour=WOOD, where=lambda s: s.bone >= 0, shine=0.35, inked=False),
        Area(name="mane", colour=MANE, where=lambda s: _mane(s, character), shine=0.5),
        Area(name="curls", colour=CURL, where=lambda s: _curls(s, character), inked=False),
        Area(
            name="suit",
            colour=TEAL,
            where=lambda s: (s.on("torso", "neck", *arms) & below_neckline(s) & above_leg_line(s))
            | s.on(*arms)
            | (s.on("hand_left", "hand_right") & (s.hand < 0.12))
            | (s.on("thigh_left", "thigh_right") & above_leg_line(s)),
        ),
        Area(name="leggings", colour=CLARET, where=lambda s: s.on("torso", *legs) & ~above_leg_line(s)),
        Area(name="stripes", colour=ROSE, where=stripe, inked=False),
        Area(name="hooves", colour=HOOF, shine=0.6,
             where=lambda s: s.on("foot_left", "foot_right") | (leg_station(s) > 1.93)),
    ]  # fmt: skip
    areas += [
        Area(
            name=f"window {k}",
            colour=SHEER,
            where=lambda s, k=k: inside_lens(s, edge[f"window_{k}"], "torso"),  # type: ignore[misc]
        )
        for k in range(1, 6)
    ]
    areas += [
        Area(name="belt", colour=LEATHER, shine=0.5,
             where=lambda s: between(s, "torso", band("belt", -0.15), band("belt", 0.15))),
        Area(name="belt stitches", colour=BRASS, inked=False,
             where=lambda s: between(s, "torso", band("belt", -0.015), band("belt", 0.015))),
        Area(name="buckle", colour=BRASS, shine=1.0,
             where=lambda s: between(s, "torso", band("belt", -0.18), band("belt", 0.18))
             & (np.abs(np.mod(s.charted["torso"][1] + 0.5, 1.0) - 0.5) < 0.028)),
    ]  # fmt: skip
    for side in SIDES:
        arm, leg, hand = f"forearm_{side}", f"shank_{side}", f"hand_{side}"
        areas += [
            _plate(f"guard {side}", LACQUER, arm, edge[f"guard_top_{side}"], level(0.96)),
            _trim(f"guard trim {side}", arm, edge[f"guard_top_{side}"], 0.035),
            _trim(f"guard cuff {side}", arm, level(0.9), 0.06),
            Area(name=f"hand plate {side}", colour=LACQUER, shine=1.0,
                 where=lambda s, hand=hand: s.on(hand) & (s.hand > 0.12) & (s.hand < 0.92)
                 & ~_thumb(s, character, hand[5:])),  # type: ignore[misc]
            _plate(f"shin {side}", LACQUER, leg, edge[f"shin_top_{side}"], edge[f"shin_bottom_{side}"]),
            _trim(f"shin trim {side}", leg, edge[f"shin_top_{side}"], 0.04),
            _trim(f"shin step {side}", leg, level(0.5), 0.025),
            _trim(f"shin cuff {side}", leg, band(f"shin_bottom_{side}", -0.05), 0.05),
        ]  # fmt: skip
    band_edges = edge["thigh_band_top"], edge["thigh_band_bottom"]
    areas += [
        _plate("thigh band", LACQUER, "thigh_right", *band_edges),
        _trim("thigh band trim", "thigh_right", band("thigh_band_bottom", -0.025), 0.025),
    ]
    return areas


def _plate(
    name: str,
    colour: tuple[int, int, int],
    region: str,
    top: tuple[Points, Points],
    bottom: tuple[Points, Points],
) -> Area:
    return Area(name=name, colour=colour, shine=1.0, where=lambda s: between(s, region, top, bottom))


def _trim(name: str, region: str, top: tuple[Points, Points], width: float) -> Area:
    bottom = (top[0] + width, top[1])
    return Area(name=name, colour=BRASS, shine=1.0, where=lambda s: between(s, region, top, bottom))


def _thumb(skin: Skin, character: Character, side: str) -> NDArray[np.bool_]:
    """Pixels of the thumb, which no hand plate covers."""
    wrist, knuckles = (character.joints[f"{joint}_{side}"] for joint in ("wrist", "knuckles"))
    line = (knuckles - wrist) / np.linalg.norm(knuckles - wrist)
    thumb = character.thumb[side] - (character.thumb[side] @ line) * line
    thumb = thumb / np.linalg.norm(thumb)
    result: NDArray[np.bool_] = (skin.place - wrist) @ thumb > 0.48 * np.linalg.norm(knuckles - wrist)
    return result


def _head_shares(skin: Skin, character: Character) -> tuple[Points, Points, Points]:
    """Across from the middle, back from the joint, and up from the chin, as shares of the head's height."""
    levels, head = character.levels, character.joints["head"]
    high = levels["crown"] - levels["chin"]
    return (
        (skin.place[:, 0] - head[0]) / high,
        (skin.place[:, 1] - head[1]) / high,
        (skin.place[:, 2] - levels["chin"]) / high,
    )


def _mane(skin: Skin, character: Character) -> NDArray[np.bool_]:
    """Carved hair: behind a line that runs from the forehead round the ears to the nape."""
    across, back, rise = _head_shares(skin, character)
    scallop = 0.022 * np.abs(np.sin(across * 26.0))
    hairline = 0.8 - scallop - 1.35 * np.clip(back + 0.16, 0, 1)
    result: NDArray[np.bool_] = skin.on("head", "neck") & (rise > np.maximum(hairline, -0.08))
    return result


def _curls(skin: Skin, character: Character) -> NDArray[np.bool_]:
    """Every other lock, combed back from the forehead."""
    across, back, rise = _head_shares(skin, character)
    turn = np.arctan2(across, 0.9 - rise + 0.6 + back)
    result: NDArray[np.bool_] = np.sin(turn * 34.0 + 5.0 * np.sin(back * 9.0)) > 0.25
    return result & _mane(skin, character)


def _face(skin: Skin, colours: Points, character: Character) -> Points:
    """Painted eyes, brows, cheeks and mouth, as on a carousel figure."""
    x, back, z = _head_shares(skin, character)
    ahead = skin.on("head") & (back < -0.1)
    result = colours.copy()

    def spot(
        u: float, v: float, wide: float, tall: float, colour: tuple[int, int, int], share: float = 1.0
    ) -> None:
        for sign in (-1.0, 1.0):
            away = ((x - sign * u) / wide) ** 2 + ((z - v) / tall) ** 2
            here = ahead & (away < 1)
            strength = share if share == 1.0 else share * np.clip(1 - away[here], 0, 1)[:, None]
            result[here] = result[here] * (1 - strength) + np.array(colour) * strength

    spot(0.185, 0.3, 0.1, 0.085, (220, 96, 80), 0.75)
    spot(0.135, 0.475, 0.075, 0.045, (250, 246, 236))
    spot(0.13, 0.472, 0.034, 0.04, TEAL)
    spot(0.13, 0.472, 0.016, 0.02, (24, 18, 20))
    spot(0.14, 0.575, 0.085, 0.016, MANE)
    spot(0.0, 0.175, 0.085, 0.022, (176, 58, 58))
    return result


WHOLE = (("whole_front", "front", 14.0), ("whole_back", "back", 196.0))
"""Two more drawings, over everything: nothing is marked on them."""


def brindle_solids(scene: Scene) -> list[Solid]:
    """What Brindle wears over the suit."""
    character, trunk = scene.character, scene.charts["torso"].chart
    levels = character.levels
    knee = character.joints["knee_left"][2]
    hem = levels["crotch"] - 0.7 * (levels["crotch"] - knee)
    slant = [(0.4, 0.87), (0.9, 0.9), (1.5, 0.94), (2.1, 0.99), (2.6, 1.05), (3.1, 1.12), (3.45, 1.2)]
    behind = [(0.4, 0.63), (1.1, 0.56), (1.9, 0.48), (2.7, 0.4), (3.45, 0.29)]
    belt = next(edge for edge in scene.costume if edge.slug == "belt")
    order = np.argsort(np.mod(belt.around, 1.0))
    round_ = np.column_stack([belt.station, np.mod(belt.around, 1.0)])[order]
    slung = np.vstack([round_, round_[:1] + np.array([0.0, 1.0])])
    return [
        pleated_skirt(trunk, hem, pleats=18, flare=46.0, colour=PLUM),
        *banner(character, trunk, width=200.0, length=520.0, colour=GOLD, emblem=PLUM),
        cape(character, levels["waist"] - 40.0, opening=52.0, colour=PLUM),
        stand_collar(character, opening=52.0, height=70.0, colour=GOLD),
        *helm(character, brim=70.0, colour=LACQUER, trim=BRASS),
        plume_horn(character, length=300.0, turns=1.5, colour=BRASS),
        *(knee_dome(character, side, colour=LACQUER) for side in SIDES),
        strap(trunk, slung, width=52.0, clear=40.0, colour=LEATHER),
        strap(trunk, slant, width=34.0, clear=16.0, colour=LEATHER),
        strap(trunk, behind, width=34.0, clear=16.0, colour=LEATHER),
        rings(trunk, slant[1:], count=15, size=30.0, clear=22.0, colour=BRASS),
        roll(trunk, colour=LEATHER),
    ]


def draw_whole(folder: Path, scene: Scene, areas: list[Area]) -> None:
    """The whole costume from two sides; from the back the suit is as the turnaround shows it."""
    solids = brindle_solids(scene)
    everything = np.concatenate([scene.character.vertices, *(solid.mesh.vertices for solid in solids)])
    rng = np.random.default_rng(SEED + 1)
    for name, view, yaw in WHOLE:
        picture = take_picture(everything, view, rng, name=name, yaw=yaw, height=HEIGHT, distance=5400.0)
        image = paint(
            scene, picture, areas, details={"face": lambda s, c: _face(s, c, scene.character)}, over=solids
        )
        image.quantize(256, kmeans=3, dither=Image.Dither.NONE).save(
            folder / "references" / f"{name}.png", optimize=True
        )


def draw(folder: Path) -> None:
    """Draw and mark everything into a folder."""
    scene = brindle_scene()
    character, costume = scene.character, tuple(scene.costume)
    rng = np.random.default_rng(SEED)
    pictures = tuple(
        take_picture(
            character.vertices, view, rng, name=name, yaw=yaw, height=HEIGHT, distance=distance,
            inconsistency=0.006, roll_jitter=0.5,
        )
        for (name, view, yaw), distance in zip(VIEWS, (5200.0, 5600.0, 4700.0, 6100.0), strict=True)
    )  # fmt: skip
    scene = replace(scene, pictures=pictures)
    areas = brindle_areas(character, costume)
    marking = Marking(outlines=0.035, cloth=(0.0, 0.0008))
    marked, files = [], {}
    for picture in pictures:
        image = paint(scene, picture, areas, details={"face": lambda s, c: _face(s, c, character)})
        path = folder / "references" / f"{picture.name}.png"
        path.parent.mkdir(parents=True, exist_ok=True)
        image.quantize(256, kmeans=3, dither=Image.Dither.NONE).save(path, optimize=True)
        files[picture.name] = f"references/{picture.name}.png"
        marked.append(mark_picture(scene, picture, marking, rng)[0])
    write_text(folder / "marks.json", marks_text(marked, files))
    draw_whole(folder, scene, areas)
    note = "Written by tools/draw_references.py: where every marked edge of Brindle truly runs."
    write_text(folder / "truth.json", truth_text(costume, note))
    heads = character.stature / (character.levels["crown"] - character.levels["chin"])
    print(f"{folder}: {len(pictures)} pictures, {heads:.1f} heads tall")


if __name__ == "__main__":
    draw(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "examples" / "brindle")
