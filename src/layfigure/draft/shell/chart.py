"""A mesh cut into charts: which faces hang together, and how each chart lies flat alone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import LinearRing

from layfigure.draft.flatten.arap import PanelStiffness, flatten_freely, stiffness_of
from layfigure.draft.flatten.rest_shape import THIN, face_stretches
from layfigure.draft.flatten.worn_stretch import weighted_quantile
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_repair import edge_table, face_parts, fans

Points = NDArray[np.float64]
Complex = NDArray[np.complex128]
Indices = NDArray[np.int64]

FREE_STEPS = 8


class CutMesh:
    """A mended mesh and its edges that are cut.

    mesh : the mesh. edges : (e, 2) each edge once. which : (m, 3) edge of every side of every face, from
    corner to corner. uses : (e,) faces at each edge. cut : (e,) True where it is cut. held : (e,) True where
    the cut was asked for and stays.
    """

    def __init__(self, mesh: TriangleMesh, held: NDArray[np.bool_] | None = None) -> None:
        self.mesh = mesh
        edges, which, uses = edge_table(mesh.faces)
        self.edges, self.which, self.uses = edges, which.reshape(-1, 3), uses
        self.held = np.zeros(len(edges), dtype=bool) if held is None else held
        self.cut = self.held.copy()

    def copied(self) -> CutMesh:
        """The same, to be cut further without changing this one."""
        other = CutMesh(self.mesh, self.held)
        other.cut = self.cut.copy()
        return other

    def chart(self, faces: Indices) -> Chart:
        """Some of its faces as a mesh of their own, parted along cuts."""
        own = self.mesh.faces[faces]
        edges, which, _ = edge_table(own)
        cut = np.zeros(len(edges), dtype=bool)
        cut[which] = self.cut[self.which[faces].ravel()]
        parted = fans(own, cut)
        origin = np.empty(int(parted.max()) + 1, dtype=np.int64)
        origin[parted.ravel()] = own.ravel()
        return Chart(faces=faces, mesh=TriangleMesh(self.mesh.vertices[origin], parted), origin=origin)

    def charts(self, faces: Indices) -> list[Chart]:
        """What still hangs together of some of its faces, each as a mesh of its own."""
        whole = self.chart(faces)
        part = face_parts(whole.mesh.faces)
        count = int(part.max()) + 1
        return [whole] if count == 1 else [self.chart(faces[part == number]) for number in range(count)]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chart:
    """faces : (k,) of the whole mesh. mesh : of these, parted along cuts. origin : (n,) vertices."""

    faces: Indices
    mesh: TriangleMesh
    origin: Indices

    def loop(self) -> Indices | None:
        """Its border in order, or None where it is no single patch without holes."""
        loops = self.mesh.boundary_loops()
        if len(loops) != 1:
            return None
        # Every face has three sides, and all but those of the border are shared by two.
        faces = len(self.mesh.faces)
        sides = (3 * faces + len(loops[0])) // 2
        return loops[0] if len(self.mesh.vertices) - sides + faces == 1 else None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatChart:
    """A chart laid flat. flat : (n,) complex [mm]. stretch : (k,) largest stretch or slack of each face."""

    chart: Chart
    stiffness: PanelStiffness
    flat: Complex
    stretch: Points
    areas: Points
    turned: int

    @property
    def p95(self) -> float:
        """95th percentile of the stretch over the area, a share."""
        return weighted_quantile(self.stretch, self.areas, 0.95)

    @property
    def most(self) -> float:
        """Largest stretch, a share."""
        return float(self.stretch.max())

    @property
    def clear(self) -> bool:
        """Whether its outline keeps clear of itself; a slit into a saddle closes over itself."""
        return is_clear(self.flat[self.stiffness.loop])

    @property
    def energy(self) -> float:
        """Squared stretch over the area [mm²]."""
        return float((np.minimum(self.stretch, 1.0) ** 2 * self.areas).sum())


def is_clear(outline: Complex) -> bool:
    """Whether a closed outline, (b,) complex, keeps clear of itself."""
    return bool(LinearRing(np.column_stack([outline.real, outline.imag])).is_simple)


def lying_free(mesh: TriangleMesh) -> Complex:
    """Corners of every face in its own plane, (m, 3), the first at 0; slivers are given a little height."""
    corners = mesh.face_corners()
    u, w = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    base = np.linalg.norm(u, axis=1)
    foot = (u * w).sum(axis=1) / base
    height = 2.0 * mesh.face_areas() / base
    height = np.maximum(height, THIN * np.maximum(base, np.linalg.norm(w, axis=1)))
    return np.stack([np.zeros_like(base) + 0j, base + 0j, foot + 1j * height], axis=1)


def lay_alone(chart: Chart, loop: Indices) -> FlatChart:
    """The chart laid flat by itself."""
    stiffness = stiffness_of(lying_free(chart.mesh), chart.mesh.faces, loop)
    return as_laid(chart, stiffness, flatten_freely(stiffness, steps=FREE_STEPS))


def as_laid(chart: Chart, stiffness: PanelStiffness, flat: Complex) -> FlatChart:
    """The chart in a flat placing, with what that asks of the sheet."""
    stretch, area = face_stretches(stiffness.rest, flat, chart.mesh.faces)
    return FlatChart(
        chart=chart,
        stiffness=stiffness,
        flat=flat,
        stretch=np.abs(stretch).max(axis=1),
        areas=chart.mesh.face_areas(),
        turned=int((area <= 0.0).sum()),
    )
