"""What cannot be judged: a key not in the book, facts that cannot be, a rule file with faults."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import Address, Problem, at
from gristwright.records.bill import WHOLE
from gristwright.records.law import CaskStay, GristPart, WhiskyFacts
from gristwright.reference.spelling import close_to
from gristwright.rules.law.data_limits import table_problems
from gristwright.rules.law.words import Words

__all__ = ["facts_problems", "key_problems", "table_problems", "traits_problems"]

COUNTRY = re.compile(r"[A-Z]{2}(-[A-Z0-9]{1,3})?")


def near(word: str, known: Iterable[str]) -> str:
    """A way out that names the words nearest to one that is not known."""
    known = list(known)
    close = close_to(word.lower(), [name.lower() for name in known], 3, 0.5)
    named = [name for name in known if name.lower() in close]
    return f"Did you mean {' or '.join(named)}?" if named else f"Use one of: {', '.join(known)}."


def key_problems(keys: Iterable[str], known: Iterable[str]) -> list[Problem]:
    """A fault for each category key the book does not hold."""
    known = list(known)
    return [
        Problem("category", f'"{key}" is not in the rule book.', near(key, known)) for key in keys if key not in known
    ]


def word_problems(where: Address, field: str, value: str | None, words: Words) -> list[Problem]:
    """A fault when a word is not one of those its field may be."""
    spelt = words.spellings.get(field, {})
    if value is None or value == "unknown" or value in words.lists[field] or value in spelt:
        return []
    return [Problem(where, f'"{value}" is not a word the rules know.', near(value, words.lists[field]))]


def species_warnings(where: Address, species: str, words: Words) -> list[Problem]:
    """A warning for a species that is no cereal the rules know: it is judged as no cereal."""
    if words.plain("species", species) in (*words.named(["@cereals", "@pseudocereals"]), "unknown"):
        return []
    way_out = near(species, words.lists["cereals"])
    return [Problem(where, f'"{species}" is judged as no cereal.', way_out, warning=True)]


def trait_problems(where: Address, part: Any, words: Words) -> list[Problem]:
    """Faults of the traits of one lot or part."""
    named = [(field, getattr(part, field)) for field in ("form", "process")]
    faults = [problem for field, value in named for problem in word_problems(where.to(field), field, value, words)]
    return faults + species_warnings(where.to("species"), part.species, words)


def traits_problems(traits: Sequence[Any], parts: NDArray[np.int64], words: Words) -> list[Problem]:
    """Faults of the lots and bills given to a screening."""
    if parts.ndim != 2 or parts.shape[1] != len(traits):
        return [Problem("bills", f"the shares have shape {parts.shape} for {len(traits)} lots.", "Give (bills, lots).")]
    faults = [problem for i, lot in enumerate(traits, 1) for problem in trait_problems(at("lots", i), lot, words)]
    wrong = int(((parts < 0).any(axis=1) | (parts.sum(axis=1) != WHOLE)).sum())
    if wrong:
        faults.append(Problem("bills", f"{wrong} bills have negative shares or do not add to 100 %.", "Mend them."))
    return faults


def grist_problems(grist: tuple[GristPart, ...], words: Words) -> list[Problem]:
    """Faults of the mash: nothing in it, negative shares, shares that do not add up."""
    if not grist:
        return [Problem(at("grist"), "the mash has no grain in it.", "Name at least one part.")]
    faults = [
        problem for i, part in enumerate(grist, 1) for problem in trait_problems(at("grist part", i), part, words)
    ]
    for i, part in enumerate(grist, 1):
        if part.parts_asis < 0 or (part.parts_dry or 0) < 0:
            faults.append(Problem(at("grist part", i), "a share is below zero.", "Give shares from 0 to 10 000."))
    return faults + total_problems(grist)


def total_problems(grist: tuple[GristPart, ...]) -> list[Problem]:
    """Faults of the two totals; dry shares may miss the whole by their own rounding."""
    as_is, dry = sum(part.parts_asis for part in grist), [p.parts_dry for p in grist if p.parts_dry is not None]
    faults = []
    if as_is != WHOLE:
        faults.append(Problem(at("grist"), f"the shares add to {as_is / 100:.2f} %, not 100 %.", "Mend the shares."))
    if len(dry) == len(grist) and abs(sum(dry) - WHOLE) > len(dry):
        faults.append(Problem(at("grist"), f"the dry shares add to {sum(dry) / 100:.2f} %, not 100 %.", "Mend them."))
    return faults


def strength_problems(facts: WhiskyFacts) -> list[Problem]:
    """Faults of strengths: outside 0 to 100 %vol, or a cask filled stronger than what was distilled."""
    runs = facts.distillation_abv_pct or ()
    named: list[tuple[Address, float | None]] = [(at("distillation", i), value) for i, value in enumerate(runs, 1)]
    named += [(at("bottling strength"), facts.bottle_abv_pct), (at("strength into the cask"), facts.entry_abv_pct)]
    faults = [
        Problem(where, f"{value:g} %vol cannot be.", "Give a strength above 0 and up to 100 %vol at 20 °C.")
        for where, value in named
        if value is not None and not 0 < value <= 100
    ]
    if runs and facts.entry_abv_pct is not None and facts.entry_abv_pct > runs[-1]:
        what = f"{facts.entry_abv_pct:g} %vol is stronger than the last distillation, {runs[-1]:g} %vol."
        faults.append(Problem(at("strength into the cask"), what, "Mend one of the two."))
    return faults


def stay_problems(where: Address, stay: CaskStay) -> list[Problem]:
    """Faults of one stay: no capacity, or out before in."""
    faults = []
    if stay.capacity_L is not None and not 0 < stay.capacity_L < float("inf"):
        faults.append(Problem(where, f"a capacity of {stay.capacity_L:g} L cannot be.", "Give litres above 0."))
    if stay.date_in and stay.date_out and stay.date_out < stay.date_in:
        faults.append(Problem(where, f"out on {stay.date_out}, before in on {stay.date_in}.", "Mend the dates."))
    return faults + country_problems(where.to("country"), stay.country)


def country_problems(where: Address, country: str | None) -> list[Problem]:
    """A fault when a country is not written as ISO 3166 writes it."""
    if country is None or COUNTRY.fullmatch(country):
        return []
    way_out = "Write the ISO 3166 code, such as FR, GB-SCT for Scotland or GB-NIR for Northern Ireland."
    return [Problem(where, f'"{country}" is not a country code.', way_out)]


def date_problems(facts: WhiskyFacts) -> list[Problem]:
    """Faults of the days of distillation against each other and against the casks."""
    if facts.distilled is None:
        return []
    first, last = facts.distilled
    filled = [stay.date_in for stay in facts.stays or () if stay.date_in is not None]
    faults = []
    if last < first:
        faults.append(
            Problem(at("distilled"), f"the last day, {last}, is before the first, {first}.", "Mend the dates.")
        )
    if filled and min(filled) < first:
        what = f"a cask was filled on {min(filled)}, before the first distillation on {first}."
        faults.append(Problem(at("distilled"), what, "Mend one of the two."))
    return faults


def place_problems(facts: WhiskyFacts, words: Words) -> list[Problem]:
    """Faults of the countries and of the steps they are given for."""
    faults = country_problems(at("country"), facts.country)
    for step, country in facts.places:
        faults += country_problems(at("places", step), country)
        if step not in words.lists["steps"]:
            faults.append(Problem(at("places"), f'"{step}" is not a step.', near(step, words.lists["steps"])))
    return faults


def facts_problems(facts: WhiskyFacts, words: Words) -> list[Problem]:
    """Every fault of the facts, warnings among them."""
    stays = [problem for i, stay in enumerate(facts.stays or (), 1) for problem in stay_problems(at("cask", i), stay)]
    named = [(field, getattr(facts, field)) for field in ("enzymes", "ferment_agents", "still")]
    named += [("additions", value) for value in facts.additions or ()]
    spelt = [problem for field, value in named for problem in word_problems(at(field), field, value, words)]
    faults = grist_problems(facts.grist, words) + strength_problems(facts) + stays + date_problems(facts)
    return faults + place_problems(facts, words) + spelt
