"""What the generated pages say beside the code's own words; docs/generate.py checks that nothing is missing or stale."""

from __future__ import annotations

# --- files.md -----------------------------------------------------------------------------------------------------

FILES_INTRO = """\
A packet is the folder that `siting plan` writes. Every file prints the same plan and carries the same run id, a name of
twelve characters that changes with any input, option or version. If two files carry different run ids, they do not
belong together. `siting verify DIR` says whether a packet is as it was written."""
PACKET_FILES = {
    "plan.json": "everything, in the keys below; its JSON Schema (draft 2020-12) is [plan.schema.json](plan.schema.json)",
    "stakes.geojson": "stakes, guys, laydown, fall zone and setback; RFC 7946, so longitude comes first, WGS 84, no heights "
    "as a third coordinate; the stakes' properties have the names of the keys of `stakes[]` below",
    "stakes.kml": "the same for a globe viewer; OGC KML 2.2, laid on the ground",
    "stakes.csv": "one point a line, for a rover or an office program",
    "map.html": "map, checks, stakes and cautions in one file; opens from disk without a network",
    "packet.json": "name and SHA-256 of every other file, and the run id",
}
EXTRA_INTRO = """\
With `siting plan SITE.toml --formats gpx,shp` (or `all`) the packet holds more. Point lists come where the site file asks
for them under `[[points.lists]]`, each with a text file `points_NAME_readme.txt` beside it that says how to read it: columns,
separator, unit with its factor, CRS, datum, epoch, combined factor, heights."""
EXTRA_FILES = {
    "gpx": "GPX 1.1 waypoints and tracks for a hand-held or a phone, WGS 84",
    "gpkg": "GeoPackage with the layers stakes, lines, zones and, where given, control, in the plan's projected CRS",
    "shp": "the same layers as Shapefiles in a zip, field names of at most 10 characters",
    "dxf": "drawing for a CAD program, in the plan's projected CRS",
    "landxml": "LandXML points for office programs and machine control",
    "kmz": "the KML, zipped",
    "pdf": "every sheet in one file, in the order in which it is used, with page numbers and bookmarks",
    "sitemap": "the permit's site map, true to scale and georeferenced; its first sheet as sitemap.png too",
}
PACKET_NOTE = """\
A packet appears whole or not at all. An earlier packet in the same folder is replaced as a whole; other files in the
folder stay where they are. The user's own parcels and obstacles are drawn on the map, but are not in the GeoJSON and KML
files: they stay in the user's own layers.

`siting lift PLAN.json` prints the tables of the lift day and writes two more files beside the plan, or into `--out`: `lift.pdf`,
the lift sheet, and `readings.csv`, an empty form for the readings of the standing mast (below). A `readings.csv` that is there
already is never written over. With `--readings readings.csv` filled in, it writes `plumb.pdf` and `plumb.json` instead, both or none.

None of them belongs to the packet. `lift.pdf`, `plumb.pdf` and `plumb.json` name the plan's run id (the PDFs among their keywords,
plumb.json as `plan_run_id`): `siting verify DIR` and `siting plan` say so where one is of another plan than plan.json.

`siting dig PLAN.json` writes the dig sheet `dig.pdf`, the notice to the local locating service as `locate.geojson` and `locate.kml`
(areas with their buffer, and every place where the ground is opened), and `materials.csv` (group,item,size,count,unit,used_at,note)
into the folder `dig` beside the plan, or into `--out`. None of them says that the ground is free of buried lines.

`siting land PLAN.json` writes `land.pdf`, and `land.geojson` and `land.kml` (zones, the nearest points of rules and overhead lines, the
move of the base) beside the plan, or into `--out`.

`siting check PLAN.json STAKED.csv` writes `as_staked.json`, `as_staked.geojson`, `as_staked.kml`, `as_staked.csv` and `as_staked.txt` into the folder
`as_staked` beside the plan, or into `--out`."""
CSV_INTRO = """\
ASCII, commas, CRLF line ends, one header row. No field holds a comma or a quote, so the plainest reader cuts it right.
Some devices want no header: delete the first line. Northing comes before easting."""
CSV_COLUMNS = {
    "point": ("", "the stake's id in at most 8 characters (`[points] name_length`), unique; or a number from `[points] first_number` on"),
    "northing": ("the CRS's unit", "in the plan's projected CRS"),
    "easting": ("the CRS's unit", "in the plan's projected CRS"),
    "elevation": ("m", "the DEM's height: not for grade; blank where `[points] blank_unknown_elevation` asks for it"),
    "code": ("", "feature code: MBASE, MANCH (permanent), MTEMP (lift only), MWNCH, MHEAD, MOFFS (offset stake), MCTRL, MFEAT (your own points); or yours under `[points.codes]`"),
    "lat": ("degrees", "WGS 84 latitude, north positive"),
    "lon": ("degrees", "WGS 84 longitude, east positive"),
    "description": ("", "role; vertical datum; EPSG code of the CRS; epoch; run id"),
}
READINGS_INTRO = """\
Written empty, ASCII, commas, CRLF, one header row; read back in any order of the columns, with commas, semicolons or tabs, with
decimal commas where the separator is no comma, UTF-8, UTF-16 or a Windows code page. Blank lines, lines that begin with # and
columns of your own are passed over. A row is called by its `reading`: `lean` (one for each level, from the top down), `guy` (one
for each permanent guy), `temperature`, or anything else with its value in `note`. What is left blank was not read; where one
level's lean was read, every level's must be."""
READINGS_COLUMNS = {
    "reading": ("", "lean, guy, temperature, or what else is written down: date and time, wind, read by …"),
    "level_m": ("m", "the level of permanent guys, above the hinge along the mast: filled in"),
    "anchor": ("", "guy: the stake id of its anchor: filled in"),
    "a_stands_deg": ("degrees", "lean: where instrument A stands, seen from the base, clockwise from the laydown; 180 to begin with"),
    "b_stands_deg": ("degrees", "lean: the same for instrument B; 90 to begin with. At least 30° off A's line"),
    "a_right_cm": ("cm", "lean: how far the mast lies to A's right, looking at the base; to its left negative"),
    "b_right_cm": ("cm", "lean: the same for B"),
    "tension_kn": ("kN", "guy: its tension as read at the anchor"),
    "note": ("", "temperature: degrees Celsius; plan run: of the plan that the form is for; otherwise whatever you write, kept as written"),
}
PLUMB_INTRO = """\
What `siting lift PLAN.json --readings FILE` writes, rounded once like a plan. Bearings are clockwise from the laydown. How the
numbers are made: [method/plumb.md](method/plumb.md)."""
PLAN_INTRO = """\
Numbers are rounded once, to the decimals named here, when the plan is closed; every other file prints those numbers.
`easting` and `northing` are in `crs.unit`, which is a foot in some state plane systems; everything else in metres is
metres. Percent means rise per 100 of run. More keys may come in later versions; these keep their names."""

