"""An invented recommendation for the tests of charts and documents: no house, lot or number in it is real."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from gristwright.basics import Assumption, Band, Light, Standing, Verdict
from gristwright.records import results as r
from gristwright.records.bill import Bill, Share
from gristwright.records.law import CategoryAnswer, RuleAnswer
from gristwright.records.said import Amount, Name, said

GRAIN = ("grist.extract", "grist.fermentability", "grist.moisture")
ALL = (*GRAIN, "mash.wort_efficiency", "wash.loss", "still.pot_ale_abv_pct", "still.handling", "still.lees")
WOOD = (*ALL, "cask.evaporation", "cask.left_in_wood", "bottle.loss")
LOTS = {
    "pale": "pale distilling malt (Invented Field, crop 2026)",
    "strong": "high-enzyme malt",
    "amber": "caramel malt, 60 EBC",
    "peat": "peated malt, 45 ppm phenols",
}


def band(middle: float, half: float) -> Band:
    return Band(middle - half, middle, middle + half)


def figure(key: str, label: str, unit: str, at: Band, decimals: int = 1, rests: tuple[str, ...] = ALL) -> r.Figure:
    return r.Figure(key, label, unit, at, decimals, rests)


def ledger(lift: float = 0.0) -> r.Ledger:
    raw: tuple[tuple[str, str, str, float, float, tuple[str, ...]], ...] = (
        ("theory", "All fermentable sugar of the grist", "start", 434.6 + lift, 6.0, GRAIN),
        ("draff", "Sugar left in the draff", "loss", 10.9, 3.1, ALL[:4]),
        ("wort", "In the wort", "level", 423.7 + lift, 7.0, ALL[:4]),
        ("yeast", "Used by the yeast to grow, and glycerol", "loss", 14.8, 2.9, ALL[:5]),
        ("wash", "In the wash", "level", 408.9 + lift, 7.4, ALL[:5]),
        ("pot_ale", "Left in the pot ale", "loss", 3.9, 0.8, ALL),
        ("lees", "Left in the spent lees", "loss", 1.2, 0.4, ALL),
        ("handling", "Vapour, rinsing and small leaks", "loss", 5.6, 2.6, ALL),
        ("filled", "Filled into cask", "level", 398.2 + lift, 6.9, ALL),
        ("air", "Gone through the wood in 8 years", "loss", 58.1, 14.0, WOOD),
        ("wood", "Left in the wood", "loss", 7.9, 2.0, WOOD),
        ("bottle", "In the bottle", "level", 332.2 + lift, 17.0, WOOD),
    )
    rows = [r.LedgerRow(k, label, kind, x, band(x, half), rests) for k, label, kind, x, half, rests in raw]
    return r.Ledger(tuple(rows), 3.1e-12)


def boards(worst: float) -> tuple[r.Board, ...]:
    starch = figure("dp", "Enzyme strength of the grist", "°Lintner", band(92.0, 9.0), 0)
    hours = figure("run_off", "Run-off", "h", band(5.2, 1.1))
    light = Light.GREEN if worst < 0.05 else Light.AMBER if worst < 0.3 else Light.RED
    return (
        r.Board(
            "starch", "Converts by its own enzymes", Light.GREEN, 0.004, starch,
            "The grist carries enough enzyme for its starch.", "", "published", "Invented Author (2016), table 2",
        ),
        r.Board(
            "run_off", "Run-off within the cycle", light, worst, hours,
            f"In {100 * worst:.0f} % of the runs the wort takes longer than the 6.5 h cycle.",
            "Mill coarser, or lower the share of peated malt.", "estimate", "engineering judgement",
        ),
        r.Board(
            "foam", "Foam stays in the washback", Light.UNKNOWN, 0.5, None,
            "The headspace was not stated.", "State washbacks.headspace_pct in the plant file.", "estimate", "",
        ),
    )  # fmt: skip


def law(pot_still: Verdict = Verdict.PASS) -> tuple[CategoryAnswer, ...]:
    date, read = dt.date(2009, 11, 23), dt.date(2026, 11, 20)
    fine = RuleAnswer("XA-1", Verdict.PASS, "All of the grist is malted barley.", "Invented Act 2009, reg. 3(1)(a)")
    miss = RuleAnswer("XB-2", Verdict.FAIL, "Unmalted barley is 0 % of the mash; at least 30 % is asked.",
                      "Invented technical file, part 4", "shares are read on the dry mass")  # fmt: skip
    open_ = RuleAnswer("XC-5", Verdict.UNKNOWN, "The country of bottling was not stated.", "Invented standard, 2021")
    short = RuleAnswer("XB-3", pot_still, "Batch distillation in pot stills.", "Invented technical file, part 5")
    return (
        CategoryAnswer("XA", "Single malt (invented act)", "EU", Verdict.PASS, (fine,), date, read),
        CategoryAnswer("XB", "Pot still (invented file)", "EU", Verdict.FAIL, (miss, short), dt.date(2014, 10, 1), read,
                       ("The 5 % limit on other cereals may change.",)),
        CategoryAnswer("XC", "Matured in Japan (invented standard)", "JP", Verdict.UNKNOWN, (open_,),
                       dt.date(2021, 2, 16), read),
    )  # fmt: skip


def bill(name: str, shares: dict[str, float], lift: float = 0.0, worst: float = 0.02) -> r.BillResult:
    figures = (
        figure("lpa_per_t", "Filled into cask", "LPA/t", band(398.2 + lift, 6.9)),
        figure("cost_per_lpa", "Cost of the malt", "EUR/LPA", band(1.214 - lift / 900, 0.021), 3),
        figure("annual_lpa", "Filled in a year", "LPA/year", band((398.2 + lift) * 2600, 17_900), 0),
        figure("wash_abv_pct", "Wash strength", "%vol", band(8.31 + lift / 60, 0.18), 2),
        figure("original_gravity_sg", "Original gravity", "SG", band(1.0612 + lift / 9000, 0.0011), 4),
    )
    parts = Bill(name, tuple(Share(lot, round(100 * pct)) for lot, pct in shares.items()))
    labels = tuple((lot, LOTS[lot], pct) for lot, pct in shares.items())
    return r.BillResult(parts, labels, {f.key: f for f in figures}, ledger(lift), boards(worst), law())


def offer(name: str, shares: dict[str, float], lift: float, worst: float, reason: str) -> r.Offer:
    changes = (
        figure("lpa_per_t", "change in litres per tonne", "LPA/t", band(lift, 1.6)),
        figure("cost_per_lpa", "change in the cost of the malt", "EUR/LPA", band(-0.013 + lift / 900, 0.009), 3),
        figure("annual_lpa", "change in litres a year", "LPA/year", band(lift * 2600, 4160), 0),
    )
    words = (
        f"Gives {lift:+.1f} LPA/t against the present bill, the band counted on the same draws.".replace("-", "−"),
        "The caramel malt brings roast aldehydes of which hardly any reaches the spirit.",
    )
    return r.Offer(bill(name, shares, lift, worst), {f.key: f for f in changes}, reason, words)


OFFERS = (
    offer("More enzyme, less caramel", {"pale": 88.0, "strong": 9.5, "amber": 2.5}, 3.1, 0.03, "most litres a tonne"),
    offer("Lowest cost", {"pale": 94.0, "strong": 6.0}, 4.4, 0.02, "least cost for each litre"),
    offer("Widest margin, with the caramel malt kept as the customer asked and the peated malt halved",
          {"pale": 85.0, "strong": 5.0, "amber": 5.0, "peat": 5.0}, -2.2, 0.01, "boards furthest from the red"),
    offer("Smoke kept", {"pale": 78.0, "strong": 6.0, "amber": 1.0, "peat": 15.0}, -5.9, 0.22, "smoke as it is today"),
    offer("Between A and B", {"pale": 91.0, "strong": 7.5, "amber": 1.5}, 3.8, 0.05, "between the first two"),
)  # fmt: skip

MEANINGS = {
    "grist.extract": ("soluble extract of the pale malt as it is", "%", 77.4, 0.9, Standing.MEASURED),
    "grist.fermentability": ("fermentability of the pale malt", "%", 87.1, 0.8, Standing.PUBLISHED),
    "grist.moisture": ("moisture of the pale malt", "%", 4.6, 0.2, Standing.MEASURED),
    "mash.wort_efficiency": ("part of the extract that reaches the wort", "%", 97.5, 0.8, Standing.COMMON_PRACTICE),
    "wash.loss": ("alcohol lost with the carbon dioxide", "%", 0.6, 0.3, Standing.ESTIMATE),
    "still.pot_ale_abv_pct": ("strength of pot ale when the wash still is stopped", "%vol", 0.08, 0.02,
                              Standing.DERIVED),
    "still.handling": ("alcohol lost by vapour and rinsing", "%", 1.4, 0.6, Standing.ESTIMATE),
    "still.lees": ("strength of spent lees", "%vol", 0.06, 0.02, Standing.DERIVED),
    "cask.evaporation": ("alcohol lost through the wood in a year", "%", 1.9, 0.5, Standing.PUBLISHED),
    "cask.left_in_wood": ("spirit left in the wood", "L/m²", 2.9, 0.7, Standing.ESTIMATE),
    "bottle.loss": ("spirit lost in filtering and bottling", "%", 0.8, 0.3, Standing.FROM_MEMORY),
    "caramel.extract": ("soluble extract of the caramel malt", "%", 73.0, 2.5, Standing.ESTIMATE),
    "caramel.fermentability": ("fermentability of the caramel malt", "%", 63.0, 8.0, Standing.FROM_MEMORY),
    "strong.diastatic_power": ("enzyme strength of the high-enzyme malt", "°Lintner", 182.0, 14.0, Standing.MEASURED),
    "peat.extract": ("soluble extract of the peated malt", "%", 76.1, 1.1, Standing.PUBLISHED),
}  # fmt: skip


def assumptions() -> tuple[Assumption, ...]:
    source = {
        Standing.MEASURED: "certificate of the invented lot",
        Standing.PUBLISHED: "Invented Author (2015), J. Invented Brew. 121, table 3",
    }
    return tuple(
        Assumption(name, meaning, unit, band(middle, half), standing, source.get(standing, "see docs/reference.md"))
        for name, (meaning, unit, middle, half, standing) in MEANINGS.items()
    )


CAUTIONS = (
    "These results help you plan. They are not a hazard study, a permit or legal advice. Your local fire, explosion, "
    "workplace, excise and food rules decide, and a licensed and competent person must approve them.",
    "Spirit above about 20 %vol gives off vapour that can burn near room temperature. Keep flames, sparks and unrated "
    "lamps away; ventilate; earth hoses and vessels.",
    "Carbon dioxide from fermentation collects low down, without colour or smell. Do not enter a washback, pit or tank "
    "without a gas test, a permit and a second person.",
    "Malt dust can explode and can cause asthma. Clean by extraction, not with a dry brush or an air line.",
    "Category results depend on the rule version shown and on the data you typed. Ask your authority or counsel before "
    "you print a label.",
)


def provenance() -> r.Provenance:
    return r.Provenance(
        version="0.1.0",
        seed=1,
        members=4096,
        inputs=(("enquiry.toml", "3f" * 32), ("plant.toml", "a1" * 32), ("lots.csv", "0c" * 32)),
        rule_dates=(("XA", dt.date(2009, 11, 23), dt.date(2026, 11, 20)),),
        judged_on=dt.date(2026, 11, 24),
        issued=dt.date(2026, 11, 25),
        valid_until=dt.date(2027, 2, 23),
    )


def recommendation(offers: int = 3) -> r.Recommendation:
    """A full answer with so many offers."""
    names = list(MEANINGS)
    return r.Recommendation(
        title="More litres from the same tonne",
        customer="Invented Glen Distillery",
        plant="Invented House",
        adviser="A. Example (invented)",
        question="Which bill gives more litres for each tonne without losing the caramel malt, at our two-tonne mash?",
        invented=True,
        currency="EUR",
        present=bill("Present bill", {"pale": 90.0, "strong": 5.0, "amber": 5.0}),
        offers=OFFERS[:offers],
        answer=(
            "Two bills give more litres than today; the better one gives 3.1 LPA/t more (1.5 to 4.7).",
            "Each converts by its own enzymes and may be called a single malt under the rule text shown.",
            "A trial of 14 mashes each would show the difference.",
        ),
        search=r.Search(5.0, 286, 286, 121, 9, (("at least 395 LPA/t", 88), ("Pot still (invented file)", 77))),
        anchor=r.Anchor(True, "Set on the house's own 41 mashes.", 396.8, band(392.0, 14.2), band(398.2, 6.9), 812),
        will_not=(
            r.Fact("The caramel malt will not colour the spirit.", "common practice", "colour is not volatile"),
            r.Fact("Nothing here shows that the spirit will taste older.", "estimate", ""),
        ),
        assumptions=assumptions(),
        effects={name: band(0.0, 3.4 / (place + 1)) for place, name in enumerate(names[:12])},
        measure_next=(
            r.MeasureNext("caramel.fermentability", "fermentability of the caramel malt", "the change in LPA/t", 1.1,
                          "LPA/t", "Ferment a laboratory mash of the lot to the end."),
            r.MeasureNext("mash.wort_efficiency", "part of the extract that reaches the wort", "LPA/t", 0.7, "LPA/t",
                          "Weigh the draff of three mashes and dry a sample of each."),
        ),
        trial=r.Trial("More enzyme, less caramel", 14, 3.1, 3.9,
                      ("Run both bills in turn, week by week.", "Stop when the limits of the plan are crossed.")),
        warnings=("lots.csv row 3: moisture 7.9 % is unusual for pale malt.",),
        cautions=CAUTIONS,
        provenance=provenance(),
    )  # fmt: skip


CLASH = (
    said("demand.least", what=Name("figure", "lpa_per_t"), bound=Amount(405.0, "L/t")),
    said("demand.lot_least", lot="caramel malt", bound=Amount(5.0, "%")),
)


def conflict() -> r.Recommendation:
    """No bill meets every demand."""
    clash = (
        r.Relaxation("at least 405 LPA/t", "402.1 LPA/t could be reached (398.8 to 405.4).", CLASH[0]),
        r.Relaxation("at least 5 % caramel malt", "With 2.5 % all other demands can be met.", CLASH[1]),
    )
    search = r.Search(5.0, 286, 286, 0, 0, (("at least 405 LPA/t", 286), ("at least 5 % caramel malt", 40)), clash)
    return replace(
        recommendation(0), offers=(), search=search, trial=None, effects={}, measure_next=(),
        answer=("No bill meets all demands; two of them exclude each other.",),
    )  # fmt: skip


def literature_only() -> r.Recommendation:
    """Nothing was known of the house's own figures."""
    anchor = r.Anchor(False, "Literature only: no record of the house was given, so the bands are wide.")
    return replace(recommendation(2), anchor=anchor)
