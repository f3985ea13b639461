"""How long others take for the same questions with the same answers: SQL over SQLite and PostgreSQL, CP-SAT, clingo.

Usage: peers.py FOLDER [--seconds S] [--limit L]

FOLDER holds what `cargo run --release --example export -- FOLDER 400 100:1 1000:1 10000:1` wrote; our own times stand in
it: of the first pass ever (cold) and the best of some more (warm), both for the single best bill. Each peer answers
questions in their order for S seconds (20) a cell; one that takes longer than L seconds (8) counts as timed out and is
left out of the medians, which flatters the peer. A peer's answer that differs from ours ends the run with 1.

The peers are helped: controls, brackets, plug covers and inhibitors are priced beforehand for all of them; "join" goes
over the parts with the rules as conditions, "pairs" over a table of all bodies and elements that fit, indexed by price.
PostgreSQL runs on a socket in a scratch folder, without just-in-time compilation, and is left out where it is missing.
"""

import functools
import math
import os
import pathlib
import shutil
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, str(pathlib.Path(__file__).parents[1] / "oracles"))

from solvers import asp, cp_sat
from solvers.rules import BASES, Catalogue, GAP_MM, Problem, ROLES, control_code, half_up, law_points, zone_allows

PAIRS_UP_TO = 200_000
SOLVERS_UP_TO = 20_000
CLINGO_UP_TO = 2_000


# --- tables --------------------------------------------------------------------------------------------------------


def cheapest_alike(rows, kind, parts, more):
    """Of parts that all rows and `more` see alike only the lowest price counts: (groups, more): price a piece."""
    alike = {}
    for part in parts:
        key = tuple(row.group(kind, part) for row in rows), more(part)
        alike[key] = min(alike.get(key, math.inf), part["unit"])
    return alike


def fitting(rows, groups, alike):
    """Of parts of one kind beside a part that the rows see as `groups`: the least net price by what `more` told of them."""
    found = {}
    for (theirs, what), unit in alike.items():
        if all(row.holds(*both) for row, *both in zip(rows, groups, theirs)):
            found[what] = min(found.get(what, math.inf), half_up(unit, 100))
    return found


class Controls:
    """The cheapest controls for an element, by its wish: time control, wall control, strict law."""

    def __init__(self, catalogue):
        self.is_connected = catalogue.market["needs_connection_unit"]
        self.rows = [row for row in catalogue.rows if row.kinds == ("element", "control")]
        what = lambda control: (tuple(role for role in ROLES if control[role]), control["control_code"])
        self.alike = cheapest_alike(self.rows, "control", catalogue.parts["control"], what)
        self.fitting, self.nets = {}, {}

    def net(self, element, wish):
        clock, wall, strict = wish
        needed = {"fused_connection_unit"} if self.is_connected else set()
        needed |= {"time_switch"} if clock and control_code(element)[0] not in ("TD", "TW") else set()
        needed |= {"wall_thermostat"} if wall else set()
        groups = tuple(row.group("element", element) for row in self.rows)
        key = (groups, element["control_code"], element["watts"] > 250, tuple(sorted(needed)), strict)
        if key not in self.nets:
            self.nets[key] = cheapest_set(self.those_with(groups), element, needed, strict)
        return self.nets[key]

    def those_with(self, groups):
        if groups not in self.fitting:
            self.fitting[groups] = fitting(self.rows, groups, self.alike)
        return self.fitting[groups]


def cheapest_set(alike, element, needed, strict):
    best = None
    stack = [(0, frozenset(), (control_code(element),), 0)]
    options = sorted(alike.items(), key=lambda item: item[1])
    while stack:
        net, roles, codes, start = stack.pop()
        points = 750 + max(BASES[base] for base, _ in codes) + 20 * len(set().union(*(functions for _, functions in codes)))
        if needed <= roles and (not strict or law_points(element["watts"]) <= points):
            best = net if best is None else min(best, net)
            continue
        for place in range(start, len(options)):
            (their_roles, code), more = options[place]
            if not roles & set(their_roles) and (best is None or net + more < best):
                codes_too = codes + (control_code({"control_code": code}),)
                stack.append((net + more, roles | set(their_roles), codes_too, place + 1))
    return best


