"""Every benchmark in turn; results go to ``benchmarks/results``. Run: python -m benchmarks [NAME …]"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
NAMES = [*sorted(p.stem for p in HERE.glob("*.py") if not p.stem.startswith("_")), "study.run"]


def main() -> int:
    wanted = sys.argv[1:] or NAMES
    unknown = [name for name in wanted if name not in NAMES]
    if unknown:
        print(f"no benchmark {unknown[0]!r}; there are: {', '.join(NAMES)}")
        return 2
    failed = []
    for name in wanted:
        print(f"== {name}", flush=True)
        if subprocess.run([sys.executable, "-m", f"benchmarks.{name}"], check=False).returncode:
            failed.append(name)
    if failed:
        print(f"failed: {', '.join(failed)}")
    return bool(failed)


if __name__ == "__main__":
    sys.exit(main())
