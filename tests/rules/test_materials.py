"""What a fitting is made of beside a pipe; common practice, no source."""

import pytest

from rules.materials import find_material, of_fitting


@pytest.mark.parametrize(
    ("pipe", "forged", "butt"),
    [
        ("ASTM A106 Gr. B", "ASTM A105", "ASTM A234 WPB"),
        ("A106-B", "A105", "A234 WPB"),
        # ASTM A234 (from memory): WPC has the 70 ksi of A106 Grade C, WPB only 60.
        ("A106 Gr C", "A105", "A234 WPC"),
        ("A333 Gr 6", "A350 LF2", "A420 WPL6"),
        ("A335 P11", "A182 F11", "A234 WP11"),
        ("A312 TP316L", "A182 F316L", "A403 WP316L"),
        ("ASTM A312 TP304/304L", "ASTM A182 F304/F304L", "ASTM A403 WP304/WP304L"),
        ("X-Alloy", "X-Alloy", "X-Alloy"),
        ("A312 TP304/X9", "A312 TP304/X9", "A312 TP304/X9"),
        ("", "", ""),
    ],
)
def test_the_material_of_a_fitting_goes_with_that_of_the_pipe(pipe: str, forged: str, butt: str) -> None:
    assert (of_fitting(pipe, is_forged=True), of_fitting(pipe, is_forged=False)) == (forged, butt)


@pytest.mark.parametrize(
    "pipe", ["A53 Gr B", "A106 Gr A", "A106 Gr C", "A333 Gr 6", "A335 P22", "A335 P91", "A312 TP304"]
)
def test_it_has_the_p_number_of_the_pipe(pipe: str) -> None:
    of_pipe = find_material(pipe)
    for is_forged in (True, False):
        beside = find_material(of_fitting(pipe, is_forged=is_forged))
        assert of_pipe and beside and beside.p_number == of_pipe.p_number
