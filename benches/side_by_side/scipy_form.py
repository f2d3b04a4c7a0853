"""The equations in NumPy, solved by SciPy: what one writes first."""

import time

import numpy as np
from scipy.integrate import solve_ivp

SIGMA, ZERO = 5.670374419e-8, 273.15
AIR_J_KGK, GAS, MASS_RATIO, LEWIS = 1006.0, 287.05, 0.621945, 0.8937948
UPPER_SHARE = 0.5
PART_WET = 2.0e-4


def smooth(s):
    s = np.clip(s, 0.0, 1.0)
    return s * s * (3.0 - 2.0 * s)


def saturation(c):
    return 610.5 * np.exp(np.where(c >= 0, 17.269 * c / (237.3 + c), 21.875 * c / (265.5 + c)))


def convection(orientation, air_c, surface_c):
    outward = np.clip((air_c - surface_c) / 0.5, -1.0, 1.0) * 0.5 + 0.5
    return np.choose(orientation, [np.full_like(outward, 2.5), 0.7 + 4.3 * outward, 5.0 - 4.3 * outward])


class Form:
    """Rates of change of one winter's state."""

    def __init__(self, winter):
        w = self.winter = winter
        self.last = w.end_node - 1
        self.is_last = np.zeros(w.nodes, bool)
        self.is_last[self.last] = True
        self.inner = np.flatnonzero(~self.is_last)
        self.is_passed = np.zeros(w.nodes, bool)
        self.last_passed = []
        for chain in range(w.chains):
            self.is_passed[w.start_node[chain] : w.start_node[chain] + w.passed[chain]] = True
            if w.passed[chain]:
                self.last_passed.append(w.start_node[chain] + w.passed[chain] - 1)
        self.last_passed = np.array(self.last_passed)
        self.open = w.passed > 0
        self.sunny = w.face >= 0

    def set_day(self, day):
        w = self.winter
        self.c = dict(zip(w.cluster_names, w.cluster[day]))
        self.capacities = w.capacities[day]
        self.first, self.last_k_w, self.link = w.first_w_k[day], w.last_k_w[day], w.link_w_k[day]
        self.vapour_first, self.vapour_link = w.vapour_first[day], w.vapour_links[day]

    def humidity(self, water):
        w = self.winter
        content = np.maximum(water * w.per_kg, 0.0)
        wood = np.interp(content, np.arange(len(w.curve)) * w.curve_step, w.curve)
        return np.minimum(np.where(w.sorbs, wood, content), 1.0)

    def heat(self, bees_c, set_c):
        resting, ln_q10, most, per_k = self.winter.constants[10:14]
        rest = resting * np.exp(ln_q10 * (min(bees_c, 36.0) - 10.0))
        return rest + most * smooth(0.5 + (set_c - bees_c) * per_k)

    def surfaces(self, y):
        """Inside surfaces while no water frees heat there."""
        return self.rates_and_surfaces(y, self.winter.weather[0])[1]

    def rates(self, y, weather):
        return self.rates_and_surfaces(y, weather)[0]

    def rates_and_surfaces(self, y, weather):
        w, c = self.winter, self.c
        (sensible, comb_film, tightening_s, mantle_set, zones0, zones_share, water_kg_j, fan_w_k, fan_start, fan_per_k) = w.constants[:10]
        (lower_half, lower_stack, upper_half, upper_stack, turbulence, wind_share, through_m2, rise, wind_pressure, air_kg_pa, latent) = w.constants[14:]
        outside, wind, pressure, outside_pa, sky = weather[:5]
        core, mantle, upper, lower, comb, tightness = y[:6]
        nodes_c = y[6 : 6 + w.nodes]
        upper_pa, lower_pa = y[6 + w.nodes : 8 + w.nodes]
        films_kg, water = y[8 + w.nodes : 8 + w.nodes + w.chains], y[8 + w.nodes + w.chains :]
        # The cluster.
        core_w = c["core_kg"] * self.heat(core, c["core_set_c"])
        mantle_made_w = c["mantle_kg"] * self.heat(mantle, mantle_set)
        vent = smooth((core - c["vent_start_c"]) * c["vent_per_k"])
        radius = c["loose_radius_m"] * np.exp(c["ln_radius_ratio"] * tightness)
        ease = 1.0 + c["loose_core_gain"] * (1.0 - tightness)
        inner_w = c["core_w_mk"] * radius * ease * (1.0 + c["vent_gain"] * vent) * (core - mantle)
        mantle_w = c["loose_film_w_k"] * np.exp(c["ln_film_ratio"] * tightness) * (mantle - upper)
        x_m = smooth((c["mantle_loose_c"] - mantle) * c["mantle_per_k"])
        x_c = smooth((c["core_set_c"] + c["core_relief_k"] - core) * c["core_per_k"])
        sought = 1.0 - (1.0 - x_m) * (1.0 - x_c)
        # Air.
        air_j_m3k = AIR_J_KGK * pressure / (GAS * (outside + ZERO))
        column = UPPER_SHARE * upper + (1.0 - UPPER_SHARE) * lower
        drive = rise * (column - outside) / (column + ZERO) + wind_pressure * wind * wind
        through = through_m2 * np.sqrt(abs(drive)) * np.sign(drive)
        still = turbulence + wind_share * wind * wind
        lower_w_k = max(lower_half * np.sqrt(still + lower_stack * abs(lower - outside)) - 0.5 * abs(through), 0.0) * air_j_m3k
        upper_w_k = max(upper_half * np.sqrt(still + upper_stack * abs(upper - outside)) - 0.5 * abs(through), 0.0) * air_j_m3k
        up, down = max(through, 0.0) * air_j_m3k, max(-through, 0.0) * air_j_m3k
        zones = zones0 + zones_share * lower_w_k
        fan = smooth((upper - fan_start) * fan_per_k)
        fanned_w = fan_w_k * fan * max(upper - outside, 0.0)
        carried = MASS_RATIO / (AIR_J_KGK * pressure)
        fanned_w_k = fan_w_k * fan if upper > outside else 0.0
        # Walls: films on both sides.
        air_c = np.where(w.upper_zone, upper, lower)
        first_c = nodes_c[w.start_node]
        mean_k = 0.5 * (air_c + first_c) + ZERO
        film = w.inside_m2 * (convection(w.orientation, air_c, first_c) + 0.9 * 4.0 * SIGMA * mean_k**3)
        outside_film = 4.0 + 4.0 * wind + w.emissivity * 4.0 * SIGMA * (outside + ZERO) ** 3
        sun = np.where(self.sunny, w.absorptance * weather[5:][w.face], 0.0)
        sol_air = outside + (sun - w.sky * sky) / outside_film
        outside_w_k = np.where(w.shared, 0.0, 1.0 / (self.last_k_w + 1.0 / (outside_film * w.outside_m2)))
        # Water.
        node_pa = self.humidity(water) * saturation(nodes_c)
        zone_pa = np.where(w.upper_zone, upper_pa, lower_pa)
        wet = np.clip(films_kg / (PART_WET * w.inside_m2), 0.0, 1.0)
        first_pa = node_pa[w.start_node]
        freed_w = np.zeros(w.chains)
        for _ in range(3):
            surface_c = (film * air_c + self.first * first_c + freed_w) / (film + self.first)
            saturated = saturation(surface_c)
            vapour_film = convection(w.orientation, air_c, surface_c) * w.inside_m2 * carried / LEWIS
            through_pa = (vapour_film * zone_pa + self.vapour_first * first_pa) / (vapour_film + self.vapour_first)
            surface_pa = wet * saturated + (1.0 - wet) * np.minimum(through_pa, saturated)
            from_air = np.where(self.open, vapour_film * (zone_pa - surface_pa), 0.0)
            into = np.where(self.open, self.vapour_first * (surface_pa - first_pa), 0.0)
            films_rate = from_air - into
            freed_w = latent * films_rate
        next_pa = np.append(node_pa[1:], outside_pa)
        next_pa[self.last_passed] = outside_pa
        outflow = np.where(self.is_passed, self.vapour_link * (node_pa - next_pa), 0.0)
        inflow = np.append(0.0, outflow[:-1])
        inflow[w.start_node] = into
        water_rate = np.where(self.is_passed, inflow - outflow, 0.0)
        exchange = carried * (zones + up)
        back = carried * (zones + down)
        upper_pa_rate = (
            water_kg_j * (core_w + mantle_made_w)
            - from_air[w.upper_zone].sum()
            - exchange * (upper_pa - lower_pa)
            - carried * (upper_w_k + fanned_w_k + down) * (upper_pa - outside_pa)
        ) / air_kg_pa
        lower_pa_rate = (
            back * (upper_pa - lower_pa)
            - from_air[~w.upper_zone].sum()
            - carried * (lower_w_k + up) * (lower_pa - outside_pa)
        ) / air_kg_pa
        # Walls: heat.
        taken = film * (air_c - surface_c)
        next_c = np.append(nodes_c[1:], 0.0)
        heat_out = self.link * (nodes_c - next_c)
        heat_out[self.last] = outside_w_k * (nodes_c[self.last] - sol_air)
        heat_in = np.append(0.0, heat_out[:-1])
        heat_in[w.start_node] = self.first * (surface_c - first_c)
        nodes_rate = (heat_in - heat_out + latent * water_rate) / w.capacity
        # Lumped.
        zones_w = zones * (upper - lower)
        comb_w = comb_film * (upper - comb)
        core_j, mantle_j, air_j, comb_j = self.capacities
        upper_rate = (
            mantle_w - zones_w - comb_w - taken[w.upper_zone].sum() - fanned_w
            - upper_w_k * (upper - outside) - up * (upper - lower) - down * (upper - outside)
        ) / air_j
        lower_rate = (
            zones_w - taken[~w.upper_zone].sum() - lower_w_k * (lower - outside)
            - up * (lower - outside) - down * (lower - upper)
        ) / air_j
        lumped = [
            (sensible * core_w - inner_w) / core_j,
            (sensible * mantle_made_w + inner_w - mantle_w) / mantle_j,
            upper_rate,
            lower_rate,
            comb_w / comb_j,
            (sought - tightness) / tightening_s,
        ]
        made = core_w + mantle_made_w
        return np.concatenate((lumped, nodes_rate, [upper_pa_rate, lower_pa_rate], films_rate, water_rate)), surface_c, made


