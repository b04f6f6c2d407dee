"""Types by their plain trade names, English and German; what is not plain is never guessed."""

from __future__ import annotations

import pytest

from gristwright.basics import Address, Refused
from gristwright.reference.type_names import type_named
from gristwright.stages.grist.materials import material_named, materials

PLAIN = {
    "pilsner_malt": (
        "pilsner malt", "Pilsner Malz", "Pilsener Gerstenmalz", "PILS-MALZ", "lager malt", "Malz, Typ Pilsner",
    ),
    "oak_smoked_wheat_malt": (
        "oak-smoked wheat malt", "oak_smoked_wheat_malt", "Oak smoked malted wheat", "wheat malt, smoked over oak wood",
        "Eichenrauch-Weizenmalz", "Weizenrauchmalz (Eiche)", "Weizenmalz, über Eichenholz geräuchert",
        "eichenholzgeräuchertes Weizenmalz",
    ),
    "oak_smoked_malt": ("oak-smoked malt", "oak-smoked barley malt", "Eichenrauchmalz", "Rauchmalz Eiche"),
    "beech_smoked_malt": ("Buchenrauchmalz", "Rauchmalz (Buche)", "beechwood smoked malt", "Rauchmalz Buchenholz"),
    "peated_malt": (
        "peated malt", "Torfmalz", "peat smoked barley malt", "getorftes Malz", "torfgeräuchertes Gerstenmalz",
    ),
    "pale_ale_malt": ("Pale Ale Malz", "pale ale malt"),
    "munich_malt": ("Münchner Malz", "Munich malt", "Muenchner Malz"),
    "base_malt": ("barley malt", "Gerstenmalz", "pale malt", "helles Gerstenmalz", "Basismalz"),
    "wheat_malt": ("Weizenmalz", "malted wheat", "Weizenmalz hell", "wheat malt 4 EBC"),
    "rye_malt": ("Roggenmalz", "malted rye"),
    "oat_malt": ("Hafermalz", "malted oats"),
    "spelt_malt": ("Dinkelmalz",),
    "triticale_malt": ("Triticalemalz", "malted triticale"),
    "vienna_malt": ("Wiener Malz", "Vienna malt", "Malz, Wiener Typ"),
    "chit_malt": ("Spitzmalz", "chit malt"),
    "acidulated_malt": ("Sauermalz", "acidulated malt", "acid malt"),
    "melanoidin_malt": ("Melanoidinmalz", "Brühmalz"),
    "beech_smoked_wheat_malt": ("Buchenrauch-Weizenmalz", "beech smoked wheat malt"),
    "peated_wheat_malt": ("getorftes Weizenmalz", "peated wheat malt", "heavily peated wheat malt (40 ppm)"),
    "roasted_wheat_malt": ("Röstweizenmalz", "Weizenröstmalz", "roasted wheat malt", "chocolate wheat malt"),
    "flaked_oats": ("Haferflocken", "flaked oats", "oat flakes"),
    "flaked_maize": ("Maisflocken", "flaked maize", "flaked corn"),
    "maize_grits": ("maize grits", "Maisgrieß", "Maisgriess", "corn grits"),
    "oat_husks": ("Haferspelzen", "oat hulls", "oat husk"),
    "rice_husks": ("Reisspelzen", "rice hulls"),
    "spelt_husks": ("Dinkelspelzen",),
    "raw_spelt": ("Rohdinkel", "raw spelt"),
    "raw_triticale": ("unmalted triticale", "Triticale, ungemälzt"),
    "caramel_malt_light": ("Karamellmalz hell", "light caramel malt", "light crystal malt"),
    "caramel_malt_medium": ("Karamellmalz 150 EBC", "crystal malt 140-170 EBC", "caramel malt, 120 EBC"),
    "caramel_malt_dark": ("dunkles Karamellmalz", "dark caramel malt", "Karamellmalz (300 EBC)"),
    "caramel_rye_malt": ("Roggenkaramellmalz", "caramel rye malt", "Roggen-Karamellmalz 180 EBC"),
    "caramel_rye_malt_light": ("caramel rye malt 70 EBC",),
    "caramel_wheat_malt_light": ("helles Weizenkaramellmalz", "light caramel wheat malt"),
    "chocolate_malt": ("Schokoladenmalz", "chocolate malt"),
    "roasted_malt": ("Röstmalz", "roasted malt", "roasted barley malt"),
    "roasted_barley": ("Röstgerste", "roasted barley", "roasted barley, unmalted"),
    "raw_maize": ("Mais roh", "raw corn", "unmalted maize"),
    "raw_wheat": ("Rohweizen", "raw wheat", "Weizen, ungemälzt"),
}  # fmt: skip


@pytest.mark.parametrize(("key", "name"), [(key, name) for key, names in PLAIN.items() for name in names])
def test_a_plain_trade_name_is_understood(key: str, name: str) -> None:
    assert type_named(name) == key
    assert material_named(name, "here").key == key


@pytest.mark.parametrize("key", sorted(materials()))
def test_key_and_title_are_names(key: str) -> None:
    assert type_named(key) == key
    assert type_named(materials()[key].title.upper()) == key


@pytest.mark.parametrize(
    "name", ["", "malt", "wheat", "barley and wheat malt", "barley wheat malt", "Weizen-Roggen-Malz", "oak malt",
             "house malt", "malt for distilling", "dark wheat malt", "smoked malt", "caramel malt", "oak-smoked wheat",
             "oak and beech smoked malt", "Eichenmalz", "caramel malt 5000 EBC", "Karamellmalz 0 EBC", "flakes",
             "Spelzen", "Goldähre", "Moorfeuer-Weizenmalz"]
)  # fmt: skip
def test_what_a_name_leaves_open_is_not_guessed(name: str) -> None:
    assert type_named(name) is None


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("caramel malt", "comes in several colours. Write one of: light caramel malt (20-60 EBC), caramel malt (100"),
        ("Karamellmalz", "comes in several colours"),
        ("oak-smoked wheat", "does not say whether it is malted. Write oak-smoked wheat malt"),
        ("hose malt", "is not in the types table"),
        ("Weizen", "does not say whether it is malted. Write wheat malt or raw wheat; the law asks"),
        ("maize", "does not say whether it is malted. Write raw maize; the law asks"),
        ("Emmer", "names a grain of which no type is known"),
        # Invented names, such as a maker might coin.
        ("Moorfeuer", "Say what it is: which grain, malted or raw, and how it was made"),
        ("Goldähre Weizenmalz", "Use one of: wheat_malt, caramel_wheat_malt_light, caramel_wheat_malt. Or say what"),
        ("Goldähre Roggenmalz", "Use one of: rye_malt, caramel_rye_malt_light, caramel_rye_malt. Or say what it is"),
        ("pale_distiling_malt", "Did you mean pale_distilling_malt?"),
        ("oak-smoked rye malt", "Enter it as rye_malt with its own figures on the certificate (moisture, extract,"),
    ],
)  # fmt: skip
def test_what_is_refused_says_what_to_do(name: str, said: str) -> None:
    with pytest.raises(Refused) as refused:
        material_named(name, Address("lots.csv", row=2).to("material"))
    (problem,) = refused.value.problems
    assert said in problem.sentence()
    assert problem.address.words == "lots.csv, row 2, material"
