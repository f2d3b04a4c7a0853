"""The equations in NumPy over all chains and nodes at once, solved by SciPy's `solve_ivp`: what one writes first."""

import math
import time
from types import SimpleNamespace

import numpy as np
from scipy.integrate import solve_ivp

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
    run_off,
)

# Heat made is one more unknown, in MJ so that it is as large as the others.
MJ = 1e6
# Where a method begins: its own search for a first step costs more.
FIRST_STEP_S = 600.0


def smooth(s):
    s = min(max(s, 0.0), 1.0)
    return s * s * (3.0 - 2.0 * s)


def saturation_pa(c):
    over_water = c >= 0.0
    return 610.5 * np.exp(np.where(over_water, 17.269, 21.875) * c / (np.where(over_water, 237.3, 265.5) + c))


def scalars(record):
    """A record as plain floats, which Python reads fastest."""
    return SimpleNamespace(**{name: float(record[name]) for name in record.dtype.names})


class Rates:
    """Rates of change of a state with the heat made behind it; `surfaces_c` are insides of the last state asked for."""

    def __init__(self, of):
        net = self.net = of.network
        self.chains, self.nodes = of.chains, of.nodes
        chains, nodes = net.chains, net.nodes
        self.chain = SimpleNamespace(**{name: chains[name].copy() for name in chains.dtype.names})
        self.node = SimpleNamespace(**{name: nodes[name].copy() for name in nodes.dtype.names})
        self.k = scalars(net.constants[0])
        self.first, self.last = self.chain.start, self.chain.end - 1
        self.zone = np.where(self.chain.upper, 0, 1)
        self.lower = ~self.chain.upper
        self.open = self.chain.passed > self.chain.start
        place = np.arange(self.nodes)
        self.is_passed = np.zeros(self.nodes, bool)
        for start, passed in zip(self.chain.start, self.chain.passed):
            self.is_passed |= (place >= start) & (place < passed)
        self.last_passed = self.chain.passed[self.open] - 1
        self.all_open, self.all_passed, self.all_sorb = self.open.all(), self.is_passed.all(), self.node.sorbs.all()
        self.moisture = np.arange(len(net.curve)) / self.k.pieces_kg_kg
        self.surfaces_c = np.zeros(self.chains)
        self.set_day(0)

    def set_day(self, day):
        net = self.net
        self.today = SimpleNamespace(
            **{name: net.chain_days[day][name].copy() for name in net.chain_days.dtype.names},
            **{name: net.node_days[day][name].copy() for name in net.node_days.dtype.names},
        )
        self.c, self.caps = scalars(net.cluster[day]), scalars(net.capacities[day])

    def heat_w_kg(self, bees_c, set_c):
        k = self.k
        rest = k.resting_w_kg * math.exp(k.ln_q10_per_k * (min(bees_c, REST_HOTTEST_C) - REST_AT_C))
        return rest + k.heating_max_w_kg * smooth(0.5 + (set_c - bees_c) * k.heating_per_k)

    def node_pa(self, nodes_c, water_kg):
        content = np.maximum(water_kg * self.node.per_kg, 0.0)
        humidity = np.interp(content, self.moisture, self.net.curve)
        if not self.all_sorb:
            humidity = np.where(self.node.sorbs, humidity, np.minimum(content, 1.0))
        return humidity * saturation_pa(nodes_c)

    def convection(self, air_c, surface_c):
        outward = np.minimum(np.maximum((air_c - surface_c) / TURNOVER_K, -1.0), 1.0) * 0.5 + 0.5
        return self.chain.giving_w_m2k + self.chain.swing_w_m2k * outward

    def walls(self, y, v, carried):
        """Rates of films, nodes and their water, and what walls take from upper and lower air: heat, W, and vapour, kg/s."""
        chain, today, k, latent_j_kg = self.chain, self.today, self.k, self.k.latent_j_kg
        outside_c, wind, outside_pa, sky_w_m2 = v[0], v[1], v[3], v[4]
        nodes_c = y[LUMPED : LUMPED + self.nodes]
        films_kg = y[LUMPED + self.nodes : LUMPED + self.nodes + self.chains]
        node_pa = self.node_pa(nodes_c, y[LUMPED + self.nodes + self.chains : LUMPED + 2 * self.nodes + self.chains])
        air_c, air_pa = y[2:4][self.zone], y[6:8][self.zone]
        first_c, first_pa = nodes_c[self.first], node_pa[self.first]
        radiation = EMISSIVITY_INSIDE * BLACK_W_M2K4 * (0.5 * (air_c + first_c) + ZERO_C_K) ** 3
        film_w_k = chain.inside_m2 * (self.convection(air_c, first_c) + radiation)
        share_wet = np.minimum(np.maximum(films_kg / (PART_WET_KG_M2 * chain.inside_m2), 0.0), 1.0)
        inflow_w, held_w_k = film_w_k * air_c + today.first_w_k * first_c, film_w_k + today.first_w_k
        by_convection = chain.inside_m2 * (carried / LEWIS_FACTOR)
        freed_w = 0.0
        for _ in range(SURFACE_ROUNDS):
            surface_c = (inflow_w + freed_w) / held_w_k
            film = by_convection * self.convection(air_c, surface_c)
            saturated_pa = saturation_pa(surface_c)
            through_pa = (film * air_pa + today.vapour_first * first_pa) / (film + today.vapour_first)
            surface_pa = share_wet * saturated_pa + (1.0 - share_wet) * np.minimum(through_pa, saturated_pa)
            from_air, into = film * (air_pa - surface_pa), today.vapour_first * (surface_pa - first_pa)
            if not self.all_open:
                from_air, into = np.where(self.open, from_air, 0.0), np.where(self.open, into, 0.0)
            films_rate = from_air - into
            freed_w = latent_j_kg * films_rate
        self.surfaces_c = surface_c
        # Vapour from node to node.
        outflow = np.empty(self.nodes)
        outflow[:-1] = node_pa[:-1] - node_pa[1:]
        outflow[self.last_passed] = node_pa[self.last_passed] - outside_pa
        outflow *= today.vapour_link
        inflow = np.empty(self.nodes)
        inflow[1:] = outflow[:-1]
        inflow[self.first] = into
        gained = inflow - outflow
        if not self.all_passed:
            gained = np.where(self.is_passed, gained, 0.0)
        # Heat from node to node.
        film = 4.0 + 4.0 * wind + chain.emissivity * (BLACK_W_M2K4 * (outside_c + ZERO_C_K) ** 3)
        sol_air_c = outside_c + (chain.absorptance * v[5:][chain.face] - chain.sky * sky_w_m2) / film
        outside_w_k = np.where(chain.shared, 0.0, 1.0 / (today.last_k_w + 1.0 / (film * chain.outside_m2)))
        heat_out_w = np.empty(self.nodes)
        heat_out_w[:-1] = nodes_c[:-1] - nodes_c[1:]
        heat_out_w *= today.link_w_k
        heat_out_w[self.last] = outside_w_k * (nodes_c[self.last] - sol_air_c)
        heat_in_w = np.empty(self.nodes)
        heat_in_w[1:] = heat_out_w[:-1]
        heat_in_w[self.first] = today.first_w_k * (surface_c - first_c)
        nodes_rate = (heat_in_w - heat_out_w + latent_j_kg * gained) / self.node.capacity_j_k
        taken_w = film_w_k * (air_c - surface_c)
        taken = (
            float(taken_w[chain.upper].sum()),
            float(taken_w[self.lower].sum()),
            float(from_air[chain.upper].sum()),
            float(from_air[self.lower].sum()),
        )
        return nodes_rate, films_rate, gained, taken

    def __call__(self, y, v):
        k, c, caps = self.k, self.c, self.caps
        core_c, mantle_c, upper_c, lower_c, comb_c, tightness, upper_pa, lower_pa = y[:LUMPED].tolist()
        outside_c, wind, pressure_pa, outside_pa = v[:4].tolist()
        carried = MASS_RATIO / (AIR_J_KGK * pressure_pa)
        nodes_rate, films_rate, water_rate, taken = self.walls(y, v, carried)
        # The cluster.
        core_made_w = c.core_kg * self.heat_w_kg(core_c, c.core_set_c)
        mantle_made_w = c.mantle_kg * self.heat_w_kg(mantle_c, k.mantle_set_c)
        made_w = core_made_w + mantle_made_w
        open_share = 1.0 + c.vent_gain * smooth((core_c - c.vent_start_c) * c.vent_per_k)
        radius_m = c.loose_radius_m * math.exp(c.ln_radius_ratio * tightness)
        ease = 1.0 + c.loose_core_gain * (1.0 - tightness)
        core_w = c.core_w_mk * radius_m * ease * open_share * (core_c - mantle_c)
        mantle_w = c.loose_film_w_k * math.exp(c.ln_film_ratio * tightness) * (mantle_c - upper_c)
        by_mantle = smooth((c.mantle_loose_c - mantle_c) * c.mantle_per_k)
        by_core = smooth((c.core_set_c + c.core_relief_k - core_c) * c.core_per_k)
        sought = 1.0 - (1.0 - by_mantle) * (1.0 - by_core)
        # Air through the openings.
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
        upper_w = (
            mantle_w
            - (zones + up) * (upper_c - lower_c)
            - comb_w
            - taken[0]
            - (fanning + upper_w_k + down) * (upper_c - outside_c)
        )
        lower_w = (zones + down) * (upper_c - lower_c) - taken[1] - (lower_w_k + up) * (lower_c - outside_c)
        between_pa = upper_pa - lower_pa
        upper_kg_s = (
            k.water_kg_j * made_w
            - taken[2]
            - carried * ((zones + up) * between_pa + (upper_w_k + fanning + down) * (upper_pa - outside_pa))
        )
        lower_kg_s = carried * ((zones + down) * between_pa - (lower_w_k + up) * (lower_pa - outside_pa)) - taken[3]
        rates = np.empty(LUMPED + 2 * self.nodes + self.chains + 1)
        rates[:LUMPED] = (
            (k.sensible * core_made_w - core_w) / caps.core_j_k,
            (k.sensible * mantle_made_w + core_w - mantle_w) / caps.mantle_j_k,
            upper_w / caps.air_j_k,
            lower_w / caps.air_j_k,
            comb_w / caps.comb_j_k,
            (sought - tightness) / k.tightening_time_s,
            upper_kg_s / k.air_kg_pa,
            lower_kg_s / k.air_kg_pa,
        )
        rates[LUMPED : LUMPED + self.nodes] = nodes_rate
        rates[LUMPED + self.nodes : LUMPED + self.nodes + self.chains] = films_rate
        rates[LUMPED + self.nodes + self.chains : -1] = water_rate
        rates[-1] = made_w
        return rates


