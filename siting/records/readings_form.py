"""The columns of readings.csv and what its rows are called: the writer of the empty form and its reader share them."""

from __future__ import annotations

COLUMNS = ("reading", "level_m", "anchor", "a_stands_deg", "b_stands_deg", "a_right_cm", "b_right_cm", "tension_kn", "note")
LEAN, GUY, TEMPERATURE, PLAN_RUN = "lean", "guy", "temperature", "plan run"
