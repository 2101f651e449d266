"""The independent implementation held against published values and against itself.

Values without a source are computed identities of rotations; "from memory" marks what was not looked up.
"""

import csv
import random
import statistics
from dataclasses import replace
from math import cos, degrees, hypot, pi, radians, sin, sqrt, tan
from pathlib import Path

import erfa
import numpy as np
import pytest

from independent import chain, draws, drive, night, sky

ARCSEC = radians(1.0 / 3600.0)
ARCMIN = radians(1.0 / 60.0)

# Dates after the library's leap-second table: TAI - UTC stays as it is.
pytestmark = pytest.mark.filterwarnings("ignore::erfa.ErfaWarning")


# Sky


def test_observed_place_is_the_published_one():
    """Test values of routine ``atco13`` in the test program of the IAU's fundamental-astronomy library."""
    site = sky.Site(-1.2345856, -0.527800806, 2738.0, sky.Air(731.0, 12.8, 0.59))
    azimuth, zenith, hour, declination, ra, origins = erfa.atco13(
        2.71, 0.174, 1e-5, 5e-6, 0.1, 55.0, 2456384.5, 0.969254051, 0.1550675, site.longitude, site.latitude,
        site.height, 2.47230737e-7, 1.82640464e-6, 731.0, 12.8, 0.59, 0.55,
    )
    assert azimuth == pytest.approx(0.09251774485485515207, abs=1e-12)
    assert zenith == pytest.approx(1.407661405256499357, abs=1e-12)
    assert hour == pytest.approx(-0.09265154431529724692, abs=1e-12)
    assert declination == pytest.approx(0.1716626560072526200, abs=1e-12)
    assert ra == pytest.approx(2.710260453504961012, abs=1e-12)
    assert origins == pytest.approx(-0.003020548354802412839, abs=1e-14)
    # The same through our own types: polar motion (0.5 arcsec) and the radial velocity are left out, so to 1 arcsec.
    star = sky.Star("", 2.71, 0.174, 1e-5 * cos(0.174) / sky.MAS, 5e-6 / sky.MAS, 100.0)
    instant = sky.Instant.from_utc("2013-04-02T23:15:43.5500064Z")
    place = sky.observe(star, instant, site, 0.1550675 - instant.tai_minus_utc())
    assert place.hour_angle == pytest.approx(hour, abs=ARCSEC / cos(declination))
    assert place.altitude == pytest.approx(pi / 2 - zenith, abs=ARCSEC)


def test_instants():
    """TAI - UTC in 2003, 2008 and 2017 (leap-second table, published by the IERS); offsets; days across midnight."""
    for text, expected in (("2003-06-01", 32.0), ("2008-01-17", 33.0), ("2017-09-01", 37.0)):
        assert sky.Instant.from_utc(f"{text}T00:00:00Z").tai_minus_utc() == expected
    one = sky.Instant.from_utc("2027-03-06T20:30:00+01:00")
    other = sky.Instant.from_utc("2027-03-07T01:00:00.25+05:30")
    assert other.since(one) == pytest.approx(0.25, abs=1e-9)
    assert one.plus(-90000.5).since(one) == pytest.approx(-90000.5, abs=1e-9)
    assert one.plus(0.0000014).utc_text() == "2027-03-06T19:30:00.000001Z"
    assert sky.Instant.from_utc(one.plus(1.25).utc_text()).since(one) == pytest.approx(1.25, abs=1e-9)


