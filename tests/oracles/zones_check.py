"""Differential oracle for zones: an independent visibility graph (shapely, networkx) on random rooms.

Independent of the program on purpose: points are moved by a ten-millionth of a millimetre instead of by signs of whole
numbers, the room is a shapely polygon, the shortest path is networkx's. It needs requirements.txt beside it.

    python3 tests/oracles/zones_check.py --rooms 10000 http://127.0.0.1:8080

Exit status 1 when a distance differs by more than 1e-6 mm, or a zone differs farther than 1e-6 mm from a boundary.
"""

import argparse
import http.client
import json
import math
import multiprocessing
import os
import random
import sys
import urllib.parse

import networkx
import shapely

NUDGE_MM = 1e-7
TOLERANCE_MM = 1e-6
PLANE_MM = 2250
ZONE2_MM = 600
TRAYLESS_MM = 1200
TRAYLESS_ZONE0_MM = 100


# -- random rooms -------------------------------------------------------------------------------------------------

def random_room(rng):
    """A rectangle or an L, a bath or a tray-less outlet (or both), up to four partitions, six things."""
    width, depth = rng.randrange(1600, 5001, 10), rng.randrange(1600, 5001, 10)
    corners = [[0, 0], [width, 0], [width, depth], [0, depth]]
    if rng.random() < 0.5:
        notch_x, notch_y = rng.randrange(800, width - 300, 10), rng.randrange(800, depth - 300, 10)
        corners = [[0, 0], [width, 0], [width, notch_y], [notch_x, notch_y], [notch_x, depth], [0, depth]]
    room = shapely.Polygon(corners)
    fixtures, outlets = [], []
    if rng.random() < 0.7:
        x, y = rng.choice([(0, 0), (rng.randrange(0, 400, 10), rng.randrange(0, 400, 10))])
        rect = [x, y, x + rng.randrange(500, 1701, 10), y + rng.randrange(500, 901, 10)]
        if room.covers(shapely.box(*rect)):
            fixtures.append({"id": "bath", "kind": "bath", "rect_mm": rect, "bottom_mm": 150, "rim_mm": 560})
    if not fixtures or rng.random() < 0.4:
        fixtures.append({"id": "wet", "kind": "trayless"})
        for _ in range(rng.randrange(1, 3)):
            at = point_in(rng, room, on_wall=rng.random() < 0.6)
            outlets.append({"at_mm": at, "z_mm": rng.randrange(900, 2350, 50), "serves": "wet"})
    partitions = random_partitions(rng, room, fixtures)
    scene = {"corners_mm": corners, "ceiling_mm": 2600, "fixtures": fixtures, "outlets": outlets,
             "partitions": partitions}
    items = [random_item(rng, room, partitions, index) for index in range(6)]
    return {"wiring_rules": "gb-bs7671", "scene": scene, "items": [item for item in items if item]}


def point_in(rng, room, on_wall=False):
    min_x, min_y, max_x, max_y = map(int, room.bounds)
    while True:
        if on_wall:
            ring = list(room.exterior.coords)
            side = rng.randrange(len(ring) - 1)
            (ax, ay), (bx, by) = ring[side], ring[side + 1]
            steps = int(max(abs(bx - ax), abs(by - ay)) / 10)
            share = rng.randrange(steps + 1) / steps
            return [round(ax + (bx - ax) * share), round(ay + (by - ay) * share)]
        at = [rng.randrange(min_x, max_x + 1, 10), rng.randrange(min_y, max_y + 1, 10)]
        if room.covers(shapely.Point(at)):
            return at


def random_partitions(rng, room, fixtures):
    segments = []
    for _ in range(rng.randrange(0, 5)):
        kind = rng.randrange(4)
        start = point_in(rng, room, on_wall=kind < 2)
        if kind == 3 and segments:
            start = list(rng.choice(segments)[rng.randrange(2)])
        length = rng.randrange(200, 2001, 10)
        dx, dy = rng.choice([(1, 0), (-1, 0), (0, 1), (0, -1), (0.6, 0.8), (-0.8, 0.6)])
        segments.append([start, [round(start[0] + dx * length), round(start[1] + dy * length)]])
        if not is_allowed(segments, room, fixtures):
            segments.pop()
    return [{"a_mm": a, "b_mm": b, "top_mm": rng.choice([2300, 2300, 2300, 2000]), "fixed": rng.random() < 0.9}
            for a, b in segments]


