"""An independent solver of what the signal loses: from the document's contacts to every switching state, by nodal analysis.

  peer.py draw FIRST COUNT    prints COUNT rigs by lot, one JSON a line: {"name", "document", "traps"}
  peer.py judge               reads one JSON a line: {"name", "document", "ways", "silent"} and solves each rig again

A netlist is made here for each state from the text of the document alone: which jack every lead meets, which normals a
plug lifts, what each device is on and off. Every state is solved at each frequency; nothing is cleverer than that. The
answers compared are the highest and lowest level over all states, each named state, and the reference. Ends with 0 when
every rig agrees within 0.01 dB; names those that do not.

What a contact, a lead and a device are follows the trade as `crates/signal` states it: common practice, no source.
"""

import itertools
import json
import math
import random
import sys
import tomllib

import numpy

SAME = 0.01
# Every half octave of the engine's grid, 1 kHz times a power of two.
PLACES = range(-130, 104, 12)
FREQUENCIES = [1000.0 * 2 ** (place / 24) for place in PLACES]

# Figures that stand in where nothing is stated.
CONTACT, STRAY, RELAY_STRAY, PLUG = 0.05, 30e-12, 34e-12, 15e-12
CABLES = {"instrument": (100e-12, 0.0842), "patch-4": (100e-12, 0.134)}


def number(text):
    """A quantity with its unit in SI."""
    value, unit = text.split()
    scale = {"mm": 1e-3, "m": 1.0, "Ω": 1.0, "kΩ": 1e3, "MΩ": 1e6, "ms": 1e-3, "s": 1.0, "dB": 1.0, "pF": 1e-12,
             "nF": 1e-9, "H": 1.0}
    return float(value) * scale[unit]


