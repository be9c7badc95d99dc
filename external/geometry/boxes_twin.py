"""Rebuilds every box and plug pose of a resolved rig from sizes, places and plugs, and finds the conflicts.

Reads the JSON of `boardwright export --as json` on standard input. Shares nothing with the program: it
works from the rules of ARCHITECTURE.md ("One geometry") alone. Prints what differs; exit 0 when nothing does.
"""

import json
import sys

NM = 1_000_000
FACES = ["front", "right", "back", "left"]
EXIT_FACE = {"toe": "back", "heel": "front", "left": "left", "right": "right"}


def nm(value):
    return round(value * NM)


def turned(face, quarters):
    return FACES[(FACES.index(face) + quarters) % 4]


def half(value):
    # Towards zero, as integer nanometres are halved.
    return int(value / 2)


class Twin:
    def __init__(self, rig):
        self.rig = rig
        self.limits = rig["limits"]
        self.decks = {deck["name"]: deck for deck in rig["board"]["decks"]}
        self.devices = {device["tag"]: device for device in rig["devices"]}
        self.boxes = []

    def add(self, kind, owner, low, high):
        self.boxes.append((kind, tuple(sorted(owner.items())), tuple(low), tuple(high)))

    def standing(self, device):
        size, place = device["size_mm"]["is"], device["place"]
        if size is None or place is None:
            return None
        width, depth, height = (nm(v) for v in size)
        quarters = place["turn_deg"] // 90
        w, d = (width, depth) if quarters % 2 == 0 else (depth, width)
        x, y = nm(place["x_mm"]), nm(place["y_mm"])
        if place["deck"] == "floor":
            base = nm(self.rig["board"]["floor_level_mm"])
        else:
            deck = self.decks[place["deck"]]
            level = nm(deck["level_mm"])
            if place["under"]:
                bracket = device["bracket_mm"]["is"] or 0
                base = level - nm(deck["thickness_mm"]) - nm(bracket) - height
            else:
                base = level
                for riser in deck["risers"]:
                    rx, ry = nm(riser["x_mm"]), nm(riser["y_mm"])
                    inside = rx <= x and ry <= y
                    inside = inside and x + w <= rx + nm(riser["width_mm"])
                    inside = inside and y + d <= ry + nm(riser["depth_mm"])
                    if inside:
                        base = max(base, level + nm(riser["height_mm"]))
            x, y = x + nm(deck["x_mm"]), y + nm(deck["y_mm"])
        return dict(x=x, y=y, w=w, d=d, base=base, size=(width, depth, height), quarters=quarters)

    def port(self, device, name):
        """Centre on the wall and the side it looks to."""
        at = self.standing(device)
        port = next((p for p in device["ports"] if p["name"] == name), None)
        if at is None or port is None:
            return None
        face, offset, height = port["face"]["is"], port["offset_mm"]["is"], port["height_mm"]["is"]
        if face is None or offset is None or height is None:
            return None
        width, depth, _ = at["size"]
        offset = nm(offset)
        u, v = {
            "front": (offset, 0),
            "back": (offset, depth),
            "left": (0, offset),
            "right": (width, offset),
        }[face]
        for _ in range(at["quarters"]):
            # A quarter turn counter-clockwise about the corner, then back into the positive quadrant.
            u, v = depth - v, u
            width, depth = depth, width
        return (at["x"] + u, at["y"] + v, at["base"] + nm(height)), turned(face, at["quarters"]), port, at

    def out(self, kind, owner, point, face, near, far, width):
        low = [c - half(width) for c in point]
        high = [c + half(width) for c in point]
        axis = 0 if face in ("left", "right") else 1
        sign = 1 if face in ("right", "back") else -1
        a, b = point[axis] + sign * near, point[axis] + sign * far
        low[axis], high[axis] = min(a, b), max(a, b)
        self.add(kind, owner, low, high)

    def board(self):
        for deck in self.rig["board"]["decks"]:
            level, under = nm(deck["level_mm"]), nm(deck["level_mm"]) - nm(deck["thickness_mm"])
            dx, dy = nm(deck["x_mm"]), nm(deck["y_mm"])

            def push(kind, part, rect, low, high):
                x, y = nm(rect["x_mm"]) + dx, nm(rect["y_mm"]) + dy
                owner = {"deck": deck["name"], "part": part}
                self.add(kind, owner, (x, y, low), (x + nm(rect["width_mm"]), y + nm(rect["depth_mm"]), high))

            if not deck["rails"]:
                for rect in deck["shape"]:
                    push("sheet", "sheet", rect, under, level)
            for rail in deck["rails"]:
                push("rail", rail["name"], rail, under - nm(rail["drop_mm"]), level)
            for riser in deck["risers"]:
                push("riser", riser["name"], riser, level, level + nm(riser["height_mm"]))

    def body(self, device):
        at = self.standing(device)
        if at is None:
            return
        tag = device["tag"]
        top = at["base"] + at["size"][2]
        low, high = (at["x"], at["y"]), (at["x"] + at["w"], at["y"] + at["d"])
        self.add("body", {"device": tag}, (*low, at["base"]), (*high, top))
        if device["treadle_mm"] is not None:
            extra = device["treadle_mm"]["is"]
            extra = nm(self.limits["treadle_assumed_mm"] if extra is None else extra)
        else:
            extra = device["knobs_mm"]["is"]
            if extra is None:
                extra = self.limits["knobs_assumed_mm"] if device["role"] == "pedal" else 0
            extra = nm(extra)
        if extra > 0:
            self.add("knobs", {"device": tag}, (*low, top), (*high, top + extra))
        for port in device["ports"]:
            found = self.port(device, port["name"])
            if found is None:
                continue
            point, face, _, _ = found
            behind, hole = port["behind_mm"]["is"], port["hole_mm"] and port["hole_mm"]["is"]
            if behind is not None and hole is not None:
                inward = turned(face, 2)
                wall = at["w"] if face in ("left", "right") else at["d"]
                start = list(point)
                axis = 0 if face in ("left", "right") else 1
                start[axis] += (1 if inward in ("right", "back") else -1) * wall
                owner = {"device": tag, "port": port["name"], "inner": True}
                self.out("behind", owner, start, inward, 0, nm(behind), nm(hole) + 6 * NM)
            if port["service"]:
                plug = 45 * NM if port["role"]["is"] == "usb" else 0
                owner = {"device": tag, "port": port["name"], "inner": False}
                self.out("service", owner, point, face, 0, plug + nm(self.limits["service_corridor_mm"]), 16 * NM)

    def adaptor(self, device):
        """A device's own adaptor in the socket of a strip: its corners turned about its prongs, then laid on the wall."""
        feed = device["feed"]
        own = feed and feed["adaptor"]
        if not own or own["size_mm"]["is"] is None or not feed["outlets"]:
            return
        tag, name = feed["outlets"][0].rsplit(".", 1)
        strip = self.devices.get(tag)
        found = strip and not strip["outside"] and self.port(strip, name)
        if not found:
            return
        point, face, _, _ = found
        width, depth, height = (nm(v) for v in own["size_mm"]["is"])
        left, up = own["prongs_left_mm"]["is"], own["prongs_up_mm"]["is"]
        left = half(width) if left is None else nm(left)
        up = half(height) if up is None else nm(up)
        corners = [(-left, -up), (width - left, height - up)]
        quarters = {"on-its-side": 1, "upside-down": 2}.get(own["lies"]["is"], 0)
        for _ in range(quarters):
            corners = [(v, -u) for u, v in corners]
        right = [u for u, _ in corners]
        high_low = [v for _, v in corners]
        axis = 0 if face in ("left", "right") else 1
        across = 1 - axis
        # To the right of who stands before the wall.
        sign = 1 if face in ("front", "right") else -1
        low, high = [0, 0, point[2] + min(high_low)], [0, 0, point[2] + max(high_low)]
        sides = [point[across] + sign * u for u in right]
        low[across], high[across] = min(sides), max(sides)
        end = point[axis] + (1 if face in ("right", "back") else -1) * depth
        low[axis], high[axis] = min(point[axis], end), max(point[axis], end)
        self.add("plug", {"device": tag, "port": name, "inner": False}, low, high)

    def measured_adaptors(self):
        """The sockets in which an adaptor of known size sits: it is its own plug."""
        feeds = (device["feed"] for device in self.rig["devices"] if device["feed"])
        return {feed["outlets"][0] for feed in feeds
                if feed["adaptor"] and feed["outlets"] and feed["adaptor"]["size_mm"]["is"] is not None}

    def plug(self, end):
        device = self.devices.get(end["device"])
        if device is None or device["outside"] or end["inner"] or end["plug"] is None:
            return
        if f'{end["device"]}.{end["port_name"]}' in self.measured_adaptors():
            return
        found = self.port(device, end["port_name"])
        if found is None:
            return
        point, face, port, at = found
        plug = end["plug"]
        depth, width = plug["depth_mm"]["is"], plug["width_mm"]["is"]
        if depth is None or width is None:
            return
        nut = (port["nut_mm"] and port["nut_mm"]["is"]) or 0
        reach = nm(nut) + nm(depth)
        owner = {"device": end["device"], "port": end["port_name"], "inner": False}
        self.out("plug", owner, point, face, 0, reach, nm(width))
        bend = nm(plug["bend_mm"]["is"] or 0)
        if plug["angle"] == "straight":
            if bend > 0:
                self.out("bend", owner, point, face, reach, reach + bend, nm(width))
            return
        tail, tail_width = plug["tail_mm"]["is"], plug["tail_width_mm"]["is"]
        if end["exit"] is None or tail is None or tail_width is None:
            return
        # A cable cannot leave an angled plug along the axis of its own jack.
        own = port["face"]["is"] in ("left", "right")
        if end["exit"] in EXIT_FACE and (EXIT_FACE[end["exit"]] in ("left", "right")) == own:
            return
        tail, tail_width = nm(tail), nm(tail_width)
        pieces = [("plug", 0, tail)]
        if bend > 0:
            pieces.append(("bend", tail, tail + bend))
        for kind, start, stop in pieces:
            low, high = [None] * 3, [None] * 3
            axis = 0 if face in ("left", "right") else 1
            sign = 1 if face in ("right", "back") else -1
            a, b = point[axis] + sign * max(reach - tail_width, 0), point[axis] + sign * reach
            low[axis], high[axis] = min(a, b), max(a, b)
            across = 1 - axis
            if end["exit"] in EXIT_FACE:
                way = turned(EXIT_FACE[end["exit"]], at["quarters"])
                way_axis = 0 if way in ("left", "right") else 1
                way_sign = 1 if way in ("right", "back") else -1
                a, b = point[way_axis] + way_sign * start, point[way_axis] + way_sign * stop
                low[way_axis], high[way_axis] = min(a, b), max(a, b)
                low[2], high[2] = point[2] - half(tail_width), point[2] + half(tail_width)
            else:
                low[across], high[across] = point[across] - half(tail_width), point[across] + half(tail_width)
                a, b = (start, stop) if end["exit"] == "up" else (-stop, -start)
                low[2], high[2] = point[2] + a, point[2] + b
            self.add(kind, owner, low, high)

    def pose(self, end):
        """How the plug of a lead end sits in its port, told like the program's own."""
        device = self.devices.get(end["device"])
        if device is None or device["outside"]:
            return None
        found = self.port(device, end["port_name"])
        if found is None:
            return None
        wall, face, port, at = found

        def assumed(*values):
            return any(v is not None and v["is"] is not None and v["from"] == "assumed" for v in values)

        rests = assumed(device["size_mm"], port["face"], port["offset_mm"], port["height_mm"])
        rests = rests or (device["place"]["under"] and assumed(device["bracket_mm"]))

        def moved(start, way, by):
            sign = 1 if way in ("right", "back", "up") else -1
            axis = {"left": 0, "right": 0, "front": 1, "back": 1, "up": 2, "down": 2}[way]
            return tuple(c + sign * by if k == axis else c for k, c in enumerate(start))

        if end["inner"]:
            inward = turned(face, 2)
            inner = moved(wall, inward, at["w"] if face in ("left", "right") else at["d"])
            behind, hole = port["behind_mm"], port["hole_mm"]
            unmade = behind["is"] is None or hole is None or hole["is"] is None
            depth = None if behind["is"] is None else nm(behind["is"])
            assumed_here = unmade or rests or assumed(behind, hole)
            return dict(wall=wall, inner=inner, inward=inward, depth=depth, assumed=assumed_here)
        nut = nm((port["nut_mm"] and port["nut_mm"]["is"]) or 0)
        plug = end["plug"]
        if plug is None:
            tip = moved(wall, face, nut + 20 * NM)
            return dict(
                wall=wall, looks=face, reach=nut + 20 * NM, turn=tip, leaves=tip, heading=face, bend=0, assumed=True
            )
        depth, width = plug["depth_mm"]["is"], plug["width_mm"]["is"]
        reach = nut + (20 * NM if depth is None else nm(depth))
        sizes = [port["nut_mm"], plug["depth_mm"], plug["width_mm"], plug["bend_mm"]]
        turn = leaves = moved(wall, face, reach)
        heading = face
        if plug["angle"] == "angled":
            sizes += [plug["tail_mm"], plug["tail_width_mm"]]
            # Where the cable's line meets the jack's axis: the middle of what the sleeve takes of the reach.
            thick = min(nm(plug["tail_width_mm"]["is"] or 0), reach)
            turn = leaves = moved(wall, face, half(2 * reach - thick))
            exit_face = EXIT_FACE.get(end["exit"])
            own = port["face"]["is"] in ("left", "right")
            if end["exit"] is None or (exit_face and (exit_face in ("left", "right")) == own):
                heading = None
            else:
                heading = turned(exit_face, at["quarters"]) if exit_face else end["exit"]
                leaves = moved(turn, heading, nm(plug["tail_mm"]["is"] or 0))
        return dict(
            wall=wall,
            looks=face,
            reach=reach,
            turn=turn,
            leaves=leaves,
            heading=heading,
            bend=nm(plug["bend_mm"]["is"] or 0),
            assumed=depth is None or width is None or rests or assumed(*sizes),
        )

    def build(self):
        self.board()
        for device in self.rig["devices"]:
            if not device["outside"]:
                self.body(device)
        for device in self.rig["devices"]:
            self.adaptor(device)
        for end in self.rig["lead_ends"]:
            self.plug(end)

    def conflicts(self):
        table = self.rig["clearances"]
        found = set()
        for i, a in enumerate(self.boxes):
            for b in self.boxes[i + 1 :]:
                one, two = dict(a[1]), dict(b[1])
                if "deck" in one and "deck" in two:
                    continue
                if one.get("device") is not None and one.get("device") == two.get("device"):
                    if one == two or (a[0], b[0]) != ("plug", "plug"):
                        continue
                apart = max(max(a[2][k] - b[3][k], b[2][k] - a[3][k]) for k in range(3))
                wanted = [table[a[0]][b[0] + "_mm"], table[b[0]][a[0] + "_mm"]]
                if any(w is not None and apart < nm(w) for w in wanted):
                    found.add(frozenset((a, b)))
        return found


