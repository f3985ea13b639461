"""Differential oracle for the string past several low partitions, as German rules measure it (numpy, scipy).

An independent computation in space: points are laid along the upper edges and the upright ends of the partitions, the
shortest string through them is found in the graph of what sees what (scipy), and is then pulled tight over the edges it
touches (each length is convex in where it touches). The program knows such a string between two bounds only and may
answer `not_established`; what it does establish must be right.

    python3 tests/oracles/strings_check.py --rooms 300 http://127.0.0.1:8080

Exit status 1 when an established zone differs farther than 1e-3 mm from a boundary, when the stated distance is longer
than the string, or when fewer than a tenth of the things are behind several low partitions, or fewer than half of these are established.
"""

import argparse
import http.client
import json
import multiprocessing
import os
import random
import sys
import urllib.parse

import numpy
import shapely
from scipy.optimize import minimize
from scipy.sparse.csgraph import dijkstra

PLANE_MM = 2250
CEILING_MM = 2500
BATH_ZONE2_MM = 600
TRAYLESS_MM = 1200
# The shortest string of the graph is longer than the tight one by far less than this.
STEP_MM = 40
# What touches an edge to less than this passes it.
SLIT_MM = 1e-6
# How near a boundary the zone is left open, and how much shorter than ours the tight string may come out.
TOLERANCE_MM = 1e-3


# -- random rooms -------------------------------------------------------------------------------------------------

def random_room(rng):
    """A rectangle with a bath or a tray-less outlet, two to four low partitions that do not meet, six points."""
    width, depth = rng.randrange(2000, 4001, 10), rng.randrange(2000, 4001, 10)
    fixtures, outlets = [], []
    if rng.random() < 0.5:
        rect = [0, 0, rng.randrange(500, 1001, 10), rng.randrange(500, 801, 10)]
        fixtures.append({"id": "bath", "kind": "bath", "rect_mm": rect, "bottom_mm": 150, "rim_mm": 560,
                         "under_access": "tool"})
    else:
        rect = [rng.randrange(100, 700, 10), rng.randrange(100, 700, 10)] * 2
        rect = [rect[0], rect[1], rect[0], rect[1]]
        fixtures.append({"id": "wet", "kind": "trayless"})
        outlets.append({"at_mm": rect[:2], "z_mm": 2000, "serves": "wet"})
    water = shapely.box(*rect) if outlets == [] else shapely.Point(rect[:2])
    lines = []
    wanted = rng.randrange(2, 5)
    for _ in range(60):
        if len(lines) == wanted:
            break
        # One behind the other as seen from the water, so that a string has several to pass.
        away, length = rng.randrange(550, 1600, 10), rng.randrange(500, 1801, 10)
        if rng.random() < 0.5:
            x, y, dx, dy = away, rng.randrange(-400, 700, 10), *rng.choice([(0, 1), (-0.28, 0.96), (0.6, 0.8)])
        else:
            x, y, dx, dy = rng.randrange(-400, 700, 10), away, *rng.choice([(1, 0), (0.96, -0.28), (0.8, 0.6)])
        x, y = max(x, 0), max(y, 0)
        line = shapely.LineString([(x, y), (round(x + dx * length), round(y + dy * length))])
        ends = numpy.array(line.coords)
        inside = (0 <= ends).all() and (ends <= [width, depth]).all()
        if inside and line.distance(water) > 20 and all(line.distance(other) > 20 for other in lines):
            # Along a wall there is no end to go round and nothing to measure.
            on_wall = [end[0] in (0, width) or end[1] in (0, depth) for end in ends]
            if not all(on_wall):
                lines.append(line)
    tops = [rng.choice([600, 900, 1200, 1500, 1800, 2000, 2200]) for _ in lines]
    items = []
    for index in range(6):
        for _ in range(50):
            x, y = rng.randrange(50, min(width, 2200), 10), rng.randrange(50, min(depth, 2200), 10)
            if all(line.distance(shapely.Point(x, y)) > 20 for line in lines) and water.distance(shapely.Point(x, y)) > 50:
                z = rng.choice([300, 700, 1000, 1300, 1700, 2000, 2250])
                items.append({"id": str(index), "kind": "rail", "point_mm": [x, y, z]})
                break
    partitions = [{"a_mm": list(map(int, line.coords[0])), "b_mm": list(map(int, line.coords[1])), "top_mm": top,
                   "fixed": True, "floor_joined": True, "kind": "glass_panel"} for line, top in zip(lines, tops)]
    scene = {"room_mm": [0, 0, width, depth], "ceiling_mm": CEILING_MM, "fixtures": fixtures, "outlets": outlets,
             "partitions": partitions}
    return {"wiring_rules": rng.choice(["de-2025", "de-2008"]), "scene": scene, "items": items}, rect


