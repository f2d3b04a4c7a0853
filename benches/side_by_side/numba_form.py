"""The equations in loops for Numba, one colony at a time.

An implicit method of two stages and second order (Alexander 1977), as the program's own. Newton's iterations are solved by structure:
each chain is a narrow band that touches nothing but the air before it, so chains are eliminated one by one and eight lumped unknowns are
left. The Jacobian comes from differences, chain by chain, and is kept until it serves no more. Arrays are handed on one by one: in a named
tuple each use of one would count references.
"""

import math
import time

import numpy as np
from numba import njit

import network
from network import (
    AIR_GAS_J_KGK,
    AIR_J_KGK,
    BLACK_W_M2K4,
    EMISSIVITY_INSIDE,
    HOUR_S,
    LEWIS_FACTOR,
    LUMPED,
    MASS_RATIO,
    PART_WET_KG_M2,
    REST_AT_C,
    REST_HOTTEST_C,
    SURFACE_ROUNDS,
    TURNOVER_K,
    ZERO_C_K,
)

# All of fast mathematics but for "there are no infinities and no NaN": where Newton's method strays there may be.
compiled = njit(fastmath={"reassoc", "contract", "arcp", "nsz", "afn"}, error_model="numpy")
run_off = compiled(network.run_off)

GAMMA = 1.0 - math.sqrt(0.5)
# Cells of a chain touch the next ones alone: film, then temperature and water of each node.
BAND = 3
MOST_ROUNDS = 30
# A round that leaves more than this of the change before asks for a new matrix.
SLOWEST = 0.3
# Largest change of a temperature in one round, K: smooth steps are flat outside their bands.
LARGEST_K = 4.0


@compiled
def smooth(s):
    s = min(max(s, 0.0), 1.0)
    return s * s * (3.0 - 2.0 * s)


@compiled
def saturation_pa(c):
    if c >= 0.0:
        return 610.5 * math.exp(17.269 * c / (237.3 + c))
    return 610.5 * math.exp(21.875 * c / (265.5 + c))


@compiled
def node_pa(c, content, sorbs, pieces_kg_kg, curve):
    content = max(content, 0.0)
    if sorbs:
        place = content * pieces_kg_kg
        piece = min(int(place), len(curve) - 2)
        content = curve[piece] + (place - piece) * (curve[piece + 1] - curve[piece])
    return min(content, 1.0) * saturation_pa(c)


@compiled
def outsides(v, chains, chain_day, outside_w_k, sol_air_c):
    """Couplings of the last nodes to the outside, and the temperature that it seems to have."""
    convection = 4.0 + 4.0 * v[1]
    radiation = BLACK_W_M2K4 * (v[0] + ZERO_C_K) ** 3
    for number in range(len(chains)):
        chain = chains[number]
        if chain.shared:
            outside_w_k[number], sol_air_c[number] = 0.0, 0.0
            continue
        film = convection + chain.emissivity * radiation
        gained_w_m2 = chain.absorptance * v[5 + chain.face] - chain.sky * v[4]
        outside_w_k[number] = 1.0 / (chain_day[number].last_k_w + 1.0 / (film * chain.outside_m2))
        sol_air_c[number] = v[0] + gained_w_m2 / film


