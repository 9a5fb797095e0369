import io

import numpy as np
import pytest
import trimesh

from layfigure.drawing.glb import Surface, glb_of
from layfigure.geometry.mesh import TriangleMesh


def tetrahedron() -> TriangleMesh:
    """A small solid lying to the wearer's left (+x), in front (-y), low (z near 0)."""
    vertices = np.array(
        [[100.0, -50.0, 0.0], [200.0, -50.0, 0.0], [100.0, -150.0, 0.0], [100.0, -50.0, 300.0]]
    )
    faces = np.array([[0, 1, 2], [0, 3, 1], [0, 2, 3], [1, 3, 2]])
    mesh = TriangleMesh(vertices, faces)
    outward = mesh.face_normals() * (mesh.face_corners().mean(axis=1) - vertices.mean(axis=0))
    flipped = outward.sum(axis=1) < 0
    return TriangleMesh(vertices, np.where(flipped[:, None], faces[:, ::-1], faces))


def test_an_independent_reader_gets_the_mesh_and_the_lines() -> None:
    # Independent reader: trimesh. glTF 2.0: y up, metres.
    line = np.array([[100.0, -50.0, 0.0], [100.0, -50.0, 300.0], [200.0, -50.0, 0.0]])
    scene = trimesh.load(io.BytesIO(glb_of(tetrahedron(), {"hem": line})), file_type="glb")
    body, hem = scene.geometry["body"], scene.geometry["hem"]
    assert len(body.faces) == 4
    assert body.is_watertight
    assert body.volume == pytest.approx(0.1 * 0.1 * 0.3 / 6.0, rel=1e-5)  # positive: not turned inside out
    low, high = body.bounds
    assert low == pytest.approx([0.1, 0.0, 0.05])  # left stays +x, up is y, the front is +z
    assert high == pytest.approx([0.2, 0.3, 0.15])
    assert hem.length == pytest.approx(0.3 + np.hypot(0.1, 0.3), rel=1e-6)


def test_lines_and_meshes_that_cannot_be_drawn_are_refused() -> None:
    with pytest.raises(ValueError, match="'dot' has fewer than two points"):
        glb_of(tetrahedron(), {"dot": np.zeros((1, 3))})
    with pytest.raises(ValueError, match="in space"):
        glb_of(TriangleMesh(np.zeros((3, 2)), np.array([[0, 1, 2]])), {})


def test_what_is_worn_lies_over_the_body_in_its_own_shade() -> None:
    mesh = tetrahedron()
    over = TriangleMesh(mesh.vertices * 1.1, mesh.faces)
    sheer = Surface(name="veil", mesh=over, shade=(0.1, 0.2, 0.3, 0.45))
    scene = trimesh.load(io.BytesIO(glb_of(mesh, {}, worn=[sheer])), file_type="glb")
    worn = scene.geometry["veil"]
    assert worn.volume == pytest.approx(1.1**3 * scene.geometry["body"].volume)
    assert worn.visual.material.doubleSided
    assert worn.visual.material.alphaMode == "BLEND"