# -- the independent answer ---------------------------------------------------------------------------------------

class Strings:
    """The upper edges and free upright ends of the partitions of one room, with points laid along them."""

    def __init__(self, scene, rect):
        x0, y0, x1, y1 = scene["room_mm"]
        self.rect = rect

        def is_free(end):
            return end[0] not in (x0, x1) and end[1] not in (y0, y1)

        # Nothing slips through between a wall and the end of a partition that stands on it.
        self.panes = [(numpy.array(part["a_mm"], float), numpy.array(part["b_mm"], float), part["top_mm"],
                       [SLIT_MM if is_free(part[end]) else -SLIT_MM for end in ("a_mm", "b_mm")])
                      for part in scene["partitions"]]
        # An edge is a start and a way: a point of it is start + share * way.
        edges = []
        for a, b, top, _slits in self.panes:
            edges.append((numpy.array([*a, top]), numpy.array([*(b - a), 0.0])))
            for end in (a, b):
                if is_free(end):
                    edges.append((numpy.array([*end, 0.0]), numpy.array([0.0, 0.0, float(top)])))
        self.edges = edges
        points, owner = [], []
        for index, (start, way) in enumerate(edges):
            count = max(2, int(numpy.linalg.norm(way) / STEP_MM) + 1)
            for share in numpy.linspace(0, 1, count):
                points.append(start + share * way)
                owner.append(index)
        self.points, self.owner = numpy.array(points), numpy.array(owner)
        self.between = self.lengths_seen(self.points, self.points)
        self.water = self.lengths_seen(self.points, self.nearest_water(self.points), paired=True)

    def nearest_water(self, points):
        """Where a string from the upright edge of the water to each point begins: at the point's own height if it can."""
        x0, y0, x1, y1 = self.rect
        return numpy.stack([numpy.clip(points[..., 0], x0, x1), numpy.clip(points[..., 1], y0, y1),
                            numpy.clip(points[..., 2], 0, PLANE_MM)], axis=-1)

    def lengths_seen(self, p, q, paired=False):
        """Straight lengths from each p to each q, infinite where a partition stands between."""
        if not paired:
            p, q = p[:, None, :], q[None, :, :]
        lengths = numpy.linalg.norm(p - q, axis=-1)
        for a, b, top, (slit_a, slit_b) in self.panes:
            way, normal = b - a, numpy.array([-(b - a)[1], (b - a)[0]])
            size = numpy.linalg.norm(way)
            side_p = ((p[..., :2] - a) @ normal) / size
            side_q = ((q[..., :2] - a) @ normal) / size
            apart = (numpy.minimum(side_p, side_q) < -SLIT_MM) & (SLIT_MM < numpy.maximum(side_p, side_q))
            with numpy.errstate(divide="ignore", invalid="ignore"):
                share = numpy.where(apart, side_p / (side_p - side_q), 0)
            at = p + share[..., None] * (q - p)
            along = ((at[..., :2] - a) @ way) / size
            blocked = apart & (slit_a < along) & (along < size - slit_b) & (at[..., 2] < top - SLIT_MM)
            lengths = numpy.where(blocked, numpy.inf, lengths)
        return lengths

    def shortest(self, target):
        """The tight string to a point, and how many partitions stand on the straight line in plan."""
        target = numpy.array(target, float)
        straight = self.lengths_seen(target[None], self.nearest_water(target)[None], paired=True)[0]
        crossed = self.crossed(target)
        if numpy.isfinite(straight):
            return straight, crossed
        last = self.lengths_seen(self.points, target[None])[:, 0]
        count = len(self.points)
        graph = numpy.full((count + 2, count + 2), numpy.inf)
        graph[:count, :count] = self.between
        graph[count, :count] = graph[:count, count] = self.water
        graph[count + 1, :count] = graph[:count, count + 1] = last
        lengths, before = dijkstra(numpy.where(numpy.isfinite(graph), graph, 0), directed=False, indices=count,
                                   return_predecessors=True)
        best, seen = numpy.inf, set()
        # Not only the best of the graph: what looks a little longer there may be tighter in the end.
        ends = lengths[:count] + last
        for end in numpy.argsort(ends, kind="stable"):
            if len(seen) == 12 or not ends[end] < ends.min() + 4:
                break
            way, at = [], end
            while at != count:
                way.append(at)
                at = before[at]
            edges = tuple(dict.fromkeys(self.owner[step] for step in reversed(way)))
            if edges not in seen:
                seen.add(edges)
                best = min(best, self.tight(edges, [self.points[step] for step in reversed(way)], target))
        return min(best, ends.min()), crossed

    def crossed(self, target):
        line = shapely.LineString([self.nearest_water(target)[:2], target[:2]])
        return sum(1 for a, b, *_ in self.panes if line.intersects(shapely.LineString([a, b])))

    def tight(self, edges, points, target):
        """The least length over these edges in this order, when it is a string that nothing stands in the way of."""
        starts = numpy.array([self.edges[edge][0] for edge in edges])
        ways = numpy.array([self.edges[edge][1] for edge in edges])
        first = {}
        for point in points:
            for index, edge in enumerate(edges):
                start, way = self.edges[edge]
                share = numpy.dot(point - start, way) / numpy.dot(way, way)
                if numpy.linalg.norm(start + share * way - point) < 1e-6:
                    first.setdefault(index, min(max(share, 0), 1))

        def places(shares):
            on = starts + shares[:, None] * ways
            return numpy.vstack([self.nearest_water(on[0])[None], on, target[None]])

        def length(shares):
            return numpy.linalg.norm(numpy.diff(places(shares), axis=0), axis=1).sum()

        guess = numpy.array([first.get(index, 0.5) for index in range(len(edges))])
        found = minimize(length, guess, method="L-BFGS-B", bounds=[(0, 1)] * len(edges),
                         options={"ftol": 1e-15, "gtol": 1e-10, "maxiter": 500})
        along = places(numpy.clip(found.x, 0, 1))
        legs = self.lengths_seen(along[:-1], along[1:], paired=True)
        return legs.sum()


