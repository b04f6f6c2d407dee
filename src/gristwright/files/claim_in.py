"""A claim of age that goes with an enquiry, and the prices at release, out of its file. See docs/give_and_gain.md."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from gristwright.basics import Address, Problem, Refused, Where
from gristwright.casework.claim import MODELS
from gristwright.evidence.ageing.limits import claim_problems, claims_of_one_age, ladder_problems
from gristwright.files.ladder_in import read_casks
from gristwright.files.reader import Table
from gristwright.files.texts import beside
from gristwright.quantities.units import parse_number
from gristwright.records.ageing import AgeClaim, ArmGrist, CaskTable, ClaimAsked, Sample, Score
from gristwright.reference.type_names import type_named
from gristwright.reference.type_questions import left_open, which

CLAIM = re.compile(r"(?P<years>[0-9.,]+)\s*:\s*(?P<low>[0-9.,]+)(?:\s*-\s*(?P<high>[0-9.,]+))?")
# A comma with a digit behind it belongs to a number.
BETWEEN_PARTS = re.compile(r";|,(?!\d)")
WAY_OUT = "Write true age, colon, ages it is to read like, such as 3:6-8."


def parse_claim(text: str, where: Where) -> AgeClaim:
    """A claim such as 3:6-8. Raises Refused."""
    match = CLAIM.fullmatch(text.strip())
    if not match:
        raise Refused([Problem(where, f"{text!r} is no claim.", WAY_OUT)])
    years, low = parse_number(match["years"]), parse_number(match["low"])
    return AgeClaim(years, low, parse_number(match["high"]) if match["high"] else low)


def parse_claims(texts: Sequence[str], where: Where) -> tuple[tuple[AgeClaim, ...], list[Problem]]:
    """Every claim that can be read, and what is wrong with the others."""
    claims, faults = [], []
    for text in texts:
        try:
            claims.append(parse_claim(text, where))
        except Refused as refused:
            faults += [Problem(where, problem.what, problem.way_out) for problem in refused.problems]
    return tuple(claims), faults


def read_claim(table: Table, folder: Path, problems: list[Problem]) -> tuple[ClaimAsked | None, tuple[Path, ...]]:
    """The claim with its two files, which stand beside the enquiry; None where the file makes none."""
    if not table.data:
        return None, ()
    ladder_path, arms_path = (beside(folder, table.text(name) or f"{name}.csv") for name in ("ladder", "arms"))
    paths = (ladder_path, arms_path)
    claims, faults = parse_claims(table.texts("claims"), table.place("claims"))
    problems += faults
    model, count, grists = table.choice("model", MODELS, "line"), table.texts("count"), table.table("grist", False)
    table.nothing_else()
    named = all(isinstance(table.data.get(key), str) for key in ("ladder", "arms"))
    ladder, arms = _casks(paths, problems) if named else (None, None)
    arms_mashed = tuple(_grist(grists.table(arm), arm) for arm in grists.data)
    if ladder is None or arms is None:
        return None, paths
    problems += claim_faults(ladder, arms, claims, [(grists.place(one.arm), one) for one in arms_mashed])
    return ClaimAsked(claims, ladder, arms, arms_mashed, model, count), paths


def _casks(paths: tuple[Path, Path], problems: list[Problem]) -> tuple[CaskTable | None, CaskTable | None]:
    ladder, arms = read_casks(paths[0]), read_casks(paths[1], arms=True)
    problems += [*ladder.problems, *arms.problems]
    return ladder.value, arms.value


def claim_faults(
    ladder: CaskTable, arms: CaskTable, claims: Sequence[AgeClaim], grists: Sequence[tuple[Where, ArmGrist]]
) -> list[Problem]:
    """What is wrong with a claim and its tables together; each grist comes with its place."""
    items: list[Sample | Score] = [*arms.samples, *arms.scores]
    ages = [sample.years for sample in ladder.samples] + [score.years for score in ladder.scores]
    problems = ladder_problems(Address(ladder.file), ages) + claims_of_one_age(claims)
    problems += [fault for one in claims for fault in claim_problems(one, ages, [item.years for item in items])]
    known = sorted({item.arm for item in items})
    for where, grist in grists:
        if grist.arm not in known:
            problems.append(Problem(where, f"no arm {grist.arm!r} in {arms.file}.", f"Arms there: {', '.join(known)}."))
    return problems


def _grist(table: Table, arm: str) -> ArmGrist:
    """Types and shares of one arm, which make 100 %."""
    shares: dict[str, int] = {}
    for key in table.data:
        known = type_named(key)
        if known is None:
            table.fault(key, *(left_open(key) or ("is no type of malt or grain.", which(key))))
        value = table.number(key, 0, 100, "%")
        shares[known or key] = shares.get(known or key, 0) + (0 if value != value else round(value * 100))
    if sum(shares.values()) != 10_000:
        table.fault("shares", f"make {sum(shares.values()) / 100:g} %.", "Make them 100 %.")
    return ArmGrist(arm, tuple(shares.items()))


def parse_grists(text: str, where: Address) -> tuple[tuple[ArmGrist, ...], list[Problem]]:
    """Grists as a person types them, one line an arm: `A: pale_distilling_malt 90, caramel_malt_dark 10`."""
    problems: list[Problem] = []
    grists = []
    for line in filter(None, map(str.strip, text.splitlines())):
        arm, colon, rest = line.partition(":")
        parts = [part.rsplit(None, 1) for part in BETWEEN_PARTS.split(rest) if part.strip()]
        if not colon or not parts or any(len(part) != 2 for part in parts):
            way_out = "Write arm, colon, type and share, such as A: pale_distilling_malt 90, caramel_malt_dark 10."
            problems.append(Problem(where, f"{line!r} cannot be read.", way_out))
            continue
        table = Table({name.strip(): share for name, share in parts}, where.to(f"arm {arm.strip()}"), problems)
        grists.append(_grist(table, arm.strip()))
    return tuple(grists), problems


def grists_text(grists: Sequence[ArmGrist]) -> str:
    """Grists as a person would type them."""
    return "\n".join(
        f"{one.arm}: {', '.join(f'{name} {parts / 100:g}' for name, parts in one.parts)}" for one in grists
    )
