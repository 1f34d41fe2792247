"""plan.json against its own schema and against the contract's list of keys."""

from __future__ import annotations

import json
from dataclasses import dataclass, field

import numpy as np
import pytest
import shapely
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError
from strategies import box_en, ground_polygon, ground_ring, plan_of, write_layer
from writers.plan_by_hand import make_plan

from siting.inputs.plan_file import read_plan
from siting.writers.plan_json import DIALECT, plan_json, plan_schema
from siting.writers.record_json import record_json

# CONTRACT, section 7, word for word: more keys may stand beside them.
FIXED = {
    "": "name verdict base crs laydown stakes guys lift land checks unchecked provenance",
    "base": "lat lon easting northing height_m",
    "crs": "epsg convergence_deg point_scale elevation_factor combined_factor declination_deg",
    "laydown": "azimuth_deg azimuth_grid_deg azimuth_magnetic_deg slope_percent rest_slope_percent max_gap_m verdict candidates",
    "laydown.candidates[]": "azimuth_deg slope_percent rest_slope_percent worst_utilisation verdict",
    "stakes[]": "id role lat lon easting northing height_m azimuth_deg radius_m above_base_m slope_percent verdict",
    "guys[]": "anchor attach_m use chord_m",
    "lift": "angles_deg side_guys winch_pull_kn",
    "lift.side_guys[]": "anchor attach_m length_m travel_m",
    "land": ("fall_radius_m setback_m nearest_boundary_m nearest_boundary_bearing_deg parcels_touched obstacles_touched"),
    "land.parcels_touched[]": "id area_m2",
    "land.obstacles_touched[]": "kind distance_m",
    "checks[]": "id value limit unit utilisation verdict source",
    "provenance": "inputs version run_id",
    "provenance.inputs[]": "path sha256",
}


@pytest.fixture(scope="module")
def real(slope_folder, tmp_path_factory) -> dict:
    """plan.json of a site with a neighbour and an obstacle inside the fall zone, so that no list is empty."""
    folder = tmp_path_factory.mktemp("full")
    for name in ("dem.tif", "mast.toml"):
        (folder / name).write_bytes((slope_folder / name).read_bytes())
    parcels = [ground_polygon(box_en(-150, -50, 150, 150), 500.0), ground_polygon(box_en(-150, -300, 150, -50), 500.0)]
    write_layer(folder / "parcels.gpkg", parcels, {"pin": ["own", "south"]})
    road = shapely.LineString(ground_ring([(-100.0, 45.0), (100.0, 45.0)], 500.0))
    write_layer(folder / "lines.geojson", [road], {"kind": ["road"]})
    land = {"parcels": "parcels.gpkg", "parcel_id_field": "pin", "own": ["own"], "obstacles": "lines.geojson"}
    return json.loads(plan_json(plan_of(folder, land=land)))


def at(plan: dict, path: str) -> list[dict]:
    """The objects at a dotted path; [] walks a list, which must not be empty."""
    found = [plan]
    for part in filter(None, path.split(".")):
        found = [item[part.removesuffix("[]")] for item in found]
        if part.endswith("[]"):
            assert all(found), f"{path} is empty"
            found = [item for items in found for item in items]
    return found


@pytest.mark.parametrize("path", FIXED)
def test_every_fixed_key_is_there(real, path):
    keys = FIXED[path].split()
    objects = at(real, path)
    assert objects and len(keys) >= 2
    for item in objects:
        assert set(keys) <= set(item), set(keys) - set(item)


def test_the_schema_is_one_of_its_dialect():
    schema = plan_schema()
    assert schema["$schema"] == DIALECT == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema)
    json.dumps(schema)


@pytest.mark.parametrize("which", ["real", "by hand"])
def test_a_plan_is_valid_against_its_schema(real, which):
    plan = real if which == "real" else json.loads(plan_json(make_plan()))
    assert list(Draft202012Validator(plan_schema()).iter_errors(plan)) == []


