"""The folder a costume starts from: small, filled with things to change, and drafting as it stands."""

from __future__ import annotations

from pathlib import Path

from layfigure.design.costume import COSTUME_FILE
from layfigure.errors import OutputError
from layfigure.files.write import write_text

COSTUME_TEXT = """\
format = 1
name = "My costume"
edition = 1

# An edge is said in words, or marked on pictures (see docs/files.md). What can be said:
#   "at the waist"   "halfway from hip to knee"   "30 % from wrist to elbow"   "5 cm above the knee"
#   "..., pointing up 4 cm at the outside"        "..., 3 cm higher at the back"

[edges.guard_top]
words = "70 % from wrist to elbow"
side = "left"

[edges.guard_foot]
words = "8 % from wrist to elbow"
side = "left"

# A piece names its kind, its cloth (materials.toml, or the starter set) and the edges that bound it.

[[pieces]]
slug = "forearm_guard"
kind = "wrap"
cloth = "{cloth}"
side = "left"
label = "Forearm guard"
edges = {{ top = "guard_top", bottom = "guard_foot" }}
"""

WEARER_TEXT = """\
format = 1
name = "Me"
posture = "standing"
unit = "cm"
guess_from = "both"     # or "women", "men": whose bodies stand in for what you have not measured

# Sizes in quotes, with their unit: "41.3 cm", "413 mm", "16 1/4 in". Two readings: ["41.3 cm", "41.6 cm"].
# A paired measure once stands for both sides; write wrist_girth_left and wrist_girth_right where they differ.
# These are average adults' sizes: replace every one with your own.
[measures]
stature = "169 cm"
bust_girth = "97 cm"
waist_girth = "84 cm"
hip_girth = "102 cm"
wrist_girth = "16.5 cm"
forearm_girth = "26.5 cm"
"""

IGNORE_TEXT = """\
# Measures are private, and results contain them.
wearers/
out/
quick/
printed/
"""


def start_costume(folder: Path) -> list[Path]:
    """Write the starting files into a new or empty folder and return their paths.

    Raises OutputError when the folder holds anything already: nothing of the maker's is overwritten.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise OutputError(
            "it exists and is not empty.", where=str(folder), advice="Name a folder that does not exist yet."
        )
    texts = {
        COSTUME_FILE: COSTUME_TEXT.format(cloth="vegetable_tanned_leather_2mm"),
        "wearers/me.toml": WEARER_TEXT,
        ".gitignore": IGNORE_TEXT,
    }
    written: list[Path] = []
    for name, text in texts.items():
        path = folder / name
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise OutputError(
                f"the folder cannot be made ({error.strerror}).",
                where=str(path.parent),
                advice="Choose a place you may write to.",
            ) from error
        write_text(path, text)
        written.append(path)
    (folder / "references").mkdir()
    return written
