"""Reads parcels and obstacles from any vector file, only what lies near the base."""

from __future__ import annotations

import difflib
import logging
import warnings
from pathlib import Path
from typing import Any

import shapely

from siting.errors import Fault, InputError
from siting.inputs.layer_fields import LineFields, heights_in_metres, plain_text
from siting.records.land import Feature, Layer
from siting.records.site import LandSource

logging.getLogger("pyogrio").addHandler(logging.NullHandler())
logging.getLogger("pyogrio").propagate = False

SHAPEFILE_PARTS = (".shx", ".dbf", ".prj", ".cpg")


def read_parcels(
    source: LandSource, lon: float, lat: float, reach_deg: tuple[float, float], owner_field: str | None = None
) -> Layer:
    """The applicant's parcels whole, and the others near the base.

    Args:
        reach_deg: half width of the window in longitude and latitude.
        owner_field: the layer's field that holds the owner's name.
    Raises:
        InputError: unreadable, empty, without CRS, no areas, an own id that is not there, or no parcel holds the base.
    """
    path, shown = source.parcels, source.parcels_shown
    layer = layer_name(path, shown, source.parcels_layer, "[land] parcels_layer", wants_areas=True)
    fields, count, crs = layer_info(path, shown, layer)
    if count == 0:
        raise InputError.of("layer_empty", shown, "holds no parcel", "give the parcels around the base, or leave [land] parcels out")
    id_field = source.parcel_id_field
    for field in (id_field, owner_field):
        if field is not None and field not in fields:
            near = difflib.get_close_matches(field, list(fields), 1, 0.4)
            hint = f"did you mean {near[0]}?" if near else f"its fields: {', '.join(fields)}"
            raise InputError.of("layer_field", f"{shown}, field '{field}'", "is not in the file", hint)
    window = shapely.box(lon - reach_deg[0], lat - reach_deg[1], lon + reach_deg[0], lat + reach_deg[1])
    notes: list[str] = []
    near_frame = read_rows(path, shown, layer, window=window)
    near = parcels_of(near_frame, shown, (id_field, owner_field), notes)
    if source.own:
        own_frame = read_rows(path, shown, layer, where=_where(id_field, fields[id_field], source.own))
        own = parcels_of(own_frame, shown, (id_field, owner_field), notes)
        _require_own(source, path, layer, {f.id for f in own})
        own_ids = tuple(dict.fromkeys(source.own))
    else:
        own = _holding_base(near_frame, near, lon, lat, shown, notes)
        own_ids = tuple(f.id for f in own)
    own_keys = set(own_ids)
    features = (*own, *(f for f in near if f.id not in own_keys))
    return Layer(shown, crs, features, own=own_ids, files=layer_files(path, shown), notes=tuple(dict.fromkeys(notes)))


def read_obstacles(source: LandSource, lon: float, lat: float, reach_deg: tuple[float, float]) -> Layer:
    """Obstacles near the base, each with its `kind`, and every kind that the whole layer holds.

    Raises:
        InputError: unreadable, without CRS, without a field `kind`, or with a voltage or a conductor's height that is no number.
    """
    path, shown = source.obstacles, source.obstacles_shown
    layer = layer_name(path, shown, source.obstacles_layer, "[land] obstacles_layer", wants_areas=False)
    fields, count, crs = layer_info(path, shown, layer)
    if count and "kind" not in fields:
        raise InputError.of(
            "layer_field", f"{shown}, field 'kind'", "is not in the file",
            "give each obstacle a kind: road, overhead_line, building, easement, water …",
        )  # fmt: skip
    if not count:
        return Layer(shown, crs, (), files=layer_files(path, shown))
    window = shapely.box(lon - reach_deg[0], lat - reach_deg[1], lon + reach_deg[0], lat + reach_deg[1])
    frame = read_rows(path, shown, layer, window=window)
    kinds = read_rows(path, shown, layer, columns=["kind"])["kind"]
    lines = LineFields(list(frame.columns))
    features = []
    notes: list[str] = []
    faults: list[Fault] = []
    for number, row in enumerate(frame.itertuples(index=False), 1):
        geometry = row.geometry
        if geometry is None or geometry.is_empty:
            continue
        kind = kind_text(row.kind)
        name = plain_text(getattr(row, "name", None)) or plain_text(getattr(row, "id", None)) or f"{kind} {number}"
        where = f"{shown}, {name}"
        said = lines.read(frame, number - 1, where, faults)
        spans = heights_in_metres(geometry, crs, where, notes)
        features.append(Feature(f"{kind}-{number}", kind, name, repaired(geometry, where, notes), *said, spans))
    if faults:
        raise InputError(tuple(faults))
    found = tuple(sorted({kind_text(k) for k in kinds}))
    return Layer(shown, crs, tuple(features), kinds=found, files=layer_files(path, shown), notes=tuple(notes))


