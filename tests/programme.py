"""The invented programme of examples/ageing-programme, loaded for tests: inputs here, never a test's truth."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from gristwright.casework.claim.claim import claim
from gristwright.files.ladder_in import read_casks
from gristwright.records.ageing import AgeClaim, ArmAnswer, CaskFacts, CaskTable, ClaimAnswer

FOLDER = Path(__file__).parents[1] / "examples" / "ageing-programme"
CLAIM = AgeClaim(3.0, 6.0, 8.0)


@cache
def ladder() -> CaskTable:
    return read_casks(FOLDER / "ladder.csv").accepted()


@cache
def arms(name: str = "arms.csv") -> CaskTable:
    return read_casks(FOLDER / name, arms=True).accepted()


@cache
def answered(name: str = "arms.csv", model: str = "line") -> ClaimAnswer:
    return claim(ladder(), arms(name), [CLAIM], model=model)


def of_arm(found: ClaimAnswer, arm: str) -> ArmAnswer:
    return next(answer for answer in found.answers if answer.arm == arm)


def with_facts(table: CaskTable, **changed: object) -> CaskTable:
    """The table with some facts of every cask changed."""

    def other(facts: CaskFacts) -> CaskFacts:
        return replace(facts, **changed)  # type: ignore[arg-type]

    return replace(
        table,
        samples=tuple(replace(item, facts=other(item.facts)) for item in table.samples),
        scores=tuple(replace(item, facts=other(item.facts)) for item in table.scores),
    )
