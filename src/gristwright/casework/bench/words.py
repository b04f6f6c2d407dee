"""Sentences that several jobs say of a bill. Every number in them comes from a figure of the same result."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from gristwright.basics import Band
from gristwright.casework.bench.bench import Bench, GristBench
from gristwright.numerics.weights import failed_share
from gristwright.quantities.shown import interval, plain
from gristwright.records.results import BillResult, Figure
from gristwright.stages.cask.ledger import first_month_below
from gristwright.stages.grist.certificate_units import fields


def change_words(figure: Figure, less: str, more: str) -> str:
    """A difference in words; one that may be nothing says so."""
    one = figure.band
    if one.includes_zero:
        return f"no sure change ({interval(one, figure.decimals, difference=True)} {figure.unit})"
    size = Band(*sorted((abs(one.low), abs(one.middle), abs(one.high))))
    side = less if one.middle < 0 else more
    return f"{plain(size.middle, figure.decimals)} {figure.unit} {side} ({interval(size, figure.decimals)})"


def assumed_words(bench: GristBench, results: Collection[BillResult]) -> tuple[str, ...]:
    """Which values of which lots in these bills were not on the certificate."""
    sentences = [
        f"{b.lot.lot_id} ({b.material.title}): {', '.join(plain_field(name) for name in b.assumed)}"
        for b in bench.lots
        if b.assumed and any(result.bill.parts_of(b.lot.lot_id) for result in results)
    ]
    return (f"Not on the certificate, typical of the type instead: {'; '.join(sentences)}.",) if sentences else ()


def typical_lots(bench: GristBench, results: Collection[BillResult]) -> tuple[str, ...]:
    """The lots in these bills of which some value is typical of the type and not on the certificate."""
    return tuple(b.lot.lot_id for b in bench.lots if b.assumed and any(r.bill.parts_of(b.lot.lot_id) for r in results))


def plain_field(name: str) -> str:
    """A certificate field in words."""
    return fields()[name].title


def bill_cautions(results: Sequence[BillResult]) -> tuple[str, ...]:
    """What to beware of in these bills, once each; the bills are named where it is not all of them."""
    return _of_bills([(result.bill.name, result.cautions) for result in results])


def bill_warnings(results: Sequence[BillResult]) -> tuple[str, ...]:
    """What was seen of these bills, once each; the bills are named where it is not all of them."""
    return _of_bills([(result.bill.name, result.warnings) for result in results])


def _of_bills(said: Sequence[tuple[str, tuple[str, ...]]]) -> tuple[str, ...]:
    told = dict.fromkeys(sentence for _, sentences in said for sentence in sentences)
    named = {sentence: [name for name, sentences in said if sentence in sentences] for sentence in told}
    return tuple(
        sentence if len(names) == len(said) else f"Of {'; '.join(names)}: {sentence}"
        for sentence, names in named.items()
    )


def result_warnings(bench: Bench, results: Collection[BillResult]) -> tuple[str, ...]:
    """Warnings that only the computed run can give."""
    warnings = list(assumed_words(bench, results))
    warnings += dict.fromkeys(warning for result in results for warning in result.warnings)
    if bench.lain is None:
        return tuple(warnings)
    lines = first_month_below(bench.matured, bench.cask.bottle_abv_pct)
    early = bench.runs.chance(lines < round(bench.cask.years * 12))
    if early > 0.01:
        warnings.append(
            f"In {100 * early:.0f} % of the draws the cask falls under the bottle's {bench.cask.bottle_abv_pct:g} %vol "
            f"before {bench.cask.years:g} years; those draws are left out of the bottle's line."
        )
    failed = failed_share(bench.runs.on_draws(bench.matured.abv_pct), bench.weights)
    if failed > 0.0:
        warnings.append(f"In {100 * failed:.1f} % of the draws the cask ran dry; they are left out.")
    return tuple(warnings)
