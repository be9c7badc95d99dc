"""Generalised assignment problems of types C and D, drawn by the published recipe, and HiGHS beside the program.

  recipe.py draw TYPE AGENTS JOBS COUNT SEED   prints COUNT problems in the layout of the OR-Library
  recipe.py solve FILE SECONDS                 solves them with HiGHS, so many seconds each, and prints JSON

Type C: resources 5 to 25, costs 10 to 50. Type D: resources 1 to 100, costs 111 less the resource and −10 to 10 more. All
whole and uniform; each agent has 0.8 of the sum of its resources over the number of agents. Costs are to be small; as the
layout has profits that are to be large, a cost c stands as 200 − c.

The recipe is that of Martello and Toth (Knapsack Problems, Wiley 1990, section 7.6) as Laguna and others (European Journal
of Operational Research 82, 1995) and Yagiura and others use it for C and D; from memory.
"""

import json
import random
import sys
import time

import highspy

FULL = 200


def draw(kind, agents, jobs, dice):
    if kind == "C":
        resources = [[dice.randint(5, 25) for _ in range(jobs)] for _ in range(agents)]
        costs = [[dice.randint(10, 50) for _ in range(jobs)] for _ in range(agents)]
    else:
        resources = [[dice.randint(1, 100) for _ in range(jobs)] for _ in range(agents)]
        costs = [[111 - used + dice.randint(-10, 10) for used in row] for row in resources]
    capacities = [int(0.8 * sum(row) / agents) for row in resources]
    lines = [f"{agents} {jobs}"]
    lines += [" ".join(str(FULL - cost) for cost in row) for row in costs]
    lines += [" ".join(map(str, row)) for row in resources]
    return lines + [" ".join(map(str, capacities))]


def read(path):
    numbers = iter(map(int, open(path).read().split()))
    for _ in range(next(numbers)):
        agents, jobs = next(numbers), next(numbers)
        table = [[[next(numbers) for _ in range(jobs)] for _ in range(agents)] for _ in range(2)]
        yield agents, jobs, table[0], table[1], [next(numbers) for _ in range(agents)]


def solve(agents, jobs, profits, resources, capacities, seconds):
    solver = highspy.Highs()
    solver.silent()
    solver.setOptionValue("time_limit", seconds)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("threads", 1)
    take = [[solver.addBinary() for _ in range(jobs)] for _ in range(agents)]
    for job in range(jobs):
        solver.addConstr(sum(take[agent][job] for agent in range(agents)) == 1)
    for agent in range(agents):
        solver.addConstr(sum(used * one for used, one in zip(resources[agent], take[agent])) <= capacities[agent])
    start = time.perf_counter()
    solver.maximize(sum(profits[a][j] * take[a][j] for a in range(agents) for j in range(jobs)))
    wall = time.perf_counter() - start
    info = solver.getInfo()
    found = info.primal_solution_status == 2
    proven = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return {"value": round(info.objective_function_value) if found else None, "proven": proven, "wall_ms": wall * 1e3}


def main():
    if sys.argv[1] == "draw":
        kind, (agents, jobs, count, seed) = sys.argv[2], map(int, sys.argv[3:7])
        dice = random.Random(seed)
        print(count)
        for _ in range(count):
            print("\n".join(draw(kind, agents, jobs, dice)))
        return
    problems = [solve(*problem, float(sys.argv[3])) for problem in read(sys.argv[2])]
    print(json.dumps({"problems": problems}))


if __name__ == "__main__":
    main()
