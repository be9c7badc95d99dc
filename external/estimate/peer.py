"""An independent bill and quote: counted from the resolved rig's JSON and the price file alone.

Reads one case a line from standard input: {"name": ..., "rig": resolved, "prices": text of prices.toml,
"stock": [[key, "pieces" or "nm", amount], ...], "terms": {...}, "acts": [...] or null, "quote": what the program says}.
Every figure of the bill and of the quote is worked out again with whole numbers and fractions and compared; ends with 0
when all agree and names each that does not.

Counting rules (waste, packs, solder, ties): those of the trade as this project states them; common practice, no source.
Sums and tax: EN 16931, business rules BR-CO-10, BR-CO-13, BR-CO-14, BR-CO-15, BR-CO-16, BR-CO-17, as OpenPEPPOL publishes
them; the discount is split over the tax classes by largest remainders (Hamilton).
"""

import json
import math
import sys
import tomllib
from fractions import Fraction

MM = 1_000_000


def nm(mm):
    """Millimetres as printed to whole nanometres."""
    return round(mm * MM)


def value(known):
    return None if known is None else known["is"]


class Bill:
    def __init__(self):
        self.lines = {}

    def add(self, key, unit, needed, waste=0, theirs=False):
        line = self.lines.setdefault((key, unit, theirs), [0, 0])
        line[0] += needed
        line[1] += waste


def made(rig):
    return [lead for lead in rig["leads"] if lead["making"] == "made"]


def is_ours(rig, device):
    """As the owner says; where he is not named, supplies and panels are the workshop's and pedals the player's."""
    owner = (device.get("owner") or "").strip().lower()
    if not owner:
        return device["role"] in ("brick", "strip", "panel")
    workshop = (rig.get("job", {}).get("workshop") or "").strip().lower()
    return owner in ("workshop", "shop") or owner == workshop


