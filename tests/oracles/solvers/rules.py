"""The trade's rules, read from what a catalogue's keeper states: who may stand with whom, what a pair gives, what it costs.

Written from the rules as the service's design states them, not from its compiled tables: rule rows are interpreted one
by one, output is the emission law of EN 442, the place is judged by the country's rule pack, law is Regulation (EU)
2024/1103. Two computations (cp_sat.py, asp.py) search over what stands here; absent here: any search.
"""

import functools
import json
import math
import pathlib

ROLES = ("fused_connection_unit", "time_switch", "wall_thermostat")
KINDS = ("body", "element", "control", "accessory")
SLACK_MM, CHILD_MM, LOW_SURFACE_C, GAP_MM = 100, 600, 43.0, 100
PACKS = pathlib.Path(__file__).parents[3] / "src/store/rule_packs"
# Base factors and functions of a control code that count, in thousandths (EU 2024/1103, Annex III Tables 10 and 11).
BASES = {"NC": 0, "TX": 30, "TM": 30, "TE": 30, "TD": 95, "TW": 150}
FUNCTIONS = (2, 4, 5, 7, 8)


def half_up(number, divisor):
    return (2 * number + divisor) // (2 * divisor)


# --- rule rows -----------------------------------------------------------------------------------------------------


def kind_and_name(text):
    return tuple(text.split(".", 1))


class Row:
    """A rule row: what it asks of parts of one kind or of two."""

    def __init__(self, row, pairs):
        self.row, self.pairs, self.attributes = row, pairs, {}
        self.left = kind_and_name(row["left"])
        names, right = [self.left], row["right"]
        names += [kind_and_name(right[key]) for key in ("attribute", "low", "high") if key in right]
        names += [kind_and_name(attribute) for attribute, _ in row["when"]]
        for kind, name in names:
            self.attributes.setdefault(kind, []).append(name)
        if "kind" in right:
            self.attributes.setdefault(right["kind"], [])
        self.kinds = tuple(sorted(self.attributes, key=KINDS.index))

    def group(self, kind, part):
        """What the row sees of a part: parts of one group are alike to it."""
        return tuple(tuple(v) if isinstance(v := part.get(name), list) else v for name in self.attributes[kind])

    @functools.lru_cache(maxsize=None)
    def holds(self, *groups):
        """A row that is not asked holds; a value that is not stated never does."""
        value = lambda name: groups[self.kinds.index(name[0])][self.attributes[name[0]].index(name[1])]
        for attribute, wanted in self.row["when"]:
            if value(kind_and_name(attribute)) != wanted:
                return True
        left, right = value(self.left), self.row["right"]
        if left is None:
            return False
        if "low" in right:
            low, high = value(kind_and_name(right["low"])), value(kind_and_name(right["high"]))
            return low is not None and high is not None and low <= left <= high
        other = right["constant"] if "constant" in right else value(kind_and_name(right["attribute"]))
        if other is None:
            return False
        match self.row["relation"]:
            case "equal":
                return left == other
            case "at_most":
                return left <= other
            case "at_least":
                return left >= other
            case "covers":
                return set(other) <= set(left)
            case "listed_pair":
                return left == other or (self.row["table"], left, other) in self.pairs
        raise ValueError(self.row["relation"])


# --- places --------------------------------------------------------------------------------------------------------


def numerals(code):
    return [None if sign == "X" else int(sign) for sign in code[2:4]]


def ip_reaches(own, required):
    """Whether a declared code covers a required one; what is not stated is no yes (IEC 60529)."""
    if own is None:
        return False
    (access, water), (least, wanted) = numerals(own), numerals(required)
    if least and (access is None or access < least):
        return False
    if not wanted:
        return True
    # Up to 6 each second numeral implies the lower ones; 7 to 9 say nothing about those.
    return water is not None and (water == wanted or wanted <= water <= 6 or (water, wanted) == (8, 7))


def zone_allows(pack, element, zone, jets):
    row = next((row for row in pack["rows"] if "rail" in row["kinds"] and zone in row["zones"]), None)
    if row is None or "allowed" not in row:
        return False
    asked, declared = row["allowed"], element["declared_zones"]
    codes = [asked.get("ip"), asked.get("ip_jets") if jets else None]
    return (
        not (asked.get("permanent") and element["plug"])
        and not (asked.get("declared") and zone not in declared and not (zone == "2" and "1" in declared))
        and all(ip_reaches(element["ip"], code) for code in codes if code)
        and (not asked.get("classes") or element["class"] in asked["classes"])
        and not asked.get("height_min_mm")
        and not asked.get("from_zone1_min_mm")
    )


