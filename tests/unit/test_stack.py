"""The tolerance stack: drawn corners are the corners that ``seat`` computes; shares say what draws can say."""

from __future__ import annotations

import json
import tomllib
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import scipy

from scenes.command.app import main
from scenes.pages.stack import stack_html
from scenes.words import stack as said
from scenes.words import stack_rests
from sim import load_case
from sim.corner.road_state import as_driven
from sim.errors import BadInput
from sim.seating.seat import seat
from sim.stack import answer as answered
from sim.stack import shares
from sim.stack.another_limit import over_under
from sim.stack.distributions import PARAMETERS, Distribution
from sim.stack.draw import case_of, draw_block
from sim.stack.one import corner
from sim.stack.population import Correlated, Population, Varied
from sim.stack.run import run
from sim.stack.seated import Wanted
from sim.stack.study_file import load_study, read_runouts, starter_stack, study_from_text

RAYLEIGH = 'distribution = "rayleigh"\nscale = 3.0'


@pytest.fixture(scope="module")
def shipped():
    """The shipped population with much dirt, few corners."""
    study = load_study("population_rear")
    dirty = [replace(one, counts=(1.0 - s, s)) for one, s in zip(study.population.dirt, (0.6, 0.3), strict=True)]
    return replace(study, population=replace(study.population, dirt=tuple(dirty)), samples=10, tolerance_um=0.0)


@pytest.fixture(scope="module")
def drawn_few(shipped):
    return run(shipped, workers=1)


def gauge(seated):
    return seated.gauge_runout_um


def test_a_drawn_corner_is_the_corner_that_seat_computes(shipped, drawn_few):
    """Vectors are added, stud positions too: every figure against the corner seated whole with all its faults."""
    drawn = draw_block(shipped.population, shipped.seed, 0)
    with_rotor_dirt = [row for row in range(10) if drawn.patches[1].count[row] and drawn.patches[0].count[row]]
    row = with_rotor_dirt[0]
    found = {name: drawn_few.columns[name][row] for name in drawn_few.columns}
    for name, cleaned in (("found", False), ("cleaned", True)):
        whole = case_of(shipped.population, drawn, row, cleaned)
        assert gauge(seat(whole, "fast")) == pytest.approx(found[f"{name}_um"], abs=1e-6)
        assert gauge(seat(as_driven(whole), "fast")) == pytest.approx(found[f"{name}_driven_um"], abs=1e-6)
    whole = case_of(shipped.population, drawn, row)
    turned = replace(whole, studs=replace(whole.studs, studs_turned=int(found["position"])))
    assert gauge(seat(turned, "fast")) == pytest.approx(found["indexed_um"], abs=1e-6)
    assert gauge(seat(as_driven(turned), "fast")) == pytest.approx(found["indexed_driven_um"], abs=1e-6)
    assert found["indexed_um"] < found["found_um"]


def test_saddles_point_all_round_and_the_rotors_goes_round_with_it():
    spread = 'distribution = "rayleigh"\nscale = 10.0\nhighest = 20.0'
    text = 'base = "rear_solid_300"\nsamples = 1\nas_driven = false\n'
    study = study_from_text(
        text + VARY.format("hub.face_saddle_um", spread) + VARY.format("rotor.flange_saddle_um", spread)
    )
    found = run(study, workers=1).columns
    drawn = draw_block(study.population, study.seed, 0)
    assert {"hub.face_saddle_deg", "rotor.flange_saddle_deg"} <= set(drawn.columns)
    assert np.ptp(drawn.columns["hub.face_saddle_deg"]) > 180.0
    whole = case_of(study.population, drawn, 0)
    spans = [gauge(seat(replace(whole, studs=replace(whole.studs, studs_turned=k)), "fast")) for k in range(5)]
    assert found["found_um"][0] == pytest.approx(spans[0], abs=1e-6)
    assert found["indexed_um"][0] == pytest.approx(min(spans), abs=1e-6)
    assert max(spans) > 1.2 * min(spans)


