"""What the land sheet and the terminal say in the same words: verdict of the land, rules, zones, lines, air, what was not checked."""

from __future__ import annotations

from siting.figures import CHECK_QUANTITIES, shown
from siting.records.air import CANNOT_TELL, NO, NOT_BY_THESE, NOTICE, Marking
from siting.records.findings import Check, Unchecked
from siting.records.plan import Plan
from siting.records.power import PowerLineFinding
from siting.records.reach import ReachZone
from siting.records.rules import RuleFinding
from siting.units import METRES_PER_FOOT
from siting.verdict import FAIL, MARGINAL, UNCHECKED, worst
from siting.writers.map.words import VERDICT_WORDS

RULE, POWER_LINE = "rule", "power_line"
LAND_KINDS = (
    RULE, "setback", "fall_zone", "fall_zone_obstacle", "anchor_on_own_land", "guy_on_own_land", "layout_clear", POWER_LINE,
)  # fmt: skip
LAND_UNCHECKED = (*LAND_KINDS, "overhead_line", "building", "road", "buried_line", "water")

NOT_CHECKED, DO_NOT_RAISE = "NOT CHECKED", "DO NOT RAISE HERE"
CHECK_LOCAL = "check your local code"
MAKE_AGAIN = "make the plan again with siting plan"
NO_RULES = f"No rule of the land was read: name a rule file under [rules] in the site file; {CHECK_LOCAL}."
NO_AIR = f"The plan holds no screening for air navigation: {MAKE_AGAIN}. Ask the aviation authority."
NO_REACH = f"The plan holds no zones: {MAKE_AGAIN}."
NO_PARCELS = "no parcels were given: whose ground it is, is not known"
DEFER_LAND = "Defer to local codes, the aviation authority and licensed people."
NO_PERMISSION = "That is no permission to build, to lay out or to raise."
RESULT_WORDS = {NOTICE: "NOTICE REQUIRED", NOT_BY_THESE: "NOT BY THESE CRITERIA", CANNOT_TELL: "CANNOT TELL"}
NO_SCREENING = "This is a screening, never a permission: the authority alone decides."
RULE_STANDS = "The fall circle is the rule. Every other outline is information and takes nothing from it."


def land_checks(plan: Plan) -> tuple[Check, ...]:
    """The checks that the land decides, the failing first, then the marginal ones, in the plan's order."""
    rank = {FAIL: 0, MARGINAL: 1}
    return tuple(sorted((c for c in plan.checks if c.kind in LAND_KINDS), key=lambda c: rank.get(c.verdict, 2)))


def land_verdict(plan: Plan) -> str:
    """The worst verdict of checks, rules and overhead lines; unchecked where nothing of the land could be checked. No unit."""
    found = [c.verdict for c in land_checks(plan)]
    found += [r.verdict for r in plan.land.rules] + [line.verdict for line in plan.power_lines]
    return worst(found)


def land_unchecked(plan: Plan) -> tuple[Unchecked, ...]:
    """What could not be checked of the land, in the plan's order."""
    return tuple(u for u in plan.unchecked_detail if u.id.partition(":")[0] in LAND_UNCHECKED)


def land_headline(plan: Plan) -> str:
    """The verdict of the land in plain sentences, no unit."""
    checks, missing = land_checks(plan), land_unchecked(plan)
    failing, marginal = (sum(c.verdict == v for c in checks) for v in (FAIL, MARGINAL))
    unmeasured = sum(r.verdict == UNCHECKED for r in plan.land.rules)
    if failing:
        told = f"{failing} of {len(checks)} checks of the land {'fails' if failing == 1 else 'fail'}: the mast may not stand here by them."
    elif land_verdict(plan) == FAIL:
        told = "A rule or an overhead line fails: the mast may not stand here by it."
    elif marginal:
        told = f"{marginal} of {len(checks)} checks of the land {'is' if marginal == 1 else 'are'} within the data's own error of the limit."
    elif checks:
        told = f"All {len(checks)} checks of the land that could be made pass."
    else:
        told = "Nothing of the land could be checked."
    if unmeasured:
        told += f" {unmeasured} of {len(plan.land.rules)} rules NOT CHECKED."
    elif missing:
        told += f" {len(missing)} could NOT be made."
    return f"{told} {NO_PERMISSION}"


def check_line(check: Check) -> str:
    """A check in a sentence: what was found, the limit, where."""
    kind = CHECK_QUANTITIES.get(check.unit, "none")
    side = "least" if check.limit_is_least else "limit"
    where = f" ({check.place})" if check.place else ""
    return f"{check.verdict.upper()}: {check.label}: {shown(check.value, kind)}, {side} {shown(check.limit, kind)}{where}."


def other_checks(plan: Plan) -> tuple[Check, ...]:
    """The checks of the land that fail or are marginal and are no rule and no line, which have their own rows."""
    return tuple(c for c in land_checks(plan) if c.kind not in (RULE, POWER_LINE) and c.verdict in (FAIL, MARGINAL))


def rule_figures(rule: RuleFinding) -> tuple[str, str, str, str]:
    """Found, asked for, margin and bearing, as texts with their units; NOT MEASURED where nothing was found."""
    found = "NOT MEASURED" if rule.value_m is None and rule.verdict == UNCHECKED else shown(rule.value_m, "length")
    margin = "–" if rule.margin_m is None else signed(rule.margin_m)
    return found, shown(rule.limit_m, "length"), margin, shown(rule.bearing_deg, "bearing")


