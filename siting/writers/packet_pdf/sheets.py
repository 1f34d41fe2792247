"""Which sheets the packet holds, in which order, what each is for, and what fills it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from siting.records.plan import Plan
from siting.writers.dig.pdf import KIND as DIG
from siting.writers.dig.pdf import fill_dig
from siting.writers.land.pdf import KIND as LAND
from siting.writers.land.pdf import fill_land
from siting.writers.lift.pages import draw_lift_title
from siting.writers.lift.pdf import KIND as LIFT
from siting.writers.lift.pdf import fill_lift
from siting.writers.packet_pdf.checks_pages import CHECKS, UNCHECKED, fill_checks, fill_unchecked
from siting.writers.paper.flow import Flow
from siting.writers.profiles.pdf import KIND as PROFILES
from siting.writers.profiles.pdf import fill_profiles, fill_rose
from siting.writers.sitemap.pdf import KIND as SITE_MAP
from siting.writers.sitemap.pdf import fill_site_map
from siting.writers.stakeout.pdf import KIND as STAKEOUT
from siting.writers.stakeout.pdf import fill_stakeout


@dataclass(frozen=True, slots=True)
class PacketSheet:
    """A sheet of the packet: its name, what it is for, whether the plan has it, and what fills it."""

    kind: str
    purpose: str
    is_there: Callable[[Plan], bool]
    fill: Callable[[Flow], None]


def _fill_profiles(flow: Flow) -> None:
    flow.y = draw_lift_title(flow.sheet, flow.plan, PROFILES, flow.pages) + 1.5
    fill_profiles(flow)
    fill_rose(flow)
    flow.remarks()


def _fill_dig(flow: Flow) -> None:
    if flow.plan.holding is not None and flow.plan.dig is not None:
        fill_dig(flow, flow.plan.holding, flow.plan.dig)


SHEETS = (
    PacketSheet(SITE_MAP, "For the authority and the owner: the layout on the land.", lambda _: True, fill_site_map),
    PacketSheet(LAND, "For the planner: rules, the move, what can come down where, overhead lines, air, markings.", lambda _: True, fill_land),
    PacketSheet(STAKEOUT, "For the survey crew: set out every stake, write down what was set.", lambda _: True, fill_stakeout),
    PacketSheet(PROFILES, "Before the lift: ground, cribs and guys from the side; which directions hold.", lambda plan: plan.profiles is not None, _fill_profiles),
    PacketSheet(LIFT, "For lift day: hold points, keep-out, pull, every line stop by stop.", lambda _: True, fill_lift),
    PacketSheet(DIG, "For the dig crew: call first, then every hole, what holds, what to bring.", lambda plan: plan.dig is not None and plan.holding is not None, _fill_dig),
    PacketSheet(CHECKS, "For the office: every check with its limit and the source of the limit.", lambda _: True, fill_checks),
    PacketSheet(UNCHECKED, "For everybody: what nobody has checked, warnings, cautions, what it was made from.", lambda _: True, fill_unchecked),
)  # fmt: skip


def sheets_of(plan: Plan) -> tuple[PacketSheet, ...]:
    """The sheets that this plan has, in their order."""
    return tuple(sheet for sheet in SHEETS if sheet.is_there(plan))
