"""The table of characters that can be shown is that of the typeface that ships; each of them can be printed."""

from __future__ import annotations

import io
import json
import re
from html import unescape
from pathlib import Path

import pytest
import typst
from pypdf import PdfReader

from gristwright.charts.fonts import font_folder
from gristwright.charts.render import picture, svg
from gristwright.documents.render import STANDARD
from gristwright.reference import csv_rows
from house.make_shown_characters import FACES, face_characters, ranges, shown_characters
from house.places import PACKAGE, files, text_of

AGAIN = "make the table anew: python tests/house/make_shown_characters.py"
EVERY = '#set document(title: "every character")\n#set text(font: "Source Sans Pro", lang: "en")\n'
WEIGHTS = '#for line in json("lines.json") [#line #text(weight: 600, line) #text(weight: 700, line)\n\n]'


def test_the_table_is_that_of_the_typeface() -> None:
    rows = [(int(row["first"], 16), int(row["last"], 16)) for row in csv_rows("tables/shown_characters.csv")]
    assert rows == ranges(shown_characters()), AGAIN


def test_the_typeface_has_latin_greek_and_cyrillic_in_every_face() -> None:
    for face in FACES:
        assert {ord(c) for c in "aäéłőŞαΩжЯё€²½→"} <= face_characters(face)


def test_every_character_of_the_table_is_printed_in_every_weight(tmp_path: Path) -> None:
    characters = [chr(code) for code in sorted(shown_characters())]
    lines = [f"a{character}b" for character in characters]
    (tmp_path / "lines.json").write_text(json.dumps(lines), encoding="utf-8")
    (tmp_path / "page.typ").write_text(EVERY + WEIGHTS, encoding="utf-8")
    compiler = typst.Compiler(
        root=str(tmp_path), input=str(tmp_path / "page.typ"), font_paths=[str(font_folder())], ignore_system_fonts=True
    )
    page = compiler.compile(format="pdf", pdf_standards=[STANDARD])
    assert isinstance(page, bytes)
    pages = PdfReader(io.BytesIO(page)).pages
    fonts = {font.get_object()["/BaseFont"] for one in pages for font in one["/Resources"]["/Font"].values()}
    assert fonts
    assert all("SourceSansPro" in font for font in fonts)


def test_charts_draw_every_character_of_the_table_in_the_same_typeface() -> None:
    characters = [chr(code) for code in sorted(shown_characters()) if not chr(code).isspace()]
    rows = [{"row": n, "text": "a".join(characters[n : n + 40])} for n in range(0, len(characters), 40)]
    chart = {
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json", "data": {"values": rows}, "width": 900,
        "mark": {"type": "text", "font": "Source Sans Pro"},
        "encoding": {"y": {"field": "row", "type": "ordinal"}, "text": {"field": "text"}},
        "config": {"font": "Source Sans Pro"},
    }  # fmt: skip
    drawn = unescape(svg(chart))
    assert [character for character in characters if character not in drawn] == []
    pages = PdfReader(io.BytesIO(picture(chart, ".pdf"))).pages
    fonts = {font.get_object()["/BaseFont"] for one in pages for font in one["/Resources"]["/Font"].values()}
    assert all("SourceSansPro" in font for font in fonts)


@pytest.mark.parametrize("path", [p for p in files(PACKAGE) if p.suffix == ".typ" or p.parent.name == "charts"])
def test_nothing_on_paper_is_in_italics_which_have_fewer_characters(path: Path) -> None:
    assert not re.search(r"italic|emph\(|oblique", text_of(path) or "")
