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


def test_a_temperature_may_come_with_its_unit() -> None:
    """60 degF is 15.56 degC."""
    plain = data_of("density", "--abv", "40", "--temp", str((60.0 - 32.0) / 1.8))
    for typed in ("60F", "60 °F", "60 degF", "288.7055556 K"):
        assert data_of("density", "--abv", "40", "--at", typed)["density_kg_m3"] == pytest.approx(
            plain["density_kg_m3"], abs=1e-6
        )
    assert data_of("strength", "--reading", "40", "--temp", "15,56C")["degC"] == pytest.approx(15.56)


def test_strength_and_volume_may_come_with_their_unit() -> None:
    data = data_of("lpa", "--litres", "53 US gal", "--abv", "125 US proof", "--at", "60F")
    # A US proof gallon is a gallon at 60 degF of 100 proof (27 CFR 30.11).
    assert data["us_proof_gal"] == pytest.approx(53 * 1.25, rel=1e-6)


@pytest.mark.parametrize(
    ("typed", "said"), [("80 proof", "Write the one you mean."), ("60F", "temperature"), ("many", "not a number")]
)
def test_a_unit_that_cannot_be_is_told(typed: str, said: str) -> None:
    done = run("density", "--abv", typed)
    assert done.exit_code == 2
    assert said in done.output


def test_vat_of_four_parcels_of_another_house() -> None:
    """Four parcels at four strengths and temperatures, one of them from an American ledger: arithmetic by mass."""
    words = ("vat", "1180@63.4@11C", "412,5@58.9@288.15K", "96.2@71.2@22", "53 US gal@125 US proof@60F")
    data = data_of(*words)
    parcels = data["parcels"]
    assert isinstance(parcels, list)
    assert [round(parcel["degC"], 2) for parcel in parcels] == [11.0, 15.0, 22.0, 15.56]
    assert data["alcohol_20C_LPA"] == pytest.approx(sum(p["alcohol_20C_LPA"] for p in parcels), rel=1e-9)
    assert data["contraction_L"] == pytest.approx(sum(p["volume_20C_L"] for p in parcels) - data["mixed_20C_L"])
    assert data["mixed_20C_L"] * data["abv_pct"] / 100.0 == pytest.approx(data["alcohol_20C_LPA"])
    shown = run(*words).output
    assert "pure alcohol, L" in shown and "contraction_pct" in shown


def test_parcels_without_a_temperature_have_the_options() -> None:
    warm, own = data_of("vat", "100@60", "50@40", "--at", "60F"), data_of("vat", "100@60@60F", "50@40@60F")
    assert warm == own


def test_vat_names_every_fault_at_once() -> None:
    done = run("vat", "100", "200@x", "20@130", "5@40@99", "0@40")
    assert done.exit_code == 2
    assert [f"parcel {k}:" in done.output for k in range(1, 6)] == [True] * 5