class Rig:
    """The document, with every flow of signal between two jacks and every step inside a panel."""

    def __init__(self, text):
        self.doc = tomllib.loads(text)
        self.devices = {device["tag"]: device for device in self.doc.get("device", [])}
        self.sources, self.sinks = self.doc["source"], self.doc["sink"]
        self.flows, self.steps, self.inside = [], [], {}
        self.joined = [lead for lead in self.doc.get("lead", []) if "ends" in lead]
        self.cut = {(lead["from"], lead["to"]): number(lead["cut"]) for lead in self.doc.get("lead", [])
                    if "cut" in lead}
        self.exclusive = [set(one["devices"]) for one in self.doc.get("switching", []) if one["way"] == "one-at-a-time"]
        for run in self.doc["run"]:
            stops = [self.sides(stop) for stop in run["stops"]]
            for (_, leaves), (arrives, _) in zip(stops, stops[1:]):
                if leaves.split(".")[0] != arrives.split(".")[0]:
                    if (leaves, arrives) not in self.flows:
                        self.flows.append((leaves, arrives))
                elif leaves != arrives and (leaves, arrives) not in self.steps:
                    self.steps.append((leaves, arrives))
            self.loops_of(stops)
        # Of an insert on one jack, what comes back meets another contact than what goes out.
        self.flows = [(start, f"{to} return" if self.on_one_jack(to) else to) for start, to in self.flows]
        self.ins = {to for _, to in self.flows}
        self.outs = {start for start, _ in self.flows}

    def sides(self, stop):
        if stop in self.devices:
            return f"{stop}.IN", f"{stop}.OUT"
        return stop, stop

    def loops_of(self, stops):
        """What stands between send and return of each loop."""
        for tag, device in self.devices.items():
            for name, one in device.get("loop", {}).items():
                places = [index for index, (_, leaves) in enumerate(stops) if leaves == f"{tag}.{one['send']}"]
                for place in places:
                    for later in range(place + 1, len(stops)):
                        if stops[later][0] == f"{tag}.{one['return']}":
                            tags = {side[0].split(".")[0] for side in stops[place + 1:later]}
                            self.inside.setdefault(f"{tag}.{name}", set()).update(tags)
                            break

    def beside(self, end):
        """Whether an end lies outside the board."""
        tag = end.split(".")[0]
        return tag not in self.devices or self.devices[tag].get("outside", False)

    def beside_sound(self, ends):
        """Sends and returns by role alone, which no insert or loop names: a loop mixed with what goes straight through."""
        found = []
        for end in ends:
            tag, _, name = end.partition(".")
            device = self.devices[tag]
            named = [one for kind in ("insert", "loop") for one in device.get(kind, {}).values()]
            if not any(name.removesuffix(" return") in (one["send"], one["return"]) for one in named) \
                    and self.port(end.removesuffix(" return")).get("role") in ("send", "return"):
                found.append(end)
        return found

    def on_one_jack(self, end):
        tag, _, name = end.partition(".")
        inserts = self.devices.get(tag, {}).get("insert", {}).values()
        return any(one["send"] == one["return"] == name for one in inserts)

    def port(self, end):
        """What the document says of a port; what it says of a jack that sends and returns is said of its send."""
        tag, name = end.split(".")
        return self.devices[tag]["port"].get(name, {})

    def metres(self, start, to):
        ends = {start, to.removesuffix(" return")}
        for lead in self.joined:
            if ends <= set(lead["ends"]):
                return sum(number(lead["legs"][end]) for end in ends)
        return self.cut[(start, to)]

    def panel(self, end):
        tag = end.split(".")[0]
        return self.devices.get(tag, {}).get("role") == "panel"

    def plugged(self, jack):
        """Whether a plug is in a jack: any lead on a pedal; on a panel one from outside, or the second of two."""
        coming = [start for start, to in self.flows if to == jack]
        going = [to for start, to in self.flows if start == jack]
        if not self.panel(jack):
            return bool(coming or going)
        return any(self.beside(other) for other in coming + going) or bool(coming and going)

    def closed(self, tag, insert):
        send, back = f"{tag}.{insert['send']}", f"{tag}.{insert['return']}"
        if send == back:
            # One plug lifts both contacts.
            return send not in self.outs and f"{send} return" not in self.ins
        sent, returned = self.plugged(send), self.plugged(back)
        return {"full": not sent and not returned, "half": not returned, "open": False}[insert["normal"]]

    def switches(self):
        """Everything with two positions, by name."""
        out = []
        for tag, device in self.devices.items():
            own = [end for end in self.ins | self.outs if end.split(".")[0] == tag]
            if device.get("role") == "panel" or not own:
                continue
            for name, one in device.get("loop", {}).items():
                if f"{tag}.{one['send']}" in self.outs or f"{tag}.{one['return']}" in self.ins:
                    out.append(f"{tag}.{name}")
            signal = device["signal"]
            late = signal.get("inverts") or number(signal.get("latency", "0 ms")) > 0 or self.beside_sound(own)
            if "loop" not in device and (signal["bypass"] in ("hard", "relay")
                                         or (signal["bypass"] == "buffered" and late)):
                out.append(tag)
        return out


