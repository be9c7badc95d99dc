"""An independent power allocation: HiGHS on a model made from the resolved rig's JSON alone.

Reads one case a line from standard input: {"rig": resolved, "dc_ohm_per_m": r, "unserved": n, "objective": {"looks": n,
"special_leads": n, "margin_permille": n, "length_mm": n}}. The resistance of one conductor of the usual cable for supply
leads stands beside the rig, which does not carry it; null or none where nobody knows it, and then nothing is said of what
the leads lose.

The model knows single outlets and single devices, no classes and no groups: which device hangs on which outlet at which
setting, which outlets are shared, which are paired. The objectives are solved one after the other, each kept as a
constraint for the next. Ends with 0 when every case agrees; names the cases that do not.

With --times the milliseconds of the first three objectives and of all are printed for each case.

Source of the rules: those of the trade as the papers of this project state them; common practice, no source. What is
not known is taken as the worse, or assumed and looked at. Loss on a lead by Ohm's law, energy of a converter by its
conservation. Leads that are made already are not known to this model: it is for rigs that are still planned.
"""

import itertools
import json
import math
import sys
import time

import highspy
import numpy

INF = highspy.kHighsInf
TINY = 1e-7

# Assumptions of the trade; common practice, no source.
USUAL_V = 9.0           # a device of unknown voltage
STRONG_MA = 500.0       # an outlet that a device of unknown draw may hang on without a second look
EFFICIENCY = 0.8        # of a converter of which nobody wrote it down
MOST_EFFICIENCY = 1 - 1e-6  # no converter gives all that it takes
LEAST_MA = 0.001        # no converter takes nothing at all
CONTACTS_OHM = 0.030    # of both plugs of a lead together
PULL = 1.5              # how much longer than the straight line a lead comes out
INSIDE_MM = 40.0        # cable inside its two plugs
COAXIAL, PARTS = ("barrel-", "jack-"), ("barrel-", "jack-", "snap-", "terminals")
CROSSED = {"centre-negative": "centre-positive", "centre-positive": "centre-negative"}


def known(value):
    return value["is"]


# --- The document as plain dictionaries ------------------------------------------------------------------------------


def fits(outlet, need):
    """None: no lead fits; else how many barrel adaptors it wants."""
    device = need["connector"]
    if outlet is None or device is None or outlet == device or "fixed" in (outlet, device):
        return 0
    if outlet.startswith(COAXIAL) and device.startswith(COAXIAL):
        return 1
    # Any two USB plugs, and any two of the others, are at the ends of an ordinary lead.
    both = (outlet, device)
    return 0 if all(end.startswith("usb-") for end in both) or all(end.startswith(PARTS) for end in both) else None


def read_outlets(rig):
    """Outlets and the bricks they belong to."""
    outlets, bricks = [], []
    for device in rig["devices"]:
        if not device["outlets"]:
            continue
        ports = {port["name"]: port for port in device["ports"]}
        joined = [outlet for outlet in device["outlets"] if known(outlet["isolation"]) != "isolated"]
        one_group = any(outlet["bank"] is None for outlet in joined)
        bricks.append({"tag": device["tag"], "watts": known(device["total_w"]), "gives": None, "banks": {
            bank["name"]: known(bank["current_ma"]) for bank in device["banks"]}})
        for outlet in device["outlets"]:
            port = ports.get(outlet["name"], {})
            nature, sign = known(outlet["type"]), known(outlet["sign"])
            isolated = known(outlet["isolation"]) == "isolated"
            # Nothing hangs on an outlet of which nobody knows what comes out, nor at a setting of unknown current.
            unclear = nature is None or (nature != "ac" and sign is None)
            outlets.append({
                "name": f'{device["tag"]}.{outlet["name"]}', "brick": len(bricks) - 1, "bank": outlet["bank"],
                "ac": nature == "ac", "set": known(outlet["set_v"]), "sign": None if nature == "ac" else sign,
                "settings": [] if unclear else [
                    (s["volts_v"], known(s["current_ma"])) for s in outlet["settings"]
                    if known(s["current_ma"]) is not None],
                "group": None if isolated else (device["tag"], None if one_group else outlet["bank"]),
                "series": known(outlet["series"]) is True, "parallel": known(outlet["parallel"]) is True,
                "connector": port.get("connector"), "at": port.get("at_mm")})
    of = {device["tag"]: device for device in rig["devices"]}
    for brick in bricks:
        brick["gives"] = intake(of[brick["tag"]], outlets)[1]
    return outlets, bricks


