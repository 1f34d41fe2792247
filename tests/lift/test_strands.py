"""Strands by the names that a mast file uses, and the words for those that it may not use."""

from __future__ import annotations

import pytest

from siting.errors import InputError
from siting.lift.strands import A475_GRADES, A475_ROWS, ROPE_CLASSES, ROPE_GRADES, find_strand, find_strands, strand_names

WHERE = "mast.toml, [[guys]] no. 1, strand"
KNOWN = (
    "known: A475 with common, SM, HS, EHS and 1/8, 5/32, 3/16, 7/32, 1/4, 9/32, 5/16, 3/8, 7/16, 1/2 in; EN 12385 with 6x7-FC, "
    "6x7-IWRC, 6x19-FC, 6x19-IWRC, 6x36-IWRC and 1570, 1770, 1960, 2160, with diameter_mm."
)


def test_every_name_is_found_and_says_where_it_comes_from():
    names = strand_names()
    assert (
        len(names)
        == len(set(names))
        == 4 * 10 + 5 * 4
        == len(A475_GRADES) * len(A475_ROWS) + len(ROPE_CLASSES) * len(ROPE_GRADES)
    )
    for name in names:
        strand = find_strand(name, 8.0 if name.startswith("EN") else None, WHERE)
        assert strand.name.startswith(name)
        assert strand.assumed == ""
        assert min(strand.mass_g_per_m, strand.metal_area_mm2, strand.breaking_kn, strand.modulus_gpa) > 0.0
        assert (
            len(strand.source.split()) >= 3
            and len(strand.modulus_source.split()) >= 3
            and len(strand.expansion_source.split()) >= 3
        )
        # The wires' stress at the breaking strength is that of steel wire, from soft to the hardest drawn.
        assert 300.0 < strand.breaking_kn * 1000.0 / strand.metal_area_mm2 < 2200.0
        # The metal's section fills its circle as strands and ropes do, and weighs what steel weighs with zinc, lay and core.
        assert 0.45 < strand.metal_area_mm2 / (0.785398 * strand.diameter_mm**2) < 0.80
        assert 7.7 < strand.mass_g_per_m / strand.metal_area_mm2 < 9.5


@pytest.mark.parametrize("size", A475_ROWS)
def test_a_better_grade_is_stronger_and_a_thicker_strand_too(size):
    strengths = [find_strand(f"A475 {grade} {size} in", None, WHERE).breaking_kn for grade in A475_GRADES]
    assert strengths == sorted(strengths) and len(set(strengths)) == 4


@pytest.mark.parametrize(
    ("written", "diameter_mm", "found"),
    [
        ("A475 EHS 3/16 in", None, "A475 EHS 3/16 in"),
        ("astm a475  ehs 3/16\"", 4.8, "A475 EHS 3/16 in"),
        ("A475 EHS 3/16", 4.76, "A475 EHS 3/16 in"),
        ("A475 sm 1/4 inch", None, "A475 SM 1/4 in"),
        ("EN 12385-4 6×7-FC 1770", 6.0, "EN 12385 6x7-FC 1770, 6 mm"),
        ("en12385 6x7 iwrc 1960", 4.0, "EN 12385 6x7-IWRC 1960, 4 mm"),
    ],
)  # fmt: skip
def test_a_name_may_be_written_in_different_ways(written, diameter_mm, found):
    assert find_strand(written, diameter_mm, WHERE).name == found


def test_a_diameter_alone_gives_an_assumed_rope_that_says_so():
    strand = find_strand(None, 4.0, WHERE)
    assert (strand.name, strand.diameter_mm) == ("EN 12385 6x7-IWRC 1770, 4 mm", 4.0)
    assert strand.breaking_kn == pytest.approx(0.359 * 16 * 1770 / 1000, abs=1e-12)  # 10.17 kN
    assert strand.mass_kg_per_m == pytest.approx(0.384 * 16 / 100, abs=1e-12)
    assert strand.stiffness_n == pytest.approx(100e9 * 0.432 * 16e-6, rel=1e-12)
    assert strand.assumed == (
        "assumed: the mast file gives 4 mm and no strand; a 6x7-IWRC wire rope of grade 1770 is taken (common practice, no source). "
        "Its strength sets the tensions: name the strand that is on the drum"
    )
    assert find_strand(None, 4.0, WHERE).breaking_kn < find_strand("A475 EHS 5/32 in", None, WHERE).breaking_kn
    assert find_strand(None, None, WHERE) is None


@pytest.mark.parametrize(
    ("name", "diameter_mm", "code", "line"),
    [
        ("A475 EHS 3/17 in", None, "strand_unknown", f"'A475 EHS 3/17 in' is no strand of the tables. Did you mean 'A475 EHS 3/16 in'? {KNOWN}"),
        ("EN 12385 6x7-FC 1870", 4.0, "strand_unknown", f"'EN 12385 6x7-FC 1870' is no strand of the tables. Did you mean 'EN 12385 6x7-FC 1770'? {KNOWN}"),
        ("??", 4.0, "strand_unknown", f"'??' is no strand of the tables. {KNOWN[:1].upper()}{KNOWN[1:]}"),
        ("", 4.0, "strand_unknown", f"'' is no strand of the tables. {KNOWN[:1].upper()}{KNOWN[1:]}"),
        ("EN 12385 6x7-FC 1770", None, "strand_diameter", "'EN 12385 6x7-FC 1770' comes in many diameters, and no diameter_mm stands beside it. Add diameter_mm."),
        ("A475 EHS 1/4 in", 8.0, "strand_diameter", "'A475 EHS 1/4 in' is 6.35 mm thick, but diameter_mm says 8. Correct one of them, or leave diameter_mm out."),
    ],
)  # fmt: skip
def test_the_words_of_a_strand_that_cannot_be_used(name, diameter_mm, code, line):
    with pytest.raises(InputError) as caught:
        find_strand(name, diameter_mm, WHERE)
    assert [f.code for f in caught.value.faults] == [code]
    assert str(caught.value) == f"{WHERE}: {line}"


def test_all_faults_of_a_mast_file_come_at_once_in_order():
    with pytest.raises(InputError) as caught:
        find_strands([("A475 EHS 1/4 in", 8.0), (None, 4.0), ("rope", 4.0)], "mast.toml")
    assert [(f.code, f.where) for f in caught.value.faults] == [
        ("strand_diameter", "mast.toml, [[guys]] no. 1, strand"), ("strand_unknown", "mast.toml, [[guys]] no. 3, strand"),
    ]  # fmt: skip
    found = find_strands([("A475 EHS 1/4 in", None), (None, None), (None, 5.0)], "mast.toml")
    assert [s and s.name for s in found] == ["A475 EHS 1/4 in", None, "EN 12385 6x7-IWRC 1770, 5 mm"]