class Net:
    """Elements between named nodes, and stages."""

    def __init__(self):
        self.names, self.parts, self.stages, self.windings = {"0": 0}, [], [], []

    def node(self, name):
        return self.names.setdefault(name, len(self.names))

    def add(self, kind, a, b, value):
        self.parts.append((kind, self.node(a), self.node(b), value))

    def wound(self, a, b, ratio, ohms):
        """An ideal transformer from its primary to its secondary behind the winding's resistance."""
        self.windings.append((self.node(a), self.node(b), ratio, ohms))

    def stage(self, inputs, output, sign=1.0, delay=0.0):
        self.stages.append(([self.node(name) for name in inputs], self.node(output), sign, delay))

    def solve(self, emf, wanted):
        """Voltages at some nodes for 1 V at an EMF, at every frequency."""
        size = len(self.names)
        w = 2 * math.pi * numpy.array(FREQUENCIES)
        # Conductances, capacitances and inverse inductances; the admittance is a sum of the three.
        whole = {kind: numpy.zeros((size, size)) for kind in "RCL"}
        # 100 TΩ to earth everywhere: what hangs together and on nothing else stands at zero.
        whole["R"][range(size), range(size)] += 1e-14
        for kind, a, b, value in self.parts:
            each, matrix = value if kind == "C" else 1 / value, whole[kind]
            matrix[a, a] += each
            matrix[b, b] += each
            matrix[a, b] -= each
            matrix[b, a] -= each
        for a, b, ratio, ohms in self.windings:
            # The secondary gives (v/n - u)/R, of which the primary takes the n-th part.
            for row, by in ((a, -1 / ratio), (b, 1.0)):
                for column, volts in ((a, -1 / ratio), (b, 1.0)):
                    whole["R"][row, column] += by * volts / ohms
        s = (1j * w)[:, None, None]
        y = whole["R"] + s * whole["C"] + whole["L"] / s
        right = numpy.zeros((len(w), size), dtype=complex)
        y[:, 0, :], y[:, 0, 0] = 0, 1
        for name in self.names:
            if name.endswith(" EMF"):
                row = self.names[name]
                y[:, row, :], y[:, row, row] = 0, 1
                right[:, row] = 1.0 if name == emf else 0.0
        for inputs, output, sign, delay in self.stages:
            y[:, output, :], y[:, output, output] = 0, 1
            for node in inputs:
                y[:, output, node] -= sign * numpy.exp(-1j * w * delay)
        # A node that hangs on nothing stays at zero.
        for row in numpy.flatnonzero(~y.any(axis=(0, 2))):
            y[:, row, row] = 1
        solved = numpy.linalg.solve(y, right[..., None])[..., 0]
        return solved[:, [self.node(name) for name in wanted]]


def guitar(net, name, source):
    """A coil with its controls full up, into its jack."""
    electrics = source["electrics"]
    value = {key: number(text) for key, text in electrics.items() if key != "type"}
    emf, wire = f"{name} EMF", f"{name} winding"
    if electrics["type"] == "active":
        net.add("R", emf, name, value["resistance"])
    elif electrics["type"] == "piezo":
        net.add("C", emf, name, value["capacitance"])
    else:
        net.add("R", emf, wire, value["resistance"])
        net.add("L", wire, name, value["inductance"])
        net.add("C", name, "0", value["capacitance"])
        net.add("R", name, f"{name} tone", value["tone_pot"])
        net.add("C", f"{name} tone", "0", value["tone_capacitor"])
        net.add("R", name, "0", value["volume_pot"])


def lead(net, a, b, farads, ohms, plugs):
    net.add("C", a, "0", farads / 2 + plugs[0])
    net.add("R", a, b, ohms)
    net.add("C", b, "0", farads / 2 + plugs[1])


def leads(rig, net):
    for start, to in rig.flows:
        if start in rig.sources:
            farads, ohms = CABLES[rig.sources[start]["cable"]]
            metres = number(rig.sources[start]["lead"])
        elif to in rig.sinks:
            farads, ohms = CABLES[rig.sinks[to]["cable"]]
            metres = number(rig.sinks[to]["lead"])
        else:
            farads, ohms = CABLES["patch-4"]
            metres = rig.metres(start, to)
        plugs = [0.0 if rig.panel(end) and not rig.beside(other) else PLUG
                 for end, other in ((start, to), (to, start))]
        lead(net, start, to, farads * metres, ohms * metres, plugs)


def pairs(ins, outs):
    """Which inputs an output listens to: those of its suffix where there are several outputs and several inputs."""
    if len(outs) == 1 or len(ins) == 1:
        return [(one, other) for one in ins for other in outs]
    return [(one, other) for one in ins for other in outs if one.rsplit("_")[-1] == other.rsplit("_")[-1]]


def turns(signal):
    """Turns of the primary for one of the secondary."""
    primary, secondary = signal["turns"].split(":")
    return float(primary) / float(secondary)


def enter(rig, net, end):
    """Into an input: through its coupling capacitor to its capacitance; the node where the device listens."""
    port, inner = rig.port(end), end
    if "coupling" in port:
        inner = f"{end} inside"
        net.add("C", end, inner, number(port["coupling"]))
    if "capacitance" in port:
        net.add("C", inner, "0", number(port["capacitance"]))
    return inner


def leave(rig, net, end):
    """Out by an output: the node before its coupling capacitor."""
    port = rig.port(end)
    if "coupling" not in port:
        return end
    inner = f"{end} inside"
    net.add("C", inner, end, number(port["coupling"]))
    return inner


