"""An independent power allocation: HiGHS on a model made from the resolved rig's JSON alone.

Reads one case a line from standard input: {"rig": resolved, "unserved": n, "objective": [looks, special, margin, mm]}.
The model knows single outlets and single devices, no classes and no groups: which device hangs on which outlet at which
setting, which outlets are shared, which are paired. The objectives are solved one after the other, each kept as a
constraint for the next. Ends with 0 when every case agrees; names the cases that do not.

With --times the milliseconds of the first three objectives and of all are printed for each case.

Source of the rules: those of the trade as the papers of this project state them; common practice, no source.
"""

import json
import math
import sys
import time

import highspy
import numpy

INF = highspy.kHighsInf
TINY = 1e-7


def known(value):
    return value["is"]


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
        merged = {}
        for column, factor in terms:
            merged[column] = merged.get(column, 0.0) + factor
        self.rows.append((merged, lower, upper))

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


def fits(outlet, device):
    """None: no lead fits; else how many barrel adaptors it wants."""
    if outlet is None or device is None or outlet == device or "fixed" in (outlet, device):
        return 0
    adaptable = ("barrel-", "jack-")
    return 1 if outlet.startswith(adaptable) and device.startswith(adaptable) else None


def read(rig):
    """Devices that want power, outlets, bricks and strips as plain dictionaries."""
    limits = rig["limits"]
    outlets, bricks, taken = [], [], set()
    for device in rig["devices"]:
        if not device["outlets"]:
            continue
        ports = {port["name"]: port for port in device["ports"]}
        joined = [outlet for outlet in device["outlets"] if known(outlet["isolation"]) != "isolated"]
        one_group = any(outlet["bank"] is None for outlet in joined)
        bricks.append({"tag": device["tag"], "watts": known(device["total_w"]), "banks": {
            bank["name"]: known(bank["current_ma"]) for bank in device["banks"]}})
        for outlet in device["outlets"]:
            port = ports.get(outlet["name"], {})
            ac = known(outlet["type"]) == "ac"
            isolated = known(outlet["isolation"]) == "isolated"
            outlets.append({
                "name": f'{device["tag"]}.{outlet["name"]}', "brick": len(bricks) - 1, "bank": outlet["bank"], "ac": ac,
                "settings": [(s["volts_v"], known(s["current_ma"])) for s in outlet["settings"]],
                "set": known(outlet["set_v"]), "sign": None if ac else known(outlet["sign"]),
                "group": None if isolated else (device["tag"], None if one_group else outlet["bank"]),
                "series": known(outlet["series"]) is True, "parallel": known(outlet["parallel"]) is True,
                "connector": port.get("connector"), "at": port.get("at_mm")})
    needs = []
    for device in rig["devices"]:
        power, feed = device["power"], device["feed"]
        nature = known(power["type"])
        adaptor = feed is not None and feed["type"] == "adaptor"
        fed = feed is not None and not adaptor and feed["outlets"]
        if nature not in ("dc", "ac") or (device["outside"] and not fed):
            if adaptor:
                taken.update(feed["outlets"])
            continue
        inlet = next((port for port in device["ports"] if known(port["role"]) == "power"), {})
        gain = known(device["signal"]["gain_db"])
        needs.append({
            "tag": device["tag"], "ac": nature == "ac", "window": known(power["volts_v"]),
            "ma": known(power["current_ma"]), "surge": known(power["surge_ma"]),
            "sign": None if nature == "ac" else known(power["sign"]),
            "alone": known(power["class"]) != "analogue", "positive": known(power["positive_ground"]) is True,
            "loud": gain is None or limits["shared_gain_look_db"] < gain,
            "connector": inlet.get("connector"), "at": inlet.get("at_mm"),
            "adaptor": feed["outlets"] if adaptor else None,
            "lock": feed if feed is not None and feed["locked"] else None})
    strips = []
    for device in rig["devices"]:
        if device["role"] == "strip":
            names = {f'{device["tag"]}.{port["name"]}' for port in device["ports"] if known(port["role"]) == "mains"}
            own = {name for need in needs for name in (need["adaptor"] or []) if name.startswith(device["tag"] + ".")}
            strips.append({"tag": device["tag"], "sockets": len((names - taken) | own)})
    return limits, needs, outlets, bricks, strips


def way(need, outlet):
    if need["at"] is None or outlet["at"] is None:
        return None
    return math.floor(sum(abs(a - b) for a, b in zip(need["at"], outlet["at"])) + 0.5)