def tables(catalogue):
    """Bodies, elements and what finishes a rail, as rows."""
    problem = Problem(catalogue, catalogue.requests[0] | {
        "children": False, "vulnerable": False, "public_building": False, "flex_cover": False, "accessories": [],
        "finish": None, "side": "either", "wall_width_mm": None, "wall_height_mm": None, "rails_max": 1})
    rows = [row for row in catalogue.rows if row.kinds == ("body", "accessory")]
    by_kind = {}
    for part in catalogue.parts["accessory"]:
        by_kind.setdefault(part["kind"], []).append(part)
    sizes = {"flex_cover": lambda part: part["cover_length_mm"],
             "inhibitor": lambda part: (part["dose_ml_per_litre"], part["pack_ml"])}
    alike = {kind: cheapest_alike(rows, "accessory", parts, sizes.get(kind, lambda part: None))
             for kind, parts in by_kind.items()}

    @functools.cache
    def fits(groups, kind):
        """Net price a piece of each size of a kind that fits such bodies."""
        return fitting(rows, groups, alike.get(kind, {}))

    doses = {}
    for (_, size), unit in alike.get("inhibitor", {}).items():
        doses[size] = min(doses.get(size, math.inf), unit)

    @functools.cache
    def least_inhibitor(fill):
        parts = ({"dose_ml_per_litre": dose, "pack_ml": pack, "unit": unit} for (dose, pack), unit in doses.items())
        return min((problem.net(part, problem.packs(part, fill)) for part in parts), default=None)

    bodies, covers, inhibitors, covered = [], {}, [], set()
    displacements = sorted({element["displacement_ml"] for element in catalogue.parts["element"]})
    for number, body in enumerate(catalogue.parts["body"]):
        groups = tuple(row.group("body", body) for row in rows)
        least = lambda kind: fits(groups, kind).get(None)
        bracket, plug = least("bracket"), least("plug_cover")
        fixed = None if None in (bracket, plug) else bracket * body["bracket_count"] + plug * body["open_port_count"]
        wishes = [least(kind) for kind in ("hook", "shelf", "wall_plate", "vent_key")]
        if (body["finish"], groups) not in covered:
            covered.add((body["finish"], groups))
            for length, net in fits(groups, "flex_cover").items():
                key = body["finish"], length
                covers[key] = min(covers.get(key, math.inf), net)
        for displacement in displacements:
            cost = 0 if body["filled"] else least_inhibitor(problem.fill_ul10(body, displacement))
            if cost is not None:
                inhibitors.append((number, displacement, cost))
        if fixed is not None:
            bodies.append((number, body["finish"], body["thread"], body["width_mm"], body["height_mm"], body["lowest_tube_mm"],
                           body["element_side"], body["rated_output_w"], body["exponent"], int(body["guarded"]),
                           body["watts_min"], body["watts_max"], body["immersed_length_mm_max"], body["bore_mm"],
                           body["fluid_limit_c"], body["unit"] // 100 + fixed, *wishes))
    elements, controls, cheapest = [], [], Controls(catalogue)
    for number, part in enumerate(catalogue.parts["element"]):
        zones = [int(zone_allows(catalogue.pack, part, zone, jets)) for zone in ("1", "2", "outside") for jets in (False, True)]
        elements.append((number, part["finish"], part["thread"], part["watts"], part["regulation"], part["set_point_c_max"],
                         part["set_point_max_c_lockable"], part["immersed_length_mm"], part["sheath_diameter_mm"],
                         part["head_length_mm"], part["flex_length_mm"], part["displacement_ml"],
                         int(part["thermal_cut_out"] is True), part["fluid_limit_c"], part["unit"] // 100, *zones))
        for wish in range(8):
            net = cheapest.net(part, (wish & 1, wish & 2, wish & 4))
            if net is not None:
                controls.append((number, wish, net))
    names = {row[1] for row in bodies} | {row[1] for row in elements}
    pairs = next(iter(catalogue.rows)).pairs
    finishes = [(a, b) for a in names for b in names if a == b or ("finish", a, b) in pairs]
    joins = [(port, boss) for port in {row[2] for row in bodies} for boss in {row[2] for row in elements} if catalogue.threads_join(port, boss)]
    return {
        "body": ("id int primary key, finish text, thread text, width int, height int, lowest int, side text, rated float8, exponent float8, guarded int, watts_min float8, watts_max float8, length_max int, bore int, fluid_limit float8, net int, hook int, shelf int, wall_plate int, vent_key int", bodies),
        "element": ("id int primary key, finish text, thread text, watts float8, regulation text, set_point float8, locked float8, length int, sheath float8, head int, flex int, displacement int, cut_out int, fluid_limit float8, net int, zone_1 int, zone_1_jets int, zone_2 int, zone_2_jets int, zone_outside int, zone_outside_jets int", elements),
        "inhibitor": ("body int, displacement int, net int, primary key (body, displacement)", inhibitors),
        "control": ("element int, wish int, net int, primary key (element, wish)", controls),
        "cover": ("finish text, length int, net int, primary key (finish, length)", [(*key, net) for key, net in covers.items()]),
        "finish_pair": ("left_finish text, right_finish text, primary key (left_finish, right_finish)", finishes),
        "thread_pair": ("port text, boss text, primary key (port, boss)", joins),
    }


FITS = """
from body b join element e on e.watts between b.watts_min and b.watts_max and e.length <= b.length_max and e.sheath <= b.bore
join finish_pair f on f.left_finish = e.finish and f.right_finish = b.finish
join thread_pair t on t.port = b.thread and t.boss = e.thread
join inhibitor i on i.body = b.id and i.displacement = e.displacement
"""
INDEXES = ["create index body_net on body (finish, net)", "create index element_net on element (finish, thread, net)",
           "create index element_watts on element (watts)"]
PAIR = """create table pair as select b.id as body, e.id as element, b.finish, b.width, b.height, b.lowest, b.side, b.rated, b.exponent,
 b.guarded, b.hook, b.shelf, b.wall_plate, b.vent_key, b.fluid_limit as body_limit, e.watts, e.regulation, e.set_point, e.locked,
 e.head, e.flex, e.cut_out, e.fluid_limit as element_limit, e.zone_1, e.zone_1_jets, e.zone_2, e.zone_2_jets, e.zone_outside,
 e.zone_outside_jets, b.net + e.net + i.net as net """ + FITS


# --- questions -----------------------------------------------------------------------------------------------------


def question(problem, least, form):
    """The rails that a question allows, as a query: price, tenths of a watt, width, finish, numbers."""
    ask, users = problem.request, any(problem.users.values())
    pair = form == "pairs"
    body, element = ("p", "p") if pair else ("b", "e")
    body_limit, element_limit = ("p.body_limit", "p.element_limit") if pair else ("b.fluid_limit", "e.fluid_limit")
    vulnerable = "" if not ask["vulnerable"] else f" and {element}.locked <= 43"
    safe = f"case when {element}.regulation = 'fixed' then case when {element}.set_point <= 43 then {element}.set_point end " \
           f"when 1 = 1{vulnerable} then {element}.locked end"
    point = f"{element}.set_point" if not users else f"case when {body}.guarded = 1 then {element}.set_point else {safe} end"
    excess = f"{least[1]}(coalesce({point}, 1e9) - {ask['room_c']}, 0)"
    shed = f"{ask['towels_factor']} * {body}.rated * power({excess} / 50.0, {body}.exponent)"
    where = [f"{element}.cut_out = 1 or {element}.watts <= {ask['towels_factor']} * {body}.rated * "
             f"power(({least[0]}({body_limit}, {element_limit}) - {ask['room_c']}) / 50.0, {body}.exponent)"]
    if users:
        where.append(f"{body}.guarded = 1 or ({safe}) is not null")
    if ask["finish"]:
        where.append(f"{body}.finish = '{ask['finish']}'")
    if ask["wall_width_mm"] is not None:
        where.append(f"{body}.width <= {ask['wall_width_mm']}")
    if ask["wall_height_mm"] is not None:
        where.append(f"{body}.height + {element}.head <= {ask['wall_height_mm']}")
        if ask["children"] and ask["wall_bottom_mm"] is not None:
            where.append(f"600 <= {ask['wall_bottom_mm'] + ask['wall_height_mm']} - {body}.height + {body}.lowest")
    if ask["side"] != "either":
        where.append(f"{body}.side in ('either', '{ask['side']}')")
    if ask["regulation"] != "either":
        where.append(f"{element}.regulation = '{ask['regulation']}'")
    if ask["connection_distance_mm"] is not None:
        where.append(f"{ask['connection_distance_mm'] + 100} <= {element}.flex")
    if ask["zone"]:
        where.append(f"{element}.zone_{ask['zone']}{'_jets' if ask['water_jets'] else ''} = 1")
    if problem.is_law_strict:
        where.append(f"60 < {element}.watts")
    more = "".join(f" + {body}.{kind} * {count}" for kind, count in problem.wished.items() if kind != "flex_cover")
    where += [f"{body}.{kind} is not null" for kind in problem.wished if kind != "flex_cover"]
    cover = ""
    if "flex_cover" in problem.wished:
        route = ask["connection_distance_mm"] or 0
        pieces = f"{least[1]}(1, ({route} + length - 1) / length)"
        cover = f" join (select finish, min(net * {pieces}) as net from cover group by finish) v on v.finish = {body}.finish"
        more += " + v.net"
    wish = ask["time_control"] * 1 + ask["wall_control"] * 2 + problem.is_law_strict * 4
    source = "from pair p" if pair else FITS
    net = ("p.net" if pair else "b.net + e.net + i.net") + " + c.net" + more
    ids = ("p.body as body, p.element as element" if pair else "b.id as body, e.id as element")
    element_id = "p.element" if pair else "e.id"
    return f"select {net} as net, cast(floor({least[0]}({element}.watts, {shed}) * 10 + 1e-5) as int) as given, {body}.width as width, " \
           f"{body}.finish as finish, {ids} {source} join control c on c.element = {element_id} and c.wish = {wish}{cover} " \
           f"where {' and '.join(f'({condition})' for condition in where)}"


def best_by_sql(run, problem, least, form):
    """One rail first; more only below the price found, each ordered so that no set comes twice."""
    rails = question(problem, least, form)
    bound, wall, best = problem.net_max, problem.wall, None
    for count in range(1, problem.rails_max + 1):
        names = [f"r{number}" for number in range(count)]
        total = lambda column: " + ".join(f"{name}.{column}" for name in names)
        where = [f"{problem.required} <= {total('given')}"]
        if bound is not None:
            where.append(f"{total('net')} {'<=' if best is None else '<'} {bound}")
        if wall is not None:
            where.append(f"{total('width')} <= {wall - GAP_MM * (count - 1)}")
        where += [f"{one}.finish = {other}.finish and ({one}.body, {one}.element) <= ({other}.body, {other}.element)"
                  for one, other in zip(names, names[1:])]
        tables_of = ", ".join(f"rail {name}" for name in names)
        found = run(f"with rail as ({rails}) select {total('net')}, {count}, {total('given')} from {tables_of} "
                    f"where {' and '.join(where)} order by 1, 3 limit 1")
        if found:
            best = tuple(found)
            bound = best[0]
    return best


# --- peers ---------------------------------------------------------------------------------------------------------


def sqlite(catalogue, made, limit):
    database = sqlite3.connect(":memory:")
    for name, (columns, rows) in made.items():
        database.execute(f"create table {name} ({columns})")
        if rows:
            database.executemany(f"insert into {name} values ({','.join('?' * len(rows[0]))})", rows)
    for index in INDEXES:
        database.execute(index)
    if len(made["body"][1]) * 4 <= PAIRS_UP_TO:
        database.execute(PAIR)
        database.execute("create index pair_net on pair (finish, net)")
    database.execute("analyze")
    until = [0.0]
    database.set_progress_handler(lambda: time.perf_counter() > until[0], 10_000)

    def run(sql):
        return database.execute(sql).fetchone()

    def ask(form):
        def best(problem):
            until[0] = time.perf_counter() + limit
            try:
                return best_by_sql(run, problem, ("min", "max"), form)
            except sqlite3.OperationalError as stopped:
                raise TimeoutError from stopped
        return best

    return ask


class Postgres:
    """A server of our own in a scratch folder, ended with the run."""

    def __init__(self):
        self.folder = tempfile.mkdtemp(prefix="peers-")
        self.as_user = []
        if os.geteuid() == 0:
            shutil.chown(self.folder, "postgres")
            self.as_user = ["setpriv", "--reuid=postgres", "--regid=postgres", "--clear-groups"]
        tools = pathlib.Path(shutil.which("initdb")).parent
        run = lambda *words: subprocess.run([*self.as_user, *words], check=True, stdout=subprocess.DEVNULL, cwd=self.folder)
        run(tools / "initdb", "-D", f"{self.folder}/data", "-U", "peer", "-A", "trust", "--no-sync")
        options = ["-k", self.folder, "-c", "listen_addresses=", "-c", "jit=off", "-c", "fsync=off", "-c", "work_mem=64MB",
                   "-c", "shared_buffers=256MB"]
        self.server = subprocess.Popen([*self.as_user, tools / "postgres", "-D", f"{self.folder}/data", *options],
                                       stderr=subprocess.DEVNULL, cwd=self.folder)
        import psycopg
        self.psycopg = psycopg
        for _ in range(100):
            try:
                self.connection = psycopg.connect(host=self.folder, user="peer", dbname="postgres", autocommit=True)
                return
            except psycopg.OperationalError:
                time.sleep(0.1)
        raise SystemExit("PostgreSQL did not start")

    def fill(self, made, limit):
        connection = self.connection
        connection.execute("set statement_timeout = 0")
        for name in [*made, "pair"]:
            connection.execute(f"drop table if exists {name}")
        for name, (columns, rows) in made.items():
            connection.execute(f"create table {name} ({columns})")
            with connection.cursor().copy(f"copy {name} from stdin") as copy:
                for row in rows:
                    copy.write_row(row)
        for index in INDEXES:
            connection.execute(index)
        if len(made["body"][1]) * 4 <= PAIRS_UP_TO:
            connection.execute(PAIR)
            connection.execute("create index pair_net on pair (finish, net)")
        connection.execute("analyze")
        connection.execute(f"set statement_timeout = {int(limit * 1000)}")

        def ask(form):
            def best(problem):
                try:
                    return best_by_sql(lambda sql: connection.execute(sql).fetchone(), problem, ("least", "greatest"), form)
                except self.psycopg.errors.QueryCanceled as stopped:
                    raise TimeoutError from stopped
            return best

        return ask

    def close(self):
        self.connection.close()
        self.server.terminate()
        self.server.wait()
        shutil.rmtree(self.folder, ignore_errors=True)


def peers(catalogue, made, limit, postgres):
    parts = len(made["body"][1]) * 4
    forms = ["join"] + (["pairs"] if parts <= PAIRS_UP_TO else [])
    for name, ask in [("SQLite", sqlite(catalogue, made, limit))] + ([("PostgreSQL", postgres.fill(made, limit))] if postgres else []):
        for form in forms:
            yield f"{name}, {form}", ask(form)
    if parts <= SOLVERS_UP_TO:
        yield "CP-SAT", lambda problem: cp_sat.Search(problem).best()
    if parts <= CLINGO_UP_TO:
        yield "clingo", asp.best


def measure(name, ask, catalogue, requests, budget):
    """Times of the questions that were answered, ours beside them, and how many timed out."""
    theirs, cold, warm, stopped, begun = [], [], [], 0, time.perf_counter()
    for request in requests:
        if time.perf_counter() - begun > budget:
            break
        problem = Problem(catalogue, request)
        started = time.perf_counter()
        try:
            found = ask(problem)
        except TimeoutError:
            stopped += 1
            continue
        theirs.append((time.perf_counter() - started) * 1e6)
        choices = request["answer"]["choices"]
        ours = (choices[0]["net"], len(choices[0]["rails"]), choices[0]["delivered_dw"]) if choices else None
        if found != ours:
            raise SystemExit(f"{name} answers {found}, we {ours}: {request}")
        cold.append(request["first_us"])
        warm.append(request["warm_us"])
    return theirs, cold, warm, stopped


def main():
    words = sys.argv[1:]
    if not words:
        raise SystemExit(__doc__)
    option = lambda name, usual: float(words[words.index(name) + 1]) if name in words else usual
    budget, limit = option("--seconds", 20.0), option("--limit", 8.0)
    postgres = Postgres() if shutil.which("initdb") else None
    print("| parts | rails | peer | answered | timed out | peer's median | ours cold | ours warm | cold ratio | warm ratio |")
    print("|---|---|---|---|---|---|---|---|---|---|")
    try:
        for path in sorted(pathlib.Path(words[0]).glob("*.json"), key=lambda path: path.stat().st_size):
            catalogue = Catalogue(path)
            made = tables(catalogue)
            for rails, chosen in (("1", lambda ask: ask["rails_max"] == 1), ("1-3", lambda _: True)):
                requests = [request for request in catalogue.requests if chosen(request)]
                for name, ask in peers(catalogue, made, limit, postgres):
                    theirs, cold, warm, stopped = measure(name, ask, catalogue, requests, budget)
                    figures = " |  |  |  |  | " if not theirs else row(theirs, cold, warm)
                    print(f"| {path.stem.split('-')[0]} | {rails} | {name} | {len(theirs)} | {stopped} {figures}|", flush=True)
    finally:
        if postgres:
            postgres.close()


def row(theirs, cold, warm):
    peer, first, best = (statistics.median(times) for times in (theirs, cold, warm))
    return f"| {peer / 1000:.2f} ms | {first:.2f} us | {best:.2f} us | {peer / first:,.0f} | {peer / best:,.0f} "


if __name__ == "__main__":
    main()