def kind_text(value: Any) -> str:
    """A kind in the words of the checks: lower case, blanks as underscores; obstacle where none is said."""
    text = "_".join(str(value).strip().lower().replace("-", " ").split())
    return text if text and text not in ("none", "nan") else "obstacle"


def layer_name(path: Path, shown: str, wanted: str | None, key: str, *, wants_areas: bool) -> str | None:
    """The layer to read: the one that the user names, or the only one that fits.

    Raises:
        InputError: the file cannot be read, or is not of the kind that is wanted.
    """
    if path.suffix.lower() in (".parquet", ".feather"):
        return None
    import pyogrio

    try:
        found = [(str(name), str(kind or "")) for name, kind in pyogrio.list_layers(path)]
    except (pyogrio.errors.DataSourceError, ValueError):
        raise InputError.of(
            "layer_unreadable", shown, "cannot be read as a map layer", "give a GeoPackage, Shapefile, GeoJSON or the like"
        ) from None
    names = [name for name, _ in found]
    if wanted is not None:
        if wanted not in names:
            raise InputError.of("layer_name", shown, f"has no layer '{wanted}'", f"its layers: {', '.join(names)}")
        return wanted
    fitting = [name for name, kind in found if not wants_areas or "Polygon" in kind or kind in ("", "Unknown", "None")]
    if len(fitting) > 1:
        raise InputError.of("layer_name", shown, f"holds {len(fitting)} layers that may be meant", f"name one under {key}: {', '.join(fitting)}")
    if not fitting and names and wants_areas:
        kinds = ", ".join(sorted({kind for _, kind in found}))
        raise InputError.of("layer_no_areas", shown, f"holds {kinds}, but parcels are areas", "give polygons")
    return fitting[0] if fitting else None


def layer_info(path: Path, shown: str, layer: str | None) -> tuple[dict[str, str], int, str]:
    """Fields with their types, number of features, CRS as WKT.

    Raises:
        InputError: the file cannot be read, or is not of the kind that is wanted.
    """
    if path.suffix.lower() in (".parquet", ".feather"):
        frame = read_rows(path, shown, layer)
        fields = {str(k): str(v) for k, v in frame.dtypes.items() if k != frame.geometry.name}
        count, crs = len(frame), frame.crs.to_wkt() if frame.crs else None
    else:
        import pyogrio

        info = pyogrio.read_info(path, layer=layer, force_feature_count=True)
        fields = dict(zip(map(str, info["fields"]), map(str, info["dtypes"]), strict=True))
        count, crs = int(info["features"]), info["crs"]
    if crs is None:
        raise InputError.of(
            "layer_no_crs", shown, "carries no coordinate system, so nobody knows where it lies",
            "add its .prj file, or export it again with its coordinate system",
        )  # fmt: skip
    from pyproj import CRS

    return fields, count, CRS.from_user_input(crs).to_wkt()


def read_rows(path: Path, shown: str, layer: str | None, *, window: Any = None, where: str | None = None, columns: list[str] | None = None) -> Any:
    """A GeoDataFrame of what the window or the filter takes.

    Raises:
        InputError: the file cannot be read, or is not of the kind that is wanted.
    """
    import geopandas
    import pyogrio

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            if path.suffix.lower() in (".parquet", ".feather"):
                reader = geopandas.read_parquet if path.suffix.lower() == ".parquet" else geopandas.read_feather
                return reader(path)
            if columns is not None:
                return pyogrio.read_dataframe(path, layer=layer, columns=columns, read_geometry=False)
            return geopandas.read_file(path, layer=layer, where=where, **_filter(window))
        except ImportError:
            raise InputError.of("layer_unreadable", shown, "needs the library pyarrow to be read", "export it as GeoPackage") from None
        except (pyogrio.errors.DataSourceError, pyogrio.errors.DataLayerError, pyogrio.errors.FeatureError, pyogrio.errors.GeometryError, ValueError, OSError) as fault:
            line = (str(fault).splitlines() or [""])[0]
            raise InputError.of("layer_unreadable", shown, f"cannot be read ({line})", "check the file in a GIS and export it again") from None


def _filter(window: Any) -> dict[str, Any]:
    """How a reader is told of a window in degrees; one over 180 degrees also lies at the other end of the longitudes."""
    import geopandas
    from shapely.affinity import translate

    if window is None:
        return {}
    west, _, east, _ = window.bounds
    turn = -360.0 if east > 180.0 else 360.0 if west < -180.0 else 0.0
    if not turn:
        return {"bbox": geopandas.GeoSeries([window], crs="OGC:CRS84")}
    return {"mask": geopandas.GeoSeries([window, translate(window, turn)], crs="OGC:CRS84")}