# --- limits.md ----------------------------------------------------------------------------------------------------

LIMITS_INTRO = """\
Each default is a starting point, not a permission. Where the mast maker, the local code or an engineer names another
value, theirs counts: write it into the site file.

## Limits in the site file"""
LIMITS = {
    "laydown_slope_min_percent": ("%", "least slope of the ground along the laydown; just below zero, so that level ground passes and downhill does not"),
    "laydown_slope_max_percent": ("%", "greatest slope of the ground along the laydown"),
    "rest_slope_max_percent": ("%", "greatest slope at which the assembled mast lies"),
    "gap_max_m": ("m", "greatest height of cribbing under the lying mast"),
    "anchor_slope_max_percent": ("%", "greatest slope of the ground at any anchor, the temporary and the winch anchor too"),
    "side_guy_travel_max_m": ("m", "greatest change of a side guy's length over the lift"),
    "winch_arm_min_ratio": ("no unit", "least lever arm of the winch line between the rest line and 80 degrees, as a part of the gin pole's length"),
    "pole_clear_min_m": ("m", "least height of the gin pole over the ground, from the rest line to plumb"),
    "line_clear_min_m": ("m", "least height of the winch line over the ground, from the rest line to 80 degrees; below zero it may bear on a hump, on timbers or a roller"),
}
SETBACK = ("× total height", "least distance from the base's centre to the nearest exterior property line")
LIMITS_OVERRIDE = """\
Every limit is set under `[limits]` in the site file, the setback factor under `[land]`:

```toml
[limits]
side_guy_travel_max_m = 0.5

[land]
setback_factor = 1.5
```

The plan then names the site file as the limit's source. Two inputs that decide how close is too close have defaults of
their own: `[land] boundary_error_m` is 0 m, so without it no margin to a property line is ever `marginal`; and
`[dem] vertical_error_m` is nothing, so without it no gin pole or winch line over the ground is. No other check uses it yet: a
plan does not know how wrong the DEM may be."""
CHECKS_INTRO = """\
An id in the plan is the name of the check and, after a colon, the anchor, guy or kind of obstacle it speaks of:
`anchor_slope:A2`, `side_guy_travel:SIDE-R@78`. What could not be checked stands in `unchecked` under the names here, or
under `overhead_line`, `road`, `building` (no obstacle layer, or none of that kind in it) and `terrain_detail` (the DEM
is too coarse)."""
CHECKS = {
    "laydown_slope": ("slope of the ground along the laydown, %", "`laydown_slope_min_percent`, `laydown_slope_max_percent`", "every azimuth"),
    "rest_slope": ("slope of the rest line, %", "at most `rest_slope_max_percent`", "every azimuth"),
    "gap": ("largest gap under the rest line, m", "at most `gap_max_m`", "every azimuth"),
    "anchor_slope": ("slope of the DEM cell at the anchor, %", "at most `anchor_slope_max_percent`", "every anchor, every azimuth"),
    "side_guy_travel": ("longest minus shortest length over the lift, m", "at most `side_guy_travel_max_m`", "every guy to a side anchor, every azimuth"),
    "winch_arm": ("smallest arm / gin pole length", "at least `winch_arm_min_ratio`", "every azimuth"),
    "winch_use": ("largest winch pull with friction to 80 degrees / the winch's limit on that drum layer", "at most 1; needs `[winch] limit_kn`", "the chosen laydown"),
    "mast_bending": ("largest bending moment in the lift / its limit", "at most 1; needs `lift_attach_m` and `moment_limit_knm`", "the chosen laydown"),
    "pole_clearance": ("least height of the gin pole over the ground, m", "at least `pole_clear_min_m`", "the chosen laydown"),
    "line_clearance": ("least height of the winch line over the ground to 80 degrees, m", "at least `line_clear_min_m`", "the chosen laydown"),
    "anchor_holding": ("pull at an anchor / what it may take in that ground; the tightest anchor, and each that fails", "at most 1; needs `[soil]`", "the chosen laydown"),
    "base_push": ("level push of the lift on the base / what pins or a buried plate may take", "at most 1; needs `[soil]` and a winch", "the chosen laydown"),
    "base_uplift": ("upward pull of the lift on the base / what its pins may take", "at most 1; needs `[soil]` and a winch", "the chosen laydown, where the lift pulls the base up"),
    "rule": ("a rule file's distance, m; one check a rule, `rule:SET:ID`", "at least what the rule asks for", "the base; every azimuth where anchors or guys are measured from"),
    "power_line": ("least distance of mast, guys or winch line to an overhead line, lying, going up, standing or falling, m", "at least the distance that its voltage asks for (29 CFR 1926.1408 Table A)", "the chosen laydown; every overhead line that is drawn"),
    "setback": ("base to the nearest exterior line, m", "at least setback factor × total height", "the base; needs parcels"),
    "fall_zone": ("base to the nearest exterior line, m", "at least the total height", "the base; needs parcels"),
    "fall_zone_obstacle": ("base to the nearest obstacle of a kind, m", "at least the total height", "every kind in the obstacle layer that stands above ground"),
    "anchor_on_own_land": ("anchor to the exterior line, m, positive inside", "at least 0", "every anchor, every azimuth; needs parcels"),
    "guy_on_own_land": ("plan length of a guy over other land, m", "at most 0", "every anchor, every azimuth; needs parcels"),
    "layout_clear": ("obstacles that an anchor stands in or its guys cross, a count", "at most 0", "every anchor, every azimuth; needs obstacles"),
}
CONSTANTS_INTRO = """\
They shape what the checks see. None can be set in the site file; the last column says what can be done instead."""
COMMON = "common practice, no source"
# (module, name): (unit, what it does, source, how to change what it does)
CONSTANTS = {
    ("planning.remarks", "COARSE_CELL_RATIO"): (
        "× the smallest anchor radius", "a DEM cell this large or larger makes `terrain_detail` unchecked", COMMON,
        "use a DEM with smaller cells, or have the ground surveyed",
    ),
    ("layout.footprint", "GAP_CLOSED_M"): (
        "m", "gaps up to this width between own parcels are taken as drawing errors and closed, with a note", COMMON,
        "correct the parcels in a GIS before they are read",
    ),
    ("layout.footprint", "LEAST_BOUNDARY_SAVED_M"): (
        "m", "a gap is closed only where that takes away more boundary than this", COMMON, "as above",
    ),
    ("checks.land", "MUST_BE_KNOWN"): (
        "", "an obstacle layer that holds none of the kinds after a colon leaves that item unchecked", COMMON,
        "draw the nearest one into the layer, however far away",
    ),
    ("checks.land", "GROUND_KINDS"): (
        "", "kinds that a fall does not strike: no fall-circle check, and guys may pass over them; no anchor may stand in them", COMMON,
        "give the obstacle another `kind`, and the fall circle counts for it",
    ),
    ("planning.land", "OBSTACLE_REACH_FACTOR"): ("× total height", "obstacles farther from the base than this, and than the next number, are not read", COMMON, "none needed: they lie outside every circle of the plan"),
    ("planning.land", "OBSTACLE_REACH_LEAST_M"): ("m", "see above", COMMON, "see above"),
    ("records.mast", "SIDE_ANCHOR_TOLERANCE_DEG"): (
        "degrees", "a temporary anchor this near to square to the laydown is a side anchor, and its guys' travel is judged", COMMON,
        "set the anchor's `bearing_deg` in the mast file",
    ),
    ("lift.geometry", "ARM_JUDGED_TO_DEG"): (
        "degrees", "the winch line's arm is judged from the rest line up to this mast angle; beyond it the weight is nearly over the hinge", COMMON,
        "read `lift.winch_arm_m` in plan.json, which goes to 90 degrees",
    ),
    ("laydown.profile", "STEP_MAX_M"): ("m", "longest step between samples of the ground along the laydown; half a cell where that is shorter", "definition", "none"),
    ("planning.ground", "WINDOW_CELLS_MAX"): ("cells", "a DEM with more cells around the base is refused: its system or cell size must be wrong", COMMON, "give a DEM with cells of a few centimetres at least"),
    ("inputs.dem", "LOWEST_GROUND_M"): ("m", "heights below are taken as no data, with a note", COMMON, "mark no data in the DEM"),
    ("inputs.dem", "HIGHEST_GROUND_M"): ("m", "heights above are taken as no data, with a note", COMMON, "set `[dem] vertical_unit` if the heights are in feet"),
    ("geodesy.frames", "CONFORMAL_TOLERANCE"): (
        "", "a projected system whose scale differs more than this between north and east is refused", COMMON,
        "name a UTM or state plane system under `[crs] projected`",
    ),
    ("geodesy.north", "CAUTION_NT"): ("nT", "below this horizontal field the plan warns that a compass is poor", "World Magnetic Model 2025 report, caution zone", "use true or grid azimuths"),
    ("geodesy.north", "BLACKOUT_NT"): ("nT", "below this the plan warns that a compass is useless", "World Magnetic Model 2025 report, blackout zone", "use true or grid azimuths"),
    ("survey.control", "FARTHEST_M"): ("m", "a control point or feature farther from the base is refused: zone, axes or unit must be wrong", COMMON, "none"),
    ("survey.localisation", "NOISE_M"): ("m", "a misfit of control pairs below this is called a rover's noise", COMMON, "words only: read the residuals"),
    ("survey.localisation", "SUSPECT_GAIN"): ("× the misfit", "a pair is named as suspect where leaving it out brings the others below this", COMMON, "words only: read the residuals"),
    ("survey.ground_grid", "CUT_M"): ("m", "coordinates scaled to ground are cut to the remainder of this, so that nobody takes them for grid", COMMON, "leave `[points] ground_scaled` out"),
    ("survey.ties", "FEATURES_PER_ANCHOR"): ("", "each anchor is tied to so many of the nearest features", COMMON, "measure more ties by hand"),
    ("lift.guy_lengths", "TENSION_RANGE_RATIO"): ("× breaking strength", "a set tension outside is taken, and the plan says that the mast's analysis must cover it", "ANSI/TIA-222 practice, as an industry planning notice quotes it", "words only: `initial_tension_kn` in the mast file sets the tension"),
    ("lift.tension", "TOLERANCE_RATIO"): ("× tension", "how far a guy's tension may be off, for guys up to 1 inch", "ANSI/TIA-222 13.3.2, as an industry planning notice quotes it", "none: a figure on the sheet, no check"),
    ("lift.tension", "TOLERANCE_RATIO_THICK"): ("× tension", "the same for guys over 1 inch", "as above", "as above"),
    ("lift.strands", "STRAND_MODULUS_GPA"): ("GPa", "modulus of 7-wire strand", COMMON, "none"),
    ("lift.strands", "EXPANSION_PPM_PER_K"): ("millionths a kelvin", "expansion of strands and ropes", "EN 1993-1-11, from memory", "none"),
    ("lift.loads", "GUY_SHARE_RATIO"): ("× weight of the guy's chord", "hangs on the mast in the lift", COMMON + " (decision 0015)", "none"),
    ("lift.forces", "ARM_LEAST_RATIO"): ("× gin pole", "a winch line that passes the hinge nearer than this gives no force", COMMON, "move the winch, or use a longer gin pole"),
    ("lift.side_mends", "REACH_M"): ("m", "how far a better place for a side anchor is looked for", COMMON, "move the anchor in the mast file and plan again"),
    ("lift.side_mends", "HEIGHT_REACH_M"): ("m", "how far a better height is looked for", COMMON, "as above"),
    ("lift.side_mends", "NEAREST_RATIO"): ("× its distance from the laydown's line", "a side anchor may come in so far", COMMON, "as above"),
    ("lift.anchor_errors", "ERROR_M"): ("m", "error of an anchor that the sheet tries either way", COMMON, "read the change for each metre in plan.json"),
    ("lift.line_clearance", "END_LEFT_OUT_M"): ("m", "winch line before its anchor that may lie on the ground", COMMON, "none"),
    ("lift.line_clearance", "FOOT_LEFT_OUT_M"): ("m", "gin pole above the hinge that is not held against the ground", COMMON, "none"),
    ("lift.line_clearance", "OFF_LINE_MAX_DEG"): ("degrees", "a winch farther off the laydown's line gets no clearances", COMMON, "set the winch's `bearing_deg` to 180"),
    ("kernels.wind_pressure", "AIR_KG_M3"): ("kg/m³", "density of the air in the wind on the mast", "EN 1991-1-4, 4.5", "none"),
    ("lift.bending", "SMALL_RATIO"): ("× span", "a larger deflection is no number: the straight beam's formula has ended", COMMON, "give the mast more lift points"),
    ("lift.bending", "EULER_LAST_RATIO"): ("× Euler's load", "a larger push along the mast is no number", "EN 1993-1-1, 5.2.2, from memory", "as above"),
    ("lift.plumb", "PLUMB_LIMIT_PERCENT"): ("% of the height", "how far a level of the standing mast may be off plumb", "ANSI/TIA-222 practice, 1:400, as an industry planning notice quotes it (clause not read)", "none: the maker's or the designer's figure comes first"),
    ("lift.plumb", "STRAIGHT_LIMIT_PERCENT"): ("% of the distance", "how far a level may lie off the line between two others", "EIA-222-D 6.1.2.2, 1:1000, as an industry planning notice quotes it", "as above"),
    ("records.plumb", "LEAST_CROSSING_DEG"): ("degrees", "two instruments nearer to one line give no place", COMMON, "stand square to each other"),
    ("inputs.readings_csv", "LARGEST_OFFSET_RATIO"): ("× height of the level", "a larger offset is refused: another unit was meant", COMMON, "none"),
    ("inputs.readings_csv", "LARGEST_TEMPERATURE_C"): ("°C", "a greater temperature, up or down, is refused", COMMON, "none"),
    ("verdict", "UTILISATION_MAX"): ("", "a utilisation is cut off here; the verdict is not", "definition", "read the check's value and limit"),
    ("sweep.words", "LEVEL_PERCENT"): ("%", "ground flatter than this in every direction is called level", COMMON, "words only: no verdict depends on it"),
    ("sweep.words", "APART_DEG"): ("degrees", "runners-up lie at least this far apart", COMMON, "read `laydown.candidates` in plan.json"),
    ("units", "GRAVITY_M_S2"): ("m/s²", "weight of the mast", "CGPM 1901, exact", "none"),
    ("units", "METRES_PER_FOOT"): ("m", "international foot", "Federal Register 1959-07-01, exact", "`[dem] vertical_unit`"),
    ("units", "METRES_PER_US_SURVEY_FOOT"): ("m", "US survey foot, 1200/3937 m", "Mendenhall order 1893, exact", "`[dem] vertical_unit`"),
    ("inputs.fingerprints", "WHOLE_FILE_MAX_BYTES"): ("bytes", "a larger DEM is fingerprinted by the heights that were read, not by the whole file", "decision 0006", "none"),
}  # fmt: skip