@pytest.mark.parametrize(("key", "limit"), [("hub.face_runout_um", 4.0), ("rotor.own_runout_um", 60.0)])
def test_corners_under_another_limit_are_those_of_a_run_with_it(shipped, drawn_few, key, limit):
    """Tightened and loosened: the count over a runout between any two corners is that of a fresh run of that seed."""
    spread = replace(shipped.population.of(key).spread, highest=limit)
    varied = tuple(replace(one, spread=spread) if one.key == key else one for one in shipped.population.varied)
    again = replace(shipped, population=replace(shipped.population, varied=varied))
    fresh = np.sort(run(again, 1, wanted=Wanted(driven=False, cures=False)).columns["found_um"])
    for k, between in enumerate((fresh[1:] + fresh[:-1]) / 2.0):
        asked = replace(shipped.population, limit_um=float(between))
        result = replace(drawn_few, study=replace(shipped, population=asked))
        over, of = over_under(result, key, "found_um", np.array([limit]))
        assert (int(over[0]), of) == (fresh.size - 1 - k, fresh.size)


def test_a_corner_drawn_at_random_opens_as_a_case_and_seat_reads_the_same(shipped, tmp_path, capsys):
    file = tmp_path / "corner.toml"
    number = int(np.random.default_rng().integers(shipped.samples))
    line = ["stack", "population_rear", "--corner", str(number), "--write-case", str(file), "--no-driven", "--json"]
    assert main(line) == 0
    told = json.loads(capsys.readouterr().out)["outcome"]["found_um"]
    assert main(["seat", str(file), "--preset", "fast", "--json"]) == 0
    read = json.loads(capsys.readouterr().out)["lateral_runout_um"]["outboard"]
    assert read == pytest.approx(told, abs=1e-6), f"corner {number}"


def test_bits_do_not_depend_on_who_computes_and_a_run_goes_on_where_it_was_left(shipped, tmp_path, monkeypatch):
    """Blocks made small, so that there are several."""
    monkeypatch.setattr("sim.stack.run.BLOCK", 2)
    monkeypatch.setattr("sim.stack.draw.BLOCK", 2)
    study = replace(shipped, driven=False, samples=6)
    alone = run(study, workers=1)
    with ThreadPoolExecutor(3) as pool:
        shared = run(study, executor=pool)

    def stop(done, _):
        if done >= 0.3:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(study, 1, tmp_path, progress=stop)
    kept = len(list((tmp_path / "blocks").glob("*.npz")))
    assert kept == 1
    again = run(study, 1, tmp_path)
    for other in (shared, again):
        for name, values in alone.columns.items():
            np.testing.assert_array_equal(values, other.columns[name])
    first = next((tmp_path / "blocks").glob("*-0000000-2.npz"))
    first.write_bytes(first.read_bytes()[:200])  # damaged: drawn again
    np.testing.assert_array_equal(run(study, 1, tmp_path).columns["found_um"], alone.columns["found_um"])
    monkeypatch.setattr("sim.stack.run.seat_drawn", None)  # another limit or source seats nothing anew
    asked = replace(study.population, limit_um=35.0, share_within=0.95, stud_source="measured", title="Mine")
    relaxed = run(replace(study, population=asked), 1, tmp_path)
    np.testing.assert_array_equal(relaxed.columns["found_um"], alone.columns["found_um"])


def test_a_corner_that_cannot_be_built_is_a_row_with_its_reason(shipped):
    tight = Distribution("uniform", (0.05, 0.3))
    base = load_case("rear_solid_300")
    loose = replace(base, studs=replace(base.studs, torque_nm=None, preload_n=(0.0,) * 5))
    varied = (Varied("studs.nut_factor", tight), Varied("hub.face_runout_um", Distribution("rayleigh", (5.0,))))
    population = Population("one nut", loose, varied)
    result = run(replace(shipped, population=population, samples=2, levers=()), workers=1)
    assert [number for number, _ in result.reasons] == [0, 1]
    assert "nut" in result.reasons[0][1]
    told = answered.counted(result.not_seated, result.size)
    assert told["corners"] == 2
    with pytest.raises(BadInput, match="not one of the drawn corners"):
        answered.answer(result)


