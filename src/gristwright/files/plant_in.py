"""A plant file into records: the house, and the cask its spirit is meant for. See docs/files.md.

The desk keeps the same table, whole or half filled in, and reads it here too.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any, TypeVar

from gristwright.basics import Address, Problem, Refused
from gristwright.files.mash_in import follows, made_ready, settled_and_checked
from gristwright.files.record_in import MISSING, as_data, read_record
from gristwright.files.toml_in import open_data
from gristwright.files.upgrades import as_written
from gristwright.quantities.shown import counted
from gristwright.records.enquiry import CaskPlan
from gristwright.records.plant import Plant
from gristwright.reference.codes import places
from gristwright.reference.spelling import nearest
from gristwright.rules.law.limits import country_problems
from gristwright.stages.cask import stores
from gristwright.stages.wash.limits import between_problems

T = TypeVar("T")
OWN_KIND = "One of your own needs capacity_L and wall_mm."


def read_plant(path: Path, problems: list[Problem], distils: bool = True) -> tuple[Plant, CaskPlan | None]:
    """The house and its cask plan, faults added to `problems`; a brewer needs neither stills nor casks."""
    own_problems: list[Problem] = []
    where = Address(path.name)
    try:
        data, names = open_data(path, "plant", own_problems)
    except Refused as refused:
        problems += refused.problems
        return plant_of({}, where, [], distils), cask_of({}, where, []) if distils else None
    cask = data.pop("cask", None)
    plant = plant_of(data, where, own_problems, distils)
    own_problems += _country(plant, where.to("country"))
    if cask is None and distils:
        own_problems.append(Problem(where.to("cask"), MISSING, "Add a table [cask]."))
    plan = cask_of(cask or {}, where.to("cask"), own_problems if cask is not None else []) if cask or distils else None
    problems += as_written(own_problems, names, path.name)
    return plant, plan


def plant_of(data: Mapping[str, Any], where: Address, problems: list[Problem], distils: bool = True) -> Plant:
    """The house that a table says; its faults, also those between fields, go to `problems`."""
    ready = dict(data)
    if "mash" in ready:
        ready["mash"] = made_ready(ready["mash"], where.to("mash"), problems)
    plant = read_record(Plant, ready, where, problems)
    problems += _stills(plant, data, where, distils)
    given = data.get("mash")
    if isinstance(given, Mapping):
        mash = settled_and_checked(plant.mash, given, where.to("mash"), plant.grain_in, problems)
        plant = replace(plant, mash=mash)
    if "washbacks" in data:
        problems += _washbacks(plant, where.to("washbacks"), problems)
    return plant


def _washbacks(plant: Plant, where: Address, before: Sequence[Problem]) -> list[Problem]:
    """What cannot stand together in the washbacks, but for what has a fault of its own, in it or in a field of it.

    What is only a warning is said where the wash is computed.
    """
    told = {problem.address.path[:end] for problem in before for end in range(len(problem.address.path) + 1)}
    found = between_problems(plant.washbacks, where, plant.wort_boiled)
    return [problem for problem in found if not problem.warning and problem.address.path not in told]


def _country(plant: Plant, where: Address) -> list[Problem]:
    """A country by another name than its code, with the code of that name."""
    faults = country_problems(where, plant.country) if plant.country else []
    near = nearest(plant.country or "", [name for _, name in places()], 1)
    code = next((code for code, name in places() if name in near), "")
    return [replace(fault, way_out=f"Did you mean {code!r}, {near[0]}?") if code else fault for fault in faults]


def _stills(plant: Plant, data: Mapping[str, Any], where: Address, distils: bool) -> list[Problem]:
    if plant.column and plant.pot_stills:
        return [Problem(where.to("column"), "stands beside pot_stills.", "Keep the one this spirit runs through.")]
    if distils and not any(data.get(key) is not None for key in ("pot_stills", "column")):
        return [Problem(where.to("pot_stills"), MISSING, "Add a table [pot_stills], or [column].")]
    return []


def plant_data(plant: Plant) -> dict[str, Any]:
    """A house as the table that reads as it; what follows from something else in it is not stated beside that."""
    data = as_data(plant)
    mash = data["mash"]
    if follows(plant.mash):
        mash.pop("settled_mash_degC", None)
    elif plant.mash.rests:
        mash["settled_mash_degC"] = plant.mash.settled_mash_degC  # also where it is the usual one
    if plant.mash.liquor_degC is not None and mash.get("waters"):
        mash["waters"][0].pop("settled_degC", None)
    return data


def cask_of(data: Any, where: Address, problems: list[Problem]) -> CaskPlan:
    """The cask plan that a table says; what it leaves open of a kind or a store of the tables is filled in."""
    if not isinstance(data, Mapping):
        problems.append(Problem(where, "is not a table.", "Write it as [cask] with one line a field."))
        data = {}
    ready = dict(data)
    if "kind" in ready:
        ready["kind"] = _kind(ready["kind"], where.to("kind"), problems)
    if "climate" in ready:
        ready["climate"] = _climate(ready["climate"], where.to("climate"), problems)
    unknown = [key for key in ("kind", "climate") if ready.get(key, 0) is None]
    quiet: list[Problem] = []
    plan = read_record(CaskPlan, {key: value for key, value in ready.items() if key not in unknown}, where, quiet)
    # A kind or a store that no table has was said already.
    problems += [one for one in quiet if one.address.path[len(where.path) :] not in {(key,) for key in unknown}]
    return plan


def cask_data(plan: CaskPlan) -> dict[str, Any]:
    """A cask plan as the table that reads as it, whatever the tables of kinds and stores say by then."""
    parts = {"kind": as_data(plan.kind, whole=True), "climate": as_data(plan.climate, whole=True)}
    return {**as_data(plan), **parts}


def _kind(said: Any, where: Address, problems: list[Problem]) -> Any:
    """A kind of the tables by its name, with what is said otherwise of it; one of the user's own states its size."""
    own = {"name": said} if isinstance(said, str) else said
    if not isinstance(own, Mapping) or not isinstance(own.get("name"), str) or {"capacity_L", "wall_mm"} <= set(own):
        return own
    usual = _named(stores.kind_named, own["name"].strip(), where.to("name"), problems, OWN_KIND)
    return None if usual is None else {**asdict(usual), **{key: value for key, value in own.items() if key != "name"}}


def _climate(said: Any, where: Address, problems: list[Problem]) -> Any:
    """A store of the tables by its name, or twelve months of the house's own."""
    if isinstance(said, str):
        usual = _named(stores.climate_named, said.strip(), where, problems)
        return None if usual is None else {k: list(v) if isinstance(v, tuple) else v for k, v in vars(usual).items()}
    if not isinstance(said, Mapping):
        return said
    for key in ("month_degC", "month_humidity"):
        months = said.get(key, [])
        if isinstance(months, list | tuple) and len(months) != 12:
            what = f"has {counted(len(months), 'month')} and 12 are needed."
            problems.append(Problem(where.to(key), what, "Give one mean a month, January first."))
    return {"month_degC": [], "month_humidity": [], "source": "the house", **said}


def _named(find: Callable[[str], T], name: str, where: Address, problems: list[Problem], or_else: str = "") -> T | None:
    """What a table of the package calls `name`; None after noting the fault with its place and another way out."""
    try:
        return find(name)
    except Refused as refused:
        problems += [Problem(where, p.what, f"{p.way_out} {or_else}".rstrip()) for p in refused.problems]
        return None
