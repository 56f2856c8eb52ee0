"""Pictures of every page, in both themes and at both sizes: look at each of them."""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from pairwright.cli.main import status_of
from tests.web.live import served
from tests.web.pages import addresses
from tests.web.played import play

SIZES = {"desk": (1280, 800), "tablet": (800, 1280)}


def main(folder: Path, only: list[str]) -> int:
    """Make them; `only` names the pages wanted, all of them by default."""
    chromium = shutil.which("chromium")
    if chromium is None:
        sys.stderr.write("chromium is not installed\n")
        return 3
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as works:
        if status_of(["demo", f"{works}/w", "--layout-only"]) != 0:
            return 3
        made = play(Path(works) / "w")
        with served(Path(works) / "w") as root, sync_playwright() as browsers:
            browser = browsers.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
            page = browser.new_page()
            page.goto(root)
            if not only or "week" in only or "wall" in only:
                page.wait_for_selector(".tiles", timeout=180_000)
            for look in ("light", "dark"):
                for size, (width, height) in SIZES.items():
                    view = browser.new_page(viewport={"width": width, "height": height}, color_scheme=look)
                    for name, where in addresses(made).items():
                        if only and name not in only:
                            continue
                        view.goto(root + where)
                        view.wait_for_timeout(60)
                        view.screenshot(path=folder / f"{name}-{look}-{size}.png", full_page=True)
                    view.close()
            browser.close()
    sys.stdout.write(f"{len(list(folder.glob('*.png')))} pictures in {folder}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.argv[2:]))
