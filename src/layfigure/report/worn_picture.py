"""The whole costume on the wearer, seen from one side, in the colours of its cloths."""

from __future__ import annotations

import io

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from layfigure.drawing.depth_buffer import rasterise
from layfigure.drawing.glb import SKIN_SHADE, Surface, vertex_normals
from layfigure.geometry.mesh import TriangleMesh
from layfigure.report.body_picture import LIGHT, BodyPicture, View, seen_from

Points = NDArray[np.float64]

SUPERSAMPLE = 2
AFAR = 1.0e5
"""Distance of the eye [mm]: far enough that nothing nearer looks larger."""


def worn_picture(
    body: TriangleMesh, surfaces: tuple[Surface, ...], view: View, *, height: int = 640
) -> BodyPicture:
    """The body and what it wears, ``height`` pixels tall, on a transparent ground.

    What is sheer is mixed with the skin beneath, as if it lay on it.
    """
    meshes = [body, *(surface.mesh for surface in surfaces)]
    vertices = np.concatenate([mesh.vertices for mesh in meshes])
    starts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes)])
    faces = np.concatenate([mesh.faces + start for mesh, start in zip(meshes, starts, strict=False)])
    colour = np.concatenate(
        [
            np.tile(_displayed(shade), (len(mesh.faces), 1))
            for mesh, shade in zip(meshes, [SKIN_SHADE, *(s.shade for s in surfaces)], strict=True)
        ]
    )
    normals = np.concatenate([vertex_normals(mesh) for mesh in meshes])
    right, up, away = seen_from(vertices, view)
    margin = 0.03 * float(np.ptp(up))
    scale = height / (float(np.ptp(up)) + 2 * margin)
    origin = (float(right.min()) - margin, float(up.max()) + margin)
    width = int(np.ceil((float(np.ptp(right)) + 2 * margin) * scale))
    pixels = np.column_stack([right - origin[0], origin[1] - up]) * scale * SUPERSAMPLE
    buffer = rasterise(pixels, AFAR + away, faces, width * SUPERSAMPLE, height * SUPERSAMPLE, cull=False)
    shown = buffer.face >= 0
    face = buffer.face[shown]
    normal = np.einsum("pc,pcx->px", buffer.weights[shown], normals[faces[face]])
    leaning = np.column_stack(seen_from(normal, view))
    leaning /= np.maximum(np.linalg.norm(leaning, axis=1, keepdims=True), 1e-12)
    # Cloth is seen from both sides: its normal is taken toward the eye.
    leaning *= np.where(leaning[:, 2] > 0.0, -1.0, 1.0)[:, None]
    tone = 0.6 + 0.4 * np.clip(leaning @ LIGHT, -0.5, 1.0)
    image = np.zeros((*shown.shape, 4), dtype=np.uint8)
    image[shown, :3] = np.clip(colour[face] * tone[:, None], 0, 255).astype(np.uint8)
    image[shown, 3] = 255
    drawn = io.BytesIO()
    Image.fromarray(image).resize((width, height), Image.Resampling.LANCZOS).save(
        drawn, format="PNG", compress_level=6
    )
    return BodyPicture(
        png=drawn.getvalue(), width=width, height=height, view=view, scale=scale, origin=origin
    )


def _displayed(shade: tuple[float, ...]) -> Points:
    """Linear red, green, blue over skin as displayed values, 0 to 255 (IEC 61966-2-1)."""
    cloth, skin = np.array(shade[:3]), np.array(SKIN_SHADE[:3])
    light = shade[3] * cloth + (1.0 - shade[3]) * skin
    return 255.0 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
