"""The equations in loops for Numba, one colony at a time, by an implicit method of second order with a dense Jacobian by differences."""

import time

import numpy as np
from numba import njit

SIGMA, ZERO = 5.670374419e-8, 273.15
GAMMA = 1.0 - 0.5**0.5


@njit(fastmath=True, error_model="numpy")
def smooth(s):
    s = min(max(s, 0.0), 1.0)
    return s * s * (3.0 - 2.0 * s)


@njit(fastmath=True, error_model="numpy")
def saturation(c):
    if c >= 0.0:
        return 610.5 * np.exp(17.269 * c / (237.3 + c))
    return 610.5 * np.exp(21.875 * c / (265.5 + c))


@njit(fastmath=True, error_model="numpy")
def convection(orientation, air_c, surface_c):
    outward = min(max((air_c - surface_c) * 2.0, -1.0), 1.0) * 0.5 + 0.5
    if orientation == 0:
        return 2.5
    if orientation == 1:
        return 0.7 + 4.3 * outward
    return 5.0 - 4.3 * outward


@njit(fastmath=True, error_model="numpy")
def rates(y, out, surfaces, v, hive, day):
    """Rates of change into `out`; heat made, W."""
    (start, end, passed, zone, orientation, shared, emissivity, face, absorptance, sky_share, inside_m2, outside_m2, capacity, sorbs, per_kg, saturated_kg, curve, step, constants, node_pa) = hive
    (first, last_k_w, link, vapour_first, vapour_link, c, caps) = day
    chains, nodes = len(start), len(capacity)
    (core_kg, mantle_kg, core_set, loose_radius, loose_film, ln_film, ln_radius, core_w_mk, loose_gain, mantle_loose, mantle_per_k, relief, core_per_k, vent_start, vent_per_k, vent_gain) = (
        c[0], c[1], c[2], c[3], c[4], c[5], c[6], c[7], c[8], c[9], c[10], c[11], c[12], c[13], c[14], c[15])
    k = constants
    outside, wind, pressure, outside_pa, sky = v[0], v[1], v[2], v[3], v[4]
    core, mantle, upper, lower, comb, tight = y[0], y[1], y[2], y[3], y[4], y[5]
    rest = k[10] * np.exp(k[11] * (min(core, 36.0) - 10.0))
    core_w = core_kg * (rest + k[12] * smooth(0.5 + (core_set - core) * k[13]))
    rest = k[10] * np.exp(k[11] * (min(mantle, 36.0) - 10.0))
    mantle_made = mantle_kg * (rest + k[12] * smooth(0.5 + (k[3] - mantle) * k[13]))
    radius = loose_radius * np.exp(ln_radius * tight)
    ease = 1.0 + loose_gain * (1.0 - tight)
    inner_w = core_w_mk * radius * ease * (1.0 + vent_gain * smooth((core - vent_start) * vent_per_k)) * (core - mantle)
    mantle_w = loose_film * np.exp(ln_film * tight) * (mantle - upper)
    x_m = smooth((mantle_loose - mantle) * mantle_per_k)
    x_c = smooth((core_set + relief - core) * core_per_k)
    sought = 1.0 - (1.0 - x_m) * (1.0 - x_c)
    air_j = 1006.0 * pressure / (287.05 * (outside + ZERO))
    column = 0.5 * (upper + lower)
    drive = k[21] * (column - outside) / (column + ZERO) + k[22] * wind * wind
    through = k[20] * np.sqrt(abs(drive))
    if drive < 0.0:
        through = -through
    still = k[18] + k[19] * wind * wind
    lower_w_k = max(k[14] * np.sqrt(still + k[15] * abs(lower - outside)) - 0.5 * abs(through), 0.0) * air_j
    upper_w_k = max(k[16] * np.sqrt(still + k[17] * abs(upper - outside)) - 0.5 * abs(through), 0.0) * air_j
    up, down = max(through, 0.0) * air_j, max(-through, 0.0) * air_j
    zones = k[4] + k[5] * lower_w_k
    fan = k[7] * smooth((upper - k[8]) * k[9])
    fanned_w = fan * max(upper - outside, 0.0)
    fan_vapour = fan if upper > outside else 0.0
    carried = 0.621945 / (1006.0 * pressure)
    upper_pa, lower_pa = y[6 + nodes], y[7 + nodes]
    film0, water0 = 8 + nodes, 8 + nodes + chains
    for node in range(nodes):
        content = max(y[water0 + node] * per_kg[node], 0.0)
        if sorbs[node]:
            place = content / step
            piece = min(int(place), len(curve) - 2)
            humidity = curve[piece] + (place - piece) * (curve[piece + 1] - curve[piece])
        else:
            humidity = content
        node_pa[node] = min(humidity, 1.0) * saturation(y[6 + node])
    convective = 4.0 + 4.0 * wind
    radiative = 4.0 * SIGMA * (outside + ZERO) ** 3
    upper_taken, lower_taken, upper_vapour, lower_vapour = 0.0, 0.0, 0.0, 0.0
    for chain in range(chains):
        s, e = start[chain], end[chain]
        air, zone_pa = (upper, upper_pa) if zone[chain] else (lower, lower_pa)
        first_c = y[6 + s]
        mean = 0.5 * (air + first_c) + ZERO
        film = inside_m2[chain] * (convection(orientation[chain], air, first_c) + 3.6 * SIGMA * mean**3)
        wet = min(max(y[film0 + chain] / (2.0e-4 * inside_m2[chain]), 0.0), 1.0)
        freed, from_air, into, film_rate, surface_c = 0.0, 0.0, 0.0, 0.0, 0.0
        for _ in range(3):
            surface_c = (film * air + first[chain] * first_c + freed) / (film + first[chain])
            if passed[chain] > 0:
                saturated = saturation(surface_c)
                vapour_film = convection(orientation[chain], air, surface_c) * inside_m2[chain] * carried / 0.8937948
                through_pa = (vapour_film * zone_pa + vapour_first[chain] * node_pa[s]) / (vapour_film + vapour_first[chain])
                surface_pa = wet * saturated + (1.0 - wet) * min(through_pa, saturated)
                from_air = vapour_film * (zone_pa - surface_pa)
                into = vapour_first[chain] * (surface_pa - node_pa[s])
                film_rate = from_air - into
                freed = k[24] * film_rate
        surfaces[chain] = surface_c
        out[film0 + chain] = film_rate
        taken = film * (air - surface_c)
        if zone[chain]:
            upper_taken += taken
            upper_vapour += from_air
        else:
            lower_taken += taken
            lower_vapour += from_air
        heat_in, vapour_in = first[chain] * (surface_c - first_c), into
        outside_film = convective + emissivity[chain] * radiative
        for node in range(s, e):
            if node + 1 == e:
                if shared[chain]:
                    heat_out = 0.0
                else:
                    sun = absorptance[chain] * v[5 + face[chain]] if face[chain] >= 0 else 0.0
                    sol_air = outside + (sun - sky_share[chain] * sky) / outside_film
                    heat_out = (y[6 + node] - sol_air) / (last_k_w[chain] + 1.0 / (outside_film * outside_m2[chain]))
            else:
                heat_out = link[node] * (y[6 + node] - y[7 + node])
            gained = 0.0
            if node < s + passed[chain]:
                next_pa = outside_pa if node + 1 == s + passed[chain] else node_pa[node + 1]
                vapour_out = vapour_link[node] * (node_pa[node] - next_pa)
                gained = vapour_in - vapour_out
                vapour_in = vapour_out
            out[water0 + node] = gained
            out[6 + node] = (heat_in - heat_out + k[24] * gained) / capacity[node]
            heat_in = heat_out
    zones_w, comb_w = zones * (upper - lower), k[1] * (upper - comb)
    out[0] = (k[0] * core_w - inner_w) / caps[0]
    out[1] = (k[0] * mantle_made + inner_w - mantle_w) / caps[1]
    out[2] = (mantle_w - zones_w - comb_w - upper_taken - fanned_w - upper_w_k * (upper - outside) - up * (upper - lower) - down * (upper - outside)) / caps[2]
    out[3] = (zones_w - lower_taken - lower_w_k * (lower - outside) - up * (lower - outside) - down * (lower - upper)) / caps[2]
    out[4] = comb_w / caps[3]
    out[5] = (sought - tight) / k[2]
    made = core_w + mantle_made
    out[6 + nodes] = (k[6] * made - upper_vapour - carried * (zones + up) * (upper_pa - lower_pa) - carried * (upper_w_k + fan_vapour + down) * (upper_pa - outside_pa)) / k[23]
    out[7 + nodes] = (carried * (zones + down) * (upper_pa - lower_pa) - lower_vapour - carried * (lower_w_k + up) * (lower_pa - outside_pa)) / k[23]
    return made


