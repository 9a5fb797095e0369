"""Whether everybody can use a page, by axe-core."""

from __future__ import annotations

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page


def serious_troubles(page: Page) -> list[str]:
    """What axe-core calls serious or critical, a line for every place."""
    found = Axe().run(page, options={"resultTypes": ["violations"]})
    return [
        f"{violation['id']}: {node['html'][:160]} {node['failureSummary']}"
        for violation in found.response["violations"]
        if violation["impact"] in ("serious", "critical")
        for node in violation["nodes"]
    ]
