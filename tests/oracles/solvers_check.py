"""Answers the questions to made-up catalogues by two solvers, and compares every answer with ours.

Usage: solvers_check.py FOLDER [--jobs N] | solvers_check.py --self-test FOLDER

FOLDER holds what `cargo run --example export -- FOLDER ...` wrote: catalogues of 100 to 1,000 parts as plain attributes,
rule rows and prices, with questions for one to three rails and our answers. CP-SAT (ortools) and clingo each search for
the best bill from the rules alone (solvers/rules.py). Both must agree with us on whether there is a bill, and on the net
price, the gross price, the number of rails and what the rails deliver (and so the surplus) of the best one. CP-SAT also
prices the very bodies and elements that we name, and on the smaller catalogues finds the second and third best.

The last tie, by part numbers, is left to the tests that try everything. Ends with 1 at any difference, at too few cases
of a kind. A solver stops after so much work (not time); such a case counts as not decided by it. --self-test falsifies our answers in six ways and ends with 1 unless
every falsehood is found.
"""

import collections
import copy
import multiprocessing
import pathlib
import sys
import time

from solvers import asp, cp_sat
from solvers.rules import Catalogue, Problem

# Least number of cases of a kind, so that a poorer generator is noticed.
LEAST = {"decided by CP-SAT": 300, "decided by clingo": 300, "possible": 120, "impossible": 60, "best has 2 rails": 20, "best has 3 rails": 4, "with a budget": 80,
         "with a finish": 60, "with users": 40, "with a zone": 60, "with wishes": 60, "with controls": 40}
# Catalogues up to this size are asked for three options.
OPTIONS_UP_TO = 250


def figures(choice):
    return choice["net"], len(choice["rails"]), choice["delivered_dw"]


def compare(catalogue, request):
    """Sentences about every difference, and how long each solver took."""
    problem = Problem(catalogue, request)
    answer, wrong, times = request["answer"], [], {}
    ours = [figures(choice) for choice in answer["choices"]]
    if not answer["decided"]:
        return ["our search was cut short"], times
    for choice in answer["choices"]:
        if choice["gross"] != problem.gross(choice["net"]):
            wrong.append(f"gross price {choice['gross']}, here {problem.gross(choice['net'])}")
    if ours != sorted(ours):
        wrong.append(f"options out of order: {ours}")
    for solver, ask in (("CP-SAT", ask_cp_sat), ("clingo", ask_clingo)):
        begun = time.perf_counter()
        try:
            wrong += ask(catalogue, problem, request)
            times[solver] = time.perf_counter() - begun
        except TimeoutError:
            pass  # Counted as not decided by this solver.
    return wrong, times


def ask_cp_sat(catalogue, problem, request):
    ours = [figures(choice) for choice in request["answer"]["choices"]]
    search = cp_sat.Search(problem)
    theirs = [search.best()]
    wanted = 3 if len(catalogue.parts["body"]) * 10 <= OPTIONS_UP_TO * 3 else 1
    while theirs[-1] is not None and len(theirs) < wanted:
        search.forbid_last()
        theirs.append(search.best())
    theirs = [found for found in theirs if found is not None]
    wrong = [] if theirs == ours[:wanted] else [f"CP-SAT finds {theirs}, we answered {ours[:wanted]}"]
    return wrong + [sentence for choice in request["answer"]["choices"] for sentence in price_named(catalogue, request, choice)]


def ask_clingo(_catalogue, problem, request):
    choices = request["answer"]["choices"]
    ours = figures(choices[0]) if choices else None
    found = asp.best(problem, ours)
    return [] if found == ours else [f"clingo finds {found}, we answered {ours}"]


def price_named(catalogue, request, choice):
    """Whether the bodies and elements that we name make a bill at the price that we name."""
    problem = Problem(catalogue, request | {"rails_max": len(choice["rails"])})
    for place, kind in enumerate(("body", "element")):
        named = {rail[place] for rail in choice["rails"]}
        problem.parts[kind] = [part for part in problem.parts[kind] if part["sku"] in named]
        if len(problem.parts[kind]) < len(named):
            return [f"{named}: a {kind} that may not be sold here"]
    search = cp_sat.Search(problem)
    for rail, names in zip(search.rails, sorted(choice["rails"])):
        for place, kind in enumerate(("body", "element")):
            search.model.add(rail.those(kind, lambda part: part["sku"] == names[place]) == 1)
    found = search.best()
    return [] if found == figures(choice) else [f"{choice['rails']} come to {found}, we answered {figures(choice)}"]