def transformer(rig, net, tag, z, ins, outs):
    """An ideal transformer between its jacks, the winding of the secondary in series; both ways, as it is wound. One that
    states its input is that load, and drives what follows."""
    ratio = turns(rig.devices[tag]["signal"])
    inside = {end: enter(rig, net, end) for end in ins}
    for end in ins:
        if end in z:
            net.add("R", inside[end], "0", z[end])
    for out in outs:
        inputs = [one for one, other in pairs(ins, outs) if other == out]
        outer = leave(rig, net, out)
        for one in inputs:
            if one not in z:
                net.wound(inside[one], outer, ratio, z[out])
        stated = [inside[one] for one in inputs if one in z]
        if stated:
            net.stage(stated, f"{out} drive", 1 / ratio)
            net.add("R", f"{out} drive", outer, z[out])
        elif not inputs:
            net.add("R", outer, "0", z[out])


def pedal(rig, net, tag, on):
    device = rig.devices[tag]
    signal = device["signal"]
    z = {f"{tag}.{name}": number(port["z"]) for name, port in device["port"].items() if "z" in port}
    inserts = []
    for one in device.get("insert", {}).values():
        send, back = f"{tag}.{one['send']}", f"{tag}.{one['return']}"
        if send == back:
            back = f"{send} return"
            z[back] = number(one["return_z"])
        inserts.append((send, back, rig.closed(tag, one)))
    own = sorted(end for end in rig.ins | rig.outs if end.split(".")[0] == tag)
    blended = set(rig.beside_sound(own))
    special = {end for one in inserts for end in one[:2]} | blended
    ins = sorted(end for end in rig.ins if end.split(".")[0] == tag and end not in special)
    outs = sorted(end for end in rig.outs if end.split(".")[0] == tag and end not in special)
    stray = RELAY_STRAY if signal["bypass"] == "relay" else STRAY
    for end in {end for end in rig.ins | rig.outs if end.split(".")[0] == tag}:
        net.add("C", end, "0", stray / 2)
    if not on and signal["bypass"] in ("hard", "relay"):
        for one, other in pairs(ins, outs):
            net.add("R", one, other, CONTACT)
        return
    if "turns" in signal:
        transformer(rig, net, tag, z, ins, outs)
        return
    if signal.get("passive"):
        inside = {end: enter(rig, net, end) for end in ins}
        for end in ins:
            if "treadle" in device:
                # Full up: the whole pot to earth, 1 mΩ above the wiper; a tuner output hangs on the jack itself.
                net.add("R", inside[end], f"{tag} wiper", 1e-3)
                net.add("R", f"{tag} wiper", "0", z[end])
                for out in outs:
                    if "TUN" in out:
                        net.add("R", end, out, CONTACT)
                    else:
                        net.add("R", f"{tag} wiper", leave(rig, net, out), CONTACT)
            elif end in z:
                net.add("R", inside[end], "0", z[end])
        if "treadle" not in device:
            outer = {out: leave(rig, net, out) for out in outs}
            for one, other in pairs(ins, outs):
                net.add("R", inside[one], outer[other], max(z.get(other, CONTACT), CONTACT))
        return
    inside = {end: enter(rig, net, end) for end in ins}
    for end in ins:
        net.add("R", inside[end], "0", z[end])
    feeds = {}
    for send, back, _ in inserts:
        if back in rig.ins:
            inside[back] = enter(rig, net, back)
            net.add("R", inside[back], "0", z[back])
    for one, other in pairs(ins, outs) or [(end, None) for end in ins]:
        here = one
        for send, back, closed in inserts:
            if send in rig.outs and here is not None:
                feeds.setdefault(send, set()).add(here)
            if not closed:
                here = back if back in rig.ins else None
        if here is not None and other is not None:
            feeds.setdefault(other, set()).add(here)
    backs, sends = sorted(blended & rig.ins), sorted(blended & rig.outs)
    for end in backs:
        inside[end] = enter(rig, net, end)
        net.add("R", inside[end], "0", z[end])
    if on or signal["bypass"] == "always-on":
        # The loop gets what comes in, and what it brings back comes out beside it.
        for send in sends:
            feeds[send] = set(ins)
        for out in outs:
            feeds[out] = feeds.get(out, set()) | set(backs)
    for end in outs + [send for send, _, _ in inserts if send in rig.outs] + sends:
        inputs, outer = sorted(feeds.get(end, ())), leave(rig, net, end)
        if not inputs:
            net.add("R", outer, "0", z[end])
            continue
        works = (on or signal["bypass"] == "always-on") and any(one in ins for one in inputs) \
            and end not in sends
        sign = -1.0 if works and signal.get("inverts") else 1.0
        delay = number(signal.get("latency", "0 ms")) if works else 0.0
        net.stage([inside[one] for one in inputs], f"{end} drive", sign, delay)
        net.add("R", f"{end} drive", outer, z[end])


