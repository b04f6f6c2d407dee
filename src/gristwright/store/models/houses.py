"""The house of an enquiry and the cask its spirit is meant for."""

from __future__ import annotations

from django.db import models
from simple_history.models import HistoricalRecords

from gristwright.stages.cask import limits as cask
from gristwright.stages.mash import limits as mash
from gristwright.stages.wash import limits as wash
from gristwright.store.columns import Flag, choice, maybe, number, text, whole, words
from gristwright.store.models.enquiries import Enquiry

KINDS = ("separated", "grain-in")
STILLS = ("pot stills", "column and doubler", "none")
ENZYMES = ("malt only", "added natural", "added microbial", "koji")
AGENTS = ("yeast", "yeast and others")


def water(order: str) -> tuple[models.Field, models.Field]:
    """Litres a kilogram of one water, and where the mash settles with it."""
    litres = maybe(f"{order.capitalize()} water", "L/kg", *mash.WATER_L_PER_KG)
    return litres, maybe(f"Settles with the {order} at", "°C", *mash.WATER_SETTLED_DEGC)


class House(models.Model):
    """A house with its mash, washbacks and stills. Columns are named as the records name them."""

    enquiry = models.OneToOneField(Enquiry, models.CASCADE, related_name="house")
    name = text("Name of the house")
    kind = choice("Wort or whole mash", KINDS, "separated")
    country = text("Country", 10, help_text="Such as DE; GB-SCT for Scotland, GB-NIR for Northern Ireland.")
    tonnes_per_year = number("Grist mashed in a year", "t", 0.1, 1_000_000)
    one_distillery = Flag("All at one distillery", default=True)
    wort_boiled = Flag("The wort is boiled", default=False)
    enzymes = choice("Enzymes", ENZYMES, "malt only")
    ferment_agents = choice("Fermented with", AGENTS, "yeast")

    kg_per_mash = number("Grist of one mash", "kg", *mash.KG_PER_MASH)
    wort_L_per_t = number("Wort, or whole mash, of a tonne", "L/t", *mash.VOLUME_L_PER_T)
    settled_mash_degC = number("Settled mash", "°C", *mash.SETTLED_DEGC, default=64.0)
    mash_pH = maybe("Mash pH, as measured", "pH", *mash.MASH_PH)
    pH_aim = maybe("Mash pH aimed at", "pH", *mash.AIM_PH)
    cook_degC = maybe("Cooker", "°C", *mash.COOK_DEGC)
    premalt_pct = number("Malt in the cooker", "% of the grist", *mash.PREMALT_PCT, default=0.0)
    backset_pct = number("Backset in the liquor", "%", *mash.BACKSET_PCT, default=0.0)
    plate_area_m2 = maybe("Plates of the tun", "m²", *mash.PLATE_M2)
    usual_run_off_hours = maybe("Usual run-off", "h", *mash.RUN_OFF_HOURS)
    grist_degC = number("Grist before mashing", "°C", *mash.GRIST_DEGC, default=15.0)
    vessel_loss_K = number("What a cold tun takes", "K", *mash.VESSEL_LOSS_K, default=0.0)
    bag_kg = number("A bag holds", "kg", *mash.WEIGHING_KG, default=25.0)
    silo_kg = number("The silo scale weighs in steps of", "kg", *mash.WEIGHING_KG, default=5.0)
    mill_gap_mm = maybe("Gap of the last rolls", "mm", *mash.GAP_MM)
    stand_min = maybe("Stand before run-off", "min", *mash.STAND_MIN)
    water_first_L_per_kg, water_first_degC = water("first")
    water_second_L_per_kg, water_second_degC = water("second")
    water_third_L_per_kg, water_third_degC = water("third")
    water_fourth_L_per_kg, water_fourth_degC = water("fourth")

    washbacks = whole("Washbacks", "washbacks", *wash.COUNT)
    washback_volume_L = number("A washback holds", "L", *wash.VOLUME_L)
    ferment_hours = number("Fermentation", "h", *wash.HOURS)
    set_degC = number("Set temperature", "°C", *wash.SET_DEGC, default=20.0)

    stills = choice("Stills", STILLS, "pot stills")
    wash_charge_L = maybe("Charge of the wash still", "L", 10, 100_000)
    spirit_charge_L = maybe("Charge of the spirit still", "L", 10, 100_000)
    low_wines_abv_pct = number("Low wines", "%vol", 15, 35, default=22.0)
    charge_abv_pct = number("Strength of that charge", "%vol", 15, 35, default=25.0)
    heart_abv_pct = number("Heart", "%vol", 55, 85, default=69.0)
    beer_L_per_h = maybe("Feed of the column", "L/h", 10, 1_000_000)
    head_abv_pct = number("Head of the column", "%vol", 40, 80, default=60.0)
    doubler_abv_pct = number("Spirit off the doubler", "%vol", 40, 94.7, default=68.0)
    history = HistoricalRecords()

    def __str__(self) -> str:
        return "The house"


class Cask(models.Model):
    """What the spirit is filled into, where it lies and how it is bottled."""

    enquiry = models.OneToOneField(Enquiry, models.CASCADE, related_name="cask")
    kind = text("Kind of cask", 80)
    capacity_L = number("Capacity", "L", cask.LOW_CAPACITY_L, cask.HIGH_CAPACITY_L)
    wall_mm = number("Thickness of the staves", "mm", cask.LOW_WALL_MM, cask.HIGH_WALL_MM)
    wood = text("Wood", 40, default="oak")
    fill_number = whole("Which fill this is", "fills", 1, 9, default=1)
    charred = Flag("Charred inside", default=True)
    prior_contents = text("What lay in it before", 80, needed=False)
    climate = text("Store", 80)
    month_degC = words("Monthly means, January first, °C")
    month_humidity = words("Monthly relative humidity, 0 to 1")
    climate_source = text("Where the climate is from", 400, needed=False)
    climate_standing = text("Standing of the climate", 20, default="measured")
    entry_abv_pct = number("Strength at filling", "%vol", cask.LOW_ENTRY_ABV_PCT, cask.HIGH_ENTRY_ABV_PCT)
    years = number("Years in the cask", "years", 0, 50)
    bottle_abv_pct = number("Strength in the bottle", "%vol", 37, 70)
    bottle_L = number("A bottle holds", "L", 0.02, 5, default=0.7)
    first_month = whole("Month of filling", "(1 is January)", 1, 12, default=1)
    additions = words("What is added before bottling", blank=True)
    excise_warehouse = Flag("All its time in an excise warehouse or the like", null=True, blank=True, default=None)
    history = HistoricalRecords()

    def __str__(self) -> str:
        return "The cask"