@compiled
def of_chain(number, y, air_c, air_pa, v, chains, nodes, chain_day, node_day, k, curve, outside_w_k, sol_air_c, out):
    """Rates of one chain into `out`; heat and vapour that it takes from the air before it, and its inside's temperature."""
    chain, today = chains[number], chain_day[number]
    start, end, passed = chain.start, chain.end, chain.passed
    film_at = LUMPED + len(nodes) + number
    water_at = LUMPED + len(nodes) + len(chains)
    latent_j_kg, pieces_kg_kg = k.latent_j_kg, k.pieces_kg_kg
    first_w_k, first_c = today.first_w_k, y[LUMPED + start]
    giving, swing = chain.giving_w_m2k, chain.swing_w_m2k
    outward = min(max((air_c - first_c) / TURNOVER_K, -1.0), 1.0) * 0.5 + 0.5
    radiation = EMISSIVITY_INSIDE * BLACK_W_M2K4 * (0.5 * (air_c + first_c) + ZERO_C_K) ** 3
    film_w_k = chain.inside_m2 * (giving + swing * outward + radiation)
    by_convection = chain.inside_m2 * MASS_RATIO / (AIR_J_KGK * v[2] * LEWIS_FACTOR)
    share_wet = min(max(y[film_at] / (PART_WET_KG_M2 * chain.inside_m2), 0.0), 1.0)
    first, here_pa = today.vapour_first, 0.0
    if passed > start:
        here_pa = node_pa(first_c, y[water_at + start] * nodes[start].per_kg, nodes[start].sorbs, pieces_kg_kg, curve)
    freed_w, from_air, into, surface_c = 0.0, 0.0, 0.0, 0.0
    held_w_k = 1.0 / (film_w_k + first_w_k)
    for _ in range(SURFACE_ROUNDS):
        surface_c = (film_w_k * air_c + first_w_k * first_c + freed_w) * held_w_k
        if passed > start:
            outward = min(max((air_c - surface_c) / TURNOVER_K, -1.0), 1.0) * 0.5 + 0.5
            film = by_convection * (giving + swing * outward)
            saturated_pa = saturation_pa(surface_c)
            through_pa = (film * air_pa + first * here_pa) / (film + first)
            surface_pa = share_wet * saturated_pa + (1.0 - share_wet) * min(through_pa, saturated_pa)
            from_air, into = film * (air_pa - surface_pa), first * (surface_pa - here_pa)
            freed_w = latent_j_kg * (from_air - into)
    out[film_at] = from_air - into
    heat_in_w, vapour_in = first_w_k * (surface_c - first_c), into
    for node in range(start, end):
        c, gained_kg_s = y[LUMPED + node], 0.0
        if node < passed:
            next_pa = v[3]
            if node + 1 < passed:
                content = y[water_at + node + 1] * nodes[node + 1].per_kg
                next_pa = node_pa(y[LUMPED + node + 1], content, nodes[node + 1].sorbs, pieces_kg_kg, curve)
            vapour_out = node_day[node].vapour_link * (here_pa - next_pa)
            gained_kg_s, vapour_in, here_pa = vapour_in - vapour_out, vapour_out, next_pa
        if node + 1 < end:
            heat_out_w = node_day[node].link_w_k * (c - y[LUMPED + node + 1])
        else:
            heat_out_w = outside_w_k[number] * (c - sol_air_c[number])
        out[LUMPED + node] = (heat_in_w - heat_out_w + latent_j_kg * gained_kg_s) / nodes[node].capacity_j_k
        out[water_at + node] = gained_kg_s
        heat_in_w = heat_out_w
    return film_w_k * (air_c - surface_c), from_air, surface_c


@compiled
def heat_w_kg(bees_c, set_c, k):
    rest = k.resting_w_kg * math.exp(k.ln_q10_per_k * (min(bees_c, REST_HOTTEST_C) - REST_AT_C))
    return rest + k.heating_max_w_kg * smooth(0.5 + (set_c - bees_c) * k.heating_per_k)


