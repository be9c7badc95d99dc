"""Rigs by lot as documents, with what a builder of networks gets wrong planted in them.

Tuners that nothing follows, guests at a panel's insert, taps at half normals, sends used as outputs, two inserts in a row
on one panel, a panel input that breaks another source, passive boxes with a switch of their own, loops with several
devices, devices with two channels in two runs, branches that are mixed again, blend boxes whose loop stands beside the
sound, coupling capacitors at inputs, returns and outputs, input capacitance, transformers with cable behind them, switchers whose way in is empty or that a run enters by a
return, inserts on one jack, one at a time of some switched devices. Names and figures are invented.
"""

BYPASS = ["hard", "hard", "hard", "relay", "buffered", "always-on"]


class Draft:
    """A document as it grows."""

    def __init__(self, lot):
        self.lot, self.devices, self.runs, self.switches, self.traps = lot, [], [], 0, set()
        self.count = 0
        self.coupled = lot.random() < 0.5
        self.switched, self.extra, self.exclusive = [], [], []
        # Ends of the leads with a joint.
        self.joined = set()
        self.sinks = {"amp": lot.choice(["1 MΩ", "470 kΩ", "10 kΩ"])}

    def tag(self):
        self.count += 1
        return f"D{self.count}"

    def device(self, tag, ports, signal, more=""):
        lines = ["[[device]]", f'tag = "{tag}"']
        if more:
            lines.append(more)
        for name, (role, z) in ports.items():
            impedance = f', z = "{z}"' if z else ""
            contacts = "trs" if name == "INS" else "ts"
            beside = self.beside(role)
            lines.append(f'port.{name} = {{ role = "{role}", connector = "jack-6.35-{contacts}"{impedance}{beside} }}')
        if signal:
            lines.append(f"signal = {{ bare_pickup = false, {signal} }}")
        lines.append('power = { type = "none" }')
        self.devices.append("\n".join(lines))

    def beside(self, role):
        """A coupling capacitor, or capacitance across an input."""
        lot, found = self.lot, ""
        if not self.coupled or role == "through":
            return found
        if lot.random() < 0.3:
            self.traps.add({"in": "coupling at an input", "return": "coupling at a return"}.get(role, "coupling at an output"))
            found = f', coupling = "{lot.choice(["2.2", "4.7", "47", "1000"])} nF"'
        if role in ("in", "return") and lot.random() < 0.3:
            found += f', capacitance = "{lot.choice(["47", "220", "1000"])} pF"'
        return found

    def signal(self, bypass):
        lot = self.lot
        inverts = "true" if lot.random() < 0.3 else "false"
        latency = lot.choice(["0 ms", "0 ms", "0.4 ms", "1.3 ms", "2 ms"])
        late = bypass == "buffered" and (inverts == "true" or latency != "0 ms")
        self.switches += bypass in ("hard", "relay") or late
        return f'bypass = "{bypass}", inverts = {inverts}, latency = "{latency}"'

    def z_in(self):
        return self.lot.choice(["8 kΩ", "47 kΩ", "470 kΩ", "1 MΩ", "2.2 MΩ"])

    def z_out(self):
        return self.lot.choice(["100 Ω", "1 kΩ", "10 kΩ", "47 kΩ"])

    def pedal(self, more=""):
        tag = self.tag()
        bypass = self.lot.choice(BYPASS if self.switches < 7 else ["always-on"])
        before = self.switches
        self.device(tag, {"IN": ("in", self.z_in()), "OUT": ("out", self.z_out())}, self.signal(bypass), more)
        if before < self.switches:
            self.switched.append(tag)
        return tag

    def box(self):
        """A passive box with a switch of its own, or a volume pedal with a tuner output."""
        tag, lot = self.tag(), self.lot
        bypass = lot.choice(["hard", "always-on"]) if self.switches < 7 else "always-on"
        self.switches += bypass == "hard"
        if bypass == "hard":
            self.traps.add("passive box with its own switch")
        signal = f'bypass = "{bypass}", passive = true, inverts = false, latency = "0 ms"'
        if lot.random() < 0.3:
            # A transformer: what hangs behind it loads what drives it, by the square of its turns.
            self.traps.add("transformer with stated turns")
            ratio, winding = lot.choice([("12:1", "150 Ω"), ("4:1", "300 Ω"), ("1:2", "900 Ω"), ("1:10", "2.2 kΩ")])
            ports = {"IN": ("in", "47 kΩ" if lot.random() < 0.2 else None), "OUT": ("out", winding)}
            self.device(tag, ports, f'{signal}, transformer = true, turns = "{ratio}"')
            return [tag]
        if lot.random() < 0.5:
            self.device(tag, {"IN": ("in", lot.choice(["100 kΩ", "500 kΩ"])), "OUT": ("out", "20 kΩ")}, signal)
            return [tag]
        ports = {"IN": ("in", lot.choice(["25 kΩ", "250 kΩ"])), "OUT": ("out", None), "TUNER": ("out", None)}
        self.device(tag, ports, signal, 'treadle = "30 mm"')
        if lot.random() < 0.7:
            # What listens at the tuner output loads it, whether anything follows or not.
            self.traps |= {"tuner that nothing follows", "device in two runs"}
            self.runs.append([f"{tag}.TUNER", f"{self.pedal()}.IN"])
        return [f"{tag}.IN", f"{tag}.OUT"]

    def switcher(self):
        tag, lot = self.tag(), self.lot
        bypass = lot.choice(["buffered", "relay"])
        ports = {"IN": ("in", "1 MΩ"), "OUT": ("out", lot.choice(["100 Ω", "1 kΩ"]))}
        stops, lines = [f"{tag}.IN"], []
        # Entered by a return, its way in stays empty: it stands at zero, and what its buffer drives does too.
        backwards = lot.random() < 0.15
        if backwards:
            self.traps.add("switcher entered by a return")
            ports["RX"], ports["SX"] = ("return", lot.choice([None, "1 MΩ"])), ("send", lot.choice([None, "220 Ω"]))
            stops = [f"{tag}.RX"]
        for number in range(1, lot.choice([1, 1, 2]) + 1):
            stated = lot.random() < 0.4
            ports[f"S{number}"] = ("send", "220 Ω" if stated else None)
            ports[f"R{number}"] = ("return", lot.choice(["10 kΩ", "1 MΩ"]) if lot.random() < 0.4 else None)
            lines.append(f'loop.{number} = {{ send = "S{number}", return = "R{number}" }}')
            self.switches += 1
            stops.append(f"{tag}.S{number}")
            several = lot.choice([1, 1, 2, 3])
            if 1 < several:
                self.traps.add("loop with several devices")
            for _ in range(several):
                stops.append(self.pedal())
            stops.append(f"{tag}.R{number}")
        if backwards:
            lines.insert(0, 'loop.x = { send = "SX", return = "RX" }')
            self.switches += 1
        self.device(tag, ports, f'bypass = "{bypass}", inverts = false, latency = "0 ms"', "\n".join(lines))
        return stops + [f"{tag}.OUT"]

    def panel(self):
        """A panel with one or two inserts in a row; guests, taps and empty jacks by lot."""
        tag, lot = self.tag(), self.lot
        ports, lines, stops = {}, ['role = "panel"'], []
        names = "AB"[: lot.choice([1, 2])]
        if 1 < len(names):
            self.traps.add("two inserts in a row on one panel")
        for name in names:
            normal = lot.choice(["full", "half"])
            ports[f"{name}S"], ports[f"{name}R"] = ("through", None), ("through", None)
            lines.append(f'insert.{name} = {{ send = "{name}S", return = "{name}R", normal = "{normal}" }}')
            stops += [f"{tag}.{name}S", f"{tag}.{name}R"]
            kind = lot.random()
            if kind < 0.35:
                self.traps.add("guest at an insert")
                guest = self.pedal("outside = true")
                self.runs.append([f"{tag}.{name}S", guest, f"{tag}.{name}R"])
            elif kind < 0.6 and normal == "half":
                self.traps.add("tap at a half normal")
                self.runs.append([f"{tag}.{name}S", f"{self.pedal('outside = true')}.IN"])
        self.device(tag, ports, "", "\n".join(lines))
        return stops

    def preamp(self):
        """A device with an insert: empty, with a guest in it, or its send used as an output."""
        tag, lot = self.tag(), self.lot
        if lot.random() < 0.3:
            self.traps.add("insert on one jack")
            ports = {"IN": ("in", self.z_in()), "OUT": ("out", self.z_out()), "INS": ("send", "470 Ω")}
            back = lot.choice(["10 kΩ", "100 kΩ"])
            self.device(tag, ports, self.signal("always-on"),
                        f'insert.X = {{ send = "INS", return = "INS", normal = "full", return_z = "{back}" }}')
            if lot.random() < 0.6:
                guest = self.pedal()
                self.runs.append([f"{tag}.INS", guest, f"{tag}.INS"])
                self.traps.add("lead with a joint")
                self.joined |= {f"{tag}.INS", f"{guest}.IN", f"{guest}.OUT"}
                self.extra.append(f'[[lead]]\nends = ["{tag}.INS", "{guest}.IN", "{guest}.OUT"]\ncable = "patch-4"\n'
                                  f'legs = {{ "{tag}.INS" = "500 mm", "{guest}.IN" = "300 mm", "{guest}.OUT" = "200 mm" }}')
            return [tag]
        normal = lot.choice(["full", "half"])
        ports = {"IN": ("in", self.z_in()), "OUT": ("out", self.z_out()), "SEND": ("send", "600 Ω"),
                 "RETURN": ("return", lot.choice(["10 kΩ", "100 kΩ"]))}
        self.device(tag, ports, self.signal("always-on"),
                    f'insert.X = {{ send = "SEND", return = "RETURN", normal = "{normal}" }}')
        kind = lot.random()
        if kind < 0.35:
            self.runs.append([f"{tag}.SEND", self.pedal(), f"{tag}.RETURN"])
        elif kind < 0.7 and normal == "half":
            self.traps.add("send used as an output")
            name = f"out{self.count}"
            self.sinks[name] = "47 kΩ"
            self.runs.append([f"{tag}.SEND", name])
        return [tag]

    def double(self):
        """Two channels on one switch, with something between."""
        tag, lot = self.tag(), self.lot
        self.traps.add("two channels on one switch")
        bypass = lot.choice(["hard", "relay"])
        ports = {"IN_A": ("in", self.z_in()), "OUT_A": ("out", self.z_out()), "IN_B": ("in", self.z_in()),
                 "OUT_B": ("out", self.z_out())}
        self.device(tag, ports, self.signal(bypass))
        return [f"{tag}.IN_A", f"{tag}.OUT_A", self.pedal(), f"{tag}.IN_B", f"{tag}.OUT_B"]

    def mixed(self):
        """A splitter, something on each branch, and a mixer."""
        lot = self.lot
        self.traps |= {"branches that sum", "device in two runs"}
        split, mix = self.tag(), self.tag()
        passive = lot.random() < 0.3
        ports = {"IN": ("in", None if passive else self.z_in())}
        out = lot.choice([None, "10 kΩ"]) if passive else self.z_out()
        ports |= {"OUT_A": ("out", out), "OUT_B": ("out", out)}
        passes = "passive = true, " if passive else ""
        self.device(split, ports, f'{passes}bypass = "always-on", inverts = false, latency = "0 ms"')
        if lot.random() < 0.75:
            ports = {"IN_A": ("in", self.z_in()), "IN_B": ("in", self.z_in()), "OUT": ("out", self.z_out())}
            self.device(mix, ports, 'bypass = "always-on", inverts = false, latency = "0 ms"')
        else:
            # A passive mixer: what comes by the one branch is loaded by the other.
            ports = {"IN_A": ("in", None), "IN_B": ("in", None), "OUT": ("out", "10 kΩ")}
            self.device(mix, ports, 'passive = true, bypass = "always-on", inverts = false, latency = "0 ms"')
        self.runs.append([f"{split}.OUT_B", *[self.pedal() for _ in range(lot.choice([1, 2]))], f"{mix}.IN_B"])
        dry = [self.pedal() for _ in range(lot.choice([0, 1]))]
        if passive and not dry:
            dry = [self.pedal()]
        return [f"{split}.IN", f"{split}.OUT_A", *dry, f"{mix}.IN_A", f"{mix}.OUT"]

    def blend(self):
        """A box that mixes what a loop brings back with what goes straight through, by its jacks' roles alone."""
        tag, lot = self.tag(), self.lot
        self.traps |= {"loop beside the sound", "branches that sum"}
        bypass = lot.choice(["always-on", "always-on", "hard", "relay", "buffered"])
        ports = {"IN": ("in", self.z_in()), "OUT": ("out", self.z_out()), "SEND": ("send", self.z_out()),
                 "RET": ("return", self.z_in())}
        before = self.switches
        self.device(tag, ports, self.signal(bypass))
        # What the loop brings is heard only while the box is on, so that a buffered one is switched as well.
        self.switches = before + (bypass != "always-on")
        loop = [self.pedal() for _ in range(lot.choice([1, 1, 2]))]
        kind = lot.random()
        if kind < 0.6:
            self.runs.append([f"{tag}.SEND", *loop, f"{tag}.RET"])
        elif kind < 0.85:
            # One run through everything says nothing else of the jacks.
            self.traps.add("loop beside the sound in one run")
            return [f"{tag}.IN", f"{tag}.SEND", *loop, f"{tag}.RET", f"{tag}.OUT"]
        else:
            self.runs.append([f"{tag}.SEND", f"{loop[0]}.IN"])
        return [f"{tag}.IN", f"{tag}.OUT"]