def test_reference_places():
    """The table of 200 observed places, itself checked against two other programs; printed to 1e-9 degrees of arc, so
    0.001 arcsec leaves room for the instant's last digit (a millisecond is exact) and for none of our formulas."""
    path = Path(__file__).parents[2] / "fixtures" / "reference" / "reference_places.csv"
    compared = 0
    with path.open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            number = {key: float(row[key] or "nan") for key in row if key not in ("case_id", "utc", "hip")}
            air = sky.Air(number["pressure_hpa"], number["temp_c"], number["rel_hum"])
            site = night.site_of(number["lat_deg"], number["lon_east_deg"], number["height_m"], air)
            star = sky.Star(
                row["case_id"], radians(number["ra_icrs_deg"]), radians(number["dec_icrs_deg"]),
                number["pm_ra_cosdec_mas_yr"], number["pm_dec_mas_yr"], number["parallax_mas"],
            )
            instant = sky.Instant.from_utc(row["utc"])
            if row["alt_obs_deg"] == "" or number["wavelength_um"] != sky.WAVELENGTH_MICROMETRES:
                continue
            place = sky.observe(star, instant, site, -instant.tai_minus_utc())
            expected = sky.direction(radians(number["az_obs_deg"]), radians(number["alt_obs_deg"]))
            assert sky.separation(place.direction(), expected) < 0.001 * ARCSEC, row["case_id"]
            assert chain.half_turn(place.hour_angle - radians(number["ha_obs_deg"])) * cos(
                place.declination
            ) == pytest.approx(0.0, abs=0.001 * ARCSEC)
            compared += 1
    assert compared > 100


def test_hour_angle_follows_the_sidereal_angle():
    """280.46061837 deg + 360.98564736629 deg a day since J2000.0 (from memory), good to 2 arcsec with the nutation and
    the place of date taken from the library."""
    instant = sky.Instant.from_utc("2026-11-25T21:00:00Z")
    days = instant.since(sky.Instant.from_utc("2000-01-01T12:00:00Z")) / 86400.0 - 5.0 / 86400.0
    longitude = radians(-4.5)
    site = sky.Site(radians(40.5), longitude, 0.0, sky.Air(0.0, 10.0, 0.5))
    star = sky.Star("", 1.0, 0.3)
    mean = radians(280.46061837 + 360.98564736629 * days) + longitude
    ri, di, origins = erfa.atci13(1.0, 0.3, 0.0, 0.0, 0.0, 0.0, *erfa.taitt(instant.day, instant.seconds / 86400.0))
    equinoxes = erfa.ee06a(*erfa.taitt(instant.day, instant.seconds / 86400.0))
    hour = chain.half_turn(mean + equinoxes - (ri - origins))
    place = sky.observe(star, instant, site, -37.0)
    assert (place.hour_angle - hour) == pytest.approx(0.0, abs=2.0 * ARCSEC)


def test_refraction_agrees_with_the_classroom_formulas():
    """From the true altitude R = 1.02' cot(h + 10.3/(h + 5.11)) (Saemundsson 1986), from the apparent one
    R = cot(h + 7.31/(h + 4.4)) (Bennett, Journal of Navigation 35 (1982) 255-259), at 1010 hPa and 10 deg C, coefficients
    from memory. The second is good to 0.07'; the first agrees with it to 0.1'. Neither knows wavelength or humidity, which
    change the air's refractivity by about 1 %."""

    def from_true(h):
        return 1.02 / tan(radians(h + 10.3 / (h + 5.11)))

    def from_apparent(h):
        return 1.0 / tan(radians(h + 7.31 / (h + 4.4)))

    for altitude, expected in ((45.0, 1.0127), (20.0, 2.7412), (10.0, 5.4077)):
        assert from_true(altitude) == pytest.approx(expected, abs=6e-5)
    assert from_true(20.0) * 850 / 1010 * 283 / 268 == pytest.approx(2.4361, abs=6e-5)
    instant = sky.Instant.from_utc("2026-11-25T21:00:00Z")
    compared = 0
    for star in draws.catalogue():
        airless, seen = (
            degrees(sky.observe(star, instant, sky.Site(0.7, 0.0, 0.0, sky.Air(pressure, 10.0, 0.5)), -37.0).altitude)
            for pressure in (0.0, 1010.0)
        )
        if airless > 10.0:
            raised = (seen - airless) * 60.0
            assert raised == pytest.approx(from_apparent(seen), abs=0.07 + 0.01 * raised)
            assert raised == pytest.approx(from_true(airless), abs=0.17 + 0.01 * raised)
            compared += 1
    assert compared > 20