def test_a_corner_that_is_not_fit_to_drive_counts_as_read_and_opens_as_a_case_that_says_so(tmp_path, capsys):
    """A tool that leaves nuts at a tenth of their torque: what the dial reads is there, as driven it is not."""
    spread = 'distribution = "normal"\nmean = 0.1\nsd = 0.005'
    loose = (
        f'base = "rear_solid_300"\nsamples = 2\n{VARY.format("hub.face_runout_um", RAYLEIGH)}[torque.tool]\n{spread}\n'
    )
    (tmp_path / "loose.toml").write_text(loose)
    study = load_study(tmp_path / "loose.toml")
    result = run(study, workers=1)
    assert np.isfinite(result.columns["found_um"]).all()
    assert np.isnan(result.columns["both_driven_um"]).all()
    assert (len(result.unfit), result.not_seated) == (2, ())
    found = answered.answer(result)
    assert (found.read["monte_carlo"].samples, found.driven) == (2, {})
    assert answered.told(found)["not_fit_to_drive"]["corners"] == 2
    assert any(
        "2 of 2 corners are no corners to drive as drawn: they count as read only" in one for one in said.notes(found)
    )
    case = tmp_path / "corner.toml"
    assert main(["stack", str(tmp_path / "loose.toml"), "--corner", "1", "--write-case", str(case)]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    assert "! As drawn it is not fit to drive: road_torque_nm pulls" in printed
    assert "# As drawn it is not fit to drive" in case.read_text()


@pytest.mark.parametrize(
    ("kind", "figures", "named"),
    [
        ("normal", (3.0, 2.0), lambda of: of.norm(3.0, 2.0)),
        ("rayleigh", (6.0,), lambda of: of.rayleigh(scale=6.0)),
        ("lognormal", (40.0, 1.6), lambda of: of.lognorm(np.log(1.6), scale=40.0)),
        ("uniform", (2.0, 12.0), lambda of: of.uniform(2.0, 10.0)),
        ("triangular", (0.0, 3.0, 8.0), lambda of: of.triang(3.0 / 8.0, 0.0, 8.0)),
    ],
)
def test_distributions_are_those_of_scipy(kind, figures, named):
    theirs = named(scipy.stats)  # takes long to load: not by whoever only reads this file
    share = np.linspace(0.001, 0.999, 41)
    np.testing.assert_allclose(Distribution(kind, figures).at(share), theirs.ppf(share), rtol=1e-9)
    low, high = theirs.ppf([0.2, 0.9])
    cut = Distribution(kind, figures, float(low), float(high))
    np.testing.assert_allclose(cut.at(share), theirs.ppf(0.2 + 0.7 * share), rtol=1e-9)
    np.testing.assert_allclose(cut.below(cut.at(share)), share, atol=1e-9)


def test_correlated_keys_go_together_as_told_and_keep_their_own_distributions():
    keys = ("hub.face_runout_um", "rotor.flange_dish_um")
    spreads = Distribution("rayleigh", (5.0,)), Distribution("normal", (0.0, 5.0))
    made = Population(
        "two", load_case("rear_solid_300"), tuple(map(Varied, keys, spreads)),
        correlated=(Correlated(keys, ((1.0, 0.8), (0.8, 1.0))),),
    )  # fmt: skip
    columns = [draw_block(made, 7, block).columns for block in range(40)]
    x, y = (np.concatenate([one[key] for one in columns]) for key in keys)
    spearman = scipy.stats.spearmanr(x, y).statistic
    assert spearman == pytest.approx(6.0 / np.pi * np.arcsin(0.4), abs=0.02)  # of a Gaussian copula, closed form
    assert scipy.stats.kstest(x, scipy.stats.rayleigh(scale=5.0).cdf).pvalue > 1e-3


def test_exact_interval_is_clopper_and_pearsons():
    for count, of in ((0, 300), (3, 1000), (17, 200), (50, 50)):
        ours, theirs = shares.exact(count, of), scipy.stats.binomtest(count, of).proportion_ci(0.95, "exact")
        assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-12)
    assert shares.demonstrated(shares.exact(5, 1000), 0.99) == "open"
    assert shares.demonstrated(shares.exact(0, shares.least_draws(0.99)), 0.99) == "yes"
    assert shares.demonstrated(shares.exact(0, shares.least_draws(0.99) - 1), 0.99) == "open"
    assert shares.demonstrated(shares.exact(30, 1000), 0.99) == "no"


