"""The lots of a job believed: each with its type, its priors and its faults. See docs/certificates.md."""

from __future__ import annotations

from collections.abc import Sequence

from gristwright.basics import Problem, Refused
from gristwright.records.lot import Lot
from gristwright.stages.grist import certificate
from gristwright.stages.grist.certificate import LotBelief
from gristwright.stages.grist.materials import material_named


def believe_lots(lots: Sequence[Lot]) -> tuple[tuple[LotBelief, ...], list[Problem]]:
    """Every lot with its type and priors, and all problems of all lots."""
    beliefs: list[LotBelief] = []
    problems: list[Problem] = []
    for lot in lots:
        try:
            material = material_named(lot.material, lot.where.to("material"))
        except Refused as refused:
            problems += refused.problems
            continue
        problems += certificate.lot_problems(lot, material)
        beliefs.append(certificate.believe(lot, material))
    return tuple(beliefs), problems
