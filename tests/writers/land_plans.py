"""Plans made by hand for the land sheet's tests: rules, zones, overhead lines and air, invented, on the plan made by hand."""

from __future__ import annotations

import math
from dataclasses import replace

from writers.plan_by_hand import LAT, LON, TO_GRID, TOTAL_M, _circle, _from_offset, _lonlat, make_plan

from siting.records.air import (
    CANNOT_TELL,
    NOT_BY_THESE,
    NOTICE,
    AirCriterion,
    AirScreening,
    Band,
    Marking,
    NoticeForm,
    RunwayNear,
    SpherePlace,
)
from siting.records.findings import Check, Unchecked
from siting.records.plan import Plan, Shape
from siting.records.power import PowerLineFinding
from siting.records.reach import ReachZone, ZoneObstacle, ZoneParcel
from siting.records.rules import Move, PermitDates, RuleFinding

SOURCE = "Invented County IC 10-26, B.4: 1.1 times the total height; read 2026-11-25; check your local code"
LONG = "The very long name of a holding that has been divided among heirs again and again since the land register was begun"


def rule(name: str, value_m: float | None, limit_m: float, turn_deg: float, **more) -> RuleFinding:
    """A rule at the base's centre; without a value it was not measured."""
    lon, lat = _lonlat(turn_deg % 360.0, abs(value_m) if value_m is not None else 0.0)
    easting, northing = TO_GRID.transform(lon, lat)
    verdict = "unchecked" if value_m is None else "pass" if value_m >= limit_m else "fail"
    known = value_m is not None
    made = RuleFinding(
        id=name, rule_set="Invented rules", title=f"Mast to the nearest {name}", value_m=value_m, limit_m=limit_m,
        margin_m=value_m - limit_m if known else None, how=f"1.1 × {TOTAL_M:.2f} m total height",
        measured=f"centre of the base, to the nearest {name}", to=f"the {name}" if known else "", bearing_deg=turn_deg % 360.0 if known else None,
        lat=lat if known else None, lon=lon if known else None, easting=easting if known else None, northing=northing if known else None,
        verdict=verdict, waived=(), source=SOURCE, note="" if known else "Not checked: no layer was given; give one.",
    )  # fmt: skip
    return replace(made, **more)


def zone(name: str, ring, parcels=(), **more) -> ReachZone:
    made = ReachZone(
        id=name, title=name.replace("_", " ").capitalize(), what="what comes down there, invented", area_m2=sum(p.area_m2 for p in parcels) or 900.0, radius_m=None,
        by_parcel=tuple(parcels), no_parcel_m2=0.0, obstacles=(), is_rule=name == "fall_circle", source="common practice, no source",
        rings=(tuple(ring),),
    )  # fmt: skip
    return replace(made, **more)


def _box(e0: float, n0: float, e1: float, n1: float):
    ring = [_from_offset(*p) for p in ((e0, n0), (e1, n0), (e1, n1), (e0, n1))]
    return [*ring, ring[0]]


def zones(parcels: int = 1) -> tuple[ReachZone, ...]:
    """Fall circle, corridor, keep-out of two pieces with a hole, a guy's circle."""
    own = ZoneParcel("12-004 Süd", "Grüß & Söhne", 20000.0, True)
    others = tuple(ZoneParcel(f"12-{5 + k:03d}", f"Owner {k}", 400.0 / (k + 1), False) for k in range(parcels))
    hole = tuple(reversed(_box(-20, -60, -5, -50)))
    keep = (tuple(_box(-95, -95, 95, 95)), hole, tuple(_box(110, -20, 140, 20)))
    road = (ZoneObstacle("road", "Čierna cesta", 70.0),)
    return (
        zone("fall_circle", _circle(TOTAL_M), (own, *others), radius_m=TOTAL_M, obstacles=road),
        zone("tip_lands", _circle(TOTAL_M - 2.0), (own,), no_parcel_m2=12.0),
        zone("laydown_corridor", _box(-5, 0, 5, 82), (own,), radius_m=82.0),
        zone("keep_out", (), (own, *others), rings=keep, obstacles=road),
        zone("guy_whip:A1", _circle(60.0), (own,), radius_m=60.0),
    )  # fmt: skip


def power_line(name: str, least_m: float, verdict: str, **more) -> PowerLineFinding:
    lon, lat = _lonlat(140.0, least_m)
    text = f"{'DO NOT RAISE HERE. ' if verdict == 'fail' else ''}{name}: the lift stays {least_m:.2f} m away; 6.10 m is asked for."
    made = PowerLineFinding(
        name, "Invented Grid", 69.0, 7.5, True, least_m + 30.0, least_m, 42.5, "winch line", least_m + 20.0, least_m - 60.0, least_m, 6.1, 6.1, verdict, text,
        ("A published distance, for information.",), "29 CFR 1926.1408 Table A, 69 kV", 140.0, lat, lon,
    )  # fmt: skip
    return replace(made, **more)