def is_allowed(segments, room, fixtures):
    """Inside the room, through no bath, and meeting others at shared ends only."""
    a, b = segments[-1]
    line = shapely.LineString([a, b])
    if not room.covers(line):
        return False
    for wall_a, wall_b in walls(room):
        wall = shapely.LineString([wall_a, wall_b])
        if line.intersection(wall).length > 0:
            return False
    for fixture in fixtures:
        if "rect_mm" in fixture and shapely.box(*fixture["rect_mm"]).buffer(-1e-3).intersects(line):
            return False
    for other in segments[:-1]:
        meeting = line.intersection(shapely.LineString(other))
        if not meeting.is_empty and not (meeting.geom_type == "Point" and [meeting.x, meeting.y] in other
                                         and [meeting.x, meeting.y] in (a, b)):
            return False
    return True


def random_item(rng, room, partitions, index):
    low = rng.choice([0, 50, 100, 101, 300, 600, 1000, 1500, 2249, 2250, 2251, 2400])
    if rng.random() < 0.4:
        at = point_in(rng, room, on_wall=rng.random() < 0.5)
        box = [*at, *at]
        high = low
    else:
        x, y = point_in(rng, room)
        box = [x, y, x + rng.randrange(10, 701, 10), y + rng.randrange(10, 701, 10)]
        high = min(2600, low + rng.randrange(0, 1201, 10))
        inner = shapely.box(*box).buffer(-1e-3)
        if not room.covers(shapely.box(*box)):
            return None
        if any(inner.intersects(shapely.LineString([part["a_mm"], part["b_mm"]])) for part in partitions):
            return None
    return {"id": index, "min_mm": [box[0], box[1], low], "max_mm": [box[2], box[3], high]}


# -- the independent answer ---------------------------------------------------------------------------------------

def walls(room):
    ring = list(room.exterior.coords)
    return list(zip(ring, ring[1:]))


def turn(a, b, c):
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