def intake(device, outlets):
    """Milliamperes that a converter takes, and the watts it gives on: eta · U · I at the lowest voltage it runs on.

    None, None for what does not hang on another brick. Where its voltage is not known, it is taken as what arrives, or as
    the usual one; where its current is not known, it takes what its outlets could
    make it take, in whole microamperes.
    """
    window = known(device["power"]["volts_v"])
    if known(device["power"]["type"]) not in ("dc", "ac") or not device["outlets"]:
        return None, None
    low = window[0] if window else arriving(device["feed"], outlets)[0] or USUAL_V
    share = min(known(device["efficiency_ratio"]) or EFFICIENCY, MOST_EFFICIENCY)
    most = sum(max((s["volts_v"] * known(s["current_ma"]) / 1000 for s in outlet["settings"]
                    if known(s["current_ma"]) is not None), default=0.0) for outlet in device["outlets"])
    if known(device["total_w"]) is not None:
        most = min(most, known(device["total_w"]))
    ma = known(device["power"]["current_ma"])
    if ma is None:
        ma = math.ceil(most / (share * low) * 1e6 - 1e-3) / 1e3
    return ma, share * low * ma / 1000


def arriving(feed, outlets):
    """Voltage and sign that the stated feed brings, as far as they are known."""
    named = [outlet for name in feed["outlets"] for outlet in outlets if outlet["name"] == name] if feed else []
    if not named:
        return None, None
    sets = [outlet["set"] for outlet in named]
    if feed["type"] == "series-pair":
        volts = None if None in sets else sum(sets)
    else:
        volts = sets[0]
    sign = named[0]["sign"]
    return volts, CROSSED.get(sign) if feed["crossing"] else sign


def wants_feed(device):
    feed = device["feed"]
    fed = feed is not None and feed["type"] != "adaptor" and feed["outlets"]
    return known(device["power"]["type"]) in ("dc", "ac") and (not device["outside"] or fed)


def read_need(device, outlets, bricks, limits):
    """What one device wants; each assumption is told in `unsure`, `no_draw` and `ground`."""
    power, feed = device["power"], device["feed"]
    ac = known(power["type"]) == "ac"
    volts, sign = arriving(feed, outlets)
    volts = volts or USUAL_V
    ma = known(power["current_ma"])
    if ma is None:
        ma = intake(device, outlets)[0]
    supplies = next((b for b, brick in enumerate(bricks) if brick["tag"] == device["tag"]), None)
    if supplies is not None and ma is not None:
        ma = max(ma, LEAST_MA)
    inlet = next((port for port in device["ports"] if known(port["role"]) == "power"), {})
    gain = known(device["signal"]["gain_db"])
    no_sign = not ac and known(power["sign"]) is None
    unsure = ma is None or known(power["volts_v"]) is None or no_sign
    ground = known(power["positive_ground"]) is None
    need = {
        "tag": device["tag"], "ac": ac, "window": known(power["volts_v"]) or (volts, volts),
        "no_draw": ma is None, "ma": ma or 0.0, "surge": known(power["surge_ma"]),
        "sign": None if ac else known(power["sign"]) or sign or "centre-negative",
        "digital": known(power["class"]) != "analogue", "positive": known(power["positive_ground"]) is True,
        "unsure": unsure, "ground": ground, "to_itself": unsure or ground,
        "loud": gain is None or limits["shared_gain_look_db"] < gain,
        "connector": inlet.get("connector"), "at": inlet.get("at_mm"), "supplies": supplies,
        "adaptor": feed["outlets"] if feed is not None and feed["type"] == "adaptor" else None,
        "lock": feed if feed is not None and feed["locked"] else None}
    need["alone"] = need["digital"] or ac or need["positive"] or need["no_draw"]
    return need


