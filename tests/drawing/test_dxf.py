import io

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf.lldxf.encoding import decode_dxf_unicode

from layfigure.drawing.dxf import LAYER_NAMES, dxf_of
from layfigure.geometry.polyline import length
from layfigure.piece.draw import Heading
from layfigure.piece.piece import Piece
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.seam_book import SeamBook
from sample_pieces import all_samples

SAMPLES = all_samples()
HEADING = Heading(costume="Bründel", wearer="Ada", seams=SeamBook.of(SAMPLES))


@pytest.fixture(scope="module")
def document() -> ezdxf.document.Drawing:
    # Independent reader: ezdxf reads the text back as any file.
    return ezdxf.read(io.StringIO(dxf_of(SAMPLES, HEADING)))


def lines_on(document: ezdxf.document.Drawing, piece: str, layer: str) -> list[np.ndarray]:
    return [
        np.array([(v.dxf.location.x, v.dxf.location.y) for v in line.vertices])
        for line in document.blocks[piece].query(f"POLYLINE[layer=='{layer}']")
    ]


def test_the_file_is_sound_and_in_millimetres(document: ezdxf.document.Drawing) -> None:
    assert not document.audit().errors
    assert document.units == ezdxf.units.MM
    assert document.header["$MEASUREMENT"] == 1


def test_layer_numbers_are_those_of_the_standard(document: ezdxf.document.Drawing) -> None:
    # ASTM D6673 layer numbers, from memory (TRADE notes): boundary 1, notches 4, grain 7, internal 8,
    # cutouts 11, sew lines 14, text 15.
    used = {entity.dxf.layer for block in document.blocks for entity in block if not block.is_any_layout}
    assert {"1", "4", "6", "7", "8", "11", "14", "15"} <= used
    assert used <= set(LAYER_NAMES)


def test_one_block_a_piece_inserted_once(document: ezdxf.document.Drawing) -> None:
    inserts = [insert.dxf.name for insert in document.modelspace().query("INSERT")]
    assert inserts == [piece.slug for piece in SAMPLES]


def apart(one: np.ndarray, other: np.ndarray) -> float:
    """Greatest distance of either line's points from the other line."""
    lines = shapely.LineString(one), shapely.LineString(other)
    return max(
        float(shapely.distance(shapely.points(p), q).max())
        for p, q in zip((one, other), lines[::-1], strict=True)
    )


@pytest.mark.parametrize("piece", SAMPLES, ids=lambda piece: piece.slug)
def test_lines_read_back_to_a_hundredth(document: ezdxf.document.Drawing, piece: Piece) -> None:
    (boundary,) = lines_on(document, piece.slug, "1")
    cut = cut_line(piece.edges)
    assert apart(np.vstack([boundary, boundary[:1]]), np.vstack([cut, cut[:1]])) < 0.01
    found = lines_on(document, piece.slug, "14") + lines_on(document, piece.slug, "6")
    assert len(found) == len(piece.edges)
    for edge in piece.edges:
        (line,) = [line for line in found if apart(line, edge.curve) < 0.01]
        assert line[[0, -1]] == pytest.approx(edge.curve[[0, -1]], abs=0.001)
        assert length(line) == pytest.approx(edge.length, abs=0.005)
    windows = lines_on(document, piece.slug, "11")
    assert len(windows) == len(piece.windows)


def test_it_is_the_old_release_every_cutter_reads(document: ezdxf.document.Drawing) -> None:
    assert document.dxfversion == "AC1009"
    assert not document.modelspace().query("LWPOLYLINE")
    block = document.blocks["leg_front"]
    assert {entity.dxftype() for entity in block} == {"POLYLINE", "POINT", "TEXT"}
    assert document.layers.get("14").dxf.linetype == "STITCH"
    assert document.linetypes.get("STITCH").pattern_tags.tags.get_first_value(40) == 6.0


def test_words_are_text_on_layer_15(document: ezdxf.document.Drawing) -> None:
    texts = document.blocks["leg_front"].query("TEXT")
    # Letters beyond ASCII are escaped; ezdxf has its own decoder of them.
    assert all(text.dxf.text.isascii() for text in texts)
    words = {decode_dxf_unicode(text.dxf.text) for text in texts}
    assert {text.dxf.layer for text in texts} == {"15"}
    assert "Leg front" in words
    assert "Bründel, edition 1, Ada" in words
    assert "QUANTITY: 2" in words


def test_turn_points_stand_at_corners_and_curve_points_elsewhere(document: ezdxf.document.Drawing) -> None:
    block = document.blocks["tab"]
    assert len(block.query("POINT[layer=='2']")) == 4
    assert len(block.query("POINT[layer=='3']")) == 0
    assert len(document.blocks["leg_front"].query("POINT[layer=='3']")) > 20


def test_the_same_pieces_give_the_same_file() -> None:
    assert dxf_of(SAMPLES, HEADING) == dxf_of(SAMPLES, HEADING)
