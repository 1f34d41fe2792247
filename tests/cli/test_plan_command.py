"""`siting plan` from the outside: exit statuses, what is printed where, a site by options, a folder of its own."""

from __future__ import annotations

import json

import pytest
from strategies import box_en, ground_polygon, ready_folder, tree_bytes, write_layer, write_site
from synthetic import plane

from siting.cli.plan import FORMATS, Progress
from siting.writers.packet import EXTRA_FORMATS

DEFAULT_SET = {"plan.json", "stakes.geojson", "stakes.kml", "stakes.csv", "map.html", "packet.json"}


def verdict(folder) -> str:
    return json.loads((folder / "plan.json").read_text(encoding="utf-8"))["verdict"]


def test_0_where_all_checks_pass(site_folder, run_siting):
    write_site(site_folder)
    status, out, err = run_siting("plan", "site.toml", "--out", "out")
    assert (status, err) == (0, "")
    assert out.splitlines()[2].startswith("PASS. All ")
    assert set(tree_bytes(site_folder / "out")) == DEFAULT_SET
    assert verdict(site_folder / "out") == "pass"


def test_0_where_a_check_is_marginal(site_folder, run_siting):
    write_layer(site_folder / "p.gpkg", [ground_polygon(box_en(-150, -67, 150, 150), 500.0)], {"pin": ["own"]})
    write_site(site_folder, land={"parcels": "p.gpkg", "boundary_error_m": 2.0})
    status, out, err = run_siting("plan", "site.toml", "--out", "out")
    assert (status, err, verdict(site_folder / "out")) == (0, "", "marginal")
    assert out.splitlines()[2].startswith("MARGINAL. Nothing fails on the best estimate, but 1 of ")


def test_1_where_a_check_fails_and_the_packet_is_whole(tmp_path, run_siting, monkeypatch):
    ready_folder(tmp_path, plane(22.0, 40.0))
    monkeypatch.chdir(tmp_path)
    write_site(tmp_path)
    status, out, err = run_siting("plan", "site.toml", "--out", "out")
    assert (status, err, verdict(tmp_path / "out")) == (1, "", "fail")
    assert out.splitlines()[2].startswith("FAIL. ")
    assert set(tree_bytes(tmp_path / "out")) == DEFAULT_SET


def test_2_and_nothing_written_where_the_input_is_bad(site_folder, run_siting):
    write_site(site_folder, base={"lat": 7.5, "lon": 46.5})
    before = tree_bytes(site_folder)
    status, out, err = run_siting("plan", "site.toml", "--out", "out")
    assert (status, out, len(err.splitlines())) == (2, "", 1)
    assert tree_bytes(site_folder) == before


def test_a_site_by_options_is_the_site_of_a_file(site_folder, run_siting):
    write_site(site_folder, date=None)
    status, out, _ = run_siting("plan", "--dem", "dem.tif", "--base", "46.5, 7.5", "--mast", "mast.toml", "--out", "by options")
    assert status == 0 and "FILES in by options" in out
    assert set(tree_bytes(site_folder / "by options")) == DEFAULT_SET
    run_siting("plan", "site.toml", "--out", "by file")
    plans = [json.loads((site_folder / name / "plan.json").read_text()) for name in ("by options", "by file")]
    for plan in plans:
        plan["base"].pop("given_as")
        for stake in plan["stakes"]:
            stake.pop("azimuth_magnetic_deg")  # of another day
    for key in ("base", "stakes", "guys", "lift", "checks", "land"):
        assert plans[0][key] == plans[1][key], key
    assert [i["path"] for i in plans[0]["provenance"]["inputs"]] == ["mast.toml", "dem.tif"]


@pytest.mark.parametrize(
    "base",
    ["46°30'00\"N 7°30'00\"E", "N 46.5 E 7.5", "46.5 7.5", "32T 384902.8 5150696.3"],
    ids=["DMS", "letters", "blank", "UTM"],
)
def test_a_base_by_option_in_any_form(site_folder, run_siting, base):
    status, _, err = run_siting("plan", "--dem", "dem.tif", "--base", base, "--mast", "mast.toml", "--out", "out")
    assert (status, err) == (0, "")
    found = json.loads((site_folder / "out" / "plan.json").read_text())["base"]
    assert (found["lat"], found["lon"]) == pytest.approx((46.5, 7.5), abs=0.0005)
    assert found["given_as"] == base


def test_without_out_the_packet_lies_under_outputs(site_folder, run_siting):
    write_site(site_folder, name="Kestrel Ridge / M1 (Süd)")
    status, out, _ = run_siting("plan", "site.toml")
    assert status == 0
    assert "FILES in outputs/kestrel-ridge-m1-s-d" in out
    assert set(tree_bytes(site_folder / "outputs" / "kestrel-ridge-m1-s-d")) == DEFAULT_SET


def test_paths_are_relative_to_the_site_file(site_folder, run_siting, tmp_path_factory, monkeypatch):
    write_site(site_folder)
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    monkeypatch.chdir(elsewhere)
    assert run_siting("plan", site_folder / "site.toml", "--out", "out")[0] == 0
    assert set(tree_bytes(elsewhere / "out")) == DEFAULT_SET
    assert not (site_folder / "out").exists()


def test_the_formats_are_those_of_the_writers():
    """cli/plan.py names them so that help need not import the writers."""
    assert tuple(EXTRA_FORMATS) == FORMATS


def test_formats_add_to_the_default_set(site_folder, run_siting):
    write_site(site_folder)
    status, out, err = run_siting("plan", "site.toml", "--out", "out", "--formats", "gpx, KMZ,gpx")
    assert (status, err) == (0, "")
    assert set(tree_bytes(site_folder / "out")) == DEFAULT_SET | {"stakes.gpx", "stakes.kmz"}
    run_siting("plan", "site.toml", "--out", "out")
    assert set(tree_bytes(site_folder / "out")) == DEFAULT_SET, "the earlier packet's formats go with it"


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("gpz", "siting plan: there is no format 'gpz'; did you mean gpx? See siting plan --help."),
        (
            "gpx,zzz",
            "siting plan: there is no format 'zzz'; formats: gpx, gpkg, shp, dxf, landxml, kmz, pdf, sitemap, all. See siting plan --help.",
        ),
    ],
)
def test_a_format_that_there_is_not(assert_refused, site_folder, text, line):
    write_site(site_folder)
    assert_refused(["plan", "site.toml", "--out", "out", "--formats", text], line)


def test_a_step_that_takes_long_is_named_on_standard_error(capsys, monkeypatch):
    monkeypatch.setattr("siting.cli.plan.PATIENCE_S", 0.01)
    progress = Progress()
    progress("sweeping the azimuths")
    progress._timer.join(5.0)
    progress.stop()
    progress("writing out")
    progress.stop()
    printed = capsys.readouterr()
    assert (printed.out, printed.err) == ("", "… sweeping the azimuths\n")


def test_an_interrupt_says_that_nothing_was_written(site_folder, run_siting, monkeypatch):
    def interrupt(*args):
        raise KeyboardInterrupt

    write_site(site_folder)
    monkeypatch.setattr("siting.planner.make_plan", interrupt)
    status, out, err = run_siting("plan", "site.toml", "--out", "out")
    assert (status, out, err.strip()) == (130, "", "siting: stopped; nothing was written.")
    assert not (site_folder / "out").exists()