@compiled
def of_lumped(y, taken, v, k, c, caps, out):
    """Rates of cluster and air into `out` while walls take `taken` from upper and lower air (W, W, kg/s, kg/s); heat made, W."""
    core_c, mantle_c, upper_c, lower_c, comb_c, tightness, upper_pa, lower_pa = y[0], y[1], y[2], y[3], y[4], y[5], y[6], y[7]
    outside_c, wind, pressure_pa, outside_pa = v[0], v[1], v[2], v[3]
    core_made_w = c.core_kg * heat_w_kg(core_c, c.core_set_c, k)
    mantle_made_w = c.mantle_kg * heat_w_kg(mantle_c, k.mantle_set_c, k)
    open_share = 1.0 + c.vent_gain * smooth((core_c - c.vent_start_c) * c.vent_per_k)
    radius_m = c.loose_radius_m * math.exp(c.ln_radius_ratio * tightness)
    ease = 1.0 + c.loose_core_gain * (1.0 - tightness)
    core_w = c.core_w_mk * radius_m * ease * open_share * (core_c - mantle_c)
    mantle_w = c.loose_film_w_k * math.exp(c.ln_film_ratio * tightness) * (mantle_c - upper_c)
    by_mantle = smooth((c.mantle_loose_c - mantle_c) * c.mantle_per_k)
    by_core = smooth((c.core_set_c + c.core_relief_k - core_c) * c.core_per_k)
    sought = 1.0 - (1.0 - by_mantle) * (1.0 - by_core)
    air_j_m3k = AIR_J_KGK * pressure_pa / (AIR_GAS_J_KGK * (outside_c + ZERO_C_K))
    column_c = 0.5 * (upper_c + lower_c)
    drive = k.rise_m2_s2 * (column_c - outside_c) / (column_c + ZERO_C_K) + k.wind_pressure * wind * wind
    through = math.copysign(k.through_m2 * math.sqrt(abs(drive)), drive)
    still = k.turbulence + k.wind * wind * wind
    lower_stream = k.lower_half_m2 * math.sqrt(still + k.lower_stack * abs(lower_c - outside_c))
    upper_stream = k.upper_half_m2 * math.sqrt(still + k.upper_stack * abs(upper_c - outside_c))
    lower_w_k = max(lower_stream - 0.5 * abs(through), 0.0) * air_j_m3k
    upper_w_k = max(upper_stream - 0.5 * abs(through), 0.0) * air_j_m3k
    up, down = max(through, 0.0) * air_j_m3k, max(-through, 0.0) * air_j_m3k
    zones = k.zone_exchange_w_k + k.zone_exchange_share * lower_w_k
    fanning = 0.0
    if upper_c > outside_c:
        fanning = k.fanning_full_w_k * smooth((upper_c - k.fanning_start_c) * k.fanning_per_k)
    comb_w = k.comb_film_w_k * (upper_c - comb_c)
    carried = MASS_RATIO / (AIR_J_KGK * pressure_pa)
    made_w = core_made_w + mantle_made_w
    out[0] = (k.sensible * core_made_w - core_w) / caps.core_j_k
    out[1] = (k.sensible * mantle_made_w + core_w - mantle_w) / caps.mantle_j_k
    out[2] = (
        mantle_w
        - (zones + up) * (upper_c - lower_c)
        - comb_w
        - taken[0]
        - (fanning + upper_w_k + down) * (upper_c - outside_c)
    ) / caps.air_j_k
    out[3] = ((zones + down) * (upper_c - lower_c) - taken[1] - (lower_w_k + up) * (lower_c - outside_c)) / caps.air_j_k
    out[4] = comb_w / caps.comb_j_k
    out[5] = (sought - tightness) / k.tightening_time_s
    out[6] = (
        k.water_kg_j * made_w
        - taken[2]
        - carried * ((zones + up) * (upper_pa - lower_pa) + (upper_w_k + fanning + down) * (upper_pa - outside_pa))
    ) / k.air_kg_pa
    out[7] = (
        carried * ((zones + down) * (upper_pa - lower_pa) - (lower_w_k + up) * (lower_pa - outside_pa)) - taken[3]
    ) / k.air_kg_pa
    return made_w


@compiled
def of_walls(y, v, chains, nodes, chain_day, node_day, k, curve, outside_w_k, sol_air_c, taken, surfaces_c, out):
    """Rates of all chains into `out`, and what they take from upper and lower air into `taken`."""
    taken[:] = 0.0
    for number in range(len(chains)):
        zone = 0 if chains[number].upper else 1
        heat_w, vapour, surface_c = of_chain(
            number, y, y[2 + zone], y[6 + zone], v, chains, nodes, chain_day, node_day, k, curve, outside_w_k, sol_air_c, out
        )
        surfaces_c[number] = surface_c
        taken[zone] += heat_w
        taken[2 + zone] += vapour


