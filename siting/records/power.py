"""What was found of each overhead line: how near the mast comes to it, lying, going up, standing and falling."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words


@dataclass(frozen=True, slots=True)
class PowerLineFinding:
    """One overhead line of the obstacle layer. Distances are least ones; those in plan are never longer than the true ones."""

    name: str = words("its name or number in the layer")
    owner: str = words("its owner, where the layer names one; else empty")
    voltage_kv: float | None = quantity("none", "kilovolts, as the layer says; null: not known, ask the owner")
    conductor_m: float | None = quantity("length", "lowest conductor above the ground at the line's vertices, the least; null: not known")
    is_with_heights: bool = words("true where the conductor's height enters; false: distances in plan, as if it hung at every height")
    lying_m: float = quantity("length", "to the mast lying on its rest line")
    lifting_m: float = quantity("length", "to mast, guys of the lift, gin pole and winch line at any angle of the lift")
    lifting_at_deg: float = quantity("angle", "mast angle of that distance, the first such")
    lifting_part: str = words("which part comes so near")
    standing_m: float = quantity("length", "to the plumb mast and its guys")
    falling_m: float = quantity("length", "horizontal distance to the base less total height; negative inside the fall circle")
    least_m: float = quantity("length", "the least of the four: what is held against `needed_m`")
    needed_m: float = quantity("length", "distance asked for by voltage, or the trigger distance where the voltage is not known")
    trigger_m: float = quantity("length", "nearer than this the line's owner and the steps of 1926.1407 to 1409 come first")
    verdict: str = words("pass, marginal, fail or unchecked; fail: nothing is raised here")
    text: str = words("in plain words")
    information: tuple[str, ...] = words("other published distances, for information")
    source: str = words("where the distance asked for comes from")
    bearing_deg: float = quantity("bearing", "true azimuth from the base to the point of the line below")
    lat: float = quantity("latlon", "WGS 84, of the line's point at the least distance")
    lon: float = quantity("latlon", "WGS 84, of the line's point at the least distance")
