"""The forces of the lift: what the crew's sheet says of pull, gin pole, hinge, winch line, ground, wind and bending.

A number that the method cannot give is null, and a sentence says why.
"""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words

MOMENT, STIFFNESS, SPEED, PRESSURE, LINE_LOAD = "moment", "stiffness", "speed", "pressure", "line_load"
CURVE = "none"


@dataclass(frozen=True, slots=True)
class LiftLoads:
    """What is lifted."""

    mast_kg: float = quantity("mass", "the mast's sections")
    loads_kg: float = quantity("mass", "instruments, booms and other loads of the mast file")
    guys_kg: float = quantity("mass", "guys that hang on the mast, by the model below")
    gin_pole_kg: float | None = quantity("mass", "the gin pole that lifts the mast; null where the mast file has no mass")
    centre_m: float = quantity("length", "centre of mass of mast, loads and guys, along the mast")
    sections: int = words("number of sections, a short last one counted")
    guys_model: str = words("how the guys' own weight is taken")
    left_out: tuple[str, ...] = words("what is not in the numbers, and which key would bring it in")


@dataclass(frozen=True, slots=True)
class LiftLine:
    """A line from the gin pole's tip to what is raised. Lists follow the stage's `angles_deg`."""

    attach_m: float = quantity("length", "where it holds, from the hinge along what is raised")
    length_m: float = quantity("length", "gin pole's tip to there, straight: it stays the same through the lift")
    force_kn: tuple[float | None, ...] = quantity("force", "in the line; 0 where it is slack")
    largest_kn: float | None = quantity("force", "over the table's angles; null where none has a number")


@dataclass(frozen=True, slots=True)
class LiftStage:
    """One lift: the mast, or a gin pole that a lighter one raises. Lists follow `angles_deg`."""

    raises: str = words("what goes up")
    by: str = words("what raises it")
    angles_deg: tuple[float, ...] = quantity("angle", "of what goes up, above the horizontal")
    weight_moment_knm: tuple[float, ...] = quantity(MOMENT, "of all weights about the hinge, kNm; positive lays it down")
    arm_m: tuple[float, ...] = quantity("travel", "winch line's lever arm about the hinge; at or below 0 it does not lift")
    line_kn: tuple[float | None, ...] = quantity("force", "winch line at the gin pole's tip, without friction")
    winch_pull_kn: tuple[float | None, ...] = quantity("force", "at the winch, friction added; 0 once the back guys hold")
    lift_lines: tuple[LiftLine, ...] = words("lines from the gin pole's tip; empty where the mast file has no lift_attach_m")
    gin_pole_compression_kn: tuple[float | None, ...] = quantity("force", "at the gin pole's foot, where it is largest")
    gin_pole_side_kn: tuple[float | None, ...] = quantity("force", "sideways at the tip, to the right positive: winch off the line")
    back_guy_kn: tuple[float | None, ...] = quantity("force", "in each back guy of the highest level, once the weight is over")
    hinge_along_kn: tuple[float | None, ...] = quantity("force", "base on hinge, along the laydown, towards the head positive")
    hinge_side_kn: tuple[float | None, ...] = quantity("force", "base on hinge, sideways, to the right positive")
    hinge_vertical_kn: tuple[float | None, ...] = quantity("force", "base on hinge, upward positive; below 0 the base must hold it down")
    foot_vertical_kn: tuple[float | None, ...] = quantity("force", "as before, on the foot of what goes up alone, without the gin pole's")
    uplift_at_deg: tuple[float, ...] = quantity("angle", "angles at which the hinge, or that foot alone, is pulled up")
    no_number: tuple[str, ...] = words("why an angle has no forces; empty where it has")
    start_pull_kn: float | None = quantity("force", "pull at the first angle")
    largest_pull_kn: float | None = quantity("force", "largest pull from the rest line to 80; null where the line fails before")
    largest_pull_at_deg: float | None = quantity("angle", "where that is")
    end_pull_kn: float | None = quantity("force", "largest pull from 80 to the take-over or plumb; null where the line fails there")
    pole_pulled_from_deg: float | None = quantity("angle", "from here the gin pole is pulled off its foot, not pushed onto it; null where never")
    takeover_deg: float | None = quantity("angle", "from here the weight pulls to the winch's side; null where it does not before plumb")
    takeover_early_deg: float | None = quantity("angle", "the same with the bare mast: guys and loads can only come later")
    takeover: str = words("the take-over in plain words, and what holds then")


