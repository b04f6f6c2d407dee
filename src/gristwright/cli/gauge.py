"""`gristwright gauge`: density, strength, reduction, pure alcohol and proof of a spirit. See docs/quantities.md."""

from __future__ import annotations

import click

from gristwright.cli.numbers import NUMBER
from gristwright.cli.tables import Cell, as_json, named_values
from gristwright.quantities import alcoholometry, proof

METHOD = "OIML R 22 (1975), density in vacuum, strength at 20 degC"
json_option = click.option("--json", "as_data", is_flag=True, help="Print JSON.")
temp_option = click.option("--temp", type=NUMBER, default=20.0, show_default=True, help="Temperature [degC].")
abv_option = click.option("--abv", type=NUMBER, required=True, help="Strength [%vol at 20 degC].")


def show(values: dict[str, Cell], as_data: bool, method: str = METHOD) -> None:
    """Print the values, and what they rest on, as text or JSON."""
    values = {**values, "method": method}
    click.echo(as_json(values) if as_data else named_values(values))


@click.group()
def gauge() -> None:
    """Density, strength, reduction and pure alcohol of a spirit.

    For planning. Duty is reckoned by the tables and instruments your excise authority prescribes.
    """


@gauge.command()
@abv_option
@temp_option
@json_option
def density(abv: float, temp: float, as_data: bool) -> None:
    """Density of a spirit of known strength at a temperature."""
    values: dict[str, Cell] = {"abv_pct": abv, "degC": temp}
    values["density_kg_m3"] = alcoholometry.density_kg_m3(abv, temp)
    values["mass_pct"] = 100.0 * alcoholometry.mass_fraction_from_abv(abv)
    values["volume_factor_to_20C"] = alcoholometry.volume_factor(abv, temp)
    show(values, as_data)


@gauge.command()
@click.option("--density", type=NUMBER, help="Density in vacuum [kg/m3].")
@click.option("--reading", type=NUMBER, help="Reading of an alcohol meter graduated at 20 degC [%vol].")
@temp_option
@json_option
def strength(density: float | None, reading: float | None, temp: float, as_data: bool) -> None:
    """Strength from a density, or from an alcohol meter's reading."""
    if (density is None) == (reading is None):
        raise click.UsageError("Give either --density or --reading.")
    values: dict[str, Cell] = {"degC": temp}
    if density is not None:
        values |= {"density_kg_m3": density, "abv_pct": alcoholometry.abv_pct_from_density(density, temp)}
        show(values, as_data)
        return
    assert reading is not None
    values |= {"reading_pct": reading, "abv_pct": alcoholometry.abv_pct_from_meter(reading, temp)}
    show(values, as_data, f"{METHOD}; soda-lime glass, 25e-6 per K")


@gauge.command()
@click.option("--litres", type=NUMBER, required=True, help="Volume of spirit [L at 20 degC].")
@click.option("--from", "start", type=NUMBER, required=True, help="Strength before [%vol].")
@click.option("--to", "aim", type=NUMBER, required=True, help="Strength after [%vol].")
@json_option
def reduce(litres: float, start: float, aim: float, as_data: bool) -> None:
    """Water that brings a spirit down to a strength, with contraction."""
    result = alcoholometry.reduction(litres, start, aim)
    values: dict[str, Cell] = {"spirit_L": litres, "from_abv_pct": start, "to_abv_pct": aim}
    values |= {"water_L": result.water_L, "water_kg": result.water_kg, "final_L": result.final_L}
    values |= {"contraction_L": result.contraction_L}
    show(values, as_data, f"{METHOD}; by mass, all volumes at 20 degC")


@gauge.command()
@click.option("--litres", type=NUMBER, help="Volume [L at the temperature].")
@click.option("--kg", type=NUMBER, help="True mass [kg].")
@click.option("--weighed-kg", type=NUMBER, help="Weight in air on an ordinary scale [kg].")
@abv_option
@temp_option
@json_option
def lpa(
    litres: float | None, kg: float | None, weighed_kg: float | None, abv: float, temp: float, as_data: bool
) -> None:
    """Litres of pure alcohol in a volume or a weight of spirit."""
    if sum(x is not None for x in (litres, kg, weighed_kg)) != 1:
        raise click.UsageError("Give one of --litres, --kg and --weighed-kg.")
    values: dict[str, Cell] = {"abv_pct": abv, "degC": temp}
    if litres is not None:
        alcohol = alcoholometry.lpa_from_litres(litres, abv, temp)
        values |= {"spirit_L": litres, "volume_20C_L": litres * alcoholometry.volume_factor(abv, temp)}
    else:
        if weighed_kg is not None:
            kg = alcoholometry.true_mass_kg(weighed_kg, alcoholometry.density_kg_m3(abv, temp))
            values["weighed_kg"] = weighed_kg
        assert kg is not None
        alcohol = alcoholometry.lpa_from_mass(kg, abv)
        values["mass_kg"] = kg
    values |= {"alcohol_20C_LPA": alcohol, "us_proof_gal": proof.proof_gallons_from_lpa(alcohol)}
    show(values, as_data)


@gauge.command(name="proof")
@abv_option
@json_option
def proof_command(abv: float, as_data: bool) -> None:
    """US proof and historic UK proof of a strength."""
    values: dict[str, Cell] = {"abv_pct": abv, "abv_60F_pct": proof.abv_60F_pct(abv)}
    values |= {"us_proof": proof.us_proof(abv), "uk_proof": proof.uk_proof(abv)}
    method = (
        f"{METHOD}; US proof = 2 x %vol at 60 degF (27 CFR 30.11); UK proof is historic (proof spirit: 12/13 of water)"
    )
    show(values, as_data, method)