class Field:
    def __init__(self, scene, plane):
        self.room = shapely.Polygon(scene["corners_mm"])
        self.near_room = self.room.buffer(1e-6, join_style="mitre")
        shapely.prepare(self.near_room)
        self.convex = len(scene["corners_mm"]) == 4
        self.panels = [(tuple(part["a_mm"]), tuple(part["b_mm"])) for part in scene["partitions"]
                       if part["fixed"] and part["top_mm"] >= min(plane, scene["ceiling_mm"])]
        self.bends = self.find_bends()

    def find_bends(self):
        """Free ends and joined ends, moved off into the widest gap between what meets there; corners of the room."""
        bends = []
        ends = {end for panel in self.panels for end in panel}
        ring = list(self.room.exterior.coords)[:-1]
        area_sign = 1 if self.room.exterior.is_ccw else -1
        for index, corner in enumerate(ring):
            before, after = ring[index - 1], ring[(index + 1) % len(ring)]
            if turn(before, corner, after) * area_sign < 0:
                ends.add(tuple(map(int, corner)))
        for end in ends:
            angles = []
            for a, b in self.panels + walls(self.room):
                if shapely.LineString([a, b]).distance(shapely.Point(end)) < 1e-9:
                    for other in (a, b):
                        if math.dist(other, end) > 1e-9:
                            angles.append(math.atan2(other[1] - end[1], other[0] - end[0]))
            angles = sorted(set(angles))
            for one, other in zip(angles, angles[1:] + [angles[0] + 2 * math.pi]):
                middle = (one + other) / 2
                moved = (end[0] + NUDGE_MM * math.cos(middle), end[1] + NUDGE_MM * math.sin(middle))
                probe = (end[0] + 1e-3 * math.cos(middle), end[1] + 1e-3 * math.sin(middle))
                if other - one > math.pi + 1e-9 and self.room.covers(shapely.Point(probe)):
                    bends.append((end, moved))
        return bends

    def sees(self, p, q):
        for a, b in self.panels:
            # An end moved along its own panel is on neither face of it, whatever the last bit says.
            noise = NUDGE_MM / 100 * math.dist(a, b)
            sides = [turn(a, b, p), turn(a, b, q)]
            if min(sides) < -noise and noise < max(sides) and turn(p, q, a) * turn(p, q, b) < 0:
                return False
        return self.convex or self.near_room.covers(shapely.LineString([p, q]))

    def lean(self, rect, at):
        """Off a panel to the inside of the box; a bare point stays where it is."""
        cx, cy = (rect[0] + rect[2]) / 2, (rect[1] + rect[3]) / 2
        away = math.dist((cx, cy), at)
        if away < 1e-9:
            return [at]
        return [(at[0] + (cx - at[0]) / away * NUDGE_MM, at[1] + (cy - at[1]) / away * NUDGE_MM)]

    def off_walls(self, at):
        """A bare point on a wall leans into the room, or a panel that starts at that wall would not be in its way."""
        ring = list(self.room.exterior.coords)
        if not self.room.exterior.is_ccw:
            ring.reverse()
        x, y = at
        for a, b in zip(ring, ring[1:]):
            if shapely.LineString([a, b]).distance(shapely.Point(at)) < 1e-9:
                x -= (b[1] - a[1]) / math.dist(a, b) * NUDGE_MM
                y += (b[0] - a[0]) / math.dist(a, b) * NUDGE_MM
        return (x, y)

    def both_faces(self, rect, at):
        """A bare point on a panel may be on either face: try both."""
        if rect[0] < rect[2] and rect[1] < rect[3]:
            return self.lean(rect, at)
        at = self.off_walls(at)
        faces = [at]
        for a, b in self.panels:
            if shapely.LineString([a, b]).distance(shapely.Point(at)) < 1e-6:
                nx, ny = (b[1] - a[1]) / math.dist(a, b) * NUDGE_MM, (a[0] - b[0]) / math.dist(a, b) * NUDGE_MM
                faces += [(at[0] + nx, at[1] + ny), (at[0] - nx, at[1] - ny)]
        return faces

    def leg(self, rect, bend):
        end, moved = bend
        at = (min(max(end[0], rect[0]), rect[2]), min(max(end[1], rect[1]), rect[3]))
        return any(self.sees(face, moved) for face in self.both_faces(rect, at)) and math.dist(at, end)

    def path(self, source, target):
        graph = networkx.Graph()
        graph.add_nodes_from(["from", "to"])
        for p, q in straight_pairs(source, target):
            if any(self.sees(f, t) for f in self.both_faces(source, p) for t in self.both_faces(target, q)):
                return math.dist(p, q)
        for index, bend in enumerate(self.bends):
            for name, rect in (("from", source), ("to", target)):
                leg = self.leg(rect, bend)
                if leg is not False:
                    graph.add_edge(name, index, weight=leg)
            for other in range(index):
                if self.sees(bend[1], self.bends[other][1]):
                    graph.add_edge(index, other, weight=math.dist(bend[0], self.bends[other][0]))
        try:
            return networkx.dijkstra_path_length(graph, "from", "to")
        except networkx.NetworkXNoPath:
            return math.inf


def straight_pairs(source, target):
    """The nearest pairs of points of two boxes: the ends of what they share on each axis."""
    sides = []
    for low, high in ((0, 2), (1, 3)):
        first, last = max(source[low], target[low]), min(source[high], target[high])
        if first <= last:
            sides.append([(first, first), (last, last)])
        elif source[high] < target[low]:
            sides.append([(source[high], target[low])] * 2)
        else:
            sides.append([(source[low], target[high])] * 2)
    return [((x[0], y[0]), (x[1], y[1])) for x, y in zip(*sides)]


