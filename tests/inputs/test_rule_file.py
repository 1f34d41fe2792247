"""Rule files and what a site file says of rules: shipped sets, feet, and every fault word for word."""

from __future__ import annotations

import datetime
import re
import tomllib
from dataclasses import fields
from pathlib import Path

import pytest
from strategies import write_layer

from siting.errors import InputError
from siting.inputs.rule_file import find_rules, read_rules, shipped_rules, shipped_rules_text
from siting.inputs.rule_layers import read_rule_layer
from siting.inputs.rule_tables import RuleSetTable, RulesTable, RuleTable
from siting.inputs.site_rules import read_rule_inputs
from siting.inputs.toml_file import Table, read_table
from siting.records.rules import RuleLayer, RuleSet, SetbackRule, Waiver

DOCS = Path(__file__).parents[2] / "docs" / "rules.md"
TOP = 'name = "X"\nsource = "Code 1"\n'
RULE = '[[rules]]\nid = "line"\ntitle = "T"\ntarget = "property_line"\nfactor = 1.1\n'


@pytest.fixture
def read(tmp_path):
    def reader(text: str, shown: str = "own.toml") -> RuleSet:
        path = tmp_path / shown
        path.write_text(text, encoding="utf-8")
        return read_rules(path, shown, False)

    return reader


def faults(call, *arguments) -> list[str]:
    with pytest.raises(InputError) as error:
        call(*arguments)
    return [fault.line() for fault in error.value.faults]


# --- shipped sets -----------------------------------------------------------------------------------------------------


def test_the_shipped_sets():
    assert shipped_rules() == ("fall-circle", "guys-40-ft", "met-mast-1.1", "met-mast-1.5", "met-mast-3")


@pytest.mark.parametrize("name", shipped_rules())
def test_a_shipped_set_says_what_it_is(name):
    text = shipped_rules_text(name)
    head = " ".join(line.removeprefix("#").strip() for line in text.split("\n\n")[0].splitlines())
    assert "A generic set" in head and "It is no place's law. Check your local code" in head
    rule_set = read_rules(*find_rules(name, Path(), "x"))
    assert rule_set.is_shipped and rule_set.shown == rule_set.key == name
    assert rule_set.note.startswith("Generic: check your local code.") and rule_set.for_what and rule_set.source
    assert not rule_set.source.startswith(("Toquerville", "Northampton"))  # no set claims to be a place's own
    assert rule_set.rules and all(r.source for r in rule_set.rules)
    for line in text.splitlines():
        if re.match(r"(expires_months|removal_days|height_most_ft|extension_months) =", line):
            assert "#" in line, f"{name}: {line} has no source beside it"


def test_a_file_of_the_users_is_found_beside_the_site_file(tmp_path):
    (tmp_path / "own.toml").write_text(TOP + RULE, encoding="utf-8")
    assert find_rules("own.toml", tmp_path, "x") == (tmp_path / "own.toml", "own.toml", False)
    assert find_rules(str(tmp_path / "own.toml"), tmp_path, "x")[1] == "own.toml"  # never a machine's folders
    assert faults(find_rules, "met-mast-1.15", tmp_path, "site.toml, [land] rules") == [
        "site.toml, [land] rules: 'met-mast-1.15' is neither a shipped rule set nor a file. Did you mean met-mast-1.5? shipped: "
        "fall-circle, guys-40-ft, met-mast-1.1, met-mast-1.5, met-mast-3; or give the path of a rule file relative to the site file."
    ]


# --- keys -------------------------------------------------------------------------------------------------------------


def test_the_keys_are_those_of_the_records():
    assert set(RuleTable.model_fields) == {f.name for f in fields(SetbackRule)} - {"waivers"}
    assert set(RuleSetTable.model_fields) == {f.name for f in fields(RuleSet)} - {"shown", "is_shipped"}


