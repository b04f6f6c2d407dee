"""A desk of its own for the browser tests, run as a person runs it, and the Chromium of the system."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import ConsoleMessage, Page, Request, expect

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
# A machine that runs other tests beside these needs more than the usual five seconds to draw a page.
expect.set_options(timeout=30_000)
MISSING = "Chromium is missing: install the Debian package chromium, or as root run make .venv/browser.stamp."


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, object]:
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        pytest.fail(MISSING)
    return {"executable_path": path, "args": FLAGS, "headless": True}


@dataclass
class Desk:
    """A desk that runs as a program of its own."""

    home: Path
    address: str = ""
    process: subprocess.Popen[str] | None = None

    def open(self) -> Desk:
        """Start it and wait until it says where it is."""
        code = "from gristwright.cli.main import main; raise SystemExit(main())"
        command = [sys.executable, "-u", "-c", code, "serve", "--port", "0", "--no-browser"]
        env = {key: value for key, value in os.environ.items() if key != "DJANGO_SETTINGS_MODULE"}
        env["GRISTWRIGHT_HOME"] = str(self.home)
        self.process = subprocess.Popen(command, env=env, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout is not None
        said = self.process.stdout.readline()
        found = re.search(r"http://127\.0\.0\.1:\d+/", said)
        assert found, said
        self.address = found[0]
        return self

    def kill(self) -> None:
        """End it as a power cut would."""
        assert self.process is not None
        self.process.kill()
        self._gone(10)

    def close(self) -> None:
        """End it as a person does."""
        assert self.process is not None
        self.process.terminate()
        self._gone(20)

    def _gone(self, seconds: float) -> None:
        assert self.process is not None
        assert self.process.stdout is not None
        self.process.wait(seconds)
        self.process.stdout.close()


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    found = Desk(tmp_path_factory.mktemp("desk")).open()
    yield found
    found.close()


@dataclass
class Watched:
    """What a page asked for and what it complained of."""

    requests: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def follow(self, page: Page) -> None:
        """Listen to a page from now on."""
        page.on("request", self._asked)
        page.on("console", self._said)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def _asked(self, request: Request) -> None:
        self.requests.append(request.url)

    def _said(self, message: ConsoleMessage) -> None:
        # A refused form is answered with 422, which the browser reports as an error of its own; so it does with figures
        # that were asked for and given up because the shares changed.
        known = ("status of 422", "htmx:sendAbort", "htmx:afterRequest")
        if message.type in ("error", "warning") and not any(words in message.text for words in known):
            self.complaints.append(message.text)

    def strangers(self) -> list[str]:
        """Addresses that are not on this machine."""
        return [
            url for url in self.requests if urlsplit(url).scheme != "data" and urlsplit(url).hostname != "127.0.0.1"
        ]