@compiled
def factorise(
    y, h, v, chains, nodes, chain_day, node_day, k, curve, outside_w_k, sol_air_c, cluster, caps,
    places, moved, taken, surfaces_c, band, by_air, from_chain, lumped, base, out,
):  # fmt: skip
    """`1 - h J` about `y`: chains as factors in `band`, what air does to them in `by_air`, the inverse of what is left in `lumped`.

    Differences of one chain at a time, which the others do not feel. No row changes place: each holds most on its diagonal.
    """
    of_walls(y, v, chains, nodes, chain_day, node_day, k, curve, outside_w_k, sol_air_c, taken, surfaces_c, base)
    of_lumped(y, taken, v, k, cluster, caps, base)
    for column in range(LUMPED):
        kept = y[column]
        y[column] = kept + moved[column]
        of_lumped(y, taken, v, k, cluster, caps, out)
        y[column] = kept
        for row in range(LUMPED):
            lumped[row, column] = -h * (out[row] - base[row]) / moved[column]
        lumped[column, column] += 1.0
    per_w, per_kg = h / caps.air_j_k, h / k.air_kg_pa
    for number in range(len(chains)):
        zone = 0 if chains[number].upper else 1
        size = 1 + 2 * (chains[number].end - chains[number].start)
        air_c, air_pa = y[2 + zone], y[6 + zone]
        heat_w, vapour, _ = of_chain(number, y, air_c, air_pa, v, chains, nodes, chain_day, node_day, k, curve, outside_w_k, sol_air_c, out)
        for local in range(size):
            column = places[number, local]
            kept, by = y[column], 1.0 / moved[column]
            y[column] = kept + moved[column]
            by_heat_w, by_vapour, _ = of_chain(number, y, air_c, air_pa, v, chains, nodes, chain_day, node_day, k, curve, outside_w_k, sol_air_c, out)
            y[column] = kept
            for other in range(max(local - BAND, 0), min(local + BAND + 1, size)):
                row = places[number, other]
                band[number, other, local] = -h * (out[row] - base[row]) * by
            band[number, local, local] += 1.0
            if local < BAND:
                from_chain[number, 0, local] = per_w * (by_heat_w - heat_w) * by
                from_chain[number, 1, local] = per_kg * (by_vapour - vapour) * by
        for which in range(2):
            column = 4 * which + 2 + zone
            by = 1.0 / moved[column]
            moved_c, moved_pa = air_c, air_pa + moved[column]
            if which == 0:
                moved_c, moved_pa = air_c + moved[column], air_pa
            by_heat_w, by_vapour, _ = of_chain(number, y, moved_c, moved_pa, v, chains, nodes, chain_day, node_day, k, curve, outside_w_k, sol_air_c, out)
            lumped[2 + zone, column] += per_w * (by_heat_w - heat_w) * by
            lumped[6 + zone, column] += per_kg * (by_vapour - vapour) * by
            for local in range(size):
                row = places[number, local]
                by_air[number, which, local] = -h * (out[row] - base[row]) * by
        for pivot in range(size):
            over = 1.0 / band[number, pivot, pivot]
            band[number, pivot, pivot] = over
            for row in range(pivot + 1, min(pivot + BAND + 1, size)):
                factor = band[number, row, pivot] * over
                band[number, row, pivot] = factor
                for column in range(pivot + 1, min(pivot + BAND + 1, size)):
                    band[number, row, column] -= factor * band[number, pivot, column]
        for which in range(2):
            solve_chain(number, band, by_air[number, which], size)
            column = 4 * which + 2 + zone
            for local in range(BAND):
                lumped[2 + zone, column] -= from_chain[number, 0, local] * by_air[number, which, local]
                lumped[6 + zone, column] -= from_chain[number, 1, local] * by_air[number, which, local]
    lumped[:] = np.linalg.inv(lumped)