def _bands(count: int) -> tuple[Band, ...]:
    part = TOTAL_M / count
    return tuple(
        Band(round(k * part, 3), round((k + 1) * part, 3), round(k * part / 0.3048, 2), round((k + 1) * part / 0.3048, 2), "white" if k % 2 else "aviation orange")
        for k in range(count)
    )


def _marking(law: str, applies: str, bands: int = 0, **more) -> Marking:
    made = Marking(
        law, "US-XX", applies, "an invented reason", _bands(bands) if bands else (), f"{bands} equal bands" if bands else "", None, (), "", None, 0, "", "", "", (),
        "", "Invented law 1-2-3, read", "2026-11-25",
    )  # fmt: skip
    return replace(made, **more)


def air(result: str = CANNOT_TELL) -> AirScreening:
    """Two criteria, a runway, three laws: the first that applies has seven bands, spheres and sleeves."""
    spheres = (SpherePlace("A1", 78.0, 60.0, 32.0), SpherePlace("B1", 78.0, 60.0, 32.0))
    markings = (
        _marking("Law that does not apply", "no"), _marking("Law with spheres", "yes", 7, spheres=spheres, sphere_count=1, spheres_text="1 sphere on each guy",
                 sleeve_m=2.134, sleeve_count=3, sleeves_text="a sleeve of 7 ft (2.13 m) on each guy", lights_text="a red light"),
        _marking("Law with narrow bands", "cannot tell", 55), _marking("Second law that applies", "yes", 3),
    )  # fmt: skip
    criteria = (
        AirCriterion("77.9(a)", "more than 200 ft above the ground", 270.67, 200.0, -70.67, "height above the ground", NOTICE, "the mast is higher", "14 CFR 77.9, read"),
        AirCriterion("77.9(b)(1)", "100 : 1 near airports", None, None, None, "above mean sea level", result, "the elevation is not known", "14 CFR 77.9, read"),
    )  # fmt: skip
    runway = RunwayNear("INVENTED", "Invented field", "08/26", "runway", 5210.4, 30.0, 107.77, 287.9, 1036.3, 1313.7, 100, 1366.0, -12.5, CANNOT_TELL, "its elevation is not known")
    form = NoticeForm(
        "46°30'44.28\"N", "7°27'24.12\"E", "WGS 84; the form asks for NAD 83", None, 270.67, None, "not known", "INVENTED: 2.81 nautical miles", "4D until a survey",
        "45 days before, by 2027-01-29", "2027-01-29", "within 5 days after it stands", ("sponsor, signature and date", "county and nearest city"),
    )  # fmt: skip
    gaps = (Unchecked("air_national_rules", "rules of other countries", "ask the national authority"),)
    headline = "Whether a notice is required cannot be told: the elevation is not known."
    return AirScreening(
        result, headline, TOTAL_M, 270.67, None, None, "not known: the DEM names no vertical datum", "runways.csv", criteria, (runway,), gaps, markings, form,
        ("An assumption.",), ("14 CFR 77.9, read",),
    )  # fmt: skip


def _move() -> Move:
    turn, long = 90.0, 12.6
    lon, lat = _lonlat(turn, long)
    easting, northing = TO_GRID.transform(lon, lat)
    text = "Move the base 12.60 m towards 90.0°: then every rule of the land holds; laydown 40°, verdict marginal. Plan again there."
    return Move(long, turn, lat, lon, easting, northing, 40.0, "marginal", 70.2, text)


def _land(plan: Plan, *rules: RuleFinding, **more) -> Plan:
    """The plan with these rules; each that was measured is a check too."""
    checks = tuple(
        Check(f"rule:invented:{r.id}", "rule", r.title, r.value_m, r.limit_m, "m", True, min(10.0, r.limit_m / max(r.value_m, 0.01)), 0.0, r.verdict, r.source, r.to)
        for r in rules if r.value_m is not None
    )  # fmt: skip
    dates = (PermitDates("Invented rules", "2032-03-15", "", "", "A permit of 2027-03-15 would run out on 2032-03-15 (60 months)."),)
    land = replace(plan.land, rules=tuple(rules), permit_dates=dates)
    return replace(plan, land=land, checks=(*(c for c in plan.checks if c.kind != "setback"), *checks), **more)


def failing() -> Plan:
    """The line in the west is 12.45 m too near; a move of 12.60 m to the east mends it."""
    rules = (rule("property line", 78.3, 90.75, 270.0), rule("road", 120.0, 90.75, 180.0), rule("dwelling", 128.5, 90.75, 128.0))
    return _land(make_plan(), *rules, move=_move(), reach=zones(), power_lines=(power_line("Supply line", 40.0, "pass"),), air=air(NOTICE))