def switcher(rig, net, tag, loops_in):
    """Way in, loops in order, way out. A send or return with an impedance is a buffer, one without a contact."""
    device = rig.devices[tag]
    z = {f"{tag}.{name}": number(port["z"]) for name, port in device["port"].items() if "z" in port}
    for end in {end for end in rig.ins | rig.outs if end.split(".")[0] == tag}:
        net.add("C", end, "0", RELAY_STRAY / 2)
    way_in, way_out = f"{tag}.IN", f"{tag}.OUT"
    buffered = device["signal"]["bypass"] in ("buffered", "always-on")
    # With nothing plugged in, the way in hangs on nothing and stands at zero.
    at = enter(rig, net, way_in) if way_in in rig.ins else way_in
    if buffered:
        net.add("R", at, "0", z[way_in])
    # Whether where the path is now still lacks an output resistance.
    bare = buffered
    for name, one in device["loop"].items():
        send, back, after = f"{tag}.{one['send']}", f"{tag}.{one['return']}", f"{tag}.{name} after"
        if send not in rig.outs and back not in rig.ins:
            continue
        if f"{tag}.{name}" not in loops_in:
            if bare:
                net.stage([at], f"{after} drive")
                net.add("R", f"{after} drive", after, z[way_out])
            else:
                net.add("R", at, after, CONTACT)
        else:
            if send in rig.outs:
                outer = leave(rig, net, send)
                if bare or send in z:
                    net.stage([at], f"{send} drive")
                    net.add("R", f"{send} drive", outer, z.get(send, z[way_out]))
                else:
                    net.add("R", at, outer, CONTACT)
            if back in rig.ins:
                inside = enter(rig, net, back)
                if back in z:
                    net.add("R", inside, "0", z[back])
                    net.stage([inside], f"{after} drive")
                    net.add("R", f"{after} drive", after, z[way_out])
                else:
                    net.add("R", inside, after, CONTACT)
        at, bare = after, False
    outer = leave(rig, net, way_out)
    if bare:
        net.stage([at], f"{way_out} drive")
        net.add("R", f"{way_out} drive", outer, z[way_out])
    else:
        net.add("R", at, outer, CONTACT)


def panel(rig, net, tag):
    device = rig.devices[tag]
    reached = rig.ins | rig.outs | {end for step in rig.steps for end in step}
    pairs_of = set()
    for one in device.get("insert", {}).values():
        send, back = f"{tag}.{one['send']}", f"{tag}.{one['return']}"
        pairs_of |= {(send, back), (back, send)}
        if send in reached and back in reached and rig.closed(tag, one):
            net.add("R", send, back, CONTACT)
    for start, to in rig.steps:
        if start.split(".")[0] == tag and (start, to) not in pairs_of:
            net.add("R", start, to, CONTACT)


def netlist(rig, on):
    """The circuit with these switches on."""
    net = Net()
    for name, source in rig.sources.items():
        if name in rig.outs:
            guitar(net, name, source)
    for name, sink in rig.sinks.items():
        if name in rig.ins:
            net.add("R", name, "0", number(sink["z"]))
    leads(rig, net)
    for tag, device in rig.devices.items():
        if not any(end.split(".")[0] == tag for end in rig.ins | rig.outs):
            continue
        if device.get("role") == "panel":
            panel(rig, net, tag)
        elif "loop" in device:
            switcher(rig, net, tag, on)
        else:
            pedal(rig, net, tag, tag in on)
    return net