def allocate(rig):
    limits, needs, outlets, bricks, strips = read(rig)
    model = Model()
    look, stop = limits["outlet_load_look_ratio"], limits["outlet_load_stop_ratio"]
    drop = [model.binary() for _ in needs]
    chosen = [[(column, 1.0)] for column in drop]
    singles = {}   # (need, outlet, setting) -> column
    loads = {}     # (outlet, setting) -> terms in mA, parts of pairs counted
    on = [[] for _ in outlets]       # (need, column) of single feeds
    pairs = [[] for _ in outlets]    # columns of pairs
    looks, special, length = [], [], []
    bank, brick = {}, {}
    locked_to = {}
    for d, need in enumerate(needs):
        for name in (need["lock"] or {}).get("outlets", []):
            locked_to.setdefault(name, []).append(d)

    def settings(outlet):
        fixed = outlet["name"] in locked_to and outlet["set"] is not None
        return [(s, v, ma) for s, (v, ma) in enumerate(outlet["settings"])
                if ma is not None and not (fixed and v != outlet["set"])]

    def crossing(need, outlet):
        return int(need["sign"] is not None and need["sign"] != outlet["sign"])

    def wanted(need):
        return need["surge"] if need["surge"] is not None else need["ma"] * limits["surge_factor_ratio"]

    def draw(column, k, s, volts, ma):
        loads.setdefault((k, s), []).append((column, ma))
        brick.setdefault(outlets[k]["brick"], []).append((column, volts * ma / 1000))
        bank.setdefault((outlets[k]["brick"], outlets[k]["bank"]), []).append((column, ma))

    for d, need in enumerate(needs):
        lock, low, high = need["lock"], *need["window"]
        for k, outlet in enumerate(outlets):
            barrel = fits(outlet["connector"], need["connector"])
            if need["ac"] != outlet["ac"] or barrel is None or (need["positive"] and outlet["group"]):
                continue
            if lock and (lock["type"] != "single" or lock["outlets"] != [outlet["name"]]
                         or lock["crossing"] != bool(crossing(need, outlet))):
                continue
            for s, volts, ma in settings(outlet):
                if low <= volts <= high and need["ma"] <= ma * stop + TINY:
                    column = singles[d, k, s] = model.binary()
                    chosen[d].append((column, 1.0))
                    on[k].append((d, column))
                    draw(column, k, s, volts, need["ma"])
                    special.append((column, crossing(need, outlet) + barrel))
                    length.append((column, way(need, outlet) or 0))
                    if need["alone"] and ma < wanted(need) - TINY:
                        looks.append((column, 1))
        if not need["ac"]:
            for a, first in enumerate(outlets):
                for b in range(a + 1, len(outlets)):
                    second = outlets[b]
                    for kind in ("series", "parallel"):
                        joined = first["ac"] or second["ac"] or first["group"] or second["group"]
                        if joined or first["sign"] != second["sign"] or not (first[kind] and second[kind]):
                            continue
                        if kind == "parallel" and first["brick"] != second["brick"]:
                            continue
                        ends = [fits(outlet["connector"], need["connector"]) for outlet in (first, second)]
                        if None in ends:
                            continue
                        names = sorted([first["name"], second["name"]])
                        if lock:
                            if (lock["type"] != f"{kind}-pair" or sorted(lock["outlets"]) != names
                                    or lock["crossing"] != bool(crossing(need, first))):
                                continue
                        elif any(name in locked_to for name in names):
                            continue
                        for s, volts, ma in settings(first):
                            for t, other, more in settings(second):
                                total = 2 * volts if kind == "series" else volts
                                each = need["ma"] if kind == "series" else need["ma"] / 2
                                if other != volts or not low <= total <= high or min(ma, more) * stop + TINY < each:
                                    continue
                                column = model.binary()
                                chosen[d].append((column, 1.0))
                                pairs[a].append(column)
                                pairs[b].append(column)
                                draw(column, a, s, volts, each)
                                draw(column, b, t, volts, each)
                                special.append((column, 1 + crossing(need, first) + max(ends)))
                                length.append((column, (way(need, first) or 0) + (way(need, second) or 0)))
                                gives = min(ma, more) if kind == "series" else ma + more
                                if need["alone"] and gives < wanted(need) - TINY:
                                    looks.append((column, 1))
        if need["adaptor"] is not None and (lock is None or lock["type"] == "adaptor"):
            here = next((strip for strip in strips for name in need["adaptor"] if name.startswith(strip["tag"] + ".")), None)
            for strip in ([here] if lock or here is None else strips):
                column = model.binary()
                chosen[d].append((column, 1.0))
                looks.append((column, 1))
                if strip is not None:
                    strip.setdefault("columns", []).append((column, 1.0))
    for terms in chosen:
        model.row(terms, 1.0, 1.0)
    for strip in strips:
        model.at_most(strip.get("columns", []), strip["sockets"])
    margin = model.real(-1.0, 1.0)
    margins = []
    for k, outlet in enumerate(outlets):
        modes = {s: model.binary() for s, _, _ in settings(outlet)}
        model.at_most([(column, 1.0) for column in modes.values()], 1.0)
        shared, paired = model.binary(), [(column, 1.0) for column in pairs[k]]
        special.append((shared, 1))
        everyone = [(column, 1.0) for _, column in on[k]]
        model.at_most(paired, 1.0)
        model.at_most(everyone + [(column, 4 * factor) for column, factor in paired], 4.0)
        model.at_most(everyone + [(shared, -3.0)], 1.0)
        for d, column in on[k]:
            need = needs[d]
            if need["alone"] or need["ac"] or need["positive"]:
                model.at_most([(column, 1.0), (shared, 1.0)], 1.0)
        for d, column in on[k]:
            for e, other in on[k]:
                if d < e and needs[d]["sign"] != needs[e]["sign"]:
                    model.at_most([(column, 1.0), (other, 1.0)], 1.0)
        keepers = [d for d in locked_to.get(outlet["name"], []) if needs[d]["lock"]["type"] == "single"]
        if outlet["name"] in locked_to:
            pair_locked = len(keepers) < len(locked_to[outlet["name"]])
            for d, column in on[k]:
                if pair_locked:
                    model.at_most([(column, 1.0)], 0.0)
                for keeper in keepers:
                    if d != keeper:
                        own = [(other, -1.0) for e, other in on[k] if e == keeper]
                        model.at_most([(column, 1.0)] + own, 0.0)
        near, much, loud = model.binary(), model.binary(), model.binary()
        looks.extend([(near, 1), (much, 1), (loud, 1)])
        for s, _, ma in settings(outlet):
            load = loads.get((k, s), [])
            model.at_most(load + [(modes[s], -ma * stop)], TINY)
            model.at_most(load + [(near, -ma * max(stop - look, 0.0))], ma * look + TINY)
            margins.append((load, ma))
        current = [(column, needs[d]["ma"]) for d, column in on[k]]
        most = sum(need["ma"] for need in needs)
        model.at_most(current + [(much, -most), (shared, most)], limits["shared_analogue_look_ma"] + most + TINY)
        for d, column in on[k]:
            if needs[d]["loud"]:
                model.at_most([(column, 1.0), (shared, 1.0), (loud, -1.0)], 1.0)
    for sums, limit in [(brick.get(b, []), made["watts"]) for b, made in enumerate(bricks)] + [
            (bank.get((b, name), []), ma) for b, made in enumerate(bricks) for name, ma in made["banks"].items()]:
        if limit is None:
            continue
        near = model.binary()
        looks.append((near, 1))
        most, some = limit * limits["brick_load_stop_ratio"], limit * limits["brick_load_look_ratio"]
        model.at_most(sums, most + TINY)
        model.at_most(sums + [(near, -max(most - some, 0.0))], some + TINY)
    for group in {outlet["group"] for outlet in outlets if outlet["group"]}:
        members = [(d, column) for k, outlet in enumerate(outlets) if outlet["group"] == group for d, column in on[k]]
        for d in {d for d, _ in members if needs[d]["alone"]}:
            own = [(column, float(len(needs))) for e, column in members if e == d]
            model.at_most(own + [(column, 1.0) for e, column in members if e != d], len(needs))
    return model, needs, outlets, {
        "unserved": [(column, 1) for column in drop], "looks": looks, "special": special,
        "margin": margin, "margins": margins, "length": length}


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
    merged = {}
    for column, factor in terms:
        merged[column] = merged.get(column, 0.0) + factor
    index = numpy.array(list(merged), dtype=numpy.int32)
    solver.addRow(lower, upper, len(index), index, numpy.array(list(merged.values()), dtype=float))


def best(rig):
    start = time.perf_counter()
    model, needs, outlets, parts = allocate(rig)
    solver = model.highs()
    reached = []
    for name in ("unserved", "looks", "special"):
        value = round(solve(solver, model, parts[name], "min"))
        keep(solver, parts[name], -INF, value)
        reached.append(value)
    for load, limit in parts["margins"]:
        keep(solver, load + [(parts["margin"], limit)], -INF, limit)
    permille = math.floor(solve(solver, model, [(parts["margin"], 1.0)], "max") * 1000 + 1e-4)
    keep(solver, [(parts["margin"], 1.0)], permille / 1000 - 1e-9, INF)
    reached.append(permille)
    three = time.perf_counter() - start
    placed = any(way(need, outlet) is not None for need in needs for outlet in outlets)
    reached.append(round(solve(solver, model, parts["length"], "min")) if placed else None)
    return reached, three * 1e3, (time.perf_counter() - start) * 1e3


def main():
    wrong = cases = 0
    for line in sys.stdin:
        case = json.loads(line)
        told = [case["unserved"], *case["objective"]]
        found, three, total = best(case["rig"])
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
