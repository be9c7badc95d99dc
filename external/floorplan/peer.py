"""The general solver beside ours: CP-SAT on one floorplanning instance, its own reading of the files.

Arguments: BLOCKS NETS PL, pads (file or scaled), whitespace, seconds, threads. Prints one JSON object: hpwl (nothing when
none was found), status, wall_s. Every pin lies in the middle of its block; quarter turns are allowed.
"""

import json
import math
import re
import sys
import time

from ortools.sat.python import cp_model


def read(blocks_file, nets_file, places_file):
    sizes, terminals = {}, set()
    for line in open(blocks_file):
        words = line.split()
        if len(words) > 1 and words[1] == "hardrectilinear":
            numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", line.split("hardrectilinear")[1])][1:]
            xs, ys = numbers[0::2], numbers[1::2]
            sizes[words[0]] = (math.ceil(max(xs) - min(xs)), math.ceil(max(ys) - min(ys)))
        elif len(words) > 1 and words[1] == "terminal":
            terminals.add(words[0])
    pads = {}
    for line in open(places_file):
        words = line.split()
        if len(words) > 2 and words[0] in terminals:
            pads[words[0]] = (float(words[1]), float(words[2]))
    nets = []
    for line in open(nets_file):
        words = line.split()
        if not words or words[0].startswith("#"):
            continue
        if words[0].startswith("NetDegree"):
            nets.append(set())
        elif nets and (words[0] in sizes or words[0] in pads):
            nets[-1].add(words[0])
    return sizes, pads, nets


def main():
    sizes, pads, nets = read(*sys.argv[1:4])
    scaled, share = sys.argv[4] == "scaled", float(sys.argv[5])
    seconds, threads = float(sys.argv[6]), int(sys.argv[7])
    side = math.isqrt(int(sum(w * h for w, h in sizes.values()) * (1 + share)))
    place = {}
    for axis in range(2):
        low, high = min(p[axis] for p in pads.values()), max(p[axis] for p in pads.values())
        for name, at in pads.items():
            here = (at[axis] - low) / (high - low) * side if scaled else at[axis]
            place[name, axis] = 2 * math.floor(here + 0.5)
    model = cp_model.CpModel()
    middle, spans = {}, ([], [])
    for name, (w, h) in sizes.items():
        turned = model.NewBoolVar("")
        for axis, (own, other) in enumerate(((w, h), (h, w))):
            start = model.NewIntVar(0, side, "")
            size = model.NewIntVar(min(own, other), max(own, other), "")
            model.Add(size == own + (other - own) * turned)
            end = model.NewIntVar(0, side, "")
            spans[axis].append(model.NewIntervalVar(start, size, end, ""))
            middle[name, axis] = start + end
    model.AddNoOverlap2D(*spans)
    terms = []
    for net in nets:
        for axis in range(2):
            ends = [place[pin, axis] for pin in net if pin in pads]
            inner = [middle[pin, axis] for pin in net if pin in sizes]
            if len(ends) + len(inner) < 2:
                continue
            bottom, top = min([0] + ends), max([2 * side] + ends)
            low, high = model.NewIntVar(bottom, top, ""), model.NewIntVar(bottom, top, "")
            for at in inner + ([min(ends), max(ends)] if ends else []):
                model.Add(low <= at)
                model.Add(at <= high)
            terms.append(high - low)
    model.Minimize(sum(terms))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = threads
    solver.parameters.random_seed = 1
    start = time.monotonic()
    status = solver.Solve(model)
    has = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    wall = time.monotonic() - start
    hpwl = solver.ObjectiveValue() / 2 if has else None
    print(json.dumps({"hpwl": hpwl, "status": solver.StatusName(status), "wall_s": wall}))


main()