def _where(field: str, dtype: str, ids: tuple[str, ...]) -> str:
    """An attribute filter for these ids, quoted by the field's type."""
    if dtype.startswith(("int", "uint", "float")):
        values = [v for v in ids if v.lstrip("-").replace(".", "", 1).isdigit()] or ["NULL"]
    else:
        values = ["'" + v.replace("'", "''") + "'" for v in ids]
    return '"' + field.replace('"', '""') + '" IN (' + ", ".join(values) + ")"


def _id_text(value: Any) -> str:
    """An id as text; a whole number stored as a float loses its '.0'."""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return str(value).strip()


def parcels_of(frame: Any, shown: str, given: tuple[str | None, str | None], notes: list[str]) -> list[Feature]:
    """Parcels of a GeoDataFrame, repaired where they are not valid areas.

    Args:
        given: the fields of id and owner; notes: gets what was repaired or left out.
    Raises:
        InputError: a parcel that is no area.
    """
    id_field, owner_field = given
    features = []
    for number, (index, geometry) in enumerate(zip(frame.index, frame.geometry, strict=True)):
        if geometry is None or geometry.is_empty:
            continue
        name = _id_text(frame[id_field].iloc[number]) if id_field else f"row {index + 1 if isinstance(index, int) else index}"
        if geometry.geom_type not in ("Polygon", "MultiPolygon", "GeometryCollection"):
            raise InputError.of(
                "layer_no_areas", f"{shown}, parcel {name}", f"is a {geometry.geom_type}, but parcels are areas", "give polygons"
            )
        areas = _areas(repaired(geometry, f"{shown}, parcel {name}", notes))
        if not areas.is_empty:
            owner = plain_text(frame[owner_field].iloc[number]) if owner_field else ""
            features.append(Feature(name, "parcel", name, areas, owner=owner))
    return features


def repaired(geometry: Any, where: str, notes: list[str]) -> Any:
    """The geometry made valid, with a note where it was not; heights in it are dropped."""
    geometry = shapely.force_2d(geometry)
    if geometry.is_valid:
        return geometry
    reason = shapely.is_valid_reason(geometry).split("[")[0].strip().lower()
    notes.append(f"{where}: not a valid outline ({reason}); it was repaired: check it against the record.")
    return shapely.make_valid(geometry)


def _areas(geometry: Any) -> Any:
    """Only the areas of a geometry."""
    if geometry.geom_type in ("Polygon", "MultiPolygon"):
        return geometry
    return shapely.union_all([part for part in shapely.get_parts(geometry) if part.geom_type in ("Polygon", "MultiPolygon")])


def _require_own(source: LandSource, path: Path, layer: str | None, found: set[str]) -> None:
    """Every own id must be in the file."""
    missing = [v for v in source.own if v not in found]
    if not missing:
        return
    frame = read_rows(path, source.parcels_shown, layer, columns=[source.parcel_id_field])
    known = sorted({_id_text(v) for v in frame[source.parcel_id_field]})
    near = difflib.get_close_matches(missing[0], known, 1, 0.5)
    hint = f"did you mean {near[0]}?" if near else f"ids there look like {', '.join(known[:3])}"
    raise InputError.of("land_own", f"[land] own, '{missing[0]}'", f"is no parcel of {source.parcels_shown}", hint)


def _holding_base(frame: Any, near: list[Feature], lon: float, lat: float, shown: str, notes: list[str]) -> list[Feature]:
    """The parcel that holds the base, where the user names none; the one with the nearest line where several do."""
    import geopandas

    point = geopandas.GeoSeries([shapely.Point(lon, lat)], crs="OGC:CRS84").to_crs(frame.crs).iloc[0] if len(near) else None
    holding = [f for f in near if f.geometry.intersects(point)]
    if not holding:
        raise InputError.of(
            "land_base_outside", shown, f"no parcel holds the base {lat:.6f}, {lon:.6f}",
            "check the base, or name the applicant's parcels under [land] own",
        )  # fmt: skip
    if len(holding) > 1:
        holding.sort(key=lambda f: f.geometry.boundary.distance(point))
        others = ", ".join(f.id for f in holding[1:])
        notes.append(
            f"{shown}: the base lies in more than one parcel; {holding[0].id}, whose line is nearest, is taken as the "
            f"applicant's, and {others} as a neighbour. Name [land] own to decide."
        )
    return holding[:1]


def layer_files(path: Path, shown: str) -> tuple[tuple[str, Path], ...]:
    """The layer's file, and a shapefile's other parts."""
    parts = [(shown, path)]
    if path.suffix.lower() == ".shp":
        for suffix in SHAPEFILE_PARTS:
            if path.with_suffix(suffix).exists():
                parts.append((shown[: -len(path.suffix)] + suffix, path.with_suffix(suffix)))
    return tuple(parts)
