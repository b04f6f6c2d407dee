"""Every command prints by cli/echo.py, which lets nothing out of a file steer the terminal."""

from __future__ import annotations

import re

from house.places import PACKAGE, sources

BY_ITSELF = re.compile(r"\bclick\.s?echo\b|\bprint\(|\bsys\.(?:stdout|stderr)\b")
# What prints, what watches the streams, and child processes that answer their parent.
CHILDREN = {"files/workbook_child.py", "files/workbook_mend.py", "guard/inside.py"}
ALLOWED = {"cli/echo.py", "cli/streams.py", "cli/main.py", *CHILDREN}


def test_nothing_prints_by_itself() -> None:
    found = {str(path.relative_to(PACKAGE)) for path in sources() if BY_ITSELF.search(path.read_text(encoding="utf-8"))}
    assert found <= ALLOWED