def source(lot, name):
    kind = lot.choice(["coil", "coil", "coil", "active", "piezo"])
    electrics = {
        "coil": 'type = "coil", inductance = "{} H", resistance = "{} kΩ", capacitance = "{} pF", volume_pot = "{} kΩ", '
                'tone_pot = "{} kΩ", tone_capacitor = "{} nF"'.format(
                    lot.choice(["2.2", "2.8", "5"]), lot.choice(["6.05", "7.6"]), lot.choice(["60", "110", "160"]),
                    lot.choice(["250", "500"]), lot.choice(["250", "500"]), lot.choice(["22", "47"])),
        "active": 'type = "active", resistance = "{}"'.format(lot.choice(["200 Ω", "1 kΩ", "10 kΩ"])),
        "piezo": 'type = "piezo", capacitance = "{} pF"'.format(lot.choice(["500", "1450"])),
    }[kind]
    return f'[source.{name}]\nlead = "{lot.choice([1, 3, 5, 8])} m"\ncable = "instrument"\nelectrics = {{ {electrics} }}'


def document(lot):
    """A rig of 4 to 14 devices, and what is planted in it."""
    while True:
        found, traps, count = drawn(lot)
        if 4 <= count <= 14:
            return found, sorted(traps)


def drawn(lot):
    draft = Draft(lot)
    main, sources = ["guitar"], [source(lot, "guitar")]
    if lot.random() < 0.15:
        # A panel input whose plug breaks what is wired to it otherwise.
        draft.traps.add("panel input that breaks another source")
        tag = draft.tag()
        ports = {"RX": ("through", None), "IN": ("through", None)}
        normal = lot.choice(["full", "half"])
        draft.device(tag, ports, "", f'role = "panel"\ninsert.N = {{ send = "RX", return = "IN", normal = "{normal}" }}')
        receiver = draft.pedal()
        sources.append(source(lot, "other"))
        draft.runs.append(["other", receiver, f"{tag}.RX", f"{tag}.IN"])
        main.append(f"{tag}.IN")
    for _ in range(lot.choice([2, 3, 4, 5])):
        part = lot.choice([draft.pedal, draft.pedal, draft.box, draft.switcher, draft.panel, draft.preamp,
                           draft.double, draft.mixed, draft.blend])
        if part in (draft.switcher, draft.double, draft.mixed, draft.blend) and 3 < draft.switches or 10 < draft.count:
            part = draft.pedal
        found = part()
        main += [found] if isinstance(found, str) else found
    # What leads from the wall to the amp is wired behind it; a device between keeps jacks of the wall apart.
    stops = main[:1]
    for stop in main[1:]:
        walls = [is_wall(draft, stops[-1]), is_wall(draft, stop)]
        if len(stops) == 1 and walls[1] and not stop.endswith(".IN") or all(walls) and apart(stops[-1], stop):
            stops.append(draft.pedal())
        stops.append(stop)
    if is_wall(draft, stops[-1]):
        stops.append(draft.pedal())
    draft.runs.insert(0, stops + ["amp"])
    return text(lot, draft, sources), draft.traps, len(draft.devices)


