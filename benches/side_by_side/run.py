"""One table of what a winter costs in each form: `python run.py winter.json --ours MILLISECONDS` (see README.md)."""

import argparse
import platform

import numba
import numpy as np
import scipy

import numba_form
import scipy_form
from network import Winter

HONEY_SHARE, UPPER_K = 0.001, 0.1


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("winter")
    parser.add_argument("--ours", type=float, required=True, help="milliseconds a winter of `cargo bench --bench winters`, one core")
    parser.add_argument("--hours", type=int, default=None, help="only so many hours; times are scaled to the whole")
    parser.add_argument("--reference-hours", type=int, default=720, help="hours over which accuracy is judged")
    options = parser.parse_args()
    winter = Winter(options.winter)
    whole = len(winter.weather)
    hours = options.hours or whole
    judged = min(options.reference_hours, hours)
    print(f"Python {platform.python_version()}, NumPy {np.__version__}, SciPy {scipy.__version__}, Numba {numba.__version__}; one thread, processor time")
    reference, reference_made, _, lost = numba_form.solve(winter, 60, judged)
    print(f"reference: steps of a minute over {judged} h, {lost} hours done again")

    def judge(upper, made):
        upper, made = upper[: judged - 1], made[: judged - 1]
        off_k = np.sqrt(np.mean((upper - reference) ** 2))
        off = made[-1] / reference_made[-1] - 1.0
        return off_k, off, off_k <= UPPER_K and abs(off) <= HONEY_SHARE

    def row(name, seconds, upper, made, hours):
        off_k, off, good = judge(upper, made)
        a_winter = seconds * (whole - 1) / (hours - 1)
        print(f"| {name} | {a_winter:.2f} s | {1000 * a_winter / options.ours:.0f} | {off_k:.3f} K | {100 * off:+.3f} % | {'yes' if good else 'no'} |", flush=True)
        return good

    print("| form | a winter | times ours | upper air, rms | heat made | accurate |")
    print("|---|---|---|---|---|---|")
    ours = winter.ours_upper_c[1:], winter.ours_made_j[1:] - winter.ours_made_j[0]
    row("ours, hourly steps", options.ours / 1000, *ours, whole)
    for parts in (1, 2, 4, 8):
        upper, made, seconds, lost = numba_form.solve(winter, parts, hours)
        if row(f"Numba, {parts} steps an hour ({lost} hours done again)", seconds, upper, made, hours):
            break
    for method in ("LSODA", "Radau"):
        for rtol in (1e-2, 1e-3, 1e-4):
            upper, made, seconds = scipy_form.solve(winter, method, rtol, judged)
            if row(f"SciPy {method}, rtol {rtol:g}", seconds, upper, made, judged):
                break


if __name__ == "__main__":
    main()