def test_offsets_have_the_trades_signs():
    """A boresight at a smaller hour angle lies east, one at a greater declination north; lengths as on the sky."""
    frame, pole = chain.equatorial_frame(0.7), np.array([0.0, cos(0.7), sin(0.7)])
    target = frame @ chain.equatorial_direction(-0.4, 0.6)
    east, north = sky.offset_east_north(target, frame @ chain.equatorial_direction(-0.4 - 1e-5, 0.6), pole)
    assert east == pytest.approx(1e-5 * cos(0.6), rel=1e-6) and abs(north) < 1e-9
    east, north = sky.offset_east_north(target, frame @ chain.equatorial_direction(-0.4, 0.6 + 1e-5), pole)
    assert north == pytest.approx(1e-5, rel=1e-6) and abs(east) < 1e-9
    assert sky.offset_east_north(target, target, pole) == (0.0, 0.0)
    # 1e-9 rad is resolved, where an arc cosine would see nothing.
    assert sky.separation(target, frame @ chain.equatorial_direction(-0.4, 0.6 + 1e-9)) == pytest.approx(1e-9, rel=1e-6)


# Chain


def random_geometry(source, scale=1.0):
    names = chain.Geometry.__dataclass_fields__
    return chain.Geometry(**{name: radians(source.uniform(-2.0, 2.0)) * scale for name in names})


def test_frames():
    source = random.Random(3)
    for _ in range(50):
        phi, hour, dec = source.uniform(-1.5, 1.5), source.uniform(-pi, pi), source.uniform(-1.5, 1.5)
        frame = chain.equatorial_frame(phi)
        expected = (
            -cos(dec) * sin(hour),
            cos(phi) * sin(dec) - sin(phi) * cos(dec) * cos(hour),
            sin(phi) * sin(dec) + cos(phi) * cos(dec) * cos(hour),
        )
        vector = frame @ chain.equatorial_direction(hour, dec)
        assert vector == pytest.approx(expected, abs=1e-14)
        assert np.linalg.det(frame) == pytest.approx(1.0, abs=1e-14)
        assert chain.place_of(vector, phi) == pytest.approx((hour, dec), abs=1e-10)
        # The library's own routine between hour angle, declination and azimuth, altitude.
        azimuth, altitude = erfa.hd2ae(hour, dec, phi)
        assert sky.azimuth_altitude(vector) == pytest.approx((azimuth % (2 * pi), altitude), abs=1e-10)


@pytest.mark.parametrize("phi", [radians(50.0), radians(-35.0)])
def test_polar_axis_and_lean(phi):
    """The elevated end stands where the keys say, in both hemispheres; a lean is, to first order, a polar error of the
    north end (-north lean, east lean * tan) with an hour zero of -east lean * sec."""
    mount = chain.Geometry(polar_altitude=0.01, polar_azimuth=0.02)
    axis = mount.base(phi)[:, 2]
    elevated = axis if phi > 0.0 else -axis
    azimuth, altitude = sky.azimuth_altitude(elevated)
    assert altitude == pytest.approx(abs(phi) + 0.01, abs=1e-12)
    bearing = azimuth if phi > 0.0 else azimuth - pi
    # East of the elevated pole: azimuth grows eastward from north, falls eastward from south.
    assert bearing == pytest.approx(0.02 if phi > 0.0 else -0.02, abs=1e-12)
    for size in (1e-4, 1e-5):
        lean = chain.Geometry(lean_north=size, lean_east=-0.7 * size)
        sign = 1.0 if phi > 0.0 else -1.0
        same = chain.Geometry(
            polar_altitude=-sign * size, polar_azimuth=sign * -0.7 * size * tan(phi), hour_zero=0.7 * size / cos(phi)
        )
        apart = sky.separation(lean.boresight(phi, -0.5, 0.4), same.boresight(phi, *same.axes(-0.5, 0.4)))
        assert apart < 5.0 * size**2


