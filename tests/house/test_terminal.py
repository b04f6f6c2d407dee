"""Every command prints by cli/echo.py, which lets nothing out of a file steer the terminal."""

from __future__ import annotations

import re

from house.places import PACKAGE, sources

BY_ITSELF = re.compile(r"\bclick\.s?echo\b|\bprint\(|\bsys\.(?:stdout|stderr)\b")
# What prints, and a child process that answers its parent.
ALLOWED = {"cli/echo.py", "files/workbook_child.py"}


def test_nothing_prints_by_itself() -> None:
    found = {str(path.relative_to(PACKAGE)) for path in sources() if BY_ITSELF.search(path.read_text(encoding="utf-8"))}
    assert found <= ALLOWED