def answer(question, item):
    """Zone, distance to the governing source, and how far the nearest decision is from tipping."""
    scene = question["scene"]
    box = [item["min_mm"][0], item["min_mm"][1], item["max_mm"][0], item["max_mm"][1]]
    low, high = item["min_mm"][2], item["max_mm"][2]
    found, margin = [], math.inf
    for fixture in scene["fixtures"]:
        own = [outlet for outlet in scene["outlets"] if outlet["serves"] == fixture["id"]]
        plane = max([PLANE_MM] + [outlet["z_mm"] for outlet in own])
        field = Field(scene, plane)
        sources = [fixture["rect_mm"]] if "rect_mm" in fixture else [[*o["at_mm"], *o["at_mm"]] for o in own]
        for source in sources:
            length = field.path(source, box)
            if "rect_mm" in fixture:
                layers = [("0", 0, fixture["bottom_mm"], fixture["rim_mm"]), ("1", 0, 0, plane),
                          ("2", ZONE2_MM, 0, plane)]
            else:
                layers = [("0", TRAYLESS_MM, 0, TRAYLESS_ZONE0_MM), ("1", TRAYLESS_MM, 0, plane)]
            margin = min([margin] + [abs(length - radius) for _, radius, _, _ in layers if radius])
            hits = [zone for zone, radius, bottom, top in layers
                    if length <= radius + TOLERANCE_MM and low <= top and bottom <= high]
            found.append((hits[0] if hits else "outside", length))
    return min(found) + (margin,)


# -- comparison ---------------------------------------------------------------------------------------------------

def compare(question, reply):
    """The differences between the program's reply and the independent answer, as sentences; empty when they agree."""
    if "faults" in reply:
        return [f"the drawing was refused: {reply['faults']}"]
    differences = []
    for item, own in zip(question["items"], reply["items"], strict=True):
        zone, length, margin = answer(question, item)
        if own["zone"] != zone and margin > TOLERANCE_MM:
            differences.append(f"item {item}: zone {own['zone']}, independently {zone}")
        theirs = math.inf if own["distance_mm"] is None else own["distance_mm"]
        if theirs != length and abs(theirs - length) > TOLERANCE_MM:
            differences.append(f"item {item}: {theirs} mm, independently {length} mm")
    return differences


def ask(address, question):
    """The program's answer to one room: zone and distance of each thing, or its faults."""
    items = [{**item, "id": str(item["id"]), "kind": "rail"} for item in question["items"]]
    partitions = [{**part, "floor_joined": True, "kind": "glass_panel"} for part in question["scene"]["partitions"]]
    fixtures = [{**fixture, "under_access": "no_tool"} if "rect_mm" in fixture else fixture
                for fixture in question["scene"]["fixtures"]]
    scene = {**question["scene"], "partitions": partitions, "fixtures": fixtures}
    body = json.dumps({"wiring_rules": question["wiring_rules"], "scene": scene, "items": items})
    address.request("POST", "/v1/placements", body, {"Content-Type": "application/json"})
    answer = address.getresponse()
    document = json.loads(answer.read())
    if answer.status != 200:
        return {"faults": document}
    return document


def check(job):
    """Rooms of one worker: how many things, how many bent or closed-off paths, and every difference."""
    base, seed, rooms = job
    rng = random.Random(seed)
    place = base if "://" in base else f"http://{base}"
    address = http.client.HTTPConnection(urllib.parse.urlsplit(place).netloc)
    items, bent, wrong = 0, 0, []
    for _ in range(rooms):
        question = random_room(rng)
        if not question["items"]:
            continue
        reply = ask(address, question)
        items += len(question["items"])
        bent += sum(1 for item in reply.get("items", []) if item["distance_mm"] is None
                    or abs(item["distance_mm"] ** 2 - round(item["distance_mm"] ** 2)) > 1e-4)
        wrong += [(difference, question["scene"]) for difference in compare(question, reply)]
    return items, bent, wrong


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rooms", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("address", help="where the service answers, such as 127.0.0.1:8080")
    options = parser.parse_args()
    workers = os.cpu_count() or 1
    chunk = 250
    jobs = [(options.address, options.seed * 1_000_003 + start, min(chunk, options.rooms - start))
            for start in range(0, options.rooms, chunk)]
    with multiprocessing.Pool(workers) as pool:
        done = pool.map(check, jobs, chunksize=1)
    items, bent = sum(each[0] for each in done), sum(each[1] for each in done)
    wrong = [difference for each in done for difference in each[2]]
    for difference, scene in wrong[:10]:
        print(difference, json.dumps(scene), sep="\n  ")
    print(f"{options.rooms} rooms, {items} things, {bent} bent or closed-off paths, {len(wrong)} differences")
    sys.exit(1 if wrong or not bent else 0)


if __name__ == "__main__":
    main()
