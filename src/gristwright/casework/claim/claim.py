"""Does it really read older? Arms against a reference ladder, one allowed statement each. See docs/ageing.md."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence

from gristwright.basics import Address, Problem, refuse_if_any
from gristwright.casework.claim.chemistry import chemistry
from gristwright.casework.claim.panel import panel
from gristwright.casework.claim.tables import MarkerKind, Matched, casks_of, matched
from gristwright.casework.claim.words import judged, stated
from gristwright.evidence.ageing.alike import unknown, unlike
from gristwright.evidence.ageing.limits import (
    claim_problems,
    claims_of_one_age,
    confidence_problems,
    ladder_problems,
    too_short,
)
from gristwright.records.age_evidence import Chemistry, Evidence, MeasuredCask, Panel
from gristwright.records.ageing import AgeClaim, ArmAnswer, CaskTable, ClaimAnswer, LadderPoint
from gristwright.records.results import Fact
from gristwright.reference.load import toml_table
from gristwright.reference.woods import kind_of_wood
from gristwright.rules.hazard import cautions

CONFIDENCE = 0.95


def claim(
    ladder: CaskTable,
    arms: CaskTable,
    claims: Sequence[AgeClaim] = (),
    inputs: tuple[tuple[str, str], ...] = (),
    warnings: Sequence[Problem] = (),
    *,
    title: str = "Does it read older?",
    model: str = "line",
    confidence: float = CONFIDENCE,
    count: Collection[str] = (),
    issued: dt.date | None = None,
) -> ClaimAnswer:
    """Read every arm at every age on the ladder and say what the evidence carries.

    `count` names markers of the user's own that change with age alone. Raises Refused when the ladder has one age only
    or the confidence is no share.
    """
    matches = matched(ladder, arms, count)
    old, new = casks_of(matches.ladder), casks_of(matches.arms)
    ages = [cask.years for cask in old]
    problems = [*warnings, *matches.problems]
    problems += ladder_problems(ladder.file, ages) + confidence_problems(confidence)
    problems += [fault for one in claims for fault in claim_problems(one, ages, [cask.years for cask in new])]
    problems += claims_of_one_age(claims) + _not_comparable(ladder.file, old, new)
    notes = refuse_if_any(list(dict.fromkeys(problems)))
    groups = dict.fromkeys((cask.arm, cask.years) for cask in new)
    read = [
        _evidence(matches, old, tuple(c for c in new if (c.arm, c.years) == group), model, confidence)
        for group in groups
    ]
    answers = [_answer(matches, one, claims, confidence) for one in read]
    unread = [f"Arm {one.arm} at {one.years:g} years, {why}." for one in read for why in one.panel.unread]
    facts = {
        name: tuple(_fact(entry) for entry in entries) for name, entries in toml_table("age_statements.toml").items()
    }
    return ClaimAnswer(
        title,
        tuple(answers),
        model,
        confidence,
        facts["method"],
        facts["label"],
        (*(note.sentence() for note in notes), *unread),
        tuple(c.text for c in cautions("planning", "panel", "label")),
        inputs,
        issued or dt.datetime.now(dt.UTC).date(),
        ladder.invented or arms.invented,
    )


def _fact(entry: dict[str, str]) -> Fact:
    return Fact(entry["text"], entry["standing"], entry["source"])


def _answer(
    matches: Matched,
    evidence: Evidence,
    claims: Sequence[AgeClaim],
    confidence: float,
) -> ArmAnswer:
    said = stated(evidence, confidence)
    mine = next((asked for asked in claims if abs(asked.years - evidence.years) < 0.05), None)
    verdict, words = judged(evidence, said, mine)
    panel_lines = tuple(line for line in (evidence.panel.line, evidence.panel.notes_line) if line)
    rungs = sorted({cask.years for cask in evidence.ladder})
    return ArmAnswer(
        evidence.arm,
        evidence.years,
        len(evidence.casks),
        len(evidence.ladder),
        tuple((age, sum(c.years == age for c in evidence.ladder)) for age in rungs),
        evidence.casks[0].facts.wood,
        said.key,
        said.sentence,
        mine,
        verdict,
        words,
        (*evidence.chemistry.lines, *panel_lines),
        evidence.panel.malt,
        evidence.chemistry.agreement,
        (*evidence.alike, evidence.short) if evidence.short else evidence.alike,
        said.settle,
        _points(matches, evidence),
    )


def _evidence(
    matches: Matched, old: Sequence[MeasuredCask], arm: tuple[MeasuredCask, ...], model: str, confidence: float
) -> Evidence:
    alike = _why_unlike(arm, old)
    ladder = tuple(c for c in old if not any(unlike(mine.facts, c.facts) for mine in arm) and not unknown(c.facts))
    short = "" if alike else too_short([cask.years for cask in ladder])
    name, years, oldest = arm[0].arm, arm[0].years, max(cask.years for cask in old)
    if alike or short:
        none = Chemistry((), None, None, len(arm), False, ())
        return Evidence(name, years, arm, ladder, oldest, alike, short, none, Panel(None, None, (), ""))
    oldest = max(cask.years for cask in ladder)
    scores = (*matches.ladder.scores, *matches.arms.scores)
    return Evidence(
        name,
        years,
        arm,
        ladder,
        oldest,
        (),
        "",
        chemistry(ladder, arm, matches.markers, model, confidence),
        panel(ladder, arm, scores, matches.ladder.scales, confidence, matches.speaks_of),
    )


def _why_unlike(arm: Sequence[MeasuredCask], old: Sequence[MeasuredCask]) -> tuple[str, ...]:
    """Why no reference cask is comparable: what is not known of the arm, what differs from every one of them."""
    gaps = list(dict.fromkeys(title for cask in arm for title in unknown(cask.facts)))
    if gaps:
        return (f"{', '.join(gaps)} of the arm's casks is not given",)
    own = list(dict.fromkeys(title for cask in arm for title in unlike(arm[0].facts, cask.facts)))
    if own:
        return (f"the arm's own casks differ in {', '.join(own)}",)
    differing = [set(unlike(arm[0].facts, cask.facts)) for cask in old]
    if all(differing):
        return (
            "the arm's casks differ from the references in "
            f"{', '.join(sorted(set.intersection(*differing)) or sorted(set.union(*differing)))}",
        )
    return ()


def _not_comparable(file: str, old: Sequence[MeasuredCask], new: Sequence[MeasuredCask]) -> list[Problem]:
    """Reference casks that no arm can be compared with, and what they differ in."""
    left: dict[str, list[str]] = {}
    for cask in old:
        differing = [unlike(arm.facts, cask.facts) for arm in new]
        gaps = unknown(cask.facts)
        if gaps:
            left.setdefault(f"{', '.join(gaps)} not given", []).append(cask.name)
        elif differing and all(differing):
            left.setdefault(f"differs in {', '.join(sorted(set().union(*differing)))}", []).append(cask.name)
    if sum(map(len, left.values())) == len(old):
        return _named_apart(file, old, new)
    return [
        Problem(
            Address(file), f"{', '.join(names)}: {why}.", "Not comparable with any arm; left out of the ladder.", True
        )
        for why, names in left.items()
    ]


def _named_apart(file: str, old: Sequence[MeasuredCask], new: Sequence[MeasuredCask]) -> list[Problem]:
    """What both files call what must be alike, where no name is in both: a spelling may be all that differs."""
    problems = []
    for field in ("wood", "fill", "store"):
        mine, theirs = ({getattr(cask.facts, field) for cask in casks} - {""} for casks in (new, old))
        plain = kind_of_wood if field == "wood" else str
        if mine and theirs and {*map(plain, mine)}.isdisjoint(map(plain, theirs)):
            what = f"{field} is {_quoted(theirs)} there and {_quoted(mine)} in the arms."
            problems.append(Problem(Address(file), what, "If both are one thing, write them alike.", True))
    return problems


def _quoted(names: set[str]) -> str:
    return ", ".join(repr(name) for name in sorted(names))


def _points(matches: Matched, evidence: Evidence) -> tuple[LadderPoint, ...]:
    units = matches.ladder.units

    def of(kind: MarkerKind, cask: MeasuredCask) -> LadderPoint:
        return LadderPoint(kind.title, units[kind.key], cask.years, cask.values[kind.key], cask.arm)

    casks = (*evidence.ladder, *evidence.casks)
    return tuple(of(kind, cask) for kind in matches.markers for cask in casks if kind.key in cask.values)