def test_inverse_undoes_forward_both_ways():
    """Both solutions come back within 1e-6 arcsec for errors of degrees, flexure in."""
    source = random.Random(5)
    for _ in range(200):
        geometry, phi = random_geometry(source), source.uniform(-1.2, 1.2)
        vector = sky.direction(source.uniform(0.0, 2 * pi), source.uniform(0.1, 1.4))
        try:
            solutions = geometry.dials(phi, vector)
        except chain.Unreachable:
            continue
        for dials in solutions:
            assert sky.separation(geometry.boresight(phi, *geometry.axes(*dials)), vector) < 1e-6 * ARCSEC


def test_perfect_mount_reads_hour_angle_and_declination():
    """Hour angle -30, declination 20: direct (-30, 20), through the pole (150, 160) degrees."""
    phi = radians(50.0)
    vector = chain.equatorial_frame(phi) @ chain.equatorial_direction(radians(-30.0), radians(20.0))
    direct, through = chain.Geometry().dials(phi, vector)
    assert [degrees(a) for a in direct] == pytest.approx([-30.0, 20.0], abs=1e-10)
    assert [degrees(a) for a in through] == pytest.approx([150.0, 160.0], abs=1e-10)
    assert chain.unwrapped(radians(-30.0), radians(20.0), phi) == (radians(-30.0), radians(20.0), "direct")
    for latitude, hour, over in ((phi, -150.0, 160.0), (-phi, -150.0, -200.0)):
        seen = chain.unwrapped(radians(30.0), radians(20.0), latitude)
        assert [degrees(a) for a in seen[:2]] == pytest.approx([hour, over], abs=1e-10)
        assert seen[2] == "through-pole"


def test_caps_round_the_pole_are_out_of_reach():
    """Skew 10', cone 4': radius 6' round the mount's north end, 14' round the other."""
    geometry, phi = chain.Geometry(skew=10 * ARCMIN, cone=4 * ARCMIN), radians(50.0)
    for end, radius in ((1.0, 6.0), (-1.0, 14.0)):
        for minutes, reachable in ((radius - 0.1, False), (radius + 0.1, True)):
            place = chain.equatorial_direction(1.0, end * (pi / 2 - minutes * ARCMIN))
            vector = chain.equatorial_frame(phi) @ place
            if reachable:
                assert len(geometry.dials(phi, vector)) == 2
            else:
                with pytest.raises(chain.Unreachable):
                    geometry.dials(phi, vector)


TERMS = ["polar_altitude", "polar_azimuth", "hour_zero", "declination_zero", "skew", "cone", "flexure"]


def exact_term(term, size, hour, dec, phi, side):
    """True minus dial of one term alone, by the chain: (hour angle, declination)."""
    geometry = chain.Geometry(**{term: size})
    dials = (hour, dec) if side > 0 else (hour - pi, pi - dec)
    seen = chain.place_of(geometry.boresight(phi, *geometry.axes(*dials)), phi)
    return chain.half_turn(seen[0] - hour), seen[1] - dec


def test_first_order_terms_at_a_published_point():
    """One arcminute each at hour angle -50, declination 40, latitude 50, direct."""
    hour, dec, phi = radians(-50.0), radians(40.0), radians(50.0)
    expected = {
        "polar_altitude": (38.567, -38.567),
        "polar_azimuth": (25.161, -29.544),
        "skew": (50.346, 0.0),
        "cone": (-78.324, 0.0),
        "flexure": (-38.567, -19.274),
    }
    for term, pair in expected.items():
        first = chain.first_order(term, hour, dec, phi, 1.0)
        assert [60.0 * part for part in first] == pytest.approx(pair, abs=6e-4)


@pytest.mark.parametrize("term", TERMS)
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_second_order_quarters_when_the_term_is_halved(term, side):
    """The median over random directions; 5 % because single directions scatter. The zeros are exact."""
    source = random.Random(11)
    factors = []
    for _ in range(300):
        hour, dec, phi = source.uniform(-2.5, 2.5), source.uniform(-1.0, 1.2), source.uniform(0.3, 1.1)
        rests = []
        for size in (20 * ARCMIN, 10 * ARCMIN):
            exact = exact_term(term, size, hour, dec, phi, side)
            first = chain.first_order(term, hour, dec, phi, side)
            parts = [(exact[0] - size * first[0]) * cos(dec), exact[1] - size * first[1]]
            rests.append(hypot(*parts))
        if term in ("hour_zero", "declination_zero"):
            assert rests[0] < 1e-12
        elif rests[1] > 1e-12:
            factors.append(rests[0] / rests[1])
    if factors:
        assert statistics.median(factors) == pytest.approx(4.0, rel=0.05)