def broken(plan: dict, path: list, value) -> dict:
    copy = json.loads(json.dumps(plan))
    inner = copy
    for part in path[:-1]:
        inner = inner[part]
    if value is KeyError:
        del inner[path[-1]]
    else:
        inner[path[-1]] = value
    return copy


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (["verdict"], "approved"), (["base", "lat"], "46.5"), (["base", "lat"], None), (["stakes", 0, "verdict"], "ok"),
        (["laydown", "candidates", 3, "slope_percent"], "steep"), (["lift", "winch_pull_kn"], 3.0), (["provenance"], KeyError),
        (["checks", 0, "limit"], KeyError), (["unchecked"], "none"), (["crs", "epsg"], 32632.5),
    ],
    ids=str,
)  # fmt: skip
def test_the_schema_refuses_what_is_not_a_plan(real, path, value):
    """Held against a planted fault: a schema that accepts everything would be no schema."""
    validator = Draft202012Validator(plan_schema())
    with pytest.raises(ValidationError):
        validator.validate(broken(real, path, value))


def test_every_property_is_described_and_every_number_has_its_unit():
    schema = plan_schema()
    bare, numbers = [], 0
    for name, record in {"Plan": schema, **schema["$defs"]}.items():
        for key, item in record["properties"].items():
            if len(item.get("description", "")) < 5:
                bare.append(f"{name}.{key}")
            if item.get("type") == "number":
                numbers += 1
                assert item["description"].endswith("]"), f"{name}.{key}"
    assert bare == [] and numbers > 60


def test_the_file_is_utf8_json_without_nan_and_reads_back(tmp_path):
    data = plan_json(make_plan())
    assert data.endswith(b"}\n") and "Grüße ≤ Kestrel Ridge M1".encode() in data
    assert b"NaN" not in data and b"Infinity" not in data and b"backdrop" not in data
    (tmp_path / "plan.json").write_bytes(data)
    assert plan_json(read_plan(tmp_path / "plan.json", "plan.json")) == data


def test_the_text_is_laid_out_as_pythons_json_lays_it_out():
    """The walk over the records writes what json.dumps writes with an indent of 1, byte for byte."""
    data = plan_json(make_plan())
    assert data == (json.dumps(json.loads(data), ensure_ascii=False, indent=1) + "\n").encode()


@dataclass(frozen=True)
class Odd:
    """What a record may hold at the edges."""

    text: str = 'a "quoted" \\ line\nend \x07 é'
    empty: tuple = ()
    inside: tuple = ((), (1, 2.5), ("",))
    numbers: tuple = (0.1, -0.0, 1e300, 5e-324, 10**20, True, False, None)
    hidden: str = field(default="not in the file", metadata={"in_json": False})


@dataclass(frozen=True)
class Nothing:
    """A record without a field."""


def test_odd_values_are_written_as_pythons_json_writes_them():
    odd = Odd()
    expected = {"text": odd.text, "empty": [], "inside": [[], [1, 2.5], [""]], "numbers": list(odd.numbers)}
    assert record_json(odd) == (json.dumps(expected, ensure_ascii=False, indent=1) + "\n").encode()
    assert record_json((Nothing(), np.float64(0.25))) == b"[\n {},\n 0.25\n]\n"
    for number in (float("nan"), float("inf"), np.float64("nan")):
        with pytest.raises(ValueError, match="not a finite number"):
            record_json(Odd(numbers=(number,)))
    with pytest.raises(TypeError, match="set has no place"):
        record_json(Odd(numbers={1}))


def test_numbers_are_plain_numbers(real):
    """No number hides in a text, and a list of the plan is a JSON list."""
    assert json.loads(plan_json(make_plan()))["verdict"] == "fail"
    assert isinstance(real["base"]["lat"], float) and isinstance(real["lift"]["angles_deg"], list)
    roles = {s["role"] for s in real["stakes"]}
    assert {"base", "head", "permanent", "temporary", "winch"} <= roles <= {
        "base", "permanent", "temporary", "winch", "head", "offset"
    }  # fmt: skip
    assert len({s["id"] for s in real["stakes"]}) == len(real["stakes"])
    assert real["lift"]["angles_deg"][0] == real["laydown"]["rest_angle_deg"] and real["lift"]["angles_deg"][-1] == 90.0
    for guy in real["lift"]["side_guys"]:
        assert len(guy["length_m"]) == len(real["lift"]["angles_deg"]) == len(real["lift"]["winch_pull_kn"])
