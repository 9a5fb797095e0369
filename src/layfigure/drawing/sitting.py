"""A body and what it wears as on a chair, for pictures of a wearer who sits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from layfigure.body.bent_skin import sitting_pose
from layfigure.body.form import Form
from layfigure.drawing.glb import Surface
from layfigure.geometry.mesh import TriangleMesh


def worn_scene(form: Form, worn: Sequence[Surface]) -> tuple[TriangleMesh, tuple[Surface, ...]]:
    """The body and the surfaces on it as the wearer wears them: on a chair where she is measured sitting."""
    return sitting_scene(form, worn) if form.posture == "seated" else (form.standing, tuple(worn))


def sitting_scene(form: Form, worn: Sequence[Surface]) -> tuple[TriangleMesh, tuple[Surface, ...]]:
    """The standing body and the surfaces on it, bent at hips and knees, feet on the floor.

    Cloth follows the skin nearest to it: how it folds in the lap is not shown.
    """
    pose = sitting_pose(form)

    def seated(mesh: TriangleMesh) -> TriangleMesh:
        return TriangleMesh(pose(mesh.vertices), mesh.faces)

    return seated(form.standing), tuple(replace(surface, mesh=seated(surface.mesh)) for surface in worn)
