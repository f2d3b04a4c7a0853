"""One table of what a winter costs in each form: `python run.py winter.json --ours SECONDS` (see README.md)."""

import os

# Before NumPy: one thread everywhere.
for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import argparse
import platform

import numba
import numpy as np
import scipy

import numba_form
import scipy_form
from network import Winter

# The accuracy that the program promises.
HONEY_SHARE, UPPER_K = 0.001, 0.1
# Largest difference from the program's own rates of change, as a share of them, that rounding explains.
SAME_RATES = 1e-8
REFERENCE_RTOL = 1e-7
TOLERANCES = (1e-1, 3e-2, 1e-2, 3e-3, 1e-3)
# Steps an hour and how closely Newton's method settles them, K.
NUMBA_STEPS = ((1, 0.1), (1, 0.01), (2, 0.01), (4, 0.01))


def same_equations(of, rates):
    """The largest difference of a form's rates from the program's, as a share of the larger of rate and one `scale` in 30 years."""
    worst = 0.0
    for hour, state, expected in of.samples:
        rates.set_day(hour // 24)
        found = rates(np.append(state, 0.0), of.weather[hour])[:-1]
        size = np.maximum(np.abs(expected), 1e-9 * of.scale)
        worst = max(worst, np.max(np.abs(found - expected) / size))
    return worst


class Table:
    """Rows of forms against one reference."""

    def __init__(self, of, hours, ours_s, reference):
        self.of, self.hours, self.ours_s = of, hours, ours_s
        self.reference_c, self.reference_j = reference
        print("| form | honey | upper air, rms | accurate | s a winter | times ours |")
        print("|---|---|---|---|---|---|")

    def row(self, name, upper_c, made_j, seconds):
        """Prints it; whether it is as accurate as the program promises to be."""
        honey = (made_j[-1] - made_j[0]) / (self.reference_j[-1] - self.reference_j[0]) - 1.0
        off_k = np.sqrt(np.mean((upper_c - self.reference_c)[1:] ** 2))
        accurate = bool(abs(honey) <= HONEY_SHARE and off_k <= UPPER_K)
        whole_s = seconds * (len(self.of.weather) - 1) / (self.hours - 1)
        times = whole_s / self.ours_s
        verdict = "yes" if accurate else "no"
        print(f"| {name} | {100 * honey:+.3f} % | {off_k:.3f} K | {verdict} | {whole_s:.3g} | {times:.3g} |", flush=True)
        return accurate


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("winter", help="what `cargo run --release -p overwinter-benches --bin export` wrote")
    parser.add_argument("--ours", type=float, required=True, help="seconds a winter on one thread, of `cargo bench -p overwinter-benches --bench winters`")
    parser.add_argument("--ours-alone", type=float, help="the same with one colony at a time")
    parser.add_argument("--hours", type=int, help="only so many hours; times are scaled to the whole winter")
    options = parser.parse_args()
    of = Winter(options.winter)
    hours = min(options.hours or len(of.weather), len(of.weather))
    in_numpy, in_numba = scipy_form.Rates(of), numba_form.Rates(of)
    print(
        f"Python {platform.python_version()}, NumPy {np.__version__}, SciPy {scipy.__version__}, Numba {numba.__version__};"
        f" one thread, processor time, {hours} of {len(of.weather)} hours\n"
    )
    for name, rates in (("NumPy", in_numpy), ("Numba", in_numba)):
        worst = same_equations(of, rates)
        print(f"Rates in {name} differ from the program's by {worst:.1e} of themselves at most, in {len(of.samples)} hours.")
        if worst > SAME_RATES:
            raise SystemExit("These are not the same equations.")
    pattern = scipy_form.sparsity(of, in_numba)
    reference_c, reference_j, seconds, _ = scipy_form.solve(of, in_numba, "LSODA", REFERENCE_RTOL, hours)
    print(f"Reference: LSODA with rtol {REFERENCE_RTOL:g}, {seconds:.0f} s.\n")
    table = Table(of, hours, options.ours, (reference_c, reference_j))
    ours = of.upper_c[:hours], of.made_j[:hours]
    share = (hours - 1) / (len(of.weather) - 1)
    table.row("this program", *ours, share * options.ours)
    if options.ours_alone:
        table.row("this program, one colony at a time", *ours, share * options.ours_alone)
    for parts, tolerance in NUMBA_STEPS:
        upper_c, made_j, seconds, (_, _, unsettled) = numba_form.solve(of, parts, tolerance, hours)
        steps = "hourly steps" if parts == 1 else f"{parts} steps an hour"
        name = f"Numba, {steps}, Newton to {tolerance:g} K ({unsettled} of {2 * parts * (hours - 1)} stages did not settle)"
        if table.row(name, upper_c, made_j, seconds):
            break
    for written, rates in (("Numba", in_numba), ("NumPy", in_numpy)):
        for method in ("LSODA", "Radau", "BDF"):
            for rtol in TOLERANCES:
                upper_c, made_j, seconds, _ = scipy_form.solve(of, rates, method, rtol, hours, pattern)
                if table.row(f"SciPy {method}, rates in {written}, rtol {rtol:g}", upper_c, made_j, seconds):
                    break


if __name__ == "__main__":
    main()
