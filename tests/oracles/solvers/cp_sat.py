"""The search by constraint programming: one 0/1 variable for each part on each rail, sums for the rules (package ortools).

Nothing is filtered but what a part alone cannot meet, and no pair is enumerated: rule rows become sums over groups of
parts, the emission law becomes a minimum of two sums, packs of inhibitor are whole numbers.
"""

from collections import defaultdict

from ortools.sat.python import cp_model

from .rules import BASES, FUNCTIONS, GAP_MM, ROLES, control_code, law_points

BIG = 10**6
WORK_MAX = 5.0


class Rail:
    """The variables of one rail: what stands on it, what it gives and what it costs."""

    def __init__(self, model, problem, number):
        self.model, self.problem, self.number = model, problem, number
        self.used = model.new_bool_var(f"used{number}")
        self.chosen = {kind: [model.new_bool_var("") for _ in parts] for kind, parts in problem.parts.items()}
        self.cost = []
        for kind in ("body", "element"):
            model.add(sum(self.chosen[kind]) == self.used)
        self.add_roles()
        if problem.is_law_strict:
            self.add_law()
        self.add_accessories()
        self.add_relations()
        self.add_heat()
        for kind in ("body", "element", "control"):
            self.cost += [problem.net(part) * x for part, x in self.all(kind)]

    def all(self, kind):
        return zip(self.problem.parts[kind], self.chosen[kind])

    def those(self, kind, is_wanted):
        return sum(x for part, x in self.all(kind) if is_wanted(part))

    def add_roles(self):
        """Each role once at most, and those asked for; a clock in the element is as good as a time switch."""
        request, model = self.problem.request, self.model
        model.add(sum(self.chosen["control"]) <= 3 * self.used)
        for role in ROLES:
            count = self.those("control", lambda part: part[role])
            model.add(count <= self.used)
            if role == "fused_connection_unit" and self.problem.catalogue.market["needs_connection_unit"]:
                model.add(count >= self.used)
            if role == "wall_thermostat" and request["wall_control"]:
                model.add(count >= self.used)
            if role == "time_switch" and request["time_control"]:
                model.add(count >= self.those("element", lambda part: control_code(part)[0] not in ("TD", "TW")))

    def add_law(self):
        model, points = self.model, 750
        both = lambda wanted: self.those("element", wanted) + self.those("control", wanted)
        for function in FUNCTIONS:
            has = model.new_bool_var("")
            model.add(has <= both(lambda part: function in control_code(part)[1]))
            points += 20 * has
        last = 0
        for factor in sorted(set(BASES.values()) - {0}):
            has = model.new_bool_var("")
            model.add(has <= both(lambda part: BASES[control_code(part)[0]] >= factor))
            points += (factor - last) * has
            last = factor
        model.add(points >= sum(law_points(part["watts"]) * x for part, x in self.all("element")))

    def add_accessories(self):
        problem, model = self.problem, self.model
        by_kind = defaultdict(list)
        for part, x in self.all("accessory"):
            by_kind[part["kind"]].append((part, x))
        for kind in {"plug_cover", "bracket", "inhibitor"} | set(problem.wished):
            counts = defaultdict(list)
            for body, x in self.all("body"):
                counts[problem.pieces(kind, body)].append(x)
            needed = sum(sum(xs) for count, xs in counts.items() if count)
            options = by_kind[kind]
            model.add(sum(x for _, x in options) == needed)
            if kind == "inhibitor":
                self.add_packs(options)
            elif kind == "flex_cover":
                self.cost += [problem.net(part, problem.cover_pieces(part)) * x for part, x in options]
            else:
                self.add_pieces(options, counts)

    def add_pieces(self, options, counts):
        """So many pieces as the body asks for, each at its price."""
        for count, bodies in counts.items():
            if count:
                lines = [(self.model.new_bool_var(""), part, x) for part, x in options]
                self.model.add(sum(line for line, _, _ in lines) == sum(bodies))
                for line, part, x in lines:
                    self.model.add_implication(line, x)
                    self.cost.append(self.problem.net(part, count) * line)

    def add_packs(self, options):
        """Whole packs that make up the dose of what the body holds beside the element."""
        problem, model = self.problem, self.model
        volume = sum(problem.fill_ul10(body, 0) * x for body, x in self.all("body"))
        fill = volume - sum(9000 * part["displacement_ml"] * x for part, x in self.all("element"))
        for part, x in options:
            packs = model.new_int_var(0, 200, "")
            model.add(packs >= 1).only_enforce_if(x)
            model.add(packs * part["pack_ml"] * 10**7 >= fill * part["dose_ml_per_litre"]).only_enforce_if(x)
            assert part["unit"] % 100 == 0, "a line of several packs is rounded once"
            self.cost.append(part["unit"] // 100 * packs)

    def add_relations(self):
        """A part of one kind needs one of the groups it may stand with; a kind that may be absent is only restrained."""
        for relation in self.problem.relations:
            (first, second), (group, other) = relation.kinds, relation.groups
            if second in ("control", "accessory"):
                (restrained, theirs), (chosen, ours) = (second, other), (first, group)
                holds = lambda mine, yours: relation.holds(yours, mine)
            else:
                (restrained, theirs), (chosen, ours) = (first, group), (second, other)
                holds = relation.holds
            if chosen in ("control", "accessory"):
                raise ValueError("rows between controls and accessories are not modelled")
            groups = defaultdict(list)
            for part, x in self.all(chosen):
                groups[ours(part)].append(x)
            restrain = defaultdict(list)
            for part, x in self.all(restrained):
                restrain[theirs(part)].append(x)
            for mine, xs in restrain.items():
                allowed = sum(sum(those) for yours, those in groups.items() if holds(mine, yours))
                for x in [sum(xs)] if restrained in ("body", "element") else xs:
                    self.model.add(x <= allowed)

    def add_heat(self):
        """What the rail gives: the watts, or what the body sheds at the set point if that is less."""
        problem, model = self.problem, self.model
        watts = model.new_int_var(0, BIG, "")
        model.add(watts == sum(round(part["watts"] * 10) * x for part, x in self.all("element")))
        shed = model.new_int_var(0, BIG, "")
        groups = defaultdict(list)
        for part, x in self.all("element"):
            groups[problem.heat_group(part)].append(x)
        for group, xs in groups.items():
            has = model.new_bool_var("")
            model.add(sum(xs) == has)
            given = sum(problem.shed_tenths(body, group) * x for body, x in self.all("body"))
            model.add(shed == given).only_enforce_if(has)
        self.delivered = model.new_int_var(0, BIG, "")
        model.add_min_equality(self.delivered, [watts, shed])


class Search:
    """All rails of a bill, and the order of the answer: net price, fewer rails, smaller surplus."""

    def __init__(self, problem):
        self.problem, self.model = problem, cp_model.CpModel()
        model = self.model
        self.rails = [Rail(model, problem, number) for number in range(problem.rails_max)]
        model.add(self.rails[0].used == 1)
        self.net = sum(sum(rail.cost) for rail in self.rails)
        self.count = sum(rail.used for rail in self.rails)
        self.delivered = sum(rail.delivered for rail in self.rails)
        if problem.net_max is not None:
            model.add(self.net <= problem.net_max)
        model.add(self.delivered >= problem.required)
        if problem.wall is not None:
            widths = [(part["width_mm"] + GAP_MM) * x for rail in self.rails for part, x in rail.all("body")]
            model.add(sum(widths) <= problem.wall + GAP_MM)
        self.add_order()
        for rail in self.rails[1:]:
            for finish in {part["finish"] for part in problem.parts["body"]}:
                same = lambda part: part["finish"] == finish
                model.add(rail.those("body", same) <= self.rails[0].those("body", same))
        model.minimize(self.net * 10**7 + self.count * 10**6 + self.delivered)

    def add_order(self):
        """Rails are alike: they stand in the order of their parts, unused ones last."""
        elements = len(self.problem.parts["element"]) + 1
        last = (len(self.problem.parts["body"]) + 1) * elements
        place = lambda rail: (
            sum(elements * number * x for number, x in enumerate(rail.chosen["body"]))
            + sum(number * x for number, x in enumerate(rail.chosen["element"]))
            + last * (1 - rail.used)
        )
        for one, next_one in zip(self.rails, self.rails[1:]):
            self.model.add(place(one) <= place(next_one))

    def best(self):
        """(net, rails, delivered) of the best bill, nothing when there is none.

        Stops by the solver's own measure of work, so that a slow machine decides the same cases as a fast one.
        """
        if not self.problem.parts["body"] or not self.problem.parts["element"]:
            return None
        self.solver = cp_model.CpSolver()
        self.solver.parameters.num_workers = 1
        self.solver.parameters.max_deterministic_time = WORK_MAX
        self.solver.parameters.random_seed = 1
        status = self.solver.solve(self.model)
        if status == cp_model.INFEASIBLE:
            return None
        if status != cp_model.OPTIMAL:
            raise TimeoutError("CP-SAT")
        return tuple(self.solver.value(figure) for figure in (self.net, self.count, self.delivered))

    def forbid_last(self):
        """Takes the bodies and elements of the last answer out, so that the next best comes."""
        terms = []
        for rail in self.rails:
            if not self.solver.value(rail.used):
                terms.append(1 - rail.used)
                continue
            terms += [x for kind in ("body", "element") for x in rail.chosen[kind] if self.solver.value(x)]
        self.model.add(sum(terms) <= len(terms) - 1)
