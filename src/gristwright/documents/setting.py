"""What the engine of documents does: templates into pages. It runs in a process of its own, see render."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import typst


def made(request: Mapping[str, Any]) -> list[bytes]:
    """One PDF dated by `timestamp` [s], or one PNG a page where `ppi` [dots per inch] is given."""
    compiler = typst.Compiler(
        root=request["root"],
        input=request["input"],
        font_paths=[request["fonts"]],
        ignore_system_fonts=True,
        sys_inputs=request["words"],
    )
    if request["ppi"] is not None:
        pages = compiler.compile(format="png", ppi=request["ppi"])
    else:
        pages = compiler.compile(format="pdf", pdf_standards=[request["standard"]], timestamp=request["timestamp"])
    return pages if isinstance(pages, list) else [pages or b""]
