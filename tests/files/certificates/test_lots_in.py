"""Lots from CSV and TOML: cell by cell, or a sentence with its row and field."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gristwright.basics import Refused
from gristwright.files.certificates.lots_in import read_lots
from gristwright.stages.grist.certificate_units import table_value
from gristwright.stages.grist.materials import material_named
from scenario import FOLDER

HEAD = "lot,material,moisture [%],extract 0.7 mm as is [%],diastatic power [degWK]"


def write(tmp_path, text, name="lots.csv"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def said(tmp_path, text, name="lots.csv") -> str:
    return "\n".join(p.sentence() for p in read_lots(write(tmp_path, text, name)).problems)


def test_the_scenario_reads_cell_by_cell():
    first = read_lots(FOLDER / "lots.csv").accepted()[0]
    assert first.lot_id == "PD-1" and first.crop == 2025 and first.lot_number == "24-0711"
    assert first.analysis("moisture_pct").value == 4.6
    power = first.analysis("diastatic_power")
    assert (power.value, power.unit) == (262.0, "degWK")
    assert power.where.words == "lots.csv, row 2, diastatic power [degWK]"
    assert read_lots(FOLDER / "lots.csv").accepted()[2].analysis("fermentability_pct") is None


@pytest.mark.parametrize(
    "text",
    [
        HEAD + "\nA,pale_distilling_malt,4.6,77.8,260\n",
        HEAD.replace(",", ";") + "\nA;pale_distilling_malt;4,6;77,8;260\n",
        HEAD.replace(",", "\t") + "\nA\tpale_distilling_malt\t4,6\t77,8\t260\n",
        "﻿" + HEAD + '\nA,pale_distilling_malt,"4,6","77,8",260\n',
    ],
)
def test_separators_and_decimal_commas(tmp_path, text):
    (lot,) = read_lots(write(tmp_path, text)).accepted()
    assert lot.analysis("moisture_pct").value == 4.6
    assert lot.analysis("extract_asis_pct").value == 77.8


def test_toml_reads_the_same(tmp_path):
    text = (
        'format = "gristwright.lots/1"\n[[lot]]\nlot = "A"\nmaterial = "pale_distilling_malt"\ncrop = 2025\n'
        '[lot.analyses]\n"moisture [%]" = 4.6\n"diastatic power [degLintner]" = "79,5"\n'
    )
    (lot,) = read_lots(write(tmp_path, text, "lots.toml")).accepted()
    assert lot.crop == 2025
    assert (lot.analysis("diastatic_power").value, lot.analysis("diastatic_power").unit) == (79.5, "degLintner")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("lot,material,diastatic power [L]\nA,rye_malt,100\n", "degrees Lintner (degLintner), degrees Lovibond"),
        ("lot,material,diastatic power\nA,rye_malt,100\n", "has no unit"),
        ("lot,material,moisture [degWK]\nA,rye_malt,4\n", "does not fit"),
        ("lot,material,mositure [%]\nA,rye_malt,4\n", "is not a field we know"),
        (HEAD + "\nA,rye_malt,wet,77,260\n", "row 2, moisture [%]: 'wet' is not a number"),
        (HEAD + "\nA,rye_malt,4,77,260\nA,rye_malt,4,77,260\n", "lot 'A' is named again; it stands at lots.csv, row 2"),
        (HEAD + "\n,rye_malt,4,77,260\n", "lots.csv, row 2, lot: is empty"),
        (HEAD + "\n", "holds no lot"),
        ("", "holds no lot"),
        ("lot,material,crop\nA,rye_malt,last\n", "'last' is not a year"),
        (
            "lot,material,supplier,lot number,crop\nA,rye_malt,S,1,2025\nB,rye_malt,S,1,2025\n",
            "are those of lots.csv, row 2",
        ),
    ],
)  # fmt: skip
def test_faults(tmp_path, text, sentence):
    assert sentence in said(tmp_path, text)


@pytest.mark.parametrize("heading", ["Phenole gesamt [mg/kg]", "Gesamtphenole (ppm)", "total phenols [mg/kg]"])
def test_a_german_sheet_of_smoked_malt_reads(tmp_path, heading):
    text = f"Charge;Malzsorte;Ernte;Wassergehalt [%];{heading}\nR-2;Weizenrauchmalz (Eiche);2025;5,2;7,5\n"
    (lot,) = read_lots(write(tmp_path, text)).accepted()
    assert lot.material == "oak_smoked_wheat_malt"
    assert lot.analysis("phenols_mg_per_kg").value == 7.5


@pytest.mark.parametrize("heading", ["Phenol [mg/kg]", "phenol (ppm)", "PHENOL mg/kg"])
def test_phenol_alone_may_be_one_substance_or_all_of_them_and_is_asked(tmp_path, heading):
    """Peated malt is traded by its phenols, and a laboratory prints phenol for C6H5OH: common practice both."""
    told = said(tmp_path, f"lot,malt,moisture [%],{heading}\nA,peated malt,4.5,9\n")
    assert "may be total phenols or phenol, the single substance" in told
    assert "write it as phenols [mg/kg] or single phenol [mg/kg]" in told


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("single phenol [mg/kg]", "phenol_mg_per_kg"),
        ("phenol (single substance) [mg/kg]", "phenol_mg_per_kg"),
        ("Phenol (Einzelsubstanz) [mg/kg]", "phenol_mg_per_kg"),
        ("phenols (HPLC) [ppm]", "phenols_mg_per_kg"),
        ("Gesamtphenol [mg/kg]", "phenols_mg_per_kg"),
    ],
)
def test_phenol_and_phenols_are_told_apart(tmp_path, heading, field):
    (lot,) = read_lots(write(tmp_path, f"lot,malt,moisture [%],{heading}\nA,peated malt,4.5,9\n")).accepted()
    assert [analysis.field for analysis in lot.analyses] == ["moisture_pct", field]


@pytest.mark.parametrize("beside", ["Phenole gesamt [mg/kg]", "Guajakol [mg/kg]", "Kresole [mg/kg]"])
def test_beside_the_total_or_another_of_its_kind_phenol_is_the_single_substance(tmp_path, beside):
    (lot,) = read_lots(write(tmp_path, f"Charge;Malz;{beside};Phenol [mg/kg]\nA;Torfmalz;9;3\n")).accepted()
    assert lot.analysis("phenol_mg_per_kg").value == 3.0


GERMAN = """Mälzerei: Erfundene Mälzerei am Bach
{}Charge;Ernte;Wassergehalt [%];Extrakt fein wfr. [%];Farbe [EBC];Phenole (HPLC) lftr. [mg/kg];Lagerdauer [Monate]
{}P-1;2025;4,4;81,0;3,2;;
{}W-7;2025;5,3;83,1;4,4;9;3
{}K-3;2025;5,1;76,2;152;;
{}R-9;2025;5,0;80,4;6;;
"""
GERMAN_TYPES = ("Pilsner Malz", "Eichenrauch-Weizenmalz", "Karamellmalz 150 EBC", "Roggenmalz")


@pytest.mark.parametrize("heading", ["Sorte", "Malzsorte", "Malzart", "Sorte;Malzart", "Malzart;Sorte"])
def test_a_german_certificate_says_its_types_under_sorte_or_malzart(tmp_path, heading):
    """Sorte is the malt where nothing else says it, and the variety of the barley beside a Malzart: common practice."""
    before = ["Amsel;" if heading == "Sorte;Malzart" else "" for _ in GERMAN_TYPES]
    behind = [";Amsel" if heading == "Malzart;Sorte" else "" for _ in GERMAN_TYPES]
    cells = [f"{a}{name}{b};" for a, name, b in zip(before, GERMAN_TYPES, behind, strict=True)]
    lots = read_lots(write(tmp_path, GERMAN.format(f"{heading};", *cells))).accepted()
    assert [lot.material for lot in lots] == [
        "pilsner_malt", "oak_smoked_wheat_malt", "caramel_malt_medium", "rye_malt",
    ]  # fmt: skip
    assert {lot.supplier for lot in lots} == {"Erfundene Mälzerei am Bach"}
    smoked = lots[1]
    assert (smoked.analysis("phenols_mg_per_kg").method, smoked.analysis("months_in_store").value) == ("HPLC", 3.0)


def test_a_coined_name_is_asked_what_it_is_and_the_lot_is_kept(tmp_path):
    """An invented name of a maker: nothing of it is taken for a word of the trade."""
    (lot,) = read_lots(write(tmp_path, "Sorte;Charge;Wassergehalt [%];Malz\nAmsel;X-1;4,5;Moorfeuer\n")).accepted()
    assert lot.material == "Moorfeuer"
    with pytest.raises(Refused, match="Say what it is: which grain, malted or raw"):
        material_named(lot.material, lot.where)


def test_one_cresol_of_several_is_not_taken_for_all(tmp_path):
    reading = read_lots(write(tmp_path, "lot,malt,phenols [mg/kg],o-cresol [mg/kg]\nA,peated malt,9,1\n"))
    assert reading.value[0].analysis("cresols_mg_per_kg") is None
    assert "give all cresols together" in " ".join(problem.sentence() for problem in reading.problems)


@pytest.mark.parametrize(
    ("heading", "printed", "months"),
    [("months in store [months]", "6", 6.0), ("Lagerdauer [Wochen]", "26", 5.98), ("time in store [d]", "90", 2.957)],
)
def test_the_time_in_store_is_a_field_of_the_lot(tmp_path, heading, printed, months):
    """A month is 365.25 / 12 days."""
    (lot,) = read_lots(write(tmp_path, f"lot,malt,phenols [mg/kg],{heading}\nA,peated malt,9,{printed}\n")).accepted()
    assert table_value(lot, lot.analysis("months_in_store")) == pytest.approx(months, rel=1e-3)


def test_all_faults_at_once(tmp_path):
    text = said(tmp_path, HEAD + "\nA,rye_malt,wet,77,260\nA,rye_malt,4,x,260\n,,,,\n")
    assert "'wet'" in text and "'x'" in text and "named again" in text


def test_not_a_text_file(tmp_path):
    path = tmp_path / "lots.csv"
    path.write_bytes(b"PK\x03\x04\x00\x00")
    assert "not a text file" in read_lots(path).problems[0].sentence()


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=300) | st.text(max_size=300).map(str.encode))
def test_any_file_gives_lots_or_sentences_never_a_traceback(tmp_path_factory, raw):
    path = tmp_path_factory.mktemp("any") / "lots.csv"
    path.write_bytes(raw)
    reading = read_lots(path)
    assert reading.value or reading.problems
    assert all(problem.sentence().strip() for problem in reading.problems)
