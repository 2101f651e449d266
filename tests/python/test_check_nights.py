"""The comparison itself: it passes what agrees, and finds each field that doesn't."""

import pytest

import check_nights
from independent import draws, night

pytestmark = pytest.mark.filterwarnings("ignore::erfa.ErfaWarning")


def result_of(drawn):
    """What the bench would print, by our own computation and timing."""
    rows = []
    for _, _, seconds, look, seen in night.play(drawn.night):
        row = {"outcome": "arrived", "utc": look.utc_text(), "slew_seconds": seconds}
        row |= {"solution": seen.solution, "tube_side": seen.tube_side} | seen.values
        rows.append(row)
    return {"gotos": rows}


@pytest.fixture(name="drawn")
def one_night():
    return draws.draw_night(2, draws.catalogue())


def test_agreement_passes(drawn):
    result = result_of(drawn)
    assert [complaints for complaints in check_nights.check_night(drawn, result)] == [[] for _ in result["gotos"]]


def test_every_field_is_held(drawn):
    result = result_of(drawn)
    fields = [name for name in result["gotos"][0] if name != "utc"]
    assert len(fields) == 17
    for name in fields:
        wrong = result_of(drawn)
        row = wrong["gotos"][1]
        if name.endswith("_deg"):
            row[name] += 0.02 / 3600.0
        elif name.endswith("_arcsec"):
            row[name] -= 0.02
        elif name == "slew_seconds":
            row[name] += 0.05
        else:
            row[name] = "other"
        found = [index for index, complaints in enumerate(check_nights.check_night(drawn, wrong)) if complaints]
        # A row that did not arrive starts the next slew elsewhere, too.
        assert found == ([1, 2] if name == "outcome" else [1]), name


def test_a_look_at_another_instant_is_found(drawn):
    """A tenth of a second is 1.5 arcsec of sky, and no length of the slew."""
    wrong = result_of(drawn)
    look = night.play(drawn.night)[0][3]
    wrong["gotos"][0]["utc"] = look.plus(0.1).utc_text()
    complaints = list(check_nights.check_night(drawn, wrong))[0]
    assert any(complaint.startswith("utc") for complaint in complaints)
    assert any(complaint.startswith("target_azimuth_deg") for complaint in complaints)


def test_missing_rows_and_values_are_found(drawn):
    short = {"gotos": result_of(drawn)["gotos"][:1]}
    assert len(list(check_nights.check_night(drawn, short))[0]) == 1
    absent = result_of(drawn)
    absent["gotos"][0]["outcome"] = "refused"
    assert list(check_nights.check_night(drawn, absent))[0] == ["outcome refused, where we arrive"]
    empty = result_of(drawn)
    empty["gotos"][0]["miss_arcsec"] = None
    del empty["gotos"][0]["icrs_ra_deg"]
    assert len(list(check_nights.check_night(drawn, empty))[0]) == 2


def test_angles_are_compared_across_north():
    assert check_nights.difference_arcsec("target_azimuth_deg", 359.999999, 0.000001) == pytest.approx(0.0072)
    assert check_nights.difference_arcsec("hour_dial_deg", -1.0, -1.001) == pytest.approx(-3.6)
