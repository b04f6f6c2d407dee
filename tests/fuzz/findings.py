"""Findings on disk: one small file each, with the case as plain data and the command that runs it again."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from fuzz.watch import Finding


def slug(text: str) -> str:
    """A name of a file."""
    return re.sub(r"[^A-Za-z0-9.]+", "-", text).strip("-")[:100]


def write(folder: Path, part: str, case: dict[str, Any], finding: Finding, seed: int, batch: int) -> Path:
    """The file of a finding: what it is, how it is run again, the case, the traceback."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{slug(part)}-{slug(finding.name)}.json"
    told = {
        "again": f"python tests/fuzz/attack.py --again {path}",
        "part": part,
        "seed": seed,
        "batch": batch,
        "kind": finding.kind,
        "place": finding.place,
        "what": finding.what,
        "case": case,
        "trace": finding.trace.splitlines(),
    }
    path.write_text(json.dumps(told, indent=1, ensure_ascii=True), encoding="ascii")
    return path


def read(path: Path) -> tuple[str, dict[str, Any]]:
    """The part of the product and the case of a finding."""
    told = json.loads(path.read_text(encoding="ascii"))
    return told["part"], told["case"]
