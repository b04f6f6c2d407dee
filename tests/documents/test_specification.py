"""The specification's page says what its JSON says, on one page, the same every time."""

import io
import json
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from gristwright.basics import Refused
from gristwright.casework.trade.specify import specify
from gristwright.documents.entries import unresolved
from gristwright.documents.render import view_json
from gristwright.documents.specification import (
    specification_pages,
    specification_view,
    write_specification,
)
from gristwright.records.bill import Bill, Share
from gristwright.records.trade import Specification
from scenario import lots, sheet

NUMBER = re.compile(r"[+−]?\d[\d\u202f]*(?:\.\d+)?")
MIXED = replace(sheet(), bill=Bill("mixed", (Share("PD-1", 9250), Share("CM-120", 750))), prices={})


@cache
def spec() -> Specification:
    return specify(MIXED, lots(), 3.2, (("bill.toml", "0" * 64),), members=128)


def printed() -> PdfReader:
    return PdfReader(io.BytesIO(specification_pages(specification_view(spec()))[0]))


def said(text: str) -> str:
    return re.sub(r"[\s\u00ad-]+", "", text)


def test_one_tagged_page_that_names_every_lot_field_and_caution() -> None:
    reader = printed()
    assert len(reader.pages) == 1
    assert reader.root_object["/MarkInfo"]["/Marked"]
    text = said(reader.pages[0].extract_text())
    wanted = [spec().value_words, *spec().notes, *spec().warnings, *spec().cautions]
    wanted += [lot.lot_id for lot in spec().lots]
    wanted += [line.source for lot in spec().lots for line in lot.contaminants]
    wanted += [line.method for lot in spec().lots for line in lot.lines]
    missing = [
        line for line in wanted if said(line.replace("degLintner", "°Lintner").replace("65 degC", "65 °C")) not in text
    ]
    assert missing == []


def test_every_printed_number_stands_in_the_json() -> None:
    source = view_json(specification_view(spec())).decode().replace("-", "−")
    text = printed().pages[0].extract_text().replace("page 1 of 1", "").replace("-", "−")
    assert sorted(set(NUMBER.findall(text)) - set(NUMBER.findall(source))) == []


def test_every_number_rests_on_something() -> None:
    assert unresolved(specification_view(spec())) == []
    assert unresolved(specification_view(specify(MIXED, lots(), members=64))) == []


def test_the_same_specification_gives_the_same_bytes_and_two_files(tmp_path: Path) -> None:
    first, second = (write_specification(spec(), tmp_path / name) for name in ("one", "two"))
    assert [path.read_bytes() for path in first] == [path.read_bytes() for path in second]
    assert sorted(path.name for path in (tmp_path / "one").iterdir()) == ["specification.json", "specification.pdf"]
    assert json.loads(first[1].read_text(encoding="utf-8"))["format"] == "gristwright.specification/1"


def test_a_folder_that_cannot_be_made_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    with pytest.raises(Refused, match="cannot be written"):
        write_specification(spec(), tmp_path / "file" / "inside")
