"""The search by answer-set programming: facts about parts, one short logic program (package clingo).

Helped in two ways that the other computation is not: of parts that the rules cannot tell apart only the cheapest is
asked, and the cheapest inhibitor of every body and displacement is worked out beforehand. Given our own answer as an
upper bound, it must find a bill that is no worse and prove that none is better; without one it must find none at all.
"""

import functools

import clingo

from .rules import BASES, FUNCTIONS, GAP_MM, ROLES, control_code, law_points

PROGRAM = """
rail(1..rails_max). used(1). { used(R) } :- rail(R), R > 1. used(R-1) :- used(R), R > 1.
1 { on(R,B) : body(B) } 1 :- used(R).
1 { on(R,E) : element(E) } 1 :- used(R).
{ on(R,C) : control(C) } 3 :- used(R).
group(R,I,S,G) :- on(R,P), in_group(I,S,P,G).
:- group(R,I,0,G), group(R,I,1,H), clash(I,G,H).

% Controls: each role once at most, those asked for, and the law's points.
does(R,O) :- on(R,C), role(C,O).
:- used(R), role_name(O), 2 { on(R,C) : role(C,O) }.
:- used(R), asked_role(O), not does(R,O).
:- asked_clock, on(R,E), element(E), not clock(E), not does(R,time_switch).
point(R,function(F),20) :- on(R,P), function(P,F).
point(R,base(V),W) :- on(R,P), base(P,V), base_step(V,W).
points_asked(R,N) :- on(R,E), points(E,N).
:- points_asked(R,N), #sum { W,K : point(R,K,W) } < N.

% Accessories: one of each kind that the body and the wishes ask for.
pieces(R,K,N) :- on(R,B), asked_pieces(B,K,N).
1 { on(R,A) : accessory(A,K) } 1 :- pieces(R,K,N).
cost(R,K,C) :- pieces(R,K,N), on(R,A), line(A,K,N,C).
cost(R,inhibitor,C) :- on(R,B), treated(B), displaces(R,D), inhibitor(B,D,C).
displaces(R,D) :- on(R,E), displacement(E,D).
:- on(R,B), treated(B), displaces(R,D), not has_inhibitor(B,D).

% Heat: the watts, or what the body sheds at the set point if that is less.
watts(R,W) :- on(R,E), watt(E,W).
heat(R,H) :- on(R,E), heat_group(E,H).
shed(R,S) :- on(R,B), heat(R,H), sheds(B,H,S).
delivered(R,W) :- watts(R,W), shed(R,S), W <= S.
delivered(R,S) :- watts(R,W), shed(R,S), S < W.
:- #sum { D,R : delivered(R,D) } < required.

% Side by side, of one finish; rails are alike, so they stand in order of width.
wide(R,W) :- on(R,B), width(B,W).
:- #sum { W+gap,R : wide(R,W) } > wall.
finish(R,F) :- on(R,B), body_finish(B,F).
:- finish(1,F), finish(R,G), F != G.
:- wide(R,W), wide(R+1,V), V < W.

spent(R,P,C) :- on(R,P), net(P,C).
spent(R,K,C) :- cost(R,K,C).
:- #sum { C,R,X : spent(R,X,C) } > net_max.
#minimize { C@3,R,X : spent(R,X,C) }.
#minimize { 1@2,R : used(R) }.
#minimize { D@1,R : delivered(R,D) }.
#defined control/1. #defined accessory/2. #defined asked_pieces/3. #defined line/4. #defined treated/1.
#defined inhibitor/3. #defined has_inhibitor/2. #defined clash/3. #defined in_group/4. #defined role/2. #defined clock/1.
#defined asked_role/1. #defined asked_clock/0. #defined function/2. #defined base/2. #defined base_step/2. #defined points/2.
"""
UNBOUNDED = 2_000_000_000
CONFLICTS_MAX = 10_000


