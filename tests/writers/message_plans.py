"""Plans for the tests of the sheets' languages: what a sheet can say is said by one of them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from strategies import SMALL_GUYS, box_en, ground_point, ground_polygon, plan_of, ready_folder, site_text, write_layer
from synthetic import plane
from writers import lift_plans
from writers.land_plans import failing
from writers.plumb_sheets import WHY_NONE, by_hand, correction, read_in_the_demo, report
from writers.site_maps import facts

from siting.inputs.site_file import read_site
from siting.planner import make_plan
from siting.records.plan import Land, Plan
from siting.records.plumb_sheet import PlumbSheet

SCREENED = {"wind": {"basic_m_s": 24.0, "source": "national annex, map 2"}, "mast": {"use": "lattice-60"}}
# A runway so far off, columns that its file leaves out, and what the site says: so that every answer of the screening is given.
AIRFIELDS = {
    "under its surface": (5500.0, "", {"site_elevation_ft_amsl": 1500.0, "rural": True}),
    "over its surface": (1500.0, "use", {"site_elevation_ft_amsl": 1640.0, "state": "CH"}),
    "near it": (2600.0, "ft use", {"site_elevation_ft_amsl": 1480.0, "rural": False, "state": "US"}),
    "height not known": (3000.0, "", {"state": "US-CA", "base_width_m": 2.0}),
    "closed": (3000.0, "", {"site_elevation_ft_amsl": 1480.0, "state": "US-NE"}),
}
STRANDS = {"guys": SMALL_GUYS}
MOVED = (
    "Move the base 12.60 m towards 90.00° (E), to 47.0277119, -109.8496689: every rule of the land that is checked then holds. "
    "No shorter move does it. Planned anew there: lay towards 40.00°, marginal."
)
# What each site says of its ground, and wants of its anchors.
GROUNDS = {
    "sand by its group": {"soil": {"uscs": "SM", "water_depth_m": 2.0}},
    "blow count": {"soil": {"plain_words": "medium dense sand", "blow_count": 14.0, "frost_depth_m": 0.8}},
    "probe": {"soil": {"plain_words": "stiff clay", "probe_nm": 40.0}},
    "measured sand": {"soil": {"uscs": "SW", "friction_deg": 33.0, "unit_weight_kn_m3": 18.0, "strength_source": "report 17", "water_depth_m": 0.0}},
    "rock": {"soil": {"rock": "granite", "excavation_type": "rock"}},
    "peat": {"soil": {"plain_words": "peat"}},
    "fill": {"soil": {"plain_words": "fill"}},
    "gravel": {"soil": {"plain_words": "coarse gravel", "water_depth_m": 4.0, "frost_depth_m": 1.0, "excavation_type": "C"}},
    "soft clay": {"soil": {"plain_words": "soft clay", "water_depth_m": 0.5}},
    "plates": {"soil": {"plain_words": "stiff clay", "excavation_type": "A"}, "anchoring": {"kind": "plate"}},
    "bars": {"soil": {"plain_words": "stiff clay"}, "anchoring": {"kind": "rock_bar"}},
}


# What a list of what was not checked is made of: each is said by itself.
LISTED = (
    "overhead line", "road", "building", "buried line", "setback", "fall zone", "anchor on own land", "side guy travel", "winch arm",
    "winch use", "mast bending", "pole clearance", "line clearance", "anchor holding", "base push", "base uplift", "terrain detail", "air",
    "power line", "rule", "buried lines", "fall zone obstacle", "rest slope", "laydown slope", "anchor slope", "gap", "pass", "fail", "marginal",
)  # fmt: skip
# What the plans here do not reach, in the words of the code: one instead of many, many instead of one, other soils.
MORE = (
    "{0} of {1} checks of the lift fails", "{0} of {1} checks of the lift fail", "{0} of {1} checks of the lift is within the data's own error of the limit",
    "{0} of {1} checks of the lift are within the data's own error of the limit", "{0} more warnings on the last page",
    "{0} more warning on the last page", "{0} of {1} checks of anchors and base is within the data's own error of the limit",
    "{0} of {1} checks of anchors and base are within the data's own error of the limit", "{0} of {1} checks of anchors and base fails",
    "{0} of {1} checks of anchors and base fail", "{0} of {1} anchor without a kind that holds", "{0} of {1} anchors without a kind that holds",
    "{0} of {1} checks fails", "{0} of {1} checks fail", "And {0} more: see Checks of the lift", "And {0} more soils: see Ground",
    "{0} MORE ANCHORS ON THE NEXT PAGE", "Suspect: {a}", "SET", "No.", "Site map", "For the authority and the owner: the layout on the land",
    "Whether the line bears on the ground", "No forces of the lift", "Guys WITHOUT a length", "the DEM does not hold the ground under them",
    "Ground under gin pole and winch line: NOT CHECKED, the DEM does not hold it", "the line fails before {0}", "more guys",
    "The mast file has no permanent guys: there is nothing to read", "NO LIMIT IS DRAWN: the mast file gives none",
    "NOT WORKED OUT: the mast file gives no stiffness, or the push is out of the method", "epoch {0}",
    "Permanent anchors to scale, too many to name here: see the staking plan", "On the way to a stop", "* {0}, on the way to {1}",
    "No azimuth of the sweep brings every side guy under it", "the plan knows of no overhead line",
    "The clearance that its voltage asks for comes on top: ask its owner", "Outline {0} of {1}", "no strength", "refused: {a}", "OVER",
    "temperature not read", "{0} offset stakes", "{a} to {b}", "{a} over HEAD to {b}", "{0} marginal", "{0} not judged", "Next best", "FAILS",
    "BELOW THE GROUND", "over the ground", "ground not known", "This plan holds no profiles: make it again with this version", "The mast file has no guys: no line is drawn",
    "The mast has one section: it has no joint to crib up", "Profiles of the ground", "? not judged", "no ground", "Not judged",
    "Allowed, at best {0} left", "the mast would lie too steep", "guys over other land", "distance of a rule file", "Cribs at the joints",
    "Drawn straight, a real guy hangs lower", "drawn straight: its curve is not known, it hangs lower", "the DEM has gaps here",
    "The DEM has no ground under these guys", "marginal, bar", "the whole file", "the heights that were read", "no geoid grid was given",
    *(f"{name} {{a}}" for name in (
        "well-graded gravel", "poorly graded gravel", "silty gravel", "clayey gravel", "well-graded sand", "poorly graded sand", "silty sand",
        "clayey sand", "silt", "lean clay", "elastic silt", "fat clay", "organic soil", "peat",
    )),
)  # fmt: skip
# The same for the land sheet and the site map.
MORE_OF_LAND = (
    "{0} of {1} checks of the land fails", "{0} of {1} checks of the land fail", "A rule or an overhead line fails", "the mast may not stand here by it",
    "the mast may not stand here by them", "{0} of {1} checks of the land is within the data's own error of the limit",
    "{0} of {1} checks of the land are within the data's own error of the limit", "All {0} checks of the land that could be made pass",
    "Nothing of the land could be checked", "{0} of {1} rules NOT CHECKED", "{0} could NOT be made", "The fall circle reaches own land alone",
    "Of parcels that are drawn, the fall circle reaches own ones alone", "The fall circle reaches {0} neighbour, {1} in all",
    "The fall circle reaches {0} neighbours, {1} in all", "{a} and {0} more", "Fall circle", "And {0} more", "see Overhead lines",
    "see Other checks of the land", "see behind the rules", "OVERHEAD", "ALSO FAILS", "WAIVED", "WAIVED, left out", "NOT KNOWN",
    "NOTICE REQUIRED", "NOT BY THESE CRITERIA", "CANNOT TELL", "No move of the base mends this", "and {0} more",
    "the own land's deepest place lies {0} from its line, and {1} are asked for",
    "No place on the own land within {0} of the base was found where every rule of the land holds, with the anchors and guys that the mast file has",
    "No place within {0} of the base was found where every rule of the land holds, with the anchors and guys that the mast file has",
    "Where the base stands no height of mast holds", "but these fail at any height", "another mast brings its own",
    "Where the base stands the rules that depend on the height hold up to {0} total height instead of {1}",
    "Where the base stands the rules that depend on the height hold up to {0} total height instead of {1}, but these fail at any height",
    "Guys and anchors are the mast file's", "No shorter move does it", "No shorter one was found for the laydowns looked at", "Planned anew there",
    "lay towards {0}", "lay towards {0}, pass", "lay towards {0}, marginal", "lay towards {0}, fail", "lay towards {0}, but the plan fails there",
    "No other place was looked for", "The base need not move, the laydown must", "every rule of the land that is checked then holds",
    "every rule of the land that a move can mend then holds", "Move the base {0} towards {1} {a}, to {b}",
    "every rule of the land that is checked can hold there, but no plan can be made there", "move {0}, {1}",
    *(f"From {start}, to the nearest {thing}" for start in (
        "centre of the base", "edge of the fall circle, {0} from the base", "outermost part of the base, {0} from its centre", "a permanent anchor", "any anchor",
        "permanent anchor {a}", "temporary anchor {a}", "winch anchor {a}", "guys to any anchor", "guys to a permanent anchor",
    ) for thing in ("property line", "road", "dwelling", "overhead line", "buried line", "water", "easement")),
    "From ground at the base to the tip of the air terminal", "none within {0} of the base in the layer", "no line is left that counts", "all are waived",
    "line to parcel {a}", *(f"line to parcel {{a}}, {{0}} true from {part}" for part in (
        "the base", "permanent anchor {b}", "temporary anchor {b}", "winch anchor {b}",
    )), "outer line of the own land, no parcel drawn beyond it", "at most {0}", "the larger of {0} × {1} total height = {2}, and {3}",
    "{0} × {1} total height", "{0} × {1} total height + {2}", "{0} × {1} mast height from the hinge", "the fall circle itself",
    "No parcels were given, so what stands on the own land counts too", "no obstacle layer was given", "whether {a} is near is not known",
    "{a} holds nothing", "whether nothing is there or nothing was drawn cannot be told", "whether none is there or none was drawn cannot be told",
    "An extension of {0} months, to {a}, must be asked for by {b} (at least {1} days before)", "before it runs out", "at least {0} days before",
    "An extension of {0} months, to {a}, must be asked for by {b}", "The mast must be gone within {0} days of its last use",
    "no file of runways is given", "no file of heliports is given", "{0} rows of {a} have no coordinates and may lie near",
    "{a} holds no runway within {0}", "it may not cover the site", "no heliport within {0} in {a}", "no such airport within {0} in {a}",
    "inside {0}", "the tip is {0} over the surface", "the tip is {0} over the surface, even counted from the airport's highest point",
    "the tip is {0} under the surface", "outside {0}", "runway {a} of {b}", "heliport of {a}", "low intensity (night)", "low intensity", "night",
    "not open to the public, as the file says", "no such surface unless a Federal agency or a published approach makes it one",
    "another runway of this airport is nearer, and that one counts", "the length of a runway is not listed", "counted as more than {0}",
    "voluntary", "a recommendation", "the base is wider than {0}", "{0} is under {1}", "{0} is not over {1}", "{0} is over {1}", "aviation orange", "yellow",
    "high intensity, type A, if a study says so, by height", "evenly spaced", "in its top third", "not given", "no revision", "too small", "off the map",
    "by its id", "Title block, its long texts whole", "Revision {a}", "NOT THE WHOLE LOT", "neighbour not drawn", "{0} item missing", "{0} items missing",
    "No item of this list is missing", "the office's own list decides", "INCOMPLETE", "FAIL", "{0} check of the land", "{0} checks of the land",
    "screened", "not due", "in words", "in the table", "none within reach", "The scale is the applicant's", "the overview shows them whole",
    "At it the fall circle and the layout do not fit this paper", "shows a part", "see the overview", "Overview, {a}", "all of the fall circle",
    "total height", "NO GROUND IS DRAWN where the plan holds no profile of it", "The plan holds no zones", "make the plan again with siting plan",
    "ask the authority of {a}", "{a}, tubular, guyed", "left out of", "road", "planned road", "railway", "track or access", "overhead line", "buried line", "building", "water", "wetland", "flood zone", "easement",
    "fence", "other, as named", "edge of the heights", "between own parcels", "property line", "own land", "heliport", "Bands", "Colour",
    "M magnetic north", "no model for the day", "M {0} from T, east +", "G lies {0} west of T at the base", "G lies {0} east of T at the base",
)  # fmt: skip


def unchecked_words(made: dict[str, Plan]) -> set[str]:
    """The ids of what any of these plans leaves unchecked, as words."""
    found = {item.id for plan in made.values() for item in plan.unchecked_detail}
    return {id_.replace("_", " ") for id_ in found if ":" not in id_}


def given(kind: str, name: str, azimuth_deg: float, radius_m: float, more: str = "") -> str:
    """A control point or a feature of a site file."""
    lon, lat = ground_point(azimuth_deg, radius_m, 500.0)
    return f'\n[[{kind}]]\nname = "{name}"\nlat = {lat!r}\nlon = {lon!r}\nheight_m = 501.25\n{more}'


def with_points(folder: Path) -> Plan:
    """Control points, features, a localisation, coordinates scaled to the ground, numbers for names."""
    ready_folder(folder, plane(6.0, 40.0), half_width_m=140.0)
    text = site_text(points={"ground_scaled": True, "blank_unknown_elevation": True}, crs={"epoch": 2027.3})
    for k, (east, north) in enumerate(((1000.0, 2000.0), (1040.0, 2010.0), (1010.0, 1950.0))):
        text += given("control", f"BM {k + 1}", 37.0 + 100 * k, 40.0, f"local_easting = {east}\nlocal_northing = {north}\n")
    text += given("features", "Fence post", 200.0, 30.0)
    (folder / "site.toml").write_text(text, encoding="utf-8")
    return make_plan(read_site(folder / "site.toml"))


def on_land(folder: Path, half_m: float, **land: object) -> Plan:
    """A parcel so wide around the base, neighbours beyond it, a road, a house and a fence."""
    folder.mkdir(parents=True, exist_ok=True)
    own = ground_polygon(box_en(-half_m, -half_m, half_m, half_m), 500.0)
    east = ground_polygon(box_en(half_m, -400.0, half_m + 300.0, 400.0), 500.0)
    write_layer(folder / "parcels.geojson", [own, east], {"pin": ["P-1", "P-2"], "owner": ["Hill farm", "A. Neighbour"]})
    road = ground_polygon(box_en(-400.0, -62.0, 400.0, -55.0), 500.0)
    house = ground_polygon(box_en(45.0, 40.0, 55.0, 50.0), 500.0)
    pipe = ground_polygon(box_en(-71.0, -200.0, -70.0, 200.0), 500.0)
    kinds = ["road", "building", "buried_line"]
    write_layer(folder / "things.geojson", [road, house, pipe], {"kind": kinds, "name": ["County road", "House", "Gas"]})
    keys = {
        "parcels": "parcels.geojson", "parcel_id_field": "pin", "own": ["P-1"], "boundary_error_m": 1.0, "obstacles": "things.geojson",
        "owner_field": "owner",
    }  # fmt: skip
    return lift_plans.small(folder, 6.0, land=keys | land)


def by_an_airport(folder: Path, away_m: float, columns: str, **air: object) -> Plan:
    """A runway of these columns so far east of the base, and what the site says of heights."""
    folder.mkdir(parents=True, exist_ok=True)
    ends = [ground_point(90.0, away_m + m, 500.0) for m in (0.0, 1100.0)]
    known = {
        "airport": "TESTFIELD", "le_ident": "09", "he_ident": "27", "le_lat": ends[0][1], "le_lon": ends[0][0], "he_lat": ends[1][1], "he_lon": ends[1][0],
        "le_elevation_ft": 1500, "he_elevation_ft": 1510, "length_ft": 3609, "public_use": "yes",
    }  # fmt: skip
    kept = [name for name in known if name.split("_")[-1] not in columns.split()]
    (folder / "runways.csv").write_text(",".join(kept) + "\n" + ",".join(str(known[name]) for name in kept) + "\n", encoding="utf-8")
    return lift_plans.small(folder, air={"runways": "runways.csv"} | air)


def on_feet(folder: Path) -> Plan:
    """Eastings and northings in US survey feet, a DEM of wide cells, a day that the magnetic model does not cover."""
    ready_folder(folder, plane(5.0, 40.0), lat=45.1, lon=-109.4, half_width_m=300.0, cell_m=25.0)
    text = site_text(base={"lat": 45.1, "lon": -109.4}, crs={"projected": "EPSG:2256", "accept_null_shift": True}).replace("date = 2027", "date = 2034")
    (folder / "site.toml").write_text(text, encoding="utf-8")
    return make_plan(read_site(folder / "site.toml"))


def plans(folder: Path) -> dict[str, Plan]:
    """Every plan by its name, in English."""
    made = {name: plan for name, plan in lift_plans.plans(folder).items() if "Letter" not in name}
    for name, tables in GROUNDS.items():
        ready_folder(folder / name, plane(8.0, 0.0), mast={"guys": SMALL_GUYS})
        made[name] = plan_of(folder / name, **tables, **({} if name in ("probe", "fill") else SCREENED))
    made["points"] = with_points(folder / "points")
    made["feet"] = on_feet(folder / "feet")
    made["narrow land"] = on_land(folder / "narrow", 45.0, rules=["met-mast-1.1"])
    made["wide land"] = on_land(folder / "wide", 300.0)
    made["steep"] = lift_plans.small(folder / "steep", 24.0)
    made["flat"] = lift_plans.small(folder / "flat", 0.0)
    made["no layers"] = lift_plans.small(folder / "no layers", land={"rules": ["met-mast-1.1", "guys-40-ft", "fall-circle"]})
    made["on a farm"] = on_land(folder / "farm", 130.0, rules=["fall-circle", "guys-40-ft", "met-mast-1.5"])
    for name, (away_m, columns, air) in AIRFIELDS.items():
        made[name] = by_an_airport(folder / name, away_m, columns, **air)
    made["wind"] = replace(made["demo"], wind_stop=made["rigged"].wind_stop)
    return made | _poorer(made["demo"]) | _applied_for(made["demo"])


def _applied_for(demo: Plan) -> dict[str, Plan]:
    """The demonstration with an application: in metres, in feet at a scale of the applicant's that is too large for the paper."""
    said = facts("", "m")
    move = replace(failing().move, text=MOVED)
    return {
        "applied for": replace(demo, permit=said, move=move, land=_waived(demo)),
        "in feet": replace(demo, permit=replace(said, units="ft", paper="Tabloid", scale=600.0, drawn_by="", given=()), air=None, reach=(), power_lines=()),
    }


