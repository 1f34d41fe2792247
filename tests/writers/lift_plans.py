"""Plans for the tests of the lift sheet: the demonstration, a fully rigged mast, and plans that lack one thing or another."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from strategies import SMALL_ANCHORS, SMALL_GUYS, box_en, ground_polygon, plan_of, ready_folder, write_layer
from synthetic import plane

from siting.inputs.site_file import read_site
from siting.planner import make_plan
from siting.records.plan import Plan

DEMO = Path(__file__).parents[2] / "sample_dem" / "site.toml"
WIND = {"wind_stop_m_s": 7.0, "wind_stop_height_m": 10.0, "wind_stop_averaging": "gust, 3 s", "cross_wind_m_s": 8.0}
RIGGED = {
    "gin_pole_mass_kg": 140.0, "lift_attach_m": [22.0, 45.0], "lift_lines": "fixed", "friction_ratio": 0.1, "stiffness_knm2": 9000.0,
    "moment_limit_knm": 25.0, "drag_coefficient": 1.2, "wind_area_m2_per_m": 0.25,
}  # fmt: skip
TABLES = """
[winch]
limit_kn = 60.0
line_diameter_mm = 14.0
drum_diameter_mm = 250.0
drum_width_m = 0.4

[[loads]]
name = "boom"
at_m = 58.0
mass_kg = 20.0

[[gin_poles]]
length_m = 4.0
mass_kg = 45.0
raised_by = "hand"
"""
NO_WINCH = tuple(a for a in SMALL_ANCHORS if a[1] != "winch")
LONG = "SIDE-ANCHOR-IN-THE-NORTHERN-FIELD-OF-OLD"


def demo() -> Plan:
    """The demonstration."""
    return make_plan(read_site(DEMO))


def small(folder: Path, slope_percent: float = 6.0, *, mast: dict | None = None, more: str = "", **tables: object) -> Plan:
    """The 60 m mast on an even slope that rises towards 40 degrees; more: text for the end of the mast file."""
    ready_folder(folder, plane(slope_percent, 40.0), mast=mast, half_width_m=140.0)
    with (folder / "mast.toml").open("a", encoding="utf-8") as file:
        file.write(more)
    return plan_of(folder, **tables)


def rigged(folder: Path) -> Plan:
    """A mast whose file says everything, with the wind stop set, for US paper."""
    guys = (*SMALL_GUYS, (30.0, ("S1", "S2"), "temporary"))
    return small(folder, mast={**RIGGED, "guys": guys}, more=TABLES, lift=WIND, sheet={"paper": "Letter"})


def under_a_line(folder: Path, away_m: float) -> Plan:
    """A plan with an overhead line so far east of the base."""
    folder.mkdir(parents=True, exist_ok=True)
    strip = ground_polygon(box_en(away_m, -200.0, away_m + 0.5, 200.0), 500.0)
    write_layer(folder / "lines.geojson", [strip], {"kind": ["overhead_line"], "name": ["Valley line"]})
    return small(folder, land={"obstacles": "lines.geojson"})


def across(folder: Path) -> Plan:
    """A laydown across the slope: the side guys travel too far, and the plan says what mends it."""
    return small(folder, 9.0, laydown={"azimuth_deg": 110.0})


def many(folder: Path) -> Plan:
    """Thirty anchors, names of forty letters, every one with a guy."""
    anchors = [(f"{'ABCDEF'[k % 6]}{k // 6 + 1}", "permanent", (45 + 60 * k) % 360, 30 + 9 * (k // 6)) for k in range(24)]
    sides = [(f"{LONG[:-2]}{k}", "temporary", 90 if k % 2 else 270, 36 + k) for k in range(4)]
    lift = [*sides, ("K1", "temporary", 0, 66), ("W1", "winch", 180, 64)]
    names = tuple(a[0] for a in sides)
    guys = ((58.0, tuple(a[0] for a in anchors), "permanent"), (58.0, names, "temporary"), (40.0, (*names, "K1"), "temporary"),
            (20.0, (*names, "K1"), "temporary"))  # fmt: skip
    return small(folder, mast={"anchors": (*anchors, *lift), "guys": guys})


def plans(folder: Path) -> dict[str, Plan]:
    """Every plan by its name."""
    made = {
        "demo": demo(),
        "rigged": rigged(folder / "rigged"),
        "no winch": small(folder / "no winch", mast={"anchors": NO_WINCH}),
        "bare": small(folder / "bare", mast={"guys": (), "anchors": NO_WINCH[:3]}),
        "line inside": under_a_line(folder / "inside", 40.0),
        "across": across(folder / "across"),
        "many": many(folder / "many"),
        "downhill": small(folder / "downhill", 8.0, laydown={"azimuth_deg": 220.0}),
    }
    return made | {"demo, Letter": replace(made["demo"], paper="Letter"), "many, Letter": replace(made["many"], paper="Letter")}


