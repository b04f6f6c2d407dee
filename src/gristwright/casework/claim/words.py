"""The one statement that may be made of an arm, and how a claim stands by it. Conditions are data."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gristwright.numerics.quadratic import Form
from gristwright.quantities.shown import capital, plain
from gristwright.records.age_evidence import AGREE_AT, AgeReading, Evidence, Panel
from gristwright.records.ageing import AgeClaim, AgeLine, ClaimStanding
from gristwright.reference.load import csv_rows


@dataclass(frozen=True)
class Said:
    """A statement filled in."""

    key: str
    kind: str
    sentence: str
    settle: str


def stated(evidence: Evidence, confidence: float) -> Said:
    """The first statement whose conditions all hold."""
    known = facts(evidence)
    row = next(row for row in csv_rows("tables/ageing_statements.csv") if _holds(row["when"], known))
    return Said(row["key"], row["kind"], capital(row["sentence"].format(**_words(evidence))), row["settle"])


def _holds(when: str, known: dict[str, bool]) -> bool:
    return all(known[name.removeprefix("!")] is not name.startswith("!") for name in when.split())


def facts(evidence: Evidence) -> dict[str, bool]:
    """The conditions a statement may name."""
    chem, scored = evidence.chemistry.reading, evidence.panel.reading
    floor = max(evidence.years, min((cask.years for cask in evidence.ladder), default=0.0))
    agreement = evidence.chemistry.agreement
    return {
        "alike": not evidence.alike,
        "ladder": not evidence.short,
        "inside": evidence.years <= evidence.oldest,
        "chem": chem is not None,
        "panel": scored is not None,
        "one_marker": evidence.chemistry.one_marker,
        "agree": agreement is None or not agreement < AGREE_AT,
        "meet": chem is not None and scored is not None and _meet(chem, scored),
        "sweeter": any(line.raised and line.judged for line in evidence.panel.malt),
        **_side("chem", chem, floor, evidence),
        **_side("panel", scored, floor, evidence),
        "notes": evidence.panel.notes is not None,
        **_side("notes", evidence.panel.notes, floor, evidence),
    }


def _meet(one: AgeReading, other: AgeReading) -> bool:
    """Whether two intervals share an age."""
    return bool(one.ages.low[0] <= other.ages.high[0] and other.ages.low[0] <= one.ages.high[0])


def _side(name: str, reading: AgeReading | None, floor: float, evidence: Evidence) -> dict[str, bool]:
    """What one of the two lines says; nothing when it is missing."""
    if reading is None:
        return {f"{name}_{word}": word == "bound" for word in ("bound", "above", "older", "younger")}
    return {
        f"{name}_bound": int(reading.ages.form[0]) == Form.INTERVAL,
        f"{name}_above": bool(reading.estimate[0] > evidence.oldest),
        f"{name}_older": bool(reading.older_than(floor)[0]),
        f"{name}_younger": bool(reading.younger_than(evidence.years)[0]),
    }


def _words(evidence: Evidence) -> dict[str, str]:
    lines = {line.role: line.words for line in evidence.chemistry.lines}
    used = [line for line in evidence.chemistry.lines if line.role == "marker" and line.used]
    ordered = sorted(used, key=lambda line: line.estimate if line.estimate is not None else _stand_in(line, evidence))
    raised = [line.attribute for line in evidence.panel.malt if line.raised and line.judged]
    agreement = evidence.chemistry.agreement
    reasons = [*evidence.alike, evidence.short, *evidence.chemistry.reasons, evidence.panel.reason]
    return {
        "arm": f"arm {evidence.arm}",
        "years": f"{evidence.years:g}",
        "oldest": f"{evidence.oldest:g}",
        "casks": _casks(evidence),
        "why_none": "; ".join(evidence.chemistry.reasons),
        "chem": lines.get("all markers", "not measured"),
        **_of_panel(evidence.panel),
        "Malt": f"higher {' and '.join(raised)}" if raised else "",
        "lowest": _named(ordered[0]) if ordered else "",
        "highest": _named(ordered[-1]) if ordered else "",
        "p": "" if agreement is None else "p under 0.001" if agreement < 0.001 else f"p = {plain(agreement, 3)}",
        "reasons": "; ".join(reason for reason in reasons if reason),
    }


def _of_panel(panel: Panel) -> dict[str, str]:
    """The panel's words: `panel` is what maturity reads, with what the notes beside it read; `maturity` is it alone."""
    maturity = panel.line.words if panel.line else "not scored"
    notes = panel.notes_line.words if panel.notes_line and panel.notes else ""
    also = f", on its {panel.notes_scale} like those of {notes}" if notes else ""
    return {
        "panel": f"{maturity}{also}",
        "maturity": maturity,
        "scale": panel.scale,
        "notes": notes,
        "notes_scale": panel.notes_scale,
    }


def _casks(evidence: Evidence) -> str:
    """How many casks of the arm were read; both numbers where markers and panel saw different ones."""
    total, lines = len(evidence.casks), {line.role: line for line in evidence.chemistry.lines}
    together, scored = lines.get("all markers"), evidence.panel.line
    read = {"markers": together.casks if together else None, "panel": scored.casks if scored else None}
    fewer = [f"{name} of {count}" for name, count in read.items() if count is not None and count != total]
    return f"{total} cask{'s' * (total != 1)}{', ' + ' and '.join(fewer) if fewer else ''}"


def _stand_in(line: AgeLine, evidence: Evidence) -> float:
    """Where a marker without an age inside the ladder stands among the others."""
    return -np.inf if line.high is not None and line.high < evidence.oldest else np.inf


def _named(line: AgeLine) -> str:
    return f"{line.title} {line.words.split(' (')[0]}"


def judged(evidence: Evidence, said: Said, asked: AgeClaim | None) -> tuple[ClaimStanding, str]:
    """How a claim stands: supported when markers, panel and its notes exclude every age below it, refuted when one
    excludes every age from it on."""
    if asked is None:
        return ClaimStanding.NONE, ""
    if said.kind == "none":
        return ClaimStanding.UNANSWERABLE, f"Claim, {asked.words()}: {ClaimStanding.UNANSWERABLE}."
    readings = {"the markers": evidence.chemistry.reading, "the panel": evidence.panel.reading}
    if evidence.panel.notes is not None:
        readings["the panel's notes"] = evidence.panel.notes
    against = [name for name, reading in readings.items() if reading is not None and reading.younger_than(asked.low)[0]]
    if against:
        verb = "excludes" if against == ["the panel"] else "exclude"
        why = f"{' and '.join(against)} {verb} {asked.low:g} years and more"
        return ClaimStanding.REFUTED, f"Claim, {asked.words()}: {ClaimStanding.REFUTED}; {why}."
    if said.kind == "age" and all(r is not None and not _reaches_below(r, asked.low) for r in readings.values()):
        all_of = "markers and panel both" if len(readings) == 2 else "markers, panel and its notes all"
        why = f"{all_of} exclude every age under {asked.low:g} years"
        return ClaimStanding.SUPPORTED, f"Claim, {asked.words()}: {ClaimStanding.SUPPORTED}; {why}."
    why = f"ages on both sides of {asked.low:g} years remain"
    return ClaimStanding.OPEN, f"Claim, {asked.words()}: {ClaimStanding.OPEN}; {why}."


def _reaches_below(reading: AgeReading, years: float) -> bool:
    return bool(reading.ages.form[0] != Form.INTERVAL or reading.ages.low[0] < years)