@compiled
def solve_chain(number, band, b, size):
    for row in range(1, size):
        for column in range(max(row - BAND, 0), row):
            b[row] -= band[number, row, column] * b[column]
    for row in range(size - 1, -1, -1):
        for column in range(row + 1, min(row + BAND + 1, size)):
            b[row] -= band[number, row, column] * b[column]
        b[row] *= band[number, row, row]


@compiled
def change_of(residual, chains, places, band, by_air, from_chain, lumped, own, four, change):
    """Solves `(1 - h J) change = residual` with the factors."""
    for row in range(LUMPED):
        four[row] = residual[row]
    for number in range(len(chains)):
        zone = 0 if chains[number].upper else 1
        size = 1 + 2 * (chains[number].end - chains[number].start)
        for local in range(size):
            own[number, local] = residual[places[number, local]]
        solve_chain(number, band, own[number], size)
        for local in range(BAND):
            four[2 + zone] -= from_chain[number, 0, local] * own[number, local]
            four[6 + zone] -= from_chain[number, 1, local] * own[number, local]
    for row in range(LUMPED):
        total = 0.0
        for column in range(LUMPED):
            total += lumped[row, column] * four[column]
        change[row] = total
    for number in range(len(chains)):
        zone = 0 if chains[number].upper else 1
        for local in range(1 + 2 * (chains[number].end - chains[number].start)):
            by_air_c, by_air_pa = by_air[number, 0, local] * change[2 + zone], by_air[number, 1, local] * change[6 + zone]
            change[places[number, local]] = own[number, local] - by_air_c - by_air_pa


@compiled
def winter(start, weather, parts, tolerance, hours, net, places, scale, upper_c, made_j):
    """Fills upper air and heat made up to the end of each hour; matrices made, rounds, and stages that did not settle."""
    chains, nodes, curve, k = net.chains, net.nodes, net.curve, net.constants[0]
    size, films_at, water_at, longest = len(start), LUMPED + len(nodes), LUMPED + len(nodes) + len(chains), places.shape[1]
    band, by_air = np.zeros((len(chains), longest, longest)), np.zeros((len(chains), 2, longest))
    from_chain, lumped = np.zeros((len(chains), 2, BAND)), np.zeros((LUMPED, LUMPED))
    own, eight = np.zeros((len(chains), longest)), np.zeros(LUMPED)
    outside_w_k, sol_air_c, surfaces_c = np.zeros(len(chains)), np.zeros(len(chains)), np.zeros(len(chains))
    taken, out, work = np.zeros(4), np.zeros(size), np.zeros(size)
    residual, change, v = np.zeros(size), np.zeros(size), np.zeros(weather.shape[1])
    y, base, end, moved = start.copy(), start.copy(), start.copy(), 1e-4 * scale
    h = HOUR_S / parts
    stage_s = GAMMA * h
    matrices, all_rounds, unsettled, has_matrix = 0, 0, 0, False
    for hour in range(1, hours):
        day = hour // 24
        chain_day, node_day, cluster, caps = net.chain_days[day], net.node_days[day], net.cluster[day], net.capacities[day]
        made = 0.0
        for part in range(parts):
            for second in range(2):
                on = (part + (1.0 if second else GAMMA)) / parts
                for i in range(len(v)):
                    v[i] = weather[hour - 1, i] + on * (weather[hour, i] - weather[hour - 1, i])
                outsides(v, chains, chain_day, outside_w_k, sol_air_c)
                for i in range(size):
                    base[i] = y[i] + (1.0 - GAMMA) / GAMMA * (end[i] - y[i]) if second else y[i]
                    if not second:
                        end[i] = y[i]
                    elif i < films_at:
                        # The search begins where the first stage was heading.
                        end[i] += (1.0 - GAMMA) / GAMMA * (end[i] - y[i])
                made_w, settled, fresh, off, share = 0.0, False, False, np.inf, 1.0
                for rounds in range(MOST_ROUNDS):
                    if not has_matrix:
                        factorise(
                            end, stage_s, v, chains, nodes, chain_day, node_day, k, curve, outside_w_k, sol_air_c, cluster, caps,
                            places, moved, taken, surfaces_c, band, by_air, from_chain, lumped, work, out,
                        )  # fmt: skip
                        matrices, has_matrix, fresh = matrices + 1, True, True
                    of_walls(end, v, chains, nodes, chain_day, node_day, k, curve, outside_w_k, sol_air_c, taken, surfaces_c, out)
                    made_w = of_lumped(end, taken, v, k, cluster, caps, out)
                    for i in range(size):
                        residual[i] = base[i] + stage_s * out[i] - end[i]
                    change_of(residual, chains, places, band, by_air, from_chain, lumped, own, eight, change)
                    before, off = off, 0.0
                    for i in range(size):
                        off = max(off, abs(change[i]) / scale[i])
                        if i < 5:
                            change[i] = min(max(change[i], -LARGEST_K), LARGEST_K)
                        end[i] += share * change[i]
                    all_rounds += 1
                    if off < tolerance:
                        settled = True
                        break
                    if off > SLOWEST * before:
                        # Where a film dries up or a cell fills, rounds may swing to and fro: shorter ones settle.
                        if fresh:
                            share = max(0.5 * share, 0.125)
                        has_matrix = False
                    fresh = False
                if not settled:
                    unsettled, has_matrix = unsettled + 1, False
                made += h * (GAMMA if second else 1.0 - GAMMA) * made_w
            y[:] = end
        for i in range(films_at, size):
            y[i] = max(y[i], 0.0)
        run_off(y[films_at:water_at], y[water_at:], surfaces_c, net)
        upper_c[hour], made_j[hour] = y[2], made_j[hour - 1] + made
    return matrices, all_rounds, unsettled


