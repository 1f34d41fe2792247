"""Land layers as they were read, before they are brought into the plan's frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Feature:
    """One parcel or obstacle. `geometry` is a valid shapely geometry in the layer's own CRS."""

    id: str
    kind: str
    name: str
    geometry: Any
    voltage_kv: float | None = None  # of an overhead line; None: the layer does not say
    conductor_m: float | None = None  # height of its lowest conductor above the ground
    owner: str = ""
    spans: Any = None  # the line as drawn, its Z in metres above the layer's own datum; None: drawn without heights


@dataclass(frozen=True, slots=True)
class Layer:
    """Features of a layer near the base, and what had to be said about them."""

    shown_path: str
    crs_wkt: str
    features: tuple[Feature, ...]
    kinds: tuple[str, ...] = ()  # every kind that the whole layer holds
    own: tuple[str, ...] = ()  # ids of the applicant's parcels
    files: tuple[tuple[str, Any], ...] = ()
    notes: tuple[str, ...] = ()