def count(rig):
    bill = Bill()
    board = rig["board"]
    bill.add(board["kind"] or "board", "pieces", 1)
    if board["case"] is not None:
        bill.add("case", "pieces", 1)
    for device in rig["devices"]:
        ours = is_ours(rig, device)
        if not device["outside"]:
            bill.add(device["kind"] or device["title"] or device["tag"], "pieces", 1, theirs=not ours)
        feed = device["feed"]
        if feed and feed["type"] == "adaptor":
            bill.add("adaptor", "pieces", 1, theirs=not ours)
            held = (feed["adaptor"] or {"held": {"is": None}})["held"]["is"]
            if held in ("strap", "cradle", "clamp"):
                bill.add(f"adaptor-{held}", "pieces", 1)
        if feed and feed["barrel_adaptor"]:
            bill.add("barrel-adaptor-" + feed["barrel_adaptor"], "pieces", 1)
        if device["role"] == "panel":
            for port in device["ports"]:
                if port["connector"]:
                    bill.add(port["connector"], "pieces", 1)
    cable(rig, bill)
    plugs = {}
    for lead in made(rig):
        for end in lead["ends"]:
            if end["fitting"] == "plugged":
                plugs[end["plug"]] = plugs.get(end["plug"], 0) + 1
    for plug, n in plugs.items():
        bill.add(plug or "plug not decided", "pieces", n, -(-n // 10))
    small(rig, bill)
    return bill


def cable(rig, bill):
    reels = {}
    for lead in made(rig):
        cut = value(lead["cut_mm"])
        reels[lead["cable"]] = reels.get(lead["cable"], 0) + (nm(cut) if cut is not None else 0)
    for key, length in reels.items():
        step = 100 * MM
        wanted = -(-(length * 110 // 100) // step) * step
        bill.add(key or "cable not decided", "nm", length, wanted - length)


def small(rig, bill):
    leads = made(rig)
    for lead in rig["leads"]:
        if lead["making"] == "bought":
            bill.add("mains-lead", "pieces", 1)
    joined = [lead for lead in leads if len(lead["ends"]) > 2]
    if joined:
        bill.add("joint-sleeve", "pieces", len(joined))
    sleeves = sum(len(lead["sleeves"]) * len(lead["ends"]) for lead in leads)
    if sleeves:
        bill.add("number-sleeve", "pieces", sleeves)
    labels = sum(len(lead["ends"]) for lead in rig["leads"] if lead["making"] != "theirs")
    labels += sum(1 for device in rig["devices"] if not device["outside"])
    labels += sum(len(device["outlets"]) for device in rig["devices"])
    labels += sum(len(device["ports"]) for device in rig["devices"] if device["role"] == "panel")
    bill.add("label", "pieces", labels)
    grommets = sum(1 for deck in rig["board"]["decks"] for hole in deck["passages"] if value(hole["grommet"]))
    if grommets:
        bill.add("grommet", "pieces", grommets)
    hung = sum(1 for device in rig["devices"] if device["place"] and device["place"]["under"])
    if hung:
        bill.add("bracket", "pieces", hung)
    used = {load["outlet"] for load in rig["outlets"]}
    spare = sum(
        1 for device in rig["devices"] for outlet in device["outlets"] if f"{device['tag']}.{outlet['name']}" not in used
    )
    if spare:
        bill.add("outlet-cap", "pieces", spare)
    if leads:
        ties = sum(max(1, -(-nm(value(lead["cut_mm"]) or 0) // (150 * MM))) for lead in leads)
        bill.add("tie", "pieces", ties)
        joints = 0
        for lead in leads:
            ends = [end for end in lead["ends"] if end["fitting"] != "captive"]
            joints += 2 * len(ends) + (len(lead["ends"]) if len(lead["ends"]) > 2 else 0)
        if joints:
            bill.add("solder", "nm", 15 * MM * joints)


def rounded(fraction, even):
    low = math.floor(abs(fraction))
    rest = abs(fraction) - low
    up = rest > Fraction(1, 2) or (rest == Fraction(1, 2) and (not even or low % 2 == 1))
    out = low + (1 if up else 0)
    return -out if fraction < 0 else out


def share(text):
    return Fraction(text.removesuffix("%").strip()) / 100


class Shop:
    def __init__(self, text):
        self.file = tomllib.loads(text)
        self.even = self.file.get("rounding") == "half-even"
        digits = {"JPY": 0, "KRW": 0, "ISK": 0, "KWD": 3, "BHD": 3}
        self.decimals = self.file.get("decimals", digits.get(self.file["currency"], 2))
        self.rates = {name: share(tax["rate"]) for name, tax in self.file.get("tax", {}).items()}

    def minor(self, text):
        out = Fraction(text) * 10**self.decimals
        assert out.denominator == 1, text
        return int(out)

    def item(self, key):
        for item in self.file.get("item", []):
            if key in item["serves"]:
                return item
        return None

    def pack(self, item):
        if "length" in item:
            number, unit = item["length"].split()
            return "nm", int(Fraction(number) * {"m": 1000, "mm": 1, "cm": 10}[unit] * MM)
        return "pieces", item.get("pieces", 1)


class Case:
    def __init__(self, case):
        self.case, self.shop, self.errors = case, Shop(case["prices"]), []

    def same(self, what, ours, theirs):
        if ours != theirs:
            self.errors.append(f"{self.case['name']}: {what}: {ours} here, {theirs} there")

    def run(self):
        quote = self.case["quote"]
        shop = self.shop
        terms = self.case["terms"]
        margin = share(terms["margin"]) if terms.get("margin") else share(shop.file.get("margin", "0 %"))
        stock = {(key, unit): amount for key, unit, amount in self.case["stock"]}
        bill = count(self.case["rig"])
        told = {}
        for line in quote["bill"]:
            unit, needed = next(iter(line["needed"].items()))
            told.setdefault((line["key"], unit, line["theirs"]), []).append(line)
        held = {key: lines for key, lines in told.items() if key[0].split("-")[0] not in ("strip", "pad", "screw", "clamp")}
        self.same("keys of the bill", sorted(map(str, bill.lines)), sorted(map(str, held)))
        missing, nets = set(), []
        for lead in made(self.case["rig"]):
            # Its cable is priced as far as it is counted, and named because it is not counted in full.
            if value(lead["cut_mm"]) is None:
                missing.add(lead["cable"] or "cable not decided")
        for key, lines in told.items():
            if key in bill.lines:
                for part, at in (("needed", 0), ("waste", 1)):
                    total = sum(next(iter(line[part].values())) for line in lines)
                    self.same(f"{part} of {key[0]}", bill.lines[key][at], total)
            for line in lines:
                self.line(line, key, margin, stock, missing, nets)
        self.work(quote, missing, nets)
        self.sums(quote, terms, nets, missing)

    def line(self, line, key, margin, stock, missing, nets):
        shop, (name, unit, theirs) = self.shop, key
        wanted = line["needed"][unit] + line["waste"][unit]
        if theirs:
            self.same(f"price of the client's {name}", None, line["net_minor"])
            return
        there = stock.get((name, unit), 0)
        taken = min(there, wanted)
        stock[(name, unit)] = there - taken
        self.same(f"stock for {name}", taken, line["in_stock"][unit])
        self.same(f"to buy of {name}", wanted - taken, line["to_buy"][unit])
        item = shop.item(name)
        if item is None or shop.pack(item)[0] != unit:
            missing.add(name)
            self.same(f"net of {name}", None, line["net_minor"])
            return
        pack = shop.pack(item)[1]
        packs = -(-(wanted - taken) // pack)
        self.same(f"packs of {name}", packs, line["packs"])
        self.same(f"cost of {name}", packs * shop.minor(item["price"]), line["cost_minor"])
        if "sale" in item:
            net = Fraction(shop.minor(item["sale"]) * wanted, pack)
        else:
            net = Fraction(shop.minor(item["price"]) * wanted, pack) * (1 + margin)
        net = rounded(net, shop.even)
        self.same(f"net of {name}", net, line["net_minor"])
        nets.append((item["tax"], net))

    def work(self, quote, missing, nets):
        shop, stages = self.shop, {}
        for line in quote["work"]:
            act = next(act for act in self.case["acts"] if act["operation"] == line["operation"])
            own = [rate for rate in shop.file.get("rate", []) if rate["operation"] == act["operation"]]
            planned = own[0]["minutes"] * act["units"] if own else act["minutes"]
            log = [entry for entry in shop.file.get("logged", []) if entry["operation"] == act["operation"]]
            spent, units = sum(entry["minutes"] for entry in log), sum(entry["units"] for entry in log)
            minutes = planned if units == 0 else rounded(Fraction(5 * planned + spent * act["units"], 5 + units), False)
            self.same(f"minutes of {act['operation']}", minutes, line["minutes"])
            stages[line["stage"]] = stages.get(line["stage"], 0) + minutes
        self.same("operations", len(self.case["acts"]), len(quote["work"]))
        self.same("all minutes", sum(stages.values()), quote["minutes"])
        stages = {stage: minutes for stage, minutes in stages.items() if minutes}
        if not stages:
            return
        if "hour" not in shop.file:
            missing.add("hour")
            return
        if "work_tax" not in shop.file:
            missing.add("work_tax")
        for minutes in stages.values():
            net = rounded(Fraction(shop.minor(shop.file["hour"]) * minutes, 60), shop.even)
            nets.append((shop.file.get("work_tax", ""), net))

    def sums(self, quote, terms, nets, missing):
        shop, totals = self.shop, quote["totals"]
        lines = sum(net for _, net in nets)
        self.same("lines", lines, totals["lines_minor"])
        self.same("lines as a client reads them", lines, sum(line["net_minor"] for line in quote["lines"]))
        off = 0
        if terms.get("discount"):
            off = rounded(lines * share(terms["discount"]), shop.even)
        elif terms.get("discount_sum"):
            off = min(shop.minor(terms["discount_sum"]), lines)
        classes = list(shop.rates) + sorted({tax for tax, _ in nets if tax not in shop.rates})
        sums = [sum(net for tax, net in nets if tax == name) for name in classes]
        parts = hamilton(off, sums)
        tax, net = 0, 0
        for name, whole, part in zip(classes, sums, parts):
            if all(of != name for of, _ in nets):
                continue
            basis = whole - part
            due = rounded(basis * shop.rates.get(name, Fraction(0)), shop.even)
            line = next((line for line in totals["taxes"] if line["class"] == name), None)
            self.same(f"tax of {name}", (basis, due), line and (line["basis_minor"], line["tax_minor"]))
            tax, net = tax + due, net + basis
        sums = (totals["net_minor"], totals["tax_minor"], totals["gross_minor"])
        self.same("net and tax", (net, tax, net + tax), sums)
        step = shop.minor(shop.file.get("step", "0"))
        pay = net + tax
        if step > 1:
            pay = rounded(Fraction(pay, step), shop.even) * step
        deposit = rounded(pay * share(shop.file.get("deposit", "0 %")), shop.even)
        self.same(
            "to pay",
            (pay - net - tax, pay, deposit, pay - deposit),
            (totals["rounding_minor"], totals["to_pay_minor"], totals["deposit_minor"], totals["balance_minor"]),
        )
        self.same("what has no price", sorted(missing), sorted({gap["key"] for gap in quote["missing"]}))
        self.same("at least", bool(missing), quote["at_least"])


def hamilton(total, parts):
    whole = sum(parts)
    if whole == 0:
        return [0] * len(parts)
    exact = [Fraction(total * part, whole) for part in parts]
    out = [math.floor(part) for part in exact]
    order = sorted(range(len(parts)), key=lambda at: (-(exact[at] - out[at]), at))
    for at in order[: total - sum(out)]:
        out[at] += 1
    return out


def main():
    errors, cases = [], 0
    for line in sys.stdin:
        case = Case(json.loads(line))
        case.run()
        errors += case.errors
        cases += 1
    for error in errors[:40]:
        print(error)
    print(f"{cases} cases, {len(errors)} differences")
    sys.exit(1 if errors or not cases else 0)


main()
