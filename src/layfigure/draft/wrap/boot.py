"""Boot covers: soft panels over a shoe and up the shank, separate or sewn to the shoe.

Two panels that mirror each other meet in a seam down the front over the toe and one down the back; their
lower edge is the sole line. On a shoe with a heel the foot is tipped as it stands in it.
"""

from __future__ import annotations

from dataclasses import replace

from layfigure.body.levels import split_region
from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.flatten.worn_stretch import greatest_stretch_p95
from layfigure.draft.kept_fields import KeptFields, joined_fields
from layfigure.draft.registry import Check, DraftRequest, DraftResult
from layfigure.draft.round_edge import WrapEdge, mirrored, wrap_edge
from layfigure.draft.verdict import governing_measures, wrap_verdict
from layfigure.draft.wrap.boot_checks import boot_field, heel_check, strain_check, toe_check
from layfigure.draft.wrap.boot_note import boot_items, boot_note
from layfigure.draft.wrap.boot_options import BootOptions
from layfigure.draft.wrap.boot_panel import BootMesh, boot_mesh, lay_flat
from layfigure.draft.wrap.boot_piece import ZIP_CLEAR, cover_panel, lining_panel, way_under, zip_slit
from layfigure.draft.wrap.boot_remedy import strain_advice
from layfigure.draft.wrap.boot_shoe import on_heel, sized, sole_of, with_sole
from layfigure.draft.wrap.boot_surface import BootHalf, ball_of, boot_half, foot_reach
from layfigure.errors import DraftError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth
from layfigure.piece.worn import WornSurface

SHOE_NOT_MEASURED = "the shoe's sole and toe room are a guess"


def draft_boot(request: DraftRequest, options: BootOptions) -> DraftResult:
    """Panels of one cover, or of a pair, each leg from its own tapes.

    Raises DraftError for cloth that is not soft, edges elsewhere than on a shank, or a foot not found.
    """
    cloth = request.cloth
    if cloth.kind in ("foam", "thermoplastic"):
        raise DraftError(
            f"{cloth.name} is too stiff for a boot cover.",
            advice="Choose leather, vinyl, cloth or knit, or leave out boot for a stiff guard.",
        )
    statement = request.statement
    if "top" not in statement.edges:
        raise DraftError("a boot cover needs a top edge.", advice="Add top = 'edge name' to its edges.")
    if "bottom" in statement.edges:
        raise DraftError(
            "a boot cover ends at its sole line.",
            advice="Leave out the bottom edge; say sole_line if it should end higher.",
        )
    top = wrap_edge(request.placement.edges[statement.edges["top"]])
    definition, side = split_region(top.region)
    if definition.name != "shank" or not top.goes_round:
        raise DraftError(
            f"the top edge of a boot cover lies on {top.region}, or not right round it.",
            advice="Draw it right round the lower leg, below the knee.",
        )
    if options.sole_traced and statement.trace is None:
        raise DraftError(
            "there is no tracing of the sole.", advice='Say trace = { file = "sole.svg" } with the piece.'
        )
    label = statement.label or statement.slug.replace("_", " ")
    if statement.side != "both":
        return _one_leg(request, options, cloth, top, side, statement.slug, label)
    legs = [
        _one_leg(
            request,
            options,
            cloth,
            mirrored(top, f"shank_{each}"),
            each,
            f"{statement.slug}_{each}",
            f"{label}, {each}",
        )
        for each in ("left", "right")
    ]
    return DraftResult(
        pieces=tuple(piece for leg in legs for piece in leg.pieces),
        checks=tuple(check for leg in legs for check in leg.checks),
        items=tuple(item for leg in legs for item in leg.items),
        worn=tuple(surface for leg in legs for surface in leg.worn),
        working=joined_fields(leg.working for leg in legs),
    )


def _one_leg(
    request: DraftRequest,
    options: BootOptions,
    cloth: Cloth,
    top: WrapEdge,
    side: str,
    slug: str,
    label: str,
) -> DraftResult:
    charts = request.form.charts
    shank, foot = charts[f"shank_{side}"], charts[f"foot_{side}"]
    trace = request.statement.trace
    sole = sole_of(options, trace.lines if options.sole_traced and trace is not None else ())
    stated, options = options, sized(options, foot_reach(foot), sole)

    def laid(options: BootOptions) -> tuple[BootHalf, BootMesh, FlatPanel, list[Check]]:
        half = boot_half(shank, foot, top, options, request.stack + 0.5 * cloth.thickness)
        half = with_sole(half, options, sole)
        mesh = boot_mesh(on_heel(half, options.heel, ball_of(half, foot)), slug)
        flat = lay_flat(mesh)
        checks = [strain_check(greatest_stretch_p95(flat), cloth), toe_check(half, request, side)]
        return half, mesh, flat, [*checks, *heel_check(half, request, options, cloth, side)]

    half, mesh, flat, checks = laid(options)
    # The body of the pictures stands flat, and so does the cover on it.
    shown = boot_mesh(half, slug)
    strain = checks[0].value
    if not checks[0].passed:
        advice = strain_advice(
            strain,
            options,
            lambda other: all(check.passed for check in laid(other)[-1]),
            toe_free=sole is None and stated.sole_length is None,
        )
        checks[0] = replace(checks[0], advice=advice)
    measures = governing_measures(f"shank_{side}", float(top.station.min()), 1.0)
    measured = {"sole", "toe_room"} <= options.model_fields_set or sole is not None
    guessed = () if measured or options.sole_length is not None else (SHOE_NOT_MEASURED,)
    verdict = wrap_verdict(
        checks,
        form=request.form,
        cloth=cloth,
        measures=(*measures, *governing_measures(f"foot_{side}", 0.0, 2.0)),
        spread=top.spread,
        assumed=(*request.assumed, *guessed),
        trial="Sew a hand-wide trial seam round a toe shape in it,",
    )
    back = flat.curves["back"]
    zip_length = length(back) - ZIP_CLEAR if options.opening == "back" else length(zip_slit(mesh, flat))
    piece = cover_panel(request, options, cloth, mesh, flat, slug, label, verdict)
    piece = replace(piece, note=boot_note(cloth, options, strain=strain, zip_length=zip_length))
    pieces = [piece]
    if "lining" in request.statement.cloths:
        pieces.append(lining_panel(piece, request.cloths[request.statement.cloths["lining"]]))
    return DraftResult(
        pieces=tuple(pieces),
        checks=tuple(replace(check, what=f"{label}: {check.what}") for check in checks),
        items=boot_items(label, options, zip_length=zip_length, under=way_under(half, options)),
        worn=tuple(
            WornSurface(
                name=f"{slug}_{name}",
                mesh=TriangleMesh(half.to_space(shown.panel.vertices, sign), shown.panel.faces),
                cloth=cloth.slug,
            )
            for name, sign in (("panel_1", 1.0), ("panel_2", -1.0))
        ),
        working=KeptFields({slug: (boot_field(mesh, flat, cloth),)}),
    )
