"""Makes the pictures of the documentation: the book of the sample works, in the system's chromium.

    .venv/bin/python docs/make_pictures.py

Run it when the book's look has changed; the pictures are committed.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from pairwright.cli.main import status_of

IMAGES = Path(__file__).parent / "images"


def main() -> int:
    browser_path = shutil.which("chromium")
    if browser_path is None:
        sys.stderr.write("chromium is not installed\n")
        return 3
    with tempfile.TemporaryDirectory() as folder:
        if status_of(["demo", f"{folder}/works", "--quiet"]) != 0:
            return 3
        with sync_playwright() as play:
            browser = play.chromium.launch(executable_path=browser_path, args=["--no-sandbox"])
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            page.goto(f"file://{folder}/works/book.html")
            page.screenshot(path=str(IMAGES / "book-week.png"), clip={"x": 0, "y": 0, "width": 1280, "height": 1280},
                            full_page=True)  # fmt: skip
            browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
