"""Pictures taken in, and everything that is dropped by mistake or from ill will."""

import io
import json
import struct
import zlib
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw, PngImagePlugin
from starlette.testclient import TestClient

ORIENTATION, GPS, MAKER = 0x0112, 0x8825, 0x010F


def encoded(picture: Image.Image, kind: str = "PNG", **more: Any) -> bytes:
    written = io.BytesIO()
    picture.save(written, format=kind, **more)
    return written.getvalue()


def drawn(width: int = 60, height: int = 40) -> Image.Image:
    """Red at the upper left, white elsewhere."""
    picture = Image.new("RGB", (width, height), "white")
    ImageDraw.Draw(picture).rectangle((0, 0, 14, 9), fill=(255, 0, 0))
    return picture


def kept(path: Path) -> Image.Image:
    """A stored picture, its file closed again."""
    return Image.open(io.BytesIO(path.read_bytes()))


def drop(client: TestClient, data: bytes, name: str = "Side view.png", **form: str) -> Any:
    return client.post("/api/pictures", files={"file": (name, data)}, data={"view": "left", **form})


def written(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_dropped_picture_is_kept_and_entered_in_both_files(client: TestClient, folder: Path) -> None:
    before = (folder / "costume.toml").read_text()
    answer = drop(client, encoded(drawn()), photograph="true")
    assert answer.status_code == 200, answer.text
    assert answer.json()["picture"] == "side_view"
    assert kept(folder / "references/side_view.png").size == (60, 40)
    marks = json.loads((folder / "marks.json").read_text())
    assert marks["pictures"][-1] == {
        "name": "side_view",
        "view": "left",
        "size": [60, 40],
        "file": "references/side_view.png",
        "photograph": True,
        "landmarks": {},
        "outlines": [],
        "edges": {},
    }
    after = (folder / "costume.toml").read_text()
    entry = '[[references]]\nfile = "references/side_view.png"\nphotograph = true\n\n'
    assert after.replace(entry, "") == before
    assert client.get("/api/state").json()["problem"] is None


def test_undo_takes_the_whole_picture_back_and_redo_brings_it(client: TestClient, folder: Path) -> None:
    before = written(folder)
    drop(client, encoded(drawn()))
    after = written(folder)
    assert client.post("/api/undo").json()["done"] == "take in the picture side_view"
    assert written(folder) == before
    client.post("/api/redo")
    assert written(folder) == after


def test_a_picture_taken_on_its_side_is_stored_upright(client: TestClient, folder: Path) -> None:
    exif = Image.Exif()
    exif[ORIENTATION] = 6  # the camera was turned: upright is a quarter turn clockwise
    assert drop(client, encoded(drawn(), "JPEG", exif=exif, quality=95), "a.jpg").status_code == 200
    stored = kept(folder / "references/a.jpg")
    assert stored.size == (40, 60)
    assert json.loads((folder / "marks.json").read_text())["pictures"][-1]["size"] == [40, 60]
    # What was at the upper left is at the upper right now.
    red, _, blue = stored.convert("RGB").getpixel((36, 4))
    assert red > 200
    assert blue < 80


def test_where_and_with_what_it_was_taken_does_not_come_along(client: TestClient, folder: Path) -> None:
    exif = Image.Exif()
    exif[MAKER] = "SECRETMAKER"
    exif.get_ifd(GPS)[1] = "N"
    exif.get_ifd(GPS)[2] = (51.0, 30.0, 26.0)
    for kind, name in (("JPEG", "b.jpg"), ("WEBP", "c.webp"), ("PNG", "d.png")):
        more: dict[str, Any] = {"exif": exif}
        if kind == "PNG":
            more["pnginfo"] = PngImagePlugin.PngInfo()
            more["pnginfo"].add_text("Comment", "SECRETPLACE")
        else:
            more["comment" if kind == "JPEG" else "xmp"] = b"SECRETPLACE"
        data = encoded(drawn(), kind, **more)
        assert b"SECRETMAKER" in data
        assert b"SECRETPLACE" in data
        assert drop(client, data, name).status_code == 200
    stored = [folder / "references" / name for name in ("b.jpg", "c.jpg", "d.png")]
    for path in stored:
        assert b"SECRET" not in path.read_bytes()
        assert not kept(path).getexif()
        assert not set(kept(path).info) - {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_a_drawing_on_nothing_stands_on_white(client: TestClient, folder: Path) -> None:
    clear = Image.new("RGBA", (30, 30), (0, 0, 0, 0))
    ImageDraw.Draw(clear).rectangle((0, 0, 9, 9), fill=(0, 0, 255, 255))
    drop(client, encoded(clear), "ghost.png")
    stored = kept(folder / "references/ghost.png")
    assert stored.getpixel((20, 20)) == (255, 255, 255)
    assert stored.getpixel((5, 5)) == (0, 0, 255)


def test_a_very_large_picture_is_kept_smaller(client: TestClient, folder: Path) -> None:
    answer = drop(client, encoded(Image.new("L", (5000, 500), 200), "JPEG"), "wide.jpg")
    assert answer.json()["shrunk"] is True
    assert kept(folder / "references/wide.jpg").size == (4000, 400)


def bomb() -> bytes:
    """A small PNG that claims 60,000 by 60,000 pixels."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    body = zlib.compress(b"\0" * 1_000_000, 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


GOOD = encoded(drawn(400, 400))
CANNOT = "the picture cannot be opened."


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", CANNOT),
        (b"not a picture at all", CANNOT),
        (GOOD[: len(GOOD) // 2], CANNOT),
        (encoded(Image.effect_noise((300, 300), 90), "JPEG")[:9000], CANNOT),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", CANNOT),
        (encoded(drawn(), "GIF"), CANNOT),
        (encoded(drawn(), "TIFF"), CANNOT),
        (bomb(), "the picture has more than 120 million pixels."),
        (encoded(Image.new("RGB", (1, 1))), "the picture is empty."),
    ],
    ids=["nothing", "text", "half a png", "half a jpeg", "svg", "gif", "tiff", "bomb", "one pixel"],
)
def test_what_is_no_picture_is_refused_in_words_and_nothing_is_written(
    client: TestClient, folder: Path, data: bytes, what: str
) -> None:
    before = written(folder)
    answer = drop(client, data, "x.png")
    assert answer.status_code == 422
    assert answer.json()["what"] == what
    assert answer.json()["advice"]
    assert written(folder) == before
    assert client.get("/api/state").json()["undo"] == ""


@pytest.mark.parametrize("name", ["../../evil.png", "..\\evil.png", "/etc/evil.png", "…/éåß.png", ".png"])
def test_a_name_from_outside_never_becomes_a_path(client: TestClient, folder: Path, name: str) -> None:
    before = set(written(folder))
    assert drop(client, GOOD, name).status_code == 200
    (new,) = set(written(folder)) - before
    assert new.startswith("references/")
    assert new.count("/") == 1


def test_the_same_name_again_is_numbered(client: TestClient, folder: Path) -> None:
    assert [drop(client, GOOD, "front.png").json()["picture"] for _ in "12"] == ["front_2", "front_3"]


def test_a_picture_without_a_view_is_not_taken_in(client: TestClient, folder: Path) -> None:
    before = written(folder)
    assert client.post("/api/pictures", files={"file": ("a.png", GOOD)}).status_code == 422
    assert drop(client, GOOD, view="above").status_code == 422
    assert written(folder) == before


def test_a_picture_taken_out_is_gone_everywhere_and_undo_brings_it_back(
    client: TestClient, folder: Path
) -> None:
    before = written(folder)
    base = client.get("/api/pictures").json()["revisions"]
    answer = client.request("DELETE", "/api/pictures", json={"picture": "back", "base": base})
    assert answer.status_code == 200
    assert not (folder / "references/back.png").exists()
    assert "references/back.png" not in (folder / "costume.toml").read_text()
    assert "back" not in [one["name"] for one in json.loads((folder / "marks.json").read_text())["pictures"]]
    client.post("/api/undo")
    assert written(folder) == before


def test_what_a_picture_shows_is_said_anew(client: TestClient, folder: Path) -> None:
    base = client.get("/api/pictures").json()["revisions"]
    edit = {"picture": "three_quarter", "view": "free", "yaw": 40, "photograph": True, "base": base}
    assert client.patch("/api/pictures", json=edit).status_code == 200
    (card,) = [one for one in client.get("/api/pictures").json()["pictures"] if one["yaw"] == 40.0]
    assert card["photograph"] is True
    assert 'three_quarter.png"\nphotograph = true\n' in (folder / "costume.toml").read_text()
    # An edit made from an older reading of the file is not written.
    assert client.patch("/api/pictures", json=edit).status_code == 409


def test_pictures_are_served_from_the_costume_and_nowhere_else(client: TestClient, folder: Path) -> None:
    whole = client.get("/api/pictures/image", params={"picture": "front"})
    assert whole.content == (folder / "references/front.png").read_bytes()
    assert whole.headers["content-type"] == "image/png"
    small = client.get("/api/pictures/image", params={"picture": "front", "small": True})
    assert max(Image.open(io.BytesIO(small.content)).size) == 480
    (folder / "secret.txt").write_text("SECRET")
    (folder.parent / "secret.png").write_bytes(GOOD)
    marks = json.loads((folder / "marks.json").read_text())
    for file in ("../secret.png", "secret.txt"):
        marks["pictures"][0]["file"] = file
        (folder / "marks.json").write_text(json.dumps(marks))
        answer = client.get("/api/pictures/image", params={"picture": "front"})
        assert answer.status_code in (404, 422)
        assert b"SECRET" not in answer.content
    assert client.get("/api/pictures/image", params={"picture": "nobody"}).status_code == 422


def test_pages_answer_and_an_unknown_picture_has_none(client: TestClient) -> None:
    assert client.get("/look").status_code == 200
    assert client.get("/look/front").status_code == 200
    assert client.get("/look/nobody").status_code == 404


def test_a_reference_without_marks_may_be_marked_too(client: TestClient, folder: Path) -> None:
    seen = client.get("/api/pictures").json()
    assert [one["file"] for one in seen["references"]] == [
        "references/whole_front.png",
        "references/whole_back.png",
    ]
    address = "/api/pictures/known/image"
    assert client.get(address, params={"file": "references/whole_back.png"}).status_code == 200
    assert client.get(address, params={"file": "references/front.png"}).status_code == 404
    assert client.get(address, params={"file": "../brindle/references/front.png"}).status_code == 404
    edit = {"file": "references/whole_back.png", "view": "back", "base": seen["revisions"]}
    assert client.post("/api/pictures/known", json=edit).json()["picture"] == "whole_back"
    new = json.loads((folder / "marks.json").read_text())["pictures"][-1]
    assert (new["file"], new["view"]) == ("references/whole_back.png", "back")
    assert new["size"] == list(kept(folder / "references/whole_back.png").size)
    assert len(client.get("/api/pictures").json()["references"]) == 1
    again = client.post("/api/pictures/known", json=edit)
    assert again.status_code == 422
    assert again.json()["what"] == "it is not among the references that wait to be marked."