def signed(value_m: float) -> str:
    """A margin with its sign, metres."""
    return f"{value_m:+.2f} m".replace("-", "−")


def rule_lines(rule: RuleFinding) -> tuple[str, ...]:
    """What stands below a rule's figures: from what to what, how the distance comes about, who waived what, the source."""
    to = f": {rule.to}" if rule.to else ""
    waived = tuple(f"WAIVED, left out: {text}." for text in rule.waived)
    source = rule.source if CHECK_LOCAL in rule.source else f"{rule.source}; {CHECK_LOCAL}"
    return (f"From {rule.measured}{to}. Asked for: {rule.how}.", *waived, rule.note, f"Source: {source} ({rule.rule_set}).")


def verdict_words(verdict: str) -> str:
    """A verdict in capitals."""
    return VERDICT_WORDS.get(verdict, verdict).upper()


def waived_lines(plan: Plan) -> tuple[str, ...]:
    """Every line that somebody has waived, by the rules that leave it out."""
    found: dict[str, list[str]] = {}
    for rule in plan.land.rules:
        for text in rule.waived:
            found.setdefault(text, []).append(rule.id)
    return tuple(f"{text} (left out of: {', '.join(ids)})" for text, ids in found.items())


def zone_letter(number: int) -> str:
    """A zone's letter on drawing and table: A to Z, then AA and on."""
    letter = chr(ord("A") + number % 26)
    return letter if number < 26 else zone_letter(number // 26 - 1) + letter


def zone_head(zone: ReachZone) -> str:
    """A zone's name, area (m²) and size (m) in one line."""
    reach = f", to {shown(zone.radius_m, 'length')}" if zone.radius_m is not None else ""
    return f"{zone.title}{': THE RULE' if zone.is_rule else ''}, {shown(zone.area_m2, 'area')}{reach}"


def fall_words(plan: Plan) -> str:
    """Whose ground the fall circle reaches, in one sentence, areas in m²."""
    zone = next((z for z in plan.reach if z.is_rule), None)
    if zone is None:
        return NO_REACH
    if zone.no_parcel_m2 is None:
        return f"Fall circle: {NO_PARCELS}."
    others = [p for p in zone.by_parcel if not p.is_own]
    beside = f" {shown(zone.no_parcel_m2, 'area')} of it lies in no parcel that is drawn." if zone.no_parcel_m2 > 0.0 else ""
    if not others:
        return f"The fall circle reaches own land alone.{beside}" if zone.no_parcel_m2 == 0.0 else f"Of parcels that are drawn, the fall circle reaches own ones alone.{beside}"
    named = ", ".join(p.id for p in others[:6]) + (f" and {len(others) - 6} more" if len(others) > 6 else "")
    whose = "1 neighbour" if len(others) == 1 else f"{len(others)} neighbours"
    return f"The fall circle reaches {whose}, {shown(sum(p.area_m2 for p in others), 'area')} in all: {named}.{beside}"


def line_name(line: PowerLineFinding) -> str:
    """An overhead line's name with its voltage, kV, and its owner."""
    volts = "voltage NOT KNOWN" if line.voltage_kv is None else f"{line.voltage_kv:g} kV"
    return f"{line.name}, {volts}{f', {line.owner}' if line.owner else ''}"


def lifting_words(line: PowerLineFinding) -> str:
    """Where in the lift the line is nearest: the part, and the mast's angle in degrees."""
    return f"{line.lifting_part}, mast at {shown(line.lifting_at_deg, 'angle')}"


def no_lines_words(plan: Plan) -> str:
    """Why no overhead line was looked at, and what to do."""
    missing = next((u for u in plan.unchecked_detail if u.id.partition(":")[0] == "overhead_line"), None)
    why = missing.missing if missing else "the plan holds no overhead line near the mast"
    return f"Overhead lines: {why}. Look for them on site, all round, before anything is raised."


def blocking_texts(plan: Plan) -> tuple[str, ...]:
    """What is said of every overhead line that forbids raising, without the words in capitals; nothing where none does."""
    return tuple(line.text.removeprefix(f"{DO_NOT_RAISE}.").strip() for line in plan.power_lines if line.verdict == FAIL)


def feet(value_m: float | None) -> str:
    """A length in feet, one decimal; a dash where there is none."""
    return "–" if value_m is None else f"{value_m / METRES_PER_FOOT:.1f} ft".replace("-", "−")


def both(value_m: float | None, value_ft: float | None) -> str:
    """A height in metres and feet; NOT KNOWN where there is none."""
    return "NOT KNOWN" if value_m is None else f"{shown(value_m, 'length')} ({shown(value_ft, 'feet')})"


def asked_markings(markings: tuple[Marking, ...]) -> tuple[Marking, ...]:
    """The laws that apply, then those of which it cannot be told."""
    return tuple(m for m in markings if m.applies == "yes") + tuple(m for m in markings if m.applies not in ("yes", NO))


def drawn_marking(markings: tuple[Marking, ...]) -> Marking | None:
    """The law whose marking is drawn: the first with bands among those that apply or cannot be told; None without one."""
    return next((m for m in asked_markings(markings) if m.bands), None)


def marking_texts(marking: Marking) -> tuple[str, ...]:
    """What a law asks for, part by part, each named."""
    parts = (
        ("Bands", marking.bands_text), ("Spheres", marking.spheres_text), ("Sleeves", marking.sleeves_text),
        ("Lights", marking.lights_text), ("Ground", marking.ground_text), ("Notice", marking.notice_text),
    )  # fmt: skip
    return tuple(f"{name}: {text}." for name, text in parts if text)
