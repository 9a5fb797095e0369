"""Meshes cut and laid flat by the kind ``shell``, beside libigl's plain ARAP and LSCM on the same cuts.

Reads the meshes of ``../shared/data/meshes`` (their README names authors and licences). Writes
``results/shell_meshes.json``.

    python benchmarks/shell_meshes.py hand_open_wrist skull
"""

import argparse
import gzip
import json
import time
from pathlib import Path

import igl
import numpy as np

from layfigure.draft.flatten.worn_stretch import weighted_quantile
from layfigure.draft.shell.chart import as_laid, lay_alone
from layfigure.draft.shell.cut_shell import cut_shell
from layfigure.draft.shell.own_mesh import MOST_FACES, even
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_obj import read_obj
from layfigure.geometry.mesh_repair import mend
from layfigure.geometry.mesh_simplify import simplify

MESHES = Path(__file__).parents[1] / ".." / "shared" / "data" / "meshes"
LONGEST = 300.0


def reference(chart, loop, stiffness):
    """Stretch of libigl's LSCM and of its plain ARAP from there, (k,) each."""
    v, f = chart.mesh.vertices, chart.mesh.faces
    far = int(np.linalg.norm(v[loop] - v[loop[0]], axis=1).argmax())
    pins = np.array([[0.0, 0.0], [np.linalg.norm(v[loop[far]] - v[loop[0]]), 0.0]])
    first, _ = igl.lscm(v, f, loop[[0, far]].astype(np.int64), pins)
    solver = igl.ARAPData()
    solver.max_iter = 100
    solver.energy = igl.ARAP_ENERGY_TYPE_ELEMENTS
    igl.arap_precomputation(v, f, 2, loop[:1].astype(np.int32), solver)
    free = igl.arap_solve(first[loop[:1]], solver, first)
    return [
        as_laid(chart, stiffness, np.ascontiguousarray(flat[:, :2]).view(np.complex128)[:, 0])
        for flat in (first, free)
    ]


def mismatch(charts):
    """Largest difference in length of the two uses of a side, over the charts' borders [mm]."""
    found = {}
    for laid in charts:
        loop = laid.stiffness.loop
        ends = np.sort(laid.chart.origin[np.column_stack([loop, np.roll(loop, -1)])], axis=1)
        for key, length in zip(
            map(tuple, ends), np.abs(np.roll(laid.flat[loop], -1) - laid.flat[loop]), strict=True
        ):
            found.setdefault(key, []).append(float(length))
    return max((abs(both[0] - both[1]) for both in found.values() if len(both) == 2), default=0.0)


def summed(charts):
    stretch = np.concatenate([laid.stretch for laid in charts])
    areas = np.concatenate([laid.areas for laid in charts])
    return {
        "stretch_p95_percent": round(100.0 * weighted_quantile(stretch, areas, 0.95), 2),
        "stretch_max_percent": round(100.0 * float(np.minimum(stretch, 10.0).max()), 2),
        "triangles_turned_over": sum(laid.turned for laid in charts),
        "outlines_crossed": sum(not laid.clear for laid in charts),
        "largest_seam_mismatch_mm": round(mismatch(charts), 4),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "names", nargs="*", default=["hand_open_wrist", "skull", "bust_nefertiti", "boot", "sword"]
    )
    parser.add_argument("--pieces", type=int, default=40)
    arguments = parser.parse_args()
    report = {"longest_side_mm": LONGEST, "most_pieces": arguments.pieces, "meshes": {}}
    out = Path(__file__).parent / "results" / "shell_meshes.json"
    for name in arguments.names:
        mesh = read_obj(gzip.decompress((MESHES / f"{name}.obj.gz").read_bytes()))
        scale = LONGEST / np.ptp(mesh.vertices, axis=0).max()
        start = time.process_time()
        mended = mend(TriangleMesh(scale * mesh.vertices, mesh.faces))
        coarse = even(simplify(mended.mesh, MOST_FACES))
        ready = time.process_time()
        shell = cut_shell(coarse, most_pieces=arguments.pieces)
        done = time.process_time()
        alone = [lay_alone(laid.chart, laid.stiffness.loop) for laid in shell.charts]
        both = [reference(laid.chart, laid.stiffness.loop, laid.stiffness) for laid in shell.charts]
        report["meshes"][name] = {
            "triangles": len(mesh.faces),
            "made_coarser_to": len(coarse.faces),
            "mended": list(mended.mended),
            "pieces": len(shell.charts),
            "processor_seconds_to_mend_and_coarsen": round(ready - start, 1),
            "processor_seconds_to_cut_and_lay": round(done - ready, 1),
            "trued": summed(shell.charts),
            "alone": summed(alone),
            "libigl_arap": summed([arap for _, arap in both]),
            "libigl_lscm": summed([lscm for lscm, _ in both]),
        }
        out.write_text(json.dumps(report, indent=2) + "\n", encoding="utf-8")
        print(json.dumps(report["meshes"][name], indent=2))


if __name__ == "__main__":
    main()
