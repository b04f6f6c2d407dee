"""Settings of the washbacks that may be varied, and a plant with one of them changed. See docs/vary.md."""

from __future__ import annotations

from dataclasses import replace

from gristwright.basics import Refused, at
from gristwright.records.fields import fields_of
from gristwright.records.mash_trials import settings_of
from gristwright.records.plant import Plant
from gristwright.records.washbacks import Washbacks
from gristwright.stages.wash.limits import COOLED, washback_problems

FIRST_WORD = "washback."
SETTINGS = settings_of(Washbacks)
WHERE = at("plant", "washbacks")
# Words of the washbacks, which no list of numbers can name.
WORDS = tuple(name for name, field in fields_of(Washbacks).items() if field.options)


def no_number(name: str) -> tuple[str, str] | None:
    """Why a name that people give is no setting, and what to vary instead; None for any other name."""
    if name.startswith(("original_gravity", "original_extract", "gravity", "OG")):
        return "follows from the litres of wort.", "Vary mash.wort_L_per_t: fewer litres make a stronger wort."
    if name in WORDS:
        instead = "washback.cooling_m2 or washback.cooled_from_degC" if name == "cooling" else "washback.set_degC"
        return "is a word, and numbers are varied.", f"Vary {instead}, or run a plant file of its own for each."
    return None


def unread(plant: Plant, name: str) -> tuple[str, str] | None:
    """Why these washbacks do not read a setting, and what to do; None when they do."""
    if name not in COOLED or plant.washbacks.cooling not in ("", "none"):
        return None
    if plant.washbacks.cooling:
        way_out = "Vary washback.set_degC, or write how they are cooled into the plant file if they are."
        return "the washbacks are not cooled.", way_out
    way_out = 'Write cooling = "jacket", "coil" or "exchanger" into the plant file, or vary washback.set_degC.'
    return "the house does not say how its washbacks are cooled.", way_out


def with_washback(plant: Plant, name: str, value: float) -> Plant:
    """The plant with one setting of its washbacks changed. Raises Refused where that cannot stand beside the others."""
    changed = replace(plant.washbacks, **{name: value})  # type: ignore[arg-type]
    before = washback_problems(plant.washbacks, WHERE, plant.wort_boiled)
    found = washback_problems(changed, WHERE, plant.wort_boiled)
    fresh = [problem for problem in found if not problem.warning and problem not in before]
    if fresh:
        raise Refused(fresh)
    return replace(plant, washbacks=changed)
