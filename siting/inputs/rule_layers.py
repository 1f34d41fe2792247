"""Reads a layer of the user's that rules measure to: districts, habitats, tanks; only what lies near the base."""

from __future__ import annotations

import shapely

from siting.inputs import layers
from siting.records.land import Feature, Layer
from siting.records.rules import RuleLayer


def read_rule_layer(source: RuleLayer, lon: float, lat: float, reach_deg: tuple[float, float]) -> Layer:
    """The layer's features near the base; without a field `kind` the layer's own name is their kind.

    Args:
        reach_deg: half width of the window in longitude and latitude.
    Raises:
        InputError: unreadable, without CRS, or a file of several map layers.
    """
    path, shown = source.path, source.shown
    name = layers.layer_name(path, shown, None, "[[land.layers]], each in a file of its own", wants_areas=False)
    fields, count, crs = layers.layer_info(path, shown, name)
    files = layers.layer_files(path, shown)
    if not count:
        return Layer(shown, crs, (), files=files)
    frame = layers.read_rows(path, shown, name, window=shapely.box(lon - reach_deg[0], lat - reach_deg[1], lon + reach_deg[0], lat + reach_deg[1]))
    own_kind = layers.kind_text(source.name)
    kinds = {own_kind}
    if "kind" in fields:
        kinds = {layers.kind_text(k) for k in layers.read_rows(path, shown, name, columns=["kind"])["kind"]}
    features = []
    notes: list[str] = []
    for number, row in enumerate(frame.itertuples(index=False), 1):
        geometry = row.geometry
        if geometry is None or geometry.is_empty:
            continue
        kind = layers.kind_text(row.kind) if "kind" in fields else own_kind
        called = str(getattr(row, "name", None) or getattr(row, "id", None) or f"{kind.replace('_', ' ')} {number}")
        features.append(Feature(f"{kind}-{number}", kind, called, layers.repaired(geometry, f"{shown}, {called}", notes)))
    return Layer(shown, crs, tuple(features), kinds=tuple(sorted(kinds)), files=files, notes=tuple(notes))
