"""Asks the running service about rooms, pairs and fills, and compares every figure with an independent computation.

Usage: thermal_check.py ADDRESS [CASES], ADDRESS as http://127.0.0.1:8080 or 127.0.0.1:8080; CASES per subject, 500 when
left out. Cases are random with a fixed seed. Ends with 1 at the first subject that disagrees, naming the worst cases.

What is independent: water by IAPWS-95 (package iapws), glycol by CoolProp, the body's temperature over time by numeric
integration (scipy, RK45), the emission law and the room's sum written down here once more.

Tolerances, each what the service rounds when it prints and what two right methods may differ by:
  room           0.1 W a step and in all (the service rounds the total up and shares the rest out)
  steady state   0.1 W (rounded down to a tenth), 0.005 K, 0.0006 of the duty
  warm-up        the fluid at the printed time within 0.02 K of the printed goal; cool-down likewise
  energy         0.3 % of the first day or 0.002 kWh (steps of 5 s here)
  water          0.0005 l, 0.0005 kg and 0.02 g a litre, expansion 0.003 %, pressure 0.1 % or 0.05 kPa and what that
                 error of expansion does to the air that is left
  glycol         density 0.3 kg/m3 and expansion 0.03 % (the service reads straight lines between the rows of a table),
                 pressure 0.1 % or 0.05 kPa and what that error of expansion does to the air that is left
"""

import json
import math
import random
import sys
import urllib.request

from CoolProp.CoolProp import PropsSI
from iapws import IAPWS95
from iapws.iapws97 import _PSat_T
from scipy.integrate import solve_ivp

SEED = 20261125
ATMOSPHERE_KPA = 101.325
SURFACES = ["external_wall", "window", "door", "roof"]


class Tally:
    """Differences of one subject: how many were compared, the largest as a share of its tolerance, and the misses."""

    def __init__(self, subject):
        self.subject, self.count, self.worst, self.misses = subject, 0, 0.0, []

    def compare(self, what, found, expected, tolerance, case):
        self.count += 1
        share = math.inf if found is None else abs(found - expected) / tolerance
        self.worst = max(self.worst, share)
        if not share <= 1.0:
            self.misses.append(f"{what}: service {found}, here {expected}, tolerance {tolerance}\n      {json.dumps(case)}")

    def close(self):
        verdict = "agrees" if not self.misses and self.count else "DISAGREES"
        print(f"{self.subject:<14} {verdict}: {self.count} figures, the largest difference is {self.worst:.2f} of its tolerance")
        for miss in self.misses[:5]:
            print("   ", miss)
        return verdict == "agrees"


class Service:
    def __init__(self, address):
        self.base = address if "://" in address else f"http://{address}"

    def ask(self, path, body):
        data = json.dumps(body).encode()
        request = urllib.request.Request(self.base + path, data, {"content-type": "application/json"})
        try:
            with urllib.request.urlopen(request, timeout=30) as answer:
                return json.load(answer)
        except urllib.error.HTTPError as refusal:
            raise SystemExit(f"{path} answered {refusal.code} to {body}: {refusal.read().decode()}")


# --- rooms ---------------------------------------------------------------------------------------------------------


def make_room(dice):
    # Whole millimetres and few decimals, as people write them.
    indoor, outdoor = round(dice.uniform(16, 26), 1), round(dice.uniform(-20, 12), 1)
    room = {
        "length_mm": dice.randrange(900, 6000), "width_mm": dice.randrange(900, 5000), "height_mm": dice.randrange(2100, 3500),
        "indoor_c": indoor, "outdoor_c": outdoor, "air_heat_wh_m3k": dice.choice([0.33, 0.34, 0.3333, 0.3364]),
        "reheat_w_m2": round(dice.uniform(0, 45), 1),
    }
    if dice.random() < 0.5:
        room["air_changes_per_hour"] = round(dice.uniform(0, 4), 2)
    else:
        room["extract_l_s"] = round(dice.uniform(0, 30), 1)
    if dice.random() < 0.3:
        room["heat_recovery"] = round(dice.uniform(0, 0.95), 2)
    room["boundaries"] = [make_boundary(dice) for _ in range(dice.randrange(1, 13))]
    room["bridges"] = dice.choice([
        {"y_w_m2k": round(dice.uniform(0, 0.3), 3)},
        {"delta_u_w_m2k": round(dice.uniform(0, 0.2), 3)},
        {"lengths": [{"what": "edge", "psi_w_mk": round(dice.uniform(-0.1, 0.8), 3), "length_m": round(dice.uniform(0.1, 20), 2)}
                     for _ in range(3)]},
    ])
    return room


