"""The other kinds of rule: strengths, words from a list, places, additions, season, and the opposite of other rules."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from gristwright.basics import Verdict
from gristwright.records.law import WhiskyFacts
from gristwright.rules.law.book import Book, Rule
from gristwright.rules.law.finding import OPERATORS, Finding, exact, gravest, holds, settled, turned
from gristwright.rules.law.shares import share_finding
from gristwright.rules.law.wood import age_finding, stays_finding


@dataclass(frozen=True)
class Case:
    """The facts of one whisky, the day they are judged on and the book they are judged by."""

    facts: WhiskyFacts
    on: dt.date
    book: Book

    @property
    def bottled(self) -> dt.date:
        """The day of bottling: as said, or when it leaves its last cask, or the day judged."""
        left = [stay.date_out for stay in self.facts.stays or () if stay.date_out is not None]
        return self.facts.bottled or max(left, default=self.on)


def not_known(what: str, fact: str, value: str = "") -> Finding:
    """The finding on a fact that was not given; a value that would do stands in the line that settles it."""
    return Finding(Verdict.UNKNOWN, f"{what} is not known", asks=((fact, value),))


def strength_finding(rule: Rule, case: Case) -> Finding:
    """A strength [%vol] against a limit; `when_stored` asks nothing of spirit that saw no cask."""
    name = {"bottle": "bottling strength", "entry": "strength into the cask"}[rule.data["of"]]
    value = case.facts.bottle_abv_pct if rule.data["of"] == "bottle" else case.facts.entry_abv_pct
    if rule.data.get("when_stored", False) and case.facts.stays == ():
        return Finding(Verdict.PASS, "the spirit saw no cask")
    if value is None:
        return not_known(f"the {name}", f"{rule.data['of']}_abv_pct")
    at, limit = exact(value), Decimal(rule.data["limit_abv_pct"])
    sure, maybe = holds(rule.data["op"], at, at, limit)
    return Finding(
        settled(sure, maybe), f"the {name} is {value:g} %vol; asked {OPERATORS[rule.data['op']]} {limit} %vol"
    )


def distillation_finding(rule: Rule, case: Case) -> Finding:
    """The strength of every distillation, or of the last, against a limit [%vol]."""
    strengths = case.facts.distillation_abv_pct
    if not strengths:
        return not_known("the strength of the distillations", "distillation_abv_pct")
    judged = strengths if rule.data["which"] == "every" else strengths[-1:]
    limit = Decimal(rule.data["limit_abv_pct"])
    states = [holds(rule.data["op"], exact(x), exact(x), limit)[0] for x in judged]
    read = ", ".join(f"{x:g}" for x in judged)
    return Finding(
        settled(all(states), all(states)), f"distilled at {read} %vol; asked {OPERATORS[rule.data['op']]} {limit} %vol"
    )


def runs_finding(rule: Rule, case: Case) -> Finding:
    """How many times the spirit was distilled."""
    if not case.facts.distillation_abv_pct:
        return not_known("the number of distillations", "distillation_abv_pct")
    runs, least, most = len(case.facts.distillation_abv_pct), int(rule.data["least"]), int(rule.data["most"])
    fits = least <= runs <= most
    return Finding(settled(fits, fits), f"distilled {runs} times; asked {least} to {most}")


def word_verdict(value: str, allowed: Iterable[str], unclear: Iterable[str]) -> Verdict:
    """Whether a word is allowed, forbidden, or one on which the text says nothing clear."""
    if value in unclear:
        return Verdict.UNKNOWN
    return Verdict.PASS if value in allowed else Verdict.FAIL


def one_of_finding(rule: Rule, case: Case) -> Finding:
    """A fact that is a word, against the words allowed."""
    field = rule.data["of"]
    words, named = (
        case.book.words,
        {"enzymes": "kind of enzymes", "ferment_agents": "agent of fermentation", "still": "kind of still"},
    )
    value = words.plain(field, getattr(case.facts, field))
    allowed = words.named(rule.data["allowed"])
    if value == "unknown":
        return not_known(f"the {named[field]}", field, allowed[0])
    verdict = word_verdict(value, allowed, words.named(rule.data.get("unclear", ())))
    return Finding(verdict, f"{named[field]}: {value}", asks=on_text(verdict))


def additions_finding(rule: Rule, case: Case) -> Finding:
    """What was added, each against the additions allowed."""
    if case.facts.additions is None:
        return not_known("what was added", "additions")
    words = case.book.words
    allowed, unclear = words.named(rule.data["allowed"]), words.named(rule.data.get("unclear", ()))
    added = [words.plain("additions", value) for value in case.facts.additions]
    verdict = gravest([Verdict.PASS, *(word_verdict(value, allowed, (*unclear, "unknown")) for value in added)])
    missing = (("additions", ""),) if "unknown" in added and verdict is Verdict.UNKNOWN else on_text(verdict)
    return Finding(verdict, f"added: {', '.join(added) or 'nothing'}", asks=missing)


def on_text(verdict: Verdict) -> tuple[tuple[str, str], ...]:
    """Who settles a word on which the text says nothing clear."""
    return (("text", ""),) if verdict is Verdict.UNKNOWN else ()


def is_true_finding(rule: Rule, case: Case) -> Finding:
    """A fact that is a yes or no."""
    field = rule.data["of"]
    named = {"one_distillery": "one distillery", "warehouse": "time only in an excise warehouse or a permitted place"}
    value: bool | None = getattr(case.facts, field)
    if value is None:
        return not_known(f"whether it is {named[field]}", field)
    return Finding(settled(value, value), f"{named[field]}: {'yes' if value else 'no'}")


def lies_in(country: str | None, allowed: Iterable[str]) -> tuple[bool, bool]:
    """Whether a country (surely, possibly) lies in those allowed; a whole country may or may not be the part asked."""
    if country is None:
        return (False, True)
    sure = any(country == place or country.startswith(f"{place}-") for place in allowed)
    return (sure, sure or any(place.startswith(f"{country}-") for place in allowed))


def countries_of(step: str, facts: WhiskyFacts) -> list[str | None]:
    """Where a step was done; a cask that names its own country speaks for its time."""
    usual = dict(facts.places).get(step, facts.country)
    if step != "mature" or not facts.stays:
        return [usual]
    return [stay.country or usual for stay in facts.stays]


def place_finding(rule: Rule, case: Case) -> Finding:
    """Each step in one of the places allowed."""
    done = [
        (step, place, country)
        for step in rule.data["steps"]
        for place, country in enumerate(countries_of(step, case.facts))
    ]
    fits = [lies_in(country, rule.data["allowed"]) for *_, country in done]
    verdict = settled(all(sure for sure, _ in fits), all(maybe for _, maybe in fits))
    places = dict.fromkeys(f"{step} in {country or 'a country not known'}" for step, _, country in done)
    open_ = [where for where, fit in zip(done, fits, strict=True) if fit == (False, True)]
    asks = tuple((f"stay.country#{k}" if k else "country", rule.data["allowed"][0]) for _, k, _ in open_)
    reason = f"{', '.join(places)}; asked {' or '.join(rule.data['allowed'])}"
    return Finding(verdict, reason, asks=asks if verdict is Verdict.UNKNOWN else ())


def season_finding(rule: Rule, case: Case) -> Finding:
    """All distillation in one half of one year."""
    if case.facts.distilled is None:
        said = case.facts.one_season
        if said is None:
            return not_known("whether all was distilled in one season", "one_season")
        return Finding(settled(said, said), f"distilled in one season: {'yes' if said else 'no'}")
    first, last = case.facts.distilled
    one = (first.year, first.month > 6) == (last.year, last.month > 6)
    return Finding(
        settled(one, one), f"distilled from {first} to {last}; asked one season, January-June or July-December"
    )


def not_all_finding(rule: Rule, case: Case) -> Finding:
    """The opposite of several other rules together: at least one of them must not be met."""
    found = [finding_of(case.book.rule(name), case) for name in rule.data["rules"]]
    verdict = gravest([finding.verdict for finding in found])
    asks = tuple(ask for finding in found for ask in finding.asks) if verdict is Verdict.UNKNOWN else ()
    reason = f"taken together the rules {', '.join(rule.data['rules'])} give: {verdict.value}"
    return Finding(turned(verdict), reason, asks=asks)


def share_of_case(rule: Rule, case: Case) -> Finding:
    """A share rule on the case's grist."""
    return share_finding(rule, case.facts.grist, case.book.words)


def stays_of_case(rule: Rule, case: Case) -> Finding:
    """A rule on the case's casks."""
    return stays_finding(rule, case.facts, case.book.words)


def age_of_case(rule: Rule, case: Case) -> Finding:
    """A rule on the case's age."""
    return age_finding(rule, case.facts, case.book.words, case.on)


KINDS = {
    "share": share_of_case,
    "strength": strength_finding,
    "distillation": distillation_finding,
    "runs": runs_finding,
    "one_of": one_of_finding,
    "additions": additions_finding,
    "is_true": is_true_finding,
    "place": place_finding,
    "casks": stays_of_case,
    "age": age_of_case,
    "season": season_finding,
    "not_all": not_all_finding,
}


def finding_of(rule: Rule, case: Case) -> Finding:
    """What a rule finds in a case; what fails is not known where older rules may let spirit bottled so early pass."""
    found = KINDS[rule.kind](rule, case)
    if found.verdict is not Verdict.FAIL or case.bottled >= rule.transition_until:
        return found
    reason = f"{found.reason}; bottled on {case.bottled}, before {rule.transition_until}: {rule.transition}"
    return replace(found, verdict=Verdict.UNKNOWN, reason=reason, asks=(("transition", ""),))