@dataclass(frozen=True, slots=True)
class HandLift:
    """The first light gin pole, lifted at its tip until its line has an arm of its own."""

    length_m: float = quantity("length", "of the pole")
    mass_kg: float = quantity("mass", "of the pole")
    raised_by: str = words("hand, or a small winch")
    angles_deg: tuple[float, ...] = quantity("angle", "of the pole above the horizontal")
    tip_kn: tuple[float, ...] = quantity("force", "at the tip, square to the pole: what hands must lift")
    tip_kg: tuple[float, ...] = quantity("mass", "the same as a mass")
    winch_pull_kn: tuple[float | None, ...] = quantity("force", "of a line straight from its tip to the winch; null by hand, or without arm")
    hand_to_deg: float | None = quantity("angle", "hands lift to here, then the winch's line has its least arm; null where never")
    text: str = words("how it goes up, in plain words")


@dataclass(frozen=True, slots=True)
class WinchLine:
    """The winch line through the mast's lift. Lists follow `angles_deg`."""

    angles_deg: tuple[float, ...] = quantity("angle", "of the mast")
    arm_ratio: tuple[float, ...] = quantity("ratio", "lever arm / gin pole length")
    length_m: tuple[float, ...] = quantity("length", "gin pole's tip to winch anchor, straight")
    take_up_m: tuple[float, ...] = quantity("length", "line wound in since the rest line, single line")
    least_ratio: float = quantity("ratio", "smallest arm ratio from the rest line to 80")
    least_at_deg: float = quantity("angle", "where that is")
    limit_ratio: float = quantity("ratio", "least arm ratio wanted")
    weak_from_deg: float | None = quantity("angle", "from here to plumb the arm is below the limit; null where it never is")
    fails_at_deg: float | None = quantity("angle", "the line passes through the hinge; null where it does not before plumb")
    lower_by_m: float | None = quantity("length", "the winch so much lower in its place meets the limit; null: met, or no such place")
    farther_by_m: float | None = quantity("length", "the winch so much farther out meets the limit; null: met, or no such place")
    lower_for_plumb_m: float | None = quantity("length", "the winch so much lower in its place lifts to plumb; null where it does, or cannot")
    text: str = words("where the line fails and what mends it, in plain words")
    wraps: tuple[float, ...] | None = quantity(CURVE, "wraps on the drum; null without the drum's sizes")
    layers: tuple[int, ...] | None = words("layer that the line winds on; null without the drum's sizes")
    rated_kn: tuple[float, ...] | None = quantity("force", "the winch's limit on that layer; null without limit_kn")
    largest_use_ratio: float | None = quantity("ratio", "largest pull / limit at the angles that have a number; null without limit_kn")
    drum_text: str = words("what the winch's numbers rest on, or which keys are missing")


@dataclass(frozen=True, slots=True)
class LineClearance:
    """How far gin pole and winch line stay off the ground. Lists follow `angles_deg`."""

    angles_deg: tuple[float, ...] = quantity("angle", "of the mast")
    pole_clear_m: tuple[float, ...] = quantity("travel", "least height of the gin pole over the ground, its first metre left out; below 0 it digs in")
    pole_at_m: tuple[float, ...] = quantity("length", "where that is, from the base towards the winch")
    line_clear_m: tuple[float, ...] = quantity("travel", "least height of the winch line, its last metres left out; below 0 it bears on the ground")
    line_at_m: tuple[float, ...] = quantity("length", "where that is, from the base towards the winch")
    s_m: tuple[float, ...] = quantity("length", "places from the base towards the winch and past it, as far as the ground is known")
    ground_m: tuple[float, ...] = quantity("length", "height of the ground there above the hinge")
    end_left_out_m: float = quantity("length", "line before the winch anchor that runs down to the ground by design")
    text: str = words("what touches the ground and when, in plain words")


@dataclass(frozen=True, slots=True)
class SlopeCase:
    """The same mast laid up, along or down an even slope, its winch on the same ground. Lists follow `angles_deg`."""

    laid: str = words("uphill, level or downhill")
    slope_percent: float = quantity("percent", "of the even ground along the laydown")
    rest_deg: float = quantity("angle", "of the rest line")
    angles_deg: tuple[float, ...] = quantity("angle", "from the rest line to 90")
    winch_pull_kn: tuple[float | None, ...] = quantity("force", "null where the line cannot lift")
    start_pull_kn: float | None = quantity("force", "at the rest line")
    largest_pull_kn: float | None = quantity("force", "from the rest line to 80; null where the line fails before")
    fails_at_deg: float | None = quantity("angle", "the line passes through the hinge; null where it does not before plumb")