# --- errors.md ----------------------------------------------------------------------------------------------------

ERRORS_INTRO = """\
An error means that no plan can be made, or that a file cannot be written. It ends the command with status 2, says one
plain line for each fault on standard error (at most five, then "and N more"), and leaves the output folder as it was. A
rule of the land that is broken is no error: it is a failed check inside the plan, and the command ends with status 1.

The codes do not appear on the screen; they are the names that programs and tests use. In the words below, … stands for
what the case fills in: a file, a field, a value."""
# group: {code: (cause, cure)}
FAULTS = {
    "The search": {
        "area_empty": ("The area's file holds no polygon.", "Give the area as a polygon, or leave `[search] area` out."),
        "area_outside_dem": ("The area does not lie on the DEM.", "Give a DEM that covers it, or another area."),
        "tile_broken": ("A finished tile's file is missing or broken.", "Run the search again: only that tile is worked out anew."),
        "search_unwritable": ("No room, no rights, or another search took the folder.", "Make room, or name another folder with `--out`."),
        "cluster_missing": ("Dask is not installed.", "`pip install \"siting[cluster]\"`."),
        "scheduler_address": ("That is no address of a scheduler.", "Give it as the scheduler prints it, like tcp://host:8786."),
        "scheduler_unreachable": ("Nobody, or no Dask scheduler, answers there.", "Start one, or correct the address."),
        "scheduler_lost": ("The scheduler ended in mid-run.", "Start it again and run the same command: finished tiles are kept."),
        "cluster_version": ("A worker has another version of siting.", "Install the same version on every machine."),
        "cluster_package": ("A worker lacks a package.", "Install siting on it."),
        "cluster_worker_killed": ("Each worker that took the tile died, mostly of too little memory.", "Give workers more memory, or fewer threads."),
    },
    "The site file and the mast file": {
        "file_missing": ("The file that the command names is not there.", "Check the name and the folder you are in."),
        "file_not_text": ("The file is not text in UTF-8: a picture, a workbook, or text saved in another encoding.", "Save it as plain text, UTF-8."),
        "file_unreadable": ("The file is a folder, or you may not read it.", "Name a file; check its permissions."),
        "toml_syntax": ("The file breaks TOML's rules, most often a missing quote or bracket.", "Correct the line named; text stands in \"quotes\", lists in [brackets]."),
        "key_missing": ("A key that has no default is not there.", "Add it: see [site_file.md](site_file.md) and [mast_file.md](mast_file.md)."),
        "key_unknown": ("A key is misspelt, or stands in the wrong table.", "Use the key that the message suggests. Nothing is ignored in silence, so that no limit is lost by a typing error."),
        "value_refused": ("A value is of the wrong kind or out of its range.", "Correct it; the message says what it must be."),
        "limits_order": ("The least laydown slope is not below the greatest.", "Correct one of them."),
        "mast_unknown": ("The mast is neither a shipped one nor a file at that path.", "List the shipped ones with `siting masts`; a mast file's path is relative to the site file."),
        "mast_height": ("The total height is less than the mast's own length.", "Give the height from the ground to the tip of the air terminal."),
        "mast_load": ("A load or a lift line sits above the mast, or a light gin pole is given without the mass of the pole it raises.", "Measure along the mast from the hinge; add gin_pole_mass_kg."),
        "mast_sections": ("The list of section masses does not fit the number of sections, or the base section is longer than the mast.", "Give one mass for each section, from the hinge up, a short last one included."),
        "strand_unknown": ("The mast file names a strand that no table has.", "Use a name of the list in the message."),
        "strand_diameter": ("A rope has no diameter_mm, or diameter_mm is not the strand's.", "Add or correct diameter_mm."),
        "guy_tension": ("A level's initial_tension_kn is as large as what its strand breaks at: most often another unit, or a digit too many.", "Write kilonewtons, from the maker's drawing; common practice is 7 to 15 % of the breaking strength."),
        "statics_range": ("A formula of the lift was asked outside its range: a line through the hinge, nothing that holds after the take-over, a load beyond the mast, a push too near buckling.", "Do what the message says: move the winch, name a back anchor, correct the mast file."),
        "anchor_id": ("An anchor's name holds a blank, comma, quote or non-ASCII letter, stands twice, or is BASE or HEAD.", "Use letters, digits, - and _ only, each name once."),
        "anchor_winch": ("The mast file has two winch anchors.", "Keep one."),
        "guy_attach": ("A guy is attached above the mast's top.", "Measure `attach_m` from the hinge along the mast."),
        "guy_anchor": ("A guy names an anchor that the file does not have.", "Correct the name, or add the anchor."),
    },
    "The base": {
        "base_form": ("The base is given in no form, in several, or in half of one.", "Give exactly one of: lat and lon; easting, northing and crs; text."),
        "base_text": ("The text is none of the forms that siting reads, or a value in it cannot be.", "Write one of the forms in the message. A decimal comma is not read: use a point."),
        "base_range": ("Latitude, longitude, easting or northing lies outside what it can be; often two are swapped.", "Give latitude before longitude; check the zone of an easting and northing."),
        "base_outside_dem": ("The base does not lie on the DEM.", "Check the base, its sign (west is negative) and the DEM; the message says what the DEM covers."),
    },
    "Your own points": {
        "given_point": ("A control point or feature is given in no form or in both, has half a local pair, or its name stands twice.", "Give easting and northing, or lat and lon; each name once."),
        "given_point_far": ("A control point or feature lies far from the base: wrong zone, swapped axes, or feet for metres.", "Its easting and northing are in the plan's CRS and unit, which the message names."),
        "point_list": ("Two point lists have one name, or a list parted by blanks has a column that may be empty.", "Rename one; choose another separator or leave the column out."),
        "localisation_pairs": ("Only one control point has local coordinates, or all lie in one place.", "Give at least two pairs around the site, better four."),
    },
    "The DEM": {
        "dem_missing": ("The DEM is not where the site file says.", "`[dem] path` is relative to the site file."),
        "dem_unreadable": ("The file is no raster, or is cut short.", "Download or export it again."),
        "dem_bands": ("The file holds several bands, or not the band you named.", "Name the band of heights under `[dem] band`."),
        "dem_no_crs": ("The file does not say which coordinate system it is in, or names one that is tied to no place.", "Export it again with its system, or write the system into the file if you know it for certain."),
        "dem_no_place": ("The file says nothing of where its cells lie.", "Export it again with its georeference."),
        "dem_too_fine": ("The DEM would have an absurd number of cells under one layout: most often degrees taken as metres.", "Check the DEM's coordinate system and cell size."),
        "geoid_missing": ("The geoid grid is not where the site file says.", "`[dem] geoid` is relative to the site file."),
        "geoid_unusable": ("The file is no geoid grid, or does not cover the site.", "Give a .gtx or GeoTIFF grid of the region, or leave it out: heights are then the DEM's alone."),
        "dem_unit": ("The file states its heights in a unit that siting does not know.", "Write `[dem] vertical_unit`."),
        "ground_missing": ("The base, the azimuth you asked for, or every azimuth needs ground where the DEM has no data or ends.", "Move the base, choose another azimuth, or join the neighbouring DEM tile. A hole is never filled by a guess."),
    },
    "Coordinate systems": {
        "crs_unknown": ("PROJ does not know the system.", "Write its EPSG code, like \"EPSG:32632\"."),
        "crs_not_projected": ("A system in degrees was named where eastings and northings are needed.", "Name a projected system."),
        "crs_not_conformal": ("The system stretches lengths differently north and east, as Web Mercator does on the ellipsoid.", "Name a UTM or state plane zone."),
        "crs_axes": ("The system counts westward or downward, as some national ones do; rovers and maps would read that as east.", "Name the same zone with axes east and north, or a UTM zone."),
        "crs_null_shift": ("The system is on another datum than WGS 84 and PROJ has no true transformation to it here, so metres may hide in coordinates that look exact.", "Name a system on WGS 84. Or, if you know the difference and accept it, `[crs] accept_null_shift = true`; the plan then carries a warning."),
        "crs_unreachable": ("The point cannot be expressed in the system: wrong zone, wrong hemisphere, or no known transformation.", "Check the point and the system."),
        "utm_range": ("The base lies beyond 80 S or 84 N, where UTM ends.", "Name a projected system under `[crs] projected`."),
    },
    "Parcels and obstacles": {
        "layer_missing": ("The layer is not where the site file says.", "Its path is relative to the site file."),
        "layer_unreadable": ("The file is no map layer, is broken, or needs a library that is not there.", "Export it as GeoPackage."),
        "layer_name": ("The file holds several layers, or not the one you named.", "Name one under `[land] parcels_layer` or `obstacles_layer`."),
        "layer_empty": ("The parcel layer holds nothing.", "Give the parcels around the base, or leave `[land] parcels` out: then the land is unchecked."),
        "layer_field": ("The field of the parcel ids, or the obstacles' field `kind`, is not there.", "Correct `[land] parcel_id_field`; give every obstacle a `kind`."),
        "layer_no_areas": ("The parcel layer holds points or lines.", "Give polygons."),
        "layer_no_crs": ("The layer does not say which coordinate system it is in; a Shapefile has lost its .prj.", "Add it, or export the layer again."),
        "land_own": ("`own` is given without parcels or without their id field, or names an id that is not in the layer.", "Correct `[land]`; the message names ids that are there."),
        "land_base_outside": ("No parcel holds the base and `own` names none.", "Check the base, or name the applicant's parcels under `[land] own`."),
    },
    "Runways": {
        "runway_columns": ("The runway table lacks a column, or has one twice.", "Name the columns as on the page on air, one row a runway."),
        "runway_number": ("A coordinate, a height or a length in the runway table is no number or out of range.", "Write degrees and feet as plain numbers."),
        "runway_blank": ("A runway stands without the coordinates of an end.", "Give both ends, or take the row out."),
        "runway_geometry": ("A runway in the layer is no line.", "Draw each runway as one line from end to end."),
        "open_runways": ("`runways = \"open\"` needs the package with the open runway table, and it is not installed.", "Install what the message names, or give a table of your own."),
        "air_elevation": ("`[air]` gives the surveyed elevation and an offset of the DEM's datum too.", "Give one of `site_elevation_ft_amsl` and `vertical_datum_offset_m`."),
    },
    "The permit map": {
        "permit_item": ("`[permit]` gives an item of the checklist that there is not.", "Use the ids that the message names."),
        "permit_scale": ("The scale asked for is no whole scale.", "Give it as the message shows, or leave it out: the largest that fits is taken."),
    },
    "Rules of the land": {
        "rules_unknown": ("`[land] rules` names neither a shipped set nor a file.", "Use a name that the message gives, or a path relative to the site file."),
        "rule_twice": ("A rule set or a rule's id stands twice.", "Name each once."),
        "rule_distance": ("A rule asks for no distance, or gives one in metres and in feet.", "Give `factor`, `plus_m` or `least_m`, each in one unit."),
        "rule_source": ("A rule stands without its source.", "Add `source`, the ordinance that it was read in."),
        "rule_dates": ("A rule set's times do not fit together.", "Correct months and days."),
        "rule_layer": ("A rule measures to a layer that the site file does not name, or names twice.", "Add it under `[[land.layers]]`, once."),
        "waiver_rule": ("A waiver names no rule of this site, or more than one.", "Name one as the message gives it."),
        "waiver_refused": ("A waiver is for a rule that cannot be waived.", "Leave it out; where the code allows it, write `waivable = true` into the rule."),
        "layer_value": ("A voltage or a conductor's height is no number, or out of range.", "Give kilovolts and metres as plain numbers, or leave it empty."),
    },
    "The ground under the anchors": {
        "soil_words": ("The words of the ground name none that is known, or two of different kinds.", "Use the words that the message names, or give `uscs`."),
        "soil_group": ("`uscs` is no group of the Unified Soil Classification System.", "Give one, such as CL or SM."),
        "soil_rock": ("`rock` is none of the published table.", "Give one of those named, or `plain_words = \"rock\"`."),
        "soil_unit": ("A strength, weight or torque is beyond what ground has: most often another unit.", "Write degrees, kPa, kN/m³ and N m."),
        "soil_kind": ("Two kinds of ground are named, or a blow count or probe stands without the kind of ground.", "Give one `uscs` or `plain_words`."),
        "soil_excavation": ("`excavation_type` is no type of 29 CFR 1926 Subpart P.", "Write A, B, C or rock."),
        "soil_source": ("A measured strength stands without its source.", "Add `strength_source`, or leave the strength out."),
        "soil_anchor": ("`[[soil.anchors]] id` is no anchor of the mast, or stands twice.", "Name each anchor once."),
        "wind_source": ("`[wind] basic_m_s` stands without its source.", "Add `source`: map or national annex."),
        "holding_range": ("A method of the anchors' hold was asked outside its range.", "Read the plan's warning; give what it asks for, or have the anchor designed."),
        "plan_no_dig": ("The plan holds no digging: it is an older one, or the anchors' hold was not worked out.", "Make the plan again with `siting plan`; read its warnings."),
        "dig_range": ("A pit or hole cannot be given.", "Read the dig sheet's cautions; have it designed, or choose another anchor."),
        "dig_buffer": ("The buffer of the locate notice is no usable length.", "Give `[anchoring] buffer_m` in metres."),
    },
    "The points as staked": {
        "staked_empty": ("The file of the points as measured holds no point.", "Give one point a line, as in stakes.csv."),
        "staked_columns": ("A column that is needed is missing or stands twice, a line has too few fields, or the file is far too long.", "Name the columns as in stakes.csv, or keep its order."),
        "staked_number": ("A coordinate or a height is not a number, or cannot be a height.", "Correct it; a decimal comma needs a semicolon or a tab between the columns."),
        "staked_blank": ("A point's name or a coordinate is blank.", "Fill it in, or take the line out."),
        "staked_duplicate": ("One name stands on two lines.", "Keep one, or give the other a name of its own."),
        "staked_no_match": ("No point of the file is a stake of the plan, by name or by place.", "Check that plan and file belong together, and name the points as in the plan."),
    },
    "The standing mast": {
        "plumb_reading": ("A reading of lean or tension is missing, stands twice, is no number, or names a level or guy that the mast does not have.", "Read every level of permanent guys once, in two directions well apart."),
        "plumb_range": ("The mast cannot be solved in its permanent guys: too few of them, a strand that is not known, or readings that no guy could carry.", "Do what the message says: name the strands, correct the readings."),
        "plumb_plan": ("The plan holds no mast to plumb: it is an older one, or the mast cannot be worked out in its permanent guys, and the plan's warning says why.", "Make the plan again; correct the mast file where the message names something in it."),
        "readings_columns": ("The header of the readings is not the form's, a row has more fields than it, or a figure stands in a row that it does not belong to.", "Keep the header and the rows of readings.csv; with decimal commas, part the columns by semicolons."),
        "readings_number": ("A reading is blank where it is needed, no number, or beyond what a mast, a guy or a day can have: most often another unit.", "Write metres, degrees, centimetres, kilonewtons and degrees Celsius, the figure alone."),
        "readings_empty": ("The file of readings holds nothing, or neither a lean nor a tension.", "Fill in the readings.csv that `siting lift` writes."),
        "plumb_transfer": ("No order of handing the guys over keeps the mast held.", "Do what the message says."),
    },
    "The packet": {
        "out_not_folder": ("`--out` names a file, or a folder below one.", "Name a folder."),
        "out_unwritable": ("The folder may not be written to, or the disk is full. Nothing there has changed.", "Name a folder of your own."),
        "point_list_blank": ("A point list is parted by blanks and one of its fields is empty, which would move every later column.", "Choose another separator, or leave the column out."),
        "landxml_unit": ("LandXML knows metres and the two feet only, and the plan's system counts in something else.", "Leave landxml out, or name another system under `[crs] projected`."),
        "packet_missing": ("The folder that `siting verify` was given holds no packet.json.", "Name a folder that siting wrote."),
        "packet_broken": ("packet.json cannot be read.", "Make the packet again."),
        "plan_broken": ("The file is no plan, or one of another version.", "Make the plan again with `siting plan`."),
    },
}  # fmt: skip