def make_boundary(dice):
    boundary = {"area_m2": round(dice.uniform(0.3, 25), 2), "u_w_m2k": round(dice.uniform(0.1, 5.8), 3)}
    if dice.random() < 0.4:
        return boundary | {"kind": "internal_wall", "beyond_c": round(dice.uniform(5, 30), 1)}
    if dice.random() < 0.2:
        return boundary | {"kind": "unheated", "unheated_factor": round(dice.uniform(0, 1), 2)}
    return boundary | {"kind": dice.choice(SURFACES)}


def room_steps(room):
    """Watts of every step, in the order in which the service lists them, and the quick rule."""
    across = room["indoor_c"] - room["outdoor_c"]
    floor = room["length_mm"] * room["width_mm"] / 1e6
    steps, exposed = [], 0.0
    for boundary in room["boundaries"]:
        difference = across * boundary.get("unheated_factor", 1.0)
        if "beyond_c" in boundary:
            difference = room["indoor_c"] - boundary["beyond_c"]
        elif "unheated_factor" not in boundary:
            exposed += boundary["area_m2"]
        steps.append(boundary["area_m2"] * boundary["u_w_m2k"] * difference)
    bridges = room["bridges"]
    for edge in bridges.get("lengths", []):
        steps.append(edge["psi_w_mk"] * edge["length_m"] * across)
    for share in ("y_w_m2k", "delta_u_w_m2k"):
        if share in bridges:
            steps.append(bridges[share] * exposed * across)
    volume = floor * room["height_mm"] / 1e3
    flow = room["extract_l_s"] * 3.6 if "extract_l_s" in room else room["air_changes_per_hour"] * volume
    steps.append(flow * (1 - room.get("heat_recovery", 0)) * room["air_heat_wh_m3k"] * across)
    if room["reheat_w_m2"] > 0:
        steps.append(floor * room["reheat_w_m2"])
    return steps, 100 * floor


def check_rooms(service, dice, cases):
    tally = Tally("rooms")
    for _ in range(cases):
        room = make_room(dice)
        answer = service.ask("/v1/heat-requirements", {"room": room})
        steps, quick = room_steps(room)
        tally.compare("number of steps", len(answer["steps"]), len(steps), 0.5, room)
        for step, watts in zip(answer["steps"], steps):
            tally.compare(step["what"], step["watts"], watts, 0.1001, room)
        tally.compare("balance_w", answer["balance_w"], sum(steps), 0.1001, room)
        tally.compare("required_w", answer["required_w"], max(sum(steps), 0.0), 0.1001, room)
        tally.compare("quick_rule_w", answer["quick_rule_w"], quick, 0.1001, room)
        printed = sum(round(step["watts"] * 10) for step in answer["steps"])
        tally.compare("sum of the printed steps", printed / 10, answer["balance_w"], 1e-6, room)
        parts = sum(answer[part] for part in ("transmission_w", "ventilation_w", "bridges_w", "reheat_w"))
        tally.compare("sum of the printed parts", parts, answer["balance_w"], 1e-6, room)
    return tally.close()


# --- pairs ---------------------------------------------------------------------------------------------------------


def shed(pair, excess):
    factor = pair.get("towels_factor", 1.0)
    return factor * pair["rated_output_w"] * (excess / 50) ** pair["exponent"] if excess > 0 else 0.0


def steady_excess(pair):
    factor = pair.get("towels_factor", 1.0)
    return 50 * (pair["element_w"] / (factor * pair["rated_output_w"])) ** (1 / pair["exponent"])


def make_pair(dice):
    """A pair whose fluid stays below boiling."""
    while True:
        pair = {
            "rated_output_w": round(dice.uniform(80, 1500), 1), "exponent": round(dice.uniform(1.0, 1.5), 3),
            "element_w": round(dice.uniform(50, 1200), 0), "room_c": round(dice.uniform(15, 26), 1),
            "heat_capacity_j_k": round(dice.uniform(4000, 90000), 0),
        }
        if dice.random() < 0.3:
            pair["towels_factor"] = round(dice.uniform(0.4, 0.95), 2)
        if dice.random() < 0.6:
            pair["set_point_c"] = round(dice.uniform(28, 80), 1)
        if dice.random() < 0.4:
            pair["start_c"] = round(dice.uniform(5, pair["room_c"] + 5), 1)
        steady = pair["room_c"] + steady_excess(pair)
        hottest = min(steady, pair.get("set_point_c", math.inf))
        if steady > pair["room_c"] + 8 and hottest < 98 and abs(steady - pair.get("set_point_c", 0)) > 0.5:
            return pair