def unmeasured() -> Plan:
    """Nothing could be measured, no parcels, no lines, no air."""
    rules = (rule("dwelling", None, 90.75, 0.0), rule("overhead line", None, 90.75, 0.0))
    gaps = (*(Unchecked(f"rule:invented:{r.id}", f"{r.title}: no layer was given", "give one") for r in rules), Unchecked("overhead_line", "no obstacle layer was given", "give [land] obstacles"))
    found = tuple(replace(z, by_parcel=(), no_parcel_m2=None, area_m2=900.0) for z in zones())
    plan = _land(make_plan(), *rules, reach=found, unchecked_detail=gaps)
    return replace(plan, shapes=tuple(s for s in plan.shapes if s.kind not in ("parcel", "own_land")))


def waived() -> Plan:
    """The western line is waived; what is left passes."""
    left_out = ("12-005 Ödland: waived by its owner, book 12 page 34, 2026-10-02",)
    return _land(make_plan(), rule("property line", 140.0, 90.75, 0.0, waived=left_out), reach=zones(0), air=air(NOT_BY_THESE), power_lines=(power_line("Line", 50.0, "pass"),))


def two_lines() -> Plan:
    """Two overhead lines, one too near; its check is there too."""
    lines = (power_line("Near line", 4.2, "fail"), power_line("Far line", 60.0, "pass", voltage_kv=None, conductor_m=None, is_with_heights=False, owner=""))
    plan = _land(make_plan(), rule("road", 140.0, 90.75, 0.0), reach=zones(), power_lines=lines, air=air())
    check = Check("power_line:Near line", "power_line", "least distance to Near line", 4.2, 6.1, "m", True, 1.45, 0.0, "fail", "29 CFR 1926.1408", "the lift")
    return replace(plan, checks=(check, *plan.checks))


def bare() -> Plan:
    """The plan made by hand as it is: no rules, no zones, no lines, no air."""
    return make_plan()


def many() -> Plan:
    """Thirty rules and sixty parcels, all round."""
    rules = [rule(f"thing {k}", 70.0 + 3.0 * k, 90.75, 12.0 * k) for k in range(30)]
    plan = _land(make_plan(), *rules, reach=zones(60), air=air(), move=_move())
    shapes = [Shape("parcel", f"P-{k:02d}", f"parcel P-{k:02d}", "Polygon", (tuple(_box(-300 + 60 * (k % 10), 100 + 40 * (k // 10), -245 + 60 * (k % 10), 138 + 40 * (k // 10))),)) for k in range(60)]
    return replace(plan, shapes=(*plan.shapes, *shapes))


def long_names() -> Plan:
    """Names of many words everywhere."""
    rules = (rule("property line", 78.3, 90.75, 270.0, title=f"Mast to {LONG}", to=LONG, rule_set=LONG, waived=(f"{LONG}: waived by {LONG}, book 1",), note=f"{LONG}. " * 3),)
    found = tuple(replace(z, title=f"{z.title} {LONG}", by_parcel=tuple(replace(p, id=LONG[:60], owner=LONG) for p in z.by_parcel)) for z in zones())
    line = replace(power_line("L", 40.0, "pass"), name=LONG, owner=LONG, lifting_part=LONG)
    shapes = tuple(replace(s, id=LONG, label=LONG) if s.kind in ("parcel", "obstacle") else s for s in make_plan().shapes)
    screening = air()
    markings = tuple(replace(m, law=LONG, why=LONG, source=LONG) for m in screening.markings)
    screening = replace(screening, headline=f"{LONG}.", markings=markings, nearest=tuple(replace(r, airport=LONG, name=LONG, note=LONG) for r in screening.nearest))
    move = replace(_move(), text=f"{_move().text} {LONG}.")
    return replace(_land(make_plan(), *rules, reach=found, power_lines=(line,), air=screening, move=move), shapes=shapes, name="Site with a very long name " * 4)


MAKERS = {"failing": failing, "unmeasured": unmeasured, "waived": waived, "two lines": two_lines, "bare": bare, "many": many, "long names": long_names}
ON_LETTER = ("failing", "two lines", "many", "long names")


def plans() -> dict[str, Plan]:
    """Every plan by its name, and four of them on US paper."""
    made = {name: make() for name, make in MAKERS.items()}
    return made | {f"{name}, Letter": replace(made[name], paper="Letter") for name in ON_LETTER}


def distance_m(a, b) -> float:
    """Between two (lon, lat) near the base, metres."""
    return math.hypot((a[0] - b[0]) * 111320.0 * math.cos(math.radians(LAT)), (a[1] - b[1]) * 111170.0)


BASE = (LON, LAT)