def zone_of(question, item, length):
    """The zone of a point outside the outline, and how far it is from a boundary."""
    height = item["point_mm"][2]
    reach, zone = (TRAYLESS_MM, "1") if question["scene"]["outlets"] else (BATH_ZONE2_MM, "2")
    return (zone if length <= reach and height <= PLANE_MM else "outside"), abs(length - reach)


# -- comparison ---------------------------------------------------------------------------------------------------

def check(job):
    """Rooms of one worker: counts of things, of those past several partitions and not established, and differences."""
    base, seed, rooms = job
    rng = random.Random(seed)
    place = base if "://" in base else f"http://{base}"
    address = http.client.HTTPConnection(urllib.parse.urlsplit(place).netloc)
    counts, wrong = {"things": 0, "several": 0, "open": 0, "open_several": 0, "longer": 0.0}, []
    for _ in range(rooms):
        question, rect = random_room(rng)
        address.request("POST", "/v1/placements", json.dumps(question), {"Content-Type": "application/json"})
        reply = address.getresponse()
        document = json.loads(reply.read())
        if reply.status != 200:
            wrong.append((f"refused: {document}", question))
            continue
        strings = Strings(question["scene"], rect)
        for item, own in zip(question["items"], document["items"], strict=True):
            length, crossed = strings.shortest(item["point_mm"])
            zone, margin = zone_of(question, item, length)
            is_open = own["zone"] == "not_established"
            counts["things"] += 1
            counts["several"] += 2 <= crossed
            counts["open"] += is_open
            counts["open_several"] += is_open and 2 <= crossed
            counts["longer"] = max(counts["longer"], length - own["distance_mm"])
            if not is_open and own["zone"] != zone and TOLERANCE_MM < margin:
                wrong.append((f"{item}: zone {own['zone']}, independently {zone} at {length} mm", question))
            if length + TOLERANCE_MM < own["distance_mm"]:
                wrong.append((f"{item}: at least {own['distance_mm']} mm, independently {length} mm", question))
    return counts, wrong


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rooms", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("address", help="where the service answers, such as 127.0.0.1:8080")
    options = parser.parse_args()
    chunk = 25
    jobs = [(options.address, options.seed * 1_000_003 + start, min(chunk, options.rooms - start))
            for start in range(0, options.rooms, chunk)]
    with multiprocessing.Pool(os.cpu_count() or 1) as pool:
        done = pool.map(check, jobs, chunksize=1)
    total = {name: sum(counts[name] for counts, _ in done) for name in ("things", "several", "open", "open_several")}
    longer = max(counts["longer"] for counts, _ in done)
    wrong = [difference for _, found in done for difference in found]
    for difference, question in wrong[:10]:
        print(difference, json.dumps(question), sep="\n  ")
    print(f"{options.rooms} rooms, {total['things']} things, {total['several']} of them behind several low partitions; "
          f"not established {total['open']}, of those behind several {total['open_several']}; a string is at most "
          f"{longer:.1f} mm longer than the least that we state; {len(wrong)} differences")
    few = total["several"] * 10 < total["things"] or total["several"] < 2 * total["open_several"]
    sys.exit(1 if wrong or few else 0)


if __name__ == "__main__":
    main()