def kinds_of(request):
    choices = request["answer"]["choices"]
    yield "cases"
    yield "possible" if choices else "impossible"
    if choices:
        yield f"best has {len(choices[0]['rails'])} rail{'s' if len(choices[0]['rails']) > 1 else ''}"
    if len(choices) > 1 and choices[0]["net"] == choices[1]["net"]:
        yield "tied at one price"
    asked = {
        "a budget": request["budget_minor"], "a finish": request["finish"], "a zone": request["zone"],
        "users": request["children"] or request["vulnerable"] or request["public_building"],
        "wishes": request["accessories"] or request["flex_cover"],
        "controls": request["time_control"] or request["wall_control"],
    }
    yield from (f"with {name}" for name, value in asked.items() if value)


CATALOGUES = {}


def work(task):
    path, number = task
    catalogue = CATALOGUES.get(path) or CATALOGUES.setdefault(path, Catalogue(path))
    request = catalogue.requests[number]
    wrong, times = compare(catalogue, request)
    return task, wrong, times, list(kinds_of(request)) + [f"decided by {solver}" for solver in times]


def check(folder, jobs):
    paths = sorted(pathlib.Path(folder).glob("*.json"))
    tasks = [(path, number) for path in paths for number in range(len(Catalogue(path).requests))]
    counts, seconds, differences = collections.Counter(), collections.defaultdict(list), 0
    with multiprocessing.Pool(jobs) as pool:
        for (path, number), wrong, times, kinds in pool.imap_unordered(work, tasks, chunksize=2):
            counts.update(kinds)
            for solver, took in times.items():
                seconds[solver].append(took)
            for sentence in wrong:
                differences += 1
                print(f"DIFFERS {path.name}, question {number}: {sentence}")
    print(f"{len(paths)} catalogues;", ", ".join(f"{count} {kind}" for kind, count in sorted(counts.items())))
    for solver, all_of_it in seconds.items():
        print(f"{solver}: median {sorted(all_of_it)[len(all_of_it) // 2]:.3f} s a case, longest {max(all_of_it):.1f} s")
    few = [f"{counts[kind]} {kind}, at least {least} wanted" for kind, least in LEAST.items() if counts[kind] < least]
    print("\n".join(few + [f"{differences} differences"]))
    return not few and not differences and bool(tasks)


def falsehoods(request):
    """Our answer, falsified in one way each."""
    def falsified(change):
        other = copy.deepcopy(request)
        change(other["answer"])
        return other

    def shift(name, by):
        return lambda answer: answer["choices"][0].update({name: answer["choices"][0][name] + by})

    yield "a penny too dear", falsified(shift("net", 1))
    yield "a penny too cheap", falsified(shift("net", -1))
    yield "a tenth of a watt too much", falsified(shift("delivered_dw", 1))
    yield "gross price a penny off", falsified(shift("gross", 1))
    yield "called impossible", falsified(lambda answer: answer["choices"].clear())
    yield "another element named", falsified(
        lambda answer: answer["choices"][0]["rails"][0].__setitem__(1, request["other_element"]))


def self_test(folder):
    """Every falsehood about a possible question is found, and a bill invented for an impossible one."""
    path = sorted(pathlib.Path(folder).glob("*.json"))[0]
    catalogue, missed, tried = Catalogue(path), 0, 0
    possible = [request for request in catalogue.requests if request["answer"]["choices"]][:3]
    impossible = [request for request in catalogue.requests if not request["answer"]["choices"]][:3]
    for request in possible:
        used = {rail[1] for choice in request["answer"]["choices"] for rail in choice["rails"]}
        request["other_element"] = next(p["sku"] for p in catalogue.parts["element"] if p["sku"] not in used)
        for name, falsified in falsehoods(request):
            tried += 1
            if not compare(catalogue, falsified)[0]:
                missed += 1
                print(f"MISSED: {name}, {falsified['answer']}")
    for request in impossible:
        invented = copy.deepcopy(request)
        invented["answer"] = copy.deepcopy(possible[0]["answer"])
        tried += 1
        if not compare(catalogue, invented)[0]:
            missed += 1
            print("MISSED: a bill invented for an impossible question")
    print(f"self-test: {tried} falsehoods, {missed} missed")
    return missed == 0 and len(possible) == len(impossible) == 3


def main():
    words = sys.argv[1:]
    if not words:
        raise SystemExit(__doc__)
    jobs = int(words[words.index("--jobs") + 1]) if "--jobs" in words else multiprocessing.cpu_count()
    good = self_test(words[1]) if words[0] == "--self-test" else check(words[0], jobs)
    raise SystemExit(0 if good else 1)


if __name__ == "__main__":
    main()