def read_strips(rig, needs):
    """Mains strips with the sockets that adaptors of the needs may take."""
    taken = {name for device in rig["devices"] if device["feed"] and device["feed"]["type"] == "adaptor"
             and not wants_feed(device) for name in device["feed"]["outlets"]}
    strips = []
    for device in rig["devices"]:
        if device["role"] == "strip":
            names = {f'{device["tag"]}.{port["name"]}' for port in device["ports"] if known(port["role"]) == "mains"}
            own = {name for need in needs for name in (need["adaptor"] or []) if name.startswith(device["tag"] + ".")}
            strips.append({"tag": device["tag"], "sockets": len((names - taken) | own), "columns": []})
    return strips


def reserve(rig, outlets):
    """A device of which nobody knows what current it wants cannot be judged: what feeds it now stays its own."""
    for device in rig["devices"]:
        if known(device["power"]["type"]) is None and not device["outside"] and device["feed"]:
            for outlet in outlets:
                if outlet["name"] in device["feed"]["outlets"]:
                    outlet["settings"] = []


def way(need, outlet):
    """Whole millimetres along the axes, or None where either is not placed."""
    if need["at"] is None or outlet["at"] is None:
        return None
    return math.floor(sum(abs(a - b) for a, b in zip(need["at"], outlet["at"])) + 0.5)


def conductors(need, outlet, limits, ohm_per_m):
    """Ohms of both conductors of a lead that is not made yet, or None where that is not known."""
    if ohm_per_m is None or need["at"] is None or outlet["at"] is None:
        return None
    laid = round(math.dist(need["at"], outlet["at"]), 6) * PULL
    whole = laid + INSIDE_MM + max(limits["plug_allowance_least_mm"], laid * limits["slack_share_ratio"])
    step = limits["cut_rounding_mm"]
    if 0 < step:
        whole = math.ceil(round(whole / step, 6)) * step
    return 2 * whole / 1000 * ohm_per_m


# --- The model -------------------------------------------------------------------------------------------------------


class Model:
    """Columns and rows, gathered before HiGHS sees them."""

    def __init__(self):
        self.lower, self.upper, self.whole = [], [], []
        self.rows = []

    def binary(self):
        self.lower.append(0.0)
        self.upper.append(1.0)
        self.whole.append(True)
        return len(self.lower) - 1

    def real(self, lower, upper):
        self.lower.append(lower)
        self.upper.append(upper)
        self.whole.append(False)
        return len(self.lower) - 1

    def row(self, terms, lower, upper):
        self.rows.append((merged(terms), lower, upper))

    def at_most(self, terms, limit):
        self.row(terms, -INF, limit)

    def highs(self):
        solver = highspy.Highs()
        solver.setOptionValue("output_flag", False)
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("mip_abs_gap", 1e-6)
        solver.setOptionValue("mip_feasibility_tolerance", TINY)
        solver.setOptionValue("threads", 1)
        lp = highspy.HighsLp()
        lp.num_col_ = len(self.lower)
        lp.num_row_ = len(self.rows)
        lp.col_cost_ = numpy.zeros(lp.num_col_)
        lp.col_lower_ = numpy.array(self.lower)
        lp.col_upper_ = numpy.array(self.upper)
        lp.row_lower_ = numpy.array([row[1] for row in self.rows])
        lp.row_upper_ = numpy.array([row[2] for row in self.rows])
        start, index, value = [0], [], []
        for terms, _, _ in self.rows:
            index.extend(terms.keys())
            value.extend(terms.values())
            start.append(len(index))
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = numpy.array(start)
        lp.a_matrix_.index_ = numpy.array(index)
        lp.a_matrix_.value_ = numpy.array(value, dtype=float)
        kind = highspy.HighsVarType
        lp.integrality_ = [kind.kInteger if whole else kind.kContinuous for whole in self.whole]
        solver.passModel(lp)
        return solver