@njit(fastmath=True, error_model="numpy")
def matrix(y, h, v, hive, day, scale, work, other, surfaces):
    """The inverse of `1 - h J`."""
    size = len(y)
    jacobian = np.eye(size)
    rates(y, work, surfaces, v, hive, day)
    for column in range(size):
        kept = y[column]
        by = 1e-5 * scale[column]
        y[column] = kept + by
        rates(y, other, surfaces, v, hive, day)
        y[column] = kept
        for row in range(size):
            jacobian[row, column] -= h * (other[row] - work[row]) / by
    return np.linalg.inv(jacobian)


@njit(fastmath=True, error_model="numpy")
def stage(base, y, h, inverse, v, hive, day, scale, work, other, surfaces):
    """Solves `y = base + h rates(y)` by simplified Newton steps; heat made at its end, or below nothing where they do not settle."""
    for iteration in range(60):
        if iteration % 12 == 11:
            inverse = matrix(y, h, v, hive, day, scale, work, other, surfaces)
        made = rates(y, work, surfaces, v, hive, day)
        change = inverse @ (base + h * work - y)
        y += change
        if np.max(np.abs(change) / scale) < 1e-5:
            return made
    return -1.0


@njit(fastmath=True, error_model="numpy")
def hour(y, a, b, parts, hive, day, scale, surfaces):
    """Advances `y` by an hour in `parts` steps; heat made, J, and how often a stage did not settle."""
    size = len(y)
    work, other = np.empty(size), np.empty(size)
    h = 3600.0 / parts
    made_j, lost = 0.0, 0
    for part in range(parts):
        v_first, v_end = a + (b - a) * ((part + GAMMA) / parts), a + (b - a) * ((part + 1.0) / parts)
        inverse = matrix(y, GAMMA * h, v_first, hive, day, scale, work, other, surfaces)
        first = y.copy()
        heat_w = stage(y, first, GAMMA * h, inverse, v_first, hive, day, scale, work, other, surfaces)
        lost += heat_w < 0.0
        base = y + (1.0 - GAMMA) / GAMMA * (first - y)
        end = first.copy()
        end_w = stage(base, end, GAMMA * h, inverse, v_end, hive, day, scale, work, other, surfaces)
        lost += end_w < 0.0
        made_j += h * ((1.0 - GAMMA) * heat_w + GAMMA * end_w)
        y[:] = end
    for place in range(8 + len(hive[12]), size):
        y[place] = max(y[place], 0.0)
    return made_j, lost