def solve(winter, method, rtol, hours):
    """Upper air at the end of each hour, heat made, and processor seconds."""
    form = Form(winter)
    y = winter.state.copy()
    scale = np.concatenate((np.full(5, 1.0), [0.01], np.full(winter.nodes, 1.0), [10.0, 10.0], np.full(winter.chains + winter.nodes, 1e-3)))
    upper, made = [], [0.0]
    began = time.process_time()
    for hour in range(1, hours):
        form.set_day(hour // 24)
        a, b = winter.weather[hour - 1], winter.weather[hour]

        def rates(t, state):
            rate, _, heat_w = form.rates_and_surfaces(state[:-1], a + (b - a) * (t / 3600.0))
            return np.append(rate, heat_w)

        found = solve_ivp(rates, (0.0, 3600.0), np.append(y, 0.0), method=method, rtol=rtol, atol=np.append(rtol * scale, rtol * 1e4), t_eval=[3600.0])
        if not found.success:
            raise RuntimeError(f"hour {hour}: {found.message}")
        y = found.y[:-1, -1].copy()
        y[8 + winter.nodes :] = np.maximum(y[8 + winter.nodes :], 0.0)
        made.append(made[-1] + found.y[-1, -1])
        surfaces_c = form.rates_and_surfaces(y, b)[1]
        winter.run_off(y, surfaces_c)
        upper.append(y[2])
    return np.array(upper), np.array(made[1:]), time.process_time() - began
