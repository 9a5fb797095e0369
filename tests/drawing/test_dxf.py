import io

import ezdxf
import numpy as np
import pytest

from layfigure.drawing.dxf import LAYER_NAMES, dxf_of
from layfigure.piece.draw import Heading
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


@pytest.mark.parametrize("piece", SAMPLES, ids=lambda piece: piece.slug)
def test_lines_read_back_to_a_hundredth(document: ezdxf.document.Drawing, piece: object) -> None:
    (boundary,) = lines_on(document, piece.slug, "1")  # type: ignore[attr-defined]
    assert boundary == pytest.approx(cut_line(piece.edges), abs=0.01)  # type: ignore[attr-defined]
    found = lines_on(document, piece.slug, "14") + lines_on(document, piece.slug, "6")  # type: ignore[attr-defined]
    expected = [edge.curve for edge in piece.edges]  # type: ignore[attr-defined]
    for curve in expected:
        assert any(line.shape == curve.shape and np.allclose(line, curve, atol=0.01) for line in found)
    windows = lines_on(document, piece.slug, "11")  # type: ignore[attr-defined]
    assert len(windows) == len(piece.windows)  # type: ignore[attr-defined]


def test_words_are_text_on_layer_15(document: ezdxf.document.Drawing) -> None:
    texts = document.blocks["leg_front"].query("TEXT")
    words = {text.dxf.text for text in texts}
    assert {text.dxf.layer for text in texts} == {"15"}
    assert "Leg front" in words
    assert "Bründel · edition 1 · Ada" in words
    assert "QUANTITY: 2" in words


def test_turn_points_stand_at_corners_and_curve_points_elsewhere(document: ezdxf.document.Drawing) -> None:
    block = document.blocks["tab"]
    assert len(block.query("POINT[layer=='2']")) == 4
    assert len(block.query("POINT[layer=='3']")) == 0
    assert len(document.blocks["leg_front"].query("POINT[layer=='3']")) > 50


def test_the_same_pieces_give_the_same_file() -> None:
    assert dxf_of(SAMPLES, HEADING) == dxf_of(SAMPLES, HEADING)
