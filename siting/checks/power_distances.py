"""Published distances to overhead lines by voltage, each with its source."""

from __future__ import annotations

import numpy as np

from siting.units import METRES_PER_FOOT

# Up to and including these kilovolts: feet. Above the last row the line's owner or an engineer says.
TABLE_A_FT = ((50.0, 10.0), (200.0, 15.0), (350.0, 20.0), (500.0, 25.0), (750.0, 35.0), (1000.0, 45.0))
TABLE_A_SOURCE = "29 CFR 1926.1408 Table A"
# Nearer than this, in the direction or area of the work, the steps come before anything is put together.
TRIGGER_FT = ((350.0, 20.0), (1000.0, 50.0))
TRIGGER_SOURCE = "29 CFR 1926.1407 to 1409"
TABLE_A_MOST_KV = TABLE_A_FT[-1][0]
# EN 50110-1 Table A.1: kilovolts and the outer limit D_V of the vicinity zone, millimetres. For workers, not for a mast.
VICINITY_MM = (
    (1, 300), (10, 1150), (15, 1160), (20, 1220), (30, 1320), (36, 1380), (60, 1630), (110, 2000), (132, 3000), (150, 3000),
    (220, 3000), (275, 4000), (380, 4000),
)  # fmt: skip
VICINITY_SOURCE = "EN 50110-1 Table A.1"
# HSE guidance note GS6, the older edition: horizontal distance from the line within which its owner is asked.
CONSULT_M = (("steel towers", 15.0), ("wood or concrete poles", 9.0))
CONSULT_SOURCE = "HSE guidance note GS6, older edition"


def table_a_m(voltage_kv: float) -> float | None:
    """Least distance of lifting equipment to a line of this voltage, metres; None above the table.

    Source: 29 CFR 1926.1408 Table A.
    """
    return _row_m(TABLE_A_FT, voltage_kv)


def trigger_m(voltage_kv: float | None) -> float:
    """Distance within which the steps of 1926.1407 to 1409 come first, metres; 20 ft where the voltage is not known.

    Source: 29 CFR 1926.1407 to 1409. Above its last row its largest figure.
    """
    found = _row_m(TRIGGER_FT, 0.0 if voltage_kv is None else voltage_kv)
    return largest_trigger_m() if found is None else found


def largest_trigger_m() -> float:
    """The trigger distance of the highest voltages, metres."""
    return TRIGGER_FT[-1][1] * METRES_PER_FOOT


def vicinity_m(voltage_kv: float) -> float | None:
    """Outer limit of the vicinity zone for workers, metres, linear between the rows; None outside the table.

    Source: EN 50110-1 Table A.1.
    """
    if not VICINITY_MM[0][0] <= voltage_kv <= VICINITY_MM[-1][0]:
        return None
    return float(np.interp(voltage_kv, *zip(*VICINITY_MM, strict=True))) / 1000.0


def _row_m(rows: tuple[tuple[float, float], ...], voltage_kv: float) -> float | None:
    """The figure of the first row that holds a voltage, metres; None above the last."""
    return next((feet * METRES_PER_FOOT for most_kv, feet in rows if voltage_kv <= most_kv), None)
