"""A mash against the one that the certificate's figures come from. See docs/mash.md.

The laboratory's figures say what a grist gives when everything opens and converts. Another plan gives them times
what it opens, times what part of that yeast can take, each relative to the laboratory's mash of the same grist. Only
the ratio of two simulations is used: what the model misses in both cancels.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gristwright.basics import FloatArray
from gristwright.records.mash import MODEL, MaltEnzymes, MashCourse, MashGrain, MashProgramme
from gristwright.stages.mash.enzymes import reference_malt
from gristwright.stages.mash.kinetics import STARCH_OF_MALT
from gristwright.stages.mash.programme import programmed_rests

# The mash in which the factor of the predicted spirit yield was confirmed was as thick and as warm as a distillery's;
# its temperature and thickness as usual there (common practice).
LABORATORY_DEGC, LABORATORY_MIN, LABORATORY_L_PER_KG = 64.0, 60.0, 4.0
SUGAR_PER_STARCH = 1.06
# A tenth of strong malt is enough where raw grain ferments whole; yields of such houses come from it (common practice).
GRAIN_HOUSE_DOSE = 0.1


@dataclass(frozen=True)
class MashEffect:
    """What a plan does to the laboratory's figures; arrays (members,)."""

    converted: FloatArray  # share of the starch that becomes sugar or dextrin, the washback included
    fermented: FloatArray  # part of it that yeast takes, over that part in the laboratory's mash
    of_starch: FloatArray  # share of what the laboratory's figures count on that is starch to be converted
    starch_left_pct: FloatArray  # starch neither sugar nor dextrin in the end, the washback included, % of it
    unopened_pct: FloatArray  # of that the part whose granules never opened, % of the starch
    mash_left_pct: FloatArray  # starch neither sugar nor dextrin when the mash ends, before the washback, % of it
    fermentable_pct: FloatArray  # of the dissolved extract, with the washback's enzymes unless the wort is boiled
    held_back_pct: (
        FloatArray  # starch that more enzyme would still turn: in the washback, or boiled in the mash; % of it
    )

    @property
    def factor(self) -> FloatArray:
        """Fermentable matter over the laboratory's."""
        return np.asarray(1.0 - self.of_starch * (1.0 - self.converted * self.fermented))

    @property
    def attenuation(self) -> FloatArray:
        """Fermentable part of what is dissolved over the laboratory's."""
        return np.asarray((1.0 - self.unconverted - self.dextrin) / (1.0 - self.unconverted))

    @property
    def unconverted(self) -> FloatArray:
        """Share of the laboratory's figure that starch left behind costs."""
        return np.asarray(self.of_starch * (1.0 - self.converted))

    @property
    def dextrin(self) -> FloatArray:
        """Share that dextrins beyond the laboratory's cost; below zero where the plan leaves fewer."""
        return np.asarray(self.of_starch * self.converted * (1.0 - self.fermented))


def laboratory_mash(
    grains: Sequence[MashGrain], model: str = MODEL, on_the_grain: bool = False
) -> tuple[MashProgramme, list[MashGrain], dict[str, MaltEnzymes]]:
    """The laboratory's mash of a grist: raw grain cooked beforehand, and enough enzyme whatever the malts bring.

    Every grain is given the dose of the malt that the model was fitted to, so that what a grist lacks shows against it;
    raw grain that ferments whole and unboiled that of a grain house with malt enough, for yields of such houses are its
    figures. `model` is the house's, `on_the_grain` whether the whole mash ferments with its enzymes alive.
    """
    rests = [(LABORATORY_DEGC, LABORATORY_MIN)]
    cooked = [grain if grain.malted else replace(grain, opened=True) for grain in grains]
    programme = programmed_rests([grain.key for grain in grains], rests, LABORATORY_L_PER_KG)
    return (
        replace(programme, model=model),
        cooked,
        {grain.key: _enough(grain, on_the_grain) for grain in grains},
    )


def _enough(grain: MashGrain, on_the_grain: bool) -> MaltEnzymes:
    usual, dose = reference_malt(), grain.starch_kg_per_kg / STARCH_OF_MALT
    if on_the_grain and not grain.malted:
        dose = dose * GRAIN_HOUSE_DOSE
    return MaltEnzymes(usual.alpha_U_per_g * dose, usual.beta_U_per_g * dose, usual.limit_dextrinase_U_per_kg * dose)


