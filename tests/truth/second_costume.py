"""A second costume and wearer, written by script: nothing in it is shared with the demonstration.

The Lamplighter of Fenn Reach, from another invented serial: nine heads tall, tiny waist, long legs; made
from another mesh than the demonstration's, marked on three pictures, typed in inches. The folder it writes
is what a maker would own, so that everything the demonstration passes can be asked of it too. It has a small
piece of every kind, none shaped like one of the demonstration's; its wearer is short and straight, with hips
hardly wider than the bust, where theirs are tall, or seated with wide hips.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from benchmarks.study.bodies import SIDES, load_body
from benchmarks.study.character import Style, make_character
from benchmarks.study.costume import TrueEdge, lens, ring
from benchmarks.study.marked_folder import marks_text, truth_text, write_text
from benchmarks.study.observe import Marking, Scene, mark_picture
from benchmarks.study.painting import Area, paint
from benchmarks.study.sections import true_charts
from benchmarks.study.view import take_picture

WEARER = "pell"

COSTUME = """
format = 1
name = "The Lamplighter of Fenn Reach"
edition = 2

[[references]]
file = "references/front.png"
[[references]]
file = "references/back.png"
[[references]]
file = "references/left.png"

[[errata]]
edition = 2
what = "The arm band sits lower."
pieces = ["arm_band"]

[edges.flame]
[edges.moon]
[edges.sash]
[edges.arm_band_top]
side = "left"
[edges.arm_band_bottom]
side = "left"
[edges.greave_top]
side = "both"
[edges.greave_bottom]
side = "both"
[edges.garter_top]
side = "left"
[edges.garter_bottom]
side = "left"
[edges.bracer_top]
side = "right"
[edges.bracer_bottom]
side = "right"
words = "4 cm above the wrist"
[edges.hose_hem]
side = "right"
words = "5 cm above the ankle"
[edges.waist_line]
words = "at the waist"
[edges.tail_top]
words = "2 cm above the waist, from 43 % to 57 % round"

[[pieces]]
slug = "jerkin"
label = "Sleeveless top"
kind = "knit"
cloth = "marsh_jersey"
windows = ["moon"]
backing = "power_mesh"
options = { garment = "top", sleeves = false, closure = true }

[[pieces]]
slug = "hose"
label = "Hose"
kind = "knit"
cloth = "marsh_jersey"
windows = ["flame"]
backing = "power_mesh"
edges = { hem = "hose_hem" }
options = { garment = "leggings" }

[[pieces]]
slug = "arm_band"
label = "Arm band"
kind = "wrap"
cloth = "eva_foam_5mm"
side = "left"
layer = 2
edges = { top = "arm_band_top", bottom = "arm_band_bottom" }
options = { closure = "inside", join = "lacing" }

[[pieces]]
slug = "greave"
label = "Greave"
kind = "wrap"
cloth = "eva_foam_5mm"
side = "both"
layer = 2
edges = { top = "greave_top", bottom = "greave_bottom" }

[[pieces]]
slug = "garter"
label = "Garter band"
kind = "wrap"
cloth = "low_temperature_thermoplastic"
side = "left"
layer = 2
edges = { top = "garter_top", bottom = "garter_bottom" }

[[pieces]]
slug = "bracer"
label = "Bracer"
kind = "wrap"
cloth = "vegetable_tanned_leather_2mm"
side = "right"
layer = 2
edges = { top = "bracer_top", bottom = "bracer_bottom" }

[[pieces]]
slug = "sash"
label = "Sash belt"
kind = "belt"
cloth = "vegetable_tanned_leather_2mm"
layer = 3
edges = { line = "sash" }
options = { shape = "contour", width = "2 in" }

[[pieces]]
slug = "waistcoat"
label = "Waistcoat"
kind = "woven"
cloth = "cotton_calico"
layer = 1
decisions = ["The waistcoat's back is hidden in every picture: a zip."]
options = { garment = "bodice", sleeves = false, closure = "back_zip" }

