"""The winter that the program's example `export` wrote, as arrays, for both forms of the equations.

A state is one vector: core, mantle, upper and lower air, comb (degC), tightness, vapour pressure of upper and lower air (Pa); then
the nodes of all chains (degC), the film of each chain (kg) and the water of all nodes (kg).
"""

import json
from collections import namedtuple

import numpy as np

HOUR_S = 3600.0
LUMPED = 8
# Physics shared by both forms, as in the program's `hive::film`, `hive::airflow`, `hive::vapour`, `colony::metabolism` and
# `season::moisture::rates`.
BLACK_W_M2K4 = 4.0 * 5.670374419e-8
EMISSIVITY_INSIDE = 0.9
ZERO_C_K = 273.15
TURNOVER_K = 0.5
AIR_J_KGK, AIR_GAS_J_KGK, MASS_RATIO, LEWIS_FACTOR = 1006.0, 287.05, 0.621945, 0.8937948
PART_WET_KG_M2 = 2.0e-4
REST_AT_C, REST_HOTTEST_C = 10.0, 36.0
SURFACE_ROUNDS = 3

# Convection inside, W/m2K, of a surface that takes heat from air, and of one that gives it.
CONVECTION = {"vertical": (2.5, 2.5), "lid": (5.0, 0.7), "floor": (0.7, 5.0)}

# Arrays of records: of each chain, of each node, and both on each day; of the cluster on each day; one of what stays all winter. And
# the curve of wood.
Network = namedtuple("Network", "chains nodes chain_days node_days cluster capacities constants curve")


def wood_moisture(humidity):
    """Hailwood and Horrobin's equation at 5 degC, as in the program's `material::sorption`."""
    t = 5.0
    weight = 349.0 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = k * humidity
    bound = (k1 * kh + 2 * k1 * k2 * kh * kh) / (1 + k1 * kh + k1 * k2 * kh * kh)
    return 18.0 / weight * (kh / (1 - kh) + bound)


def wood_curve(pieces=128):
    """Humidity at evenly spaced moisture contents, and the spacing."""
    saturated = wood_moisture(1.0)
    low, high = np.zeros(pieces + 1), np.ones(pieces + 1)
    wanted = np.linspace(0.0, saturated, pieces + 1)
    for _ in range(60):
        middle = 0.5 * (low + high)
        below = wood_moisture(middle) < wanted
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return 0.5 * (low + high), saturated / pieces


def records(rows):
    """Dictionaries of numbers as an array of records."""
    names = [name for name, value in rows[0].items() if not isinstance(value, (dict, list, str))]
    dtype = np.dtype([(name, type(rows[0][name])) for name in names], align=True)
    return np.array([tuple(row[name] for name in names) for row in rows], dtype=dtype)


def of_chain(end, path, balance):
    orientation, moisture = end["orientation"], balance["moisture"]
    taking, giving = CONVECTION[orientation]
    holds = {"vertical": "runoff_kg_m2", "lid": "drip_kg_m2", "floor": "pool_kg_m2"}[orientation]
    face, absorptance = end["sun"] or (0, 0.0)
    return {
        "start": end["nodes"]["start"],
        "end": end["nodes"]["end"],
        # Vapour passes the nodes before this one.
        "passed": path["passed"]["end"],
        "upper": end["zone"] == "upper",
        "floor": orientation == "floor",
        "shared": end["shared"],
        "inside_m2": end["inside_m2"],
        "outside_m2": end["outside_m2"],
        "emissivity": balance["walls"]["emissivities"][end["finish"]],
        "sky": end["sky"],
        "face": face,
        "absorptance": absorptance,
        "giving_w_m2k": giving,
        "swing_w_m2k": taking - giving,
        "holds_kg": moisture[holds] * end["inside_m2"],
    }


def constants(balance, curve_step):
    draught, fanning = balance["draught"], balance["fanning"]
    flat = {name: value for name, value in balance.items() if isinstance(value, float)}
    flat |= balance["metabolism"]
    flat |= {f"lower_{name}": value for name, value in draught["lower"].items()}
    flat |= {f"upper_{name}": value for name, value in draught["upper"].items()}
    flat |= {name: value for name, value in draught.items() if isinstance(value, float)}
    flat |= {f"fanning_{name}": value for name, value in fanning.items()}
    flat |= {name: balance["moisture"][name] for name in ("air_kg_pa", "latent_j_kg")}
    return flat | {"pieces_kg_kg": 1.0 / curve_step}


