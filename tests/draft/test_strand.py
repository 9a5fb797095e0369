"""Strands: rings and beads counted by their pitch, lengths on a drum, how deep they hang, what to buy."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from shapely import Polygon
from stiff_limbs import CARD, RADIUS, TALL, line, ring

from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import DesignEdge, PieceStatement
from layfigure.draft.registry import DraftRequest, DraftResult, validated_options
from layfigure.draft.strand.count import StrandMake
from layfigure.draft.strand.kind import KIND
from layfigure.draft.strand.swag import fixings_along
from layfigure.drawing.svg import svg_of
from layfigure.drawing.walk import read_svg, walk
from layfigure.errors import DraftError
from layfigure.piece.draw import Heading
from layfigure.piece.seam_book import SeamBook
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement


@pytest.fixture(scope="module")
def woman() -> Form:
    template = load_template()
    return form_of(template, template.presets["woman"])


def strand(form: Form, edges: dict[str, DesignEdge] | None = None, *, known: bool = True,
           **options: object) -> DraftResult:  # fmt: skip
    edges = edges or {}
    statement = PieceStatement(
        slug="swags",
        kind="strand",
        cloth="card",
        edges={role: edge.slug for role, edge in edges.items()},
        options=options,
    )
    return KIND.draft(
        DraftRequest(
            statement=statement,
            options=validated_options(KIND, options, where="test"),
            form=form,
            placement=Placement(wearer="t", edges={e.slug: place_edge(e, form) for e in edges.values()}),
            cloths={"card": CARD} if known else {},
        )
    )


def way(*places: tuple[float, float, bool]) -> dict[str, DesignEdge]:
    return {"line": replace(line("w", "torso", places), closed=False)}


def made(**sizes: float) -> StrandMake:
    usual = {"bead": 10.0, "gap": 0.0, "ring": 12.0, "wire": 2.0, "cord": 4.0}
    return StrandMake(made_of="chain", **usual | sizes)


def test_a_chain_pulled_taut_is_its_rings_inner_diameters_and_two_wires() -> None:
    # Draw it: each ring's wire bears on the inside of the next one's.
    chain = made()
    assert chain.length(1, 0.0) == 16.0
    assert chain.length(10, 0.0) == 10 * 12.0 + 4.0
    assert chain.count(124.0) == 10
    assert chain.count(124.1) == 11
    assert chain.wire_a_ring == pytest.approx(math.pi * 14.0)


def test_rings_drawn_as_tori_touch_and_do_not_cross() -> None:
    # Two tori a pitch apart and a quarter turn from each other: their middle circles come one wire apart.
    angle = np.linspace(0.0, 2.0 * math.pi, 721)
    mid = 0.5 * (12.0 + 2.0)
    flat = np.column_stack([mid * np.cos(angle), mid * np.sin(angle), 0.0 * angle])
    upright = np.column_stack([12.0 + mid * np.cos(angle), 0.0 * angle, mid * np.sin(angle)])
    apart = np.linalg.norm(flat[:, None] - upright[None], axis=2).min()
    assert apart == pytest.approx(2.0, abs=0.01)


def test_beads_count_their_gaps_between_them_only() -> None:
    beads = replace(made(gap=2.0), made_of="beads")
    assert beads.length(1, 0.0) == 10.0
    assert beads.length(5, 0.0) == 5 * 10.0 + 4 * 2.0
    assert beads.count(58.0) == 5
    assert beads.count(58.5) == 6


def test_fixings_part_the_way_equally_between_the_places_that_hold_it() -> None:
    path = np.array([[0.0, 0.0, 0.0], [100.0, 0.0, 0.0], [100.0, 60.0, 0.0]])
    assert fixings_along(path, 2, [100.0]) == pytest.approx([0.0, 50.0, 100.0, 130.0, 160.0])
    assert fixings_along(path, 4, []) == pytest.approx([0.0, 40.0, 80.0, 120.0, 160.0])


def test_cord_on_a_drum_is_a_helix(drum: Form) -> None:
    # Its middle lies half its thickness out.
    result = strand(drum, way((1.0, 0.0, False), (2.0, 0.2, False), (3.0, 0.4, False)), made_of="cord",
                    lies="on_body", cord="8 mm", spare="0 %", of="cotton")  # fmt: skip
    exact = math.hypot(0.4 * 2.0 * math.pi * (RADIUS + 4.0), 2.0 * TALL / 5.0)
    (cord,) = (item for item in result.items if item.slug.startswith("cord"))
    assert cord.length == pytest.approx(exact, rel=1e-3)
    assert result.pieces[0].totals[0].length == pytest.approx(exact, rel=1e-3)
    assert "cotton" in cord.name


def test_a_hanging_chain_is_as_deep_as_wished_and_a_ring_more_at_most(drum: Form) -> None:
    ends = way((1.0, 0.0, False), (1.0, 0.2, False))
    result = strand(drum, ends, sag="25 mm", swags=1)
    hangs = next(check.value for check in result.checks if "hangs" in check.what)
    assert 25.0 <= hangs < 42.0
    rings = next(item for item in result.items if item.slug.startswith("ring"))
    straight = 2.0 * (RADIUS + 8.0) * math.sin(0.2 * math.pi)
    # A shallow chain is longer than its span by 8/3 sag^2 / span, less a fourth-order term (Rankine).
    length = straight + 8.0 * hangs**2 / (3.0 * straight) - 32.0 * hangs**4 / (5.0 * straight**3)
    counted = int(rings.use.split()[0])
    assert counted * 12.0 + 4.0 == pytest.approx(length, rel=0.01)
    assert rings.count == math.ceil(1.05 * counted)
    assert any("rests on the body" in note for note in result.notes)


def test_what_to_buy_and_where_it_is_fixed(drum: Form) -> None:
    ends = way((1.0, 0.0, False), (1.0, 0.2, True), (1.0, 0.3, False))
    result = strand(drum, ends, made_of="beads", swags=2, mass_each="1.5 g", spare="10 %", fixing="clip")
    by_slug = {item.slug: item for item in result.items}
    beads = by_slug["bead_brass_10mm"]
    counted = int(beads.use.split()[0])
    assert beads.count == math.ceil(1.1 * counted)
    assert beads.mass == 1.5
    assert by_slug["small_clip"].count == 5  # two parts to the sharp point and two after it
    assert by_slug["bead_thread"].length == pytest.approx(1.3 * 10.0 * counted, rel=1e-6)
    marks = [inner.label for inner in result.pieces[0].lines if inner.label.startswith("fixing")]
    assert marks == [f"fixing {k}" for k in range(1, 6)]
    assert f"{counted} beads in all" in result.notes[0]


@pytest.mark.parametrize("part", ["front", "back"])
def test_a_chain_on_a_cross_body_strap(woman: Form, tmp_path: Path, part: str) -> None:
    result = strand(woman, swags=4, part=part)
    (strip,) = result.pieces
    assert Polygon(strip.stitch_line).is_valid
    path = tmp_path / "strand.svg"
    path.write_text(svg_of(result.pieces, Heading(costume="t", seams=SeamBook.of(result.pieces))))
    assert walk(read_svg(path)) == []
    assert strip.cautions
    assert len(strip.note) >= 6
    (surface,) = result.worn
    assert len(surface.mesh.faces) <= 3000
    solid = trimesh.Trimesh(surface.mesh.vertices, surface.mesh.faces, process=False)
    assert solid.volume > 0.0
    # In front of the shoulder or behind it, from shoulder to the other hip.
    middle = surface.mesh.vertices[:, 1].mean() - woman.landmarks["shoulder_point_left"][1]
    assert (middle < 0.0) == (part == "front")
    x = surface.mesh.vertices[:, 0]
    assert x.max() > 80.0
    assert x.min() < -80.0


@pytest.mark.parametrize("made_of", ["beads", "cord"])
def test_a_strand_goes_right_round(drum: Form, made_of: str) -> None:
    result = strand(drum, {"line": ring("r", "torso", 2.0)}, made_of=made_of, lies="on_body", spare="0 %")
    thick = 5.0 if made_of == "beads" else 2.0
    girth = 2.0 * math.pi * (RADIUS + thick)
    assert result.pieces[0].totals[0].length == pytest.approx(girth, rel=1e-3)
    if made_of == "beads":
        assert result.items[0].count == math.ceil(result.pieces[0].totals[0].length / 10.0)
    (surface,) = result.worn
    out = np.linalg.norm(surface.mesh.vertices[:, :2], axis=1)
    # Its tube has six sides, whose corners or flats may face outward.
    assert RADIUS + thick * (1.0 + math.cos(math.pi / 6.0)) - 0.1 < out.max() < RADIUS + 2.0 * thick + 0.1


def test_a_strip_of_unknown_material_and_a_deep_chain_are_told(drum: Form) -> None:
    ends = way((1.0, 0.0, False), (1.0, 0.3, False))
    with pytest.raises(DraftError, match="strip with the fixings") as refusal:
        strand(drum, ends, known=False)
    assert "template = false" in refusal.value.advice
    free = strand(drum, ends, known=False, template=False, sag="200 mm")
    assert free.pieces == ()
    assert "more swags" in free.checks[0].advice
    assert not free.checks[0].passed