def _poorer(demo: Plan) -> dict[str, Plan]:
    """The demonstration without one thing or another, as an older plan or another place has it."""
    crs = replace(demo.crs, epsg=None, declination_deg=None, declination_error_deg=None, declination_model="the date lies outside it")
    stakes = tuple(replace(s, point=f"{s.point}-OF-A-LONG-NAME-{k:02d}"[:32]) for k, s in enumerate(demo.stakes))
    warnings = tuple(demo.cautions[:1]) * 1 + tuple(f"{c} {c} {c}" for c in demo.cautions[:4])
    return {
        "old": replace(demo, lift_guys=None, statics=None, cut_list=None, tensions=None, transfer=None, plumb_form=None),
        "elsewhere": replace(demo, crs=crs, base=replace(demo.base, mgrs=""), laydown=replace(demo.laydown, azimuth_magnetic_deg=None)),
        "numbered": replace(demo, stakes=stakes, warnings=warnings),
        "not dug": replace(demo, holding=None, dig=None),
    }


def _waived(demo: Plan) -> Land:
    """The demonstration's land with a line of its first rule waived."""
    first, *rest = demo.land.rules
    return replace(demo.land, rules=(replace(first, waived=("07-113: waived by J. Doe, book 12 page 34, 2026-10-02",)), *rest))


def plumb_sheets(demo: Plan) -> dict[str, tuple[PlumbSheet, Plan]]:
    """What the readings of the demonstration give, and sheets made by hand for what they do not reach."""
    read = {
        "read": read_in_the_demo(demo),
        "far out": read_in_the_demo(demo, times=2.2),
        "tensions alone": read_in_the_demo(demo, lean=False),
        "lean alone": read_in_the_demo(demo, tensions=0),
        "some tensions": read_in_the_demo(demo, tensions=7),
        "no temperature": replace(read_in_the_demo(demo), temperature_c=None),
    }
    made = {name: (sheet, demo) for name, sheet in read.items()}
    nothing = correction(("A2", "B2", "C2"), 6, 0)
    return made | {
        "six levels": by_hand(demo),
        "no step": by_hand(demo, 6, 0, correction=nothing, report=report(6, 4.0), verdict="pass", headline="The mast stands plumb."),
        "no lean": by_hand(demo, report=None, verdict="unchecked", headline="No lean was read, so plumb is unchecked."),
        "no correction": by_hand(demo, correction=None, no_correction=WHY_NONE),
    }