@pytest.mark.parametrize("term, hour_part, dec_part", [
    ("cone", lambda dec: -2.0 / cos(dec), 0.0), ("skew", lambda dec: 2.0 * tan(dec), 0.0),
    ("declination_zero", lambda dec: 0.0, 2.0), ("hour_zero", lambda dec: 0.0, 0.0),
    ("polar_altitude", lambda dec: 0.0, 0.0), ("polar_azimuth", lambda dec: 0.0, 0.0),
])
def test_flip_signature(term, hour_part, dec_part):
    """Direct minus through-pole of one dial target; a term of 1' leaves 1e-3' at second order."""
    hour, dec, phi = 0.05, 0.5, 0.8
    one, other = (exact_term(term, ARCMIN, hour, dec, phi, side) for side in (1.0, -1.0))
    assert (one[0] - other[0]) / ARCMIN == pytest.approx(hour_part(dec), abs=2e-3)
    assert (one[1] - other[1]) / ARCMIN == pytest.approx(dec_part, abs=2e-3)


def test_mirrors():
    """North-south and east-west reflections are exact symmetries of the chain."""
    source = random.Random(13)
    for _ in range(50):
        g, phi = random_geometry(source), source.uniform(0.2, 1.2)
        g = replace(g, lean_north=0.0, lean_east=0.0)
        hour, dec = source.uniform(-3.0, 0.0), source.uniform(-1.2, 1.2)
        here = chain.place_of(g.boresight(phi, *g.axes(hour, dec)), phi)
        # The polar keys speak of the elevated end, which changes the sign of both inside: as written they keep it.
        south = replace(g, declination_zero=-g.declination_zero, skew=-g.skew)
        there = chain.place_of(south.boresight(-phi, *south.axes(hour, -dec)), -phi)
        assert there == pytest.approx((here[0], -here[1]), abs=1e-10)
        east = replace(g, polar_azimuth=-g.polar_azimuth, hour_zero=-g.hour_zero, skew=-g.skew, cone=-g.cone)
        there = chain.place_of(east.boresight(phi, *east.axes(-hour, dec)), phi)
        assert there == pytest.approx((-here[0], here[1]), abs=1e-10)


def test_weights_are_down_where_the_sine_of_the_hour_axis_is_negative():
    for phi in (0.8, -0.6):
        for hour in (-2.0, -0.4, 0.4, 2.0):
            up = chain.Geometry().declination_axis(phi, hour)[2]
            assert up == pytest.approx(cos(phi) * sin(hour), abs=1e-14)


def test_droop_keeps_the_azimuth_and_lowers_the_tube():
    geometry = chain.Geometry(flexure=radians(0.5))
    vector = geometry.rigid(0.8, -0.7, 0.3)
    azimuth, altitude = sky.azimuth_altitude(vector)
    drooped = sky.azimuth_altitude(geometry.boresight(0.8, -0.7, 0.3))
    assert drooped == pytest.approx((azimuth, altitude - radians(0.5) * cos(altitude)), abs=1e-12)
    assert geometry.undroop(sky.direction(*drooped)) == pytest.approx(vector, abs=1e-12)


# Drive