def test_a_whole_rule_file(read):
    made = read(
        'name = "X"\nfor_what = "met mast"\nsource = "Code 1"\ndate_read = 2026-11-25\nexpires_months = 12\nextension_months = 6\n'
        'extension_asked_days = 30\nremoval_days = 90\nheight_most_ft = 199\nalso = ["fence"]\nnote = "n"\n'
        '[[rules]]\nid = "a"\ntitle = "A"\ntarget = "road"\nmeasured = "nearest_part"\nfactor = 2\nheight = "mast"\nplus_ft = 5\nleast_ft = 40\n'
        'kinds = ["Public Road", "lane", "lane"]\nis_planned = true\nbase_radius_m = 0.6\nanchors = "all"\nwaivable = true\nclause = "B"\nnote = "r"\n'
        '[[rules]]\nid = "b"\ntitle = "B"\ntarget = "layer"\nlayer = "zones"\noff_own_land = true\nplus_m = 1\nleast_m = 2\nsource = "Code 2"\n'
    )
    assert (made.expires_months, made.extension_months, made.extension_asked_days, made.removal_days) == (12, 6, 30, 90)
    assert made.height_most_m == pytest.approx(60.6552) and made.height_most_ft == 199 and made.also == ("fence",)
    a, b = made.rules
    assert (a.plus_m, a.plus_ft, a.least_m, a.least_ft) == (pytest.approx(1.524), 5, pytest.approx(12.192), 40)
    assert (a.kinds, a.height, a.is_planned, a.base_radius_m, a.anchors, a.waivable) == (("public_road", "lane"), "mast", True, 0.6, "all", True)
    assert (a.source, a.date_read) == ("Code 1", datetime.date(2026, 11, 25))
    assert (b.source, b.date_read) == ("Code 2", None)  # the set's date is not that of another ordinance
    assert (b.plus_m, b.plus_ft, b.least_m, b.anchors, b.off_own_land, b.layer) == (1.0, None, 2.0, "permanent", True, "zones")


def test_a_set_may_hold_no_rule_but_times(read):
    made = read(TOP + "expires_months = 36\n")
    assert made.rules == () and made.expires_months == 36


