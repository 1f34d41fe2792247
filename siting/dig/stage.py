"""The whole digging as one record: holes, the notice's area, materials, rules, cautions."""

from __future__ import annotations

import math
from dataclasses import dataclass

from siting.dig.ground import DigPlace
from siting.dig.holes import DigSettings, openings_of
from siting.dig.locate import locate_area
from siting.dig.materials import MaterialCase, material_list
from siting.dig.pits import BULKING_SOURCE
from siting.dig.rules import PRINTED, WHOSE
from siting.figures import shown
from siting.records.dig import DigPlan
from siting.records.guys import CutList
from siting.records.holding import LIFT, AnchorChoice, AnchorLoad, BaseHold
from siting.records.lift_guys import LiftGuys
from siting.records.mast import Mast
from siting.records.plan import Stake

CAUTIONS = (
    "This sheet is no design of a pit: the competent person on site decides how the walls stand, and may stop the work.",
    "Depths and volumes come from the DEM and the anchors as planned: measure again where the ground is otherwise.",
    "Never more ground is opened than is filled again or fenced the same day.",
    "Spoil on the downhill side, off the guy's line, where it cannot slide back in.",
    "Keep the reference stakes out of the dig: the anchor's own stake is lost when its hole is dug.",
    f"Spoil is the earth dug times its loosening: sand 1.15, common earth 1.25, clay 1.40, rock 1.50 ({BULKING_SOURCE}).",
)


@dataclass(frozen=True, slots=True)
class DigCase:
    """What the digging is worked out from."""

    place: DigPlace
    mast: Mast
    stakes: tuple[Stake, ...]  # every stake of the plan; azimuths and radii from the base
    choices: tuple[AnchorChoice, ...]
    base: BaseHold
    cut_list: CutList | None = None
    lift_guys: LiftGuys | None = None
    settings: DigSettings = DigSettings()


def base_tie(base: BaseHold) -> tuple[AnchorChoice, ...]:
    """The buried plate that holds the base plate back, as one more anchor at the base; nothing where none is needed."""
    if not base.needs_tie:
        return ()
    text = "Level push of the lift on the base, along the tie's rod."
    down_kn = base.tie_kn * math.sin(math.radians(base.tie_deg))
    load = AnchorLoad("BASE", LIFT, base.tie_kn, base.tie_deg, base.tie_away_deg, down_kn, base.push_kn, (), text, "the lift's forces")
    return (AnchorChoice("BASE", base.soil, load, (base.buried,), base.buried, (), None, ()),)


def dig_plan(case: DigCase) -> DigPlan:
    """The digging: metres, cubic metres, percent, WGS 84. What cannot be given is said first among the cautions.

    Raises:
        InputError: the buffer is no usable length.
        OutOfMethod: a rope too thick for the table of clips.
    """
    choices = (*case.choices, *base_tie(case.base))
    opened = openings_of(choices, case.base, case.stakes, case.place, case.settings)
    holes = tuple(opening.hole for opening in opened.openings if opening.hole is not None)
    materials = material_list(
        MaterialCase(case.mast, choices, case.base, case.stakes, holes, case.cut_list, case.lift_guys, case.settings)
    )
    deep = [hole for hole in holes if hole.is_deep]
    loud = tuple(f"{hole.id} IS A DEEP PIT, {shown(hole.depth_m, 'length')}: {hole.support}" for hole in deep)
    return DigPlan(
        holes=holes,
        locate=locate_area(opened.openings, case.place, case.settings.buffer_m),
        materials=materials,
        rules=(*(rule.line() for rule in PRINTED), WHOSE),
        cautions=(*opened.refused, *loud, *CAUTIONS),
    )