@pytest.mark.parametrize("distance, rate, acceleration, jerk, seconds", [
    (90.0, 3.0, 2.0, float("inf"), 31.5), (90.0, 3.0, 2.0, 4.0, 32.0), (1.0, 3.0, 2.0, float("inf"), sqrt(2.0)),
    (3.0, 3.0, 2.0, 4.0, 3.0), (60.0, 1.0, 2.0, 1.0, 62.0), (0.05, 3.0, 2.0, 4.0, 0.7368),
])
def test_profile_times(distance, rate, acceleration, jerk, seconds):
    """Closed forms of rest-to-rest moves; the last is printed to four decimals."""
    limits = drive.Rates(radians(rate), radians(acceleration), radians(jerk))
    assert drive.rest_to_rest(radians(-distance), limits) == pytest.approx(seconds, abs=5e-5)


def test_profile_time_is_continuous_across_its_regimes():
    limits = drive.MID_RANGE
    for border in (2.0 * limits.acceleration**3 / limits.jerk**2,
                   limits.rate**2 / limits.acceleration + limits.rate * limits.acceleration / limits.jerk):
        below, above = (drive.rest_to_rest(border * (1.0 + step), limits) for step in (-1e-9, 1e-9))
        assert below == pytest.approx(above, abs=1e-6)


def test_sidereal_rate():
    """15.041067 arcsec a second, printed to six decimals."""
    assert drive.SIDEREAL_RATE / ARCSEC == pytest.approx(15.041067, abs=5e-7)
    assert drive.tracked(0.0, 3600.0, 50e-6) / ARCSEC - 3600.0 * 15.041067 == pytest.approx(2.71, abs=0.01)


# Night


def perfect_night(pressure, latitude=0.7):
    air = sky.Air(pressure, 10.0, 0.5)
    site = sky.Site(latitude, -0.1, 100.0, air)
    begin = sky.Instant.from_utc("2027-03-06T20:30:00+01:00")
    return night.Night(begin, 0.0, site, night.Entered(site), chain.Geometry(), 0.0)


@pytest.mark.parametrize("latitude", [0.7, -0.6])
def test_a_perfect_mount_misses_nothing(latitude):
    """0.001 arcsec in a vacuum; in air it falls behind by the differential refraction of three seconds: 0.21 arcsec
    at 10 degrees of altitude, less higher up (computed)."""
    for pressure, limit in ((0.0, 0.001), (1000.0, 0.22)):
        plan, seen = perfect_night(pressure, latitude), 0
        for star in draws.catalogue():
            look = plan.begin.plus(60.0)
            if radians(10.0) < plan.true_place(star, look).altitude:
                values = night.look_at(plan, star, look).values
                assert values["miss_arcsec"] <= limit
                seen += 1
        assert seen > 20


def test_a_clock_that_is_fast_points_west():
    """A clock 10 s fast sends the tube 150 arcsec (of hour angle) west of the star: misses fall on the east axis only."""
    plan = perfect_night(0.0)
    late = replace(plan, entered=replace(plan.entered, clock_error=10.0))
    look = plan.begin.plus(60.0)
    star = next(s for s in draws.catalogue() if s.name == "Pollux")
    values = night.look_at(late, star, look).values
    declination = plan.true_place(star, look).declination
    assert values["miss_east_arcsec"] == pytest.approx(-150.41067 * cos(declination), abs=0.1)
    # The bearing of a finite arc: half of the arc's turning, about 0.03 arcsec here.
    assert abs(values["miss_north_arcsec"]) < 0.1


def test_a_night_plays_and_its_file_says_the_same():
    """Timing by our own slews: looks follow one another, and the same seed draws the same night."""
    stars = draws.catalogue()
    drawn = draws.draw_night(4, stars)
    assert drawn.text == draws.draw_night(4, stars).text
    rows = night.play(drawn.night)
    assert len(rows) == drawn.text.count("[[observe]]") >= 3
    for (_, start, seconds, look, _), following in zip(rows, rows[1:]):
        assert following[1] == look
        assert look.since(start) == pytest.approx(seconds + 3.0, abs=1e-9)
    assert all(radians(row[4].values["target_altitude_deg"]) > draws.LOWEST for row in rows)


def test_azimuth_wraps_once():
    assert sky.azimuth_altitude(np.array([-1e-9, 1.0, 0.0]))[0] == pytest.approx(2 * pi, abs=1e-8)
    assert chain.half_turn(-pi) == pi
