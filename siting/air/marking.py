"""How the mast is made visible: each law's bands, spheres, sleeves, lights, ground and notice for this mast."""

from __future__ import annotations

from siting.air.bands import bands, bands_text
from siting.air.case import AirCase
from siting.air.ground_marks import fence, patch
from siting.air.icao import lights_text
from siting.air.marking_laws import CIRCLE, FENCE, IN_TOP_THIRD, LAWS, NEBRASKA, MarkingLaw
from siting.records.air import CANNOT_TELL, NO, YES, Marking, SpherePlace
from siting.records.mast import PERMANENT
from siting.records.plan import GuyChord
from siting.units import METRES_PER_FOOT

# Lengths in feet that differ by less are one.
EQUAL_FT = 1e-6
TOP_SPHERE_FT = 20.0  # Nebraska 3-407.01: no farther from the top of the guy


def mast_markings(case: AirCase) -> tuple[Marking, ...]:
    """What each law asks for at this mast: metres, feet, counts. Where the State is given, other States' laws are left out."""
    return tuple(_marking(case, law) for law in LAWS if _may_hold(case, law))


def outer_guys(guys: tuple[GuyChord, ...]) -> tuple[GuyChord, ...]:
    """The outside guys: those of the highest permanent level; no unit."""
    permanent = [guy for guy in guys if guy.use == PERMANENT]
    top_m = max((guy.attach_m for guy in permanent), default=0.0)
    return tuple(guy for guy in permanent if guy.attach_m == top_m)


def _may_hold(case: AirCase, law: MarkingLaw) -> bool:
    """False for the law of another State than the one given."""
    if case.state is None or law.place == "ICAO":
        return True
    country = case.state.split("-")[0]
    return law.place in (country, case.state) or (case.state == country and law.place.startswith(f"{country}-"))


def _marking(case: AirCase, law: MarkingLaw) -> Marking:
    applies, why = applies_to(case, law)
    if applies == NO:
        return _bare(law, why)
    found = bands(law.bands, case.total_height_m)
    places = _spheres(law, outer_guys(case.guys))
    sleeved = [g for g in case.guys if g.use == PERMANENT] if law.is_sleeve_on_all else outer_guys(case.guys)
    has_sleeves = law.sleeve_ft is not None or bool(law.sleeves_note)
    outline = {FENCE: fence, CIRCLE: patch}.get(law.ground)
    return Marking(
        law=law.name,
        place=law.place,
        applies=applies,
        why=why,
        bands=found,
        bands_text="; ".join(t for t in (bands_text(law.bands, found), law.bands_note) if t),
        sphere_count=law.spheres,
        spheres=places,
        spheres_text=_spheres_text(law),
        sleeve_m=None if law.sleeve_ft is None else law.sleeve_ft * METRES_PER_FOOT,
        sleeve_count=len(sleeved) if has_sleeves else 0,
        sleeves_text=_sleeves_text(law),
        lights_text=lights_text(case.total_height_m) if law.place == "ICAO" else law.lights,
        ground_text=law.ground_note,
        ground=tuple(outline(anchor) for anchor in case.anchors) if outline else (),
        notice_text=law.notice,
        source=law.source,
        date_read=law.date_read,
    )


def _bare(law: MarkingLaw, why: str) -> Marking:
    """A law that asks nothing of this mast."""
    return Marking(law.name, law.place, NO, why, (), "", None, (), "", None, 0, "", "", "", (), "", law.source, law.date_read)


def applies_to(case: AirCase, law: MarkingLaw) -> tuple[str, str]:
    """(yes, no or cannot tell; why): by height, width of the base, land and State; no unit."""
    height_ft = case.total_height_ft
    reaches = height_ft >= law.least_ft - EQUAL_FT if law.is_least_in else height_ft > law.least_ft + EQUAL_FT
    if not reaches:
        return NO, f"{height_ft:.1f} ft is under {law.least_ft:g} ft" if law.is_least_in else f"{height_ft:.1f} ft is not over {law.least_ft:g} ft"
    if law.most_ft is not None and height_ft > law.most_ft + EQUAL_FT:
        return NO, f"{height_ft:.1f} ft is over {law.most_ft:g} ft"
    open_points = [law.doubt] if law.doubt else []
    if law.base_most_ft is not None:
        if case.base_width_m is None:
            open_points.append(f"it holds for a base up to {law.base_most_ft:g} ft wide; [air] base_width_m is not given")
        elif case.base_width_m / METRES_PER_FOOT > law.base_most_ft + EQUAL_FT:
            return NO, f"the base is wider than {law.base_most_ft:g} ft"
    if law.needs_rural:
        if case.is_rural is False:
            return NO, "it holds on rural land, outside cities and towns"
        if case.is_rural is None:
            open_points.append("it holds on rural land, outside cities and towns; [air] rural is not given")
    if law.place not in ("ICAO", case.state, (case.state or "").split("-")[0]):
        said = "is not given" if case.state is None else f"says {case.state} only"
        open_points.append(f"it holds in {law.place}; [air] state {said}")
    if open_points:
        return CANNOT_TELL, "; ".join(open_points)
    return YES, "voluntary: a recommendation" if law.is_voluntary else f"it holds in {law.place} for this height and land"


def _spheres(law: MarkingLaw, guys: tuple[GuyChord, ...]) -> tuple[SpherePlace, ...]:
    """Where the spheres sit on the outside guys."""
    if law.spheres is None:
        return ()
    places = []
    for guy in guys:
        chord_m = guy.chord_m
        if law.spheres_at == IN_TOP_THIRD:
            up_m = [chord_m * 5.0 / 6.0]  # the middle of the top third
        elif law.spheres_at == NEBRASKA:
            up_m = [chord_m / 2.0, chord_m - min(TOP_SPHERE_FT * METRES_PER_FOOT, chord_m / 4.0)]
        else:
            up_m = [chord_m * n / (law.spheres + 1) for n in range(1, law.spheres + 1)]
        places += [SpherePlace(guy.anchor, guy.attach_m, up, chord_m - up) for up in up_m]
    return tuple(places)


def _spheres_text(law: MarkingLaw) -> str:
    if law.spheres is None:
        return law.spheres_note
    where = {
        IN_TOP_THIRD: "in its top third (here: at the middle of it)",
        NEBRASKA: "the top one near the mast, the other at the middle of the guy",
    }.get(law.spheres_at, "evenly spaced")
    count = f"{law.spheres} marker sphere{'s' if law.spheres != 1 else ''} on each outside guy, {where}"
    return f"{count}; {law.spheres_note}" if law.spheres_note else count


def _sleeves_text(law: MarkingLaw) -> str:
    if law.sleeve_ft is None:
        return law.sleeves_note
    guys = "each guy" if law.is_sleeve_on_all else "each outside guy"
    text = f"a sleeve of {law.sleeve_ft:g} ft ({law.sleeve_ft * METRES_PER_FOOT:.2f} m) on {guys}, from its anchor up"
    return f"{text}; {law.sleeves_note}" if law.sleeves_note else text