FAULTS = {
    "unknown target": (
        TOP + RULE.replace("property_line", "propertyline"),
        [
            "own.toml, line 6, [[rules]] no. 1 target: is 'propertyline', which is no target that siting knows; did you mean property_line? "
            "known: property_line, road, dwelling, overhead_line, buried_line, water, protected_area, easement, layer, obstacle. Correct it."
        ],
    ),
    "unknown way of measuring": (
        TOP + RULE + 'measured = "centre"\n',
        [
            "own.toml, line 8, [[rules]] no. 1 measured: is 'centre', which is no way of measuring that siting knows; did you mean base_centre? "
            "known: base_centre, base_nearest, fall_circle, guy_anchors, guys, nearest_part. Correct it."
        ],
    ),
    "unknown keys, in file order": (
        "nam = 1\n" + TOP + RULE + "faktor = 2\n",
        [
            "own.toml, line 1, nam: is not a key that siting knows. Did you mean name?",
            "own.toml, line 9, [[rules]] no. 1 faktor: is not a key that siting knows. Did you mean factor?",
        ],
    ),
    "missing keys": ('source = "c"\n[[rules]]\nid = "a"\nfactor = 1\n', [
        "own.toml, line 2, [[rules]] no. 1 title: is missing. Add title = …",
        "own.toml, line 2, [[rules]] no. 1 target: is missing. Add target = …",
        "own.toml, name: is missing. Add name = …",
    ]),
    "a factor in percent": (TOP + RULE.replace("1.1", "110"), ["own.toml, line 7, [[rules]] no. 1 factor: is 110, but it must be at most 20. Correct it."]),
    "no distance": (
        TOP + RULE.replace("factor = 1.1\n", ""),
        ["own.toml, [[rules]] no. 1 (line): asks for no distance. Add factor, plus_m or least_m (or plus_ft, least_ft)."],
    ),
    "two units": (TOP + RULE + "least_m = 1\nleast_ft = 3\n", ["own.toml, [[rules]] no. 1 (line): gives least_m and least_ft. Give one of them."]),
    "the id twice": (TOP + RULE + RULE, ["own.toml, [[rules]] no. 2 (line): the id 'line' stands twice. Give each rule its own id."]),
    "a reserved id": (TOP + RULE.replace('"line"', '"height"'), ["own.toml, [[rules]] no. 1 (height): the id 'height' is kept for height_most_m. Give each rule its own id."]),
    "no source": ('name = "X"\n' + RULE, ['own.toml, [[rules]] no. 1 (line): has no source. Add source = "ordinance" and clause here, or source at the top of the file.']),
    "keys that do not fit": (
        TOP + RULE + 'kinds = ["road"]\nlayer = "x"\nis_planned = true\noff_own_land = true\nanchors = "all"\nbase_radius_m = 1\n',
        [
            "own.toml, [[rules]] no. 1 (line): kinds does not fit: target property_line measures to the own land's outline, not to obstacles. Leave kinds out, or change target or measured.",
            "own.toml, [[rules]] no. 1 (line): off_own_land does not fit: target property_line measures to the own land's outline. Leave off_own_land out, or change target or measured.",
            'own.toml, [[rules]] no. 1 (line): layer does not fit: only target "layer" measures to a layer. Leave layer out, or change target or measured.',
            'own.toml, [[rules]] no. 1 (line): is_planned does not fit: only target "road" knows planned ones. Leave is_planned out, or change target or measured.',
            "own.toml, [[rules]] no. 1 (line): anchors does not fit: only guy_anchors, guys and nearest_part measure from them. Leave anchors out, or change target or measured.",
            "own.toml, [[rules]] no. 1 (line): base_radius_m does not fit: only base_nearest and nearest_part measure from the base's edge. Leave base_radius_m out, or change target or measured.",
        ],
    ),
    "keys that are needed": (
        TOP + RULE.replace("property_line", "layer") + RULE.replace('"line"', '"b"').replace("property_line", "obstacle") + RULE.replace('"line"', '"c"') + 'measured = "base_nearest"\n',
        [
            "own.toml, [[rules]] no. 1 (line): needs layer. Add layer: the name under which [[land.layers]] of the site file gives it.",
            'own.toml, [[rules]] no. 2 (b): needs kinds. Add kinds: as in kinds = ["fuel_tank"].',
            "own.toml, [[rules]] no. 3 (c): needs base_radius_m. Add base_radius_m: from the base's centre to its outermost part.",
        ],
    ),
    "times in the air": (
        TOP + "extension_asked_days = 30\n", ["own.toml, extension_asked_days: speaks of an extension of no length. Add extension_months."],
    ),
    "an extension of nothing": (TOP + "extension_months = 6\n", ["own.toml, extension_months: extends a permit that does not run out. Add expires_months."]),
    "times without a source": ('name = "X"\nexpires_months = 12\n', ['own.toml, expires_months: has no source. Add source = "ordinance, clause" at the top.']),
    "a height in both units": (TOP + "height_most_m = 60\nheight_most_ft = 199\n", ["own.toml: gives height_most_m and height_most_ft. Give one of them."]),
    "a date as text": (TOP + 'date_read = "May"\n', ["own.toml, line 3, date_read: is 'May', but it must be a date like 2027-03-15. Correct it."]),
    "no TOML": ("name = X\n", ["own.toml: is not valid TOML (Invalid value (at line 1, column 8)). Correct that line; text stands in \"quotes\"."]),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_faults_of_a_rule_file(read, name):
    text, lines = FAULTS[name]
    assert faults(read, text) == lines


# --- the site file's keys ---------------------------------------------------------------------------------------------


class Site(Table):
    """A site file that holds nothing else."""

    land: RulesTable = RulesTable()


@pytest.fixture
def site(tmp_path):
    def reader(text: str):
        path = tmp_path / "site.toml"
        path.write_text(text, encoding="utf-8")
        return read_rule_inputs(read_table(path, "site.toml", Site, "the site file's name").land, tmp_path, "site.toml")

    return reader


def waiver(rule: str, line: str = "12-004") -> str:
    return f'[[land.waivers]]\nrule = "{rule}"\nline = "{line}"\nby = "E. Smith"\nrecorded = "book 12, page 7"\n'


def test_rules_layers_and_waivers_of_a_site(site, tmp_path):
    (tmp_path / "own.toml").write_text(TOP + RULE + "waivable = true\n" + RULE.replace('"line"', '"b"'), encoding="utf-8")
    (tmp_path / "zones.gpkg").write_bytes(b"x")
    made = site('[land]\nrules = ["met-mast-1.5", "own.toml"]\n' + waiver("own:line") + waiver("*", "12-005") + '[[land.layers]]\nname = "zones"\npath = "zones.gpkg"\n')
    assert [s.key for s in made.sets] == ["met-mast-1.5", "own"]
    assert made.files[0][0] == "met-mast-1.5 (shipped rules)" and made.files[1] == ("own.toml", tmp_path / "own.toml")
    assert made.layers == (RuleLayer("zones", tmp_path / "zones.gpkg", "zones.gpkg"),)
    four, five = Waiver("12-004", "E. Smith", "book 12, page 7"), Waiver("12-005", "E. Smith", "book 12, page 7")
    held = {f"{s.key}:{r.id}": r.waivers for s in made.sets for r in s.rules if r.waivers}
    assert held == {"met-mast-1.5:property-line": (five,), "own:line": (four, five)}


def test_a_site_without_rules(site):
    made = site("[land]\n")
    assert (made.sets, made.layers, made.files) == ((), (), ())


NOT_WAIVABLE = (
    "cannot be waived: nothing in 'Generic met mast, 3 x total height' (Northampton County VA 154.2.114, (D)(3): three times the greatest height "
    "from the nearest property boundary and utility line) says that somebody may consent to less. Leave the waiver out; or, where the code does "
    "allow it, write waivable = true into the rule, with its clause."
)
SITE_FAULTS = {
    "a rule that cannot be waived": (
        '[land]\nrules = ["met-mast-3"]\n' + waiver("property-line"),
        [f"site.toml, [[land.waivers]] no. 1 rule: the rule 'property-line' {NOT_WAIVABLE}"],
    ),
    "nothing that can be waived": (
        '[land]\nrules = ["met-mast-3"]\n' + waiver("*"),
        ["site.toml, [[land.waivers]] no. 1 rule: none of the rules can be waived. Leave the waiver out: the distance counts in full."],
    ),
    "a rule that is not there": (
        '[land]\nrules = ["met-mast-3"]\n' + waiver("propertyline"),
        ["site.toml, [[land.waivers]] no. 1 rule: 'propertyline' is no rule of this site. Did you mean property-line?"],
    ),
    "a waiver without rules": (waiver("a"), ["site.toml, [[land.waivers]] no. 1 rule: 'a' is no rule of this site. Name rules under [land] rules."]),
    "a rule of two sets": (
        '[land]\nrules = ["met-mast-3", "met-mast-1.5"]\n' + waiver("property-line"),
        ["site.toml, [[land.waivers]] no. 1 rule: 'property-line' is a rule of 2 rule sets. Write met-mast-3:property-line or met-mast-1.5:property-line."],
    ),
    "a set twice": ('[land]\nrules = ["met-mast-3", "met-mast-3"]\n', ["site.toml, [land] rules: the rule set 'met-mast-3' stands twice. Name it once."]),
    "no list": (
        '[land]\nrules = "met-mast-3"\n',
        ["site.toml, line 2, [land] rules: is 'met-mast-3', but it must be a list of names or files, as in [\"met-mast-1.1\", \"own.toml\"]. Correct it."],
    ),
    "a layer that is not there, its name twice": (
        '[[land.layers]]\nname = "z"\npath = "z.gpkg"\n[[land.layers]]\nname = "z"\npath = "site.toml"\n',
        [
            "z.gpkg: no such file. Check site.toml, [[land.layers]] no. 1 path: it is relative to the site file.",
            "site.toml, [[land.layers]] no. 2: the name 'z' stands twice. Give each layer its own name.",
        ],
    ),
    "a waiver without its record": (
        '[[land.waivers]]\nrule = "*"\nline = "x"\nby = "y"\n', ["site.toml, line 1, [[land.waivers]] no. 1 recorded: is missing. Add recorded = …"],
    ),
    "an unknown key of a waiver": (
        waiver("*") + 'on = "Monday"\n',
        ["site.toml, line 6, [[land.waivers]] no. 1 on: is not a key that siting knows. Known keys here: rule, line, by, recorded."],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", SITE_FAULTS)
def test_faults_of_a_sites_rules(site, name):
    text, lines = SITE_FAULTS[name]
    assert faults(site, text) == lines


def test_faults_of_every_rule_file_are_told_together(site, tmp_path):
    (tmp_path / "a.toml").write_text(TOP + RULE.replace("1.1", "0"), encoding="utf-8")
    assert faults(site, '[land]\nrules = ["a.toml", "b.toml"]\n')[0].startswith("a.toml, line 7, [[rules]] no. 1 factor: is 0, but")
    assert len(faults(site, '[land]\nrules = ["a.toml", "b.toml"]\n')) == 2


# --- layers -----------------------------------------------------------------------------------------------------------


def test_a_layer_of_the_users(tmp_path):
    import shapely

    near, far = shapely.box(7.49, 46.49, 7.51, 46.51), shapely.box(8.49, 46.49, 8.51, 46.51)
    path = write_layer(tmp_path / "zones.gpkg", [near, far], {"name": ["R-1", "R-2"]}, "EPSG:32632")
    layer = read_rule_layer(RuleLayer("Residential district", path, "zones.gpkg"), 7.5, 46.5, (0.01, 0.01))
    assert [(f.name, f.kind) for f in layer.features] == [("R-1", "residential_district")] and layer.kinds == ("residential_district",)
    beyond = read_rule_layer(RuleLayer("zones", path, "zones.gpkg"), 9.9, 46.5, (0.01, 0.01))
    assert (beyond.features, beyond.kinds) == ((), ("zones",))  # it holds something, though nothing near
    kinds = write_layer(tmp_path / "kinds.geojson", [near, far], {"kind": ["Fuel Tank", "lek"]})
    layer = read_rule_layer(RuleLayer("x", kinds, "kinds.geojson"), 7.5, 46.5, (0.01, 0.01))
    assert ([f.kind for f in layer.features], layer.kinds) == (["fuel_tank"], ("fuel_tank", "lek"))
    empty = write_layer(tmp_path / "empty.gpkg", [], {"name": []}, geometry_type="Polygon")
    assert read_rule_layer(RuleLayer("x", empty, "empty.gpkg"), 7.5, 46.5, (0.01, 0.01)).kinds == ()
    bare = write_layer(tmp_path / "bare.gpkg", [near], {"name": ["x"]}, None)
    assert faults(read_rule_layer, RuleLayer("x", bare, "bare.gpkg"), 7.5, 46.5, (0.01, 0.01))[0].startswith("bare.gpkg: carries no coordinate system")


# --- the page ---------------------------------------------------------------------------------------------------------


def test_the_page_explains_every_key_and_every_shipped_set():
    text = DOCS.read_text(encoding="utf-8")
    rows = " ".join(line for line in text.splitlines() if line.startswith("|"))
    keys = {*RuleTable.model_fields, *RuleSetTable.model_fields, *RulesTable.model_fields, "rule", "line", "by", "recorded", "path"}
    assert [k for k in sorted(keys) if f"`{k}`" not in rows] == []
    assert [s for s in shipped_rules() if f"`{s}`" not in rows] == []


def test_the_rule_file_of_the_page_can_be_read(read):
    blocks = [b for b in re.findall(r"^```\w*\n(.*?)^```$", DOCS.read_text(encoding="utf-8"), re.M | re.S) if "[[rules]]" in b]
    assert len(blocks) >= 1
    for block in blocks:
        assert tomllib.loads(block)
        assert read(block).rules