[[pieces]]
slug = "peplum"
label = "Peplum"
kind = "circular"
cloth = "cotton_calico"
layer = 2
edges = { top = "waist_line" }
options = { circle = "half", length = "6 in", top_finish = "binding", opens = "left" }

[[pieces]]
slug = "tail"
label = "Coat tail"
kind = "hanging"
cloth = "cotton_calico"
layer = 2
edges = { top = "tail_top" }
departures = ["One tail where two are drawn: she sits down in it."]
options = { form = "tail", length = "11 in", flare = 0.8 }

[[pieces]]
slug = "oil_box"
label = "Oil box"
kind = "pouch"
cloth = "vegetable_tanned_leather_2mm"
layer = 4
edges = { line = "sash" }
[pieces.options]
form = "box"
belt_width = "2 in"
at = "right"
closure = "buckle"
contents = [{ name = "oil flask", length = "3.5 in", diameter = "1.5 in" }]

[[pieces]]
slug = "mitt"
label = "Mitt"
kind = "glove"
cloth = "marsh_jersey"
side = "right"
options = { style = "fingerless", construction = "two_piece" }

[[pieces]]
slug = "elbow_cup"
label = "Elbow cap"
kind = "shell"
cloth = "eva_foam_5mm"
side = "left"
layer = 2
options = { over = "elbow", rise = "0.5 in" }

[[pieces]]
slug = "lamp_strap"
label = "Lamp strap"
kind = "strap"
cloth = "vegetable_tanned_leather_2mm"
layer = 5
options = { over = "left", width = "1.5 in", carries = "400 g", fastening = "hook_and_loop" }

[[pieces]]
slug = "glow_beads"
label = "String of beads"
kind = "strand"
cloth = "pattern_paper"
layer = 6
options = { made_of = "beads", of = "glass", bead = "0.4 in", swags = 2, sag = "1 in", over = "left" }

[[pieces]]
slug = "lamp"
label = "Hand lamp"
kind = "found"
[pieces.options]
things = [{ name = "hand lamp", source = "made", mass = "350 g", use = "carried" }]

[[pieces]]
slug = "undershirt"
label = "Undershirt"
kind = "base"
cloth = "cotton_elastane_jersey"
options.wanted = ["round neck"]
[[pieces.options.patterns]]
name = "vest from the drawer"
design_stretch = "30 %"
features = ["round neck"]
[pieces.options.patterns.body.M]
bust_girth = "37 in"
waist_girth = "30 in"
[pieces.options.patterns.body.L]
bust_girth = "40 in"
waist_girth = "33 1/4 in"
"""

MATERIALS = """
format = 1

[materials.marsh_jersey]
like = "cotton_elastane_jersey"
name = "marsh green jersey"
stretch_across = "4 in stretches to 6.5 in"
stretch_along = "4 in stretches to 5.5 in"
source = "invented"
"""

PELL = """
format = 1
name = "Pell"
unit = "in"
guess_from = "women"
note = "Invented."