def network(days):
    first = days[0]
    walls, moisture = first["walls"], first["moisture"]
    curve, curve_step = wood_curve()
    names = ("sorbs", "sucks", "per_kg", "saturated_kg", "full_kg")
    cells = zip(walls["capacity_j_k"], moisture["cells"])

    def chain_days(day):
        ends = zip(day["walls"]["ends"], day["moisture"]["paths"])
        return records([{"first_w_k": e["first_w_k"], "last_k_w": e["last_k_w"], "vapour_first": p["first"]} for e, p in ends])

    def node_days(day):
        links = zip(day["walls"]["link_w_k"], day["moisture"]["links"])
        return records([{"link_w_k": heat, "vapour_link": vapour} for heat, vapour in links])

    return Network(
        chains=records([of_chain(end, path, first) for end, path in zip(walls["ends"], moisture["paths"])]),
        nodes=records([{"capacity_j_k": capacity} | {name: cell[name] for name in names} for capacity, cell in cells]),
        chain_days=np.array([chain_days(day) for day in days]),
        node_days=np.array([node_days(day) for day in days]),
        cluster=records([day["of_day"]["cluster"] for day in days]),
        capacities=records([day["of_day"]["capacities"] for day in days]),
        constants=records([constants(first, curve_step)]),
        curve=curve,
    )


def vector(state):
    """A state of the program as a vector."""
    water = state["water"]
    lumped = [state[name] for name in ("core_c", "mantle_c", "upper_c", "lower_c", "comb_c", "tightness")]
    return np.array(lumped + [water["upper_pa"], water["lower_pa"]] + state["walls_c"] + water["films_kg"] + water["nodes_kg"])


class Winter:
    """All of one winter, from the end of its first hour."""

    def __init__(self, path):
        with open(path, encoding="utf-8") as file:
            data = json.load(file)
        self.network = network(data["days"])
        self.chains, self.nodes = len(self.network.chains), len(self.network.nodes)
        self.weather = np.array(
            [
                [w["outside_c"], w["wind_m_s"], w["pressure_pa"], w["vapour_pa"], w["sky_w_m2"], *w["sun_w_m2"]]
                for w in data["weather"]
            ]
        )
        self.start = vector(data["state"])
        self.upper_c = np.array(data["upper_c"])
        self.made_j = np.array(data["made_j"])
        # Hour, state and rates of change by the program's own equations.
        self.samples = [(s["hour"], vector(s["state"]), vector(s["rates"])) for s in data["samples"]]
        # How large a change of each part of a state is one to speak of.
        self.scale = np.concatenate(
            ([1.0] * 5, [0.02], [10.0] * 2, np.ones(self.nodes), np.full(self.chains, 1e-3), np.full(self.nodes, 1e-3))
        )


def run_off(films_kg, water_kg, surfaces_c, net):
    """Liquid that does not stay where it condensed, once an hour: layers overflow inward, films are sucked up, drip or run down."""
    running_kg = 0.0
    for number in range(len(films_kg)):
        chain, nodes = net.chains[number], net.nodes
        for node in range(chain.passed - 1, chain.start - 1, -1):
            excess_kg = water_kg[node] - nodes[node].full_kg
            if excess_kg > 0.0:
                water_kg[node] = nodes[node].full_kg
                if node == chain.start:
                    films_kg[number] += excess_kg
                else:
                    water_kg[node - 1] += excess_kg
        thawed = surfaces_c[number] >= 0.0
        if thawed:
            for to_the_brim in (False, True):
                for node in range(chain.start, chain.passed):
                    if not nodes[node].sucks:
                        break
                    holds_kg = nodes[node].full_kg if to_the_brim else nodes[node].saturated_kg
                    sucked_kg = min(films_kg[number], max(holds_kg - water_kg[node], 0.0))
                    water_kg[node] += sucked_kg
                    films_kg[number] -= sucked_kg
        if chain.floor:
            films_kg[number] += running_kg
            running_kg = 0.0
        if thawed:
            excess_kg = max(films_kg[number] - chain.holds_kg, 0.0)
            films_kg[number] -= excess_kg
            running_kg += excess_kg
