"""The crew's readings of the standing mast, and the sheet that says what to do about them.

Field names of PlumbSheet are the keys of plumb.json, in its order.
"""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words
from siting.records.plan import InputFile
from siting.records.plumb import Correction, LeanReading, PlumbReport, TensionReading


@dataclass(frozen=True, slots=True)
class Readings:
    """What the crew read on the standing mast, as their file has it."""

    shown: str
    leans: tuple[LeanReading, ...]  # empty where no lean was read
    tensions: tuple[TensionReading, ...]  # empty where no tension was read
    temperature_c: float | None  # of the air, degrees Celsius; None where it was not read
    said: tuple[str, ...]  # date, wind, names and whatever else stands on the form, as written
    plan_run_id: str = ""  # of the plan that the form was written for; empty where its row is gone


@dataclass(frozen=True, slots=True)
class PlumbSheet:
    """What to do about the mast as it was read: plumb, straightness, the correction."""

    name: str = words("the site's name")
    verdict: str = words("worst verdict of plumb and straightness; unchecked where no lean was read")
    headline: str = words("the verdict and what to do in one plain sentence")
    azimuth_deg: float = quantity("bearing", "true azimuth of the laydown: bearings of this sheet are clockwise from it")
    temperature_c: float | None = quantity("celsius", "of the air when it was read; null: the set tensions are those of the reference temperature")
    report: PlumbReport | None = words("plumb and straightness as read; null where no lean was read")
    correction: Correction | None = words("what to take in or let out; null where there is none")
    no_correction: str = words("why there is no correction; empty where there is one")
    tensions_read: int = words("number of guys whose tension was read")
    tensions_unread: tuple[str, ...] = words("guys whose tension was not read")
    said: tuple[str, ...] = words("date, wind, names and whatever else stands in the readings, as written")
    cautions: tuple[str, ...] = words("the usual cautions")
    plan_run_id: str = words("run of the plan")
    run_id: str = words("of this sheet: changes with the plan or the readings")
    version: str = words("of siting")
    inputs: tuple[InputFile, ...] = words("the plan and the readings")