def is_wall(draft, stop):
    return any(f'tag = "{stop.split(".")[0]}"\nrole = "panel"' in device for device in draft.devices)


def apart(a, b):
    return a.split(".")[0] != b.split(".")[0]


def text(lot, draft, sources):
    lines = ["format = 1", "[job]", 'title = "by lot"', *sources]
    for name, z in draft.sinks.items():
        lines.append(f'[sink.{name}]\nz = "{z}"\nlead = "{lot.choice([1, 3, 6])} m"\ncable = "instrument"')
    lines += ["[leads]", 'signal = { cable = "patch-4" }', *draft.devices]
    ends = set()
    tags = {device.split('tag = "')[1].split('"')[0] for device in draft.devices}
    for number, stops in enumerate(draft.runs):
        lines.append(f'[[run]]\nname = "run {number}"\nstops = {stops!r}'.replace("'", '"'))
        sides = [(f"{stop}.IN", f"{stop}.OUT") if stop in tags else (stop, stop) for stop in stops]
        for (_, start), (to, _) in zip(sides, sides[1:]):
            if start.split(".")[0] != to.split(".")[0] and "." in start and "." in to:
                ends.add((start, to))
    for start, to in sorted(ends):
        if {start, to} <= draft.joined:
            # One lead with a joint goes there, and has its own entry.
            continue
        lines.append(f'[[lead]]\nfrom = "{start}"\nto = "{to}"\ncut = "{lot.choice([150, 300, 620, 1500])} mm"')
    engaged = sorted(tags)
    lines += draft.extra
    if 2 <= len(draft.switched) and lot.random() < 0.2:
        draft.traps.add("one at a time of some")
        draft.exclusive = lot.sample(draft.switched, min(len(draft.switched), lot.choice([2, 2, 3])))
        names = ", ".join(f'"{tag}"' for tag in draft.exclusive)
        lines.append(f'[[switching]]\nname = "sets"\nway = "one-at-a-time"\ndevices = [{names}]')
    for number in range(2):
        some = [tag for tag in engaged if lot.random() < 0.4 and not is_wall(draft, tag)]
        one = [tag for tag in some if tag in draft.exclusive][1:]
        some = [tag for tag in some if tag not in one]
        lines.append(f'[[state]]\nname = "s{number}"\nengaged = {some!r}'.replace("'", '"'))
    return "\n".join(lines) + "\n"
