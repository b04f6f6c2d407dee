"""Writes the tables of fields in docs/files.md anew from what the records say of themselves: make tables."""

import re
from pathlib import Path

from gristwright.files.schemas import FILES, field_table

PAGE = Path(__file__).with_name("files.md")


def page(text: str) -> str:
    """The page with every table as the records have it."""
    for kind in FILES:
        marks = re.compile(f"(<!-- fields of {kind} -->\n).*?(<!-- end -->)", re.DOTALL)
        table = field_table(kind)
        text = marks.sub(lambda found, table=table: f"{found[1]}\n{table}\n\n{found[2]}", text)
    return text


if __name__ == "__main__":
    PAGE.write_text(page(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