# --- heat ----------------------------------------------------------------------------------------------------------


def shed_w(body, fluid_c, room_c, towels_factor):
    excess = max(fluid_c - room_c, 0.0)
    return towels_factor * body["rated_output_w"] * (excess / 50.0) ** body["exponent"]


def tenths(watts):
    """Tenths of a watt, rounded down, the noise of binary fractions taken off."""
    return math.floor(watts * 10.0 + 1e-5)


NEVER_OFF = math.inf


def set_points(element, users):
    """Where it works in an open and in a guarded body: nothing where it does not protect these people."""
    highest = element["set_point_c_max"]
    guarded = NEVER_OFF if highest is None else highest
    if not any(users.values()):
        return guarded, guarded
    if element["regulation"] == "fixed":
        return (highest if highest is not None and highest <= LOW_SURFACE_C else None), guarded
    locked = element["set_point_max_c_lockable"]
    safe = locked is not None and (not users["vulnerable"] or locked <= LOW_SURFACE_C)
    return (locked if safe else None), guarded


# --- law -----------------------------------------------------------------------------------------------------------


def control_code(part):
    base, functions = part["control_code"].split(" ")
    return base, {int(sign) for sign in functions.strip("()").split("/")} & set(FUNCTIONS)


def law_points(watts):
    """Least of 750 + base + 20 a function for these watts: the least whose share of 1.9 rounds to the minimum."""
    minimum = 460 if watts > 250 else 421
    return next(points for points in range(2000) if math.floor(points / 1.9 + 0.5) >= minimum)


# --- one question --------------------------------------------------------------------------------------------------


class Catalogue:
    """A catalogue as its keeper states it; only what is sold."""

    def __init__(self, path):
        content = json.loads(pathlib.Path(path).read_text())
        self.requests, self.market, prices = content["requests"], content["market"], content["unit_prices_e4"]
        self.pack = json.loads((PACKS / f"{self.market['wiring_rules']}.json").read_text())
        self.joins = {(row["external"], row["internal"]) for row in content["thread_matings"] if row["joins"]}
        pairs = {tuple(row) for row in content["listed_pairs"]}
        self.rows = [Row(row, pairs) for row in content["rules"] if row["severity"] == "refuse"]
        plural = {"body": "bodies", "element": "elements", "control": "controls", "accessory": "accessories"}
        self.parts = {}
        for kind in KINDS:
            alone = [row for row in self.rows if row.kinds == (kind,)]
            self.parts[kind] = [
                part | {"unit": prices[part["sku"]]}
                for part in sorted(content[plural[kind]], key=lambda part: part["sku"])
                if part["sku"] in prices and part["stock"] != "discontinued"
                and all(row.holds(row.group(kind, part)) for row in alone)
            ]

    def threads_join(self, port, boss):
        words = port.split(), boss.split()
        internal = {"Rp", "Rc"}
        side = lambda thread: thread[2] if len(thread) > 2 else "int" if thread[0] in internal else "ext"
        if side(words[0]) == side(words[1]) or words[0][1] != words[1][1]:
            return False
        external, internal = words if side(words[0]) == "ext" else reversed(words)
        return (external[0], internal[0]) in self.joins


class Relation:
    """Which groups of parts of two kinds may stand together on one rail."""

    def __init__(self, kinds, groups, holds):
        self.kinds, self.groups, self.holds = kinds, groups, holds


