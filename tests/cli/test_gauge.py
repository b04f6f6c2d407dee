"""`gristwright gauge`: values, keys of the JSON, refusals."""

import json

import pytest
from click.testing import CliRunner, Result

from gristwright.cli.main import cli


def run(*words: str) -> Result:
    return CliRunner().invoke(cli, ["gauge", *words])


def data_of(*words: str) -> dict[str, float]:
    done = run(*words, "--json")
    assert done.exit_code == 0, done.output
    return json.loads(done.output)


def test_density() -> None:
    """40 %vol at 20 degC: 948.05 kg/m3 (European Pharmacopoeia 5.5)."""
    data = data_of("density", "--abv", "40", "--temp", "20")
    assert list(data) == ["abv_pct", "degC", "density_kg_m3", "mass_pct", "volume_factor_to_20C", "method"]
    assert data["density_kg_m3"] == pytest.approx(948.05, abs=0.005)


def test_strength_from_density_with_a_decimal_comma() -> None:
    data = data_of("strength", "--density", "914,5", "--temp", "15")
    back = data_of("density", "--abv", str(data["abv_pct"]), "--temp", "15")
    assert back["density_kg_m3"] == pytest.approx(914.5, abs=1e-6)


def test_strength_from_a_reading() -> None:
    assert data_of("strength", "--reading", "40", "--temp", "20")["abv_pct"] == pytest.approx(40.0, abs=1e-9)


def test_reduce() -> None:
    data = data_of("reduce", "--litres", "100", "--from", "63.5", "--to", "46")
    assert {"water_L", "water_kg", "final_L", "contraction_L"} <= set(data)
    # By alcohol: 100 L x 63.5 = final x 46.
    assert data["final_L"] == pytest.approx(6350.0 / 46.0, rel=1e-9)


def test_lpa_three_ways() -> None:
    by_volume = data_of("lpa", "--litres", "200", "--abv", "63.5")
    assert by_volume["alcohol_20C_LPA"] == pytest.approx(127.0)
    density = data_of("density", "--abv", "63.5")["density_kg_m3"]
    by_mass = data_of("lpa", "--kg", str(0.2 * density), "--abv", "63.5")
    assert by_mass["alcohol_20C_LPA"] == pytest.approx(127.0)
    weighed = data_of("lpa", "--weighed-kg", str(0.2 * density), "--abv", "63.5")
    # A scale in air shows a spirit 0.11 to 0.12 % too light (buoyancy, OIML D 28).
    assert weighed["alcohol_20C_LPA"] / 127.0 == pytest.approx(1.00118, abs=5e-5)


def test_proof() -> None:
    data = data_of("proof", "--abv", "40")
    assert set(data) == {"abv_pct", "abv_60F_pct", "us_proof", "uk_proof", "method"}
    assert 79.8 < data["us_proof"] < 79.9


def test_text_keeps_to_80_columns() -> None:
    for words in (["proof", "--abv", "40"], ["lpa", "--litres", "1", "--abv", "40"], ["density", "--abv", "40"]):
        assert max(map(len, run(*words).output.splitlines())) <= 80


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["density", "--abv", "101"], "strength: 101 %vol lies outside 0 to 100 %vol."),
        (["density", "--abv", "40", "--temp", "41"], "temperature: 41 degC lies outside -20 to 40 degC."),
        (["strength", "--density", "1010"], "density: 1010 kg/m3 at 20 degC lies outside"),
        (["strength"], "Give either --density or --reading."),
        (["strength", "--density", "900", "--reading", "40"], "Give either --density or --reading."),
        (["reduce", "--litres", "100", "--from", "46", "--to", "63.5"], "water only weakens it"),
        (["lpa", "--abv", "40"], "Give one of --litres, --kg and --weighed-kg."),
        (["density", "--abv", "forty"], "'forty' is not a number."),
        (["density", "--abv", "nan"], "'nan' is not a number."),
    ],
)
def test_refusals_exit_2(words: list[str], sentence: str) -> None:
    done = run(*words)
    assert done.exit_code == 2
    assert sentence in done.stderr
    assert "Traceback" not in done.stderr