def places_of(of):
    """Place in a state of each chain's unknowns: its film, then temperature and water of each node."""
    chains = of.network.chains
    places = np.zeros((of.chains, 1 + 2 * (chains["end"] - chains["start"]).max()), int)
    for number, chain in enumerate(chains):
        places[number, 0] = LUMPED + of.nodes + number
        for local, node in enumerate(range(chain["start"], chain["end"])):
            places[number, 1 + 2 * local] = LUMPED + node
            places[number, 2 + 2 * local] = LUMPED + of.nodes + of.chains + node
    return places


def solve(of, parts, tolerance, hours):
    """Upper air and heat made up to the end of each hour, processor seconds, and what the method did."""
    places = places_of(of)

    def run(last):
        upper_c, made_j = np.zeros(last), np.zeros(last)
        upper_c[0] = of.start[2]
        did = winter(of.start, of.weather, parts, tolerance, last, of.network, places, of.scale, upper_c, made_j)
        return upper_c, made_j, did

    run(3)  # Compiles.
    began = time.process_time()
    upper_c, made_j, did = run(hours)
    return upper_c, made_j, time.process_time() - began, did


@compiled
def rates_in(y, v, day, net, outside_w_k, sol_air_c, taken, surfaces_c, out):
    chains, nodes, curve, k = net.chains, net.nodes, net.curve, net.constants[0]
    chain_day, node_day = net.chain_days[day], net.node_days[day]
    outsides(v, chains, chain_day, outside_w_k, sol_air_c)
    of_walls(y, v, chains, nodes, chain_day, node_day, k, curve, outside_w_k, sol_air_c, taken, surfaces_c, out)
    return of_lumped(y, taken, v, k, net.cluster[day], net.capacities[day], out)


class Rates:
    """Rates of a state with the heat made behind it, for SciPy."""

    def __init__(self, of):
        self.of, self.day = of, 0
        self.outside_w_k, self.sol_air_c, self.surfaces_c = np.zeros(of.chains), np.zeros(of.chains), np.zeros(of.chains)
        self.taken = np.zeros(4)

    def set_day(self, day):
        self.day = day

    def __call__(self, y, v):
        out = np.empty(len(self.of.start) + 1)
        out[-1] = rates_in(y, v, self.day, self.of.network, self.outside_w_k, self.sol_air_c, self.taken, self.surfaces_c, out)
        return out