def integrate(pair, watts, start, seconds):
    """The fluid's temperature after a time, by numeric integration; below the room's temperature nothing is lost."""
    def pace(_, temperature):
        return [(watts - shed(pair, temperature[0] - pair["room_c"])) / pair["heat_capacity_j_k"]]
    return float(solve_ivp(pace, (0, seconds), [start], rtol=1e-9, atol=1e-9).y[0][-1])


def check_pairs(service, dice, cases):
    steady_tally, warming, cooling, energy = Tally("steady states"), Tally("warm-up"), Tally("cool-down"), Tally("energy")
    for _ in range(cases):
        pair = make_pair(dice)
        answer = service.ask("/v1/heat-outputs", pair)
        room, watts = pair["room_c"], pair["element_w"]
        uncapped = room + steady_excess(pair)
        fluid = min(uncapped, pair.get("set_point_c", math.inf))
        delivered = min(watts, shed(pair, fluid - room))
        steady_tally.compare("delivered_w", answer["delivered_w"], delivered, 0.1001, pair)
        steady_tally.compare("duty", answer["duty"], delivered / watts, 0.0006, pair)
        steady_tally.compare("steady_fluid_c", answer["steady_fluid_c"], fluid, 0.0051, pair)
        steady_tally.compare("uncapped_fluid_c", answer["uncapped_fluid_c"], uncapped, 0.0051, pair)
        steady_tally.compare("element_max_w", answer["element_max_w"], shed(pair, 95 - room), 0.1001, pair)
        start = pair.get("start_c", room)
        mark = answer["warm_up"]
        reached = "set_point_c" in pair and pair["set_point_c"] < uncapped
        steady_tally.compare("reached", mark["outcome"] == "set_point", reached, 0.5, pair)
        goal = fluid if reached else room + 0.9 * (uncapped - room)
        if mark["after_s"] > 0:
            # The slope near the goal turns a hundredth of a second into little; a tenth of a kelvin would show.
            warming.compare("fluid after the warm-up", integrate(pair, watts, start, mark["after_s"]), goal, 0.02, pair)
        cool = answer["cool_down"]
        for time, share in ((cool["half_s"], 0.5), (cool["tenth_s"], 0.1)):
            expected = room + share * (fluid - room)
            cooling.compare("fluid after the cool-down", integrate(pair, 0.0, fluid, time), expected, 0.02, pair)
        check_energy(service, energy, pair | {"schedule": make_schedule(dice)})
    return all([tally.close() for tally in (steady_tally, warming, cooling, energy)])


def make_schedule(dice):
    times = sorted(dice.sample(range(0, 24 * 60, 5), 4))
    return [f"{a // 60:02}:{a % 60:02}-{b // 60:02}:{b % 60:02}" for a, b in (times[:2], times[2:])]


def check_energy(service, tally, asked):
    answer = service.ask("/v1/heat-outputs", asked)
    joules, linear = day_by_steps(asked)
    tolerance = max(0.002, 0.003 * joules / 3.6e6)
    tally.compare("first_day_kwh", answer["energy"]["first_day_kwh"], joules / 3.6e6, tolerance, asked)
    tally.compare("linear_kwh", answer["energy"]["linear_kwh"], linear / 3.6e6, 0.0006, asked)


def day_by_steps(asked):
    """Energy of the first day by small steps of a switching thermostat without hysteresis."""
    step = 5.0
    fluid, joules, linear = asked.get("start_c", asked["room_c"]), 0.0, 0.0
    set_point = asked.get("set_point_c", math.inf)
    periods = [[int(t[:2]) * 60 + int(t[3:]) for t in period.split("-")] for period in asked["schedule"]]
    for minute in range(24 * 60):
        on = any(a <= minute < b for a, b in periods)
        for _ in range(int(60 / step)):
            loss = shed(asked, fluid - asked["room_c"])
            power = 0.0
            if on and set_point > asked["room_c"]:
                # As much as is needed to end the step at the set point, at most the rating.
                wanted = (set_point - fluid) * asked["heat_capacity_j_k"] / step + loss
                power = max(0.0, min(asked["element_w"], wanted))
            if on:
                linear += asked["element_w"] * step
            joules += power * step
            fluid += (power - loss) * step / asked["heat_capacity_j_k"]
    return joules, linear


# --- fills ---------------------------------------------------------------------------------------------------------


def water_density(celsius):
    return IAPWS95(T=celsius + 273.15, P=0.101325).rho


def saturation_kpa(celsius):
    return _PSat_T(celsius + 273.15) * 1000


def glycol_density(fluid, celsius):
    name = "APG" if fluid["kind"] == "propylene_glycol" else "AEG"
    return PropsSI("D", "T", celsius + 273.15, "P", 101325, f"INCOMP::{name}[{fluid['volume_fraction']}]")