def solve(winter, parts, hours):
    """Upper air at the end of each hour, heat made, processor seconds, and hours that were done again in shorter steps."""
    w = winter
    hive = (w.start_node, w.end_node, w.passed, w.upper_zone, w.orientation, w.shared, w.emissivity, w.face, w.absorptance, w.sky, w.inside_m2, w.outside_m2, w.capacity, w.sorbs, w.per_kg, w.saturated_kg, w.curve, w.curve_step, w.constants, np.empty(w.nodes))
    scale = np.concatenate((np.ones(5), [0.01], np.ones(w.nodes), [10.0, 10.0], np.full(w.chains + w.nodes, 1e-3)))
    surfaces = np.empty(w.chains)

    def run(last):
        y = w.state.copy()
        upper, made, lost = [], [0.0], 0
        for number in range(1, last):
            d = number // 24
            day = (w.first_w_k[d], w.last_k_w[d], w.link_w_k[d], w.vapour_first[d], w.vapour_links[d], w.cluster[d], w.capacities[d])
            began_y = y.copy()
            for shorter in (1, 4, 16):
                y[:] = began_y
                made_j, missed = hour(y, w.weather[number - 1], w.weather[number], parts * shorter, hive, day, scale, surfaces)
                if missed == 0 and np.isfinite(y).all():
                    break
                lost += 1
            winter.run_off(y, surfaces)
            made.append(made[-1] + made_j)
            upper.append(y[2])
        return np.array(upper), np.array(made[1:]), lost

    run(3)  # Compiles.
    began = time.process_time()
    upper, made, lost = run(hours)
    return upper, made, time.process_time() - began, lost
