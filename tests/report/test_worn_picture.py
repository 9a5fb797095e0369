"""Pictures of the whole costume: what lies in front is seen, in its own colour."""

import io

import numpy as np
import pytest
import trimesh
from PIL import Image

from layfigure.drawing.glb import Surface
from layfigure.drawing.worn_shade import shade_of
from layfigure.geometry.mesh import TriangleMesh
from layfigure.materials.cloth import Cloth
from layfigure.report.worn_picture import worn_picture


def ball(radius: float, at: tuple[float, float, float]) -> TriangleMesh:
    made = trimesh.creation.icosphere(subdivisions=3, radius=radius)
    return TriangleMesh(np.asarray(made.vertices) + at, np.asarray(made.faces, dtype=np.int64))


BODY = ball(500.0, (0.0, 0.0, 500.0))


def apron(sheer: bool = False) -> Surface:
    red = Cloth(
        slug="c", kind="mesh" if sheer else "woven", name="c", width=1.0, areal_mass=1.0, colour="#c00000"
    )
    return Surface(name="apron", mesh=ball(150.0, (0.0, -450.0, 500.0)), shade=shade_of(red))


def middle(surface: Surface, view: str) -> tuple[int, ...]:
    picture = worn_picture(BODY, (surface,), view, height=200)  # type: ignore[arg-type]
    image = Image.open(io.BytesIO(picture.png))
    assert image.size == (picture.width, picture.height)
    assert image.getpixel((1, 1))[3] == 0  # type: ignore[index]
    x, y = picture.pixels(np.array([[0.0, 0.0, 500.0]]))[0]
    return image.getpixel((int(x), int(y)))  # type: ignore[return-value]


def test_an_apron_is_seen_from_the_front_and_not_from_behind() -> None:
    red, green, blue, solid = middle(apron(), "front")
    assert solid == 255
    assert red > 3 * green
    assert red > 3 * blue
    back = middle(apron(), "back")
    assert min(back[:3]) > 0.8 * max(back[:3])


def test_skin_shows_through_mesh() -> None:
    assert middle(apron(sheer=True), "front")[1] > middle(apron(), "front")[1] + 40


@pytest.mark.parametrize(("view", "seen"), [("left", 1), ("right", -1)])
def test_left_is_where_the_wearer_has_it(view: str, seen: int) -> None:
    """From her left, what she carries in front (-y) lies to the left of the picture."""
    picture = worn_picture(BODY, (apron(),), view, height=200)  # type: ignore[arg-type]
    image = np.asarray(Image.open(io.BytesIO(picture.png)), dtype=float)
    redness = (image[..., 0] - image[..., 1]) * (image[..., 3] > 0)
    columns = np.flatnonzero(redness.max(axis=0) > 60)
    x = picture.pixels(np.array([[0.0, 0.0, 500.0]]))[0, 0]
    assert (columns.mean() < x) == (seen == 1)
