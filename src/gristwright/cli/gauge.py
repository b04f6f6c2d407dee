"""`gristwright gauge`: density, strength, reduction, pure alcohol and proof of a spirit. See docs/quantities.md."""

from __future__ import annotations

import click
import numpy as np

from gristwright.basics import Problem, Refused, refuse_if_any
from gristwright.cli.echo import echo
from gristwright.cli.numbers import MASS, NUMBER, STRENGTH, TEMPERATURE, VOLUME
from gristwright.cli.tables import Cell, as_json, named_values, plain_table
from gristwright.quantities import alcoholometry, proof
from gristwright.quantities.conversion import in_unit
from gristwright.quantities.mixing import mixed, parcel_problems

METHOD = "OIML R 22 (1975), density in vacuum, strength at 20 degC"
json_option = click.option("--json", "as_data", is_flag=True, help="Print JSON.")
temp_option = click.option(
    "--temp", "--at", "temp", type=TEMPERATURE, default=20.0, show_default=True, help="Temperature [degC], or 60F."
)
abv_option = click.option(
    "--abv", type=STRENGTH, required=True, help='Strength [%vol at 20 degC], or such as "125 US proof".'
)


def show(values: dict[str, Cell], as_data: bool, method: str = METHOD) -> None:
    """Print the values, and what they rest on, as text or JSON."""
    values = {**values, "method": method}
    echo(as_json(values) if as_data else named_values(values))


@click.group()
def gauge() -> None:
    """Density, strength, reduction, vatting and pure alcohol of a spirit.

    A number with a unit behind it is converted: --at 60F, --abv "125 US proof", --litres "53 US gal".

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
@click.option("--litres", type=VOLUME, required=True, help="Volume of spirit [L at 20 degC].")
@click.option("--from", "start", type=STRENGTH, required=True, help="Strength before [%vol].")
@click.option("--to", "aim", type=STRENGTH, required=True, help="Strength after [%vol].")
@json_option
def reduce(litres: float, start: float, aim: float, as_data: bool) -> None:
    """Water that brings a spirit down to a strength, with contraction."""
    result = alcoholometry.reduction(litres, start, aim)
    values: dict[str, Cell] = {"spirit_L": litres, "from_abv_pct": start, "to_abv_pct": aim}
    values |= {"water_L": result.water_L, "water_kg": result.water_kg, "final_L": result.final_L}
    values |= {"contraction_L": result.contraction_L}
    show(values, as_data, f"{METHOD}; by mass, all volumes at 20 degC")


@gauge.command()
@click.option("--litres", type=VOLUME, help="Volume [L at the temperature].")
@click.option("--kg", type=MASS, help="True mass [kg].")
@click.option("--weighed-kg", type=MASS, help="Weight in air on an ordinary scale [kg].")
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


@gauge.command()
@click.argument("parcels", nargs=-1, required=True)
@temp_option
@json_option
def vat(parcels: tuple[str, ...], temp: float, as_data: bool) -> None:
    """Parcels put together by mass: litres and strength after contraction, the pure alcohol kept.

    Each of PARCELS is LITRES@STRENGTH or LITRES@STRENGTH@TEMPERATURE, such as 100@63.5 or 200@58@15.5; with units
    such as "53 US gal@125 US proof@60F". Water is a parcel of 0 %vol. A parcel without a temperature has --temp's.
    """
    faults: list[Problem] = []
    read = [parcel_of(number, text, temp, faults) for number, text in enumerate(parcels, start=1)]
    litres, abv, degC = (np.array(column, dtype=np.float64) for column in zip(*read, strict=True))
    refuse_if_any([*faults, *parcel_problems(litres, abv, degC)])
    mix = mixed(litres, abv, degC)
    at_20 = litres * alcoholometry.volume_factor(abv, degC)
    alcohol = at_20 * abv / 100.0
    whole: dict[str, Cell] = {"mixed_20C_L": float(mix.litres), "abv_pct": float(mix.abv_pct)}
    whole |= {"alcohol_20C_LPA": float(mix.lpa_L), "contraction_L": float(mix.contraction_L)}
    whole |= {"contraction_pct": 100.0 * float(mix.contraction_L) / float(at_20.sum())}
    whole |= {"mass_kg": float(mix.ethanol_kg + mix.water_kg), "us_proof": proof.us_proof(float(mix.abv_pct))}
    whole |= {"us_proof_gal": proof.proof_gallons_from_lpa(float(mix.lpa_L))}
    names = ("litres", "degC", "abv_pct", "volume_20C_L", "alcohol_20C_LPA")
    rows = [[float(x) for x in row] for row in zip(litres, degC, abv, at_20, alcohol, strict=True)]
    method = f"{METHOD}; by mass, volumes of the mixture at 20 degC"
    if as_data:
        echo(as_json({"parcels": [dict(zip(names, row, strict=True)) for row in rows], **whole, "method": method}))
        return
    heads = ("parcel", "litres", "degC", "%vol", "L at 20 degC", "pure alcohol, L")
    echo(plain_table(heads, [[str(k), *row] for k, row in enumerate(rows, start=1)], digits=6) + "\n")
    show(whole, False, method)


def parcel_of(number: int, text: str, degC: float, faults: list[Problem]) -> tuple[float, float, float]:
    """Litres, strength [%vol at 20 degC] and temperature [degC] of a parcel as typed; its faults are noted."""
    parts = [part.strip() for part in text.split("@")]
    if len(parts) not in (2, 3):
        what = f"{text!r} is no litres at a strength."
        faults.append(Problem(f"parcel {number}", what, "Write litres, @, strength, such as 100@63.5 or 100@63.5@15."))
        return 1.0, 0.0, degC
    values = [1.0, 0.0, degC]
    for place, (part, unit) in enumerate(zip(parts, ("litre", "abv_pct", "degC"), strict=False)):
        try:
            values[place] = in_unit(part, unit)
        except Refused as refused:
            faults += [Problem(f"parcel {number}", fault.what, fault.way_out) for fault in refused.problems]
    return values[0], values[1], values[2]