def make_fill(dice, fluid):
    # The glycol table's colder end is at 10 °C, its hotter one at 90 °C.
    cold, hot = round(dice.uniform(10, 30), 1), round(dice.uniform(40, 89 if fluid else 98), 1)
    fill = {"body_volume_l": round(dice.uniform(0.5, 20), 2), "fill_c": cold, "hot_c": hot}
    fill["element_displacement_l"] = round(dice.uniform(0, 0.15) * fill["body_volume_l"], 3)
    if dice.random() < 0.5:
        fill["headspace_fraction"] = round(dice.uniform(0.005, 0.25), 4)
    else:
        free = fill["body_volume_l"] - fill["element_displacement_l"]
        fill["fill_l"] = round(free * dice.uniform(0.75, 0.995), 3)
    return fill | ({"fluid": fluid} if fluid else {})


def check_fill(service, tally, fill, density, slack):
    answer = service.ask("/v1/fills", fill)
    cold, hot = fill["fill_c"], fill["hot_c"]
    free = fill["body_volume_l"] - fill["element_displacement_l"]
    headspace = fill.get("headspace_fraction", 1 - fill.get("fill_l", 0) / free)
    swelling = density(cold) / density(hot)
    left = 1 - (1 - headspace) * swelling
    if abs(left) < 0.002:
        return  # Pressure at the brink of locking is as steep as a wall; the next cases tell more.
    tally.compare("locked", answer["verdict"] == "locked", left <= 0, 0.5, fill)
    if left <= 0 or answer["verdict"] == "locked":
        tally.compare("figures of a locked body", "gauge_bar" in answer, False, 0.5, fill)
        return
    litres = free * (1 - headspace)
    tally.compare("fill_l", answer["fill_l"], litres, 0.00051, fill)
    tally.compare("fill_kg", answer["fill_kg"], litres * density(cold) / 1000, 0.00051 + slack["mass"] * litres, fill)
    tally.compare("expansion_percent", answer["expansion_percent"], (swelling - 1) * 100, slack["percent"], fill)
    tally.compare("headspace_min", answer["headspace_min_fraction"], 1 - 1 / swelling, slack["percent"] / 100, fill)
    air = ATMOSPHERE_KPA - saturation_kpa(cold)
    kelvins = (hot + 273.15) / (cold + 273.15)
    squeezed = lambda share: air * share / left * kelvins + saturation_kpa(hot)
    pressure = squeezed(headspace)
    # An error of the swelling is an error of the little air that is left.
    allowed = lambda kpa: 0.05 + kpa * (slack["pressure"] + slack["percent"] / 100 / left)
    tally.compare("sealed_cold", answer["absolute_kpa"], pressure, allowed(pressure), fill)
    tally.compare("gauge_bar", answer["gauge_bar"], (pressure - ATMOSPHERE_KPA) / 100, allowed(pressure) / 100, fill)
    never = squeezed(headspace + fill["element_displacement_l"] / free)
    tally.compare("never_vented", answer["cases"]["never_vented"]["absolute_kpa"], never, allowed(never), fill)
    vacuum = (ATMOSPHERE_KPA - saturation_kpa(hot)) * left / headspace / kelvins + saturation_kpa(cold)
    lowest = answer["cases"]["sealed_hot"]["lowest"]["absolute_kpa"]
    tally.compare("sealed_hot", lowest, vacuum, 0.05 + slack["percent"] / headspace, fill)
    tally.compare("verdict", answer["verdict"] == "not_established", True, 0.5, fill)


def check_fills(service, dice, cases):
    water, glycol = Tally("water fills"), Tally("glycol fills")
    for _ in range(cases):
        slack = {"mass": 0.00002, "percent": 0.003, "pressure": 0.001}
        check_fill(service, water, make_fill(dice, None), water_density, slack)
        kind = dice.choice(["propylene_glycol", "ethylene_glycol"])
        fluid = {"kind": kind, "volume_fraction": round(dice.uniform(0.2, 0.5), 3)}
        slack = {"mass": 0.0003, "percent": 0.03, "pressure": 0.001}
        check_fill(service, glycol, make_fill(dice, fluid), lambda celsius: glycol_density(fluid, celsius), slack)
    return all([water.close(), glycol.close()])


def main():
    if len(sys.argv) < 2:
        raise SystemExit(__doc__)
    service = Service(sys.argv[1])
    cases = int(sys.argv[2]) if len(sys.argv) > 2 else 500
    # Each subject has dice of its own, so that one subject's cases do not move when another's change.
    checks = (check_rooms, check_pairs, check_fills)
    results = [check(service, random.Random(SEED + index), cases) for index, check in enumerate(checks)]
    if not all(results):
        raise SystemExit(1)


if __name__ == "__main__":
    main()
