"""Names in every script that the typeface has are printed as they are written, markup of the typesetter and all."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
import xlsxwriter
from pypdf import PdfReader

from documents.sample import recommendation
from gristwright.cli.main import main
from gristwright.documents import recommendation as document
from gristwright.documents.view import recommendation_view
from gristwright.reference.typeface import composed
from house.places import EXAMPLES
from names import REFUSED, SHOWN
from scenario import copied

MIXED = 'Größe Ёлка Άνω #let *x* _y_ $z$ @ref <a> // /* [b] \\ "'


def words(text: str) -> str:
    """A text without what a line's end changes."""
    return re.sub(r"[\s\u00ad-]+", "", text)


def text_of(pdf: bytes) -> str:
    reader = PdfReader(io.BytesIO(pdf))
    fonts = {font.get_object()["/BaseFont"] for page in reader.pages for font in page["/Resources"]["/Font"].values()}
    assert all("SourceSansPro" in font for font in fonts)
    return words("".join(page.extract_text() for page in reader.pages))


@pytest.mark.parametrize("name", SHOWN.values(), ids=SHOWN)
def test_a_name_stands_on_paper_as_it_is_kept(name: str) -> None:
    kept = composed(name)
    case = recommendation(2)
    case = replace(case, title=f"{kept} 1", customer=f"{kept} 2", adviser=f"{kept} 3", question=f"{kept} 4\n{kept} 5")
    text = text_of(document.recommendation_pdf(recommendation_view(case), case.present.litres))
    assert [n for n in range(1, 6) if words(f"{kept} {n}") not in text] == []


@pytest.mark.parametrize(("name", "_"), REFUSED.values(), ids=REFUSED)
def test_a_remark_that_quotes_what_cannot_be_shown_is_printed_with_its_code_points(name: str, _: str) -> None:
    case = recommendation(1)
    case = replace(case, warnings=(f"sheet {name!s}, heading: is not read.",))
    view = recommendation_view(case)
    assert "[U+" in view.advice.warnings[0]
    assert words(view.advice.warnings[0]) in text_of(document.recommendation_pdf(view, case.present.litres))


def everywhere(folder: Path) -> Path:
    """The invented scenario with a mixed name in every text of its files."""
    toml = json.dumps(MIXED, ensure_ascii=False)
    lines = {"title": toml, "customer": toml, "adviser": toml, "question": toml, "name": toml, "prior_contents": toml}
    for path in copied(folder).glob("*.toml"):
        text = path.read_text(encoding="utf-8")
        for key, value in lines.items():
            text = re.sub(rf"(?m)^{key} = .*$", lambda _, line=f"{key} = {value}": line, text)
        text = text.replace(f"[cask.kind]\nname = {toml}", '[cask.kind]\nname = "barrel"')  # a kind of the table
        text = text.replace('"PD-1"', toml).replace("\nPD-1 =", f"\n{toml} =")
        path.write_text(text, encoding="utf-8")
    rows = list(csv.reader(io.StringIO((folder / "lots.csv").read_text(encoding="utf-8"))))
    rows[1][0] = rows[1][2] = rows[1][3] = MIXED
    with (folder / "lots.csv").open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(rows)
    return folder


def test_every_paper_of_an_answer_prints_them(tmp_path: Path) -> None:
    folder, out = everywhere(tmp_path), tmp_path / "out"
    lots = ["--lots", str(folder / "lots.csv"), "--members", "8", "--out", str(out)]
    assert main(["advise", str(folder / "enquiry.toml"), *lots, "--dossier"]) == 0
    assert main(["specify", str(folder / "bill.toml"), *lots]) == 0
    papers = sorted(out.glob("*.pdf"))
    assert [path.name for path in papers] == ["dossier.pdf", "recommendation.pdf", "specification.pdf"]
    assert [path.name for path in papers if words(MIXED) not in text_of(path.read_bytes())] == []


def test_a_sheet_and_a_heading_in_another_script_are_no_hindrance(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    rows = list(csv.reader(io.StringIO((folder / "lots.csv").read_text(encoding="utf-8"))))
    rows[0][rows[0].index("fermentability [%]")] = "发酵度"
    with xlsxwriter.Workbook(folder / "lots.xlsx", {"strings_to_numbers": True}) as book:
        sheet = book.add_worksheet("数据")
        for number, row in enumerate(rows):
            sheet.write_row(number, 0, row)
    said = [
        'format = "gristwright.map/1"',
        "[[heading]]",
        'text = "发酵度"',
        'field = "fermentability_pct"',
        'unit = "%"',
    ]
    (folder / "map.toml").write_text("\n".join(said), encoding="utf-8")
    words = ["--lots", str(folder / "lots.xlsx"), "--map", str(folder / "map.toml"), "--members", "8"]
    assert main(["advise", str(folder / "enquiry.toml"), *words, "--out", str(tmp_path / "out"), "--dossier"]) == 0
    assert "sheet[U+6570][U+636E]" in text_of((tmp_path / "out" / "dossier.pdf").read_bytes())


def test_a_cask_and_a_claim_print_them(tmp_path: Path) -> None:
    rows = list(csv.reader(io.StringIO((EXAMPLES / "cask-stock" / "casks.csv").read_text(encoding="utf-8"))))[:2]
    for column in ("store", "place", "spirit", "prior_contents", "note"):
        rows[1][rows[0].index(column)] = MIXED
    with (tmp_path / "casks.csv").open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(rows)
    told = ["cask", "statement", str(tmp_path / "casks.csv"), "MK-12-001", "--out", str(tmp_path), "--on", "2026-11-25"]
    assert main([*told, "--climate", "cool humid store", "--years", "2"]) == 0
    assert words(MIXED) in text_of((tmp_path / "cask-MK-12-001.pdf").read_bytes())
    arms = tmp_path / "arms.csv"
    text = (EXAMPLES / "ageing-programme" / "arms.csv").read_text(encoding="utf-8")
    arms.write_text(re.sub(r"(?m)^A,", "Ёлка *x*,", text), encoding="utf-8")
    told = ["ageing", "claim", str(EXAMPLES / "ageing-programme" / "ladder.csv"), str(arms), "--claim", "3:6-8"]
    assert main([*told, "--title", MIXED, "--out", str(tmp_path)]) == 0
    printed = text_of((tmp_path / "claim.pdf").read_bytes())
    assert words(MIXED) in printed
    assert words("Arm Ёлка *x*") in printed


def test_a_title_that_cannot_be_shown_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = EXAMPLES / "ageing-programme"
    told = ["ageing", "claim", str(folder / "ladder.csv"), str(folder / "arms.csv"), "--claim", "3:6-8"]
    assert main([*told, "--title", "酒", "--out", str(tmp_path / "out")]) == 2
    assert "--title: holds 酒 (U+9152" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()