class Problem:
    """A request put to a catalogue: the parts that meet it by themselves, and all that joins them."""

    def __init__(self, catalogue, request):
        self.catalogue, self.request = catalogue, request
        self.users = {name: request[name] for name in ("children", "vulnerable", "public_building")}
        british = request["region"] in ("england", "scotland", "wales") and catalogue.market["code"] == "gb"
        self.is_law_strict = not british
        self.parts = {
            "body": [part for part in catalogue.parts["body"] if self.body_meets(part)],
            "element": [part for part in catalogue.parts["element"] if self.element_meets(part)],
            "control": catalogue.parts["control"],
        }
        self.wished = {kind: request["accessories"].count(kind) for kind in request["accessories"]}
        if any(self.users.values()) or request["flex_cover"]:
            self.wished["flex_cover"] = max(self.wished.get("flex_cover", 0), 1)
        kinds = {"plug_cover", "bracket", "inhibitor"} | set(self.wished)
        self.parts["accessory"] = [part for part in catalogue.parts["accessory"] if part["kind"] in kinds]
        self.required = request["required_dw"] or 0
        self.rails_max, self.wall = request["rails_max"], request["wall_width_mm"]
        self.net_max = self.find_net_max()
        self.relations = self.find_relations()

    def net(self, part, count=1):
        return half_up(part["unit"] * count, 100)

    def gross(self, net):
        return net + half_up(net * self.catalogue.market["tax_basis_points"], 10_000)

    def find_net_max(self):
        budget = self.request["budget_minor"]
        if budget is None:
            return None
        net = budget
        while net >= 0 and self.gross(net) > budget:
            net -= 1
        return net

    def body_meets(self, body):
        request = self.request
        side, wall, bottom = request["side"], request["wall_height_mm"], request["wall_bottom_mm"]
        is_high = True
        if request["children"] and wall is not None and bottom is not None:
            is_high = CHILD_MM <= bottom + wall - body["height_mm"] + body["lowest_tube_mm"]
        return (
            request["finish"] in (None, body["finish"])
            and (request["wall_width_mm"] is None or body["width_mm"] <= request["wall_width_mm"])
            and ("either" in (side, body["element_side"]) or side == body["element_side"])
            and is_high
        )

    def element_meets(self, element):
        request, route = self.request, self.request["connection_distance_mm"]
        zone = request["zone"]
        return (
            request["regulation"] in ("either", element["regulation"])
            and (route is None or route + SLACK_MM <= element["flex_length_mm"])
            and (zone is None or zone_allows(self.catalogue.pack, element, zone, request["water_jets"]))
            and (not self.is_law_strict or element["watts"] > 60)
        )

    def find_relations(self):
        """Rule rows between two kinds, and what no row states: threads, height, people, fluid."""
        relations = [
            Relation(row.kinds, tuple(functools.partial(row.group, kind) for kind in row.kinds), row.holds)
            for row in self.catalogue.rows if len(row.kinds) == 2
        ]
        pair = ("body", "element")
        relations.append(Relation(pair, (lambda b: b["thread"], lambda e: e["thread"]), self.catalogue.threads_join))
        wall = self.request["wall_height_mm"]
        if wall is not None:
            heights = (lambda b: b["height_mm"], lambda e: e["head_length_mm"])
            relations.append(Relation(pair, heights, lambda height, head: height + head <= wall))
        protects = lambda is_guarded, points: points[is_guarded] is not None
        relations.append(Relation(pair, (lambda b: b["guarded"], lambda e: set_points(e, self.users)), protects))
        room, factor = self.request["room_c"], self.request["towels_factor"]
        bodies = {body["sku"]: body for body in self.parts["body"]}

        def stays_cool(sku, element):
            watts, limit, has_cut_out = element
            body = bodies[sku]
            return has_cut_out or watts <= shed_w(body, min(limit, body["fluid_limit_c"]), room, factor)

        heater = lambda e: (e["watts"], e["fluid_limit_c"], e["thermal_cut_out"] is True)
        relations.append(Relation(pair, (lambda b: b["sku"], heater), stays_cool))
        return relations

    def heat_group(self, element):
        return set_points(element, self.users)

    def shed_tenths(self, body, heat_group):
        """What a body gives at the set point of such elements, however many watts they have; nothing is no protection."""
        point = heat_group[body["guarded"]]
        if point is None:
            return 0
        if point == NEVER_OFF:
            return 1_000_000
        return tenths(shed_w(body, point, self.request["room_c"], self.request["towels_factor"]))

    def pieces(self, kind, body):
        """How many of a kind a rail with this body needs; of inhibitor only whether any."""
        stated = {"plug_cover": body["open_port_count"], "bracket": body["bracket_count"], "inhibitor": not body["filled"]}
        return max(int(stated.get(kind, 0)), self.wished.get(kind, 0))

    def cover_pieces(self, accessory):
        length = accessory["cover_length_mm"]
        return None if length is None else max(1, -(-(self.request["connection_distance_mm"] or 0) // length))

    def fill_ul10(self, body, displacement_ml):
        """What the body holds beside the element, less a tenth for expansion: tenths of a microlitre."""
        return max(0, 9 * (round(body["volume_l"] * 1e6) - displacement_ml * 1000))

    def packs(self, accessory, fill_ul10):
        dose, pack = accessory["dose_ml_per_litre"], accessory["pack_ml"]
        return max(1, -(-fill_ul10 * dose // (pack * 10**7)))