def merged(terms):
    """The factors of each column put together."""
    sums = {}
    for column, factor in terms:
        sums[column] = sums.get(column, 0.0) + factor
    return sums


class Allocation(Model):
    """Which device hangs where: columns for the ways, rows for the rules, terms for the objectives."""

    def __init__(self, rig, ohm_per_m):
        super().__init__()
        self.limits, self.ohm_per_m = rig["limits"], ohm_per_m
        self.outlets, self.bricks = read_outlets(rig)
        reserve(rig, self.outlets)
        self.needs = [read_need(device, self.outlets, self.bricks, self.limits)
                      for device in rig["devices"] if wants_feed(device)]
        self.strips = read_strips(rig, self.needs)
        self.stop, self.look = self.limits["outlet_load_stop_ratio"], self.limits["outlet_load_look_ratio"]
        # Columns of going without, and of everything a device may choose between.
        self.drop = [self.binary() for _ in self.needs]
        self.chosen = [[(column, 1.0)] for column in self.drop]
        # By outlet: needs and columns of single feeds, and of pairs; by outlet and setting: loads in mA.
        self.on = [[] for _ in self.outlets]
        self.pairs = [[] for _ in self.outlets]
        self.loads, self.known_loads = {}, {}
        # Terms in mA by brick and bank, in W by brick.
        self.bank, self.brick = {}, {}
        self.looks, self.special, self.length, self.margins = [], [], [], []
        self.margin = self.real(-1.0, 1.0)
        # Who is locked to an outlet, and how.
        self.locked_to = {}
        for d, need in enumerate(self.needs):
            for name in (need["lock"] or {}).get("outlets", []):
                self.locked_to.setdefault(name, []).append(d)
        self.shared = [self.binary() for _ in self.outlets]
        # Rows that want to know who else hangs there, written when all ways are known.
        self.later = []
        self.add_ways()
        self.add_rules()

    # What a way is like

    def settings(self, outlet):
        """Numbered; the outlet of a locked feed stays as it is set, where that is known."""
        fixed = outlet["name"] in self.locked_to and outlet["set"] is not None
        return [(s, v, ma) for s, (v, ma) in enumerate(outlet["settings"]) if not (fixed and v != outlet["set"])]

    def crossing(self, need, outlet):
        return int(need["sign"] is not None and need["sign"] != outlet["sign"])

    def keeps(self, need, kind, outlets):
        """Whether a way is the one that a lock asks for, or there is no lock."""
        lock = need["lock"]
        names = sorted(outlet["name"] for outlet in outlets)
        return lock is None or (lock["type"] == kind and sorted(lock["outlets"]) == names
                                and lock["crossing"] == bool(self.crossing(need, outlets[0])))

    def draw(self, need, outlet, volts, gives):
        """What a device draws; where nobody knows it, all that outlet, bank, brick and what feeds that can give."""
        if not need["no_draw"]:
            return need["ma"]
        brick, most = self.bricks[outlet["brick"]], [gives * self.stop]
        part = self.limits["brick_load_stop_ratio"]
        if brick["banks"].get(outlet["bank"]) is not None:
            most.append(brick["banks"][outlet["bank"]] * part)
        if brick["watts"] is not None:
            most.append(brick["watts"] * part / volts * 1000)
        if brick["gives"] is not None:
            most.append(brick["gives"] / volts * 1000)
        return math.floor(min(most) * 1000 + 1e-6) / 1000

    def assumed(self, need, outlet, gives):
        """Looks for what nobody knows of a device."""
        return (int(need["unsure"]) + int(need["no_draw"] and gives < STRONG_MA - TINY)
                + int(need["ground"] and outlet["group"] is not None))

    def surge(self, need):
        """What a device wants to start: measured of any, a multiple of its draw of a digital one; else nothing."""
        if need["surge"] is not None:
            return need["surge"]
        return need["ma"] * self.limits["surge_factor_ratio"] if need["digital"] and not need["no_draw"] else 0.0

    def loss_limits(self, need, outlets, volts, kind):
        """The draws above which the loss on the way wants a look, and above which too little arrives, in mA.

        Single: I · (R + Rc). In series the current goes along both leads. In parallel half of it along each, so half
        the mean resistance counts, and half that of the contacts.
        """
        ohms = [conductors(need, outlet, self.limits, self.ohm_per_m) for outlet in outlets]
        if need["ac"] or need["no_draw"] or None in ohms:
            return INF, INF
        ohm = sum(ohms) / 4 + CONTACTS_OHM / 2 if kind == "parallel-pair" else sum(ohms) + CONTACTS_OHM
        share = self.limits["supply_drop_look_ratio"]
        return volts * share / ohm * 1000, (volts - need["window"][0] * (1 - share)) / ohm * 1000

    # Columns

    def take(self, column, need, k, s, volts, ma):
        """Books what a way draws from an outlet at a setting."""
        outlet = self.outlets[k]
        self.loads.setdefault((k, s), []).append((column, ma))
        # What nobody knows is no load to be near a limit with.
        if not need["no_draw"]:
            self.known_loads.setdefault((k, s), []).append((column, ma))
        self.brick.setdefault(outlet["brick"], []).append((column, volts * ma / 1000))
        self.bank.setdefault((outlet["brick"], outlet["bank"]), []).append((column, ma))

    def add_ways(self):
        for d, need in enumerate(self.needs):
            for k in range(len(self.outlets)):
                self.add_singles(d, need, k)
            if not need["ac"]:
                for a, b in itertools.combinations(range(len(self.outlets)), 2):
                    for kind in ("series-pair", "parallel-pair"):
                        self.add_pairs(d, need, a, b, kind)
            self.add_adaptors(d, need)

    def add_singles(self, d, need, k):
        outlet, (low, high) = self.outlets[k], need["window"]
        barrel = fits(outlet["connector"], need)
        if (need["ac"] != outlet["ac"] or barrel is None or need["supplies"] == outlet["brick"]
                or (need["positive"] and outlet["group"]) or not self.keeps(need, "single", [outlet])
                or self.is_stranger(d, outlet)):
            return
        for s, volts, gives in self.settings(outlet):
            ma = self.draw(need, outlet, volts, gives)
            look, stop = self.loss_limits(need, [outlet], volts, "single")
            if not low <= volts <= high or gives * self.stop + TINY < ma or stop + TINY < ma:
                continue
            column = self.binary()
            self.chosen[d].append((column, 1.0))
            self.on[k].append((d, column))
            self.take(column, need, k, s, volts, ma)
            self.special.append((column, self.crossing(need, outlet) + barrel))
            self.length.append((column, way(need, outlet) or 0))
            self.looks.append((column, self.assumed(need, outlet, gives)))
            # How much the others on the outlet may draw until something is to be said of this one.
            self.company(column, k, d, gives - self.surge(need) if self.surge(need) else INF)
            self.company(column, k, d, look - ma)
            self.company(column, k, d, stop - ma, told=False)

    def company(self, column, k, d, spare, told=True):
        """Costs a look, or is not possible at all, when others on the outlet draw more than is to spare."""
        if spare < -TINY:
            self.looks.append((column, 1))
        elif spare < INF and not self.needs[d]["alone"]:
            self.later.append((column, k, d, spare, told))

    def is_stranger(self, d, outlet):
        """Nobody comes to an outlet that is kept for half of a pair."""
        users = self.locked_to.get(outlet["name"], [])
        return d not in users and any(self.needs[e]["lock"]["type"] != "single" for e in users)

    def may_pair(self, need, outlets, kind):
        first, second = outlets
        leave = "series" if kind == "series-pair" else "parallel"
        alike = (first["sign"] == second["sign"] and not first["ac"] and not second["ac"]
                 and not first["group"] and not second["group"] and first[leave] and second[leave]
                 and (kind == "series-pair" or first["brick"] == second["brick"]))
        if not alike or need["supplies"] in (first["brick"], second["brick"]):
            return False
        # One plug is written for both legs; a lock may have a lead with a plug for each.
        if need["lock"] is None and first["connector"] != second["connector"]:
            return False
        # What nobody knows cannot be halved; a locked outlet is paired by its lock only.
        if need["no_draw"] and kind == "parallel-pair":
            return False
        return self.keeps(need, kind, outlets) and (
            need["lock"] is not None or not any(outlet["name"] in self.locked_to for outlet in outlets))

    def add_pairs(self, d, need, a, b, kind):
        outlets, (low, high) = [self.outlets[a], self.outlets[b]], need["window"]
        ends = [fits(outlet["connector"], need) for outlet in outlets]
        if None in ends or not self.may_pair(need, outlets, kind):
            return
        series = kind == "series-pair"
        for (s, volts, ma), (t, other, more) in itertools.product(*map(self.settings, outlets)):
            total = 2 * volts if series else volts
            draws = [self.draw(need, outlet, volts, gives) for outlet, gives in zip(outlets, (ma, more))]
            if not series:
                draws = [math.ceil(draw * 500 - 1e-6) / 1000 for draw in draws]
            look, stop = self.loss_limits(need, outlets, total, kind)
            if (other != volts or not low <= total <= high or stop + TINY < need["ma"]
                    or any(gives * self.stop + TINY < draw for gives, draw in zip((ma, more), draws))):
                continue
            column = self.binary()
            self.chosen[d].append((column, 1.0))
            for k, setting, draw in zip((a, b), (s, t), draws):
                self.pairs[k].append((d, column))
                self.take(column, need, k, setting, volts, draw)
            self.special.append((column, 1 + self.crossing(need, outlets[0]) + max(ends)))
            self.length.append((column, sum(way(need, outlet) or 0 for outlet in outlets)))
            gives = min(ma, more) if series else ma + more
            starves = gives < self.surge(need) - TINY
            self.looks.append((column, self.assumed(need, outlets[0], gives) + starves + (look + TINY < need["ma"])))

    def add_adaptors(self, d, need):
        if need["adaptor"] is None or (need["lock"] and need["lock"]["type"] != "adaptor"):
            return
        here = next((strip for strip in self.strips
                     for name in need["adaptor"] if name.startswith(strip["tag"] + ".")), None)
        for strip in ([here] if need["lock"] or here is None else self.strips):
            column = self.binary()
            self.chosen[d].append((column, 1.0))
            self.special.append((column, 1))
            if strip is not None:
                strip["columns"].append((column, 1.0))

    # Rows

    def add_rules(self):
        for terms in self.chosen:
            self.row(terms, 1.0, 1.0)
        for strip in self.strips:
            self.at_most(strip["columns"], strip["sockets"])
        for k, outlet in enumerate(self.outlets):
            self.add_modes(k, outlet)
            self.add_sharing(k)
            self.add_locks(k, outlet)
        for column, k, d, spare, told in self.later:
            self.add_company(column, k, d, spare, told)
        self.add_sums()
        self.add_chains()
        self.add_rings()
        self.add_negatives()

    def add_modes(self, k, outlet):
        """One voltage at a time, no more than the outlet gives there, and a look when that is near."""
        modes = {s: self.binary() for s, _, _ in self.settings(outlet)}
        self.at_most([(column, 1.0) for column in modes.values()], 1.0)
        near = self.binary()
        self.looks.append((near, 1))
        for s, _, ma in self.settings(outlet):
            load = self.known_loads.get((k, s), [])
            self.at_most(self.loads.get((k, s), []) + [(modes[s], -ma * self.stop)], TINY)
            self.at_most(load + [(near, -ma * max(self.stop - self.look, 0.0))], ma * self.look + TINY)
            self.margins.append((load, ma))

    def hangs(self, k):
        """By device: the columns of its single feeds on an outlet."""
        of = {}
        for d, column in self.on[k]:
            of.setdefault(d, []).append((column, 1.0))
        return of

    def add_sharing(self, k):
        """How many hang on an outlet, who goes with whom, and what that is worth a look."""
        shared, needs, hangs = self.shared[k], self.needs, self.hangs(k)
        most = max(math.floor(self.limits["outlet_share_most_devices"]), 1)
        paired, everyone = [(column, 1.0) for _, column in self.pairs[k]], list(itertools.chain(*hangs.values()))
        # Each device beyond the first is a leg of the splitter.
        legs = self.real(0.0, float(max(len(needs) - 1, 0)))
        self.special.append((legs, 1))
        self.at_most(everyone + [(legs, -1.0)], 1.0)
        self.at_most(paired, 1.0)
        self.at_most(everyone + [(column, most * factor) for column, factor in paired], most)
        self.at_most(everyone + [(shared, 1.0 - most)], 1.0)
        much, loud = self.binary(), self.binary()
        self.looks.extend([(much, 1), (loud, 1)])
        for d, columns in hangs.items():
            if needs[d]["alone"] or (needs[d]["to_itself"] and not needs[d]["lock"]):
                self.at_most(columns + [(shared, 1.0)], 1.0)
            elif needs[d]["loud"]:
                self.at_most(columns + [(shared, 1.0), (loud, -1.0)], 1.0)
        for (d, columns), (e, others) in itertools.combinations(hangs.items(), 2):
            # One that nobody knows enough of has company only where all of it is locked.
            apart = (needs[d]["to_itself"] or needs[e]["to_itself"]) and not (needs[d]["lock"] and needs[e]["lock"])
            if apart or needs[d]["sign"] != needs[e]["sign"]:
                self.at_most(columns + others, 1.0)
        current = [(column, needs[d]["ma"]) for d, column in self.on[k]]
        all_of_it = sum(need["ma"] for need in needs)
        self.at_most(current + [(much, -all_of_it), (shared, all_of_it)],
                     self.limits["shared_analogue_look_ma"] + all_of_it + TINY)

    def add_locks(self, k, outlet):
        """Whoever is not locked to an outlet comes to it only beside all those that are."""
        users, hangs = self.locked_to.get(outlet["name"], []), self.hangs(k)
        for d, columns in hangs.items():
            for keeper in users if d not in users else []:
                own = [(column, -factor) for column, factor in hangs.get(keeper, [])]
                self.at_most(columns + own, 0.0)

    def add_company(self, column, k, d, spare, told):
        # All that the others could draw, at whichever setting: nothing is said where the column is not chosen.
        most = max(ma for _, _, ma in self.settings(self.outlets[k])) * self.stop
        others = [(other, self.needs[e]["ma"]) for e, other in self.on[k] if e != d and not self.needs[e]["alone"]]
        over = most - spare
        if not others or over <= 0:
            return
        terms = others + [(column, over)]
        if told:
            look = self.binary()
            self.looks.append((look, 1))
            terms.append((look, -over))
        self.at_most(terms, most + TINY)

    def add_sums(self):
        """Banks in current, bricks in power: a stop and a look each."""
        banks = [(self.bank.get((b, name), []), ma)
                 for b, brick in enumerate(self.bricks) for name, ma in brick["banks"].items()]
        bricks = [(self.brick.get(b, []), brick["watts"]) for b, brick in enumerate(self.bricks)]
        for sums, limit in banks + bricks:
            if limit is None:
                continue
            near = self.binary()
            self.looks.append((near, 1))
            most, some = limit * self.limits["brick_load_stop_ratio"], limit * self.limits["brick_load_look_ratio"]
            self.at_most(sums, most + TINY)
            self.at_most(sums + [(near, -max(most - some, 0.0))], some + TINY)

    def add_chains(self):
        """A converter gives on no more than it takes leaves, and nothing while it is not fed itself."""
        for b, brick in enumerate(self.bricks):
            fed = next((d for d, need in enumerate(self.needs) if need["supplies"] == b), None)
            sums, most = self.brick.get(b, []), brick["gives"]
            if most is None and fed is not None:
                most = sum(factor for _, factor in sums)
            if most is not None:
                self.at_most(sums + ([] if fed is None else [(self.drop[fed], most)]), most + TINY)

    def add_rings(self):
        """Converters in a ring would run on nothing: whoever is fed stands a level above what feeds it."""
        of = {need["supplies"]: d for d, need in enumerate(self.needs) if need["supplies"] is not None}
        level = {b: self.real(0.0, len(of)) for b in of}
        for b, d in of.items():
            for k, outlet in enumerate(self.outlets):
                columns = [(column, len(of) + 1.0) for e, column in self.on[k] + self.pairs[k] if e == d]
                if columns and outlet["brick"] in of:
                    self.at_most(columns + [(level[outlet["brick"]], 1.0), (level[b], -1.0)], len(of))

    def add_negatives(self):
        """A digital device is the only one on outlets with one negative."""
        for group in {outlet["group"] for outlet in self.outlets if outlet["group"]}:
            members = [pair for k, outlet in enumerate(self.outlets) if outlet["group"] == group for pair in self.on[k]]
            for d in {d for d, _ in members if self.needs[d]["digital"]}:
                own = [(column, float(len(self.needs))) for e, column in members if e == d]
                self.at_most(own + [(column, 1.0) for e, column in members if e != d], len(self.needs))

    def unserved(self):
        """A locked feed is given up only after all that are not."""
        return [(column, len(self.needs) + 1 if need["lock"] else 1) for column, need in zip(self.drop, self.needs)]


