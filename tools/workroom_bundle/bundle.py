"""Make ``static/built/three.js``: the part of three.js that the workroom draws bodies with, as one module.

Run by the build hook (``hatch_build.py``) when a wheel or an editable install is made, or by hand:
python tools/workroom_bundle/bundle.py. Needs npm; without it the workroom shows still pictures.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
BUILT = HERE.parents[1] / "src" / "layfigure" / "workroom" / "static" / "built" / "three.js"
SOURCES = ("package.json", "package-lock.json", "three_used.js")
LONGEST = 300.0
"""Before a registry that does not answer is given up [s]."""


def is_fresh() -> bool:
    """Whether the module is there and no older than what it is made from."""
    return BUILT.is_file() and BUILT.stat().st_mtime >= max((HERE / name).stat().st_mtime for name in SOURCES)


def bundle() -> str:
    """Make the module where it is missing or old. Returns one line on what went wrong, empty when nothing.

    Works in a folder of its own, so that nothing is left behind in the source tree.
    """
    if is_fresh():
        return ""
    without = "without a 3D view: the workroom will show still pictures"
    npm = shutil.which("npm")
    if npm is None:
        return f"npm is not here, so layfigure is built {without}."
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        for name in SOURCES:
            shutil.copy(HERE / name, place / name)
        made = place / "made.js"
        esbuild = place / "node_modules" / "esbuild" / "bin" / "esbuild"
        # The versions and checksums of the lock file; no package's own scripts are run.
        fetch = [npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error"]
        join = ["--bundle", "--minify", "--format=esm", "--target=es2022", "--legal-comments=eof"]
        try:
            _run(fetch, place)
            _run(["node", str(esbuild), SOURCES[-1], *join, f"--outfile={made}"], place)
        except (OSError, subprocess.SubprocessError) as error:
            return f"three.js could not be bundled ({type(error).__name__}), so layfigure is built {without}."
        BUILT.parent.mkdir(exist_ok=True)
        # Whole or not at all, and two builds at once do not meet.
        beside = BUILT.with_name(f".three.{os.getpid()}.js")
        shutil.copyfile(made, beside)
        beside.replace(BUILT)
    return ""


def _run(command: list[str], place: Path) -> None:
    subprocess.run(
        command, cwd=place, check=True, timeout=LONGEST, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )


if __name__ == "__main__":
    missing = bundle()
    if missing:
        print(missing, file=sys.stderr)
    else:
        print(f"{BUILT.name}: {BUILT.stat().st_size / 1024:.0f} kB")