[measures]
stature = "62 1/4 in"
waist_height = "38 1/2 in"
hip_height = "31 in"
crotch_height = "28 1/4 in"
knee_height = "17 in"
neck_base_girth = "15 1/2 in"
bust_girth = ["38 in", "38 1/4 in"]
under_bust_girth = "33 1/2 in"
waist_girth = "33 in"
hip_girth = "39 in"
nape_to_waist = "15 3/4 in"
shoulder_length = "4 7/8 in"
upper_arm_girth = "12 1/4 in"
forearm_girth = "9 7/8 in"
wrist_girth = "6 1/4 in"
upper_arm_length = "12 in"
forearm_length = "9 in"
thigh_girth = "22 in"
knee_girth = "15 in"
calf_girth = "15 in"
ankle_girth = "9 1/4 in"
"""


def second_scene() -> Scene:
    """The Lamplighter with the truth of every marked edge."""
    long = {f"{bone}_{side}": 1.22 for bone in ("thigh", "shank") for side in SIDES}
    long |= {f"{bone}_{side}": 1.12 for bone in ("upper_arm", "forearm") for side in SIDES}
    style = Style(
        torso_widths=(1.05, 1.08, 0.76, 0.88, 0.98, 1.05),
        torso_depths=(1.0, 1.02, 0.8, 0.9, 0.95, 1.0),
        bone_lengths=long | {"neck": 1.2},
        bone_widths={f"{bone}_{side}": 0.9 for bone in ("upper_arm", "forearm") for side in SIDES},
        head=0.9,
        bumps=0.04,
        arm_fall={"left": 58.0, "right": 60.0},
        leg_spread={"left": 2.0, "right": 2.5},
        seed=77,
    )
    character = make_character(load_body("woman"), style, name="The Lamplighter")
    costume: list[TrueEdge] = [
        lens("flame", "thigh_left", (0.45, 0.11), (0.13, 0.0), (0.0, 0.035)),
        lens("moon", "torso", (2.1, 0.07), (0.3, 0.0), (0.0, 0.025)),
        ring("sash", "torso band", "torso", 3.1, 0.05, 0.3),
        ring("arm_band_top", "limb edge", "upper_arm_left", 0.58, 0.0, 0.25, -0.06),
        ring("arm_band_bottom", "limb edge", "upper_arm_left", 0.76, 0.0, 0.25),
        ring("garter_top", "limb edge", "thigh_left", 0.62, 0.02, 0.0),
        ring("garter_bottom", "limb edge", "thigh_left", 0.76, 0.02, 0.0, 0.06),
        ring("bracer_top", "limb edge", "forearm_right", 0.3, 0.0, 0.25, -0.08),
    ]
    for side in SIDES:
        costume += [
            ring(f"greave_top_{side}", "limb edge", f"shank_{side}", 0.18, 0.04, 0.25),
            ring(f"greave_bottom_{side}", "limb edge", f"shank_{side}", 0.74, 0.0, 0.0, 0.05),
        ]
    return Scene(character=character, charts=true_charts(character), costume=tuple(costume), pictures=())


def write_second_costume(folder: Path, *, height: int = 1000) -> Path:
    """Write the whole folder: costume, references, marks, materials, wearer, and its truth. Returns it."""
    scene = second_scene()
    rng = np.random.default_rng(78)
    pictures = tuple(
        take_picture(scene.character.vertices, view, rng, height=height, inconsistency=0.005, roll_jitter=0.5)
        for view in ("front", "back", "left")
    )
    scene = replace(scene, pictures=pictures)
    # Flat and quick: only what lies on which limb is painted, so no chart is needed to paint.
    unread = replace(scene, charts={})
    areas = [
        Area(name="skin", colour=(214, 176, 150), where=lambda s: s.bone >= 0),
        Area(
            name="jersey",
            colour=(70, 110, 84),
            where=lambda s: s.on(
                "torso", *(f"{bone}_{side}" for side in SIDES for bone in ("thigh", "shank"))
            ),
        ),
        Area(name="boots", colour=(60, 52, 60), where=lambda s: s.on("foot_left", "foot_right")),
    ]
    marks = []
    for picture in pictures:
        path = folder / "references" / f"{picture.name}.png"
        path.parent.mkdir(parents=True, exist_ok=True)
        paint(unread, picture, areas, supersample=1).quantize(64, dither=0).save(path)
        marks.append(mark_picture(scene, picture, Marking(), rng)[0])
    files = {picture.name: f"references/{picture.name}.png" for picture in pictures}
    write_text(folder / "marks.json", marks_text(marks, files))
    write_text(folder / "truth.json", truth_text(tuple(scene.costume), "tests/truth/second_costume.py"))
    write_text(folder / "costume.toml", COSTUME.lstrip())
    write_text(folder / "materials.toml", MATERIALS.lstrip())
    write_text(folder / "wearers" / f"{WEARER}.toml", PELL.lstrip())
    return folder
