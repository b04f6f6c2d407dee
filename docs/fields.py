"""Writes the tables of fields in the pages anew from what the records and the tables say: make tables."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path

from gristwright.casework.mash_house.over import keys
from gristwright.files.schemas import FILES, field_table
from gristwright.records.plant import WATERS
from gristwright.stages.grist.certificate_units import fields

FOLDER = Path(__file__).parent
FULL = 140


def settings() -> str:
    """What of the mash may be varied; of the waters the first stands for all."""
    mash = [key.removeprefix("mash.") for key in keys() if key.startswith("mash.")]
    said = [f"`{key}`" for key in mash if not any(f".{water}." in key for water in WATERS[1:])]
    return _filled(", ".join(said) + ".")


def settings_of_washbacks() -> str:
    """What of the washbacks may be varied."""
    return _filled(", ".join(f"`{key}`" for key in keys() if key.startswith("washback.")) + ".")


def _filled(text: str) -> str:
    """The text in lines of no more than so many characters."""
    lines = [""]
    for word in text.split():
        if len(lines[-1]) + len(word) >= FULL:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return "\n".join(lines)


def of_a_certificate() -> str:
    """The fields of a certificate, with the units they come in and the basis that is kept."""
    rows = [f"| {field.title} | {', '.join(field.units)} | {field.basis} |" for field in fields().values()]
    return "\n".join(["| field | units | basis kept |", "| --- | --- | --- |", *rows])


# Rows that lie off the outside by less than this share of the need are no news of the room's page.
TOLD = 0.5


def misses(room: str) -> str:
    """Where a room lies farthest off published figures and practice, the worst first, out of its page of evidence."""
    kept = []
    for section in (FOLDER / "evidence" / f"{room}.md").read_text(encoding="utf-8").split("\n## ")[1:]:
        for line in section.splitlines():
            cells = [cell.strip() for cell in line.strip("| ").split(" | ")]
            if len(cells) < 7 or cells[0] in ("what", "---") or section.startswith("Arithmetic"):
                continue
            what, outside, _, here, _, off, source, *remark = cells
            if float(off) >= TOLD:
                said = f"{what.partition(': ')[2]} ({source.partition(';')[0]})"
                kept.append((float(off), f"| {said} | {outside} | {here} | {off} | {'; '.join(remark)} |"))
    rows = [row for _, row in sorted(kept, key=lambda one: -one[0])]
    return "\n".join(["| against | outside | forecast | off by, needs | |", "| --- | --- | --- | --- | --- |", *rows])


PAGES: dict[str, Mapping[str, Callable[[], str]]] = {
    "files.md": {f"fields of {kind}": lambda kind=kind: field_table(kind) for kind in FILES},  # type: ignore[misc]
    "vary.md": {"settings": settings, "settings of the washbacks": settings_of_washbacks},
    "certificates.md": {"fields of a certificate": of_a_certificate},
    "cask.md": {"where it misses": lambda: misses("cask")},
}


def page(name: str, text: str) -> str:
    """The page with every table as it is now."""
    for mark, made in PAGES[name].items():
        marks = re.compile(f"(<!-- {mark} -->\n).*?(<!-- end -->)", re.DOTALL)
        table = made()
        text = marks.sub(lambda found, table=table: f"{found[1]}\n{table}\n\n{found[2]}", text)
    return text


if __name__ == "__main__":
    for name in PAGES:
        path = FOLDER / name
        path.write_text(page(name, path.read_text(encoding="utf-8")), encoding="utf-8")