class Facts:
    """A question as facts."""

    def __init__(self, problem):
        self.problem, self.lines = problem, []
        self.parts = {kind: problem.parts[kind] for kind in ("body", "element")}
        self.parts["control"] = self.cheapest("control", lambda part: (tuple(part[role] for role in ROLES), part["control_code"]))
        accessories = self.cheapest("accessory", lambda part: (part["kind"], part["cover_length_mm"]))
        self.parts["accessory"] = [part for part in accessories if part["kind"] != "inhibitor"]
        self.ids = {part["sku"]: number for kind in self.parts for number, part in
                    enumerate(self.parts[kind], 1_000_000 * ("body", "element", "control", "accessory").index(kind))}
        self.numbers = {}
        self.add_rails()
        self.add_controls()
        self.add_accessories()
        self.add_relations()
        self.add_heat()

    def say(self, name, *arguments):
        self.lines.append(f"{name}({','.join(map(str, arguments))}).")

    def number(self, thing):
        """A whole number for a group of parts."""
        return self.numbers.setdefault(thing, len(self.numbers))

    def cheapest(self, kind, alike):
        """Of parts that no rule can tell apart only the cheapest."""
        groups = [relation.groups[relation.kinds.index(kind)] for relation in self.problem.relations if kind in relation.kinds]
        best = {}
        for part in self.problem.parts[kind]:
            key = (alike(part), tuple(group(part) for group in groups))
            if key not in best or part["unit"] < best[key]["unit"]:
                best[key] = part
        return list(best.values())

    def add_rails(self):
        for kind in ("body", "element", "control"):
            for part in self.parts[kind]:
                self.say(kind, self.ids[part["sku"]])
                self.say("net", self.ids[part["sku"]], self.problem.net(part))
        for part in self.parts["body"]:
            self.say("width", self.ids[part["sku"]], part["width_mm"])
            self.say("body_finish", self.ids[part["sku"]], self.number(part["finish"]))

    def add_controls(self):
        request = self.problem.request
        for role in ROLES:
            self.say("role_name", role)
        if self.problem.catalogue.market["needs_connection_unit"]:
            self.say("asked_role", "fused_connection_unit")
        if request["wall_control"]:
            self.say("asked_role", "wall_thermostat")
        if request["time_control"]:
            self.lines.append("asked_clock.")
        for part in self.parts["control"]:
            for role in ROLES:
                if part[role]:
                    self.say("role", self.ids[part["sku"]], role)
        for part in self.parts["element"] + self.parts["control"]:
            base, functions = control_code(part)
            for function in functions & set(FUNCTIONS):
                self.say("function", self.ids[part["sku"]], function)
            for factor in set(BASES.values()) - {0}:
                if factor <= BASES[base]:
                    self.say("base", self.ids[part["sku"]], factor)
        steps = sorted(set(BASES.values()))
        for below, factor in zip(steps, steps[1:]):
            self.say("base_step", factor, factor - below)
        for part in self.parts["element"]:
            if control_code(part)[0] in ("TD", "TW"):
                self.say("clock", self.ids[part["sku"]])
            if self.problem.is_law_strict:
                self.say("points", self.ids[part["sku"]], law_points(part["watts"]) - 750)

    def add_accessories(self):
        problem, counts = self.problem, {}
        for body in self.parts["body"]:
            for kind in {"plug_cover", "bracket"} | (set(problem.wished) - {"inhibitor"}):
                count = problem.pieces(kind, body)
                if count:
                    self.say("asked_pieces", self.ids[body["sku"]], kind, count)
                    counts.setdefault(kind, set()).add(count)
        for part in self.parts["accessory"]:
            self.say("accessory", self.ids[part["sku"]], part["kind"])
            for count in counts.get(part["kind"], ()):
                pieces = problem.cover_pieces(part) if part["kind"] == "flex_cover" else count
                if pieces is not None:
                    self.say("line", self.ids[part["sku"]], part["kind"], count, problem.net(part, pieces))
        self.add_inhibitors()

    def add_inhibitors(self):
        problem = self.problem
        inhibitors = [part for part in problem.parts["accessory"] if part["kind"] == "inhibitor"]
        if any("accessory" in relation.kinds and not self.holds_for_all(relation, inhibitors) for relation in problem.relations):
            raise ValueError("rows about inhibitors are not worked out beforehand")
        displacements = {part["displacement_ml"] for part in self.parts["element"]}
        for element in self.parts["element"]:
            self.say("displacement", self.ids[element["sku"]], element["displacement_ml"])
        for body in self.parts["body"]:
            if not problem.pieces("inhibitor", body):
                continue
            self.say("treated", self.ids[body["sku"]])
            for displacement in displacements if inhibitors else ():
                fill = problem.fill_ul10(body, displacement)
                cost = min(problem.net(part, problem.packs(part, fill)) for part in inhibitors)
                self.say("inhibitor", self.ids[body["sku"]], displacement, cost)
                self.say("has_inhibitor", self.ids[body["sku"]], displacement)

    def holds_for_all(self, relation, accessories):
        side = relation.kinds.index("accessory")
        other = relation.kinds[1 - side]
        mine = {relation.groups[side](part) for part in accessories}
        theirs = {relation.groups[1 - side](part) for part in self.problem.parts[other]}
        ordered = lambda a, b: (a, b) if side == 0 else (b, a)
        return all(relation.holds(*ordered(a, b)) for a in mine for b in theirs)

    def add_relations(self):
        for number, relation in enumerate(self.problem.relations):
            groups = []
            for side in (0, 1):
                seen = set()
                for part in self.parts[relation.kinds[side]]:
                    group = relation.groups[side](part)
                    seen.add(group)
                    self.say("in_group", number, side, self.ids[part["sku"]], self.number((number, side, group)))
                groups.append(seen)
            for one in groups[0]:
                for other in groups[1]:
                    if not relation.holds(one, other):
                        self.say("clash", number, self.number((number, 0, one)), self.number((number, 1, other)))

    def add_heat(self):
        groups = set()
        for part in self.parts["element"]:
            group = self.problem.heat_group(part)
            groups.add(group)
            self.say("watt", self.ids[part["sku"]], round(part["watts"] * 10))
            self.say("heat_group", self.ids[part["sku"]], self.number(("heat", group)))
        for body in self.parts["body"]:
            for group in groups:
                self.say("sheds", self.ids[body["sku"]], self.number(("heat", group)), self.problem.shed_tenths(body, group))


def best(problem, bound=None):
    """(net, rails, delivered) of the best bill that is no worse than the bound, nothing when there is none.

    Stops after a number of conflicts, so that a slow machine decides the same cases as a fast one.
    """
    if not problem.parts["body"] or not problem.parts["element"]:
        return None
    constants = {
        "rails_max": problem.rails_max, "required": problem.required, "gap": GAP_MM,
        "wall": UNBOUNDED if problem.wall is None else problem.wall + GAP_MM,
        "net_max": UNBOUNDED if problem.net_max is None else problem.net_max,
    }
    options = [f"-c{name}={value}" for name, value in constants.items()] + ["--warn=none"]
    control = clingo.Control(options)
    if bound is not None:
        control.configuration.solve.opt_mode = "opt," + ",".join(map(str, bound))
    control.configuration.solve.solve_limit = str(CONFLICTS_MAX)
    control.add("base", [], PROGRAM + "\n".join(Facts(problem).lines))
    control.ground([("base", [])])
    last = None

    def keep(model):
        nonlocal last
        last = tuple(model.cost)

    if not control.solve(on_model=keep).exhausted:
        raise TimeoutError("clingo")
    return last