BASE = 'base = "rear_solid_300"\n'
DIRT = "[[dirt]]\n{}\n" + "\n".join(
    f'{one} = {{{{ distribution = "fixed", value = 9.0 }}}}' for one in ("height_um", "width_mm", "arc_deg")
)
VARY = '[[vary]]\nkey = "{}"\n{}\n'


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (BASE, "nothing varies"),
        ('[[vary]]\nkey = "hub.face_runout_um"\ndistribution = "rayleigh"\nscale = 3.0', "base: is missing"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "uniform"\nlowest = 9.0\nhighest = 2.0'), "reversed"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "normal"\nmean = 9.0\nsd = 2.0'), "out of range"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "rayleigh"\nscale = -1.0'), "no spread"),
        (BASE + VARY.format("hub.face_runout", 'distribution = "rayleigh"\nscale = 1.0'), "unknown or fixed"),
        (BASE + VARY.format("hub.face_runuot_um", 'distribution = "rayleigh"\nscale = 1.0'),
         r"stack:2: vary\.1\.hub\.face_runuot_um: is unknown or fixed: .* nearest known: hub\.face_runout_um"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "rayleigh"\nscale = 9575'),
         r"vary\.1\.hub\.face_runout_um: 50331.2 µm is out of range: rayleigh \(scale 9575\) reaches there: a slip"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "weibull"'),
         r"vary\.1\.distribution: 'weibull' is not known"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "rayleigh"'), "scale = mean / 1.253"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "rayleigh"\nscale = "15 um"'),
         "'15 um' is not a number: numbers stand without a unit and without quotes"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "rayleigh"\nscale = 3.0')
         + VARY.format("rotor.own_runout_um", 'distribution = "rayleigh"\nscale = 3.0')
         + '[[correlated]]\nkeys = ["hub.face_runout_um", "rotor.own_runout_um"]\ncorrelation = 1.3\n',
         "allowed: -1 to 1"),
        (BASE + VARY.format("studs.count", 'distribution = "uniform"\nlowest = 4\nhighest = 6'), "unknown or fixed"),
        (BASE + VARY.format("studs.torque_nm", 'distribution = "fixed"\nvalue = 100.0'), "nut to nut"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "sample"\nfile = "none.csv"'), "no such file"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "sample"\nfile = "empty.csv"'), "holds 0 values"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = ["normal"]'), "is not known"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "sample"\nfile = "empty.csv"\ncolumn = []'),
         "no column"),
        (BASE + "samples = 0\n" + VARY.format("hub.face_runout_um", 'distribution = "rayleigh"\nscale = 3.0'),
         "number of corners"),
        (BASE + "samples = 0\n" + VARY.format("hub.face_runout_um", RAYLEIGH), r"stack:2: samples: 0 is no number"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "normal"\nmean = 9.0\nsd = nan'),
         r"vary\.1\.sd: nan is not a finite number"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "sample"\nfile = "wide.csv"\ncolumn = "face_um"'),
         r"row 3 of wide\.csv has 3 cells where the first has 2"),
        (BASE + DIRT.format("counts = [nan, 0.6]"), "add up to 1"),
        (BASE + DIRT.format('counts = [0.5, 0.5]\nshape = "square"'),
         r"dirt\.1\.shape: 'square' is not known \(allowed: sector, round\)"),
        (BASE + 'smaples = 9\n' + VARY.format("hub.face_runout_um", 'distribution = "rayleigh"\nscale = 3.0'),
         "nearest known: samples"),
        (BASE + '[[dirt]]\ncounts = [0.5, 0.6]\n' + "\n".join(
            f'{one} = {{ distribution = "fixed", value = 9.0 }}' for one in ("height_um", "width_mm", "arc_deg")),
         "add up to 1"),
        (BASE + VARY.format("hub.face_runout_um", 'distribution = "rayleigh"\nscale = 3.0')
         + VARY.format("rotor.own_runout_um", 'distribution = "rayleigh"\nscale = 3.0')
         + VARY.format("rotor.flange_dish_um", 'distribution = "normal"\nmean = 0\nsd = 3.0')
         + '[[correlated]]\nkeys = ["hub.face_runout_um", "rotor.own_runout_um", "rotor.flange_dish_um"]\n'
         'correlation = [[1.0, 0.9, -0.9], [0.9, 1.0, 0.9], [-0.9, 0.9, 1.0]]\n', "not positive definite"),
    ],
)  # fmt: skip
def test_bad_input_is_refused_by_name(text, says, tmp_path):
    (tmp_path / "empty.csv").write_text("face_um\n")
    (tmp_path / "wide.csv").write_text("part,face_um\na,3.0\nb,4,5\n")
    with pytest.raises(BadInput, match=says):
        study_from_text(text, folder=tmp_path)