@dataclass(frozen=True, slots=True)
class SlopeGain:
    """What laying the mast uphill saves, as one picture: three cases on even ground."""

    cases: tuple[SlopeCase, ...] = words("uphill, level, downhill")
    start_saved_percent: float | None = quantity("percent", "pull at the start, uphill less than downhill by; null where one has none")
    largest_saved_percent: float | None = quantity("percent", "largest pull to 80, uphill less than downhill by; null where one has none")
    text: str = words("the gain in plain words")


@dataclass(frozen=True, slots=True)
class MastBending:
    """The mast as a beam between the hinge and its lift points, at the angle where it bends most."""

    angle_deg: float = quantity("angle", "mast angle of the worst case")
    at_m: tuple[float, ...] = quantity("length", "places along the mast")
    moment_knm: tuple[float, ...] = quantity(MOMENT, "bending moment there, kNm; positive sags")
    largest_knm: float = quantity(MOMENT, "moment of the largest size, kNm, with its sign")
    largest_at_m: float = quantity("length", "where that is")
    limit_knm: float | None = quantity(MOMENT, "the maker's limit, kNm; null where not given")
    use_ratio: float | None = quantity("ratio", "largest moment / limit; null without a limit of the mast file")
    deflection_m: tuple[float, ...] | None = quantity("travel", "off the line from hinge to highest lift point, sag negative; null without stiffness")
    largest_deflection_m: float | None = quantity("travel", "of the largest size; null without stiffness, or out of the method")
    largest_deflection_at_m: float | None = quantity("length", "where that is")
    axial_kn: float = quantity("force", "push along the mast in the span that it brings nearest to buckling")
    growth_ratio: float | None = quantity("ratio", "by which that push makes moment and deflection grow: in the numbers; null without stiffness")
    euler_ratio: float | None = quantity("ratio", "that push / Euler's load of that span; null without stiffness")
    text: str = words("the bending in plain words, and what is not in it")


@dataclass(frozen=True, slots=True)
class SideGuyLoad:
    """A side guy against the wind from its own side. Lists follow the record's `angles_deg`."""

    anchor: str = words("stake id of the side anchor")
    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    load_kn: tuple[float, ...] = quantity("force", "in the guy, which holds its side alone")
    largest_kn: float = quantity("force", "over the lift")
    largest_at_deg: float = quantity("angle", "where that is")


@dataclass(frozen=True, slots=True)
class SideWind:
    """A wind square to the laydown while the mast goes up."""

    wind_m_s: float | None = quantity(SPEED, "the user's wind, m/s; null where not given: no default")
    pressure_kpa: float | None = quantity(PRESSURE, "velocity pressure, kPa; null without a wind")
    line_load_kn_per_m: float | None = quantity(LINE_LOAD, "on each metre of mast, kN/m; null without drag and area")
    force_kn: float | None = quantity("force", "on the whole mast")
    angles_deg: tuple[float, ...] = quantity("angle", "of the mast")
    guys: tuple[SideGuyLoad, ...] = words("the highest side guy on each side")
    text: str = words("what the load rests on, or what is missing")


@dataclass(frozen=True, slots=True)
class Statics:
    """The forces of the whole lift."""

    loads: LiftLoads = words("what is lifted")
    friction_ratio: float = quantity("ratio", "added to the winch line's force; 0 where the mast file has none")
    first_pole: HandLift | None = words("the first light gin pole; null where the mast has one gin pole only")
    stages: tuple[LiftStage, ...] = words("every stage, the mast's own last")
    winch_line: WinchLine = words("the winch line of the mast's lift")
    clearance: LineClearance | None = words("gin pole and line over the ground; null where the ground was not given")
    gain: SlopeGain = words("uphill against level and downhill")
    bending: MastBending | None = words("the mast as a beam; null without lift points")
    side_wind: SideWind = words("side guys against a cross wind")
    remarks: tuple[str, ...] = words("what the numbers rest on and what they leave out, in plain words")
