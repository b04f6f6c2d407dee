"""`make audit`: holds what the lock files pin against known advisories, and says plainly when nobody could be asked.

Ends with 0 where every package was looked up and nothing is known against any, with 1 where something is, with 3 where
a package could not be looked up: then nothing is known, which is not the same as nothing being wrong.
"""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
# What the product runs on, then what its tests need on top; what audits is looked at too.
LOCKS = ("run.lock", "test.lock", "audit.lock")
# Of one answer, and of a whole lock file [s].
ANSWER_S, LOCK_S = 15, 300
CLEAN, KNOWN, NOT_ASKED = 0, 1, 3
WAY_OUT = "Nothing is known of them. Run make audit again where the advisory database can be reached."


@dataclass
class Looked:
    """What became of the packages of one lock file."""

    asked: int = 0
    advisories: list[str] = field(default_factory=list)
    not_asked: list[str] = field(default_factory=list)
    why: str = ""


def main() -> int:
    """Look every lock file up, tell each, and end with the worst of them."""
    codes = []
    for name in LOCKS:
        looked = look_up(HERE / name)
        lines, code = told(name, looked)
        print("\n".join(lines), flush=True)
        codes.append(code)
        if code == NOT_ASKED and not looked.asked:
            break
    return next(code for code in (KNOWN, NOT_ASKED, CLEAN) if code in codes)


def look_up(lock: Path) -> Looked:
    """Ask of every package of a lock file, within the time."""
    program = Path(sys.executable).with_name("pip-audit")
    command = [str(program), "--requirement", str(lock), "--require-hashes", "--disable-pip", "--format", "json",
               "--vulnerability-service", "osv", "--timeout", str(ANSWER_S), "--progress-spinner", "off"]  # fmt: skip
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=LOCK_S)
    except subprocess.TimeoutExpired:
        return Looked(why=f"no answer within {LOCK_S} seconds")
    except OSError as error:
        return Looked(why=f"pip-audit could not be started ({error.strerror})")
    return understood(done.stdout, done.stderr)


def understood(said: str, complained: str) -> Looked:
    """What pip-audit printed. A package it passed over counts as not asked, whatever it says of the whole."""
    try:
        packages: list[dict[str, Any]] = json.loads(said)["dependencies"]
    except (ValueError, KeyError, TypeError):
        last = complained.strip().splitlines()[-1:] or ["it said nothing"]
        return Looked(why=last[0][:200])
    looked = Looked()
    for one in packages:
        if "skip_reason" in one:
            looked.not_asked.append(str(one["name"]))
            continue
        looked.asked += 1
        for advisory in one.get("vulns", ()):
            mended = ", ".join(advisory.get("fix_versions") or ()) or "no release yet"
            looked.advisories.append(f"{one['name']} {one['version']}: {advisory['id']}, mended in {mended}")
    return looked


def told(name: str, looked: Looked) -> tuple[list[str], int]:
    """The sentences of a lock file, and its code."""
    if looked.asked == 0:
        why = looked.why or "none of its packages is known there"
        return [f"{name}: NOT LOOKED UP: the advisory database gave no answer ({why}). {WAY_OUT}"], NOT_ASKED
    lines = [f"{name}: {one}." for one in looked.advisories]
    lines.append(f"{name}: {looked.asked} packages looked up, {len(looked.advisories)} advisories.")
    if looked.not_asked:
        lines.append(f"{name}: NOT LOOKED UP: {', '.join(looked.not_asked)}. {WAY_OUT}")
    return lines, KNOWN if looked.advisories else NOT_ASKED if looked.not_asked else CLEAN


if __name__ == "__main__":
    sys.exit(main())