def effect(
    plan: MashCourse, laboratory: MashCourse, openable: FloatArray, usual_unopened: FloatArray, boiled: bool = False
) -> MashEffect:
    """The plan's mash against the laboratory's mash of the same grist with enough enzyme; arrays (members,).

    `openable` is the share of the starch that the published yields count on after the house's cook, `usual_unopened`
    the share that the model leaves in the laboratory's mash of a sound malt. A boiled wort keeps the dextrins it has.
    """
    there = np.maximum(openable * (1.0 - usual_unopened), 1e-9)
    # By what the grist holds, not by what was made of it: a grist without enzymes owes all its litres to them.
    made, ready = SUGAR_PER_STARCH * laboratory.starch_in_kg_per_t, laboratory.washback.ready_sugar_kg_per_t
    return MashEffect(
        converted=np.minimum((1.0 - unconverted_share(plan, boiled)) / there, 1.0),
        fermented=_fermented(plan, boiled) / _fermented(laboratory, boiled),
        of_starch=made / np.maximum(made + ready, 1e-9),
        starch_left_pct=100.0 * unconverted_share(plan, boiled),
        unopened_pct=100.0 * plan.unopened_end_kg_per_t / np.maximum(plan.starch_in_kg_per_t, 1e-9),
        mash_left_pct=plan.unconverted_pct,
        fermentable_pct=plan.fermentability.now_pct if boiled else plan.fermentability.unboiled_pct,
        held_back_pct=100.0 * _held_back_kg_per_t(plan, boiled) / np.maximum(plan.starch_in_kg_per_t, 1e-9),
    )


def _held_back_kg_per_t(plan: MashCourse, boiled: bool) -> FloatArray:
    """Starch that more enzyme would turn: boiled what is open when the mash ends, unboiled what the washback leaves."""
    return plan.washback.open_starch_kg_per_t if boiled else plan.fermentability.short_kg_per_t


def cut(effects: MashEffect, part: slice) -> MashEffect:
    """An effect for some of the members."""
    return MashEffect(**{name: values[part] for name, values in vars(effects).items()})


def joined(parts: Sequence[MashEffect]) -> MashEffect:
    """The effects of several lots of members, one behind the other."""
    return MashEffect(**{name: np.concatenate([vars(part)[name] for part in parts]) for name in vars(parts[0])})


def scaled(known: MashEffect, here: MashEffect, there: MashEffect) -> MashEffect:
    """A known effect moved by the ratio of two on one run, (1,) each; what starch is left by its own ratio."""
    left = here.starch_left_pct / np.maximum(there.starch_left_pct, 1e-9)
    lost = (1.0 - here.converted) - (1.0 - there.converted)
    return MashEffect(
        converted=np.clip(known.converted - lost, 0.0, 1.0),
        fermented=known.fermented * here.fermented / there.fermented,
        of_starch=np.minimum(known.of_starch * here.of_starch / there.of_starch, 1.0),
        starch_left_pct=np.clip(known.starch_left_pct * left, 0.0, 100.0),
        unopened_pct=np.clip(known.unopened_pct * left, 0.0, 100.0),
        mash_left_pct=np.clip(
            known.mash_left_pct * here.mash_left_pct / np.maximum(there.mash_left_pct, 1e-9), 0.0, 100.0
        ),
        fermentable_pct=np.clip(known.fermentable_pct * here.fermentable_pct / there.fermentable_pct, 0.0, 100.0),
        held_back_pct=_held_back_near(known.held_back_pct, here.held_back_pct, there.held_back_pct),
    )


# Starch and chains that a grain mash hands on at most [% of its starch], for the exponent below.
HANDED_ON_PCT, NOTHING_PCT = 90.0, 1e-9


def _held_back_near(known_pct: FloatArray, here_pct: FloatArray, there_pct: FloatArray) -> FloatArray:
    """What enzyme holds back in a grist near a known one: it falls by an exponent that goes with the dose."""
    known, here, there = (
        -np.log(np.clip(held, NOTHING_PCT, 0.99 * HANDED_ON_PCT) / HANDED_ON_PCT)
        for held in (known_pct, here_pct, there_pct)
    )
    return np.asarray(HANDED_ON_PCT * np.exp(-known * here / there))


def unconverted_share(course: MashCourse, boiled: bool = False) -> FloatArray:
    """Share of the starch that is neither sugar nor dextrin when the washback is done, (members,)."""
    fermented = course.fermentability
    in_washback = course.washback.open_starch_kg_per_t if boiled else fermented.open_starch_left_kg_per_t
    # Weak worts come back, so what they hold is not lost.
    in_tun = course.left_in_tun.open_starch_kg_per_t if course.worts else 0.0
    lost = course.unopened_end_kg_per_t + in_washback + in_tun
    return np.asarray(lost / np.maximum(course.starch_in_kg_per_t, 1e-9))


def _fermented(course: MashCourse, boiled: bool) -> FloatArray:
    """Part of the converted starch in the washback that yeast takes, (members,)."""
    wort, fermented = course.washback, course.fermentability
    if boiled:
        sugar, dextrin = fermented.now_kg_per_t, wort.dextrin_kg_per_t
    else:
        sugar, dextrin = fermented.unboiled_kg_per_t, fermented.dextrin_left_kg_per_t
    made = np.maximum(sugar - wort.ready_sugar_kg_per_t, 0.0) / SUGAR_PER_STARCH
    return np.asarray(np.maximum(made, 1e-9) / np.maximum(made + dextrin, 1e-9))