def reference(rig, name, load):
    net = Net()
    source = rig.sources[name]
    guitar(net, name, source)
    farads, ohms = CABLES[source["cable"]]
    metres = number(source["lead"])
    lead(net, name, "amp", farads * metres, ohms * metres, [PLUG, PLUG])
    net.add("R", "amp", "0", load)
    return decibels(net.solve(f"{name} EMF", ["amp"])[:, 0])


def decibels(values):
    with numpy.errstate(divide="ignore"):
        return 20 * numpy.log10(numpy.abs(values))


def apart(found, said):
    """The largest difference; what is some 150 dB down on both sides counts as silence."""
    floor = -150.0
    found, said = numpy.maximum(found, floor), numpy.maximum(numpy.array(said, dtype=float), floor)
    return float(numpy.max(numpy.abs(found - said)))


def judge(case):
    """What is wrong with the answers to a rig, in words; and the largest difference."""
    rig = Rig(case["document"])
    names = rig.switches()
    wrong, worst = [], 0.0
    bands = {}
    for count in itertools.product([False, True], repeat=len(names)):
        on = {name for name, is_on in zip(names, count) if is_on}
        if any(1 < len(on & group) for group in rig.exclusive):
            continue
        net = netlist(rig, on)
        sinks = [name for name in rig.sinks if name in rig.ins]
        for source in (name for name in rig.sources if name in rig.outs):
            for sink, column in zip(sinks, net.solve(f"{source} EMF", sinks).T):
                if numpy.abs(column).max() > 1e-12:
                    level = decibels(column)
                    high, low = bands.get((source, sink), (level, level))
                    bands[(source, sink)] = numpy.maximum(high, level), numpy.minimum(low, level)
    said = {(way["source"], way["sink"]): way for way in case["ways"]}
    for key in bands.keys() ^ said.keys():
        wrong.append(f"{key}: {'the engine says nothing arrives' if key in bands else 'nothing arrives here'}")
    for key in bands.keys() & said.keys():
        way = said[key]
        checks = [("upper", bands[key][0], way["upper"]), ("lower", bands[key][1], way["lower"]),
                  ("reference", reference(rig, key[0], way["load"]), way["reference"])]
        for state in way["states"]:
            on = set(state["engaged"])
            on |= {name for name, tags in rig.inside.items() if tags & on}
            column = netlist(rig, on).solve(f"{key[0]} EMF", [key[1]])[:, 0]
            if not state["levels"]:
                if numpy.abs(column).max() > 1e-12:
                    wrong.append(f"{key}, state {state['engaged']}: the engine says nothing arrives")
                continue
            checks.append((f"state {state['engaged']}", decibels(column), state["levels"]))
        for what, found, engine in checks:
            difference = apart(found, engine)
            worst = max(worst, difference)
            if not difference <= SAME:
                at = int(numpy.argmax(numpy.abs(found - numpy.array(engine, dtype=float))))
                wrong.append(f"{key}, {what}: {engine[at]} dB for {found[at]:.4f} at {FREQUENCIES[at]} Hz")
        if not way["exact"]:
            wrong.append(f"{key}: not exact")
    return wrong, worst, len(names)


def main():
    if sys.argv[1] == "draw":
        import draw
        for seed in range(int(sys.argv[2]), int(sys.argv[2]) + int(sys.argv[3])):
            document, traps = draw.document(random.Random(seed))
            print(json.dumps({"name": f"rig {seed}", "document": document, "traps": traps}))
        return 0
    good, bad, worst, states = 0, 0, 0.0, 0
    for line in sys.stdin:
        case = json.loads(line)
        wrong, difference, switches = judge(case)
        worst, states = max(worst, difference), states + 2 ** switches
        good, bad = good + (not wrong), bad + bool(wrong)
        for text in wrong:
            print(f"{case['name']}: {text}")
    print(f"{good} rigs agree, {bad} do not; {states} states; largest difference {worst:.2e} dB")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