def told(rig, box):
    return (
        box["class"],
        tuple(sorted(box["owner"].items())),
        tuple(nm(v) for v in box["low_mm"]),
        tuple(nm(v) for v in box["high_mm"]),
    )


def told_pose(pose):
    """The program's pose with every length in nanometres, named as the twin names it."""
    if pose is None:
        return None

    def whole(value):
        return tuple(nm(v) for v in value) if isinstance(value, list) else None if value is None else nm(value)

    return {key.removesuffix("_mm"): whole(value) if key.endswith("_mm") else value for key, value in pose.items()}


def main():
    rig = json.load(sys.stdin)
    twin = Twin(rig)
    twin.build()
    theirs = [told(rig, box) for box in rig["boxes"]]
    bad = 0
    for box in sorted(set(theirs) - set(twin.boxes)):
        print("only the program has", box)
        bad += 1
    for box in sorted(set(twin.boxes) - set(theirs)):
        print("only the twin has", box)
        bad += 1
    if len(theirs) != len(twin.boxes):
        print(f"{len(theirs)} boxes of the program, {len(twin.boxes)} of the twin")
        bad += 1
    poses = 0
    for end in rig["lead_ends"]:
        theirs_pose, mine = told_pose(end["pose"]), twin.pose(end)
        poses += mine is not None
        if theirs_pose != mine:
            print("pose of the plug at", end["port"], "is", theirs_pose, "for the program and", mine, "for the twin")
            bad += 1
    program = {frozenset((theirs[c["of"]], theirs[c["from"]])) for c in rig["conflicts"]}
    for pair in program ^ twin.conflicts():
        print("conflict found by one side only:", sorted(pair))
        bad += 1
    print(f"{len(theirs)} boxes, {poses} poses, {len(program)} conflicts, {bad} differences")
    return 1 if bad else 0


sys.exit(main())
