"""The house of an enquiry and the cask its spirit is meant for."""

from __future__ import annotations

from django.db import models
from simple_history.models import HistoricalRecords

from gristwright.reference.grains import cooked_first
from gristwright.stages.cask import limits as cask
from gristwright.stages.mash import limits as mash
from gristwright.stages.wash import limits as wash
from gristwright.store.columns import Flag, choice, maybe, number, text, whole, words
from gristwright.store.models.enquiries import EnquiryRow

KINDS = ("separated", "grain-in")
STILLS = ("pot stills", "column and doubler", "none")
ENZYMES = ("malt only", "added natural", "added microbial", "koji")
AGENTS = ("yeast", "yeast and others")
SETTLED = "Empty: from the liquor or the longest rest, else 64."
LIQUOR = "In the tank, before it meets the grist. Given, the settled mash is worked out from it."
LITRES = "For a mash without waters below. Empty: from the volume of a tonne."
COOKER = "Empty: no cooker. Above 100 °C it is a pressure vessel, under local rules and a licensed operator."
COOLING = "None, a jacket, a coil inside, or an exchanger the wash is pumped through."
WEAK = "What is run off after them is weak wort, the first liquor of the next mash."
*MOST, LAST = sorted(cooked_first())
SECOND = (
    f"{', '.join(MOST)} and {LAST} are cooked from the start, other raw grain goes in on the way down; "
    "tick what shall too."
).capitalize()


def water(order: str) -> tuple[models.Field, models.Field]:
    """Litres a kilogram of one water, and where the mash settles with it."""
    litres = maybe(f"{order.capitalize()} water", "L/kg", *mash.WATER_L_PER_KG)
    return litres, maybe(f"Settles with the {order} at", "°C", *mash.WATER_SETTLED_DEGC)


def rest(order: int) -> tuple[models.Field, models.Field]:
    """Where the mash rests, and for how long."""
    return maybe(f"Rest {order}, settled at", "°C", *mash.REST_DEGC), maybe(f"Rest {order}, for", "min", *mash.REST_MIN)


def step(label: str, usual: str) -> models.Field:
    """Minutes of one step of a cook."""
    return maybe(label, "min", *mash.COOKER_MIN, f"Empty: {usual}.")


class House(models.Model):
    """A house with its mash, washbacks and stills. Columns are named as the records name them."""

    enquiry = models.OneToOneField(EnquiryRow, models.CASCADE, related_name="house")
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
    settled_mash_degC = number("Settled mash", "°C", *mash.SETTLED_DEGC, SETTLED, default=64.0)
    mash_pH = maybe("Mash pH, as measured", "pH", *mash.MASH_PH)
    pH_aim = maybe("Mash pH aimed at", "pH", *mash.AIM_PH)
    cook_degC = maybe("Cooker, at its hottest", "°C", *mash.COOK_DEGC, COOKER)
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
    vessel = choice("Vessel", mash.VESSELS, "tun", "Mash tun, lauter tun or mash filter.")
    vessel_L = maybe("The vessel holds", "L", *mash.VESSEL_L, "Empty: whether the mash fits is not looked at.")
    liquor_degC = maybe("Liquor of the first water", "°C", *mash.LIQUOR_DEGC, LIQUOR)
    liquor_L_per_kg = maybe("Liquor at mashing in", "L/kg", *mash.LIQUOR_L_PER_KG, LITRES)
    later_stand_min = number("Stand of each later water", "min", *mash.LATER_STAND_MIN, default=20.0)
    run_off_min = number("Run-off of each water", "min", *mash.RUN_OFF_MIN, default=40.0)
    waters_to_washback = whole("Waters to the washback", "waters", *mash.WATERS_TO_WASHBACK, WEAK, default=2)
    calcium_mg_per_L = maybe("Calcium", "mg/L", *mash.CALCIUM_MG_PER_L)
    alkalinity_mg_per_L = maybe("Alkalinity", "mg/L, as calcium carbonate", *mash.ALKALINITY_MG_PER_L)
    ramp_K_per_min = number("Heating from rest to rest", "K/min", *mash.RAMP_K_PER_MIN, default=1.0)
    rest_1_degC, rest_1_min = rest(1)
    rest_2_degC, rest_2_min = rest(2)
    rest_3_degC, rest_3_min = rest(3)
    rest_4_degC, rest_4_min = rest(4)
    rest_5_degC, rest_5_min = rest(5)
    rest_6_degC, rest_6_min = rest(6)
    cooker_slurry_degC = maybe("Slurry before it is heated", "°C", *mash.REST_DEGC, "Empty: 40.")
    cooker_cook_min = step("Held at the hottest", "30")
    cooker_second_species = words("Second grain, put in on the way down", blank=True, help_text=SECOND)
    cooker_second_degC = maybe("Second grain goes in at", "°C", *mash.REST_DEGC, "Empty: 77.")
    cooker_second_min = step("Stand with the second grain", "20")
    cooker_malt_min = step("Stand with the malt", "30")
    water_first_L_per_kg, water_first_degC = water("first")
    water_second_L_per_kg, water_second_degC = water("second")
    water_third_L_per_kg, water_third_degC = water("third")
    water_fourth_L_per_kg, water_fourth_degC = water("fourth")

    washbacks = whole("Washbacks", "washbacks", *wash.COUNT)
    washback_volume_L = number("A washback holds", "L", *wash.VOLUME_L)
    ferment_hours = number("Fermentation", "h", *wash.HOURS)
    set_degC = number("Set temperature", "°C", *wash.SET_DEGC, default=20.0)
    washback_cooling = choice("Cooling of the washbacks", wash.COOLING, "", COOLING, unsaid="not stated")

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

    enquiry = models.OneToOneField(EnquiryRow, models.CASCADE, related_name="cask")
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
