"""The dossier: three files of the same content, a page that anyone can read, the same bytes every time."""

import datetime as dt
import io
import json
import re
from dataclasses import replace
from functools import cache
from html import unescape
from html.parser import HTMLParser

import pytest
from pypdf import PdfReader

from casework.full import answered_in_full, grain_in, with_claim
from gristwright.basics import Refused
from gristwright.documents.data import as_data
from gristwright.documents.dossier import (
    PAPERS,
    Drawn,
    as_draft,
    as_issued,
    dossier_pages,
    drawn,
    pdf_of,
    write_dossier,
)
from gristwright.documents.dossier_html import desk_page_of, dossier_html, html_of, html_pictures
from gristwright.documents.dossier_view import dossier_view
from gristwright.documents.entries import readable, unresolved
from gristwright.documents.render import view_json
from gristwright.documents.speech import speech
from gristwright.records.order import Dossier

CASES = {
    "offers": answered_in_full,
    "none": lambda: answered_in_full("impossible.toml"),
    "grain-in": grain_in,
    "claim": with_claim,
}
NUMBER = re.compile(r"[+\u2212]?\d[\d\u202f]*(?:\.\d+)?")
VOID = {"meta", "br", "line", "rect", "path", "input", "img", "link"}


class Reader(HTMLParser):
    """Tags with their attributes, the words a reader sees, and whether every tag is closed in its turn."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.words: list[str] = []
        self.faults: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        if not self.open or self.open.pop() != tag:
            self.faults.append(tag)

    def handle_data(self, data):
        if not {"style", "title"} & set(self.open):
            self.words.append(data)

    def named(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.tags if name == tag]


@cache
def page(name: str) -> tuple[Dossier, str, Reader]:
    made = CASES[name]()
    text = dossier_html(dossier_view(made), made.recommendation)
    reader = Reader()
    reader.feed(text)
    return made, text, reader


@pytest.mark.parametrize("name", CASES)
def test_every_number_of_the_page_stands_in_the_json(name: str) -> None:
    made, _, reader = page(name)
    source = view_json(dossier_view(made)).decode().replace("-", "\u2212")
    shown = set(NUMBER.findall(" ".join(reader.words).replace("-", "\u2212")))
    assert len(shown) > 100
    assert sorted(shown - set(NUMBER.findall(source))) == []


@pytest.mark.parametrize("name", CASES)
def test_the_page_can_be_read_by_anyone(name: str) -> None:
    _, text, reader = page(name)
    assert text.startswith("<!DOCTYPE html>")
    assert reader.named("html")[0]["lang"] == "en"
    assert len(reader.named("h1")) == 1
    assert [len(reader.named(tag)) for tag in ("header", "nav", "main", "footer")] == [1, 1, 1, 1]
    assert len(reader.named("caption")) == len(reader.named("table")) > 5
    assert all(head.get("scope") for head in reader.named("th"))
    assert all(
        svg.get("aria-hidden") or (svg.get("role") == "img" and svg.get("aria-label")) for svg in reader.named("svg")
    )
    assert reader.faults == [] and reader.open == []
    marks = [attributes["id"] for _, attributes in reader.tags if "id" in attributes]
    assert len(marks) == len(set(marks))
    assert {link["href"][1:] for link in reader.named("a") if link["href"]} <= set(marks)


def test_the_page_stands_alone() -> None:
    _, text, reader = page("offers")
    assert not {"script", "link", "img", "iframe"} & {tag for tag, _ in reader.tags}
    assert re.findall(r'(?:src|href)="(?!#)[^"]*"', text.replace("xlink:", "")) == []
    assert "@import" not in text and "url(http" not in text
    assert "@media print" in text and "prefers-color-scheme: dark" in text and "tabular-nums" in text


def test_what_a_person_types_is_escaped() -> None:
    made = answered_in_full()
    view = dossier_view(made)
    asked = replace(view, advice=replace(view.advice, question="<b>5 & 15</b>"))
    text = dossier_html(asked, made.recommendation)
    assert "&lt;b&gt;5 &amp; 15&lt;/b&gt;" in text and "<b>5" not in text


@pytest.mark.parametrize("name", CASES)
def test_every_number_rests_on_something(name: str) -> None:
    assert unresolved(dossier_view(CASES[name]())) == []


@pytest.mark.parametrize("paper", PAPERS)
def test_both_papers(paper: str) -> None:
    made = answered_in_full()
    reader = PdfReader(io.BytesIO(dossier_pages(made, dossier_view(made), paper)[0]))
    width, height = (float(side) for side in reader.pages[0].mediabox[2:])
    assert (round(width), round(height)) == {"a4": (595, 842), "letter": (612, 792)}[paper]
    assert len({tuple(one.mediabox) for one in reader.pages}) == 1
    assert reader.root_object["/MarkInfo"]["/Marked"]
    assert reader.metadata is not None and reader.metadata.title == made.recommendation.title
    text = "\n".join(one.extract_text() for one in reader.pages)
    assert "Mash-house order" in text and f"page 1 of {len(reader.pages)}" in text


def test_the_pdf_says_what_the_page_says() -> None:
    made = answered_in_full()
    text = re.sub(r"[\s\u00ad-]+", "", pdf_text(made))
    order, english = made.order, speech()
    told = [step.what for step in order.steps] + [action.do for action in order.actions]
    told += [rule.do for rule in made.change_over.rules] + [*order.cautions, *order.balance, *order.notes]
    wanted = [english.say(one) for one in told]
    assert [line for line in readable(wanted) if re.sub(r"[\s\u00ad-]+", "", line) not in text] == []


def pdf_text(made: Dossier) -> str:
    reader = PdfReader(io.BytesIO(dossier_pages(made, dossier_view(made))[0]))
    return "\n".join(one.extract_text() for one in reader.pages)


@pytest.mark.parametrize("name", CASES)
def test_every_page_and_both_files_have_the_one_fingerprint(name: str) -> None:
    made, html, _ = page(name)
    view = dossier_view(made)
    assert f"fingerprint {view.fingerprint}" in html
    pages = PdfReader(io.BytesIO(dossier_pages(made, view)[0])).pages
    assert [one for one in pages if f"fingerprint {view.fingerprint}" not in one.extract_text()] == []
    assert view.advice.provenance.inputs_digest not in html + pdf_text(made)


def test_a_draft_says_so_and_what_is_issued_from_it_has_its_figures_and_its_fingerprint() -> None:
    made = answered_in_full()
    ready = Drawn.of_text(drawn(made, dossier_view(made)).as_text())
    draft = as_draft(ready, "A. Adviser", "9 January 2027, 17:05")
    paper = as_issued(draft, dt.date(2027, 1, 10), "A. Adviser", "10 January 2027, 09:00", "After the talk of Monday.")
    said = {name: words_of(one) for name, one in {"draft": draft, "paper": paper}.items()}
    for text in said["draft"]:
        assert "9 January 2027, 17:05" in text and "draft, not issued" in text and "Valid until" not in text
    for text in said["paper"]:
        assert "10 January 2027" in text and "10 April 2027" in text and "After the talk of Monday." in text
        assert "not issued" not in text
    for text in (*said["draft"], *said["paper"]):
        assert f"fingerprint {dossier_view(made).fingerprint}" in text
    assert paper.data["notes"]["law"] == ready.data["notes"]["law"]
    same = {key for key in ready.data if key not in ("issue", "issued", "valid_until")}
    assert {key: paper.data[key] for key in same} == {key: ready.data[key] for key in same}


def words_of(ready: Drawn) -> tuple[str, str]:
    """What the PDF and the HTML file say."""
    pdf = PdfReader(io.BytesIO(pdf_of(ready)))
    html = re.sub(r"<[^>]*>", " ", html_of(ready.data, ready.pictures))
    return " ".join(" ".join(p.extract_text() for p in pdf.pages).split()), " ".join(unescape(html).split())


def test_the_page_of_the_desk_has_every_part_of_the_file_and_a_chart_behind_each_picture() -> None:
    made, text, _ = page("offers")
    view = dossier_view(made)
    shown = desk_page_of(as_data(view), html_pictures(view, made.recommendation))
    marks = re.findall(r'<section id="([^"]+)"', text)
    assert re.findall(r'<section id="([^"]+)"', shown) == marks and len(marks) > 15
    charts = re.findall(r'data-chart="([^"]+)"', shown)
    assert len(charts) == len(set(charts)) >= 4
    for chart in charts:
        found = re.search(rf'<script id="{chart}" type="application/json">(.*?)</script>', shown)
        assert found and json.loads(found[1])["description"]
    assert "<h1" not in shown and "<style" not in shown and "<main" not in shown


def test_an_unknown_paper_is_refused() -> None:
    made = answered_in_full()
    with pytest.raises(Refused, match="'a5' is no paper"):
        dossier_pages(made, dossier_view(made), "a5")


def test_three_files_the_same_every_time(tmp_path) -> None:
    first = write_dossier(answered_in_full(), tmp_path / "one")
    second = write_dossier(answered_in_full(), tmp_path / "two")
    assert [path.name for path in first] == ["dossier.pdf", "dossier.html", "dossier.json"]
    assert [path.read_bytes() for path in first] == [path.read_bytes() for path in second]
    assert sorted(path.name for path in (tmp_path / "one").iterdir()) == ["dossier.html", "dossier.json", "dossier.pdf"]
    assert json.loads(first[2].read_text(encoding="utf-8"))["format"] == "gristwright.dossier/1"


def test_a_folder_that_cannot_be_made_is_refused(tmp_path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    with pytest.raises(Refused, match="cannot be written"):
        write_dossier(answered_in_full(), blocked / "o")


def test_without_evidence_the_plane_says_none_shown_and_money_says_what_would_be_needed() -> None:
    view = dossier_view(answered_in_full())
    gain = view.gain
    assert view.ages is None and "none shown" in json.dumps(gain.chart)
    assert all(point.years is None and point.words.startswith("none shown") for point in gain.points)
    last = gain.money.rows[-1]
    assert last.label == "Years that would be needed" and all(cell.text for cell in last.cells[1:])
    assert "None shown: no casks of this bill were read." in pdf_text(answered_in_full())


def test_without_prices_the_plane_stands_and_no_money() -> None:
    gain = dossier_view(grain_in()).gain
    assert gain.money is None and gain.chart is not None
    assert "would be needed" not in pdf_text(grain_in())


def test_a_claim_brings_its_sentences_and_what_may_not_be_printed() -> None:
    made = with_claim()
    view = dossier_view(made)
    gain, ages = view.gain, view.ages
    read = {point.letter: point.years is not None for point in gain.points}
    assert read == {"A": False, "B": False, "C": True, "D": False, "E": False}
    assert [arm.verdict for arm in ages.arms] == ["refuted", "supported"]
    texts = [re.sub(r"[\s\u00ad-]+", "", text) for text in (pdf_text(made), " ".join(page("claim")[2].words))]
    wanted = [text for arm in ages.arms for text in (arm.sentence, arm.verdict_words, arm.conditions)]
    wanted += [ages.inside, *(fact.text for fact in ages.label), *(said.text for said in gain.said)]
    for text in texts:
        assert [line for line in wanted if re.sub(r"[\s\u00ad-]+", "", line) not in text] == []
    assert "may be printed on a label" in ages.inside


def test_the_parts_of_a_litre_add_up_to_the_litre() -> None:
    for bill in dossier_view(answered_in_full()).gain.money.bills:
        assert sum(part.middle for part in bill.parts) == pytest.approx(bill.bottled.middle, rel=0.01)
