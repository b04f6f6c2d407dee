"""The whole dossier as a view: the recommendation's with the rest beside it. See docs/order.md."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from gristwright.documents.cask_part import CaskPartView, cask_view
from gristwright.documents.data import SPREAD
from gristwright.documents.entries import readable
from gristwright.documents.gain import INSIDE, AgesView, GainView, ages_view, gain_view
from gristwright.documents.lots import lots_of
from gristwright.documents.mash_part import MashPartView, mash_part_view
from gristwright.documents.order import ChangeOverView, OrderView, change_over_view, order_view
from gristwright.documents.speech import LOCALES, speech
from gristwright.documents.view import AdviceView, NotesView, advice_view, fingerprint, results_of
from gristwright.documents.wash_part import WashPartView, wash_part_view
from gristwright.documents.year import AnnualView, SensitivityView, annual_view, sensitivity_view
from gristwright.records.order import Dossier

FORMAT = "gristwright.dossier/1"
CHANGE_OVER = "Steps are equal and rounded to what can be weighed. How many there are is the house's choice."
ANNUAL = (
    "The same tonnes a year for every bill, at the prices of the enquiry. Changes are against today. "
    "The last two rows say what it takes to fill as many litres as today."
)
ALONE = "At the prices of the enquiry."
ONE_PERCENT = "One per cent of the grist more of a lot, taken from the lot named beside it, in today's bill."
FLIPS = (
    "The price of one lot, all other prices as they are, at which an offer costs as much for each litre as "
    "today. Under zero: not even for nothing."
)


@dataclass(frozen=True)
class DossierNotes(NotesView):
    """What is said beside the parts of a dossier."""

    change_over: str
    annual: str
    one_percent: str
    flips: str


@dataclass(frozen=True)
class DossierView:
    """The advice, what is needed to buy and to run it, what moves it, and what it is known by."""

    advice: AdviceView = field(metadata=SPREAD)
    order: OrderView
    order_in: dict[str, OrderView]  # the same in the other languages
    change_over: ChangeOverView | None
    annual: AnnualView
    sensitivity: SensitivityView
    mash: MashPartView
    wash: WashPartView | None
    cask: CaskPartView
    gain: GainView | None
    ages: AgesView | None
    fingerprint: str


def dossier_view(made: Dossier) -> DossierView:
    """Every text and number of a dossier; its order in every language, its own first."""
    own, lots = made.recommendation.language, lots_of(results_of(made.recommendation))
    orders = {language: order_view(made.order, lots, speech(language)) for language in LOCALES}
    advice = advice_view(replace(made.recommendation, assumptions=made.assumptions))
    view = readable(
        DossierView(
            advice=replace(advice, format=FORMAT, notes=_notes(made, advice.notes)),
            order=orders[own],
            order_in={language: order for language, order in orders.items() if language != own},
            change_over=change_over_view(made.change_over),
            annual=annual_view(made.annual),
            sensitivity=sensitivity_view(made.sensitivity),
            mash=mash_part_view(made.mash),
            wash=wash_part_view(made.mash.wash) if made.mash.wash else None,
            cask=cask_view(made.cask),
            gain=gain_view(made.gain, made.recommendation.offers),
            ages=ages_view(made.ages),
            fingerprint="",
        )
    )
    return replace(view, fingerprint=fingerprint(view))


def _notes(made: Dossier, notes: NotesView) -> DossierNotes:
    return DossierNotes(
        **vars(replace(notes, age=INSIDE) if made.ages else notes),
        change_over=CHANGE_OVER,
        annual=ANNUAL if len(made.annual) > 1 else ALONE,
        one_percent=ONE_PERCENT,
        flips=FLIPS,
    )