STUD = 'stud]\ndistribution = "normal"\nmean = 1.0\nsd = {}'


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("median = 45.0, geometric_sd = 1.6, highest = 200.0", "median = 0.045, geometric_sd = 1.6, highest = 0.06",
         r"dirt\.1\.height_um: lognormal .* lie at 0.0128 \.\. 0.0597 µm, a slip; was it given in millimetres"),
        ("median = 45.0, geometric_sd = 1.6, highest = 200.0", "median = 45.0, geometric_sd = 1.6, highest = 0.06",
         r"dirt\.1\.height_um\.lowest: nothing of this distribution lies within"),
        ("median = 45.0, geometric_sd = 1.6, highest = 200.0", "median = 4500.0, geometric_sd = 1.6",
         r"dirt\.1\.height_um: .*allowed: -1000 \.\. 1000 µm, its largest 1 or more"),
        ("lowest = 3.0, highest = 12.0", "lowest = 0.003, highest = 0.012",
         r"dirt\.1\.width_mm: .*was it given in metres\?"),
        ("sd = 0.02\n", "sd = 8\n", r"vary\.5\.studs.nut_factor: its cuts 0.12 \.\. 0.3 leave 0.9 % of normal"),
        ("sd = 5.0\nlowest = -10.0\nhighest = 20.0", "sd = 8000.0\nlowest = -900.0\nhighest = 900.0",
         r"vary\.4\.rotor\.flange_dish_um: its cuts .* a slip in one of them"),
        ("sd = 5.0\nlowest = -10.0\nhighest = 20.0", "sd = 190.0",
         r"vary\.4\.rotor\.flange_dish_um: normal .* lie at -484 \.\. 494"),
        (STUD.format("0.10"), STUD.format("8"), r"torque\.stud: its cuts 0.5 \.\. 1.5 leave 5 % of normal"),
        ("mean = 1.0\nsd = 0.05\nlowest = 0.8\nhighest = 1.2", "mean = 100.0\nsd = 5.0",
         r"torque\.tool: normal .* lie at 87.1 \.\. 113, a slip; was it given in per cent\?"),
        ("scale = 6.0 ", "scale = 0.006 ",
         r"vary\.1\.hub\.face_runout_um: .* at 0.0006\d* \.\. 0.0195 µm, a slip; was it given in millimetres"),
        ("stud_sd = 0.03", "stud_sd = 3", r"lever\.5\.stud_sd: 3 is no spread of a factor; was it given in per cent"),
        ("highest = 12.0\n", "highest = 0.012\n", r"lever\.1\.highest: keeps .* % of the parts, .*: a slip"),
        ("limit_um = 50.0", "limit_um = 0.05", r"limit_um: 0.05 is out of range; was it given in millimetres\?"),
        ('source = "judgement: one new', 'radius_mm = { distribution = "fixed", value = 0.06 }\nsource = "one new',
         r"dirt\.2\.radius_mm: fixed .*faces do not meet.*allowed: a median within"),
    ],
)  # fmt: skip
def test_slips_of_the_pen_are_told_by_their_key_with_what_is_allowed(old, new, says):
    text = starter_stack()
    assert old in text
    with pytest.raises(BadInput, match=says) as refused:
        study_from_text(text.replace(old, new, 1))
    assert len(refused.value.faults) == 1, "one message"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--sensitivity", "-1"), "-1 is no number of corners"),
        (("--sensitivity", "9000000000000"), "9000000000000 is no number of corners"),
        (("--km", "100", "--chained", "9000000000000"), "9000000000000 is no number of corners"),
        (("--km", "nan"), "--km: nan is out of range"),
        (("--km", "30"), "--km: 30 is out of range (allowed: 100 to 1e+06 km; 30 thousand is 30000)"),
        (("--km", "100", "--chained", "0"), "0 is no number of corners"),
        (("--corner", "-1"), "-1 was not drawn"),
    ],
)
def test_what_no_question_can_have_is_refused_before_anything_is_drawn(words, says, capsys, monkeypatch):
    monkeypatch.setattr("sim.stack.run.run", None)
    assert main(["stack", "population_rear", *words]) == 2
    assert says in capsys.readouterr().err


def test_blocks_that_cannot_be_kept_are_said_by_their_file_and_leave_no_half(shipped, tmp_path, monkeypatch):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("sim.stack.run.np.savez", full)
    with pytest.raises(BadInput, match=r"\.npz: .*cannot be written: No space left on device"):
        run(replace(shipped, samples=1), workers=1, folder=tmp_path)
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


