"""Runs the stages in order and returns one Plan: read this page first.

inputs -> terrain -> laydown -> layout -> lift -> checks -> one immutable Plan -> writers
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from siting.figures import rounded
from siting.geodesy.frames import frame_at, require_known_shift
from siting.geodesy.north import declination
from siting.layout.guy_profiles import profiles_of
from siting.layout.guys import guy_chords
from siting.layout.offsets import offset_stakes
from siting.layout.reach import Stance
from siting.layout.stakes import Setting, place_stakes, spots_of
from siting.planning.air import read_air, screen_air
from siting.planning.choice import choose_laydown
from siting.planning.closing import laydown_record
from siting.planning.ground import open_ground
from siting.planning.holding import plan_holding
from siting.planning.land import lines_of, read_land
from siting.planning.lift import plan_lift
from siting.planning.survey import survey_of, undulations
from siting.planning.whole_plan import Found, whole_plan
from siting.records.plan import Plan
from siting.records.site import Site
from siting.terrain.backdrop import backdrop


def make_plan(site: Site, say: Callable[[str], None] = lambda step: None) -> Plan:
    """The plan of a site.

    Args:
        say: is told the name of each step as it starts.
    Raises:
        InputError, FrameError, TerrainGap: no plan can be made; every fault says what to do.
    """
    mast, lat, lon = site.mast, site.base.lat, site.base.lon

    say(f"reading {site.dem.shown_path}")
    ground = open_ground(site)
    base_m, datum = ground.base_height_m, ground.header.vertical_datum
    frame = frame_at(lat, lon, base_m, site.projected_crs, f"{site.where}, [crs] projected")
    if not site.accepts_null_shift:
        require_known_shift(frame, f"{site.where}, [crs] projected")
    north = declination(lat, lon, base_m, site.date)

    say("reading the land layers")
    land = read_land(site, frame)

    say("sweeping the azimuths")
    choice = choose_laydown(site, ground, frame, land)
    laydown = laydown_record(choice, site, frame, north.deg)

    say("placing the stakes")
    setting = Setting(ground.surface, frame, base_m, north.deg, datum, undulations(site), site.points)
    spots = spots_of(mast, laydown.azimuth_deg, choice.rest_rad, offset_stakes(mast, site.points))
    stakes = place_stakes(spots, setting, choice.checks)
    survey = survey_of(site, stakes, frame, base_m, datum)

    say("lifting the mast")
    guys = guy_chords(mast, base_m, choice.anchor_m)
    lift = plan_lift(site, ground, laydown, choice.anchor_m, choice.rest_rad, guys)

    say("holding it in the ground")
    held = plan_holding(site, ground, frame, laydown, stakes, lift)

    say("looking at the land around")
    stance = Stance(laydown.azimuth_deg, choice.rest_rad, base_m, choice.anchor_m)
    lines = lines_of(site, ground, frame, land, stance)
    airfields = read_air(site)
    air = screen_air(site, ground, stakes, guys, airfields)

    say("closing the plan")
    found = Found(ground, frame, north, land, choice, laydown, stakes, survey, guys, lift, held, stance, lines, airfields, air)
    plan = whole_plan(site, found)
    plan = replace(plan, profiles=profiles_of(plan, ground.surface))
    return replace(rounded(plan), backdrop=backdrop(ground.surface, ground.view_m))