def solve(of, rates, method, rtol, hours, pattern=None):
    """Upper air and heat made up to the end of each hour, processor seconds, and how often the rates were evaluated, Jacobians not counted, and
    the method started.

    A day is integrated at once. Where water runs off at a full hour the state has a jump: it is taken back to there and started again, and
    goes on by the hour until an hour has none.
    """
    y = np.append(of.start, 0.0)
    net = of.network._replace(chains=of.network.chains.view(np.recarray), nodes=of.network.nodes.view(np.recarray))
    films_at, water_at = LUMPED + of.nodes, LUMPED + of.nodes + of.chains
    atol = rtol * np.append(of.scale, 0.01)
    upper_c, made_j = np.zeros(hours), np.zeros(hours)
    upper_c[0] = of.start[2]
    evaluations, starts = 0, 0
    options = {} if pattern is None or method == "LSODA" else {"jac_sparsity": pattern}
    weather = of.weather
    slopes = np.diff(weather, axis=0)
    began = time.process_time()
    hour, ran = 0, True
    while hour < hours - 1:
        # Days begin with the hour that ends at one.
        day = (hour + 1) // 24
        rates.set_day(day)
        until = hour + 1 if ran else min(24 * (day + 1) - 1, hours - 1)

        def change(t, y):
            t /= HOUR_S
            now = min(int(t), hours - 2)
            out = rates(y, weather[now] + slopes[now] * (t - now))
            out[-1] /= MJ
            return out

        ends = HOUR_S * np.arange(hour + 1, until + 1)
        found = solve_ivp(
            change,
            (HOUR_S * hour, ends[-1]),
            y,
            method,
            t_eval=ends,
            rtol=rtol,
            atol=atol,
            first_step=FIRST_STEP_S,
            max_step=HOUR_S,
            **options,
        )
        if not found.success:
            raise RuntimeError(f"hour {hour}: {found.message}")
        evaluations, starts = evaluations + found.nfev, starts + 1
        made_before_j = made_j[hour]
        for state in found.y.T:
            hour += 1
            y = state.copy()
            np.maximum(y[films_at:-1], 0.0, out=y[films_at:-1])
            rates(y, weather[hour])
            before = y.copy()
            run_off(y[films_at:water_at], y[water_at:-1], rates.surfaces_c, net)
            upper_c[hour], made_j[hour] = y[2], made_before_j + MJ * y[-1]
            ran = not np.array_equal(before, y)
            if ran:
                break
        y[-1] = 0.0
    return upper_c, made_j, time.process_time() - began, (evaluations, starts)


def sparsity(of, rates):
    """Which rates follow which parts of a state, from differences at wet states and dry ones."""
    pattern = np.eye(len(of.start) + 1, dtype=bool)
    films = slice(LUMPED + of.nodes, LUMPED + of.nodes + of.chains)
    for hour, state, _ in of.samples:
        rates.set_day(hour // 24)
        for film_kg in (0.0, 1e-5):
            y = np.append(state, 0.0)
            y[films] = film_kg
            base = rates(y, of.weather[hour])
            for column, by in enumerate(1e-4 * of.scale):
                moved = y.copy()
                moved[column] += by
                pattern[:, column] |= rates(moved, of.weather[hour]) != base
    return pattern
