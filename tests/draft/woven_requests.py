"""Requests to draft woven garments on the template's own bodies."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.body.wearer_file import read_wearer
from layfigure.design.design import DesignEdge, PieceStatement
from layfigure.draft.registry import DraftRequest, DraftResult, validated_options
from layfigure.draft.woven.kind import KIND
from layfigure.drawing.svg import svg_of
from layfigure.drawing.walk import Fault, read_svg, walk
from layfigure.materials.cloth import Cloth
from layfigure.piece.draw import Heading
from layfigure.piece.seam_book import SeamBook
from layfigure.pipeline.stages import run_body
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

CLOTHS = {
    cloth.slug: cloth
    for cloth in (
        Cloth(
            slug="twill",
            kind="woven",
            name="wool twill",
            width=1500.0,
            areal_mass=300.0,
            thickness=0.8,
            tested=True,
        ),
        Cloth(slug="satin", kind="woven", name="lining satin", width=1400.0, areal_mass=80.0, tested=True),
        Cloth(slug="canvas", kind="woven", name="interfacing", width=900.0, areal_mass=120.0, tested=True),
    )
}


@lru_cache(maxsize=2)
def body(preset: str) -> Form:
    template = load_template()
    return form_of(template, template.presets[preset].copy(), wearer="test")


@lru_cache(maxsize=1)
def sitting_and_standing() -> tuple[Form, Form]:
    """The demonstration's wearer who sits, and the same body were she to stand."""
    file = Path(__file__).parents[2] / "examples" / "brindle" / "wearers" / "quillfeather.toml"
    wearer = read_wearer(file)
    return run_body(wearer).form, run_body(replace(wearer, posture="standing")).form


def draft(
    options: dict[str, Any],
    *,
    preset: str = "woman",
    edges: dict[str, DesignEdge] | None = None,
    cloths: dict[str, str] | None = None,
    form: Form | None = None,
) -> DraftResult:
    edges = edges or {}
    form = form or body(preset)
    statement = PieceStatement(
        slug="piece",
        kind="woven",
        cloth="twill",
        cloths=cloths or {},
        edges={role: edge.slug for role, edge in edges.items()},
        options=options,
    )
    return KIND.draft(
        DraftRequest(
            statement=statement,
            options=validated_options(KIND, options, where="piece"),
            form=form,
            placement=Placement(
                wearer="", edges={edge.slug: place_edge(edge, form) for edge in edges.values()}
            ),
            cloths=CLOTHS,
            stack=1.0,
        )
    )


def faults(result: DraftResult, folder: Path) -> list[Fault]:
    """What a stranger walking the exported seams finds wrong."""
    path = folder / "pieces.svg"
    path.write_text(svg_of(result.pieces, Heading(costume="test", seams=SeamBook.of(result.pieces))))
    return walk(read_svg(path))
