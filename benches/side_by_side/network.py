"""The winter that `cargo run --release --example export` wrote, as arrays: the numbers of the same equations for SciPy and for Numba.

A state is one vector: core, mantle, upper and lower air, comb (degC), tightness, nodes (degC), vapour pressure of upper and
lower air (Pa), films (kg), water of nodes (kg).
"""

import json

import numpy as np

HOUR_S = 3600.0
SUNNY = ["front", "right", "back", "left", "lid"]
ORIENTATION = {"vertical": 0, "lid": 1, "floor": 2}
# Hailwood and Horrobin's equation at 5 degC, as in the program's `material::sorption`.
REFERENCE_C = 5.0
PIECES = 128


def wood_moisture(humidity):
    t = REFERENCE_C
    weight = 349.0 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = k * humidity
    bound = (k1 * kh + 2 * k1 * k2 * kh * kh) / (1 + k1 * kh + k1 * k2 * kh * kh)
    return 18.0 / weight * (kh / (1 - kh) + bound)


def wood_curve():
    """Humidity at evenly spaced moisture contents, and the spacing."""
    saturated = wood_moisture(1.0)
    low, high = np.zeros(PIECES + 1), np.ones(PIECES + 1)
    wanted = np.linspace(0.0, saturated, PIECES + 1)
    for _ in range(60):
        middle = 0.5 * (low + high)
        below = wood_moisture(middle) < wanted
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return 0.5 * (low + high), saturated / PIECES


def faced(path):
    return SUNNY.index(path) if path in SUNNY else -1


class Winter:
    """All arrays of one winter."""

    def __init__(self, path):
        with open(path, encoding="utf-8") as file:
            data = json.load(file)
        self.data = data
        first = data["days"][0]
        ends, paths = first["walls"]["ends"], first["moisture"]["paths"]
        self.chains, self.nodes = len(ends), len(first["walls"]["capacity_j_k"])
        self.start_node = np.array([end["nodes"]["start"] for end in ends])
        self.end_node = np.array([end["nodes"]["end"] for end in ends])
        self.passed = np.array([p["passed"]["end"] - p["passed"]["start"] for p in paths])
        self.upper_zone = np.array([end["zone"] == "upper" for end in ends])
        self.orientation = np.array([ORIENTATION[end["orientation"]] for end in ends])
        self.shared = np.array([end["shared"] for end in ends])
        emissivities = first["walls"]["emissivities"]
        self.emissivity = np.array([emissivities[end["finish"]] for end in ends])
        self.face = np.array([end["sun"][0] if end["sun"] else -1 for end in ends])
        self.absorptance = np.array([end["sun"][1] if end["sun"] else 0.0 for end in ends])
        self.sky = np.array([end["sky"] for end in ends])
        self.inside_m2 = np.array([end["inside_m2"] for end in ends])
        self.outside_m2 = np.array([end["outside_m2"] for end in ends])
        self.capacity = np.array(first["walls"]["capacity_j_k"])
        cells = first["moisture"]["cells"]
        self.sorbs = np.array([cell["sorbs"] for cell in cells])
        self.sucks = np.array([cell["sucks"] for cell in cells])
        self.per_kg = np.array([cell["per_kg"] for cell in cells])
        self.saturated_kg = np.array([cell["saturated_kg"] for cell in cells])
        self.full_kg = np.array([cell["full_kg"] for cell in cells])
        self.curve, self.curve_step = wood_curve()
        days = data["days"]
        self.first_w_k = np.array([[e["first_w_k"] for e in d["walls"]["ends"]] for d in days])
        self.last_k_w = np.array([[e["last_k_w"] for e in d["walls"]["ends"]] for d in days])
        self.link_w_k = np.array([d["walls"]["link_w_k"] for d in days])
        self.vapour_first = np.array([[p["first"] for p in d["moisture"]["paths"]] for d in days])
        self.vapour_links = np.array([d["moisture"]["links"] for d in days])
        cluster = [d["of_day"]["cluster"] for d in days]
        self.cluster_names = list(cluster[0])
        self.cluster = np.array([[c[name] for name in self.cluster_names] for c in cluster])
        names = ["core_j_k", "mantle_j_k", "air_j_k", "comb_j_k"]
        self.capacities = np.array([[d["of_day"]["capacities"][n] for n in names] for d in days])
        b, m = first, first["moisture"]
        self.constants = np.array(
            [
                b["sensible"], b["comb_film_w_k"], b["tightening_time_s"], b["mantle_set_c"],
                b["zone_exchange_w_k"], b["zone_exchange_share"], b["water_kg_j"],
                b["fanning"]["full_w_k"], b["fanning"]["start_c"], b["fanning"]["per_k"],
                *(b["metabolism"][n] for n in ("resting_w_kg", "ln_q10_per_k", "heating_max_w_kg", "heating_per_k")),
                *(b["draught"]["lower"][n] for n in ("half_m2", "stack")),
                *(b["draught"]["upper"][n] for n in ("half_m2", "stack")),
                *(b["draught"][n] for n in ("turbulence", "wind", "through_m2", "rise_m2_s2", "wind_pressure")),
                m["air_kg_pa"], m["latent_j_kg"],
            ]
        )
        self.drip = np.array([m["drip_kg_m2"], m["runoff_kg_m2"], m["pool_kg_m2"]])
        self.weather = np.array(
            [
                [w["outside_c"], w["wind_m_s"], w["pressure_pa"], w["vapour_pa"], w["sky_w_m2"], *w["sun_w_m2"]]
                for w in data["weather"]
            ]
        )
        self.ours_upper_c = np.array(data["upper_c"])
        self.ours_made_j = np.array(data["made_j"])
        s = data["state"]
        self.state = np.array(
            [s["core_c"], s["mantle_c"], s["upper_c"], s["lower_c"], s["comb_c"], s["tightness"]]
            + s["walls_c"]
            + [s["water"]["upper_pa"], s["water"]["lower_pa"]]
            + s["water"]["films_kg"]
            + s["water"]["nodes_kg"]
        )

    def run_off(self, state, surfaces_c):
        """Liquid that does not stay where it condensed, once an hour."""
        first_film = 8 + self.nodes
        films, water = state[first_film : first_film + self.chains], state[first_film + self.chains :]
        running = 0.0
        for chain in range(self.chains):
            start, count = self.start_node[chain], self.passed[chain]
            for node in range(start + count - 1, start - 1, -1):
                excess = water[node] - self.full_kg[node]
                if excess > 0.0:
                    water[node] = self.full_kg[node]
                    if node == start:
                        films[chain] += excess
                    else:
                        water[node - 1] += excess
            orientation = self.orientation[chain]
            if orientation == 2:
                films[chain] += running
                running = 0.0
            if surfaces_c[chain] < 0.0:
                continue
            for holds in (self.saturated_kg, self.full_kg):
                for node in range(start, start + count):
                    if not self.sucks[node]:
                        break
                    sucked = min(films[chain], max(holds[node] - water[node], 0.0))
                    water[node] += sucked
                    films[chain] -= sucked
            limit = self.drip[[1, 0, 2][orientation]] * self.inside_m2[chain]
            excess = max(films[chain] - limit, 0.0)
            films[chain] -= excess
            running += excess
