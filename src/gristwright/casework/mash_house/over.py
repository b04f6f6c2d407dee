"""Which settings of a plan may be varied, within which limits, and a plant with one of them changed. See docs/vary.md.

Keys are those of the plant file, a water by its name, a rest or a sparge by its number: `mash.settled_mash_degC`,
`mash.waters.first.L_per_kg`, `mash.rests.2.minutes`, `washback.set_degC`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace

from gristwright.basics import Problem, Refused, at
from gristwright.casework.mash_house import over_washback
from gristwright.quantities.shown import outside
from gristwright.quantities.units import unlikely
from gristwright.records.fields import number_of
from gristwright.records.mash_trials import Axis, Setting, settings_of
from gristwright.records.plant import WATERS, CookerPlan, Decoction, MashPlan, Plant, Rest, Sparge, Water
from gristwright.reference.spelling import close_to
from gristwright.stages.mash import limits as mash_limits
from gristwright.stages.mash.settled import settled_by_liquor_degC

MOST_AXES, MOST_POINTS = 2, 400
WHERE = at("plant", "mash")
KEY = re.compile(r"^mash\.(?:(?P<part>waters|rests|sparges|decoctions|cooker)\.(?:(?P<which>\w+)\.)?)?(?P<field>\w+)$")


PLAN, WATER, COOKER = (settings_of(kind) for kind in (MashPlan, Water, CookerPlan))
# Parts of a plan that are told apart by their number.
NUMBERED: dict[str | None, dict[str, Setting]] = {
    "rests": settings_of(Rest),
    "sparges": settings_of(Sparge),
    "decoctions": settings_of(Decoction),
}
# Where a plan with waters keeps two settings of the whole mash.
IN_FIRST_WATER = {"settled_mash_degC": "settled_degC", "liquor_L_per_kg": "L_per_kg"}
OF_MASH, OF_WASHBACK = "mash.", over_washback.FIRST_WORD
ALIASES = {
    "mash.settled_degC": "mash.settled_mash_degC",
    "mash.mash_L_per_t": "mash.wort_L_per_t",
    "mash.pH": "mash.mash_pH",
    "mash.water.calcium_mg_per_L": "mash.calcium_mg_per_L",
    "mash.water.alkalinity_mg_per_L": "mash.alkalinity_mg_per_L",
    "washback.pitch": "washback.pitch_million_per_mL",
}


def whole_key(key: str) -> str:
    """A key as it is kept: short ones written out, and the table of a plant file by the first word used here."""
    key = key.strip()
    if key.startswith("washbacks."):
        key = f"{OF_WASHBACK}{key.removeprefix('washbacks.')}"
    return ALIASES.get(key, key)


def keys() -> tuple[str, ...]:
    """Every key that may be varied; the number of a rest, sparge or decoction stands as 1."""
    waters = [f"waters.{name}.{field}" for name in WATERS for field in WATER]
    numbered = [f"{part}.1.{field}" for part, fields in NUMBERED.items() for field in fields]
    parts = (*PLAN, *waters, *numbered, *(f"cooker.{field}" for field in COOKER))
    washback = [f"{OF_WASHBACK}{field}" for field in over_washback.SETTINGS]
    return (*(f"{OF_MASH}{part}" for part in parts), *washback)


def setting_of(key: str) -> Setting:
    """What a key stands for. Raises Refused for a key that is none, with those it may mean."""
    key = whole_key(key)
    if key.startswith(OF_WASHBACK) and (setting := over_washback.SETTINGS.get(key.removeprefix(OF_WASHBACK))):
        return setting
    match = KEY.match(key)
    part, which, field = match.group("part", "which", "field") if match else (None, None, "")
    tables: dict[str | None, dict[str, Setting]] = {None: PLAN, "waters": WATER, **NUMBERED, "cooker": COOKER}
    table = tables[part]
    counted = dict.fromkeys(NUMBERED, bool(which and which.isascii() and which.isdecimal()))
    named = {"waters": which in WATERS, **counted}.get(part or "", not which)
    if match is None or field not in table or not named:
        near = close_to(key, keys(), 3, 0.4) or keys()
        what = "is no setting of the mash or the washback that can be varied."
        said = over_washback.no_number(key.partition(".")[2]) or (what, f"Use one of: {', '.join(near)}.")
        raise Refused([Problem(f"--over {key}", *said)])
    setting = table[field]
    return replace(setting, meaning=setting.meaning.format(which))


def axis_of(text: str) -> Axis:
    """An axis such as `mash.settled_degC=62:70:1` or `mash.cook_degC=90,110,142`.

    Raises Refused for an unknown key and values that cannot be read; their limits are checked with the plan.
    """
    key, equals, values = text.partition("=")
    key = whole_key(key)
    if not equals:
        what = f"{text!r} is no setting with values."
        raise Refused([Problem("--over", what, "Write key=from:to:step or key=a,b,c.")])
    setting = setting_of(key)
    return Axis(key, setting, _values(key, values.strip()))


def _values(key: str, text: str) -> tuple[float, ...]:
    where = f"--over {key}"
    if ":" in text:
        if "," in text:
            what = f"{text!r} has a comma: here it stands between the values of a list, and cannot be a decimal comma."
            raise Refused([Problem(where, what, f"Write {text.replace(',', '.')}.")])
        return _steps(where, text)
    words = text.split(",")
    if len(words) > MOST_POINTS:
        what = f"{len(words)} values are more than the {MOST_POINTS} of one grid."
        raise Refused([Problem(where, what, "Give fewer.")])
    values = _numbers(where, words)
    twice = sorted({value for value in values if values.count(value) > 1})
    if twice:
        named = ", ".join(f"{v:g}" for v in twice)
        raise Refused([Problem(where, f"{named} stands twice.", "Give each value once.")])
    return values


def _steps(where: str, text: str) -> tuple[float, ...]:
    parts = _numbers(where, text.split(":"))
    if len(parts) != 3:
        raise Refused([Problem(where, f"{text!r} has {len(parts)} numbers.", "Write from:to:step, such as 62:70:1.")])
    first, last, step = parts
    if step <= 0.0 or last < first:
        what = f"{text!r} never gets from {first:g} to {last:g} by {step:g}."
        raise Refused([Problem(where, what, "Begin with the smaller value and give a step above zero.")])
    count = math.floor((last - first) / step + 1e-9) + 1
    if count > MOST_POINTS:
        way_out = "Take a wider step."
        raise Refused([Problem(where, f"{count} values are more than the {MOST_POINTS} of one grid.", way_out)])
    return tuple(round(first + k * step, 10) for k in range(count))


def _numbers(where: str, texts: Sequence[str]) -> tuple[float, ...]:
    values, problems = [], []
    for text in texts:
        try:
            number = float(text) if "_" not in text else math.nan
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            problems.append(Problem(where, f"{text.strip()!r} is not a number.", "Write digits with a decimal point."))
        elif said := unlikely(number):
            problems.append(Problem(where, f"{text.strip()!r} {said}", "Correct it."))
        values.append(number)
    if problems:
        raise Refused(problems)
    return tuple(values)


def value_problems(key: str, setting: Setting, value: float) -> list[Problem]:
    """A value outside its limits, with the way out."""
    low, high = setting.limits
    if low <= value <= high:
        return []
    what = outside(value, low, high, setting.unit)
    way_out = "Stay inside; a comma stands between the values of a list, a decimal is written with a point."
    return [Problem(f"--over {key}", what, way_out)]


def _outside_problems(axis: Axis) -> list[Problem]:
    """The values of an axis outside its limits, told once: those below them and those above."""
    low, high = axis.setting.limits
    ends = (sorted(v for v in axis.values if v < low)[:1], sorted(v for v in axis.values if v > high)[-1:])
    return [problem for end in ends for value in end for problem in value_problems(axis.key, axis.setting, value)]


def axes_problems(plant: Plant, axes: Sequence[Axis]) -> list[Problem]:
    """Everything wrong with a grid for this house: how many keys and points, and values outside their limits."""
    problems = []
    if not 1 <= len(axes) <= MOST_AXES:
        what = f"{len(axes)} settings; a grid takes one or two."
        problems.append(Problem("--over", what, "Give one or two settings."))
    if len({axis.key for axis in axes}) < len(axes):
        problems.append(Problem("--over", f"{axes[0].key} stands twice.", "Vary each setting once."))
    points = math.prod(len(axis.values) for axis in axes)
    if points > MOST_POINTS:
        what = f"{points} points are more than the {MOST_POINTS} of one grid."
        problems.append(Problem("--over", what, "Take wider steps or a smaller range."))
    for axis in axes:
        problems += _outside_problems(axis)
        problems += _unread(plant, axis.key)
    return problems


def with_setting(plant: Plant, key: str, value: float) -> Plant:
    """The plant with one setting changed; where it states its liquor, the mash settles by that.

    Raises Refused for a key that is none, a value outside its limits, a setting that this plan does not read, and a
    plan that does not hold together once changed.
    """
    key = whole_key(key)
    setting = setting_of(key)
    problems = value_problems(key, setting, value) or _unread(plant, key)
    if problems:
        raise Refused(problems)
    if key.startswith(OF_WASHBACK):
        return over_washback.with_washback(plant, key.removeprefix(OF_WASHBACK), value)
    return replace(plant, mash=_with_mash(plant.mash, key, value))


def _with_mash(plan: MashPlan, key: str, value: float) -> MashPlan:
    match = KEY.match(key)
    assert match is not None
    part, which, field = match.group("part", "which", "field")
    if part in NUMBERED:
        changed = _settle(_numbered(plan, part, which, field, value))
    else:
        change = {None: _plain, "waters": _water, "cooker": _cooker}[part]
        changed = _settle(change(plan, which or "", field, value))
    before = mash_limits.mash_problems(plan, WHERE)
    fresh = [p for p in mash_limits.mash_problems(changed, WHERE) if not p.warning and p not in before]
    if fresh:
        raise Refused(fresh)
    return changed


def _settle(plan: MashPlan) -> MashPlan:
    """Where a plan states the temperature of its liquor, the settled temperature that this brings."""
    settled = settled_by_liquor_degC(plan)
    if settled is None or plan.rests or plan.cook_degC is not None:
        return plan
    first = tuple(replace(water, settled_degC=settled) for water in plan.waters[:1])
    return replace(plan, settled_mash_degC=settled, waters=first + plan.waters[1:])


def stands_at(plant: Plant, key: str) -> float | None:
    """What a house says of a setting; None where it says nothing."""
    key = whole_key(key)
    if key.startswith(OF_WASHBACK):
        said = getattr(plant.washbacks, key.removeprefix(OF_WASHBACK))
        return None if said is None else float(said)
    plan, match = plant.mash, KEY.match(key)
    assert match is not None
    part, which, field = match.group("part", "which", "field")
    holder: object = plan
    if part == "waters" or (plan.waters and field in IN_FIRST_WATER):
        holder = next((water for water in plan.waters if which in (None, water.name)), None)
        field = IN_FIRST_WATER.get(field, field)
    elif part in NUMBERED:
        several = getattr(plan, part)
        holder = several[int(which) - 1] if which and int(which) <= len(several) else None
    elif part == "cooker":
        holder = plan.cooker or CookerPlan()
    value = getattr(holder, field, None)
    return None if value is None else float(value)


def _plain(plan: MashPlan, which: str, field: str, value: float) -> MashPlan:
    """A plan with waters keeps its settled temperature and its thickness in the first of them."""
    if plan.waters and field == "settled_mash_degC":
        plan = _water(plan, plan.waters[0].name, "settled_degC", value)
    if plan.waters and field == "liquor_L_per_kg":
        return _thickness(plan, value)
    if plan.sparges and field == "liquor_L_per_kg" and plan.liquor_L_per_kg is not None:
        later = _left(plan.sparges[0].L_per_kg + plan.liquor_L_per_kg - value, value, Sparge, "first sparge")
        plan = _numbered(plan, "sparges", "1", "L_per_kg", later)
    return replace(plan, **{field: value})  # type: ignore[arg-type]


def _thickness(plan: MashPlan, value: float) -> MashPlan:
    """A first water of so many L/kg; what it takes the second gives, so that as much wort is collected."""
    first = plan.waters[0]
    if len(plan.waters) > 1:
        second = _left(plan.waters[1].L_per_kg + first.L_per_kg - value, value, Water, "second water")
        plan = _water(plan, plan.waters[1].name, "L_per_kg", second)
    return _water(plan, first.name, "L_per_kg", value)


def _left(litres: float, value: float, kind: type, named: str) -> float:
    """The litres a kilogram that a thicker or thinner mash leaves for the next liquor."""
    low, high = number_of(kind, "L_per_kg").bounds
    if not low <= litres <= high:
        what = f"{value:g} L/kg leave {litres:.2f} L/kg for the {named}, outside {low:g}-{high:g} L/kg."
        part = "waters.first" if kind is Water else "sparges.1"
        way_out = f"Stay nearer to the plan, or vary mash.{part}.L_per_kg of the plant file."
        raise Refused([Problem("--over mash.liquor_L_per_kg", what, way_out)])
    return litres


def _water(plan: MashPlan, which: str, field: str, value: float) -> MashPlan:
    changed = tuple(
        replace(water, **{field: value}) if water.name == which else water  # type: ignore[arg-type]
        for water in plan.waters
    )
    return replace(plan, waters=changed)


def _numbered(plan: MashPlan, part: str, which: str, field: str, value: float) -> MashPlan:
    number = int(which) - 1
    changed = tuple(replace(one, **{field: value}) if k == number else one for k, one in enumerate(getattr(plan, part)))
    return replace(plan, **{part: changed})  # type: ignore[arg-type]


def _cooker(plan: MashPlan, which: str, field: str, value: float) -> MashPlan:
    return replace(plan, cooker=replace(plan.cooker or CookerPlan(), **{field: value}))  # type: ignore[arg-type]


def _unread(plant: Plant, key: str) -> list[Problem]:
    """A setting that this house does not read, with what to vary instead."""
    if key.startswith(OF_WASHBACK):
        way_out = over_washback.unread(plant, key.removeprefix(OF_WASHBACK))
    else:
        way_out = _way_out(plant.mash, key.removeprefix(OF_MASH))
    return [Problem(f"--over {key}", *way_out)] if way_out else []


def _way_out(plan: MashPlan, name: str) -> tuple[str, str] | None:
    """Why a plan does not read a setting, and what to do; None when it does."""
    if name.startswith("waters.") and name.split(".")[1] not in {water.name for water in plan.waters}:
        return "the plan states no such water.", "Write it into the plant file, or vary mash.liquor_L_per_kg."
    part, _, behind = name.partition(".")
    if part in NUMBERED and not 1 <= int(behind.split(".")[0]) <= (has := len(getattr(plan, part))):
        return f"the plan has {has} {part}.", f"Write the {part[:-1]} into the plant file."
    cooked = name in ("cook_degC", "premalt_pct") or name.startswith("cooker.")
    if cooked and plan.cook_degC is None:
        return "the house has no cooker.", "Write cook_degC into the plant file if it has one."
    if plan.rests and name in ("settled_mash_degC", "liquor_degC", "stand_min"):
        return "the plan mashes by rests.", "Vary a rest, such as mash.rests.1.settled_degC."
    if name == "liquor_degC" and plan.cook_degC is not None:
        return "the plan cooks: its slurry has a temperature of its own.", "Vary mash.cooker.slurry_degC."
    if name in ("settled_mash_degC", "waters.first.settled_degC") and plan.liquor_degC is not None:
        return "the settled temperature follows from the liquor in this plan.", "Vary mash.liquor_degC."
    if name == "later_stand_min" and (plan.rests or plan.sparges):
        return "no later water of this plan stands: it is sparged.", "Vary mash.run_off_min."
    if name == "ramp_K_per_min" and plan.rest_liquor_degC is not None:
        return "hot liquor brings this mash from rest to rest.", "Vary mash.rest_liquor_degC."
    if name == "ramp_K_per_min" and not plan.rests:
        return "the plan has no rests to ramp between.", "Write rests into the plant file."
    return None