@pytest.mark.parametrize("text", ["runout_um\n30\n1e300\n", "runout_um\n0.03\n0.05\n", "-4\n20\n"])
def test_an_audit_that_nobody_read_is_refused(text, tmp_path):
    (tmp_path / "read.csv").write_text(text)
    with pytest.raises(BadInput, match="µm is no runout of an audit.*largest 1 or more"):
        read_runouts(tmp_path / "read.csv")


def test_a_measured_sample_is_drawn_from(tmp_path):
    (tmp_path / "audit.csv").write_text("part,face_um\na,3.0\nb,5.0\nc,11.0\n")
    study = study_from_text(
        BASE + VARY.format("hub.face_runout_um", 'distribution = "sample"\nfile = "audit.csv"\ncolumn = "face_um"'),
        folder=tmp_path,
    )
    values = draw_block(study.population, 1, 0).columns["hub.face_runout_um"]
    assert set(values) == {3.0, 5.0, 11.0}
    assert np.ptp(draw_block(study.population, 1, 0).columns["hub.face_high_spot_deg"]) > 300.0, "drawn all round"


def test_the_starter_is_the_shipped_population_and_every_kind_is_explained(tmp_path, capsys):
    file = tmp_path / "mine.toml"
    assert main(["new", "stack", str(file)]) == 0
    assert file.read_text() == starter_stack()
    assert "Invented" in starter_stack().splitlines()[0]
    assert all(kind in starter_stack() for kind in PARAMETERS)
    capsys.readouterr()


def test_the_answer_has_the_fields_of_the_contract(shipped, drawn_few):
    told = answered.told(answered.answer(drawn_few))
    wanted = {"mean", "p50", "p95", "p99", "reject_rate", "samples", "tolerance_reached"}
    for name in ("monte_carlo", "after_cleaning", "after_indexing", "after_both"):
        assert wanted <= set(told[name])
        assert wanted <= set(told["as_driven"][name])
    assert told["worst_case_um"] > told["rss_um"] > 0.0
    assert corner(shipped, 3).outcome["found_um"] == drawn_few.columns["found_um"][3]


def figures_in(table):
    """Every number and every source of a table of the file, as the report writes them."""
    if isinstance(table, dict):
        shares = [said.rate(one) for one in table.get("kinds", {}).values()]
        shares += [said.rate(one) for one in table.get("counts", [])]
        rest = [one for name, one in table.items() if name not in ("kinds", "counts", "cleaning_takes")]
        takes = [said.rate(table["cleaning_takes"])] if "cleaning_takes" in table else []
        return shares + takes + [told for one in rest for told in figures_in(one)]
    if isinstance(table, list):
        return [told for one in table for told in figures_in(one)]
    return [table] if isinstance(table, str) else [f"{table:g}"] if isinstance(table, float) else []


def test_the_report_tells_every_figure_that_it_rests_on_with_its_source(shipped):
    file = tomllib.loads(starter_stack())
    told = stack_rests.rests_on(SimpleNamespace(result=SimpleNamespace(study=load_study("population_rear"))))
    text = " | ".join(" | ".join(row) for row in told)
    for name in ("vary", "dirt", "torque", "lever", "prices", "gauge"):
        missing = [one for one in figures_in(file[name]) if one not in text]
        assert missing == [], f"of [{name}]"
    assert "compact scale crushes | crushes at 150" in text
    nameless = replace(shipped.population, stud_source="", dirt=(replace(shipped.population.dirt[0], source=""),))
    told = stack_rests.rests_on(SimpleNamespace(result=SimpleNamespace(study=replace(shipped, population=nameless))))
    assert {row[2] for row in told if row[0].startswith(("torque from", "scale left on the hub: h"))} == {
        stack_rests.NOBODY
    }


def test_the_tables_of_the_report_stand_before_its_tallest_drawing_and_repeat_their_heads(drawn_few):
    """A page that this drawing does not fit on any more is filled by rows."""
    page = stack_html(answered.answer(drawn_few))
    last_table = page.rindex("<thead>")
    assert page.index("How the runout is spread") < last_table
    assert last_table < page.index("First orders on the hub") < page.index("What it rests on")
    assert page.count("First orders on the hub") == 1
    spread, _, bars = (page[page.index(f"<title>{name}") :] for name in ("spread of", "share of", "what each"))
    for plot, words in ((spread, "as found, as driven:"), (bars, "limit 50")):
        assert words in plot[: plot.index("</svg>")].replace("\u00a0", " ")
