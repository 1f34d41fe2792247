"""What a site file and a mast file become: defaults, sources of limits, dates, shipped masts."""

from __future__ import annotations

import datetime

import pytest
from strategies import plan_of, site_text, small_mast, write_site

from siting.inputs.mast_file import find_mast, read_mast, shipped_mast_text, shipped_masts
from siting.inputs.site_file import read_site, site_from_options
from siting.records.site import NO_SOURCE


def site_of(folder, **tables):
    return read_site(write_site(folder, **tables))


def test_the_users_limits_name_the_user_and_the_others_their_source(site_folder):
    limits = site_of(site_folder, limits={"gap_max_m": 2.0}).limits
    assert (limits.gap_max_m.value, limits.gap_max_m.source) == (2.0, "user (site.toml)")
    assert (limits.winch_arm_min_ratio.value, limits.winch_arm_min_ratio.source) == (0.1, NO_SOURCE)


def test_the_users_limit_decides(site_folder):
    """Straight up the slope of 6 % the mast would lie at 5.5 %: a failure under 5, and the check names the user."""
    plan = plan_of(site_folder, limits={"rest_slope_max_percent": 5.0}, laydown={"azimuth_deg": 40.0})
    (check,) = [c for c in plan.checks if c.id == "rest_slope"]
    assert (check.limit, check.source, check.verdict) == (5.0, "user (site.toml)", "fail")


def test_a_whole_number_is_a_number(site_folder):
    assert site_of(site_folder, laydown={"azimuth_deg": 40}).azimuth_deg == 40.0
    assert site_of(site_folder, base={"lat": 46, "lon": 7}).base.lat == 46.0


@pytest.mark.parametrize(("given", "taken"), [("auto", None), (0.0, 0.0), (360.0, 0.0), (123.4, 123.4)])
def test_the_azimuth(site_folder, given, taken):
    assert site_of(site_folder, laydown={"azimuth_deg": given}).azimuth_deg == taken


def test_the_day_is_the_files_or_the_source_dates_or_today(site_folder, monkeypatch):
    assert site_of(site_folder).date == datetime.date(2027, 5, 10)
    path = site_folder / "undated.toml"
    path.write_text(site_text().replace("date = 2027-05-10\n", ""), encoding="utf-8")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1800000000")
    assert read_site(path).date == datetime.date(2027, 1, 15)
    monkeypatch.delenv("SOURCE_DATE_EPOCH")
    assert abs((read_site(path).date - datetime.date.today()).days) <= 1


def test_a_file_with_a_byte_order_mark_is_read(site_folder):
    (site_folder / "site.toml").write_text("\ufeff" + site_text(), encoding="utf-8")
    assert read_site(site_folder / "site.toml").name == "Test Ridge"


def test_a_site_by_options_is_the_site_of_the_file(site_folder):
    site = site_from_options("dem.tif", "46.5, 7.5", "mast.toml")
    assert (site.base.lat, site.base.lon, site.azimuth_deg, site.where) == (46.5, 7.5, None, "command line")
    assert (site.dem.shown_path, site.mast.name, site.name) == ("dem.tif", "invented test mast", "mast at 46.5, 7.5")


def test_no_shown_path_holds_a_machines_folder(site_folder):
    site = site_of(site_folder, dem={"path": str(site_folder / "dem.tif")}, mast={"use": str(site_folder / "mast.toml")})
    assert site.dem.shown_path == "dem.tif" and site.dem.path == site_folder / "dem.tif"
    assert [shown for shown, _ in site.files] == ["site.toml", "mast.toml"]
    assert str(site_folder) not in site.options()


def test_every_shipped_mast_is_read_is_generic_and_can_be_lifted():
    names = shipped_masts()
    assert {"lattice-60", "lattice-80", "lattice-100"} <= set(names) and list(names) == sorted(names)
    for name in names:
        path, shown, is_shipped = find_mast(name, None, "x")
        mast = read_mast(path, shown, is_shipped)
        assert is_shipped and mast.is_generic and shown == f"{name} (shipped mast)"
        assert name.endswith(f"-{mast.height_m:.0f}")
        assert mast.total_height_m >= mast.hinge_height_m + mast.height_m
        assert mast.winch is not None and len(mast.side_anchors) == 2
        assert {a.id for a in mast.side_anchors} <= {i for level in mast.guys for i in level.anchors}
        assert "not any maker" in mast.note.lower() or "no maker" in mast.note.lower()
        assert "common practice, no source" in shipped_mast_text(name)


def test_a_file_of_a_shipped_masts_name_does_not_hide_the_shipped_one(tmp_path):
    small_mast(tmp_path / "lattice-80")
    assert find_mast("lattice-80", tmp_path, "x")[2] is True
    assert find_mast("./lattice-80", tmp_path, "x")[2] is False


def test_total_height_is_hinge_and_mast_where_the_file_is_silent(tmp_path):
    mast = read_mast(small_mast(tmp_path / "m.toml", hinge_height_m=0.4), "m.toml", False)
    assert (mast.height_m, mast.total_height_m, mast.is_generic) == (60.0, 60.4, False)
    assert read_mast(small_mast(tmp_path / "t.toml", total_height_m=62.5), "t.toml", False).total_height_m == 62.5


def test_a_bearing_below_nought_turns_into_its_circle(tmp_path):
    path = small_mast(tmp_path / "m.toml", anchors=(("A", "permanent", -60.0, 40.0), ("B", "temporary", 360.0, 30.0)), guys=())
    mast = read_mast(path, "m.toml", False)
    assert [a.bearing_deg for a in mast.anchors] == [300.0, 0.0]
    assert (mast.anchor_circle_m, mast.reach_m) == (40.0, 60.0)