# --- The objectives, one after the other -----------------------------------------------------------------------------


def solve(solver, model, terms, sense):
    cost = numpy.zeros(len(model.lower))
    for column, factor in terms:
        cost[column] += factor
    columns = numpy.arange(len(model.lower), dtype=numpy.int32)
    solver.changeColsCost(len(columns), columns, cost)
    solver.changeObjectiveSense(highspy.ObjSense.kMinimize if sense == "min" else highspy.ObjSense.kMaximize)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        raise RuntimeError(f"HiGHS ended with {solver.getModelStatus()}")
    return solver.getInfo().objective_function_value


def keep(solver, terms, lower, upper):
    sums = merged(terms)
    index = numpy.array(list(sums), dtype=numpy.int32)
    solver.addRow(lower, upper, len(index), index, numpy.array(list(sums.values()), dtype=float))


def best(rig, ohm_per_m):
    start = time.perf_counter()
    model = Allocation(rig, ohm_per_m)
    solver = model.highs()
    reached = []
    for terms in (model.unserved(), model.looks, model.special):
        value = round(solve(solver, model, terms, "min"))
        keep(solver, terms, -INF, value)
        reached.append(value)
    # Locked and other devices that go without, told apart by their weights.
    reached[0] = sum(divmod(reached[0], len(model.needs) + 1))
    for load, limit in model.margins:
        keep(solver, load + [(model.margin, limit)], -INF, limit)
    permille = math.floor(solve(solver, model, [(model.margin, 1.0)], "max") * 1000 + 1e-4)
    keep(solver, [(model.margin, 1.0)], permille / 1000 - 1e-9, INF)
    reached.append(permille)
    three = time.perf_counter() - start
    placed = any(way(need, outlet) is not None for need in model.needs for outlet in model.outlets)
    reached.append(round(solve(solver, model, model.length, "min")) if placed else None)
    return reached, three * 1e3, (time.perf_counter() - start) * 1e3


def main():
    wrong = cases = 0
    for line in sys.stdin:
        case = json.loads(line)
        objective = ("looks", "special_leads", "margin_permille", "length_mm")
        told = [case["unserved"], *(case["objective"][term] for term in objective)]
        found, three, total = best(case["rig"], case.get("dc_ohm_per_m"))
        cases += 1
        if "--times" in sys.argv:
            print(f'{case["name"]}: first three {three:.0f} ms, all {total:.0f} ms')
        if found != told:
            wrong += 1
            print(f'{case["name"]}: unserved, looks, special, margin, mm: program {told}, HiGHS {found}')
    print(f"{cases} cases, {wrong} differ")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
