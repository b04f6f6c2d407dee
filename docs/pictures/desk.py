"""Draw the picture of the desk in the README from the invented example, as a browser shows it. Run: make pictures."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

PICTURE = Path(__file__).with_name("desk.png")
SERVE = "from gristwright.cli.main import main; raise SystemExit(main(['serve', '--port', '0', '--no-browser']))"
SIZE = {"width": 1280, "height": 900}


@contextmanager
def desk(home: Path) -> Iterator[str]:
    """A desk of its own, by its address."""
    env = {**os.environ, "GRISTWRIGHT_HOME": str(home)}
    with subprocess.Popen([sys.executable, "-u", "-c", SERVE], env=env, stdout=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        said = re.search(r"http://127\.0\.0\.1:\d+/", program.stdout.readline())
        assert said is not None
        try:
            yield said[0]
        finally:
            program.terminate()


def draw(page: Page, address: str) -> None:
    """Make the desk somebody's, start with the example, try a bill, and keep what the page shows."""
    page.set_default_timeout(60_000)
    page.goto(address)
    page.get_by_label("Your name").fill("A.Example")
    for label in ("Password", "Password confirmation"):
        page.get_by_label(label, exact=True).fill("malt and water and yeast")
    page.get_by_role("button", name="Make this desk mine").click()
    page.get_by_role("button", name="Start with the example").click()
    page.locator("[name='share.CM-120']").fill("10")
    page.get_by_text("90 % PD-1 + 10 % CM-120").first.wait_for()
    page.wait_for_load_state("networkidle")
    page.screenshot(path=PICTURE)


def main() -> None:
    """One picture of the page on which a bill is tried."""
    with tempfile.TemporaryDirectory() as home, sync_playwright() as browsers, desk(Path(home)) as address:
        chromium = shutil.which("chromium") or shutil.which("chromium-browser")
        browser = browsers.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        draw(browser.new_page(viewport=SIZE), address)
        browser.close()


if __name__ == "__main__":
    main()
