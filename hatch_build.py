"""Build hook: bundles three.js for the workroom before a wheel or an editable install is made."""

from __future__ import annotations

import runpy
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class BundleHook(BuildHookInterface):  # type: ignore[type-arg]
    """Goes on without the bundle where npm is missing, with one line that says so."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Before files are collected."""
        script = Path(self.root) / "tools" / "workroom_bundle" / "bundle.py"
        missing = runpy.run_path(str(script))["bundle"]()
        if missing:
            self.app.display_warning(missing)
