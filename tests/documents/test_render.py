"""The printed page says what the JSON says, the same every time, and is written whole or not at all."""

import io
import json
import os
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from documents.sample import conflict, literature_only, recommendation
from gristwright.basics import Refused
from gristwright.documents import recommendation as document
from gristwright.documents import render
from gristwright.documents.view import recommendation_view
from gristwright.files.writing import NEW
from gristwright.records.results import Recommendation

CASES = {"five": recommendation(5), "three": recommendation(3), "none": conflict(), "literature": literature_only()}
NUMBER = re.compile(r"[+\u2212]?\d[\d\u202f]*(?:\.\d+)?")


def made(case: Recommendation) -> tuple[PdfReader, str, str]:
    """The PDF, its text in one line and the JSON."""
    view = recommendation_view(case)
    reader = PdfReader(io.BytesIO(document.recommendation_pdf(view, case.present.ledger)))
    text = "\n".join(page.extract_text() for page in reader.pages)
    return reader, re.sub("[ \n]+", " ", text), render.view_json(view).decode()


@cache
def made_of(name: str) -> tuple[PdfReader, str, str]:
    """That of a case, made when a test first asks for it."""
    return made(CASES[name])


def said(text: str) -> str:
    """The words of a text with line breaks and hyphenation out of the way."""
    return re.sub(r"[\s\u00ad-]+", "", text)


@pytest.mark.parametrize("name", CASES)
def test_every_offer_caution_answer_and_warning_is_printed(name: str) -> None:
    case, text = CASES[name], said(made_of(name)[1])
    wanted = [case.title, case.customer, case.question, case.adviser, *case.answer, *case.cautions, *case.warnings]
    wanted += [offer.result.bill.name for offer in case.offers]
    wanted += [line for offer in case.offers for line in offer.words]
    wanted += [fact.text for fact in case.will_not] + [line.how for line in case.measure_next]
    wanted += [answer.reason for law in case.present.law for answer in law.answers if answer.verdict != "pass"]
    wanted += [case.anchor.sentence] + [line.gives for line in case.search.conflict]
    assert [line for line in wanted if said(line) not in text] == []


@pytest.mark.parametrize("name", CASES)
def test_every_printed_number_stands_in_the_json(name: str) -> None:
    _, text, source = made_of(name)
    pages = re.sub(r"page \d+ of \d+", "", text)
    known = set(NUMBER.findall(source.replace("-", "\u2212")))
    counted = {str(number) for number in range(1, 4)}  # the numbers of the lists
    assert sorted(set(NUMBER.findall(pages)) - known - counted) == []


@pytest.mark.parametrize("name", CASES)
def test_the_page_count_is_kept(name: str) -> None:
    pages = made_of(name)[0].pages
    assert 4 <= len(pages) <= 6
    begins = [number for number, page in enumerate(pages, 1) if "Annex, for whoever checks" in page.extract_text()]
    assert begins == [3]  # the customer's part is two pages


def test_every_page_says_which_it_is_and_that_it_is_a_planning_aid() -> None:
    reader = made_of("five")[0]
    for number, page in enumerate(reader.pages, start=1):
        text = page.extract_text()
        assert f"page {number} of {len(reader.pages)}" in text
        assert "Planning aid" in text


def test_an_invented_example_says_so_and_a_real_one_does_not() -> None:
    assert "Invented example" in made_of("five")[1]
    assert "Invented example" not in made(replace(recommendation(2), invented=False))[1]


def test_literature_only_is_said() -> None:
    assert "Literature only" in made_of("literature")[1]


def test_the_pdf_is_tagged_titled_dated_and_in_one_typeface() -> None:
    reader = made_of("five")[0]
    root = reader.root_object
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    metadata = reader.metadata
    assert metadata is not None
    assert metadata.title == CASES["five"].title
    assert "2026" in metadata["/CreationDate"]
    fonts = {font.get_object()["/BaseFont"] for page in reader.pages for font in page["/Resources"]["/Font"].values()}
    assert all("SourceSansPro" in font for font in fonts)


def test_the_same_recommendation_gives_the_same_bytes(tmp_path: Path) -> None:
    first = document.write_recommendation(recommendation(3), tmp_path / "one")
    second = document.write_recommendation(recommendation(3), tmp_path / "two")
    assert [path.read_bytes() for path in first] == [path.read_bytes() for path in second]
    assert [path.name for path in first] == ["recommendation.pdf", "recommendation.json"]
    assert json.loads(first[1].read_text(encoding="utf-8"))["format"] == "gristwright.recommendation/1"


def test_nothing_but_the_two_files_is_left(tmp_path: Path) -> None:
    document.write_recommendation(conflict(), tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["recommendation.json", "recommendation.pdf"]


def _fail_on(monkeypatch: pytest.MonkeyPatch, wanted: str) -> None:
    rename = os.replace

    def replace_or_fail(source: Path, target: Path) -> None:
        if Path(target).name == wanted and Path(source).parent.name == NEW:
            raise OSError(28, "No space left on device")
        rename(source, target)

    monkeypatch.setattr(os, "replace", replace_or_fail)


@pytest.mark.parametrize("wanted", ["recommendation.pdf", "recommendation.json"])
def test_a_failure_midway_leaves_no_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, wanted: str) -> None:
    _fail_on(monkeypatch, wanted)
    with pytest.raises(Refused, match="no room left on its disk"):
        document.write_recommendation(conflict(), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_failure_midway_keeps_what_was_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = {path: path.read_bytes() for path in document.write_recommendation(conflict(), tmp_path)}
    _fail_on(monkeypatch, "recommendation.json")
    with pytest.raises(Refused):
        document.write_recommendation(recommendation(2), tmp_path)
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_a_folder_that_cannot_be_made_is_refused_in_one_sentence(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("a file, no folder", encoding="utf-8")
    with pytest.raises(Refused) as caught:
        document.write_recommendation(conflict(), blocked / "inside")
    (problem,) = caught.value.problems
    assert str(blocked) in problem.address.file
    assert "a part of its path is a file and no folder." in problem.what
    assert problem.way_out


def test_pages_can_be_had_as_pictures() -> None:
    case = conflict()
    pages = document.recommendation_pages(recommendation_view(case), case.present.ledger, ppi=20)
    assert all(page.startswith(b"\x89PNG") for page in pages)


def test_long_row_labels_get_two_lines() -> None:
    case = conflict()
    row = replace(
        case.present.litres.rows[1], label="Sugar and dextrins left behind in the draff and in the last drops"
    )
    ledger = replace(case.present.ledger, rows=(case.present.litres.rows[0], row, *case.present.litres.rows[2:]))
    view = recommendation_view(replace(case, present=replace(case.present, ledger=ledger)))
    pages = PdfReader(io.BytesIO(document.recommendation_pdf(view, ledger))).pages
    assert said(row.label) in said("".join(page.extract_text() for page in pages))


def test_pages_are_compiled_in_one_place() -> None:
    source = Path(render.__file__).parents[1]
    found = [
        path.name for path in sorted(source.rglob("*.py")) if "typst.Compiler(" in path.read_text(encoding="utf-8")
    ]
    assert found == ["setting.py"]
