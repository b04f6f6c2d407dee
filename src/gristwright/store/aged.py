"""Prices at release and the claim of age into rows and back. See docs/desk.md."""

from __future__ import annotations

import dataclasses
from typing import Any

from gristwright.basics import Problem, at
from gristwright.economics.release import evaporation_problems
from gristwright.records.ageing import AgeClaim, ArmGrist, CaskFacts, CaskTable, ClaimAsked, Sample, Score
from gristwright.records.dose import DoseAsked
from gristwright.records.enquiry import Enquiry
from gristwright.records.give_gain import ReleasePrices
from gristwright.store.frozen import canonical, sha256
from gristwright.store.models import AgedCasks, CaskVersion, Dosing, EnquiryRow, Release
from gristwright.store.versions import newest


def release_columns(prices: ReleasePrices) -> dict[str, Any]:
    """Prices as columns."""
    return {field.name: getattr(prices, field.name) for field in dataclasses.fields(prices)}


def release_record(row: Release) -> ReleasePrices:
    """Columns as prices; an empty one is as the record has it when nothing is said."""
    given = {field.name: getattr(row, field.name) for field in dataclasses.fields(ReleasePrices)}
    return ReleasePrices(**{name: value for name, value in given.items() if value is not None})


def claim_columns(asked: ClaimAsked) -> dict[str, Any]:
    """A claim as columns, its tables as plain values."""
    return {
        "claims": [dataclasses.asdict(one) for one in asked.claims],
        "model": asked.model,
        "count": list(asked.count),
        "grists": [{"arm": one.arm, "parts": [list(part) for part in one.parts]} for one in asked.grists],
        "told": ", ".join(f"{table.file} {sha256(canonical(table))[:12]}" for table in (asked.ladder, asked.arms)),
        "ladder": dataclasses.asdict(asked.ladder),
        "arms": dataclasses.asdict(asked.arms),
    }


def claim_record(row: AgedCasks) -> ClaimAsked:
    """Columns as a claim."""
    return ClaimAsked(
        tuple(AgeClaim(**one) for one in row.claims),
        _table(row.ladder),
        _table(row.arms),
        tuple(ArmGrist(one["arm"], tuple((name, parts) for name, parts in one["parts"])) for one in row.grists),
        row.model,
        tuple(row.count),
    )


def _table(plain: dict[str, Any]) -> CaskTable:
    made = {
        kind: tuple(of(**{**item, "facts": CaskFacts(**item["facts"])}) for item in plain[kind])
        for kind, of in (("samples", Sample), ("scores", Score))
    }
    scales = {name: (low, high) for name, (low, high) in plain["scales"].items()}
    notes = {name: tuple(plain.get(name, ())) for name in ("malt_notes", "immature_notes", "age_notes")}
    return CaskTable(**{**plain, **made, **notes, "scales": scales})


def dose_record(row: Dosing) -> DoseAsked:
    """The series of doses that is asked; a list is a tuple in a record."""
    said: dict[str, Any] = {name: tuple(v) if isinstance(v, list) else v for name, v in row.asked.items()}
    return DoseAsked(**said)


def kept(row: EnquiryRow) -> dict[str, Any]:
    """The parts of an enquiry that it may have, as its record holds them."""
    return {
        "release": release_record(row.release) if hasattr(row, "release") else None,
        "claim": claim_record(row.aged) if hasattr(row, "aged") else None,
        "dose": dose_record(row.dosing) if hasattr(row, "dosing") else None,
    }


def release_problems(row: EnquiryRow) -> list[Problem]:
    """What the prices at release do not say yet."""
    if not hasattr(row, "release"):
        return []
    problems = evaporation_problems(release_record(row.release))
    if newest(CaskVersion, row).get("years") == 0:
        problems.append(Problem(at("release"), "no years in wood are planned.", "Give them under Cask."))
    return problems


def save_parts(row: EnquiryRow, asked: Enquiry) -> None:
    """The parts of a record that it may have into rows of their own."""
    if asked.release is not None:
        Release.objects.create(enquiry=row, **release_columns(asked.release))
    if asked.claim is not None:
        AgedCasks.objects.create(enquiry=row, **claim_columns(asked.claim))
    if asked.dose is not None:
        Dosing.objects.create(enquiry=row, asked=dataclasses.asdict(asked.dose))
